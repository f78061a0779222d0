//! What is wrong with facts of a flow's own, loads, materials, cements and figures.

use crate::fact::Unit;
use crate::phrase::faults::Fault;

/// How a fact of the flow's own is written.
const OWN_FACT: &str =
    "such as (id: \"x.wax\", at: Case, kind: YesNo, label: \"wax\", sentence: \"Whether …\")";

/// A fact of the flow's own without `x.` in front.
pub fn own_fact_name() -> Fault {
    Fault::new(
        "the name of a flow's own fact begins with \"x.\"",
        "here",
        OWN_FACT,
    )
}

/// A fact of the flow's own with too few or too many choices.
pub fn own_fact_choices() -> Fault {
    Fault::new(
        "a fact has two to nine choices, one for each digit key",
        "here",
        OWN_FACT,
    )
}

/// A number of the flow's own whose bounds make no sense.
pub fn own_fact_bounds() -> Fault {
    Fault::new(
        "write the least and the most in one unit, from 0 up, such as Number(Mm(0), Mm(5))",
        "here",
        OWN_FACT,
    )
}

/// A load that acts on something else than a unit.
pub fn load_place() -> Fault {
    Fault::new(
        "a load acts on a unit",
        "another kind of place",
        "write Unit, Abutment or Pontic",
    )
}

/// A force that no tooth bears.
pub fn load_force(least: f64, most: f64) -> Fault {
    Fault::new(
        "no tooth bears such a force",
        "this load",
        format!("forces are {least} to {most} N"),
    )
}

/// A load that acts far off the tooth.
pub fn load_off_tooth(most: f64) -> Fault {
    Fault::new(
        "no tooth is loaded so far off",
        "out of range",
        format!("it is 0 to {most}"),
    )
}

/// A load without a side.
pub fn load_without_side() -> Fault {
    Fault::new(
        "this load leans to no side, so it acts nowhere",
        "this load",
        "name at least one side in `toward`; any one will do for a load straight along the tooth",
    )
}

/// A load at an angle that does not exist.
pub fn load_angle(most: f64) -> Fault {
    Fault::new(
        format!("the angle to the tooth's axis is 0 to {most}°"),
        "out of range",
        "0 presses home, 90 is horizontal, 180 pulls off",
    )
}

/// A material without margin forms, or for no unit.
pub fn material_empty() -> Fault {
    Fault::new(
        "this material takes no margin, or makes no unit",
        "this material",
        "name its margin forms in `margins`, and at least 1 in `most_units`",
    )
}

/// How minimum connectors are written.
const CONNECTORS: &str =
    "such as connectors: (front: [Mm2(7)], back: [Mm2(9), Mm2(12.6)], …), without connector_front";

/// Minimum connectors in the present and in the older form.
pub fn connectors_twice() -> Fault {
    Fault::new(
        "the minimum connectors are given twice: by span, and by units",
        "these",
        CONNECTORS,
    )
}

/// Minimum connectors that get smaller with more pontics.
pub fn connectors_fall() -> Fault {
    Fault::new(
        "minimum connectors begin with one pontic and never get smaller with more",
        "these",
        CONNECTORS,
    )
}

/// A number of a material or cement that no material or cement has.
pub fn unlike_any(unit: Unit, least: f64, most: f64) -> Fault {
    let unit = unit.variant();
    Fault::new(
        "no material or cement has such a value",
        "out of range",
        format!("it is {unit}({least}) to {unit}({most})"),
    )
}

/// A figure with which nothing can be computed.
pub fn figure_out_of_range(least: f64, most: f64) -> Fault {
    Fault::new(
        "nothing can be computed with this figure",
        "out of range",
        format!("it is {least} to {most}"),
    )
}

/// A number below 0, or none that can be measured.
pub fn not_measured(number: f64) -> Fault {
    Fault::new(
        format!("{number} is not a number that can be measured"),
        "here",
        "write a plain number, not below 0",
    )
}

/// A value of another kind or unit than is expected.
pub fn wrong_unit(unit: Unit) -> Fault {
    let unit = unit.variant();
    Fault::new(
        format!("expected {unit}(…)"),
        "another unit or kind of value",
        format!("write {unit}(…)"),
    )
}
