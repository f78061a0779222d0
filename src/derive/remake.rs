//! What the old restoration tells.
//!
//! *Model*: a retainer that came loose while another held let decay in unseen, and names the weak stump.
//! *Sources*: common practice, no source.

use super::{Derivation, Facts};
use crate::case::Role;
use crate::fact::{Place, REMAKE_LOOSE, SOME_LOOSE, Value};

pub(super) static DERIVATION: Derivation = Derivation {
    id: "remake",
    gives: &[SOME_LOOSE],
    needs: &[REMAKE_LOOSE],
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
    }
}
