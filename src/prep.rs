//! Readings of a prep as a [`Preparation`], and a changed one as readings.
//!
//! *Inputs and units*: mm and degrees, as they are read. Widths stand at the foot of the walls, inside the margin. What is
//! written is rounded to a thousandth, finer than anything that is read.

use std::fmt;

use crate::fact::{
    Chosen, FORM_USED, FactId, GROOVES, Grooves, HEIGHT, MARGIN_DEPTH, MARGIN_FL, MARGIN_FORM,
    MARGIN_MD, MARGIN_STEP, MarginForm, Place, Side, Spot, TOOTH_WIDTH, TOP_FL, TOP_MD, UNEVEN,
    Uneven, Unit, Value, WALL_FORM, WALL_HEIGHT, WALL_HEIGHT_USED, WALL_STRAIGHT, WALL_TAPER,
    WALL_TAPER_USED, WIDTH_USED, WallForm,
};
use crate::mechanics::prep::{self, Groove, Preparation, Wall};
use crate::phrase::faults::reasons;
use crate::tooth::Tooth;

/// Where readings are looked up.
pub trait Readings {
    /// Returns a number; NaN where it is missing, which whoever looks it up notes.
    fn number(&mut self, fact: &FactId, at: Place) -> f64;

    /// Returns a choice that tells of the shape where it was made.
    fn choice<C: Chosen>(&mut self, fact: &FactId, at: Place) -> Option<C>;
}

/// Why a prep cannot be written as readings.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Undercut;

impl fmt::Display for Undercut {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(reasons::UNDERCUT)
    }
}

impl std::error::Error for Undercut {}

/// The least taper, in degrees, and width, in mm, that readings tell apart.
const TOLD: f64 = 1e-9;

/// The widest margin that is read, in mm.
const WIDEST: f64 = 3.0;

/// The narrowest top that is read, in mm.
const NARROWEST: f64 = 0.5;

/// Puts the four walls of a prep together. Its numbers are NaN where a reading is missing.
pub fn read(readings: &mut impl Readings, tooth: Tooth) -> Preparation {
    let unit = Place::Unit(tooth);
    let stepped = readings.choice(&UNEVEN, unit) == Some(Uneven::MarginSteps);
    let walls = prep::PrepSide::ALL.map(|side| {
        let at = Place::Wall(tooth, from_prep(side));
        let height = readings.number(&WALL_HEIGHT_USED, at);
        let straight = match readings.choice(&WALL_FORM, at) {
            Some(WallForm::ConcaveTop) => Some(readings.number(&WALL_STRAIGHT, at)),
            Some(WallForm::Concave) => Some(0.0),
            Some(WallForm::Straight) | None => None,
        };
        Wall {
            height,
            straight,
            taper: readings.number(&WALL_TAPER_USED, at),
            margin: if stepped {
                readings.number(&MARGIN_STEP, at)
            } else {
                0.0
            },
            // A feather edge does not stand out at all.
            depth: match readings.choice(&FORM_USED, at) {
                Some(MarginForm::Feather) => 0.0,
                _ => readings.number(&WIDTH_USED, at),
            },
        }
    });
    let mut preparation = Preparation::new(
        readings.number(&MARGIN_MD, unit),
        readings.number(&MARGIN_FL, unit),
        walls,
    );
    let grooved: &[prep::PrepSide] = match readings.choice(&GROOVES, unit) {
        Some(Grooves::Proximal) => &[prep::PrepSide::Mesial, prep::PrepSide::Distal],
        Some(Grooves::FacialLingual) => &[prep::PrepSide::Facial, prep::PrepSide::Lingual],
        Some(Grooves::All) => &prep::PrepSide::ALL,
        Some(Grooves::None) | None => &[],
    };
    preparation.grooves = grooved.iter().map(|side| Groove::usual(*side)).collect();
    preparation
}

/// Writes what a cut changed as readings; `before` is the prep as it was read, and a wall may have had a feather edge.
///
/// # Errors
///
/// [`Undercut`] where a wall leans out: readings of taper do not tell that.
pub fn write(
    is_feather: impl Fn(Place) -> bool,
    tooth: Tooth,
    before: &Preparation,
    after: &Preparation,
) -> Result<Vec<(Spot, Value)>, Undercut> {
    let unit = Place::Unit(tooth);
    let mut list = Written::default();
    let shape = before.walls != after.walls;
    let lowest = after
        .walls
        .iter()
        .map(|wall| wall.margin)
        .fold(f64::MAX, f64::min);
    let stepped = after.walls.iter().any(|wall| wall.margin - lowest > TOLD);
    for side in prep::PrepSide::ALL {
        let at = Place::Wall(tooth, from_prep(side));
        let (old, wall) = (before.wall(side), after.wall(side));
        if shape {
            if wall.taper < 0.0 {
                return Err(Undercut);
            }
            list.mm(&WALL_HEIGHT, at, wall.height);
            list.put(
                &WALL_TAPER,
                at,
                Value::Number(rounded(wall.taper), Unit::Deg),
            );
            if stepped {
                list.mm(&MARGIN_STEP, at, wall.margin - lowest);
            }
        }
        if let (Some(straight), true) = (wall.straight, old.straight != wall.straight) {
            list.choose(&WALL_FORM, at, "dished-top");
            list.mm(&WALL_STRAIGHT, at, straight);
        }
        if old.depth != wall.depth {
            list.mm(&MARGIN_DEPTH, at, wall.depth.min(WIDEST));
            if is_feather(at) {
                list.choose(&MARGIN_FORM, at, "chamfer");
            }
        }
    }
    if shape {
        let mean = after.walls.iter().map(|wall| wall.height).sum::<f64>() / 4.0;
        list.mm(&HEIGHT, unit, mean);
        list.widths(unit, after);
        if stepped {
            list.choose(&UNEVEN, unit, "margin-steps");
        }
    }
    if before.grooves != after.grooves {
        let has = |side| after.grooves.iter().any(|groove| groove.side == side);
        let proximal = has(prep::PrepSide::Mesial) && has(prep::PrepSide::Distal);
        let across = has(prep::PrepSide::Facial) && has(prep::PrepSide::Lingual);
        let choice = match (proximal, across) {
            (true, true) => "all",
            (true, false) => "proximal",
            (false, _) => "facial-lingual",
        };
        list.choose(&GROOVES, unit, choice);
    }
    Ok(list.values)
}

/// Writes a prep of four like walls as the first readings of a tooth tell it: height, widths and width of the margin.
pub fn write_plain(tooth: Tooth, plain: &Preparation) -> Vec<(Spot, Value)> {
    let unit = Place::Unit(tooth);
    let wall = plain.wall(prep::PrepSide::Mesial);
    let mut list = Written::default();
    list.mm(&HEIGHT, unit, wall.height);
    list.mm(&TOOTH_WIDTH, unit, wall.depth);
    list.widths(unit, plain);
    list.values
}

/// Readings that are written down.
#[derive(Default)]
struct Written {
    values: Vec<(Spot, Value)>,
}

impl Written {
    fn put(&mut self, fact: &FactId, at: Place, value: Value) {
        let fact = fact.clone();
        self.values.push((Spot { fact, at }, value));
    }

    fn mm(&mut self, fact: &FactId, at: Place, number: f64) {
        self.put(fact, at, Value::Number(rounded(number), Unit::Mm));
    }

    fn choose(&mut self, fact: &FactId, at: Place, choice: &str) {
        self.put(fact, at, Value::Choice(choice.to_owned()));
    }

    fn widths(&mut self, unit: Place, preparation: &Preparation) {
        let (mesiodistal, faciolingual) = (
            [prep::PrepSide::Mesial, prep::PrepSide::Distal],
            [prep::PrepSide::Facial, prep::PrepSide::Lingual],
        );
        self.mm(&MARGIN_MD, unit, preparation.mesiodistal);
        self.mm(&MARGIN_FL, unit, preparation.faciolingual);
        for (fact, pair) in [(&TOP_MD, mesiodistal), (&TOP_FL, faciolingual)] {
            self.mm(fact, unit, preparation.top_width(pair).max(NARROWEST));
        }
    }
}

/// Rounds to a thousandth.
pub fn rounded(number: f64) -> f64 {
    (number * 1e3).round() / 1e3
}

/// Returns the side of a preparation as a side of the tooth.
pub fn from_prep(side: prep::PrepSide) -> Side {
    match side {
        prep::PrepSide::Mesial => Side::Mesial,
        prep::PrepSide::Distal => Side::Distal,
        prep::PrepSide::Facial => Side::Facial,
        prep::PrepSide::Lingual => Side::Lingual,
    }
}

/// Returns a side of the tooth as a side of its preparation.
pub fn to_prep(side: Side) -> prep::PrepSide {
    match side {
        Side::Mesial => prep::PrepSide::Mesial,
        Side::Distal => prep::PrepSide::Distal,
        Side::Facial => prep::PrepSide::Facial,
        Side::Lingual => prep::PrepSide::Lingual,
    }
}
