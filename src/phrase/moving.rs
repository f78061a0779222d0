//! A case that moves to another version of its flow: what that changes, in words.

use super::Phrase;
use super::words;
use crate::case::FlowRef;
use crate::case::decision::Matter;
use crate::fact::{Spot, Value};
use crate::flow::Level;
use crate::judge::Verdict;

/// Titles the page.
pub fn title(number: &str) -> String {
    format!("{number}: move to another version of the flow")
}

/// Names both flows.
pub fn flows(now: &FlowRef, then: &FlowRef) -> String {
    format!(
        "It is checked by flow \"{}\", version {}. New cases are checked by flow \"{}\", version {}{}.",
        now.id,
        now.version,
        then.id,
        then.version,
        match (now.id == then.id) && (now.version == then.version) {
            true => ", whose files have changed since",
            false => "",
        }
    )
}

/// Said if the flow is the same.
pub const SAME: &str = "this case is checked by the flow of new cases already";
/// Said of a closed case.
pub const CLOSED: &str = "this case is closed and stays with the flow that it was judged by";
/// Said if two people have answered something differently.
pub const DISPUTED: &str =
    "two people have answered something differently here: settle that first, then move the case";
/// Said if nothing came of looking.
pub const NO_FLOW: &str = "look first what the other flow changes";

/// Heads the result.
pub const RESULT: &str = "Result";
/// Heads what no longer fits.
pub const FITS_NOT: &str = "Answers that no longer fit";
/// Heads what is asked again.
pub const AGAIN: &str = "Asked again";
/// Heads the findings.
pub const FINDINGS: &str = "Findings";

/// Says a result before and after.
pub fn result(before: Verdict, after: Verdict) -> String {
    let said = super::pages::worklist::result;
    match before == after {
        true => format!("stays: {}", said(Some(before))),
        false => format!("{}, then {}", said(Some(before)), said(Some(after))),
    }
}

/// Says that all answers fit.
pub const ALL_FIT: &str = "none";
/// Says what becomes of those that do not.
pub const STAY: &str =
    "They count no longer; they stay in what was entered before, with who and when.";
/// Says that the findings are the same.
pub const NO_OTHER: &str = "the same as before";

/// Says a finding behind its place.
pub fn at(place: &str, says: &str) -> String {
    format!("{place} {says}")
}

/// Says that a finding is new, gone, or of another level.
pub fn finding(before: Option<Level>, after: Option<Level>, says: &str) -> String {
    let level = words::level;
    match (before, after) {
        (Some(before), Some(after)) => {
            format!("{} instead of {}: {says}", level(after), level(before))
        }
        (None, Some(after)) => format!("new, {}: {says}", level(after)),
        (Some(before), None) => format!("gone, {}: {says}", level(before)),
        (None, None) => says.to_owned(),
    }
}

/// Says how it is moved, and how not. The keys are filled in.
pub const HOW: &str =
    "{keep-move} moves the case; {undo} on the summary takes it back. {back} leaves it as it is.";
/// Says on the command line how it is moved.
pub const HOW_BY_LINE: &str = "Nothing was moved: --yes moves it.";

/// Says that the case was moved.
pub fn moved(flow: &FlowRef) -> String {
    format!(
        "moved: checked by flow \"{}\", version {} from here on",
        flow.id, flow.version
    )
}

impl Phrase<'_> {
    /// Says which answer does not fit a flow.
    pub fn fits_not(self, spot: &Spot, value: &Value) -> String {
        let value = self.value(self.flow.spec(&spot.fact), value, None);
        format!(
            "{} {}: {value} no longer fits",
            self.place(spot.at),
            self.label(&spot.fact)
        )
    }

    /// Says which question is asked again.
    pub fn asked_again(self, about: &Matter) -> String {
        format!(
            "{} {}: its rule is another now, so what was said to it is asked again",
            self.place(about.at),
            about.rule.replace('-', " ")
        )
    }
}
