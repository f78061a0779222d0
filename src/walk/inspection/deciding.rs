//! Decisions and proposals as changes of the sitting: written as one entry each, undone as answers are.

use uuid::Uuid;

use super::Inspection;
use crate::case::decision::{Decision, Proposal};
use crate::case::journal::{Before, Body};
use crate::fact::{Spot, Value};
use crate::walk::{Effect, Moment};

impl Inspection {
    /// Writes a decision down.
    pub fn decide(&mut self, decision: Decision, moment: &Moment) -> Vec<Effect> {
        let old = self.case.decision(&decision.about).cloned();
        let mut before = Before {
            decision: Some((decision.about.clone(), old.clone())),
            ..Before::default()
        };
        let changed = old.iter().flat_map(|old| &old.decision.changes);
        for (spot, _) in decision.changes.iter().chain(changed) {
            before.keep(&self.case, spot);
        }
        if decision.units.is_some() {
            before.units = Some(self.case.units.clone());
        }
        let forward = Body::Decide {
            decision: Box::new(decision),
        };
        let effects = self.change(forward, put_back(before), moment);
        self.keep_cursor();
        effects
    }

    /// Answers a question wherever the cursor stands.
    pub fn answer_at(&mut self, spot: Spot, value: Value, moment: &Moment) -> Vec<Effect> {
        self.settle();
        self.put(spot, value, None, moment)
    }

    /// Lists changes that are to be put to the dentist.
    pub fn propose(&mut self, changes: Vec<(Spot, Value)>, moment: &Moment) -> Vec<Effect> {
        let mut proposals = self.case.proposals().to_vec();
        proposals.push(Proposal { changes });
        self.set_proposals(proposals, moment)
    }

    /// Takes a proposal off the list.
    pub fn withdraw(&mut self, index: usize, moment: &Moment) -> Vec<Effect> {
        let mut proposals = self.case.proposals().to_vec();
        if index >= proposals.len() {
            return Vec::new();
        }
        proposals.remove(index);
        self.set_proposals(proposals, moment)
    }

    fn set_proposals(&mut self, proposals: Vec<Proposal>, moment: &Moment) -> Vec<Effect> {
        let before = Before {
            proposals: Some(self.case.proposals().to_vec()),
            ..Before::default()
        };
        self.change(Body::Propose { proposals }, put_back(before), moment)
    }

    /// The way back of an answer in whose place a decision counted.
    pub(super) fn with_decision(&self, spot: &Spot) -> Body {
        let mut before = Before::default();
        before.keep(&self.case, spot);
        put_back(before)
    }
}

/// The entry it takes back is named once it is known.
fn put_back(before: Before) -> Body {
    Body::PutBack {
        before: Box::new(before),
        undoes: Uuid::nil(),
    }
}
