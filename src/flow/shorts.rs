//! Shorter words for choices, where a window has no room for the whole ones.

use serde::{Deserialize, Serialize};

use super::check::Checker;
use super::model::Flow;
use super::shape::ShortShape;
use crate::fact::{FactId, Kind};
use crate::phrase::faults::flow::shorts as faults;
use crate::phrase::faults::one_of;

/// The most characters of a shorter word: two of them stand side by side in the smallest window.
pub const LONGEST: usize = 16;

/// Shorter words for a choice.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Short {
    /// The fact.
    pub fact: FactId,
    /// The id of the choice.
    pub choice: String,
    /// The words.
    pub words: String,
}

impl Flow {
    /// Returns shorter words for a choice, if the flow has any.
    pub fn short(&self, fact: &FactId, choice: &str) -> Option<&str> {
        let own = |short: &&Short| short.fact == *fact && short.choice == choice;
        self.shorts
            .iter()
            .find(own)
            .map(|short| short.words.as_str())
    }
}

impl Checker<'_> {
    /// Reads a row once the tables are known whose rows are choices.
    pub(super) fn short(&mut self, shape: ShortShape) {
        let ShortShape(fact, choice, words) = shape;
        let Some((id, spec)) = self.fact(&fact) else {
            return;
        };
        let choices = match &spec.kind {
            kind @ (Kind::Choice(_) | Kind::Listed(_)) => self.flow.choices(kind),
            _ => {
                let span = fact.span(self.source());
                self.error("flow-choice", span, faults::no_choices(&id));
                return;
            }
        };
        let Some((_, whole)) = choices.iter().find(|(own, _)| *own == choice.value) else {
            // The table may have it in a row that cannot be read.
            if self.may_be_unread(&choice.value) {
                return;
            }
            let ids: Vec<String> = choices.into_iter().map(|(own, _)| own).collect();
            let span = choice.span(self.source());
            let fault = faults::no_such_choice(&choice.value, &id, &one_of(&ids));
            self.error("flow-choice", span, fault);
            return;
        };
        let length = words.value.chars().count();
        let span = words.span(self.source());
        if length == 0 || length > LONGEST || length >= whole.chars().count() {
            self.error("flow-short", span, faults::not_short(length, LONGEST));
        } else if self.flow.short(&id, &choice.value).is_some() {
            self.error("flow-short", span, faults::short_twice());
        } else if (self.flow.shorts.iter()).any(|own| own.fact == id && own.words == words.value) {
            self.error("flow-short", span, faults::two_alike(&words.value));
        } else {
            self.flow.shorts.push(Short {
                fact: id,
                choice: choice.value,
                words: words.value,
            });
        }
    }
}
