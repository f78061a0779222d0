//! Where an option may be tried besides the place that was found: walls and neighbouring teeth.

use super::JudgedCopy;
use crate::fact::{LAST_TOOTH, Place, Value};
use crate::tooth::Tooth;

impl JudgedCopy<'_> {
    /// The teeth next to both ends of a restoration that no restoration has; none behind the last tooth of the arch.
    pub(super) fn neighbours(&self, at: Place) -> Vec<Tooth> {
        let units = self.facts.units();
        let Some(restoration) = units.owner(at) else {
            return Vec::new();
        };
        let along: Vec<u8> = restoration.units.iter().map(|u| u.tooth.along()).collect();
        let Some(arch) = restoration.units.first().map(|unit| unit.tooth.arch()) else {
            return Vec::new();
        };
        let ends = [
            along.iter().min().and_then(|least| least.checked_sub(1)),
            along.iter().max().map(|most| most.saturating_add(1)),
        ];
        let hindmost = restoration.units.iter().map(|u| u.tooth.position()).max();
        let last = Place::Restoration(restoration.id);
        let nothing_behind = self.facts.value(&LAST_TOOTH, last) == Some(&Value::Yes);
        ends.into_iter()
            .flatten()
            .filter_map(|along| Tooth::from_along(arch, along))
            .filter(|tooth| units.unit(*tooth).is_none())
            .filter(|tooth| !nothing_behind || Some(tooth.position()) < hindmost)
            .collect()
    }
}
