//! Which walls keep the restoration from turning about the opposite margin.
//!
//! *Inputs and units*: mm and degrees. A wall that was not read by itself takes the prep's mean height and half of
//! the total taper. A dished wall counts only its straight part. Where the margin steps, the step enters.
//! *Model*: the half-wall rule in the section through the path of insertion; see [`crate::mechanics::resistance`].
//! A groove or box on mesial and distal resists turning faciolingually, one on facial and lingual turning
//! mesiodistally, so the walls they help pass.
//! *Limits of validity*: a plane section; sharp edges at the top; nothing about cement.
//! *Sources*: Parker 1993, J Prosthodont; Parker 1991 for grooves.

use super::{Derivation, Facts, Inputs};
use crate::fact::{
    EFFECTIVE, EFFECTIVE_SHARE, FAILING, GROOVES, Grooves, HEIGHT_USED, MARGIN_FL, MARGIN_MD,
    MARGIN_STEP, PAIR_FAILS, Place, PlaceKind, SHAPE, Side, TAPER_FL, TAPER_MD, UNEVEN, Uneven,
    Unit, Value, WALL_FORM, WALL_HEIGHT, WALL_HEIGHT_USED, WALL_STRAIGHT, WALL_TAPER,
    WALL_TAPER_USED, WallForm,
};
use crate::mechanics::resistance::{Section, resistance};
use crate::prep::Readings as _;
use crate::tooth::Tooth;

pub(super) static DERIVATION: Derivation = Derivation {
    id: "resistance",
    gives: &[
        WALL_HEIGHT_USED,
        WALL_TAPER_USED,
        EFFECTIVE_SHARE,
        EFFECTIVE,
        FAILING,
        PAIR_FAILS,
    ],
    needs: &[
        WALL_HEIGHT,
        HEIGHT_USED,
        WALL_TAPER,
        TAPER_MD,
        TAPER_FL,
        MARGIN_MD,
        MARGIN_FL,
        WALL_FORM,
        WALL_STRAIGHT,
        UNEVEN,
        MARGIN_STEP,
        GROOVES,
        SHAPE,
    ],
    sources: &["parker-1993", "parker-1991"],
    run,
};

fn run(facts: &mut Facts<'_>) {
    for at in facts.units().within(Place::Case, PlaceKind::Abutment) {
        if let Place::Unit(tooth) = at {
            for side in Side::ALL {
                wall(facts, tooth, side);
            }
            directions(facts, tooth);
        }
    }
}

fn is_mesiodistal(side: Side) -> bool {
    matches!(side, Side::Mesial | Side::Distal)
}

fn wall(facts: &mut Facts<'_>, tooth: Tooth, side: Side) {
    let at = Place::Wall(tooth, side);
    let (total, base) = if is_mesiodistal(side) {
        (TAPER_MD, MARGIN_MD)
    } else {
        (TAPER_FL, MARGIN_FL)
    };

    let mut inputs = facts.inputs(at);
    let own = inputs.optional(&WALL_HEIGHT, at).and_then(Value::number);
    let height = own.unwrap_or_else(|| inputs.number(&HEIGHT_USED));
    let gathered = inputs.gathered();
    facts.give(
        &WALL_HEIGHT_USED,
        at,
        gathered,
        Ok(Value::Number(height, Unit::Mm)),
    );

    let mut inputs = facts.inputs(at);
    let own = inputs.optional(&WALL_TAPER, at).and_then(Value::number);
    let taper = own.unwrap_or_else(|| inputs.number(&total) / 2.0);
    let gathered = inputs.gathered();
    facts.give(
        &WALL_TAPER_USED,
        at,
        gathered,
        Ok(Value::Number(taper, Unit::Deg)),
    );

    let mut inputs = facts.inputs(at);
    inputs.shape_holds(tooth);
    let full = inputs.number(&WALL_HEIGHT_USED);
    let taper = inputs.number(&WALL_TAPER_USED);
    let base = inputs.number(&base);
    let straight = match inputs.choice(&WALL_FORM, at) {
        Some(WallForm::ConcaveTop) => inputs.number(&WALL_STRAIGHT),
        Some(WallForm::Concave) => 0.0,
        Some(WallForm::Straight) | None => full,
    };
    let step = margin_step(&mut inputs, tooth, side);
    let grooved = match inputs.choice(&GROOVES, Place::Unit(tooth)) {
        Some(Grooves::All) => true,
        Some(Grooves::Proximal) => !is_mesiodistal(side),
        Some(Grooves::FacialLingual) => is_mesiodistal(side),
        Some(Grooves::None) | None => false,
    };
    let gathered = inputs.gathered();
    let height = straight.min(full);
    let found = if height <= 0.0 {
        Ok((0.0, false))
    } else {
        resistance(Section {
            base,
            step,
            height,
            taper,
        })
        .map(|found| (found.fraction * 100.0 * height / full, found.half_wall))
        .map_err(|error| error.to_string())
    };
    let share = found
        .clone()
        .map(|(share, _)| Value::Number(share, Unit::Percent));
    facts.give(&EFFECTIVE_SHARE, at, gathered.clone(), share);
    facts.give(
        &EFFECTIVE,
        at,
        gathered,
        found.map(|(_, passes)| Value::from(passes || grooved)),
    );
}

/// How far this wall's margin stands above that of the wall across, in mm.
///
/// Waited for only where the margin is known to step; a sloping top leaves the margins level.
fn margin_step(inputs: &mut Inputs<'_, '_>, tooth: Tooth, side: Side) -> f64 {
    match inputs.choice(&UNEVEN, Place::Unit(tooth)) {
        Some(Uneven::MarginSteps) => {
            inputs.number(&MARGIN_STEP)
                - inputs.number_at(&MARGIN_STEP, Place::Wall(tooth, side.opposite()))
        }
        Some(Uneven::TopSlopes) | None => 0.0,
    }
}

fn directions(facts: &mut Facts<'_>, tooth: Tooth) {
    let at = Place::Unit(tooth);
    let mut inputs = facts.inputs(at);
    let fails = Side::ALL
        .map(|side| inputs.look_at(&EFFECTIVE, Place::Wall(tooth, side)) == Some(&Value::No));
    let gathered = inputs.gathered();
    let count = fails.iter().filter(|fails| **fails).count() as f64;
    let [mesial, distal, facial, lingual] = fails;
    facts.give(
        &FAILING,
        at,
        gathered.clone(),
        Ok(Value::Number(count, Unit::Count)),
    );
    facts.give(
        &PAIR_FAILS,
        at,
        gathered,
        Ok(Value::from((mesial && distal) || (facial && lingual))),
    );
}
