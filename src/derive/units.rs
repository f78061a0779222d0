//! What follows from the units alone.
//!
//! *Model*: a restoration with a pontic beyond its last abutment is judged as a cantilever whatever the order calls it.
//! A pier is an abutment that stands alone between two pontics with abutments beyond both. The palatal wall of an upper
//! incisor or canine is low by nature. A connector belongs to the run of pontics beside it; it lies behind the canines
//! where it touches a tooth there or a pontic of its run stands there.
//! *Sources*: common practice, no source.

use super::span::Belongs;
use super::{Derivation, Facts};
use crate::case::{Restoration, Role};
use crate::fact::{
    C_BELONGS, C_PLACE, C_PONTICS, CANTILEVER_ARM, FREE_PONTIC, FactId, PIER, Place, PlaceKind,
    R_GUIDES, R_KIND, R_PLACE, R_SKIPPED, R_UNITS, Side, T_CLASS, Unit, Value, WALL_MAY_BE_LOW,
};
use crate::tooth::{Arch, Tooth, ToothClass};

pub(super) static DERIVATION: Derivation = Derivation {
    id: "units",
    gives: &[
        R_KIND,
        R_UNITS,
        R_SKIPPED,
        R_PLACE,
        CANTILEVER_ARM,
        R_GUIDES,
        T_CLASS,
        PIER,
        FREE_PONTIC,
        WALL_MAY_BE_LOW,
        C_BELONGS,
        C_PONTICS,
        C_PLACE,
    ],
    needs: &[],
    sources: &["common-practice"],
    run,
};

/// How many tooth positions between its units are left out.
fn skipped(restoration: &Restoration) -> usize {
    let along: Vec<u8> = restoration
        .units
        .iter()
        .map(|unit| unit.tooth.along())
        .collect();
    along
        .windows(2)
        .map(|pair| match pair {
            [one, other] => usize::from(one.abs_diff(*other).saturating_sub(1)),
            _ => 0,
        })
        .sum()
}

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
            (R_SKIPPED, count(skipped(restoration))),
            (R_PLACE, Value::Choice(region.to_owned())),
            (CANTILEVER_ARM, count(free)),
            (R_GUIDES, canine.into()),
        ];
        for (fact, value) in values {
            let gathered = facts.inputs(at).gathered();
            facts.give(&fact, at, gathered, Ok(value));
        }
    }
    for restoration in facts.units().restorations() {
        for (index, unit) in restoration.units.iter().enumerate() {
            let at = Place::Unit(unit.tooth);
            let class = Value::Choice(class_name(unit.tooth).to_owned());
            plain(facts, &T_CLASS, at, class);
            match unit.role {
                Role::Abutment => plain(facts, &PIER, at, is_pier(restoration, index).into()),
                Role::Pontic => plain(facts, &FREE_PONTIC, at, is_free(restoration, index).into()),
            }
        }
    }
    for restoration in facts.units().restorations() {
        for (at, ..) in restoration.connectors() {
            connector(facts, restoration, at);
        }
    }
    for at in facts.units().within(Place::Case, PlaceKind::Wall) {
        if let Place::Wall(tooth, side) = at {
            let low = side == Side::Lingual && tooth.arch() == Arch::Upper && !tooth.is_posterior();
            plain(facts, &WALL_MAY_BE_LOW, at, low.into());
        }
    }
}

fn connector(facts: &mut Facts<'_>, restoration: &Restoration, at: Place) {
    let Some(belongs) = Belongs::of(restoration, at) else {
        return;
    };
    let to = match belongs {
        Belongs::Joint => "joint",
        Belongs::Span(_) => "span",
        Belongs::Cantilever(_) => "cantilever",
    };
    let region = if belongs.is_back(at) { "back" } else { "front" };
    let pontics = Value::Number(belongs.pontics().len() as f64, Unit::Count);
    plain(facts, &C_BELONGS, at, Value::Choice(to.to_owned()));
    plain(facts, &C_PONTICS, at, pontics);
    plain(facts, &C_PLACE, at, Value::Choice(region.to_owned()));
}

/// Gives a value that rests on no reading.
fn plain(facts: &mut Facts<'_>, fact: &FactId, at: Place, value: Value) {
    let gathered = facts.inputs(at).gathered();
    facts.give(fact, at, gathered, Ok(value));
}

fn is_pier(restoration: &Restoration, index: usize) -> bool {
    let (before, after) = around(restoration, index);
    let lone = |role: Option<&Role>| role == Some(&Role::Pontic);
    lone(before.last())
        && lone(after.first())
        && before.contains(&Role::Abutment)
        && after.contains(&Role::Abutment)
}

fn is_free(restoration: &Restoration, index: usize) -> bool {
    let (before, after) = around(restoration, index);
    !before.contains(&Role::Abutment) || !after.contains(&Role::Abutment)
}

/// Returns the roles of the units on either side of one.
fn around(restoration: &Restoration, index: usize) -> (Vec<Role>, Vec<Role>) {
    let roles = || restoration.units.iter().map(|unit| unit.role);
    (
        roles().take(index).collect(),
        roles().skip(index + 1).collect(),
    )
}

fn class_name(tooth: Tooth) -> &'static str {
    match tooth.class() {
        ToothClass::Incisor => "incisor",
        ToothClass::Canine => "canine",
        ToothClass::Premolar => "premolar",
        ToothClass::Molar => "molar",
    }
}
