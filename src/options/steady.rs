//! How much is enough with the reading error in mind.

use super::search::Attempt;
use super::{Amount, CaseOption, JudgedCopy};
use crate::case::{Case, Layer, Reading};
use crate::derive::Facts;
use crate::fact::{Kind, Spot, Value};
use crate::flow::{Flow, Level};
use crate::judge::doubt::error_of;
use crate::judge::{Judgement, judge};

/// Returns the least amount that is still enough when any one reading behind what it answers is off by one standard
/// deviation either way. None where even the most is not, or where there is no amount.
///
/// The readings of all findings that the option answers at its place are moved, one at a time; decided values and answers
/// by choice are not.
pub fn steady(
    flow: &Flow,
    facts: &Facts<'_>,
    judgement: &Judgement,
    way: &CaseOption,
) -> Option<Amount> {
    let judged = JudgedCopy {
        flow,
        facts,
        judgement,
    };
    let option = way.of(flow)?;
    let found = way.amount?;
    let wanted = way.after.as_ref()?.left;
    let attempt = Attempt::of(way);
    let moved = moved(&judged, option_readings(&judged, &attempt));
    let amounts: Vec<Amount> = judged
        .amounts(option, &attempt)
        .into_iter()
        .flatten()
        .skip_while(|amount| *amount != found)
        .collect();
    let holds = |amount: Amount| {
        moved
            .iter()
            .all(|case| left(facts, case, &attempt, amount).is_some_and(|left| left <= wanted))
    };
    // More is never worse: halve the range.
    let (mut low, mut high) = (0, amounts.len());
    while low < high {
        let middle = (low + high) / 2;
        match amounts.get(middle) {
            Some(amount) if holds(*amount) => high = middle,
            _ => low = middle + 1,
        }
    }
    amounts.get(high).copied()
}

/// The readings that the answered findings rest on.
fn option_readings(judged: &JudgedCopy<'_>, attempt: &Attempt) -> Vec<Spot> {
    let mut list = Vec::new();
    let Some(option) = judged.flow.option(attempt.option) else {
        return list;
    };
    for finding in judged.judgement.all_findings() {
        if !judged.concerns(option, attempt.at, finding.rule, finding.at) {
            continue;
        }
        for spot in finding
            .evidence
            .iter()
            .flat_map(|spot| judged.facts.readings(spot))
        {
            if !list.contains(&spot) {
                list.push(spot);
            }
        }
    }
    list
}

/// The case with each reading off by one standard deviation, either way.
fn moved(judged: &JudgedCopy<'_>, readings: Vec<Spot>) -> Vec<Case> {
    let case = judged.facts.case();
    let mut list = vec![case.clone()];
    for spot in readings {
        let Some(reading) = case.reading(&spot, Layer::Measured) else {
            continue;
        };
        let (Value::Number(number, unit), Some(error)) =
            (&reading.value, error_of(judged.facts, &spot, reading))
        else {
            continue;
        };
        let kind = judged.flow.spec(&spot.fact).map(|spec| spec.kind.clone());
        let Some(Kind::Number { least, most, .. }) = kind else {
            continue;
        };
        for to in [number - error, number + error] {
            let mut off = case.clone();
            let value = Value::Number(to.clamp(least, most), *unit);
            let reading = Reading {
                value,
                ..reading.clone()
            };
            off.put(spot.clone(), Layer::Measured, reading);
            list.push(off);
        }
    }
    list
}

/// What is left of what is answered, in a case that reads a little otherwise.
fn left(before: &Facts<'_>, case: &Case, attempt: &Attempt, amount: Amount) -> Option<Level> {
    let flow = before.flow();
    let facts = super::quick(before, case);
    let judgement = judge(flow, &facts);
    let there = JudgedCopy {
        flow,
        facts: &facts,
        judgement: &judgement,
    };
    let option = flow.option(attempt.option)?;
    let (_, after) = there.tried(option, attempt, Some(amount)).ok()?;
    Some(after.left)
}
