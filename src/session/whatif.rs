//! What if: the inspection goes on with a copy of the case, and comes back to the case itself.

use super::{Command, Effect, Inspection, Moment, Page, Session};
use crate::phrase::prompts::whatif;

impl Session {
    /// Returns whether a what-if is running.
    pub fn is_trying(&self) -> bool {
        self.untried.is_some()
    }

    /// Returns the case itself, also during a what-if.
    pub fn real(&self) -> Option<&Inspection> {
        self.untried.as_ref().or(self.inspection.as_ref())
    }

    /// Returns the case itself, mutably.
    pub fn real_mut(&mut self) -> Option<&mut Inspection> {
        self.untried.as_mut().or(self.inspection.as_mut())
    }

    /// Says that a what-if is running, and how to end it.
    pub(super) fn say_trying(&mut self) {
        let (back, keep) = self.trial_keys();
        self.notice = Some(whatif::running(back, keep));
    }

    /// Returns the keys that end a what-if: without its changes, and with them listed for the call.
    fn trial_keys(&self) -> (&str, &str) {
        (
            self.keymap.key(Command::Back),
            self.keymap.key(Command::KeepTrial),
        )
    }

    pub(super) fn begin_trial(&mut self) {
        if self.is_trying() {
            self.say_trying();
            return;
        }
        let Some(inspection) = self.inspection.take() else {
            return;
        };
        let mut copy = inspection.to_try();
        copy.come_back();
        self.inspection = Some(copy);
        self.untried = Some(inspection);
        self.page = Page::Questions;
        self.scroll = 0;
        let (back, keep) = self.trial_keys();
        self.notice = Some(whatif::begun(back, keep));
    }

    /// Goes back to the case and drops the changes.
    pub(super) fn drop_trial(&mut self) {
        if let Some(inspection) = self.untried.take() {
            self.inspection = Some(inspection);
            self.page = Page::Questions;
            self.notice = Some(whatif::DROPPED.to_owned());
        }
    }

    /// Goes back to the case and lists the changes, to be proposed on the call.
    pub(super) fn keep_trial(&mut self, moment: &Moment) -> Vec<Effect> {
        if !self.is_trying() {
            self.notice = Some(whatif::not_running(self.keymap.key(Command::Try)));
            return Vec::new();
        }
        let changes = self
            .inspection
            .as_ref()
            .map_or_else(Vec::new, Inspection::tried);
        if changes.is_empty() {
            self.notice = Some(whatif::nothing_changed(self.keymap.key(Command::Back)));
            return Vec::new();
        }
        self.drop_trial();
        self.notice = Some(whatif::LISTED.to_owned());
        self.inspection
            .as_mut()
            .map_or_else(Vec::new, |inspection| inspection.propose(changes, moment))
    }
}
