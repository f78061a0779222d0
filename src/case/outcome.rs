//! Outcomes: what became of a delivered restoration, in few keys. Each is one of a few kinds, so that cases can be counted.
//!
//! An outcome is known by its kind, its place and its day: whoever writes the same again adds to it, and two people who
//! write it at the same time have written one.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::life::Happened;
use super::{Case, Restoration, Units};
use crate::fact::Place;
use crate::text::clean;

/// What became of a restoration.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
pub enum Kind {
    /// It came off.
    CameOff,
    /// It broke.
    Broke,
    /// Its margin was open.
    OpenMargin,
    /// It was high in the bite.
    HighContact,
    /// The contact to the tooth beside it was open or poor.
    ContactOpen,
    /// Its shade was not right.
    Shade,
    /// The tooth decayed at the margin.
    Decay,
    /// The tooth was lost, or its root was treated.
    ToothLost,
    /// Something else.
    Other,
    /// It was seen, and nothing was wrong.
    Quiet,
    /// Nobody will hear of it any more.
    LostSight,
}

impl Kind {
    /// All of them, in the order of their digits.
    pub const ALL: [Kind; 11] = [
        Kind::CameOff,
        Kind::Broke,
        Kind::OpenMargin,
        Kind::HighContact,
        Kind::ContactOpen,
        Kind::Shade,
        Kind::Decay,
        Kind::ToothLost,
        Kind::Other,
        Kind::Quiet,
        Kind::LostSight,
    ];

    /// Returns the name in JSON and on the command line.
    pub fn as_str(self) -> &'static str {
        match self {
            Kind::CameOff => "came-off",
            Kind::Broke => "broke",
            Kind::OpenMargin => "open-margin",
            Kind::HighContact => "high-contact",
            Kind::ContactOpen => "contact-open",
            Kind::Shade => "shade",
            Kind::Decay => "decay",
            Kind::ToothLost => "tooth-lost",
            Kind::Other => "other",
            Kind::Quiet => "quiet",
            Kind::LostSight => "lost-sight",
        }
    }

    /// Returns whether something went wrong: it was neither seen quiet nor lost sight of.
    pub fn is_failure(self) -> bool {
        !matches!(self, Kind::Quiet | Kind::LostSight)
    }

    /// Returns the kind for a choice of the question what happened to the restoration that is made again.
    pub fn of_remake(choice: &str) -> Option<Kind> {
        Some(match choice {
            "came-off" => Kind::CameOff,
            "broke" => Kind::Broke,
            "open-margin" => Kind::OpenMargin,
            "high" => Kind::HighContact,
            "contact" => Kind::ContactOpen,
            "shade" => Kind::Shade,
            "other" => Kind::Other,
            _ => return None,
        })
    }
}

/// How an outcome is known.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Serialize, Deserialize)]
pub enum Known {
    /// It was seen at the bench.
    Bench,
    /// The dentist said so.
    Dentist,
    /// It was asked for at a recall.
    Recall,
}

impl Known {
    /// All of them.
    pub const ALL: [Known; 3] = [Known::Bench, Known::Dentist, Known::Recall];

    /// Returns the name in JSON and on the command line.
    pub fn as_str(self) -> &'static str {
        match self {
            Known::Bench => "bench",
            Known::Dentist => "dentist",
            Known::Recall => "recall",
        }
    }

    /// Returns how an outcome of this kind is known most often.
    pub fn usual(kind: Kind) -> Known {
        match kind {
            Kind::Quiet | Kind::LostSight => Known::Recall,
            _ => Known::Dentist,
        }
    }

    /// Returns the next, the first after the last.
    #[must_use]
    pub fn next(self) -> Known {
        match self {
            Known::Bench => Known::Dentist,
            Known::Dentist => Known::Recall,
            Known::Recall => Known::Bench,
        }
    }
}

/// Whether the bench could have seen it coming.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Serialize, Deserialize)]
pub enum Foreseen {
    /// Yes, and the dentist was asked.
    Asked,
    /// Yes, but no rule spoke.
    NoRule,
    /// Yes, but a reading was off.
    ReadingOff,
    /// No: nothing at the bench showed it.
    No,
}

impl Foreseen {
    /// All of them, in the order of their digits.
    pub const ALL: [Foreseen; 4] = [
        Foreseen::Asked,
        Foreseen::NoRule,
        Foreseen::ReadingOff,
        Foreseen::No,
    ];

    /// Returns the name in JSON and on the command line.
    pub fn as_str(self) -> &'static str {
        match self {
            Foreseen::Asked => "asked",
            Foreseen::NoRule => "no-rule",
            Foreseen::ReadingOff => "reading-off",
            Foreseen::No => "no",
        }
    }
}

/// What became of a restoration on a day.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Outcome {
    /// What.
    pub what: Kind,
    /// Of which restoration, by its number.
    pub restoration: u8,
    /// At which unit or connector, where it is not the whole of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<Place>,
    /// The day.
    pub on: Date,
    /// How it is known.
    pub known: Known,
    /// Whether the bench could have seen it, where somebody said so.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seen: Option<Foreseen>,
    /// The case that goes on with it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub goes_on: Option<String>,
}

impl Outcome {
    /// Returns the same without anything that could paint a screen.
    #[must_use]
    pub(super) fn cleaned(&self) -> Outcome {
        Outcome {
            goes_on: self.goes_on.as_deref().map(clean),
            ..self.clone()
        }
    }

    /// Returns whether both are of one kind, one place and one day.
    pub fn is_same(&self, other: &Outcome) -> bool {
        (self.what, self.restoration, self.at, self.on)
            == (other.what, other.restoration, other.at, other.on)
    }
}

/// Why an outcome is not taken.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Refused {
    /// There is no such restoration.
    NoRestoration(u8),
    /// The restoration was not delivered, or what was delivered counts no longer.
    NotDelivered(u8),
    /// The day has not come.
    Future(Date),
    /// The day is before that of the delivery.
    BeforeDelivery(Date),
    /// This is written down already.
    Twice,
    /// The place is no unit and no connector of the restoration.
    NotThere(Place),
    /// It goes on as itself.
    Itself,
}

impl Units {
    /// Returns whether a place is a unit or a connector of a restoration.
    pub(super) fn is_part(&self, restoration: u8, at: Place) -> bool {
        let owner = self.owner(at).map(|own| own.id);
        let is_kind = matches!(at, Place::Unit(_) | Place::Connector(..));
        is_kind && self.has(at) && owner == Some(restoration)
    }
}

impl Case {
    /// Returns what became of the restorations, in the order in which it was written down.
    pub fn outcomes(&self) -> &[Outcome] {
        &self.outcomes
    }

    /// Returns the newest that went wrong and was written down, or `None` if nothing did.
    pub fn last_failure(&self) -> Option<&Outcome> {
        let failed = self.outcomes.iter().filter(|own| own.what.is_failure());
        failed.max_by_key(|own| own.on)
    }

    /// Returns the day on which a restoration was delivered, as far as that still counts.
    pub fn delivered_on(&self, restoration: u8) -> Option<Date> {
        let counts = self.events_of(restoration);
        let last = counts.last()?;
        if last.what == Happened::Withdrawn {
            return None;
        }
        let mut delivered = counts.iter().rev();
        let delivered = delivered.find(|own| own.what == Happened::Delivered)?;
        Some(delivered.on)
    }

    /// Returns the numbers of the restorations of which something can be written down.
    pub fn delivered(&self) -> Vec<u8> {
        let all = self.units.restorations().iter().map(|own| own.id);
        all.filter(|id| self.delivered_on(*id).is_some()).collect()
    }

    /// Returns an outcome at a place; of a restoration of one unit it is always at that unit.
    pub fn outcome_of(
        &self,
        (what, known): (Kind, Known),
        restoration: u8,
        at: Option<Place>,
        on: Date,
    ) -> Outcome {
        let own = self.units.restoration(restoration);
        let only = own.and_then(Restoration::only_unit);
        Outcome {
            what,
            restoration,
            at: at.or(only),
            on,
            known,
            seen: None,
            goes_on: None,
        }
    }

    /// Checks an outcome before it is written down.
    ///
    /// # Errors
    /// Why it is not taken.
    pub fn check_outcome(&self, outcome: &Outcome, today: Date) -> Result<(), Refused> {
        let id = outcome.restoration;
        if self.units.restoration(id).is_none() {
            return Err(Refused::NoRestoration(id));
        }
        if let Some(at) = outcome.at
            && !self.units.is_part(id, at)
        {
            return Err(Refused::NotThere(at));
        }
        let delivered = self.delivered_on(id).ok_or(Refused::NotDelivered(id))?;
        if outcome.on > today {
            return Err(Refused::Future(outcome.on));
        }
        if outcome.on < delivered {
            return Err(Refused::BeforeDelivery(delivered));
        }
        if self.outcomes.iter().any(|own| own.is_same(outcome)) {
            return Err(Refused::Twice);
        }
        if outcome.goes_on.as_ref() == Some(&self.number) {
            return Err(Refused::Itself);
        }
        Ok(())
    }

    /// Keeps an outcome; what is said of one that is kept already is added to it.
    pub(super) fn keep_outcome(&mut self, outcome: &Outcome) {
        let outcome = outcome.cleaned();
        match self.outcomes.iter_mut().find(|own| own.is_same(&outcome)) {
            Some(own) => {
                own.known = outcome.known;
                own.seen = outcome.seen.or(own.seen);
                own.goes_on = outcome.goes_on.or_else(|| own.goes_on.take());
            }
            None => self.outcomes.push(outcome),
        }
    }

    /// Takes an outcome back.
    pub(super) fn drop_outcome(&mut self, outcome: &Outcome) {
        self.outcomes.retain(|own| !own.is_same(outcome));
    }
}
