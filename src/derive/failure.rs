//! The chance that a ceramic connector breaks in one hard bite, for ends free to turn and for ends held. Detail only.
//!
//! *Inputs and units*: mm, MPa, N; result in per cent. *Model*: the run of pontics beside the connector is a beam of the
//! connector's section, loaded in its middle; the largest bending stress is set against a Weibull distribution with the
//! material's mean strength and modulus. *Load*: behind the canines 774.7 N, the mean voluntary maximum at first molars
//! (Nishigawa 2001, J Oral Rehabil, checked); in front 44 % of it, the middle of the 40 to 48 % that incisors bear
//! (Ferrario 2004, J Oral Rehabil, checked). *Limits of validity*: a bridge lies between the two ways of holding it, and
//! they differ a thousandfold: no level follows from either. No fatigue, no water, no notch, no scaling by volume; not
//! given for metal, for free ends, and between neighbouring abutments.
//! *Sources*: standard mechanics; Weibull statistics; those of the material.

use super::between::section;
use super::span::{Belongs, span};
use super::{Derivation, Facts};
use crate::case::Restoration;
use crate::fact::{
    C_FAILS_FIXED, C_FAILS_SIMPLE, C_LOAD, CONNECTOR_HEIGHT, CONNECTOR_SECTION, CONNECTOR_WIDTH,
    ORDER_MATERIAL, Place, SPAN, Unit, Value,
};
use crate::mechanics::beam::{Support, bending_stress};
use crate::mechanics::ceramic::Weibull;
use crate::quantity::{Mm, Newton};

pub(super) static DERIVATION: Derivation = Derivation {
    id: "failure",
    gives: &[C_LOAD, C_FAILS_SIMPLE, C_FAILS_FIXED],
    needs: &[
        ORDER_MATERIAL,
        CONNECTOR_HEIGHT,
        CONNECTOR_WIDTH,
        CONNECTOR_SECTION,
        SPAN,
    ],
    sources: &["beam-theory", "weibull", "nishigawa-2001", "ferrario-2004"],
    run,
};

/// The mean voluntary maximum at first molars, in N.
const BITE: f64 = 774.7;
/// The share of it that front teeth bear.
const FRONT_SHARE: f64 = 0.44;

fn run(facts: &mut Facts<'_>) {
    for restoration in facts.units().restorations() {
        let material = facts
            .value(&ORDER_MATERIAL, Place::Restoration(restoration.id))
            .and_then(Value::choice)
            .and_then(|id| facts.flow().material(id));
        // Metal bends before it breaks. Under porcelain it is the framework that is drawn and that has the strength.
        // Where the material is not known yet, the figure waits for it.
        if material.is_some_and(|material| material.strength.zip(material.weibull).is_none()) {
            continue;
        }
        let (strength, modulus) = material
            .and_then(|m| m.strength.zip(m.weibull))
            .unwrap_or((f64::NAN, f64::NAN));
        for (at, belongs) in spanning(restoration) {
            let load = if belongs.is_back(at) {
                BITE
            } else {
                BITE * FRONT_SHARE
            };
            let gathered = facts.inputs(at).gathered();
            let value = Value::Number(load, Unit::Newton);
            facts.give(&C_LOAD, at, gathered, Ok(value));
            for (fact, support) in [
                (C_FAILS_SIMPLE, Support::Simple),
                (C_FAILS_FIXED, Support::Fixed),
            ] {
                let mut inputs = facts.inputs(at);
                inputs.look(&ORDER_MATERIAL);
                let shape = section(&mut inputs);
                let length: f64 = belongs
                    .pontics()
                    .iter()
                    .map(|tooth| span(&mut inputs, *tooth))
                    .sum();
                let gathered = inputs.gathered();
                let chance = bending_stress(support, Newton(load), Mm(length), &shape)
                    .map_err(|error| error.to_string())
                    .and_then(|stress| {
                        Weibull::with_mean(strength, modulus)
                            .and_then(|weibull| weibull.failure(stress.0))
                            .map_err(|error| error.to_string())
                    })
                    .map(|chance| Value::Number(100.0 * chance, Unit::Percent));
                facts.give(&fact, at, gathered, chance);
            }
        }
    }
}

/// The connectors at or within a run of pontics that is held at both ends, each with the run.
fn spanning(restoration: &Restoration) -> Vec<(Place, Belongs)> {
    restoration
        .connectors()
        .filter_map(|(at, ..)| Some((at, Belongs::of(restoration, at)?)))
        .filter(|(_, belongs)| matches!(belongs, Belongs::Span(_)))
        .collect()
}
