//! The inspection line by line: how it begins and how it ended.

/// What to do if there is no case of this number.
pub const NO_CASE_HINT: &str = "--units \"44 x45 46\" creates a case with these units";

/// How units are typed.
pub const UNITS_HINT: &str =
    "x marks a missing tooth, ; begins the next restoration: \"44 x45 46; 26\" in ISO 3950";

/// Said if the number of a new case looks like a name.
pub fn looks_like_name(number: &str) -> String {
    format!("{number:?} looks like a name; patient names are not saved")
}

/// What to do then.
pub const LOOKS_LIKE_NAME_HINT: &str = "add --sure if it is a case number";

/// What to do if a line was read with teeth that nobody typed.
pub const READ_BACK_HINT: &str = "add --sure if that is right, or type every tooth";

/// What to do if the teeth could be others in another notation.
pub const AMBIGUOUS_HINT: &str =
    "add --sure if these are the teeth you mean, or choose another --notation";

/// Said if the case exists with other units.
pub fn other_units(number: &str) -> String {
    format!("case {number} already exists, with other units")
}

/// What to do then.
pub const OTHER_UNITS_HINT: &str = "leave out --units to resume it";

/// Said of the one line that was refused.
pub fn refused(line: usize, why: &str) -> String {
    format!("line {line} was refused: {why}")
}

/// Said of several lines that were refused.
pub fn refused_lines(count: usize, line: usize, why: &str) -> String {
    format!("{count} lines were refused; the first is line {line}: {why}")
}

/// What to do if the inspection ended at a refused line.
pub const ENDED_HINT: &str =
    "everything before it is saved, nothing after it was read; fix the line and resume there";

/// What became of the other lines if the inspection went on.
pub const WENT_ON_HINT: &str = "every line that was accepted is saved";

/// What to do if a reading that was asked back was not confirmed.
pub const ASKED_BACK_HINT: &str = "to save it, answer \"yes\" or repeat the reading";

/// What to do then.
pub const BEGUN_HINT: &str = "it is saved once it has been read back and an empty line confirms it";

/// Said if a line could not be saved when it was read, and everything is saved since.
pub fn saved_late(line: usize) -> String {
    format!("line {line} could not be saved at once")
}

/// What to do then.
pub const SAVED_LATE_HINT: &str = "it is saved by now, nothing after it was read; resume there";
