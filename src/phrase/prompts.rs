//! What is said back to a key or a line: prompts, notices, refusals.
//!
//! A key is handed in by its name, as the keymap in force has it.

pub mod call;
pub mod days;
pub mod desk;
pub mod editing;
pub mod find;
pub mod keys;
pub mod life;
pub mod tour;
pub mod units;
pub mod whatif;

use jiff::civil::Date;

use super::number_words;
use super::words::day_in_words;
use crate::fact::Unit;

/// The answer *yes* behind its digit.
pub const YES: &str = "yes";

/// The answer *no* behind its digit.
pub const NO: &str = "no";

/// What `9` does in a list that is longer than the digits.
pub const MORE: &str = "more";

/// What `9` does where the last choices of a long list are shown.
pub const BACK_TO_FIRST: &str = "back to the first";

/// Said where a list is answered by a digit and something else was pressed.
pub const PRESS_A_DIGIT: &str = "press the digit of a choice";

/// Said where a digit answers and the line is typed instead.
pub const YES_OR_NO: &str = "1 is yes, 2 is no";

/// Said where 0 is pressed although teeth are marked.
pub const UNMARK_FIRST: &str = "0 means none; unmark the teeth first";

/// Said where something is typed and no question is open.
pub const NO_QUESTION: &str = "no question is open";

/// Stands for an answer whose question has no name.
pub const THIS_ANSWER: &str = "this answer";

/// Said where the value before is wanted and there is none.
pub const NO_PREVIOUS_VALUE: &str = "no previous value in this row";

/// Said where wall by wall is switched away from any prep.
pub const GO_TO_A_PREP: &str = "go to a prep first";

/// Said where nothing was answered in this session.
pub const NOTHING_TO_UNDO: &str = "nothing to undo in this session";

/// Said where nothing was undone.
pub const NOTHING_TO_REDO: &str = "nothing to redo";

/// Said where the date of an earlier record is wanted for a new one.
pub const NEW_RECORD_HAS_ITS_DATE: &str = "the new record has its own date; enter it";

/// Said where an earlier measurement is wanted of a prep that was cut since.
pub const PREP_WAS_CUT: &str = "this prep has been cut since; measure it again";

/// Said where a reading has one instrument only.
pub const NO_OTHER_INSTRUMENT: &str = "no other instrument for this reading";

/// Said where text is pasted that nothing takes.
pub const PASTE_INTO_FIELDS: &str = "text can be pasted only into text and number fields";

/// Said where the same key came again sooner than anybody reads.
pub const SECOND_PRESS: &str = "second press ignored";

/// Said where a key was held down.
pub const KEY_HELD: &str = "key held down: counted once";

/// Says that a key does nothing at the open question or line.
pub fn no_choice(pressed: char, help_key: &str) -> String {
    format!("\"{pressed}\" does nothing here; {help_key} lists the keys")
}

/// Says what to enter, such as *0.5 to 12 mm*, where something else was typed.
pub fn enter(wanted: &str) -> String {
    format!("enter {wanted}")
}

/// Says that a typed text is not a number.
pub fn not_a_number(text: &str) -> String {
    format!("{text} is not a number")
}

/// Says that a reading is finer than its instrument.
pub fn finer_than_instrument(
    instrument: &str,
    step: f64,
    unit: Unit,
    instrument_key: &str,
) -> String {
    let decimals = (0..3).find(|decimals| {
        let scaled = step * 10f64.powi(*decimals);
        (scaled - scaled.round()).abs() < 1e-9
    });
    let step = number_words(step, unit, Some(decimals.unwrap_or(3) as usize));
    format!(
        "{instrument} reads in {step} steps; round the value, or press {instrument_key} for another instrument"
    )
}

/// Says that two days contradict each other, each with the name of its fact.
pub fn days_clash((fact, day): (&str, Date), (other, other_day): (&str, Date)) -> String {
    format!(
        "{fact} {}, but {other} {}: correct the wrong one",
        day_in_words(day),
        day_in_words(other_day)
    )
}

/// Says that Enter went back to a step that was passed: its title and the cell.
pub fn back_to(step: &str, cell: &str) -> String {
    format!("back to {step}: {cell}")
}

/// Says that the last answer was undone.
pub fn undone(redo_key: &str) -> String {
    format!("undone; {redo_key} redoes it")
}

/// Says that what was undone is there again.
pub fn redone(undo_key: &str) -> String {
    format!("redone; {undo_key} undoes it")
}

/// Says how to leave, where there is nothing to go back to.
pub fn how_to_leave(leave_key: &str) -> String {
    format!("{leave_key} leaves; every answer is saved")
}

/// Says that leaving drops an answer of the call that was begun.
pub fn answer_not_saved(call_key: &str, leave_key: &str) -> String {
    format!(
        "an answer on the call is not saved yet: {call_key} shows it, {leave_key} leaves without it"
    )
}

/// Asks whether a case number that looks like a name is meant.
pub fn looks_like_name(number: &str) -> String {
    format!("No patient names: use \"{number}\" as the case number?")
}

/// Says that a case number is taken.
pub fn number_taken(number: &str) -> String {
    format!("case {number} is already on the worklist")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_step_is_said_with_its_unit_and_no_more_decimals_than_it_has() {
        for (step, unit, said) in [
            (0.1, Unit::Mm, "reads in 0.1 mm steps"),
            (0.01, Unit::Mm, "reads in 0.01 mm steps"),
            (1.0, Unit::Deg, "reads in 1° steps"),
        ] {
            let text = finer_than_instrument("caliper", step, unit, "i");
            assert!(text.contains(said), "{text}");
        }
    }
}
