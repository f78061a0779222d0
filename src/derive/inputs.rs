//! Gathering what a derivation looks at.

use super::{Facts, Worked};
use crate::fact::{Chosen, FactId, Origin, Place, SHAPE, Spot, Value};
use crate::logic::World as _;
use crate::prep::Readings;
use crate::tooth::Tooth;

impl<'a> Facts<'a> {
    /// Begins to gather the inputs of a derived fact at a place.
    pub(super) fn inputs(&self, at: Place) -> Inputs<'_, 'a> {
        Inputs {
            facts: self,
            at,
            from: Vec::new(),
            missing: Vec::new(),
            applies: true,
        }
    }
}

/// Gathers what a derived fact is computed from, and what of it is missing.
pub(super) struct Inputs<'f, 'a> {
    pub(super) facts: &'f Facts<'a>,
    at: Place,
    from: Vec<Spot>,
    missing: Vec<Spot>,
    applies: bool,
}

impl Readings for Inputs<'_, '_> {
    fn number(&mut self, fact: &FactId, at: Place) -> f64 {
        self.number_at(fact, at)
    }

    fn choice<C: Chosen>(&mut self, fact: &FactId, at: Place) -> Option<C> {
        self.optional(fact, at).and_then(Value::chosen)
    }
}

/// What was gathered, once nothing is borrowed any more.
#[derive(Clone)]
pub(super) struct Gathered {
    pub(super) from: Vec<Spot>,
    pub(super) missing: Vec<Spot>,
    pub(super) applies: bool,
}

impl<'f> Inputs<'f, '_> {
    /// Looks a fact up at the place or above it; what is missing is noted.
    pub(super) fn look(&mut self, fact: &FactId) -> Option<&'f Value> {
        let at = match self.facts.resolve(fact, self.at) {
            Some(at) => at,
            None => {
                self.applies = false;
                return None;
            }
        };
        self.look_at(fact, at)
    }

    /// Looks a fact up at another place.
    pub(super) fn look_at(&mut self, fact: &FactId, at: Place) -> Option<&'f Value> {
        let spot = Spot {
            fact: fact.clone(),
            at,
        };
        let value = self.facts.value(fact, at);
        if value.is_none() {
            match self
                .facts
                .results
                .derived
                .get(&spot)
                .map(|derived| &derived.result)
            {
                Some(Worked::Waits(missing)) => {
                    missing.iter().for_each(|spot| self.misses(spot));
                }
                Some(Worked::Refused(_)) => self.misses(&spot),
                _ if fact
                    .spec()
                    .is_some_and(|spec| spec.origin == Origin::Derived) =>
                {
                    self.applies = false
                }
                _ => self.misses(&spot),
            }
        }
        if !self.from.contains(&spot) {
            self.from.push(spot);
        }
        value
    }

    /// Notes a missing fact, once.
    fn misses(&mut self, spot: &Spot) {
        if !self.missing.contains(spot) {
            self.missing.push(spot.clone());
        }
    }

    /// Looks a number up. NaN where it is missing: whatever is computed with it is not kept.
    pub(super) fn number(&mut self, fact: &FactId) -> f64 {
        self.look(fact).and_then(Value::number).unwrap_or(f64::NAN)
    }

    /// Looks a number up at another place.
    pub(super) fn number_at(&mut self, fact: &FactId, at: Place) -> f64 {
        self.look_at(fact, at)
            .and_then(Value::number)
            .unwrap_or(f64::NAN)
    }

    /// Looks up a fact that helps where it is known and is not waited for where it is not.
    pub(super) fn optional(&mut self, fact: &FactId, at: Place) -> Option<&'f Value> {
        let value = self.facts.value(fact, at)?;
        let spot = Spot {
            fact: fact.clone(),
            at,
        };
        if !self.from.contains(&spot) {
            self.from.push(spot);
        }
        Some(value)
    }

    /// Looks a number up that helps where it is known.
    pub(super) fn optional_number(&mut self, fact: &FactId, at: Place) -> Option<f64> {
        self.optional(fact, at).and_then(Value::number)
    }

    /// Notes a prep whose readings cannot be those of one shape: nothing is computed from it then.
    pub(super) fn shape_holds(&mut self, tooth: Tooth) {
        let at = Place::Unit(tooth);
        if self.facts.is_refused(&Spot { fact: SHAPE, at }) {
            self.look_at(&SHAPE, at);
        }
    }

    /// Notes that the fact has no meaning here.
    pub(super) fn does_not_apply(&mut self) {
        self.applies = false;
    }

    pub(super) fn gathered(self) -> Gathered {
        Gathered {
            from: self.from,
            missing: self.missing,
            applies: self.applies,
        }
    }
}
