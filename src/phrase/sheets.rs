//! Titles, headings, labels and lines of the printed sheets: here what several sheets share, then a file a sheet.

pub mod call;
pub mod compared;
pub mod json;
pub mod letter;
pub mod picture;
pub mod seating;
pub mod standing;
pub mod summary;
pub mod ticket;

use jiff::civil::DateTime;

use super::words::minute_in_words;
use crate::tooth::Notation;

/// The name of the summary, at the foot of its pages.
pub const SUMMARY: &str = "inspection summary";
/// The name of the call sheet, at the foot of its pages.
pub const CALL: &str = super::words::CALL_LIST;
/// The name of the work ticket, at the foot of its pages.
pub const TICKET: &str = "work ticket";
/// The name of the seating notes, at the foot of their pages.
pub const SEATING: &str = "seating notes";
/// The name of the letter, at the foot of its pages.
pub const LETTER: &str = "letter to the dentist";

/// The heading of the links to the sheets of a file.
pub const CONTENTS: &str = "In this file";
/// Before the number of the case, at the foot of each page.
pub const CASE: &str = "Case";
/// Before the number of the page, at the foot of each page.
pub const PAGE: &str = "page";
/// Between the number of the page and that of all pages.
pub const PAGE_OF: &str = "of";
/// What a screen reader says of an empty box.
pub const TO_TICK: &str = "to tick";

/// The heading of the caution.
pub const CAUTION: &str = "Caution";
/// The line for an answer by hand.
pub const ANSWER: &str = "Answer";
/// A box for whoever declined what was proposed: the work goes on without it, in writing.
pub const AS_IT_IS_IN_WRITING: &str = "make it as it is, on a written order";
/// A box for whoever declined what was proposed: the work is not done.
pub const OFF_THE_ORDER: &str = "take it off the order";
/// The box for an answer that no other box has.
pub const OTHER: &str = "other";
/// The box of a dentist who does not know.
pub const NOT_KNOWN: &str = "not known";
/// The label of the day on which the restoration is seated.
pub const SEATING_DAY: &str = "Seating day";
/// The label of the codes of those who gave the answers.
pub const INSPECTED: &str = "Inspected by";
/// Said in place of a material that the order does not name.
pub const MATERIAL_OPEN: &str = "material to be confirmed";
/// A cell of a table for which there is nothing to say.
pub const NOTHING: &str = "-";

/// When a sheet was printed.
pub fn printed(at: DateTime) -> String {
    format!("Printed {}", minute_in_words(at))
}

/// Who gave the answers, by code.
pub fn inspected_by(codes: &[String]) -> String {
    format!("{INSPECTED} {}", codes.join(", "))
}

/// A label with its value.
pub fn labelled(label: &str, value: &str) -> String {
    format!("{label}: {value}")
}

/// How teeth are numbered, and by which flow the case was checked.
pub fn numbering(notation: Notation, flow: &str, version: u32) -> String {
    format!(
        "Teeth in {}; x marks a missing tooth. Flow \"{flow}\", version {version}.",
        notation.name()
    )
}

/// Several questions that one option answers; `does` is the option, as an instruction.
pub fn settled_by_one(questions: usize, does: &str) -> String {
    format!("{questions} questions that one answer would settle: {does}. What would you prefer?")
}

/// The box for an option that answers several questions.
pub fn settles_all(does: &str) -> String {
    format!("{does} (settles all of it)")
}

/// Says, at the foot of a sheet, from which entry of the case it was made, with the first signs of what the archive then
/// ends with.
pub fn from_entry(entry: u64, root: &str) -> String {
    let short: String = root.chars().take(8).collect();
    format!("From entry {entry}, {short}.")
}

/// Says, in the first line of a sheet, that the archive could not be asked whether others have written meanwhile.
pub const NOT_CHECKED: &str =
    "NOT CHECKED: the archive could not be read, so answers of others may be missing here.";

/// Says, in the first line of a sheet, that answers on it are not in the archive.
pub fn not_saved(answers: usize) -> String {
    match answers {
        1 => "NOT SAVED: one answer on this sheet is not in the archive yet.".to_owned(),
        answers => {
            format!("NOT SAVED: {answers} answers on this sheet are not in the archive yet.")
        }
    }
}
