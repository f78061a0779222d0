//! The limits that a figure is judged by, found in the rules.

use crate::derive::Facts;
use crate::fact::{Place, Spot, Unit, Value};
use crate::flow::{Level, Rule};
use crate::logic::{Instead, World};

/// A limit of a figure: the level of the rules that read it on both sides, with everything else as it is.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Limit {
    /// The limit.
    pub at: f64,
    /// The level just under it.
    pub under: Level,
    /// The level just over it.
    pub over: Level,
}

/// Finds the limits at which a figure changes what is found, the lowest first. A figure with several facts is
/// changed in all of them.
///
/// A limit that changes nothing in this case is left out, such as one that counts only with another finding.
pub fn limits(facts: &Facts<'_>, spots: &[Spot]) -> Vec<Limit> {
    let mut rules: Vec<(&Rule, Place)> = Vec::new();
    let mut values: Vec<f64> = Vec::new();
    for rule in &facts.flow().rules {
        for at in facts.places(rule.at) {
            let own = rule.tests(facts, at);
            let own: Vec<f64> = own
                .iter()
                .filter(|(spot, _)| spots.contains(spot))
                .filter_map(|(_, test)| test.limit())
                .collect();
            if !own.is_empty() {
                rules.push((rule, at));
                values.extend(own);
            }
        }
    }
    values.sort_by(f64::total_cmp);
    values.dedup();
    let worst = |value: f64| {
        let levels = rules.iter().map(|(rule, at)| {
            moved(facts, spots, value, &|world| {
                rule.evaluate(world, *at).level()
            })
        });
        levels.max().unwrap_or(Level::Fine)
    };
    values
        .into_iter()
        .map(|at| {
            let nudge = at.abs().max(1.0) * 1e-6;
            Limit {
                at,
                under: worst(at - nudge),
                over: worst(at + nudge),
            }
        })
        .filter(|limit| limit.under != limit.over)
        .collect()
}

/// Returns the level with each of `spots` set to `value`.
fn moved(
    world: &dyn World,
    spots: &[Spot],
    value: f64,
    look: &dyn Fn(&dyn World) -> Level,
) -> Level {
    match spots {
        [] => look(world),
        [spot, rest @ ..] => {
            let instead = Instead {
                world,
                spot: spot.clone(),
                value: Value::Number(value, Unit::Ratio),
            };
            moved(&instead, rest, value, look)
        }
    }
}
