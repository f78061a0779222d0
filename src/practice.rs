//! Practice: drills from a seed, known models, the own hand, what a person's record says.
//!
//! A drill is a small case. Its readings are drawn as surveys of real preps found them; what is right about it, and why, is
//! what the judge says of it. Nothing here has a clock, reads a disk, gives points or puts people in an order.

mod draw;
mod drill;
pub mod hand;
mod made;
pub mod model;
pub mod progress;
pub mod record;

use fastrand::Rng;
use serde::{Deserialize, Serialize};

pub use drill::{Asks, Choice, Drill, drill};

/// What a drill is about.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// Which wall is the weak one.
    Wall,
    /// Whether taper or height is at fault.
    Shape,
    /// Margin form and width against the material.
    Margin,
    /// Clearance against the material.
    Clearance,
    /// Space for connectors.
    Connector,
    /// Tray and bite.
    Tray,
    /// Which reading to take again first.
    First,
    /// Nothing is wrong.
    Sound,
}

impl Kind {
    /// Every kind.
    pub const ALL: [Kind; 8] = [
        Kind::Wall,
        Kind::Shape,
        Kind::Margin,
        Kind::Clearance,
        Kind::Connector,
        Kind::Tray,
        Kind::First,
        Kind::Sound,
    ];

    /// How many of twenty drills are of this kind. Of three nearly one is sound: who never sees a sound case learns to call.
    pub fn of_twenty(self) -> usize {
        match self {
            Kind::Wall => 3,
            Kind::Shape | Kind::Margin | Kind::Clearance | Kind::Tray | Kind::First => 2,
            Kind::Connector => 1,
            Kind::Sound => 6,
        }
    }

    /// Whether it asks what the result is.
    pub fn asks_result(self) -> bool {
        !matches!(self, Kind::Wall | Kind::Shape | Kind::First)
    }
}

/// How many drills make a round in which each kind has its share.
pub const ROUND: usize = 20;

/// Returns kind and seed of a drill, by its number from 0 in the course that a seed gives.
pub fn nth(seed: u64, number: usize) -> (Kind, u64) {
    let round = (number / ROUND) as u64;
    let mut rng = Rng::with_seed(seed ^ round.rotate_left(40));
    let mut kinds: Vec<Kind> = Kind::ALL
        .into_iter()
        .flat_map(|kind| std::iter::repeat_n(kind, kind.of_twenty()))
        .collect();
    rng.shuffle(&mut kinds);
    let seeds: Vec<u64> = kinds.iter().map(|_| u64::from(rng.u32(..))).collect();
    let at = number % ROUND;
    (kinds[at], seeds[at])
}

/// Returns the seed of somebody's own course, from the code: not everybody at a bench has the same drills.
pub fn seed_of(code: &str) -> u64 {
    // FNV-1a, 64 bits: the same on every computer, always.
    code.bytes().fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    })
}
