//! The page of what was entered before: of the open cell, of the marked line of the call, or of the whole case.

use super::call::Row;
use super::{Page, Session};
use crate::case::history::About;
use crate::fact::Spot;

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
    pub(super) fn look_back(&mut self) {
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
    pub(super) fn leave_the_past(&mut self) {
        let from = self.past.take().map_or(Page::Questions, |past| past.from);
        self.page = from;
        self.scroll = 0;
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
