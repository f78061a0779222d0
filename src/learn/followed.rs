//! How long a restoration was followed: to the last day on which its dentist would have said something.

use std::collections::{BTreeMap, BTreeSet};

use jiff::ToSpan as _;
use jiff::civil::Date;

use super::lot::Lot;
use crate::case::outcome::Kind;
use crate::statistics::survival::Subject;

/// What became of a restoration that was delivered.
#[derive(Clone, Copy, Debug)]
pub(super) struct Became<'a> {
    /// The day on which it was delivered.
    pub(super) delivered: Date,
    /// The dentist's code.
    pub(super) dentist: &'a Option<String>,
    /// What became of it.
    pub(super) outcomes: &'a [(Kind, Date)],
}

/// Up to when the dentists of a record are heard of.
pub(super) struct Following {
    /// The day on which figures close.
    pub(super) closing: Date,
    ends: BTreeMap<Option<String>, Date>,
    heard: BTreeSet<Option<String>>,
}

/// How a restoration was followed.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) enum Followed {
    /// It was delivered after the figures closed.
    Later,
    /// Its dentist never said what became of anything.
    Unheard,
    /// Not long enough; how long, and whether it came back meanwhile.
    Unripe(Subject),
    /// Long enough.
    Ripe {
        /// Whether it came back within the time.
        came: bool,
        /// How long it was followed, and whether it came back at all.
        subject: Subject,
    },
}

impl Following {
    pub(super) fn of(lots: &[Lot], today: Date) -> Following {
        let closing = quarter_day(today);
        Following {
            closing,
            ends: last_orders(lots, closing),
            heard: heard_of(lots),
        }
    }

    /// Returns the last day on which the dentist of a restoration would have said something, or it was lost sight of; `None`
    /// where its dentist never said what became of anything.
    pub(super) fn until(
        &self,
        delivered: Date,
        dentist: &Option<String>,
        outcomes: &[(Kind, Date)],
    ) -> Option<Date> {
        if !self.heard.contains(dentist) {
            return None;
        }
        let until = self.ends.get(dentist).copied().unwrap_or(delivered);
        let lost = outcomes.iter().filter(|(kind, _)| *kind == Kind::LostSight);
        Some(lost.map(|(_, on)| *on).fold(until, Date::min))
    }

    /// Returns how a restoration was followed for some months, for returns of these kinds.
    pub(super) fn of_one(&self, own: Became<'_>, kinds: &[Kind], months: i32) -> Followed {
        if own.delivered > self.closing {
            return Followed::Later;
        }
        let Some(until) = self.until(own.delivered, own.dentist, own.outcomes) else {
            return Followed::Unheard;
        };
        let seen = Seen::of((own.delivered, until), own.outcomes, kinds, months);
        let subject = subject((own.delivered, until), seen.first);
        match seen.ripe {
            true => Followed::Ripe {
                came: seen.came,
                subject,
            },
            false => Followed::Unripe(subject),
        }
    }
}

/// What was seen of a restoration while it was followed.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Seen {
    /// The first day on which it came back, at any time.
    pub(super) first: Option<Date>,
    /// Whether it was followed long enough.
    pub(super) ripe: bool,
    /// Whether it came back within that time.
    pub(super) came: bool,
}

impl Seen {
    /// Returns what was seen of a restoration from its delivery until a day, for returns of these kinds within some months.
    ///
    /// Whether it was followed long enough hangs on the day of delivery alone: an early return would count twice.
    pub(super) fn of(
        (delivered, until): (Date, Date),
        outcomes: &[(Kind, Date)],
        kinds: &[Kind],
        months: i32,
    ) -> Seen {
        let end = delivered.saturating_add(months.months());
        let first = first(outcomes, kinds);
        Seen {
            first,
            ripe: end <= until,
            came: first.is_some_and(|on| on <= end),
        }
    }
}

/// Returns for how many days a restoration stayed without a return, and whether it came back while it was followed.
pub(super) fn subject((delivered, until): (Date, Date), first: Option<Date>) -> Subject {
    let back = first.filter(|on| *on <= until);
    let days = (back.unwrap_or(until) - delivered).get_days();
    Subject {
        time: f64::from(days.max(0)),
        event: back.is_some(),
    }
}

/// Returns whether a kind counts among these; any failure does if none is named.
pub(super) fn counts(kinds: &[Kind], kind: Kind) -> bool {
    match kinds {
        [] => kind.is_failure(),
        kinds => kinds.contains(&kind),
    }
}

/// Returns the first day on which something of these kinds happened.
pub(super) fn first(outcomes: &[(Kind, Date)], kinds: &[Kind]) -> Option<Date> {
    let back = outcomes.iter().filter(|(kind, _)| counts(kinds, *kind));
    back.map(|(_, on)| *on).min()
}

/// Returns the first day of the quarter that a day lies in.
fn quarter_day(today: Date) -> Date {
    let month = (today.month() - 1) / 3 * 3 + 1;
    Date::new(today.year(), month, 1).unwrap_or(today)
}

/// Returns, for each dentist, the day of the last new order, at most the closing day: whoever goes on ordering would have
/// said something by then. An order that makes something again is no such sign.
fn last_orders(lots: &[Lot], closing: Date) -> BTreeMap<Option<String>, Date> {
    let mut last: BTreeMap<Option<String>, Date> = BTreeMap::new();
    let new = lots
        .iter()
        .filter(|lot| !lot.remake && lot.opened <= closing);
    for lot in new {
        let own = last.entry(lot.dentist.clone()).or_insert(lot.opened);
        *own = (*own).max(lot.opened);
    }
    last
}

/// Returns the dentists who ever said what became of anything.
fn heard_of(lots: &[Lot]) -> BTreeSet<Option<String>> {
    let said = |lot: &&Lot| lot.remake || lot.made.iter().any(|made| !made.outcomes.is_empty());
    lots.iter()
        .filter(said)
        .map(|lot| lot.dentist.clone())
        .collect()
}
