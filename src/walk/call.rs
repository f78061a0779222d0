//! The page of the call: what to have ready, the questions, and each answer from the first pick to the one sentence that
//! is read back. Nothing is preselected; what was typed stays until it is kept or another case is opened.

mod answer;

use std::collections::BTreeMap;

use super::{Effect, Inspection, Moment, Page, Prompt, Walk};
use crate::call::{Ask, State, asks, earlier, matter};
use crate::case::agreement::Agreement;
use crate::case::decision::{Matter, Outcome};
use crate::derive::Facts;
use crate::fact::{
    CALL_BY, CALL_DECIDES, CALL_PHOTO, CALL_TEMPORARY, FactId, Kind, ORDER_DENTIST, ORDER_SEATING,
    Place, Spot, Value,
};
use crate::flow::Level;
use crate::phrase::Phrase;

pub(in crate::walk) use answer::behind;
pub use answer::{AnswerLine, Draft, Pick, Stage};

/// What to have ready before anybody phones, in the order of the page.
pub const READY: [FactId; 6] = [
    ORDER_SEATING,
    CALL_BY,
    CALL_TEMPORARY,
    CALL_DECIDES,
    CALL_PHOTO,
    ORDER_DENTIST,
];

/// Where the person is on the page, and what was begun.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct CallState {
    /// The marked line.
    pub marked: usize,
    /// The question that is being answered.
    pub open: Option<Matter>,
    /// Answers that were begun and are not kept yet.
    pub drafts: Vec<Draft>,
    /// Lines that were typed for what to have ready and are not kept yet.
    pub lines: BTreeMap<FactId, String>,
    /// Whether somebody already wished to leave although answers are begun.
    pub warned: bool,
}

/// A line of the page that can be marked.
#[derive(Clone, PartialEq, Debug)]
pub enum Row {
    /// Something to have ready.
    Ready(FactId),
    /// A question.
    Ask(Matter),
    /// A decision on what is no longer asked.
    Earlier(Matter),
    /// A proposal, by its place in the list.
    Proposal(usize),
}

/// Returns the place in the case of something to have ready.
pub fn ready(fact: &FactId) -> Spot {
    Spot {
        fact: fact.clone(),
        at: Place::Case,
    }
}

impl Walk {
    /// Returns the standing agreements that hold today.
    pub fn standing(&self) -> Vec<Agreement> {
        let holds = |agreement: &&Agreement| match self.today {
            Some(today) => agreement.holds_on(today),
            None => agreement.until.is_none(),
        };
        self.agreements.iter().filter(holds).cloned().collect()
    }

    /// Returns the lines of the page that can be marked, in order: questions still to be asked come before the others.
    pub fn call_rows(&self, inspection: &Inspection) -> Vec<Row> {
        let facts = inspection.facts();
        let standing = self.standing();
        let list = ordered(&facts, inspection, self.phrase_of(inspection), &standing);
        let earlier = earlier(inspection.case(), &list);
        READY
            .into_iter()
            .map(Row::Ready)
            .chain(
                list.iter()
                    .map(|ask| Row::Ask(matter(&inspection.flow, ask.finding))),
            )
            .chain(
                earlier
                    .iter()
                    .map(|decided| Row::Earlier(decided.decision.about.clone())),
            )
            .chain((0..inspection.case().proposals().len()).map(Row::Proposal))
            .collect()
    }

    pub(super) fn phrase_of<'a>(&self, inspection: &'a Inspection) -> Phrase<'a> {
        Phrase {
            flow: inspection.flow(),
            notation: self.notation,
        }
    }

    /// Turns to the page; the first question is marked.
    pub(super) fn turn_to_call(&mut self) {
        self.page = Page::Call;
        self.scroll = 0;
        let rows = self
            .inspection
            .as_ref()
            .map_or_else(Vec::new, |inspection| self.call_rows(inspection));
        let first = rows.iter().position(|row| matches!(row, Row::Ask(_)));
        self.call.marked = first.unwrap_or(0);
    }

    /// Returns the marked line.
    pub fn marked_row(&self) -> Option<Row> {
        let rows = self.call_rows(self.inspection.as_ref()?);
        let last = rows.len().checked_sub(1)?;
        rows.get(self.call.marked.min(last)).cloned()
    }

    pub(super) fn mark_call(&mut self, down: bool) {
        let rows = self
            .inspection
            .as_ref()
            .map_or(0, |i| self.call_rows(i).len());
        let last = rows.saturating_sub(1);
        self.call.marked = if down {
            (self.call.marked + 1).min(last)
        } else {
            self.call.marked.min(last).saturating_sub(1)
        };
    }

    /// Opens the marked line.
    pub(super) fn open_row(&mut self) -> Vec<Effect> {
        match self.marked_row() {
            Some(Row::Ready(fact)) => {
                let typed = fact
                    .spec()
                    .is_some_and(|spec| matches!(spec.kind, Kind::Day | Kind::Text));
                if typed {
                    let line = self.call.lines.remove(&fact).unwrap_or_default();
                    self.prompt = Some((Prompt::Ready(fact), line));
                } else {
                    self.notice = Some("press the digit of a choice".to_owned());
                }
            }
            Some(Row::Ask(matter)) => self.open_draft(matter),
            Some(Row::Earlier(_)) => {
                self.notice = Some("this is no longer asked; it is kept as it was said".to_owned());
            }
            Some(Row::Proposal(_)) => {
                let said = "put it to the dentist in words; {strike} takes it off the list";
                self.notice = Some(self.keymap.say(said));
            }
            None => {}
        }
        Vec::new()
    }

    /// A digit on the page picks a choice of the marked line; while answering, a line of the list.
    pub(super) fn call_digit(&mut self, c: char, moment: &Moment) -> Vec<Effect> {
        if self.call.open.is_some() {
            return self.answer_digit(c);
        }
        let Some(Row::Ready(fact)) = self.marked_row() else {
            self.notice = Some(
                self.keymap
                    .say("{open-row} opens the marked question first"),
            );
            return Vec::new();
        };
        let Some(inspection) = &mut self.inspection else {
            return Vec::new();
        };
        let number = c.to_digit(10).and_then(|n| (n as usize).checked_sub(1));
        let value = match fact.spec().map(|spec| &spec.kind) {
            Some(Kind::YesNo) => match c {
                '1' => Some(Value::Yes),
                '2' => Some(Value::No),
                _ => None,
            },
            Some(kind @ Kind::Choice(_)) => number
                .and_then(|n| inspection.flow.choices(kind).into_iter().nth(n))
                .map(|(id, _)| Value::Choice(id)),
            _ => {
                self.notice = Some(self.keymap.say("{open-row} opens this line to type"));
                return Vec::new();
            }
        };
        match value {
            Some(value) => inspection.answer_at(ready(&fact), value, moment),
            None => {
                self.notice = Some("there is no choice with this digit".to_owned());
                Vec::new()
            }
        }
    }

    /// Keeps a line that was typed for something to have ready.
    ///
    /// # Errors
    /// What is wrong with it.
    pub(super) fn take_ready(
        &mut self,
        fact: &FactId,
        text: &str,
        moment: &Moment,
    ) -> Result<Vec<Effect>, String> {
        if text.is_empty() {
            return Ok(Vec::new());
        }
        let value = match fact.spec().map(|spec| &spec.kind) {
            Some(Kind::Day) => {
                let inspection = self.inspection.as_ref();
                let read = inspection.map(|i| i.read_day(&ready(fact), text, moment.today));
                match read {
                    Some(day) => Value::Day(day?),
                    None => return Ok(Vec::new()),
                }
            }
            _ => {
                if *fact == ORDER_DENTIST {
                    Agreement::check_code(text)?;
                }
                Value::Text(text.to_owned())
            }
        };
        Ok(self
            .inspection
            .as_mut()
            .map_or_else(Vec::new, |i| i.answer_at(ready(fact), value, moment)))
    }

    /// Takes the marked proposal off the list.
    pub(super) fn strike(&mut self, moment: &Moment) -> Vec<Effect> {
        match (self.marked_row(), &mut self.inspection) {
            (Some(Row::Proposal(index)), Some(inspection)) => inspection.withdraw(index, moment),
            _ => {
                let said = "only a proposal is taken off the list; {undo} undoes";
                self.notice = Some(self.keymap.say(said));
                Vec::new()
            }
        }
    }

    /// Asks for the words of a standing agreement after the marked decision.
    pub(super) fn begin_standing(&mut self) {
        let standing = self.standing();
        let refused = |why: &str| Err(why.to_owned());
        let found = match (self.marked_row(), &self.inspection) {
            (Some(Row::Ask(about)), Some(inspection)) => {
                let facts = inspection.facts();
                let phrase = self.phrase_of(inspection);
                let list = asks(&facts, &inspection.judgement, phrase, &standing);
                let ask = list
                    .iter()
                    .find(|ask| matter(&inspection.flow, ask.finding) == about);
                let dentist = facts.value(&ORDER_DENTIST, Place::Case);
                match (ask.map(|ask| (ask.state, ask.finding.level)), dentist) {
                    (Some((_, Level::Hold)), _) => {
                        refused("what is on hold is never agreed to once and for all")
                    }
                    (_, None) => refused("the dentist's code comes first: see above"),
                    (Some((State::Decided(decided), _)), Some(_))
                        if matches!(
                            decided.decision.outcome,
                            Outcome::Agreed | Outcome::AsItIs
                        ) =>
                    {
                        Ok((about, decided.decision.words.clone()))
                    }
                    (Some((State::Standing(_), _)), _) => refused("this is agreed to already"),
                    _ => refused("only what was agreed to is kept for every case"),
                }
            }
            _ => refused("mark a question that was decided"),
        };
        match found {
            Ok((about, words)) => self.prompt = Some((Prompt::Standing(about), words)),
            Err(why) => self.notice = Some(why),
        }
    }

    pub(super) fn take_standing(
        &self,
        about: &Matter,
        words: &str,
        moment: &Moment,
    ) -> Vec<Effect> {
        let code = self.inspection.as_ref().and_then(|inspection| {
            match inspection.case().value(&ORDER_DENTIST, Place::Case) {
                Some(Value::Text(code)) => Some(code.clone()),
                _ => None,
            }
        });
        code.map(|dentist| {
            Effect::Agree(Agreement {
                id: moment.id,
                dentist,
                rule: about.rule.clone(),
                words: words.to_owned(),
                from: moment.today,
                until: None,
            })
        })
        .into_iter()
        .collect()
    }
}

/// Returns the questions, those still to be asked first, in the order of weight.
pub(super) fn ordered<'j>(
    facts: &'j Facts<'_>,
    inspection: &'j Inspection,
    phrase: Phrase<'_>,
    standing: &'j [Agreement],
) -> Vec<Ask<'j>> {
    let mut list = asks(facts, &inspection.judgement, phrase, standing);
    list.sort_by_key(|ask| !ask.is_open());
    list
}
