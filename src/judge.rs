//! One pure function from a flow and a case's facts to what was found.
//!
//! Screen, prints and JSON all call [`judge`]. It reads no clock, no disk, no global; no rule reads another's result.

pub mod doubt;
mod fold;
mod limits;

use crate::derive::Facts;
use crate::fact::{Place, Spot};
use crate::flow::{Flow, Level, Rule};
use crate::logic::{Gap, Truth};

pub use limits::{Limit, limits};

/// A rule that fired at a place.
#[derive(Clone, PartialEq, Debug)]
pub struct Finding {
    /// The rule, by its place in the flow's list.
    pub rule: usize,
    /// The level, raises included.
    pub level: Level,
    /// Where.
    pub at: Place,
    /// The facts that made it fire, raises included.
    pub evidence: Vec<Spot>,
    /// The places at which a count's inner condition held.
    pub held_at: Vec<Place>,
    /// Findings that share its cause.
    pub folded: Vec<Finding>,
}

/// A rule that cannot be decided, since a fact it needs is unknown.
#[derive(Clone, PartialEq, Debug)]
pub struct OpenPoint {
    /// The rule, by its place in the flow's list.
    pub rule: usize,
    /// Where.
    pub at: Place,
    /// The asked facts it waits for, and why.
    pub needs: Vec<(Spot, Gap)>,
    /// The worst it may come to.
    pub could_be: Level,
}

impl OpenPoint {
    /// Says whether somebody looked and could not tell, or a figure could not be worked out; otherwise its questions
    /// are still to come.
    pub fn is_not_seen(&self) -> bool {
        self.needs
            .iter()
            .any(|(_, gap)| matches!(gap, Gap::NotSeen | Gap::NotComputed))
    }
}

/// What a case comes to.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Verdict {
    /// The worst level that fired.
    pub level: Level,
    /// The worst level that the open points still allow; never under `level`.
    pub could_be: Level,
}

impl Verdict {
    /// Says whether nothing was found and nothing is open.
    pub fn is_fine(self) -> bool {
        self.could_be == Level::Fine
    }

    /// Says whether an open point could make it worse.
    pub fn is_open(self) -> bool {
        self.could_be > self.level
    }
}

/// Everything that judging gives.
#[derive(Clone, PartialEq, Debug)]
pub struct Judgement {
    /// The verdict over the whole case.
    pub verdict: Verdict,
    /// The verdict of each restoration, by its number: its own places and those of the case.
    pub by_restoration: Vec<(u8, Verdict)>,
    /// Findings, what decides first; what shares a cause folded under it.
    pub findings: Vec<Finding>,
    /// Open points, the worst first.
    pub open_points: Vec<OpenPoint>,
}

impl Judgement {
    /// Returns every finding, folded ones behind their heads.
    pub fn all_findings(&self) -> impl Iterator<Item = &Finding> {
        self.findings
            .iter()
            .flat_map(|finding| std::iter::once(finding).chain(&finding.folded))
    }
}

/// Judges a case.
pub fn judge(flow: &Flow, facts: &Facts<'_>) -> Judgement {
    let mut findings = Vec::new();
    let mut open_points = Vec::new();
    for (index, rule) in flow.rules.iter().enumerate() {
        for at in facts.units().within(Place::Case, rule.at) {
            try_rule(index, rule, facts, at, &mut findings, &mut open_points);
        }
    }
    let verdict = verdict(&findings, &open_points, |_| true);
    let by_restoration = facts
        .units()
        .restorations()
        .iter()
        .map(|restoration| {
            let own = |at: Place| {
                facts
                    .units()
                    .owner(at)
                    .is_none_or(|owner| owner.id == restoration.id)
            };
            (restoration.id, self::verdict(&findings, &open_points, own))
        })
        .collect();
    let findings = fold::fold(findings, flow, facts.units());
    open_points.sort_by_key(|point| (std::cmp::Reverse(point.could_be), point.rule, point.at));
    Judgement {
        verdict,
        by_restoration,
        findings,
        open_points,
    }
}

fn try_rule(
    index: usize,
    rule: &Rule,
    facts: &Facts<'_>,
    at: Place,
    findings: &mut Vec<Finding>,
    open_points: &mut Vec<OpenPoint>,
) {
    let mut needs: Vec<(Spot, Gap)> = Vec::new();
    let mut could_be = Level::Fine;
    let mut fired = None;
    for (level, condition) in &rule.levels {
        let outcome = condition.eval(facts, at);
        if outcome.truth == Truth::True {
            fired = Some((*level, outcome));
            break;
        }
        if outcome.is_open() {
            could_be = could_be.max(*level);
            needs.extend(outcome.needs);
        }
    }
    let raises: Vec<_> = rule
        .raise
        .iter()
        .map(|raise| raise.eval(facts, at))
        .collect();
    let raised = raises
        .iter()
        .filter(|outcome| outcome.truth == Truth::True)
        .count();
    let could_raise = raises.iter().filter(|outcome| outcome.is_open()).count();
    if could_be > Level::Fine || fired.is_some() {
        let base = could_be.max(fired.as_ref().map_or(Level::Fine, |(level, _)| *level));
        could_be = base.raised(raised + could_raise);
        for outcome in raises.iter().filter(|outcome| outcome.is_open()) {
            needs.extend(outcome.needs.iter().cloned());
        }
    }
    let mut level_now = Level::Fine;
    if let Some((level, outcome)) = fired {
        level_now = level.raised(raised);
        let mut evidence = outcome.evidence;
        for spot in raises
            .iter()
            .filter(|o| o.truth == Truth::True)
            .flat_map(|o| &o.evidence)
        {
            if !evidence.contains(spot) {
                evidence.push(spot.clone());
            }
        }
        findings.push(Finding {
            rule: index,
            level: level_now,
            at,
            evidence,
            held_at: outcome.held_at,
            folded: Vec::new(),
        });
    }
    if could_be > level_now && !needs.is_empty() {
        needs.sort();
        needs.dedup();
        open_points.push(OpenPoint {
            rule: index,
            at,
            needs,
            could_be,
        });
    }
}

fn verdict(
    findings: &[Finding],
    open_points: &[OpenPoint],
    own: impl Fn(Place) -> bool,
) -> Verdict {
    let level = findings
        .iter()
        .filter(|f| own(f.at))
        .map(|f| f.level)
        .max()
        .unwrap_or(Level::Fine);
    let open = open_points
        .iter()
        .filter(|p| own(p.at))
        .map(|p| p.could_be)
        .max()
        .unwrap_or(Level::Fine);
    Verdict {
        level,
        could_be: level.max(open),
    }
}
