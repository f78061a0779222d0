//! Lines that are typed on the page: what to have ready, what the dentist tells, what has come in, a standing instruction.

use super::{Row, ready};
use crate::call::{QuestionState, asks, matter};
use crate::case::coming::Part;
use crate::case::decision::{DentistAnswer, Matter};
use crate::case::instruction::Instruction;
use crate::fact::{FactId, Kind, Misfit, ORDER_DENTIST, Place, Spot, Value};
use crate::flow::{Days, Level};
use crate::phrase::prompts::{self, call as said};
use crate::session::{Effect, Moment, Page, Prompt, Session, days};
use crate::state::arrival;

impl Session {
    /// Saves a line that was typed for something to have ready.
    ///
    /// # Errors
    /// A sentence on what is wrong with the text.
    pub(in crate::session) fn take_ready(
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

    /// Saves what the dentist told, from a typed line.
    ///
    /// # Errors
    /// A sentence on what is wrong with the text.
    pub(in crate::session) fn take_tell(
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
                Misfit::Bounds { wanted } => prompts::enter(&wanted),
                _ => said::not_an_answer(text),
            })?;
        }
        Ok(inspection.tell(spot.clone(), value, moment))
    }

    /// Saves that something has arrived.
    ///
    /// # Errors
    /// A sentence, if the text is no day, or the arrival is not possible.
    pub(in crate::session) fn take_arrived(
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

    /// Asks for the words of a standing instruction after the marked decision.
    pub(in crate::session) fn begin_standing(&mut self) {
        let standing = self.standing();
        let refused = |why: &str| Err(why.to_owned());
        let found = match (self.marked_row(), &self.inspection) {
            (Some(Row::Ask(about)), Some(inspection)) => {
                let facts = inspection.facts();
                let phrase = self.phrase(inspection);
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

    pub(in crate::session) fn take_standing(
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
