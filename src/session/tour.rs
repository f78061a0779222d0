//! What the demo proposes to try next. A step is over once it was done, in whatever way; nothing waits for it.

use super::{Effect, Page, Session};
use crate::phrase::prompts::tour;

/// A step of the tour.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Tour {
    /// Answer a question.
    Answer,
    /// Look at the findings.
    Findings,
    /// Look at the options.
    Options,
    /// Go to the call, or to the summary.
    Call,
}

impl Session {
    /// Goes on with the tour if its step was done.
    pub(super) fn go_on_with_tour(&mut self, effects: &[Effect]) {
        let answered = || {
            effects
                .iter()
                .any(|effect| matches!(effect, Effect::Append { .. }))
        };
        self.tour = match self.tour {
            // Whoever is ahead of it is not sent back.
            Some(_) if matches!(self.page, Page::Call | Page::Summary) => None,
            Some(_) if self.page == Page::Options => Some(Tour::Call),
            Some(Tour::Answer | Tour::Findings) if self.page == Page::Findings => {
                Some(Tour::Options)
            }
            Some(Tour::Answer) if answered() => Some(Tour::Findings),
            same => same,
        };
    }

    /// Returns what to try next, or `None` once the tour is over.
    pub(super) fn tip(&self) -> Option<String> {
        let says = match self.tour? {
            Tour::Answer => tour::ANSWER,
            Tour::Findings => tour::FINDINGS,
            Tour::Options => tour::OPTIONS,
            Tour::Call => tour::CALL,
        };
        Some(self.keymap.say(says))
    }
}
