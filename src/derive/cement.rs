//! What the planned cement is like, out of the flow's table of cements.
//!
//! *Model*: one that sets with water does not bond; the others bond, some of them over a primer.
//! *Sources*: those of the cement.

use super::{Derivation, Facts};
use crate::fact::{CEMENT_BONDS, CEMENT_DRY, CEMENT_PRIMER, ORDER_CEMENT, Place, Value};
use crate::flow::Cement;

pub(super) static DERIVATION: Derivation = Derivation {
    id: "cement",
    gives: &[CEMENT_BONDS, CEMENT_DRY, CEMENT_PRIMER],
    needs: &[ORDER_CEMENT],
    sources: &[],
    run,
};

type Trait = fn(&Cement) -> bool;

fn run(facts: &mut Facts<'_>) {
    let traits: [(_, Trait); 3] = [
        (CEMENT_BONDS, |cement| !cement.water_based),
        (CEMENT_DRY, |cement| cement.dry_field),
        (CEMENT_PRIMER, |cement| cement.primer),
    ];
    for restoration in facts.units().restorations() {
        let at = Place::Restoration(restoration.id);
        for (fact, has) in &traits {
            let mut inputs = facts.inputs(at);
            let id = inputs.look(&ORDER_CEMENT).and_then(Value::choice);
            let gathered = inputs.gathered();
            let cement = id.and_then(|id| facts.flow().cement(id));
            let value = cement
                .map(|cement| Value::from(has(cement)))
                .ok_or_else(|| "the flow does not know the cement".to_owned());
            facts.give(fact, at, gathered, value);
        }
    }
}
