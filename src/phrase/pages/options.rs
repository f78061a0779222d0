//! The table of options, and one option in full.

use crate::fact::Unit;
use crate::judge::Verdict;
use crate::phrase::{number_words, words};

/// The names of the columns behind what is done.
pub const COLUMNS: [&str; 6] = [
    RESULT_COLUMN,
    GRIP_COLUMN,
    "weakest wall",
    CUT_COLUMN,
    DAYS_COLUMN,
    "cost",
];
/// The name of the column of results.
pub const RESULT_COLUMN: &str = "result";
/// The name of the column of grip before and after.
const GRIP_COLUMN: &str = "grip";
/// The name of the column of how much tooth is cut.
const CUT_COLUMN: &str = "mm³";
/// The name of the column of days.
const DAYS_COLUMN: &str = "days";

/// Stands while options are calculated.
pub const CALCULATING: &str = "calculating";
/// Stands while two options at once are calculated.
pub const CALCULATING_TOGETHER: &str = "combinations: calculating";
/// Stands where there is no option.
pub const NONE: &str = "no options for these findings";
/// Stands in the column of results for an option that changes no figure.
pub const NO_FIGURE_SIGN: &str = "-";

/// Heads what is done.
pub const WHAT: &str = "Option";
/// Heads why an option is barred.
pub const BARRED: &str = "Ruled out";
/// Heads the result afterwards.
pub const RESULT: &str = "Result";
/// Heads the findings that are gone afterwards.
pub const GONE: &str = "Gone";
/// Heads the findings that are new or worse afterwards.
pub const WORSE: &str = "New or worse";
/// Heads grip before and after.
pub const GRIP: &str = "Grip";
/// Heads the effective part of each changed wall before and after.
pub const WALLS: &str = "Effective wall";
/// Heads how much tooth is cut.
pub const CUT: &str = "Tooth cut";
/// Heads how much of the option is enough with a reading off by its error.
pub const STEADY: &str = "With the reading error";
/// Heads who decides.
pub const WHO_DECIDES: &str = "Who decides";
/// Heads price and time.
pub const PRICE_AND_TIME: &str = "Price and time";
/// Heads the cautions.
pub const CAUTIONS: &str = "Cautions";
/// Heads the values that change.
pub const CHANGES: &str = "Changes";
/// Heads where it comes from.
pub const SOURCE: &str = "Source";

/// Says that an option changes no figure.
pub const NO_FIGURE: &str = "changes no figure, so no result is computed";
/// Says that the dentist decides.
pub const DENTIST: &str = "the dentist";
/// Says that the laboratory decides.
pub const LABORATORY: &str = "the laboratory; see the cautions";
/// Says how three options at once were found.
pub const THIRD_ADDED: &str =
    "The third option was added to the best two; other sets of three were not tried.";

/// Names the case as it is, over the options.
pub const NOW: &str = "now";

/// Says grip before and after in a column; once where it does not move.
pub fn grip_moves([before, after]: [f64; 2]) -> String {
    let say = |number: f64| number_words(number, Unit::Ratio, None);
    moves(&say(before), &say(after))
}

/// Says the effective part of a wall before and after in a column, in per cent.
pub fn wall_moves(place: &str, before: f64, after: f64) -> String {
    let say = |number: f64| number_words(number, Unit::Ratio, Some(0));
    let after = number_words(after, Unit::Percent, Some(0));
    format!("{place} {}", moves(&say(before), &after))
}

fn moves(before: &str, after: &str) -> String {
    if before == after {
        return after.to_owned();
    }
    format!("{before} → {after}")
}

/// Says a number before and after.
pub fn from_to(both: [f64; 2]) -> String {
    crate::phrase::options::from_to(both)
}

/// Says the effective part of a wall before and after, in per cent.
pub fn wall(place: &str, before: f64, after: f64) -> String {
    let say = |number: f64| number_words(number, Unit::Percent, Some(0));
    format!("{place}: {} to {}", say(before), say(after))
}

/// Says how much tooth is cut, in mm³.
pub fn cut(cut: f64) -> String {
    number_words(cut, Unit::Mm3, Some(1))
}

/// Says how much tooth is cut, under a heading that names the unit.
pub fn cut_figure(cut: f64) -> String {
    number_words(cut, Unit::Ratio, Some(1))
}

/// Says how many days an option takes, under a heading that names them; empty for none.
pub fn days_figure(days: u32) -> String {
    match days {
        0 => String::new(),
        days => days.to_string(),
    }
}

/// Says how long an option takes.
pub fn days_taken(days: u32) -> String {
    match days {
        0 => "no delay".to_owned(),
        1 => "1 day".to_owned(),
        n => format!("{n} days"),
    }
}

/// Says the result after an option in a word.
pub fn result(verdict: Verdict) -> &'static str {
    words::outcome(verdict.outcome())
}

/// Says the result before and after an option, when it is read aloud.
pub fn result_from_to(before: Verdict, after: Verdict) -> String {
    format!(
        "result from {} to {}",
        result(before),
        super::verdict_aloud(after)
    )
}

/// Says several options at once.
pub fn together(names: &[String]) -> String {
    names.join(" + ")
}

/// Says several prices.
pub fn prices(prices: &[String]) -> String {
    prices.join("; ")
}

/// Says price and time.
pub fn price_and_time(prices: &str, days: u32) -> String {
    format!("{prices}; {}", days_taken(days))
}

/// Says a column of an option behind its name, when it is read aloud.
pub fn named(column: &str, cell: &str) -> String {
    match column {
        GRIP_COLUMN => format!("grip from {cell}"),
        CUT_COLUMN => format!("tooth cut {cell} mm³"),
        DAYS_COLUMN if cell == "1" => "1 day".to_owned(),
        DAYS_COLUMN => format!("{cell} days"),
        column => format!("{column}: {cell}"),
    }
}

/// Says an option with what comes of it, when it is read aloud.
pub fn aloud(does: &str, cells: &[String]) -> String {
    let mut said = vec![does.to_owned()];
    said.extend(cells.iter().cloned());
    said.join("; ")
}
