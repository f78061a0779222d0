//! Pictures on sheets: titles, captions, descriptions for those who cannot see them, and the key to their lines.

use crate::case::Role;

/// The key to the outline of a prep.
pub const OUTLINE: &str = "solid: prep as measured";
/// The key to the crowns of usual size.
pub const USUAL: &str = "thin: crowns of usual size";
/// The key to the effective part of a wall.
pub const EFFECTIVE: &str = "thick: effective part of a wall";
/// The key to a wall without resistance form.
pub const FAILS: &str = "dashed: wall without resistance form";
/// The key to the margin.
pub const MARGIN: &str = "dotted: margin";
/// The key to a designed connector.
pub const CONNECTOR: &str = "box: connector as designed";
/// The key to a connector of minimum area.
pub const LEAST: &str = "dashed box: round connector of minimum area";
/// The key to the motion.
pub const MOTION: &str = "arrow: how it would come off";

/// The key to the lines of a picture.
pub fn legend(parts: &[&str]) -> String {
    format!(
        "In the picture: {}. To scale where measured.",
        parts.join("; ")
    )
}

/// The title of the picture of a prep.
pub fn die(tooth: &str) -> String {
    format!("Prep {tooth} from two sides")
}

/// The picture of a prep for those who cannot see it.
pub fn die_described(facial: &str, effective: &str, motions: &[String]) -> String {
    format!(
        "The die, from {facial} and from mesial, to scale. {effective}.{}",
        motion(motions)
    )
}

/// The title of the picture of a preparation, for the dentist.
pub fn preparation(tooth: &str, facial: &str) -> String {
    format!("Preparation {tooth} from {facial} and from mesial")
}

/// The caption of the picture of a preparation; `fails` if a wall is dashed.
pub fn preparation_caption(title: &str, fails: bool) -> String {
    let dashed = if fails {
        " Dashed: a wall that does not stop the crown from tipping off."
    } else {
        ""
    };
    format!("{title}, as measured on the die.{dashed}")
}

/// A unit in the picture of a bridge.
pub fn unit(tooth: &str, role: Role) -> String {
    match role {
        Role::Abutment => format!("{tooth} abutment"),
        Role::Pontic => format!("{tooth} pontic"),
    }
}

/// The title of the picture of a bridge.
pub fn bridge(units: &str) -> String {
    format!("Restoration {units} from the side")
}

/// The picture of a bridge for those who cannot see it.
pub fn bridge_described(units: &[String], motions: &[String]) -> String {
    format!(
        "From the buccal or labial side, as in the mouth: {}.{}",
        units.join(", "),
        motion(motions)
    )
}

/// The caption of the picture of a bridge.
pub fn bridge_caption(id: u8, units: &[String]) -> String {
    format!("R{id}: {}.", units.join(", "))
}

/// The effective share of each wall of a prep.
pub fn effective(tooth: &str, walls: &[String]) -> String {
    if walls.is_empty() {
        format!("{tooth}: effective walls not known yet")
    } else {
        format!("{tooth}, effective wall: {}", walls.join(", "))
    }
}

/// How each restoration would come off, as the rest of a sentence.
fn motion(motions: &[String]) -> String {
    motions
        .iter()
        .map(|motion| format!(" Under its hardest load it {motion}."))
        .collect()
}
