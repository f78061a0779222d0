//! What became of the restorations of a case, as one JSON object.

use schemars::JsonSchema;
use serde::Serialize;

use super::shape::{
    Day, ForeseenWord, FormatKey, KnownWord, OutcomeKindWord, RestorationShape, restorations,
};
use crate::case::Case;
use crate::case::outcome::Outcome;
use crate::fact::Place;
use crate::phrase::Phrase;

/// What became of the restorations of a case.
#[derive(Serialize, JsonSchema)]
pub struct Outcomes<'a> {
    /// The format of this object.
    format: FormatKey,
    /// The case's number.
    case: &'a str,
    /// Its restorations.
    restorations: Vec<RestorationShape>,
    /// When each of them was delivered.
    delivered: Vec<DeliveredObject>,
    /// What became of them, in the order in which it was written down.
    outcomes: Vec<OutcomeObject<'a>>,
}

/// When a restoration was delivered.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Delivered")]
struct DeliveredObject {
    /// The restoration.
    restoration: Place,
    /// The day; null if it was not, or counts no longer.
    on: Option<Day>,
}

/// What became of a restoration on a day.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Outcome")]
struct OutcomeObject<'a> {
    /// Its number in the list, by which it is taken back.
    number: usize,
    /// What became of it.
    what: OutcomeKindWord,
    /// The restoration.
    restoration: Place,
    /// The unit or connector; null for the whole restoration.
    at: Option<Place>,
    /// The day.
    on: Day,
    /// How it is known.
    known: KnownWord,
    /// Whether the bench could have seen it; null if nobody said.
    seen: Option<ForeseenWord>,
    /// The case that goes on with it, or null.
    goes_on: Option<&'a str>,
    /// The same in words.
    says: String,
}

impl<'a> Outcomes<'a> {
    /// Returns the object of what became of a case.
    pub fn of(case: &'a Case, phrase: Phrase<'_>) -> Outcomes<'a> {
        let object = |(number, own): (usize, &'a Outcome)| OutcomeObject {
            number,
            what: OutcomeKindWord(own.what),
            restoration: Place::Restoration(own.restoration),
            at: own.at,
            on: Day(own.on),
            known: KnownWord(own.known),
            seen: own.seen.map(ForeseenWord),
            goes_on: own.goes_on.as_deref(),
            says: phrase.outcome_line(case, own),
        };
        let all = case.units.restorations().iter();
        Outcomes {
            format: FormatKey,
            case: &case.number,
            restorations: restorations(&case.units),
            delivered: all
                .map(|own| DeliveredObject {
                    restoration: Place::Restoration(own.id),
                    on: case.delivered_on(own.id).map(Day),
                })
                .collect(),
            outcomes: (1..).zip(case.outcomes()).map(object).collect(),
        }
    }
}
