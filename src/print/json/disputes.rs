//! What two people answered differently, in JSON.

use schemars::JsonSchema;
use serde::Serialize;

use super::shape::Moment;
use crate::case::decision::Decided;
use crate::case::dispute::Side;
use crate::derive::Facts;
use crate::fact::{FactId, Place, Spot};
use crate::phrase::Phrase;

/// What two people answered differently: a fact, or a question to the dentist.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Dispute")]
pub(super) struct DisputeObject<'a> {
    /// The fact; null for a question to the dentist and for the units.
    fact: Option<&'a FactId>,
    /// The rule that asks; null for a fact and for the units.
    rule: Option<&'a str>,
    /// Where.
    at: Place,
    /// What was answered, the first first.
    answers: Vec<SideObject<'a>>,
}

/// One of two answers.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "DisputedAnswer")]
struct SideObject<'a> {
    /// The answer in words.
    says: String,
    /// The code of the person at the bench; null if it is not known.
    who: Option<&'a str>,
    /// When; null if it is not known.
    when: Option<Moment>,
}

pub(super) fn in_dispute<'a>(facts: &Facts<'a>, phrase: Phrase<'a>) -> Vec<DisputeObject<'a>> {
    let case = facts.case();
    let side = |spot: &Spot, own: &'a Side| SideObject {
        says: phrase.answer_of(&spot.fact, own),
        who: own.who.as_deref(),
        when: own.when.map(Moment),
    };
    let noted = |own: &'a Decided| SideObject {
        says: phrase.decision(facts, own),
        who: own.who.as_deref(),
        when: own.when.map(Moment),
    };
    let spots = facts.disputes().map(|(spot, dispute)| DisputeObject {
        fact: Some(&spot.fact),
        rule: None,
        at: spot.at,
        answers: dispute.sides.iter().map(|own| side(spot, own)).collect(),
    });
    let matters = case
        .disputed_decisions()
        .map(|(about, both)| DisputeObject {
            fact: None,
            rule: Some(&about.rule),
            at: about.at,
            answers: both.iter().map(noted).collect(),
        });
    let units = || {
        let all = std::iter::once(&case.units).chain(case.disputed_units());
        all.map(|units| SideObject {
            says: phrase.all_units(units),
            who: None,
            when: None,
        })
        .collect()
    };
    let units = (!case.disputed_units().is_empty()).then(|| DisputeObject {
        fact: None,
        rule: None,
        at: Place::Case,
        answers: units(),
    });
    spots.chain(matters).chain(units).collect()
}
