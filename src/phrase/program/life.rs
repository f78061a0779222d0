//! The life of a case on the command line: its days, who has it, what was entered, its files.

use std::fmt::Display;

use jiff::civil::Date;

use crate::phrase::prompts::life::days;
use crate::phrase::words::day_in_words;

/// What to do if a code is not taken.
pub const CODE_HINT: &str = "one word of letters, digits and - / . _, at most 20, such as b2";

/// Said if the code after `--who` is not taken.
pub fn who(why: &dyn Display) -> String {
    format!("--who: {why}")
}

/// Said if the code of the person who gets a case is not taken.
pub fn to(why: &dyn Display) -> String {
    format!("TO: {why}")
}

/// Said if a note is too long.
pub fn note_long(why: &dyn Display) -> String {
    format!("NOTE: {why}")
}

/// What to do then.
pub const NOTE_HINT: &str = "say it in fewer words";

/// Says which days a case has.
pub fn days_of(number: &str, due: Option<Date>, promised: Option<Date>) -> String {
    format!("{number}: {}", days(due, promised))
}

/// Says that a case was handed over.
pub fn handed(number: &str, to: &str, on: Date) -> String {
    format!(
        "recorded: {number} handed over to {to} on {}",
        day_in_words(on)
    )
}

/// Said if a text is no place, or the fact does not belong there.
pub fn at(why: &str) -> String {
    format!("--at: {why}")
}

/// What to do then.
pub const AT_HINT: &str =
    "case, R1, a tooth such as 46, a wall such as 46/mesial, or a connector such as 45-46";

/// Said if there is no fact of this name.
pub fn no_fact(name: &str) -> String {
    format!("there is no fact \"{name}\"")
}

/// What to do then.
pub const NO_FACT_HINT: &str = "`casepan flow facts` lists them";

/// Says that a file was named.
pub fn attached(name: &str, bytes: u64) -> String {
    format!("added: {name}, {bytes} bytes")
}

/// Says that a file was named before and has not changed.
pub fn attached_already(name: &str) -> String {
    format!("already there, unchanged: {name}")
}

/// Says that a file is named no longer.
pub fn detached(name: &str) -> String {
    format!("taken off the case: {name}")
}

/// Said if a case has no files.
pub const NO_FILES: &str = "no photographs or files";

/// Said of a file that is there and the same.
pub const THERE: &str = "there, unchanged";
/// Said of a file that is there and another one.
pub const CHANGED: &str = "changed since it was added";
/// Said of a file that is not there any more.
pub const GONE: &str = "gone";
/// Said of a file that cannot be read.
pub const UNREADABLE: &str = "cannot be read";

/// Says what became of a file, in a line.
pub fn file(number: usize, name: &str, path: &str, found: &str) -> String {
    format!("{number}  {name}  {found}  {path}")
}

/// Said if a path is not a file: a folder, a device, a pipe.
pub fn not_a_file(name: &str) -> String {
    format!("{name} is not a file")
}

/// What to do then.
pub const NOT_A_FILE_HINT: &str = "name a photograph or a scan, not a folder or a device";

/// Said if a file is longer than what is read.
pub fn too_long(name: &str, most: u64) -> String {
    format!("{name} is longer than {} GB", most / 1_000_000_000)
}

/// What to do then.
pub const TOO_LONG_HINT: &str = "name a smaller file";

/// Said if a path is not text, or too long to be kept.
pub fn odd_path(name: &str) -> String {
    format!("{name}: the path cannot be kept")
}

/// What to do then.
pub const ODD_PATH_HINT: &str = "rename the file or its folder: a shorter path in plain letters";

/// Said if a file does not exist or cannot be read.
pub fn unread(name: &str, why: &dyn Display) -> String {
    format!("{name} cannot be read: {why}")
}

/// What to do then.
pub const UNREAD_HINT: &str = "check the path; nothing was recorded";

/// Said if a case would have too many files.
pub fn too_many(most: usize) -> String {
    format!("a case has at most {most} photographs and files")
}

/// What to do then.
pub const TOO_MANY_HINT: &str = "`casepan detach` takes some off the case";

/// Said if a case has no file of this path or name.
pub fn no_such_file(number: &str, name: &str) -> String {
    format!("case {number} has no file {name}")
}

/// What to do then.
pub const NO_SUCH_FILE_HINT: &str = "`casepan files CASE` lists them";

/// Said if several files have the same name.
pub fn several(name: &str) -> String {
    format!("several files are called {name}")
}

/// What to do then.
pub const SEVERAL_HINT: &str = "name it by its path, as `casepan files CASE` lists it";
