//! What if: a copy of the case in which readings may be changed. Nothing is saved, unless the changes are listed to be
//! proposed.
//!
//! It is the same page on a copy: answers go into `Layer::Proposed` and no entry leaves it.

use super::Inspection;
use crate::case::Layer;
use crate::fact::{Spot, Value};
use crate::judge::Judgement;

impl Inspection {
    /// Returns a copy for a what-if.
    pub fn to_try(&self) -> Inspection {
        let mut copy = Inspection::new(
            self.flow.clone(),
            self.case.clone(),
            self.entries,
            self.session,
            self.who.clone(),
        );
        copy.trial = Some(self.judgement.clone());
        copy.go_on_as(self);
        copy
    }

    /// Returns whether this is the copy of a what-if.
    pub fn is_trial(&self) -> bool {
        self.trial.is_some()
    }

    /// Returns the judgement before the what-if, or `None` in the case itself.
    pub fn untried(&self) -> Option<&Judgement> {
        self.trial.as_ref()
    }

    /// Returns the changes of the what-if, in the order of places.
    pub fn tried(&self) -> Vec<(Spot, Value)> {
        self.case
            .layers()
            .filter(|(_, layer, _)| *layer == Layer::Proposed)
            .map(|(spot, _, reading)| (spot.clone(), reading.value.clone()))
            .collect()
    }

    /// Returns the layer that answers go into.
    pub(in crate::session) fn layer(&self) -> Layer {
        if self.is_trial() {
            Layer::Proposed
        } else {
            Layer::Measured
        }
    }
}
