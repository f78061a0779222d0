//! Flows on the command line.

use std::fmt::Display;
use std::io;
use std::path::Path;

use super::counted;
use crate::fact::{FactSpec, Origin};
use crate::flow::Flow;
use crate::flow::difference::Difference;
use crate::text::shown;

/// Said of a flow with errors, which stand above.
pub fn unusable(directory: &Path) -> String {
    format!("the flow in {} cannot be used", shown(directory))
}

/// Said of a directory that cannot be read.
pub fn unread(directory: &Path, error: &io::Error) -> String {
    format!("the flow in {} cannot be read: {error}", shown(directory))
}

/// Said of a directory without a flow.
pub fn not_a_flow(directory: &Path) -> String {
    format!(
        "{} holds no .ron file, so it is not a flow",
        shown(directory)
    )
}

/// What to do about either.
pub const DIRECTORY_HINT: &str =
    "name a directory that holds a flow's .ron files; `casepan flow new DIR` creates one";

/// Said of a flow without problems.
pub fn no_problems(flow: &Flow, warnings: usize) -> String {
    let examples: usize = flow.rules.iter().map(|rule| rule.examples.len()).sum();
    let warnings = match warnings {
        0 => "no problems".to_owned(),
        n => format!("no errors, {}", counted(n, "warning")),
    };
    format!(
        "flow \"{}\", version {}: {}, {}, {}, {warnings}",
        flow.id,
        flow.version,
        counted(flow.questions.len(), "question"),
        counted(flow.rules.len(), "rule"),
        counted(examples, "example"),
    )
}

/// Says which tables no file of a flow has, and what is lost without each.
pub fn lacks(flow: &Flow) -> Vec<&'static str> {
    let tables = [
        (
            flow.loads.is_empty(),
            "no file begins with Loads([…]): no grip is computed",
        ),
        (
            flow.options.is_empty(),
            "no file begins with Options([…]): no options are offered",
        ),
        (
            flow.seatings.is_empty(),
            "no file begins with Seating([…]): no seating notes are printed",
        ),
    ];
    let lacking = tables.into_iter().filter(|(lacks, _)| *lacks);
    lacking.map(|(_, says)| says).collect()
}

/// Says what is no error, and may be one that nobody sees.
pub fn warned(text: &str) -> String {
    format!("warning: {text}")
}

/// Heads what differs between two flows.
pub fn compared(before: &Flow, now: &Flow) -> String {
    format!(
        "{} {} → {} {}",
        before.id, before.version, now.id, now.version
    )
}

/// Heads what differs and changes no result.
pub const OTHER_WORDS: &str = "No result hangs on:";

/// Says whether the version has to be another.
pub fn version_after(found: &Difference) -> String {
    let (before, now) = found.versions;
    if found.rows.is_empty() {
        return "Nothing differs.".to_owned();
    }
    match (found.has_meaning(), found.must_be_raised()) {
        (false, _) => "Only words and sources differ: the version may stay.".to_owned(),
        (true, true) => format!(
            "Results, or what is asked, may be others, and the version is {now} after {before}: raise `version` in flow.ron."
        ),
        (true, false) => format!(
            "Results, or what is asked, may be others; the version was raised from {before} to {now}."
        ),
    }
}

/// How many problems a flow has, by kind.
pub struct Problems {
    /// Errors of its files.
    pub errors: usize,
    /// Warnings about its files.
    pub warnings: usize,
    /// Examples of rules with another result.
    pub examples: usize,
    /// Options that change nothing or spoil something.
    pub options: usize,
}

/// Counts the problems of a flow.
pub fn problems(found: &Problems) -> String {
    format!(
        "{}, {}, {}, {}",
        counted(found.errors, "error"),
        counted(found.warnings, "warning"),
        counted(found.examples, "failed example"),
        counted(found.options, "faulty option"),
    )
}

/// What to do if a new flow cannot be created.
pub const NEW_HINT: &str = "name a directory that does not exist yet, where you may write";
/// What to do if there is something in its place.
pub const EXISTS_HINT: &str = "name a directory that does not exist yet";

/// Said of a new flow.
pub fn written(directory: &Path) -> String {
    let shown: &dyn Display = &shown(directory);
    format!("written to {shown}; run `casepan flow check {shown}` after each change")
}

/// Returns what stands under the id of a fact: where it comes from, an example of a place, its values, its sentence.
pub fn fact(spec: &FactSpec) -> [String; 2] {
    let origin = match spec.origin {
        Origin::Asked => "asked",
        Origin::Derived => "derived",
    };
    let line = format!("{origin} at {}: {}", spec.at.example(), spec.wanted());
    [line, spec.sentence.to_string()]
}
