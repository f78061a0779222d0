//! What an arrival replaces: readings taken on the earlier record, and all of a prep that was cut.

use super::Flow;
use crate::case::Case;
use crate::case::coming::{Awaited, Part};
use crate::fact::{FactId, Origin, Place, PlaceKind, Spot};

/// Returns the readings that an arrival replaces: those taken on the earlier record, and all of a prep that was cut. With
/// `only_read`, only those that were taken.
pub fn replaced(
    flow: &Flow,
    case: &Case,
    part: Part,
    awaited: &Awaited,
    only_read: bool,
) -> Vec<Spot> {
    let mut spots: Vec<Spot> = Vec::new();
    let mut add = |fact: &FactId, at: Place| {
        let spot = Spot {
            fact: fact.clone(),
            at,
        };
        let read = !only_read || case.merged(&spot).is_some() || case.dispute(&spot).is_some();
        if read && !spots.contains(&spot) {
            spots.push(spot);
        }
    };
    let restorations = awaited.restorations.iter().copied().map(Place::Restoration);
    let within: Vec<Place> = restorations.collect();
    let places = |fact: &FactId| -> Vec<Place> {
        let Some(spec) = flow.spec(fact) else {
            return Vec::new();
        };
        match spec.at {
            PlaceKind::Case => vec![Place::Case],
            kind => within
                .iter()
                .flat_map(|at| case.units.within(*at, kind))
                .collect(),
        }
    };
    for fact in flow.anew(part) {
        for at in places(fact) {
            add(fact, at);
        }
    }
    for about in &awaited.matters {
        let Some(decided) = case.decision(about) else {
            continue;
        };
        let comes = part.is_inspected();
        for (spot, _) in decided.decision.sorted().1.iter().filter(|_| comes) {
            add(&spot.fact, spot.at);
        }
        for taken in &decided.decision.taken {
            let mut all = flow.options().map(|(_, option)| option);
            let Some(option) = all.find(|option| option.id == taken.option) else {
                continue;
            };
            // Where nothing comes that is looked at, the paper is what all of it hangs on.
            if comes || part == Part::Order && option.is_told() {
                for fact in &option.anew {
                    let kind = flow.spec(fact).map(|spec| spec.at);
                    let at = kind.and_then(|kind| case.units.resolve(kind, taken.at));
                    at.into_iter().for_each(|at| add(fact, at));
                }
            }
            let cuts = option.cuts && part == Part::Impression;
            let tooth = case.units.resolve(PlaceKind::Abutment, taken.at);
            let Some(tooth) = tooth.filter(|_| cuts) else {
                continue;
            };
            let of_prep = |kind: PlaceKind| matches!(kind, PlaceKind::Abutment | PlaceKind::Wall);
            for step in flow.steps.iter().filter(|step| !step.dentists) {
                for fact in step.facts() {
                    let Some(spec) = flow.spec(fact) else {
                        continue;
                    };
                    if of_prep(spec.at) && spec.origin == Origin::Asked {
                        for at in case.units.within(tooth, spec.at) {
                            add(fact, at);
                        }
                    }
                }
            }
        }
    }
    spots
}
