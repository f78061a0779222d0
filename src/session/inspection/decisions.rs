//! Decisions and proposals as changes of the session: written as one entry each, undone as answers are.

use uuid::Uuid;

use super::Inspection;
use crate::case::Layer;
use crate::case::coming::Arrival;
use crate::case::decision::{Decision, Proposal};
use crate::case::journal::{Before, Body, Entry, apply};
use crate::case::life::{CaseEvent, Stage};
use crate::fact::{CLEARANCE, Kind, Place, PlaceKind, Spot, Value};
use crate::judge::record;
use crate::phrase::prompts;
use crate::session::{Effect, Moment};

impl Inspection {
    /// Writes a decision down.
    pub fn decide(&mut self, decision: Decision, moment: &Moment) -> Vec<Effect> {
        let old = self.case.decision(&decision.about).cloned();
        let mut before = Before::default();
        before.keep_decision(&self.case, &decision.about);
        let changed = old.iter().flat_map(|old| old.decision.all_changes());
        for (spot, _) in decision.all_changes().chain(changed) {
            before.keep(&self.case, spot);
        }
        if decision.units.is_some() {
            before.keep_units(&self.case);
        }
        before.keep_came(&self.case);
        let forward = Body::Decide {
            decision: Box::new(decision),
        };
        let effects = self.change(forward, put_back(before), moment);
        self.keep_cursor();
        effects
    }

    /// Records an arrival. The readings that it replaces are kept beside the new ones.
    pub fn arrive(&mut self, arrival: Arrival, moment: &Moment) -> Vec<Effect> {
        let mut before = Before::default();
        before.keep_units(&self.case);
        for spot in &arrival.anew {
            before.keep(&self.case, spot);
        }
        before.keep_came(&self.case);
        let forward = Body::Arrived {
            arrival: Box::new(arrival),
        };
        let effects = self.change(forward, put_back(before), moment);
        self.hand.course.begin_anew();
        self.hand.cursor = self.agenda.next_open(None).map(|cell| cell.spot.clone());
        self.clear_input();
        effects
    }

    /// Repeats what was read before a new record came in: the whole shape of a prep that was not cut, since the tooth is the
    /// same on the new die; elsewhere the one answer. Returns `None` if nothing was read before.
    pub(in crate::session) fn as_before(&mut self, moment: &Moment) -> Option<Vec<Effect>> {
        let spot = self.hand.cursor.clone()?;
        let open = self.case.merged(&spot).is_none();
        self.case.reading(&spot, Layer::Before).filter(|_| open)?;
        // A new record has days of its own.
        let spec = self.flow.spec(&spot.fact);
        if spec.is_some_and(|spec| matches!(spec.kind, Kind::Day)) {
            return Some(self.refuse(prompts::NEW_RECORD_HAS_ITS_DATE));
        }
        let prep = self
            .case
            .units
            .resolve(PlaceKind::Abutment, spot.at)
            .filter(|_| self.is_of_shape(&spot));
        if prep.is_some_and(|at| self.was_cut(at)) {
            return Some(self.refuse(prompts::PREP_WAS_CUT));
        }
        let same: Vec<Spot> = match prep {
            Some(at) => self
                .case
                .layers()
                .filter(|(own, layer, _)| {
                    *layer == Layer::Before
                        && self.is_of_shape(own)
                        && self.case.units.resolve(PlaceKind::Abutment, own.at) == Some(at)
                        && self.case.merged(own).is_none()
                })
                .map(|(own, ..)| own.clone())
                .collect(),
            None => vec![spot],
        };
        let mut effects = Vec::new();
        for (index, spot) in (0u128..).zip(same) {
            let Some(reading) = self.case.reading(&spot, Layer::Before).cloned() else {
                continue;
            };
            // Each entry has an id of its own.
            let moment = Moment {
                id: Uuid::from_u128(moment.id.as_u128() ^ (index << 8)),
                ..*moment
            };
            effects.extend(self.put(spot, reading.value, reading.with, &moment));
        }
        self.clear_input();
        self.go_on();
        Some(effects)
    }

    /// Returns whether a fact is a measure of a prep: the same on every die of it.
    fn is_of_shape(&self, spot: &Spot) -> bool {
        let spec = self.flow.spec(&spot.fact);
        spec.is_some_and(|spec| {
            matches!(spec.kind, Kind::Number { .. })
                && matches!(spec.at, PlaceKind::Abutment | PlaceKind::Wall)
                && spec.id != CLEARANCE.as_str()
        })
    }

    /// Returns whether something was agreed that cuts this prep.
    fn was_cut(&self, prep: Place) -> bool {
        let cuts = |id: &str| {
            let mut options = self.flow.options();
            options.any(|(_, option)| option.id == id && option.cuts)
        };
        self.case.decisions().any(|decided| {
            decided.decision.taken.iter().any(|taken| {
                cuts(&taken.option)
                    && self.case.units.resolve(PlaceKind::Abutment, taken.at) == Some(prep)
            })
        })
    }

    /// Writes down what happened to restorations.
    pub fn happen(&mut self, event: CaseEvent, moment: &Moment) -> Vec<Effect> {
        let mut before = Before::default();
        before.keep_came(&self.case);
        self.change(Body::Happened { event }, put_back(before), moment)
    }

    /// Keeps what the dentist told. It counts at once, also over what was not seen at the bench.
    pub fn tell(&mut self, spot: Spot, value: Value, moment: &Moment) -> Vec<Effect> {
        self.settle();
        let back = self.with_decision(&spot);
        let forward = Body::Answer {
            spot,
            value,
            with: None,
            layer: Layer::Decided,
            undoes: None,
        };
        let effects = self.change(forward, back, moment);
        self.keep_cursor();
        effects
    }

    /// Records the judgement before anything is decided, unless it is recorded already and has not changed.
    pub fn keep_as_found(&mut self, moment: &Moment) -> Vec<Effect> {
        if self.case.decisions().next().is_some() {
            return Vec::new();
        }
        self.keep_judged(Stage::AsFound, moment)
    }

    /// Records the judgement at a stage. It changes no answer and cannot be undone.
    pub fn keep_judged(&mut self, stage: Stage, moment: &Moment) -> Vec<Effect> {
        if self.is_trial() {
            return Vec::new();
        }
        let judged = record(&self.flow, &self.facts(), &self.judgement, stage);
        if self.case.judged(stage) == Some(&judged) {
            return Vec::new();
        }
        // The moment's own id is that of the entry that a person writes with this key. Ids that are counted up differ at the
        // other end.
        let salt: u128 = match stage {
            Stage::AsFound => 0xf0 << 96,
            Stage::AsBuilt => 0xb0 << 96,
        };
        let entry = Entry {
            id: Uuid::from_u128(moment.id.as_u128() ^ salt),
            seen: self.entries,
            session: self.session,
            when: moment.now,
            who: self.who.clone(),
            body: Body::Judged {
                judged: Box::new(judged),
            },
        };
        if apply(&mut self.case, &entry).is_err() {
            return Vec::new();
        }
        self.entries += 1;
        self.journal.push(entry.clone());
        vec![Effect::Append {
            number: self.case.number.clone(),
            entries: vec![entry],
        }]
    }

    /// Answers a question without moving the cursor.
    pub fn answer_at(&mut self, spot: Spot, value: Value, moment: &Moment) -> Vec<Effect> {
        self.settle();
        self.put(spot, value, None, moment)
    }

    /// Lists changes that are to be put to the dentist.
    pub fn propose(&mut self, changes: Vec<(Spot, Value)>, moment: &Moment) -> Vec<Effect> {
        let mut proposals = self.case.proposals().to_vec();
        proposals.push(Proposal { changes });
        self.set_proposals(proposals, moment)
    }

    /// Takes a proposal off the list.
    pub fn withdraw(&mut self, index: usize, moment: &Moment) -> Vec<Effect> {
        let mut proposals = self.case.proposals().to_vec();
        if index >= proposals.len() {
            return Vec::new();
        }
        proposals.remove(index);
        self.set_proposals(proposals, moment)
    }

    fn set_proposals(&mut self, proposals: Vec<Proposal>, moment: &Moment) -> Vec<Effect> {
        let before = Before {
            proposals: Some(self.case.proposals().to_vec()),
            ..Before::default()
        };
        self.change(Body::Propose { proposals }, put_back(before), moment)
    }

    /// The way back of an answer in whose place a decision counted.
    pub(in crate::session) fn with_decision(&self, spot: &Spot) -> Body {
        let mut before = Before::default();
        before.keep(&self.case, spot);
        put_back(before)
    }
}

/// The entry it takes back is named once it is known.
fn put_back(before: Before) -> Body {
    Body::PutBack {
        before: Box::new(before),
        undoes: Uuid::nil(),
    }
}
