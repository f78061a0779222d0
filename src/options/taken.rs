//! What taking options changes in a case, one on top of the other.

use super::order::Worst;
use super::search::Attempt;
use super::{Amount, CaseOption, Choice, JudgedCopy, proposed, quick};
use crate::case::decision::Taken;
use crate::case::{Layer, Units};
use crate::derive::Facts;
use crate::fact::{Spot, Value};
use crate::flow::{Flow, Verb};
use crate::judge::{Finding, Judgement, judge};

/// What several options change when they are taken one after the other.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Changes {
    /// The facts.
    pub values: Vec<(Spot, Value)>,
    /// The restorations, where they change.
    pub units: Option<Units>,
}

/// Takes options one after the other. None where one of them cannot be taken any more after those before.
pub fn taken(flow: &Flow, facts: &Facts<'_>, ways: &[&CaseOption]) -> Option<Changes> {
    let mut case = facts.case().clone();
    let mut units = None;
    for (index, way) in ways.iter().enumerate() {
        if index == 0 {
            units.clone_from(&way.units);
            case = proposed(&case, &way.changes, way.units.as_ref());
            continue;
        }
        let change = {
            let facts = quick(facts, &case);
            let judgement = judge(flow, &facts);
            let there = JudgedCopy {
                flow,
                facts: &facts,
                judgement: &judgement,
            };
            let attempt = Attempt::of(way);
            facts.units().has(way.at).then_some(())?;
            there.change(&attempt, way.amount).ok()?
        };
        case = proposed(&case, &change.values, change.units.as_ref());
        units = change.units.or(units);
    }
    let values = case
        .layers()
        .filter(|(_, layer, _)| *layer == Layer::Proposed)
        .map(|(spot, _, reading)| (spot.clone(), reading.value.clone()))
        .collect();
    Some(Changes { values, units })
}

/// Returns the options that may answer a finding or what is folded under it, in their order.
pub fn answering<'w>(
    flow: &Flow,
    facts: &Facts<'_>,
    judgement: &Judgement,
    finding: &Finding,
    ways: &'w [CaseOption],
) -> Vec<&'w CaseOption> {
    let judged = JudgedCopy {
        flow,
        facts,
        judgement,
    };
    let answers = |way: &&CaseOption| {
        way.of(flow).is_some_and(|option| {
            std::iter::once(finding)
                .chain(&finding.folded)
                .any(|found| judged.concerns(option, way.at, found.rule, found.at))
        })
    };
    ways.iter().filter(answers).collect()
}

impl CaseOption {
    /// Returns what a decision keeps of it.
    pub fn to_taken(&self, flow: &Flow) -> Taken {
        Taken {
            option: self.of(flow).map_or_else(String::new, |r| r.id.clone()),
            at: self.at,
            walls: self.walls.clone(),
            amount: self.amount.map(|amount| match amount {
                Amount::By(number, unit) | Amount::To(number, unit) => Value::Number(number, unit),
            }),
            choice: self.choice.as_ref().map(|choice| match choice {
                Choice::Value(_, value) => value.clone(),
                Choice::Tooth(tooth) => Value::Teeth(vec![*tooth]),
            }),
        }
    }

    /// Returns what was taken as an option again, without what came of it. None where the flow has no such option.
    pub fn of_taken(flow: &Flow, taken: &Taken) -> Option<CaseOption> {
        let (id, option) = flow.options().find(|(_, r)| r.id == taken.option)?;
        let verb = &option.verb;
        let amount = match (&taken.amount, verb) {
            (Some(Value::Number(number, unit)), Verb::Straighten { .. }) => {
                Some(Amount::To(*number, *unit))
            }
            (Some(Value::Number(number, unit)), _) => Some(Amount::By(*number, *unit)),
            _ => None,
        };
        let choice = match (&taken.choice, verb) {
            (Some(Value::Teeth(teeth)), _) => teeth.first().map(|tooth| Choice::Tooth(*tooth)),
            (Some(value), Verb::Each(fact)) => Some(Choice::Value(fact.clone(), value.clone())),
            _ => None,
        };
        Some(CaseOption {
            option: id,
            at: taken.at,
            walls: taken.walls.clone(),
            choice,
            amount,
            changes: Vec::new(),
            units: None,
            cut: None,
            bar: None,
            forbidden: false,
            after: None,
            worst: Worst::Stays,
            also: Vec::new(),
            told_elsewhere: false,
        })
    }

    /// Returns whether another is the same option at the same place, whatever comes of it.
    pub fn is_same(&self, other: &CaseOption) -> bool {
        self.option == other.option
            && self.at == other.at
            && self.walls == other.walls
            && self.choice == other.choice
    }
}
