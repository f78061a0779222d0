//! What is said to the line of units, such as `44 x45 46; 26`.

use crate::case::UnitsError;
use crate::phrase::Phrase;
use crate::tooth::{Notation, Tooth};

/// Said where a line has more restorations than a case can have.
pub const TOO_MANY: &str = "too many restorations for one case";

/// Returns a line of units as it is typed in a notation.
pub fn example(notation: Notation) -> &'static str {
    match notation {
        Notation::Iso3950 => "44 x45 46; 26",
        Notation::Universal => "28 x29 30; 14",
        Notation::Palmer => "LR4 xLR5 LR6; UL6",
    }
}

/// Says that a mark such as `x` has no tooth.
pub fn mark_without_tooth(notation: Notation) -> String {
    format!(
        "there is a mark without a tooth; enter for example {}",
        example(notation)
    )
}

/// Says that a bridge cannot run from one tooth to another in the other arch.
pub fn two_arches(from: Tooth, to: Tooth, notation: Notation) -> String {
    format!(
        "{} and {} are in different arches; put ; between two restorations: {}",
        notation.show(from),
        notation.show(to),
        example(notation)
    )
}

/// Says what is wrong with units and what to enter instead.
pub fn wrong(error: &UnitsError, notation: Notation) -> String {
    let example = example(notation);
    let instead = match error {
        UnitsError::ToothTwice(_) => "enter each tooth once",
        UnitsError::TwoArches(_) => "put ; between two restorations",
        UnitsError::NoAbutment(_) => "put x before missing teeth only",
        _ => "enter the teeth",
    };
    format!("{error}; {instead}: {example}")
}

/// Says how a line with `44-46` in it is read: the units in full, and which of them are missing teeth.
pub fn read_as(line: &str, units: &str, missing: &[Tooth], notation: Notation) -> String {
    let missing: Vec<String> = missing.iter().map(|tooth| notation.show(*tooth)).collect();
    if missing.is_empty() {
        format!("{line} means {units}, no tooth missing")
    } else {
        format!("{line} means {units}, {} missing", missing.join(" "))
    }
}

/// Says which tooth a typed text is in the notation in force, and which it would be in another one.
pub fn ambiguous(
    typed: &str,
    (tooth, notation): (Tooth, Notation),
    (other_tooth, other): (Tooth, Notation),
) -> String {
    format!(
        "{typed} is the {} in {}; in {} it would be the {}",
        Phrase::tooth_in_words(tooth),
        notation.name(),
        other.name(),
        Phrase::tooth_in_words(other_tooth)
    )
}
