//! Pictures as shapes in millimetres, for screen and print alike.

mod arch;
mod bridge;
mod chart;
mod figure;
mod help;
mod prep;

use crate::fact::{
    CLEARANCE, CONNECTOR_HEIGHT, CONNECTOR_WIDTH, FactId, HEIGHT, MARGIN_FL, MARGIN_MD,
    MARGIN_STEP, SPAN, TILT, TOP_FL, TOP_MD, WALL_HEIGHT, WALL_STRAIGHT, WALL_TAPER,
};

pub use arch::arch;
pub use bridge::{bridge, elevation};
pub use chart::{FEW_AT_RISK, coming, funnel, letter, staying};
pub use figure::{Anchor, Figure, Ink, Label, Stroke, Word};
pub use help::help;
pub use prep::{die, sides};

/// Readings whose number changes a picture or the grip beside it.
const SHOWN: [&FactId; 14] = [
    &HEIGHT,
    &CLEARANCE,
    &MARGIN_MD,
    &MARGIN_FL,
    &TOP_MD,
    &TOP_FL,
    &WALL_HEIGHT,
    &WALL_STRAIGHT,
    &WALL_TAPER,
    &MARGIN_STEP,
    &TILT,
    &SPAN,
    &CONNECTOR_HEIGHT,
    &CONNECTOR_WIDTH,
];

/// Returns whether a picture shows the number of this fact.
pub fn shows(fact: &FactId) -> bool {
    SHOWN.contains(&fact)
}
