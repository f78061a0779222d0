//! Whether the abutments and the material's class carry the span.
//!
//! *Model*: root area of the abutments over that of the teeth replaced; the class of the material by the number of
//! units and by whether a molar is replaced, after the indications of ISO 6872.
//! *Limits of validity*: mean root areas; third molars have no published mean here, so no ratio is given with one.
//! *Sources*: Ante 1926 by way of textbooks; root areas Jepsen 1963, from memory; ISO 6872 from memory.

use super::{Derivation, Facts};
use crate::case::Role;
use crate::fact::{ORDER_MATERIAL, Place, R_UNITS, SPAN_ALLOWED, SUPPORT, Unit, Value};
use crate::tooth::{ROOT_AREA_SOURCE, ToothClass, root_area};

pub(super) static DERIVATION: Derivation = Derivation {
    id: "support",
    gives: &[SUPPORT, SPAN_ALLOWED],
    needs: &[ORDER_MATERIAL, R_UNITS],
    sources: &[ROOT_AREA_SOURCE, "iso-6872"],
    run,
};

fn run(facts: &mut Facts<'_>) {
    for restoration in facts.units().restorations() {
        let at = Place::Restoration(restoration.id);
        let area = |role| restoration.teeth(role).map(root_area).sum::<Option<f64>>();
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
        let units = inputs.number(&R_UNITS);
        let gathered = inputs.gathered();
        let molar = restoration
            .teeth(Role::Pontic)
            .any(|tooth| tooth.class() == ToothClass::Molar);
        let allowed = match material.map(|id| facts.flow().material(id)) {
            Some(Some(material)) => Ok(Value::from(
                units <= f64::from(material.most_units)
                    && (!molar || material.replaces_molar)
                    && (restoration.free_pontics() == 0 || material.cantilever),
            )),
            Some(None) => Err("the flow does not know the material".to_owned()),
            None => Ok(Value::No),
        };
        facts.give(&SPAN_ALLOWED, at, gathered, allowed);
    }
}
