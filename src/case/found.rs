//! A case as it was found: with what was read at the bench, before anybody decided anything.

use super::journal::{Body, Entry, fold};
use super::{Case, Layer};

impl Case {
    /// Returns the case as it was found, or `None` if that is not known: its journal does not begin with its opening, or
    /// it was brought in when its restorations were others already.
    ///
    /// Up to the first decision, arrival or delivery a journal tells it. A case that was brought in from a file with its
    /// decisions begins with them: of such a case what was read counts, what came in later does not.
    pub fn as_found(journal: &[Entry]) -> Option<Case> {
        let first = journal.first()?;
        let brought_in = journal
            .iter()
            .take_while(|own| own.session == first.session && own.when == first.when)
            .count();
        let (begun, later) = journal.split_at(brought_in);
        if begun.iter().any(|own| changes(&own.body)) {
            return fold(begun).ok()?.before_decisions();
        }
        let until = later.iter().position(|own| changes(&own.body));
        let kept = brought_in + until.unwrap_or(later.len());
        fold(&journal[..kept]).ok()
    }

    /// Returns the case without what was decided and what came of it, or `None` where its restorations changed.
    fn before_decisions(mut self) -> Option<Case> {
        if self.decisions().any(|own| own.decision.units.is_some()) {
            return None;
        }
        for layers in self.facts.values_mut() {
            if let Some(before) = layers.remove(&Layer::Before) {
                layers.insert(Layer::Measured, before);
            }
            layers.retain(|layer, _| *layer == Layer::Measured);
        }
        self.facts.retain(|_, layers| !layers.is_empty());
        self.decisions.clear();
        self.got.clear();
        self.earlier.clear();
        self.life.clear();
        self.proposals.clear();
        self.outcomes.clear();
        Some(self)
    }
}

/// Returns whether from this entry on the case is another than it was found to be.
fn changes(body: &Body) -> bool {
    match body {
        Body::Decide { .. } | Body::Arrived { .. } | Body::Happened { .. } => true,
        // A file that tells of arrivals or of deliveries.
        Body::PutBack { before, undoes } => undoes.is_nil() && before.came.is_some(),
        _ => false,
    }
}
