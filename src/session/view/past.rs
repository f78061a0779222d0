//! What was entered before, as lines.

use crate::case::history::{About, history};
use crate::phrase::history as said;
use crate::session::Session;

/// What was entered before, newest first.
#[derive(Clone, PartialEq, Debug)]
pub struct HistoryView {
    /// What it is about.
    pub title: String,
    /// A line each; one that says so if there is none.
    pub lines: Vec<String>,
}

impl Session {
    /// Returns what was entered into the case itself, also during a what-if.
    pub(super) fn history_view(&self) -> HistoryView {
        let about = self.past.as_ref().map_or(&About::Case, |past| &past.about);
        let Some(inspection) = self.real() else {
            return HistoryView {
                title: String::new(),
                lines: Vec::new(),
            };
        };
        let (facts, phrase) = (inspection.facts(), self.phrase(inspection));
        let events = history(inspection.journal(), about).unwrap_or_default();
        let mut lines: Vec<String> = events
            .iter()
            .map(|event| phrase.event(&facts, (event, about), &self.zone))
            .collect();
        if lines.is_empty() {
            lines.push(said::NOTHING.to_owned());
        }
        HistoryView {
            title: phrase.history_of(&facts, about),
            lines,
        }
    }
}
