//! Whole cases with what is expected of them.

use std::io;
use std::path::Path;

use super::counted;
use crate::fact::Place;
use crate::flow::Level;
use crate::text::shown;

/// Says that a folder holds no case.
pub fn no_cases(directory: &Path) -> String {
    format!("{} holds no case file", shown(directory))
}
/// Says that a folder cannot be read.
pub fn unread(directory: &Path, error: &io::Error) -> String {
    format!("{} cannot be read: {error}", shown(directory))
}
/// What to do about either.
pub const NO_CASES_HINT: &str = "name a folder with case files, such as 1.ron, each with what is expected beside it, such as 1.expected";

/// Says that all cases are as expected.
pub fn all_as_expected(cases: usize) -> String {
    format!("{}, all as expected", counted(cases, "case"))
}

/// Says how many cases are not as expected.
pub fn missed(missed: usize, of: usize) -> String {
    format!("{missed} of {} not as expected", counted(of, "case"))
}

/// The label at the place of something that is expected.
pub const EXPECTED: &str = "expected here";
/// The label at the beginning of a file.
pub const HERE: &str = "this file";

/// Says that a file expects something of a case that is not there.
pub fn no_case(expected: &Path, case: &Path) -> String {
    format!(
        "{} says what is expected, but {} does not exist",
        shown(expected),
        shown(case)
    )
}
/// What to do then.
pub const NO_CASE_HINT: &str = "put the case file beside it, or remove it";

/// Says that nothing is expected of a case.
pub fn nothing_expected(case: &Path, expected: &Path) -> String {
    format!(
        "nothing is expected of {}: {} is missing or says nothing",
        shown(case),
        shown(expected)
    )
}
/// What to do then.
pub const EXPECT_HINT: &str = "write what is expected, such as Expected(results: [(\"R1\", Call)], fires: [(\"stump-short\", \"46\", Call)])";

/// Says that a case has no such restoration.
pub fn no_restoration(name: &str) -> String {
    format!("the case has no restoration \"{name}\"")
}

/// Says that a case has no such place.
pub fn no_place(name: &str) -> String {
    format!("the case has no place \"{name}\"")
}

/// Says that a flow has no such rule; `near` is a similar one.
pub fn no_rule(name: &str, near: Option<&str>) -> String {
    match near {
        Some(near) => format!("the flow has no rule \"{name}\"; did you mean \"{near}\"?"),
        None => format!("the flow has no rule \"{name}\""),
    }
}

/// Says that a result is another.
pub fn other_result(name: &str, came: &str, wanted: &str) -> String {
    format!("{name} is {came}, expected {wanted}")
}

/// Says that a rule came to something else.
pub fn other_rule(rule: &str, came: &str, wanted: &str) -> String {
    format!("rule \"{rule}\" {came}, expected: {wanted}")
}

/// A rule that tells nothing anywhere.
pub const SILENT: &str = "silent everywhere";
/// A rule that cannot be decided somewhere.
pub const OPEN: &str = "open, and telling nothing";

/// Says where a rule tells something.
pub fn fires(at: Place, level: Level) -> String {
    format!("{level:?} at {at}")
}

/// Says what a rule came to.
pub fn came(fired: &[(Place, Level)], open: &[Place]) -> String {
    let told: Vec<String> = fired.iter().map(|(at, level)| fires(*at, *level)).collect();
    let waits: Vec<String> = open.iter().map(|at| format!("open at {at}")).collect();
    match (told.is_empty(), waits.is_empty()) {
        (true, true) => "is silent everywhere".to_owned(),
        _ => {
            let all: Vec<String> = told.into_iter().chain(waits).collect();
            format!("gives {}", all.join(", "))
        }
    }
}
