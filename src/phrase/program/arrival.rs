//! What has arrived and what became of a case, on the command line.

use std::fmt::Display;

use jiff::civil::Date;

use crate::case::coming::Part;
use crate::case::life::Happened;
use crate::phrase::coming::came_on;

/// Said if something cannot arrive for this case.
pub fn not_awaited(number: &str, why: &dyn Display) -> String {
    format!("case {number}: {why}")
}

/// What to do then.
pub const NOT_AWAITED_HINT: &str = "`casepan list` shows what each case is waiting for";

/// Said of what was recorded as arrived.
pub fn arrived(part: Part, on: Date) -> String {
    format!("recorded: {}", came_on(part, on))
}

pub use crate::phrase::prompts::life::became;

/// What a case number may have in it.
pub const NUMBER_HINT: &str = "use letters, digits and - / . _; never a patient's name";

/// Said if a case is named as the one that continues it.
pub const ITSELF: &str = "--goes-on: a case cannot continue itself";
/// What to do then.
pub const ITSELF_HINT: &str = "name the new case";

/// Said if a case that came back, or never left, is to be resumed.
pub use crate::phrase::prompts::life::NOT_BY_MISTAKE;
/// What to do then.
pub const NOT_BY_MISTAKE_HINT: &str = "work that came back continues as a new case: open that one, then `casepan became CASE returned --goes-on NUMBER`";

/// Said if the case that continues this one is not in the archive.
pub fn no_case_yet(next: &str) -> String {
    format!("note: the archive has no case {next} yet")
}

/// Said of a restoration that was delivered and is not cleared, or closed and is not out, with the line of its state.
pub fn recorded_though(what: Happened, state: &str) -> String {
    let though = match what {
        Happened::Closed => "it is not out",
        _ => "not cleared",
    };
    format!("note: {} although {though}: {state}", what.as_str())
}

/// Said of a day after today.
pub fn in_the_future(day: Date) -> String {
    format!("--on: {day} is in the future")
}

/// What to do then.
pub const IN_THE_FUTURE_HINT: &str = "leave out --on for today";

/// Said if a word after `--teeth` is not a tooth.
pub fn not_a_tooth(why: &dyn Display) -> String {
    format!("--teeth: {why}")
}

/// Said if a tooth after `--teeth` is not a unit of the case.
pub fn not_a_unit(word: &str, number: &str) -> String {
    format!("--teeth: {word} is not a unit of case {number}")
}

/// What to do then.
pub const TEETH_HINT: &str = "name units of the case, such as \"44 46\"";

/// Said if `--teeth` names none.
pub const NO_TEETH: &str = "--teeth: no tooth is named";
/// What to do then.
pub const NO_TEETH_HINT: &str = "leave it out for the whole case";
