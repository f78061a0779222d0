//! What is wrong with the ways of seating, and the words for treatments.

use crate::phrase::faults::Fault;

/// A treatment: tried in.
pub const TRY_IN: &str = "try-in";
/// A treatment: air-abraded with alumina.
pub const ABRADE: &str = "air abrasion";
/// A treatment: etched with hydrofluoric acid.
pub const ETCH: &str = "hydrofluoric acid";
/// A treatment: cleaned.
pub const CLEAN: &str = "cleaning";
/// A treatment: coated with silane.
pub const SILANE: &str = "silane";
/// A treatment: coated with a primer.
pub const PRIMER: &str = "primer";
/// A treatment: the field kept dry.
pub const DRY: &str = "a dry field";
/// A treatment: cemented.
pub const SEAT: &str = "seating";

/// A least time that is longer than the most.
pub fn longer_first() -> Fault {
    Fault::new(
        "the least time is longer than the most",
        "the least",
        "write the shorter time first",
    )
}

/// A material with a cement that another row covers.
pub fn pair_twice(other: &str) -> Fault {
    Fault::new(
        format!("\"{other}\" already covers one of these materials with one of these cements"),
        "the second",
        "remove the pair from one of the two rows",
    )
}

/// A step out of order; the label and what to do are the same for all.
fn order(what: impl Into<String>) -> Fault {
    Fault::new(
        what,
        "this step",
        "put the steps in the order in which they are done",
    )
}

/// A step after seating.
pub fn after_seating() -> Fault {
    order("the restoration is seated already")
}

/// A step that the same row bars; `treatment` in words.
pub fn barred(treatment: &str) -> Fault {
    order(format!("this row itself bars {treatment}"))
}

/// A step that takes off a coat; both treatments in words.
pub fn coat_lost(treatment: &str, coat: &str) -> Fault {
    order(format!("{treatment} takes the {coat} off again"))
}

/// A coat, or seating, on a surface with saliva.
pub fn saliva() -> Fault {
    order("saliva of the try-in is still on it: a Clean or an Etch comes first")
}

/// A treatment that the row needs and none of its steps is; in words.
pub fn step_missing(treatment: &str) -> Fault {
    Fault::new(
        format!("no step is {treatment}"),
        "in this row",
        "add the step, or remove it from `must`",
    )
}
