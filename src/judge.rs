//! One pure function from a flow and a case's facts to what was found.
//!
//! Screen, prints and JSON all call [`judge`]. It reads no clock, no disk, no global; no rule reads another's result.

pub mod doubt;
mod fold;
mod limits;

use crate::derive::Facts;
use crate::fact::{Place, Spot};
use crate::flow::{Flow, Level, RuleId};
use crate::logic::Gap;

pub use limits::{Limit, limits};

/// A rule that fired at a place.
#[derive(Clone, PartialEq, Debug)]
pub struct Finding {
    /// The rule.
    pub rule: RuleId,
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
    /// The rule.
    pub rule: RuleId,
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
    for (id, rule) in flow.rules() {
        for at in facts.units().within(Place::Case, rule.at) {
            let found = rule.evaluate(facts, at);
            findings.extend(found.fired.map(|fired| Finding {
                rule: id,
                level: fired.level,
                at,
                evidence: fired.evidence,
                held_at: fired.held_at,
                folded: Vec::new(),
            }));
            open_points.extend(found.open.map(|open| OpenPoint {
                rule: id,
                at,
                needs: open.needs,
                could_be: open.could_be,
            }));
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
