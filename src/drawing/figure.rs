//! Figures for prints: strokes and labels in millimetres, and the stump as a figure.

use super::{Part, View, views};
use crate::derive::{ComesOff, Facts};
use crate::fact::{Place, Side};
use crate::tooth::{Arch, Tooth};

/// How a stroke is drawn, which is what it means.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Ink {
    /// An outline that was measured.
    Outline,
    /// An outline of usual size, only there to be recognised.
    Usual,
    /// The finish line.
    Margin,
    /// The part of a wall that resists.
    Resists,
    /// A wall that does not resist.
    Fails,
    /// The way in which a restoration lets go.
    Motion,
    /// A connector as drawn.
    Connector,
    /// A connector as small as it may be.
    Least,
}

/// A line through points in mm, x to the right and y upwards.
#[derive(Clone, PartialEq, Debug)]
pub struct Stroke {
    /// How it is drawn.
    pub ink: Ink,
    /// Its points, two at the least.
    pub points: Vec<(f64, f64)>,
    /// Whether it runs back to its first point.
    pub closed: bool,
}

/// What a label says; the words are found where it is printed.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Word {
    /// A tooth.
    Tooth(Tooth),
    /// A tooth that is replaced.
    Pontic(Tooth),
    /// A side of a tooth.
    Side(Tooth, Side),
    /// A section, height by width, in mm.
    Section(f64, f64),
    /// An area in mm², at the least.
    Least(f64),
}

/// Which end of a label stands at its place.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Anchor {
    /// Its left end.
    Start,
    /// Its middle.
    Middle,
    /// Its right end.
    End,
}

/// A label at the place of its lower edge.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Label {
    /// Where, in mm.
    pub at: (f64, f64),
    /// How many lines of writing further up; negative for further down.
    pub lines: f64,
    /// Which end of it stands there.
    pub anchor: Anchor,
    /// What it says.
    pub word: Word,
}

/// A figure for print.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Figure {
    /// Its strokes, those drawn last on top.
    pub strokes: Vec<Stroke>,
    /// Its labels.
    pub labels: Vec<Label>,
    /// The length of the bar that tells the scale, in mm.
    pub bar: f64,
}

impl Figure {
    /// Returns the lower left and the upper right corner of what is drawn, in mm; none where nothing is.
    pub fn bounds(&self) -> Option<((f64, f64), (f64, f64))> {
        self.strokes
            .iter()
            .flat_map(|stroke| &stroke.points)
            .map(|point| (*point, *point))
            .reduce(|(low, high), (point, _)| {
                (
                    (low.0.min(point.0), low.1.min(point.1)),
                    (high.0.max(point.0), high.1.max(point.1)),
                )
            })
    }

    pub(super) fn stroke(&mut self, ink: Ink, points: Vec<(f64, f64)>) {
        self.strokes.push(Stroke {
            ink,
            points,
            closed: false,
        });
    }

    pub(super) fn ring(&mut self, ink: Ink, points: Vec<(f64, f64)>) {
        self.strokes.push(Stroke {
            ink,
            points,
            closed: true,
        });
    }

    pub(super) fn label(&mut self, at: (f64, f64), lines: f64, anchor: Anchor, word: Word) {
        self.labels.push(Label {
            at,
            lines,
            anchor,
            word,
        });
    }

    /// Draws an arrow along some points.
    pub(super) fn arrow(&mut self, points: Vec<(f64, f64)>) {
        if let [.., before, end] = points.as_slice() {
            let (dx, dy) = (end.0 - before.0, end.1 - before.1);
            let length = dx.hypot(dy);
            if length > 0.0 {
                let (ux, uy) = (dx / length * HEAD, dy / length * HEAD);
                let side = |sign: f64| (end.0 - ux - sign * uy / 2.0, end.1 - uy + sign * ux / 2.0);
                let tip = vec![side(1.0), *end, side(-1.0)];
                self.stroke(Ink::Motion, tip);
            }
        }
        self.stroke(Ink::Motion, points);
    }

    /// Draws the turning about a point that begins at another, by an arc that rises.
    pub(super) fn turning(&mut self, about: (f64, f64), from: (f64, f64)) {
        let reach = from.0 - about.0;
        let radius = reach.hypot(from.1 - about.1) * BESIDE;
        let start = (from.1 - about.1).atan2(reach.abs());
        let points = (0..=ARC_STEPS)
            .map(|step| {
                let angle = start + TURN * f64::from(step) / f64::from(ARC_STEPS);
                (
                    about.0 + reach.signum() * radius * angle.cos(),
                    about.1 + radius * angle.sin(),
                )
            })
            .collect();
        self.arrow(points);
        let pivot = (0..PIVOT_STEPS)
            .map(|step| {
                let angle = std::f64::consts::TAU * f64::from(step) / f64::from(PIVOT_STEPS);
                (about.0 + PIVOT * angle.cos(), about.1 + PIVOT * angle.sin())
            })
            .collect();
        self.ring(Ink::Motion, pivot);
    }
}

/// The length of an arrow's head, in mm.
const HEAD: f64 = 0.8;
/// How far an arc of turning is drawn, in radians, and how far beside the wall: for the eye.
const TURN: f64 = 0.6;
const BESIDE: f64 = 1.12;
const ARC_STEPS: u32 = 12;
/// The radius of the ring about which something turns, in mm.
const PIVOT: f64 = 0.35;
const PIVOT_STEPS: u32 = 16;
/// The bar of the scale, in mm.
const BAR: f64 = 5.0;
/// The room between the views of a stump, in mm.
const APART: f64 = 6.0;

/// Draws a stump as its die stands, from facial and from mesial: the finish line, the top, the part of each wall that
/// resists, and how the restoration lets go where that is seen from there.
///
/// None where its quick readings are not there yet.
pub fn die(facts: &Facts<'_>, tooth: Tooth) -> Option<Figure> {
    let motion = facts
        .details()
        .iter()
        .filter(|detail| {
            let owner = facts.units().owner(Place::Unit(tooth));
            owner.is_some_and(|owner| owner.id == detail.restoration)
        })
        .find_map(|detail| detail.worst()?.motion());
    // A die stands with its top upwards, so an upper one is upside down: its right side is seen on the left.
    let right = matches!(tooth.quadrant(), 1 | 4);
    let mesial_left = right == (tooth.arch() == Arch::Upper);
    let mut figure = Figure {
        bar: BAR,
        ..Figure::default()
    };
    let mut left = 0.0;
    for (view, near_left) in views(facts, tooth, None)?
        .iter()
        .zip([mesial_left, !mesial_left])
    {
        let turned = |(x, y): (f64, f64)| (left + if near_left { x } else { view.base - x }, y);
        add_view(&mut figure, tooth, view, motion, &turned);
        left += view.base + APART;
    }
    Some(figure)
}

fn add_view(
    figure: &mut Figure,
    tooth: Tooth,
    view: &View,
    motion: Option<ComesOff>,
    turned: &dyn Fn((f64, f64)) -> (f64, f64),
) {
    for line in &view.lines {
        let ink = match line.part {
            Part::Outline | Part::Marked => Ink::Outline,
            Part::Margin => Ink::Margin,
            Part::Resists => Ink::Resists,
            Part::Fails => Ink::Fails,
        };
        figure.stroke(ink, vec![turned(line.from), turned(line.to)]);
    }
    let [near, far] = view.sides;
    let [(near_foot, near_top), (far_foot, far_top)] = view.walls;
    for (side, foot, inwards) in [(near, near_foot, 0.2), (far, far_foot, -0.2)] {
        let (x, _) = turned((foot.0 + inwards * view.base, 0.0));
        let word = Word::Side(tooth, side);
        figure.label((x, 0.0), -1.3, Anchor::Middle, word);
    }
    let Some(motion) = motion else { return };
    let foot_of = |side| match side {
        side if side == near => Some(near_foot),
        side if side == far => Some(far_foot),
        _ => None,
    };
    match motion.about {
        Some((about, side)) if about == tooth && motion.lifts.0 == tooth => {
            if let (Some(pivot), Some(lifts)) = (foot_of(side), foot_of(motion.lifts.1))
                && side != motion.lifts.1
            {
                figure.turning(turned(pivot), turned(lifts));
            }
        }
        None if motion.first == tooth => {
            let (x, y) = turned((
                f64::midpoint(near_top.0, far_top.0),
                near_top.1.max(far_top.1),
            ));
            figure.arrow(vec![(x, y + 0.5), (x, y + 2.5)]);
        }
        _ => {}
    }
}
