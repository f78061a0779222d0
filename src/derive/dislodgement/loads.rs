//! The flow's load cases, put on the units that they apply to.

use super::prep::place_in_arch;
use crate::case::Restoration as Units;
use crate::derive::Facts;
use crate::fact::{CLEARANCE, PONTIC_CONTACT, Place, Side, Value};
use crate::flow::{Figures, Load as LoadCase};
use crate::logic::Truth;
use crate::mechanics::dislodgement::Load;
use crate::mechanics::dislodgement::grip::Retainer;
use crate::mechanics::frame::Frame;
use crate::tooth::{Tooth, ToothClass, size};

/// A load case on a unit, as a force.
pub(super) struct Situation<'f> {
    pub(super) definition: &'f LoadCase,
    /// The load case that a least single crown is compared under.
    pub(super) against: &'f LoadCase,
    pub(super) unit: Tooth,
    pub(super) toward: Option<Side>,
    /// Where the restoration stood as it was received, see [`loads`].
    pub(super) load: Load,
    /// Where it acts on the preps as they are.
    pub(super) stands: Stands,
    /// On the same restoration with least preps.
    pub(super) at_least: Load,
}

/// How high a prep is, how high the crown on it is taken to be without its clearance, and that clearance, in mm: means of
/// the preps above a pontic.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Stands {
    top: f64,
    height: f64,
    clearance: f64,
}

impl Stands {
    /// How far further from the margin a bite stands than it did. A deeper margin moves away from it. A build-up goes towards
    /// it and takes as much of the clearance, and leaves it where it was. A stub does not make the crown lower, so that what
    /// only makes it less of one moves nothing.
    fn above(self, received: Stands) -> f64 {
        let moved = self.top - received.top + (self.clearance - received.clearance).min(0.0);
        moved.min(self.height - received.height)
    }
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

/// Puts a load case on a tooth that stands in a frame, so many mm above the margin: a force for each side it leans to. How
/// far out it acts goes by the usual neck of the tooth, so that no cut moves it.
pub(super) fn on(
    definition: &LoadCase,
    tooth: Tooth,
    frame: &Frame,
    height: f64,
) -> Vec<(Option<Side>, Load)> {
    let neck = size(tooth);
    let sides: Vec<Option<Side>> = if leans(definition) {
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
        let point = [lean[0] * out, lean[1] * out, height];
        let load = Load {
            point: frame.point(point),
            direction: frame.direction([lean[0] * sin, lean[1] * sin, -cos]),
            force,
        };
        (toward, load)
    };
    sides.into_iter().map(one).collect()
}

/// Returns whether a load case comes from the side.
fn leans(definition: &LoadCase) -> bool {
    definition.angle.to_radians().sin().abs() > 1e-9 || definition.out > 0.0
}

/// How high above the margin of a least prep a load case acts, in mm.
pub(super) fn least_height(figures: &Figures, definition: &LoadCase, tooth: Tooth) -> f64 {
    figures.least_prep.height(tooth) + definition.above
}

/// How high a prep is above its margin, in mm.
fn top(own: &Retainer) -> f64 {
    let walls = own.abutment.preparation.walls.iter();
    walls
        .map(|wall| wall.height + wall.margin)
        .fold(f64::MIN, f64::max)
}

/// How high above the margin of a prep a load case acts, in mm: above its top, where the clearance was read no further than
/// the opposing teeth. A prep lower than a least one is loaded as high as that: a stub does not make the crown lower.
///
/// Loaded at its own height and clearance, a molar of 2.5 mm would have a grip of 0.92 instead of 0.70.
fn height(
    figures: &Figures,
    definition: &LoadCase,
    tooth: Tooth,
    own: &Retainer,
    clearance: Option<f64>,
) -> f64 {
    let above = clearance.map_or(definition.above, |clearance| {
        definition.above.min(clearance)
    });
    top(own).max(figures.least_prep.height(tooth)) + above
}

/// Puts the flow's load cases on the units that they apply to. Above a pontic the bite stands at the mean of the preps, and a
/// pontic that is met only on closing bears none from the side. On a changed copy all stand where they stood in the mouth as
/// the case was received.
pub(super) fn loads<'f>(
    facts: &Facts<'f>,
    units: &Units,
    preps: &[(Tooth, Retainer)],
) -> Vec<Situation<'f>> {
    let clearance = |tooth: Tooth| {
        let read = facts.value(&CLEARANCE, Place::Unit(tooth));
        read.and_then(Value::number)
    };
    let mean = |of: &dyn Fn(&(Tooth, Retainer)) -> f64| {
        preps.iter().map(of).sum::<f64>() / preps.len().max(1) as f64
    };
    let received = facts.received(units.id);
    let mut cases = Vec::new();
    for unit in &units.units {
        let at = Place::Unit(unit.tooth);
        let own = preps.iter().find(|(tooth, _)| *tooth == unit.tooth);
        let frame = match own {
            Some((_, own)) => own.abutment.frame,
            None => place_in_arch(&mut facts.inputs(at), units, unit.tooth),
        };
        let contact = facts.value(&PONTIC_CONTACT, at).and_then(Value::choice);
        let figures = &facts.flow().figures;
        let all = &facts.flow().loads;
        for definition in all {
            let applies = facts.units().is_kind(at, definition.at)
                && definition.when.eval(facts, at).truth == Truth::True
                && !(contact == Some("closing") && leans(definition));
            if !applies {
                continue;
            }
            let against = definition.against.as_ref();
            let against = against
                .and_then(|id| all.iter().find(|own| own.id == *id))
                .unwrap_or(definition);
            let above = |(tooth, own): &(Tooth, Retainer)| {
                height(figures, definition, *tooth, own, clearance(*tooth))
            };
            let least = |(tooth, _): &(Tooth, Retainer)| least_height(figures, definition, *tooth);
            let of =
                |what: &dyn Fn(&(Tooth, Retainer)) -> f64| own.map_or_else(|| mean(what), what);
            let (above, least) = (of(&above), of(&least));
            let stands = Stands {
                top: of(&|(_, own)| top(own)),
                height: of(&|(tooth, own)| top(own).max(figures.least_prep.height(*tooth))),
                clearance: of(&|(tooth, _)| clearance(*tooth).unwrap_or(0.0)),
            };
            let here = on(definition, unit.tooth, &frame, above);
            let at_least = on(definition, unit.tooth, &frame, least);
            for ((toward, load), (_, at_least)) in here.into_iter().zip(at_least) {
                let as_received = received
                    .and_then(|kept| kept.load(&definition.id, unit.tooth, toward))
                    .map(|(load, was)| {
                        let [x, y, z] = load.point;
                        let [a, b, c] = frame.direction([0.0, 0.0, stands.above(was)]);
                        Load {
                            point: [x + a, y + b, z + c],
                            ..load
                        }
                    });
                cases.push(Situation {
                    definition,
                    against,
                    unit: unit.tooth,
                    toward,
                    load: as_received.unwrap_or(load),
                    stands,
                    at_least,
                });
            }
        }
    }
    cases
}
