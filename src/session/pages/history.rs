//! The page of what was entered before: of the open cell, of the marked line of the call, or of the whole case.

use crate::case::history::{About, history};
use crate::fact::Spot;
use crate::phrase::history as said;
use crate::session::call::Row;
use crate::session::{Effect, Page, Session};

/// What the page looks back at, and where it was opened.
#[derive(Clone, PartialEq, Debug)]
pub struct Past {
    /// What is shown.
    pub about: About,
    /// What it was opened for.
    first: About,
    /// The page beneath.
    from: Page,
}

impl Session {
    /// Shows what was entered before; on that page, turns from what it was opened for to the units, then to the whole case.
    pub(in crate::session) fn look_back(&mut self) {
        if self.page == Page::History {
            if let Some(past) = &mut self.past {
                past.about = match &past.about {
                    About::Units => About::Case,
                    about if *about == past.first => About::Units,
                    _ => past.first.clone(),
                };
            }
            self.scroll = 0;
            return;
        }
        let first = self.looked_at();
        self.past = Some(Past {
            about: first.clone(),
            first,
            from: self.page,
        });
        self.page = Page::History;
        self.scroll = 0;
    }

    /// Goes back to the page from which it was opened.
    pub(in crate::session) fn history_back(&mut self) -> Option<Vec<Effect>> {
        let from = self.past.take().map_or(Page::Questions, |past| past.from);
        self.page = from;
        self.scroll = 0;
        Some(Vec::new())
    }

    /// Returns what the open page is about.
    fn looked_at(&self) -> About {
        let of_case = |fact| {
            About::Spot(Spot {
                fact,
                at: crate::fact::Place::Case,
            })
        };
        match self.page {
            Page::Questions => {
                let cursor = self.inspection.as_ref().and_then(|i| i.cursor().cloned());
                cursor.map_or(About::Case, About::Spot)
            }
            Page::Call => match self.marked_row() {
                Some(Row::Ready(fact)) => of_case(fact),
                Some(Row::Tell(spot)) => About::Spot(spot),
                Some(Row::Ask(matter) | Row::Earlier(matter)) => About::Decision(matter),
                Some(Row::Awaited(..) | Row::Proposal(_)) | None => About::Case,
            },
            _ => About::Case,
        }
    }
}

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
    pub(in crate::session) fn history_view(&self) -> HistoryView {
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
