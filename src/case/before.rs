//! What was read of the case that came back, beside what is read now.

use jiff::civil::Date;

use super::{Case, Layer};
use crate::fact::{Place, Spot, Value};

/// A case that came back and is made again in another.
#[derive(Clone, PartialEq, Debug)]
pub struct Earlier {
    /// The restoration that is made again, by its number in the new case.
    pub again: u8,
    /// The number of the case that came back.
    pub number: String,
    /// The case, or `None` if this archive has none of that number.
    pub case: Option<Case>,
}

/// A reading then and now.
#[derive(Clone, PartialEq, Debug)]
pub struct Both {
    /// Of what, and where.
    pub spot: Spot,
    /// What was read then.
    pub then: Value,
    /// What is read now, or `None` if it is not read yet.
    pub now: Option<Value>,
}

impl Earlier {
    /// Returns every number that was read then at a place that is made again, in the order of the facts.
    pub fn both(&self, new: &Case) -> Vec<Both> {
        let Some(old) = &self.case else {
            return Vec::new();
        };
        let here = |at: Place| {
            matches!(at, Place::Unit(_) | Place::Wall(..) | Place::Connector(..))
                && new.units.owner(at).is_some_and(|own| own.id == self.again)
        };
        let mut all: Vec<Both> = old
            .present()
            .filter(|(spot, layer, reading)| {
                let is_read = matches!(layer, Layer::Measured | Layer::Decided);
                is_read && here(spot.at) && matches!(reading.value, Value::Number(..))
            })
            .map(|(spot, _, reading)| Both {
                now: new.value(&spot.fact, spot.at).cloned(),
                then: reading.value.clone(),
                spot: spot.clone(),
            })
            .collect();
        all.sort_by(|one, other| {
            (one.spot.at, &one.spot.fact).cmp(&(other.spot.at, &other.spot.fact))
        });
        all.dedup_by(|one, other| one.spot == other.spot);
        all
    }

    /// Returns the day on which what came back was delivered.
    pub fn delivered(&self, new: &Case) -> Option<Date> {
        let old = self.case.as_ref()?;
        let shared = old.units.sharing(&new.units, self.again);
        shared.iter().filter_map(|id| old.delivered_on(*id)).max()
    }
}
