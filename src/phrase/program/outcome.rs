//! What became of a delivered restoration, on the command line.

use std::fmt::Display;

/// Says of a restoration that it was not delivered.
pub fn not_delivered(units: &str) -> String {
    format!("{units} not delivered")
}

/// Says an outcome behind its number in the list.
pub fn numbered(number: usize, outcome: &str) -> String {
    format!("{number}  {outcome}")
}

/// Says that an outcome was taken back.
pub fn taken_back(outcome: &str) -> String {
    format!("taken back: {outcome}")
}

/// Said if the list has no such number.
pub fn no_number(number: usize, of: usize) -> String {
    match of {
        0 => format!("--take-back: there is no outcome {number}; none is written down"),
        1 => format!("--take-back: there is no outcome {number}, only 1"),
        of => format!("--take-back: there is no outcome {number}, only 1 to {of}"),
    }
}

/// What to do then.
pub const NUMBER_HINT: &str = "`casepan outcome CASE` lists them with their numbers";

/// Said if the linked case is not in the archive.
pub fn no_case(next: &str) -> String {
    format!("--goes-on: there is no case {next:?} in this archive")
}

/// What to do then.
pub const NO_CASE_HINT: &str = "begin the case that goes on with it first, then name it here";

/// Said if several restorations could be meant.
pub const WHICH: &str = "--at: the case has several restorations; name which";

/// Said if a word is no tooth.
pub fn at(why: &dyn Display) -> String {
    format!("--at: {why}")
}

/// Said if a place is not in the case.
pub fn not_there(at: &str, number: &str) -> String {
    format!("--at: {at} is no unit and no connector of case {number}")
}

/// What to do then.
pub const AT_HINT: &str =
    "a unit such as 46, a connector such as 45-46, or R1 for a whole restoration";

/// What to do if it was not delivered.
pub const NOT_DELIVERED_HINT: &str =
    "if it left the laboratory: `casepan became CASE delivered --on DAY`";

/// What to do if it is written down already.
pub const TWICE_HINT: &str = "`casepan outcome CASE --take-back N` takes one back";

/// What to do if the day cannot be.
pub const ON_HINT: &str = "--on takes a day from the delivery to today";

/// Says how many cases could not be read, and are no part of the figures.
pub fn unread(cases: usize) -> String {
    match cases {
        1 => "1 case cannot be read: left out.".to_owned(),
        n => format!("{n} cases cannot be read: left out."),
    }
}

/// What was seen quiet, or is lost sight of, goes on as no other case.
pub const NOTHING_GOES_ON: &str = "only what went wrong goes on as another case";
/// What to do about it.
pub const NOTHING_GOES_ON_HINT: &str = "leave out --goes-on";

/// The case that is to go on has no tooth of what came back.
pub fn no_tooth(number: &str) -> String {
    format!("case {number} has no tooth of what came back")
}
/// What to do about it.
pub const NO_TOOTH_HINT: &str = "name the case in which it is made again";

/// Nothing went wrong, so there was nothing to foresee.
pub const NOTHING_SEEN: &str = "only what went wrong could have been seen at the bench";
/// What to do about it.
pub const NOTHING_SEEN_HINT: &str = "leave out --seen";

/// The case that is to go on was delivered before it came back.
pub fn delivered_before(number: &str) -> String {
    format!("case {number} was delivered before that day, so it is not what was made again")
}
