//! Standing instructions on the command line.

use jiff::civil::Date;

use crate::case::instruction::Instruction;

/// Said if there are none.
pub const NONE: &str = "no standing instructions";

/// Returns the line of a standing instruction.
pub fn line(number: usize, own: &Instruction, ended: Option<Date>) -> String {
    let Instruction {
        dentist,
        rule,
        words,
        from,
        ..
    } = own;
    let until = own
        .until
        .map_or_else(String::new, |day| format!(" until {day}"));
    let ended = ended.map_or_else(String::new, |day| format!(", ended on {day}"));
    format!("{number}  {dentist}  {rule}  from {from}{until}{ended}  {words}")
}

/// What the code of a dentist looks like.
pub const CODE_HINT: &str = "for example K17";

/// Said if what was agreed is too long.
pub fn too_long(most: usize) -> String {
    format!("--words: more than {most} characters")
}

/// Said if the flow has no such rule.
pub fn no_rule(rule: &str) -> String {
    format!("the flow has no rule \"{rule}\"")
}

/// What to do then.
pub const NO_RULE_HINT: &str = "`casepan judge FILE --as json` names the rule of each question";

/// Said of one that was saved.
pub fn saved(from: Date) -> String {
    format!("saved, applies from {from}; findings that are on hold are still asked")
}

/// Said if there is none with this number.
pub fn no_number(number: usize) -> String {
    format!("there is no standing instruction {number}")
}

/// Said of one that was ended before.
pub fn already_ended(on: Date) -> String {
    format!("already ended on {on}")
}

/// Said of one that was ended now.
pub fn ended(on: Date) -> String {
    format!("ended on {on}")
}
