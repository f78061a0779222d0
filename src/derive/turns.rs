//! Which questions come up where.

use std::cell::RefCell;
use std::collections::BTreeMap;

use super::Facts;
use super::usual::{self, Listed};
use crate::fact::{FactId, ORDER_SCOPE, Place, PlaceKind, Spot, Value};
use crate::flow::Question;
use crate::logic::{Gap, Sight, Truth, World};

/// Whether a question comes up at a place.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Turn {
    /// It is asked.
    Up,
    /// It depends on answers that are still to come.
    Later,
    /// It depends on something that was looked for and not seen: it is not asked, and what rests on it stays open.
    Unsure,
    /// It does not come up.
    Idle,
}

/// Works out every question's turn at every place. A question that waits for its own answer does not come up, nor does
/// one that the inspection passes by. Where the work is not covered nothing comes up but what kind of work it is.
pub(super) fn of(facts: &Facts<'_>) -> BTreeMap<Spot, Turn> {
    let aside = facts.flow().steps.iter().filter(|step| step.aside);
    let resolver = Resolver {
        facts,
        aside: aside.flat_map(|step| step.facts()).collect(),
        known: RefCell::new(BTreeMap::new()),
    };
    for question in &facts.flow().questions {
        for at in facts.units().within(Place::Case, question.at) {
            resolver.turn(&Spot {
                fact: question.fact.clone(),
                at,
            });
        }
    }
    resolver
        .known
        .into_inner()
        .into_iter()
        .filter_map(|(spot, turn)| Some((spot, turn?)))
        .collect()
}

struct Resolver<'f, 'a> {
    facts: &'f Facts<'a>,
    aside: Vec<&'f FactId>,
    /// None while a turn is being computed.
    known: RefCell<BTreeMap<Spot, Option<Turn>>>,
}

impl Resolver<'_, '_> {
    fn turn(&self, spot: &Spot) -> Turn {
        if let Some(known) = self.known.borrow().get(spot) {
            return known.unwrap_or(Turn::Idle);
        }
        let question = self.facts.flow().question(&spot.fact);
        let asked = !self.aside.contains(&&spot.fact)
            && (spot.fact == ORDER_SCOPE || self.facts.covers(spot.at));
        let Some(question) = question.filter(|_| asked) else {
            return Turn::Idle;
        };
        self.known.borrow_mut().insert(spot.clone(), None);
        let turn = match (
            self.when(question, spot.at),
            self.by_exception(question, spot),
        ) {
            (Turn::Idle, _) | (_, Some(Turn::Idle)) => Turn::Idle,
            (turn, by_exception) => by_exception.unwrap_or(turn),
        };
        self.known.borrow_mut().insert(spot.clone(), Some(turn));
        turn
    }

    /// Whether a question comes up by its own condition.
    fn when(&self, question: &Question, at: Place) -> Turn {
        let outcome = question.when.eval(self, at);
        match outcome.truth {
            Truth::True => Turn::Up,
            Truth::Unknown
                if outcome.needs.iter().any(|(_, gap)| *gap == Gap::NotAsked)
                    && outcome.can_be_true =>
            {
                Turn::Later
            }
            Truth::Unknown
                if outcome.needs.iter().any(|(_, gap)| *gap == Gap::NotSeen)
                    && outcome.can_be_true =>
            {
                Turn::Unsure
            }
            Truth::Unknown | Truth::False => Turn::Idle,
        }
    }

    /// What asking by exception makes of a question's turn, or `None` if it leaves it as it is: a tooth's own question
    /// waits for its list, and a list is asked as long as one of its teeth has no answer of its own.
    fn by_exception(&self, question: &Question, spot: &Spot) -> Option<Turn> {
        let answered = |fact: &FactId, at: Place| self.facts.case().value(fact, at).is_some();
        let disputed = self.facts.case().dispute(spot).is_some();
        if let Some(usual) = &question.usual {
            let own = answered(&spot.fact, spot.at);
            return match usual::listed(self.facts, usual, spot.at) {
                _ if own || disputed => None,
                Listed::Usual => Some(Turn::Idle),
                Listed::NotAsked => Some(Turn::Later),
                Listed::Apart => None,
            };
        }
        let mut covered = self.facts.flow().covered(&spot.fact).peekable();
        covered.peek()?;
        let left = covered.any(|one| {
            let places = self.facts.within(spot.at, one.at);
            places
                .into_iter()
                .any(|at| !answered(&one.fact, at) && self.when(one, at) != Turn::Idle)
        });
        (!left && !disputed && !answered(&spot.fact, spot.at)).then_some(Turn::Idle)
    }

    fn gap(&self, spot: &Spot) -> Gap {
        if self.facts.case().value(&spot.fact, spot.at) == Some(&Value::NotSeen) {
            return Gap::NotSeen;
        }
        if self.facts.is_refused(spot) {
            return Gap::NotComputed;
        }
        match self.turn(spot) {
            Turn::Up | Turn::Later => Gap::NotAsked,
            Turn::Unsure => Gap::NotSeen,
            Turn::Idle => Gap::Idle,
        }
    }
}

impl World for Resolver<'_, '_> {
    fn sight(&self, fact: &FactId, at: Place) -> Sight<'_> {
        self.facts.sight_by(fact, at, |spot| self.gap(spot))
    }

    fn known(&self, fact: &FactId, at: Place) -> Option<&Value> {
        self.facts.known(fact, at)
    }

    fn resolve(&self, fact: &FactId, at: Place) -> Option<Place> {
        self.facts.resolve(fact, at)
    }

    fn within(&self, at: Place, kind: PlaceKind) -> Vec<Place> {
        self.facts.within(at, kind)
    }
}
