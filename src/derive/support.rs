//! Whether the abutments and the material's class carry the span.
//!
//! *Model*: root area of the abutments over that of the teeth replaced; the class of the material by the number of
//! units and by whether a molar is among them, abutments included, after the indications of ISO 6872. A single crown is
//! no span. On joined crowns the class is silent: they are told apart, and that is common practice.
//! *Limits of validity*: mean root areas; third molars have no published mean here and are taken for the flow's share of the
//! second molar beside them.
//! *Sources*: Ante 1926 by way of textbooks; root areas Jepsen 1963, from memory; ISO 6872 from memory.

use super::{Derivation, Facts};
use crate::case::{Restoration, Role};
use crate::fact::{
    ORDER_MATERIAL, Place, R_UNITS, SPAN_ALLOWED, SPAN_BEYOND, SUPPORT, Unit, Value,
};
use crate::flow::Material;
use crate::phrase::faults::reasons;
use crate::tooth::{ROOT_AREA_SOURCE, Tooth, ToothClass, root_area};

pub(super) static DERIVATION: Derivation = Derivation {
    id: "support",
    gives: &[SUPPORT, SPAN_BEYOND, SPAN_ALLOWED],
    needs: &[ORDER_MATERIAL, R_UNITS],
    sources: &[ROOT_AREA_SOURCE, "iso-6872"],
    run,
};

fn run(facts: &mut Facts<'_>) {
    let third = facts.flow().figures.roots.third_molar_area;
    for restoration in facts.units().restorations() {
        let at = Place::Restoration(restoration.id);
        let area = |role| {
            let teeth = restoration.teeth(role);
            teeth
                .map(|tooth| area_of(third, tooth))
                .sum::<Option<f64>>()
        };
        if restoration.teeth(Role::Pontic).count() > 0
            && let (Some(held), Some(replaced)) = (area(Role::Abutment), area(Role::Pontic))
        {
            let gathered = facts.inputs(at).gathered();
            facts.give(
                &SUPPORT,
                at,
                gathered,
                Ok(Value::Number(held / replaced, Unit::Ratio)),
            );
        }
        let mut inputs = facts.inputs(at);
        let material = inputs.look(&ORDER_MATERIAL).and_then(Value::choice);
        inputs.look(&R_UNITS);
        let gathered = inputs.gathered();
        let beyond = match material.map(|id| facts.flow().material(id)) {
            Some(Some(material)) => Ok(beyond(restoration, material)),
            Some(None) => Err(reasons::UNKNOWN_MATERIAL.to_owned()),
            None => Ok("nothing"),
        };
        let allowed = beyond
            .clone()
            .map(|beyond| Value::from(matches!(beyond, "nothing" | "joined-molar")));
        let beyond = beyond.map(|beyond| Value::Choice(beyond.to_owned()));
        facts.give(&SPAN_BEYOND, at, gathered.clone(), beyond);
        facts.give(&SPAN_ALLOWED, at, gathered, allowed);
    }
}

/// The root area of a tooth in mm²; a third molar's from the second molar beside it, over which it is `third`.
fn area_of(third: f64, tooth: Tooth) -> Option<f64> {
    root_area(tooth).or_else(|| Some(third * root_area(Tooth::new(tooth.quadrant(), 7)?)?))
}

/// Says what takes a restoration beyond the class of its material, the gravest first.
fn beyond(restoration: &Restoration, material: &Material) -> &'static str {
    let units = restoration.units.len();
    let long = units > usize::try_from(material.most_units).unwrap_or(usize::MAX);
    let molar = |role| {
        let mut teeth = restoration.teeth(role);
        !material.takes_molar && teeth.any(|tooth| tooth.class() == ToothClass::Molar)
    };
    if units == 1 {
        return "nothing";
    }
    if restoration.teeth(Role::Pontic).count() == 0 {
        return match (long, molar(Role::Abutment)) {
            (true, _) => "joined-units",
            (false, true) => "joined-molar",
            (false, false) => "nothing",
        };
    }
    if long {
        "units"
    } else if molar(Role::Pontic) {
        "molar-pontic"
    } else if restoration.free_pontics() > 0 && !material.cantilever {
        "cantilever"
    } else if molar(Role::Abutment) {
        "molar-abutment"
    } else {
        "nothing"
    }
}
