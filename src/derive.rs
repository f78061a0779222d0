//! Derivations: facts from facts. One file each, one line in [`REGISTRY`].
//!
//! [`Facts`] is what rules, questions and screens look at: the readings that count, and what follows from them.
//! A derivation that lacks a reading gives nothing and says which readings it waits for.

mod between;
mod cement;
mod dislodgement;
mod distance;
mod failure;
mod impression;
mod margins;
mod remake;
mod resistance;
mod span;
mod stump;
mod support;
mod turns;
mod units;

use std::borrow::Cow;
use std::collections::BTreeMap;

use crate::case::{Case, Layer, Units};
use crate::fact::{FactId, Misfit, Origin, Place, PlaceKind, Spot, Value};
use crate::flow::{Flow, Question};
use crate::logic::{Gap, Outcome, Sight, World};

pub(crate) use between::least_area;
pub use dislodgement::{ComesOff, Detail, Found, LoadDetail};
pub use turns::Turn;

/// One derivation.
pub struct Derivation {
    /// Its name, that of its file.
    pub id: &'static str,
    /// The facts it gives.
    pub gives: &'static [FactId],
    /// The facts it looks at.
    pub needs: &'static [FactId],
    /// The ids of its sources.
    pub sources: &'static [&'static str],
    run: fn(&mut Facts<'_>),
}

/// Every derivation, each after those whose facts it needs.
pub static REGISTRY: &[&Derivation] = &[
    &units::DERIVATION,
    &cement::DERIVATION,
    &remake::DERIVATION,
    &support::DERIVATION,
    &impression::DERIVATION,
    &stump::DERIVATION,
    &resistance::DERIVATION,
    &dislodgement::DERIVATION,
    &margins::DERIVATION,
    &between::DERIVATION,
    &span::DERIVATION,
    &distance::DERIVATION,
    &failure::DERIVATION,
];

/// What a derivation came to at one place.
#[derive(Clone, PartialEq, Debug)]
pub struct Derived {
    /// The value, or why there is none.
    pub result: Worked,
    /// The facts that were looked at.
    pub from: Vec<Spot>,
}

/// A value, or why there is none.
#[derive(Clone, PartialEq, Debug)]
pub enum Worked {
    /// The value.
    Out(Value),
    /// Asked facts that are missing.
    Waits(Vec<Spot>),
    /// Not computed, because of this.
    Refused(String),
}

/// What was worked out, apart from the flow and the case it was worked out from.
#[derive(Clone, Debug, Default)]
pub struct Results {
    derived: BTreeMap<Spot, Derived>,
    turns: BTreeMap<Spot, Turn>,
    details: Vec<Detail>,
}

/// How finely figures are worked out that take a search.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Precision {
    /// A proven gap of 1e-3, while somebody types.
    Quick,
    /// A proven gap of 1e-6, for prints and JSON.
    Exact,
}

/// The facts of a case under a flow: entered and derived.
#[derive(Clone, Debug)]
pub struct Facts<'a> {
    flow: &'a Flow,
    case: &'a Case,
    results: Cow<'a, Results>,
    precision: Precision,
}

impl<'a> Facts<'a> {
    /// Works out everything that follows from a case, for prints and JSON.
    pub fn of(flow: &'a Flow, case: &'a Case) -> Facts<'a> {
        Facts::with(flow, case, Precision::Exact)
    }

    /// Works out everything that follows from a case, to a precision.
    pub fn with(flow: &'a Flow, case: &'a Case, precision: Precision) -> Facts<'a> {
        let mut facts = Facts {
            flow,
            case,
            results: Cow::Owned(Results::default()),
            precision,
        };
        for derivation in REGISTRY {
            (derivation.run)(&mut facts);
        }
        facts.results.to_mut().turns = turns::of(&facts);
        facts
    }

    /// Returns the facts of the same flow and case again, without working them out a second time.
    pub fn again(flow: &'a Flow, case: &'a Case, results: &'a Results) -> Facts<'a> {
        Facts {
            flow,
            case,
            results: Cow::Borrowed(results),
            precision: Precision::Quick,
        }
    }

    /// Returns what was worked out, to be kept for [`Facts::again`].
    pub fn into_results(self) -> Results {
        self.results.into_owned()
    }

    /// Returns the flow.
    pub fn flow(&self) -> &'a Flow {
        self.flow
    }

    /// Returns the case.
    pub fn case(&self) -> &'a Case {
        self.case
    }

    /// Returns the restorations.
    pub fn units(&self) -> &'a Units {
        &self.case.units
    }

    /// Returns the value of a fact at exactly this place; *not seen* is none.
    pub fn value(&self, fact: &FactId, at: Place) -> Option<&Value> {
        let entered = self.case.value(fact, at);
        let worked = || match &self
            .results
            .derived
            .get(&Spot {
                fact: fact.clone(),
                at,
            })?
            .result
        {
            Worked::Out(value) => Some(value),
            Worked::Waits(_) | Worked::Refused(_) => None,
        };
        entered
            .or_else(worked)
            .filter(|value| **value != Value::NotSeen)
    }

    /// Returns the value of a fact at a place or at the place of its kind that contains it.
    pub fn resolved(&self, fact: &FactId, at: Place) -> Option<(Place, &Value)> {
        let place = self.resolve(fact, at)?;
        self.value(fact, place).map(|value| (place, value))
    }

    /// Returns what a derivation came to.
    pub fn derived(&self, spot: &Spot) -> Option<&Derived> {
        self.results.derived.get(spot)
    }

    /// Returns every derived fact in the order of the catalogue's places.
    pub fn all_derived(&self) -> impl Iterator<Item = (&Spot, &Derived)> {
        self.results.derived.iter()
    }

    /// Returns the layer that a fact's value comes from: for a derived fact the highest of what it was worked out from.
    pub fn layer(&self, spot: &Spot) -> Layer {
        match self.results.derived.get(spot) {
            Some(derived) => derived
                .from
                .iter()
                .map(|from| self.layer(from))
                .max()
                .unwrap_or_default(),
            None => self
                .case
                .merged(spot)
                .map_or(Layer::Measured, |(layer, _)| layer),
        }
    }

    /// Returns the readings that a fact rests on; itself if it was entered.
    pub fn readings(&self, spot: &Spot) -> Vec<Spot> {
        let mut list = Vec::new();
        self.collect_readings(spot, &mut list);
        list
    }

    fn collect_readings(&self, spot: &Spot, list: &mut Vec<Spot>) {
        match self.results.derived.get(spot) {
            Some(derived) => derived
                .from
                .iter()
                .for_each(|from| self.collect_readings(from, list)),
            None if !list.contains(spot) => list.push(spot.clone()),
            None => {}
        }
    }

    /// Says whether a question comes up at a place.
    pub fn turn(&self, fact: &FactId, at: Place) -> Turn {
        self.results
            .turns
            .get(&Spot {
                fact: fact.clone(),
                at,
            })
            .copied()
            .unwrap_or(Turn::Idle)
    }

    /// Evaluates the condition under which a question comes up, for the reason to be told.
    pub fn why_turn(&self, question: &Question, at: Place) -> Outcome {
        question.when.eval(self, at)
    }

    fn gap(&self, spot: &Spot) -> Gap {
        if self.case.value(&spot.fact, spot.at) == Some(&Value::NotSeen) {
            return Gap::NotSeen;
        }
        if self.is_refused(spot) {
            return Gap::NotComputed;
        }
        match self.results.turns.get(spot) {
            Some(Turn::Up | Turn::Later) => Gap::NotAsked,
            Some(Turn::Idle) | None => Gap::Idle,
        }
    }

    /// Says whether a derived fact could not be worked out from readings that are all there.
    pub fn is_refused(&self, spot: &Spot) -> bool {
        matches!(
            self.derived(spot).map(|derived| &derived.result),
            Some(Worked::Refused(_))
        )
    }

    /// Returns what was found for each restoration, load by load.
    pub fn details(&self) -> &[Detail] {
        &self.results.details
    }

    fn keep_detail(&mut self, detail: Detail) {
        self.results.to_mut().details.push(detail);
    }

    /// Returns how finely figures are to be worked out.
    pub fn precision(&self) -> Precision {
        self.precision
    }

    /// Returns what is known of a fact; `gap` tells why an asked fact has no value.
    fn sight_by(&self, fact: &FactId, at: Place, gap: impl Fn(&Spot) -> Gap) -> Sight<'_> {
        if let Some(value) = self.case.value(fact, at) {
            return Sight::Known(value);
        }
        let spot = Spot {
            fact: fact.clone(),
            at,
        };
        match self.derived(&spot).map(|derived| &derived.result) {
            Some(Worked::Out(value)) => Sight::Known(value),
            Some(Worked::Waits(missing)) => Sight::Unknown(
                missing
                    .iter()
                    .map(|spot| (spot.clone(), gap(spot)))
                    .collect(),
            ),
            Some(Worked::Refused(_)) => Sight::Unknown(vec![(spot, Gap::NotComputed)]),
            None if self
                .flow
                .spec(fact)
                .is_some_and(|spec| spec.origin == Origin::Derived) =>
            {
                Sight::Unknown(Vec::new())
            }
            None => {
                let why = gap(&spot);
                Sight::Unknown(vec![(spot, why)])
            }
        }
    }

    /// Begins to gather the inputs of a derived fact at a place.
    fn inputs(&self, at: Place) -> Inputs<'_, 'a> {
        Inputs {
            facts: self,
            at,
            from: Vec::new(),
            missing: Vec::new(),
            applies: true,
        }
    }

    /// Keeps what a derivation came to.
    fn give(&mut self, fact: &FactId, at: Place, gathered: Gathered, value: Result<Value, String>) {
        let result = match value {
            _ if !gathered.applies => return,
            _ if !gathered.missing.is_empty() => Worked::Waits(gathered.missing),
            Ok(Value::Number(number, _)) if !number.is_finite() => {
                Worked::Refused("the figures lie outside what can be worked out".to_owned())
            }
            Ok(value) => match fact.spec().map(|spec| spec.check(&value)) {
                Some(Err(Misfit::Bounds { wanted })) => {
                    Worked::Refused(format!("it would lie outside {wanted}: look for a slip"))
                }
                _ => Worked::Out(value),
            },
            Err(reason) => Worked::Refused(reason),
        };
        self.results.to_mut().derived.insert(
            Spot {
                fact: fact.clone(),
                at,
            },
            Derived {
                result,
                from: gathered.from,
            },
        );
    }
}

impl World for Facts<'_> {
    fn sight(&self, fact: &FactId, at: Place) -> Sight<'_> {
        self.sight_by(fact, at, |spot| self.gap(spot))
    }

    fn resolve(&self, fact: &FactId, at: Place) -> Option<Place> {
        let spec = self.flow.spec(fact)?;
        self.units().resolve(spec.at, at)
    }

    fn within(&self, at: Place, kind: PlaceKind) -> Vec<Place> {
        self.units().within(at, kind)
    }
}

/// Gathers what a derived fact is worked out from, and what of it is missing.
struct Inputs<'f, 'a> {
    facts: &'f Facts<'a>,
    at: Place,
    from: Vec<Spot>,
    missing: Vec<Spot>,
    applies: bool,
}

/// What was gathered, once nothing is borrowed any more.
#[derive(Clone)]
struct Gathered {
    from: Vec<Spot>,
    missing: Vec<Spot>,
    applies: bool,
}

impl<'f> Inputs<'f, '_> {
    /// Looks a fact up at the place or above it; what is missing is noted.
    fn look(&mut self, fact: &FactId) -> Option<&'f Value> {
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
    fn look_at(&mut self, fact: &FactId, at: Place) -> Option<&'f Value> {
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

    /// Looks a number up. NaN where it is missing: whatever is worked out with it is not kept.
    fn number(&mut self, fact: &FactId) -> f64 {
        self.look(fact).and_then(Value::number).unwrap_or(f64::NAN)
    }

    /// Looks a number up at another place.
    fn number_at(&mut self, fact: &FactId, at: Place) -> f64 {
        self.look_at(fact, at)
            .and_then(Value::number)
            .unwrap_or(f64::NAN)
    }

    /// Looks up a fact that helps where it is known and is not waited for where it is not.
    fn optional(&mut self, fact: &FactId, at: Place) -> Option<&'f Value> {
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

    /// Notes that the fact has no meaning here.
    fn does_not_apply(&mut self) {
        self.applies = false;
    }

    fn gathered(self) -> Gathered {
        Gathered {
            from: self.from,
            missing: self.missing,
            applies: self.applies,
        }
    }
}
