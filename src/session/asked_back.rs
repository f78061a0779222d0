//! Whether a reading was asked back on the page in hand, and which key keeps it.

use super::{Command, Context, Inspection, Session};

impl Session {
    /// Says whether a reading was asked back on the page in hand.
    pub fn is_asked_back(&self) -> bool {
        self.context() == Context::Questions
            && self
                .inspection
                .as_ref()
                .is_some_and(Inspection::is_asked_back)
    }

    /// Says whether a key keeps a reading that was asked back.
    pub(super) fn insists(&self, key: &str) -> bool {
        self.is_asked_back() && self.keymap.named(Context::AskedBack, key) == Some(Command::Insist)
    }
}
