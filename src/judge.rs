//! One pure function from a flow and the facts of a case to the findings.
//!
//! Screen, prints and JSON all call [`judge`]. It reads no clock, no disk, no global; no rule reads another's result.

pub mod doubt;
mod fold;
mod limits;
mod record;

use serde::{Deserialize, Serialize};

use crate::derive::{Facts, Turn};
use crate::fact::{ORDER_SCOPE, Place, Spot, Value};
use crate::flow::{Flow, Level, RuleId};
use crate::logic::Gap;

pub use limits::{Limit, limits};
pub use record::record;

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

/// What cannot be decided, because a fact that it needs is unknown.
#[derive(Clone, PartialEq, Debug)]
pub struct OpenPoint {
    /// The rule, or `None` if it is open whether the work is covered at all, or two people answered differently.
    pub rule: Option<RuleId>,
    /// Where.
    pub at: Place,
    /// The asked facts it waits for, and why.
    pub needs: Vec<(Spot, Gap)>,
    /// The worst it may come to.
    pub could_be: Level,
    /// Whether it waits for nothing but what is drawn.
    pub drawn: bool,
}

impl OpenPoint {
    /// Returns whether somebody looked and could not tell, or a figure could not be computed; otherwise its questions are
    /// still to do.
    pub fn is_not_seen(&self) -> bool {
        self.needs.iter().any(|(_, gap)| gap.is_not_seen())
    }
}

/// The verdict on a case, or on one of its restorations.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Verdict {
    /// The worst level that fired.
    pub level: Level,
    /// The worst level that the open points still allow, without those that wait only for what is drawn; never under
    /// `level`.
    pub could_be: Level,
    /// The worst level that all open points still allow; never under `could_be`.
    pub drawn: Level,
    /// False if nothing of it is covered: then nothing was judged, and the levels mean nothing.
    ///
    /// Not covered is no level: a level says what was found, and of an implant nothing was looked at.
    pub covered: bool,
}

/// A verdict in one word.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum CaseResult {
    /// Nothing of it is covered.
    NotCovered,
    /// Nothing was found so far, and something still could be.
    Open,
    /// Nothing was found, and nothing is open but the drawing.
    NothingFound,
    /// Make it, with care.
    Watch,
    /// Ask before making.
    Call,
    /// Do not start.
    Hold,
}

impl CaseResult {
    /// Returns the name in JSON.
    pub fn as_str(self) -> &'static str {
        match self {
            CaseResult::NotCovered => "not-covered",
            CaseResult::Open => "open",
            CaseResult::NothingFound => Level::Fine.as_str(),
            CaseResult::Watch => Level::Watch.as_str(),
            CaseResult::Call => Level::Call.as_str(),
            CaseResult::Hold => Level::Hold.as_str(),
        }
    }
}

impl Verdict {
    /// The verdict on what is not covered.
    const NOT_COVERED: Verdict = Verdict {
        level: Level::Fine,
        could_be: Level::Fine,
        drawn: Level::Fine,
        covered: false,
    };

    /// Returns the verdict in one word.
    pub fn outcome(self) -> CaseResult {
        match self.level {
            _ if !self.covered => CaseResult::NotCovered,
            Level::Fine if self.is_open() => CaseResult::Open,
            Level::Fine => CaseResult::NothingFound,
            Level::Watch => CaseResult::Watch,
            Level::Call => CaseResult::Call,
            Level::Hold => CaseResult::Hold,
        }
    }

    /// Returns whether it was judged, nothing was found and nothing is open but the drawing.
    pub fn is_fine(self) -> bool {
        self.outcome() == CaseResult::NothingFound
    }

    /// Returns whether an open point could make it worse, other than one that waits only for the drawing.
    pub fn is_open(self) -> bool {
        self.could_be > self.level
    }

    /// Returns whether the drawing could make it worse than any other open point.
    pub fn awaits_drawing(self) -> bool {
        self.drawn > self.could_be
    }
}

/// The result of judging a case.
#[derive(Clone, PartialEq, Debug)]
pub struct Judgement {
    /// The verdict over the whole case.
    pub verdict: Verdict,
    /// The verdict of each restoration, by its number: its own places and those of the case.
    pub by_restoration: Vec<(u8, Verdict)>,
    /// Findings, the gravest first; those that share a cause are folded under it.
    pub findings: Vec<Finding>,
    /// Open points, the worst first.
    pub open_points: Vec<OpenPoint>,
}

impl Judgement {
    /// Takes over the judgement of an earlier record for the restorations that are made on it.
    fn take_over(&mut self, old: Judgement, facts: &Facts<'_>, restorations: &[u8]) {
        let owner = |at: Place| facts.units().owner(at).map(|owner| owner.id);
        let theirs = |at: Place| owner(at).is_some_and(|id| restorations.contains(&id));
        self.findings.retain(|finding| !theirs(finding.at));
        self.open_points.retain(|point| !theirs(point.at));
        for finding in old.findings {
            let known = |own: &Finding| (own.rule, own.at) == (finding.rule, finding.at);
            let of_the_record = owner(finding.at).is_none() && !self.findings.iter().any(known);
            if theirs(finding.at) || of_the_record {
                self.findings.push(finding);
            }
        }
        self.findings
            .sort_by_key(|finding| std::cmp::Reverse(finding.level));
        let points = old.open_points.into_iter();
        self.open_points
            .extend(points.filter(|point| theirs(point.at)));
        for (id, verdict) in &mut self.by_restoration {
            if restorations.contains(id)
                && let Some((_, then)) = old.by_restoration.iter().find(|(own, _)| own == id)
            {
                *verdict = *then;
            }
        }
        let worst = |of: fn(&Verdict) -> Level| {
            let covered = self.by_restoration.iter().filter(|(_, own)| own.covered);
            covered.map(|(_, own)| of(own)).max().unwrap_or(Level::Fine)
        };
        self.verdict = Verdict {
            level: worst(|own| own.level),
            could_be: worst(|own| own.could_be),
            drawn: worst(|own| own.drawn),
            covered: self.by_restoration.iter().any(|(_, own)| own.covered),
        };
    }

    /// Returns every finding, folded ones after their heads.
    pub fn all_findings(&self) -> impl Iterator<Item = &Finding> {
        self.findings
            .iter()
            .flat_map(|finding| std::iter::once(finding).chain(&finding.folded))
    }
}

/// Judges a case. What is not covered is not judged. A restoration that is made on an earlier record is judged on that
/// record.
pub fn judge(flow: &Flow, facts: &Facts<'_>) -> Judgement {
    let mut judgement = judge_present(flow, facts);
    let case = facts.case();
    for earlier in case.earlier_records() {
        let copy = case.on_record(earlier);
        let then = Facts::after(flow, &copy, facts.precision(), facts.results());
        let old = judge_present(flow, &then);
        judgement.take_over(old, facts, &earlier.restorations);
    }
    judgement
}

fn judge_present(flow: &Flow, facts: &Facts<'_>) -> Judgement {
    let mut findings = Vec::new();
    let mut open_points = unknown_kinds(flow, facts);
    open_points.extend(disputed(facts));
    for (id, rule) in flow.rules() {
        for at in facts.places(rule.at) {
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
                rule: Some(id),
                at,
                drawn: waits_for_drawing(flow, &open.needs),
                needs: open.needs,
                could_be: open.could_be,
            }));
        }
    }
    let verdict = |at: Place, own: &dyn Fn(Place) -> bool| {
        if facts.covers(at) {
            self::verdict(&findings, &open_points, own)
        } else {
            Verdict::NOT_COVERED
        }
    };
    let whole = verdict(Place::Case, &|_| true);
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
            let at = Place::Restoration(restoration.id);
            (restoration.id, verdict(at, &own))
        })
        .collect();
    let findings = fold::fold(findings, flow, facts.units());
    open_points.sort_by_key(|point| (std::cmp::Reverse(point.could_be), point.rule, point.at));
    Judgement {
        verdict: whole,
        by_restoration,
        findings,
        open_points,
    }
}

/// Returns the restorations whose kind of work is unknown, as open points: they could be of a kind that is not covered.
fn unknown_kinds(flow: &Flow, facts: &Facts<'_>) -> Vec<OpenPoint> {
    if flow.question(&ORDER_SCOPE).is_none() {
        return Vec::new();
    }
    let unknown = facts.covered().into_iter().filter_map(|restoration| {
        let at = Place::Restoration(restoration.id);
        let gap = match facts.case().value(&ORDER_SCOPE, at) {
            Some(Value::NotSeen) => Gap::NotSeen,
            None if facts.turn(&ORDER_SCOPE, at) != Turn::Idle => Gap::NotAsked,
            Some(_) | None => return None,
        };
        let fact = ORDER_SCOPE;
        Some((at, vec![(Spot { fact, at }, gap)]))
    });
    unknown
        .map(|(at, needs)| OpenPoint {
            rule: None,
            at,
            needs,
            could_be: Level::Call,
            drawn: false,
        })
        .collect()
}

/// Returns what two people answered differently, as open points: whatever rests on it is open, and so is the case.
fn disputed(facts: &Facts<'_>) -> Vec<OpenPoint> {
    let case = facts.case();
    let point = |at, needs, could_be| OpenPoint {
        rule: None,
        at,
        needs,
        could_be,
        drawn: false,
    };
    let mut points: Vec<OpenPoint> = facts
        .disputes()
        .map(|(spot, _)| point(spot.at, vec![(spot.clone(), Gap::NotAsked)], Level::Hold))
        .collect();
    if !case.disputed_units().is_empty() {
        points.push(point(Place::Case, Vec::new(), Level::Hold));
    }
    points
}

/// Returns whether nothing is missing but the drawing; facts that are not asked are not missed.
fn waits_for_drawing(flow: &Flow, needs: &[(Spot, Gap)]) -> bool {
    let mut missed = needs.iter().filter(|(_, gap)| *gap != Gap::Idle).peekable();
    missed.peek().is_some() && missed.all(|(spot, _)| flow.is_drawn(&spot.fact))
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
    let open = |drawn: bool| {
        open_points
            .iter()
            .filter(|p| own(p.at) && (drawn || !p.drawn))
            .map(|p| p.could_be)
            .max()
            .unwrap_or(Level::Fine)
    };
    let could_be = level.max(open(false));
    Verdict {
        level,
        could_be,
        drawn: could_be.max(open(true)),
        covered: true,
    }
}
