//! What was entered into a case, as one JSON object.

use jiff::tz::TimeZone;
use schemars::JsonSchema;
use serde::Serialize;

use super::figures::{FactValue, value_and_unit};
use super::shape::{FormatKey, LayerWord, Moment};
use crate::case::history::{About, Changed, Counted, Event, How, What};
use crate::derive::Facts;
use crate::fact::{FactId, Place};
use crate::phrase::Phrase;

/// What was entered into a case, the newest first.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "History")]
pub struct Past<'a> {
    /// The format of this object.
    format: FormatKey,
    /// The case's number.
    case: &'a str,
    /// What happened, the newest first.
    events: Vec<EventObject<'a>>,
}

/// Something that happened.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Event")]
struct EventObject<'a> {
    /// When.
    when: Moment,
    /// The code of the person at the bench, or null.
    who: Option<&'a str>,
    /// What happened.
    what: WhatWord,
    /// Whether it was taken back.
    taken_back: bool,
    /// The fact that changed, or null.
    fact: Option<&'a FactId>,
    /// Its place, or null.
    at: Option<Place>,
    /// What counted before, or null.
    was: Option<ValueObject<'a>>,
    /// What was entered, or else what counts from then on, or null.
    now: Option<ValueObject<'a>>,
    /// The same in words.
    says: String,
}

/// A value with its layer and its instrument.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Counted")]
struct ValueObject<'a> {
    /// The value, or null if somebody looked and could not tell.
    value: Option<FactValue>,
    /// The unit of a number, or null.
    unit: Option<&'static str>,
    /// Whose word it is.
    layer: LayerWord,
    /// The instrument by its id in the flow, or null.
    with: Option<&'a str>,
}

/// What happened.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
enum WhatWord {
    /// The case was opened.
    Opened,
    /// It came with a case file.
    Imported,
    /// It was read or answered at the bench.
    Entered,
    /// The dentist told it.
    Told,
    /// It was agreed with the dentist, or asked and not agreed.
    Decided,
    /// It was set aside, since something new came in.
    SetAside,
    /// It was cleared.
    Cleared,
    /// It was taken back.
    TakenBack,
    /// What was taken back was put in again.
    Again,
    /// Two people answered differently at the same time.
    Differs,
    /// The units changed.
    Units,
    /// Changes are to be proposed on the call, or no longer.
    Proposed,
    /// Something arrived.
    Arrived,
    /// Something became of restorations.
    Became,
    /// This became of a delivered restoration.
    Outcome,
    /// An outcome was taken back.
    OutcomeOff,
    /// The case was handed over.
    Handed,
    /// A file was added.
    FileAdded,
    /// A file was taken off the case.
    FileTakenOff,
    /// The case is judged by another flow or version.
    Flow,
}

impl<'a> Past<'a> {
    /// Returns the object of what happened to the case of these facts.
    pub fn of(
        facts: &Facts<'a>,
        phrase: Phrase<'_>,
        (events, about): (&'a [Event], &About),
        zone: &TimeZone,
    ) -> Past<'a> {
        let object = |event: &'a Event| {
            let (what, inner) = word(&event.what);
            let changed = changed(inner);
            let value = |own: Option<&'a Counted>| own.map(|own| value(phrase, own));
            EventObject {
                when: Moment(event.when),
                who: event.who.as_deref(),
                what,
                taken_back: what == WhatWord::TakenBack || matches!(event.what, What::TakenBack(_)),
                fact: changed.map(|own| &own.spot.fact),
                at: changed.map(|own| own.spot.at),
                was: value(changed.and_then(|own| own.was.as_ref())),
                now: value(changed.and_then(|own| own.now.as_ref())),
                says: phrase.event(facts, (event, about), zone),
            }
        };
        Past {
            format: FormatKey,
            case: &facts.case().number,
            events: events.iter().map(object).collect(),
        }
    }
}

fn value<'a>(phrase: Phrase<'_>, own: &'a Counted) -> ValueObject<'a> {
    let with = own.with.as_deref();
    let (value, unit) = value_and_unit(&own.value, |unit| {
        let read = with.and_then(|with| phrase.decimals(with));
        read.unwrap_or_else(|| unit.decimals())
    });
    ValueObject {
        value,
        unit,
        layer: LayerWord(own.layer),
        with,
    }
}

fn changed(what: &What) -> Option<&Changed> {
    match what {
        What::Value(changed) => Some(changed),
        _ => None,
    }
}

/// Returns the word for what happened, and what it was that happened.
fn word(what: &What) -> (WhatWord, &What) {
    let own = match what {
        What::TakenBack(inner) => return (word(inner).0, inner),
        What::Again(inner) => return (WhatWord::Again, inner),
        What::Opened(_) => WhatWord::Opened,
        What::Imported(_) => WhatWord::Imported,
        What::Value(changed) => match changed.how {
            How::Entered => WhatWord::Entered,
            How::Told => WhatWord::Told,
            How::Agreed => WhatWord::Decided,
            How::SetAside(_) => WhatWord::SetAside,
            How::Cleared => WhatWord::Cleared,
            How::TakenBack => WhatWord::TakenBack,
            How::Again => WhatWord::Again,
            How::Imported => WhatWord::Imported,
            How::Differs => WhatWord::Differs,
        },
        What::Decision(_) => WhatWord::Decided,
        What::Units(_) => WhatWord::Units,
        What::Proposed(_) => WhatWord::Proposed,
        What::Arrived(_) => WhatWord::Arrived,
        What::Happened(_) => WhatWord::Became,
        What::Outcome(_) => WhatWord::Outcome,
        What::NoOutcome(_) => WhatWord::OutcomeOff,
        What::Handed(..) => WhatWord::Handed,
        What::Attached(_) => WhatWord::FileAdded,
        What::Detached(_) => WhatWord::FileTakenOff,
        What::Differs(_) => WhatWord::Differs,
        What::MovedFlow(..) => WhatWord::Flow,
        What::Undone => WhatWord::TakenBack,
    };
    (own, what)
}
