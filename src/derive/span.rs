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
