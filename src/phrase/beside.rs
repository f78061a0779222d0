//! What stands beside the readings: the days of a case, who has it, its photographs and files.

use jiff::civil::Date;

use super::coming::part;
use super::join;
use super::states::awaited;
use super::words::day_in_words;
use crate::case::beside::{CaseFile, Handed};
use crate::case::coming::{Awaited, Part};

/// Says by when a case is due and for when it was promised, and how late it is; `None` without either day.
pub fn days(due: Option<Date>, promised: Option<Date>, late: Option<i32>) -> Option<String> {
    let late = late.map(days_late);
    match (due.map(day_in_words), promised.map(day_in_words)) {
        (None, None) => None,
        (None, Some(day)) => Some(format!("Promised for {day}.")),
        (Some(due), promised) => {
            let late = late.map_or_else(String::new, |late| format!(", {late}"));
            let day = promised.map_or_else(String::new, |day| format!("; promised for {day}"));
            Some(format!("Due {due}{late}{day}."))
        }
    }
}

/// Says how many days late something is.
pub fn days_late(days: i32) -> String {
    match days {
        1 => "1 day late".to_owned(),
        n => format!("{n} days late"),
    }
}

/// Says that a promised day comes before something that is awaited.
pub fn promise_breaks(promised: Date, own: &Awaited, due: Date) -> String {
    let (promised, due) = (day_in_words(promised), day_in_words(due));
    let what = match own.part {
        Part::Impression if own.is_recorded => "the new impression or scan",
        Part::Bite => "the new bite",
        Part::Opposing => "the new record of the opposing teeth",
        Part::Temporary => "the model or photograph of the temporary",
        _ => awaited(own),
    };
    format!("Promised for {promised}; {what} is due {due}: tell the practice.")
}

/// Says that a promised day is past while the work is not out.
pub fn promise_past(promised: Date) -> String {
    let promised = day_in_words(promised);
    format!("Promised for {promised}, and that day is past: tell the practice.")
}

/// Tells the dentist that a promised day cannot be kept.
pub fn cannot_be_kept(promised: Date, what: Part, due: Date) -> String {
    let (promised, due) = (day_in_words(promised), day_in_words(due));
    format!(
        "We promised {promised}. With {} coming on {due}, that day cannot be kept.",
        part(what)
    )
}

/// Says who has a case, since when, and what is to be known or done.
pub fn with(handed: &Handed) -> String {
    let since = handed.on.map(day_in_words);
    let since = since.map_or_else(String::new, |day| format!(" since {day}"));
    match handed.note.as_str() {
        "" => format!("With {}{since}.", handed.to),
        note => format!("With {}{since}: \"{note}\"", handed.to),
    }
}

/// Says who has a case, in the header.
pub fn with_in_short(handed: &Handed) -> String {
    format!("with {}", handed.to)
}

/// Names the photographs and files of a case; `None` if it has none.
pub fn files(files: &[CaseFile]) -> Option<String> {
    let names: Vec<String> = files.iter().map(CaseFile::name).collect();
    (!names.is_empty()).then(|| format!("Photographs and files: {}.", names.join(", ")))
}

/// Tells the dentist which photographs and files can be sent.
pub fn on_file(files: &[CaseFile]) -> Option<String> {
    let names: Vec<String> = files.iter().map(CaseFile::name).collect();
    (!names.is_empty()).then(|| {
        format!(
            "We can send you these photographs and files: {}.",
            join(&names)
        )
    })
}
