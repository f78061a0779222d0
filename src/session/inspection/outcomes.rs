//! What became of delivered restorations: written down, added to, taken back.

use uuid::Uuid;

use super::Inspection;
use crate::case::journal::{Before, Body};
use crate::case::outcome::Outcome;
use crate::session::{Effect, Moment};

impl Inspection {
    /// Writes an outcome down, or adds to one that is written down.
    pub fn keep_outcome(&mut self, outcome: Outcome, moment: &Moment) -> Vec<Effect> {
        let back = self.outcomes_before();
        self.settle();
        self.change(Body::Outcome { outcome }, back, moment)
    }

    /// Takes an outcome back. It stays in the journal.
    pub fn take_back_outcome(&mut self, outcome: Outcome, moment: &Moment) -> Vec<Effect> {
        let back = self.outcomes_before();
        self.settle();
        self.change(Body::NoOutcome { outcome }, back, moment)
    }

    fn outcomes_before(&self) -> Body {
        let mut before = Before::default();
        before.keep_outcomes(&self.case);
        Body::PutBack {
            before: Box::new(before),
            undoes: Uuid::nil(),
        }
    }
}
