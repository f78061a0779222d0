//! The summary.

use crate::flow::Level;
use crate::phrase::{Phrase, words};

/// The heading of findings.
pub const FINDINGS: &str = "Findings";
/// Said in place of findings while questions are left.
pub const NOTHING_SO_FAR: &str = "Nothing found so far; see what is not known yet.";
/// Said in place of findings if there are none.
pub const NOTHING_FOUND: &str = "Nothing found. That does not mean approved.";
/// Said under a finding that rests on an agreed value.
pub const AGREED_VALUE: &str = "Based on an agreed change.";
/// The heading of open points.
pub const NOT_KNOWN_YET: &str = "Not known yet";
/// The heading of readings that decide the result.
pub const MEASURE_AGAIN: &str = "Measure again";
/// Says that more readings could turn the result than are listed; `None` if none could.
pub fn more_again(more: usize) -> Option<String> {
    match more {
        0 => None,
        1 => Some("One more reading could turn it.".to_owned()),
        n => Some(format!("{n} more readings could turn it.")),
    }
}
/// The heading of the figures of each prep.
pub const PREPS: &str = "Preps";
/// The columns of the figures of each prep.
pub const PREP_COLUMNS: [&str; 6] = [
    "prep",
    "height",
    "height/width",
    "total taper m-d",
    "total taper f-l",
    "resistance form",
];
/// The heading of grip and motion.
pub const GRIP: &str = "Grip";
/// The heading of figures that could not be computed.
pub const NOT_COMPUTED: &str = "Not computed";
/// The heading of answers whose place the order no longer has.
pub const SET_ASIDE: &str = "Set aside: answers for units that are no longer ordered";
/// The heading of sources.
pub const SOURCES: &str = "Sources";
/// The source of what the program adds to the work ticket.
pub const TICKET_SOURCE: &str = "Die spacer and final checks on the work ticket (common practice)";

/// What stands beside a result that would stop the work by itself, in a case that is cleared.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Beside {
    /// The dentist accepted what was found.
    Accepted,
    /// The design is changed.
    Redesigned,
}

/// The title.
pub fn title(case: &str) -> String {
    format!("Inspection summary, case {case}")
}

/// A restoration that nothing here checks; `kind` is its type of work.
pub fn not_covered(id: u8, units: &str, kind: &str) -> String {
    format!(
        "R{id} {units}: {}, not checked here ({kind})",
        words::NOT_COVERED.to_uppercase()
    )
}

/// The result of the case, in capitals.
pub fn result(result: &str, beside: Option<Beside>) -> String {
    let beside = match beside {
        None => "",
        Some(Beside::Accepted) => ", accepted",
        Some(Beside::Redesigned) => ", to be redesigned",
    };
    format!("Result: {}{beside}", result.to_uppercase())
}

/// What is usual where something was found.
pub fn usual(says: &str) -> String {
    format!("Usual: {says}")
}

/// What the laboratory does itself about a finding.
pub fn at_the_bench(bench: &str) -> String {
    format!("At the bench: {bench}")
}

/// What was said to the question of a finding.
pub fn answered(said: &str) -> String {
    format!("Answer: {said}")
}

/// The findings of the same cause, each in a line.
pub fn same_cause(lines: &[String]) -> String {
    format!("Same cause: {}.", words::in_a_line(lines))
}

/// In which order the laboratory's own options stand.
pub const LABORATORY_ORDER: &str = "The laboratory's own options come best first.";
/// In which order options for the dentist stand.
pub const DENTIST_ORDER: &str = "Options for the dentist are in no order of preference.";

/// An option of the laboratory.
pub fn laboratory(does: &str) -> String {
    format!("{}: {does}", crate::phrase::LABORATORY_CAN)
}

/// An option for the dentist.
pub fn dentist(does: &str) -> String {
    format!("Dentist: {does}")
}

/// How many options the summary leaves out; `None` if it leaves out none.
pub fn more_options(laboratory: usize, dentist: usize) -> Option<String> {
    let mut rest = Vec::new();
    if laboratory > 0 {
        rest.push(format!("{laboratory} more in the laboratory"));
    }
    if dentist > 0 {
        rest.push(format!("{dentist} more for the dentist to consider"));
    }
    (!rest.is_empty()).then(|| format!("{}; the options page shows them all.", rest.join(", ")))
}

/// On how many of four sides a prep has no resistance form.
pub fn resistance_form(failing: f64) -> String {
    if failing < 0.5 {
        "on all sides".to_owned()
    } else if failing < 1.5 {
        "none on 1 side".to_owned()
    } else {
        format!("none on {failing:.0} sides")
    }
}

/// A sentence on grip and motion, with its full stop.
pub fn sentence(text: String) -> String {
    format!("{text}.")
}

impl Phrase<'_> {
    /// Returns the questions of a step that are to do, with the worst they may become.
    pub fn to_do(self, questions: &[String], could_be: Level) -> String {
        format!(
            "{} ({}, may become {})",
            questions.join("; "),
            words::NOT_ASKED,
            self.level(could_be)
        )
    }
}
