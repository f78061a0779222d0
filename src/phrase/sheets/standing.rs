//! How far the work may go: the first lines of the sheets that somebody works from.

use jiff::Timestamp;

use crate::phrase::words::day_in_words;

/// Said on a sheet of values that are tried on a copy of the case.
pub const WHAT_IF: &str =
    "WHAT IF (not saved): some values are not agreed with anyone. Do not build from this sheet.";
/// The state of a case with a question or a task on hold.
pub const ON_HOLD: &str = "ON HOLD";
/// The state of a case with a question to the dentist.
pub const CALL_FIRST: &str = "CALL FIRST";
/// The state of a case whose inspection is not finished.
pub const NOT_CLEARED: &str = "NOT CLEARED YET";
/// The heading of what has to happen before the work starts.
pub const BEFORE: &str = "Do not start before this is settled";
/// The heading of what has to happen before it is made, where it may be designed.
pub const BEFORE_MADE: &str = "Do not make before this is settled";

/// The title of a sheet that somebody works from; `not_covered` says how many restorations are not covered.
pub fn title(sheet: &str, case: &str, state: &str, not_covered: Option<&str>) -> String {
    let other = not_covered.map_or_else(String::new, |other| format!(", {other}"));
    format!("{sheet}, case {case}: {state}{other}")
}

/// The state of a case in a title: of how many of its restorations, and what must not be done.
pub fn state(word: &str, of: Option<(usize, usize)>, must_not: Option<&str>) -> String {
    let some = of.map_or_else(String::new, |(own, all)| format!(", {own} of {all}"));
    let must_not = must_not.map_or_else(String::new, |must_not| format!(", {must_not}"));
    format!("{word}{some}{must_not}")
}

/// What comes before anything else while a question on hold is open, and what must not be done.
pub fn call_first(must_not: &str) -> String {
    format!("call first, {must_not}")
}

/// A question that the dentist has not answered.
pub fn waits_for(asks: &str) -> String {
    format!("Waiting for the dentist's answer to: {asks}")
}

/// What the dentist declined, and what it takes then.
pub fn declined(said: &str) -> String {
    format!("Asked: {said}. It needs another option, or a written order to make it as it is.")
}

/// What the laboratory has to do itself before it goes on.
pub fn ours(bench: &str) -> String {
    format!("In the laboratory: {bench}")
}

/// A decision about a place, and whether the place has changed since.
pub fn decision(place: &str, decision: &str, has_changed: bool) -> String {
    let lapsed = if has_changed {
        "; no longer valid, it has changed since"
    } else {
        ""
    };
    format!("{place}: {decision}{lapsed}")
}

/// A fact that the dentist was asked about and does not know; `label` with its place.
pub fn not_known(label: &str) -> String {
    format!("{label}: the dentist does not know")
}

/// The day on which a value was agreed.
pub fn agreed_on(when: Timestamp) -> String {
    day_in_words(jiff::tz::Offset::UTC.to_datetime(when).date())
}
