//! Whether readings can be true together, and how far they lie from what is usual.
//!
//! *Inputs and units*: mm and degrees; the usual sizes are those of the tooth table.
//! *Model*: a top can be wider than its margin only by the undercut that was found, on both walls. Walls meet where the
//! top that their heights and tapers leave has no width. A mean lies between the least and the greatest of what it is the
//! mean of; a part is no higher than the whole. Where two readings are compared, three standard deviations of both
//! together are taken for reading error. What could be no shape at all is refused as one: no figure rests on it. A reading
//! that is not there contradicts nothing.
//! *Limits of validity*: the tooth table is of average sizes; a tooth can differ by a fifth and more, so what is only
//! unusual is told and not refused.
//! *Sources*: geometry; Ash for usual sizes, partly from memory. The 1 mm of margin on a side is ours: 0.4 to 0.8 mm is
//! what is cut (Tiu 2015).

use super::{Derivation, Facts, Inputs};
use crate::fact::{
    CLEARANCE, CLEARANCE_MET, CONNECTOR_HEIGHT, CONNECTOR_WIDTH, FactId, HEIGHT, HEIGHT_FROM_WALLS,
    HEIGHT_OFF_WALLS, HEIGHT_TO_CROWN, Kind, LEAST_TAPER, MARGIN_DEPTH, MARGIN_FL, MARGIN_FORM,
    MARGIN_GUM, MARGIN_MD, MARGIN_ON_NO_WALL, MARGIN_STEP, NECK_TO_CROWN, OPPOSED_BY,
    ORDER_MATERIAL, OVER_SPACE, OpposedBy, Place, PlaceKind, SHAPE, SOUND_OVER, SOUND_TOOTH,
    SPACE_HEIGHT, SPACE_HEIGHT_TO_USUAL, SPACE_WIDTH, SPACE_WIDTH_TO_USUAL, SPAN, SPAN_TO_USUAL,
    STEP_OVER, STRAIGHT_OVER, Side, Spot, TOOTH_FORM, TOOTH_GUM, TOOTH_WIDTH, TOP_FL, TOP_MD,
    TOP_OFF_WALLS, TOP_OVER_FL, TOP_OVER_MD, UNDERCUT, UNEVEN, USUAL_FL, USUAL_LENGTH, USUAL_MD,
    Undercut, Uneven, Unit, Value, WALL_FORM, WALL_HEIGHT, WALL_MAY_BE_LOW, WALL_STRAIGHT,
    WALL_TAPER, WALLS_MEET, WIDTH_TO_CROWN_FL, WIDTH_TO_CROWN_MD, WIDTH_TO_NECK_FL,
    WIDTH_TO_NECK_MD, WIDTH_USED, WallForm,
};
use crate::mechanics::resistance::total_taper;
use crate::phrase::faults::reasons;
use crate::prep::Readings as _;
use crate::tooth::{Tooth, size};

pub(super) static DERIVATION: Derivation = Derivation {
    id: "plausible",
    gives: &[
        SHAPE,
        TOP_OVER_MD,
        TOP_OVER_FL,
        LEAST_TAPER,
        WALLS_MEET,
        HEIGHT_OFF_WALLS,
        HEIGHT_FROM_WALLS,
        TOP_OFF_WALLS,
        NECK_TO_CROWN,
        MARGIN_ON_NO_WALL,
        WIDTH_TO_NECK_MD,
        WIDTH_TO_NECK_FL,
        WIDTH_TO_CROWN_MD,
        WIDTH_TO_CROWN_FL,
        HEIGHT_TO_CROWN,
        CLEARANCE_MET,
        SOUND_OVER,
        USUAL_MD,
        USUAL_FL,
        USUAL_LENGTH,
        SPAN_TO_USUAL,
        STRAIGHT_OVER,
        STEP_OVER,
        SPACE_HEIGHT_TO_USUAL,
        SPACE_WIDTH_TO_USUAL,
        OVER_SPACE,
    ],
    needs: &[
        HEIGHT,
        MARGIN_MD,
        MARGIN_FL,
        TOP_MD,
        TOP_FL,
        UNDERCUT,
        CLEARANCE,
        OPPOSED_BY,
        SOUND_TOOTH,
        UNEVEN,
        WALL_HEIGHT,
        WALL_MAY_BE_LOW,
        WALL_FORM,
        WALL_STRAIGHT,
        WALL_TAPER,
        ORDER_MATERIAL,
        TOOTH_FORM,
        TOOTH_WIDTH,
        TOOTH_GUM,
        MARGIN_FORM,
        MARGIN_DEPTH,
        MARGIN_GUM,
        WIDTH_USED,
        MARGIN_STEP,
        SPAN,
        SPACE_HEIGHT,
        SPACE_WIDTH,
        CONNECTOR_HEIGHT,
        CONNECTOR_WIDTH,
    ],
    sources: &["geometry", "ash-tooth-dimensions"],
    run,
};

/// Two readings further apart than so many standard deviations of both together do not differ by their errors alone. Ours.
const SURE: f64 = 3.0;

/// Margin that is taken to be cut on each side, in mm. Ours.
const MARGIN: f64 = 1.0;

/// Less than this is no difference between two readings, in mm.
const NOTHING: f64 = 1e-6;

/// More than a band of loupe and finger between the narrowest place of the whole and the narrowest wall, in mm. Ours.
const BAND: f64 = 0.4;

/// The two directions: widths at the margin and at the top, and the walls that stand across.
const ACROSS: [(FactId, FactId, FactId, [Side; 2]); 2] = [
    (MARGIN_MD, TOP_MD, TOP_OVER_MD, [Side::Mesial, Side::Distal]),
    (
        MARGIN_FL,
        TOP_FL,
        TOP_OVER_FL,
        [Side::Facial, Side::Lingual],
    ),
];

fn run(facts: &mut Facts<'_>) {
    let within = |facts: &Facts<'_>, kind| facts.units().within(Place::Case, kind);
    for at in within(facts, PlaceKind::Unit) {
        if let Place::Unit(tooth) = at {
            usual(facts, at, tooth);
        }
    }
    for at in within(facts, PlaceKind::Abutment) {
        if let Place::Unit(tooth) = at {
            widths(facts, at, tooth);
            parallel(facts, at);
            walls_meet(facts, at, tooth);
            top_off_walls(facts, at, tooth);
            on_no_wall(facts, at, tooth);
            heights(facts, at, tooth);
            for side in Side::ALL {
                wall(facts, tooth, side);
            }
            others(facts, at, tooth);
            shape(facts, at, tooth);
        }
    }
    for at in within(facts, PlaceKind::Pontic) {
        if let Place::Unit(tooth) = at {
            let usual = size(tooth).mesiodistal_crown;
            give(facts, &SPAN_TO_USUAL, at, Unit::Ratio, |inputs| {
                Some(inputs.optional_number(&SPAN, at)? / usual)
            });
        }
    }
    for at in within(facts, PlaceKind::Connector) {
        connector(facts, at);
    }
}

/// Gives a number where all that it is computed from is known; elsewhere it has no meaning.
fn give(
    facts: &mut Facts<'_>,
    fact: &FactId,
    at: Place,
    unit: Unit,
    work: impl FnOnce(&mut Inputs<'_, '_>) -> Option<f64>,
) {
    let mut inputs = facts.inputs(at);
    let found = work(&mut inputs);
    if found.is_none() {
        inputs.does_not_apply();
    }
    let value = Value::Number(found.unwrap_or_default(), unit);
    let gathered = inputs.gathered();
    facts.give(fact, at, gathered, Ok(value));
}

fn usual(facts: &mut Facts<'_>, at: Place, tooth: Tooth) {
    let size = size(tooth);
    for (fact, usual) in [
        (USUAL_MD, size.mesiodistal_crown),
        (USUAL_FL, size.faciolingual_crown),
        (USUAL_LENGTH, size.crown_length),
    ] {
        give(facts, &fact, at, Unit::Mm, |_| Some(usual));
    }
}

/// How much wider than its margin a top may be by the undercut that was found, on both walls, in mm.
fn undercut(inputs: &mut Inputs<'_, '_>, at: Place) -> f64 {
    let on_a_wall = match inputs.choice(&UNDERCUT, at) {
        None | Some(Undercut::None) => 0.0,
        Some(Undercut::ToTenth) => 0.1,
        Some(Undercut::ToThree) => 0.3,
        // How much more is not said.
        Some(Undercut::Over | Undercut::AtMargin) => f64::INFINITY,
    };
    2.0 * on_a_wall
}

fn widths(facts: &mut Facts<'_>, at: Place, tooth: Tooth) {
    for (margin, top, over, _) in ACROSS {
        give(facts, &over, at, Unit::Mm, |inputs| {
            let over = inputs.optional_number(&top, at)? - inputs.optional_number(&margin, at)?;
            let left = over - undercut(inputs, at);
            Some(if left > NOTHING { left } else { 0.0 })
        });
    }
    let size = size(tooth);
    for (margin, to_neck, neck, to_crown, crown) in [
        (
            MARGIN_MD,
            WIDTH_TO_NECK_MD,
            size.mesiodistal_cervix,
            WIDTH_TO_CROWN_MD,
            size.mesiodistal_crown,
        ),
        (
            MARGIN_FL,
            WIDTH_TO_NECK_FL,
            size.faciolingual_cervix,
            WIDTH_TO_CROWN_FL,
            size.faciolingual_crown,
        ),
    ] {
        give(facts, &to_neck, at, Unit::Ratio, |inputs| {
            Some((inputs.optional_number(&margin, at)? + 2.0 * MARGIN) / neck)
        });
        give(facts, &to_crown, at, Unit::Ratio, |inputs| {
            Some(inputs.optional_number(&margin, at)? / crown)
        });
    }
    // A margin lies outside the width that is measured; the neck of a tooth is no wider than its crown.
    give(facts, &NECK_TO_CROWN, at, Unit::Ratio, |inputs| {
        let crowns = [size.mesiodistal_crown, size.faciolingual_crown];
        let mut widest: Option<f64> = None;
        for ((margin, _, _, sides), crown) in ACROSS.into_iter().zip(crowns) {
            let mut neck = inputs.optional_number(&margin, at)?;
            for side in sides {
                neck += inputs.optional_number(&WIDTH_USED, Place::Wall(tooth, side))?;
            }
            widest = Some(widest.map_or(neck / crown, |known| known.max(neck / crown)));
        }
        widest
    });
}

/// Whether something was put down for the whole margin that is worse than on each of its walls: then one of the two is
/// wrong, and what is computed rests on the walls.
fn on_no_wall(facts: &mut Facts<'_>, at: Place, tooth: Tooth) {
    let mut inputs = facts.inputs(at);
    let walls = Side::ALL.map(|side| Place::Wall(tooth, side));
    let mut all = |fact: &FactId| -> Option<Vec<Value>> {
        let read = walls
            .iter()
            .map(|wall| inputs.optional(fact, *wall).cloned());
        read.collect()
    };
    let (forms, widths, gums) = (all(&MARGIN_FORM), all(&MARGIN_DEPTH), all(&MARGIN_GUM));
    let form = inputs.optional(&TOOTH_FORM, at).cloned();
    let width = inputs.optional_number(&TOOTH_WIDTH, at);
    let gum = inputs.optional(&TOOTH_GUM, at).cloned();
    let owner = inputs.facts.units().resolve(PlaceKind::Restoration, at);
    let material = owner.and_then(|owner| inputs.optional(&ORDER_MATERIAL, owner)?.choice());
    let material = material.and_then(|id| inputs.facts.flow().material(id));

    let form = form.zip(forms).is_some_and(|(form, forms)| {
        let taken =
            |form: &str| material.is_none_or(|m| m.margins.iter().any(|taken| taken == form));
        let refused = form
            .choice()
            .is_some_and(|form| form != "differs" && !taken(form));
        refused && !forms.contains(&form)
    });
    let width = width.zip(widths).is_some_and(|(width, widths)| {
        let narrowest = widths
            .iter()
            .filter_map(Value::number)
            .fold(f64::INFINITY, f64::min);
        narrowest.is_finite() && narrowest - width > BAND
    });
    let depth = |value: &Value| {
        // The catalogue has the places with the deepest last.
        let place = |id: &str| match &MARGIN_GUM.spec()?.kind {
            Kind::Choice(places) => places.iter().position(|(known, _)| *known == id),
            _ => None,
        };
        value.choice().and_then(place)
    };
    let gum = gum.zip(gums).is_some_and(|(gum, gums)| {
        let deepest = gums.iter().filter_map(depth).max();
        depth(&gum) > deepest && deepest.is_some()
    });
    let gathered = inputs.gathered();
    facts.give(
        &MARGIN_ON_NO_WALL,
        at,
        gathered,
        Ok(Value::from(form || width || gum)),
    );
}

/// The least total taper, of directions whose top is not wider than its margin, where no undercut was found.
fn parallel(facts: &mut Facts<'_>, at: Place) {
    give(facts, &LEAST_TAPER, at, Unit::Deg, |inputs| {
        let height = inputs.optional_number(&HEIGHT, at)?;
        if undercut(inputs, at) > 0.0 {
            return None;
        }
        ACROSS
            .into_iter()
            .filter_map(|(margin, top, ..)| {
                let margin = inputs.optional_number(&margin, at)?;
                let top = inputs.optional_number(&top, at)?;
                (top <= margin + NOTHING).then(|| total_taper(margin, top, height).max(0.0))
            })
            .reduce(f64::min)
    });
}

fn walls_meet(facts: &mut Facts<'_>, at: Place, tooth: Tooth) {
    let mut inputs = facts.inputs(at);
    let mut meet = None;
    for (margin, _, _, sides) in ACROSS {
        let top = inputs
            .optional_number(&margin, at)
            .and_then(|margin| top_left(&mut inputs, tooth, margin, sides));
        meet = match (meet, top) {
            (known, None) => known,
            (known, Some(top)) => Some(known == Some(true) || top <= NOTHING),
        };
    }
    if meet.is_none() {
        inputs.does_not_apply();
    }
    let gathered = inputs.gathered();
    facts.give(
        &WALLS_MEET,
        at,
        gathered,
        Ok(Value::from(meet == Some(true))),
    );
}

/// The width of the top against what straight walls leave whose tapers were read.
fn top_off_walls(facts: &mut Facts<'_>, at: Place, tooth: Tooth) {
    give(facts, &TOP_OFF_WALLS, at, Unit::Mm, |inputs| {
        let mut off: Option<f64> = None;
        for (margin, top, _, sides) in ACROSS {
            let walls = sides.map(|side| Place::Wall(tooth, side));
            // A dished wall has another taper further up, and a low palatal one ends below the top.
            let straight = walls.iter().all(|wall| {
                let form = inputs.choice(&WALL_FORM, *wall);
                let low = inputs.optional(&WALL_MAY_BE_LOW, *wall) == Some(&Value::Yes);
                form == Some(WallForm::Straight) && !low
            });
            let read = (
                inputs.optional_number(&margin, at),
                inputs.optional_number(&top, at),
            );
            let (Some(width), Some(read), true) = (read.0, read.1, straight) else {
                continue;
            };
            let Some(left) = top_left(inputs, tooth, width, sides) else {
                continue;
            };
            // What an error of a taper moves at the top of its wall.
            let mut squares =
                error(inputs.facts, &margin, at).powi(2) + error(inputs.facts, &top, at).powi(2);
            for (side, wall) in sides.into_iter().zip(walls) {
                let taper = error(inputs.facts, &WALL_TAPER, wall).to_radians();
                let height = height(inputs, tooth, side).unwrap_or_default();
                squares += (height * taper.tan()).powi(2);
            }
            let beyond = ((left - read).abs() - SURE * squares.sqrt()).max(0.0);
            off = Some(off.map_or(beyond, |known| known.max(beyond)));
        }
        off
    });
}

/// The width of the top that two walls leave whose tapers were read, in mm.
fn top_left(
    inputs: &mut Inputs<'_, '_>,
    tooth: Tooth,
    margin: f64,
    sides: [Side; 2],
) -> Option<f64> {
    let mut left = margin;
    for side in sides {
        let wall = Place::Wall(tooth, side);
        let taper = inputs.optional_number(&WALL_TAPER, wall)?;
        left -= height(inputs, tooth, side)? * taper.to_radians().tan();
    }
    Some(left)
}

/// The height of a wall: its own, else the mean that was put down.
fn height(inputs: &mut Inputs<'_, '_>, tooth: Tooth, side: Side) -> Option<f64> {
    inputs
        .optional_number(&WALL_HEIGHT, Place::Wall(tooth, side))
        .or_else(|| inputs.optional_number(&HEIGHT, Place::Unit(tooth)))
}

/// One standard deviation of a reading, in its unit; nil where the flow names none.
fn error(facts: &Facts<'_>, fact: &FactId, at: Place) -> f64 {
    let spot = Spot {
        fact: fact.clone(),
        at,
    };
    let with = facts.case().merged(&spot);
    let with = with.and_then(|(_, reading)| reading.with.as_deref());
    let error = facts.flow().question(fact).and_then(|q| q.error(with));
    error.unwrap_or_default()
}

/// What reading errors can make of the difference of two readings, in their unit.
fn errors(facts: &Facts<'_>, readings: [(&FactId, Place); 2]) -> f64 {
    let squares = readings.map(|(fact, at)| error(facts, fact, at).powi(2));
    SURE * squares.into_iter().sum::<f64>().sqrt()
}

/// The mean that was put down against the four walls, where all were read.
fn heights(facts: &mut Facts<'_>, at: Place, tooth: Tooth) {
    let walls = Side::ALL.map(|side| Place::Wall(tooth, side));
    give(facts, &HEIGHT_OFF_WALLS, at, Unit::Mm, |inputs| {
        let mean = inputs.optional_number(&HEIGHT, at)?;
        let mut off: Option<f64> = None;
        for wall in walls {
            // Signed: a wall above the mean on one side and one below it on the other leave nothing.
            let apart = inputs.optional_number(&WALL_HEIGHT, wall)? - mean;
            off = Some(match off {
                Some(known) if known.signum() != apart.signum() => 0.0,
                Some(known) if known.abs() <= apart.abs() => known,
                _ => apart,
            });
        }
        let error = errors(inputs.facts, [(&HEIGHT, at), (&WALL_HEIGHT, walls[0])]);
        off.map(|off| (off.abs() - error).max(0.0))
    });
    give(facts, &HEIGHT_FROM_WALLS, at, Unit::Mm, |inputs| {
        let mean = inputs.optional_number(&HEIGHT, at)?;
        let (mut sum, mut count) = (0.0, 0.0);
        for wall in walls {
            let height = inputs.optional_number(&WALL_HEIGHT, wall)?;
            if inputs.optional(&WALL_MAY_BE_LOW, wall) != Some(&Value::Yes) {
                sum += height;
                count += 1.0;
            }
        }
        (count > 0.0).then(|| (mean - sum / count).abs())
    });
}

/// Parts of a wall that are higher than the whole.
fn wall(facts: &mut Facts<'_>, tooth: Tooth, side: Side) {
    let at = Place::Wall(tooth, side);
    give(facts, &STRAIGHT_OVER, at, Unit::Mm, |inputs| {
        let form = inputs.optional(&WALL_FORM, at)?;
        if form.chosen() != Some(WallForm::ConcaveTop) {
            return None;
        }
        let over = inputs.optional_number(&WALL_STRAIGHT, at)? - height(inputs, tooth, side)?;
        let error = errors(inputs.facts, [(&WALL_STRAIGHT, at), (&WALL_HEIGHT, at)]);
        Some((over - error).max(0.0))
    });
    give(facts, &STEP_OVER, at, Unit::Mm, |inputs| {
        let uneven = inputs.optional(&UNEVEN, Place::Unit(tooth))?;
        if uneven.chosen() != Some(Uneven::MarginSteps) {
            return None;
        }
        let step = inputs.optional_number(&MARGIN_STEP, at)?;
        let tallest = Side::ALL
            .into_iter()
            .filter_map(|side| height(inputs, tooth, side))
            .reduce(f64::max)?;
        let error = errors(inputs.facts, [(&MARGIN_STEP, at), (&WALL_HEIGHT, at)]);
        Some((step - tallest - error).max(0.0))
    });
}

fn others(facts: &mut Facts<'_>, at: Place, tooth: Tooth) {
    let length = size(tooth).crown_length;
    give(facts, &HEIGHT_TO_CROWN, at, Unit::Ratio, |inputs| {
        Some(inputs.optional_number(&HEIGHT, at)? / length)
    });
    give(facts, &CLEARANCE_MET, at, Unit::Mm, |inputs| {
        let clearance = inputs.optional_number(&CLEARANCE, at)?;
        let bites = inputs.facts.units().resolve(PlaceKind::Restoration, at);
        let against = bites.and_then(|owner| inputs.optional(&OPPOSED_BY, owner));
        // Where nothing bites against it there is no room to measure.
        (against.and_then(Value::chosen) != Some(OpposedBy::Nothing)).then_some(clearance)
    });
    give(facts, &SOUND_OVER, at, Unit::Mm, |inputs| {
        let over =
            inputs.optional_number(&SOUND_TOOTH, at)? - inputs.optional_number(&HEIGHT, at)?;
        Some(over.max(0.0))
    });
}

fn connector(facts: &mut Facts<'_>, at: Place) {
    let Place::Connector(one, other) = at else {
        return;
    };
    let (one, other) = (size(one), size(other));
    let length = one.crown_length.max(other.crown_length);
    let width = one.faciolingual_crown.max(other.faciolingual_crown);
    for (fact, room, usual) in [
        (SPACE_HEIGHT_TO_USUAL, SPACE_HEIGHT, length),
        (SPACE_WIDTH_TO_USUAL, SPACE_WIDTH, width),
    ] {
        give(facts, &fact, at, Unit::Ratio, |inputs| {
            Some(inputs.optional_number(&room, at)? / usual)
        });
    }
    give(facts, &OVER_SPACE, at, Unit::Mm, |inputs| {
        let over = [
            (CONNECTOR_HEIGHT, SPACE_HEIGHT, length),
            (CONNECTOR_WIDTH, SPACE_WIDTH, width),
        ]
        .map(|(drawn, room, usual)| {
            // Where the room was not measured no connector is larger than the tooth beside it usually is.
            let room = inputs.optional_number(&room, at).unwrap_or(usual);
            Some(inputs.optional_number(&drawn, at)? - room)
        });
        let [height, width] = over;
        Some(height?.max(width?).max(0.0))
    });
}

/// Refuses a shape that cannot be, with the first reason; every figure of a prep looks here.
fn shape(facts: &mut Facts<'_>, at: Place, tooth: Tooth) {
    let mut inputs = facts.inputs(at);
    let mut above_nothing = |fact: &FactId, at: Place| {
        inputs
            .optional_number(fact, at)
            .is_some_and(|over| over > 0.0)
    };
    let mut wrong = None;
    for (fact, why) in [
        (TOP_OVER_MD, reasons::TOP_WIDER_MD),
        (TOP_OVER_FL, reasons::TOP_WIDER_FL),
        (HEIGHT_OFF_WALLS, reasons::HEIGHT_OFF_WALLS),
        (TOP_OFF_WALLS, reasons::TOP_OFF_WALLS),
    ] {
        if above_nothing(&fact, at) {
            wrong = wrong.or(Some(why));
        }
    }
    for side in Side::ALL {
        let wall = Place::Wall(tooth, side);
        if above_nothing(&STRAIGHT_OVER, wall) {
            wrong = wrong.or(Some(reasons::STRAIGHT_OVER_WALL));
        }
        if above_nothing(&STEP_OVER, wall) {
            wrong = wrong.or(Some(reasons::STEP_OVER_PREP));
        }
    }
    if inputs.optional(&WALLS_MEET, at) == Some(&Value::Yes) {
        wrong = wrong.or(Some(reasons::WALLS_MEET));
    }
    let gathered = inputs.gathered();
    let held = match wrong {
        Some(why) => Err(why.to_owned()),
        None => Ok(Value::Yes),
    };
    facts.give(&SHAPE, at, gathered, held);
}
