//! What is wrong with a flow's options whatever the case: they change nothing, spoil something, or undo one another.

use std::collections::BTreeSet;
use std::fmt;

use crate::case::{Case, CaseUnit, FlowRef, Layer, OrderedKind, Reading, Restoration, Role, Units};
use crate::derive::{Facts, Precision, REGISTRY};
use crate::fact::{
    CLEARANCE, CONNECTOR_HEIGHT, CONNECTOR_WIDTH, FactId, GROOVES, HEIGHT, MARGIN_FL, MARGIN_MD,
    Place, R_UNITS, SOUND_TOOTH, Spot, TOP_FL, TOP_MD, Value, WALL_HEIGHT, WALL_TAPER,
};
use crate::flow::{Flow, OptionRow, Rule, Verb};
use crate::judge::judge;
use crate::logic::{Condition, Truth};
use crate::phrase::faults::flow::options as said;
use crate::tooth::Tooth;

/// A fault of an option.
#[derive(Clone, PartialEq, Debug)]
pub struct Fault {
    /// Where the option stands: file and line.
    pub written: String,
    /// Its id.
    pub option: String,
    /// What is wrong.
    pub what: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&said::fault(&self.written, &self.option, &self.what))
    }
}

/// Returns every fault that shows without a case.
pub fn faults(flow: &Flow) -> Vec<Fault> {
    let mut found = Vec::new();
    for (index, option) in flow.options.iter().enumerate() {
        let mut fault = |what: String| {
            found.push(Fault {
                written: option.written.clone(),
                option: option.id.clone(),
                what,
            });
        };
        for name in in_vain(flow, option) {
            fault(said::in_vain(name));
        }
        for (fact, one, other) in contradictions(option) {
            fault(said::two_values(fact, one, other));
        }
        if let Verb::Set(values) = &option.verb {
            let case = stage(flow, option, values);
            let facts = Facts::with(flow, &case, Precision::MeasureAgain);
            for place in case.units.within(Place::Case, option.at) {
                let bars =
                    |(bar, _): &&(Condition, String)| bar.eval(&facts, place).truth == Truth::True;
                if let Some((_, why)) = option.bars.iter().find(bars) {
                    fault(said::bars_itself(why));
                    break;
                }
            }
            for finding in judge(flow, &facts).all_findings() {
                if let Some(rule) = flow.rule(finding.rule) {
                    fault(said::fires(&rule.id));
                    break;
                }
            }
        }
        for other in flow.options.iter().skip(index + 1) {
            if let Some(fact) = undo_each_other(option, other) {
                fault(said::undo_each_other(&other.id, &fact));
            }
        }
    }
    found
}

/// Names in `answers` that no rule matches, because no rule reads a fact that this option changes.
fn in_vain<'f>(flow: &Flow, option: &'f OptionRow) -> Vec<&'f str> {
    let changed = changed(option);
    if !option.verb.changes_figures() {
        return Vec::new();
    }
    option
        .answers
        .iter()
        .filter(|name| {
            !flow
                .rules
                .iter()
                .filter(|rule| rule.id == **name || rule.topic.as_ref() == Some(name))
                .any(|rule| looks_at(rule).intersection(&changed).next().is_some())
        })
        .map(String::as_str)
        .collect()
}

/// What a verb changes.
fn changed(option: &OptionRow) -> BTreeSet<FactId> {
    let facts: Vec<FactId> = match &option.verb {
        Verb::Deepen { .. } => vec![HEIGHT, WALL_HEIGHT, TOP_MD, TOP_FL, SOUND_TOOTH],
        Verb::Straighten { .. } => vec![WALL_TAPER, MARGIN_MD, MARGIN_FL],
        Verb::Groove(_) => vec![GROOVES],
        Verb::BuildUp { .. } => vec![HEIGHT, WALL_HEIGHT, CLEARANCE],
        Verb::Enlarge { .. } => vec![CONNECTOR_HEIGHT, CONNECTOR_WIDTH],
        Verb::Ease { off_prep, .. } if *off_prep => vec![CLEARANCE, HEIGHT, WALL_HEIGHT],
        Verb::Ease { .. } => vec![CLEARANCE],
        // Whatever rests on the units.
        Verb::AddAbutment | Verb::SplitUp => return every_fact(),
        Verb::Each(fact) => vec![fact.clone()],
        Verb::Set(values) => values.iter().map(|(fact, _)| fact.clone()).collect(),
        Verb::Say | Verb::AsItIs => Vec::new(),
    };
    facts.into_iter().collect()
}

fn every_fact() -> BTreeSet<FactId> {
    let derived = REGISTRY
        .iter()
        .flat_map(|derivation| derivation.gives.iter().chain(derivation.needs));
    derived.cloned().chain([R_UNITS]).collect()
}

/// The facts that a rule looks at, and those they are computed from.
fn looks_at(rule: &Rule) -> BTreeSet<FactId> {
    let mut seen = BTreeSet::new();
    let conditions = rule.levels.iter().map(|(_, level)| level);
    for condition in conditions.chain(&rule.raise) {
        condition.facts(rule.at, &mut |fact, _| {
            seen.insert(fact.clone());
        });
    }
    let mut waiting: Vec<FactId> = seen.iter().cloned().collect();
    while let Some(fact) = waiting.pop() {
        for derivation in REGISTRY.iter().filter(|d| d.gives.contains(&fact)) {
            for need in derivation.needs {
                if seen.insert(need.clone()) {
                    waiting.push(need.clone());
                }
            }
        }
    }
    seen
}

/// The facts that an option sets to two values, with both.
fn contradictions(option: &OptionRow) -> Vec<(&FactId, &Value, &Value)> {
    let Verb::Set(values) = &option.verb else {
        return Vec::new();
    };
    let mut found = Vec::new();
    for (index, (fact, value)) in values.iter().enumerate() {
        for (other, wanted) in values.iter().skip(index + 1) {
            if fact == other && value != wanted {
                found.push((fact, value, wanted));
            }
        }
    }
    found
}

/// The fact that two options set to different values for one finding at one kind of place.
fn undo_each_other(one: &OptionRow, other: &OptionRow) -> Option<String> {
    let (Verb::Set(own), Verb::Set(theirs)) = (&one.verb, &other.verb) else {
        return None;
    };
    let shared = one.answers.iter().any(|name| other.answers.contains(name));
    let differ = own.iter().find(|(fact, value)| {
        theirs
            .iter()
            .any(|(same, wanted)| same == fact && wanted != value)
    });
    differ
        .filter(|_| shared && one.at == other.at)
        .map(|(fact, _)| fact.to_string())
}

/// A bridge 44 x45 46 of which only what an option sets is known.
fn stage(flow: &Flow, option: &OptionRow, values: &[(FactId, Value)]) -> Case {
    let unit = |position, role| Tooth::new(4, position).map(|tooth| CaseUnit { tooth, role });
    let bridge = Restoration {
        id: 1,
        ordered: OrderedKind::Bridge,
        units: [
            unit(4, Role::Abutment),
            unit(5, Role::Pontic),
            unit(6, Role::Abutment),
        ]
        .into_iter()
        .flatten()
        .collect(),
    };
    let own = FlowRef {
        id: flow.id.clone(),
        version: flow.version,
        digest: flow.digest.clone(),
    };
    let units = Units::new(vec![bridge]).unwrap_or_default();
    let mut case = Case::new("invented", own, units);
    for at in case.units.within(Place::Case, option.at) {
        for (fact, value) in values {
            let kind = flow.spec(fact).map_or(option.at, |spec| spec.at);
            let places = match case.units.resolve(kind, at) {
                Some(at) => vec![at],
                None => case.units.within(at, kind),
            };
            for at in places {
                let spot = Spot {
                    fact: fact.clone(),
                    at,
                };
                case.put(spot, Layer::Proposed, Reading::plain(value.clone()));
            }
        }
    }
    case
}
