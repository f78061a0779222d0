//! The prep against the material: clearance over the top, form and width of the margin.
//!
//! *Inputs and units*: mm. *Model*: a wall that was not read by itself takes the prep's own margin: its form, its width
//! at the narrowest, its level against the gum at the deepest, so that what is not known of a wall is taken at its worst.
//! Then differences and ratios against the material's own figures, which the flow keeps.
//! *Sources*: those of the material.
//!
//! The form is asked as it is: *differs* leads to the walls one by one.

use super::{Derivation, Facts};
use crate::fact::{
    CLEARANCE, CLEARANCE_SHORT, CLEARANCE_SPARE, FORM_USED, FactId, GUM_USED, MARGIN_DEPTH,
    MARGIN_FORM, MARGIN_GUM, MARGIN_LEAST, MARGIN_TAKEN, MarginForm, NARROWEST, ORDER_MATERIAL,
    Place, PlaceKind, TOOTH_FORM, TOOTH_GUM, TOOTH_WIDTH, Unit, Value, WIDTH_SHARE, WIDTH_USED,
};
use crate::flow::Material;
use crate::phrase::faults::reasons;

pub(super) static DERIVATION: Derivation = Derivation {
    id: "margins",
    gives: &[
        CLEARANCE_SHORT,
        CLEARANCE_SPARE,
        FORM_USED,
        WIDTH_USED,
        GUM_USED,
        NARROWEST,
        MARGIN_LEAST,
        MARGIN_TAKEN,
        WIDTH_SHARE,
    ],
    needs: &[
        ORDER_MATERIAL,
        CLEARANCE,
        TOOTH_FORM,
        TOOTH_WIDTH,
        TOOTH_GUM,
        MARGIN_FORM,
        MARGIN_DEPTH,
        MARGIN_GUM,
    ],
    sources: &[],
    run,
};

fn run(facts: &mut Facts<'_>) {
    for at in facts.units().within(Place::Case, PlaceKind::Abutment) {
        clearance(facts, at);
    }
    for at in facts.units().within(Place::Case, PlaceKind::Wall) {
        for (given, own, whole) in [
            (FORM_USED, MARGIN_FORM, TOOTH_FORM),
            (WIDTH_USED, MARGIN_DEPTH, TOOTH_WIDTH),
            (GUM_USED, MARGIN_GUM, TOOTH_GUM),
        ] {
            used(facts, at, &given, &own, &whole);
        }
        against_material(facts, at);
    }
    for at in facts.units().within(Place::Case, PlaceKind::Abutment) {
        let mut inputs = facts.inputs(at);
        let narrowest = inputs
            .facts
            .units()
            .within(at, PlaceKind::Wall)
            .into_iter()
            .map(|wall| inputs.number_at(&WIDTH_USED, wall))
            .fold(f64::INFINITY, f64::min);
        let gathered = inputs.gathered();
        facts.give(
            &NARROWEST,
            at,
            gathered,
            Ok(Value::Number(narrowest, Unit::Mm)),
        );
    }
}

fn clearance(facts: &mut Facts<'_>, at: Place) {
    let mut inputs = facts.inputs(at);
    let material = inputs.look(&ORDER_MATERIAL).and_then(Value::choice);
    let gathered = inputs.gathered();
    let least = figure(facts, material, |m| Value::Number(m.margin_depth, Unit::Mm));
    facts.give(&MARGIN_LEAST, at, gathered, least);

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

/// What counts at a wall: its own reading, else that of the prep all round. A form that differs from wall to wall is
/// read at the wall and nowhere else.
fn used(facts: &mut Facts<'_>, wall: Place, given: &FactId, own: &FactId, whole: &FactId) {
    let mut inputs = facts.inputs(wall);
    let not_seen = facts.case().value(own, wall) == Some(&Value::NotSeen)
        && facts.resolved(whole, wall).is_none();
    let value = match inputs.optional(own, wall) {
        Some(value) => Some(value),
        // Looked for at the wall and not seen, and the prep tells nothing either: it is the wall that is waited for.
        None if not_seen => inputs.look(own),
        None => match inputs.look(whole) {
            Some(value) if value.chosen() == Some(MarginForm::Differs) => inputs.look(own),
            value => value,
        },
    };
    let value = value.cloned().unwrap_or(Value::NotSeen);
    let gathered = inputs.gathered();
    facts.give(given, wall, gathered, Ok(value));
}

fn against_material(facts: &mut Facts<'_>, wall: Place) {
    let mut inputs = facts.inputs(wall);
    let material = inputs.look(&ORDER_MATERIAL).and_then(Value::choice);
    let form = inputs.look(&FORM_USED).and_then(Value::choice);
    let gathered = inputs.gathered();
    let taken = figure(facts, material, |m| {
        Value::from(form.is_some_and(|form| m.margins.iter().any(|taken| taken == form)))
    });
    facts.give(&MARGIN_TAKEN, wall, gathered, taken);

    let mut inputs = facts.inputs(wall);
    let material = inputs.look(&ORDER_MATERIAL).and_then(Value::choice);
    let width = inputs.number(&WIDTH_USED);
    let gathered = inputs.gathered();
    let share = figure(facts, material, |m| {
        Value::Number(width / m.margin_depth, Unit::Ratio)
    });
    facts.give(&WIDTH_SHARE, wall, gathered, share);
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
            .ok_or_else(|| reasons::UNKNOWN_MATERIAL.to_owned()),
    }
}
