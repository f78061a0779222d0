//! The prep in its own figures: heights, base, tapers, and whether its quick readings ask for more.
//!
//! *Inputs and units*: mm; a total taper is `2·atan((base − top) / 2H)` in degrees.
//! *Model*: the mean height is that of the four walls where all were read, else the quick reading. The base is the
//! faciolingual width at the margin, as the published ratio has it. Heights differ by what the walls do that are not low by nature. The quick pass flags a
//! prep when, taken as even and straight on all sides, one direction fails the half-wall rule. Of a shape that cannot be
//! neither tapers nor height to base are computed.
//! *Sources*: geometry; Parker 1993, J Prosthodont, for the rule.

use super::{Derivation, Facts};
use crate::fact::{
    BASE_USED, HEIGHT, HEIGHT_TO_BASE, HEIGHT_USED, HEIGHTS_DIFFER, MARGIN_FL, MARGIN_MD, Place,
    PlaceKind, QUICK_FLAG, SHAPE, Side, TAPER_FL, TAPER_MD, TAPER_MOST, TOP_FL, TOP_MD,
    TOP_OVER_FL, TOP_OVER_MD, Unit, Value, WALL_HEIGHT, WALL_MAY_BE_LOW,
};
use crate::mechanics::resistance::{Section, resistance, total_taper};
use crate::tooth::Tooth;

pub(super) static DERIVATION: Derivation = Derivation {
    id: "stump",
    gives: &[
        HEIGHT_USED,
        BASE_USED,
        HEIGHT_TO_BASE,
        TAPER_MD,
        TAPER_FL,
        TAPER_MOST,
        QUICK_FLAG,
        HEIGHTS_DIFFER,
    ],
    needs: &[
        HEIGHT,
        WALL_HEIGHT,
        WALL_MAY_BE_LOW,
        MARGIN_MD,
        MARGIN_FL,
        TOP_MD,
        TOP_FL,
        SHAPE,
        TOP_OVER_MD,
        TOP_OVER_FL,
    ],
    sources: &["geometry", "parker-1993"],
    run,
};

fn run(facts: &mut Facts<'_>) {
    for at in facts.units().within(Place::Case, PlaceKind::Abutment) {
        if let Place::Unit(tooth) = at {
            heights(facts, at, tooth);
            tapers(facts, at, tooth);
            quick(facts, at, tooth);
        }
    }
}

fn heights(facts: &mut Facts<'_>, at: Place, tooth: Tooth) {
    let mut inputs = facts.inputs(at);
    let walls: Vec<f64> = Side::ALL
        .iter()
        .filter_map(|side| {
            inputs
                .optional(&WALL_HEIGHT, Place::Wall(tooth, *side))?
                .number()
        })
        .collect();
    let mean = if walls.len() == Side::ALL.len() {
        walls.iter().sum::<f64>() / 4.0
    } else {
        inputs = facts.inputs(at);
        inputs.number(&HEIGHT)
    };
    let gathered = inputs.gathered();
    facts.give(
        &HEIGHT_USED,
        at,
        gathered,
        Ok(Value::Number(mean, Unit::Mm)),
    );

    let mut inputs = facts.inputs(at);
    let heights: Vec<f64> = Side::ALL
        .map(|side| Place::Wall(tooth, side))
        .into_iter()
        .filter_map(|wall| {
            let low = inputs.optional(&WALL_MAY_BE_LOW, wall) == Some(&Value::Yes);
            (!low).then(|| inputs.number_at(&WALL_HEIGHT, wall))
        })
        .collect();
    let tallest = heights.iter().copied().fold(f64::MIN, f64::max);
    let shortest = heights.iter().copied().fold(f64::MAX, f64::min);
    let gathered = inputs.gathered();
    facts.give(
        &HEIGHTS_DIFFER,
        at,
        gathered,
        Ok(Value::Number(tallest - shortest, Unit::Mm)),
    );
}

fn tapers(facts: &mut Facts<'_>, at: Place, tooth: Tooth) {
    for (given, base, top) in [(TAPER_MD, MARGIN_MD, TOP_MD), (TAPER_FL, MARGIN_FL, TOP_FL)] {
        let mut inputs = facts.inputs(at);
        inputs.shape_holds(tooth);
        let (base, top, height) = (
            inputs.number(&base),
            inputs.number(&top),
            inputs.number(&HEIGHT_USED),
        );
        let gathered = inputs.gathered();
        let taper = Value::Number(total_taper(base, top, height), Unit::Deg);
        facts.give(&given, at, gathered, Ok(taper));
    }
    let mut inputs = facts.inputs(at);
    let most = inputs.number(&TAPER_MD).max(inputs.number(&TAPER_FL));
    let gathered = inputs.gathered();
    facts.give(
        &TAPER_MOST,
        at,
        gathered,
        Ok(Value::Number(most, Unit::Deg)),
    );

    let mut inputs = facts.inputs(at);
    let base = inputs.number(&MARGIN_FL);
    let gathered = inputs.gathered();
    facts.give(&BASE_USED, at, gathered, Ok(Value::Number(base, Unit::Mm)));

    let mut inputs = facts.inputs(at);
    inputs.shape_holds(tooth);
    let ratio = inputs.number(&HEIGHT_USED) / inputs.number(&BASE_USED);
    let gathered = inputs.gathered();
    facts.give(
        &HEIGHT_TO_BASE,
        at,
        gathered,
        Ok(Value::Number(ratio, Unit::Ratio)),
    );
}

fn quick(facts: &mut Facts<'_>, at: Place, tooth: Tooth) {
    let mut inputs = facts.inputs(at);
    // It rests on the quick readings alone; walls that contradict them do not take it back.
    let over = [TOP_OVER_MD, TOP_OVER_FL].map(|over| inputs.optional_number(&over, at));
    if over.into_iter().flatten().any(|over| over > 0.0) {
        inputs.shape_holds(tooth);
    }
    let height = inputs.number(&HEIGHT);
    let directions = [
        (inputs.number(&MARGIN_MD), inputs.number(&TOP_MD)),
        (inputs.number(&MARGIN_FL), inputs.number(&TOP_FL)),
    ];
    let gathered = inputs.gathered();
    let mut flag = false;
    let mut refused = None;
    for (base, top) in directions {
        let taper = total_taper(base, top, height) / 2.0;
        match resistance(Section {
            base,
            step: 0.0,
            height,
            taper,
        }) {
            Ok(found) => flag |= !found.half_wall,
            Err(error) => refused = Some(error.to_string()),
        }
    }
    facts.give(
        &QUICK_FLAG,
        at,
        gathered,
        refused.map_or(Ok(flag.into()), Err),
    );
}
