//! The case with the number that is being typed, for the pictures alone.
//!
//! It is not an answer: it is worked out on a copy, never reaches the journal or the judgement, and is dropped with the
//! digits.
//!
//! The number goes the way of an answer, so that the picture shows what Enter would bring, also where a decided value
//! would step back. It is worked out when a picture asks for it: in a window without room for one, a digit costs
//! nothing.

use std::cell::OnceCell;

use crate::case::Case;
use crate::derive::{Facts, Precision, Results};
use crate::drawing::shows;
use crate::fact::{Spot, Value};
use crate::session::Inspection;

/// A copy of the case with the number that is being typed.
pub(super) struct Sketch {
    spot: Spot,
    typed: String,
    case: Case,
    results: Results,
}

impl Inspection {
    /// Forgets what was typed and its sketch.
    pub(in crate::session) fn clear_input(&mut self) {
        self.hand.input.clear();
        self.has_read();
        self.hand.asked = None;
        self.forget_sketch();
    }

    /// Forgets the sketch of other digits.
    pub(in crate::session) fn forget_sketch(&mut self) {
        self.hand.sketch = OnceCell::new();
    }

    /// Returns the case with the typed number, if it is valid and a picture shows it.
    fn sketched(&self) -> Option<Sketch> {
        let spot = self.hand.cursor.clone()?;
        if self.hand.input.is_empty() || !shows(&spot.fact) {
            return None;
        }
        let value = self.read_number(self.spec()?).ok()?;
        let case = self.with_answer(&spot, value, self.instrument())?;
        let facts = Facts::after(&self.flow, &case, Precision::Quick, &self.results);
        let results = facts.into_results();
        Some(Sketch {
            spot,
            typed: self.hand.input.clone(),
            case,
            results,
        })
    }

    /// Returns the facts with the number that is being typed, and that number, or `None` if there is nothing to sketch.
    ///
    /// Worked out when a picture first asks for it, and kept until the digits change.
    pub fn sketch(&self) -> Option<(Facts<'_>, &Spot, &Value)> {
        let sketch = self.hand.sketch.get_or_init(|| self.sketched()).as_ref()?;
        // A sketch of other digits or another cell is none.
        if sketch.typed != self.hand.input || self.hand.cursor.as_ref() != Some(&sketch.spot) {
            return None;
        }
        let facts = Facts::again(&self.flow, &sketch.case, &sketch.results);
        let value = sketch.case.value(&sketch.spot.fact, sketch.spot.at)?;
        Some((facts, &sketch.spot, value))
    }
}
