//! The page of the call: what to have ready, the questions, and each answer from the first choice to the sentence that is
//! read back. Nothing is preselected; what was typed stays until it is saved or another case is opened.

mod answer;
mod answering;
mod lines;
mod same;
mod typed;
mod view;

use std::collections::BTreeMap;

use jiff::Timestamp;

use crate::call::{Ask, asks, earlier, matter, tells};
use crate::case::coming::{Part, awaited};
use crate::case::decision::{Decider, Matter};
use crate::case::instruction::Instruction;
use crate::derive::Facts;
use crate::fact::{
    CALL_BY, CALL_DECIDES, CALL_PHOTO, CALL_TEMPORARY, FactId, Kind, NOT_SAID, ORDER_DENTIST,
    ORDER_SEATING, Place, Spot, Value,
};
use crate::phrase::Phrase;
use crate::phrase::benches::NOTHING_TO_TAKE;
use crate::phrase::prompts::{self, call as said};
use crate::session::{Command, Context, Effect, Inspection, Moment, Page, Prompt, Session};

pub use answer::{AnswerLine, AnswerStage, Draft, FREE_PARTS, OPTIONS_AT_ONCE, OUTCOMES, Pick};
pub use view::{CallRow, CallView, PanelLine, ReadyLine};

/// What to have ready before anybody phones, in the order of the page.
pub const READY: [FactId; 6] = [
    ORDER_SEATING,
    CALL_BY,
    CALL_TEMPORARY,
    CALL_DECIDES,
    CALL_PHOTO,
    ORDER_DENTIST,
];

/// The marked line, and the answers that were begun.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct State {
    /// The marked line.
    pub marked: usize,
    /// The question that is being answered.
    pub open: Option<Matter>,
    /// Answers that were begun and are not saved yet.
    pub drafts: Vec<Draft>,
    /// Lines that were typed for what to have ready and are not saved yet.
    pub lines: BTreeMap<FactId, String>,
    /// Whether somebody has already tried to leave with answers begun.
    pub warned: bool,
    /// Who speaks in this call; asked once.
    pub speaker: Option<Decider>,
    /// How often the options were turned to the next six.
    pub turned: usize,
    /// The answer that was kept last.
    pub last: Option<Draft>,
    /// The digit that was taken last, and when.
    pub tapped: Option<(char, Timestamp)>,
}

/// A line of the page that can be marked.
#[derive(Clone, PartialEq, Debug)]
pub enum Row {
    /// Something to have ready.
    Ready(FactId),
    /// A question.
    Ask(Matter),
    /// Something that only the dentist can tell.
    Tell(Spot),
    /// Something that has to come in, for these restorations.
    Awaited(Part, Vec<u8>),
    /// A decision on what is no longer asked.
    Earlier(Matter),
    /// A proposal, by its place in the list.
    Proposal(usize),
}

/// Returns the spot of something to have ready.
pub fn ready(fact: &FactId) -> Spot {
    Spot {
        fact: fact.clone(),
        at: Place::Case,
    }
}

impl State {
    /// Returns what keys mean on the page.
    pub(in crate::session) fn context(&self) -> Context {
        match self.open {
            Some(_) => Context::Answer,
            None => Context::Call,
        }
    }
}

impl Session {
    /// Carries out a command of the page; `None` if it is none.
    pub(in crate::session) fn call_command(
        &mut self,
        command: Command,
        moment: &Moment,
    ) -> Option<Vec<Effect>> {
        match command {
            Command::OpenRow => return Some(self.open_row()),
            Command::Choose => return Some(self.choose(moment)),
            Command::SameAnswer => self.same_answer(),
            Command::Strike => return Some(self.strike(moment)),
            Command::TakeFirst | Command::TakeSecond => {
                return Some(self.take_decision(command == Command::TakeFirst, moment));
            }
            Command::Tick => self.tick(),
            Command::AddOption => self.add_option(),
            Command::ChangeDay => self.edit_line(AnswerLine::Day),
            Command::ChangeCost => self.edit_line(AnswerLine::Cost),
            Command::ChangeWords => self.edit_line(AnswerLine::Words),
            Command::OrderHere => self.order_is_here(),
            Command::MoreOptions => self.more_options(),
            Command::Speaker => self.next_speaker(),
            Command::Standing => self.begin_standing(),
            _ => return None,
        }
        Some(Vec::new())
    }

    /// One step back within the answer that is open; `None` if none is.
    pub(in crate::session) fn call_back(&mut self) -> Option<Vec<Effect>> {
        self.call.open.as_ref()?;
        self.answer_back(None);
        Some(Vec::new())
    }

    /// Returns the marked line, or that of the list of the open answer, and how many lines there are.
    pub(in crate::session) fn call_marked(&self) -> Option<(usize, usize)> {
        if self.call.open.is_some() {
            return Some((self.draft()?.marked, self.choices()));
        }
        let rows = self.call_rows(self.inspection.as_ref()?).len();
        Some((self.call.marked.min(rows.saturating_sub(1)), rows))
    }

    pub(in crate::session) fn mark_call(&mut self, place: usize) {
        match self.draft_mut() {
            Some(draft) => draft.marked = place,
            None => {
                self.call.marked = place;
                self.scroll = 0;
            }
        }
    }

    /// Takes the first or the last of two answers to the marked line.
    fn take_decision(&mut self, first: bool, moment: &Moment) -> Vec<Effect> {
        let row = self.marked_row();
        let Some(inspection) = &mut self.inspection else {
            return Vec::new();
        };
        let effects = match row {
            Some(Row::Ready(fact)) => inspection.take_side_at(&ready(&fact), first, moment),
            Some(Row::Tell(spot)) => inspection.take_side_at(&spot, first, moment),
            Some(Row::Ask(about)) => {
                let both = inspection.case.disputed_decision(&about);
                let one = if first { both.first() } else { both.last() };
                match one.map(|decided| decided.decision.clone()) {
                    Some(decision) => inspection.decide(decision, moment),
                    None => Vec::new(),
                }
            }
            _ => Vec::new(),
        };
        if effects.is_empty() {
            self.notice = Some(NOTHING_TO_TAKE.to_owned());
        }
        effects
    }

    /// Returns the standing instructions that are valid today.
    pub fn standing(&self) -> Vec<Instruction> {
        let holds = |instruction: &&Instruction| match self.today {
            Some(today) => instruction.holds_on(today),
            None => instruction.until.is_none(),
        };
        self.instructions.iter().filter(holds).cloned().collect()
    }

    /// Returns the lines of the page that can be marked, in order: questions still to be asked come before the others.
    pub fn call_rows(&self, inspection: &Inspection) -> Vec<Row> {
        let facts = inspection.facts();
        let standing = self.standing();
        let list = ordered(&facts, inspection, self.phrase(inspection), &standing);
        let earlier = earlier(inspection.case(), &list);
        READY
            .into_iter()
            .map(Row::Ready)
            .chain(
                list.iter()
                    .map(|ask| Row::Ask(matter(&inspection.flow, ask.finding))),
            )
            .chain(
                tells(&facts, &inspection.judgement, self.phrase(inspection))
                    .into_iter()
                    .map(|tell| Row::Tell(tell.spot)),
            )
            .chain(
                awaited(inspection.case())
                    .into_iter()
                    .map(|own| Row::Awaited(own.part, own.restorations)),
            )
            .chain(
                earlier
                    .iter()
                    .map(|decided| Row::Earlier(decided.decision.about.clone())),
            )
            .chain((0..inspection.case().proposals().len()).map(Row::Proposal))
            .collect()
    }

    /// Turns to the page; the first question is marked.
    pub(in crate::session) fn turn_to_call(&mut self) {
        self.page = Page::Call;
        self.scroll = 0;
        let rows = self
            .inspection
            .as_ref()
            .map_or_else(Vec::new, |inspection| self.call_rows(inspection));
        let first = rows.iter().position(|row| matches!(row, Row::Ask(_)));
        self.call.marked = first.unwrap_or(0);
        self.mark_next_question();
    }

    /// Turns to the page with what has to come in marked.
    pub(in crate::session) fn turn_to_awaited(&mut self) {
        self.turn_to_call();
        let rows = self
            .inspection
            .as_ref()
            .map_or_else(Vec::new, |inspection| self.call_rows(inspection));
        match rows.iter().position(|row| matches!(row, Row::Awaited(..))) {
            Some(index) => self.call.marked = index,
            None => self.notice = Some(said::NOTHING_AWAITED.to_owned()),
        }
    }

    /// Marks the first question that is still to be asked, if there is one.
    fn mark_next_question(&mut self) {
        let Some(inspection) = &self.inspection else {
            return;
        };
        let facts = inspection.facts();
        let standing = self.standing();
        let list = ordered(&facts, inspection, self.phrase(inspection), &standing);
        let next = list.iter().position(Ask::is_open);
        if let Some(index) = next {
            self.call.marked = READY.len() + index;
        }
    }

    /// Returns the marked line.
    pub fn marked_row(&self) -> Option<Row> {
        let rows = self.call_rows(self.inspection.as_ref()?);
        let last = rows.len().checked_sub(1)?;
        rows.get(self.call.marked.min(last)).cloned()
    }

    /// Opens the marked line.
    fn open_row(&mut self) -> Vec<Effect> {
        match self.marked_row() {
            Some(Row::Ready(fact)) => {
                let typed = fact
                    .spec()
                    .is_some_and(|spec| matches!(spec.kind, Kind::Day | Kind::Text));
                if typed {
                    let line = self.call.lines.remove(&fact).unwrap_or_default();
                    self.over.ask((Prompt::Ready(fact), line));
                } else {
                    self.notice = Some(prompts::PRESS_A_DIGIT.to_owned());
                }
            }
            Some(Row::Ask(matter)) => {
                let begun = self.open_begun(&matter);
                let asked = match self.call.speaker {
                    None => said::WHO_SPEAKS,
                    Some(_) => said::PRESS_THE_ANSWER,
                };
                if !begun && self.notice.is_none() {
                    self.notice = Some(asked.to_owned());
                }
            }
            Some(Row::Tell(spot)) => self.open_tell(spot),
            Some(Row::Awaited(part, restorations)) => {
                self.over
                    .ask((Prompt::Arrived(part, restorations), String::new()));
            }
            Some(Row::Earlier(_)) => {
                self.notice = Some(said::NO_LONGER_ASKED.to_owned());
            }
            Some(Row::Proposal(_)) => {
                self.notice = Some(said::proposal(self.keymap.key(Command::Strike)));
            }
            None => {}
        }
        Vec::new()
    }

    /// Handles a digit: it chooses an answer of the marked line or, while answering, a line of the list.
    pub(in crate::session) fn call_digit(&mut self, c: char, moment: &Moment) -> Vec<Effect> {
        if self.call.open.is_some() {
            self.answer_digit(c);
            return Vec::new();
        }
        let fact = match self.marked_row() {
            Some(Row::Ready(fact)) => fact,
            Some(Row::Ask(about)) => {
                self.pick_for(about, c, moment);
                return Vec::new();
            }
            Some(Row::Tell(spot)) => return self.tell_digit(spot, c, moment),
            Some(Row::Awaited(..)) => {
                self.notice = Some(said::how_it_arrives(self.keymap.key(Command::OpenRow)));
                return Vec::new();
            }
            _ => {
                self.notice = Some(said::NO_DIGITS.to_owned());
                return Vec::new();
            }
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
                self.notice = Some(said::opens_to_type(self.keymap.key(Command::OpenRow)));
                return Vec::new();
            }
        };
        match value {
            Some(value) => inspection.answer_at(ready(&fact), value, moment),
            None => {
                self.notice = Some(prompts::no_choice(c, self.keymap.key(Command::Help)));
                Vec::new()
            }
        }
    }

    /// Opens what only the dentist can tell, if it is typed.
    fn open_tell(&mut self, spot: Spot) {
        let choices = self.inspection.as_ref().map_or(0, |inspection| {
            let kind = inspection.flow.spec(&spot.fact).map(|spec| &spec.kind);
            tell_choices(inspection, kind).len()
        });
        if choices == 0 {
            self.over.ask((Prompt::Tell(spot), String::new()));
        } else {
            self.notice = Some(said::PRESS_THE_ANSWER_OR_0.to_owned());
        }
    }

    /// Handles a digit at what only the dentist can tell: its answer, or 0 if the dentist does not know either.
    fn tell_digit(&mut self, spot: Spot, c: char, moment: &Moment) -> Vec<Effect> {
        if self.is_bounce(c, moment.now) {
            self.notice = Some(prompts::SECOND_PRESS.to_owned());
            return Vec::new();
        }
        let Some(inspection) = &mut self.inspection else {
            return Vec::new();
        };
        let kind = inspection.flow.spec(&spot.fact).map(|spec| &spec.kind);
        let choices = tell_choices(inspection, kind);
        if c == '9' && choices.len() > MOST_CHOICES {
            self.call.turned += 1;
            return Vec::new();
        }
        let turned = turned(self.call.turned, choices.len());
        let number = c.to_digit(10).and_then(|n| (n as usize).checked_sub(1));
        let value = match number {
            None if c == '0' => Some(Value::NotSeen),
            number => number
                .and_then(|n| choices.into_iter().nth(turned + n))
                .map(|(value, _)| value),
        };
        match value {
            Some(value) => {
                self.call.tapped = Some((c, moment.now));
                let effects = inspection.tell(spot, value, moment);
                self.mark_next_question();
                effects
            }
            None => {
                let key = self.keymap.key(Command::OpenRow);
                self.notice = Some(said::opens_to_type_or_0(key));
                Vec::new()
            }
        }
    }

    /// Returns the choices of what the dentist tells, with their digits; `9` turns a long list.
    fn tell_digits(&self, choices: &[(Value, String)]) -> Vec<(char, String)> {
        let long = choices.len() > MOST_CHOICES;
        let most = if long { MOST_CHOICES - 1 } else { MOST_CHOICES };
        let own = choices.iter().skip(turned(self.call.turned, choices.len()));
        let mut list: Vec<(char, String)> = ('1'..='9')
            .zip(own.map(|(_, words)| words.clone()))
            .take(most)
            .collect();
        if long {
            list.push(('9', prompts::MORE.to_owned()));
        }
        list
    }

    /// Takes the marked proposal off the list.
    fn strike(&mut self, moment: &Moment) -> Vec<Effect> {
        match (self.marked_row(), &mut self.inspection) {
            (Some(Row::Proposal(index)), Some(inspection)) => inspection.withdraw(index, moment),
            _ => {
                self.notice = Some(said::only_a_proposal(self.keymap.key(Command::Undo)));
                Vec::new()
            }
        }
    }
}

/// The most choices that digits pick at once.
const MOST_CHOICES: usize = 9;

/// Returns the first choice shown of a list of `all` choices that was turned `times` times.
fn turned(times: usize, all: usize) -> usize {
    if all <= MOST_CHOICES {
        return 0;
    }
    let most = MOST_CHOICES - 1;
    (times % all.div_ceil(most)) * most
}

/// Returns what the dentist can answer by a digit, each value with its words; empty if the answer is typed.
fn tell_choices(inspection: &Inspection, kind: Option<&Kind>) -> Vec<(Value, String)> {
    let choices: Vec<(Value, String)> = match kind {
        Some(Kind::YesNo) => vec![
            (Value::Yes, prompts::YES.to_owned()),
            (Value::No, prompts::NO.to_owned()),
        ],
        Some(kind @ (Kind::Choice(_) | Kind::Listed(_))) => inspection
            .flow
            .choices(kind)
            .into_iter()
            .filter(|(id, _)| id != NOT_SAID)
            .map(|(id, words)| (Value::Choice(id), words))
            .collect(),
        _ => Vec::new(),
    };
    choices
}

/// Returns the questions, those still to be asked first, the gravest first.
fn ordered<'j>(
    facts: &'j Facts<'_>,
    inspection: &'j Inspection,
    phrase: Phrase<'_>,
    standing: &'j [Instruction],
) -> Vec<Ask<'j>> {
    let mut list = asks(facts, &inspection.judgement, phrase, standing);
    list.sort_by_key(|ask| (!ask.is_open(), !ask.is_awaited()));
    list
}
