//! What stands on the pages of the inspection, on the screen and read aloud line by line: titles, labels and lines.
//!
//! A view carries data; what is shown of it is said here, once, for the screen and for the plain lines alike.

pub mod ask;
pub mod call;
pub mod cells;

pub mod findings;
pub mod help;
pub mod lines;
pub mod options;
pub mod picture;
pub mod questions;
pub mod screen;
pub mod worklist;

/// The pages in the line of all pages, each a word whose first letter goes there.
pub mod tabs {
    /// The questions.
    pub const INSPECT: &str = "Inspect";
    /// The findings.
    pub const FINDINGS: &str = "Findings";
    /// The options.
    pub const OPTIONS: &str = "Options";
    /// The call with the dentist.
    pub const CALL: &str = "Call";
    /// The pictures.
    pub const PICTURES: &str = "Pictures";
    /// Summary and call sheet.
    pub const SUMMARY: &str = "Summary";
}

use super::{Phrase, verdict, words};
use crate::case::life::State;
use crate::case::{CaseUnit, Role};
use crate::flow::Level;
use crate::judge::{CaseResult, Verdict};
use crate::tooth::Notation;

/// Stands in the header for the material while none is named.
pub const NO_MATERIAL: &str = "no material yet";

/// Names something with how many there are of it, if that is counted.
pub fn counted(name: &str, count: usize) -> String {
    match count {
        0 => name.to_owned(),
        n => format!("{name} {n}"),
    }
}

/// Joins the parts that say something with commas, such as the columns of a line that is read aloud.
pub fn listed(parts: &[&str]) -> String {
    let said: Vec<&str> = parts
        .iter()
        .copied()
        .filter(|part| !part.is_empty())
        .collect();
    said.join(", ")
}

/// Says a level as a badge, in capitals.
pub fn badge(level: Level) -> &'static str {
    match level {
        Level::Fine => "NOTHING FOUND",
        Level::Watch => "WATCH",
        Level::Call => "CALL",
        Level::Hold => "ON HOLD",
    }
}

/// Names a unit of a restoration: its tooth, an x in front of a pontic.
pub fn unit(unit: &CaseUnit, notation: Notation) -> String {
    match unit.role {
        Role::Abutment => notation.show(unit.tooth),
        Role::Pontic => format!("x{}", notation.show(unit.tooth)),
    }
}

/// Says the units of a case in a line: units side by side, restorations behind semicolons.
pub fn units<'n>(restorations: impl IntoIterator<Item = Vec<&'n str>>) -> String {
    let said: Vec<String> = restorations
        .into_iter()
        .map(|names| names.join(" "))
        .collect();
    said.join("; ")
}

/// Says the notation in force, beside the units.
pub fn in_notation(notation: &str) -> String {
    format!("[{notation}]")
}

/// Says a result when it is read aloud: in one word, and beside it what it may become, or that the design is to be judged.
pub fn verdict_aloud(result: Verdict) -> String {
    verdict::said(result)
}

/// Says what a case comes to when it is read aloud: the result with all that stands beside its badge on the screen.
pub fn result(
    result: Verdict,
    (not_covered, restorations): (usize, usize),
    (state, state_words): (State, &str),
    expected: Option<Verdict>,
) -> String {
    // Capitals are for the eye.
    let word = words::state(state);
    let state_words = state_words.replacen(&word.to_uppercase(), word, 1);
    let mut said = Vec::new();
    match state {
        State::Waiting => {
            said.push(words::outcome(result.outcome()).to_owned());
            said.push(state_words);
        }
        State::Inspecting | State::ToCall | State::NotCovered => said.push(verdict::said(result)),
        _ => {
            said.push(verdict::said(result));
            said.push(state_words);
        }
    }
    said.extend(words::some_not_covered(not_covered, restorations));
    if let Some(expected) = expected.map(Verdict::outcome)
        && expected != CaseResult::Open
    {
        said.push(format!("expected {}", words::outcome(expected)));
    }
    said.join(", ")
}

/// Says what stands beside the badge of a result: what it may become, how many of its restorations are not covered, how far
/// the case is in words, and what it is expected to come to.
pub fn beside_result(
    result: Verdict,
    (not_covered, restorations): (usize, usize),
    (state, state_words): (State, &str),
    expected: Option<Verdict>,
) -> String {
    let outcome = result.outcome();
    let judged = !matches!(outcome, CaseResult::NotCovered | CaseResult::Open);
    let mut said = Vec::new();
    match state {
        State::Waiting => {
            said.push(words::outcome(outcome).to_uppercase());
            said.push(state_words.to_owned());
        }
        State::Inspecting | State::ToCall | State::NotCovered => {}
        _ => said.push(state_words.to_owned()),
    }
    if judged && result.is_open() && state != State::Waiting {
        said.push(format!("may become {}", badge(result.could_be)));
    } else if judged && result.awaits_drawing() && state != State::Waiting {
        said.push(words::TO_BE_DRAWN.to_owned());
    }
    said.extend(words::some_not_covered(not_covered, restorations));
    if let Some(expected) = expected.map(Verdict::outcome)
        && expected != CaseResult::Open
    {
        said.push(format!(
            "expected ~{}",
            words::outcome(expected).to_uppercase()
        ));
    }
    said.join(", ")
}

/// Says of that only what no badge may be read without: what was found while the badge says that the case waits, what the
/// result may become, that the design is still to be judged, and how many restorations are not covered.
pub fn beside_in_short(
    result: Verdict,
    (not_covered, restorations): (usize, usize),
    state: State,
) -> String {
    let outcome = result.outcome();
    let judged = !matches!(outcome, CaseResult::NotCovered | CaseResult::Open);
    let waits = state == State::Waiting;
    let mut said = Vec::new();
    if waits {
        said.push(words::outcome(outcome).to_uppercase());
    } else if judged && result.is_open() {
        said.push(format!("→ {}", badge(result.could_be)));
    } else if judged && result.awaits_drawing() {
        said.push(words::TO_BE_DRAWN.to_owned());
    }
    said.extend(words::some_not_covered(not_covered, restorations));
    said.join(", ")
}

/// Says which lines of a longer text are shown, counted from 1.
pub fn lines_shown(first: usize, last: usize, all: usize) -> String {
    format!("lines {first} to {last} of {all}")
}

/// Says a number that counts through a list, such as a picture of several.
pub fn index_of(index: usize, of: usize) -> String {
    format!("{index} of {of}")
}

impl Phrase<'_> {
    /// Says where a fact stands and what it is called.
    pub fn named(self, spot: &crate::fact::Spot) -> String {
        let label = self.label(&spot.fact);
        match spot.at {
            crate::fact::Place::Case => label,
            at => format!("{}, {label}", self.place(at)),
        }
    }
}
