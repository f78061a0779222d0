//! What facts take, where they stand and how a tooth is written.

use crate::fact::{Kind, List, PlaceKind, Unit};

/// What a fact takes, after "it takes" or "this takes".
pub fn wanted(kind: &Kind) -> String {
    match kind {
        Kind::Choice(choices) => {
            let names: Vec<_> = choices.iter().map(|(id, _)| format!("\"{id}\"")).collect();
            format!("one of {}", names.join(", "))
        }
        Kind::Listed(List::Materials) => "a material of the flow".to_owned(),
        Kind::Listed(List::Cements) => "a cement of the flow".to_owned(),
        Kind::YesNo => "yes or no".to_owned(),
        Kind::Number { unit, least, most } => {
            let symbol = unit.symbol();
            let whole = match unit {
                Unit::Count => "a whole number, ",
                _ => "",
            };
            let gap = if symbol.is_empty() { "" } else { " " };
            format!("{whole}{least} to {most}{gap}{symbol}")
        }
        Kind::Teeth => "teeth of the case".to_owned(),
        Kind::Day => "a day as year-month-day".to_owned(),
        Kind::Text => "text".to_owned(),
    }
}

/// A kind of place with an example of how it is written.
pub fn written(kind: PlaceKind) -> &'static str {
    match kind {
        PlaceKind::Case => "\"case\"",
        PlaceKind::Restoration => "a restoration such as \"R1\"",
        PlaceKind::Unit => "a unit such as \"46\"",
        PlaceKind::Abutment => "an abutment such as \"46\"",
        PlaceKind::Pontic => "a pontic such as \"45\"",
        PlaceKind::Wall => "a wall such as \"46/distal\"",
        PlaceKind::Connector => "a connector such as \"44-45\"",
    }
}

/// One place of a kind, with its article.
pub fn one(kind: PlaceKind) -> &'static str {
    match kind {
        PlaceKind::Case => "the case",
        PlaceKind::Restoration => "a restoration",
        PlaceKind::Unit => "a unit",
        PlaceKind::Abutment => "an abutment",
        PlaceKind::Pontic => "a pontic",
        PlaceKind::Wall => "a wall",
        PlaceKind::Connector => "a connector",
    }
}

/// How places are written.
pub const PLACES: &str =
    "write \"case\", \"R1\", \"46\", \"46/distal\" or \"44-45\", with ISO 3950 tooth numbers";

/// A text that is not a place.
pub fn not_a_place(text: &str) -> String {
    format!("\"{text}\" is not a place")
}

/// No tooth was typed.
pub const NO_TOOTH_GIVEN: &str = "No tooth was given.";

/// A text that is no tooth in a notation.
pub fn not_a_tooth(text: &str, notation: &str) -> String {
    format!("\"{text}\" is not a tooth in {notation} notation.")
}

/// A text that is a milk tooth in a notation.
pub fn milk_tooth(text: &str, notation: &str) -> String {
    format!(
        "\"{text}\" is a milk tooth in {notation} notation; this program does not cover milk teeth."
    )
}

/// What to do instead of naming a milk tooth.
pub const PERMANENT_ONLY: &str = "Only permanent teeth can be inspected with this program.";
/// How teeth are written in ISO 3950.
pub const ISO_TAKES: &str = "ISO 3950 takes a quadrant 1 to 4 and a position 1 to 8, such as 46.";
/// How teeth are written in Universal notation.
pub const UNIVERSAL_TAKES: &str = "Universal takes 1 to 32, such as 30.";
/// How teeth are written in Palmer notation.
pub const PALMER_TAKES: &str =
    "Palmer takes the quadrant UR, UL, LL or LR and a position 1 to 8, such as LR6.";

/// How teeth are written in the notation in force, where others would read the text as a tooth.
pub fn tooth_elsewhere(takes: &str, notations: &[&str], text: &str) -> String {
    let notations = notations.join(" or ");
    format!("{takes} In {notations} notation {text} is a tooth.")
}
