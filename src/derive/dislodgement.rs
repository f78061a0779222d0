//! How hard the cement of each retainer has to work, which retainer lets go first and in what motion, and how that compares
//! with the least single crown advised on that tooth.
//!
//! *Inputs and units*: mm and degrees, as the prep's other derivations use them; loads are the flow's.
//! *Model*: the load is shared between the retainers by elastic roots, and each prep holds its share alone by limit
//! analysis; see [`crate::mechanics::dislodgement::grip`]. Units stand along an arch curve by mesiodistal widths: the span
//! read for a pontic, the tooth table elsewhere. The yardstick is the least single crown on the usual neck of that tooth
//! under its own load; it does not move with the prep. The loads of a changed copy are those of the case as received.
//! *Limits of validity*: static, rigid restoration, sound roots, the same cement everywhere and no decay of it. For
//! comparing shapes and plans, not a clinical prediction.
//! *Sources*: Goodacre 2001 for the least prep; Wiskott 1996 and 1997 for the trends that the model follows; necks from Ash;
//! roots from memory.

mod detail;
mod kept;
mod loads;
mod path;
mod stump;

use super::{Derivation, Facts, Gathered, Precision};
use crate::case::{Restoration as Units, Role};
use crate::fact::{
    CLEARANCE, FORM_USED, GRIP, GRIP_FIRST, GROOVES, MARGIN_FL, MARGIN_MD, MARGIN_STEP, PATH_GAIN,
    PATH_TAPER, PATH_UNDERCUT, PLAN_SHARE, PONTIC_CONTACT, PREP_SHARE, Place, RETAINER_GRIP, SHAPE,
    SPAN, Side, TILT, TILT_TOWARD, UNEVEN, Unit, Value, WALL_FORM, WALL_HEIGHT_USED, WALL_STRAIGHT,
    WALL_TAPER_USED, WEAKEST_SHARE, WIDTH_USED,
};
use crate::mechanics::dislodgement::grip::{GripError, MESH, Retainer, Shared};
use crate::mechanics::dislodgement::{Dislodgement, Limits, Outcome, Settings};
use crate::mechanics::frame::Abutment;
use crate::tooth::Tooth;
use kept::Yardstick;
use loads::{Case, loads, local};
use path::path;
use stump::stump;

pub(super) use kept::Kept;
pub(crate) use stump::{from_prep, minimum_height, preparation, stand_in_arch, to_prep};

pub use detail::{ComesOff, Detail, Found, LoadDetail, MESH_ERROR};

pub(super) static DERIVATION: Derivation = Derivation {
    id: "dislodgement",
    gives: &[
        GRIP,
        GRIP_FIRST,
        RETAINER_GRIP,
        PREP_SHARE,
        PLAN_SHARE,
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
        FORM_USED,
        WIDTH_USED,
        CLEARANCE,
        PONTIC_CONTACT,
    ],
    sources: &[
        "goodacre-2001",
        "wiskott-1996",
        "wiskott-1997",
        "ash-tooth-dimensions",
    ],
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
    let stumps: Vec<(Tooth, Retainer)> = units
        .teeth(Role::Abutment)
        .map(|tooth| (tooth, stump(&mut inputs, units, tooth)))
        .collect();
    for unit in &units.units {
        let fact = match unit.role {
            Role::Abutment => CLEARANCE,
            Role::Pontic => PONTIC_CONTACT,
        };
        inputs.optional(&fact, Place::Unit(unit.tooth));
    }
    let gathered = inputs.gathered();
    if !gathered.missing.is_empty() || !gathered.applies {
        waits(facts, units, &stumps, &gathered);
        return;
    }
    let cases = loads(facts, units, &stumps);
    let (kept, detail) = facts
        .before()
        .and_then(|before| kept::again(before, units.id, facts.precision(), &stumps, &cases))
        .unwrap_or_else(|| work_out(facts, units.id, &stumps, &cases));
    give(facts, at, &stumps, &kept, &gathered);
    facts.keep(kept, detail);
    path(facts, units, &stumps, &gathered);
}

/// Says that all figures wait for what the preps wait for.
fn waits(facts: &mut Facts<'_>, units: &Units, stumps: &[(Tooth, Retainer)], gathered: &Gathered) {
    let nothing = || Ok(Value::Number(f64::NAN, Unit::Ratio));
    let at = Place::Restoration(units.id);
    facts.give(&GRIP, at, gathered.clone(), nothing());
    if stumps.len() > 1 || units.units.len() > 1 {
        facts.give(&PLAN_SHARE, at, gathered.clone(), nothing());
    }
    for (tooth, _) in stumps {
        let at = Place::Unit(*tooth);
        for fact in [GRIP_FIRST, PREP_SHARE, RETAINER_GRIP] {
            facts.give(&fact, at, gathered.clone(), nothing());
        }
        if stumps.len() > 1 {
            facts.give(&WEAKEST_SHARE, at, gathered.clone(), nothing());
        }
    }
    if stumps.len() > 1 {
        path::waits(facts, units, stumps, gathered);
    }
}

/// Gives grip at the restoration and at the retainer that lets go first, and at each retainer its own, with what of it is
/// the prep's and what is the plan's.
fn give(
    facts: &mut Facts<'_>,
    at: Place,
    stumps: &[(Tooth, Retainer)],
    kept: &Kept,
    gathered: &Gathered,
) {
    let ratio = |number: f64| Value::Number(number, Unit::Ratio);
    let grips = match &kept.grips {
        Ok(grips) => grips,
        Err(why) => {
            facts.give(&GRIP, at, gathered.clone(), Err(why.clone()));
            for (tooth, _) in stumps {
                let at = Place::Unit(*tooth);
                for fact in [GRIP_FIRST, PREP_SHARE, RETAINER_GRIP] {
                    facts.give(&fact, at, gathered.clone(), Err(why.clone()));
                }
            }
            return;
        }
    };
    for ((tooth, _), own) in stumps.iter().zip(grips) {
        let at = Place::Unit(*tooth);
        facts.give(&RETAINER_GRIP, at, gathered.clone(), Ok(ratio(own.grip)));
        facts.give(&PREP_SHARE, at, gathered.clone(), Ok(ratio(own.prep)));
    }
    let Some((weakest, own)) = kept::weakest(grips) else {
        return;
    };
    facts.give(&GRIP, at, gathered.clone(), Ok(ratio(own.grip)));
    let single = stumps.len() == 1 && facts.units().owner(at).is_some_and(|r| r.units.len() == 1);
    if !single {
        facts.give(&PLAN_SHARE, at, gathered.clone(), Ok(ratio(own.plan)));
    }
    let Some((tooth, _)) = stumps.get(weakest) else {
        return;
    };
    let first = Place::Unit(*tooth);
    facts.give(&GRIP_FIRST, first, gathered.clone(), Ok(ratio(own.grip)));
    if stumps.len() > 1 {
        let best = grips.iter().map(|own| own.prep).fold(f64::MIN, f64::max);
        let worst = stumps.iter().zip(grips);
        let worst = worst.min_by(|one, other| one.1.prep.total_cmp(&other.1.prep));
        if let Some(((tooth, _), own)) = worst {
            let share = Ok(ratio(own.prep / best));
            facts.give(&WEAKEST_SHARE, Place::Unit(*tooth), gathered.clone(), share);
        }
    }
}

/// Works a restoration out.
fn work_out(
    facts: &Facts<'_>,
    restoration: u8,
    stumps: &[(Tooth, Retainer)],
    cases: &[Case<'_>],
) -> (Kept, Detail) {
    let retainers: Vec<Retainer> = stumps.iter().map(|(_, own)| own.clone()).collect();
    let before = facts
        .before()
        .and_then(|before| before.kept_of(restoration));
    let yardstick = kept::yardstick(before, stumps, cases, Limits::default());
    let shared = Shared::new(&retainers, MESH, Limits::default());
    let mut loads = Vec::with_capacity(cases.len());
    let mut least: Vec<Result<f64, String>> =
        vec![Err("no load is judged here".to_owned()); stumps.len()];
    for (index, case) in cases.iter().enumerate() {
        let found = match (&shared, &yardstick) {
            (Ok(shared), Ok(yardstick)) => {
                let fine = case.definition.judged || facts.precision() == Precision::Exact;
                let settings = if fine {
                    Settings::EXACT
                } else {
                    Settings::QUICK
                };
                one_load(
                    stumps,
                    (shared, settings),
                    yardstick,
                    (index, case),
                    &mut least,
                )
            }
            (Err(error), _) => Found::NotComputed(named(stumps, error)),
            (_, Err(why)) => Found::NotComputed(why.clone()),
        };
        loads.push(LoadDetail {
            load: case.definition.id.clone(),
            unit: case.unit,
            toward: case.toward,
            force: case.load.force,
            line: (case.load.point, case.load.direction),
            found,
        });
    }
    let refused = loads.iter().find_map(|detail| match &detail.found {
        Found::NotComputed(why) => Some(why.clone()),
        Found::Figure { .. } => None,
    });
    let grips = match (refused, &yardstick) {
        (Some(why), _) => Err(why),
        (None, Err(why)) => Err(why.clone()),
        (None, Ok(yardstick)) => yardstick.grips(&least),
    };
    let grip_range = (facts.precision() == Precision::Exact)
        .then(|| range(&retainers, stumps, cases))
        .flatten();
    let detail = Detail {
        restoration,
        stumps: stumps
            .iter()
            .map(|(tooth, own)| (*tooth, own.abutment.clone()))
            .collect(),
        loads,
        grip_range,
    };
    let kept = Kept::new(
        restoration,
        facts.precision(),
        stumps,
        cases,
        yardstick,
        grips,
    );
    (kept, detail)
}

/// Works one load out for every retainer and tells of the one that it tries hardest, always to the finer gap, or a level
/// could turn between screen and print. Where it misses that it is taken to the coarser one: each figure carries its gap.
fn one_load(
    stumps: &[(Tooth, Retainer)],
    (shared, settings): (&Shared, Settings),
    yardstick: &Yardstick,
    (index, case): (usize, &Case<'_>),
    least: &mut [Result<f64, String>],
) -> Found {
    let judged = case.definition.judged;
    let mut hardest: Option<(usize, f64, Box<Dislodgement>)> = None;
    let mut found = shared.demands(&case.load, settings);
    if found.iter().any(|own| own.certified().is_none()) {
        found = shared.demands(&case.load, Settings::QUICK);
    }
    for (retainer, outcome) in found.into_iter().enumerate() {
        let found = match outcome {
            Outcome::Certified(found) => found,
            Outcome::NotComputed(reason) => return Found::NotComputed(reason.to_string()),
        };
        let Some(reference) = yardstick.reference(retainer, index) else {
            continue;
        };
        let ratio = reference / found.demand;
        if judged && let Some(own) = least.get_mut(retainer) {
            *own = Ok(own.as_ref().map_or(ratio, |known| known.min(ratio)));
        }
        if hardest.as_ref().is_none_or(|(_, known, _)| ratio < *known) {
            hardest = Some((retainer, ratio, found));
        }
    }
    let Some((retainer, ratio, found)) = hardest else {
        return Found::NotComputed("there is no retainer".to_owned());
    };
    let own = stumps.get(retainer);
    Found::Figure {
        lambda: found.lambda,
        demand: found.demand,
        gap: found.gap,
        grip: judged.then_some(ratio),
        motion: own.and_then(|own| comes_off(own, &found)),
        pressing_share: found.pressing_share,
    }
}

/// Tells the motion of a retainer by its margins: the one that lifts most, and the one that hardly moves and is turned
/// about.
fn comes_off((tooth, retainer): &(Tooth, Retainer), found: &Dislodgement) -> Option<ComesOff> {
    found.first?;
    let Abutment { frame, preparation } = &retainer.abutment;
    let lifts = Side::ALL.map(|side| {
        let half = match side {
            Side::Mesial | Side::Distal => preparation.mesiodistal / 2.0,
            Side::Facial | Side::Lingual => preparation.faciolingual / 2.0,
        };
        let foot = local(side).map(|x| x * half);
        let velocity = found.motion.at(frame.point(foot));
        let lift: f64 = velocity.iter().zip(frame.axes[2]).map(|(a, b)| a * b).sum();
        ((*tooth, side), lift)
    });
    let most = lifts.iter().max_by(|a, b| a.1.total_cmp(&b.1))?;
    let least = lifts.iter().min_by(|a, b| a.1.total_cmp(&b.1))?;
    // Where every margin lifts by nearly as much, it comes straight off.
    let turns = least.1 < STRAIGHT * most.1;
    Some(ComesOff {
        first: *tooth,
        lifts: most.0,
        about: turns.then_some(least.0),
    })
}

/// A motion whose least lift is this share of its greatest comes straight off. Ours.
const STRAIGHT: f64 = 0.6;

/// Names the tooth whose prep cannot be reckoned with.
fn named(stumps: &[(Tooth, Retainer)], error: &GripError) -> String {
    let tooth = match error {
        GripError::Preparation(index, _) | GripError::NotHeld(index, _) => {
            stumps.get(*index).map(|(tooth, _)| *tooth)
        }
        GripError::Roots => None,
    };
    match tooth {
        Some(tooth) => format!("stump {tooth}: {error}"),
        None => error.to_string(),
    }
}

/// How far the least grip moves over the plausible range of the cement's limits, reference and restoration alike.
fn range(
    retainers: &[Retainer],
    stumps: &[(Tooth, Retainer)],
    cases: &[Case<'_>],
) -> Option<(f64, f64)> {
    let mut range: Option<(f64, f64)> = None;
    for limits in RANGE {
        let yardstick = kept::yardstick(None, stumps, cases, limits).ok()?;
        let shared = Shared::new(retainers, MESH, limits).ok()?;
        let mut least = f64::INFINITY;
        for (index, case) in cases.iter().enumerate() {
            if !case.definition.judged {
                continue;
            }
            let found = shared.demands(&case.load, Settings::QUICK);
            for (retainer, outcome) in found.iter().enumerate() {
                let reference = yardstick.reference(retainer, index)?;
                least = least.min(reference / outcome.certified()?.demand);
            }
        }
        range = Some(range.map_or((least, least), |(low, high)| {
            (low.min(least), high.max(least))
        }));
    }
    range
}
