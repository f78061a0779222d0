//! An implausible reading is to be confirmed before it is saved.
//!
//! It is judged on a copy: nothing reaches the journal before it is confirmed. Confirming has a key of its own that
//! answers nothing else, so that no key held down or pressed twice saves a slip.

use crate::case::Case;
use crate::derive::{Facts, Results};
use crate::fact::{Place, Spot, Value};
use crate::flow::{Fired, Flow, Rule, RuleId};
use crate::session::Inspection;
use crate::session::{Effect, Moment};

/// A reading to be confirmed, with the case as it would be.
pub(in crate::session) struct AskedBack {
    spot: Spot,
    value: Value,
    with: Option<String>,
    case: Case,
    results: Results,
    rule: RuleId,
    at: Place,
    held_at: Vec<Place>,
}

/// What is to be confirmed: the sentence, its place, and the facts to fill it with.
pub struct Doubted<'i> {
    /// The facts, as they would be.
    pub facts: Facts<'i>,
    /// The sentence, with placeholders.
    pub asks: &'i str,
    /// The place of the rule.
    pub at: Place,
    /// The places at which a count's inner condition held.
    pub held_at: &'i [Place],
}

impl Inspection {
    /// Returns what is to be confirmed, or `None` if nothing is.
    pub fn asked_back(&self) -> Option<Doubted<'_>> {
        let asked = self.hand.asked.as_ref().filter(|_| self.is_asked_back())?;
        Some(Doubted {
            facts: Facts::again(&self.flow, &asked.case, &asked.results),
            asks: self.flow.rule(asked.rule)?.asks_back.as_deref()?,
            at: asked.at,
            held_at: &asked.held_at,
        })
    }

    /// Returns whether a reading is to be confirmed.
    pub fn is_asked_back(&self) -> bool {
        let asked = self.hand.asked.as_ref();
        // One of another cell is none.
        asked.is_some_and(|asked| self.hand.cursor.as_ref() == Some(&asked.spot))
    }

    /// Saves the reading that was to be confirmed.
    pub(in crate::session) fn insist(&mut self, moment: &Moment) -> Vec<Effect> {
        let open = self.is_asked_back();
        let asked = self.hand.asked.take().filter(|_| open);
        self.settle();
        asked.map_or_else(Vec::new, |asked| {
            self.keep(asked.spot, asked.value, asked.with, moment)
        })
    }

    /// Returns whether a reading is to be confirmed: a rule that asks back fires with it and did not before, or the reading
    /// replaces another one.
    pub(in crate::session) fn doubts(
        &self,
        spot: &Spot,
        value: &Value,
        with: Option<&str>,
    ) -> Option<AskedBack> {
        let asks = |rule: &Rule| rule.asks_back.is_some();
        if *value == Value::NotSeen || !self.flow.rules.iter().any(asks) {
            return None;
        }
        let old = self.case.value(&spot.fact, spot.at);
        if old == Some(value) {
            return None;
        }
        let again = old.is_some_and(|old| *old != Value::NotSeen);
        let case = self.with_answer(spot, value.clone(), with.map(str::to_owned))?;
        let before = fired(&self.flow, &Facts::without_search(&self.flow, &self.case));
        let facts = Facts::without_search(&self.flow, &case);
        let known = |rule: RuleId, at: Place| {
            before
                .iter()
                .any(|(old, place, _)| (*old, *place) == (rule, at))
        };
        let rests_on_it = |fired: &Fired| {
            let mut evidence = fired.evidence.iter();
            evidence.any(|fact| facts.readings(fact).contains(spot))
        };
        let (rule, at, held_at) = fired_now(fired(&self.flow, &facts), |rule, at, fired| {
            !known(rule, at) || (again && rests_on_it(fired))
        })?;
        let results = facts.into_results();
        Some(AskedBack {
            spot: spot.clone(),
            value: value.clone(),
            with: with.map(str::to_owned),
            case,
            results,
            rule,
            at,
            held_at,
        })
    }
}

type Found = (RuleId, Place, Fired);

/// Returns the rules that ask back and fire.
fn fired(flow: &Flow, facts: &Facts<'_>) -> Vec<Found> {
    let asking = flow.rules().filter(|(_, rule)| rule.asks_back.is_some());
    let found = asking.flat_map(|(id, rule)| {
        let places = facts.places(rule.at).into_iter();
        places.filter_map(move |at| Some((id, at, rule.evaluate(facts, at).fired?)))
    });
    found.collect()
}

/// Returns the gravest that is to be asked; of equals, the first in the flow.
fn fired_now(
    found: Vec<Found>,
    asks: impl Fn(RuleId, Place, &Fired) -> bool,
) -> Option<(RuleId, Place, Vec<Place>)> {
    let asked = found
        .into_iter()
        .filter(|(rule, at, fired)| asks(*rule, *at, fired));
    let gravest =
        asked.min_by_key(|(rule, at, fired)| (std::cmp::Reverse(fired.level), *rule, *at));
    gravest.map(|(rule, at, fired)| (rule, at, fired.held_at))
}
