//! The list of every number that a flow judges by, each with its source: `casepan flow sources`.

use crate::fact::FactId;
use crate::flow::{
    Breaking, Cement, Connectors, HardBite, LeastPrep, Level, Load, Material, Roots,
};
use crate::logic::Test;

/// In place of a status, if no source is named.
pub const NO_SOURCE: &str = "no source named";
/// In place of the words of a source, if none is named.
pub const NO_ORIGIN: &str = "origin not stated";

/// Over the figures of the smallest prep that is advised.
pub const LEAST_PREP: &str = "recommended minimum prep";
/// Over the figures of roots.
pub const ROOTS: &str = "roots";
/// Over the figures of a hard bite.
pub const HARD_BITE: &str = "hard bite";
/// Over the figures of connectors that break.
pub const BREAKING: &str = "breaking force";

/// Over the least grip that is advised.
pub const LEAST_GRIP: &str = "recommended grip";
/// Over what impressions and stone change.
pub const IMPRESSIONS: &str = "impressions";
/// Over the errors of scans.
pub const SCANS: &str = "scans";
/// Over the text on die spacer.
pub const SPACER: &str = "die spacer";

/// Returns the least grip that is advised.
pub fn least_grip(advised: f64) -> String {
    format!("at least {advised}")
}

/// Returns by how many per cent stone expands.
pub fn stone(grows: f64) -> String {
    format!("stone expands by {grows} %")
}

/// Returns what two kinds of tray add to the error, in µm.
pub fn trays(stock: f64, custom: f64) -> String {
    format!("a stock tray adds {stock} µm, a custom tray {custom} µm")
}

/// Returns the error of a scan over three units, half an arch and more, in µm.
pub fn scans([three, half, more]: [f64; 3]) -> String {
    format!("error {three} µm over three units, {half} µm over half an arch, {more} µm beyond")
}

/// Returns by how many per cent an impression material shrinks.
pub fn shrinks(material: &str, by: f64) -> String {
    format!("{material} shrinks by {by} %")
}

/// Returns the head of a limit of a rule: its id and the level, or `None` for what raises the level.
pub fn rule(id: &str, level: Option<Level>) -> String {
    format!("{id}, {}", level.map_or("raised", Level::as_str))
}

/// Returns the head of a number of a material.
pub fn of_material(material: &Material) -> String {
    format!("material {}", material.id)
}

/// Returns the head of a number of a cement.
pub fn of_cement(cement: &Cement) -> String {
    format!("cement {}", cement.id)
}

/// Returns the head of a number of a load.
pub fn of_load(load: &Load) -> String {
    format!("load {}", load.id)
}

/// Returns the head of a usual figure: the ids of the rules beside whose findings it is shown.
pub fn of_norm(rules: &[String]) -> String {
    format!("usual, beside {}", rules.join(", "))
}

/// Returns the head of an error of a reading.
pub fn of_reading(fact: &FactId) -> String {
    format!("reading {fact}")
}

/// Returns a limit of a fact, or `None` if the test has no number or 0.
pub fn limit(fact: &FactId, test: &Test, unit: &str) -> Option<String> {
    let number = test.limit().filter(|number| *number != 0.0)?;
    let word = match test {
        Test::Below(_) => "below",
        Test::AtMost(_) => "at most",
        Test::Above(_) => "above",
        _ => "from",
    };
    let said = format!("{fact} {word} {number} {unit}");
    Some(said.trim_end().to_owned())
}

/// Returns what a material needs.
pub fn material(own: &Material) -> String {
    format!(
        "{} mm occlusal, {} mm axial, margin width {} mm, at most {} units",
        own.occlusal, own.axial, own.margin_depth, own.most_units
    )
}

/// Returns the smallest connectors of a material.
pub fn connectors(own: &Connectors) -> String {
    format!(
        "connectors by number of pontics: {} mm² anterior, {} mm² posterior",
        listed(&own.front),
        listed(&own.back)
    )
}

/// Returns the stresses at which connectors of a material broke, in MPa.
pub fn breaks(sharp: f64, rounded: f64) -> String {
    format!("connectors broke at {sharp} MPa if sharp, at {rounded} MPa if rounded")
}

/// Returns the stress at which a cement fails.
pub fn cement(own: &Cement) -> String {
    format!("fails at {} MPa", own.stress)
}

/// Returns the force of a load.
pub fn force(own: &Load) -> String {
    let [incisor, canine, premolar, molar] = own.force;
    format!("incisors {incisor} N, canines {canine} N, premolars {premolar} N, molars {molar} N")
}

/// Returns where a load acts.
pub fn place(own: &Load) -> String {
    let Load {
        angle, out, above, ..
    } = own;
    format!(
        "at {angle}° to the tooth axis, {out} of the half width off centre, {above} mm above the prep"
    )
}

/// Returns the error of a reading with an instrument.
pub fn reading(instrument: &str, error: f64, unit: &str) -> String {
    format!("{instrument} ± {error} {unit}")
}

/// Returns the error that comes on top of that where a condition holds.
pub fn reading_also(error: f64, unit: &str) -> String {
    format!("in addition, where it applies, ± {error} {unit}")
}

/// Returns the height and taper of the smallest prep that is advised.
pub fn least_prep(own: &LeastPrep) -> String {
    format!(
        "{} mm high on molars, {} mm on other teeth, taper {}° for each wall",
        own.molar, own.other, own.taper
    )
}

/// Returns the margin width of that prep.
pub fn least_margin(own: &LeastPrep) -> String {
    format!("margin width {} mm", own.margin)
}

/// Returns the lengths of roots.
pub fn root_lengths(own: &Roots) -> String {
    format!("length by position: {} mm", listed(&own.length))
}

/// Returns the stiffness of roots.
pub fn root_stiffness(own: &Roots) -> String {
    format!(
        "stiffness by position: {}; lower incisors {} of that",
        listed(&own.stiffness),
        own.lower_incisors
    )
}

/// Returns the root area of third molars.
pub fn third_molars(own: &Roots) -> String {
    format!(
        "root area of a third molar: {} of the second molar's",
        own.third_molar_area
    )
}

/// Returns the force of a hard bite.
pub fn hard_bite(own: &HardBite) -> String {
    format!("{} N on posterior teeth", own.back)
}

/// Returns what of that force anterior teeth bear.
pub fn hard_bite_shares(own: &HardBite) -> String {
    format!(
        "{} of that on incisors, {} on canines",
        own.incisors, own.canines
    )
}

/// Returns how far series of breaking connectors are apart.
pub fn spread(own: &Breaking) -> String {
    format!("series differ by a factor of {} either way", own.spread)
}

/// Returns what is left of the breaking force after years.
pub fn fatigue(own: &Breaking) -> String {
    format!("{} of it left after years of chewing", own.left)
}

fn listed(row: &[f64]) -> String {
    let row: Vec<String> = row.iter().map(ToString::to_string).collect();
    row.join(", ")
}
