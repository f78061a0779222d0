//! What was entered before: every change of a reading, a decision, the units or the whole case, out of its journal.

use std::collections::BTreeSet;

use jiff::Timestamp;
use uuid::Uuid;

use super::beside::CaseFile;
use super::coming::{Arrival, Part};
use super::decision::{Decision, Matter};
use super::journal::{Body, Entry, FoldError, apply, fold};
use super::life::CaseEvent;
use super::outcome::Outcome;
use super::{Case, FlowRef, Layer, Units, is_of_old};
use crate::fact::{FactId, Spot, Value};
use crate::text::clean;

/// What is looked back at.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum About {
    /// The whole case.
    Case,
    /// One fact at one place.
    Spot(Spot),
    /// One fact at every place.
    Fact(FactId),
    /// What was said to one question.
    Decision(Matter),
    /// The units of the order.
    Units,
}

/// Something that happened.
#[derive(Clone, PartialEq, Debug)]
pub struct Event {
    /// Its place in the journal, from 0.
    pub entry: usize,
    /// When.
    pub when: Timestamp,
    /// The code of the person at the bench.
    pub who: Option<String>,
    /// What.
    pub what: What,
}

/// A value with its layer and its instrument.
#[derive(Clone, PartialEq, Debug)]
pub struct Counted {
    /// Whose word it is.
    pub layer: Layer,
    /// The value.
    pub value: Value,
    /// The instrument.
    pub with: Option<String>,
}

/// What happened.
#[derive(Clone, PartialEq, Debug)]
pub enum What {
    /// The case was opened with these units.
    Opened(Units),
    /// So many answers came with a case file.
    Imported(usize),
    /// A value changed.
    Value(Changed),
    /// Something was said to a question.
    Decision(Box<Decision>),
    /// The units changed to these.
    Units(Units),
    /// So many changes are to be proposed on the call from now on.
    Proposed(usize),
    /// Something arrived.
    Arrived(Box<Arrival>),
    /// Something became of restorations.
    Happened(CaseEvent),
    /// This became of a delivered restoration.
    Outcome(Outcome),
    /// This outcome was taken back.
    NoOutcome(Outcome),
    /// The case was handed over: to whom, and with what note.
    Handed(String, String),
    /// A file was named.
    Attached(CaseFile),
    /// A file is named no longer, by its path.
    Detached(String),
    /// This was written down while somebody else wrote another; neither counts.
    Differs(Box<What>),
    /// The case is judged by another flow or version: which, what does not fit it, and what is asked again.
    MovedFlow(FlowRef, Vec<(Spot, Value)>, Vec<Matter>),
    /// This was taken back.
    TakenBack(Box<What>),
    /// This was taken back and then put in again.
    Again(Box<What>),
    /// Something was taken back that the journal does not have.
    Undone,
}

/// How a value of one fact at one place changed.
#[derive(Clone, PartialEq, Debug)]
pub struct Changed {
    /// The fact and its place.
    pub spot: Spot,
    /// What counted before.
    pub was: Option<Counted>,
    /// What was entered, or else what counts from then on.
    pub now: Option<Counted>,
    /// What is expected from now on, if this changed it.
    pub expected: Option<Value>,
    /// How it changed.
    pub how: How,
}

/// How a value changed.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum How {
    /// It was read or answered at the bench.
    Entered,
    /// The dentist told it.
    Told,
    /// It was agreed with the dentist.
    Agreed,
    /// It was set aside, since these parts came in.
    SetAside(Vec<Part>),
    /// It was cleared.
    Cleared,
    /// The change before was taken back.
    TakenBack,
    /// What was taken back was put in again.
    Again,
    /// It came with a case file.
    Imported,
    /// Two people answered differently at the same time.
    Differs,
}

/// Returns what happened, the newest first.
///
/// # Errors
/// The entries are not the journal of a case.
pub fn history(journal: &[Entry], about: &About) -> Result<Vec<Event>, FoldError> {
    // Says what is wrong with the journal, where something is.
    fold(journal)?;
    let again = put_in_again(journal);
    let mut events = match about {
        About::Case => of_case(journal, &again),
        About::Spot(spot) => of_spot(journal, &again, spot),
        About::Fact(fact) => {
            let spots = spots(journal, fact);
            spots
                .iter()
                .flat_map(|spot| of_spot(journal, &again, spot))
                .collect()
        }
        About::Decision(matter) => of_decision(journal, &again, matter),
        About::Units => of_units(journal),
    };
    events.sort_by_key(|event| std::cmp::Reverse(event.entry));
    Ok(events)
}

fn event((entry, own): (usize, &Entry), what: What) -> Event {
    Event {
        entry,
        when: own.when,
        who: own.who.as_deref().map(clean),
        what,
    }
}

/// Returns the entry that an entry takes back. What a file brought in takes nothing back.
fn undoes(entry: &Entry) -> Option<Uuid> {
    let id = match &entry.body {
        Body::Answer { undoes, .. } | Body::Clear { undoes, .. } | Body::Units { undoes, .. } => {
            *undoes
        }
        Body::PutBack { undoes, .. } => Some(*undoes),
        _ => None,
    };
    id.filter(|id| !id.is_nil())
}

/// Returns the places of entries that put in again what was taken back just before in the same session.
fn put_in_again(journal: &[Entry]) -> BTreeSet<usize> {
    let mut again = BTreeSet::new();
    let mut undone: Vec<&Entry> = Vec::new();
    for (index, entry) in journal.iter().enumerate() {
        if let Some(id) = undoes(entry) {
            undone.extend(journal.iter().take(index).find(|own| own.id == id));
            continue;
        }
        let last = undone.last();
        if last.is_some_and(|last| last.session == entry.session && last.body == entry.body) {
            undone.pop();
            again.insert(index);
        } else if !matches!(entry.body, Body::Judged { .. }) {
            undone.retain(|own| own.session != entry.session);
        }
    }
    again
}

/// Returns whether an entry came with a case file: it was written in the moment in which the case was opened.
fn is_imported(journal: &[Entry], entry: &Entry) -> bool {
    let first = journal.first();
    first.is_some_and(|first| first.when == entry.when && first.session == entry.session)
}

/// Returns the places at which a fact was ever entered.
fn spots(journal: &[Entry], fact: &FactId) -> BTreeSet<Spot> {
    let mut spots = BTreeSet::new();
    let mut case: Option<Case> = None;
    for entry in journal {
        let Some(case) = &mut case else {
            case = fold(std::iter::once(entry)).ok();
            continue;
        };
        // Whatever takes a value away was preceded by what put it there.
        let brings = match &entry.body {
            Body::Answer { spot, .. } if !is_of_old(spot) => {
                spots.extend((spot.fact == *fact).then(|| spot.clone()));
                false
            }
            Body::Answer { .. } | Body::Decide { .. } | Body::PutBack { .. } => true,
            _ => false,
        };
        if apply(case, entry).is_ok() && brings {
            let own = case.layers().map(|(spot, ..)| spot);
            spots.extend(own.filter(|spot| spot.fact == *fact).cloned());
        }
    }
    spots
}

/// The values of every layer at a place, the lowest layer first.
fn layers(case: &Case, spot: &Spot) -> Vec<Counted> {
    let own = |layer| {
        let reading = case.reading(spot, layer)?;
        Some(Counted {
            layer,
            value: reading.value.clone(),
            with: reading.with.clone(),
        })
    };
    Layer::ALL.into_iter().filter_map(own).collect()
}

fn of_spot(journal: &[Entry], again: &BTreeSet<usize>, spot: &Spot) -> Vec<Event> {
    let mut events = Vec::new();
    let mut case: Option<Case> = None;
    for (index, entry) in journal.iter().enumerate() {
        let Some(case) = &mut case else {
            case = fold(std::iter::once(entry)).ok();
            continue;
        };
        let before = layers(case, spot);
        if apply(case, entry).is_err() {
            continue;
        }
        let after = layers(case, spot);
        let touched = matches!(&entry.body, Body::Answer { spot: own, .. } if own == spot);
        // The same value read once more is a reading of its own.
        if before == after && !touched {
            continue;
        }
        let counted = |list: &[Counted]| list.iter().rfind(|own| own.layer.counts()).cloned();
        let expected = |list: &[Counted]| {
            let mut list = list.iter();
            let own = list.find(|own| own.layer == Layer::Expected)?;
            Some(own.value.clone())
        };
        let how = match &entry.body {
            _ if undoes(entry).is_some() => How::TakenBack,
            _ if is_imported(journal, entry) => How::Imported,
            _ if again.contains(&index) => How::Again,
            Body::Answer {
                layer: Layer::Decided,
                ..
            } => How::Told,
            Body::Clear { .. } => How::Cleared,
            Body::Decide { .. } => How::Agreed,
            Body::Arrived { arrival } => How::SetAside(arrival.parts.clone()),
            Body::PutBack { .. } => How::TakenBack,
            Body::Differs { .. } => How::Differs,
            _ => How::Entered,
        };
        // What was entered is told even where another layer counts: somebody looked and could not tell what was told.
        let entered = match &entry.body {
            Body::Differs { body, .. } => match says_value(body) {
                Some((own, now)) if own == spot => now,
                _ => None,
            },
            Body::Answer {
                value, with, layer, ..
            } if touched && undoes(entry).is_none() && *layer != Layer::Expected => Some(Counted {
                layer: *layer,
                value: value.clone(),
                with: with.clone(),
            }),
            _ => None,
        };
        let changed = Changed {
            spot: spot.clone(),
            was: counted(&before),
            now: match how {
                How::Differs => entered,
                _ => entered.or_else(|| counted(&after)),
            },
            expected: expected(&after).filter(|own| expected(&before).as_ref() != Some(own)),
            how,
        };
        events.push(event((index, entry), What::Value(changed)));
    }
    events
}

fn of_units(journal: &[Entry]) -> Vec<Event> {
    let mut events = Vec::new();
    let mut case: Option<Case> = None;
    for (index, entry) in journal.iter().enumerate() {
        let Some(case) = &mut case else {
            case = fold(std::iter::once(entry)).ok();
            let opened = case.iter().map(|case| What::Opened(case.units.clone()));
            events.extend(opened.map(|what| event((index, entry), what)));
            continue;
        };
        let before = case.units.clone();
        if apply(case, entry).is_err() || case.units == before {
            continue;
        }
        let what = if undoes(entry).is_some() {
            What::TakenBack(Box::new(What::Units(before)))
        } else {
            What::Units(case.units.clone())
        };
        events.push(event((index, entry), what));
    }
    events
}

fn of_decision(journal: &[Entry], again: &BTreeSet<usize>, matter: &Matter) -> Vec<Event> {
    let is_own = |entry: &Entry| match alone(&entry.body) {
        Body::Decide { decision } => decision.about == *matter,
        Body::Arrived { arrival } => arrival.matters.contains(matter),
        _ => false,
    };
    let mut events = Vec::new();
    for (index, entry) in journal.iter().enumerate() {
        let undone = undoes(entry);
        let undone = undone.and_then(|id| journal.iter().find(|own| own.id == id));
        if is_own(entry) || undone.is_some_and(is_own) {
            events.extend(whole(journal, again, (index, entry)));
        }
    }
    events
}

fn of_case(journal: &[Entry], again: &BTreeSet<usize>) -> Vec<Event> {
    let mut events = Vec::new();
    let mut imported = 0;
    for (index, entry) in journal.iter().enumerate().skip(1) {
        if is_imported(journal, entry) && undoes(entry).is_none() {
            imported += usize::from(matches!(entry.body, Body::Answer { .. }));
            continue;
        }
        events.extend(whole(journal, again, (index, entry)));
    }
    if let Some(first) = journal.first() {
        if let Body::Opened { units, .. } = &first.body {
            let what = What::Opened(units.clone());
            events.insert(0, event((0, first), what));
        }
        if imported > 0 {
            // They came after the case was opened.
            events.insert(1, event((1, first), What::Imported(imported)));
        }
    }
    events
}

/// Returns what an entry tells of the whole case, or `None` if it tells nobody anything.
fn whole(
    journal: &[Entry],
    again: &BTreeSet<usize>,
    (index, entry): (usize, &Entry),
) -> Option<Event> {
    let what = match undoes(entry) {
        Some(id) => match journal.iter().find(|own| own.id == id) {
            Some(undone) => What::TakenBack(Box::new(says(undone)?)),
            None => What::Undone,
        },
        None => says(entry)?,
    };
    let what = if again.contains(&index) {
        What::Again(Box::new(what))
    } else {
        what
    };
    Some(event((index, entry), what))
}

/// Returns what an entry would have said alone, where it differs from another.
fn alone(body: &Body) -> &Body {
    match body {
        Body::Differs { body, .. } => alone(body),
        body => body,
    }
}

/// Returns the fact that an answer is of, and what it says.
fn says_value(body: &Body) -> Option<(&Spot, Option<Counted>)> {
    match body {
        Body::Answer {
            spot,
            value,
            with,
            layer,
            ..
        } => Some((
            spot,
            Some(Counted {
                layer: *layer,
                value: value.clone(),
                with: with.clone(),
            }),
        )),
        Body::Clear { spot, .. } => Some((spot, None)),
        _ => None,
    }
}

/// Returns what an entry says by itself.
fn says(entry: &Entry) -> Option<What> {
    let value = |spot: &Spot, now: Option<Counted>, how: How| {
        What::Value(Changed {
            spot: spot.clone(),
            was: None,
            now,
            expected: None,
            how,
        })
    };
    Some(match &entry.body {
        Body::Opened { units, .. } => What::Opened(units.clone()),
        Body::Answer {
            spot,
            value: own,
            with,
            layer,
            ..
        } => {
            let now = Counted {
                layer: *layer,
                value: own.clone(),
                with: with.clone(),
            };
            let how = match layer {
                Layer::Decided => How::Told,
                _ => How::Entered,
            };
            value(spot, Some(now), how)
        }
        Body::Clear { spot, .. } => value(spot, None, How::Cleared),
        Body::Units { units, .. } => What::Units(units.clone()),
        Body::Decide { decision } => What::Decision(decision.clone()),
        Body::Propose { proposals } => What::Proposed(proposals.len()),
        Body::Arrived { arrival } => What::Arrived(arrival.clone()),
        Body::Happened { event } => What::Happened(event.clone()),
        Body::Outcome { outcome } => What::Outcome(outcome.cleaned()),
        Body::NoOutcome { outcome } => What::NoOutcome(outcome.cleaned()),
        Body::PutBack { .. } => What::Undone,
        Body::HandedOver { to, note, .. } => What::Handed(clean(to), clean(note)),
        Body::Attached { file } => What::Attached(file.clone()),
        Body::Detached { path } => What::Detached(path.clone()),
        Body::Differs { body, .. } => match says_value(body) {
            Some((spot, now)) => value(spot, now, How::Differs),
            None => What::Differs(Box::new(match alone(body) {
                Body::Decide { decision } => What::Decision(decision.clone()),
                Body::Units { units, .. } => What::Units(units.clone()),
                _ => return None,
            })),
        },
        Body::MoveFlow { flow, aside, anew } => {
            let aside = aside
                .iter()
                .map(|(spot, _, value)| (spot.clone(), value.clone()));
            What::MovedFlow(flow.clone(), aside.collect(), anew.clone())
        }
        // For the laboratory's own statistics.
        Body::Judged { .. } => return None,
    })
}
