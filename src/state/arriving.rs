//! Arrivals: which agreements they answer, and which readings they replace.

use std::fmt;

use jiff::civil::Date;

use crate::case::Case;
use crate::case::coming::{Arrival, Awaited, Part, awaited};
use crate::case::decision::Matter;
use crate::flow::{Flow, replaced};
use crate::judge::Judgement;
use crate::phrase::prompts::call as said;

/// Why something cannot have arrived.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum ArrivalError {
    /// It was not agreed that it comes.
    NotAwaited(Part),
    /// The question is still open: the dentist's answer is chosen on the call.
    AnswerOnCall,
    /// It comes after healing, and that is still awaited.
    NotHealed(Part),
    /// It would have come before it was agreed.
    BeforeAgreed(Part, Date),
}

impl fmt::Display for ArrivalError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&match self {
            ArrivalError::NotAwaited(part) => said::not_awaited(*part),
            ArrivalError::AnswerOnCall => said::ANSWER_ON_CALL.to_owned(),
            ArrivalError::NotHealed(part) => said::not_healed(*part),
            ArrivalError::BeforeAgreed(part, agreed) => said::before_agreed(*part, *agreed),
        })
    }
}

impl std::error::Error for ArrivalError {}

/// Returns an arrival: the decisions it answers, and the readings to take again.
///
/// # Errors
/// It is not awaited for any of these restorations, the day is before it was agreed, healing is still awaited, or it is an
/// answer to a question that is still open: the arrival would not say which answer.
pub fn arrival(
    flow: &Flow,
    (case, judgement): (&Case, &Judgement),
    part: Part,
    restorations: &[u8],
    on: Date,
) -> Result<Arrival, ArrivalError> {
    let own: Vec<Awaited> = awaited(case)
        .into_iter()
        .filter(|own| {
            own.part == part
                && (restorations.is_empty()
                    || own.restorations.iter().any(|id| restorations.contains(id)))
        })
        .collect();
    if own.is_empty() {
        return Err(ArrivalError::NotAwaited(part));
    }
    let is_asked = |about: &Matter| {
        judgement.all_findings().any(|finding| {
            let rule = flow.rule(finding.rule);
            finding.at == about.at && rule.is_some_and(|rule| rule.id == about.rule)
        })
    };
    if part == Part::Answer && own.iter().flat_map(|own| &own.matters).any(is_asked) {
        return Err(ArrivalError::AnswerOnCall);
    }
    let heals = |about: &Matter| {
        let wait = case.wait(about);
        wait.is_some_and(|wait| wait.missing.iter().any(|(own, _)| *own == Part::Healed))
    };
    if part.is_inspected() && own.iter().flat_map(|own| &own.matters).any(heals) {
        return Err(ArrivalError::NotHealed(part));
    }
    let mut arrival = Arrival {
        matters: Vec::new(),
        parts: vec![part],
        on,
        restorations: Vec::new(),
        anew: Vec::new(),
    };
    for awaited in &own {
        let agreed = awaited
            .matters
            .iter()
            .filter_map(|about| Some(case.decision(about)?.decision.from))
            .min();
        if let Some(agreed) = agreed.filter(|agreed| on < *agreed) {
            return Err(ArrivalError::BeforeAgreed(part, agreed));
        }
        for spot in replaced(flow, case, part, awaited, true) {
            if !arrival.anew.contains(&spot) {
                arrival.anew.push(spot);
            }
        }
        arrival.matters.extend(awaited.matters.iter().cloned());
        arrival.restorations.extend(&awaited.restorations);
    }
    arrival.restorations.sort_unstable();
    arrival.restorations.dedup();
    Ok(arrival)
}
