//! What was found, load by load.

use crate::fact::Side;
use crate::mechanics::frame::Abutment;
use crate::tooth::Tooth;

/// What was found for one restoration, load by load.
#[derive(Clone, PartialEq, Debug)]
pub struct Detail {
    /// The restoration's number.
    pub restoration: u8,
    /// Its stumps as they were reckoned with, in the restoration's axes.
    pub stumps: Vec<(Tooth, Abutment)>,
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
    /// The side it leans to; none where it acts along the tooth.
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
        let graded = self
            .loads
            .iter()
            .filter_map(|load| Some((load, load.grip()?)));
        graded
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(load, _)| load)
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
        /// The demand on the minimum stumps over the demand here; none where the load is not judged or presses home.
        grip: Option<f64>,
        /// How it would come off; none where it is only pressed home.
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
    /// The margin it turns about; none where it comes straight off.
    pub about: Option<(Tooth, Side)>,
}
