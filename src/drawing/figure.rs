//! Figures: strokes and labels in millimetres.

use crate::fact::Side;
use crate::tooth::Tooth;

/// How a stroke is drawn, which is what it means.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Ink {
    /// An outline that was measured.
    Outline,
    /// An outline of usual size, only there to be recognised.
    Usual,
    /// The margin.
    Margin,
    /// The part of a wall that resists.
    Resists,
    /// A wall that does not resist.
    Fails,
    /// The way in which a restoration lets go.
    Motion,
    /// The head of an arrow; its tip is the second of its three points.
    Head,
    /// A connector as drawn.
    Connector,
    /// A connector as small as it may be.
    Least,
    /// A pontic, from above.
    Pontic,
    /// The tooth that it bites against.
    Opposing,
    /// A distance that was read or is to be read, with its ticks.
    Distance,
    /// The wall, unit or connector of the open question; it follows a line that is drawn already.
    Marked,
    /// An axis of a chart.
    Axis,
    /// What a chart shows: a curve, or a point.
    Curve,
    /// The limits that chance keeps to in 95 of 100.
    Inner,
    /// The limits that chance keeps to in 998 of 1,000.
    Outer,
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
    /// A point on its inner side, where it bounds something.
    pub inner: Option<(f64, f64)>,
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
    /// A distance in mm.
    Distance(f64),
    /// A share of all, from 0 to 1.
    Share(f64),
    /// So many months.
    Months(u16),
    /// So many.
    Count(u64),
    /// The letter of a point.
    Letter(char),
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
    /// Whether it names what the open question is about.
    pub marked: bool,
}

/// A figure, for print and screen alike.
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
    /// Returns the lower left and the upper right corner of what is drawn, in mm, or `None` if nothing is.
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
            inner: None,
        });
    }

    pub(super) fn ring(&mut self, ink: Ink, points: Vec<(f64, f64)>) {
        self.strokes.push(Stroke {
            ink,
            points,
            closed: true,
            inner: None,
        });
    }

    /// Draws a stroke, or a ring, that has an inner side.
    pub(super) fn bound(&mut self, ink: Ink, points: Vec<(f64, f64)>, inner: (f64, f64)) {
        self.strokes.push(Stroke {
            ink,
            points,
            closed: false,
            inner: Some(inner),
        });
    }

    /// Draws a distance as a line between two ticks that stand square to it.
    pub(super) fn distance(&mut self, from: (f64, f64), to: (f64, f64)) {
        let (dx, dy) = (to.0 - from.0, to.1 - from.1);
        let length = dx.hypot(dy);
        if length <= 0.0 {
            return;
        }
        let (x, y) = (-dy / length * TICK, dx / length * TICK);
        for end in [from, to] {
            let tick = vec![(end.0 - x, end.1 - y), (end.0 + x, end.1 + y)];
            self.stroke(Ink::Distance, tick);
        }
        self.stroke(Ink::Distance, vec![from, to]);
    }

    pub(super) fn label(&mut self, at: (f64, f64), lines: f64, anchor: Anchor, word: Word) {
        self.labels.push(Label {
            at,
            lines,
            anchor,
            word,
            marked: false,
        });
    }

    /// Marks the labels that say this.
    pub(super) fn mark(&mut self, word: Word) {
        for label in &mut self.labels {
            label.marked |= label.word == word;
        }
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
                self.stroke(Ink::Head, tip);
            }
        }
        self.stroke(Ink::Motion, points);
    }

    /// Draws the turning about a point that begins at another, by an arc that rises and is so long at the most, in mm.
    pub(super) fn turning(&mut self, about: (f64, f64), from: (f64, f64), longest: f64) {
        let reach = from.0 - about.0;
        let radius = reach.hypot(from.1 - about.1) * BESIDE;
        let start = (from.1 - about.1).atan2(reach.abs());
        let turn = TURN.min(longest / radius);
        let points = (0..=ARC_STEPS)
            .map(|step| {
                let angle = start + turn * f64::from(step) / f64::from(ARC_STEPS);
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
/// Half the length of a tick at the end of a distance, in mm.
const TICK: f64 = 0.4;
