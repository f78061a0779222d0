//! The path that all abutments share.

use crate::case::Restoration as Units;
use crate::derive::{Facts, Gathered};
use crate::fact::{
    PATH_GAIN, PATH_TAPER, PATH_UNDERCUT, Place, Side, TILT, TILT_TOWARD, Unit, Value,
};
use crate::mechanics::dislodgement::grip::Retainer;
use crate::mechanics::frame::Abutment;
use crate::mechanics::path::{along_path, common_path};
use crate::mechanics::prep;
use crate::phrase::faults::reasons;
use crate::prep::from_prep;
use crate::tooth::Tooth;

/// Says that the path waits for what the preps wait for, where somebody surveyed how a tooth leans.
pub(super) fn waits(
    facts: &mut Facts<'_>,
    units: &Units,
    preps: &[(Tooth, Retainer)],
    gathered: &Gathered,
) {
    let leans = |tooth: &Tooth| facts.value(&TILT, Place::Unit(*tooth)).is_some();
    if !preps.iter().any(|(tooth, _)| leans(tooth)) {
        return;
    }
    let nothing = |unit| Ok(Value::Number(f64::NAN, unit));
    facts.give(
        &PATH_GAIN,
        Place::Restoration(units.id),
        gathered.clone(),
        nothing(Unit::Deg),
    );
    for (tooth, _) in preps {
        for side in Side::ALL {
            let wall = Place::Wall(*tooth, side);
            facts.give(&PATH_TAPER, wall, gathered.clone(), nothing(Unit::Deg));
            facts.give(&PATH_UNDERCUT, wall, gathered.clone(), nothing(Unit::Mm));
        }
    }
}

/// Tapers and undercuts against the path that all abutments share, and what tilting the path there has won.
pub(super) fn path(
    facts: &mut Facts<'_>,
    units: &Units,
    preps: &[(Tooth, Retainer)],
    rests_on: &Gathered,
) {
    if preps.len() < 2 {
        return;
    }
    let at = Place::Restoration(units.id);
    let abutments: Vec<Abutment> = preps.iter().map(|(_, own)| own.abutment.clone()).collect();
    // A path is worth telling only where somebody surveyed how a tooth leans; the others stand upright.
    let mut inputs = facts.inputs(at);
    let mut surveyed = false;
    for (tooth, _) in preps {
        let unit = Place::Unit(*tooth);
        let tilt = inputs.optional(&TILT, unit).and_then(Value::number);
        surveyed |= tilt.is_some();
        if tilt.is_some_and(|tilt| tilt > 0.0) {
            inputs.look_at(&TILT_TOWARD, unit);
        }
    }
    if !surveyed {
        return;
    }
    let mut gathered = inputs.gathered();
    gathered.from.extend(rests_on.from.iter().cloned());
    let Some(common) = common_path(&abutments) else {
        facts.give(&PATH_GAIN, at, gathered, Err(reasons::NO_PATH.to_owned()));
        return;
    };
    let axis = abutments.iter().fold([0.0; 3], |sum: [f64; 3], abutment| {
        let axis = abutment.frame.axes[2];
        [sum[0] + axis[0], sum[1] + axis[1], sum[2] + axis[2]]
    });
    let straight = along_path(&abutments, axis);
    let gain = Value::Number((common.least - straight.least).max(0.0), Unit::Deg);
    facts.give(&PATH_GAIN, at, gathered.clone(), Ok(gain));
    for ((tooth, _), walls) in preps.iter().zip(&common.abutments) {
        for (side, wall) in prep::PrepSide::ALL.into_iter().zip(walls) {
            let place = Place::Wall(*tooth, from_prep(side));
            let taper = Value::Number(wall.taper, Unit::Deg);
            facts.give(&PATH_TAPER, place, gathered.clone(), Ok(taper));
            // What is under a hundredth of a millimetre is rounding of parallel walls.
            let undercut = if wall.undercut < 0.01 {
                0.0
            } else {
                wall.undercut
            };
            let undercut = Value::Number(undercut, Unit::Mm);
            facts.give(&PATH_UNDERCUT, place, gathered.clone(), Ok(undercut));
        }
    }
}
