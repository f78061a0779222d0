//! The questions of a step: its cells, the open question, what stands beside them.

use crate::fact::Unit;

/// Heads how to look at what is asked.
pub const HOW_TO_LOOK: &str = "How to look";

/// Stands before a notice.
pub const NOTICE_SIGN: &str = "i";

/// Stands before what went wrong.
pub const ERROR_SIGN: &str = " × ";

/// The choice that says none of the teeth of a list.
pub const NONE: &str = "none";

/// Says, beside bands that a digit picks, that a number can be typed as well.
pub const OR_A_NUMBER: &str = "a choice, or a number such as 0.6";

/// Says what a cell of free text takes.
pub const TEXT: &str = "text; no patient names";

/// Says how the teeth of a list of exceptions are marked. The key is filled in.
pub const EXCEPTIONS: &str = "0 for none of them, or digits that mark teeth; {confirm} confirms";

/// Says how teeth are marked. The key is filled in.
pub const TEETH: &str = "digits that mark teeth; {confirm} confirms";

/// Names, behind the instrument that readings are taken with, the key that takes another. The key is filled in.
pub const OTHER_INSTRUMENT: &str = " ({instrument}: other)";

/// Says which key saves a reading that is checked. The key is filled in.
pub const INSIST: &str = "{insist} saves it; any other key goes on";

/// Says what the open question takes: unit and bounds or what is typed, then the instrument.
pub fn takes(what: &str, instrument: Option<&str>, other: &str) -> String {
    match instrument {
        None => what.to_owned(),
        Some(name) if what == OR_A_NUMBER => format!("{what}; {name}{other}"),
        Some(name) => format!("{}{other}", super::listed(&[what, name])),
    }
}

/// Says the open question behind its place.
pub fn asks(place: &str, question: &str) -> String {
    match place {
        "" => question.to_owned(),
        place => format!("{place}: {question}"),
    }
}

/// Says the answer so far.
pub fn now(answer: &str) -> String {
    format!("now {answer}")
}

/// Joins what the open question takes and the answer so far.
pub fn takes_and_now(takes: &str, now: &str) -> String {
    let said: Vec<&str> = [takes, now]
        .into_iter()
        .filter(|said| !said.is_empty())
        .collect();
    said.join("; ")
}

/// Returns the words of a choice without what explains them behind a comma, for a window that is too small for more.
pub fn short_choice(words: &str) -> &str {
    words.split_once(',').map_or(words, |(head, _)| head)
}

/// Says where the inspection goes back to after a correction, and which key goes there without one.
pub fn goes_back(cell: &str, key: &str) -> String {
    format!("then back to {cell}; {key} goes there now")
}

/// Heads a table of the walls of a tooth.
pub fn of_tooth(title: &str, tooth: &str) -> String {
    format!("{title} {tooth}")
}

/// Names a question by its place, if there is more than one.
pub fn name(place: &str, label: &str) -> String {
    match place {
        "" => label.to_owned(),
        place => format!("{place} {label}"),
    }
}

/// Says that a question does not come up, and the facts that decided it.
pub fn idle(label: &str, reasons: &[String]) -> String {
    match reasons {
        [] => format!("{label}: not needed"),
        reasons => format!("{label}: not needed, {}", crate::phrase::join(reasons)),
    }
}

/// Says how many questions are left over the whole case; empty where none is.
pub fn left(questions: usize) -> String {
    match questions {
        0 => String::new(),
        n => format!("{n} left"),
    }
}

/// Marks a step that is in hand, with how many of its questions are left.
pub fn step_in_hand(step: &str) -> String {
    format!("[{step}]")
}

/// Names a step with how many of its questions are left.
pub fn step_left(step: &str, left: usize) -> String {
    match left {
        0 => step.to_owned(),
        left => format!("{step} {left}"),
    }
}

/// Names a step with how many of its questions are answered.
pub fn step_of(step: &str, answered: usize, of: usize) -> String {
    match of {
        0 => step.to_owned(),
        of => format!("{step} {answered}/{of}"),
    }
}

/// Names a step of which nothing is left.
pub fn step_done(step: &str) -> String {
    format!("● {step}")
}

/// Heads a table whose numbers have one unit.
pub fn in_unit(title: &str, unit: &str) -> String {
    match unit {
        "" => title.to_owned(),
        unit => format!("{title}, {unit}"),
    }
}

/// Says how many rows of a table are out of view; empty where none is.
pub fn out_of_view(above: usize, below: usize) -> String {
    let up = (above > 0).then(|| format!("▲ {above}"));
    let down = (below > 0).then(|| format!("▼ {below}"));
    let said: Vec<String> = up.into_iter().chain(down).collect();
    match said.is_empty() {
        true => String::new(),
        false => format!("{} more", said.join(" ")),
    }
}

/// Says a row of a table when it is read aloud: each cell behind its column.
pub fn row(label: &str, unit: Option<Unit>, cells: &[String]) -> String {
    let unit = unit.map_or("", Unit::symbol);
    format!("{}: {}", name(label, unit).trim_end(), cells.join("; "))
}

/// Says a cell of a table behind its column, when it is read aloud.
pub fn in_column(column: &str, cell: &str) -> String {
    format!("{column} {cell}")
}

/// Says a single question with its cell, when it is read aloud.
pub fn single(place: &str, label: &str, own: &str) -> String {
    format!("{}: {own}", name(place, label))
}
