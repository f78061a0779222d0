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

/// Says that the archive is not where it was.
pub fn archive_gone(archive: &dyn Display) -> String {
    format!(
        "the archive {archive} is gone: moved, removed or replaced; nothing is saved there any more"
    )
}

/// Says in which files the cases of this session are, and of which cases none could be written.
pub fn saved_aside(files: &[String], failed: &[String]) -> String {
    let mut said = Vec::new();
    if !files.is_empty() {
        said.push(format!(
            "what was entered in this session is in {}; `casepan archive import` reads it",
            files.join(", ")
        ));
    }
    if !failed.is_empty() {
        said.push(format!(
            "no file could be written for {}",
            failed.join(", ")
        ));
    }
    said.join("; ")
}

/// Says that others wrote to the case before it was printed.
pub fn print_again(news: &str, print_key: &str) -> String {
    format!("not printed yet: {news}; {print_key} prints it so")
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

/// Says that the flow of a case is written in a format that this program does not know.
pub fn flow_of_newer_format(flow: &str, format: u32, known: u32) -> String {
    format!(
        "this case was opened with flow \"{flow}\" in format {format}; this program reads flows up to format {known}"
    )
}

/// What to do about a flow in a newer format.
pub const NEWER_FORMAT_HINT: &str = "open the case with the newer version of the program";

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

/// Says which files of what came back were written: their path without an ending.
pub fn printed_returns(files: &dyn Display) -> String {
    format!("written: {files}.html, {files}.txt")
}

/// Says that the sheets of several cases were written into a folder.
pub fn printed_cases(count: usize, folder: &dyn Display) -> String {
    let folder = folder.to_string();
    let place = if folder.is_empty() {
        "this folder"
    } else {
        &folder
    };
    format!("written: sheets of {count} cases, in {place}")
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
