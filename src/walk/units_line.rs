//! The line that says which units are ordered: `44 x45 46; 26`.

use crate::case::{OrderedKind, Restoration, Role, Unit, Units};
use crate::phrase::Phrase;
use crate::tooth::Notation;

/// Reads units in a notation: teeth side by side, `x` before a missing one, `;` between restorations. On a numeric pad
/// `/` stands between teeth, `*` before a missing one and `+` between restorations.
///
/// What each is called follows from its units: one abutment is a crown, abutments alone are splinted crowns, a pontic
/// at the end makes a cantilever, anything else is a bridge.
///
/// # Errors
/// What is wrong with the line and how to write it, as a sentence.
pub fn read(line: &str, notation: Notation) -> Result<Units, String> {
    let mut restorations = Vec::new();
    for (index, part) in line.split([';', '+']).enumerate() {
        let mut units = Vec::new();
        for word in part.split(is_between).filter(|word| !word.is_empty()) {
            let (role, text) = match word.strip_prefix(MISSING) {
                Some(rest) => (Role::Pontic, rest),
                None => (Role::Abutment, word),
            };
            let tooth = notation
                .read(text)
                .map_err(|error| format!("{error}; {}", error.hint()))?;
            units.push(Unit { tooth, role });
        }
        if units.is_empty() {
            continue;
        }
        let id =
            u8::try_from(index + 1).map_err(|_| "too many restorations in one case".to_owned())?;
        let mut restoration = Restoration {
            id,
            ordered: OrderedKind::Bridge,
            units,
        };
        restoration.ordered = kind(&restoration);
        restorations.push(restoration);
    }
    let mut units = Units::new(restorations).map_err(|error| error.to_string())?;
    // A pontic at the end shows only once the units stand side by side.
    let mut list: Vec<Restoration> = units.into();
    for restoration in &mut list {
        restoration.ordered = kind(restoration);
    }
    units = Units::new(list).map_err(|error| error.to_string())?;
    Ok(units)
}

/// What marks a tooth as missing.
const MISSING: [char; 3] = ['x', 'X', '*'];

/// What stands between two teeth.
fn is_between(c: char) -> bool {
    c.is_whitespace() || c == '/'
}

fn kind(restoration: &Restoration) -> OrderedKind {
    let pontics = restoration.teeth(Role::Pontic).count();
    match (restoration.units.len(), pontics) {
        (1, 0) => OrderedKind::Crown,
        (_, 0) => OrderedKind::Splinted,
        _ if restoration.free_pontics() > 0 => OrderedKind::Cantilever,
        _ => OrderedKind::Bridge,
    }
}

/// Says what the teeth of a line are and would be in another notation, where every one of them can be mistaken.
///
/// None where the line has a tooth that only the notation in force knows.
pub fn ambiguity(line: &str, notation: Notation) -> Option<String> {
    let words: Vec<&str> = line
        .split(|c: char| is_between(c) || ";+".contains(c))
        .map(|word| word.trim_start_matches(MISSING))
        .filter(|word| !word.is_empty())
        .collect();
    let first = words.first()?;
    let other = Notation::all().into_iter().find(|other| {
        *other != notation
            && words
                .iter()
                .all(|word| notation.also_reads(word).iter().any(|(n, _)| n == other))
    })?;
    let (ours, theirs) = (notation.read(first).ok()?, other.read(first).ok()?);
    Some(format!(
        "{first} is the {} in {}; in {} it would be the {}",
        Phrase::tooth_in_words(ours),
        notation.name(),
        other.name(),
        Phrase::tooth_in_words(theirs)
    ))
}

/// Writes units as such a line.
pub fn write(units: &Units, phrase: Phrase<'_>) -> String {
    units
        .restorations()
        .iter()
        .map(|r| phrase.units(r))
        .collect::<Vec<_>>()
        .join("; ")
}
