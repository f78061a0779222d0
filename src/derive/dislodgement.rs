//! How hard the cement of each retainer has to work, which is the weakest and in what motion it would come off, and how
//! that compares with the least single crown advised on that tooth.
//!
//! *Inputs and units*: mm and degrees, as the prep's other derivations use them; loads are the flow's.
//! *Model*: the load is shared between the retainers by elastic roots, and each prep holds its share alone by limit
//! analysis; see [`crate::mechanics::dislodgement::grip`]. Units stand along an arch curve by mesiodistal widths: the span
//! read for a pontic, the tooth table elsewhere. The yardstick is the least single crown on the usual neck of that tooth
//! under its own load; it does not move with the prep. The loads of a changed copy stand where they stood in the mouth as the
//! case was received.
//! *Limits of validity*: static, rigid restoration, sound roots, the same cement everywhere and no decay of it. For
//! comparing shapes and plans, not a clinical prediction.
//! *Sources*: Goodacre 2001 for the least prep; Wiskott 1996 and 1997 for the trends that the model follows; necks from Ash;
//! roots from memory.

mod detail;
mod kept;
mod loads;
mod path;
mod prep;

use rayon::prelude::*;

use super::{Derivation, Facts, Gathered, Precision};
use crate::case::{Restoration as Units, Role};
use crate::fact::{
    CLEARANCE, FORM_USED, GRIP, GRIP_FIRST, GROOVES, MARGIN_FL, MARGIN_MD, MARGIN_STEP, PATH_GAIN,
    PATH_TAPER, PATH_UNDERCUT, PLAN_SHARE, PONTIC_CONTACT, PREP_SHARE, Place, RETAINER_GRIP, SHAPE,
    SPAN, Side, TILT, TILT_TOWARD, UNEVEN, Unit, Value, WALL_FORM, WALL_HEIGHT_USED, WALL_STRAIGHT,
    WALL_TAPER_USED, WEAKEST_SHARE, WIDTH_USED,
};
use crate::flow::Figures;
use crate::mechanics::dislodgement::grip::{GripError, MESH, Retainer, Shared};
use crate::mechanics::dislodgement::{Dislodgement, LimitOutcome, Limits, Settings};
use crate::mechanics::frame::Abutment;
use crate::phrase::faults::reasons;
use crate::tooth::Tooth;
use kept::{Borne, Came, Yardstick};
use loads::{Situation, loads, local};
use path::path;
use prep::prep;

pub(super) use kept::Kept;
pub(crate) use prep::{least_prep, preparation, stand_in_arch};

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
    let preps: Vec<(Tooth, Retainer)> = units
        .teeth(Role::Abutment)
        .map(|tooth| (tooth, prep(&mut inputs, units, tooth)))
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
        waits(facts, units, &preps, &gathered);
        return;
    }
    let cases = loads(facts, units, &preps);
    let (kept, detail) = facts
        .before()
        .and_then(|before| {
            kept::again(
                &facts.flow().figures,
                before,
                units.id,
                facts.precision(),
                &preps,
                &cases,
            )
        })
        .unwrap_or_else(|| work_out(facts, units.id, &preps, &cases));
    give(facts, at, &preps, &kept, &gathered);
    facts.keep(kept, detail);
    path(facts, units, &preps, &gathered);
}

/// Says that all figures wait for what the preps wait for.
fn waits(facts: &mut Facts<'_>, units: &Units, preps: &[(Tooth, Retainer)], gathered: &Gathered) {
    let nothing = Ok(Value::Number(f64::NAN, Unit::Ratio));
    let at = Place::Restoration(units.id);
    everywhere(facts, at, preps, gathered, &nothing);
    if preps.len() > 1 {
        path::waits(facts, units, preps, gathered);
    }
}

/// Gives one outcome to every figure: what is not computed is told at each, or a rule on it would keep silent.
fn everywhere(
    facts: &mut Facts<'_>,
    at: Place,
    preps: &[(Tooth, Retainer)],
    gathered: &Gathered,
    outcome: &Result<Value, String>,
) {
    facts.give(&GRIP, at, gathered.clone(), outcome.clone());
    if !is_single(facts, at) {
        facts.give(&PLAN_SHARE, at, gathered.clone(), outcome.clone());
    }
    for (tooth, _) in preps {
        let at = Place::Unit(*tooth);
        for fact in [GRIP_FIRST, PREP_SHARE, RETAINER_GRIP] {
            facts.give(&fact, at, gathered.clone(), outcome.clone());
        }
        if preps.len() > 1 {
            facts.give(&WEAKEST_SHARE, at, gathered.clone(), outcome.clone());
        }
    }
}

/// Returns whether a restoration is a single crown: all of its grip is the prep's.
fn is_single(facts: &Facts<'_>, at: Place) -> bool {
    facts
        .units()
        .owner(at)
        .is_some_and(|own| own.units.len() == 1)
}

/// Gives grip at the restoration and at its weakest retainer, and at each retainer its own, with what of it is
/// the prep's and what is the plan's.
fn give(
    facts: &mut Facts<'_>,
    at: Place,
    preps: &[(Tooth, Retainer)],
    kept: &Kept,
    gathered: &Gathered,
) {
    let ratio = |number: f64| Value::Number(number, Unit::Ratio);
    let grips = match &kept.grips {
        Ok(grips) => grips,
        Err(why) => return everywhere(facts, at, preps, gathered, &Err(why.clone())),
    };
    for ((tooth, _), own) in preps.iter().zip(grips) {
        let at = Place::Unit(*tooth);
        facts.give(&RETAINER_GRIP, at, gathered.clone(), Ok(ratio(own.grip)));
        facts.give(&PREP_SHARE, at, gathered.clone(), Ok(ratio(own.prep)));
    }
    let Some((weakest, own)) = kept::weakest(grips) else {
        return;
    };
    facts.give(&GRIP, at, gathered.clone(), Ok(ratio(own.grip)));
    if !is_single(facts, at) {
        facts.give(&PLAN_SHARE, at, gathered.clone(), Ok(ratio(own.plan)));
    }
    let Some((tooth, _)) = preps.get(weakest) else {
        return;
    };
    let first = Place::Unit(*tooth);
    facts.give(&GRIP_FIRST, first, gathered.clone(), Ok(ratio(own.grip)));
    if preps.len() > 1 {
        let best = grips.iter().map(|own| own.prep).fold(f64::MIN, f64::max);
        let worst = preps.iter().zip(grips);
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
    preps: &[(Tooth, Retainer)],
    cases: &[Situation<'_>],
) -> (Kept, Detail) {
    let before = facts
        .before()
        .and_then(|before| before.kept_of(restoration));
    let yardstick = kept::yardstick(
        &facts.flow().figures,
        before,
        preps,
        cases,
        Limits::default(),
    );
    let borne = yardstick
        .as_ref()
        .map_err(Clone::clone)
        .and_then(|yardstick| borne(facts.precision(), before, preps, cases, yardstick));
    let retainers: Vec<Retainer> = preps.iter().map(|(_, own)| own.clone()).collect();
    let loads = cases
        .iter()
        .enumerate()
        .map(|(index, case)| LoadDetail {
            load: case.definition.id.clone(),
            unit: case.unit,
            toward: case.toward,
            force: case.load.force,
            line: (case.load.point, case.load.direction),
            found: match (&borne, &yardstick) {
                (Ok(borne), Ok(yardstick)) => hardest(borne, yardstick, index, case),
                (Err(why), _) | (_, Err(why)) => Found::NotComputed(why.clone()),
            },
        })
        .collect();
    let grips = match (&borne, &yardstick) {
        (Ok(borne), Ok(yardstick)) => yardstick.grips(&least(borne, yardstick, cases)),
        (Err(why), _) | (_, Err(why)) => Err(why.clone()),
    };
    let grip_range = (facts.precision() == Precision::Exact)
        .then(|| range(&facts.flow().figures, &retainers, preps, cases))
        .flatten()
        .zip(kept::weakest(grips.as_deref().unwrap_or_default()))
        .map(|((low, high), (_, own))| (low.min(own.grip), high.max(own.grip)));
    let detail = Detail {
        restoration,
        preps: preps
            .iter()
            .map(|(tooth, own)| (*tooth, own.abutment.clone()))
            .collect(),
        loads,
        grip_range,
    };
    let kept = Kept::new(
        restoration,
        facts.precision(),
        preps,
        cases,
        Came {
            yardstick,
            borne: borne.unwrap_or_default(),
            grips,
        },
    );
    (kept, detail)
}

/// Works out what each retainer bears under each load; what did not change is taken over.
///
/// While somebody types, a load is proven to the coarser gap first, and to the finer one only where it could be the hardest
/// of its retainer: grip is proven to the finer gap wherever it is shown, or a level could turn between screen and print.
/// Where a load misses the finer gap it keeps the coarser one: each figure carries its gap.
fn borne(
    precision: Precision,
    before: Option<&Kept>,
    preps: &[(Tooth, Retainer)],
    cases: &[Situation<'_>],
    yardstick: &Yardstick,
) -> Result<Vec<Vec<Borne>>, String> {
    let known: Vec<Option<&[Borne]>> = (0..preps.len())
        .map(|retainer| before.and_then(|kept| kept.borne(retainer, precision, preps, cases)))
        .collect();
    let retainers: Vec<Retainer> = preps.iter().map(|(_, own)| own.clone()).collect();
    let asked = |index: usize| known.get(index).is_some_and(Option::is_none);
    let shared = Shared::of_some(&retainers, asked, MESH, Limits::default())
        .map_err(|error| named(preps, &error))?;
    let one = |retainer: usize, prep: &(Tooth, Retainer), known: Option<&[Borne]>| {
        if let Some(known) = known {
            return Ok(known.to_vec());
        }
        let solve = |case: &Situation<'_>, settings: Settings| match shared
            .demand(retainer, &case.load, settings)
        {
            LimitOutcome::Certified(found) => Ok(Borne {
                lambda: found.lambda,
                upper: found.upper,
                gap: found.gap,
                motion: comes_off(prep, &found),
                pressing_share: found.pressing_share,
            }),
            LimitOutcome::NotComputed(reason) => Err(reason.to_string()),
        };
        let ratio = |index: usize, of: f64| -> Option<f64> {
            let case = cases.get(index).filter(|case| case.definition.judged)?;
            Some(yardstick.reference(retainer, index)? * of / case.load.force)
        };
        let mut order: Vec<(usize, &Situation<'_>)> = cases.iter().enumerate().collect();
        let first = match precision {
            Precision::Exact => Settings::EXACT,
            Precision::Quick => Settings::QUICK,
            Precision::MeasureAgain => {
                let rough = |index: usize, case: &Situation<'_>| {
                    ratio(index, shared.rough(retainer, &case.load)?)
                };
                order.sort_by_cached_key(|(index, case)| {
                    rough(*index, case).map_or(u64::MAX, |rough| rough.to_bits())
                });
                Settings::QUICK
            }
        };
        let mut own: Vec<Option<Borne>> = vec![None; cases.len()];
        let mut most = f64::INFINITY;
        for (index, case) in order {
            let enough = match (precision, ratio(index, 1.0)) {
                (Precision::MeasureAgain, Some(one)) => most / one,
                (Precision::MeasureAgain, None) => 0.0,
                _ => f64::INFINITY,
            };
            let found =
                solve(case, first.until(enough)).or_else(|_| solve(case, Settings::QUICK))?;
            most = ratio(index, found.upper).map_or(most, |ratio| most.min(ratio));
            if let Some(own) = own.get_mut(index) {
                *own = Some(found);
            }
        }
        let mut own: Vec<Borne> = own.into_iter().flatten().collect();
        for (index, (case, own)) in cases.iter().zip(&mut own).enumerate() {
            let could_be = ratio(index, own.lambda).is_some_and(|ratio| ratio <= most);
            if could_be && own.gap > Settings::EXACT.gap {
                *own = solve(case, Settings::EXACT).unwrap_or(*own);
            }
        }
        Ok(own)
    };
    let all: Vec<Result<Vec<Borne>, String>> = preps
        .par_iter()
        .zip(known)
        .enumerate()
        .map(|(retainer, (prep, known))| one(retainer, prep, known))
        .collect();
    // One by one, so that it is always the same retainer that is told of.
    all.into_iter().collect()
}

/// The least ratio of each retainer over the loads that are judged.
fn least(borne: &[Vec<Borne>], yardstick: &Yardstick, cases: &[Situation<'_>]) -> Vec<Option<f64>> {
    borne
        .iter()
        .enumerate()
        .map(|(retainer, own)| {
            own.iter()
                .zip(cases)
                .enumerate()
                .filter(|(_, (_, case))| case.definition.judged)
                .filter_map(|(index, (own, case))| {
                    Some(yardstick.reference(retainer, index)? * own.lambda / case.load.force)
                })
                .reduce(f64::min)
        })
        .collect()
}

/// Tells of the retainer that a load tries hardest.
fn hardest(
    borne: &[Vec<Borne>],
    yardstick: &Yardstick,
    index: usize,
    case: &Situation<'_>,
) -> Found {
    let ratios = borne.iter().enumerate().filter_map(|(retainer, own)| {
        let own = own.get(index)?;
        Some((
            yardstick.reference(retainer, index)? * own.lambda / case.load.force,
            own,
        ))
    });
    let mut hardest: Option<(f64, &Borne)> = None;
    for (ratio, own) in ratios {
        if hardest.is_none_or(|(known, _)| ratio < known) {
            hardest = Some((ratio, own));
        }
    }
    match hardest {
        Some((ratio, own)) => Found::Figure {
            lambda: own.lambda,
            demand: case.load.force / own.lambda,
            gap: own.gap,
            grip: case.definition.judged.then_some(ratio),
            motion: own.motion,
            pressing_share: own.pressing_share,
        },
        None => Found::NotComputed(reasons::NO_RETAINER.to_owned()),
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
fn named(preps: &[(Tooth, Retainer)], error: &GripError) -> String {
    let tooth = match error {
        GripError::Preparation(index, _) | GripError::NotHeld(index, _) => {
            preps.get(*index).map(|(tooth, _)| *tooth)
        }
        GripError::Roots => None,
    };
    match tooth {
        Some(tooth) => reasons::of_prep(tooth, error),
        None => error.to_string(),
    }
}

/// How far the least grip moves over the plausible range of the cement's limits, reference and restoration alike.
fn range(
    figures: &Figures,
    retainers: &[Retainer],
    preps: &[(Tooth, Retainer)],
    cases: &[Situation<'_>],
) -> Option<(f64, f64)> {
    let mut range: Option<(f64, f64)> = None;
    for limits in RANGE {
        let yardstick = kept::yardstick(figures, None, preps, cases, limits).ok()?;
        let shared = Shared::new(retainers, MESH, limits).ok()?;
        let mut least = f64::INFINITY;
        for retainer in 0..retainers.len() {
            let judged = cases.iter().enumerate();
            let judged = judged.filter(|(_, case)| case.definition.judged);
            let weighed = judged.filter_map(|(index, case)| {
                Some((&case.load, yardstick.reference(retainer, index)?))
            });
            least = least.min(kept::least_of(&shared, retainer, weighed).ok()?);
        }
        range = Some(range.map_or((least, least), |(low, high)| {
            (low.min(least), high.max(least))
        }));
    }
    range
}
