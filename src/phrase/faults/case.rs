//! What is wrong in a case file, with a case number, with units and with a dentist's code.

use std::fmt::Display;

use super::{Fault, values};
use crate::fact::{Place, PlaceKind};
use crate::tooth::Tooth;

/// A file that lists more facts, decisions and events than any case has.
pub fn too_many_facts(most: usize) -> Fault {
    Fault::new(
        format!("the case lists more than {most} facts"),
        "in this case",
        "no case has so many: check where the file comes from",
    )
}

/// A file with more earlier records than a case can have.
pub fn too_many_records(found: usize, most: usize) -> Fault {
    Fault::new(
        format!("the case lists {found} earlier records"),
        "in this case",
        format!("a case has at most {most}"),
    )
}

/// A file of a format that this version does not read.
pub fn other_format(found: u32, known: u32) -> Fault {
    Fault::new(
        format!("this program does not read case files of format {found}"),
        "from another version",
        format!("this version of casepan reads format {known}"),
    )
}

/// A case number that is not taken; `why` is one of the three sentences on case numbers.
pub fn number(why: String) -> Fault {
    Fault::new(
        why,
        "the case number",
        "letters, digits, spaces and - / . _ only, at most 40; never a patient's name",
    )
}

/// A case number that is empty.
pub const NUMBER_MISSING: &str = "a case needs a number";
/// A number that looks like another one.
pub const NUMBER_BLANKS: &str =
    "a case number has no blank at its beginning or end, and no two blanks side by side";

/// A case number that is too long.
pub fn number_long(length: usize, most: usize) -> String {
    format!("the case number has {length} characters; at most {most} fit")
}

/// A case number with a sign that is not taken.
pub fn number_odd(odd: char) -> String {
    format!("a case number cannot contain {odd:?}")
}

/// Restorations that cannot be those of one case; `error` says why.
pub fn units(error: &dyn Display) -> Fault {
    Fault::new(
        error.to_string(),
        "these restorations",
        "each restoration has a name of its own and an abutment, all of it in one arch; each tooth is listed once",
    )
}

/// A case without restorations, or a restoration without units.
pub const NO_UNIT: &str = "a case needs at least one unit";

/// Two restorations with one number.
pub fn restoration_twice(id: u8) -> String {
    format!("two restorations are called R{id}")
}

/// A tooth in two units.
pub fn tooth_twice(tooth: Tooth) -> String {
    format!("tooth {tooth} is listed twice")
}

/// A restoration with units in both arches.
pub fn two_arches(id: u8) -> String {
    format!("the units of R{id} are not all in one arch")
}

/// A restoration of pontics only.
pub fn no_abutment(id: u8) -> String {
    format!("R{id} has no abutment")
}

/// A crown with several units or a pontic.
pub fn not_a_crown(id: u8) -> String {
    format!("R{id} is called a crown but is not one abutment")
}

/// Splinted crowns with a pontic, or with one unit.
pub fn not_splinted(id: u8) -> String {
    format!("R{id} is called splinted crowns: these are two or more abutments, no pontic")
}

/// A bridge without a pontic.
pub fn not_a_bridge(id: u8) -> String {
    format!("R{id} is called a bridge but has no pontic")
}

/// An event of a restoration that the case does not have.
pub fn no_restoration(id: u8) -> Fault {
    Fault::new(
        format!("this case has no restoration R{id}"),
        "this event",
        "name restorations of the case by their numbers",
    )
}

/// An outcome at a place that its restoration does not have.
pub fn outcome_at(at: Place, id: u8) -> Fault {
    Fault::new(
        format!("{at} is no unit and no connector of restoration R{id} of this case"),
        "this outcome",
        "leave `at` out where it is the whole restoration",
    )
}

/// A restoration whose name is not R and a number.
pub fn restoration_name(name: &str) -> Fault {
    Fault::new(
        format!("\"{name}\" is not the name of a restoration"),
        "expected R1, R2, …",
        "write R and a number from 1",
    )
}

/// A text in place of a tooth; `error` says why and `hint` what to write.
pub fn tooth(error: &dyn Display, hint: String) -> Fault {
    Fault::new(error.to_string(), "expected an ISO 3950 number", hint)
}

/// A fact that is listed a second time at its place.
pub fn fact_twice(name: &str, at: Place, first: usize) -> Fault {
    Fault::new(
        format!("\"{name}\" at {at} is listed twice"),
        "the second",
        format!("the first is on line {first}; keep one"),
    )
}

/// A computed fact in a case file.
pub fn computed(fact: &str) -> Fault {
    Fault::new(
        format!("\"{fact}\" is computed, not entered"),
        "a computed fact",
        "leave it out; it follows from the readings",
    )
}

/// A text in place of a place.
pub fn place(text: &str) -> Fault {
    Fault::new(values::not_a_place(text), "not a place", values::PLACES)
}

/// A fact at another kind of place than its own.
pub fn other_kind(fact: &str, at: Place, own: PlaceKind) -> Fault {
    Fault::new(
        format!("\"{fact}\" does not belong to {at}"),
        "another kind of place",
        format!("it belongs to {}", values::written(own)),
    )
}

/// A place that none of the restorations has.
pub fn no_such_place(at: Place) -> Fault {
    Fault::new(
        format!("this case has no place {at}"),
        "not in its restorations",
        "correct the place, or move the line to `set_aside: [...]`",
    )
}

/// How a code of somebody is spoken of.
#[derive(Clone, Copy, Debug)]
pub struct CodeOf {
    /// Said if there is none.
    pub missing: &'static str,
    /// What it is called, at the beginning of a sentence.
    pub code: &'static str,
}

/// The code of a dentist.
pub const CODE_OF_DENTIST: CodeOf = CodeOf {
    missing: "a dentist needs a code",
    code: "a dentist's code",
};

/// The code of somebody at the bench.
pub const CODE_OF_BENCH: CodeOf = CodeOf {
    missing: "name the person or the bench by a code",
    code: "the code of a person or a bench",
};

/// A code of two words.
pub fn code_one_word(whose: CodeOf) -> String {
    format!("{} is one word, never a name", whose.code)
}

/// A code that is too long.
pub fn code_long(whose: CodeOf, most: usize) -> String {
    format!("{} has at most {most} characters", whose.code)
}

/// A code with a sign that is not taken.
pub fn code_odd(whose: CodeOf, odd: char) -> String {
    format!("{} cannot contain {odd:?}", whose.code)
}

/// A code in a case file that is not taken; `why` is one of the sentences above.
pub fn code(why: String) -> Fault {
    Fault::new(
        why,
        "not a code",
        "one word of letters, digits and - / . _; never a name",
    )
}

/// A file of a case whose path, digest or length cannot be.
pub fn case_file(path: &str) -> Fault {
    Fault::new(
        format!("\"{path}\" is not a file of a case as it is written here"),
        "this file",
        "a path, the 64 hexadecimal letters of its SHA-256, and its length in bytes",
    )
}

/// More files than a case can have.
pub fn too_many_files(found: usize, most: usize) -> Fault {
    Fault::new(
        format!("the case lists {found} photographs and files"),
        "in this case",
        format!("a case has at most {most}"),
    )
}

/// Something is dated later than today: a part that came in.
pub const ARRIVED: &str = "something arrived";
/// Something is dated later than today: a decision.
pub const DECIDED: &str = "something was decided";

/// Something is dated later than today: what became of a restoration, by its name in files.
pub fn happened(what: &str) -> String {
    format!("it was {what}")
}

/// A journal without entries.
pub const JOURNAL_EMPTY: &str = "the case has no journal entries";
/// A journal that does not begin with the opening of the case.
pub const JOURNAL_NOT_OPENED: &str = "the first journal entry does not open the case";

/// A journal that opens the case again.
pub fn journal_opened_twice(id: uuid::Uuid) -> String {
    format!("journal entry {id} opens the case a second time")
}

/// Says one of two answers in a comment of a case file: its value, who gave it and when.
pub fn side(value: Option<&str>, who: Option<&str>, when: Option<jiff::Timestamp>) -> String {
    let value = value.unwrap_or("no answer");
    let who = who.unwrap_or("no code");
    match when {
        Some(when) => format!("{value} ({who}, {when})"),
        None => format!("{value} ({who})"),
    }
}

/// Says in a comment of a case file that a fact has two answers and that neither is in the file.
pub fn in_dispute(spot: &crate::fact::Spot, sides: &[String]) -> String {
    let sides = comment(&sides.join("; "));
    format!(
        "// two answers, neither counts: {} at {}: {sides}\n",
        spot.fact, spot.at
    )
}

/// Says in a comment of a case file that two answers of the dentist were noted and that neither is in the file.
pub fn decision_in_dispute(rule: &str, at: crate::fact::Place, sides: &[String]) -> String {
    let sides = comment(&sides.join("; "));
    format!(
        "// two answers, neither counts: {} at {at}: {sides}\n",
        comment(rule)
    )
}

/// Says in a comment of a case file which other restorations were entered at the same time.
pub fn units_in_dispute(units: &str) -> String {
    format!(
        "// other units were entered at the same time: {}\n",
        comment(units)
    )
}

/// A comment ends with its line.
fn comment(text: &str) -> String {
    text.replace(['\n', '\r'], " ")
}
