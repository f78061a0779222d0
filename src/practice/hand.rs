//! The own hand: how far readings of the same person differ from day to day, and from the key.
//!
//! *Sources*: J. M. Bland, D. G. Altman, within-subject standard deviation, Br Med J 1996;313:744, and limits of agreement,
//! Lancet 1986;327:307-310, both of `statistics`. A personal standard deviation is drawn towards the flow's, which counts as
//! ten degrees of freedom, and is never under what the step of the instrument allows, step/√12 (JCGM 100:2008, F.2.2.1).
//!
//! A bias is shown, to be trained away; nothing is ever subtracted for it. What shifts all readings of one day alike is not
//! told apart here.

use std::collections::BTreeMap;

use jiff::civil::Date;

use crate::case::{Case, Layer};
use crate::fact::{FactId, Spot, Value};
use crate::flow::Flow;
use crate::statistics::Confidence;
use crate::statistics::measurement::{
    Agreement, Within, limits_of_agreement, shrunk_sd, within_subject,
};

/// How many places have to be read.
pub const SPOTS: usize = 8;
/// On how many days.
pub const DAYS: usize = 3;
/// What the flow's reading error counts as, in degrees of freedom.
const WEIGHT: f64 = 10.0;

/// A walk of a model.
#[derive(Clone, PartialEq, Debug)]
pub struct Walk {
    /// The model.
    pub model: String,
    /// The day.
    pub on: Date,
    /// What was read.
    pub case: Case,
}

/// One kind of reading by one instrument.
#[derive(Clone, PartialEq, Debug)]
pub struct Hand {
    /// The kind of reading.
    pub fact: FactId,
    /// The instrument, by its id in the flow.
    pub with: String,
    /// How many places were read on enough days.
    pub spots: usize,
    /// How far readings differ from day to day; `None` while too little was read.
    pub within: Option<Within>,
    /// How far they differ from the key.
    pub agreement: Option<Agreement>,
    /// The reading error of the flow.
    pub usual: f64,
    /// The own one, drawn towards it.
    pub own: Option<f64>,
}

/// What was read at each place of each model, day by day.
type Places<'a> = BTreeMap<(&'a str, Spot), Vec<f64>>;

/// Works out somebody's hand from the walks, each kind of reading by each instrument.
///
/// `key` gives what the key of a model says of a place, where it has one.
pub fn hands(flow: &Flow, walks: &[Walk], key: &dyn Fn(&str, &Spot) -> Option<f64>) -> Vec<Hand> {
    // Of two walks on one day the later one counts.
    let mut days: BTreeMap<(&str, Date), &Case> = BTreeMap::new();
    for walk in walks {
        days.insert((&walk.model, walk.on), &walk.case);
    }
    let mut read: BTreeMap<(FactId, String), Places<'_>> = BTreeMap::new();
    for ((model, _), case) in &days {
        for (spot, layer, reading) in case.present() {
            let (Layer::Measured, Value::Number(number, _)) = (layer, &reading.value) else {
                continue;
            };
            let first = || {
                flow.question(&spot.fact)?
                    .with
                    .first()
                    .map(|(id, _)| id.clone())
            };
            let Some(with) = reading.with.clone().or_else(first) else {
                continue;
            };
            read.entry((spot.fact.clone(), with))
                .or_default()
                .entry((model, spot.clone()))
                .or_default()
                .push(*number);
        }
    }
    let hands = read.into_iter().filter_map(|((fact, with), mut spots)| {
        let usual = flow.question(&fact)?.error(Some(&with))?;
        spots.retain(|_, numbers| numbers.len() >= DAYS);
        let enough = spots.len() >= SPOTS;
        let subjects: Vec<&[f64]> = spots.values().map(Vec::as_slice).collect();
        let within = enough
            .then(|| within_subject(&subjects, Confidence::P95).ok())
            .flatten();
        let pairs: Vec<(f64, f64)> = spots
            .iter()
            .filter_map(|((model, spot), numbers)| {
                let mean = numbers.iter().sum::<f64>() / numbers.len() as f64;
                Some((mean, key(model, spot)?))
            })
            .collect();
        let agreement = enough
            .then(|| limits_of_agreement(&pairs, Confidence::P95).ok())
            .flatten();
        let least = flow
            .instrument(&with)
            .map_or(0.0, |own| own.step / 12_f64.sqrt());
        let own = within
            .and_then(|own| shrunk_sd(own.sd, own.freedom, usual, WEIGHT).ok())
            .map(|own| own.max(least));
        Some(Hand {
            fact,
            with,
            spots: spots.len(),
            within,
            agreement,
            usual,
            own,
        })
    });
    hands.collect()
}
