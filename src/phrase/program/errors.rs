//! Errors that more than one command can have.

use crate::text::shown;
use std::fmt::Display;
use std::io;
use std::path::Path;

/// Whoever read the output went away; never shown.
pub const NO_READER: &str = "the reader of the output is gone";

/// Said if the program panicked.
pub const FAILED: &str = "internal error, not your input";
/// What to do then.
pub const FAILED_HINT: &str = "every answer is saved except those marked NOT SAVED; please keep the lines above and note what you did last";

/// Said if a print could not be made.
pub fn no_print(error: &dyn Display) -> String {
    format!("the print cannot be made: {error}")
}

/// Said if a case was opened and is missing all the same.
pub const NOT_OPENED: &str = "the case was opened but is missing";

/// Said if reading or writing failed.
pub fn broke_off(error: &io::Error) -> String {
    format!("reading or writing failed: {error}")
}

/// Said of a file that cannot be read.
pub fn cannot_be_read(name: &str, error: &io::Error) -> String {
    format!("{name} cannot be read: {error}")
}

/// Said of a file or a directory that cannot be created.
pub fn cannot_be_created(path: &Path, error: &io::Error) -> String {
    format!("{} cannot be created: {error}", shown(path))
}

/// Said of a file or a directory that must not exist yet.
pub fn already_exists(path: &Path) -> String {
    format!("{} already exists", shown(path))
}

/// What to do if the directory of manual pages cannot be created.
pub const WRITABLE_DIRECTORY: &str = "name a directory where you may write";

/// Suggests a name that is close to what was typed.
pub fn did_you_mean(name: &str) -> String {
    format!("did you mean \"{name}\"?")
}

/// Said if the user has no home directory and names no archive.
pub const NO_HOME: &str = "this user has no home directory to keep the archive in";
/// What to do then.
pub const NO_HOME_HINT: &str = "name the archive with --archive PATH";

/// Said if there is no sample case of this name.
pub fn no_sample(name: &str) -> String {
    format!("there is no sample case \"{name}\"")
}

/// Which sample cases there are.
pub fn samples(names: &[&str]) -> String {
    format!("there are {}", names.join(", "))
}

/// Said if a sample case cannot be read.
pub const SAMPLE_UNREADABLE: &str = "a sample case cannot be read";

/// Said if the temporary directory of a sample case cannot be created.
pub fn no_temporary_directory(error: &io::Error) -> String {
    format!("no temporary directory can be created: {error}")
}

/// How many manual pages were written, and where.
pub fn pages_written(count: usize, directory: &Path) -> String {
    format!(
        "{} written to {}",
        super::counted(count, "page"),
        shown(directory)
    )
}
