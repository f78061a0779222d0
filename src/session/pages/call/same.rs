//! The answer that was kept last, for another question too: one new impression often settles three of them.
//!
//! It is read back like any other and kept by Enter alone; a written order that is here belongs to the question that it
//! names, so it does not come along.

use super::Row;
use super::answer::{AnswerStage, Draft};
use crate::case::decision::{DentistAnswer, Matter};
use crate::fact::Place;
use crate::options::CaseOption;
use crate::phrase::Phrase;
use crate::phrase::join;
use crate::phrase::prompts::call as said;
use crate::session::command::Command;
use crate::session::{Inspection, Session};

impl Session {
    /// Returns the answer that was kept last as one to this question, or `None` where it is none to it.
    fn last_for(&self, inspection: &Inspection, about: &Matter) -> Option<Draft> {
        let last = self.call.last.as_ref().filter(|own| own.about != *about)?;
        let here = self.ways_behind(inspection, about);
        let same = |way: &CaseOption| {
            let offered = here.iter().find(|own| own.is_same(way)).cloned();
            offered.or_else(|| is_said_of_both(inspection, way, about).then(|| way.clone()))
        };
        let ways: Option<Vec<_>> = last.ways.iter().map(same).collect();
        let never = inspection
            .flow()
            .rules
            .iter()
            .any(|rule| rule.id == about.rule && rule.never);
        if last.outcome == DentistAnswer::AsItIs {
            // What was said to one question may say nothing to another.
            let offered = self.offered(inspection, about);
            let mut settling = offered.iter().filter(|own| own.settles);
            let fits = last.words.is_empty() || settling.any(|own| own.words == last.words);
            if never || !fits {
                return None;
            }
        }
        Some(Draft {
            about: about.clone(),
            stage: AnswerStage::ReadBack,
            marked: 0,
            ways: ways?,
            order: false,
            entries: inspection.entries(),
            ..last.clone()
        })
    }

    /// Opens the answer that was kept last as the answer to the marked question.
    pub(super) fn same_answer(&mut self) {
        let row = self.marked_row();
        let (Some(Row::Ask(about)), Some(inspection)) = (row, &self.inspection) else {
            self.notice = Some(said::MARK_A_QUESTION.to_owned());
            return;
        };
        if self.call.speaker.is_none() {
            self.notice = Some(said::SPEAKER_FIRST.to_owned());
            return;
        }
        if self.call.last.is_none() {
            self.notice = Some(said::NOTHING_SAID_YET.to_owned());
            return;
        }
        let Some(draft) = self.last_for(inspection, &about) else {
            self.notice = Some(said::NO_ANSWER_TO_THIS.to_owned());
            return;
        };
        self.call.drafts.retain(|own| own.about != about);
        self.call.drafts.push(draft);
        self.call.open = Some(about);
        self.scroll = 0;
        self.call.warned = false;
    }

    /// Returns which key gives the answer that was kept last to a question, and what it says.
    pub(super) fn same_line(
        &self,
        inspection: &Inspection,
        phrase: Phrase<'_>,
        about: &Matter,
    ) -> Option<String> {
        let draft = self.last_for(inspection, about)?;
        let facts = inspection.facts();
        let ways: Vec<String> = draft
            .ways
            .iter()
            .map(|way| phrase.does(&facts, way))
            .collect();
        let what = match (ways.as_slice(), draft.words.as_str()) {
            ([], "") => phrase.outcome(draft.outcome).to_owned(),
            ([], words) => words.to_owned(),
            (ways, _) => join(ways),
        };
        let key = self.keymap.key(Command::SameAnswer);
        Some(said::the_same(key, &what))
    }
}

/// Returns whether an option that changes no figure answers this question too: once agreed, such as another cement, it is in
/// force and no longer offered.
fn is_said_of_both(inspection: &Inspection, way: &CaseOption, about: &Matter) -> bool {
    let flow = inspection.flow();
    let rule = flow.rules.iter().find(|rule| rule.id == about.rule);
    let Some((option, rule)) = way.of(flow).zip(rule) else {
        return false;
    };
    let units = &inspection.case().units;
    let owner = |at: Place| units.owner(at).map(|owner| owner.id);
    let is_here =
        way.at == Place::Case || owner(way.at).is_some() && owner(way.at) == owner(about.at);
    let mut answers = option.answers.iter();
    is_here
        && !option.verb.changes_figures()
        && answers.any(|name| *name == rule.id || Some(name) == rule.topic.as_ref())
}
