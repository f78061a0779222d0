//! The words of the bench for the project's own ideas.

use crate::case::life::State;
use jiff::civil::{Date, DateTime};

/// Says a day with its weekday, such as `Fri 4 Dec 2026`: no country reads it as another one.
pub fn day_in_words(day: Date) -> String {
    day.strftime("%a %-d %b %Y").to_string()
}

/// Says a time to the minute, such as `Fri 4 Dec 2026, 14:05`.
pub fn minute_in_words(time: DateTime) -> String {
    time.strftime("%a %-d %b %Y, %H:%M").to_string()
}

/// The walk.
pub const INSPECTION: &str = "inspection";
/// The verdict.
pub const RESULT: &str = "result";
/// No finding.
pub const NOTHING_FOUND: &str = "nothing found";
/// The level Watch.
pub const WATCH: &str = "watch";
/// The level Call.
pub const CALL: &str = "call";
/// The level Hold.
pub const ON_HOLD: &str = "on hold";
/// A verdict that open points could still make worse than fine.
pub const OPEN: &str = "open";
/// A verdict on what is not covered.
pub const NOT_COVERED: &str = "not covered";
/// What is said beside a verdict where nothing is missing but the drawing.
pub const TO_BE_DRAWN: &str = "connectors to be drawn";
/// Open points.
pub const STILL_TO_FIND_OUT: &str = "still to find out";
/// What stands over checks whose questions are still to come.
pub const STILL_TO_BE_ASKED: &str = "Still to be asked";
/// An answer: looked for and not to be told.
pub const NOT_SEEN: &str = "not seen";
/// A list of teeth without any.
pub const NO_TOOTH: &str = "no tooth";
/// All four walls of a prep.
pub const ALL_ROUND: &str = "all round";
/// A figure that could not be worked out.
pub const NOT_COMPUTED: &str = "not computed";
/// A question that is still to come.
pub const NOT_ASKED: &str = "not asked yet";
/// Findings.
pub const FINDINGS: &str = "findings";
/// The checklist for the phone.
pub const CALL_LIST: &str = "call list";
/// Where nothing was found yet.
pub const NOTHING_SO_FAR: &str = "nothing found so far";
/// Where nothing of a case is covered.
pub const NOT_CHECKED: &str = "nothing was checked";
/// What stands over the reading to take again.
pub const MEASURE_AGAIN: &str = "measure again";
/// What stands before a finding that a change took away.
pub const GONE: &str = "gone";
/// What stands over the figures of the limit analysis.
pub const FIGURES: &str = "Grip and demand on the cement (detail)";
/// What stands over the page of the call.
pub const THE_CALL: &str = "The call";
/// What stands over the page of options.
pub const OPTIONS: &str = "Options";
/// Where the worklist is empty.
pub const NO_CASE: &str = "No case yet.";

/// Says how far something is.
pub fn state(state: State) -> &'static str {
    match state {
        State::ToCall => "to call",
        State::Returned => "returned",
        State::Inspecting => "open",
        State::Waiting => "waiting",
        State::ForDesign => "cleared for design",
        State::ToMake => "cleared to make",
        State::Delivered => "delivered",
        State::NotCovered => "not covered",
        State::Withdrawn => "withdrawn",
    }
}

/// Says a verdict in one word.
pub fn outcome(outcome: crate::judge::Outcome) -> &'static str {
    use crate::judge::Outcome;
    match outcome {
        Outcome::NotCovered => NOT_COVERED,
        Outcome::Open => OPEN,
        Outcome::NothingFound => NOTHING_FOUND,
        Outcome::Watch => WATCH,
        Outcome::Call => CALL,
        Outcome::Hold => ON_HOLD,
    }
}

/// Says what stands in place of findings where there are none.
pub fn no_finding(covered: bool) -> &'static str {
    if covered { NOTHING_SO_FAR } else { NOT_CHECKED }
}

/// Says how many restorations are not covered; none where all are, or none is.
pub fn some_not_covered(not_covered: usize, all: usize) -> Option<String> {
    (0 < not_covered && not_covered < all).then(|| format!("{not_covered} of {all} {NOT_COVERED}"))
}

/// Says a level.
pub fn level(level: crate::flow::Level) -> &'static str {
    use crate::flow::Level;
    match level {
        Level::Fine => NOTHING_FOUND,
        Level::Watch => WATCH,
        Level::Call => CALL,
        Level::Hold => ON_HOLD,
    }
}
