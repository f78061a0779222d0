//! Typed and pasted text.

use super::{Context, Effect, Inspection, Moment, Prompt, Session};
use crate::phrase::prompts;

impl Session {
    /// See [`Inspection::was_no_band`](super::Inspection).
    pub(super) fn was_no_band(&mut self, key: &str, moment: &Moment) -> Option<Vec<Effect>> {
        self.inspection.as_mut()?.was_no_band(key, moment)
    }

    /// Returns whether letters are text rather than commands now.
    pub fn takes_words(&self) -> bool {
        match self.over.line() {
            _ if self.over.helps() => false,
            Some((prompt, _)) => !matches!(prompt, Prompt::Sure(..)),
            None => self.types_text(),
        }
    }

    pub(super) fn types_text(&self) -> bool {
        self.context() == Context::Questions
            && self.inspection.as_ref().is_some_and(Inspection::takes_text)
    }

    /// Pastes text: into a line or text field whole, into a number cell only if it fits; elsewhere it is dropped.
    pub fn paste(&mut self, text: &str, moment: &Moment) -> Vec<Effect> {
        let text = crate::text::clean(text);
        let text = text.trim();
        if self.over.find().is_some() {
            self.type_search(text);
            return Vec::new();
        }
        if self.context() == Context::Filter {
            return self.type_filter(text);
        }
        if self.context() == Context::Prompt || self.types_text() {
            return self.type_text(text, moment);
        }
        let number = self.context() == Context::Questions
            && text.len() <= 10
            && self.inspection.as_ref().is_some_and(|i| {
                matches!(
                    i.spec().map(|s| &s.kind),
                    Some(crate::fact::Kind::Number { .. })
                ) && i.begins_number(text)
                    && text.chars().all(|c| i.takes(c))
            });
        if number {
            return self.type_text(text, moment);
        }
        self.notice = Some(prompts::PASTE_INTO_FIELDS.to_owned());
        Vec::new()
    }
}
