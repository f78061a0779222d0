//! Grip: how hard the cement of each retainer has to work, against the least single crown advised on that tooth.
//!
//! The load is shared between the retainers by their roots ([`share`](super::share)); each prep then holds its share alone
//! (limit analysis). The yardstick does not move with the prep: the least crown stands on the usual neck of the tooth, under
//! its own load. So `grip = demand of the least single crown / demand here`, and it parts into what is the prep's, this
//! bridge on least preps over this bridge as it is, and what is the plan's, the least single crown over this bridge on
//! least preps.
//!
//! Compared with the minimum prep on its own base, a prep was "cured" by cutting its walls straighter near the margin,
//! since that shrank the base; and a bridge compared with itself on minimum preps gave every cantilever the grip of a
//! bridge that is held at both ends. So the yardstick is fixed. Each retainer bears what its root gives it and holds
//! that alone: with the load shared plastically, a bridge of three units came out safer than a single molar.

use std::fmt;

use super::share::{Root, Sharing};
use super::{Holding, LimitOutcome, Limits, Load, Reason, Restoration, Settings};
use crate::frame::{Abutment, Frame};
use crate::prep::{Mesh, PrepError, Preparation, Wall};

/// The mesh that grip is measured with, wherever it is shown: a finer one for prints would turn levels between screen and
/// print.
pub const MESH: Mesh = Mesh::CLOSE;

/// How far grip on [`MESH`] stands off that on a much finer one for 95 of 100 preps and bridges such as come to the bench,
/// relative; 0.06 at the most of those tried.
///
/// The usual mesh, at two thirds of the work, is off by more than half as much again.
pub const MESH_ERROR: f64 = 0.04;

/// Walls and margin of a least prep.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Least {
    /// Height of its walls, in mm.
    pub height: f64,
    /// Taper of each wall, in degrees.
    pub taper: f64,
    /// Width of its margin, in mm.
    pub margin: f64,
}

impl Least {
    /// Returns it on a neck of these widths in mm: straight walls inside a level margin, without grooves.
    pub fn on(self, mesiodistal: f64, faciolingual: f64) -> Preparation {
        let wall = Wall {
            depth: self.margin,
            ..Wall::straight(self.height, self.taper)
        };
        let foot = |neck: f64| neck - 2.0 * self.margin;
        Preparation::new(foot(mesiodistal), foot(faciolingual), [wall; 4])
    }
}

/// A prep that stands in a restoration.
#[derive(Clone, PartialEq, Debug)]
pub struct Retainer {
    /// The prep where it stands.
    pub abutment: Abutment,
    /// Its root.
    pub root: Root,
}

/// Why there is no grip.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum GripError {
    /// The preparation of the retainer of this index cannot be reckoned with.
    Preparation(usize, PrepError),
    /// The prep of this index does not hold at all.
    NotHeld(usize, Reason),
    /// The roots are no sound numbers.
    Roots,
}

impl fmt::Display for GripError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            GripError::Preparation(_, error) => error.fmt(f),
            GripError::NotHeld(_, reason) => reason.fmt(f),
            GripError::Roots => write!(f, "The roots are no usable numbers."),
        }
    }
}

impl std::error::Error for GripError {}

/// A restoration whose retainers share its loads and hold each its share, prepared for any number of loads.
#[derive(Clone, Debug)]
pub struct Shared {
    holdings: Vec<Option<Holding>>,
    sharing: Sharing,
}

impl Shared {
    /// Prepares it. A single crown is a restoration of one retainer.
    ///
    /// # Errors
    ///
    /// See [`GripError`].
    pub fn new(retainers: &[Retainer], mesh: Mesh, limits: Limits) -> Result<Shared, GripError> {
        Shared::of_some(retainers, |_| true, mesh, limits)
    }

    /// As [`Shared::new`] where not all retainers will be asked about: the others only take their share.
    ///
    /// # Errors
    ///
    /// See [`GripError`].
    pub fn of_some(
        retainers: &[Retainer],
        asked: impl Fn(usize) -> bool,
        mesh: Mesh,
        limits: Limits,
    ) -> Result<Shared, GripError> {
        let mut holdings = Vec::with_capacity(retainers.len());
        for (index, retainer) in retainers.iter().enumerate() {
            if !asked(index) {
                holdings.push(None);
                continue;
            }
            let alone = std::slice::from_ref(&retainer.abutment);
            let alone = Restoration::new(alone, mesh)
                .map_err(|(_, error)| GripError::Preparation(index, error))?;
            let holding =
                Holding::new(&alone, limits).map_err(|reason| GripError::NotHeld(index, reason))?;
            holdings.push(Some(holding));
        }
        let roots: Vec<(Frame, Root)> = retainers
            .iter()
            .map(|own| (own.abutment.frame, own.root))
            .collect();
        let sharing = Sharing::new(&roots).ok_or(GripError::Roots)?;
        Ok(Shared { holdings, sharing })
    }

    /// Returns what each retainer holds of a load: λ is the force of the whole load, in N per MPa, at which the cement of
    /// that retainer is at its limit, and the demand the force over it, in MPa. Of retainers that were not to be asked about
    /// there is none.
    pub fn demands(&self, load: &Load, settings: Settings) -> Vec<LimitOutcome> {
        (0..self.holdings.len())
            .map(|index| self.demand(index, load, settings))
            .collect()
    }

    /// Returns roughly what λ of a retainer is, in N per MPa, without a search: good for an order of loads, and no bound.
    pub fn rough(&self, index: usize, load: &Load) -> Option<f64> {
        let holding = self.holdings.get(index)?.as_ref()?;
        holding.rough(&self.sharing.share(index, load)?)
    }

    /// As [`Shared::demands`] for the retainer of this index alone.
    pub fn demand(&self, index: usize, load: &Load, settings: Settings) -> LimitOutcome {
        let share = self.sharing.share(index, load);
        match (self.holdings.get(index), share) {
            (Some(Some(holding)), Some(share)) => {
                holding.dislodge_share(&share, load.force, settings)
            }
            _ => LimitOutcome::NotComputed(Reason::Load),
        }
    }
}
