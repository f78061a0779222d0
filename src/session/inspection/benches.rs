//! Several people at one case: what others wrote is taken in, and the inspection goes on where it was.

use jiff::{SignedDuration, Timestamp};
use uuid::Uuid;

use super::{Change, Inspection};
use crate::case::Layer;
use crate::case::dispute::{Key, keys};
use crate::case::journal::{Before, Body, Entry, FoldError, fold};
use crate::derive::Turn;
use crate::fact::Spot;
use crate::flow::Flow;
use crate::phrase::benches as said;
use crate::phrase::prompts;
use crate::session::{Effect, Moment};

/// How long it takes at the least to see that an answer has changed. A key that comes sooner was meant for what was there
/// before.
const TO_READ: SignedDuration = SignedDuration::from_millis(700);

/// An answer of somebody else that nobody here can have read yet.
#[derive(Clone, Debug)]
pub(super) struct Unread {
    spot: Spot,
    entry: Uuid,
    at: Timestamp,
    /// Whether the question was the open one when it came, and has not been left since: whoever answers it then may be
    /// looking at the caliper all the while.
    at_hand: bool,
}

/// Writes an answer as different from one that its writer had not seen.
pub(super) fn as_different(body: Body, against: Uuid) -> Body {
    let over = keys(&body);
    Body::Differs {
        body: Box::new(body),
        against,
        over,
    }
}

impl Inspection {
    /// Takes in what others wrote: `journal` is all there is now, with the entries of this session that are on their way
    /// at its end. The cell, what is typed, the instrument and undo stay: nobody's next key answers another question
    /// because of what others do.
    ///
    /// # Errors
    /// The entries are not the journal of a case.
    pub fn take_in(&mut self, journal: Vec<Entry>, moment: &Moment) -> Result<(), FoldError> {
        let case = fold(&journal)?;
        self.follow_differences(&journal)?;
        let known: Vec<Uuid> = self.journal.iter().map(|entry| entry.id).collect();
        let news = journal.iter().filter(|entry| !known.contains(&entry.id));
        let news: Vec<Unread> = news
            .flat_map(|entry| keys(&entry.body).into_iter().map(move |key| (entry, key)))
            .filter_map(|(entry, key)| match key {
                Key::Spot(spot) => Some(Unread {
                    at_hand: self.hand.cursor.as_ref() == Some(&spot),
                    spot,
                    entry: entry.id,
                    at: moment.now,
                }),
                _ => None,
            })
            .collect();
        self.unread.extend(news);
        let newly: Vec<Spot> = case
            .disputes()
            .filter(|(spot, _)| self.case.dispute(spot).is_none())
            .map(|(spot, _)| spot.clone())
            .collect();
        self.case = case;
        self.entries = journal.len() as u64;
        self.journal = journal;
        self.work_out_anew();
        self.ask_again(&newly);
        Ok(())
    }

    /// Works everything out after a change that did not come from here.
    fn work_out_anew(&mut self) {
        self.work_out_again();
        if self.hand.cursor.is_some() {
            self.keep_cursor();
        }
    }

    /// Takes over the case itself while things are tried out on this copy of it: what was tried stays tried.
    pub(in crate::session) fn follow(&mut self, real: &Inspection) {
        let tried: Vec<_> = (self.case.layers())
            .filter(|(_, layer, _)| *layer == Layer::Proposed)
            .map(|(spot, _, reading)| (spot.clone(), reading.clone()))
            .collect();
        self.case = real.case.clone();
        self.flows.clone_from(&real.flows);
        for (spot, reading) in tried {
            self.case.put(spot, Layer::Proposed, reading);
        }
        self.trial = Some(real.judgement.clone());
        self.entries = real.entries;
        self.work_out_anew();
    }

    /// Undo of an answer that turned out to differ from one that was not seen takes back the own side alone.
    fn follow_differences(&mut self, journal: &[Entry]) -> Result<(), FoldError> {
        let differs = |body: &Body| matches!(body, Body::Differs { .. });
        // One that waited may have come to differ, from something else than before, or no longer.
        let is_new = |at: usize, entry: &Entry, change: &Change| {
            change.entry == entry.id
                && (differs(&entry.body) || differs(&change.forward))
                && (change.forward != entry.body || change.knew != at as u64)
        };
        for (at, entry) in journal.iter().enumerate() {
            let mut done = self.done.iter_mut();
            let Some(change) = done.find(|change| is_new(at, entry, change)) else {
                continue;
            };
            let over = match &entry.body {
                Body::Differs { over, .. } => over.as_slice(),
                _ => &[],
            };
            let case = fold(journal.iter().take(at))?;
            let mut before = Before::default();
            for key in over.iter().cloned().chain(keys(&entry.body)) {
                match key {
                    Key::Spot(spot) => before.keep(&case, &spot),
                    Key::Matter(about) => before.keep_decision(&case, &about),
                    Key::Units => before.keep_units(&case),
                    Key::Proposals
                    | Key::Flow
                    | Key::Life
                    | Key::Hands
                    | Key::Files
                    | Key::Outcomes => {}
                }
            }
            change.back = Body::PutBack {
                before: Box::new(before),
                undoes: Uuid::nil(),
            };
            change.forward = entry.body.clone();
            change.knew = at as u64;
        }
        Ok(())
    }

    /// Comes next to what is newly in dispute.
    fn ask_again(&mut self, newly: &[Spot]) {
        let asked = newly.iter().filter(|spot| self.is_asked(spot));
        let asked: Vec<Spot> = asked.cloned().collect();
        for spot in asked {
            self.hand.course.come_to(spot);
        }
    }

    /// Goes to the first question that two people answered differently, if there is one.
    pub fn go_to_dispute(&mut self) {
        let disputed = self.case.disputes().map(|(spot, _)| spot.clone());
        let disputed: Vec<Spot> = disputed.collect();
        if let Some(spot) = disputed.iter().find(|spot| self.is_asked(spot)) {
            self.put_cursor(Some(spot.clone()));
        }
    }

    fn is_asked(&self, spot: &Spot) -> bool {
        let mut cells = self.agenda.cells.iter();
        cells.any(|cell| cell.spot == *spot && cell.turn == Turn::Up && !cell.answered)
    }

    /// Returns the answer of somebody else at a place that whoever presses a key now cannot have read.
    pub(super) fn unread(&self, spot: &Spot, moment: &Moment) -> Option<Uuid> {
        if self.is_trial() || self.case.dispute(spot).is_some() {
            return None;
        }
        let mut own = self.unread.iter().filter(|own| own.spot == *spot);
        let newest = own.next_back()?;
        let soon = moment.now.duration_since(newest.at) < TO_READ;
        (newest.at_hand || soon).then_some(newest.entry)
    }

    /// The open question is left, or begun anew: whoever answers it from here on has seen what stands there.
    pub(in crate::session) fn has_read(&mut self) {
        for own in &mut self.unread {
            own.at_hand = false;
        }
    }

    /// Names what somebody else wrote to, of these.
    pub(super) fn in_common(&self, own: &[Key], other: &Entry) -> Option<String> {
        let theirs = keys(&other.body);
        let spot = own.iter().find_map(|key| match key {
            Key::Spot(spot) if theirs.contains(key) => Some(spot),
            _ => None,
        })?;
        Some(label(&self.flow, spot))
    }

    /// Takes one of two answers to the open question: the first, or the last.
    pub(in crate::session) fn take_side(&mut self, first: bool, moment: &Moment) -> Vec<Effect> {
        self.settle();
        match self.hand.cursor.clone() {
            Some(spot) => self.take_side_at(&spot, first, moment),
            None => self.refuse(said::NOTHING_TO_TAKE),
        }
    }

    /// Takes one of two answers at a place, without moving the cursor unless it is there.
    pub(in crate::session) fn take_side_at(
        &mut self,
        spot: &Spot,
        first: bool,
        moment: &Moment,
    ) -> Vec<Effect> {
        let sides = self.case.dispute(spot).map(|dispute| &dispute.sides);
        let side = sides.and_then(|sides| if first { sides.first() } else { sides.last() });
        let Some(side) = side.filter(|_| !self.is_trial()).cloned() else {
            return self.refuse(said::NOTHING_TO_TAKE);
        };
        let back = self.with_decision(spot);
        let forward = match side.value {
            Some(value) => Body::Answer {
                spot: spot.clone(),
                value,
                with: side.with,
                layer: side.layer,
                undoes: None,
            },
            None => Body::Clear {
                spot: spot.clone(),
                layer: side.layer,
                undoes: None,
            },
        };
        let answers = matches!(forward, Body::Answer { .. });
        let effects = self.change(forward, back, moment);
        if self.hand.cursor.as_ref() == Some(spot) {
            self.clear_input();
            if answers {
                self.go_on();
            }
        }
        effects
    }

    /// Returns whether the open question has two answers, of which a key takes one.
    pub fn is_disputed(&self) -> bool {
        let open = self.hand.cursor.as_ref();
        open.is_some_and(|spot| self.case.dispute(spot).is_some()) && self.hand.input.is_empty()
    }
}

/// Names a fact for a refusal.
fn label(flow: &Flow, spot: &Spot) -> String {
    let spec = flow.spec(&spot.fact);
    spec.map_or_else(
        || prompts::THIS_ANSWER.to_owned(),
        |spec| spec.label.to_string(),
    )
}
