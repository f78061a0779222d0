//! Connectors: the room on the models, and the designed section against the least that the material wants.
//!
//! *Inputs and units*: mm, mm², mm³. *Model*: the room counts as the largest round section it takes. Bending is told as
//! a ratio: the stress of this section over that of a round one of the material's least area under the same load and
//! span, so that neither load nor span nor how the ends are held has to be assumed.
//! The least area goes by the pontics in the span that the connector belongs to; a cantilever and a joint without a pontic
//! have one of their own.
//! *Limits of validity*: elastic beam; a connector cut through a notch is weaker.
//! *Sources*: standard mechanics; least areas are those of the material; h²·w is common practice, no source.

use super::span::Belongs;
use super::{Derivation, Facts, Inputs};
use crate::case::Restoration;
use crate::fact::{
    C_AREA, C_AREA_SHARE, C_H2W, C_NEEDS, C_STRESS, CONNECTOR_HEIGHT, CONNECTOR_LEAST,
    CONNECTOR_SECTION, CONNECTOR_SIDE, CONNECTOR_WIDTH, ORDER_MATERIAL, Place, PlaceKind,
    SPACE_AREA, SPACE_H2W, SPACE_HEIGHT, SPACE_SHARE, SPACE_WIDTH, SectionForm, Unit, Value,
};
use crate::flow::{Connectors, Material};
use crate::mechanics::beam::{BeamError, CrossSection};
use crate::phrase::faults::reasons;

pub(super) static DERIVATION: Derivation = Derivation {
    id: "between",
    gives: &[
        C_AREA,
        C_AREA_SHARE,
        C_H2W,
        C_STRESS,
        SPACE_SHARE,
        SPACE_AREA,
        SPACE_H2W,
        CONNECTOR_LEAST,
        CONNECTOR_SIDE,
        C_NEEDS,
    ],
    needs: &[
        ORDER_MATERIAL,
        CONNECTOR_HEIGHT,
        CONNECTOR_WIDTH,
        CONNECTOR_SECTION,
        SPACE_HEIGHT,
        SPACE_WIDTH,
    ],
    sources: &["beam-theory", "common-practice"],
    run,
};

/// The corner of a rounded box as a share of its smaller side; this project's own choice.
const CORNER_SHARE: f64 = 0.25;

fn run(facts: &mut Facts<'_>) {
    for at in facts.units().within(Place::Case, PlaceKind::Connector) {
        needs(facts, at);
        room(facts, at);
        size(facts, at);
    }
    for restoration in facts.units().restorations() {
        let at = Place::Restoration(restoration.id);
        side(facts, restoration, at);
        let mut inputs = facts.inputs(at);
        let smallest = restoration
            .connectors()
            .map(|(connector, ..)| inputs.number_at(&C_AREA_SHARE, connector))
            .fold(f64::INFINITY, f64::min);
        let gathered = inputs.gathered();
        if restoration.units.len() > 1 {
            facts.give(
                &CONNECTOR_LEAST,
                at,
                gathered,
                Ok(Value::Number(smallest, Unit::Ratio)),
            );
        }
    }
}

/// The height and width of space in which a connector of the largest least area here fits, its corners rounded.
fn side(facts: &mut Facts<'_>, restoration: &Restoration, at: Place) {
    if restoration.units.len() < 2 {
        return;
    }
    let mut inputs = facts.inputs(at);
    let largest = restoration
        .connectors()
        .map(|(connector, ..)| inputs.number_at(&C_NEEDS, connector))
        .fold(0.0, f64::max);
    let gathered = inputs.gathered();
    let side = (largest / filling(1.0, 1.0).area().unwrap_or(1.0)).sqrt();
    // Rounded up to what a caliper shows: a tenth too much asks for a reading, a tenth too little hides one.
    let side = (side * 10.0 - 1e-9).ceil() / 10.0;
    facts.give(
        &CONNECTOR_SIDE,
        at,
        gathered,
        Ok(Value::Number(side, Unit::Mm)),
    );
}

fn needs(facts: &mut Facts<'_>, at: Place) {
    let mut inputs = facts.inputs(at);
    let least = least_of(&mut inputs, at);
    let gathered = inputs.gathered();
    let least = least.map(|least| Value::Number(least, Unit::Mm2));
    facts.give(&C_NEEDS, at, gathered, least);
}

fn room(facts: &mut Facts<'_>, at: Place) {
    let mut inputs = facts.inputs(at);
    let least = least_of(&mut inputs, at);
    let (height, width) = (inputs.number(&SPACE_HEIGHT), inputs.number(&SPACE_WIDTH));
    let gathered = inputs.gathered();
    let area = match height <= 0.0 || width <= 0.0 {
        true => Ok(0.0),
        false => filling(height, width).area().map_err(words),
    };
    let share = least.and_then(|least| Ok(Value::Number(area.clone()? / least, Unit::Ratio)));
    facts.give(&SPACE_SHARE, at, gathered, share);

    let mut inputs = facts.inputs(at);
    let (height, width) = (inputs.number(&SPACE_HEIGHT), inputs.number(&SPACE_WIDTH));
    let gathered = inputs.gathered();
    let area = area.map(|area| Value::Number(area, Unit::Mm2));
    facts.give(&SPACE_AREA, at, gathered.clone(), area);
    let h2w = Value::Number(height * height * width, Unit::Mm3);
    facts.give(&SPACE_H2W, at, gathered, Ok(h2w));
}

fn size(facts: &mut Facts<'_>, at: Place) {
    let mut inputs = facts.inputs(at);
    let shape = section(&mut inputs);
    let gathered = inputs.gathered();
    let area = shape
        .area()
        .map(|area| Value::Number(area, Unit::Mm2))
        .map_err(words);
    facts.give(&C_AREA, at, gathered, area);

    let mut inputs = facts.inputs(at);
    let (height, width) = (
        inputs.number(&CONNECTOR_HEIGHT),
        inputs.number(&CONNECTOR_WIDTH),
    );
    let gathered = inputs.gathered();
    let h2w = CrossSection::SharpBox { height, width }.height_squared_width();
    facts.give(
        &C_H2W,
        at,
        gathered,
        h2w.map(|h2w| Value::Number(h2w, Unit::Mm3)).map_err(words),
    );

    let mut inputs = facts.inputs(at);
    let least = least_of(&mut inputs, at);
    let shape = section(&mut inputs);
    let gathered = inputs.gathered();
    let share = least.clone().and_then(|least| {
        Ok(Value::Number(
            shape.area().map_err(words)? / least,
            Unit::Ratio,
        ))
    });
    facts.give(&C_AREA_SHARE, at, gathered, share);

    let mut inputs = facts.inputs(at);
    least_of(&mut inputs, at).ok();
    section(&mut inputs);
    let gathered = inputs.gathered();
    let stress = least.and_then(|least| {
        let across = (4.0 * least / std::f64::consts::PI).sqrt();
        let round = CrossSection::Ellipse {
            height: across,
            width: across,
        };
        let ratio =
            round.section_modulus().map_err(words)? / shape.section_modulus().map_err(words)?;
        Ok(Value::Number(ratio, Unit::Ratio))
    });
    facts.give(&C_STRESS, at, gathered, stress);
}

/// The largest section of a height and width that has no sharp corners.
fn filling(height: f64, width: f64) -> CrossSection {
    CrossSection::RoundedBox {
        height,
        width,
        radius: CORNER_SHARE * height.min(width),
    }
}

/// The designed section of a connector.
pub(super) fn section(inputs: &mut Inputs<'_, '_>) -> CrossSection {
    let (height, width) = (
        inputs.number(&CONNECTOR_HEIGHT),
        inputs.number(&CONNECTOR_WIDTH),
    );
    match inputs.look(&CONNECTOR_SECTION).and_then(Value::chosen) {
        Some(SectionForm::Round) => CrossSection::Ellipse { height, width },
        Some(SectionForm::RoundedBox) => filling(height, width),
        Some(SectionForm::SharpBox) | None => CrossSection::SharpBox { height, width },
    }
}

/// Looks up the least area at a connector; not a number where no material is ordered yet. A material that is not made
/// into bridges of this kind has none, so that nothing is given: that it is ordered is another finding.
fn least_of(inputs: &mut Inputs<'_, '_>, at: Place) -> Result<f64, String> {
    let Some(id) = inputs.look(&ORDER_MATERIAL).and_then(Value::choice) else {
        return Ok(f64::NAN);
    };
    let (Some(material), Some(restoration)) = (
        inputs.facts.flow().material(id),
        inputs.facts.units().owner(at),
    ) else {
        return Err(reasons::UNKNOWN_MATERIAL.to_owned());
    };
    let least = least_area(material, restoration, at);
    if least.is_none() {
        inputs.does_not_apply();
    }
    Ok(least.unwrap_or(f64::NAN))
}

/// Returns the least area of a connector in this material, in mm², or `None` if the material is not made into bridges of
/// this kind or the restoration has no such connector.
///
/// It depends on the run of pontics beside the connector and not on the units of the whole piece: six crowns around one
/// pontic bend no more than three, a pier abutment parts two spans, and a connector of two adjacent abutments bears no pontic at
/// all. Flows that still give the minimum by units (`connector_long`) are judged as they were written.
pub(crate) fn least_area(material: &Material, restoration: &Restoration, at: Place) -> Option<f64> {
    let belongs = Belongs::of(restoration, at)?;
    match &material.connectors {
        Some(connectors) => by_span(connectors, &belongs, belongs.is_back(at)),
        None => by_units(material, restoration, at),
    }
}

fn by_span(connectors: &Connectors, belongs: &Belongs, back: bool) -> Option<f64> {
    let by_pontics = if back {
        &connectors.back
    } else {
        &connectors.front
    };
    match belongs {
        Belongs::Joint if back => Some(connectors.joint_back),
        Belongs::Joint => Some(connectors.joint_front),
        Belongs::Span(run) => by_pontics.iter().take(run.len()).next_back().copied(),
        Belongs::Cantilever(_) => connectors.cantilever,
    }
}

/// As flows had it that give the least by the units of the piece.
fn by_units(material: &Material, restoration: &Restoration, at: Place) -> Option<f64> {
    let back = matches!(at, Place::Connector(a, b) if a.is_posterior() || b.is_posterior());
    if restoration.units.len() >= 4 || restoration.free_pontics() > 0 {
        material.connector_long
    } else if back {
        material.connector_back
    } else {
        material.connector_front
    }
}

fn words(error: BeamError) -> String {
    error.to_string()
}
