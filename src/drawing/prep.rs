//! A prep from two sides.
//!
//! A die is drawn as the bench holds it, standing up, also where it is an upper one; a bridge as it is in the mouth,
//! upper crowns pointing down. Left and right follow.

use super::figure::{Anchor, Figure, Ink, Word};
use crate::derive::{ComesOff, Facts};
use crate::fact::{
    CLEARANCE, EFFECTIVE, EFFECTIVE_SHARE, FactId, HEIGHT_USED, MARGIN_FL, MARGIN_MD, MARGIN_STEP,
    Place, Side, TOP_FL, TOP_MD, UNEVEN, Uneven, Value, WALL_HEIGHT_USED, WALL_TAPER_USED,
};
use crate::tooth::{Arch, Tooth, ToothClass};

/// The bar of the scale, in mm.
const BAR: f64 = 5.0;
/// The room between the views of a prep, in mm.
const APART: f64 = 6.0;
/// How much of the root is drawn under the margin, in mm, and how wide it is at its end as a share of the base. For
/// the eye: it was not read.
const ROOT: f64 = 1.5;
const ROOT_SHARE: f64 = 0.86;
/// How high the cusps of the opposing tooth are drawn, in mm. For the eye.
const CUSP: f64 = 0.9;
const CUSP_STEPS: u32 = 10;

/// A point in mm.
type Point = (f64, f64);

/// A wall: its line from the margin to the top, how it is drawn, and where the part that is effective begins.
struct Wall {
    side: Side,
    foot: Point,
    head: Point,
    ink: Ink,
    effective: Option<Point>,
}

/// A prep from one side, the near wall on the left.
struct View {
    base: f64,
    walls: [Wall; 2],
}

/// What a view shows: the sides that are seen edgewise, and the facts of its widths.
const VIEWS: [([Side; 2], FactId, FactId); 2] = [
    ([Side::Mesial, Side::Distal], MARGIN_MD, TOP_MD),
    ([Side::Facial, Side::Lingual], MARGIN_FL, TOP_FL),
];

fn view(
    facts: &Facts<'_>,
    tooth: Tooth,
    ([near, far], base, top): &([Side; 2], FactId, FactId),
) -> Option<View> {
    let unit = Place::Unit(tooth);
    let number = |fact: &FactId, at| facts.value(fact, at).and_then(Value::number);
    let height = number(&HEIGHT_USED, unit)?;
    let (base, top) = (number(base, unit)?, number(top, unit)?);
    let steps = facts.value(&UNEVEN, unit).and_then(Value::chosen) == Some(Uneven::MarginSteps);
    let wall = |side: Side, foot: f64, sign: f64| {
        let place = Place::Wall(tooth, side);
        let height = number(&WALL_HEIGHT_USED, place).unwrap_or(height);
        let taper = number(&WALL_TAPER_USED, place).map(f64::to_radians);
        let lean = taper.map_or((base - top) / 2.0, |taper| height * taper.tan());
        let step = number(&MARGIN_STEP, place).filter(|_| steps).unwrap_or(0.0);
        let (foot, head) = ((foot, step), (foot + sign * lean, step + height));
        let fails = facts.value(&EFFECTIVE, place) == Some(&Value::No);
        let share = number(&EFFECTIVE_SHARE, place).map(|percent| percent / 100.0);
        Wall {
            side,
            foot,
            head,
            ink: if fails { Ink::Fails } else { Ink::Outline },
            effective: share.filter(|share| *share > 0.0).map(|share| {
                (
                    head.0 + (foot.0 - head.0) * share,
                    head.1 + (foot.1 - head.1) * share,
                )
            }),
        }
    };
    Some(View {
        base,
        walls: [wall(*near, 0.0, 1.0), wall(*far, base, -1.0)],
    })
}

/// How the restoration that a prep belongs to lets go first.
fn motion(facts: &Facts<'_>, tooth: Tooth) -> Option<ComesOff> {
    let owner = facts.units().owner(Place::Unit(tooth))?;
    facts
        .details()
        .iter()
        .filter(|detail| owner.id == detail.restoration)
        .find_map(|detail| detail.worst()?.motion())
}

/// Says for both views whether the near wall stands on the left.
///
/// A die stands with its top upwards, so an upper one is upside down: its right side is seen on the left.
fn near_left(tooth: Tooth) -> [bool; 2] {
    let right = matches!(tooth.quadrant(), 1 | 4);
    let mesial_left = right == (tooth.arch() == Arch::Upper);
    [mesial_left, !mesial_left]
}

/// Draws a prep as its die stands, from facial and from mesial: the margin, the top, the part of each wall that
/// is effective, and how the restoration lets go where that is seen from there.
///
/// None where its quick readings are not there yet.
pub fn die(facts: &Facts<'_>, tooth: Tooth) -> Option<Figure> {
    let [from_facial, from_mesial] = &VIEWS;
    let views = [
        view(facts, tooth, from_facial)?,
        view(facts, tooth, from_mesial)?,
    ];
    let motion = motion(facts, tooth);
    let mut figure = Figure {
        bar: BAR,
        ..Figure::default()
    };
    let mut left = 0.0;
    for (view, near_left) in views.iter().zip(near_left(tooth)) {
        let turned = |(x, y): Point| (left + if near_left { x } else { view.base - x }, y);
        add_view(&mut figure, tooth, view, motion, &turned);
        left += view.base + APART;
    }
    Some(figure)
}

/// Draws the prep from each side from which it was read, one figure a side: beside what [`die`] has, the wall in hand, a
/// little of the root, and the tooth that it bites against, as far away as the clearance that was read.
pub fn sides(facts: &Facts<'_>, tooth: Tooth, marked: Option<Side>) -> Vec<(Side, Figure)> {
    let motion = motion(facts, tooth);
    let number = |fact: &FactId| {
        facts
            .value(fact, Place::Unit(tooth))
            .and_then(Value::number)
    };
    let mut list = Vec::new();
    for ((seen_from, of), near_left) in [Side::Facial, Side::Mesial]
        .into_iter()
        .zip(&VIEWS)
        .zip(near_left(tooth))
    {
        let Some(view) = view(facts, tooth, of) else {
            continue;
        };
        let turned = |(x, y): Point| (if near_left { x } else { view.base - x }, y);
        let mut figure = Figure::default();
        root(&mut figure, &view, &turned);
        add_view(&mut figure, tooth, &view, motion, &turned);
        if let Some(room) = number(&CLEARANCE) {
            opposing(&mut figure, tooth, &view, room);
        }
        for wall in view.walls.iter().filter(|wall| marked == Some(wall.side)) {
            let line = vec![turned(wall.foot), turned(wall.head)];
            figure.bound(Ink::Marked, line, turned(view.middle()));
            figure.mark(Word::Side(tooth, wall.side));
        }
        list.push((seen_from, figure));
    }
    list
}

impl View {
    fn middle(&self) -> Point {
        let [near, far] = &self.walls;
        (
            self.base / 2.0,
            f64::midpoint(near.head.1, far.head.1) / 2.0,
        )
    }

    fn top(&self) -> f64 {
        let [near, far] = &self.walls;
        near.head.1.max(far.head.1)
    }
}

/// Draws a little of the tooth under the margin, as a die is trimmed.
fn root(figure: &mut Figure, view: &View, turned: &dyn Fn(Point) -> Point) {
    let [near, far] = &view.walls;
    let narrower = view.base * (1.0 - ROOT_SHARE) / 2.0;
    for (foot, inwards) in [(near.foot, narrower), (far.foot, -narrower)] {
        let end = (foot.0 + inwards, -ROOT);
        figure.stroke(Ink::Usual, vec![turned(foot), turned(end)]);
    }
}

/// Draws the cusps of the tooth that bites on the prep, the lowest as far above its top as there is room.
fn opposing(figure: &mut Figure, tooth: Tooth, view: &View, room: f64) {
    let cusps: u32 = match tooth.class() {
        ToothClass::Incisor | ToothClass::Canine => 1,
        ToothClass::Premolar | ToothClass::Molar => 2,
    };
    let (top, width) = (view.top(), view.base / f64::from(cusps));
    let line = (0..=cusps * CUSP_STEPS).map(|step| {
        let at = f64::from(step % CUSP_STEPS) / f64::from(CUSP_STEPS);
        let x = f64::from(step) / f64::from(CUSP_STEPS) * width;
        (x, top + room + CUSP * (2.0 * at - 1.0).powi(2))
    });
    figure.stroke(Ink::Opposing, line.collect());
    let tip = width / 2.0;
    if room > 0.0 {
        figure.distance((tip, top), (tip, top + room));
    }
    // Over the cusps: between them and the prep there is no room for a word.
    let over = (tip, top + room + CUSP);
    figure.label(over, 0.55, Anchor::Middle, Word::Distance(room));
}

fn add_view(
    figure: &mut Figure,
    tooth: Tooth,
    view: &View,
    motion: Option<ComesOff>,
    turned: &dyn Fn(Point) -> Point,
) {
    let [near, far] = &view.walls;
    figure.stroke(Ink::Outline, vec![turned(near.head), turned(far.head)]);
    figure.stroke(Ink::Margin, vec![turned(near.foot), turned(far.foot)]);
    let inner = turned(view.middle());
    for wall in &view.walls {
        let (foot, head) = (turned(wall.foot), turned(wall.head));
        figure.bound(wall.ink, vec![foot, head], inner);
        if let Some(from) = wall.effective {
            figure.bound(Ink::Resists, vec![turned(from), head], inner);
        }
    }
    for (wall, inwards) in view.walls.iter().zip([0.2, -0.2]) {
        let (x, _) = turned((wall.foot.0 + inwards * view.base, 0.0));
        let word = Word::Side(tooth, wall.side);
        figure.label((x, 0.0), -1.3, Anchor::Middle, word);
    }
    let Some(motion) = motion else { return };
    let foot_of = |side| {
        let wall = view.walls.iter().find(|wall| wall.side == side)?;
        Some(turned(wall.foot))
    };
    match motion.about {
        Some((about, side)) if about == tooth && motion.lifts.0 == tooth => {
            if let (Some(pivot), Some(lifts)) = (foot_of(side), foot_of(motion.lifts.1))
                && side != motion.lifts.1
            {
                figure.turning(pivot, lifts, f64::INFINITY);
            }
        }
        None if motion.first == tooth => {
            let x = f64::midpoint(near.head.0, far.head.0);
            let (x, y) = turned((x, view.top()));
            figure.arrow(vec![(x, y + 0.5), (x, y + 2.5)]);
        }
        _ => {}
    }
}
