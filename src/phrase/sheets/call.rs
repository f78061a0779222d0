//! The call sheet.

use crate::phrase::words::in_a_line;

/// The heading of the questions.
pub const TO_ASK: &str = "To ask";
/// Said in place of questions if there are none.
pub const CLOSED: &str = "This case is closed: there is nothing to ask any more.";
/// Said if there is nothing to ask.
pub const NOTHING_TO_ASK: &str = "Nothing to ask.";
/// Said if there is nothing to ask although something was found that stops the work.
pub const OURS_ALONE: &str = "Nothing to ask: the laboratory puts this right itself, see above.";
/// The line for the role of whoever answers.
pub const ANSWERED_BY: &str = "Answered by (role)";
/// The line for when the answers were read back.
pub const READ_BACK: &str = "Read back, date and time";
/// The line for the cost.
pub const COST: &str = "Cost agreed";
/// The heading of questions beyond those that a call takes.
pub const IN_WRITING: &str = "Not on the phone: asked in the letter";
/// Said under a question of the dentist's knowledge without which nothing is made.
pub const NOT_MADE_BEFORE: &str = "We cannot make it until we know.";
/// The heading of what has still to arrive.
pub const TO_COME: &str = "Still to arrive";
/// The line for the day by which an answer is needed.
pub const BY_WHEN: &str = "By when";
/// The heading of what the laboratory does before anyone phones.
pub const BENCH_FIRST: &str = "Do in the laboratory first";
/// The heading of what is made ready for the call.
pub const BEFORE: &str = "Before the call";
/// The label of the state of the temporary.
pub const TEMPORARY: &str = "State of the temporary";
/// The label of the role of whoever may decide.
pub const WHO_DECIDES: &str = "Who may decide (role)";
/// The box for a photograph that was sent.
pub const PHOTO_SENT: &str = "photo sent";
/// The heading of questions that were answered.
pub const DECIDED: &str = "Decided";

/// The title.
pub fn title(case: &str) -> String {
    format!("Call sheet, case {case}")
}

/// Something that has still to arrive, and whether its day has passed.
pub fn to_come(awaited: &str, is_late: bool) -> String {
    let late = if is_late { " (late)" } else { "" };
    format!("{awaited}{late}")
}

/// The findings behind a question, each in a line.
pub fn i_see(findings: &[String]) -> String {
    format!("I see: {}", in_a_line(findings))
}

/// The option that is suggested: it clears what is asked about.
pub fn i_suggest(option: &str) -> String {
    format!("I suggest: {option}")
}

/// Another option, beside one that is suggested or where none is.
pub fn possible(option: &str, beside: bool) -> String {
    let also = if beside { "Also possible" } else { "Possible" };
    format!("{also}: {option}")
}

/// An option of the laboratory beside those for the dentist.
pub fn in_the_laboratory(option: &str) -> String {
    format!("in the laboratory, {option}")
}

/// The day by which an answer is needed.
pub fn by_when(day: &str) -> String {
    format!("{BY_WHEN}: {day}")
}

/// What was decided about a place and is no longer asked.
pub fn no_longer_asked(place: &str, decision: &str) -> String {
    format!("{place}: {decision} (no longer asked)")
}
