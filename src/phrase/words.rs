//! Single words for the program's own ideas: levels, states, headings, gaps.

use crate::case::life::State;
use jiff::civil::{Date, DateTime};

/// Returns a day with its weekday, such as `Fri 4 Dec 2026`, which means the same day in every country.
pub fn day_in_words(day: Date) -> String {
    day.strftime("%a %-d %b %Y").to_string()
}

/// Returns a time to the minute, such as `Fri 4 Dec 2026, 14:05`.
pub fn minute_in_words(time: DateTime) -> String {
    time.strftime("%a %-d %b %Y, %H:%M").to_string()
}

/// Joins texts with semicolons; after the first, a capital is lowered unless the word is an abbreviation, such as `R1`.
pub(crate) fn in_a_line(texts: &[String]) -> String {
    let mut out = String::new();
    for text in texts {
        let mut chars = text.chars();
        match chars.next() {
            Some(first)
                if !out.is_empty() && chars.clone().next().is_some_and(char::is_lowercase) =>
            {
                out.push_str("; ");
                out.extend(first.to_lowercase());
                out.push_str(chars.as_str());
            }
            _ => {
                if !out.is_empty() {
                    out.push_str("; ");
                }
                out.push_str(text);
            }
        }
    }
    out
}

/// The answer yes.
pub const YES: &str = "yes";
/// The answer no.
pub const NO: &str = "no";
/// What a case comes to.
pub const RESULT: &str = "result";
/// The level at which nothing was found.
pub const NOTHING_FOUND: &str = "nothing found";
/// The level Watch.
pub const WATCH: &str = "watch";
/// The level Call.
pub const CALL: &str = "call";
/// The level Hold.
pub const ON_HOLD: &str = "on hold";
/// The result while nothing was found and open points could still become a finding.
pub const OPEN: &str = "open";
/// The result for work that the rules do not cover.
pub const NOT_COVERED: &str = "not covered";
/// Said beside a result if nothing is missing but the connectors of the design.
pub const TO_BE_DRAWN: &str = "connectors to be designed";
/// Said in place of a value that is not known, and the heading of open points.
pub const STILL_TO_FIND_OUT: &str = "not known yet";
/// The heading of checks whose questions are still to come.
pub const STILL_TO_BE_ASKED: &str = "Still to do";
/// The answer of somebody who looked and could not tell.
pub const NOT_SEEN: &str = "not seen";
/// A list of teeth without any.
pub const NO_TOOTH: &str = "none";
/// All four walls of a prep.
pub const ALL_ROUND: &str = "all round";
/// Said in place of a figure that could not be computed.
pub const NOT_COMPUTED: &str = "not computed";
/// Said of a question that has no answer yet.
pub const NOT_ASKED: &str = "to do";
/// Said of a question that no answer given so far requires.
pub const NOT_NEEDED: &str = "not needed";
/// The heading of findings.
pub const FINDINGS: &str = "findings";
/// The sheet for the phone.
pub const CALL_LIST: &str = "call sheet";
/// Said in place of findings while there are none.
pub const NOTHING_SO_FAR: &str = "nothing found so far";
/// Said in place of findings if the rules do not cover the work.
pub const NOT_CHECKED: &str = "nothing was checked";
/// The heading of readings that decide the result.
pub const MEASURE_AGAIN: &str = "measure again";
/// Said before a finding that the last answer took away.
pub const GONE: &str = "gone";
/// The heading of the figures of grip and cement demand.
pub const FIGURES: &str = "Grip and demand on the cement (detail)";
/// The heading of the page of the call.
pub const THE_CALL: &str = "The call";
/// The heading of the page of options.
pub const OPTIONS: &str = "Options";
/// Returns the word for a state.
pub fn state(state: State) -> &'static str {
    match state {
        State::ToCall => "to call",
        State::Returned => "returned",
        State::Inspecting => "open",
        State::Waiting => "waiting",
        State::ForDesign => "cleared for design",
        State::ToMake => "cleared to make",
        State::Delivered => "delivered",
        State::Closed => "closed",
        State::NotCovered => "not covered",
        State::Withdrawn => "withdrawn",
    }
}

/// Returns the word for an outcome.
pub fn outcome(outcome: crate::judge::CaseResult) -> &'static str {
    use crate::judge::CaseResult;
    match outcome {
        CaseResult::NotCovered => NOT_COVERED,
        CaseResult::Open => OPEN,
        CaseResult::NothingFound => NOTHING_FOUND,
        CaseResult::Watch => WATCH,
        CaseResult::Call => CALL,
        CaseResult::Hold => ON_HOLD,
    }
}

/// Returns what is said in place of findings if there are none.
pub fn no_finding(covered: bool) -> &'static str {
    if covered { NOTHING_SO_FAR } else { NOT_CHECKED }
}

/// Returns how many restorations are not covered, or `None` if all are, or none is.
pub fn some_not_covered(not_covered: usize, all: usize) -> Option<String> {
    (0 < not_covered && not_covered < all).then(|| format!("{not_covered} of {all} {NOT_COVERED}"))
}

/// Returns the word for a level.
pub fn level(level: crate::flow::Level) -> &'static str {
    use crate::flow::Level;
    match level {
        Level::Fine => NOTHING_FOUND,
        Level::Watch => WATCH,
        Level::Call => CALL,
        Level::Hold => ON_HOLD,
    }
}
