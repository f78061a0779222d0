//! The arch from above, with the units where they stand.

use super::figure::{Anchor, Figure, Ink, Word};
use crate::case::Role;
use crate::derive::{Facts, stand_in_arch};
use crate::fact::{CONNECTOR_WIDTH, FactId, MARGIN_FL, MARGIN_MD, Place, SPAN, Value};
use crate::tooth::{Arch, Tooth, size};

/// The points of a ring.
const STEPS: u32 = 32;
/// How near a ring comes to its corners: 1 is an ellipse, 0 a box. For the eye.
const ROUND: f64 = 0.75;
/// How wide a pontic is drawn against its space, so that its connectors are seen. For the eye.
const PONTIC: f64 = 0.82;
/// The size of a connector from above, in mm, before it was designed; its length is for the eye.
const CONNECTOR: (f64, f64) = (2.4, 3.0);
/// Third molars are drawn only where they are units.
const LAST: u8 = 7;

/// Draws an arch as it lies on a chart, the patient's right on the left: the upper one with its front at the top, the lower
/// one with its front at the bottom. The preps with their bases as read, pontics and connectors, and what is in hand; of
/// every other tooth only an outline of usual size.
///
/// Units stand where the limit analysis stands them, along a usual arch.
pub fn arch(facts: &Facts<'_>, arch: Arch, marked: Option<Place>) -> Figure {
    let mut figure = Figure::default();
    let teeth = (0..16).filter_map(|along| Tooth::from_along(arch, along));
    for tooth in teeth {
        let unit = facts
            .units()
            .restorations()
            .iter()
            .flat_map(|restoration| &restoration.units)
            .find(|unit| unit.tooth == tooth);
        match unit {
            None if tooth.position() <= LAST => {
                let usual = size(tooth);
                let sizes = (usual.mesiodistal_crown, usual.faciolingual_crown);
                figure.ring(Ink::Usual, ring(facts, tooth, sizes));
            }
            None => {}
            Some(unit) => add_unit(&mut figure, facts, tooth, unit.role, marked),
        }
    }
    for restoration in facts.covered() {
        let own = |tooth: Tooth| tooth.arch() == arch;
        for (at, a, b) in restoration.connectors().filter(|(_, a, _)| own(a.tooth)) {
            connector(
                &mut figure,
                facts,
                at,
                (a.tooth, b.tooth),
                marked == Some(at),
            );
        }
    }
    figure
}

fn add_unit(
    figure: &mut Figure,
    facts: &Facts<'_>,
    tooth: Tooth,
    role: Role,
    marked: Option<Place>,
) {
    let at = Place::Unit(tooth);
    let number = |fact: &FactId| facts.value(fact, at).and_then(Value::number);
    let usual = size(tooth);
    let (ink, sizes, word) = match role {
        // Of what is not covered nothing is drawn but where it stands.
        _ if !facts.covers(at) => (
            Ink::Usual,
            (usual.mesiodistal_crown, usual.faciolingual_crown),
            Word::Tooth(tooth),
        ),
        Role::Abutment => (
            Ink::Outline,
            (
                number(&MARGIN_MD).unwrap_or(usual.mesiodistal_cervix),
                number(&MARGIN_FL).unwrap_or(usual.faciolingual_cervix),
            ),
            Word::Tooth(tooth),
        ),
        Role::Pontic => (
            Ink::Pontic,
            (
                PONTIC * number(&SPAN).unwrap_or(usual.mesiodistal_crown),
                PONTIC * usual.faciolingual_crown,
            ),
            Word::Pontic(tooth),
        ),
    };
    let outline = ring(facts, tooth, sizes);
    figure.ring(ink, outline.clone());
    let middle = place(facts, tooth, (0.0, 0.0));
    let in_hand = match marked {
        Some(Place::Unit(own) | Place::Wall(own, _)) => own == tooth,
        Some(Place::Restoration(id)) => facts.units().owner(at).is_some_and(|owner| owner.id == id),
        _ => false,
    };
    figure.label(middle, -0.5, Anchor::Middle, word);
    if in_hand {
        let around = outline.iter().chain(outline.first()).copied().collect();
        figure.bound(Ink::Marked, around, middle);
        figure.mark(word);
    }
}

/// A point beside the middle of a tooth, mesially and facially, as it lies on the chart.
fn place(facts: &Facts<'_>, tooth: Tooth, (mesially, facially): (f64, f64)) -> (f64, f64) {
    let [x, y, _] = stand_in_arch(facts, tooth).point([mesially, facially, 0.0]);
    match tooth.arch() {
        Arch::Upper => (x, y),
        Arch::Lower => (x, -y),
    }
}

/// A rounded ring about a tooth, by its mesiodistal and faciolingual size.
fn ring(facts: &Facts<'_>, tooth: Tooth, (md, fl): (f64, f64)) -> Vec<(f64, f64)> {
    let round = |share: f64| share.signum() * share.abs().powf(ROUND);
    (0..STEPS)
        .map(|step| {
            let angle = std::f64::consts::TAU * f64::from(step) / f64::from(STEPS);
            let beside = (md / 2.0 * round(angle.cos()), fl / 2.0 * round(angle.sin()));
            place(facts, tooth, beside)
        })
        .collect()
}

fn connector(
    figure: &mut Figure,
    facts: &Facts<'_>,
    at: Place,
    (a, b): (Tooth, Tooth),
    marked: bool,
) {
    let width = facts
        .value(&CONNECTOR_WIDTH, at)
        .and_then(Value::number)
        .unwrap_or(CONNECTOR.1);
    let edge = |tooth: Tooth, towards: (f64, f64)| {
        let span = facts
            .value(&SPAN, Place::Unit(tooth))
            .and_then(Value::number)
            .unwrap_or_else(|| size(tooth).mesiodistal_crown);
        let sides = [span / 2.0, -span / 2.0].map(|md| place(facts, tooth, (md, 0.0)));
        let far = |point: (f64, f64)| (point.0 - towards.0).hypot(point.1 - towards.1);
        let [one, other] = sides;
        if far(one) <= far(other) { one } else { other }
    };
    let (from, to) = (place(facts, a, (0.0, 0.0)), place(facts, b, (0.0, 0.0)));
    let (one, other) = (edge(a, to), edge(b, from));
    let middle = (f64::midpoint(one.0, other.0), f64::midpoint(one.1, other.1));
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let length = dx.hypot(dy);
    if length <= 0.0 {
        return;
    }
    let along = (
        dx / length * CONNECTOR.0 / 2.0,
        dy / length * CONNECTOR.0 / 2.0,
    );
    let across = (-dy / length * width / 2.0, dx / length * width / 2.0);
    let corner = |l: f64, c: f64| {
        (
            middle.0 + l * along.0 + c * across.0,
            middle.1 + l * along.1 + c * across.1,
        )
    };
    let corners = vec![
        corner(-1.0, -1.0),
        corner(1.0, -1.0),
        corner(1.0, 1.0),
        corner(-1.0, 1.0),
    ];
    if marked {
        let around = corners.iter().chain(corners.first()).copied().collect();
        figure.bound(Ink::Marked, around, middle);
    }
    figure.ring(Ink::Connector, corners);
}
