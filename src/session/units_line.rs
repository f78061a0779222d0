//! The line that says which units are ordered: `44 x45 46; 26`.

use crate::case::{CaseUnit, OrderedKind, Restoration, Role, Units, UnitsError};
use crate::phrase::Phrase;
use crate::phrase::prompts::units as said;

pub use crate::phrase::prompts::units::example;
use crate::tooth::{Notation, Tooth};

/// Reads units in a notation: teeth side by side, `x` before a missing one, `;` between restorations. On a numeric pad
/// `/` stands between teeth, `*` before a missing one and `+` between restorations. `44-46` is a bridge from 44 to 46
/// with what lies between missing.
///
/// What each is called follows from its units: one abutment is a crown, abutments alone are splinted crowns, a pontic
/// at the end makes a cantilever, anything else is a bridge.
///
/// # Errors
/// A sentence on what is wrong with the line and how to write it.
pub fn read(line: &str, notation: Notation) -> Result<Units, String> {
    let mut restorations = Vec::new();
    for (index, part) in line.split(is_next).enumerate() {
        let mut units = Vec::new();
        for word in words(part) {
            add(&mut units, &word, notation)?;
        }
        if units.is_empty() {
            continue;
        }
        let id = u8::try_from(index + 1).map_err(|_| said::TOO_MANY.to_owned())?;
        let mut restoration = Restoration {
            id,
            ordered: OrderedKind::Bridge,
            units,
        };
        restoration.ordered = kind(&restoration);
        restorations.push(restoration);
    }
    let wrong = |error: UnitsError| said::wrong(&error, notation);
    let mut units = Units::new(restorations).map_err(wrong)?;
    // A pontic at the end shows only once the units stand side by side.
    let mut list: Vec<Restoration> = units.into();
    for restoration in &mut list {
        restoration.ordered = kind(restoration);
    }
    units = Units::new(list).map_err(wrong)?;
    Ok(units)
}

/// What marks a tooth as missing.
const MISSING: [char; 3] = ['x', 'X', '*'];

/// Signs between the first and the last tooth of a bridge.
const THROUGH: [char; 2] = ['-', '\u{2013}'];

/// Returns whether `c` separates two teeth.
fn is_between(c: char) -> bool {
    c.is_whitespace() || c == '/' || c == ','
}

/// Returns whether `c` separates two restorations.
fn is_next(c: char) -> bool {
    matches!(c, ';' | '+')
}

/// The words of a restoration: teeth, or teeth with a line between them, with or without space around it.
fn words(part: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for word in part.split(is_between).filter(|word| !word.is_empty()) {
        match words.last_mut() {
            Some(last) if word.starts_with(THROUGH) || last.ends_with(THROUGH) => {
                last.push_str(word)
            }
            _ => words.push(word.to_owned()),
        }
    }
    words
}

/// Reads a tooth with its mark.
fn unit(word: &str, notation: Notation) -> Result<CaseUnit, String> {
    let (role, text) = match word.strip_prefix(MISSING) {
        Some(rest) => (Role::Pontic, rest),
        None => (Role::Abutment, word),
    };
    if text.is_empty() {
        return Err(said::mark_without_tooth(notation));
    }
    let tooth = notation
        .read(text)
        .map_err(|error| format!("{error} {}", error.hint()))?;
    Ok(CaseUnit { tooth, role })
}

/// Adds the units of a word: a tooth, or all from one tooth to another.
fn add(units: &mut Vec<CaseUnit>, word: &str, notation: Notation) -> Result<(), String> {
    let mut before: Option<CaseUnit> = None;
    for text in word.split(THROUGH) {
        let here = unit(text, notation)?;
        if let Some(before) = before {
            units.extend(between(before.tooth, here.tooth, notation)?);
        }
        units.push(here);
        before = Some(here);
    }
    Ok(())
}

/// Returns the teeth between two others, as missing.
fn between(from: Tooth, to: Tooth, notation: Notation) -> Result<Vec<CaseUnit>, String> {
    if from.arch() != to.arch() {
        return Err(said::two_arches(from, to, notation));
    }
    let (one, other) = (from.along(), to.along());
    let between = (one.min(other) + 1)..one.max(other);
    let missing = between.filter_map(|along| Tooth::from_along(from.arch(), along));
    Ok(missing
        .map(|tooth| CaseUnit {
            tooth,
            role: Role::Pontic,
        })
        .collect())
}

/// Returns how a line such as `44-46` is read, or `None` if every tooth was typed.
pub fn read_back(line: &str, notation: Notation) -> Option<String> {
    if !line.contains(THROUGH) {
        return None;
    }
    let units = read(line, notation).ok()?;
    let missing: Vec<Tooth> = units
        .restorations()
        .iter()
        .flat_map(|restoration| restoration.teeth(Role::Pontic))
        .collect();
    let units = write(&units, notation);
    Some(said::read_as(line, &units, &missing, notation))
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

/// Returns what the teeth of a line are, and would be in another notation, if all of them are valid in both; `None` if
/// the line has a tooth that only the notation in force knows.
pub fn ambiguity(line: &str, notation: Notation) -> Option<String> {
    let words: Vec<&str> = line
        .split(|c: char| is_between(c) || is_next(c) || THROUGH.contains(&c))
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
    Some(said::ambiguous(first, (ours, notation), (theirs, other)))
}

/// Writes units as a line that [`read`] reads.
pub fn write(units: &Units, notation: Notation) -> String {
    units
        .restorations()
        .iter()
        .map(|r| Phrase::units_in(notation, r))
        .collect::<Vec<_>>()
        .join("; ")
}
