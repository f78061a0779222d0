//! The call: which findings ask the dentist something, and what was already said to them.
//!
//! A decision or a standing agreement never changes a finding or its level; it only keeps the same question from being
//! asked twice. What is on hold is never silenced by a standing agreement.

use crate::case::Case;
use crate::case::agreement::Agreement;
use crate::case::decision::{Decided, Matter, Outcome};
use crate::derive::Facts;
use crate::fact::{ORDER_DENTIST, Place, Value};
use crate::flow::{Flow, Level};
use crate::judge::{Finding, Judgement};
use crate::phrase::Phrase;

/// The most questions for one call. Common practice: nobody answers a fourth.
pub const MOST_QUESTIONS: usize = 3;

/// A question for the dentist.
#[derive(Clone, Debug)]
pub struct Ask<'j> {
    /// The question.
    pub asks: String,
    /// The finding that asks it.
    pub finding: &'j Finding,
    /// What was said to it.
    pub state: State<'j>,
}

/// What was said to a question.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum State<'j> {
    /// Nothing yet.
    Open,
    /// It was asked, and nobody has decided yet.
    Undecided(&'j Decided),
    /// It was decided.
    Decided(&'j Decided),
    /// The dentist has agreed to it for every case.
    Standing(&'j Agreement),
}

impl Ask<'_> {
    /// Says whether it is still to be asked.
    pub fn is_open(&self) -> bool {
        matches!(self.state, State::Open | State::Undecided(_))
    }
}

/// Returns what a finding's decision is kept under.
pub fn matter(flow: &Flow, finding: &Finding) -> Matter {
    Matter {
        rule: flow
            .rule(finding.rule)
            .map_or_else(String::new, |rule| rule.id.clone()),
        at: finding.at,
    }
}

/// Returns the questions of findings that call or hold, what decides first, none twice. One cause asks once.
pub fn asks<'j>(
    facts: &'j Facts<'_>,
    judgement: &'j Judgement,
    phrase: Phrase<'_>,
    agreements: &'j [Agreement],
) -> Vec<Ask<'j>> {
    let mut list: Vec<Ask<'j>> = Vec::new();
    for finding in judgement
        .findings
        .iter()
        .filter(|finding| finding.level >= Level::Call)
    {
        // The head may have nothing to ask where a folded finding has.
        let asks = std::iter::once(finding)
            .chain(&finding.folded)
            .filter(|finding| finding.level >= Level::Call)
            .find_map(|finding| phrase.asks(facts, finding));
        if let Some(asks) = asks
            && !list.iter().any(|known| known.asks == asks)
        {
            let state = state(facts, finding, phrase.flow, agreements);
            list.push(Ask {
                asks,
                finding,
                state,
            });
        }
    }
    list
}

fn state<'j>(
    facts: &'j Facts<'_>,
    finding: &'j Finding,
    flow: &Flow,
    agreements: &'j [Agreement],
) -> State<'j> {
    // Findings of one cause change places as readings come; what was said to one as grave is said to the cause.
    let equals: Vec<Matter> = std::iter::once(finding)
        .chain(&finding.folded)
        .filter(|other| other.level == finding.level)
        .map(|finding| matter(flow, finding))
        .collect();
    let case = facts.case();
    let newest = equals
        .iter()
        .filter_map(|matter| case.decision(matter))
        .max_by_key(|decided| decided.when);
    if let Some(decided) = newest {
        let decision = &decided.decision;
        // Making what is on hold wants the order amended in writing.
        let barred = decision.outcome == Outcome::AsItIs
            && finding.level == Level::Hold
            && !decision.amended;
        return if decision.is_settled() && !barred {
            State::Decided(decided)
        } else {
            State::Undecided(decided)
        };
    }
    let Some(Value::Text(dentist)) = facts.value(&ORDER_DENTIST, Place::Case) else {
        return State::Open;
    };
    agreements
        .iter()
        .filter(|_| finding.level < Level::Hold)
        .find(|agreement| {
            agreement.dentist == *dentist && equals.iter().any(|m| m.rule == agreement.rule)
        })
        .map_or(State::Open, State::Standing)
}

/// Says what was said to a finding's question, whether or not it is still asked.
pub fn said(
    facts: &Facts<'_>,
    finding: &Finding,
    phrase: Phrase<'_>,
    agreements: &[Agreement],
) -> Option<String> {
    match state(facts, finding, phrase.flow, agreements) {
        State::Open => None,
        State::Undecided(decided) | State::Decided(decided) => {
            Some(phrase.decision(facts, decided))
        }
        State::Standing(agreement) => Some(phrase.agreement(agreement)),
    }
}

/// Returns the decisions that none of these questions shows: what they answered is no longer asked.
pub fn earlier<'c>(case: &'c Case, asks: &[Ask<'_>]) -> Vec<&'c Decided> {
    case.decisions()
        .filter(|decided| {
            !asks.iter().any(|ask| {
                matches!(ask.state, State::Undecided(shown) | State::Decided(shown)
                    if shown.decision.about == decided.decision.about)
            })
        })
        .collect()
}
