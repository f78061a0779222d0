//! Trying out by hand: a copy of the case in which readings may be changed. Nothing of it is kept, unless what was
//! changed is listed to be proposed.
//!
//! It is the same page on a copy: answers go into `Layer::Proposed` and no entry leaves it.

use super::Inspection;
use crate::case::Layer;
use crate::fact::{Spot, Value};
use crate::judge::Judgement;

impl Inspection {
    /// Returns a copy to try things out on.
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

    /// Says whether this is a copy on which things are tried out.
    pub fn is_trial(&self) -> bool {
        self.trial.is_some()
    }

    /// Returns what the case came to before anything was tried out.
    pub fn untried(&self) -> Option<&Judgement> {
        self.trial.as_ref()
    }

    /// Returns what was changed while trying, in the order of places.
    pub fn tried(&self) -> Vec<(Spot, Value)> {
        self.case
            .layers()
            .filter(|(_, layer, _)| *layer == Layer::Proposed)
            .map(|(spot, _, reading)| (spot.clone(), reading.value.clone()))
            .collect()
    }

    /// The layer that answers go into.
    pub(super) fn layer(&self) -> Layer {
        if self.is_trial() {
            Layer::Proposed
        } else {
            Layer::Measured
        }
    }
}
