//! The page of the summary: what was found and what is asked, as the sheets say it, to be printed.

use crate::derive::Facts;
use crate::print::{Beside, Imprint, Sheet, Told, document};
use crate::session::view::SummaryLine;
use crate::session::{Command, Effect, Inspection, Session};

impl Session {
    /// Carries out a command of the page; `None` if it is none.
    pub(in crate::session) fn summary_command(&mut self, command: Command) -> Option<Vec<Effect>> {
        match command {
            Command::Print if self.is_trying() => {
                self.say_trying();
                Some(Vec::new())
            }
            Command::Print => Some(vec![Effect::Print]),
            _ => None,
        }
    }

    pub(in crate::session) fn summary_view(
        &self,
        inspection: &Inspection,
        facts: &Facts<'_>,
    ) -> Vec<SummaryLine> {
        let instructions = self.standing();
        let told = Told {
            facts,
            judgement: &inspection.judgement,
            doubt: inspection.doubt.as_ref(),
            phrase: self.phrase(inspection),
            beside: Beside {
                instructions: &instructions,
                ways: inspection.ways.as_ref().map(|ways| ways.singles.as_slice()),
                earlier: &inspection.earlier,
                today: self.today,
                // The screen is no paper.
                imprint: Imprint::default(),
            },
        };
        let document = document(told, &[Sheet::Summary, Sheet::Call]);
        document
            .lines()
            .map(|(text, heading, level)| SummaryLine {
                text,
                heading,
                level,
            })
            .collect()
    }
}
