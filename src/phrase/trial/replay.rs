//! A flow tried on the record, in a laboratory's own words.

use jiff::civil::Date;

use super::{kinds, percent};
use crate::case::outcome::Kind;
use crate::phrase::learn::{counted, of_months};
use crate::phrase::outcome;
use crate::phrase::words::day_in_words;

/// Says that none of the cases could be judged.
pub fn nothing_judged(unread: usize) -> String {
    match unread {
        1 => "nothing was judged: 1 case cannot be read".to_owned(),
        n => format!("nothing was judged: {n} cases cannot be read"),
    }
}
/// What to do about it.
pub const NOTHING_JUDGED_HINT: &str = "`casepan archive check` says what is damaged";

/// Says that reading was broken off.
pub fn broken_off(done: usize, of: usize) -> String {
    format!("Broken off after {done} of {of} cases; only these were looked at.")
}

/// Heads a flow tried on the record.
pub fn replayed(flow: &str, restorations: u64) -> String {
    format!(
        "{} judged by {flow}, each as it was found, before anybody decided anything.",
        counted(restorations)
    )
}

/// Says how many results wait for something that was never asked.
pub fn never_asked(open: u64) -> String {
    format!("{open} more stay open: the flow looks at what was never asked.")
}

/// Says that too much is open.
pub fn too_open(open: u64, of: u64) -> String {
    format!(
        "{open} of {} stay open: this flow looks at what was never asked",
        counted(of)
    )
}
/// What to do then.
pub const TOO_OPEN_HINT: &str = "beyond 30 % nothing is told; ask the new questions for some months, or take the rules on them out";

/// Says for how many the dentist is asked.
pub fn calls_moved(before: u64, after: u64) -> String {
    format!("The dentist is asked about {after} instead of {before}.")
}

/// Heads results that are others.
pub const MOVES: &str = "Results that are others";
/// Says that none is.
pub const NO_MOVES: &str = "No result is another.";
/// Heads the cases whose results are others.
pub const MOVED_CASES: &str = "Cases";

/// What became of some restorations, in a line.
pub struct Several {
    /// How many there are.
    pub count: u64,
    /// How many of those made as they were came back, and of how many.
    pub came: (u64, u64),
    /// The share with its interval.
    pub interval: Option<(f64, f64)>,
    /// How many were never tried as they were.
    pub unknown: u64,
}

impl Several {
    /// Says what became of them.
    pub fn became(&self, months: i32) -> String {
        let (came, of) = self.came;
        let unknown = match self.unknown {
            0 => String::new(),
            1 => "; 1 was changed or not made, what it would have done nobody knows".to_owned(),
            n => format!("; {n} were changed or not made, what they would have done nobody knows"),
        };
        let share = match (of, self.interval) {
            (0, _) | (_, None) => "none was made as it was and followed long enough".to_owned(),
            (of, Some((low, high))) => format!(
                "of {of} made as they were {came} came back within {}, {} % ({} to {})",
                of_months(months),
                percent(came as f64 / of as f64),
                percent(low),
                percent(high)
            ),
        };
        format!("{share}{unknown}")
    }
}

/// Says how many results moved from one to another, and what became of them.
pub fn moved(from: &str, to: &str, several: &Several, months: i32) -> String {
    format!(
        "{:>5}  {from} → {to}: {}",
        several.count,
        several.became(months)
    )
}

/// Says how many calls are added.
pub fn added(several: &Several, months: i32) -> String {
    let calls = if several.count == 1 { "call" } else { "calls" };
    format!("{} more {calls}: {}", several.count, several.became(months))
}

/// Says how many calls are saved.
pub fn saved(several: &Several, months: i32) -> String {
    let calls = if several.count == 1 { "call" } else { "calls" };
    format!(
        "{} fewer {calls}: {}",
        several.count,
        several.became(months)
    )
}

/// Says of a case how its result moved.
pub fn moved_case(number: &str, restoration: u8, from: &str, to: &str) -> String {
    format!("{number} R{restoration}  {from} → {to}")
}

/// Says what cannot be told of another flow.
pub const ONLY_AS_FOUND: &str =
    "Only what was made as it was can answer. What was changed or held back was never tried.";

/// Says that a name fits no limit.
pub fn no_limit(name: &str) -> String {
    format!("the flow has no limit \"{name}\"")
}
/// What to do then.
pub const NO_LIMIT_HINT: &str =
    "name a rule, as in stump-short:call:2.5; `casepan flow sources` lists every limit";
/// Says that a name fits more than one limit.
pub fn which_limit(name: &str) -> String {
    format!("\"{name}\" could be more than one limit")
}
/// Lists the limits that a name fits.
pub fn one_of_limits(names: &[String]) -> String {
    format!("name one of {}", names.join(", "))
}
/// Says that a text is no number.
pub fn no_number(text: &str) -> String {
    format!("\"{text}\" is not a number")
}
/// Says that there are no steps.
pub const NO_STEPS: &str =
    "the limit is moved from a lower to a higher number, by steps of more than 0";
/// What to do then.
pub const NO_STEPS_HINT: &str = "such as --sweep stump-short:call:2.5 2 4 0.25";
/// Says that there are too many steps.
pub fn too_many_steps(steps: usize, most: usize) -> String {
    format!("{steps} steps are too many to be read; at most {most} are made")
}
/// What to do then.
pub const TOO_MANY_STEPS_HINT: &str = "take a larger step";
/// Says that a number is none that the fact can have.
pub fn limit_never(number: f64, fact: &str) -> String {
    format!("{fact} is never {number}")
}
/// Says that too few came back.
pub fn too_few_returns(returns: u64) -> String {
    let came = match returns {
        0 => "none of those made as they were came back".to_owned(),
        1 => "1 of those made as they were came back".to_owned(),
        n => format!("{n} of those made as they were came back"),
    };
    format!("{came}: slices of so few say nothing")
}
/// What to do then.
pub const TOO_FEW_RETURNS_HINT: &str = "five returns are needed at least; count more kinds with --of, or follow for longer with --within";

/// Heads a limit that is moved.
pub fn swept(rule: &str, level: &str, label: &str, of: &[Kind]) -> String {
    format!("{rule}, {level}: {label}; {}", kinds(of))
}

/// Says of how many restorations it is known in which slice they lie.
pub fn in_slices(decidable: u64, open: u64, closing: Date, months: i32) -> String {
    let open = match open {
        0 => String::new(),
        n => format!("; {n} more open: something was never asked"),
    };
    format!(
        "{} as found, up to {}, each followed for {}{open}",
        counted(decidable),
        day_in_words(closing),
        of_months(months)
    )
}

/// Names a slice by its ends.
pub fn slice(from: Option<&str>, to: Option<&str>) -> String {
    match (from, to) {
        (None, Some(to)) => format!("told at {to}"),
        (Some(from), Some(to)) => format!("{from} to {to}"),
        (Some(from), None) => format!("silent at {from}"),
        (None, None) => String::new(),
    }
}

/// Names a slice with the unit of its limit, where that has one.
pub fn with_unit(slice: &str, unit: &str) -> String {
    format!("{slice} {unit}").trim_end().to_owned()
}

/// How many columns a bar has among slices.
pub const BAR: usize = 21;

/// Heads the columns of slices; the scale stands over the bars. The unit is that of the limit.
pub fn columns(unit: &str, scale: String) -> Vec<String> {
    let limit = match unit {
        "" => "limit".to_owned(),
        unit => format!("limit {unit}"),
    };
    let head = [&limit, "cases", "told", "as-is", "back"].map(str::to_owned);
    let rest = [scale, "unknown".to_owned(), String::new()];
    head.into_iter().chain(rest).collect()
}

/// Stands beside the slice at whose end the limit stands now.
pub const NOW: &str = "now";

/// Says how many the rule tells of; of the last slice there is no limit to tell at.
pub fn told(told: Option<u64>) -> String {
    told.map_or_else(|| "–".to_owned(), |told| told.to_string())
}

/// Says what the columns of slices are.
pub const SLICES_ARE: [&str; 4] = [
    "told     how many the rule tells of with its limit there",
    "as-is    made as found, and followed long enough; only these can answer",
    "unknown  changed, withdrawn or not delivered: what they would have done nobody saw",
    "The rest of the cases were made as found and are not followed for so long yet.",
];

/// Says what it means to put the limit somewhere else.
pub fn put_to(from: &str, to: &str, more: bool, several: &Several, months: i32) -> String {
    let word = if more { "more" } else { "fewer" };
    format!(
        "{from} → {to}: told of {} {word}; {}",
        several.count,
        several.became(months)
    )
}

/// Says why no limit is marked.
pub fn none_is_best(returns: u64, slices: usize) -> String {
    format!(
        "No limit is marked as best: with {returns} returns the best of {slices} is mostly luck."
    )
}

/// What to do on the screen where too few came back. The key is filled in.
pub const FOLLOW_ON: &str = "Five returns are needed at least; {within} follows each restoration for another number of months.";

/// Says on the screen where a whole flow is tried.
pub const ANOTHER_FLOW: &str =
    "A whole flow of your own is tried on the record with `casepan flow replay DIRECTORY`.";

/// Says how a limit is moved, and which limit of its rule it is of how many.
pub fn moved_by(step: &str, (nth, of): (usize, usize)) -> String {
    match of {
        1 => format!("steps of {step}"),
        of => format!("limit {nth} of {of}, steps of {step}"),
    }
}

/// Said of a rule that has no limit to be moved.
pub const NO_LIMIT_HERE: &str =
    "This rule has no limit that could be moved: it looks at answers, not at numbers.";

/// Titles the cases of a slice.
pub fn cases(rule: &str, level: &str, slice: &str) -> String {
    format!("{rule}, {level}: {slice}")
}
/// Counts the restorations of a slice.
pub fn so_many(count: usize) -> String {
    counted(count as u64)
}
/// Says which rows of a long list are shown.
pub fn part(first: usize, last: usize, of: usize) -> String {
    format!("{first} to {last} of {of}")
}
/// Heads the columns of the cases of a slice.
pub const CASES: [&str; 4] = ["case", "delivered", "came back", "counts as"];
/// Names a restoration by its case.
pub fn case(number: &str, restoration: u8) -> String {
    format!("{number} R{restoration}")
}
/// Says a day, or that there is none.
pub fn day(day: Option<Date>) -> String {
    day.map_or_else(|| "–".to_owned(), day_in_words)
}
/// Says how something came back, and when.
pub fn back(back: Option<(Kind, Date)>) -> String {
    back.map_or_else(
        || "–".to_owned(),
        |(kind, on)| format!("{}, {}", outcome::kind(kind), day_in_words(on)),
    )
}
/// Said of what came back within the time.
pub const CAME_BACK: &str = "back";
/// Said of what did not.
pub const STAYED: &str = "not back";
/// Said of what was not followed long enough.
pub const NOT_YET: &str = "not long enough";
/// Said of what a dentist ordered who never said what became of anything.
pub const UNHEARD: &str = "never heard of";
/// Said of what was delivered after the figures closed.
pub const LATER: &str = "delivered since";
/// Said of what was changed, withdrawn or not delivered.
pub const UNKNOWN: &str = "changed or not made";
/// Said where a slice has nothing in it.
pub const EMPTY: &str = "Nothing lies in this slice.";
