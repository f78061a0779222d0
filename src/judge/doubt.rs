//! How sure the verdict is, given the error of the readings.
//!
//! *Model*: each reading is taken to be off by a normal error with the standard deviation that its question gives for
//! its instrument, independent of the others. The spread of a derived figure follows from central differences over
//! one standard deviation of each reading, taken through every derivation: exact for what is straight over that
//! distance, a first approximation elsewhere. Yes and no, counts and figures that bend within one standard deviation are
//! drawn instead: all readings at once, many times, by a generator with a fixed seed. The readings to measure again are
//! found without that approximation, by moving one reading at a time through the whole judgement and halving the interval
//! in which the verdict turns.
//! *Limits of validity*: bias of an instrument, two readings off together by one cause and choices answered wrongly are
//! not covered. Decided values have no reading error.
//! *Sources*: error propagation as in JCGM 100:2008, section 5.1; the standard deviations are the flow's.

mod draws;
pub(super) mod near;

use std::collections::{BTreeMap, BTreeSet};

use super::{Judgement, judge};
use crate::case::{Case, Layer, Reading};
use crate::derive::{Facts, Precision, Results};
use crate::fact::{Kind, Place, Spot, Unit, Value};
use crate::flow::{Flow, Level, RuleId};
use crate::logic::Truth;

/// A reading whose error could turn the verdict.
#[derive(Clone, PartialEq, Debug)]
pub struct MeasureAgain {
    /// The reading.
    pub spot: Spot,
    /// What was read.
    pub value: f64,
    /// Its unit.
    pub unit: Unit,
    /// One standard deviation.
    pub error: f64,
    /// Where the verdict turns.
    pub flips_at: f64,
    /// What it turns to.
    pub to: Level,
    /// The chance that the true value lies on the other side.
    pub chance: f64,
}

/// How a spread and a chance were found.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Method {
    /// By central differences and the normal distribution.
    Differences,
    /// By random draws of all readings at once, so many.
    Draws(usize),
}

/// A figure, or a yes or no, whose turning would change a finding.
#[derive(Clone, PartialEq, Debug)]
pub struct NearLimit {
    /// The rule.
    pub rule: RuleId,
    /// The rule's place.
    pub at: Place,
    /// The figure.
    pub spot: Spot,
    /// Its value.
    pub value: Value,
    /// One standard deviation, or `None` for a yes or no.
    pub spread: Option<f64>,
    /// The limit, or `None` for a yes or no.
    pub limit: Option<f64>,
    /// Whether the other side of the limit lies below the figure.
    pub below: bool,
    /// The chance that the truth lies on the other side.
    pub chance: f64,
    /// How the chance was found.
    pub method: Method,
}

/// How sure a judgement is.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Doubt {
    /// Readings that could turn the verdict, the likeliest first.
    pub measure_again: Vec<MeasureAgain>,
    /// The chance of another verdict with all readings off at once, or `None` if nothing was measured.
    pub turns: Option<f64>,
    /// Figures near a limit, the likeliest to lie beyond first.
    pub near: Vec<NearLimit>,
    /// One standard deviation of each figure that rests on readings.
    pub spread: BTreeMap<Spot, f64>,
    /// The figures whose spread was drawn, as they bend within one standard deviation of a reading.
    pub drawn: BTreeSet<Spot>,
}

/// The most standard deviations that a reading is moved: beyond them lies less than one in a hundred.
const REACH: f64 = 2.33;
/// Chances below this are ignored.
const LEAST_CHANCE: f64 = 0.02;
/// Steps of halving: the turn is found to a thousandth of the reach.
const HALVINGS: usize = 10;

/// Works out how sure the judgement of a case is.
pub fn doubt(flow: &Flow, case: &Case, facts: &Facts<'_>, judgement: &Judgement) -> Doubt {
    let mut readings = readings(facts);
    readings.retain(|reading| facts.covers(reading.spot.at));
    let (mut spread, bent) = spread(flow, case, facts, &readings);
    let drawn = draws::Drawn::of(facts, &readings, near::tested(facts), bent, &spread);
    drawn.spreads(&mut spread);
    let near = near::near(facts, &spread, &drawn);
    let measure_again = again(flow, case, facts, judgement, &readings);
    // The whole is no rarer than one of its parts, whatever a few draws have shown.
    let alone = measure_again.iter().map(|own| own.chance).reduce(f64::max);
    let turns = turns(facts, &readings, judgement);
    Doubt {
        turns: turns.map(|turns| turns.max(alone.unwrap_or(0.0))),
        measure_again,
        near,
        spread,
        drawn: drawn.figures(),
    }
}

/// Returns the readings that could turn the verdict, the likeliest first, as in [`Doubt`].
pub fn measure_again(
    flow: &Flow,
    case: &Case,
    facts: &Facts<'_>,
    judgement: &Judgement,
) -> Vec<MeasureAgain> {
    let mut readings = readings(facts);
    readings.retain(|reading| facts.covers(reading.spot.at));
    again(flow, case, facts, judgement, &readings)
}

fn again(
    flow: &Flow,
    case: &Case,
    facts: &Facts<'_>,
    judgement: &Judgement,
    readings: &[Measured],
) -> Vec<MeasureAgain> {
    let mut again: Vec<MeasureAgain> = readings
        .iter()
        .filter_map(|reading| turn(flow, case, facts.results(), judgement, reading))
        .filter(|own| own.chance >= LEAST_CHANCE)
        .collect();
    again.sort_by(|a, b| {
        b.chance
            .total_cmp(&a.chance)
            .then_with(|| a.spot.cmp(&b.spot))
    });
    again
}

/// Returns a case for each reading and direction in which that reading alone is off by so many standard deviations, within
/// the bounds of its fact.
pub fn off_by(facts: &Facts<'_>, deviations: f64) -> impl Iterator<Item = Case> {
    let case = facts.case();
    readings(facts).into_iter().flat_map(move |reading| {
        [-1.0, 1.0].map(|sign| {
            let to = reading.value + sign * deviations * reading.error;
            moved(case, &reading, to)
        })
    })
}

/// A measured number with its error and the bounds of its fact.
struct Measured {
    spot: Spot,
    value: f64,
    unit: Unit,
    error: f64,
    least: f64,
    most: f64,
}

fn readings(facts: &Facts<'_>) -> Vec<Measured> {
    let flow = facts.flow();
    facts
        .case()
        .present()
        .filter(|(_, layer, _)| *layer == Layer::Measured)
        .filter_map(|(spot, _, reading)| {
            let Value::Number(value, unit) = reading.value else {
                return None;
            };
            let Kind::Number { least, most, .. } = flow.spec(&spot.fact)?.kind else {
                return None;
            };
            let error = error_of(facts, spot, reading)?;
            Some(Measured {
                spot: spot.clone(),
                value,
                unit,
                error,
                least,
                most,
            })
        })
        .collect()
}

/// Returns one standard deviation of a reading, from its instrument, whose hand it is and what else it depends on, or `None` if
/// its question gives none.
pub fn error_of(facts: &Facts<'_>, spot: &Spot, reading: &Reading) -> Option<f64> {
    let flow = facts.flow();
    let question = flow.question(&spot.fact)?;
    let own = flow.error_of_hand(reading.who.as_deref(), &spot.fact, reading.with.as_deref())?;
    let more = question
        .also_off
        .iter()
        .filter(|(when, _)| when.eval(facts, spot.at).truth == Truth::True)
        .map(|(_, error)| error * error);
    Some(more.fold(own * own, |sum, more| sum + more).sqrt())
}

/// Draws for the chance that the result turns: good to 0.05.
const DRAWN_WHOLE: u64 = 100;

/// The chance that the result is another with all readings off at once, as in as many draws.
fn turns(facts: &Facts<'_>, readings: &[Measured], judgement: &Judgement) -> Option<f64> {
    if readings.is_empty() {
        return None;
    }
    let turned = (0..DRAWN_WHOLE)
        .filter(|draw| {
            let case = draws::drawn(facts.case(), readings, *draw);
            let moved = quick(facts.flow(), &case, facts.results());
            judge(facts.flow(), &moved).verdict.level != judgement.verdict.level
        })
        .count();
    Some(turned as f64 / DRAWN_WHOLE as f64)
}

/// Works out a changed case, from the results of the original.
fn quick<'a>(flow: &'a Flow, case: &'a Case, before: &'a Results) -> Facts<'a> {
    Facts::after(flow, case, Precision::MeasureAgain, before)
}

fn moved(case: &Case, reading: &Measured, to: f64) -> Case {
    let mut moved = case.clone();
    let old = case.reading(&reading.spot, Layer::Measured).cloned();
    let value = Value::Number(to.clamp(reading.least, reading.most), reading.unit);
    let new = Reading {
        value,
        ..old.unwrap_or_else(|| Reading::plain(Value::NotSeen))
    };
    moved.put(reading.spot.clone(), Layer::Measured, new);
    moved
}

/// A figure bends if its second differences reach this share of its spread. This laboratory's choice.
const BENDS: f64 = 0.25;

/// One standard deviation of each figure that rests on readings, and the figures that bend within it.
fn spread(
    flow: &Flow,
    case: &Case,
    facts: &Facts<'_>,
    readings: &[Measured],
) -> (BTreeMap<Spot, f64>, BTreeSet<Spot>) {
    // Sums of squares: of the slopes, and of what the half-way value lies off the line.
    let mut variance: BTreeMap<Spot, (f64, f64)> = BTreeMap::new();
    for reading in readings {
        variance.insert(reading.spot.clone(), (reading.error * reading.error, 0.0));
        let (low, high) = (
            (reading.value - reading.error).max(reading.least),
            (reading.value + reading.error).min(reading.most),
        );
        let (low_case, high_case) = (moved(case, reading, low), moved(case, reading, high));
        let before = facts.results();
        let (below, above) = (
            quick(flow, &low_case, before),
            quick(flow, &high_case, before),
        );
        // Where a bound cuts the step, the slope is carried on to one standard deviation.
        let whole = high - reading.value == reading.value - low;
        for (spot, _) in facts.all_derived() {
            let number =
                |facts: &Facts<'_>| facts.value(&spot.fact, spot.at).and_then(Value::number);
            if let (Some(a), Some(b)) = (number(&below), number(&above)) {
                let slope = (b - a) / (high - low);
                let off = number(facts)
                    .filter(|_| whole)
                    .map_or(0.0, |middle| (a + b) / 2.0 - middle);
                let (line, bend) = variance.entry(spot.clone()).or_default();
                *line += (slope * reading.error).powi(2);
                *bend += off * off;
            }
        }
    }
    let bent = variance
        .iter()
        .filter(|(_, (line, bend))| *bend > BENDS * BENDS * line)
        .map(|(spot, _)| spot.clone())
        .collect();
    let spread = variance
        .into_iter()
        .map(|(spot, (line, _))| (spot, line.sqrt()))
        .filter(|(_, spread)| *spread > 0.0)
        .collect();
    (spread, bent)
}

/// Finds where the verdict turns when one reading moves, and the likelier of both directions.
fn turn(
    flow: &Flow,
    case: &Case,
    before: &Results,
    judgement: &Judgement,
    reading: &Measured,
) -> Option<MeasureAgain> {
    let level = |to: f64| {
        let case = moved(case, reading, to);
        let facts = quick(flow, &case, before);
        judge(flow, &facts).verdict.level
    };
    let now = judgement.verdict.level;
    let mut best: Option<MeasureAgain> = None;
    for sign in [-1.0, 1.0] {
        let far = (reading.value + sign * REACH * reading.error).clamp(reading.least, reading.most);
        if level(far) == now {
            continue;
        }
        let (mut same, mut other) = (reading.value, far);
        for _ in 0..HALVINGS {
            let middle = (same + other) / 2.0;
            if level(middle) == now {
                same = middle
            } else {
                other = middle
            }
        }
        let chance = normal_tail((other - reading.value).abs() / reading.error);
        if best.as_ref().is_none_or(|best| chance > best.chance) {
            best = Some(MeasureAgain {
                spot: reading.spot.clone(),
                value: reading.value,
                unit: reading.unit,
                error: reading.error,
                flips_at: other,
                to: level(other),
                chance,
            });
        }
    }
    best
}

/// The chance of a standard normal error of more than `z`, one-sided; good to 1.5e-7 (Abramowitz & Stegun 7.1.26).
pub fn normal_tail(z: f64) -> f64 {
    let x = z.abs() / std::f64::consts::SQRT_2;
    let t = 1.0 / (1.0 + 0.327_591_1 * x);
    let series = t
        * (0.254_829_592
            + t * (-0.284_496_736
                + t * (1.421_413_741 + t * (-1.453_152_027 + t * 1.061_405_429))));
    let tail = series * (-x * x).exp() / 2.0;
    if z < 0.0 { 1.0 - tail } else { tail }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Handbook table of the normal distribution, from memory.
    #[test]
    fn the_normal_tail_matches_the_table() {
        for (z, tail) in [
            (0.0, 0.5),
            (1.0, 0.158_655),
            (1.645, 0.049_985),
            (2.0, 0.022_750),
            (-1.0, 0.841_345),
        ] {
            assert!((normal_tail(z) - tail).abs() < 1e-5, "{z}");
        }
    }
}
