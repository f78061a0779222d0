//! What is asked by exception: a question names the teeth that are as usual, and their own questions are answered by it.
//!
//! The list holds the teeth that were looked at and found as usual, not the exceptions: a tooth that comes into the
//! order later is on no list, and its questions come up. An answer of a tooth's own counts before the list.

use super::{Derived, Facts, Worked};
use crate::fact::{FactId, Place, Spot, Value};
use crate::flow::Usual;
use crate::tooth::Tooth;

/// What a list says of a tooth.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Listed {
    /// It is as usual.
    Usual,
    /// It is not on the list, or somebody looked and could not tell: it is asked by itself.
    Apart,
    /// The list is still to be asked.
    NotAsked,
}

/// Returns what the list of a question says of the tooth at a place.
pub(super) fn listed(facts: &Facts<'_>, usual: &Usual, at: Place) -> Listed {
    match list(facts, &usual.on, at) {
        None => Listed::NotAsked,
        Some((_, Value::Teeth(teeth))) if tooth(at).is_some_and(|own| teeth.contains(&own)) => {
            Listed::Usual
        }
        Some(_) => Listed::Apart,
    }
}

/// Gives the usual value to every tooth that a list names and that has no answer of its own.
pub(super) fn fill(facts: &mut Facts<'_>) {
    let flow = facts.flow();
    for question in &flow.questions {
        let Some(usual) = &question.usual else {
            continue;
        };
        for at in facts.places(question.at) {
            let spot = Spot {
                fact: question.fact.clone(),
                at,
            };
            if facts.case().merged(&spot).is_some() || listed(facts, usual, at) != Listed::Usual {
                continue;
            }
            // Whoever answered the tooth apart found it otherwise.
            if facts.case().dispute(&spot).is_some() {
                continue;
            }
            let from = list(facts, &usual.on, at).map(|(spot, _)| spot);
            let derived = Derived {
                result: Worked::Out(usual.value.clone()),
                from: from.into_iter().collect(),
            };
            facts.results.to_mut().derived.insert(spot, derived);
        }
    }
}

fn list<'f>(facts: &'f Facts<'_>, on: &FactId, at: Place) -> Option<(Spot, &'f Value)> {
    let kind = facts.flow().spec(on)?.at;
    let at = facts.units().resolve(kind, at)?;
    let value = facts.case().value(on, at)?;
    let fact = on.clone();
    Some((Spot { fact, at }, value))
}

fn tooth(at: Place) -> Option<Tooth> {
    match at {
        Place::Unit(tooth) => Some(tooth),
        _ => None,
    }
}
