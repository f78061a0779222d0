//! Stumps put together from readings, and stood in the arch.

use crate::case::{Restoration as Units, Role};
use crate::derive::{Facts, Inputs};
use crate::fact::{
    FORM_USED, GROOVES, MARGIN_FL, MARGIN_MD, MARGIN_STEP, Place, PlaceKind, SPAN, Side, TILT,
    TILT_TOWARD, UNEVEN, Value, WALL_FORM, WALL_HEIGHT_USED, WALL_STRAIGHT, WALL_TAPER_USED,
    WIDTH_USED,
};
use crate::mechanics::dislodgement::grip::{MINIMUM_MOLAR, MINIMUM_OTHER, Retainer, least_prep};
use crate::mechanics::dislodgement::share::Root;
use crate::mechanics::frame::{Abutment, ArchCurve, Frame, middles};
use crate::mechanics::prep::{self, Groove, Preparation, Wall};
use crate::tooth::{Arch, Tooth, ToothClass, root_form, size};

/// Returns a prep as it was read; none where a reading of it is missing.
pub(crate) fn preparation(facts: &Facts<'_>, tooth: Tooth) -> Option<Preparation> {
    let mut inputs = facts.inputs(Place::Unit(tooth));
    let preparation = read(&mut inputs, tooth);
    let gathered = inputs.gathered();
    (gathered.applies && gathered.missing.is_empty()).then_some(preparation)
}

/// Puts the four walls of a stump together. NaN where a reading is missing.
fn read(inputs: &mut Inputs<'_, '_>, tooth: Tooth) -> Preparation {
    let unit = Place::Unit(tooth);
    inputs.shape_holds(tooth);
    let stepped = inputs.optional(&UNEVEN, unit).and_then(Value::choice) == Some("margin-steps");
    let wall = |inputs: &mut Inputs<'_, '_>, side: Side| {
        let at = Place::Wall(tooth, side);
        let height = inputs.number_at(&WALL_HEIGHT_USED, at);
        let straight = match inputs.optional(&WALL_FORM, at).and_then(Value::choice) {
            Some("dished-top") => Some(inputs.number_at(&WALL_STRAIGHT, at)),
            Some("dished") => Some(0.0),
            _ => None,
        };
        Wall {
            height,
            straight,
            taper: inputs.number_at(&WALL_TAPER_USED, at),
            margin: if stepped {
                inputs.number_at(&MARGIN_STEP, at)
            } else {
                0.0
            },
            depth: ledge(inputs, at),
        }
    };
    let walls = prep::Side::ALL.map(|side| wall(inputs, from_prep(side)));
    let mut preparation = Preparation::new(
        inputs.number_at(&MARGIN_MD, unit),
        inputs.number_at(&MARGIN_FL, unit),
        walls,
    );
    let pairs: &[prep::Side] = match inputs.optional(&GROOVES, unit).and_then(Value::choice) {
        Some("proximal") => &[prep::Side::Mesial, prep::Side::Distal],
        Some("facial-lingual") => &[prep::Side::Facial, prep::Side::Lingual],
        Some("all") => &prep::Side::ALL,
        _ => &[],
    };
    preparation.grooves = pairs.iter().map(|side| Groove::usual(*side)).collect();
    preparation
}

/// How wide the margin stands out at a wall: not at all at a feather edge, else as it was read.
fn ledge(inputs: &mut Inputs<'_, '_>, wall: Place) -> f64 {
    match inputs.optional(&FORM_USED, wall).and_then(Value::choice) {
        Some("feather") => 0.0,
        _ => inputs.number_at(&WIDTH_USED, wall),
    }
}

/// Stands a prep in the arch on its root.
pub(super) fn stump(inputs: &mut Inputs<'_, '_>, units: &Units, tooth: Tooth) -> Retainer {
    let unit = Place::Unit(tooth);
    let preparation = read(inputs, tooth);
    let tilt = inputs
        .optional(&TILT, unit)
        .and_then(Value::number)
        .unwrap_or(0.0);
    let (mesially, facially) = match inputs.optional(&TILT_TOWARD, unit).and_then(Value::choice) {
        Some("mesial") => (tilt, 0.0),
        Some("distal") => (-tilt, 0.0),
        Some("facial") => (0.0, tilt),
        Some("lingual") => (0.0, -tilt),
        _ => (0.0, 0.0),
    };
    let frame = place_in_arch(inputs, units, tooth).tilted(mesially, facially);
    Retainer {
        abutment: Abutment { frame, preparation },
        root: root(tooth),
    }
}

/// Returns the root of a tooth as it bears load.
pub(super) fn root(tooth: Tooth) -> Root {
    let form = root_form(tooth);
    Root {
        length: form.length,
        factor: form.factor,
        apart: form.apart,
    }
}

/// Returns the least prep that is advised, on the usual neck of a tooth.
pub(super) fn least(tooth: Tooth) -> Preparation {
    let neck = size(tooth);
    least_prep(
        neck.mesiodistal_cervix,
        neck.faciolingual_cervix,
        minimum_height(tooth),
    )
}

/// Returns the height of the least stump that is advised on a tooth, in mm.
pub(crate) fn minimum_height(tooth: Tooth) -> f64 {
    if tooth.class() == ToothClass::Molar {
        MINIMUM_MOLAR
    } else {
        MINIMUM_OTHER
    }
}

/// Stands a unit on the arch curve, by the widths of the teeth between it and the midline.
pub(super) fn place_in_arch(inputs: &mut Inputs<'_, '_>, units: &Units, tooth: Tooth) -> Frame {
    place(
        inputs,
        &|at| {
            units
                .units
                .iter()
                .any(|unit| unit.tooth == at && unit.role == Role::Pontic)
        },
        tooth,
    )
}

/// Stands any tooth on the arch curve, by the spans read for the pontics of every restoration.
pub(crate) fn stand_in_arch(facts: &Facts<'_>, tooth: Tooth) -> Frame {
    let mut inputs = facts.inputs(Place::Unit(tooth));
    let is_pontic = |at| facts.units().is_kind(Place::Unit(at), PlaceKind::Pontic);
    place(&mut inputs, &is_pontic, tooth)
}

fn place(inputs: &mut Inputs<'_, '_>, is_pontic: &dyn Fn(Tooth) -> bool, tooth: Tooth) -> Frame {
    let widths: Vec<f64> = (1..=tooth.position())
        .filter_map(|position| Tooth::new(tooth.quadrant(), position))
        .map(|tooth| {
            let read = if is_pontic(tooth) {
                inputs
                    .optional(&SPAN, Place::Unit(tooth))
                    .and_then(Value::number)
            } else {
                None
            };
            read.unwrap_or_else(|| size(tooth).mesiodistal_crown)
        })
        .collect();
    let along = middles(&widths).last().copied().unwrap_or(0.0);
    let right = matches!(tooth.quadrant(), 1 | 4);
    let curve = match tooth.arch() {
        Arch::Upper => ArchCurve::UPPER,
        Arch::Lower => ArchCurve::LOWER,
    };
    // A tooth is at least some millimetres wide, so its middle is never on the midline.
    curve
        .frame(if right { -along } else { along })
        .unwrap_or(Frame::IDENTITY)
}

/// Returns the side of a preparation as a side of the tooth.
pub(crate) fn from_prep(side: prep::Side) -> Side {
    match side {
        prep::Side::Mesial => Side::Mesial,
        prep::Side::Distal => Side::Distal,
        prep::Side::Facial => Side::Facial,
        prep::Side::Lingual => Side::Lingual,
    }
}

/// Returns a side of the tooth as a side of its preparation.
pub(crate) fn to_prep(side: Side) -> prep::Side {
    match side {
        Side::Mesial => prep::Side::Mesial,
        Side::Distal => prep::Side::Distal,
        Side::Facial => prep::Side::Facial,
        Side::Lingual => prep::Side::Lingual,
    }
}
