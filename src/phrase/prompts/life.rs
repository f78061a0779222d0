//! What is asked and said about the days of a case, who has it, and what became of it.

use jiff::civil::Date;

use crate::case::life::Happened;
use crate::fact::{FactId, ORDER_DUE};
use crate::phrase::words::day_in_words;

/// Asks for a day of the case; `now` is the day so far.
pub fn day(fact: &FactId, now: Option<Date>) -> String {
    let what = if *fact == ORDER_DUE {
        "Due day at the bench"
    } else {
        "Day promised to the dentist"
    };
    match now {
        Some(now) => format!("{what} (now {})", day_in_words(now)),
        None => what.to_owned(),
    }
}

/// Says how that day is typed. The key is filled in.
pub const DAY_TAKES: &str =
    "days from today, day-month or year-month-day; {accept} alone leaves it as it is, - removes it";

/// Says which days a case has now.
pub fn days(due: Option<Date>, promised: Option<Date>) -> String {
    match (due, promised) {
        (None, None) => "no due day, nothing promised".to_owned(),
        (Some(due), None) => format!("due {}, nothing promised", day_in_words(due)),
        (None, Some(day)) => format!("no due day, promised for {}", day_in_words(day)),
        (Some(due), Some(day)) => {
            let late = if due > day {
                "; the due day is after the promised day"
            } else {
                ""
            };
            let (due, day) = (day_in_words(due), day_in_words(day));
            format!("due {due}, promised for {day}{late}")
        }
    }
}

/// Asks to whom the case is handed over.
pub const HAND_TO: &str = "Hand the case over to";
/// Says what can be typed there. The key is filled in.
pub const HAND_TO_TAKES: &str = "code of a person or a bench, one word; no names";

/// Asks for the note that goes with it.
pub fn hand_note(to: &str) -> String {
    format!("Note for {to}")
}

/// Says how the note is kept. The key is filled in.
pub const HAND_NOTE_TAKES: &str = "{accept} hands it over; empty: no note; no names";

/// Says that a note is too long.
pub fn long_note(most: usize) -> String {
    format!("the note has at most {most} characters")
}

/// Says that a case was handed over.
pub fn handed(to: &str) -> String {
    format!("handed over to {to}")
}

/// Asks what became of the case.
pub const BECAME: &str = "What happened to this case today";
/// Says what can be typed there.
pub const BECAME_DIGITS: &str =
    "1 delivered, 2 closed, 3 returned, 4 withdrawn, 5 take back what was recorded by mistake";

/// Why what came back, or never left, is not taken up again.
pub const NOT_BY_MISTAKE: &str =
    "only what was delivered, closed or withdrawn by mistake can be resumed";

/// Says what became of a case.
pub fn became(what: Happened, on: Date) -> String {
    format!("recorded: {} on {}", what.as_str(), day_in_words(on))
}

/// Asks whether something is recorded although these lines speak against it.
pub fn all_the_same(what: Happened, lines: &[String]) -> String {
    let what = what.as_str();
    format!("Record it as {what} all the same? {}", lines.join(" "))
}
