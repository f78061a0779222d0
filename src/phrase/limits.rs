//! Which limit a number passed, and which it may pass.

use super::{Phrase, chance_words, number_words};
use crate::derive::Facts;
use crate::fact::{Kind, Place, Spot, Unit, Value};
use crate::judge::doubt::{Method, NearLimit};
use crate::logic::{Condition, Test, Truth, World as _};

/// Finds the number that made a condition true, and the strictest of the limits that it passed.
pub(super) fn limit_passed<'c>(
    condition: &'c Condition,
    facts: &Facts<'_>,
    at: Place,
) -> Option<(Spot, &'c Test)> {
    let mut passed = Vec::new();
    limits_passed(condition, facts, at, &mut passed);
    let spot = passed.first()?.0.clone();
    let own = passed.into_iter().filter(|(other, _)| *other == spot);
    let strictness = |test: &Test| match test {
        Test::Below(limit) | Test::AtMost(limit) => *limit,
        other => -other.limit().unwrap_or(f64::INFINITY),
    };
    own.max_by(|(_, a), (_, b)| strictness(a).total_cmp(&strictness(b)))
}

fn limits_passed<'c>(
    condition: &'c Condition,
    facts: &Facts<'_>,
    at: Place,
    passed: &mut Vec<(Spot, &'c Test)>,
) {
    match condition {
        Condition::All(parts) | Condition::Any(parts) | Condition::AtLeast(_, parts) => {
            for part in parts
                .iter()
                .filter(|part| part.eval(facts, at).truth == Truth::True)
            {
                limits_passed(part, facts, at, passed);
            }
        }
        Condition::AnyAt(kind, part)
        | Condition::EveryAt(kind, part)
        | Condition::AtLeastAt(_, kind, part) => {
            for place in facts.within(at, *kind) {
                if part.eval(facts, place).truth == Truth::True {
                    limits_passed(part, facts, place, passed);
                }
            }
        }
        Condition::Test(fact, test) if test.limit().is_some() => {
            if let Some(at) = facts.resolve(fact, at) {
                passed.push((
                    Spot {
                        fact: fact.clone(),
                        at,
                    },
                    test,
                ));
            }
        }
        Condition::Test(..) | Condition::Not(_) => {}
    }
}

impl Phrase<'_> {
    /// Says how near a figure lies to a limit that would change a finding, or how likely a yes or no is otherwise.
    pub fn near(self, near: &NearLimit) -> String {
        let place = self.place(near.spot.at);
        let label = self.label(&near.spot.fact);
        let chance = chance_words(near.chance);
        let drawn = match near.method {
            Method::Differences => String::new(),
            Method::Draws(draws) => format!(", by {draws} draws of the readings"),
        };
        let (Some(number), Some(limit)) = (near.value.number(), near.limit) else {
            let value = match near.value {
                Value::Yes => "yes",
                _ => "no",
            };
            return format!("{place} {label}: {value} (about {chance} that it is not so{drawn})");
        };
        let unit = match self.flow.spec(&near.spot.fact).map(|spec| &spec.kind) {
            Some(Kind::Number { unit, .. }) => *unit,
            _ => Unit::Ratio,
        };
        let decimals = Some(unit.decimals().max(1));
        let spread = near.spread.map_or_else(String::new, |spread| {
            format!(" ± {}", number_words(spread, unit, decimals))
        });
        format!(
            "{place} {label}: {}{spread}, limit {} (about {chance} that it lies beyond{drawn})",
            number_words(number, Unit::Ratio, decimals),
            number_words(limit, unit, decimals),
        )
    }
}
