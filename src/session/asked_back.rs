//! Whether a reading is to be confirmed, and which key confirms it.

use super::{Command, Context, Inspection, Session};

impl Session {
    /// Returns whether a reading is to be confirmed on the present page.
    pub fn is_asked_back(&self) -> bool {
        self.context() == Context::Questions
            && self
                .inspection
                .as_ref()
                .is_some_and(Inspection::is_asked_back)
    }

    /// Returns whether a key confirms the reading in question.
    pub(super) fn insists(&self, key: &str) -> bool {
        self.is_asked_back() && self.keymap.named(Context::AskedBack, key) == Some(Command::Insist)
    }
}
