//! The judgement of a case, as recorded in its journal.

use super::Judgement;
use crate::case::life::{Judged, Ruled, Said, Stage};
use crate::derive::Facts;
use crate::fact::{Place, Spot, Value};
use crate::flow::{Flow, RuleId};

/// Returns the outcome of every rule at every place, with the figures it read.
pub fn record(flow: &Flow, facts: &Facts<'_>, judgement: &Judgement, stage: Stage) -> Judged {
    let figure = |spot: &Spot| -> Option<(Spot, Value)> {
        let value = facts.value(&spot.fact, spot.at)?;
        // No free words in what is kept for counting.
        (!matches!(value, Value::Text(_))).then(|| (spot.clone(), rounded(value)))
    };
    let mut rules = Vec::new();
    for (id, rule) in flow.rules() {
        for at in facts.units().within(Place::Case, rule.at) {
            let Some((said, spots)) = said(judgement, id, at) else {
                continue;
            };
            rules.push(Ruled {
                rule: rule.id.clone(),
                at,
                said,
                figures: spots.iter().filter_map(figure).collect(),
            });
        }
    }
    Judged {
        stage,
        engine: env!("CARGO_PKG_VERSION").to_owned(),
        flow: flow.digest.clone(),
        rules,
    }
}

/// Returns the outcome of a rule at a place, and the figures it read. An open rule may have fired at a lower level.
fn said(judgement: &Judgement, id: RuleId, at: Place) -> Option<(Said, Vec<Spot>)> {
    let fired = judgement
        .all_findings()
        .find(|finding| finding.rule == id && finding.at == at);
    if let Some(finding) = fired {
        let level = finding.level.as_str().to_owned();
        return Some((Said::Fired(level), finding.evidence.clone()));
    }
    let open = judgement
        .open_points
        .iter()
        .find(|point| point.rule == Some(id) && point.at == at);
    Some(match open {
        Some(point) => (Said::Open(point.could_be.as_str().to_owned()), Vec::new()),
        None => (Said::Silent, Vec::new()),
    })
}

/// Rounds a figure: the last digits of a searched one depend on where the search began.
fn rounded(value: &Value) -> Value {
    match value {
        Value::Number(number, unit) if number.is_finite() => {
            let kept = format!("{number:.3e}").parse().unwrap_or(*number);
            Value::Number(kept, *unit)
        }
        value => value.clone(),
    }
}
