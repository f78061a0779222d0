//! Which restorations are judged: crowns and bridges on prepared teeth. Of what is not covered nothing is asked, worked
//! out or judged; what was entered stays, and counts again once the answer is corrected.

use super::Facts;
use crate::case::{Case, Restoration};
use crate::fact::{ORDER_SCOPE, Place, PlaceKind, Value};
use crate::logic::World as _;

/// The kind of work that is covered.
const COVERED: &str = "teeth";

/// Returns the numbers of the restorations that are said to be of another kind of work. What is not known yet is none.
pub(super) fn not_covered(case: &Case) -> Vec<u8> {
    let restorations = case.units.restorations().iter();
    restorations
        .map(|restoration| restoration.id)
        .filter(|id| {
            let kind = case.value(&ORDER_SCOPE, Place::Restoration(*id));
            kind.and_then(Value::choice)
                .is_some_and(|kind| kind != COVERED)
        })
        .collect()
}

impl<'a> Facts<'a> {
    /// Returns whether what stands at a place is judged: it belongs to a restoration that is covered, or is not known not to
    /// be. The case itself is judged as long as one of its restorations is.
    pub fn covers(&self, at: Place) -> bool {
        match self.units().owner(at) {
            Some(owner) => !self.not_covered.contains(&owner.id),
            None => {
                self.not_covered.is_empty()
                    || self.not_covered.len() < self.units().restorations().len()
            }
        }
    }

    /// Returns the restorations that are judged, in the order of their numbers.
    pub fn covered(&self) -> Vec<&'a Restoration> {
        let judged = |own: &&Restoration| !self.not_covered.contains(&own.id);
        self.units().restorations().iter().filter(judged).collect()
    }

    /// Returns the restorations that are not judged, in the order of their numbers.
    pub fn not_covered(&self) -> Vec<&'a Restoration> {
        let other = |own: &&Restoration| self.not_covered.contains(&own.id);
        self.units().restorations().iter().filter(other).collect()
    }

    /// Returns the places of a kind that are judged, over the whole case, in the order of the inspection.
    pub fn places(&self, kind: PlaceKind) -> Vec<Place> {
        self.within(Place::Case, kind)
    }
}
