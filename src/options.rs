//! Options: each option of the flow is tried on a copy of the case, and the copy is judged.
//!
//! A level never depends on what could be done about it: nothing here is looked at by a rule. In both lists come first
//! those that answer the worst that was found. Within that, what the laboratory can do is ranked by result, price and
//! time, with ties; what is for the dentist to consider keeps the flow's order.

mod change;
mod faults;
mod once;
mod order;
mod places;
mod search;
mod steady;
mod taken;
mod together;

use crate::case::{Case, Layer, Reading, Units};
use crate::derive::{Facts, Precision};
use crate::fact::{EFFECTIVE_SHARE, FactId, GRIP, PLAN_SHARE, Place, Spot, Unit, Value};
use crate::flow::{Flow, Level, OptionId, OptionRow, RuleId, Verb};
use crate::judge::{Judgement, Verdict, judge};

pub use faults::{Fault, faults};
pub use order::{Worst, barred, for_the_dentist, ranked};
pub use search::{case_options, tried_by};
pub use steady::steady;
pub use taken::{Changes, answering, taken};
pub use together::{Together, together, together_unpruned};

/// How much of a change is enough.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Amount {
    /// So much more or less.
    By(f64, Unit),
    /// Down to this.
    To(f64, Unit),
}

/// An option at a place, tried.
#[derive(Clone, PartialEq, Debug)]
pub struct CaseOption {
    /// The option.
    pub option: OptionId,
    /// Where.
    pub at: Place,
    /// The walls that it changes.
    pub walls: Vec<Place>,
    /// The choice that is tried.
    pub choice: Option<Choice>,
    /// How much was found to be enough, or the most that can be done.
    pub amount: Option<Amount>,
    /// What changes in the case.
    pub changes: Vec<(Spot, Value)>,
    /// The units afterwards, where they change.
    pub units: Option<Units>,
    /// Tooth that is cut, in mm³.
    pub cut: Option<f64>,
    /// Why it is not to be done, if so.
    pub bar: Option<String>,
    /// Whether it cannot be done or must not be; otherwise a bar only says that it is not worth it by itself.
    pub forbidden: bool,
    /// What comes of it, or `None` if it changes no figure or cannot be tried.
    pub after: Option<After>,
    /// What it does to the worst of what was found.
    pub worst: Worst,
    /// Walls at which the same by the same amount comes to the same; told with it in one line.
    pub also: Vec<Vec<Place>>,
    /// Whether another option's line tells it too.
    pub told_elsewhere: bool,
}

/// What an option chooses.
#[derive(Clone, PartialEq, Debug)]
pub enum Choice {
    /// A value of a fact.
    Value(FactId, Value),
    /// A tooth.
    Tooth(crate::tooth::Tooth),
}

/// What comes of a change.
#[derive(Clone, PartialEq, Debug)]
pub struct After {
    /// The verdict.
    pub verdict: Verdict,
    /// The worst that is left of what it answers.
    pub left: Level,
    /// Findings that go, by rule and place.
    pub gone: Vec<(RuleId, Place)>,
    /// Findings that come, or get worse, by rule, place and level.
    pub new: Vec<(RuleId, Place, Level)>,
    /// The level, before, of the worst finding that goes or gets lower; fine where none does.
    pub relieved: Level,
    /// Grip of each restoration.
    pub grip: Vec<GripChange>,
    /// The part of each changed wall that resists, in per cent, before and after.
    pub walls: Vec<(Place, f64, f64)>,
}

/// Grip of a restoration at its weakest retainer before and after, and its parts: `grip = prep * plan`.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct GripChange {
    /// The restoration's number.
    pub restoration: u8,
    /// Grip, before and after.
    pub grip: [Option<f64>; 2],
    /// What of it is the prep's.
    pub prep: [Option<f64>; 2],
    /// What of it is the plan's; none for a single crown.
    pub plan: [Option<f64>; 2],
}

impl GripChange {
    /// Returns grip before and after where both are known.
    pub fn both(&self) -> Option<(f64, f64)> {
        let [before, after] = self.grip;
        before.zip(after)
    }
}

impl CaseOption {
    /// Returns whether a choice of a question, in the words of the flow, means it.
    pub fn is_meant(&self, flow: &Flow, words: &str) -> bool {
        let picks = match &self.choice {
            Some(Choice::Value(_, value)) => value.choice(),
            _ => None,
        };
        self.of(flow).is_some_and(|option| {
            let mut said = option.said.iter();
            said.any(|(own, choice)| {
                own == words && (choice.is_none() || choice.as_deref() == picks)
            })
        })
    }

    /// Returns the option.
    pub fn of<'f>(&self, flow: &'f Flow) -> Option<&'f OptionRow> {
        flow.option(self.option)
    }

    /// Returns whether it leaves the work as it is: an answer of the call, and no advice.
    pub fn is_as_it_is(&self, flow: &Flow) -> bool {
        self.of(flow)
            .is_some_and(|option| option.verb == Verb::AsItIs)
    }

    /// Returns whether nothing bars it.
    pub fn is_open(&self) -> bool {
        self.bar.is_none()
    }
}

/// A case with what follows from it.
struct JudgedCopy<'a> {
    flow: &'a Flow,
    facts: &'a Facts<'a>,
    judgement: &'a Judgement,
}

/// Returns a copy of a case with changes in the layer of what is tried out.
pub fn proposed(case: &Case, changes: &[(Spot, Value)], units: Option<&Units>) -> Case {
    let mut copy = case.clone();
    if let Some(units) = units {
        copy.units = units.clone();
    }
    for (spot, value) in changes {
        copy.put(spot.clone(), Layer::Proposed, Reading::plain(value.clone()));
    }
    copy
}

/// Returns the facts of a copy, to the precision of the screen: comparing does not want more. What the change leaves
/// as it was is taken over from those of the case.
fn quick<'a>(before: &'a Facts<'_>, case: &'a Case) -> Facts<'a> {
    Facts::on_copy(
        before.flow(),
        case,
        Precision::MeasureAgain,
        before.results(),
    )
}

/// Compares a changed case with the one before.
fn compare(
    before: &JudgedCopy<'_>,
    after: &Facts<'_>,
    walls: &[Place],
    left: impl Fn(RuleId, Place) -> bool,
) -> After {
    let judgement = judge(before.flow, after);
    let level_of = |judgement: &Judgement, rule: RuleId, at: Place| {
        judgement
            .all_findings()
            .find(|finding| finding.rule == rule && finding.at == at)
            .map(|finding| finding.level)
    };
    let relieved = before
        .judgement
        .all_findings()
        .filter(|finding| {
            level_of(&judgement, finding.rule, finding.at).unwrap_or(Level::Fine) < finding.level
        })
        .map(|finding| finding.level)
        .max()
        .unwrap_or(Level::Fine);
    let gone = before
        .judgement
        .all_findings()
        .filter(|finding| level_of(&judgement, finding.rule, finding.at).is_none())
        .map(|finding| (finding.rule, finding.at))
        .collect();
    let new = judgement
        .all_findings()
        .filter(|finding| {
            level_of(before.judgement, finding.rule, finding.at).unwrap_or(Level::Fine)
                < finding.level
        })
        .map(|finding| (finding.rule, finding.at, finding.level))
        .collect();
    let number =
        |facts: &Facts<'_>, fact: &FactId, at: Place| facts.value(fact, at).and_then(Value::number);
    let grip = before
        .facts
        .units()
        .restorations()
        .iter()
        .map(|restoration| {
            let at = Place::Restoration(restoration.id);
            let both = |fact: &FactId| [before.facts, after].map(|facts| number(facts, fact, at));
            let (grip, plan) = (both(&GRIP), both(&PLAN_SHARE));
            let of_prep = |index: usize| {
                let plan: &Option<f64> = plan.get(index)?;
                Some(grip.get(index).copied().flatten()? / plan.unwrap_or(1.0))
            };
            GripChange {
                restoration: restoration.id,
                grip,
                prep: [of_prep(0), of_prep(1)],
                plan,
            }
        })
        .collect();
    let walls = walls
        .iter()
        .filter_map(|at| {
            Some((
                *at,
                number(before.facts, &EFFECTIVE_SHARE, *at)?,
                number(after, &EFFECTIVE_SHARE, *at)?,
            ))
        })
        .collect();
    let left = judgement
        .all_findings()
        .filter(|finding| left(finding.rule, finding.at))
        .map(|finding| finding.level)
        .max()
        .unwrap_or(Level::Fine);
    After {
        verdict: judgement.verdict,
        left,
        gone,
        new,
        relieved,
        grip,
        walls,
    }
}

impl After {
    /// Returns whether something comes or gets worse that is as bad as the worst that goes or gets lower.
    fn makes_as_bad(&self) -> bool {
        self.new.iter().any(|(.., level)| *level >= self.relieved)
    }

    /// Returns whether nothing came of it: no finding goes, gets lower, comes or gets worse, and no grip moves.
    fn is_nothing(&self) -> bool {
        self.relieved == Level::Fine
            && self.new.is_empty()
            && self.grip.iter().all(|change| match change.grip {
                [Some(before), Some(after)] => (before - after).abs() < 5e-3,
                [before, after] => before == after,
            })
            && self
                .walls
                .iter()
                .all(|(_, before, after)| (before - after).abs() < 0.5)
    }
}
