//! The page of the call: what to have ready, the questions, and each answer from the first choice to the sentence that is
//! read back. Nothing is preselected; what was typed stays until it is saved or another case is opened.

mod answer;
mod answering;
mod keys;

use std::collections::BTreeMap;

use jiff::Timestamp;

use super::{Command, Effect, Inspection, Moment, Page, Prompt, Session, days};
use crate::call::{Ask, QuestionState, asks, earlier, matter, tells};
use crate::case::coming::{Part, awaited};
use crate::case::decision::{Decider, DentistAnswer, Matter};
use crate::case::instruction::Instruction;
use crate::derive::Facts;
use crate::fact::{
    CALL_BY, CALL_DECIDES, CALL_PHOTO, CALL_TEMPORARY, FactId, Kind, ORDER_DENTIST, ORDER_SEATING,
    Place, Spot, Value,
};
use crate::flow::{Days, Level};
use crate::phrase::Phrase;
use crate::phrase::prompts::{self, call as said};
use crate::state::arrival;

pub use answer::{AnswerLine, AnswerStage, Draft, FREE_PARTS, OPTIONS_AT_ONCE, OUTCOMES, Pick};
pub(in crate::session) use answering::written_first;

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
pub struct CallState {
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

impl Session {
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
                tells(&facts, &inspection.judgement, self.phrase_of(inspection))
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
        self.mark_next_question();
    }

    /// Turns to the page with what has to come in marked.
    pub(super) fn turn_to_awaited(&mut self) {
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
    pub(super) fn mark_next_question(&mut self) {
        let Some(inspection) = &self.inspection else {
            return;
        };
        let facts = inspection.facts();
        let standing = self.standing();
        let list = ordered(&facts, inspection, self.phrase_of(inspection), &standing);
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
    pub(super) fn open_row(&mut self) -> Vec<Effect> {
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
    pub(super) fn call_digit(&mut self, c: char, moment: &Moment) -> Vec<Effect> {
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

    /// Saves a line that was typed for something to have ready.
    ///
    /// # Errors
    /// A sentence on what is wrong with the text.
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
                    Instruction::check_code(text)?;
                }
                Value::Text(text.to_owned())
            }
        };
        Ok(self
            .inspection
            .as_mut()
            .map_or_else(Vec::new, |i| i.answer_at(ready(fact), value, moment)))
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
    pub(super) fn tell_digits(&self, choices: &[(Value, String)]) -> Vec<(char, String)> {
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

    /// Saves what the dentist told, from a typed line.
    ///
    /// # Errors
    /// A sentence on what is wrong with the text.
    pub(super) fn take_tell(
        &mut self,
        spot: &Spot,
        text: &str,
        moment: &Moment,
    ) -> Result<Vec<Effect>, String> {
        let Some(inspection) = &mut self.inspection else {
            return Ok(Vec::new());
        };
        if text.is_empty() {
            return Ok(Vec::new());
        }
        let value = match inspection
            .flow
            .spec(&spot.fact)
            .map(|spec| spec.kind.clone())
        {
            _ if text == "-" => Value::NotSeen,
            Some(Kind::Day) => Value::Day(inspection.read_day(spot, text, moment.today)?),
            Some(Kind::Number { unit, .. }) => {
                let number: f64 = text
                    .replace(',', ".")
                    .parse()
                    .map_err(|_| prompts::not_a_number(text))?;
                Value::Number(number, unit)
            }
            Some(Kind::Teeth) => {
                let teeth: Result<Vec<_>, String> = text
                    .split([' ', ','])
                    .filter(|word| !word.is_empty())
                    .map(|word| self.notation.read(word).map_err(|error| error.to_string()))
                    .collect();
                Value::Teeth(teeth?)
            }
            _ => Value::Text(text.to_owned()),
        };
        if let Some(spec) = inspection.flow.spec(&spot.fact) {
            spec.check(&value).map_err(|misfit| match misfit {
                crate::fact::Misfit::Bounds { wanted } => prompts::enter(&wanted),
                _ => said::not_an_answer(text),
            })?;
        }
        Ok(inspection.tell(spot.clone(), value, moment))
    }

    /// Saves that something has arrived.
    ///
    /// # Errors
    /// A sentence, if the text is no day, or the arrival is not possible.
    pub(super) fn take_arrived(
        &mut self,
        part: Part,
        restorations: &[u8],
        text: &str,
        moment: &Moment,
    ) -> Result<Vec<Effect>, String> {
        let on = match text {
            "" => moment.today,
            text => days::read(text, moment.today, Days::Past)?,
        };
        let Some(inspection) = &mut self.inspection else {
            return Ok(Vec::new());
        };
        let there = (inspection.case(), inspection.judgement());
        let arrival = arrival(inspection.flow(), there, part, restorations, on)
            .map_err(|why| why.to_string())?;
        let again = !arrival.anew.is_empty();
        let mut effects = inspection.keep_as_found(moment);
        effects.extend(inspection.arrive(arrival, moment));
        self.notice = Some(said::arrived(part, on));
        if again {
            self.page = Page::Questions;
            self.scroll = 0;
            self.notice = Some(said::INSPECT_AGAIN.to_owned());
        }
        Ok(effects)
    }

    /// Takes the marked proposal off the list.
    pub(super) fn strike(&mut self, moment: &Moment) -> Vec<Effect> {
        match (self.marked_row(), &mut self.inspection) {
            (Some(Row::Proposal(index)), Some(inspection)) => inspection.withdraw(index, moment),
            _ => {
                self.notice = Some(said::only_a_proposal(self.keymap.key(Command::Undo)));
                Vec::new()
            }
        }
    }

    /// Asks for the words of a standing instruction after the marked decision.
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
                    (Some((_, Level::Hold)), _) => refused(said::NEVER_ON_HOLD),
                    (_, None) => refused(said::CODE_FIRST),
                    (Some((QuestionState::Decided(decided), _)), Some(_))
                        if matches!(
                            decided.decision.outcome,
                            DentistAnswer::Agreed | DentistAnswer::AsItIs
                        ) =>
                    {
                        Ok((about, decided.decision.words.clone()))
                    }
                    (Some((QuestionState::Standing(_), _)), _) => refused(said::STANDING_ALREADY),
                    _ => refused(said::ONLY_AGREED),
                }
            }
            _ => refused(said::MARK_AN_ANSWERED),
        };
        match found {
            Ok((about, words)) => self.over.ask((Prompt::Standing(about), words)),
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
            Effect::Agree(Instruction {
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
pub(super) fn tell_choices(inspection: &Inspection, kind: Option<&Kind>) -> Vec<(Value, String)> {
    let choices: Vec<(Value, String)> = match kind {
        Some(Kind::YesNo) => vec![
            (Value::Yes, prompts::YES.to_owned()),
            (Value::No, prompts::NO.to_owned()),
        ],
        Some(kind @ (Kind::Choice(_) | Kind::Listed(_))) => inspection
            .flow
            .choices(kind)
            .into_iter()
            .map(|(id, words)| (Value::Choice(id), words))
            .collect(),
        _ => Vec::new(),
    };
    choices
}

/// Returns the questions, those still to be asked first, the gravest first.
pub(super) fn ordered<'j>(
    facts: &'j Facts<'_>,
    inspection: &'j Inspection,
    phrase: Phrase<'_>,
    standing: &'j [Instruction],
) -> Vec<Ask<'j>> {
    let mut list = asks(facts, &inspection.judgement, phrase, standing);
    list.sort_by_key(|ask| (!ask.is_open(), !ask.is_awaited()));
    list
}
