//! How hard the cement has to work, which retainer lets go first and in what motion, and how that compares with the
//! published minimum stump.
//!
//! *Inputs and units*: mm and degrees, as the stump's other derivations use them; loads are the flow's.
//! *Model*: limit analysis of the rigid restoration on all its abutments; see [`crate::mechanics::dislodgement`]. Units
//! stand along an arch curve by mesiodistal widths: the span read for a pontic, the tooth table elsewhere. Grip is the
//! demand on the published minimum stumps over the demand here, load by load, and of these the least.
//! *Limits of validity*: static, rigid, the same cement everywhere and no decay of it. For comparing shapes, not a
//! clinical prediction.
//! *Sources*: Goodacre 2001 for the minimum stump; Wiskott 1996 and 1997 for the trends that the model follows.

mod detail;
mod loads;
mod path;
mod stump;

use super::{Derivation, Facts, Precision};
use crate::case::{Restoration as Units, Role};
use crate::fact::{
    GRIP, GRIP_ALONE, GRIP_FIRST, GROOVES, MARGIN_FL, MARGIN_MD, MARGIN_STEP, PATH_GAIN,
    PATH_TAPER, PATH_UNDERCUT, Place, SPAN, Side, TILT, TILT_TOWARD, UNEVEN, Unit, Value,
    WALL_FORM, WALL_HEIGHT_USED, WALL_STRAIGHT, WALL_TAPER_USED, WEAKEST_SHARE,
};
use crate::mechanics::dislodgement::grip::{
    Graded, GradedLoad, Grip, GripError, LoadGrip, MESH, grip,
};
use crate::mechanics::dislodgement::{
    Dislodgement, Holding, Limits, Load, Outcome, Restoration, Settings,
};
use crate::mechanics::frame::Abutment;
use crate::tooth::Tooth;
use loads::{Case, loads, local};
use path::path;
use stump::stump;

pub use detail::{ComesOff, Detail, Found, LoadDetail};

pub(super) static DERIVATION: Derivation = Derivation {
    id: "dislodgement",
    gives: &[
        GRIP,
        GRIP_FIRST,
        GRIP_ALONE,
        WEAKEST_SHARE,
        PATH_TAPER,
        PATH_UNDERCUT,
        PATH_GAIN,
    ],
    needs: &[
        WALL_HEIGHT_USED,
        WALL_TAPER_USED,
        WALL_FORM,
        WALL_STRAIGHT,
        UNEVEN,
        MARGIN_STEP,
        MARGIN_MD,
        MARGIN_FL,
        GROOVES,
        TILT,
        TILT_TOWARD,
        SPAN,
    ],
    sources: &["goodacre-2001", "wiskott-1996", "wiskott-1997"],
    run,
};

/// The combinations of the cement's limits over which grip is varied: tension 0 to 1, pressing 5 to 20 times shear.
const RANGE: [Limits; 4] = [
    Limits {
        tension: 0.0,
        pressing: 5.0,
    },
    Limits {
        tension: 0.0,
        pressing: 20.0,
    },
    Limits {
        tension: 1.0,
        pressing: 5.0,
    },
    Limits {
        tension: 1.0,
        pressing: 20.0,
    },
];

fn run(facts: &mut Facts<'_>) {
    let restorations: Vec<u8> = facts.units().restorations().iter().map(|r| r.id).collect();
    for id in restorations {
        let Some(restoration) = facts.units().restoration(id) else {
            continue;
        };
        one(facts, restoration);
    }
}

fn one(facts: &mut Facts<'_>, units: &Units) {
    let at = Place::Restoration(units.id);
    let mut inputs = facts.inputs(at);
    let stumps: Vec<(Tooth, Graded)> = units
        .teeth(Role::Abutment)
        .map(|tooth| (tooth, stump(&mut inputs, units, tooth)))
        .collect();
    let gathered = inputs.gathered();
    if !gathered.missing.is_empty() || !gathered.applies {
        let nothing = || Ok(Value::Number(f64::NAN, Unit::Ratio));
        facts.give(&GRIP, at, gathered.clone(), nothing());
        for (tooth, _) in &stumps {
            facts.give(
                &GRIP_FIRST,
                Place::Unit(*tooth),
                gathered.clone(),
                nothing(),
            );
        }
        if stumps.len() > 1 {
            for (tooth, _) in &stumps {
                facts.give(
                    &WEAKEST_SHARE,
                    Place::Unit(*tooth),
                    gathered.clone(),
                    nothing(),
                );
                facts.give(
                    &GRIP_ALONE,
                    Place::Unit(*tooth),
                    gathered.clone(),
                    nothing(),
                );
            }
            path::waits(facts, units, &stumps, &gathered);
        }
        return;
    }
    let settings = match facts.precision() {
        Precision::Quick => Settings::QUICK,
        Precision::Exact => Settings::EXACT,
    };
    let cases = loads(facts, units, &stumps);
    let found = judged(&stumps, &cases, settings);
    let worst = detail::worst(&found).and_then(|load| Some((load.grip()?, load.motion())));
    let refused = found.iter().find_map(|detail| match &detail.found {
        Found::NotComputed(why) => Some(why.clone()),
        Found::Figure { .. } => None,
    });
    let ratio = |grip: f64| Value::Number(grip, Unit::Ratio);
    let grip_fact = match (&refused, worst) {
        (Some(why), _) => Err(why.clone()),
        (None, Some((grip, _))) => Ok(ratio(grip)),
        (None, None) => Err("every load only presses the restoration home".to_owned()),
    };
    facts.give(&GRIP, at, gathered.clone(), grip_fact.clone());
    // The finding stands at the tooth that lets go first, where it shares its cause with the stump's other figures.
    let first = worst
        .and_then(|(_, motion)| motion)
        .map(|motion| motion.first);
    if let Some(first) = first.or(stumps.first().map(|(tooth, _)| *tooth)) {
        facts.give(&GRIP_FIRST, Place::Unit(first), gathered.clone(), grip_fact);
    }
    alone(facts, &stumps, &cases, settings, &gathered);
    let grip_range = (facts.precision() == Precision::Exact)
        .then(|| range(&stumps, &cases))
        .flatten();
    let kept = stumps
        .iter()
        .map(|(tooth, graded)| (*tooth, graded.abutment.clone()))
        .collect();
    facts.keep_detail(Detail {
        restoration: units.id,
        stumps: kept,
        loads: found,
        grip_range,
    });
    path(facts, units, &stumps, &gathered);
}

/// Works every load out; those that are judged against the minimum stumps as well.
fn judged(stumps: &[(Tooth, Graded)], cases: &[Case<'_>], settings: Settings) -> Vec<LoadDetail> {
    let graded: Vec<Graded> = stumps.iter().map(|(_, graded)| graded.clone()).collect();
    let detail = |case: &Case<'_>, found: Found| LoadDetail {
        load: case.definition.id.clone(),
        unit: case.unit,
        toward: case.toward,
        force: case.load.force,
        line: (case.load.point, case.load.direction),
        found,
    };
    let all = |why: String| {
        cases
            .iter()
            .map(|case| detail(case, Found::NotComputed(why.clone())))
            .collect()
    };
    let pressed: Vec<Load> = cases
        .iter()
        .filter(|case| case.definition.judged)
        .map(|case| case.load)
        .collect();
    let mut rated = match graded_grip(&graded, &pressed, settings) {
        Ok(grip) => grip.loads.into_iter(),
        Err(error) => return all(named(stumps, error)),
    };
    let own: Vec<Abutment> = graded
        .iter()
        .map(|graded| graded.abutment.clone())
        .collect();
    let holding = match Restoration::new(&own, MESH) {
        Ok(own) => Holding::new(&own, Limits::default()),
        Err((_, error)) => return all(error.to_string()),
    };
    let holding = match holding {
        Ok(holding) => holding,
        Err(reason) => return all(reason.to_string()),
    };
    let alone = |case: &Case<'_>| match holding.dislodge(&case.load, settings) {
        Outcome::Certified(found) => figure(stumps, &found, None),
        Outcome::NotComputed(reason) => match holding.dislodge(&case.load, Settings::QUICK) {
            Outcome::Certified(found) => figure(stumps, &found, None),
            Outcome::NotComputed(_) => Found::NotComputed(reason.to_string()),
        },
    };
    cases
        .iter()
        .map(|case| {
            let found = if case.definition.judged {
                match rated.next() {
                    Some(LoadGrip::Rated { grip, found }) => figure(stumps, &found, Some(grip)),
                    Some(LoadGrip::NotComputed(reason)) => Found::NotComputed(reason.to_string()),
                    Some(LoadGrip::PressesHome) | None => alone(case),
                }
            } else {
                alone(case)
            };
            detail(case, found)
        })
        .collect()
}

/// Grip to a gap; where a load misses the finer gap, all are taken to the coarser one. Each figure carries its own gap.
fn graded_grip(graded: &[Graded], loads: &[Load], settings: Settings) -> Result<Grip, GripError> {
    let found = compare(graded, loads, Limits::default(), settings)?;
    let missed = found
        .loads
        .iter()
        .any(|load| matches!(load, LoadGrip::NotComputed(_)));
    if missed {
        compare(graded, loads, Limits::default(), Settings::QUICK)
    } else {
        Ok(found)
    }
}

/// The bite does not move with the height of a stump, so both are loaded at the same place.
fn compare(
    graded: &[Graded],
    loads: &[Load],
    limits: Limits,
    settings: Settings,
) -> Result<Grip, GripError> {
    let loads: Vec<GradedLoad> = loads.iter().copied().map(GradedLoad::same).collect();
    grip(graded, &loads, MESH, limits, settings)
}

fn figure(stumps: &[(Tooth, Graded)], found: &Dislodgement, grip: Option<f64>) -> Found {
    Found::Figure {
        lambda: found.lambda,
        demand: found.demand,
        gap: found.gap,
        grip,
        motion: comes_off(stumps, found),
        pressing_share: found.pressing_share,
    }
}

/// Tells a motion by its margins: the one that lifts most, and the one that hardly moves and is turned about.
fn comes_off(stumps: &[(Tooth, Graded)], found: &Dislodgement) -> Option<ComesOff> {
    let (first, _) = stumps.get(found.first?)?;
    let mut lifts: Vec<((Tooth, Side), f64)> = Vec::new();
    for (tooth, graded) in stumps {
        let Abutment { frame, preparation } = &graded.abutment;
        for side in Side::ALL {
            let half = match side {
                Side::Mesial | Side::Distal => preparation.mesiodistal / 2.0,
                Side::Facial | Side::Lingual => preparation.faciolingual / 2.0,
            };
            let foot = local(side).map(|x| x * half);
            let velocity = found.motion.at(frame.point(foot));
            let occlusal = frame.axes[2];
            let lift = velocity
                .iter()
                .zip(occlusal)
                .map(|(a, b)| a * b)
                .sum::<f64>();
            lifts.push(((*tooth, side), lift));
        }
    }
    let most = lifts.iter().max_by(|a, b| a.1.total_cmp(&b.1))?;
    let least = lifts.iter().min_by(|a, b| a.1.total_cmp(&b.1))?;
    // Where every margin lifts by nearly as much, it comes straight off.
    let turns = least.1 < STRAIGHT * most.1;
    Some(ComesOff {
        first: *first,
        lifts: most.0,
        about: turns.then_some(least.0),
    })
}

/// A motion whose least lift is this share of its greatest comes straight off. Ours.
const STRAIGHT: f64 = 0.6;

/// Names the tooth whose stump cannot be reckoned with.
fn named(stumps: &[(Tooth, Graded)], error: GripError) -> String {
    let tooth = match &error {
        GripError::Preparation(index, _) | GripError::Minimum(index, _) => {
            stumps.get(*index).map(|(tooth, _)| *tooth)
        }
        GripError::Reason(_) => None,
    };
    match tooth {
        Some(tooth) => format!("stump {tooth}: {error}"),
        None => error.to_string(),
    }
}

/// Each retainer by itself, under the loads on its own unit.
fn alone(
    facts: &mut Facts<'_>,
    stumps: &[(Tooth, Graded)],
    cases: &[Case<'_>],
    settings: Settings,
    gathered: &super::Gathered,
) {
    if stumps.len() < 2 {
        return;
    }
    let mut grips = Vec::new();
    for (tooth, graded) in stumps {
        let loads: Vec<Load> = cases
            .iter()
            .filter(|case| case.unit == *tooth && case.definition.judged)
            .map(|case| case.load)
            .collect();
        let found = graded_grip(std::slice::from_ref(graded), &loads, settings);
        let value = match found {
            Ok(grip) => grip
                .least
                .map(|(_, grip)| grip)
                .ok_or_else(|| "no load pulls at it".to_owned()),
            Err(error) => Err(error.to_string()),
        };
        grips.push(value.clone().ok());
        let value = value.map(|grip| Value::Number(grip, Unit::Ratio));
        facts.give(&GRIP_ALONE, Place::Unit(*tooth), gathered.clone(), value);
    }
    let known: Option<Vec<f64>> = grips.into_iter().collect();
    let Some(grips) = known else { return };
    let weakest = grips.iter().zip(stumps).min_by(|a, b| a.0.total_cmp(b.0));
    let strongest = grips.iter().copied().fold(f64::MIN, f64::max);
    if let Some((weakest, (tooth, _))) = weakest {
        let share = Ok(Value::Number(weakest / strongest, Unit::Ratio));
        facts.give(&WEAKEST_SHARE, Place::Unit(*tooth), gathered.clone(), share);
    }
}

/// How far the least grip moves over the plausible range of the cement's limits.
fn range(stumps: &[(Tooth, Graded)], cases: &[Case<'_>]) -> Option<(f64, f64)> {
    let graded: Vec<Graded> = stumps.iter().map(|(_, graded)| graded.clone()).collect();
    let loads: Vec<Load> = cases
        .iter()
        .filter(|case| case.definition.judged)
        .map(|case| case.load)
        .collect();
    let grips: Option<Vec<f64>> = RANGE
        .iter()
        .map(|limits| {
            Some(
                compare(&graded, &loads, *limits, Settings::QUICK)
                    .ok()?
                    .least?
                    .1,
            )
        })
        .collect();
    let grips = grips?;
    Some(
        grips
            .iter()
            .fold((f64::MAX, f64::MIN), |(a, b), g| (a.min(*g), b.max(*g))),
    )
}
