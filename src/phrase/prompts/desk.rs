//! What is said where answers, cases and prints are written or read.

use std::fmt::Display;

use jiff::civil::Date;

use crate::phrase::words::day_in_words;

/// Said where a flow has errors.
pub const FLOW_UNUSABLE: &str = "the flow has errors and cannot be used";

/// What to do about a flow with errors.
pub const FIX_FLOW: &str = "fix the places above and try again";

/// What to do where the folder for prints cannot be made.
pub const OTHER_PRINT_FOLDER: &str = "set another print folder in lab.ron";

/// What to do where a file cannot be written.
pub const OTHER_FOLDER: &str = "choose a folder that you can write to, on a disk with free space";

/// Says that answers could not be saved and wait in memory.
pub fn not_saved(why: &str) -> String {
    format!("NOT SAVED, only in memory: {why}")
}

/// Says that somebody else changed the case meanwhile, by the code of that person if it is known.
pub fn changed_by(who: Option<&str>) -> String {
    format!(
        "{} changed this case; latest answers shown",
        who.unwrap_or("somebody else")
    )
}

/// Says that a case cannot be read.
pub fn unreadable_case(number: &str, error: &dyn Display) -> String {
    format!("case {number}: {error}")
}

/// Says that the archive lacks the flow of a case.
pub fn flow_not_archived(flow: &str, version: u32) -> String {
    format!(
        "this case was opened with flow \"{flow}\", version {version}, which is not in the archive"
    )
}

/// Says that a folder cannot be made.
pub fn folder_not_made(folder: &dyn Display, error: &dyn Display) -> String {
    format!("{folder} cannot be created: {error}")
}

/// Says that a file cannot be written.
pub fn file_not_written(file: &dyn Display, error: &dyn Display) -> String {
    format!("{file} cannot be written: {error}")
}

/// Says which files were written: their path without an ending.
pub fn printed(files: &dyn Display) -> String {
    format!("written: {files}.html, {files}-*.txt")
}

/// Says that the sheets of several cases were written into a folder.
pub fn printed_cases(count: usize, folder: &dyn Display) -> String {
    let folder = folder.to_string();
    let place = if folder.is_empty() {
        "the current folder"
    } else {
        &folder
    };
    format!("{count} cases printed into {place}")
}

/// Says which case of several could not be printed.
pub fn not_printed(number: &str, why: &str) -> String {
    format!("case {number} was not printed: {why}")
}

/// Says that a standing instruction was saved.
pub fn instruction_saved(from: Date) -> String {
    format!(
        "standing instruction saved, valid from {}; `casepan instruction list` shows it",
        day_in_words(from)
    )
}

/// Says an error with the first of its hints.
pub fn with_hint(sentence: &str, hint: Option<&str>) -> String {
    match hint {
        Some(hint) => format!("{sentence}; {hint}"),
        None => sentence.to_owned(),
    }
}
