//! How long a restoration was followed: to the last day on which its dentist would have said something.

use std::collections::{BTreeMap, BTreeSet};

use jiff::ToSpan as _;
use jiff::civil::Date;

use super::figures::{heard_of, last_orders, quarter_day};
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

    /// Returns how a restoration was followed for some months, for returns of these kinds.
    pub(super) fn of_one(&self, own: Became<'_>, kinds: &[Kind], months: i32) -> Followed {
        if own.delivered > self.closing {
            return Followed::Later;
        }
        if !self.heard.contains(own.dentist) {
            return Followed::Unheard;
        }
        let until = self.ends.get(own.dentist).copied().unwrap_or(own.delivered);
        let lost = own
            .outcomes
            .iter()
            .filter(|(kind, _)| *kind == Kind::LostSight);
        let until = lost.map(|(_, on)| *on).fold(until, Date::min);
        let back = first(own.outcomes, kinds);
        let seen = back.filter(|on| *on <= until);
        let days = (seen.unwrap_or(until) - own.delivered).get_days();
        let subject = Subject {
            time: f64::from(days.max(0)),
            event: seen.is_some(),
        };
        let end = own.delivered.saturating_add(months.months());
        if end > until {
            return Followed::Unripe(subject);
        }
        let came = back.is_some_and(|on| on <= end);
        Followed::Ripe { came, subject }
    }
}

/// Returns the first day on which something of these kinds happened; any failure if none is named.
pub(super) fn first(outcomes: &[(Kind, Date)], kinds: &[Kind]) -> Option<Date> {
    let counts = |kind: Kind| match kinds {
        [] => kind.is_failure(),
        kinds => kinds.contains(&kind),
    };
    let back = outcomes.iter().filter(|(kind, _)| counts(*kind));
    back.map(|(_, on)| *on).min()
}
