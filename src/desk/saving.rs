//! Saving: an answer is in the archive before the next frame is drawn, or waits in memory and is said to.

use super::Desk;
use crate::archive::ArchiveError;
use crate::case::journal::{Entry, fold};
use crate::error::Error;
use crate::phrase::prompts::desk as prompts;
use crate::session::Inspection;

impl Desk {
    /// Returns whether answers wait in memory because the archive could not be written to.
    pub fn has_unsaved(&self) -> bool {
        !self.unsaved.is_empty()
    }

    /// Tries again to save the answers that wait in memory.
    ///
    /// # Errors
    /// The archive still cannot be written to.
    pub fn save(&mut self) -> Result<(), Error> {
        self.flush().map_err(Error::from)
    }

    /// Returns whether to leave with unsaved answers: not the first time, but the second.
    pub(super) fn leaves_unsaved(&mut self) -> bool {
        let asked = self.session.leaving_unsaved;
        self.session.leaving_unsaved = true;
        asked
    }

    pub(super) fn flush(&mut self) -> Result<(), ArchiveError> {
        while let Some((number, _)) = self.unsaved.first().cloned() {
            // All that wait for one case go in together, with the row that shows the case after them.
            let mine = self.unsaved.iter().take_while(|(own, _)| *own == number);
            let entries: Vec<Entry> = mine.map(|(_, entry)| entry.clone()).collect();
            let after = entries.last().map_or(0, |entry| entry.seen + 1);
            let row = self.work_row(&number, after);
            let kept = self.archive.append_beside(&number, &entries, row.as_ref());
            match kept {
                Ok(_) => drop(self.unsaved.drain(..entries.len())),
                Err(ArchiveError::Moved { .. }) => self.catch_up(&number)?,
                Err(error) => return Err(error),
            }
        }
        self.session.leaving_unsaved = false;
        Ok(())
    }

    /// Reads the entries that somebody else wrote to the case meanwhile, and appends ours after them.
    fn catch_up(&mut self, number: &str) -> Result<(), ArchiveError> {
        let journal = self.archive.journal(number)?;
        let mut seen = journal.len() as u64;
        let mut mine = Vec::new();
        for (own, entry) in &mut self.unsaved {
            if own == number && !journal.iter().any(|kept| kept.id == entry.id) {
                entry.seen = seen;
                seen += 1;
                mine.push(entry.clone());
            }
        }
        self.unsaved.retain(|(own, entry)| {
            own != number || !journal.iter().any(|kept| kept.id == entry.id)
        });
        let Some(open) = self
            .session
            .real()
            .filter(|open| open.case().number == number)
        else {
            return Ok(());
        };
        if let Ok(case) = fold(journal.iter().chain(&mine)) {
            let mut newest = journal.iter().rev();
            let other = newest.find(|entry| entry.session != self.session_id);
            let other = other.and_then(|entry| entry.who.as_deref());
            let (flow, who) = (open.flow().clone(), self.who.clone());
            let mut inspection = Inspection::new(flow, case, seen, self.session_id, who);
            inspection.go_on_as(open);
            self.weighs.forget();
            self.tries.forget();
            self.session.untried = None;
            self.session.inspection = Some(inspection);
            self.session.notice = Some(prompts::changed_by(other));
        }
        Ok(())
    }
}
