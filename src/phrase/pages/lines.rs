//! Lines that are typed: what each is for, with an example; and what is looked for by words.

/// Says how units are typed, with an example.
pub fn units_example(example: &str) -> String {
    format!("x before a missing tooth, ; before the next restoration: {example}")
}

/// Asks for the words that filter the list of cases.
pub const FILTER: &str = "Filter the worklist";
/// Says what a filter takes.
pub const FILTER_SAID: &str =
    "number, tooth, material, dentist, state, who has it or a word of a finding";

/// Asks for the number of a new case.
pub const NUMBER: &str = "Number of the new case";
/// Says what a number may hold.
pub const NUMBER_TAKES: &str = "letters, digits and - / . _; no patient names";

/// Asks for the units of a new case.
pub fn units_of(number: &str, notation: &str) -> String {
    format!("Units of {number} ({notation})")
}

/// Asks for the units of the case that is open.
pub fn units_ordered(notation: &str) -> String {
    format!("Units ordered ({notation})")
}

/// Says how a line that is checked is kept. The keys are filled in.
pub const SURE: &str = "{accept} saves it, {back} goes back";

/// Asks for the day on which something came.
pub fn day_it_came(what: &str) -> String {
    format!("Date it arrived: {what}")
}

/// Says how that day is typed. The key is filled in.
pub const DAY_IT_CAME_TAKES: &str = "{accept}: today; or days ago, day-month, year-month-day";

/// Asks for the words of a standing instruction.
pub const STANDING: &str = "Standing instruction of this dentist, in these words";
/// Says how it is kept. The key is filled in.
pub const STANDING_TAKES: &str = "{accept} saves it; nothing that is on hold, no names";

/// Says what can be typed where the dentist is asked for something.
pub const TELL_TAKES: &str = "a number or words; - if the dentist does not know either";

/// Says what can be typed for something to have ready.
pub const READY_TAKES: &str = "one word of letters and digits; no names";

/// Asks what was said.
pub const WORDS: &str = "What was said, in short, such as the shade";
/// Says how it is kept. The key is filled in.
pub const WORDS_TAKES: &str = "{accept} goes on; no names";
/// Asks what was agreed on the cost.
pub const COST: &str = "Cost as agreed";
/// Says how it is kept. The key is filled in.
pub const COST_TAKES: &str = "{accept} goes on; empty: cost was not mentioned";
/// Asks by when.
pub const DAY: &str = "By which day";
/// Says how a day is typed. The key is filled in.
pub const DAY_TAKES: &str =
    "{accept} goes on; empty: the day calculated; or days from today, day-month, year-month-day";

/// Stands before the words that are looked for.
pub const FIND: &str = "find";

/// Says how many lines have the words, and which of them are shown, counted from 1.
pub fn found(first: usize, last: usize, all: usize) -> String {
    match all {
        0 => crate::phrase::prompts::find::NO_MATCH.to_owned(),
        n if last + 1 == first + n => format!("{n} found"),
        n => format!("{first} to {last} of {n}"),
    }
}
