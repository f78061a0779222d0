//! What comes to the same is told once.

use super::CaseOption;
use crate::case::Units;
use crate::fact::PlaceKind;
use crate::flow::{Flow, Verb};

/// Two cuts of one kind at one place, by the same amount and with the same outcome.
fn come_to_the_same(flow: &Flow, one: &CaseOption, other: &CaseOption) -> bool {
    let kind = |way: &CaseOption| match way.of(flow)?.verb {
        Verb::Deepen { gum_goes_back, .. } => Some((true, gum_goes_back)),
        Verb::Straighten { .. } => Some((false, false)),
        _ => None,
    };
    let outcome = |way: &CaseOption| {
        way.after.as_ref().map(|after| {
            (
                after.verdict,
                after.left,
                after.gone.clone(),
                after.new.clone(),
            )
        })
    };
    one.at == other.at
        && kind(one).is_some()
        && kind(one) == kind(other)
        && one.bar == other.bar
        && ((one.amount == other.amount && outcome(one) == outcome(other))
            || (!one.changes.is_empty() && one.changes == other.changes))
}

/// Takes out what cuts more walls to come to the same, and marks what is told in the line of another: the same at other
/// walls, and a connector by itself where all of them are made larger at once.
pub(super) fn told_once(flow: &Flow, units: &Units, all: Vec<CaseOption>) -> Vec<CaseOption> {
    let mut ways: Vec<CaseOption> = Vec::new();
    for mut way in all {
        let same = ways
            .iter_mut()
            .find(|other| !other.told_elsewhere && come_to_the_same(flow, other, &way));
        match same {
            Some(other) if other.option == way.option => {
                other.also.push(way.walls.clone());
                way.told_elsewhere = true;
                ways.push(way);
            }
            // What is not enough by itself may be with another.
            Some(other) if !way.is_open() && other.changes != way.changes => {
                way.told_elsewhere = true;
                ways.push(way);
            }
            Some(_) => {}
            None => ways.push(way),
        }
    }
    larger_at_once(flow, units, ways)
}

/// Larger connectors are told in one line where several of a restoration are too small, and by themselves elsewhere.
fn larger_at_once(flow: &Flow, units: &Units, mut ways: Vec<CaseOption>) -> Vec<CaseOption> {
    let enlarges = |way: &CaseOption, at: PlaceKind| {
        way.of(flow)
            .is_some_and(|option| matches!(option.verb, Verb::Enlarge { .. }) && option.at == at)
    };
    let Some(all) = ways
        .iter()
        .find(|way| enlarges(way, PlaceKind::Restoration))
        .cloned()
    else {
        return ways;
    };
    let within = |way: &CaseOption| {
        let owner = |at| units.owner(at).map(|owner| owner.id);
        enlarges(way, PlaceKind::Connector) && owner(way.at) == owner(all.at)
    };
    let open = ways.iter().filter(|way| within(way) && way.is_open());
    if all.is_open() && open.count() != 1 {
        for way in &mut ways {
            way.told_elsewhere |= within(way);
        }
    } else {
        ways.retain(|way| *way != all);
    }
    ways
}
