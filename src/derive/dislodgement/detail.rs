//! What was found, load by load.

use crate::fact::Side;
use crate::mechanics::frame::Abutment;

pub use crate::mechanics::dislodgement::grip::MESH_ERROR;
use crate::tooth::Tooth;

/// What was found for one restoration, load by load.
#[derive(Clone, PartialEq, Debug)]
pub struct Detail {
    /// The restoration's number.
    pub restoration: u8,
    /// Its preps as they were reckoned with, in the restoration's axes.
    pub preps: Vec<(Tooth, Abutment)>,
    /// Its loads.
    pub loads: Vec<LoadDetail>,
    /// How far grip moves where the cement's limits are varied, least and most; only where it was asked for exactly.
    pub grip_range: Option<(f64, f64)>,
}

/// What was found under one load.
#[derive(Clone, PartialEq, Debug)]
pub struct LoadDetail {
    /// The load case.
    pub load: String,
    /// The unit it acts on.
    pub unit: Tooth,
    /// The side it leans to, or `None` if it acts along the tooth.
    pub toward: Option<Side>,
    /// The force in N.
    pub force: f64,
    /// Where it acts and which way, in the restoration's axes: mm, and a direction of length one.
    pub line: ([f64; 3], [f64; 3]),
    /// What came of it.
    pub found: Found,
}

impl Detail {
    /// Returns the load under which grip is least.
    pub fn worst(&self) -> Option<&LoadDetail> {
        worst(&self.loads)
    }

    /// Returns the gap between both bounds of the load that grip depends on, relative.
    pub fn proven(&self) -> Option<f64> {
        match &self.worst()?.found {
            Found::Figure { gap, .. } => Some(*gap),
            Found::NotComputed(_) => None,
        }
    }
}

impl LoadDetail {
    /// Returns the grip under this load, where it is judged.
    pub fn grip(&self) -> Option<f64> {
        match &self.found {
            Found::Figure { grip, .. } => *grip,
            Found::NotComputed(_) => None,
        }
    }

    /// Returns the motion in which the restoration would come off.
    pub fn motion(&self) -> Option<ComesOff> {
        match &self.found {
            Found::Figure { motion, .. } => *motion,
            Found::NotComputed(_) => None,
        }
    }
}

/// What came of a load.
#[derive(Clone, PartialEq, Debug)]
pub enum Found {
    /// A proven figure.
    Figure {
        /// The force that is held for each MPa of the cement, in N.
        lambda: f64,
        /// How hard the cement has to work, in MPa.
        demand: f64,
        /// The proven gap between both bounds, relative.
        gap: f64,
        /// The demand on the minimum preps over the demand here, or `None` if the load is not judged or presses home.
        grip: Option<f64>,
        /// How it would come off, or `None` if it is only pressed home.
        motion: Option<ComesOff>,
        /// The part of the bound that crushing carries, 0 to 1.
        pressing_share: f64,
    },
    /// No figure, because of this.
    NotComputed(String),
}

/// The motion in which a restoration would come off.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct ComesOff {
    /// The abutment that lets go first.
    pub first: Tooth,
    /// The margin that lifts most.
    pub lifts: (Tooth, Side),
    /// The margin it turns about, or `None` if it comes straight off.
    pub about: Option<(Tooth, Side)>,
}

/// Two grips nearer than this, relative, are a tie: on a prep alike on both sides only rounding tells them apart.
const TIE: f64 = 1e-3;

/// Returns the load under which grip is least, of a tie the first.
pub(super) fn worst(loads: &[LoadDetail]) -> Option<&LoadDetail> {
    let mut least: Option<(&LoadDetail, f64)> = None;
    for load in loads {
        let Some(grip) = load.grip() else { continue };
        if least.is_none_or(|(_, known)| grip < known * (1.0 - TIE)) {
            least = Some((load, grip));
        }
    }
    least.map(|(load, _)| load)
}
