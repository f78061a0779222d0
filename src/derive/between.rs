//! Connectors: the room on the models, and the designed section against the least that the material wants.
//!
//! *Inputs and units*: mm, mm², mm³. *Model*: the room counts as the largest round section it takes. Bending is told as
//! a ratio: the stress of this section over that of a round one of the material's least area under the same load and
//! span, so that neither load nor span nor how the ends are held has to be assumed.
//! *Limits of validity*: elastic beam; a connector cut through a notch is weaker.
//! *Sources*: standard mechanics; least areas are those of the material; h²·w is common practice, no source.

use super::{Derivation, Facts, Inputs};
use crate::fact::{
    C_AREA, C_AREA_SHARE, C_H2W, C_STRESS, CONNECTOR_HEIGHT, CONNECTOR_LEAST, CONNECTOR_SECTION,
    CONNECTOR_WIDTH, ORDER_MATERIAL, Place, PlaceKind, ROOM_H2W, ROOM_HEIGHT, ROOM_SHARE,
    ROOM_WIDTH, Unit, Value,
};
use crate::flow::Material;
use crate::mechanics::beam::{BeamError, CrossSection};

pub(super) static DERIVATION: Derivation = Derivation {
    id: "between",
    gives: &[
        C_AREA,
        C_AREA_SHARE,
        C_H2W,
        C_STRESS,
        ROOM_SHARE,
        ROOM_H2W,
        CONNECTOR_LEAST,
    ],
    needs: &[
        ORDER_MATERIAL,
        CONNECTOR_HEIGHT,
        CONNECTOR_WIDTH,
        CONNECTOR_SECTION,
        ROOM_HEIGHT,
        ROOM_WIDTH,
    ],
    sources: &["beam-theory", "common-practice"],
    run,
};

/// The corner of a rounded box as a share of its smaller side; this project's own choice.
const CORNER_SHARE: f64 = 0.25;

fn run(facts: &mut Facts<'_>) {
    for at in facts.units().within(Place::Case, PlaceKind::Connector) {
        room(facts, at);
        size(facts, at);
    }
    for restoration in facts.units().restorations() {
        let at = Place::Restoration(restoration.id);
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

fn room(facts: &mut Facts<'_>, at: Place) {
    let mut inputs = facts.inputs(at);
    let material = inputs.look(&ORDER_MATERIAL).and_then(Value::choice);
    skip_if_no_bridge(&mut inputs, material, at);
    let (height, width) = (inputs.number(&ROOM_HEIGHT), inputs.number(&ROOM_WIDTH));
    let gathered = inputs.gathered();
    let share = least_area(facts, material, at).and_then(|least| {
        if height <= 0.0 || width <= 0.0 {
            return Ok(Value::Number(0.0, Unit::Ratio));
        }
        let area = CrossSection::Ellipse { height, width }
            .area()
            .map_err(words)?;
        Ok(Value::Number(area / least, Unit::Ratio))
    });
    facts.give(&ROOM_SHARE, at, gathered, share);

    let mut inputs = facts.inputs(at);
    let (height, width) = (inputs.number(&ROOM_HEIGHT), inputs.number(&ROOM_WIDTH));
    let gathered = inputs.gathered();
    let h2w = Value::Number(height * height * width, Unit::Mm3);
    facts.give(&ROOM_H2W, at, gathered, Ok(h2w));
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
    let material = inputs.look(&ORDER_MATERIAL).and_then(Value::choice);
    skip_if_no_bridge(&mut inputs, material, at);
    let shape = section(&mut inputs);
    let gathered = inputs.gathered();
    let least = least_area(facts, material, at);
    let share = least.clone().and_then(|least| {
        Ok(Value::Number(
            shape.area().map_err(words)? / least,
            Unit::Ratio,
        ))
    });
    facts.give(&C_AREA_SHARE, at, gathered, share);

    let mut inputs = facts.inputs(at);
    let material = inputs.look(&ORDER_MATERIAL).and_then(Value::choice);
    skip_if_no_bridge(&mut inputs, material, at);
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

/// The designed section of a connector.
pub(super) fn section(inputs: &mut Inputs<'_, '_>) -> CrossSection {
    let (height, width) = (
        inputs.number(&CONNECTOR_HEIGHT),
        inputs.number(&CONNECTOR_WIDTH),
    );
    match inputs.look(&CONNECTOR_SECTION).and_then(Value::choice) {
        Some("round") => CrossSection::Ellipse { height, width },
        Some("rounded-box") => CrossSection::RoundedBox {
            height,
            width,
            radius: CORNER_SHARE * height.min(width),
        },
        _ => CrossSection::SharpBox { height, width },
    }
}

/// A material that is not made into bridges of this kind has no least connector; that it is ordered is another finding.
fn skip_if_no_bridge(inputs: &mut super::Inputs<'_, '_>, material: Option<&str>, at: Place) {
    let known = material.is_some_and(|id| inputs.facts.flow().material(id).is_some());
    if known && least_area(inputs.facts, material, at).is_err() {
        inputs.does_not_apply();
    }
}

/// The least connector area that the material wants at this place, in mm²; not a number where none is ordered yet.
///
/// # Errors
/// The material is not made into bridges of this kind, or the flow does not know it.
pub(crate) fn least_area(
    facts: &Facts<'_>,
    material: Option<&str>,
    at: Place,
) -> Result<f64, String> {
    let Some(id) = material else {
        return Ok(f64::NAN);
    };
    let material: &Material = facts
        .flow()
        .material(id)
        .ok_or_else(|| "the flow does not know the material".to_owned())?;
    let (Place::Connector(a, b), Some(restoration)) = (at, facts.units().owner(at)) else {
        return Err("not a connector".to_owned());
    };
    let long = restoration.units.len() >= 4 || restoration.free_pontics() > 0;
    let least = if long {
        material.connector_long
    } else if a.is_posterior() || b.is_posterior() {
        material.connector_back
    } else {
        material.connector_front
    };
    least.ok_or_else(|| format!("{} is not made into bridges of this kind", material.name))
}

fn words(error: BeamError) -> String {
    error.to_string()
}
