//! Case files on the command line.

use jiff::civil::Date;

/// What to do if a case file cannot be read.
pub const UNREAD_HINT: &str = "name a case file that exists and that you may read";

/// Said of a directory.
pub fn is_a_directory(name: &str) -> String {
    format!("{name} is a directory, not a case file")
}

/// What to do then.
pub const IS_A_DIRECTORY_HINT: &str = "name a .ron file, such as demo/bridge-44-46.ron";

/// Said of a file that is too long.
pub fn too_long(name: &str) -> String {
    format!("{name} is longer than any case file")
}

/// What to do then.
pub fn too_long_hint(most: usize) -> String {
    format!("a case file has at most {most} bytes; is this the right file?")
}

/// Said of a file that is not text.
pub fn not_text(name: &str) -> String {
    format!("{name} cannot be read as text")
}

/// Said of a case file with problems, which stand above.
pub fn problems(name: &str, count: usize) -> String {
    format!(
        "{name}: {}, nothing was judged",
        super::counted(count, "problem")
    )
}

/// Said of a day after today in a case file: what it is the day of, in the words of the file.
pub fn in_the_future(name: &str, what: &str, day: Date) -> String {
    format!("{name}: {what} on {day}, which is in the future")
}

/// What to do then.
pub const IN_THE_FUTURE_HINT: &str = "correct the day";

/// Said of a case for another flow.
pub fn other_flow(wanted: &str, active: &str) -> String {
    format!("the case is for the flow \"{wanted}\", the active flow is \"{active}\"")
}

/// Said of a case for another version of the active flow.
pub fn other_version(name: &str, flow: &str, written: u32, active: u32) -> String {
    format!(
        "note: {name} was written for version {written} of the flow \"{flow}\"; it is judged by version {active}"
    )
}

/// Beside the name of that flow.
pub const OTHER_FLOW: &str = "another flow";
/// What to do then.
pub const OTHER_FLOW_HINT: &str = "name its flow with --flow DIR, or correct `flow` in the case";

/// Beside a name that the active flow does not have.
pub fn not_in_flow(flow: &str) -> String {
    format!("not in the flow \"{flow}\"")
}
