//! Follow-up: what a dentist is asked after, and what was answered, in words.

use jiff::civil::Date;

use super::words::day_in_words;
use super::{join, outcome};
use crate::case::outcome::Kind;

/// Titles the page while no dentist is shown.
pub const TITLE: &str = "Follow-up";

/// Titles the page of one dentist.
pub fn title(dentist: &str) -> String {
    format!("Follow-up: {dentist}")
}

/// Says which dentist it is of all of whom something is due.
pub fn which(nth: usize, of: usize) -> String {
    format!("dentist {nth} of {of}")
}

/// Counts restorations that are due.
pub fn due(count: usize) -> String {
    match count {
        1 => "1 restoration due".to_owned(),
        n => format!("{n} restorations due"),
    }
}

/// Says what is due of a dentist, when the last order came in, and of how much nothing was ever heard.
pub fn about(count: usize, last: Option<Date>, never: usize) -> String {
    let last = last.map_or_else(String::new, |day| {
        format!("; last order {}", day_in_words(day))
    });
    let never = match never {
        0 => String::new(),
        n => format!("; of {n} nothing was ever heard"),
    };
    format!("{} at 6 or 12 months{last}{never}.", due(count))
}

/// Said if nothing is due.
pub const NOTHING_DUE: &str =
    "Nothing is due: nothing is six or twelve months old yet, or something was heard of it since.";

/// Counts what is due and can be asked of nobody.
pub fn nobodys(count: usize) -> Option<String> {
    match count {
        0 => None,
        1 => Some(
            "1 more is due in a case without a dentist's code: nobody can be asked.".to_owned(),
        ),
        n => Some(format!(
            "{n} more are due in cases without a dentist's code: nobody can be asked."
        )),
    }
}

/// Counts the cases that cannot be read.
pub fn unread(count: usize) -> Option<String> {
    match count {
        0 => None,
        1 => Some("1 case cannot be read; what is due in it is not listed.".to_owned()),
        n => Some(format!(
            "{n} cases cannot be read; what is due in them is not listed."
        )),
    }
}

/// The columns.
pub const COLUMNS: [&str; 6] = ["case", "units", "delivered", "due", "heard last", "now"];

/// Says a row in a line.
pub fn row([case, units, delivered, due, heard, now]: &[String; 6]) -> String {
    let heard = match heard.as_str() {
        NOTHING_HEARD => "never heard of".to_owned(),
        heard => format!("heard last {heard}"),
    };
    format!("{case}: {units}, delivered {delivered}, due at {due}, {heard}: {now}")
}

/// Says a day.
pub fn day(day: Date) -> String {
    day.strftime("%-d %b %Y").to_string()
}

/// Says how long after the delivery something is due.
pub fn months(months: i32) -> String {
    format!("{months} months")
}

/// Says what was heard last, and when.
pub fn heard(what: Kind, on: Date) -> String {
    format!("{}, {}", day(on), outcome::kind(what))
}
/// Stands where nothing was heard.
pub const NOTHING_HEARD: &str = "–";

/// Said of what was quiet.
pub const QUIET: &str = "quiet";
/// Said of what nobody named.
pub const NOT_SAID: &str = "–";
/// Said of what nobody has seen.
pub const NOT_SEEN: &str = "not seen";

/// Says what was named.
pub fn now(what: Kind, at: Option<&str>, on: Option<Date>) -> String {
    let at = at.map_or_else(String::new, |at| format!(", {at}"));
    let on = on.map_or_else(String::new, |on| format!(", {}", day(on)));
    format!("{}{at}{on}", outcome::kind(what))
}

/// Says how a list is answered. The key is filled in.
pub const BY_EXCEPTION: &str = "A digit picks a row, then what happened; {all-quiet}: the dentist says that all others are quiet.";
/// Says what "not seen" does.
pub const NEITHER: &str =
    "What nobody has seen is neither quiet nor back: nothing is written, and it stays on the list.";
/// Says what else can be answered. The keys are filled in.
pub const OR_LOST: &str =
    "{no-more} lost sight of: nobody will hear of it any more; {back} leaves it as it is";

/// Says what is written down, on which day where it is not today. The key is filled in.
pub fn writes(by: &[(Kind, usize)], not_seen: usize, on: Option<Date>) -> String {
    let count = |(kind, count): &(Kind, usize)| match kind {
        Kind::Quiet => format!("{count} {QUIET}"),
        kind => format!("{count} {}", outcome::kind(*kind)),
    };
    let all: Vec<String> = by.iter().map(count).collect();
    let day = on.map_or_else(|| "today".to_owned(), day_in_words);
    let left = match not_seen {
        0 => String::new(),
        n => format!("; of {n} nothing is said and nothing is written"),
    };
    match all.as_slice() {
        [] => format!("Nothing to write{left}."),
        all => format!("{{keep-all}} writes {}, dated {day}{left}.", join(all)),
    }
}

/// Said if something is still asked of the marked restoration. The key is filled in.
pub const ANSWER_FIRST: &str = "answer what is asked first, or {back}";

/// Said if rows were not in view yet. The key is filled in.
pub fn not_looked_at(rows: usize) -> String {
    match rows {
        1 => "1 more row was not looked at yet: {page-down} shows it".to_owned(),
        n => format!("{n} more rows were not looked at yet: {{page-down}} shows them"),
    }
}

/// Said if nothing was said of any of them. The key is filled in.
pub const NOTHING_TO_WRITE: &str = "nothing to write: pick a row by its digit, or {all-quiet} if the dentist says that all are quiet";

/// Said where something else was heard while it was asked.
pub const HEARD_MEANWHILE: &str = "something was heard of it meanwhile; look at it again";

/// Said to whoever leaves with something unwritten. The keys are filled in.
pub fn not_written(named: usize) -> String {
    let what = match named {
        1 => "what you named is not written yet".to_owned(),
        n => format!("{n} that you named are not written yet"),
    };
    format!("{what}: {{keep-all}} writes all of this dentist, {{back}} once more leaves them")
}

/// Says of which case something is said.
pub fn of_case(number: &str, what: &str) -> String {
    format!("{number}: {what}")
}

/// Says how many were written down, and which were not.
pub fn written(kept: usize, not: &[String]) -> String {
    let kept = match kept {
        0 => "nothing was written down".to_owned(),
        n => format!("{n} written down"),
    };
    match not {
        [] => kept,
        not => format!("{kept}; not written: {}", not.join("; ")),
    }
}

/// Titles the sheet.
pub fn sheet(dentist: &str) -> String {
    format!("Follow-up: how are they? For {dentist}")
}

/// Asks on the sheet.
pub fn asks(on: Date) -> String {
    format!(
        "As of {}: which of these has come off, broken, or been touched since it was seated? Tick quiet for each that is well, \
         and not seen for each that nobody has looked at; else write what happened, and when.",
        day_in_words(on)
    )
}

/// Columns of the sheet beside those of the page.
pub const TO_TICK: [&str; 3] = ["quiet", "not seen", "what happened, when"];
/// A box to tick.
pub const BOX: &str = "[ ]";
/// A line to write on.
pub const LINE: &str = "________________";

/// Said on the command line if there is no such dentist.
pub fn no_dentist(dentist: &str) -> String {
    format!("no case in this archive is of dentist \"{dentist}\"")
}
/// What to do then, with the dentists of whom something is due.
pub fn no_dentist_hint(dentists: &[String]) -> String {
    match dentists {
        [] => "the code is that of the order; `casepan list --sort dentist` shows them".to_owned(),
        all => format!("something is due of {}", join(all)),
    }
}

/// Said on the command line if nothing of a dentist is due.
pub fn nothing_of(dentist: &str) -> String {
    format!(
        "Nothing is due of {dentist}: nothing is six or twelve months old yet, or something was heard of it since."
    )
}
