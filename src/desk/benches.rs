//! Several people at one archive: what others wrote is taken into the case under inspection, and what they wrote without
//! having seen our answers, nor we theirs, is kept beside them.

use super::Desk;
use super::saving::is_gone;
use crate::archive::ArchiveError;
use crate::case::dispute::{Rebased, rebase};
use crate::case::journal::{Body, Entry, fold};
use crate::error::Error;
use crate::phrase::benches as words;
use crate::session::{Inspection, Moment, Page};

impl Desk {
    /// Looks, a few times a second, whether others have written, and tries again to save what waits in memory. Returns
    /// whether anything that is shown has changed.
    pub fn tick(&mut self, moment: &Moment) -> bool {
        self.now = Some(*moment);
        let before = self.session.not_saved.clone();
        let saved = self.save_again();
        let news = self.look();
        saved || news || self.session.not_saved != before
    }

    /// Tries again to save what waits in memory; returns whether others' answers came in with it.
    fn save_again(&mut self) -> bool {
        if self.gone.is_some() || !self.has_unsaved() {
            return false;
        }
        let before = self.session.notice.clone();
        if let Err(error) = self.flush()
            && is_gone(&error)
        {
            self.lose_archive();
        }
        self.say_unsaved();
        self.session.notice != before
    }

    /// Takes in what others wrote to the case under inspection; returns whether there was anything.
    fn look(&mut self) -> bool {
        if self.gone.is_some() {
            return false;
        }
        let looked = self.look_at(false);
        match looked {
            Ok(news) => news,
            Err(error) if is_gone(&error) => {
                self.lose_archive();
                true
            }
            // Others hold it, or it is damaged: whoever saves, prints or opens hears of it.
            Err(_) => false,
        }
    }

    /// Reads what others wrote to the case under inspection, before a line is taken or a sheet is printed; returns what to
    /// say of it.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn hear_others(&mut self, moment: &Moment) -> Result<Option<String>, Error> {
        self.now = Some(*moment);
        if self.gone.is_some() {
            return Ok(None);
        }
        let before = self.session.notice.take();
        let looked = self.look_at(true);
        let news = std::mem::replace(&mut self.session.notice, before);
        match looked {
            Ok(_) => Ok(news),
            Err(error) if is_gone(&error) => {
                self.lose_archive();
                Ok(self.session.notice.take())
            }
            Err(error) => Err(error.into()),
        }
    }

    /// Looks for news of the case under inspection; unless `for_sure`, only if anything was written to the archive at all.
    fn look_at(&mut self, for_sure: bool) -> Result<bool, ArchiveError> {
        self.is_there()?;
        let revision = self.archive.revision()?;
        if !for_sure && self.revision == Some(revision) {
            return Ok(false);
        }
        self.revision = Some(revision);
        let Some(open) = self.session.real() else {
            return Ok(self.list_again());
        };
        let number = open.case().number.clone();
        let known = open.entries().saturating_sub(self.waiting(&number));
        let has = self.archive.end_of(&number)?.map_or(0, |(count, _)| count);
        if has == known {
            return Ok(false);
        }
        self.catch_up(&number)
    }

    /// Lists the cases anew while the worklist is shown; returns whether another list is shown.
    fn list_again(&mut self) -> bool {
        if self.session.page != Page::Worklist {
            return false;
        }
        let before = self.session.worklist.clone();
        // What cannot be read now is told by the next key that asks for it.
        self.show_worklist().is_ok() && self.session.worklist != before
    }

    /// Reads what others wrote to a case, puts after it what waits in memory, and takes it in where the case is open.
    /// Returns whether there was anything.
    pub(super) fn catch_up(&mut self, number: &str) -> Result<bool, ArchiveError> {
        let mine: Vec<Entry> = self.take_waiting(number);
        let open = self.session.real();
        let open = open.filter(|open| open.case().number == number);
        let base = match (mine.first(), open) {
            (Some(first), _) => first.seen,
            (None, Some(open)) => open.entries(),
            (None, None) => return Ok(false),
        };
        let known = open.map(|open| open.journal().to_vec());
        let since = match self.archive.since(number, base) {
            Ok(since) => since,
            Err(error) => {
                self.wait_again(number, mine);
                return Err(error);
            }
        };
        let base = usize::try_from(base).unwrap_or(usize::MAX);
        let mut journal = match known {
            Some(known) => known.into_iter().take(base).collect(),
            None => match self.archive.journal(number) {
                Ok(all) => all.into_iter().take(base).collect::<Vec<_>>(),
                Err(error) => {
                    self.wait_again(number, mine);
                    return Err(error);
                }
            },
        };
        // After an error that left it unsure some of ours may be there already.
        let is_kept = |entry: &Entry| since.iter().any(|kept| kept.id == entry.id);
        let ours: Vec<_> = mine.iter().map(|entry| entry.id).collect();
        let mine: Vec<Entry> = mine.into_iter().filter(|entry| !is_kept(entry)).collect();
        let theirs: Vec<Entry> = since
            .iter()
            .filter(|entry| !ours.contains(&entry.id))
            .cloned()
            .collect();
        let Ok(before) = fold(&journal) else {
            // What cannot be read is told by whoever opens it.
            self.wait_again(number, mine);
            return Err(ArchiveError::Damaged {
                number: number.to_owned(),
                entry: None,
                why: words::UNREADABLE.to_owned(),
            });
        };
        journal.extend(since);
        let Rebased { entries, overtaken } = rebase(&before, &theirs, mine, journal.len() as u64);
        let differs = entries.iter().find_map(|entry| match &entry.body {
            Body::Differs { body, .. } => match &**body {
                Body::Answer { spot, .. } | Body::Clear { spot, .. } => Some(spot.clone()),
                _ => None,
            },
            _ => None,
        });
        self.held.hold(number, &journal);
        self.wait_again(number, entries.clone());
        journal.extend(entries);
        let is_open = self
            .session
            .real()
            .is_some_and(|open| open.case().number == number);
        if !is_open {
            return Ok(true);
        }
        let Some(now) = self.now else {
            return Ok(true);
        };
        // Somebody may have moved it to another flow.
        if let Some(flow) = fold(&journal)
            .ok()
            .and_then(|own| self.flow_of(&own.flow).ok())
        {
            self.session.know_flow(&flow);
        }
        if self.session.take_in(journal, &now).is_err() {
            return Ok(true);
        }
        self.weighs.forget();
        self.tries.forget();
        if let Some(news) = self.session.news(&theirs) {
            self.session.notice = Some(news);
        }
        // Theirs alone would read as if it had won.
        if let Some(both) = differs.and_then(|spot| self.session.two_answers_in_words(&spot)) {
            self.session.notice = Some(both);
        }
        if let Some(last) = theirs.last().filter(|_| !overtaken.is_empty()) {
            self.session.notice = Some(words::undo_overtaken(last.who.as_deref()));
        }
        if !self.late {
            self.weigh();
            self.try_ways();
        }
        Ok(!theirs.is_empty())
    }

    /// Takes what waits for a case out of what waits.
    fn take_waiting(&mut self, number: &str) -> Vec<Entry> {
        let mut mine = Vec::new();
        self.unsaved.retain(|(own, entry)| {
            if own == number {
                mine.push(entry.clone());
            }
            own != number
        });
        mine
    }

    /// Lets entries of a case wait, before those of other cases.
    fn wait_again(&mut self, number: &str, entries: Vec<Entry>) {
        let own = entries.into_iter().map(|entry| (number.to_owned(), entry));
        self.unsaved.splice(0..0, own);
    }

    /// Returns the journal of a case with what still waits for it; what others wrote meanwhile comes first.
    pub(super) fn with_waiting(&mut self, number: &str) -> Result<Vec<Entry>, ArchiveError> {
        let waits = |desk: &Desk| desk.unsaved.iter().any(|(own, _)| own == number);
        let mut journal = self.archive.journal(number)?;
        if waits(self) {
            let moved = self.unsaved.iter().find(|(own, _)| own == number);
            if moved.is_some_and(|(_, first)| first.seen != journal.len() as u64) {
                self.catch_up(number)?;
                journal = self.archive.journal(number)?;
            }
            let own = self.unsaved.iter().filter(|(own, _)| own == number);
            let own: Vec<Entry> = own.map(|(_, entry)| entry.clone()).collect();
            self.held.hold(number, &journal);
            journal.extend(own);
        } else {
            self.held.hold(number, &journal);
        }
        Ok(journal)
    }

    /// Returns how many entries of a case wait in memory.
    pub(super) fn waiting(&self, number: &str) -> u64 {
        let own = self.unsaved.iter().filter(|(own, _)| own == number);
        own.count() as u64
    }

    /// Returns from which entry on the case under inspection is what it is, and the end of its journal in the archive.
    pub fn record(&self) -> Option<(u64, String)> {
        self.record_of(self.session.real()?)
    }

    /// Returns the same of any case.
    pub(super) fn record_of(&self, inspection: &Inspection) -> Option<(u64, String)> {
        let (count, root) = self.archive.end_of(&inspection.case().number).ok()??;
        (count == inspection.entries()).then_some((count, root))
    }
}
