//! The flow's load cases, put on the units that they apply to.

use super::stump::place_in_arch;
use crate::case::Restoration as Units;
use crate::derive::Facts;
use crate::fact::{Place, Side};
use crate::flow::Load as LoadCase;
use crate::logic::Truth;
use crate::mechanics::dislodgement::Load;
use crate::mechanics::dislodgement::grip::Graded;
use crate::tooth::{Tooth, ToothClass, size};

/// A load case on a unit, as a force.
pub(super) struct Case<'f> {
    pub(super) definition: &'f LoadCase,
    pub(super) unit: Tooth,
    pub(super) toward: Option<Side>,
    pub(super) load: Load,
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

/// Puts the flow's load cases on the units that they apply to.
pub(super) fn loads<'f>(
    facts: &Facts<'f>,
    units: &Units,
    stumps: &[(Tooth, Graded)],
) -> Vec<Case<'f>> {
    let top = |graded: &Graded| {
        let walls = &graded.abutment.preparation.walls;
        walls
            .iter()
            .map(|wall| wall.height + wall.margin)
            .fold(f64::MIN, f64::max)
    };
    let mean_top =
        stumps.iter().map(|(_, graded)| top(graded)).sum::<f64>() / stumps.len().max(1) as f64;
    let mut cases = Vec::new();
    for unit in &units.units {
        let at = Place::Unit(unit.tooth);
        let own = stumps
            .iter()
            .find(|(tooth, _)| *tooth == unit.tooth)
            .map(|(_, graded)| graded);
        let (frame, md, fl, top) = match own {
            Some(graded) => {
                let prep = &graded.abutment.preparation;
                (
                    graded.abutment.frame,
                    prep.mesiodistal,
                    prep.faciolingual,
                    top(graded),
                )
            }
            None => {
                let mut inputs = facts.inputs(at);
                let frame = place_in_arch(&mut inputs, units, unit.tooth);
                let crown = size(unit.tooth);
                (
                    frame,
                    crown.mesiodistal_cervix,
                    crown.faciolingual_cervix,
                    mean_top,
                )
            }
        };
        for definition in &facts.flow().loads {
            let applies = facts.units().is_kind(at, definition.at)
                && definition.when.eval(facts, at).truth == Truth::True;
            if !applies {
                continue;
            }
            let level = definition.angle.to_radians().sin().abs() > 1e-9 || definition.out > 0.0;
            let sides: Vec<Option<Side>> = if level {
                definition.toward.iter().copied().map(Some).collect()
            } else {
                vec![None]
            };
            for toward in sides {
                let (sin, cos) = definition.angle.to_radians().sin_cos();
                let lean = toward.map_or([0.0; 3], local);
                let half = match toward {
                    Some(Side::Mesial | Side::Distal) => md / 2.0,
                    _ => fl / 2.0,
                };
                let out = definition.out * half;
                let point = [lean[0] * out, lean[1] * out, top + definition.above];
                let direction = [lean[0] * sin, lean[1] * sin, -cos];
                let force = definition.force[match unit.tooth.class() {
                    ToothClass::Incisor => 0,
                    ToothClass::Canine => 1,
                    ToothClass::Premolar => 2,
                    ToothClass::Molar => 3,
                }];
                let load = Load {
                    point: frame.point(point),
                    direction: frame.direction(direction),
                    force,
                };
                cases.push(Case {
                    definition,
                    unit: unit.tooth,
                    toward,
                    load,
                });
            }
        }
    }
    cases
}
