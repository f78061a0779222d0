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
mod kept;
mod loads;
mod path;
mod stump;

use super::{Derivation, Facts, Precision};
use crate::case::{Restoration as Units, Role};
use crate::fact::{
    GRIP, GRIP_ALONE, GRIP_FIRST, GROOVES, MARGIN_FL, MARGIN_MD, MARGIN_STEP, PATH_GAIN,
    PATH_TAPER, PATH_UNDERCUT, Place, SHAPE, SPAN, Side, TILT, TILT_TOWARD, UNEVEN, Unit, Value,
    WALL_FORM, WALL_HEIGHT_USED, WALL_STRAIGHT, WALL_TAPER_USED, WEAKEST_SHARE,
};
use crate::mechanics::dislodgement::grip::{
    Compared, Graded, GradedLoad, GripError, LoadGrip, MESH, Starts,
};
use crate::mechanics::dislodgement::{Dislodgement, Limits, Load, Outcome, Settings};
use crate::mechanics::frame::Abutment;
use crate::tooth::Tooth;
use kept::Alone;
use loads::{Case, loads, local};
use path::path;
use stump::stump;

pub(super) use kept::Kept;
pub(crate) use stump::{from_prep, minimum_height, preparation, stand_in_arch, to_prep};

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
        SHAPE,
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
    let restorations: Vec<u8> = facts.covered().iter().map(|r| r.id).collect();
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
    let cases = loads(facts, units, &stumps);
    let (kept, detail) = facts
        .before()
        .and_then(|before| kept::again(before, units.id, facts.precision(), &stumps, &cases))
        .unwrap_or_else(|| work_out(facts, units.id, &stumps, &cases));
    give(facts, at, &stumps, &detail.loads, &gathered);
    give_alone(facts, &stumps, &kept.alone, &gathered);
    facts.keep(kept, detail);
    path(facts, units, &stumps, &gathered);
}

/// Gives grip at the restoration and at the tooth that lets go first, where the finding shares its cause with the stump's
/// other figures.
fn give(
    facts: &mut Facts<'_>,
    at: Place,
    stumps: &[(Tooth, Graded)],
    loads: &[LoadDetail],
    gathered: &super::Gathered,
) {
    let worst = detail::worst(loads).and_then(|load| Some((load.grip()?, load.motion())));
    let refused = loads.iter().find_map(|detail| match &detail.found {
        Found::NotComputed(why) => Some(why.clone()),
        Found::Figure { .. } => None,
    });
    let grip = match (refused, worst) {
        (Some(why), _) => Err(why),
        (None, Some((grip, _))) => Ok(Value::Number(grip, Unit::Ratio)),
        (None, None) => Err("every load only presses the restoration home".to_owned()),
    };
    facts.give(&GRIP, at, gathered.clone(), grip.clone());
    let first = worst
        .and_then(|(_, motion)| motion)
        .map(|motion| motion.first);
    if let Some(first) = first.or(stumps.first().map(|(tooth, _)| *tooth)) {
        facts.give(&GRIP_FIRST, Place::Unit(first), gathered.clone(), grip);
    }
}

/// Gives each retainer's grip by itself, and at the weakest what it is of the strongest's.
fn give_alone(
    facts: &mut Facts<'_>,
    stumps: &[(Tooth, Graded)],
    alone: &[Alone],
    gathered: &super::Gathered,
) {
    for ((tooth, _), alone) in stumps.iter().zip(alone) {
        let value = alone.grip.clone();
        let value = value.map(|grip| Value::Number(grip, Unit::Ratio));
        facts.give(&GRIP_ALONE, Place::Unit(*tooth), gathered.clone(), value);
    }
    let known: Option<Vec<f64>> = alone.iter().map(|alone| alone.grip.clone().ok()).collect();
    let Some(grips) = known else { return };
    let weakest = grips.iter().zip(stumps).min_by(|a, b| a.0.total_cmp(b.0));
    let strongest = grips.iter().copied().fold(f64::MIN, f64::max);
    if let Some((weakest, (tooth, _))) = weakest {
        let share = Ok(Value::Number(weakest / strongest, Unit::Ratio));
        facts.give(&WEAKEST_SHARE, Place::Unit(*tooth), gathered.clone(), share);
    }
}

/// Works a restoration out, from the states kept of earlier results where there are any.
fn work_out(
    facts: &Facts<'_>,
    restoration: u8,
    stumps: &[(Tooth, Graded)],
    cases: &[Case<'_>],
) -> (Kept, Detail) {
    let settings = match facts.precision() {
        Precision::Quick => Settings::QUICK,
        Precision::Exact => Settings::EXACT,
    };
    let before = facts
        .before()
        .and_then(|before| before.kept_of(restoration));
    let starts = kept::starts(before, stumps, cases);
    let graded: Vec<Graded> = stumps.iter().map(|(_, graded)| graded.clone()).collect();
    let found = match Compared::new(&graded, MESH, Limits::default()) {
        Ok(compared) => cases
            .iter()
            .zip(starts)
            .map(|(case, from)| one_load(stumps, &compared, case, from, settings))
            .collect(),
        Err(error) => {
            let why = named(stumps, error);
            let none = |_: &Case<'_>| (Found::NotComputed(why.clone()), Starts::default());
            cases.iter().map(none).collect::<Vec<_>>()
        }
    };
    let grip_range = (facts.precision() == Precision::Exact)
        .then(|| range(&graded, cases))
        .flatten();
    let (found, starts): (Vec<_>, Vec<_>) = found.into_iter().unzip();
    let load = |(case, found): (&Case<'_>, Found)| LoadDetail {
        load: case.definition.id.clone(),
        unit: case.unit,
        toward: case.toward,
        force: case.load.force,
        line: (case.load.point, case.load.direction),
        found,
    };
    let detail = Detail {
        restoration,
        stumps: stumps
            .iter()
            .map(|(tooth, graded)| (*tooth, graded.abutment.clone()))
            .collect(),
        loads: cases.iter().zip(found).map(load).collect(),
        grip_range,
    };
    let alone = kept::alone(before, stumps, cases);
    let kept = Kept::new(restoration, facts.precision(), stumps, cases, starts, alone);
    (kept, detail)
}

/// Works one load out; one that is judged against the minimum stumps as well, and always to the finer gap, or a level
/// could turn between screen and print. Where a load misses the finer gap it is taken to the coarser one: each figure
/// carries its own gap.
///
/// The bite does not move with the height of a stump, so both are loaded at the same place.
fn one_load(
    stumps: &[(Tooth, Graded)],
    compared: &Compared,
    case: &Case<'_>,
    from: Starts,
    settings: Settings,
) -> (Found, Starts) {
    let mut starts = from;
    if case.definition.judged {
        let (found, next) = rate(
            compared,
            &GradedLoad::same(case.load),
            from,
            Settings::EXACT,
        );
        starts = next;
        match found {
            LoadGrip::Rated { grip, found } => return (figure(stumps, &found, Some(grip)), starts),
            LoadGrip::NotComputed(reason) => {
                return (Found::NotComputed(reason.to_string()), starts);
            }
            LoadGrip::PressesHome => {}
        }
    }
    let own = |settings| match &from.own {
        Some(warm) => compared.own().dislodge_from(warm, &case.load, settings),
        None => compared.own().dislodge(&case.load, settings),
    };
    let found = match own(settings) {
        Outcome::Certified(found) => Outcome::Certified(found),
        Outcome::NotComputed(_) => own(Settings::QUICK),
    };
    match found {
        Outcome::Certified(found) => {
            starts.own = Some(found.warm);
            (figure(stumps, &found, None), starts)
        }
        Outcome::NotComputed(reason) => (Found::NotComputed(reason.to_string()), starts),
    }
}

/// Grip under a load to a gap, or to the coarser one where it misses the finer.
fn rate(
    compared: &Compared,
    load: &GradedLoad,
    from: Starts,
    settings: Settings,
) -> (LoadGrip, Starts) {
    match compared.rate(load, from, settings) {
        (LoadGrip::NotComputed(_), _) => compared.rate(load, from, Settings::QUICK),
        found => found,
    }
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

/// How far the least grip moves over the plausible range of the cement's limits.
fn range(graded: &[Graded], cases: &[Case<'_>]) -> Option<(f64, f64)> {
    let judged = cases.iter().filter(|case| case.definition.judged);
    let loads: Vec<Load> = judged.map(|case| case.load).collect();
    let mut range: Option<(f64, f64)> = None;
    for limits in RANGE {
        let compared = Compared::new(graded, MESH, limits).ok()?;
        let least = kept::least(&compared, &loads, &[], Settings::QUICK)
            .0
            .ok()?;
        range = Some(range.map_or((least, least), |(low, high)| {
            (low.min(least), high.max(least))
        }));
    }
    range
}
