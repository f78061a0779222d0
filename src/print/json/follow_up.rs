//! What dentists are asked after, as one JSON object.

use jiff::civil::Date;
use schemars::JsonSchema;
use serde::Serialize;

use super::shape::{Day, FormatKey, OutcomeKindWord, UnitShape, units_of};
use crate::fact::Place;
use crate::learn::follow_up::{Due, OfDentist};

/// What a dentist is to be asked after.
#[derive(Serialize, JsonSchema)]
pub struct FollowUpObject<'a> {
    /// The format of this object.
    format: FormatKey,
    /// The dentist's code.
    dentist: &'a str,
    /// The day on which it was looked.
    on: Day,
    /// The day of the last order that makes nothing again, or null.
    last_order: Option<Day>,
    /// What is due.
    due: Vec<DueObject<'a>>,
    /// How many cases of the archive cannot be read.
    unread: usize,
}

/// A restoration that is due.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Due")]
struct DueObject<'a> {
    /// The case's number.
    case: &'a str,
    /// The restoration.
    restoration: Place,
    /// Its units.
    units: Vec<UnitShape>,
    /// The day of its delivery.
    delivered: Day,
    /// How many months after that it is due.
    months: i32,
    /// What was heard of it last, or null.
    heard: Option<HeardObject>,
}

/// What was heard of a restoration.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Heard")]
struct HeardObject {
    /// What.
    what: OutcomeKindWord,
    /// Up to which day it is known what became of it.
    on: Day,
}

impl<'a> FollowUpObject<'a> {
    /// Returns the object of what one dentist is to be asked after on a day.
    pub fn of(own: &'a OfDentist, on: Date, unread: usize) -> FollowUpObject<'a> {
        let object = |due: &'a Due| DueObject {
            case: &due.number,
            restoration: Place::Restoration(due.restoration.id),
            units: units_of(&due.restoration),
            delivered: Day(due.delivered),
            months: due.months,
            heard: due.heard.map(|(what, on)| HeardObject {
                what: OutcomeKindWord(what),
                on: Day(on),
            }),
        };
        FollowUpObject {
            format: FormatKey,
            dentist: &own.dentist,
            on: Day(on),
            last_order: own.last_order.map(Day),
            due: own.due.iter().map(object).collect(),
            unread,
        }
    }
}
