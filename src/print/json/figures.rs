//! Facts with their values, rounded as prints show them.

use schemars::JsonSchema;
use serde::Serialize;

use super::shape::{LayerWord, proven};
use crate::case::Layer;
use crate::derive::Facts;
use crate::fact::{FactId, Place, Spot, Unit, Value};
use crate::phrase::{Phrase, rounded};
use crate::tooth::Tooth;

/// A fact at a place, with its value.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Figure")]
pub(super) struct FactObject<'a> {
    /// The fact.
    fact: &'a FactId,
    /// Where it stands.
    at: Place,
    /// The value, or null if somebody looked and could not tell.
    pub(super) value: Option<FactValue>,
    /// The unit of a number.
    #[serde(skip_serializing_if = "Option::is_none")]
    unit: Option<&'static str>,
    /// Where the value is from, if the fact is evidence of a finding.
    #[serde(skip_serializing_if = "Option::is_none")]
    layer: Option<LayerWord>,
}

/// The value of a fact: a number, yes or no, a choice, a text, a day, or teeth.
#[derive(Serialize, JsonSchema)]
#[serde(untagged)]
pub(super) enum FactValue {
    /// A number, in the unit beside it.
    Number(f64),
    /// Yes or no.
    Truth(bool),
    /// The name of a choice, a text, or a day as year-month-day.
    Words(String),
    /// Some teeth.
    Teeth(Vec<Tooth>),
}

pub(super) fn fact<'a>(
    facts: &Facts<'_>,
    phrase: Phrase<'_>,
    (spot, value): (&'a Spot, &Value),
    layer: Option<Layer>,
) -> FactObject<'a> {
    let (value, unit) = value_and_unit(value, |unit| decimals(facts, phrase, spot, unit));
    FactObject {
        fact: &spot.fact,
        at: spot.at,
        value,
        unit,
        layer: layer.map(LayerWord),
    }
}

/// Returns a value and the unit of a number, which is rounded to the decimals of its unit.
pub(super) fn value_and_unit(
    value: &Value,
    decimals: impl Fn(Unit) -> usize,
) -> (Option<FactValue>, Option<&'static str>) {
    match value {
        Value::Number(number, unit) => {
            let symbol = Some(unit.symbol()).filter(|symbol| !symbol.is_empty());
            let number = rounded(*number, decimals(*unit));
            (Some(FactValue::Number(number)), symbol)
        }
        Value::Yes => (Some(FactValue::Truth(true)), None),
        Value::No => (Some(FactValue::Truth(false)), None),
        Value::Choice(name) => (Some(FactValue::Words(name.clone())), None),
        Value::Text(text) => (Some(FactValue::Words(text.clone())), None),
        Value::Day(day) => (Some(FactValue::Words(day.to_string())), None),
        Value::Teeth(teeth) => (Some(FactValue::Teeth(teeth.clone())), None),
        Value::NotSeen => (None, None),
    }
}

/// Returns the decimals of the instrument of a reading, or else those of its unit.
fn decimals(facts: &Facts<'_>, phrase: Phrase<'_>, spot: &Spot, unit: Unit) -> usize {
    let read = facts.case().merged(spot);
    let with = read.and_then(|(_, reading)| reading.with.as_deref());
    with.and_then(|with| phrase.decimals(with))
        .unwrap_or_else(|| unit.decimals())
}

/// Rounds the error of a reading, or the value at which a result turns, to at least one decimal.
pub(super) fn doubtful(number: f64, unit: Unit) -> f64 {
    rounded(number, unit.decimals().max(1))
}

/// Rounds a chance to a hundredth of itself.
pub(super) fn chance(chance: f64) -> f64 {
    proven(chance, 0.1)
}
