//! Which limit a number passed.

use crate::derive::Facts;
use crate::fact::{Place, Spot};
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
