//! The case that came back: which it may be, what was read of it, and what became of it.

use std::ops::ControlFlow;

use uuid::Uuid;

use super::listing::listed;
use super::{Desk, said};
use crate::archive::{Archive, WorkAsk, WorkOrder};
use crate::case::Case;
use crate::case::before::Earlier;
use crate::case::journal::{FoldError, fold};
use crate::case::life::Happened;
use crate::case::outcome::{Outcome, Refused};
use crate::error::{Error, Trouble};
use crate::fact::{ORDER_MAKE, Place, REMAKE_CASE, Spot, Value};
use crate::phrase::follow_up as said_of_due;
use crate::phrase::{Phrase, outcome as said_of};
use crate::session::{Effect, Followed, MayBe, Moment};
use crate::text::clean;

/// The most cases that are offered: a digit each.
const MOST: usize = 9;

/// Returns the cases that came back and are made again in a case. One that the archive does not have, or that cannot be read,
/// is named and has no readings.
pub(super) fn earlier(archive: &Archive, case: &Case) -> Vec<Earlier> {
    named(case)
        .map(|(again, number)| {
            let journal = archive.journal(&number).ok();
            Earlier {
                again,
                case: journal.and_then(|journal| fold(&journal).ok()),
                number,
            }
        })
        .collect()
}

/// Returns each restoration that is made again with the number of the case that came back.
fn named(case: &Case) -> impl Iterator<Item = (u8, String)> {
    let all = case.units.restorations().iter();
    all.filter_map(
        |own| match case.value(&REMAKE_CASE, Place::Restoration(own.id)) {
            Some(Value::Text(number)) if *number != case.number => Some((own.id, number.clone())),
            _ => None,
        },
    )
}

impl Desk {
    /// Reads what the present case and page ask of other cases: those that came back, and those that may have.
    pub(super) fn look_back(&mut self) {
        if let Some(inspection) = &self.session.inspection {
            let now = named(inspection.case());
            let known = inspection.earlier.iter();
            if !now.eq(known.map(|own| (own.again, own.number.clone()))) {
                let earlier = earlier(&self.archive, inspection.case());
                // What was written in the other case is taken back there, by hand: nobody else's entry goes with an undo.
                let is_named = |own: &Earlier| earlier.iter().any(|now| now.number == own.number);
                let left = inspection.earlier.iter().find(|own| !is_named(own));
                let left = left.map(|own| said_of::still_says(&own.number));
                if left.is_some() {
                    self.session.notice = left;
                }
                if let Some(inspection) = &mut self.session.inspection {
                    inspection.earlier = earlier;
                }
            }
        }
        self.session.look_again();
        if let Some((again, dentist)) = self.session.wants_may_be() {
            match self.may_be(again, &dentist) {
                Ok(found) => self.session.take_may_be(found),
                Err(error) => {
                    self.session.notice = Some(said(&error));
                    self.session.take_may_be(Vec::new());
                }
            }
        }
    }

    /// Returns the delivered cases of a dentist that have a tooth of a restoration, the newest delivery first.
    fn may_be(&self, again: u8, dentist: &str) -> Result<Vec<MayBe>, Error> {
        let Some(inspection) = &self.session.inspection else {
            return Ok(Vec::new());
        };
        let (new, now) = (inspection.case(), self.now());
        let ask = WorkAsk {
            words: vec![vec![dentist.to_lowercase()]],
            order: WorkOrder::Last,
            most: usize::MAX,
            ..WorkAsk::default()
        };
        let mut numbers = Vec::new();
        self.archive.each_work(&ask, &now, &mut |row| {
            let item = listed(row);
            let is_theirs = item.dentist.as_deref() == Some(dentist);
            let shares = item
                .units
                .is_some_and(|units| units.shares(&new.units, again));
            if is_theirs && shares && item.number != new.number {
                numbers.push(item.number);
            }
            match numbers.len() < 4 * MOST {
                true => ControlFlow::Continue(()),
                false => ControlFlow::Break(()),
            }
        })?;
        let mut found: Vec<MayBe> = Vec::new();
        for number in numbers {
            // One that cannot be read is not offered.
            let journal = self.archive.journal(&number).ok();
            let Some(old) = journal.and_then(|journal| fold(&journal).ok()) else {
                continue;
            };
            for restoration in old.units.sharing(&new.units, again) {
                // What goes on as another case came back to that one.
                let goes_on = |own: &Outcome| {
                    let other = own.goes_on.as_ref().is_some_and(|next| *next != new.number);
                    own.restoration == restoration && other
                };
                if old.outcomes().iter().any(goes_on) {
                    continue;
                }
                if let Some(delivered) = old.delivered_on(restoration) {
                    let units = old.units.restoration(restoration).cloned();
                    found.extend(units.map(|units| MayBe {
                        number: number.clone(),
                        units,
                        delivered,
                    }));
                }
            }
        }
        found.sort_by_key(|own| std::cmp::Reverse(own.delivered));
        found.truncate(MOST);
        Ok(found)
    }

    /// Names a case that came back in the one that goes on with it, at each restoration that is a remake, has a tooth of it,
    /// and names none yet.
    ///
    /// # Errors
    /// The other case cannot be read or written to.
    pub fn goes_on(&mut self, old: &str, new: &str, moment: &Moment) -> Result<(), Error> {
        let journal = self.archive.journal(old)?;
        let unreadable = |error: FoldError| Error::new(Trouble::Data, error.to_string());
        let units = fold(&journal).map_err(unreadable)?.units;
        self.open(new)?;
        let Some(inspection) = &mut self.session.inspection else {
            return Ok(());
        };
        let case = inspection.case();
        let is_open = |id: &u8| {
            let at = Place::Restoration(*id);
            let made = case.value(&ORDER_MAKE, at).and_then(Value::choice);
            made == Some("remake") && case.value(&REMAKE_CASE, at).is_none()
        };
        let again: Vec<u8> = case
            .units
            .sharing_any(&units)
            .into_iter()
            .filter(is_open)
            .collect();
        let mut effects = Vec::new();
        for (salt, id) in (0u128..).zip(again) {
            let moment = Moment {
                id: Uuid::from_u128(moment.id.as_u128() ^ salt),
                ..*moment
            };
            let spot = Spot {
                fact: REMAKE_CASE,
                at: Place::Restoration(id),
            };
            effects.extend(inspection.answer_at(spot, Value::Text(old.to_owned()), &moment));
        }
        self.carry_out(effects, moment)
    }

    /// Writes down in a case that came back what became of it.
    pub(super) fn came_back(
        &mut self,
        number: &str,
        outcome: Outcome,
        moment: &Moment,
    ) -> Result<(), Error> {
        // The same key writes an entry of the new case.
        // What is written down already gains the number of the case that goes on.
        self.write_outcome((number, outcome), (moment, 1), true)
    }

    /// Writes down what a dentist said, each in its own case, and says which could not be.
    ///
    /// # Errors
    /// The archive cannot be written to: what was said waits in memory then.
    pub(super) fn followed(&mut self, told: Vec<Followed>, moment: &Moment) -> Result<(), Error> {
        let (mut kept, mut not) = (0, Vec::new());
        for (salt, own) in (1u128..).zip(told) {
            let number = own.number.clone();
            let written = self.is_as_known(&own).and_then(|known| match known {
                true => self.write_outcome((&number, own.outcome), (moment, salt), false),
                false => Err(Error::new(Trouble::Usage, said_of_due::HEARD_MEANWHILE)),
            });
            match written {
                Ok(()) => kept += 1,
                Err(error) => not.push(said_of_due::of_case(&clean(&number), &error.sentence)),
            }
        }
        self.failed = !not.is_empty();
        self.session.notice = Some(said_of_due::written(kept, &not));
        // Whoever looks next what is due reads it from the archive.
        self.flush().map_err(Error::from)
    }

    /// Returns whether nothing was written down of a restoration since somebody said what became of it.
    fn is_as_known(&mut self, own: &Followed) -> Result<bool, Error> {
        let open = self.inspection_of(&own.number)?;
        let case = open.case();
        let id = own.outcome.restoration;
        let known = case
            .outcomes()
            .iter()
            .filter(|other| other.restoration == id);
        let ended = case
            .last_event(id)
            .is_some_and(|event| matches!(event.what, Happened::Returned | Happened::Withdrawn));
        Ok(known.count() == own.known && !ended)
    }

    /// Writes down in a case that is not open what became of it. `salt` tells apart what one key writes; `again` is whether
    /// what is written down already is added to.
    fn write_outcome(
        &mut self,
        (number, outcome): (&str, Outcome),
        (moment, salt): (&Moment, u128),
        again: bool,
    ) -> Result<(), Error> {
        let mut own = self.inspection_of(number)?;
        match own.case().check_outcome(&outcome, moment.today) {
            Ok(()) => {}
            Err(Refused::Twice) if again => {}
            Err(why) => {
                let phrase = Phrase {
                    flow: own.flow(),
                    notation: self.session.notation,
                };
                let why = phrase.outcome_refused(own.case(), &why, false);
                return Err(Error::new(Trouble::Usage, why));
            }
        }
        let moment = Moment {
            id: Uuid::from_u128(moment.id.as_u128() ^ salt),
            ..*moment
        };
        for effect in own.keep_outcome(outcome, &moment) {
            if let Effect::Append { number, entries } = effect {
                self.held.write(&number);
                let entries = entries.into_iter().map(|entry| (number.clone(), entry));
                self.unsaved.extend(entries);
            }
        }
        Ok(())
    }
}
