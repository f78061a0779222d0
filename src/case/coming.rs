//! What has to come in before an agreement counts, and what has come.
//!
//! A dentist who says yes has agreed; nothing lies at the bench yet. A decision therefore says what is to come
//! ([`Coming`]), an arrival is an event of the journal, and a [`Wait`] is what of one decision is still missing.

use std::fmt;

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::decision::{Decided, Decider, DentistAnswer, Matter};
use super::{Case, Layer, Reading};
use crate::fact::{FactId, Place, Spot, Value};
use crate::phrase::faults::case as faults;

/// Something that has to come in.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
pub enum Part {
    /// The dentist's own answer.
    Answer,
    /// Healing after surgery.
    Healed,
    /// An impression or a scan.
    Impression,
    /// A bite record.
    Bite,
    /// A record of the opposing arch.
    Opposing,
    /// A model or photograph of the temporary.
    Temporary,
    /// A shade.
    Shade,
    /// An amended order in writing.
    Order,
    /// The laboratory's own: a new pour, a new die, a file imported again, a connector drawn anew.
    Bench,
}

impl Part {
    /// All parts, in the order in which they come.
    pub const ALL: [Part; 9] = [
        Part::Answer,
        Part::Healed,
        Part::Impression,
        Part::Bite,
        Part::Opposing,
        Part::Temporary,
        Part::Shade,
        Part::Order,
        Part::Bench,
    ];

    /// Returns the name in files, in JSON and on the command line.
    pub fn as_str(self) -> &'static str {
        match self {
            Part::Answer => "answer",
            Part::Healed => "healed",
            Part::Impression => "impression",
            Part::Bite => "bite",
            Part::Opposing => "opposing",
            Part::Temporary => "temporary",
            Part::Shade => "shade",
            Part::Order => "order",
            Part::Bench => "bench",
        }
    }

    /// Returns whether its arrival is looked at anew: it brings something that is inspected.
    pub fn is_inspected(self) -> bool {
        !matches!(self, Part::Answer | Part::Order | Part::Healed)
    }
}

impl fmt::Display for Part {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

/// What cannot be done before it has come.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
pub enum Blocks {
    /// It may be designed; it is not made.
    Make,
    /// Nothing is started.
    Design,
}

/// What a decision waits for.
#[derive(Clone, PartialEq, Eq, Debug, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Coming {
    /// What has to come in; empty if nothing has.
    #[serde(default)]
    pub parts: Vec<(Part, Blocks)>,
    /// The day it is due.
    #[serde(default)]
    pub due: Option<Date>,
}

impl Coming {
    /// Adds a part. Where it is there already, what blocks more counts.
    pub fn add(&mut self, part: Part, blocks: Blocks) {
        match self.parts.iter_mut().find(|(own, _)| *own == part) {
            Some((_, own)) => *own = (*own).max(blocks),
            None => {
                self.parts.push((part, blocks));
                self.parts.sort();
            }
        }
    }
}

/// What one decision still waits for.
#[derive(Clone, PartialEq, Debug)]
pub struct Wait<'c> {
    /// The decision.
    pub decided: &'c Decided,
    /// What is missing, and what cannot be done before.
    pub missing: Vec<(Part, Blocks)>,
    /// The day the rest is due.
    pub due: Option<Date>,
    /// Whether the decision says what has to come. One of an older version does not: its arrival was never recorded.
    pub is_recorded: bool,
}

impl Wait<'_> {
    /// Returns what it is about.
    pub fn about(&self) -> &Matter {
        &self.decided.decision.about
    }

    /// Returns the places it is about: where it was asked, and where something is done.
    pub fn places(&self) -> Vec<Place> {
        let decision = &self.decided.decision;
        let taken = decision.taken.iter().map(|taken| taken.at);
        let mut places: Vec<Place> = taken.collect();
        if places.is_empty() {
            places.push(decision.about.at);
        }
        places.sort();
        places.dedup();
        places
    }
}

/// Something that arrived: what it answers, what came, and the readings that it replaces.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Arrival {
    /// The decisions it was awaited for.
    pub matters: Vec<Matter>,
    /// What came.
    pub parts: Vec<Part>,
    /// The day it came.
    pub on: Date,
    /// The restorations that are made on it from now on. Others stay on what they were made on.
    pub restorations: Vec<u8>,
    /// The readings that it replaces.
    ///
    /// They follow from the flow, and a fold over entries knows no flow. So whoever writes the entry works them out,
    /// and a journal stays readable whatever becomes of the flow.
    pub anew: Vec<Spot>,
}

/// The records that some restorations stay on after a new one came for others: what was said of it for the whole case.
///
/// Questions and rules speak of *the* impression: a place for each record would double every rule. A case is judged
/// once more as the restorations on an earlier record see it, which costs time only where there are two.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct EarlierRecord {
    /// The restorations that are made on it.
    pub restorations: Vec<u8>,
    /// What was said of it.
    pub readings: Vec<(Spot, Reading)>,
}

impl Case {
    /// Takes in what arrived: the readings it replaces are kept as those before, and are asked anew.
    pub fn take_in(&mut self, arrival: &Arrival) {
        for about in &arrival.matters {
            let got = self.got.entry(about.clone()).or_default();
            got.extend(arrival.parts.iter().map(|part| (*part, arrival.on)));
        }
        let others: Vec<u8> = self
            .units
            .restorations()
            .iter()
            .map(|restoration| restoration.id)
            .filter(|id| !arrival.restorations.contains(id))
            .collect();
        let stays: Vec<(Spot, Reading)> = arrival
            .anew
            .iter()
            .filter(|spot| spot.at == Place::Case)
            .filter_map(|spot| Some((spot.clone(), self.merged(spot)?.1.clone())))
            .collect();
        for earlier in &mut self.earlier {
            earlier
                .restorations
                .retain(|id| !arrival.restorations.contains(id));
        }
        self.earlier
            .retain(|earlier| !earlier.restorations.is_empty());
        let known: Vec<u8> = self
            .earlier
            .iter()
            .flat_map(|earlier| earlier.restorations.iter().copied())
            .collect();
        let restorations: Vec<u8> = others
            .into_iter()
            .filter(|id| !known.contains(id))
            .collect();
        if !restorations.is_empty() && !stays.is_empty() {
            self.earlier.push(EarlierRecord {
                restorations,
                readings: stays,
            });
        }
        for spot in &arrival.anew {
            self.clear(spot, Layer::Suspended);
            let decided = self.clear(spot, Layer::Decided);
            if let Some(reading) = self.clear(spot, Layer::Measured).or(decided) {
                self.put(spot.clone(), Layer::Before, reading);
            }
        }
        let units = arrival
            .matters
            .iter()
            .filter(|_| arrival.parts.contains(&Part::Order))
            .filter_map(|about| self.decision(about)?.decision.units.clone())
            .next_back();
        if let Some(units) = units {
            self.units = units;
        }
    }

    /// Returns what decisions still wait for, in the order of their matters.
    pub fn waits(&self) -> impl Iterator<Item = Wait<'_>> {
        self.decisions()
            .filter_map(|decided| self.wait(&decided.decision.about))
    }

    /// Returns what the decision on a matter still waits for, or `None` if it waits for nothing.
    pub fn wait(&self, about: &Matter) -> Option<Wait<'_>> {
        let decided = self.decision(about)?;
        let got = self.got.get(about).map_or(&[][..], Vec::as_slice);
        let decision = &decided.decision;
        let message =
            decision.by == Some(Decider::Message) && decision.outcome != DentistAnswer::Refused;
        let Some(coming) = &decision.coming else {
            if message {
                return Some(Wait {
                    decided,
                    missing: vec![(Part::Answer, Blocks::Design)],
                    due: None,
                    is_recorded: true,
                });
            }
            let settled = decision.outcome != DentistAnswer::Agreed || decision.changes_nothing();
            return (!settled && got.is_empty()).then_some(Wait {
                decided,
                missing: Vec::new(),
                due: None,
                is_recorded: false,
            });
        };
        let looked_at = coming.parts.iter().any(|(part, _)| part.is_inspected());
        if decision.is_settled() && !decision.expected.is_empty() && !looked_at && got.is_empty() {
            // Something is expected, and nothing says what has to come in for it.
            return Some(Wait {
                decided,
                missing: Vec::new(),
                due: coming.due,
                is_recorded: false,
            });
        }
        let mut parts = coming.parts.clone();
        // A message is no answer, whatever a file says has to come in.
        if message {
            parts.retain(|(part, _)| *part != Part::Answer);
            parts.insert(0, (Part::Answer, Blocks::Design));
        }
        let missing: Vec<(Part, Blocks)> = parts
            .iter()
            // What came before it was agreed was not what was agreed.
            .filter(|(part, _)| {
                let came = |(own, on): &(Part, Date)| own == part && *on >= decision.from;
                !got.iter().any(came)
            })
            .copied()
            .collect();
        (!missing.is_empty()).then_some(Wait {
            decided,
            missing,
            due: coming.due,
            is_recorded: true,
        })
    }

    /// Returns what came for a matter, with the days.
    pub fn got(&self, about: &Matter) -> &[(Part, Date)] {
        self.got.get(about).map_or(&[], Vec::as_slice)
    }

    /// Returns the first thing that is said to have been on a day that is still to come, and that day.
    pub fn first_day_after(
        &self,
        today: Date,
        is_past: impl Fn(&FactId) -> bool,
    ) -> Option<(Date, String)> {
        let came = self.got.values().flatten();
        let came = came.map(|(_, on)| (*on, faults::ARRIVED.to_owned()));
        let life = self.life.iter();
        let life = life.map(|event| (event.on, faults::happened(event.what.as_str())));
        let said = self.decisions();
        let said = said.map(|own| (own.decision.from, faults::DECIDED.to_owned()));
        let read = self
            .layers()
            .filter_map(|(spot, _, reading)| match reading.value {
                Value::Day(day) if is_past(&spot.fact) => Some((day, spot.fact.to_string())),
                _ => None,
            });
        came.chain(life)
            .chain(said)
            .chain(read)
            .find(|(day, _)| *day > today)
    }

    /// Puts what was agreed and then read again aside where it was not read again, and drops what was only tried out: a
    /// file backs neither.
    pub fn put_aside_what_nothing_backs(&mut self) {
        let unbacked: Vec<(Spot, Layer)> = self
            .layers()
            .filter(|(spot, layer, _)| match layer {
                Layer::Proposed => true,
                Layer::Suspended => self.reading(spot, Layer::Measured).is_none(),
                _ => false,
            })
            .map(|(spot, layer, _)| (spot.clone(), layer))
            .collect();
        for (spot, layer) in unbacked {
            let reading = self.clear(&spot, layer);
            if let Some(reading) = reading.filter(|_| layer == Layer::Suspended) {
                self.put(spot, Layer::Expected, reading);
            }
        }
    }

    /// Returns whether all that a decision waited for has come and was to be looked at anew: its question is then asked
    /// again if it is still found.
    pub fn is_spent(&self, about: &Matter) -> bool {
        let Some(decided) = self.decision(about) else {
            return false;
        };
        let decision = &decided.decision;
        if decision.outcome != DentistAnswer::Agreed || self.wait(about).is_some() {
            return false;
        }
        match &decision.coming {
            None => !self.got(about).is_empty(),
            Some(coming) => coming.parts.iter().any(|(part, _)| part.is_inspected()),
        }
    }

    /// Returns the records that some restorations stay on.
    pub fn earlier_records(&self) -> &[EarlierRecord] {
        &self.earlier
    }

    /// Returns a copy of the case as the restorations on an earlier record see it.
    pub fn on_record(&self, earlier: &EarlierRecord) -> Case {
        let mut copy = self.clone();
        copy.earlier.clear();
        for (spot, reading) in &earlier.readings {
            for layer in Layer::ALL.into_iter().filter(|layer| layer.counts()) {
                copy.clear(spot, layer);
            }
            copy.put(spot.clone(), Layer::Measured, reading.clone());
        }
        copy
    }

    /// Returns a copy of the case as it is expected to be once everything that was agreed has come in, or `None` if
    /// nothing is expected.
    pub fn expected(&self) -> Option<Case> {
        let mut copy = self.clone();
        let mut changed = false;
        for wait in self.waits() {
            if let Some(units) = &wait.decided.decision.units {
                copy.units = units.clone();
                changed = true;
            }
        }
        let spots: Vec<(Spot, Reading)> = self
            .layers()
            .filter(|(_, layer, _)| *layer == Layer::Expected)
            .map(|(spot, _, reading)| (spot.clone(), reading.clone()))
            .collect();
        for (spot, reading) in spots {
            // What was read since then counts in its place.
            let about_to_come = self.waits().any(|wait| {
                let decision = &wait.decided.decision;
                decision.all_changes().any(|(own, _)| *own == spot)
            });
            if about_to_come {
                copy.put(spot, Layer::Proposed, reading);
                changed = true;
            }
        }
        changed.then_some(copy)
    }
}

/// Something that has still to come in: one thing, whatever it was agreed for.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Awaited {
    /// What.
    pub part: Part,
    /// What cannot be done before.
    pub blocks: Blocks,
    /// The restorations it is for, by their numbers.
    pub restorations: Vec<u8>,
    /// Where it was asked, or something is done.
    pub places: Vec<Place>,
    /// The day it is due, the first where several are.
    pub due: Option<Date>,
    /// The decisions it is awaited for.
    pub matters: Vec<Matter>,
    /// Whether the decision says so; one of an older version does not.
    pub is_recorded: bool,
}

/// Returns what has still to come in. What several decisions wait for is one thing where they share a restoration.
pub fn awaited(case: &Case) -> Vec<Awaited> {
    let mut list: Vec<Awaited> = Vec::new();
    for wait in case.waits() {
        let places = wait.places();
        let mut restorations = owners(case, &places);
        // What is closed waits for nothing any more.
        restorations.retain(|id| !case.is_closed(Place::Restoration(*id)));
        if restorations.is_empty() {
            continue;
        }
        let missing = if wait.is_recorded {
            wait.missing.clone()
        } else {
            vec![(Part::Impression, Blocks::Design)]
        };
        for (part, blocks) in missing {
            let shared = list.iter_mut().find(|own| {
                own.part == part && own.restorations.iter().any(|id| restorations.contains(id))
            });
            match shared {
                Some(own) => {
                    own.blocks = own.blocks.max(blocks);
                    own.restorations.extend(&restorations);
                    own.restorations.sort_unstable();
                    own.restorations.dedup();
                    own.places.extend(&places);
                    own.places.sort();
                    own.places.dedup();
                    own.due = match (own.due, wait.due) {
                        (Some(a), Some(b)) => Some(a.min(b)),
                        (a, b) => a.or(b),
                    };
                    own.matters.push(wait.about().clone());
                    own.is_recorded |= wait.is_recorded;
                }
                None => list.push(Awaited {
                    part,
                    blocks,
                    restorations: restorations.clone(),
                    places: places.clone(),
                    due: wait.due,
                    matters: vec![wait.about().clone()],
                    is_recorded: wait.is_recorded,
                }),
            }
        }
    }
    list.sort_by_key(|own| (own.due.is_none(), own.due, own.part));
    list
}

/// The restorations that places belong to; all of them where one is the case.
fn owners(case: &Case, places: &[Place]) -> Vec<u8> {
    let mut ids: Vec<u8> = Vec::new();
    for at in places {
        match case.units.owner(*at) {
            Some(owner) => ids.push(owner.id),
            None => ids.extend(case.units.restorations().iter().map(|own| own.id)),
        }
    }
    ids.sort_unstable();
    ids.dedup();
    ids
}

/// Returns whether somebody who may decide did; a message that is passed on is none.
pub(super) fn is_own_word(by: Option<Decider>) -> bool {
    by != Some(Decider::Message)
}
