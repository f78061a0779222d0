//! Help: what to look at, how, why, after which source, and the keys of the page.

use super::{HelpView, Plate};
use crate::session::command::{COMMANDS, Context};
use crate::session::{Page, Session};

impl Session {
    /// Returns what helps with the open question: what to look at, how, why, with what, and where it comes from.
    pub fn help_on_question(&self) -> Vec<(String, Vec<String>)> {
        let mut sections = Vec::new();
        let question = self
            .inspection
            .as_ref()
            .filter(|_| self.page == Page::Questions);
        if let Some((inspection, question)) = question.and_then(|i| Some((i, i.question()?))) {
            let phrase = self.phrase(inspection);
            sections.push(("What to look at".to_owned(), vec![question.look.clone()]));
            if let Some(how) = &question.how {
                sections.push(("How to measure".to_owned(), vec![how.clone()]));
            }
            sections.push(("Why it matters".to_owned(), vec![question.why.clone()]));
            let instruments: Vec<String> = question
                .with
                .iter()
                .filter_map(|(id, error)| {
                    let instrument = inspection.flow.instrument(id)?;
                    Some(format!(
                        "{}: steps of {}, one reading is good to about ±{error} (one standard deviation)",
                        instrument.name, instrument.step
                    ))
                })
                .collect();
            if !instruments.is_empty() {
                sections.push(("Read with".to_owned(), instruments));
            }
            sections.push(("Source".to_owned(), vec![phrase.source(&question.source)]));
        }
        sections
    }

    pub(super) fn help_view(&self) -> HelpView {
        let mut sections = self.help_on_question();
        let context = self.context_of_page();
        let mut lines = Vec::new();
        if context == Context::Questions {
            let digits = "Pick a choice, or type a number with point or comma.";
            lines.push(format!("{:<12} {digits}", "1 to 9"));
        }
        lines.extend(
            COMMANDS
                .iter()
                .filter(|spec| spec.contexts.contains(&context))
                .map(|spec| {
                    let keys = self.keymap.keys(spec.command).join(" ");
                    format!("{keys:<12} {}", spec.does)
                }),
        );
        sections.push((format!("Keys: {}", context.title()), lines));
        let here = match context {
            Context::Questions => {
                "{next-cell} goes on, {not-seen} is not seen, {same} is as before."
            }
            Context::Call | Context::Answer => "Digits are choices here, - goes back, + picks.",
            Context::Summary => "2 and 8 scroll, 3 and + turn the page.",
            _ => "Digits act as the arrows printed on them, - goes back, + turns the page.",
        };
        let pad = self.keymap.say(&format!(
            "{{find}}, a digit and {{go-there}} reach everything that can be done here, + shows more of it. {here}"
        ));
        sections.push(("With one hand on a numeric pad".to_owned(), vec![pad]));
        let fact = self
            .inspection
            .as_ref()
            .filter(|_| self.page == Page::Questions)
            .and_then(|inspection| Some(&inspection.cursor()?.fact));
        let picture = fact.and_then(crate::drawing::help).map(|figure| Plate {
            figure,
            ..Plate::default()
        });
        HelpView { picture, sections }
    }
}
