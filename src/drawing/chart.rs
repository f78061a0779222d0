//! Charts of the record: how long restorations stay, what they come back for, and dentists in their funnel.
//!
//! Their millimetres are no lengths of the work: they make the chart as wide and as high as it is to be read. What the
//! axes are is said beside it.

use super::figure::{Anchor, Figure, Ink, Word};
use crate::case::outcome::Kind;
use crate::learn::{Funnel, Limits};
use crate::statistics::survival::{Curve, Incidence};
use crate::statistics::{Confidence, Interval};

/// Width and height of a chart, in mm.
const WIDE: f64 = 96.0;
const HIGH: f64 = 40.0;
/// Half the width of a point.
const POINT: f64 = 0.9;
/// The length of a tick.
const TICK: f64 = 1.2;
/// A month in days.
const MONTH: f64 = 30.4375;
/// Fewer are not followed any further.
pub const FEW_AT_RISK: u64 = 10;

/// A time in days, the share just after it, and its band.
type Turn = (f64, f64, Option<Interval>);

/// An axis: from where to where, over how many millimetres.
#[derive(Clone, Copy)]
struct Axis {
    from: f64,
    to: f64,
    long: f64,
}

impl Axis {
    fn at(self, value: f64) -> f64 {
        let share = (value - self.from) / (self.to - self.from);
        share.clamp(0.0, 1.0) * self.long
    }
}

/// Returns the curve of those that stay, with its band at 95 %, as far as ten are followed; `None` if that is not for a month.
pub fn staying(curve: &Curve) -> Option<Figure> {
    let steps = curve.steps();
    let end = steps.iter().filter(|step| step.at_risk >= FEW_AT_RISK);
    let end = end.map(|step| step.time).fold(0.0, f64::max);
    let months = (end / MONTH).floor();
    if months < 1.0 {
        return None;
    }
    let days = months * MONTH;
    // Where the curve turns, with the band just after.
    let mut turns: Vec<Turn> = vec![(0.0, 1.0, None)];
    for step in steps
        .iter()
        .filter(|step| step.events > 0 && step.time <= days)
    {
        if let Ok(point) = curve.at(step.time, Confidence::P95) {
            turns.push((step.time, point.value, point.interval));
        }
    }
    let lowest = turns
        .iter()
        .map(|(_, share, band)| band.map_or(*share, |band| band.low));
    let lowest = lowest.fold(1.0, f64::min);
    // From the next full tenth under the band on.
    let from = ((lowest * 10.0).floor() / 10.0).min(0.9);
    let (x, y) = (
        Axis {
            from: 0.0,
            to: days,
            long: WIDE,
        },
        Axis {
            from,
            to: 1.0,
            long: HIGH,
        },
    );
    let mut figure = frame((from, 1.0));
    let every = if months > 24.0 { 12 } else { 6 };
    for month in (0..=months as u16).step_by(every) {
        tick(
            &mut figure,
            x.at(f64::from(month) * MONTH),
            Word::Months(month),
        );
    }
    let stairs = |of: &dyn Fn(&Turn) -> f64| {
        let mut points: Vec<(f64, f64)> = Vec::new();
        for turn in &turns {
            let (at, share) = (x.at(turn.0), y.at(of(turn)));
            if let Some((_, before)) = points.last().copied() {
                points.push((at, before));
            }
            points.push((at, share));
        }
        let last = points.last().map_or(0.0, |(_, share)| *share);
        points.push((WIDE, last));
        points
    };
    figure.stroke(
        Ink::Inner,
        stairs(&|turn| turn.2.map_or(turn.1, |band| band.low)),
    );
    figure.stroke(
        Ink::Inner,
        stairs(&|turn| turn.2.map_or(turn.1, |band| band.high)),
    );
    figure.stroke(Ink::Curve, stairs(&|turn| turn.1));
    Some(figure)
}

/// Returns how many came back first for each kind, each with its letter, as far as ten are followed; `None` if that is not
/// for a month, or nothing came back.
pub fn coming(by_kind: &Incidence<Kind>) -> Option<Figure> {
    let followed = by_kind.followed();
    let enough = followed.filter(|(_, at_risk)| *at_risk >= FEW_AT_RISK);
    let end = enough.map(|(time, _)| time).fold(0.0, f64::max);
    let months = (end / MONTH).floor();
    let kinds = by_kind.kinds();
    if months < 1.0 || kinds.is_empty() {
        return None;
    }
    let days = months * MONTH;
    let share = |kind: Kind, at: f64| {
        let point = by_kind.at(kind, at, Confidence::P95);
        point.map_or(0.0, |own| own.value)
    };
    let top = kinds.iter().map(|kind| share(*kind, days));
    let top = top.fold(0.0, f64::max) * 1.25;
    // To the next twentieth above.
    let top = ((top * 20.0).ceil() / 20.0).clamp(0.05, 1.0);
    let axis = |to: f64, long: f64| Axis {
        from: 0.0,
        to,
        long,
    };
    let (x, y) = (axis(days, WIDE), axis(top, HIGH));
    let mut figure = frame((0.0, top));
    let every = if months > 24.0 { 12 } else { 6 };
    for month in (0..=months as u16).step_by(every) {
        let at = x.at(f64::from(month) * MONTH);
        tick(&mut figure, at, Word::Months(month));
    }
    for (nth, kind) in kinds.into_iter().enumerate() {
        let mut points = vec![(0.0, 0.0)];
        let mut so_far = 0.0;
        for time in by_kind.times(kind).filter(|time| *time <= days) {
            points.push((x.at(time), y.at(so_far)));
            so_far = share(kind, time);
            points.push((x.at(time), y.at(so_far)));
        }
        points.push((WIDE, y.at(so_far)));
        figure.stroke(Ink::Curve, points);
        // Letters stand beside each other: curves may end at one height.
        let at = WIDE - 4.0 * nth as f64;
        let height = y.at(share(kind, at / WIDE * days));
        let word = Word::Letter(letter(nth));
        figure.label((at, height + POINT), 0.0, Anchor::End, word);
    }
    Some(figure)
}

/// Returns the dentists in their funnel, each with its letter; `None` if there is none.
pub fn funnel(funnel: &Funnel) -> Option<Figure> {
    let most = funnel.limits.iter().map(|own| own.of).max()?;
    let shares = funnel.points.iter().map(|own| own.share);
    // The funnel is wide where few are followed: what lies above all points need not be seen.
    let top = shares.fold(funnel.target * 2.0, f64::max) * 1.25;
    let top = ((top * 20.0).ceil() / 20.0).min(1.0);
    let (x, y) = (
        Axis {
            from: 0.0,
            to: most as f64,
            long: WIDE,
        },
        Axis {
            from: 0.0,
            to: top,
            long: HIGH,
        },
    );
    let mut figure = frame((0.0, top));
    tick(&mut figure, 0.0, Word::Count(0));
    tick(&mut figure, x.at(most as f64 / 2.0), Word::Count(most / 2));
    tick(&mut figure, WIDE, Word::Count(most));
    let level = y.at(funnel.target);
    figure.stroke(Ink::Usual, vec![(0.0, level), (WIDE, level)]);
    let edge = |of: &dyn Fn(&Limits) -> f64| -> Vec<(f64, f64)> {
        let all = funnel.limits.iter().filter(|own| of(own) <= top);
        all.map(|own| (x.at(own.of as f64), y.at(of(own))))
            .collect()
    };
    for (ink, points) in [
        (Ink::Inner, edge(&|own| own.inner.low)),
        (Ink::Inner, edge(&|own| own.inner.high)),
        (Ink::Outer, edge(&|own| own.outer.low)),
        (Ink::Outer, edge(&|own| own.outer.high)),
    ] {
        if points.len() > 1 {
            figure.stroke(ink, points);
        }
    }
    for (nth, point) in funnel.points.iter().enumerate() {
        let at = (x.at(point.of as f64), y.at(point.share));
        figure.ring(
            Ink::Curve,
            vec![
                (at.0 - POINT, at.1),
                (at.0, at.1 + POINT),
                (at.0 + POINT, at.1),
                (at.0, at.1 - POINT),
            ],
        );
        let word = Word::Letter(letter(nth));
        figure.label((at.0 + 2.0 * POINT, at.1 + POINT), 0.0, Anchor::Start, word);
        if point.stands_out {
            figure.mark(word);
        }
    }
    Some(figure)
}

/// Returns the letter of the so-manieth point; a sign for all beyond the letters.
pub fn letter(nth: usize) -> char {
    ('a'..='z').chain('A'..='Z').nth(nth).unwrap_or('+')
}

/// The two axes, with the shares at their ends.
fn frame((from, to): (f64, f64)) -> Figure {
    let mut figure = Figure::default();
    figure.stroke(Ink::Axis, vec![(0.0, HIGH), (0.0, 0.0)]);
    figure.stroke(Ink::Axis, vec![(0.0, 0.0), (WIDE, 0.0)]);
    figure.label((0.0, HIGH), 0.4, Anchor::Start, Word::Share(to));
    figure.label((TICK, 0.0), 0.4, Anchor::Start, Word::Share(from));
    figure
}

fn tick(figure: &mut Figure, x: f64, word: Word) {
    figure.stroke(Ink::Axis, vec![(x, 0.0), (x, TICK)]);
    let anchor = match x {
        x if x <= 0.0 => Anchor::Start,
        x if x >= WIDE => Anchor::End,
        _ => Anchor::Middle,
    };
    figure.label((x, 0.0), -1.2, anchor, word);
}
