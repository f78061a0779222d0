//! The seating notes.

use crate::flow::{Hands, Treatment};
use crate::phrase::words;

/// The name of the sheet in its title.
pub const TITLE: &str = "Seating notes";
/// What must not be done while the case is not cleared.
pub const MUST_NOT: &str = "do not seat";
/// Said if nothing is cleared.
pub const CLOSED: &str = "Nothing to seat under this number any more: see the first lines.";
/// Said in place of the steps while nothing is cleared.
pub const NOT_YET: &str = "Nothing to seat yet: see the first lines.";
/// Said before the steps.
pub const MAKERS: &str = "The makers' instructions for the products used and local rules take precedence; the dentist \
decides. Treat the tooth as the cement maker instructs.";
/// The heading of preparations with little resistance form.
pub const PREPARATIONS: &str = "Preparations";
/// Said if the flow has no steps for the two.
pub const NO_STEPS: &str =
    "No steps are given for this material with this cement: ask the makers of both first.";
/// Said of a cement that fails on a wet surface.
pub const DRY_FIELD: &str = "Keep saliva and blood away until this cement has set.";

/// The material and the class of cement of a restoration.
pub fn material(material: &str, cement: &str) -> String {
    format!("Material: {material}. Class of cement: {cement}.")
}

/// The fitting surface, as the order has it.
pub fn fitting_ordered(said: &str) -> String {
    format!("Fitting surface on the order: {said}.")
}

/// The treatment of the fitting surface is not known yet.
pub fn fitting_open() -> String {
    format!(
        "Fitting-surface treatment: {}. It depends on the material and the cement.",
        words::STILL_TO_FIND_OUT
    )
}

/// Who does a step, and for how long.
pub fn who(by: Hands, lasts: Option<&str>) -> String {
    let by = match by {
        Hands::Laboratory => "laboratory",
        Hands::Chair => "chairside",
    };
    match lasts {
        Some(lasts) => format!("{by}, {lasts}"),
        None => by.to_owned(),
    }
}

/// The shortest and the longest time of a step.
pub fn from_to(least: f64, most: &str) -> String {
    format!("{least:.0} to {most}")
}

/// The heading of the steps for a material with a cement.
pub fn steps(name: &str) -> String {
    format!("Fitting surface, in this order ({name}):")
}

/// A step, and who does it.
pub fn step(does: &str, who: &str) -> String {
    format!("{does} [{who}]")
}

/// A treatment that this material must not get.
pub fn never(treatment: Treatment) -> &'static str {
    match treatment {
        Treatment::TryIn => "Do not try in.",
        Treatment::Abrade => "Do not air-abrade.",
        Treatment::Etch => "Do not use hydrofluoric acid.",
        Treatment::Clean => "Do not use a cleaning agent.",
        Treatment::Silane => "Do not use silane.",
        Treatment::Primer => "Do not use a primer.",
        Treatment::Dry => "Do not dry the field.",
        Treatment::Seat => "Do not cement.",
    }
}

/// Margins below the gum, each with its level.
pub fn below_gum(margins: &[String]) -> String {
    format!(
        "Margin below the gum: {}. Hard to keep dry and to clear of cement.",
        margins.join("; ")
    )
}

/// Teeth with a margin whose level was not recorded all round.
pub fn level_unknown(teeth: &[String]) -> String {
    format!("Margin level not recorded all round: {}.", teeth.join(", "))
}

/// A preparation that is short, or has little resistance form, or both, or else is weak as a whole; `None` if it is none
/// of these.
pub fn weak(tooth: &str, is_short: bool, is_tapered: bool, is_weak: bool) -> Option<String> {
    let what = match (is_short, is_tapered) {
        (true, true) => "is short and has little resistance form",
        (true, false) => "is short",
        (false, true) => "has little resistance form",
        (false, false) if is_weak => "is weak in shape",
        (false, false) => return None,
    };
    Some(format!(
        "{tooth} {what}: the crown relies on the cement more than usual. Important here: a clean, dry fitting surface, and \
         firm seating pressure until the cement has set, as its maker instructs."
    ))
}

/// The weakest of several retainers.
pub fn weakest(tooth: &str) -> String {
    format!("{tooth} is the weakest retainer: check it at every recall.")
}
