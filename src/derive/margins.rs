//! The stump against the material: room over the top, form and depth of the finish line.
//!
//! *Inputs and units*: mm. *Model*: differences and ratios against the material's own figures, which the flow keeps.
//! *Sources*: those of the material.

use super::{Derivation, Facts};
use crate::fact::{
    CLEARANCE, CLEARANCE_SHORT, CLEARANCE_SPARE, DEPTH_SHARE, MARGIN_DEPTH, MARGIN_FORM,
    MARGIN_TAKEN, ORDER_MATERIAL, Place, PlaceKind, Unit, Value,
};
use crate::flow::Material;

pub(super) static DERIVATION: Derivation = Derivation {
    id: "margins",
    gives: &[CLEARANCE_SHORT, CLEARANCE_SPARE, MARGIN_TAKEN, DEPTH_SHARE],
    needs: &[ORDER_MATERIAL, CLEARANCE, MARGIN_FORM, MARGIN_DEPTH],
    sources: &[],
    run,
};

fn run(facts: &mut Facts<'_>) {
    for at in facts.units().within(Place::Case, PlaceKind::Abutment) {
        let mut inputs = facts.inputs(at);
        let material = inputs.look(&ORDER_MATERIAL).and_then(Value::choice);
        let clearance = inputs.number(&CLEARANCE);
        let gathered = inputs.gathered();
        let short = figure(facts, material, |m| {
            Value::Number(m.occlusal - clearance, Unit::Mm)
        });
        let spare = figure(facts, material, |m| {
            Value::Number(clearance - m.occlusal, Unit::Mm)
        });
        facts.give(&CLEARANCE_SHORT, at, gathered.clone(), short);
        facts.give(&CLEARANCE_SPARE, at, gathered, spare);
    }
    for at in facts.units().within(Place::Case, PlaceKind::Wall) {
        let mut inputs = facts.inputs(at);
        let material = inputs.look(&ORDER_MATERIAL).and_then(Value::choice);
        let form = inputs.look(&MARGIN_FORM).and_then(Value::choice);
        let gathered = inputs.gathered();
        let taken = figure(facts, material, |m| {
            Value::from(form.is_some_and(|form| m.margins.iter().any(|taken| taken == form)))
        });
        facts.give(&MARGIN_TAKEN, at, gathered, taken);

        let mut inputs = facts.inputs(at);
        let material = inputs.look(&ORDER_MATERIAL).and_then(Value::choice);
        let depth = inputs.number(&MARGIN_DEPTH);
        let gathered = inputs.gathered();
        let share = figure(facts, material, |m| {
            Value::Number(depth / m.margin_depth, Unit::Ratio)
        });
        facts.give(&DEPTH_SHARE, at, gathered, share);
    }
}

/// Applies a figure of the material; where the material is missing, the result is not kept anyway.
fn figure(
    facts: &Facts<'_>,
    id: Option<&str>,
    of: impl Fn(&Material) -> Value,
) -> Result<Value, String> {
    match id {
        None => Ok(Value::No),
        Some(id) => facts
            .flow()
            .material(id)
            .map(of)
            .ok_or_else(|| "the flow does not know the material".to_owned()),
    }
}
