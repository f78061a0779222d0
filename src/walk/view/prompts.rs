//! What is asked for while a line is typed.

use crate::fact::{FactId, Kind};
use crate::walk::call::AnswerLine;
use crate::walk::{Prompt, Walk};

impl Walk {
    pub(super) fn prompt_view(&self, prompt: &Prompt, text: &str) -> (String, String, String) {
        let units = format!(
            "x marks a missing tooth, ; the next restoration: {}",
            match self.notation {
                crate::tooth::Notation::Iso3950 => "44 x45 46; 26",
                crate::tooth::Notation::Universal => "28 x29 30; 14",
                crate::tooth::Notation::Palmer => "LR4 xLR5 LR6; UL6",
            }
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
            Prompt::Ready(fact) => ready(fact),
            Prompt::Answer(line) => {
                let (what, example) = answer(*line);
                (what, self.keymap.say(&example))
            }
            Prompt::Standing(_) => (
                "Kept for every case of this dentist, in these words".to_owned(),
                self.keymap
                    .say("{accept} keeps it; never what is on hold; never a name"),
            ),
        };
        (what, example, text.to_owned())
    }
}

fn ready(fact: &FactId) -> (String, String) {
    let spec = fact.spec();
    let what = spec.map_or_else(String::new, |spec| spec.sentence.to_string());
    let example = match spec.map(|spec| &spec.kind) {
        Some(Kind::Day) => "days from today, or year-month-day",
        _ => "one word of letters and digits; never a name",
    };
    (what, example.to_owned())
}

fn answer(line: AnswerLine) -> (String, String) {
    let (what, example) = match line {
        AnswerLine::Words => ("What was said, in short", "{accept} goes on; never a name"),
        AnswerLine::Cost => (
            "What was agreed on the cost",
            "{accept} goes on; empty: nothing",
        ),
        AnswerLine::Day => ("From which day", "{accept}: today; or year-month-day"),
    };
    (what.to_owned(), example.to_owned())
}
