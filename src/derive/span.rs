//! How far a span bends against a single pontic of it.
//!
//! *Inputs and units*: mm. *Model*: with the same section and load the deflection of a beam grows with the third power of
//! its span, so `(whole span / widest pontic)³`. The longest run of pontics between two abutments counts; a pontic on a
//! free end is judged by itself. *Limits of validity*: slender beam; the bending of the abutments is left out.
//! *Sources*: standard mechanics; Smyd 1952 for the law of spans, from memory.

use super::{Derivation, Facts, Inputs};
use crate::case::{Restoration, Role};
use crate::fact::{DEFLECTION, Place, SPAN, Unit, Value};
use crate::tooth::Tooth;

pub(super) static DERIVATION: Derivation = Derivation {
    id: "span",
    gives: &[DEFLECTION],
    needs: &[SPAN],
    sources: &["beam-theory"],
    run,
};

fn run(facts: &mut Facts<'_>) {
    for restoration in facts.units().restorations() {
        let at = Place::Restoration(restoration.id);
        let mut inputs = facts.inputs(at);
        let ratios: Vec<f64> = inner_runs(restoration)
            .iter()
            .map(|run| {
                let spans: Vec<f64> = run.iter().map(|tooth| span(&mut inputs, *tooth)).collect();
                let widest = spans.iter().copied().fold(0.0, f64::max);
                (spans.iter().sum::<f64>() / widest).powi(3)
            })
            .collect();
        let gathered = inputs.gathered();
        if !ratios.is_empty() {
            let most = ratios.into_iter().fold(0.0, f64::max);
            facts.give(
                &DEFLECTION,
                at,
                gathered,
                Ok(Value::Number(most, Unit::Ratio)),
            );
        }
    }
}

/// The mesiodistal room of one pontic, in mm.
pub(super) fn span(inputs: &mut Inputs<'_, '_>, tooth: Tooth) -> f64 {
    inputs.number_at(&SPAN, Place::Unit(tooth))
}

/// What a connector belongs to: the run of pontics beside it, side by side, or two adjacent abutments.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum Belongs {
    /// Two abutments beside each other.
    Joint,
    /// A run of pontics that an abutment holds at both ends.
    Span(Vec<Tooth>),
    /// A run of pontics that hangs free at one end.
    Cantilever(Vec<Tooth>),
}

impl Belongs {
    /// Finds what a connector belongs to, or `None` if the restoration has no connector there.
    pub(super) fn of(restoration: &Restoration, at: Place) -> Option<Belongs> {
        let units = &restoration.units;
        let first = restoration
            .connectors()
            .position(|(place, ..)| place == at)?;
        let pontic = |index: usize| {
            units
                .get(index)
                .is_some_and(|unit| unit.role == Role::Pontic)
        };
        let from = match (pontic(first), pontic(first + 1)) {
            (true, _) => first,
            (false, true) => first + 1,
            (false, false) => return Some(Belongs::Joint),
        };
        let start = (0..=from).rev().take_while(|index| pontic(*index)).last()?;
        let run: Vec<Tooth> = units
            .iter()
            .skip(start)
            .take_while(|unit| unit.role == Role::Pontic)
            .map(|unit| unit.tooth)
            .collect();
        let held = start > 0 && start + run.len() < units.len();
        Some(if held {
            Belongs::Span(run)
        } else {
            Belongs::Cantilever(run)
        })
    }

    /// Returns the pontics of the run.
    pub(super) fn pontics(&self) -> &[Tooth] {
        match self {
            Belongs::Joint => &[],
            Belongs::Span(run) | Belongs::Cantilever(run) => run,
        }
    }

    /// Returns whether a connector, or a pontic of the run that it belongs to, lies behind the canines.
    pub(super) fn is_back(&self, at: Place) -> bool {
        let own = matches!(at, Place::Connector(a, b) if a.is_posterior() || b.is_posterior());
        own || self.pontics().iter().any(|tooth| tooth.is_posterior())
    }
}

/// The runs of neighbouring pontics that an abutment holds at both ends.
pub(super) fn inner_runs(restoration: &Restoration) -> Vec<Vec<Tooth>> {
    let mut runs = Vec::new();
    let mut run = None;
    for unit in &restoration.units {
        match (unit.role, &mut run) {
            (Role::Abutment, held) => {
                runs.extend(held.take().filter(|run: &Vec<Tooth>| !run.is_empty()));
                run = Some(Vec::new());
            }
            (Role::Pontic, Some(run)) => run.push(unit.tooth),
            // Hangs before the first abutment.
            (Role::Pontic, None) => {}
        }
    }
    runs
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::{CaseUnit, OrderedKind, Units};

    /// What each connector belongs to, from one end to the other: its pontics, with `free` behind those of a free end.
    fn told(units: &str) -> Vec<String> {
        let teeth = units.split(' ').map(|unit| {
            let role = match unit.starts_with('x') {
                true => Role::Pontic,
                false => Role::Abutment,
            };
            let number = unit.trim_start_matches('x').parse().unwrap();
            CaseUnit {
                tooth: Tooth::from_iso(number).unwrap(),
                role,
            }
        });
        let restoration = Restoration {
            id: 1,
            ordered: match units.contains('x') {
                true => OrderedKind::Bridge,
                false => OrderedKind::Splinted,
            },
            units: teeth.collect(),
        };
        let units = Units::new(vec![restoration]).unwrap();
        let restoration = &units.restorations()[0];
        restoration
            .connectors()
            .map(|(at, ..)| {
                let belongs = Belongs::of(restoration, at).unwrap();
                let teeth: Vec<_> = belongs.pontics().iter().map(|t| t.to_string()).collect();
                let free = matches!(belongs, Belongs::Cantilever(_));
                format!("{}{}", teeth.join(" "), if free { " free" } else { "" })
            })
            .collect()
    }

    #[test]
    fn a_connector_belongs_to_the_pontics_beside_it() {
        assert_eq!(told("44 x45 46"), ["45", "45"]);
        assert_eq!(told("13 x12 x11 x21 x22 23"), ["12 11 21 22"; 5]);
        assert_eq!(told("34 x35 x36 37"), ["35 36"; 3]);
    }

    #[test]
    fn a_pier_parts_two_spans() {
        assert_eq!(
            told("13 x14 15 x16 x17 18"),
            ["14", "14", "16 17", "16 17", "16 17"]
        );
    }

    #[test]
    fn neighbouring_abutments_are_a_joint() {
        assert_eq!(told("35 36 37"), ["", ""]);
        assert_eq!(told("32 33 x34 35"), ["", "34", "34"]);
    }

    #[test]
    fn a_run_at_an_end_hangs_free() {
        assert_eq!(told("x12 13"), ["12 free"]);
        assert_eq!(told("45 46 x47"), ["", "47 free"]);
        assert_eq!(
            told("x43 x44 45 x46 47"),
            ["43 44 free", "43 44 free", "46", "46"]
        );
    }

    #[test]
    fn a_span_that_reaches_behind_the_canines_is_a_back_one_at_both_ends() {
        let back = |units: &str, at: &str| {
            let tooth = |number: &str| Tooth::from_iso(number.parse().unwrap()).unwrap();
            let (a, b) = at.split_once('-').unwrap();
            let run: Vec<Tooth> = units.split(' ').map(tooth).collect();
            Belongs::Span(run).is_back(Place::connector(tooth(a), tooth(b)))
        };
        assert!(back("13 14", "12-13"));
        assert!(!back("13", "12-13"));
        assert!(back("13", "13-14"));
    }
}
