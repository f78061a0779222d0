//! What became of the restorations of a case, and what they were judged to be on the way.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::Case;
use crate::fact::{Place, Spot, Value};

/// What happened to a restoration.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Serialize, Deserialize)]
pub enum Happened {
    /// It left the laboratory.
    Delivered,
    /// Everything is done: it is off the open part of the worklist, and nothing is asked about it any more.
    Closed,
    /// It came back.
    Returned,
    /// It is not made after all.
    Withdrawn,
    /// It is taken up again: what happened before counts no longer. What was closed is as it was before it was closed.
    Resumed,
}

impl Happened {
    /// All of them, in the order of the command line's help.
    pub const ALL: [Happened; 5] = [
        Happened::Delivered,
        Happened::Closed,
        Happened::Returned,
        Happened::Withdrawn,
        Happened::Resumed,
    ];

    /// Returns the name in files, in JSON and on the command line.
    pub fn as_str(self) -> &'static str {
        match self {
            Happened::Delivered => "delivered",
            Happened::Closed => "closed",
            Happened::Returned => "returned",
            Happened::Withdrawn => "withdrawn",
            Happened::Resumed => "resumed",
        }
    }
}

/// Something that happened to restorations on a day.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CaseEvent {
    /// What.
    pub what: Happened,
    /// To which restorations, by their numbers.
    pub restorations: Vec<u8>,
    /// The day.
    pub on: Date,
    /// The case that goes on with them, where one was opened.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub goes_on: Option<String>,
}

/// How far a restoration is. The first that holds.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
pub enum State {
    /// A question to the dentist is to be asked, or what was asked for was declined.
    ToCall,
    /// It came back.
    Returned,
    /// The inspection is not done, or our own pour or die is to be done again.
    Inspecting,
    /// What was agreed has to come in before it is started.
    Waiting,
    /// It may be designed; it is not made before the rest is in.
    ForDesign,
    /// It may be made.
    ToMake,
    /// It left the laboratory.
    Delivered,
    /// Everything is done.
    Closed,
    /// Nothing here covers it.
    NotCovered,
    /// It is not made after all.
    Withdrawn,
}

impl State {
    /// Every state, in the order in which that of the case is looked for.
    pub const ALL: [State; 10] = [
        State::ToCall,
        State::Returned,
        State::Inspecting,
        State::Waiting,
        State::ForDesign,
        State::ToMake,
        State::Delivered,
        State::Closed,
        State::NotCovered,
        State::Withdrawn,
    ];

    /// Returns the name in JSON.
    pub fn as_str(self) -> &'static str {
        match self {
            State::ToCall => "to-call",
            State::Returned => "returned",
            State::Inspecting => "open",
            State::Waiting => "waiting",
            State::ForDesign => "cleared-for-design",
            State::ToMake => "cleared-to-make",
            State::Delivered => "delivered",
            State::Closed => "closed",
            State::NotCovered => "not-covered",
            State::Withdrawn => "withdrawn",
        }
    }

    /// Returns whether something may be built from it.
    pub fn is_cleared(self) -> bool {
        matches!(self, State::ForDesign | State::ToMake)
    }

    /// Returns whether nothing is made any more: it left, came back, is withdrawn or closed.
    pub fn is_over(self) -> bool {
        matches!(
            self,
            State::Delivered | State::Closed | State::Returned | State::Withdrawn
        )
    }
}

/// When a case was judged for the record.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Serialize, Deserialize)]
pub enum Stage {
    /// When the inspection was done, before anything was decided.
    AsFound,
    /// When it was cleared to make.
    AsBuilt,
}

/// What a rule said at a place.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub enum Said {
    /// It fired at this level, by its name.
    Fired(String),
    /// It was looked at and said nothing.
    Silent,
    /// It could not be decided, and might have come to this level.
    Open(String),
}

/// A rule at a place, with the figures it looked at.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Ruled {
    /// The rule's id.
    pub rule: String,
    /// Where.
    pub at: Place,
    /// What it said.
    pub said: Said,
    /// The readings and figures that made it fire.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub figures: Vec<(Spot, Value)>,
}

/// What a case was judged to be. Kept so that a laboratory can later hold what became of a case against what was said.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Judged {
    /// When it was judged.
    pub stage: Stage,
    /// The version of the program that judged.
    pub engine: String,
    /// The digest of the flow's files.
    pub flow: String,
    /// Every rule at every place of the case.
    pub rules: Vec<Ruled>,
}

/// What was kept for the record. It is no part of the state of a case: two cases are equal whatever was kept of them.
#[derive(Clone, Debug, Default)]
pub(super) struct Record(pub(super) Vec<Judged>);

impl PartialEq for Record {
    fn eq(&self, _: &Record) -> bool {
        true
    }
}

impl Case {
    /// Returns the newest event of a restoration that still counts.
    pub fn last_event(&self, restoration: u8) -> Option<&CaseEvent> {
        self.events_of(restoration).last().copied()
    }

    /// Returns the events of a restoration that still count, the oldest first.
    pub(super) fn events_of(&self, restoration: u8) -> Vec<&CaseEvent> {
        let mut counts: Vec<&CaseEvent> = Vec::new();
        let own = |event: &&CaseEvent| event.restorations.contains(&restoration);
        for event in self.life.iter().filter(own) {
            let closed = counts
                .last()
                .is_some_and(|last| last.what == Happened::Closed);
            match event.what {
                // Somebody who closed a case by mistake has not taken its delivery back.
                Happened::Resumed if closed => drop(counts.pop()),
                Happened::Resumed => counts.clear(),
                Happened::Closed if closed => {}
                _ => counts.push(event),
            }
        }
        counts
    }

    /// Returns whether everything is done at a place: its restoration is closed, or for the whole case, all are.
    pub fn is_closed(&self, at: Place) -> bool {
        let closed = |id: u8| {
            let last = self.last_event(id);
            last.is_some_and(|event| event.what == Happened::Closed)
        };
        if self.life.is_empty() {
            return false;
        }
        match self.units.owner(at) {
            Some(owner) => closed(owner.id),
            None => self.units.restorations().iter().all(|own| closed(own.id)),
        }
    }

    /// Returns whether a restoration can be taken up again. What came back goes on as another case.
    pub fn can_resume(&self, restoration: u8) -> bool {
        let last = self.last_event(restoration).map(|event| event.what);
        last.is_some_and(|what| what != Happened::Returned)
    }

    /// Returns everything that happened to the restorations, the oldest first.
    pub fn life(&self) -> &[CaseEvent] {
        &self.life
    }

    /// Returns what the case was judged to be at a stage, or `None` if that was not kept.
    pub fn judged(&self, stage: Stage) -> Option<&Judged> {
        self.judged
            .0
            .iter()
            .rev()
            .find(|judged| judged.stage == stage)
    }
}
