//! One cause, one finding: what shares a cause is folded under the worst of it.
//!
//! Height, ratio, taper and resistance form of one prep share a cause: rules of one topic at one tooth are one line
//! with the rest under it. The flow names the topic, so that a supervisor can change it. Findings of prep and plan
//! stand apart: the prep is what was cut and folds with height and taper at its tooth; the plan is the restoration's,
//! and what helps it is another plan.
//!
//! Space that is short is asked about once for the whole piece, so that finding stands at the restoration, and what is
//! drawn there follows from it. A connector's finding that asks something of its own stays a line of its own.

use std::cmp::Reverse;

use super::Finding;
use crate::case::Units;
use crate::fact::Place;
use crate::flow::{Flow, RuleId};

/// Sorts findings, the gravest first, and folds those of one topic at one place.
///
/// Findings of a topic at walls fold with those at their tooth; a rule that fires at several walls of one tooth is
/// told once. What a connector has and asks nobody for folds under a finding of its restoration that is as grave.
pub(super) fn fold(mut findings: Vec<Finding>, flow: &Flow, units: &Units) -> Vec<Finding> {
    findings.sort_by_key(|finding| {
        (
            Reverse(finding.level),
            finding.rule,
            order(units, finding.at),
        )
    });
    let mut heads: Vec<Finding> = Vec::new();
    for finding in findings {
        let cause = cause(flow, &finding);
        let head = heads.iter_mut().find(|head| {
            self::cause(flow, head) == cause
                && (piece(head.at) == piece(finding.at)
                    || is_of_restoration(flow, units, head.at, &finding))
        });
        match head {
            Some(head) => head.folded.push(finding),
            None => heads.push(finding),
        }
    }
    heads
}

/// Returns the topic, or the rule itself if it has none.
fn cause<'f>(flow: &'f Flow, finding: &Finding) -> Result<&'f str, RuleId> {
    flow.rule(finding.rule)
        .and_then(|rule| rule.topic.as_deref())
        .ok_or(finding.rule)
}

/// Returns the tooth of a wall, or the place itself.
fn piece(at: Place) -> Place {
    match at {
        Place::Wall(tooth, _) => Place::Unit(tooth),
        at => at,
    }
}

/// Returns whether a finding at a connector of this restoration asks nothing, so that it may be folded under one of the
/// restoration.
fn is_of_restoration(flow: &Flow, units: &Units, head: Place, finding: &Finding) -> bool {
    let asks = flow
        .rule(finding.rule)
        .is_some_and(|rule| rule.asks.is_some());
    let owner = units.owner(finding.at).map(|r| Place::Restoration(r.id));
    matches!(finding.at, Place::Connector(..)) && !asks && owner == Some(head)
}

/// The order of the inspection within one level: restoration by restoration, units side by side.
fn order(units: &Units, at: Place) -> (u8, usize, Place) {
    let owner = units.owner(at);
    let position = match at {
        Place::Unit(tooth) | Place::Wall(tooth, _) => {
            owner.and_then(|r| r.units.iter().position(|unit| unit.tooth == tooth))
        }
        Place::Connector(..) => {
            owner.and_then(|r| r.connectors().position(|(place, ..)| place == at))
        }
        Place::Case | Place::Restoration(_) => None,
    };
    (owner.map_or(0, |r| r.id), position.unwrap_or(0), at)
}
