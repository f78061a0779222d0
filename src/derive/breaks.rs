//! The force at which a connector broke in the laboratory, and how that stands to a hard bite. Detail only.
//!
//! *Inputs and units*: mm, MPa, N. *Model*: the run of pontics beside the connector is a beam of the connector's section
//! that rests on its ends, loaded in its middle: `F = 4 Z σ / L` with the stress σ at which connectors of this material
//! broke in published series, how far those stand apart and what years of chewing leave. *Load*: the flow's hard bite behind
//! the canines, and its shares on incisors and canines. *Limits of validity*: no chance of failure follows, since
//! with flaws spread as they are twice the stress is a thousandfold in chance; not given for materials without a series,
//! for free ends, and between neighbouring abutments.
//! *Sources*: standard mechanics; those of the material.

use super::between::section;
use super::span::{Belongs, span};
use super::{Derivation, Facts};
use crate::case::Restoration;
use crate::fact::{
    C_BITE, C_BREAKS, C_BREAKS_FROM, C_BREAKS_SHARE, C_BREAKS_TO, CONNECTOR_HEIGHT,
    CONNECTOR_SECTION, CONNECTOR_WIDTH, ORDER_MATERIAL, Place, SPAN, Unit, Value,
};
use crate::flow::HardBite;
use crate::mechanics::beam::{CrossSection, Support, bending_stress};
use crate::tooth::ToothClass;

pub(super) static DERIVATION: Derivation = Derivation {
    id: "breaks",
    gives: &[C_BITE, C_BREAKS, C_BREAKS_FROM, C_BREAKS_TO, C_BREAKS_SHARE],
    needs: &[
        ORDER_MATERIAL,
        CONNECTOR_HEIGHT,
        CONNECTOR_WIDTH,
        CONNECTOR_SECTION,
        SPAN,
    ],
    sources: &["beam-theory", "nishigawa-2001", "ferrario-2004"],
    run,
};

fn run(facts: &mut Facts<'_>) {
    let hard = &facts.flow().figures.hard_bite;
    let breaking = &facts.flow().figures.breaking;
    for restoration in facts.units().restorations() {
        let material = facts
            .value(&ORDER_MATERIAL, Place::Restoration(restoration.id))
            .and_then(Value::choice)
            .and_then(|id| facts.flow().material(id));
        // Where the material is not known yet, the figure waits for it.
        let breaks = material.map(|material| material.breaks.as_ref());
        if breaks == Some(None) {
            continue;
        }
        let breaks = breaks.flatten();
        for (at, belongs) in spanning(restoration) {
            let bite = bite(hard, at, &belongs);
            let gathered = facts.inputs(at).gathered();
            facts.give(&C_BITE, at, gathered, Ok(Value::Number(bite, Unit::Newton)));
            let mut inputs = facts.inputs(at);
            inputs.look(&ORDER_MATERIAL);
            let shape = section(&mut inputs);
            let length: f64 = belongs
                .pontics()
                .iter()
                .map(|tooth| span(&mut inputs, *tooth))
                .sum();
            let gathered = inputs.gathered();
            let stress = breaks.map_or(f64::NAN, |breaks| match shape {
                CrossSection::SharpBox { .. } => breaks.sharp,
                CrossSection::Ellipse { .. } | CrossSection::RoundedBox { .. } => breaks.rounded,
            });
            let force = bending_stress(Support::Simple, 1.0, length, &shape)
                .map(|per_newton| stress / per_newton)
                .map_err(|error| error.to_string());
            for (fact, factor, unit) in [
                (C_BREAKS, 1.0, Unit::Newton),
                (C_BREAKS_FROM, 1.0 / breaking.spread, Unit::Newton),
                (C_BREAKS_TO, breaking.spread, Unit::Newton),
                (C_BREAKS_SHARE, breaking.left / bite, Unit::Ratio),
            ] {
                let value = force
                    .clone()
                    .map(|force| Value::Number(force * factor, unit));
                facts.give(&fact, at, gathered.clone(), value);
            }
        }
    }
}

/// A hard bite on the teeth that a connector and its span stand for.
fn bite(hard: &HardBite, at: Place, belongs: &Belongs) -> f64 {
    if belongs.is_back(at) {
        return hard.back;
    }
    let own = match at {
        Place::Connector(one, other) => vec![one, other],
        _ => Vec::new(),
    };
    let canine = own
        .iter()
        .chain(belongs.pontics())
        .any(|tooth| tooth.class() == ToothClass::Canine);
    hard.back * if canine { hard.canines } else { hard.incisors }
}

/// The connectors at or within a run of pontics that is held at both ends, each with the run.
fn spanning(restoration: &Restoration) -> Vec<(Place, Belongs)> {
    restoration
        .connectors()
        .filter_map(|(at, ..)| Some((at, Belongs::of(restoration, at)?)))
        .filter(|(_, belongs)| matches!(belongs, Belongs::Span(_)))
        .collect()
}
