//! What the record says, in a laboratory's own words.

use jiff::civil::Date;

use crate::case::outcome::{Foreseen, Kind};
use crate::fact::Unit;
use crate::phrase::{join, number_words, outcome};

/// Names a flow with its version.
pub fn flow(id: &str, version: u32) -> String {
    format!("{id} {version}")
}

/// Names a band of a figure.
pub fn band(from: Option<f64>, to: Option<f64>, unit: Unit) -> String {
    let say = |figure: f64| number_words(figure, unit, None);
    match (from, to) {
        (None, Some(to)) => format!("under {}", say(to)),
        (Some(from), None) => format!("{} and more", say(from)),
        (Some(from), Some(to)) => format!("{} to under {}", say(from), say(to)),
        (None, None) => String::new(),
    }
}

/// Told apart by: the tray.
pub const BY_TRAY: &str = "tray of the impression";
/// Told apart by: the material.
pub const BY_MATERIAL: &str = "material";
/// Told apart by: the height.
pub const BY_HEIGHT: &str = "height of the lowest prep";
/// Told apart by: the taper.
pub const BY_TAPER: &str = "total taper of the most tapered prep";
/// Told apart by: the grip.
pub const BY_GRIP: &str = "grip";
/// Told apart by: the dentist.
pub const BY_DENTIST: &str = "the dentist's code";
/// Told apart by: the technician.
pub const BY_TECHNICIAN: &str = "who entered the delivery";
/// Told apart by: the flow.
pub const BY_FLOW: &str = "flow and its version";

/// Told apart by: what was answered.
pub const BY_ANSWER: &str = "what the dentist answered";
/// Told apart by: the half-year.
pub const BY_HALF_YEAR: &str = "half-year of the delivery";

/// No question was asked.
pub const NOT_ASKED: &str = "not asked";
/// The dentist was asked, and it was made as ordered.
pub const AS_ORDERED: &str = "asked, made as ordered";
/// The dentist was asked, and it was changed.
pub const CHANGED: &str = "asked, changed";
/// The dentist was asked, and nothing was settled.
pub const NOT_SETTLED: &str = "asked, not settled";

/// Names a half-year.
pub fn half_year(year: i16, second: bool) -> String {
    match second {
        false => format!("{year}, first half"),
        true => format!("{year}, second half"),
    }
}

/// Names the kinds that count; `any` where none is named.
pub(super) fn any_of(kinds: &[Kind], any: &str) -> String {
    let names: Vec<&str> = kinds.iter().map(|kind| outcome::kind(*kind)).collect();
    match names.as_slice() {
        [] => any.to_owned(),
        names => names.join(" or "),
    }
}

/// Names the kinds that count.
pub fn kinds(kinds: &[Kind]) -> String {
    any_of(kinds, "came back for any reason")
}

/// Says from when until when the figures go.
pub fn about(from: Option<Date>, to: Date, delivered: u64) -> String {
    let day = crate::phrase::words::day_in_words;
    let to = match from {
        None => format!("Up to {}", day(to)),
        Some(from) => format!("From {} to {}", day(from), day(to)),
    };
    match delivered {
        0 => format!("{to}: nothing was delivered."),
        delivered => format!("{to}: {} delivered.", counted(delivered)),
    }
}

/// What is not known, by number.
#[derive(Clone, Copy, Default, Debug)]
pub struct NotKnown {
    /// Of dentists who never said anything.
    pub unheard: u64,
    /// Withdrawn.
    pub withdrawn: u64,
    /// Not delivered yet.
    pub open: u64,
    /// Delivered after the figures closed.
    pub since: u64,
    /// Lost sight of.
    pub lost: u64,
    /// Not followed long enough.
    pub unripe: u64,
    /// Those of them that came back all the same.
    pub unripe_came: u64,
    /// Cases that cannot be read.
    pub unread: usize,
}

/// Says what is not known.
pub fn not_known(own: NotKnown, months: i32, delivered: u64) -> String {
    let already = match own.unripe_came {
        0 => String::new(),
        1 => ", 1 of them back already".to_owned(),
        n => format!(", {n} of them back already"),
    };
    let months = of_months(months);
    let unripe = format!("{} not followed for {months} yet{already}", own.unripe);
    let unread = match own.unread {
        1 => "1 case that cannot be read".to_owned(),
        n => format!("{n} cases that cannot be read"),
    };
    let unheard = format!(
        "{} of dentists who never said what became of anything, and silence is not quiet",
        own.unheard
    );
    let parts = [
        (own.unheard, unheard),
        (own.unripe, unripe),
        (own.lost, format!("{} lost sight of", own.lost)),
        (own.withdrawn, format!("{} withdrawn", own.withdrawn)),
        (own.open, format!("{} not delivered yet", own.open)),
        (own.since, format!("{} delivered since", own.since)),
        (own.unread as u64, unread),
    ];
    let parts: Vec<String> = parts
        .into_iter()
        .filter(|(count, _)| *count > 0)
        .map(|(_, words)| words)
        .collect();
    match parts.is_empty() {
        true if delivered == 0 => String::new(),
        true => "Of all of them it is known what became of them.".to_owned(),
        false => format!("Not known: {}.", parts.join("; ")),
    }
}

/// Says how many restorations.
pub fn counted(count: u64) -> String {
    match count {
        1 => "1 restoration".to_owned(),
        n => format!("{n} restorations"),
    }
}

pub(super) fn of_months(months: i32) -> String {
    match months {
        1 => "a month".to_owned(),
        12 => "a year".to_owned(),
        n => format!("{n} months"),
    }
}

/// Says how many came back within so many months, with the share and its interval; without a percentage where they are few.
pub fn came(
    what: &str,
    months: i32,
    (came, of): (u64, u64),
    interval: Option<(f64, f64)>,
    is_few: bool,
) -> String {
    format!(
        "{what} within {}: {}",
        of_months(months),
        share((came, of), interval, is_few)
    )
}

/// Says a share with its interval.
pub fn share((came, of): (u64, u64), interval: Option<(f64, f64)>, is_few: bool) -> String {
    let counted = format!("{came} of {of}");
    let percent = |share: f64| format!("{:.0}", share * 100.0);
    match interval {
        None => format!("{counted}, nothing is known"),
        Some((low, high)) if is_few => {
            format!(
                "{counted}: nothing follows ({} to {} %)",
                percent(low),
                percent(high)
            )
        }
        Some((low, high)) => format!(
            "{counted}, {} % ({} to {})",
            percent(came as f64 / of.max(1) as f64),
            percent(low),
            percent(high)
        ),
    }
}

/// Heads the page.
pub fn title(of: &[Kind], months: i32) -> String {
    let within = of_months(months);
    match of {
        [] => format!("Came back within {within}, for any reason"),
        of => format!("Came back within {within}: {}", kinds(of)),
    }
}

/// A share in percent.
pub fn percent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}

/// Said until the first case is read.
pub const READS: &str = "The cases are being read.";

/// Says what restorations are told apart by, and which it is of so many.
pub fn told_apart(by: &[String], (nth, of): (usize, usize)) -> String {
    match by {
        [] => format!("all together ({nth} of {of})"),
        by => format!("by {} ({nth} of {of})", join(by)),
    }
}

/// Writes a sentence from what was said in a line.
pub fn sentence(text: &str) -> String {
    let mut chars = text.chars();
    let first = chars.next().map(|c| c.to_uppercase().to_string());
    format!("{}{}.", first.unwrap_or_default(), chars.as_str())
}

/// Heads what it came back for.
pub const FOR_WHAT: &str = "For what";
/// Heads a column of kinds.
pub const KIND: &str = "came back for";
/// Heads whether the bench could have seen it.
pub const FORESEEN: &str = "Could the bench have seen it?";
/// Heads a column of what was said to it.
pub const SAID: &str = "what was said";
/// Heads the half-years.
pub const HALVES: &str = "By the half-year of the delivery";
/// Heads a column of half-years.
pub const DELIVERED_IN: &str = "delivered in";
/// Heads a column of shares.
pub const CAME_BACK: &str = "came back";
/// Heads a column of comparisons.
pub const AGAINST: &str = "against all others";

/// Heads the groups.
pub fn by(groups: &[String]) -> String {
    format!("By {}", join(groups))
}

/// Says what a group has against all others.
pub fn times(ratio: Option<f64>, low: f64, high: Option<f64>) -> String {
    let say = |times: f64| match times {
        times if times < 10.0 => format!("{times:.1}"),
        times => format!("{times:.0}"),
    };
    let high = high.map_or_else(|| "no upper end".to_owned(), say);
    match ratio {
        Some(ratio) => format!("{} times ({} to {high})", say(ratio), say(low)),
        None => format!("more than {} times ({high})", say(low)),
    }
}

/// Says the same within each dentist, put together.
pub fn within_dentists(group: &str, ratio: f64, low: f64, high: f64) -> String {
    format!("{group}, compared within each dentist: {ratio:.1} times ({low:.1} to {high:.1}).")
}

/// Says which groups stand out.
pub fn stand_out(groups: &[String]) -> String {
    match groups {
        [one] => format!("{one} stands out: chance alone hardly brings that."),
        several => format!(
            "{} stand out: chance alone hardly brings that.",
            several.join("; ")
        ),
    }
}

/// Says why something stands out although its interval is wide.
pub const ALL_THE_TIME: &str = "That is over all the time for which each was followed; within the time above alone, it could still be as often.";

/// Says that a group is too small to be compared.
pub const TOO_FEW: &str = "too few to compare";
/// Says that one habit could explain it.
pub const FEW_DENTISTS: &str = "too few dentists to compare";

/// Says what it takes to see more.
pub fn needed(returns: u64, needed: u64) -> String {
    format!(
        "{returns} came back so far. To see what makes it 3 times as often in a quarter of the work, it takes about {needed}."
    )
}

/// Says that no group stands out.
pub const NO_DIFFERENCE: &str = "No difference is shown; that does not say that there is none.";

/// What to do on the screen about what is not counted by who made it. The key is filled in.
pub const OTHER_KINDS: &str = "{kinds} counts what is seen at fit";

/// Heads what came back although nothing had been found.
pub const UNFOUND: &str = "Came back although nothing had been found";
/// Says what that list is for.
pub const UNFOUND_WHY: &str = "All that is known of what was delivered until then. Read each one. It is a list and no rate: nobody knows how often a rule would have had to speak.";
/// Says that there is no such thing.
pub const UNFOUND_NONE: &str = "Nothing.";

/// One line of that list.
pub fn unfound(
    number: &str,
    teeth: &[String],
    what: Kind,
    on: Date,
    seen: Option<Foreseen>,
) -> String {
    let seen = seen.map_or_else(String::new, |seen| {
        format!(" – {}", outcome::foreseen(seen))
    });
    format!(
        "{} {} {} {}{seen}",
        crate::phrase::words::day_in_words(on),
        number,
        teeth.join(" "),
        outcome::kind(what)
    )
}

/// Heads a column of times.
pub const AFTER: &str = "after";
/// Heads a column of shares that stay.
pub const STILL: &str = "stayed";
/// Heads a column of intervals.
pub const BETWEEN: &str = "95 % between";
/// Heads a column of numbers at risk.
pub const FOLLOWED: &str = "still followed";

/// Says a time since delivery.
pub fn after(months: i32) -> String {
    of_months(months)
}

/// Says an interval of shares.
pub fn between(low: f64, high: f64) -> String {
    format!("{:.0} and {:.0} %", low * 100.0, high * 100.0)
}

/// Names the curve.
pub const CURVE: &str = "How long they stay";
/// Says what the curve shows.
pub const CURVE_CAPTION: &str = "Share without it by months since delivery; dashed: 95 % band. It ends where fewer than 10 are followed.";
/// Names what came back by kind over time.
pub const BY_KIND: &str = "What came back first";
/// Names the same of one group.
pub fn by_kind_of(group: &str) -> String {
    format!("What came back first: {group}")
}
/// Says what is counted.
pub const BY_KIND_MEANS: &str = "Of each restoration its first return counts. One whose tooth is lost cannot come back for anything else, and is not counted as one that stays.";
/// Says a share with its band at 95 %.
pub fn so_many(share: f64, band: Option<(f64, f64)>) -> String {
    match band {
        Some((low, high)) => format!(
            "{} ({:.0}–{:.0})",
            percent(share),
            low * 100.0,
            high * 100.0
        ),
        None => percent(share),
    }
}
/// Says which letter is what.
pub fn lettered(letter: char, name: &str) -> String {
    format!("{letter} {name}")
}
/// Says what the curves show, each by its letter.
pub fn by_kind_caption(names: &[String]) -> String {
    format!(
        "Share that came back first for this, by months since delivery: {}. It ends where fewer than 10 are followed.",
        names.join(", ")
    )
}
/// Says what the lines of a funnel mean.
pub const FUNNEL_LINES: &str = "In the funnel: how many were followed, and the share that came back; level: all together; dashed: 95 %, dotted: 99.8 % of what chance brings.";
/// Names the funnel.
pub const FUNNEL: &str = "Dentists in their funnel";

/// Says what the funnel shows.
pub fn funnel_caption(target: f64, names: &[String]) -> String {
    format!(
        "Share that came back by how many were followed, against {} of all: dashed 95 %, dotted 99.8 % of what chance brings. {}.",
        percent(target),
        names.join(", ")
    )
}

/// Names the group of what is not known.
pub const NOT_KNOWN: &str = "not known";

/// Says that returns are too few to tell groups apart.
pub fn too_few(returns: u64) -> String {
    format!("{returns} came back in all: too few to tell one group from another.")
}

/// Says what a comparison of groups is not.
pub const NO_CAUSE: &str =
    "The groups differ in other ways too: this shows where to look, not why.";

/// Says where the record of times ends.
pub const TOO_FEW_FOLLOWED: &str = "later: fewer than 10 still followed";

/// Says why what breaks or comes off is not counted by who made it.
pub const NOT_BY_TECHNICIAN: &str = "by technician only margins, contacts, bite and shade are counted: \
    what breaks or comes off hangs on the prep, and short preps go to the best hands";
/// What to do instead.
pub const NOT_BY_TECHNICIAN_HINT: &str =
    "add --of open-margin, or another of open-margin, high-contact, contact-open and shade";

/// Says that there are too few people to tell them apart.
pub fn few_people(people: usize) -> String {
    format!("{people} people are too few to be told apart: each would be a person with a number")
}
/// What to do instead.
pub const FEW_PEOPLE_HINT: &str = "ask by tray, material, height, taper or grip";

/// Says that being seen quiet is no return.
pub const NO_RETURN: &str = "what was seen quiet, or lost sight of, has not come back";
/// What to do instead.
pub const NO_RETURN_HINT: &str = "name what came back: came-off, broke, open-margin and so on";

/// Says that no day lies in between.
pub const NO_TIME: &str = "the last day lies before the first";
/// What to do instead.
pub const NO_TIME_HINT: &str = "give --from the earlier day";
