//! What the planned cement is like, whether material and cement are for temporaries, whether primer and material go
//! together, and whether the inside of the restoration is treated for it, out of the flow's tables.
//!
//! *Model*: one that sets with water does not bond; the others bond, some of them over a primer. A treatment is left out
//! where the table cannot do without it, and barred where the table says never.
//! *Sources*: those of the tables.

use super::{Derivation, Facts};
use crate::fact::{
    CEMENT_BONDS, CEMENT_DRY, CEMENT_PRIMER, CEMENT_TEMPORARY, FITTING_BARRED, FITTING_LACKS,
    FITTING_MATTERS, FITTING_SURFACE, MATERIAL_TEMPORARY, ORDER_CEMENT, ORDER_MATERIAL,
    PRIMER_FITS, Place, Treated, Value,
};
use crate::flow::{Cement, Seating, Treatment};
use crate::phrase::faults::reasons;

pub(super) static DERIVATION: Derivation = Derivation {
    id: "cement",
    gives: &[
        MATERIAL_TEMPORARY,
        CEMENT_TEMPORARY,
        CEMENT_BONDS,
        CEMENT_DRY,
        CEMENT_PRIMER,
        PRIMER_FITS,
        FITTING_MATTERS,
        FITTING_LACKS,
        FITTING_BARRED,
    ],
    needs: &[ORDER_CEMENT, ORDER_MATERIAL, FITTING_SURFACE],
    sources: &[],
    run,
};

type Trait = fn(&Cement) -> bool;

fn run(facts: &mut Facts<'_>) {
    let traits: [(_, Trait); 4] = [
        (CEMENT_TEMPORARY, |cement| cement.temporary),
        (CEMENT_BONDS, |cement| !cement.water_based),
        (CEMENT_DRY, |cement| cement.dry_field),
        (CEMENT_PRIMER, |cement| cement.primer),
    ];
    for restoration in facts.units().restorations() {
        let at = Place::Restoration(restoration.id);
        for (fact, has) in &traits {
            let mut inputs = facts.inputs(at);
            let id = inputs.look(&ORDER_CEMENT).and_then(Value::choice);
            let gathered = inputs.gathered();
            let cement = id.and_then(|id| facts.flow().cement(id));
            let value = cement
                .map(|cement| Value::from(has(cement)))
                .ok_or_else(|| reasons::UNKNOWN_CEMENT.to_owned());
            facts.give(fact, at, gathered, value);
        }
        let mut inputs = facts.inputs(at);
        let id = inputs.look(&ORDER_MATERIAL).and_then(Value::choice);
        let gathered = inputs.gathered();
        let value = id
            .and_then(|id| facts.flow().material(id))
            .map(|material| Value::from(material.temporary))
            .ok_or_else(|| reasons::UNKNOWN_MATERIAL.to_owned());
        facts.give(&MATERIAL_TEMPORARY, at, gathered, value);
        primer(facts, at);
        inside(facts, at);
    }
}

/// Looks up whether the cement goes with the material; one that the table of seating says nothing of with this material
/// is no finding here.
fn primer(facts: &mut Facts<'_>, at: Place) {
    let flow = facts.flow();
    let mut inputs = facts.inputs(at);
    let material = inputs.look(&ORDER_MATERIAL).and_then(Value::choice);
    let cement = inputs.look(&ORDER_CEMENT).and_then(Value::choice);
    let gathered = inputs.gathered();
    let fits = material.zip(cement).is_none_or(|(material, cement)| {
        let of_material = flow.material(material);
        let told = of_material.is_some_and(|own| flow.seating(&own.id, cement).is_some());
        !told || flow.goes_with(material, cement)
    });
    facts.give(&PRIMER_FITS, at, gathered, Ok(Value::from(fits)));
}

/// Looks up whether the ordered treatment of the inside goes with material and cement.
///
/// What the material alone settles does not wait for the cement, nor for the treatment: most work is zirconia, cemented.
fn inside(facts: &mut Facts<'_>, at: Place) {
    let flow = facts.flow();
    let mut inputs = facts.inputs(at);
    let material = inputs.look(&ORDER_MATERIAL).and_then(Value::choice);
    let of_material = inputs.gathered();
    let ways: Vec<&Seating> = flow
        .seatings
        .iter()
        .filter(|way| material.is_some_and(|own| way.materials.iter().any(|id| id == own)))
        .collect();
    let needs = ways.iter().any(|way| !way.must.is_empty());
    let bars = ways.iter().any(|way| !way.never.is_empty());

    let mut inputs = facts.inputs(at);
    inputs.look(&ORDER_MATERIAL);
    let mut bonded = None;
    if needs || bars {
        let cement = inputs.look(&ORDER_CEMENT).and_then(Value::choice);
        bonded = cement
            .and_then(|id| flow.cement(id))
            .filter(|cement| !cement.water_based);
    }
    let matters = inputs.gathered();
    facts.give(
        &FITTING_MATTERS,
        at,
        matters,
        Ok(Value::from(bonded.is_some())),
    );

    let mut inputs = facts.inputs(at);
    inputs.look(&ORDER_MATERIAL);
    let mut lacks = false;
    if needs {
        inputs.look(&ORDER_CEMENT);
    }
    if let Some(way) = bonded.and_then(|cement| {
        ways.iter()
            .find(|way| !way.must.is_empty() && way.cements.contains(&cement.id))
    }) {
        let done = inputs
            .look(&FITTING_SURFACE)
            .and_then(Value::chosen)
            .and_then(treatments);
        // What the order leaves open is not left out: the seating notes say it.
        lacks = done.is_some_and(|done| way.must.iter().any(|must| !done.contains(must)));
    }
    let gathered = inputs.gathered();
    facts.give(&FITTING_LACKS, at, gathered, Ok(Value::from(lacks)));

    let mut barred = false;
    let gathered = if bars {
        let mut inputs = facts.inputs(at);
        inputs.look(&ORDER_MATERIAL);
        // Where the cement is not known nobody asks for the treatment; what the order says of it still counts.
        let order = match facts.value(&ORDER_CEMENT, at) {
            Some(_) => inputs.look(&FITTING_SURFACE),
            None => inputs.optional(&FITTING_SURFACE, at),
        };
        let done = order.and_then(Value::chosen).and_then(treatments);
        barred = done.is_some_and(|done| {
            let mut never = ways.iter().flat_map(|way| &way.never);
            never.any(|(never, _)| done.contains(never))
        });
        inputs.gathered()
    } else {
        of_material
    };
    facts.give(&FITTING_BARRED, at, gathered, Ok(Value::from(barred)));
}

/// What the choices of `order.fitting_surface` stand for, or `None` if the order does not say.
fn treatments(choice: Treated) -> Option<&'static [Treatment]> {
    use Treatment::{Abrade, Etch, Primer, Silane};
    Some(match choice {
        Treated::EtchedSilane => &[Etch, Silane],
        Treated::Etched => &[Etch],
        Treated::AbradedPrimer => &[Abrade, Primer],
        Treated::Abraded => &[Abrade],
        Treated::Nothing => &[],
        Treated::NotStated => return None,
    })
}
