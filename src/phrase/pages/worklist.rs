//! The worklist: what stands over it, in its columns and under it.

use jiff::civil::Date;

use crate::case::life::State;
use crate::judge::Verdict;
use crate::phrase::faults::archive::CANNOT_BE_READ;
use crate::phrase::{states, words};

/// Stands over the worklist.
pub const TITLE: &str = "casepan  Worklist";

/// The word of a filter that leaves cases of which something is late.
pub const LATE_WORD: &str = "late";
/// The word of a filter that leaves cases of which something is late or due soon.
pub const DUE_WORD: &str = "due";
/// The word of a filter that leaves one's own cases.
pub const MINE_WORD: &str = "mine";
/// The word of a filter that leaves cases that need a call.
pub const CALLS_WORD: &str = "calls";
/// The word of a filter that leaves cases that wait for something.
pub const WAITING_WORD: &str = "waiting";

/// Names the ready filters, each behind its key. The keys are filled in.
pub const READY_FILTERS: &str =
    "{only-mine} mine  {only-due} late or due  {only-calls} to call  {only-waiting} waiting";

/// Says that nobody's own cases can be told without a code.
pub const NO_CODE: &str = "no code of yours is known: start the program with --who and your code";

/// Heads the column of whose turn it is.
pub const TURN: &str = "turn";
/// Says that the laboratory goes on.
pub const OURS: &str = "ours";
/// Says that the dentist has to answer or to send something.
pub const THEIRS: &str = "dentist";

/// Says today over the worklist.
pub fn today(day: Date) -> String {
    day.strftime("%a %-d %b").to_string()
}

/// Titles the marked case: number, units, materials.
pub fn marked_title(number: &str, units: &str, materials: &[String]) -> String {
    let mut title = format!("{number}  {units}");
    if !materials.is_empty() {
        title.push_str(", ");
        title.push_str(&materials.join(", "));
    }
    title.trim_end().to_owned()
}

/// Says of the marked case how many questions are left.
pub fn left(questions: usize) -> Option<String> {
    states::questions_left(questions)
}

/// Says since when somebody worked on the marked case, and who has it.
pub fn last_worked(day: &str, who: &str) -> String {
    match who {
        "" => format!("last worked on {day}"),
        who => format!("last worked on {day}, with {who}"),
    }
}

/// Says, on an empty worklist, which key starts a case. The key is filled in.
pub const FIRST_CASE: &str = "No case yet. {new-case} starts one.";

/// Says, on an empty worklist, how to see a sample case.
pub const SAMPLE: &str = "`casepan demo` opens a sample case.";

/// Says that no case has the words of the filter.
pub const NO_MATCH: &str = "No case matches.";

/// Says how the filter is cleared. The key is filled in.
pub const CLEAR_FILTER: &str = "{back} clears the filter.";

/// Stands for what is not known of a case yet.
pub const NOT_YET: &str = "…";

/// The head of the column of numbers.
pub const CASE: &str = "case";
/// The head of the column of units.
pub const UNITS: &str = "units";
/// The head of the column of dentists.
pub const DENTIST: &str = "dentist";
/// The head of the column of states.
pub const STATE: &str = "state";
/// The head of the column of results.
pub const RESULT: &str = "result";
/// The head of the column of due dates.
pub const DUE: &str = "due";
/// The head of the column of who has a case.
pub const WITH: &str = "with";
/// The head of the column of the days on which a case was last worked on.
pub const LAST: &str = "last";

/// Stands before a case that is selected.
pub const SELECTED: &str = "*";

/// Says the result of a case, or that the case cannot be read.
pub fn result(verdict: Option<Verdict>) -> &'static str {
    verdict.map_or(CANNOT_BE_READ, |verdict| words::outcome(verdict.outcome()))
}

/// Says how far a case is that is inspected: how many questions are left.
pub fn inspecting(left: usize) -> String {
    match left {
        0 => "all answered".to_owned(),
        n => states::questions_left(n).unwrap_or_default(),
    }
}

/// Says how far a case is: `in_short` is its state with what is awaited, where it is past its questions.
pub fn state(
    state: State,
    in_short: &str,
    left: usize,
    (not_covered, restorations): (usize, usize),
) -> String {
    let said = match state {
        State::Inspecting => inspecting(left),
        _ => in_short.to_owned(),
    };
    match words::some_not_covered(not_covered, restorations) {
        Some(other) => format!("{said}, {other}"),
        None => said,
    }
}

/// Says of a state that two people answered something differently.
pub fn two_answers(state: &str) -> String {
    format!("two answers, {state}")
}

/// Says a day as it stands in a column: without its year where that is this year.
pub fn day(day: Date, today: Option<Date>) -> String {
    if today.is_some_and(|today| today == day) {
        return "today".to_owned();
    }
    let short = today.is_some_and(|today| today.year() == day.year());
    let form = if short { "%a %-d %b" } else { "%a %-d %b %Y" };
    day.strftime(form).to_string()
}

/// Says the day on which something is due, and whether that is past.
pub fn due(due: Date, today: Option<Date>) -> String {
    let said = day(due, today);
    if today.is_some_and(|today| due < today) {
        format!("late, {said}")
    } else {
        said
    }
}

/// Says a count with its thousands apart.
pub fn count(count: usize) -> String {
    let digits = count.to_string();
    let mut said = String::new();
    for (index, digit) in digits.chars().enumerate() {
        if index > 0 && (digits.len() - index).is_multiple_of(3) {
            said.push(',');
        }
        said.push(digit);
    }
    said
}

/// Stands in place of how many were found while the list is looked through.
pub const LOOKS: &str = "looking";

/// Says how many cases need a call, are late, are open, and how many there are.
pub fn counts(to_call: usize, late: usize, open: usize, all: usize) -> String {
    format!(
        "to call {}, late {}, open {}, all {}",
        count(to_call),
        count(late),
        count(open),
        count(all)
    )
}

/// Says how many cases have been read so far.
pub fn progress(done: usize, of: usize) -> String {
    format!("{} of {} cases read", count(done), count(of))
}

/// Says what the list is filtered by.
pub fn filter(words: &str) -> String {
    format!("filter: {words}")
}

/// Says how many cases a filter has left.
pub fn found(found: usize) -> String {
    match found {
        1 => "1 case".to_owned(),
        n => format!("{} cases", count(n)),
    }
}

/// Says aloud that a case is selected.
pub const PICKED: &str = "selected";

/// Says how many cases are selected.
pub fn selected(count: usize) -> String {
    format!("{count} selected")
}

/// Says that the list is in the day's order.
pub const SORTED_BY_TURN: &str = "calls first, then by due date";
/// Says that the list is in the order in which cases were worked on.
pub const SORTED_BY_LAST: &str = "last worked on first";
/// Says that the list is in the order of numbers.
pub const SORTED_BY_NUMBER: &str = "by number";
/// Says that the list is in the order of dentists.
pub const SORTED_BY_DENTIST: &str = "by dentist";
/// Says that the list is in the order of who has a case.
pub const SORTED_BY_WHO: &str = "by who has it";

/// Says of the marked case what was found, what it is made of and what was promised.
pub fn marked(case: &str, parts: &[String]) -> String {
    match parts {
        [] => case.to_owned(),
        parts => format!("{case}: {}", parts.join("; ")),
    }
}

/// Says the day that was promised to the dentist.
pub fn promised(day: &str) -> String {
    format!("promised for {day}")
}

/// Says the gravest finding: where, and its sentence.
pub fn gravest(at: &str, says: &str) -> String {
    if at.is_empty() {
        says.to_owned()
    } else {
        format!("{at} {says}")
    }
}

/// Says a column aloud.
pub fn column(head: &str, text: &str) -> String {
    format!("{head} {text}")
}
