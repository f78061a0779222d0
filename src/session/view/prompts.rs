//! What is asked for while a line is typed.

use crate::fact::{FactId, ORDER_DUE, Spot};
use crate::flow::Days;
use crate::phrase::coming::came;
use crate::phrase::outcome;
use crate::phrase::pages::lines as said;
use crate::phrase::prompts::life;
use crate::session::call::AnswerLine;
use crate::session::{Prompt, Session, days, units_line};

impl Session {
    pub(super) fn prompt_view(&self, prompt: &Prompt, text: &str) -> (String, String, String) {
        let units = said::units_example(units_line::example(self.notation));
        let (what, example) = match prompt {
            Prompt::Filter => (said::FILTER.to_owned(), said::FILTER_SAID.to_owned()),
            Prompt::Number => (said::NUMBER.to_owned(), said::NUMBER_TAKES.to_owned()),
            Prompt::NewUnits(number) => (said::units_of(number, self.notation.name()), units),
            Prompt::Sure(_, line, says) => {
                return (says.clone(), self.keymap.say(said::SURE), line.clone());
            }
            Prompt::Units => (said::units_ordered(self.notation.name()), units),
            Prompt::Ready(fact) => self.ready_line(fact),
            Prompt::Answer(line) => {
                let (what, example) = answer(*line);
                (what.to_owned(), self.keymap.say(example))
            }
            Prompt::Tell(spot) => self.tell_line(spot),
            Prompt::Arrived(part, _) => (
                said::day_it_came(came(*part)),
                self.keymap.say(said::DAY_IT_CAME_TAKES),
            ),
            Prompt::Standing(_) => (
                said::STANDING.to_owned(),
                self.keymap.say(said::STANDING_TAKES),
            ),
            Prompt::Day(fact) => {
                let case = self.inspection.as_ref().map(|i| i.case());
                let now = case.and_then(|case| match *fact == ORDER_DUE {
                    true => case.due_day(),
                    false => case.promised_day(),
                });
                (life::day(fact, now), self.keymap.say(life::DAY_TAKES))
            }
            Prompt::HandTo => (life::HAND_TO.to_owned(), life::HAND_TO_TAKES.to_owned()),
            Prompt::HandNote(to) => (life::hand_note(to), self.keymap.say(life::HAND_NOTE_TAKES)),
            Prompt::OutcomeDay => (outcome::DAY.to_owned(), days::takes(Days::Past).to_owned()),
            Prompt::Became => (life::BECAME.to_owned(), life::BECAME_DIGITS.to_owned()),
        };
        (what, example, text.to_owned())
    }

    fn tell_line(&self, spot: &Spot) -> (String, String) {
        let Some(inspection) = &self.inspection else {
            return (String::new(), String::new());
        };
        let phrase = self.phrase(inspection);
        let facts = inspection.facts();
        let question = phrase.flow.question(&spot.fact);
        let what = question
            .and_then(|question| question.dentist.as_deref())
            .map_or_else(String::new, |text| phrase.tell(&facts, text, spot.at));
        let takes = match question.and_then(|question| question.days) {
            Some(days) => days::takes(days),
            None => said::TELL_TAKES,
        };
        (what, takes.to_owned())
    }

    fn ready_line(&self, fact: &FactId) -> (String, String) {
        let spec = fact.spec();
        let what = spec.map_or_else(String::new, |spec| spec.sentence.to_string());
        let question = self.inspection.as_ref().and_then(|i| i.flow.question(fact));
        let example = match question.and_then(|question| question.days) {
            Some(days) => days::takes(days),
            None => said::READY_TAKES,
        };
        (what, example.to_owned())
    }
}

fn answer(line: AnswerLine) -> (&'static str, &'static str) {
    match line {
        AnswerLine::Words => (said::WORDS, said::WORDS_TAKES),
        AnswerLine::Cost => (said::COST, said::COST_TAKES),
        AnswerLine::Day => (said::DAY, said::DAY_TAKES),
    }
}
