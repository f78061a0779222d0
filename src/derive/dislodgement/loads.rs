//! The flow's load cases, put on the units that they apply to.

use super::stump::{minimum_height, place_in_arch};
use crate::case::Restoration as Units;
use crate::derive::Facts;
use crate::fact::{Place, Side};
use crate::flow::Load as LoadCase;
use crate::logic::Truth;
use crate::mechanics::dislodgement::Load;
use crate::mechanics::dislodgement::grip::Retainer;
use crate::mechanics::frame::Frame;
use crate::tooth::{Tooth, ToothClass, size};

/// A load case on a unit, as a force.
pub(super) struct Case<'f> {
    pub(super) definition: &'f LoadCase,
    /// The load case that a least single crown is compared under.
    pub(super) against: &'f LoadCase,
    pub(super) unit: Tooth,
    pub(super) toward: Option<Side>,
    /// On the restoration as it was received.
    pub(super) load: Load,
    /// On the same restoration with least preps.
    pub(super) at_least: Load,
}

/// A direction of the tooth's own axes: mesially, facially, occlusally.
pub(super) fn local(side: Side) -> [f64; 3] {
    match side {
        Side::Mesial => [1.0, 0.0, 0.0],
        Side::Distal => [-1.0, 0.0, 0.0],
        Side::Facial => [0.0, 1.0, 0.0],
        Side::Lingual => [0.0, -1.0, 0.0],
    }
}

/// Puts a load case on a tooth that stands in a frame, above a top so many mm above the margin: a force for each side it
/// leans to. How far out it acts goes by the usual neck of the tooth, so that no cut moves it.
pub(super) fn on(
    definition: &LoadCase,
    tooth: Tooth,
    frame: &Frame,
    top: f64,
) -> Vec<(Option<Side>, Load)> {
    let neck = size(tooth);
    let level = definition.angle.to_radians().sin().abs() > 1e-9 || definition.out > 0.0;
    let sides: Vec<Option<Side>> = if level {
        definition.toward.iter().copied().map(Some).collect()
    } else {
        vec![None]
    };
    let (sin, cos) = definition.angle.to_radians().sin_cos();
    let force = definition.force[match tooth.class() {
        ToothClass::Incisor => 0,
        ToothClass::Canine => 1,
        ToothClass::Premolar => 2,
        ToothClass::Molar => 3,
    }];
    let one = |toward: Option<Side>| {
        let lean = toward.map_or([0.0; 3], local);
        let half = match toward {
            Some(Side::Mesial | Side::Distal) => neck.mesiodistal_cervix / 2.0,
            _ => neck.faciolingual_cervix / 2.0,
        };
        let out = definition.out * half;
        let point = [lean[0] * out, lean[1] * out, top + definition.above];
        let load = Load {
            point: frame.point(point),
            direction: frame.direction([lean[0] * sin, lean[1] * sin, -cos]),
            force,
        };
        (toward, load)
    };
    sides.into_iter().map(one).collect()
}

/// Puts the flow's load cases on the units that they apply to.
///
/// The bite stands above the top of the prep, and never lower than above that of a least one; above a pontic at the mean
/// of the preps. On a changed copy it stands where it stood as the case was received.
pub(super) fn loads<'f>(
    facts: &Facts<'f>,
    units: &Units,
    stumps: &[(Tooth, Retainer)],
) -> Vec<Case<'f>> {
    let top = |(tooth, own): &(Tooth, Retainer)| {
        let walls = &own.abutment.preparation.walls;
        walls
            .iter()
            .map(|wall| wall.height + wall.margin)
            .fold(minimum_height(*tooth), f64::max)
    };
    let count = stumps.len().max(1) as f64;
    let mean_top = stumps.iter().map(top).sum::<f64>() / count;
    let mean_least = stumps
        .iter()
        .map(|(tooth, _)| minimum_height(*tooth))
        .sum::<f64>()
        / count;
    let received = facts.received(units.id);
    let mut cases = Vec::new();
    for unit in &units.units {
        let at = Place::Unit(unit.tooth);
        let own = stumps.iter().find(|(tooth, _)| *tooth == unit.tooth);
        let (frame, top, least) = match own {
            Some(own) => (own.1.abutment.frame, top(own), minimum_height(unit.tooth)),
            None => {
                let mut inputs = facts.inputs(at);
                let frame = place_in_arch(&mut inputs, units, unit.tooth);
                (frame, mean_top, mean_least)
            }
        };
        let all = &facts.flow().loads;
        for definition in all {
            let applies = facts.units().is_kind(at, definition.at)
                && definition.when.eval(facts, at).truth == Truth::True;
            if !applies {
                continue;
            }
            let against = definition.against.as_ref();
            let against = against
                .and_then(|id| all.iter().find(|own| own.id == *id))
                .unwrap_or(definition);
            let here = on(definition, unit.tooth, &frame, top);
            let at_least = on(definition, unit.tooth, &frame, least);
            for ((toward, load), (_, at_least)) in here.into_iter().zip(at_least) {
                let as_received =
                    received.and_then(|kept| kept.load(&definition.id, unit.tooth, toward));
                cases.push(Case {
                    definition,
                    against,
                    unit: unit.tooth,
                    toward,
                    load: as_received.unwrap_or(load),
                    at_least,
                });
            }
        }
    }
    cases
}
