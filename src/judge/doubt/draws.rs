//! Figures drawn many times, with all readings off at once.
//!
//! Whether a wall is effective is yes or no, and the larger of two widths bends where they are equal: a slope says
//! nothing there. Such figures are drawn. A figure that takes a search is drawn only where it bends near a limit.

use std::collections::{BTreeMap, BTreeSet};

use rayon::prelude::*;

use super::{Measured, quick};
use crate::case::{Case, Layer, Reading};
use crate::derive::{Derivation, Facts};
use crate::fact::{Kind, Spot, Unit, Value};
use crate::logic::Test;

/// Draws of figures that take no search: a chance is good to 0.016 at one standard deviation, or better.
const DRAWS: u64 = 1000;
/// Draws of figures that take one: good to 0.05.
const SEARCHED: u64 = 100;
/// A figure further than this from its limit, in standard deviations, is not worth a search.
const NEAR: f64 = 3.0;

/// Values of figures in many draws.
#[derive(Default)]
pub(super) struct Drawn {
    values: BTreeMap<Spot, Vec<Value>>,
}

impl Drawn {
    /// Draws yes and no and counts that a rule tests, and bent figures; those that take a search only near a limit.
    pub(super) fn of(
        facts: &Facts<'_>,
        readings: &[Measured],
        tested: Vec<(Spot, &Test)>,
        bent: BTreeSet<Spot>,
        spread: &BTreeMap<Spot, f64>,
    ) -> Drawn {
        let (mut plain, mut slow) = (BTreeSet::new(), BTreeSet::new());
        for (spot, test) in tested {
            if facts.derived(&spot).is_none() || !rests_on(facts, &spot, readings) {
                continue;
            }
            if !searched(&spot) && jumps(facts, &spot) {
                plain.insert(spot);
            } else if searched(&spot) && bent.contains(&spot) && is_near(facts, &spot, test, spread)
            {
                slow.insert(spot);
            }
        }
        plain.extend(bent.into_iter().filter(|spot| !searched(spot)));
        let mut drawn = Drawn::default();
        drawn.draw(facts, readings, &plain, false);
        drawn.draw(facts, readings, &slow, true);
        drawn
    }

    fn draw(
        &mut self,
        facts: &Facts<'_>,
        readings: &[Measured],
        spots: &BTreeSet<Spot>,
        search: bool,
    ) {
        if spots.is_empty() {
            return;
        }
        let one = |draw: u64| -> Vec<(&Spot, Value)> {
            let case = drawn(facts.case(), readings, draw);
            let drawn = if search {
                quick(facts.flow(), &case, facts.results())
            } else {
                Facts::without_search(facts.flow(), &case)
            };
            let value = |spot: &Spot| drawn.value(&spot.fact, spot.at).cloned();
            let values = spots.iter().filter_map(|spot| Some((spot, value(spot)?)));
            values.collect()
        };
        let draws = 0..if search { SEARCHED } else { DRAWS };
        let found: Vec<_> = draws.into_par_iter().map(one).collect();
        for (spot, value) in found.into_iter().flatten() {
            self.values.entry(spot.clone()).or_default().push(value);
        }
    }

    /// Returns the values of a figure, or `None` if it was not drawn.
    pub(super) fn values(&self, spot: &Spot) -> Option<&[Value]> {
        self.values.get(spot).map(Vec::as_slice)
    }

    /// Returns the figures that were drawn.
    pub(super) fn figures(&self) -> BTreeSet<Spot> {
        self.values.keys().cloned().collect()
    }

    /// Replaces the standard deviations by differences with those of drawn numbers.
    pub(super) fn spreads(&self, spread: &mut BTreeMap<Spot, f64>) {
        for (spot, values) in &self.values {
            let numbers: Vec<f64> = values.iter().filter_map(Value::number).collect();
            if numbers.len() < 2 {
                continue;
            }
            let count = numbers.len() as f64;
            let mean = numbers.iter().sum::<f64>() / count;
            let squares: f64 = numbers.iter().map(|number| (number - mean).powi(2)).sum();
            let deviation = (squares / (count - 1.0)).sqrt();
            if deviation > 0.0 {
                spread.insert(spot.clone(), deviation);
            }
        }
    }
}

/// Returns the case with each reading off by a normal error of its own.
pub(super) fn drawn(case: &Case, readings: &[Measured], draw: u64) -> Case {
    let mut drawn = case.clone();
    for (index, reading) in (0..).zip(readings) {
        let to = reading.value + reading.error * normal(draw, index);
        let value = Value::Number(to.clamp(reading.least, reading.most), reading.unit);
        let new = match case.reading(&reading.spot, Layer::Measured) {
            Some(old) => Reading {
                value,
                ..old.clone()
            },
            None => Reading::plain(value),
        };
        drawn.put(reading.spot.clone(), Layer::Measured, new);
    }
    drawn
}

fn searched(spot: &Spot) -> bool {
    Derivation::of(&spot.fact).is_some_and(Derivation::searches)
}

/// Returns whether a figure changes in steps.
fn jumps(facts: &Facts<'_>, spot: &Spot) -> bool {
    match facts.flow().spec(&spot.fact).map(|spec| &spec.kind) {
        Some(Kind::YesNo) => true,
        Some(Kind::Number { unit, .. }) => *unit == Unit::Count,
        _ => false,
    }
}

fn is_near(facts: &Facts<'_>, spot: &Spot, test: &Test, spread: &BTreeMap<Spot, f64>) -> bool {
    let number = facts.value(&spot.fact, spot.at).and_then(Value::number);
    match (number, test.limit(), spread.get(spot)) {
        (Some(number), Some(limit), Some(spread)) => (number - limit).abs() < NEAR * spread,
        _ => false,
    }
}

fn rests_on(facts: &Facts<'_>, spot: &Spot, readings: &[Measured]) -> bool {
    let rests = facts.readings(spot);
    readings.iter().any(|reading| rests.contains(&reading.spot))
}

/// A standard normal number of a draw and a reading, always the same (Box and Muller). Every other draw is the mirror
/// image of the one before it, so that means come out right.
fn normal(draw: u64, reading: u64) -> f64 {
    let at = (draw / 2).wrapping_mul(1 << 20).wrapping_add(2 * reading);
    let (one, other) = (uniform(at), uniform(at + 1));
    let number = (-2.0 * (1.0 - one).ln()).sqrt() * (std::f64::consts::TAU * other).cos();
    if draw.is_multiple_of(2) {
        number
    } else {
        -number
    }
}

/// A number from 0 to below 1 by its count: SplitMix64, a generator in the public domain.
fn uniform(count: u64) -> f64 {
    let mut z = count.wrapping_add(1).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Moments of the standard normal distribution: 0, 1, 0, 3, and 15.87 % beyond one (any handbook).
    #[test]
    fn draws_are_normal() {
        let numbers: Vec<f64> = (0..DRAWS)
            .flat_map(|draw| (0..40).map(move |reading| normal(draw, reading)))
            .collect();
        let mean = |power: i32| {
            numbers.iter().map(|number| number.powi(power)).sum::<f64>() / numbers.len() as f64
        };
        assert!(mean(1).abs() < 1e-12 && mean(3).abs() < 1e-9);
        assert!((mean(2) - 1.0).abs() < 0.03 && (mean(4) - 3.0).abs() < 0.2);
        let beyond = numbers.iter().filter(|number| **number > 1.0).count() as f64;
        assert!((beyond / numbers.len() as f64 - 0.1587).abs() < 0.006);
        // Neighbouring readings have nothing to do with each other.
        let product: f64 = (0..DRAWS)
            .map(|draw| normal(draw, 3) * normal(draw, 4))
            .sum();
        assert!((product / DRAWS as f64).abs() < 0.1);
    }
}
