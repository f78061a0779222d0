//! Figures near a limit, and doubtful yes-or-no facts, if they would change a finding.

use std::collections::BTreeMap;

use super::draws::Drawn;
use super::{LEAST_CHANCE, Method, NearLimit, normal_tail};
use crate::derive::Facts;
use crate::fact::{Spot, Unit, Value};
use crate::logic::{Instead, Test};

/// A figure that a rule tests, at its place.
pub(super) fn tested<'f>(facts: &Facts<'f>) -> Vec<(Spot, &'f Test)> {
    let mut list = Vec::new();
    for rule in &facts.flow().rules {
        for at in facts.places(rule.at) {
            list.extend(rule.tests(facts, at));
        }
    }
    list
}

pub(super) fn near(
    facts: &Facts<'_>,
    spread: &BTreeMap<Spot, f64>,
    drawn: &Drawn,
) -> Vec<NearLimit> {
    let mut list: Vec<NearLimit> = Vec::new();
    for (id, rule) in facts.flow().rules() {
        for at in facts.places(rule.at) {
            let now = rule.evaluate(facts, at).level();
            for (spot, test) in rule.tests(facts, at) {
                let Some(found) = Turns::of(facts, &spot, test, spread, drawn) else {
                    continue;
                };
                let below = found.other.number() < found.value.number();
                let what_if = Instead {
                    world: facts,
                    spot: spot.clone(),
                    value: found.other,
                };
                let known = |near: &NearLimit| {
                    (near.rule, near.at, &near.spot, near.limit) == (id, at, &spot, test.limit())
                };
                if found.chance >= LEAST_CHANCE
                    && rule.evaluate(&what_if, at).level() != now
                    && !list.iter().any(known)
                {
                    list.push(NearLimit {
                        rule: id,
                        at,
                        value: found.value,
                        spread: test.limit().and_then(|_| spread.get(&spot).copied()),
                        limit: test.limit(),
                        below,
                        spot,
                        chance: found.chance,
                        method: found.method,
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

/// Returns how likely a test turns, and a value at which it does.
struct Turns {
    value: Value,
    chance: f64,
    other: Value,
    method: Method,
}

impl Turns {
    fn of(
        facts: &Facts<'_>,
        spot: &Spot,
        test: &Test,
        spread: &BTreeMap<Spot, f64>,
        drawn: &Drawn,
    ) -> Option<Turns> {
        let value = facts.value(&spot.fact, spot.at)?;
        if let Some(draws) = drawn.values(spot) {
            let turned = |other: &&Value| test.holds(other) != test.holds(value);
            return Some(Turns {
                value: value.clone(),
                chance: draws.iter().filter(turned).count() as f64 / draws.len() as f64,
                other: draws.iter().find(turned)?.clone(),
                method: Method::Draws(draws.len()),
            });
        }
        let (number, limit) = (value.number()?, test.limit()?);
        let nudge = limit.abs().max(1.0) * 1e-6;
        // A figure that stands on its limit turns on one side of it alone.
        let sides = match number < limit {
            true => [limit + nudge, limit - nudge],
            false => [limit - nudge, limit + nudge],
        };
        let mut sides = sides
            .map(|beyond| Value::Number(beyond, Unit::Ratio))
            .into_iter();
        Some(Turns {
            value: value.clone(),
            chance: normal_tail((number - limit).abs() / spread.get(spot)?),
            other: sides.find(|other| test.holds(other) != test.holds(value))?,
            method: Method::Differences,
        })
    }
}
