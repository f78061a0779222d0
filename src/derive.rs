//! Derivations: facts from facts. One file each, one line in [`REGISTRY`].
//!
//! [`Facts`] is what rules, questions and screens look at: the readings that count, and what follows from them.
//! A derivation that lacks a reading gives nothing and says which readings it waits for.

mod between;
mod breaks;
mod cement;
mod covered;
mod dislodgement;
mod distance;
mod impression;
mod inputs;
mod margins;
mod plausible;
mod prep;
mod remake;
mod resistance;
mod span;
mod support;
mod turns;
mod units;
mod usual;

use std::borrow::Cow;
use std::collections::BTreeMap;

use crate::case::dispute::Dispute;
use crate::case::{Case, Layer, Units};
use crate::fact::{FactId, Misfit, Origin, Place, PlaceKind, Spot, Value};
use crate::flow::{Flow, Question};
use crate::logic::{Evaluation, Gap, Sight, World};
use crate::phrase::faults::reasons;

use inputs::{Gathered, Inputs};

pub(crate) use between::least_area;
pub use dislodgement::{ComesOff, Detail, Found, LoadDetail, MESH_ERROR};
pub(crate) use dislodgement::{least_prep, preparation, stand_in_arch};
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

impl Derivation {
    /// Returns whether its figures take a search. No other derivation needs one that does.
    pub fn searches(&self) -> bool {
        self.id == dislodgement::DERIVATION.id
    }

    /// Returns the derivation that gives a fact; none for an asked one.
    pub fn of(fact: &FactId) -> Option<&'static Derivation> {
        REGISTRY
            .iter()
            .find(|derivation| derivation.gives.contains(fact))
            .copied()
    }
}

/// Every derivation, each after those whose facts it needs.
pub static REGISTRY: &[&Derivation] = &[
    &units::DERIVATION,
    &cement::DERIVATION,
    &remake::DERIVATION,
    &support::DERIVATION,
    &impression::DERIVATION,
    &margins::DERIVATION,
    &plausible::DERIVATION,
    &prep::DERIVATION,
    &resistance::DERIVATION,
    &dislodgement::DERIVATION,
    &between::DERIVATION,
    &span::DERIVATION,
    &distance::DERIVATION,
    &breaks::DERIVATION,
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

/// What was computed, apart from the flow and the case it was computed from.
#[derive(Clone, Debug, Default)]
pub struct Results {
    derived: BTreeMap<Spot, Derived>,
    turns: BTreeMap<Spot, Turn>,
    details: Vec<Detail>,
    kept: Vec<dislodgement::Kept>,
}

impl Results {
    fn kept_of(&self, restoration: u8) -> Option<&dislodgement::Kept> {
        self.kept.iter().find(|kept| kept.is_of(restoration))
    }
}

/// How finely figures are computed that take a search.
///
/// Grip, which levels depend on, is proven to 1e-6 wherever it is shown. On copies a load is left as soon as it is
/// proven not to be the hardest, with the likely hardest first. The range over the cement's limits takes four times the
/// work and waits for prints and JSON. A load that misses the finer gap is kept at the coarser one, and each figure
/// carries its own gap.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Precision {
    /// For copies that are tried by the hundred: what a level depends on as for a person who types, of all else only that
    /// nothing depends on it.
    MeasureAgain,
    /// While somebody types: a proven gap of 1e-3 where no level depends on the figure, and no ranges.
    Quick,
    /// For prints and JSON: a proven gap of 1e-6 throughout.
    Exact,
}

/// The facts of a case under a flow: entered and derived.
#[derive(Clone, Debug)]
pub struct Facts<'a> {
    flow: &'a Flow,
    case: &'a Case,
    results: Cow<'a, Results>,
    precision: Precision,
    /// Results from before a change, only while the new ones are computed.
    before: Option<&'a Results>,
    /// Whether those are of the case as it was received, and this is a copy with something done to it.
    is_copy: bool,
    /// The restorations that are not judged, by number.
    not_covered: Vec<u8>,
}

impl<'a> Facts<'a> {
    /// Works out everything that follows from a case, for prints and JSON.
    pub fn of(flow: &'a Flow, case: &'a Case) -> Facts<'a> {
        Facts::with(flow, case, Precision::Exact)
    }

    /// Works out everything that follows from a case, to a precision.
    pub fn with(flow: &'a Flow, case: &'a Case, precision: Precision) -> Facts<'a> {
        Facts::work_out(flow, case, precision, None, false)
    }

    /// As [`Facts::with`], after a change of a case whose results are at hand.
    ///
    /// What takes a search is taken over, retainer by retainer, where nothing it was computed from changed. Results of
    /// another case or flow only cost time.
    ///
    /// The results before are an argument and no global: the same arguments give the same result, and one from nothing
    /// differs by less than the proven gaps. While somebody types, one reading of a bridge takes about a third of the
    /// work; a print gains little, since its ranges start anew.
    pub fn after(
        flow: &'a Flow,
        case: &'a Case,
        precision: Precision,
        before: &'a Results,
    ) -> Facts<'a> {
        Facts::work_out(flow, case, precision, Some(before), false)
    }

    /// As [`Facts::after`] on a copy with something done to it: the bite stays where it stood in the mouth as the case was
    /// received, so that before and after are under the same load.
    pub fn on_copy(
        flow: &'a Flow,
        case: &'a Case,
        precision: Precision,
        received: &'a Results,
    ) -> Facts<'a> {
        Facts::work_out(flow, case, precision, Some(received), true)
    }

    fn work_out(
        flow: &'a Flow,
        case: &'a Case,
        precision: Precision,
        before: Option<&'a Results>,
        is_copy: bool,
    ) -> Facts<'a> {
        let mut facts = Facts::empty(flow, case, precision, before);
        facts.is_copy = is_copy;
        usual::fill(&mut facts);
        for derivation in REGISTRY {
            (derivation.run)(&mut facts);
        }
        facts.results.to_mut().turns = turns::of(&facts);
        facts.before = None;
        facts
    }

    /// Works out only what takes no search, and not which questions come up: fast enough to be done a thousand times.
    pub fn without_search(flow: &'a Flow, case: &'a Case) -> Facts<'a> {
        let mut facts = Facts::empty(flow, case, Precision::Quick, None);
        usual::fill(&mut facts);
        for derivation in REGISTRY.iter().filter(|derivation| !derivation.searches()) {
            (derivation.run)(&mut facts);
        }
        facts
    }

    fn empty(
        flow: &'a Flow,
        case: &'a Case,
        precision: Precision,
        before: Option<&'a Results>,
    ) -> Facts<'a> {
        Facts {
            flow,
            case,
            results: Cow::Owned(Results::default()),
            precision,
            before,
            is_copy: false,
            not_covered: covered::not_covered(case),
        }
    }

    /// Returns the facts of the same flow and case again, without working them out a second time.
    pub fn again(flow: &'a Flow, case: &'a Case, results: &'a Results) -> Facts<'a> {
        Facts {
            flow,
            case,
            results: Cow::Borrowed(results),
            precision: Precision::Quick,
            before: None,
            is_copy: false,
            not_covered: covered::not_covered(case),
        }
    }

    /// Returns what was computed, for [`Facts::after`] a change.
    pub fn results(&self) -> &Results {
        &self.results
    }

    /// Returns what was computed, to be kept for [`Facts::again`] and [`Facts::after`].
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

    /// Returns the layer that a fact's value comes from: for a derived fact the highest of what it was computed from.
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
            Some(derived) => {
                // What a list says of a tooth is a reading of that tooth too: an answer of its own takes its place.
                if spot
                    .fact
                    .spec()
                    .is_some_and(|spec| spec.origin == Origin::Asked)
                    && !list.contains(spot)
                {
                    list.push(spot.clone());
                }
                for from in &derived.from {
                    self.collect_readings(from, list);
                }
            }
            None if !list.contains(spot) => list.push(spot.clone()),
            None => {}
        }
    }

    /// Returns whether a question comes up at a place.
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

    /// Returns what two people answered differently, where the answer matters: not where nothing is judged, nor where the
    /// question does not come up.
    pub fn disputes(&self) -> impl Iterator<Item = (&'a Spot, &'a Dispute)> {
        let idle = |spot: &Spot| {
            let mut steps = self.flow.steps.iter().filter(|step| !step.aside);
            let walked = steps.any(|step| step.facts().any(|fact| *fact == spot.fact));
            walked && self.turn(&spot.fact, spot.at) == Turn::Idle
        };
        self.case
            .disputes()
            .filter(move |(spot, _)| spot.fact == crate::fact::ORDER_SCOPE || self.covers(spot.at))
            .filter(move |(spot, _)| !idle(spot))
    }

    /// Evaluates the condition under which a question comes up, for the reason to be told.
    pub fn why_turn(&self, question: &Question, at: Place) -> Evaluation {
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
            Some(Turn::Unsure) => Gap::NotSeen,
            Some(Turn::Idle) | None => Gap::Idle,
        }
    }

    /// Returns whether a derived fact could not be computed from readings that are all there.
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

    fn keep(&mut self, kept: dislodgement::Kept, detail: Detail) {
        let results = self.results.to_mut();
        results.kept.push(kept);
        results.details.push(detail);
    }

    fn before(&self) -> Option<&'a Results> {
        self.before
    }

    /// Returns what was kept of a restoration as it was received, where this is a copy with something done to it.
    fn received(&self, restoration: u8) -> Option<&'a dislodgement::Kept> {
        self.before.filter(|_| self.is_copy)?.kept_of(restoration)
    }

    /// Returns how finely figures are to be computed.
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

    /// Keeps what a derivation came to.
    fn give(&mut self, fact: &FactId, at: Place, gathered: Gathered, value: Result<Value, String>) {
        let result = match value {
            _ if !gathered.applies || !self.covers(at) => return,
            _ if !gathered.missing.is_empty() => Worked::Waits(gathered.missing),
            Ok(Value::Number(number, _)) if !number.is_finite() => {
                Worked::Refused(reasons::BEYOND_COMPUTING.to_owned())
            }
            Ok(value) => match fact.spec().map(|spec| (spec, spec.check(&value))) {
                Some((spec, Err(Misfit::Bounds { .. }))) => {
                    Worked::Refused(reasons::implausible(&spec.kind))
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

    fn known(&self, fact: &FactId, at: Place) -> Option<&Value> {
        self.case.value(fact, at).or_else(|| self.value(fact, at))
    }

    fn resolve(&self, fact: &FactId, at: Place) -> Option<Place> {
        let spec = self.flow.spec(fact)?;
        self.units().resolve(spec.at, at)
    }

    fn within(&self, at: Place, kind: PlaceKind) -> Vec<Place> {
        let mut places = self.units().within(at, kind);
        if !self.not_covered.is_empty() {
            places.retain(|at| self.covers(*at));
        }
        places
    }
}
