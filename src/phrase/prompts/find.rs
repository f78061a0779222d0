//! What is said where something is looked for by its words.

use crate::fact::Place;
use crate::phrase::Phrase;

/// What a line that was found is: a case.
pub const CASE: &str = "case";

/// What a line that was found is: a question.
pub const QUESTION: &str = "question";

/// Said where nothing fits the words.
pub const NO_MATCH: &str = "no match";

/// The kind of a hit that is a term of the glossary.
pub const TERM: &str = "term";

/// Says the place and name of a question.
pub fn question(phrase: Phrase<'_>, at: Place, label: &str) -> String {
    match at {
        Place::Case => label.to_owned(),
        at => format!("{} {label}", phrase.place(at)),
    }
}

/// Says a question with its answer and its step.
pub fn question_line(question: &str, answer: &str, step: &str) -> String {
    format!("{question}: {answer}  ({step})")
}

/// Offers to filter the worklist by what was typed.
pub fn filter_by(words: &str) -> String {
    format!("Filter the worklist by \"{words}\".")
}
