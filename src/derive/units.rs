//! What follows from the units alone.
//!
//! *Model*: a restoration with a pontic beyond its last abutment is judged as a cantilever whatever the order calls it.
//! *Sources*: common practice, no source.

use super::{Derivation, Facts};
use crate::case::Role;
use crate::fact::{
    CANTILEVER_ARM, Place, PlaceKind, R_GUIDES, R_KIND, R_PLACE, R_UNITS, T_CLASS, Unit, Value,
};
use crate::tooth::{Tooth, ToothClass};

pub(super) static DERIVATION: Derivation = Derivation {
    id: "units",
    gives: &[R_KIND, R_UNITS, R_PLACE, CANTILEVER_ARM, R_GUIDES, T_CLASS],
    needs: &[],
    sources: &["common-practice"],
    run,
};

fn run(facts: &mut Facts<'_>) {
    for restoration in facts.units().restorations() {
        let at = Place::Restoration(restoration.id);
        let free = restoration.free_pontics();
        let pontics = restoration.teeth(Role::Pontic).count();
        let kind = match (restoration.units.len(), pontics) {
            (1, _) => "crown",
            (_, 0) => "splinted",
            _ if free > 0 => "cantilever",
            _ => "bridge",
        };
        let back = restoration
            .units
            .iter()
            .filter(|unit| unit.tooth.is_posterior())
            .count();
        let region = match back {
            0 => "front",
            n if n == restoration.units.len() => "back",
            _ => "both",
        };
        let canine = restoration
            .units
            .iter()
            .any(|unit| unit.tooth.class() == ToothClass::Canine);
        let count = |n: usize| Value::Number(n as f64, Unit::Count);
        let values = [
            (R_KIND, Value::Choice(kind.to_owned())),
            (R_UNITS, count(restoration.units.len())),
            (R_PLACE, Value::Choice(region.to_owned())),
            (CANTILEVER_ARM, count(free)),
            (R_GUIDES, canine.into()),
        ];
        for (fact, value) in values {
            let gathered = facts.inputs(at).gathered();
            facts.give(&fact, at, gathered, Ok(value));
        }
    }
    for at in facts.units().within(Place::Case, PlaceKind::Unit) {
        if let Place::Unit(tooth) = at {
            let gathered = facts.inputs(at).gathered();
            facts.give(
                &T_CLASS,
                at,
                gathered,
                Ok(Value::Choice(class_name(tooth).to_owned())),
            );
        }
    }
}

fn class_name(tooth: Tooth) -> &'static str {
    match tooth.class() {
        ToothClass::Incisor => "incisor",
        ToothClass::Canine => "canine",
        ToothClass::Premolar => "premolar",
        ToothClass::Molar => "molar",
    }
}
