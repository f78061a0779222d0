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

use super::{Derivation, Facts, Inputs, Precision};
use crate::case::{Restoration as Units, Role};
use crate::fact::{
    GRIP, GRIP_ALONE, GRIP_FIRST, GROOVES, MARGIN_FL, MARGIN_MD, MARGIN_STEP, PATH_GAIN,
    PATH_TAPER, PATH_UNDERCUT, Place, SPAN, Side, TILT, TILT_TOWARD, UNEVEN, Unit, Value,
    WALL_FORM, WALL_HEIGHT_USED, WALL_STRAIGHT, WALL_TAPER_USED, WEAKEST_SHARE,
};
use crate::flow::Load as LoadCase;
use crate::logic::Truth;
use crate::mechanics::dislodgement::grip::{
    Graded, Grip, GripError, LoadGrip, MINIMUM_MOLAR, MINIMUM_OTHER, grip,
};
use crate::mechanics::dislodgement::{
    Dislodgement, Holding, Limits, Load, Outcome, Restoration, Settings,
};
use crate::mechanics::frame::{Abutment, ArchCurve, Frame, middles};
use crate::mechanics::path::{along_path, common_path};
use crate::mechanics::prep::{self, Groove, Mesh, Preparation, Wall};
use crate::tooth::{Arch, Tooth, ToothClass, size};

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

/// What was found for one restoration, load by load.
#[derive(Clone, PartialEq, Debug)]
pub struct Detail {
    /// The restoration's number.
    pub restoration: u8,
    /// Its stumps as they were reckoned with, in the restoration's axes.
    pub stumps: Vec<(Tooth, Abutment)>,
    /// Its loads.
    pub loads: Vec<LoadDetail>,
    /// How far grip moves where the cement's limits are varied, least and most; only where it was asked for exactly.
    pub grip_range: Option<(f64, f64)>,
}

/// What was found under one load.
#[derive(Clone, PartialEq, Debug)]
pub struct LoadDetail {
    /// The load case.
    pub load: String,
    /// The unit it acts on.
    pub unit: Tooth,
    /// The side it leans to; none where it acts along the tooth.
    pub toward: Option<Side>,
    /// The force in N.
    pub force: f64,
    /// Where it acts and which way, in the restoration's axes: mm, and a direction of length one.
    pub line: ([f64; 3], [f64; 3]),
    /// What came of it.
    pub found: Found,
}

impl Detail {
    /// Returns the load under which grip is least.
    pub fn worst(&self) -> Option<&LoadDetail> {
        let graded = self
            .loads
            .iter()
            .filter_map(|load| Some((load, load.grip()?)));
        graded
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(load, _)| load)
    }
}

impl LoadDetail {
    /// Returns the grip under this load, where it is judged.
    pub fn grip(&self) -> Option<f64> {
        match &self.found {
            Found::Figure { grip, .. } => *grip,
            Found::NotComputed(_) => None,
        }
    }

    /// Returns the motion in which the restoration would come off.
    pub fn motion(&self) -> Option<ComesOff> {
        match &self.found {
            Found::Figure { motion, .. } => *motion,
            Found::NotComputed(_) => None,
        }
    }
}

/// What came of a load.
#[derive(Clone, PartialEq, Debug)]
pub enum Found {
    /// A proven figure.
    Figure {
        /// The force that is held for each MPa of the cement, in N.
        lambda: f64,
        /// How hard the cement has to work, in MPa.
        demand: f64,
        /// The proven gap between both bounds, relative.
        gap: f64,
        /// The demand on the minimum stumps over the demand here; none where the load is not judged or presses home.
        grip: Option<f64>,
        /// How it would come off; none where it is only pressed home.
        motion: Option<ComesOff>,
        /// The part of the bound that crushing carries, 0 to 1.
        pressing_share: f64,
    },
    /// No figure, because of this.
    NotComputed(String),
}

/// The motion in which a restoration would come off.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct ComesOff {
    /// The abutment that lets go first.
    pub first: Tooth,
    /// The margin that lifts most.
    pub lifts: (Tooth, Side),
    /// The margin it turns about; none where it comes straight off.
    pub about: Option<(Tooth, Side)>,
}

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
        }
        return;
    }
    let settings = match facts.precision() {
        Precision::Quick => Settings::QUICK,
        Precision::Exact => Settings::EXACT,
    };
    let cases = loads(facts, units, &stumps);
    let found = judged(&stumps, &cases, settings);
    let worst = found.iter().filter_map(|detail| match &detail.found {
        Found::Figure {
            grip: Some(grip),
            motion,
            ..
        } => Some((*grip, *motion)),
        _ => None,
    });
    let worst = worst.min_by(|a, b| a.0.total_cmp(&b.0));
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
    path(facts, units, &stumps);
}

/// A load case on a unit, as a force.
struct Case<'f> {
    definition: &'f LoadCase,
    unit: Tooth,
    toward: Option<Side>,
    load: Load,
}

/// Puts the four walls of a stump together and stands it in the arch.
fn stump(inputs: &mut Inputs<'_, '_>, units: &Units, tooth: Tooth) -> Graded {
    let unit = Place::Unit(tooth);
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
            depth: 0.0,
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
    preparation.grooves = pairs.iter().map(|side| Groove::groove(*side)).collect();
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
    let preparation = fitted(preparation);
    let frame = place_in_arch(inputs, units, tooth).tilted(mesially, facially);
    let minimum_height = if tooth.class() == ToothClass::Molar {
        MINIMUM_MOLAR
    } else {
        MINIMUM_OTHER
    };
    Graded {
        abutment: Abutment { frame, preparation },
        minimum_height,
    }
}

/// Shares of the tapers that are tried where the corners of a narrow stump would fold. Ours.
const GENTLER: [f64; 2] = [0.85, 0.7];

/// Takes the walls of a narrow stump a little steeper where its corners, not its walls, would fold.
///
/// Walls that lean in at right angles to a narrow base run into each other at the corners before the walls across meet;
/// real stumps are rounded there. Walls that do meet are left to be refused.
fn fitted(preparation: Preparation) -> Preparation {
    let meets = preparation
        .walls
        .iter()
        .zip(prep::Side::ALL)
        .any(|(wall, side)| {
            let half = match side {
                prep::Side::Mesial | prep::Side::Distal => preparation.mesiodistal / 2.0,
                prep::Side::Facial | prep::Side::Lingual => preparation.faciolingual / 2.0,
            };
            wall.height * wall.taper.to_radians().tan() >= half
        });
    if meets || preparation.check().is_ok() {
        return preparation;
    }
    let leaned = |share: f64| Preparation {
        walls: preparation.walls.map(|wall| Wall {
            taper: wall.taper * share,
            ..wall
        }),
        ..preparation.clone()
    };
    GENTLER
        .into_iter()
        .map(leaned)
        .find(|steeper| steeper.check().is_ok())
        .unwrap_or(preparation)
}

/// Stands a unit on the arch curve, by the widths of the teeth between it and the midline.
fn place_in_arch(inputs: &mut Inputs<'_, '_>, units: &Units, tooth: Tooth) -> Frame {
    let widths: Vec<f64> = (1..=tooth.position())
        .filter_map(|position| Tooth::new(tooth.quadrant(), position))
        .map(|tooth| {
            let own = units
                .units
                .iter()
                .any(|unit| unit.tooth == tooth && unit.role == Role::Pontic);
            let read = if own {
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

fn from_prep(side: prep::Side) -> Side {
    match side {
        prep::Side::Mesial => Side::Mesial,
        prep::Side::Distal => Side::Distal,
        prep::Side::Facial => Side::Facial,
        prep::Side::Lingual => Side::Lingual,
    }
}

/// A direction of the tooth's own axes: mesially, facially, occlusally.
fn local(side: Side) -> [f64; 3] {
    match side {
        Side::Mesial => [1.0, 0.0, 0.0],
        Side::Distal => [-1.0, 0.0, 0.0],
        Side::Facial => [0.0, 1.0, 0.0],
        Side::Lingual => [0.0, -1.0, 0.0],
    }
}

/// Puts the flow's load cases on the units that they apply to.
fn loads<'f>(facts: &Facts<'f>, units: &Units, stumps: &[(Tooth, Graded)]) -> Vec<Case<'f>> {
    let top = |graded: &Graded| {
        let walls = &graded.abutment.preparation.walls;
        walls
            .iter()
            .map(|wall| wall.height + wall.margin)
            .fold(f64::MIN, f64::max)
    };
    let mean_top =
        stumps.iter().map(|(_, graded)| top(graded)).sum::<f64>() / stumps.len().max(1) as f64;
    let mut cases = Vec::new();
    for unit in &units.units {
        let at = Place::Unit(unit.tooth);
        let own = stumps
            .iter()
            .find(|(tooth, _)| *tooth == unit.tooth)
            .map(|(_, graded)| graded);
        let (frame, md, fl, top) = match own {
            Some(graded) => {
                let prep = &graded.abutment.preparation;
                (
                    graded.abutment.frame,
                    prep.mesiodistal,
                    prep.faciolingual,
                    top(graded),
                )
            }
            None => {
                let mut inputs = facts.inputs(at);
                let frame = place_in_arch(&mut inputs, units, unit.tooth);
                let crown = size(unit.tooth);
                (
                    frame,
                    crown.mesiodistal_cervix,
                    crown.faciolingual_cervix,
                    mean_top,
                )
            }
        };
        for definition in &facts.flow().loads {
            let applies = facts.units().is_kind(at, definition.at)
                && definition.when.eval(facts, at).truth == Truth::True;
            if !applies {
                continue;
            }
            let level = definition.angle.to_radians().sin().abs() > 1e-9 || definition.out > 0.0;
            let sides: Vec<Option<Side>> = if level {
                definition.toward.iter().copied().map(Some).collect()
            } else {
                vec![None]
            };
            for toward in sides {
                let (sin, cos) = definition.angle.to_radians().sin_cos();
                let lean = toward.map_or([0.0; 3], local);
                let half = match toward {
                    Some(Side::Mesial | Side::Distal) => md / 2.0,
                    _ => fl / 2.0,
                };
                let out = definition.out * half;
                let point = [lean[0] * out, lean[1] * out, top + definition.above];
                let direction = [lean[0] * sin, lean[1] * sin, -cos];
                let force = definition.force[match unit.tooth.class() {
                    ToothClass::Incisor => 0,
                    ToothClass::Canine => 1,
                    ToothClass::Premolar => 2,
                    ToothClass::Molar => 3,
                }];
                let load = Load {
                    point: frame.point(point),
                    direction: frame.direction(direction),
                    force,
                };
                cases.push(Case {
                    definition,
                    unit: unit.tooth,
                    toward,
                    load,
                });
            }
        }
    }
    cases
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
    let holding = match Restoration::new(&own, Mesh::USUAL) {
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
    let found = grip(graded, loads, Limits::default(), settings)?;
    let missed = found
        .loads
        .iter()
        .any(|load| matches!(load, LoadGrip::NotComputed(_)));
    if missed {
        grip(graded, loads, Limits::default(), Settings::QUICK)
    } else {
        Ok(found)
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
        let found = grip(
            std::slice::from_ref(graded),
            &loads,
            Limits::default(),
            settings,
        );
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
                grip(&graded, &loads, *limits, Settings::QUICK)
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

/// Tapers and undercuts against the path that all abutments share, and what tilting the path there has won.
fn path(facts: &mut Facts<'_>, units: &Units, stumps: &[(Tooth, Graded)]) {
    if stumps.len() < 2 {
        return;
    }
    let at = Place::Restoration(units.id);
    let abutments: Vec<Abutment> = stumps
        .iter()
        .map(|(_, graded)| graded.abutment.clone())
        .collect();
    // A path is worth telling only where somebody surveyed how a tooth leans; the others stand upright.
    let mut inputs = facts.inputs(at);
    let mut surveyed = false;
    for (tooth, _) in stumps {
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
    let gathered = inputs.gathered();
    let Some(common) = common_path(&abutments) else {
        facts.give(
            &PATH_GAIN,
            at,
            gathered,
            Err("the stumps share no path".to_owned()),
        );
        return;
    };
    let axis = abutments.iter().fold([0.0; 3], |sum: [f64; 3], abutment| {
        let axis = abutment.frame.axes[2];
        [sum[0] + axis[0], sum[1] + axis[1], sum[2] + axis[2]]
    });
    let straight = along_path(&abutments, axis);
    let gain = Value::Number((common.least - straight.least).max(0.0), Unit::Deg);
    facts.give(&PATH_GAIN, at, gathered.clone(), Ok(gain));
    for ((tooth, _), walls) in stumps.iter().zip(&common.abutments) {
        for (side, wall) in prep::Side::ALL.into_iter().zip(walls) {
            let place = Place::Wall(*tooth, from_prep(side));
            let taper = Value::Number(wall.taper, Unit::Deg);
            facts.give(&PATH_TAPER, place, gathered.clone(), Ok(taper));
            let undercut = Value::Number(wall.undercut, Unit::Mm);
            facts.give(&PATH_UNDERCUT, place, gathered.clone(), Ok(undercut));
        }
    }
}
