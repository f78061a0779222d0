//! Help: what to look at, how to measure, and the keys of a page.

/// Heads the question in full.
pub const QUESTION: &str = "Question";
/// Heads what to look at.
pub const LOOK: &str = "What to look at";
/// Heads how to measure.
pub const HOW: &str = "How to measure";
/// Heads why it matters.
pub const WHY: &str = "Why it matters";
/// Heads the instruments.
pub const INSTRUMENTS: &str = "Measure with";
/// Heads where the question comes from.
pub const SOURCE: &str = "Source";
/// Heads why a rule came up here.
pub const WHY_HERE: &str = "Why it came up here";
/// Heads where a rule stands.
pub const WHERE_IT_STANDS: &str = "Where the rule stands";
/// Said of a part of a rule that cannot be told.
pub const PART_UNKNOWN: &str = "not known yet";
/// Says how a rule is changed.
pub const TO_CHANGE: &str = "To try a change: casepan flow new DIR, change the rule in DIR, then casepan flow check DIR and casepan flow \
     replay DIR; with --flow DIR new cases are judged by it, open ones stay with theirs.";

/// Heads a rule.
pub fn rule(id: &str) -> String {
    format!("Rule {id}")
}

/// Says in which file of which flow a rule stands.
pub fn stands(place: &str, flow: &str, version: u32) -> String {
    format!("{place}, flow \"{flow}\", version {version}")
}

/// Heads what can be done with the keys of a numeric pad alone.
pub const PAD: &str = "With one hand on a numeric pad";

/// The terms of the worklist that its rows may show.
pub const WORKLIST_TERMS: &str = "OPEN, NOTHING FOUND, WATCH, CALL, ON HOLD, WAITING, NOT COVERED, CLEARED FOR DESIGN, CLEARED TO MAKE, unit, pontic, turn";
/// The terms of every call.
pub const CALL_TERMS: &str = "standing instruction, amended order, WAITING, ON HOLD, option";
/// The terms of every page of options.
pub const OPTIONS_TERMS: &str = "option, grip, effective wall, WATCH, CALL, ON HOLD";

/// Names the digits among the keys.
pub const DIGITS: &str = "1 to 9";
/// Says what digits do at a question.
pub const DIGITS_DO: &str = "Pick a choice, or type a number with point or comma.";

/// Says what a numeric pad does at a question. The keys are filled in.
pub const PAD_QUESTIONS: &str =
    "{next-cell} goes on, {not-seen} means not seen, {same} means as before.";
/// Says what a numeric pad does on the call.
pub const PAD_CALL: &str = "Digits are choices here, - goes back, + picks.";
/// Says what a numeric pad does on the summary.
pub const PAD_SUMMARY: &str = "2 and 8 scroll, 3 and + turn the page.";
/// Says what a numeric pad does elsewhere.
pub const PAD_ELSEWHERE: &str =
    "Digits act as the arrows printed on them, - goes back, + turns the page.";

/// Says what a numeric pad does everywhere, then what it does on the page. The keys are filled in.
pub fn pad(here: &str) -> String {
    format!(
        "{{find}}, a digit and {{go-there}} reach every command of the page, + shows more of them. {here}"
    )
}

/// Says an instrument: its step, and how good one reading of it is.
pub fn instrument(name: &str, step: f64, error: f64) -> String {
    format!(
        "{name}: steps of {step}, one reading is good to about ±{error} (one standard deviation)"
    )
}

/// Heads the keys of a page.
pub fn keys(page: &str) -> String {
    format!("Keys: {page}")
}

/// Says keys and what they do.
pub fn key(keys: &str, does: &str) -> String {
    format!("{keys:<12} {does}")
}
