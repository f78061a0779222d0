//! State of the case under inspection, and what is recorded of it.

use super::{Effect, Inspection, Moment, Session};
use crate::case::life::{Stage, State};
use crate::derive::Facts;
use crate::state::{CaseState, RestorationState};

impl Session {
    /// Records the judgement of the case when the inspection is done, and again when it is cleared to make.
    pub(super) fn keep_record(&mut self, effects: &mut Vec<Effect>, moment: &Moment) {
        let written = effects
            .iter()
            .any(|effect| matches!(effect, Effect::Append { .. }));
        let done = self
            .inspection
            .as_ref()
            .is_some_and(|i| !i.is_trial() && i.is_done());
        if !written || !done {
            return;
        }
        let state = self.case_state().map(|state| state.state);
        if let Some(inspection) = &mut self.inspection {
            if inspection.case.judged(Stage::AsFound).is_none() {
                effects.extend(inspection.keep_as_found(moment));
            }
            if state == Some(State::ToMake) {
                effects.extend(inspection.keep_judged(Stage::AsBuilt, moment));
            }
        }
    }

    /// Returns the state of the case under inspection, or `None` if no case is open.
    pub fn case_state(&self) -> Option<CaseState> {
        let inspection = self.inspection.as_ref()?;
        Some(self.state_of(inspection, &inspection.facts()))
    }

    /// Returns the state line of each restoration of the case under inspection.
    pub fn state_lines(&self) -> Vec<String> {
        let Some(inspection) = &self.inspection else {
            return Vec::new();
        };
        let facts = inspection.facts();
        let state = self.state_of(inspection, &facts);
        let lines = state.lines(&facts, self.phrase(inspection), self.today);
        lines.into_iter().map(|(_, line)| line).collect()
    }

    /// Returns whether a restoration is on hold.
    pub fn is_held(&self, restoration: u8) -> bool {
        let state = self.case_state();
        let mut all = state.iter().flat_map(|state| &state.restorations);
        all.any(|own| own.id == restoration && own.held)
    }

    /// Returns the state line of each of these restorations that is not cleared to make.
    pub fn not_cleared(&self, of: &[u8]) -> Vec<String> {
        self.state_lines_of(of, |state| {
            !matches!(state, State::ToMake | State::Delivered | State::Closed)
        })
    }

    /// Returns the state line of each of these restorations whose state is such.
    pub(super) fn state_lines_of(&self, of: &[u8], is: impl Fn(State) -> bool) -> Vec<String> {
        let Some(inspection) = &self.inspection else {
            return Vec::new();
        };
        let facts = inspection.facts();
        let state = self.state_of(inspection, &facts);
        let left = |own: &&RestorationState| of.contains(&own.id) && is(own.state);
        let phrase = self.phrase(inspection);
        let own = state.restorations.iter().filter(left);
        own.map(|own| own.line(&facts, phrase, self.today))
            .collect()
    }

    pub(super) fn state_of(&self, inspection: &Inspection, facts: &Facts<'_>) -> CaseState {
        let phrase = self.phrase(inspection);
        CaseState::of(facts, &inspection.judgement, phrase, &self.standing())
    }
}
