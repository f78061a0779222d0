//! The case with the number that is being typed, for the pictures alone.
//!
//! It is not an answer: it is worked out on a copy, never reaches the journal or the judgement, and is dropped with the
//! digits.
//!
//! The number goes the way of an answer, so that the picture shows what Enter would bring, also where a decided value
//! would step back. It is worked out when a picture asks for it: in a window without room for one, a digit costs
//! nothing. On a screen the digit is drawn with its shape first, and what takes a search, grip and its motion, follows in the
//! next frame unless another key has come by then.

use std::cell::OnceCell;

use crate::case::Case;
use crate::derive::{Facts, Precision, Results};
use crate::drawing::shows;
use crate::fact::{Spot, Value};
use crate::session::{Inspection, Session};

/// A copy of the case with the number that is being typed.
pub(super) struct Sketch {
    spot: Spot,
    typed: String,
    case: Case,
    results: Results,
    /// Whether what takes a search is in it too.
    whole: bool,
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

    /// Has the digit drawn before what takes a search in its sketch.
    pub(in crate::session) fn draws_first(&mut self) {
        self.hand.draws_first = true;
    }

    /// Works out what the sketch that was drawn still lacks; returns whether there was anything.
    pub(in crate::session) fn completes_sketch(&mut self) -> bool {
        let lacks = self.sketch_lacks_grip();
        if lacks {
            self.hand.sketch = OnceCell::from(self.sketched(true));
        }
        lacks
    }

    /// Returns whether grip of what is typed is still being worked out.
    pub(in crate::session) fn sketch_lacks_grip(&self) -> bool {
        let drawn = self.hand.sketch.get().and_then(Option::as_ref);
        drawn.is_some_and(|sketch| !sketch.whole && self.is_of_hand(sketch))
    }

    /// Returns whether a sketch is of these digits in this cell.
    fn is_of_hand(&self, sketch: &Sketch) -> bool {
        sketch.typed == self.hand.input && self.hand.cursor.as_ref() == Some(&sketch.spot)
    }

    /// Returns the case with the typed number, if it is valid and a picture shows it.
    fn sketched(&self, whole: bool) -> Option<Sketch> {
        let spot = self.hand.cursor.clone()?;
        if self.hand.input.is_empty() || !shows(&spot.fact) {
            return None;
        }
        let value = self.read_number(self.spec()?).ok()?;
        let case = self.with_answer(&spot, value, self.instrument())?;
        let facts = match whole {
            true => Facts::after(&self.flow, &case, Precision::Quick, &self.results),
            false => Facts::without_search(&self.flow, &case),
        };
        let results = facts.into_results();
        Some(Sketch {
            spot,
            typed: self.hand.input.clone(),
            case,
            results,
            whole,
        })
    }

    /// Returns the facts with the number that is being typed, and that number, or `None` if there is nothing to sketch.
    ///
    /// Worked out when a picture first asks for it, and kept until the digits change.
    pub fn sketch(&self) -> Option<(Facts<'_>, &Spot, &Value)> {
        let whole = !self.hand.draws_first;
        let sketch = self.hand.sketch.get_or_init(|| self.sketched(whole));
        // A sketch of other digits or another cell is none.
        let sketch = sketch.as_ref().filter(|own| self.is_of_hand(own))?;
        let facts = Facts::again(&self.flow, &sketch.case, &sketch.results);
        let value = sketch.case.value(&sketch.spot.fact, sketch.spot.at)?;
        Some((facts, &sketch.spot, value))
    }
}

impl Session {
    /// Has digits drawn before what takes a search in their sketch; [`Session::completes_sketch`] brings that.
    pub fn draws_first(&mut self) {
        if let Some(inspection) = &mut self.inspection {
            inspection.draws_first();
        }
    }

    /// Works out what the sketch that was drawn still lacks; returns whether there was anything.
    pub fn completes_sketch(&mut self) -> bool {
        let inspection = self.inspection.as_mut();
        inspection.is_some_and(Inspection::completes_sketch)
    }
}
