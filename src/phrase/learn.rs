//! What the record says, in a laboratory's own words.

use jiff::civil::Date;

use crate::case::outcome::Kind;
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

/// Names the kinds that count.
pub fn kinds(kinds: &[Kind]) -> String {
    let names: Vec<String> = kinds
        .iter()
        .map(|kind| outcome::kind(*kind).to_owned())
        .collect();
    match names.as_slice() {
        [] => "came back for any reason".to_owned(),
        names => join(names),
    }
}

/// Says until when, and what of the record is no part of the figures.
pub fn about(closing: Date, delivered: u64, not_made: u64) -> String {
    format!(
        "Up to {}: {} delivered; {not_made} not built or not delivered, of which nobody knows what they would have done.",
        crate::phrase::words::day_in_words(closing),
        restorations(delivered)
    )
}

/// Says of how many nobody knows anything.
pub fn unheard(unheard: u64) -> String {
    format!(
        "{} of dentists who never said what became of anything: left out, as silence is not quiet.",
        restorations(unheard)
    )
}

/// Says how many were not followed long enough.
pub fn unripe(unripe: u64, months: i32) -> String {
    format!(
        "{} not followed for {}: left out, returned or not.",
        restorations(unripe),
        of_months(months)
    )
}

fn restorations(count: u64) -> String {
    match count {
        1 => "1 restoration".to_owned(),
        n => format!("{n} restorations"),
    }
}

fn of_months(months: i32) -> String {
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

/// Names the group of what is not known.
pub const NOT_KNOWN: &str = "not known";

/// Says that a group has more than chance brings.
pub const STANDS_OUT: &str = "more than chance brings";

/// Says that returns are too few to tell groups apart.
pub fn too_few(returns: u64) -> String {
    format!("{returns} came back in all: too few to tell one group from another.")
}

/// Says what a comparison of groups is not.
pub const NO_CAUSE: &str =
    "The groups differ in other ways too: this shows where to look, not why.";

/// Heads how long restorations stay.
pub const STAY: &str = "Without it, by time since delivery";

/// Says the share that is left after so many months.
pub fn stays(months: i32, share: f64, band: Option<(f64, f64)>, at_risk: u64) -> String {
    let percent = |share: f64| format!("{:.0}", share * 100.0);
    let band = band.map_or_else(String::new, |(low, high)| {
        format!(" ({} to {})", percent(low), percent(high))
    });
    format!(
        "after {}: {} %{band}, {at_risk} still followed",
        of_months(months),
        percent(share)
    )
}

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
