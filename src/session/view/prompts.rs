//! What is asked for while a line is typed.

use crate::fact::{FactId, Spot};
use crate::phrase::coming::came;
use crate::session::call::AnswerLine;
use crate::session::{Prompt, Session, days, units_line};

impl Session {
    pub(super) fn prompt_view(&self, prompt: &Prompt, text: &str) -> (String, String, String) {
        let units = format!(
            "x marks a missing tooth, ; the next restoration: {}",
            units_line::example(self.notation)
        );
        let (what, example) = match prompt {
            Prompt::Number => (
                "Number of the new case".to_owned(),
                "letters, digits and - / . _; never a patient's name".to_owned(),
            ),
            Prompt::NewUnits(number) => (
                format!("Units of {number} ({})", self.notation.name()),
                units,
            ),
            Prompt::Sure(_, line, says) => {
                return (
                    says.clone(),
                    self.keymap.say("{accept} keeps it, {back} goes back"),
                    line.clone(),
                );
            }
            Prompt::Units => (format!("Units ordered ({})", self.notation.name()), units),
            Prompt::Ready(fact) => self.ready_line(fact),
            Prompt::Answer(line) => {
                let (what, example) = answer(*line);
                (what, self.keymap.say(&example))
            }
            Prompt::Tell(spot) => self.tell_line(spot),
            Prompt::Arrived(part, _) => (
                format!("Day on which it came: {}", came(*part)),
                self.keymap
                    .say("{accept}: today; or days ago, day-month, year-month-day"),
            ),
            Prompt::Standing(_) => (
                "Kept for every case of this dentist, in these words".to_owned(),
                self.keymap
                    .say("{accept} keeps it; never what is on hold; never a name"),
            ),
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
            None => "a number or words; - where the dentist does not know either",
        };
        (what, takes.to_owned())
    }

    fn ready_line(&self, fact: &FactId) -> (String, String) {
        let spec = fact.spec();
        let what = spec.map_or_else(String::new, |spec| spec.sentence.to_string());
        let question = self.inspection.as_ref().and_then(|i| i.flow.question(fact));
        let example = match question.and_then(|question| question.days) {
            Some(days) => days::takes(days),
            None => "one word of letters and digits; never a name",
        };
        (what, example.to_owned())
    }
}

fn answer(line: AnswerLine) -> (String, String) {
    let (what, example) = match line {
        AnswerLine::Words => ("What was said, in short", "{accept} goes on; never a name"),
        AnswerLine::Cost => (
            "What was agreed on the cost",
            "{accept} goes on; empty: no cost was spoken of",
        ),
        AnswerLine::Day => (
            "By which day",
            "{accept} goes on; empty: as reckoned; or days from today, day-month, year-month-day",
        ),
    };
    (what.to_owned(), example.to_owned())
}
