//! A case: its restorations and the facts that were entered, with who, when, by what instrument, in which layer.
//!
//! No I/O: cases come from journal entries ([`journal`]) or from RON text ([`mod@file`]).

pub mod before;
pub mod beside;
pub mod code;
pub mod coming;
pub mod decision;
pub mod dispute;
pub mod file;
mod found;
pub mod history;
pub mod instruction;
pub mod journal;
pub mod life;
pub mod opening;
pub mod outcome;
mod units;

use std::collections::BTreeMap;

use jiff::Timestamp;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::fact::{FactId, ORDER_SCOPE, Place, Spot, Value};
use beside::{CaseFile, Handed};
use coming::{EarlierRecord, Part};
use decision::{Decided, Matter, Proposal};
use dispute::Disputes;
use life::{CaseEvent, Record};
use outcome::Outcome;

pub use units::{CaseUnit, OrderedKind, Restoration, Role, Units, UnitsError};

/// Whose word a value is. Of those that count, a later layer stands over an earlier one.
///
/// Merging stays *the highest that counts*, and files say which is which. A decided value whose later reading is
/// cleared counts again without a rule for it. *Not seen* is no reading and suspends nothing.
#[derive(
    Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default, Serialize, Deserialize,
)]
pub enum Layer {
    /// Read before something new came in that replaced it. Counts for nothing; shown beside the reading that is there now.
    Before,
    /// What it is expected to be once it was cut or sent as agreed. Counts for nothing until it is read.
    Expected,
    /// Decided with the dentist before the reading that counts now was entered.
    Suspended,
    /// Read or answered at the bench.
    #[default]
    Measured,
    /// Decided with the dentist.
    Decided,
    /// Tried out on a copy of the case.
    Proposed,
}

impl Layer {
    /// All layers, the lowest first.
    pub const ALL: [Layer; 6] = [
        Layer::Before,
        Layer::Expected,
        Layer::Suspended,
        Layer::Measured,
        Layer::Decided,
        Layer::Proposed,
    ];

    /// Returns whether its values count: they are judged.
    pub fn counts(self) -> bool {
        self >= Layer::Suspended
    }
}

/// A value that somebody entered.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Reading {
    /// The value.
    pub value: Value,
    /// The instrument it was read with, by its id in the flow.
    pub with: Option<String>,
    /// The code of the person at the bench; never a patient.
    pub who: Option<String>,
    /// When it was entered.
    pub when: Option<Timestamp>,
}

impl Reading {
    /// Returns a reading of which no more is known than its value.
    pub fn plain(value: Value) -> Reading {
        Reading {
            value,
            with: None,
            who: None,
            when: None,
        }
    }
}

/// Which flow a case is judged by.
#[derive(Clone, PartialEq, Eq, Debug, Default, Serialize, Deserialize)]
pub struct FlowRef {
    /// The flow's id.
    pub id: String,
    /// The flow's version.
    pub version: u32,
    /// The digest of the flow's files; empty where a case file does not say.
    pub digest: String,
}

/// A case.
#[derive(Clone, PartialEq, Debug)]
pub struct Case {
    /// The laboratory's number for it.
    pub number: String,
    /// The flow it is judged by.
    pub flow: FlowRef,
    /// Its restorations.
    pub units: Units,
    facts: BTreeMap<Spot, BTreeMap<Layer, Reading>>,
    decisions: BTreeMap<Matter, Decided>,
    got: BTreeMap<Matter, Vec<(Part, Date)>>,
    earlier: Vec<EarlierRecord>,
    life: Vec<CaseEvent>,
    judged: Record,
    proposals: Vec<Proposal>,
    handed: Option<Handed>,
    files: Vec<CaseFile>,
    outcomes: Vec<Outcome>,
    disputes: Disputes,
}

impl Case {
    /// Returns a case without any facts.
    pub fn new(number: impl Into<String>, flow: FlowRef, units: Units) -> Case {
        Case {
            number: number.into(),
            flow,
            units,
            facts: BTreeMap::new(),
            decisions: BTreeMap::new(),
            got: BTreeMap::new(),
            earlier: Vec::new(),
            life: Vec::new(),
            judged: Record::default(),
            proposals: Vec::new(),
            handed: None,
            files: Vec::new(),
            outcomes: Vec::new(),
            disputes: Disputes::default(),
        }
    }

    /// Keeps a reading; returns the one it takes the place of.
    ///
    /// What kind of work it is was once asked of the case: such an answer counts for each of its restorations.
    pub fn put(&mut self, spot: Spot, layer: Layer, reading: Reading) -> Option<Reading> {
        let mut old = None;
        for spot in self.counts_at(spot) {
            let layers = self.facts.entry(spot).or_default();
            old = layers.insert(layer, reading.clone()).or(old);
        }
        old
    }

    /// Returns the places at which an answer counts.
    fn counts_at(&self, spot: Spot) -> Vec<Spot> {
        if !is_of_old(&spot) {
            return vec![spot];
        }
        let restorations = self.units.restorations().iter();
        restorations
            .map(|restoration| Spot {
                fact: spot.fact.clone(),
                at: Place::Restoration(restoration.id),
            })
            .collect()
    }

    /// Takes a reading back; returns it.
    pub fn clear(&mut self, spot: &Spot, layer: Layer) -> Option<Reading> {
        let mut old = None;
        for spot in self.counts_at(spot.clone()) {
            old = self.clear_one(&spot, layer).or(old);
        }
        old
    }

    fn clear_one(&mut self, spot: &Spot, layer: Layer) -> Option<Reading> {
        let layers = self.facts.get_mut(spot)?;
        let reading = layers.remove(&layer);
        if layers.is_empty() {
            self.facts.remove(spot);
        }
        reading
    }

    /// Returns the reading of one layer.
    pub fn reading(&self, spot: &Spot, layer: Layer) -> Option<&Reading> {
        self.facts.get(spot)?.get(&layer)
    }

    /// Returns the reading that counts, and its layer, whether or not its place still exists.
    pub fn merged(&self, spot: &Spot) -> Option<(Layer, &Reading)> {
        counting(self.facts.get(spot)?)
    }

    /// Returns the value that counts.
    pub fn value(&self, fact: &FactId, at: Place) -> Option<&Value> {
        self.merged(&Spot {
            fact: fact.clone(),
            at,
        })
        .map(|(_, reading)| &reading.value)
    }

    /// Returns every reading that counts and whose place exists, in the order of places.
    pub fn present(&self) -> impl Iterator<Item = (&Spot, Layer, &Reading)> {
        self.every().filter(|(spot, ..)| self.stands(spot))
    }

    /// Returns whether a fact's place exists in this case and is of the fact's kind: a pontic made into an abutment leaves
    /// its span behind.
    pub fn stands(&self, spot: &Spot) -> bool {
        match spot.fact.spec() {
            Some(spec) => self.units.is_kind(spot.at, spec.at),
            None => self.units.has(spot.at),
        }
    }

    /// Returns the readings whose places are gone since the units changed. They come back with the place.
    pub fn set_aside(&self) -> impl Iterator<Item = (&Spot, Layer, &Reading)> {
        self.every().filter(|(spot, ..)| !self.stands(spot))
    }

    fn every(&self) -> impl Iterator<Item = (&Spot, Layer, &Reading)> {
        self.facts.iter().filter_map(|(spot, layers)| {
            counting(layers).map(|(layer, reading)| (spot, layer, reading))
        })
    }

    /// Returns every reading of every layer.
    pub fn layers(&self) -> impl Iterator<Item = (&Spot, Layer, &Reading)> {
        self.facts.iter().flat_map(|(spot, layers)| {
            layers
                .iter()
                .map(move |(layer, reading)| (spot, *layer, reading))
        })
    }
}

fn counting(layers: &BTreeMap<Layer, Reading>) -> Option<(Layer, &Reading)> {
    let (layer, reading) = layers.iter().next_back()?;
    layer.counts().then_some((*layer, reading))
}

/// Returns whether an answer is one of old: the kind of work, asked of the whole case.
///
/// A crown on a tooth beside one on an implant is one order, so that the kind of work is asked of each restoration.
/// Journals, case files and flows that have it at the case are read as they are.
fn is_of_old(spot: &Spot) -> bool {
    spot.fact == ORDER_SCOPE && spot.at == Place::Case
}
