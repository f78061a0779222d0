//! Questions on paper: those that one option answers are one question, and each has its boxes to tick.
//!
//! Only on paper: a decision is kept under the rule and place of one finding. A question that answers two on the screen
//! would need one decision on two matters, and undo with it.

use super::{Document, Told};
use crate::call::{Ask, QuestionState, asks};
use crate::flow::Level;
use crate::judge::Finding;
use crate::options::{CaseOption, answering, for_the_dentist, ranked};
use crate::phrase::sheets;

/// A question on paper: of one finding, or of several that one option answers.
///
/// On the screen and in the archive each of them stays a question of its own.
pub(super) struct Question<'t> {
    /// The questions of the findings, at least one.
    pub(super) parts: Vec<Ask<'t>>,
    /// The option that answers them, if they are several.
    pub(super) settles: Option<String>,
}

impl Question<'_> {
    /// Returns the letter before a part; empty if it is the only part.
    pub(super) fn letter(&self, index: usize) -> String {
        match u8::try_from(index) {
            Ok(index @ 0..26) if self.parts.len() > 1 => {
                format!("{}) ", char::from(b'a' + index))
            }
            _ => String::new(),
        }
    }

    /// Returns the question, or the head of a question of several parts.
    pub(super) fn head(&self) -> String {
        match (&self.settles, self.parts.first()) {
            (Some(way), _) => sheets::settled_by_one(self.parts.len(), way),
            (None, Some(ask)) => ask.asks.clone(),
            (None, None) => String::new(),
        }
    }

    /// Adds the boxes to tick, then a box with a line for any other answer.
    pub(super) fn boxes(&self, document: &mut Document, told: Told<'_>) {
        if let Some(way) = &self.settles {
            document.tick(sheets::settles_all(way));
        }
        for (index, ask) in self.parts.iter().enumerate() {
            for choice in told.phrase.choices(told.facts, ask.words_of) {
                document.tick(format!("{}{choice}", self.letter(index)));
            }
            // Whoever declined what stands above finds here what else there is.
            if matches!(ask.state, QuestionState::Declined(_)) {
                let rule = told.phrase.flow.rule(ask.finding.rule);
                let as_it_is = rule.is_some_and(|rule| !rule.never);
                let ways = as_it_is.then_some(sheets::AS_IT_IS_IN_WRITING);
                for way in ways.into_iter().chain([sheets::OFF_THE_ORDER]) {
                    document.tick(format!("{}{way}", self.letter(index)));
                }
            }
        }
        document.blank(format!("   [ ] {}", sheets::OTHER));
    }
}

/// Returns the questions that are still to be asked, or were asked and not answered, the gravest first.
pub(super) fn questions<'t>(told: Told<'t>) -> Vec<Question<'t>> {
    let open = asks(
        told.facts,
        told.judgement,
        told.phrase,
        told.beside.instructions,
    )
    .into_iter()
    .filter(|ask| ask.is_open() || ask.awaits_answer());
    let mut list: Vec<(Option<CaseOption>, Question<'t>)> = Vec::new();
    for ask in open {
        let first = options(told, ask.finding)
            .1
            .into_iter()
            .next()
            .filter(|way| takes_away(way, ask.finding));
        let same = |own: &Option<CaseOption>| match (own, &first) {
            (Some(own), Some(first)) => is_same(own, first),
            _ => false,
        };
        match list.iter_mut().find(|(own, _)| same(own)) {
            Some((way, question)) => {
                question.parts.push(ask);
                let way = way.as_ref().map(|way| told.phrase.does(told.facts, way));
                question.settles = way;
            }
            None => {
                let parts = vec![ask];
                let settles = None;
                list.push((first, Question { parts, settles }));
            }
        }
    }
    list.into_iter().map(|(_, question)| question).collect()
}

/// Returns the options for a finding: the laboratory's own by rank, and those for the dentist in the flow's order.
pub(super) fn options(told: Told<'_>, finding: &Finding) -> (Vec<CaseOption>, Vec<CaseOption>) {
    let Some(ways) = told.beside.ways else {
        return (Vec::new(), Vec::new());
    };
    let flow = told.phrase.flow;
    let own: Vec<CaseOption> = answering(flow, told.facts, told.judgement, finding, ways)
        .into_iter()
        .cloned()
        .collect();
    let laboratory = ranked(flow, &own).into_iter().map(|(_, way)| way.clone());
    let dentist = for_the_dentist(flow, &own).into_iter().cloned();
    (laboratory.collect(), dentist.collect())
}

/// Returns whether an option takes a finding away, leaves nothing of what it answers to be asked, and brings no other
/// question.
pub(super) fn takes_away(way: &CaseOption, finding: &Finding) -> bool {
    let after = way.after.as_ref();
    after.is_some_and(|after| {
        after.gone.contains(&(finding.rule, finding.at))
            && after.left < Level::Call
            && after.new.iter().all(|(_, _, level)| *level < Level::Call)
    })
}

fn is_same(one: &CaseOption, other: &CaseOption) -> bool {
    let what = |way: &CaseOption| {
        (
            way.option,
            way.at,
            way.walls.clone(),
            way.choice.clone(),
            way.amount,
        )
    };
    what(one) == what(other)
}
