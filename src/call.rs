//! The call: which findings ask the dentist, what was said to them, and what only the dentist can tell.
//!
//! A decision or a standing instruction never changes a finding or its level; it only keeps the same question from being
//! asked twice. What is on hold is never silenced by a standing instruction.
//!
//! Standing instructions are an argument here and not of rules: a level says what was found.

use crate::case::coming::{Part, awaited};
use crate::case::decision::{Decided, Decision, DentistAnswer, Matter};
use crate::case::instruction::Instruction;
use crate::case::{Case, Layer};
use crate::derive::{Facts, Turn};
use crate::fact::{ORDER_DENTIST, Place, Spot, Value};
use crate::flow::{Flow, Level, replaced};
use crate::judge::{Finding, Judgement};
use crate::logic::Gap;
use crate::phrase::Phrase;

/// The most questions for one call. Common practice: a fourth one is rarely answered.
pub const MOST_QUESTIONS: usize = 3;

/// A question for the dentist.
#[derive(Clone, Debug)]
pub struct Ask<'j> {
    /// The question.
    pub asks: String,
    /// The finding that asks it, or the head of those that share its cause.
    pub finding: &'j Finding,
    /// The finding whose rule has the words of the question: `finding`, or one folded under it.
    pub words_of: &'j Finding,
    /// Its answer.
    pub state: QuestionState<'j>,
}

/// The answer to a question.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum QuestionState<'j> {
    /// Nothing yet.
    Open,
    /// The dentist declines what was asked for: it needs another way.
    Declined(&'j Decided),
    /// What was agreed has come in, and it is found again.
    Again(&'j Decided),
    /// It was accepted as it was, and has changed since.
    Changed(&'j Decided),
    /// It was asked or agreed to, and something has still to come in: the answer, a record, a written order.
    Awaiting(&'j Decided),
    /// It was decided, and nothing more has to come in.
    Decided(&'j Decided),
    /// The dentist has agreed to it for every case.
    Standing(&'j Instruction),
}

impl<'j> QuestionState<'j> {
    /// Returns the decision, if there is one.
    pub fn decided(self) -> Option<&'j Decided> {
        match self {
            QuestionState::Declined(decided)
            | QuestionState::Again(decided)
            | QuestionState::Changed(decided)
            | QuestionState::Awaiting(decided)
            | QuestionState::Decided(decided) => Some(decided),
            QuestionState::Open | QuestionState::Standing(_) => None,
        }
    }
}

impl Ask<'_> {
    /// Returns whether it is still to be asked.
    pub fn is_open(&self) -> bool {
        matches!(
            self.state,
            QuestionState::Open
                | QuestionState::Declined(_)
                | QuestionState::Again(_)
                | QuestionState::Changed(_)
        )
    }

    /// Returns whether it was asked and nothing was decided yet.
    pub fn awaits_answer(&self) -> bool {
        let asked = |own: &Decided| own.decision.outcome == DentistAnswer::NoDecision;
        self.is_awaited() && self.state.decided().is_some_and(asked)
    }

    /// Returns whether something has still to come in for it.
    pub fn is_awaited(&self) -> bool {
        matches!(self.state, QuestionState::Awaiting(_))
    }
}

/// Returns the matter under which the decision on a finding is kept.
pub fn matter(flow: &Flow, finding: &Finding) -> Matter {
    Matter {
        rule: flow
            .rule(finding.rule)
            .map_or_else(String::new, |rule| rule.id.clone()),
        at: finding.at,
    }
}

/// Returns the questions of findings at CALL or ON HOLD, the gravest first, none twice. One cause asks once.
pub fn asks<'j>(
    facts: &'j Facts<'_>,
    judgement: &'j Judgement,
    phrase: Phrase<'_>,
    instructions: &'j [Instruction],
) -> Vec<Ask<'j>> {
    asked(facts, judgement, phrase, instructions, |level| {
        level >= Level::Call
    })
}

/// Returns the questions of findings at WATCH: for a letter, never for the phone.
pub fn remarks<'j>(
    facts: &'j Facts<'_>,
    judgement: &'j Judgement,
    phrase: Phrase<'_>,
    instructions: &'j [Instruction],
) -> Vec<Ask<'j>> {
    let mut list = asked(facts, judgement, phrase, instructions, |level| {
        level == Level::Watch
    });
    // A new impression is of no use once the restoration is made: it is asked for before, or not at all.
    list.retain(|ask| !asks_for_a_record(phrase.flow, ask.words_of));
    list
}

/// Returns whether a choice of a finding's question means an option that brings a new impression or scan.
fn asks_for_a_record(flow: &Flow, finding: &Finding) -> bool {
    let Some(rule) = flow.rule(finding.rule) else {
        return false;
    };
    let answers = |name: &String| *name == rule.id || Some(name) == rule.topic.as_ref();
    flow.options().any(|(_, option)| {
        option.brings_a_record()
            && option.answers.iter().any(answers)
            && option
                .said
                .iter()
                .any(|(words, _)| rule.choices.contains(words))
    })
}

fn asked<'j>(
    facts: &'j Facts<'_>,
    judgement: &'j Judgement,
    phrase: Phrase<'_>,
    instructions: &'j [Instruction],
    of: impl Fn(Level) -> bool,
) -> Vec<Ask<'j>> {
    let mut list: Vec<Ask<'j>> = Vec::new();
    // What is closed is not asked about any more.
    let is_closed = |own: &Finding| facts.case().is_closed(own.at);
    for finding in judgement
        .findings
        .iter()
        .filter(|own| of(own.level) && !is_closed(own))
    {
        // The head may have nothing to ask where a folded finding has.
        let asks = std::iter::once(finding)
            .chain(&finding.folded)
            .filter(|own| of(own.level))
            .find_map(|own| Some((phrase.asks(facts, own)?, own)));
        if let Some((asks, words_of)) = asks
            && !list.iter().any(|known| known.asks == asks)
        {
            let state = state(facts, finding, phrase.flow, instructions);
            list.push(Ask {
                asks,
                finding,
                words_of,
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
    instructions: &'j [Instruction],
) -> QuestionState<'j> {
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
        let about = &decision.about;
        let never = flow.rule(finding.rule).is_some_and(|rule| rule.never);
        // What is on hold is made as it is on a written order alone; an older version kept a spoken word too.
        let barred = decision.outcome == DentistAnswer::AsItIs
            && finding.level == Level::Hold
            && decision.coming.is_none()
            && !decision.amended;
        return match decision.outcome {
            DentistAnswer::Refused => QuestionState::Declined(decided),
            _ if barred => QuestionState::Open,
            // Nobody with a say said anything.
            DentistAnswer::AsItIs if decision.by.is_none() => QuestionState::Open,
            DentistAnswer::Agreed if says_nothing(flow, decision) => QuestionState::Open,
            DentistAnswer::AsItIs if !case.is_as_seen(decision) => QuestionState::Changed(decided),
            _ if case.wait(about).is_some() => QuestionState::Awaiting(decided),
            DentistAnswer::NoDecision => QuestionState::Open,
            // No answer makes this right: what is found all the same is asked about again until it is not.
            _ if never && finding.level == Level::Hold => QuestionState::Again(decided),
            _ if case.is_spent(about) => QuestionState::Again(decided),
            // Words asked for something else than as it is: what is found all the same is asked about again.
            DentistAnswer::Agreed if decision.taken.is_empty() && decision.changes_nothing() => {
                QuestionState::Again(decided)
            }
            // What is on hold is settled on a written order alone, whatever was agreed.
            _ if finding.level == Level::Hold && !is_written(case, decided) => QuestionState::Open,
            _ => QuestionState::Decided(decided),
        };
    }
    let Some(Value::Text(dentist)) = facts.value(&ORDER_DENTIST, Place::Case) else {
        return QuestionState::Open;
    };
    instructions
        .iter()
        .filter(|_| finding.level < Level::Hold)
        .find(|instruction| {
            instruction.dentist == *dentist && equals.iter().any(|m| m.rule == instruction.rule)
        })
        .map_or(QuestionState::Open, QuestionState::Standing)
}

/// Returns whether an agreement names neither an option of the flow nor what was said.
fn says_nothing(flow: &Flow, decision: &Decision) -> bool {
    let known = |id: &str| flow.options().any(|(_, option)| option.id == id);
    let named = decision.taken.iter().any(|taken| known(&taken.option));
    !named && decision.words.is_empty() && decision.changes_nothing()
}

/// Returns whether the written order that a decision needs is here.
fn is_written(case: &Case, decided: &Decided) -> bool {
    let decision = &decided.decision;
    let came = case.got(&decision.about);
    decision.amended || came.iter().any(|(part, _)| *part == Part::Order)
}

/// Returns the answer to a finding's question in words, whether or not it is still asked, or `None` if there is none.
pub fn said(
    facts: &Facts<'_>,
    finding: &Finding,
    phrase: Phrase<'_>,
    instructions: &[Instruction],
) -> Option<String> {
    match state(facts, finding, phrase.flow, instructions) {
        QuestionState::Open => None,
        QuestionState::Standing(instruction) => Some(phrase.instruction(instruction)),
        state => state
            .decided()
            .map(|decided| phrase.decision(facts, decided)),
    }
}

/// Returns the decisions that belong to none of these questions: what they answered is no longer asked.
pub fn earlier<'c>(case: &'c Case, asks: &[Ask<'_>]) -> Vec<&'c Decided> {
    case.decisions()
        .filter(|decided| {
            !asks.iter().any(|ask| {
                ask.state
                    .decided()
                    .is_some_and(|shown| shown.decision.about == decided.decision.about)
            })
        })
        .collect()
}

/// Something that only the dentist can tell, and that is not known.
#[derive(Clone, PartialEq, Debug)]
pub struct Tell {
    /// The fact and its place.
    pub spot: Spot,
    /// The question to the dentist.
    pub asks: String,
    /// The worst that may come of it.
    pub could_be: Level,
    /// Whether the dentist was asked and does not know either.
    pub is_unknown: bool,
}

/// Returns what only the dentist can tell: what the bench looked for and could not see, and what depends on the
/// dentist's answer. Each once, the gravest first.
pub fn tells(facts: &Facts<'_>, judgement: &Judgement, phrase: Phrase<'_>) -> Vec<Tell> {
    let mut list: Vec<Tell> = Vec::new();
    let case = facts.case();
    let awaited = awaited(case);
    let replaced: Vec<Spot> = awaited
        .iter()
        .flat_map(|own| replaced(phrase.flow, case, own.part, own, false))
        .collect();
    let mut tell = |spot: &Spot, could_be: Level| {
        // What is on its way brings another one: nobody needs to know of the old one.
        if case.is_closed(spot.at) || replaced.contains(spot) {
            return;
        }
        let Some(text) = phrase
            .flow
            .question(&spot.fact)
            .and_then(|question| question.dentist.as_deref())
        else {
            return;
        };
        match list.iter_mut().find(|known| known.spot == *spot) {
            Some(known) => known.could_be = known.could_be.max(could_be),
            None => list.push(Tell {
                asks: phrase.tell(facts, text, spot.at),
                could_be,
                is_unknown: facts.case().reading(spot, Layer::Decided).is_some(),
                spot: spot.clone(),
            }),
        }
    };
    for point in &judgement.open_points {
        // What is still to be read at the bench may answer it too.
        for (spot, gap) in &point.needs {
            let of_dentist = phrase.flow.is_dentists(&spot.fact);
            if *gap == Gap::NotSeen || of_dentist && *gap == Gap::NotAsked {
                tell(spot, point.could_be);
            }
        }
    }
    for question in &phrase.flow.questions {
        if question.dentist.is_none() {
            continue;
        }
        for at in facts.units().within(Place::Case, question.at) {
            let spot = Spot {
                fact: question.fact.clone(),
                at,
            };
            let not_seen = facts.case().value(&spot.fact, at) == Some(&Value::NotSeen);
            if not_seen && facts.turn(&question.fact, at) == Turn::Up {
                tell(&spot, Level::Fine);
            }
        }
    }
    list.sort_by(|a, b| {
        let by_level = b.could_be.cmp(&a.could_be);
        by_level.then_with(|| a.spot.at.cmp(&b.spot.at))
    });
    list
}
