//! Options and what was said to the questions, in JSON.

use schemars::JsonSchema;
use serde::Serialize;

use super::rule_id;
use super::shape::{Day, OutcomeWord, SourceShape, VerdictShape, WhoseWord};
use crate::call::{Ask, QuestionState};
use crate::case::decision::{Decided, DentistAnswer};
use crate::derive::Facts;
use crate::fact::Place;
use crate::flow::RuleId;
use crate::options::{CaseOption, barred, for_the_dentist, ranked};
use crate::phrase::{Phrase, rounded};

/// An option, tried.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Option")]
pub(super) struct OptionObject<'a> {
    /// Its id in the flow.
    id: &'a str,
    /// Where.
    at: Place,
    /// Whose decision it is.
    by: WhoseWord,
    /// The rank among the options of the laboratory; null if it is the dentist's or barred.
    rank: Option<usize>,
    /// What is done, as an instruction.
    does: String,
    /// The result that it leads to; null if it changes no figure or could not be tried.
    verdict: Option<VerdictShape>,
    /// What changes, in words.
    changes: Vec<String>,
    /// Tooth that is cut, in mm³; null if that is not computed.
    tooth_cut_mm3: Option<f64>,
    /// Why it must not be done; null if nothing bars it.
    barred: Option<&'a str>,
    /// What it costs, in words.
    price: String,
    /// Days that it takes.
    days: u32,
    /// Grip of each restoration before and after.
    grip: Vec<GripObject>,
    /// The effective share of each changed wall, in per cent, before and after.
    walls: Vec<ShareObject>,
    /// Findings that go.
    gone: Vec<FoundObject<'a>>,
    /// Findings that come or get graver.
    new: Vec<FoundObject<'a>>,
    /// What to be careful about.
    cautions: &'a [String],
    /// Where it comes from.
    source: Option<SourceShape<'a>>,
}

/// Grip before and after.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "GripChange")]
struct GripObject {
    /// The restoration.
    at: Place,
    /// Before, or null if there is no figure.
    before: Option<f64>,
    /// After, or null if there is no figure.
    after: Option<f64>,
    /// The share of the prep, before; grip is the product of the two shares.
    prep_before: Option<f64>,
    /// The share of the prep, after.
    prep_after: Option<f64>,
    /// The share of the plan, before; null for a single crown.
    plan_before: Option<f64>,
    /// The share of the plan, after; null for a single crown.
    plan_after: Option<f64>,
}

/// The effective share of a wall, in per cent, before and after.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "WallChange")]
struct ShareObject {
    /// The wall.
    at: Place,
    /// Before.
    before: f64,
    /// After.
    after: f64,
}

/// A finding by its rule.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Found")]
struct FoundObject<'a> {
    /// The rule.
    rule: &'a str,
    /// Where.
    at: Place,
}

/// A question for the dentist.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Question")]
pub(super) struct CallObject<'a> {
    /// The question.
    ask: String,
    /// Why it is asked.
    why: String,
    /// The rule that asks.
    rule: &'a str,
    /// Where.
    at: Place,
    /// What was decided; null while nothing was decided and no standing instruction holds.
    decided: Option<DecidedObject>,
}

/// What was decided about a question.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Decided")]
struct DecidedObject {
    /// The outcome.
    outcome: OutcomeWord,
    /// The day it holds from.
    from: Day,
    /// Whether it is a standing instruction.
    standing: bool,
    /// The decision in words.
    says: String,
}

/// Returns the laboratory's options by rank, the dentist's, then those that are barred; to make it as ordered is not one.
pub(super) fn options<'a>(
    facts: &Facts<'_>,
    phrase: Phrase<'a>,
    ways: &'a [CaseOption],
) -> Vec<OptionObject<'a>> {
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
        .filter_map(|(rank, way)| option(facts, phrase, rank, way))
        .collect()
}

fn option<'a>(
    facts: &Facts<'_>,
    phrase: Phrase<'a>,
    rank: Option<usize>,
    way: &'a CaseOption,
) -> Option<OptionObject<'a>> {
    let option = way.of(phrase.flow)?;
    let after = way.after.as_ref();
    let found = |rule: RuleId, at: Place| FoundObject {
        rule: rule_id(phrase, rule),
        at,
    };
    Some(OptionObject {
        id: &option.id,
        at: way.at,
        by: WhoseWord(option.by),
        rank,
        does: phrase.does(facts, way),
        verdict: after.map(|after| after.verdict.into()),
        changes: phrase.changes(facts, &way.changes),
        tooth_cut_mm3: way.cut.map(|cut| rounded(cut, 1)),
        barred: way.bar.as_deref(),
        price: phrase.price(option),
        days: option.days,
        grip: after
            .iter()
            .flat_map(|after| &after.grip)
            .map(|change| {
                let two = |both: [Option<f64>; 2]| both.map(|own| own.map(|own| rounded(own, 2)));
                let [before, after] = two(change.grip);
                let [prep_before, prep_after] = two(change.prep);
                let [plan_before, plan_after] = two(change.plan);
                GripObject {
                    at: Place::Restoration(change.restoration),
                    before,
                    after,
                    prep_before,
                    prep_after,
                    plan_before,
                    plan_after,
                }
            })
            .collect(),
        walls: after
            .iter()
            .flat_map(|after| &after.walls)
            .map(|(at, before, after)| ShareObject {
                at: *at,
                before: rounded(*before, 0),
                after: rounded(*after, 0),
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
        cautions: &option.cautions,
        source: SourceShape::of(phrase.flow, &option.source),
    })
}

pub(super) fn call_object<'a>(
    facts: &Facts<'_>,
    phrase: Phrase<'a>,
    ask: &Ask<'_>,
) -> CallObject<'a> {
    let object = |decided: &Decided| DecidedObject {
        outcome: OutcomeWord(decided.decision.outcome),
        from: Day(decided.decision.from),
        standing: false,
        says: phrase.decision(facts, decided),
    };
    CallObject {
        ask: ask.asks.clone(),
        why: phrase.says(facts, ask.finding),
        rule: rule_id(phrase, ask.finding.rule),
        at: ask.finding.at,
        decided: match ask.state {
            QuestionState::Standing(instruction) => Some(DecidedObject {
                outcome: OutcomeWord(DentistAnswer::Agreed),
                from: Day(instruction.from),
                standing: true,
                says: phrase.instruction(instruction),
            }),
            state => state.decided().map(object),
        },
    }
}
