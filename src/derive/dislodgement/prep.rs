//! Preps put together from readings, and stood in the arch.

use crate::case::{Restoration as Units, Role};
use crate::derive::{Facts, Inputs};
use crate::fact::{Place, PlaceKind, SPAN, TILT, TILT_TOWARD, Toward, Value};
use crate::flow::Figures;
use crate::mechanics::dislodgement::grip::{Least, Retainer};
use crate::mechanics::dislodgement::share::Root;
use crate::mechanics::frame::{Abutment, ArchCurve, Frame, middles};
use crate::mechanics::prep::Preparation;
use crate::prep::read;
use crate::tooth::{Arch, Tooth, size};

/// Returns a prep as it was read, or `None` if a reading of it is missing.
pub(crate) fn preparation(facts: &Facts<'_>, tooth: Tooth) -> Option<Preparation> {
    let mut inputs = facts.inputs(Place::Unit(tooth));
    inputs.shape_holds(tooth);
    let preparation = read(&mut inputs, tooth);
    let gathered = inputs.gathered();
    (gathered.applies && gathered.missing.is_empty()).then_some(preparation)
}

/// Stands a prep in the arch on its root.
pub(super) fn prep(inputs: &mut Inputs<'_, '_>, units: &Units, tooth: Tooth) -> Retainer {
    let unit = Place::Unit(tooth);
    inputs.shape_holds(tooth);
    let preparation = read(inputs, tooth);
    let tilt = inputs
        .optional(&TILT, unit)
        .and_then(Value::number)
        .unwrap_or(0.0);
    let (mesially, facially) = match inputs.optional(&TILT_TOWARD, unit).and_then(Value::chosen) {
        Some(Toward::Mesial) => (tilt, 0.0),
        Some(Toward::Distal) => (-tilt, 0.0),
        Some(Toward::Facial) => (0.0, tilt),
        Some(Toward::Lingual) => (0.0, -tilt),
        None => (0.0, 0.0),
    };
    let frame = place_in_arch(inputs, units, tooth).tilted(mesially, facially);
    Retainer {
        abutment: Abutment { frame, preparation },
        root: root(&inputs.facts.flow().figures, tooth),
    }
}

/// Returns the root of a tooth as it bears load.
pub(super) fn root(figures: &Figures, tooth: Tooth) -> Root {
    let form = figures.roots.of(tooth);
    Root {
        length: form.length,
        factor: form.stiffness,
        apart: form.apart,
    }
}

/// Returns the least prep that is advised, on the usual neck of a tooth.
///
/// It has a ledge outside the foot of its walls, since widths are read at the foot. Without it the outer margin would
/// be where the foot is, and a prep with a margin of 1 mm would count as one on a tooth 2 mm narrower: grip 0.41 to
/// 0.59 instead of 0.76 to 0.86. 0.5 mm is within what is cut (Tiu 2015). Without the ledge all figures would be 0.79
/// (lower incisor) to 0.92 (molar) of what they are. Cement on the ledge bears pull as that on the top does, which
/// favours low, wide preps: where pull is taken to bear nothing, grip is lower, and prints say by how much.
pub(crate) fn least_prep(figures: &Figures, tooth: Tooth) -> Preparation {
    let neck = size(tooth);
    let own = &figures.least_prep;
    let least = Least {
        height: own.height(tooth),
        taper: own.taper,
        margin: own.margin,
    };
    least.on(neck.mesiodistal_cervix, neck.faciolingual_cervix)
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
