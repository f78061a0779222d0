//! The instruments of readings: the one that the record suggests, until another is chosen; then that one, for every
//! reading that can be taken with it.

use std::collections::BTreeMap;

use jiff::Timestamp;

use crate::case::{Case, Layer, Reading};
use crate::fact::{Place, RECORDS_KIND, Spot, Value};
use crate::flow::{Flow, Question};
use crate::phrase::prompts;
use crate::session::Inspection;
use crate::session::agenda::Agenda;

/// How many chosen instruments are remembered.
const MOST: usize = 16;

/// The instruments chosen on this case, the last first.
#[derive(Clone, Default, Debug)]
pub(super) struct Instruments {
    chosen: Vec<String>,
    /// The cell at which the last one was chosen, while the cursor is there.
    at: Option<Spot>,
}

impl Instruments {
    /// Returns the instruments of the readings of a case, in the order of the questions: a correction is the newest reading
    /// and says nothing about where the work is.
    ///
    /// Readings with the same time were imported together and say nothing either.
    pub(in crate::session) fn of(flow: &Flow, case: &Case, agenda: &Agenda) -> Instruments {
        let mut own = Instruments::default();
        let read = |spot| case.reading(spot, Layer::Measured);
        let mut moments: BTreeMap<Timestamp, usize> = BTreeMap::new();
        for reading in agenda.cells.iter().filter_map(|cell| read(&cell.spot)) {
            *moments.entry(reading.when.unwrap_or_default()).or_default() += 1;
        }
        for spot in agenda.cells.iter().map(|cell| &cell.spot) {
            let Some(Reading {
                with: Some(with),
                when: Some(when),
                ..
            }) = read(spot)
            else {
                continue;
            };
            let Some(question) = flow.question(&spot.fact) else {
                continue;
            };
            let alone = moments.get(when) == Some(&1);
            if alone && has(question, with) && own.usual(flow, case, question) != Some(with) {
                own.take_up(with.clone());
            }
        }
        own
    }

    fn take_up(&mut self, instrument: String) {
        self.chosen.insert(0, instrument);
        self.chosen.truncate(MOST);
    }

    /// Returns the instrument that a new reading starts with.
    fn usual<'q>(&self, flow: &Flow, case: &Case, question: &'q Question) -> Option<&'q String> {
        let mut chosen = self.chosen.iter();
        let named = chosen.find_map(|id| question.with.iter().find(|(own, _)| own == id));
        let scanned = || {
            let kind = case.value(&RECORDS_KIND, Place::Case);
            if kind != Some(&Value::Choice("scan".to_owned())) {
                return None;
            }
            let reads = |id: &str| flow.instrument(id).is_some_and(|own| own.of_scan);
            question.with.iter().find(|(id, _)| reads(id))
        };
        let usual = named.or_else(scanned).or_else(|| question.with.first());
        usual.map(|(id, _)| id)
    }

    /// Forgets at which cell the last one was chosen.
    pub(in crate::session) fn move_on(&mut self) {
        self.at = None;
    }
}

fn has(question: &Question, instrument: &str) -> bool {
    question.with.iter().any(|(id, _)| id == instrument)
}

impl Inspection {
    /// Returns the instrument that the open cell is read with: that of the reading which is there, or else the usual one.
    pub(in crate::session) fn instrument(&self) -> Option<String> {
        let question = self.question()?;
        if self.hand.instruments.at != self.hand.cursor
            && let Some((_, reading)) = self.case.merged(self.hand.cursor.as_ref()?)
            && let Some(own) = reading.with.as_ref().filter(|id| has(question, id))
        {
            return Some(own.clone());
        }
        self.hand
            .instruments
            .usual(&self.flow, &self.case, question)
            .cloned()
    }

    /// Returns whether the open cell can be read with an instrument.
    pub(in crate::session) fn takes_instrument(&self, instrument: &str) -> bool {
        self.question()
            .is_some_and(|question| has(question, instrument))
    }

    pub(in crate::session) fn next_instrument(&mut self) {
        let Some(question) = self.question() else {
            return;
        };
        let ids: Vec<String> = question.with.iter().map(|(id, _)| id.clone()).collect();
        let now = self.instrument();
        let now = ids
            .iter()
            .position(|id| Some(id) == now.as_ref())
            .unwrap_or(0);
        match ids.get((now + 1) % ids.len().max(1)) {
            Some(next) if ids.len() > 1 => {
                // What was passed on the way to another one was not taken up.
                if self.hand.instruments.at == self.hand.cursor {
                    self.hand.instruments.chosen.remove(0);
                }
                self.hand.instruments.take_up(next.clone());
                self.hand.instruments.at.clone_from(&self.hand.cursor);
                self.hand.refusal = None;
                self.forget_sketch();
            }
            _ => self.hand.refusal = Some(prompts::NO_OTHER_INSTRUMENT.to_owned()),
        }
    }
}
