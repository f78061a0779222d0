//! What the previous restoration tells.
//!
//! *Model*: a retainer that came loose while another held let decay in unseen, and names the weak prep.
//! *Sources*: common practice, no source.

use super::{Derivation, Facts};
use crate::case::Role;
use crate::fact::{
    ORDER_CEMENT, Place, REMAKE_LOOSE, REMAKE_OLD_CEMENT, SAME_CEMENT, SOME_LOOSE, Value,
};

pub(super) static DERIVATION: Derivation = Derivation {
    id: "remake",
    gives: &[SOME_LOOSE, SAME_CEMENT],
    needs: &[REMAKE_LOOSE, REMAKE_OLD_CEMENT, ORDER_CEMENT],
    sources: &["common-practice"],
    run,
};

fn run(facts: &mut Facts<'_>) {
    for restoration in facts.units().restorations() {
        let at = Place::Restoration(restoration.id);
        let mut inputs = facts.inputs(at);
        let loose = match inputs.look(&REMAKE_LOOSE) {
            Some(Value::Teeth(teeth)) => teeth.as_slice(),
            _ => &[],
        };
        let own: Vec<_> = restoration.teeth(Role::Abutment).collect();
        let count = own.iter().filter(|tooth| loose.contains(tooth)).count();
        let gathered = inputs.gathered();
        facts.give(
            &SOME_LOOSE,
            at,
            gathered,
            Ok((0 < count && count < own.len()).into()),
        );
        let mut inputs = facts.inputs(at);
        let old = inputs.look(&REMAKE_OLD_CEMENT).and_then(Value::choice);
        let planned = inputs.look(&ORDER_CEMENT).and_then(Value::choice);
        let gathered = inputs.gathered();
        facts.give(&SAME_CEMENT, at, gathered, Ok((old == planned).into()));
    }
}
