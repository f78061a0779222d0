//! Disputes: two people answered the same question, and neither had seen what the other wrote. Both answers are kept and
//! neither counts, until somebody who sees both settles it.
//!
//! A wrong answer that stands because it came last looks like a right one. So the place reads as not answered: rules that
//! need it stay open, and the question is asked again.

use std::collections::BTreeMap;

use jiff::Timestamp;
use serde::{Deserialize, Serialize};

use super::coming::Arrival;
use super::decision::{Decided, Decision, Matter, Proposal};
use super::journal::{Body, Entry};
use super::{Case, Layer, Reading, Units};
use crate::fact::{ORDER_DUE, ORDER_PROMISED, Place, Spot, Value};
use crate::phrase::faults::case as faults;

/// What an entry writes to: entries of two people who did not see each other's meet where they have one in common.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug, Serialize, Deserialize)]
pub enum Key {
    /// A fact at a place.
    Spot(Spot),
    /// A question to the dentist.
    Matter(Matter),
    /// The restorations.
    Units,
    /// What is to be put to the dentist.
    Proposals,
    /// The flow.
    Flow,
    /// What arrived and happened. It is a list that only grows, so that nothing in it is in dispute.
    Life,
    /// Who has the case.
    Hands,
    /// Its photographs and files.
    Files,
    /// What became of the restorations. A list as well: the same outcome written twice is one.
    Outcomes,
}

/// What one person wrote.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Side {
    /// Whose word it is.
    pub layer: Layer,
    /// The value, or `None` if an answer was taken back.
    pub value: Option<Value>,
    /// The instrument.
    pub with: Option<String>,
    /// The code of the person at the bench, where it is known.
    pub who: Option<String>,
    /// When, where it is known.
    pub when: Option<Timestamp>,
}

/// A fact in dispute.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Dispute {
    /// What was written, the first first; at least two.
    pub sides: Vec<Side>,
    /// Everything that counted there, to be put back when it is settled.
    aside: Vec<(Layer, Reading)>,
}

/// A decision in dispute: what was written down of the dentist's answer, the first first.
pub type TwoDecisions = Vec<Decided>;

/// Everything that is in dispute in a case.
#[derive(Clone, PartialEq, Debug, Default)]
pub(super) struct Disputes {
    spots: BTreeMap<Spot, Dispute>,
    matters: BTreeMap<Matter, TwoDecisions>,
    units: Vec<Units>,
}

/// What was in dispute before an entry settled it.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub enum Disputed {
    /// A fact.
    Spot(Spot, Dispute),
    /// A decision.
    Matter(Matter, TwoDecisions),
    /// The restorations, as others have them.
    Units(Vec<Units>),
}

impl Case {
    /// Returns the facts in dispute whose places exist, in the order of places.
    pub fn disputes(&self) -> impl Iterator<Item = (&Spot, &Dispute)> {
        let all = self.disputes.spots.iter();
        all.filter(|(spot, _)| self.stands(spot))
    }

    /// Returns the dispute over a fact.
    pub fn dispute(&self, spot: &Spot) -> Option<&Dispute> {
        self.disputes.spots.get(spot)
    }

    /// Returns the decisions in dispute, each with what was written down.
    pub fn disputed_decisions(&self) -> impl Iterator<Item = (&Matter, &TwoDecisions)> {
        self.disputes.matters.iter()
    }

    /// Returns the decisions that were written down on a matter in dispute, or nothing if it is not.
    pub fn disputed_decision(&self, about: &Matter) -> &[Decided] {
        self.disputes.matters.get(about).map_or(&[], Vec::as_slice)
    }

    /// Returns the restorations as others have them who changed them at the same time.
    pub fn disputed_units(&self) -> &[Units] {
        &self.disputes.units
    }

    /// Returns whether anything is in dispute.
    pub fn is_disputed(&self) -> bool {
        let Disputes { matters, units, .. } = &self.disputes;
        self.disputes().next().is_some() || !matters.is_empty() || !units.is_empty()
    }

    /// Takes away what counts at a place, and returns it.
    fn set_counting_aside(&mut self, spot: &Spot) -> Vec<(Layer, Reading)> {
        let counting = Layer::ALL.into_iter().filter(|layer| layer.counts());
        counting
            .filter_map(|layer| Some((layer, self.clear(spot, layer)?)))
            .collect()
    }

    fn differ(&mut self, spot: &Spot, aside: Vec<(Layer, Reading)>, mine: Side) {
        let dispute = self.disputes.spots.entry(spot.clone()).or_insert_with(|| {
            // What was written last is what was not seen. Where nothing is there, it was taken back.
            let newest = aside.iter().max_by_key(|(layer, own)| (own.when, *layer));
            let first = match newest {
                Some((layer, reading)) => Side {
                    layer: *layer,
                    value: Some(reading.value.clone()),
                    with: reading.with.clone(),
                    who: reading.who.clone(),
                    when: reading.when,
                },
                None => Side {
                    layer: mine.layer,
                    value: None,
                    with: None,
                    who: None,
                    when: None,
                },
            };
            Dispute {
                sides: vec![first],
                aside,
            }
        });
        // Whoever says it anew does not differ with what they said before.
        let who = mine.who.clone();
        let same = |own: &Side| who.is_some() && own.who == who;
        match dispute.sides.iter_mut().skip(1).find(|own| same(own)) {
            Some(own) => *own = mine,
            None => dispute.sides.push(mine),
        }
    }

    /// Settles the dispute over a fact: what was set aside is there again, for the entry that settles it to change.
    pub(super) fn settle(&mut self, spot: &Spot) {
        if let Some(dispute) = self.disputes.spots.remove(spot) {
            for (layer, reading) in dispute.aside {
                self.put(spot.clone(), layer, reading);
            }
        }
    }

    pub(super) fn settle_decision(&mut self, about: &Matter) {
        self.disputes.matters.remove(about);
    }

    pub(super) fn settle_units(&mut self) {
        self.disputes.units.clear();
    }

    /// Returns what is in dispute at a place.
    pub(super) fn disputed_at(&self, spot: &Spot) -> Option<Disputed> {
        let dispute = self.disputes.spots.get(spot)?;
        Some(Disputed::Spot(spot.clone(), dispute.clone()))
    }

    /// Drops the dispute over a fact; returns who wrote a value of it, and when.
    pub(super) fn drop_dispute(&mut self, spot: &Spot) -> Vec<Side> {
        let dispute = self.disputes.spots.remove(spot);
        dispute.map_or_else(Vec::new, |dispute| dispute.sides)
    }

    pub(super) fn dispute_again(&mut self, disputed: &Disputed) {
        match disputed {
            Disputed::Spot(spot, dispute) => {
                drop(self.set_counting_aside(spot));
                self.disputes.spots.insert(spot.clone(), dispute.clone());
            }
            Disputed::Matter(about, both) => {
                self.disputes.matters.insert(about.clone(), both.clone());
            }
            Disputed::Units(others) => self.disputes.units.clone_from(others),
        }
    }

    /// Takes in an entry that differs from one that its writer had not seen, over some of what it writes.
    pub(super) fn take_in_different(&mut self, entry: &Entry, body: &Body, over: &[Key]) {
        let is_over = |key: Key| over.is_empty() || over.contains(&key);
        let side = |layer, value: Option<&Value>, with: Option<&String>| Side {
            layer,
            value: value.cloned(),
            with: with.cloned(),
            who: entry.who.clone(),
            when: Some(entry.when),
        };
        match body {
            Body::Answer {
                spot,
                value,
                with,
                layer,
                ..
            } => {
                let aside = self.set_counting_aside(spot);
                self.differ(spot, aside, side(*layer, Some(value), with.as_ref()));
            }
            Body::Clear { spot, layer, .. } => {
                let aside = self.set_counting_aside(spot);
                self.differ(spot, aside, side(*layer, None, None));
            }
            Body::Decide { decision } => {
                let decided = Decided {
                    decision: (**decision).clone(),
                    who: entry.who.clone(),
                    when: Some(entry.when),
                };
                let about = &decision.about;
                if is_over(Key::Matter(about.clone())) {
                    let both = match self.disputes.matters.remove(about) {
                        Some(both) => both,
                        None => self.decision(about).cloned().into_iter().collect(),
                    };
                    self.forget(about);
                    let mut both = both;
                    both.push(decided);
                    self.disputes.matters.insert(about.clone(), both);
                    return;
                }
                let (told, _) = decision.sorted();
                let over: Vec<(Spot, Vec<(Layer, Reading)>)> = told
                    .iter()
                    .filter(|(spot, _)| is_over(Key::Spot(spot.clone())))
                    .map(|(spot, _)| (spot.clone(), self.set_counting_aside(spot)))
                    .collect();
                // The restorations that are there stay here too.
                let mine = decided.decision.units.clone();
                let theirs = self.units.clone();
                self.decide(decided);
                if let Some(mine) = mine.filter(|_| is_over(Key::Units)) {
                    self.units = theirs;
                    self.disputes.units.push(mine);
                }
                for (spot, mut aside) in over {
                    let Some(mine) = self.clear(&spot, Layer::Decided) else {
                        continue;
                    };
                    let mine_side = side(Layer::Decided, Some(&mine.value), None);
                    let first = aside.clone();
                    self.differ(&spot, first, mine_side);
                    aside.retain(|(layer, _)| *layer != Layer::Decided);
                    aside.push((Layer::Decided, mine));
                    if let Some(dispute) = self.disputes.spots.get_mut(&spot) {
                        dispute.aside = aside;
                    }
                }
            }
            // The restorations that are there stay: without any, nothing could be shown.
            Body::Units { units, .. } => self.disputes.units.push(units.clone()),
            // Nothing else is ever written as different.
            _ => {}
        }
    }
}

/// Returns what is in dispute as comments, for the end of a case file: a file says what counts, and of this nothing does.
pub fn as_comments(case: &Case) -> String {
    let mut out = String::new();
    for (spot, dispute) in case.disputes() {
        let sides: Vec<String> = (dispute.sides.iter())
            .map(|side| {
                let value = side
                    .value
                    .as_ref()
                    .and_then(|value| ron::to_string(value).ok());
                faults::side(value.as_deref(), side.who.as_deref(), side.when)
            })
            .collect();
        out.push_str(&faults::in_dispute(spot, &sides));
    }
    for (about, both) in case.disputed_decisions() {
        let sides: Vec<String> = (both.iter())
            .map(|decided| {
                let value = ron::to_string(&decided.decision).ok();
                faults::side(value.as_deref(), decided.who.as_deref(), decided.when)
            })
            .collect();
        out.push_str(&faults::decision_in_dispute(&about.rule, about.at, &sides));
    }
    for units in case.disputed_units() {
        let units = ron::to_string(units).unwrap_or_default();
        out.push_str(&faults::units_in_dispute(&units));
    }
    out
}

/// What an entry makes of what it writes to.
#[derive(PartialEq)]
enum Made<'b> {
    Value(Option<&'b Value>),
    Decision(Option<&'b Decision>),
    Units(&'b Units),
    /// It is to be read anew.
    Anew,
    /// It is in dispute.
    InDispute,
    /// A list that grows.
    Listed,
}

fn is_day(spot: &Spot) -> bool {
    [ORDER_DUE, ORDER_PROMISED].contains(&spot.fact)
}

fn writes(body: &Body) -> Vec<(Key, Made<'_>)> {
    match body {
        // The days of a case are no reading: the newest stands, and whoever entered the other hears of it.
        Body::Answer { spot, .. } | Body::Clear { spot, .. } if is_day(spot) => {
            vec![(Key::Spot(spot.clone()), Made::Listed)]
        }
        Body::Answer { spot, value, .. } => {
            vec![(Key::Spot(spot.clone()), Made::Value(Some(value)))]
        }
        Body::Clear { spot, .. } => vec![(Key::Spot(spot.clone()), Made::Value(None))],
        Body::Units { units, .. } => vec![(Key::Units, Made::Units(units))],
        Body::Propose { .. } => vec![(Key::Proposals, Made::Listed)],
        // The newest stands.
        Body::MoveFlow { aside, anew, .. } => {
            let spots = aside.iter().map(|(spot, ..)| Key::Spot(spot.clone()));
            let all = spots.chain(anew.iter().cloned().map(Key::Matter));
            all.chain([Key::Flow])
                .map(|key| (key, Made::Listed))
                .collect()
        }
        Body::Decide { decision } => {
            let about = decision.about.clone();
            let mut list = vec![(Key::Matter(about), Made::Decision(Some(decision)))];
            let told = match &decision.coming {
                Some(_) => decision.changes.iter().collect::<Vec<_>>(),
                None => {
                    let (told, _) = decision.sorted();
                    let own = |change: &&(Spot, Value)| told.contains(*change);
                    decision.changes.iter().filter(own).collect()
                }
            };
            list.extend(
                told.into_iter()
                    .map(|(spot, value)| (Key::Spot(spot.clone()), Made::Value(Some(value)))),
            );
            if let Some(units) = &decision.units {
                list.push((Key::Units, Made::Units(units)));
            }
            list
        }
        Body::Arrived { arrival } => {
            let anew = arrival.anew.iter().cloned();
            let mut list: Vec<_> = anew.map(|spot| (Key::Spot(spot), Made::Anew)).collect();
            list.push((Key::Life, Made::Listed));
            list
        }
        Body::Happened { .. } => vec![(Key::Life, Made::Listed)],
        Body::PutBack { before, .. } => {
            let mut list = Vec::new();
            for (spot, layers) in &before.spots {
                let counting = layers.iter().filter(|(layer, ..)| layer.counts());
                let value = counting.max_by_key(|own| own.0).map(|own| &own.1);
                list.push((Key::Spot(spot.clone()), Made::Value(value)));
            }
            if let Some((about, decided)) = &before.decision {
                let decision = decided.as_ref().map(|decided| &decided.decision);
                list.push((Key::Matter(about.clone()), Made::Decision(decision)));
            }
            if let Some(units) = &before.units {
                list.push((Key::Units, Made::Units(units)));
            }
            let again = before.decisions.iter();
            list.extend(again.map(|own| (Key::Matter(own.decision.about.clone()), Made::Listed)));
            let lists = [
                (before.flow.is_some(), Key::Flow),
                (before.proposals.is_some(), Key::Proposals),
                (before.came.is_some(), Key::Life),
                (before.handed.is_some(), Key::Hands),
                (before.files.is_some(), Key::Files),
                (before.outcomes.is_some(), Key::Outcomes),
            ];
            let named = lists.into_iter().filter(|(named, _)| *named);
            list.extend(named.map(|(_, key)| (key, Made::Listed)));
            list
        }
        Body::Differs { body, over, .. } => {
            let all = writes(body).into_iter().map(|(key, _)| key);
            let own = all.filter(|key| over.is_empty() || over.contains(key));
            own.map(|key| (key, Made::InDispute)).collect()
        }
        // The newest stands.
        Body::HandedOver { .. } => vec![(Key::Hands, Made::Listed)],
        Body::Attached { .. } | Body::Detached { .. } => vec![(Key::Files, Made::Listed)],
        Body::Outcome { .. } | Body::NoOutcome { .. } => vec![(Key::Outcomes, Made::Listed)],
        Body::Opened { .. } | Body::Judged { .. } => Vec::new(),
    }
}

/// Returns what an entry writes to.
pub fn keys(body: &Body) -> Vec<Key> {
    writes(body).into_iter().map(|(key, _)| key).collect()
}

/// Returns the newest of some entries that writes to something that `body` writes to as well.
pub fn touched_by<'e>(
    entries: impl IntoIterator<Item = &'e Entry>,
    body: &Body,
) -> Option<&'e Entry> {
    let own = keys(body);
    let touches = |entry: &&Entry| keys(&entry.body).iter().any(|key| own.contains(key));
    entries.into_iter().filter(touches).last()
}

/// Returns over what an entry differs from those of others that its writer had not seen, and the newest of these.
fn differs<'e>(
    theirs: impl IntoIterator<Item = &'e Entry>,
    mine: &Body,
    units: &Units,
) -> Option<(&'e Entry, Vec<Key>)> {
    let mut last: BTreeMap<Key, (&Entry, Made<'_>)> = BTreeMap::new();
    for entry in theirs {
        for (key, made) in writes(&entry.body) {
            last.insert(key, (entry, made));
        }
        // What was read without knowing that a new record is here was read on the old one.
        if let (Body::Arrived { arrival }, Body::Answer { spot, .. }) = (&entry.body, mine)
            && replaces(arrival, spot, units)
        {
            last.insert(Key::Spot(spot.clone()), (entry, Made::Anew));
        }
    }
    let mut newest = None;
    let mut over = Vec::new();
    for (key, made) in writes(mine) {
        let Some((entry, theirs)) = last.get(&key) else {
            continue;
        };
        // What is to be read anew is, whatever was read before it came; lists grow.
        if matches!(made, Made::Anew | Made::Listed) || *theirs == made {
            continue;
        }
        newest = Some(*entry);
        over.push(key);
    }
    newest.map(|entry| (entry, over))
}

/// Returns whether an arrival replaces what is read at a place, also where nothing had been read when it was written down.
fn replaces(arrival: &Arrival, spot: &Spot, units: &Units) -> bool {
    let owner = units.owner(spot.at).map(|own| own.id);
    let within = !matches!(spot.at, Place::Case | Place::Restoration(_))
        && owner.is_some_and(|id| arrival.restorations.contains(&id));
    let inspected = arrival.parts.iter().any(|part| part.is_inspected());
    inspected && (within || arrival.anew.iter().any(|own| own.fact == spot.fact))
}

/// Entries put after those of others that their writer had not seen.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Rebased {
    /// The entries, ready to be appended.
    pub entries: Vec<Entry>,
    /// Entries that would have taken something back that others have written to since: they are not written.
    pub overtaken: Vec<Entry>,
}

/// Puts entries after those of others that their writer had not seen: `before` is the case that both began from, `theirs`
/// what others wrote, `mine` what is still to be written.
///
/// What has nothing in common with theirs stays as it is. What says the same stays as well. What says something else is
/// written as different, so that both are kept and neither counts.
pub fn rebase(before: &Case, theirs: &[Entry], mine: Vec<Entry>, mut seen: u64) -> Rebased {
    let mut rebased = Rebased::default();
    let mut proposed = before.proposals().to_vec();
    let mut now = theirs.iter().fold(proposed.clone(), |now, entry| {
        proposals_of(&entry.body).map_or(now, <[Proposal]>::to_vec)
    });
    let written: Vec<Key> = theirs.iter().flat_map(|entry| keys(&entry.body)).collect();
    for mut entry in mine {
        if let Body::Propose { proposals } = &mut entry.body {
            // Each is one of its own: those of both are put to the dentist.
            let wanted = std::mem::take(proposals);
            now.retain(|own| wanted.contains(own) || !proposed.contains(own));
            now.extend(wanted.iter().filter(|own| !proposed.contains(own)).cloned());
            proposed = wanted;
            proposals.clone_from(&now);
        }
        if let Body::Arrived { arrival } = &mut entry.body {
            // What others have just read there was read on what is replaced.
            let read = theirs.iter().filter_map(|entry| match &entry.body {
                Body::Answer { spot, .. } => Some(spot),
                _ => None,
            });
            for spot in read {
                if replaces(arrival, spot, &before.units) && !arrival.anew.contains(spot) {
                    arrival.anew.push(spot.clone());
                }
            }
        }
        // What still waits and differed already is looked at anew where others have written all of that again.
        if let Body::Differs { body, over, .. } = &entry.body {
            let own = match over.is_empty() {
                true => keys(body),
                false => over.clone(),
            };
            if own.iter().all(|key| written.contains(key)) {
                entry.body = (**body).clone();
            }
        }
        if matches!(entry.body, Body::Differs { .. }) {
            // It differs still.
        } else if takes_back(&entry.body) {
            if !leave_what_others_wrote(&mut entry.body, theirs) {
                rebased.overtaken.push(entry);
                continue;
            }
        } else if let Some((against, over)) = differs(theirs, &entry.body, &before.units) {
            entry.body = Body::Differs {
                body: Box::new(entry.body),
                against: against.id,
                over,
            };
        }
        entry.seen = seen;
        seen += 1;
        rebased.entries.push(entry);
    }
    rebased
}

fn proposals_of(body: &Body) -> Option<&[Proposal]> {
    match body {
        Body::Propose { proposals } => Some(proposals),
        Body::PutBack { before, .. } => before.proposals.as_deref(),
        _ => None,
    }
}

fn takes_back(body: &Body) -> bool {
    match body {
        Body::Answer { undoes, .. } | Body::Clear { undoes, .. } | Body::Units { undoes, .. } => {
            undoes.is_some()
        }
        Body::PutBack { .. } => true,
        _ => false,
    }
}

/// Leaves out of what is put back whatever others have written to since; returns whether anything is left.
fn leave_what_others_wrote(body: &mut Body, theirs: &[Entry]) -> bool {
    let written: Vec<Key> = theirs.iter().flat_map(|entry| keys(&entry.body)).collect();
    if keys(body).iter().all(|key| !written.contains(key)) {
        return true;
    }
    let Body::PutBack { before, .. } = body else {
        return false;
    };
    let free = |key: Key| !written.contains(&key);
    // A decision, what came in and a move are taken back with all they did to the readings, or not at all.
    let decided = before.decision.as_ref();
    let stays = decided.is_some_and(|(about, _)| !free(Key::Matter(about.clone())));
    if stays || before.flow.is_some() || (before.came.is_some() && !free(Key::Life)) {
        return false;
    }
    before
        .spots
        .retain(|(spot, _)| free(Key::Spot(spot.clone())));
    before.units = before.units.take().filter(|_| free(Key::Units));
    before.proposals = before.proposals.take().filter(|_| free(Key::Proposals));
    before.handed = before.handed.take().filter(|_| free(Key::Hands));
    before.files = before.files.take().filter(|_| free(Key::Files));
    before.outcomes = before.outcomes.take().filter(|_| free(Key::Outcomes));
    before.disputed.retain(|own| match own {
        Disputed::Spot(spot, _) => free(Key::Spot(spot.clone())),
        Disputed::Matter(about, _) => free(Key::Matter(about.clone())),
        Disputed::Units(_) => free(Key::Units),
    });
    !keys(body).is_empty()
}
