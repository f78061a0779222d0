//! Ways out and what was said to the questions, in JSON.

use serde::Serialize;

use super::rule_id;
use crate::call::{Ask, State};
use crate::case::decision::Decided;
use crate::derive::Facts;
use crate::fact::Place;
use crate::flow::{RuleId, Whose};
use crate::phrase::Phrase;
use crate::remedy::{WayOut, barred, for_the_dentist, ranked};

#[derive(Serialize)]
pub(super) struct RemedyObject<'a> {
    id: &'a str,
    at: Place,
    by: &'static str,
    /// The rank of what the laboratory can do; what is the dentist's has none.
    rank: Option<usize>,
    does: String,
    /// None where it changes no figure, or could not be tried.
    verdict: Option<&'static str>,
    changes: Vec<String>,
    tooth_cut_mm3: Option<f64>,
    barred: Option<&'a str>,
    price: String,
    days: u32,
    grip: Vec<GripObject>,
    walls: Vec<ShareObject>,
    gone: Vec<FoundObject<'a>>,
    new: Vec<FoundObject<'a>>,
    cautions: &'a [String],
    source: &'a str,
}

#[derive(Serialize)]
struct GripObject {
    at: String,
    before: Option<f64>,
    after: Option<f64>,
}

#[derive(Serialize)]
struct ShareObject {
    at: Place,
    before: f64,
    after: f64,
}

#[derive(Serialize)]
struct FoundObject<'a> {
    rule: &'a str,
    at: Place,
}

#[derive(Serialize)]
pub(super) struct CallObject<'a> {
    ask: String,
    why: String,
    rule: &'a str,
    at: Place,
    /// None while nobody decided and no standing agreement holds.
    decided: Option<DecidedObject>,
}

#[derive(Serialize)]
struct DecidedObject {
    outcome: &'static str,
    from: String,
    standing: bool,
    says: String,
}

/// What the laboratory can do by rank, what is the dentist's, then what is barred; to make it as ordered is no option.
pub(super) fn remedies<'a>(
    facts: &Facts<'_>,
    phrase: Phrase<'a>,
    ways: &'a [WayOut],
) -> Vec<RemedyObject<'a>> {
    let flow = phrase.flow;
    let laboratory = ranked(flow, ways)
        .into_iter()
        .map(|(rank, way)| (Some(rank), way));
    let dentist = for_the_dentist(flow, ways)
        .into_iter()
        .map(|way| (None, way));
    let barred = barred(ways).map(|way| (None, way));
    laboratory
        .chain(dentist)
        .chain(barred)
        .filter_map(|(rank, way)| remedy(facts, phrase, rank, way))
        .collect()
}

fn remedy<'a>(
    facts: &Facts<'_>,
    phrase: Phrase<'a>,
    rank: Option<usize>,
    way: &'a WayOut,
) -> Option<RemedyObject<'a>> {
    let remedy = way.of(phrase.flow)?;
    let after = way.after.as_ref();
    let found = |rule: RuleId, at: Place| FoundObject {
        rule: rule_id(phrase, rule),
        at,
    };
    Some(RemedyObject {
        id: &remedy.id,
        at: way.at,
        by: match remedy.by {
            Whose::Laboratory => "laboratory",
            Whose::Dentist => "dentist",
        },
        rank,
        does: phrase.does(facts, way),
        verdict: after.map(|after| after.verdict.level.as_str()),
        changes: phrase.changes(facts, &way.changes),
        tooth_cut_mm3: way.cut,
        barred: way.bar.as_deref(),
        price: phrase.price(remedy),
        days: remedy.days,
        grip: after
            .iter()
            .flat_map(|after| &after.grip)
            .map(|(id, before, after)| GripObject {
                at: format!("R{id}"),
                before: *before,
                after: *after,
            })
            .collect(),
        walls: after
            .iter()
            .flat_map(|after| &after.walls)
            .map(|(at, before, after)| ShareObject {
                at: *at,
                before: *before,
                after: *after,
            })
            .collect(),
        gone: after
            .iter()
            .flat_map(|after| &after.gone)
            .map(|(rule, at)| found(*rule, *at))
            .collect(),
        new: after
            .iter()
            .flat_map(|after| &after.new)
            .map(|(rule, at, _)| found(*rule, *at))
            .collect(),
        cautions: &remedy.cautions,
        source: &remedy.source,
    })
}

pub(super) fn call_object<'a>(
    facts: &Facts<'_>,
    phrase: Phrase<'a>,
    ask: &Ask<'_>,
) -> CallObject<'a> {
    let object = |decided: &Decided| DecidedObject {
        outcome: decided.decision.outcome.as_str(),
        from: decided.decision.from.to_string(),
        standing: false,
        says: phrase.decision(facts, decided),
    };
    CallObject {
        ask: ask.asks.clone(),
        why: phrase.says(facts, ask.finding),
        rule: rule_id(phrase, ask.finding.rule),
        at: ask.finding.at,
        decided: match ask.state {
            State::Open => None,
            State::Undecided(decided) | State::Decided(decided) => Some(object(decided)),
            State::Standing(agreement) => Some(DecidedObject {
                outcome: "agreed",
                from: agreement.from.to_string(),
                standing: true,
                says: phrase.agreement(agreement),
            }),
        },
    }
}
