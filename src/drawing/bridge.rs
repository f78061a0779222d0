//! A restoration of several units in elevation.
//!
//! Crowns are drawn in usual sizes, since their outlines are not read at inspection.

use super::figure::{Anchor, Figure, Ink, Word};
use crate::case::{Restoration, Role};
use crate::derive::{Facts, least_area};
use crate::fact::{
    CLEARANCE, CONNECTOR_HEIGHT, CONNECTOR_WIDTH, FactId, HEIGHT_USED, MARGIN_MD, ORDER_MATERIAL,
    Place, SPAN, Side, TOP_MD, Value,
};
use crate::tooth::{Arch, Tooth, size};

/// Half the length of a connector in the picture, in mm.
const HALF_CONNECTOR: f64 = 0.6;
/// How high above the margin the middle of a connector is drawn, as a share of the lower unit's height. Ours: the
/// middle third.
const CONNECTOR_AT: f64 = 0.55;
/// From so many units on, the labels of connectors take turns in two rows.
const CROWDED: usize = 6;
/// The longest arc of a motion on the screen, in mm: it would take the room of the bridge itself there.
const ARC: f64 = 5.0;
/// The bar of the scale, in mm.
const BAR: f64 = 10.0;

/// A unit where it stands in the picture, in mm. The crown's top lies on a line that is common to all.
struct UnitBox {
    tooth: Tooth,
    role: Role,
    middle: f64,
    width: f64,
    height: f64,
    base: f64,
    /// Base, top and height of the prep.
    prep: Option<(f64, f64, f64)>,
}

/// Draws a restoration from the cheek or the lip as in the mouth, the patient's right on the left: units, the preps in
/// them, and connectors as drawn or, before that, as a round of the least area.
///
/// Preps, spans, clearances and connectors are to scale; the outlines of crowns are of usual size. None for one unit.
pub fn elevation(facts: &Facts<'_>, restoration: &Restoration) -> Option<Figure> {
    let (mut figure, blocks, upwards) = stood(facts, restoration)?;
    motion(
        &mut figure,
        facts,
        restoration,
        &blocks,
        upwards,
        f64::INFINITY,
    );
    Some(figure)
}

/// Draws what [`elevation`] has, and the tooth line that the restoration bites against, the clearance over each prep, and
/// the unit or connector of the open question.
pub fn bridge(
    facts: &Facts<'_>,
    restoration: &Restoration,
    marked: Option<Place>,
) -> Option<Figure> {
    let (mut figure, blocks, upwards) = stood(facts, restoration)?;
    let number = |fact: &FactId, at| facts.value(fact, at).and_then(Value::number);
    for block in &blocks {
        let room = number(&CLEARANCE, Place::Unit(block.tooth));
        if let (Some((_, _, tall)), Some(room)) = (block.prep, room) {
            let top = upwards * (tall - block.height);
            if room > 0.0 {
                figure.distance((block.middle, top), (block.middle, 0.0));
            }
            let at = (block.middle + 0.7, f64::midpoint(top, 0.0));
            figure.label(at, -0.5, Anchor::Start, Word::Distance(room));
        }
    }
    if let (Some(first), Some(last)) = (blocks.first(), blocks.last()) {
        let left = first.middle - first.width / 2.0;
        let right = last.middle + last.width / 2.0;
        figure.stroke(Ink::Opposing, vec![(left, 0.0), (right, 0.0)]);
    }
    match marked {
        Some(Place::Unit(tooth) | Place::Wall(tooth, _)) => {
            for block in blocks.iter().filter(|block| block.tooth == tooth) {
                let inner = (block.middle, -upwards * block.height / 2.0);
                figure.bound(Ink::Marked, outline(block, upwards), inner);
                figure.mark(block.word());
            }
        }
        Some(at @ Place::Connector(..)) => {
            for pair in blocks.windows(2) {
                if let [a, b] = pair
                    && Place::connector(a.tooth, b.tooth) == at
                    && let Some(Section { ring, word, .. }) = section(facts, a, b, upwards)
                {
                    let inner = between(a, b, upwards);
                    let ring = ring.iter().chain(ring.first()).copied().collect();
                    figure.bound(Ink::Marked, ring, inner);
                    figure.mark(word);
                }
            }
        }
        _ => {}
    }
    motion(&mut figure, facts, restoration, &blocks, upwards, ARC);
    Some(figure)
}

/// Stands the units side by side; returns them with the way in which their tops point.
fn stood(facts: &Facts<'_>, restoration: &Restoration) -> Option<(Figure, Vec<UnitBox>, f64)> {
    let mut units: Vec<_> = restoration.units.clone();
    if units.len() < 2 {
        return None;
    }
    units.sort_by_key(|unit| unit.tooth.along());
    let number = |fact: &FactId, at| facts.value(fact, at).and_then(Value::number);
    let mut blocks: Vec<UnitBox> = Vec::new();
    let mut right = 0.0;
    for unit in units {
        let at = Place::Unit(unit.tooth);
        let usual = size(unit.tooth);
        let width = number(&SPAN, at)
            .filter(|_| unit.role == Role::Pontic)
            .unwrap_or(usual.mesiodistal_crown);
        let prep = match (
            number(&MARGIN_MD, at),
            number(&TOP_MD, at),
            number(&HEIGHT_USED, at),
        ) {
            (Some(base), Some(top), Some(height)) if unit.role == Role::Abutment => {
                Some((base, top, height))
            }
            _ => None,
        };
        let height = match (prep, number(&CLEARANCE, at)) {
            (Some((_, _, height)), Some(room)) => height + room,
            _ => usual.crown_length,
        };
        let base = match (unit.role, prep) {
            (_, Some((base, ..))) => base,
            (Role::Abutment, None) => usual.mesiodistal_cervix,
            (Role::Pontic, None) => 0.6 * width,
        };
        blocks.push(UnitBox {
            tooth: unit.tooth,
            role: unit.role,
            middle: right + width / 2.0,
            width: width.max(base),
            height,
            base: base.min(width.max(base)),
            prep,
        });
        right += width;
    }
    level_pontics(&mut blocks);
    let upwards = match restoration.units.first()?.tooth.arch() {
        Arch::Lower => 1.0,
        Arch::Upper => -1.0,
    };
    let mut figure = Figure {
        bar: BAR,
        ..Figure::default()
    };
    for block in &blocks {
        unit(&mut figure, block, upwards);
    }
    for (index, pair) in blocks.windows(2).enumerate() {
        if let [a, b] = pair {
            let row = if blocks.len() >= CROWDED {
                index % 2
            } else {
                0
            };
            connector(&mut figure, facts, a, b, upwards, row);
        }
    }
    Some((figure, blocks, upwards))
}

impl UnitBox {
    fn word(&self) -> Word {
        match self.role {
            Role::Abutment => Word::Tooth(self.tooth),
            Role::Pontic => Word::Pontic(self.tooth),
        }
    }
}

/// A pontic is as high as the preps' crowns on the whole, since its own height is not read.
fn level_pontics(blocks: &mut [UnitBox]) {
    let known: Vec<f64> = blocks
        .iter()
        .filter(|block| block.prep.is_some())
        .map(|block| block.height)
        .collect();
    if known.is_empty() {
        return;
    }
    let mean = known.iter().sum::<f64>() / known.len() as f64;
    for block in blocks.iter_mut().filter(|block| block.prep.is_none()) {
        block.height = mean;
    }
}

/// The outline of a crown; its top lies at y 0.
fn outline(block: &UnitBox, upwards: f64) -> Vec<(f64, f64)> {
    let UnitBox {
        middle,
        width,
        height,
        base,
        ..
    } = *block;
    let half = [
        (base / 2.0, 0.0),
        (0.98 * width / 2.0, 0.45),
        (width / 2.0, 0.62),
        (0.94 * width / 2.0, 0.85),
        (0.8 * width / 2.0, 1.0),
    ];
    let place = |(x, share): (f64, f64)| (middle + x, upwards * height * (share - 1.0));
    half.iter()
        .map(|(x, share)| place((*x, *share)))
        .chain(half.iter().rev().map(|(x, share)| place((-x, *share))))
        .collect()
}

/// Draws a unit; its top lies at y 0.
fn unit(figure: &mut Figure, block: &UnitBox, upwards: f64) {
    let UnitBox { middle, height, .. } = *block;
    figure.ring(Ink::Usual, outline(block, upwards));
    let foot = -upwards * height;
    if let Some((base, top, tall)) = block.prep {
        let head = foot + upwards * tall;
        let corners = vec![
            (middle - base / 2.0, foot),
            (middle - top / 2.0, head),
            (middle + top / 2.0, head),
            (middle + base / 2.0, foot),
        ];
        figure.stroke(Ink::Outline, corners);
        let line = vec![(middle - base / 2.0, foot), (middle + base / 2.0, foot)];
        figure.stroke(Ink::Margin, line);
    }
    let lines = if upwards > 0.0 { -1.3 } else { 0.4 };
    figure.label((middle, foot), lines, Anchor::Middle, block.word());
}

/// The middle of a connector.
fn between(a: &UnitBox, b: &UnitBox, upwards: f64) -> (f64, f64) {
    (
        f64::midpoint(a.middle + a.width / 2.0, b.middle - b.width / 2.0),
        upwards * (CONNECTOR_AT - 1.0) * a.height.min(b.height),
    )
}

/// A connector as it is drawn: how, its ring from its lower left on, and what it says.
struct Section {
    ink: Ink,
    ring: Vec<(f64, f64)>,
    word: Word,
}

/// Returns how a connector is drawn, or `None` if nothing is known of it.
fn section(facts: &Facts<'_>, a: &UnitBox, b: &UnitBox, upwards: f64) -> Option<Section> {
    let at = Place::connector(a.tooth, b.tooth);
    let number = |fact: &FactId| facts.value(fact, at).and_then(Value::number);
    let material = facts
        .resolved(&ORDER_MATERIAL, at)
        .and_then(|(_, value)| value.choice());
    let (ink, height, word) = match (number(&CONNECTOR_HEIGHT), number(&CONNECTOR_WIDTH)) {
        (Some(height), Some(width)) => (Ink::Connector, height, Word::Section(height, width)),
        _ => {
            let least = least_area(
                facts.flow().material(material?)?,
                facts.units().owner(at)?,
                at,
            )?;
            let across = (4.0 * least / std::f64::consts::PI).sqrt();
            (Ink::Least, across, Word::Least(least))
        }
    };
    let (x, middle) = between(a, b, upwards);
    let (left, right) = (x - HALF_CONNECTOR, x + HALF_CONNECTOR);
    let (low, high) = (middle - height / 2.0, middle + height / 2.0);
    let ring = vec![(left, low), (right, low), (right, high), (left, high)];
    Some(Section { ink, ring, word })
}

fn connector(
    figure: &mut Figure,
    facts: &Facts<'_>,
    a: &UnitBox,
    b: &UnitBox,
    upwards: f64,
    row: usize,
) {
    let Some(Section { ink, ring, word }) = section(facts, a, b, upwards) else {
        return;
    };
    let (x, _) = between(a, b, upwards);
    let (low, high) = match ring.as_slice() {
        [low, _, high, _] => (low.1, high.1),
        _ => return,
    };
    figure.ring(ink, ring);
    // Outside the crowns, and outside a connector that finds no room in them.
    let (edge, side) = if upwards > 0.0 {
        (high.max(0.0), 0.4)
    } else {
        (low.min(0.0), -1.3)
    };
    let lines = side + upwards * 1.2 * row as f64;
    figure.label((x, edge), lines, Anchor::Middle, word);
}

/// Draws how the whole lets go first, where that is a turning that is seen from the cheek.
fn motion(
    figure: &mut Figure,
    facts: &Facts<'_>,
    restoration: &Restoration,
    blocks: &[UnitBox],
    upwards: f64,
    longest: f64,
) {
    let Some(motion) = facts
        .details()
        .iter()
        .find(|detail| detail.restoration == restoration.id)
        .and_then(|detail| detail.worst()?.motion())
    else {
        return;
    };
    let Some(about) = motion.about else { return };
    // An upper one turns the other way up: arcs rise, so it is drawn in a picture that is turned over and back.
    let foot = |(tooth, side): (Tooth, Side)| {
        let block = blocks.iter().find(|block| block.tooth == tooth)?;
        let left = match side {
            Side::Mesial => !matches!(tooth.quadrant(), 1 | 4),
            Side::Distal => matches!(tooth.quadrant(), 1 | 4),
            Side::Facial | Side::Lingual => return None,
        };
        let sign = if left { -1.0 } else { 1.0 };
        Some((block.middle + sign * block.base / 2.0, -block.height))
    };
    let (Some(about), Some(lifts)) = (foot(about), foot(motion.lifts)) else {
        return;
    };
    if (about.0 - lifts.0).abs() <= f64::EPSILON {
        return;
    }
    let mut turned = Figure::default();
    turned.turning(about, lifts, longest);
    for stroke in &mut turned.strokes {
        for point in &mut stroke.points {
            point.1 *= upwards;
        }
    }
    figure.strokes.extend(turned.strokes);
}
