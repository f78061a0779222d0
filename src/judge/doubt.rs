//! How far the readings can be trusted with the verdict.
//!
//! *Model*: each reading is taken to be off by a normal error with the standard deviation that its question gives for
//! its instrument, independent of the others. The spread of a derived figure follows from central differences over
//! one standard deviation of each reading, taken through every derivation: exact for what is straight over that
//! distance, a first approximation elsewhere. The deciding readings are found without that approximation, by moving
//! one reading at a time through the whole judgement and halving the interval in which the verdict turns.
//! *Limits of validity*: bias of an instrument, two readings off together by one cause and choices answered wrongly are
//! not covered. Decided values have no reading error.
//! *Sources*: error propagation as in JCGM 100:2008, section 5.1; the standard deviations are the flow's.

use std::collections::BTreeMap;

use super::{Judgement, judge};
use crate::case::{Case, Layer, Reading};
use crate::derive::{Facts, Precision, Results};
use crate::fact::{FactId, Kind, Place, PlaceKind, Spot, Unit, Value};
use crate::flow::{Flow, Level, Rule};
use crate::logic::{Condition, Sight, Test, Truth, World};

/// A reading whose error could turn the verdict.
#[derive(Clone, PartialEq, Debug)]
pub struct Deciding {
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

/// A figure near a limit whose crossing would change a finding.
#[derive(Clone, PartialEq, Debug)]
pub struct NearLimit {
    /// The rule, by its place in the flow's list.
    pub rule: usize,
    /// The rule's place.
    pub at: Place,
    /// The figure.
    pub spot: Spot,
    /// Its value.
    pub value: f64,
    /// One standard deviation.
    pub spread: f64,
    /// The limit.
    pub limit: f64,
    /// The chance that the true value lies on the other side.
    pub chance: f64,
}

/// How sure a judgement is.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Doubt {
    /// Readings that could turn the verdict, the likeliest first.
    pub deciding: Vec<Deciding>,
    /// Figures near a limit, the likeliest to lie beyond first.
    pub near: Vec<NearLimit>,
    /// One standard deviation of each figure that rests on readings.
    pub spread: BTreeMap<Spot, f64>,
}

/// How many standard deviations a reading is moved at the most; beyond lies less than one in a hundred.
const REACH: f64 = 2.33;
/// A chance under this is not worth a second look.
const LEAST_CHANCE: f64 = 0.02;
/// Steps of halving: the turn is found to a thousandth of the reach.
const HALVINGS: usize = 10;

/// Works out how sure the judgement of a case is.
pub fn doubt(flow: &Flow, case: &Case, facts: &Facts<'_>, judgement: &Judgement) -> Doubt {
    let readings = readings(flow, case);
    let spread = spread(flow, case, facts, &readings);
    let near = near(flow, facts, &spread);
    let mut deciding: Vec<Deciding> = readings
        .iter()
        .filter_map(|reading| turn(flow, case, facts.results(), judgement, reading))
        .filter(|deciding| deciding.chance >= LEAST_CHANCE)
        .collect();
    deciding.sort_by(|a, b| {
        b.chance
            .total_cmp(&a.chance)
            .then_with(|| a.spot.cmp(&b.spot))
    });
    Doubt {
        deciding,
        near,
        spread,
    }
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

fn readings(flow: &Flow, case: &Case) -> Vec<Measured> {
    case.present()
        .filter(|(_, layer, _)| *layer == Layer::Measured)
        .filter_map(|(spot, _, reading)| {
            let Value::Number(value, unit) = reading.value else {
                return None;
            };
            let Kind::Number { least, most, .. } = flow.spec(&spot.fact)?.kind else {
                return None;
            };
            let error = error_of(flow, &spot.fact, reading)?;
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

/// Returns one standard deviation of a reading; none where its question gives none.
pub fn error_of(flow: &Flow, fact: &FactId, reading: &Reading) -> Option<f64> {
    let question = flow.question(fact)?;
    let own = question
        .with
        .iter()
        .find(|(id, _)| Some(id) == reading.with.as_ref());
    own.or(question.with.first())
        .map(|(_, error)| *error)
        .filter(|error| *error > 0.0)
}

/// Works a moved case out, from the results of the one that was read.
fn quick<'a>(flow: &'a Flow, case: &'a Case, before: &'a Results) -> Facts<'a> {
    Facts::after(flow, case, Precision::Quick, before)
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

fn spread(
    flow: &Flow,
    case: &Case,
    facts: &Facts<'_>,
    readings: &[Measured],
) -> BTreeMap<Spot, f64> {
    let mut variance: BTreeMap<Spot, f64> = BTreeMap::new();
    for reading in readings {
        variance.insert(reading.spot.clone(), reading.error * reading.error);
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
        for (spot, _) in facts.all_derived() {
            let number =
                |facts: &Facts<'_>| facts.value(&spot.fact, spot.at).and_then(Value::number);
            if let (Some(a), Some(b)) = (number(&below), number(&above)) {
                // Where a bound cuts the step, the slope is carried on to one standard deviation.
                let slope = (b - a) / (high - low);
                *variance.entry(spot.clone()).or_default() += (slope * reading.error).powi(2);
            }
        }
    }
    variance
        .into_iter()
        .map(|(spot, variance)| (spot, variance.sqrt()))
        .filter(|(_, spread)| *spread > 0.0)
        .collect()
}

/// Finds where the verdict turns when one reading moves, and the likelier of both directions.
fn turn(
    flow: &Flow,
    case: &Case,
    before: &Results,
    judgement: &Judgement,
    reading: &Measured,
) -> Option<Deciding> {
    let level = |to: f64| {
        let case = moved(case, reading, to);
        let facts = quick(flow, &case, before);
        judge(flow, &facts).verdict.level
    };
    let now = judgement.verdict.level;
    let mut best: Option<Deciding> = None;
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
            best = Some(Deciding {
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

fn near(flow: &Flow, facts: &Facts<'_>, spread: &BTreeMap<Spot, f64>) -> Vec<NearLimit> {
    let mut list: Vec<NearLimit> = Vec::new();
    for (index, rule) in flow.rules.iter().enumerate() {
        for at in facts.units().within(Place::Case, rule.at) {
            let now = level(rule, facts, at);
            let mut limits = Vec::new();
            for condition in rule
                .levels
                .iter()
                .map(|(_, condition)| condition)
                .chain(&rule.raise)
            {
                limits_of(condition, facts, at, &mut limits);
            }
            for (spot, limit) in limits {
                let value = facts.value(&spot.fact, spot.at).and_then(Value::number);
                let (Some(value), Some(spread)) = (value, spread.get(&spot)) else {
                    continue;
                };
                let chance = normal_tail((value - limit).abs() / spread);
                let nudge = limit.abs().max(1.0) * 1e-6;
                let beyond = if value < limit {
                    limit + nudge
                } else {
                    limit - nudge
                };
                let what_if = WhatIf {
                    facts,
                    spot: &spot,
                    value: Value::Number(beyond, Unit::Ratio),
                };
                if chance >= LEAST_CHANCE
                    && level(rule, &what_if, at) != now
                    && !list.iter().any(|n| {
                        n.rule == index && n.at == at && n.spot == spot && n.limit == limit
                    })
                {
                    list.push(NearLimit {
                        rule: index,
                        at,
                        spot,
                        value,
                        spread: *spread,
                        limit,
                        chance,
                    });
                }
            }
        }
    }
    list.sort_by(|a, b| {
        b.chance
            .total_cmp(&a.chance)
            .then((a.rule, a.at).cmp(&(b.rule, b.at)))
    });
    list
}

/// The level of a rule at a place, raises included.
fn level(rule: &Rule, world: &dyn World, at: Place) -> Level {
    let holds = |condition: &Condition| condition.eval(world, at).truth == Truth::True;
    match rule.levels.iter().find(|(_, condition)| holds(condition)) {
        Some((level, _)) => level.raised(rule.raise.iter().filter(|raise| holds(raise)).count()),
        None => Level::Fine,
    }
}

fn limits_of(condition: &Condition, facts: &Facts<'_>, at: Place, limits: &mut Vec<(Spot, f64)>) {
    match condition {
        Condition::All(parts) | Condition::Any(parts) | Condition::AtLeast(_, parts) => {
            parts
                .iter()
                .for_each(|part| limits_of(part, facts, at, limits));
        }
        Condition::Not(part) => limits_of(part, facts, at, limits),
        Condition::AnyAt(kind, part)
        | Condition::EveryAt(kind, part)
        | Condition::AtLeastAt(_, kind, part) => {
            for place in facts.within(at, *kind) {
                limits_of(part, facts, place, limits);
            }
        }
        Condition::Test(fact, test) => {
            if let (Some(limit), Some(at)) = (Test::limit(test), facts.resolve(fact, at)) {
                limits.push((
                    Spot {
                        fact: fact.clone(),
                        at,
                    },
                    limit,
                ));
            }
        }
    }
}

/// The facts with one figure replaced.
struct WhatIf<'f, 'a> {
    facts: &'f Facts<'a>,
    spot: &'f Spot,
    value: Value,
}

impl World for WhatIf<'_, '_> {
    fn sight(&self, fact: &FactId, at: Place) -> Sight<'_> {
        if *fact == self.spot.fact && at == self.spot.at {
            return Sight::Known(&self.value);
        }
        self.facts.sight(fact, at)
    }

    fn resolve(&self, fact: &FactId, at: Place) -> Option<Place> {
        self.facts.resolve(fact, at)
    }

    fn within(&self, at: Place, kind: PlaceKind) -> Vec<Place> {
        self.facts.within(at, kind)
    }
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
