//! Several people at one case: what others wrote is taken in and told, and of two answers one is taken.

use jiff::Timestamp;
use jiff::civil::Time;

use super::{Command, Context, Inspection, Moment, Session};
use crate::call::matter;
use crate::case::dispute::Dispute;
use crate::case::journal::{Entry, FoldError};
use crate::fact::{Spot, Value};
use crate::judge::Finding;
use crate::phrase::benches as said;

/// What is not in the archive.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum NotSaved {
    /// So many answers wait in memory; they are tried again.
    Waiting(usize),
    /// The archive is gone; everything of this session is in this file.
    Aside(String),
}

impl Session {
    /// Takes what others wrote into the case under inspection: `journal` is all there is now. What is being tried out, and
    /// an answer on the call that it does not concern, stay.
    ///
    /// # Errors
    /// The entries are not the journal of a case.
    pub fn take_in(&mut self, journal: Vec<Entry>, moment: &Moment) -> Result<(), FoldError> {
        let rests = |inspection: &Inspection, finding: &Finding| -> Vec<Option<Value>> {
            let facts = inspection.facts();
            let all = finding.evidence.iter();
            all.map(|spot| facts.value(&spot.fact, spot.at).cloned())
                .collect()
        };
        let abouts: Vec<_> = (self.call.drafts.iter())
            .map(|draft| draft.about.clone())
            .collect();
        let found = |inspection: &Inspection| -> Vec<_> {
            let find = |about: &_| {
                let mut all = inspection.judgement.findings.iter();
                let finding = all.find(|own| matter(&inspection.flow, own) == *about)?;
                Some((finding.clone(), rests(inspection, finding)))
            };
            abouts.iter().map(find).collect()
        };
        let Some(real) = self.real_mut() else {
            return Ok(());
        };
        let before = found(real);
        real.take_in(journal, moment)?;
        let (after, entries) = (found(real), real.entries());
        for ((draft, before), after) in self.call.drafts.iter_mut().zip(before).zip(after) {
            // What was read back still holds where what it rests on is the same.
            if before.is_some() && before == after {
                draft.entries = entries;
            }
        }
        if let (Some(real), Some(copy)) = (&self.untried, &mut self.inspection) {
            copy.follow(real);
        }
        let Some(inspection) = &self.inspection else {
            return Ok(());
        };
        let last = inspection.judgement.findings.len().saturating_sub(1);
        self.findings.marked = self.findings.marked.min(last);
        Ok(())
    }

    /// Says what others wrote, or returns `None` if it is nothing to tell.
    pub fn news(&self, entries: &[Entry]) -> Option<String> {
        let inspection = self.real()?;
        let facts = inspection.facts();
        let phrase = self.phrase(inspection);
        let told: Vec<String> = entries
            .iter()
            .filter_map(|entry| phrase.news(&facts, entry))
            .collect();
        (!told.is_empty()).then(|| said::changes(told))
    }

    /// Returns the command of a key that takes one of two answers to the open question.
    pub(super) fn takes_side(&self, key: &str) -> Option<Command> {
        let open = self.inspection.as_ref();
        let disputed =
            self.context() == Context::Questions && open.is_some_and(Inspection::is_disputed);
        let command = self.keymap.named(Context::Questions, key)?;
        (disputed && matches!(command, Command::TakeFirst | Command::TakeSecond)).then_some(command)
    }

    /// Returns the time of day at the bench.
    fn clock(&self, when: Timestamp) -> Option<Time> {
        let zone = self.zone.clone();
        Some(when.to_zoned_datetime(zone).time())
    }

    /// Says who answered what of a fact in dispute, and which keys take one of the answers.
    pub(super) fn two_answers(
        &self,
        inspection: &Inspection,
        spot: &Spot,
        dispute: &Dispute,
    ) -> String {
        let phrase = self.phrase(inspection);
        let last = dispute.sides.iter().filter_map(|side| side.when).max();
        let both = phrase.both(&spot.fact, dispute, last.and_then(|when| self.clock(when)));
        let side = |own| phrase.answer_of(&spot.fact, own);
        let ends = dispute.sides.first().zip(dispute.sides.last());
        let keys = ends.map_or_else(String::new, |(first, last)| {
            let key = |command| self.keymap.key(command);
            said::take_one(
                (key(Command::TakeFirst), &side(first)),
                (key(Command::TakeSecond), &side(last)),
            )
        });
        said::read_again(&both, &keys)
    }

    /// Says who answered what of a fact in dispute, or returns `None` if it is in none.
    pub fn two_answers_in_words(&self, spot: &Spot) -> Option<String> {
        let inspection = self.inspection.as_ref()?;
        let dispute = inspection.case.dispute(spot)?;
        Some(self.phrase(inspection).disputed(spot, dispute))
    }
}
