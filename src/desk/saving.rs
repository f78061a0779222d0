//! Saving: an answer is in the archive before the next frame is drawn, or waits in memory and is said to.
//!
//! Whoever waits for an archive that others hold cannot work meanwhile. So at the screen a key waits for a moment only;
//! then the answer waits in memory, the corner says NOT SAVED, and it is tried again several times a second.

use std::path::Path;
use std::time::Duration;

use super::{Desk, said};
use crate::archive::ArchiveError;
use crate::case::journal::Entry;
use crate::error::{Error, Trouble};
use crate::phrase::prompts::desk as prompts;
use crate::session::NotSaved;

/// How long a key waits for others who write at the same moment.
const PATIENCE: Duration = Duration::from_millis(30);

/// Returns whether an error says that the archive is not there any more: moved, removed, replaced or emptied.
pub(super) fn is_gone(error: &ArchiveError) -> bool {
    matches!(error, ArchiveError::Missing(_) | ArchiveError::Gone { .. })
}

/// Returns what makes a file the same file, or `None` if there is none or it is empty.
#[cfg(unix)]
pub(super) fn identity(path: &Path) -> Option<(u64, u64)> {
    use std::os::unix::fs::MetadataExt as _;
    let file = std::fs::metadata(path).ok()?;
    (file.len() > 0).then(|| (file.dev(), file.ino()))
}

/// Returns what makes a file the same file, or `None` if there is none or it is empty.
#[cfg(not(unix))]
pub(super) fn identity(path: &Path) -> Option<(u64, u64)> {
    let file = std::fs::metadata(path).ok()?;
    (file.len() > 0).then_some((0, 0))
}

impl Desk {
    /// Lets no key wait for others for longer than a moment: what they keep from being saved is tried again with each
    /// [`Desk::tick`].
    ///
    /// # Errors
    /// The archive cannot be asked.
    pub fn at_the_screen(&mut self) -> Result<(), Error> {
        self.archive.patience(PATIENCE)?;
        self.ticks = true;
        Ok(())
    }

    /// Returns whether answers wait in memory because the archive could not be written to.
    pub fn has_unsaved(&self) -> bool {
        !self.unsaved.is_empty()
    }

    /// Returns whether the archive is gone, so that what this session wrote is in files of its own.
    pub fn has_lost_archive(&self) -> bool {
        self.gone.is_some()
    }

    /// Tries again to save the answers that wait in memory; if that fails, they are written into files of their own.
    ///
    /// # Errors
    /// The archive still cannot be written to. The error names the files.
    pub fn save(&mut self) -> Result<(), Error> {
        let Err(error) = self.flush() else {
            self.say_unsaved();
            return Ok(());
        };
        let mut error = Error::from(error);
        if let Some(aside) = self.save_aside() {
            error.hints.insert(0, aside);
        }
        Err(error)
    }

    /// Ends the session: saves what waits in memory, and fails if anything of this session is not in the archive.
    ///
    /// # Errors
    /// The archive cannot be written to, or is gone. The error names the files that hold the answers.
    pub fn leave(&mut self) -> Result<(), Error> {
        if self.has_unsaved() && self.gone.is_none() {
            self.save()?;
        }
        match &self.gone {
            Some(saved) => Err(Error::new(Trouble::Io, saved.clone())),
            None => Ok(()),
        }
    }

    /// Returns whether to leave with unsaved answers: not the first time, but the second. What is in files of its own keeps
    /// nobody.
    pub(super) fn leaves_unsaved(&mut self) -> bool {
        let asked = self.session.leaving_unsaved || self.gone.is_some();
        self.session.leaving_unsaved = true;
        if !asked {
            self.session.notice = Some(self.why.clone());
        }
        asked
    }

    /// Saves what the newest key has written; returns whether everything is saved.
    pub(super) fn save_now(&mut self) -> bool {
        if let Some(saved) = self.gone.clone() {
            // Nothing goes into an archive that nobody finds any more.
            if self.aside != self.unsaved.len() {
                self.save_aside();
                self.session.notice.get_or_insert(saved);
            }
            return false;
        }
        let waits = self.ticks && matches!(self.session.not_saved, Some(NotSaved::Waiting(_)));
        let saved = match waits {
            // It is tried again before anybody could press another key.
            true => false,
            false => match self.flush() {
                Ok(()) => true,
                Err(error) => {
                    self.tell_unsaved(error);
                    false
                }
            },
        };
        self.say_unsaved();
        saved
    }

    /// Says why answers wait in memory, or where they are because the archive is gone.
    pub(super) fn tell_unsaved(&mut self, error: ArchiveError) {
        if is_gone(&error) {
            self.lose_archive();
        } else {
            let why = prompts::not_saved(&said(&Error::from(error)));
            self.session.notice = Some(why.clone());
            self.why = why;
        }
    }

    /// Shows in the corner whether answers wait in memory.
    pub(super) fn say_unsaved(&mut self) {
        self.session.not_saved = match (&self.gone, self.unsaved.len()) {
            (Some(saved), _) => Some(NotSaved::Aside(saved.clone())),
            (None, 0) => None,
            (None, answers) => Some(NotSaved::Waiting(answers)),
        };
    }

    /// Fails if the archive is not the file any more that was opened.
    pub(super) fn is_there(&self) -> Result<(), ArchiveError> {
        let now = identity(self.archive.path());
        match now.is_some() && now == self.file {
            true => Ok(()),
            false => Err(ArchiveError::Missing(self.archive.path().to_path_buf())),
        }
    }

    /// Writes into the archive what waits in memory, what waits longest first.
    pub(super) fn flush(&mut self) -> Result<(), ArchiveError> {
        if self.has_unsaved() {
            self.is_there()?;
        }
        while let Some((number, _)) = self.unsaved.first().cloned() {
            // All that wait for one case go in together, with the row that shows the case after them.
            let mine = self.unsaved.iter().take_while(|(own, _)| *own == number);
            let entries: Vec<Entry> = mine.map(|(_, entry)| entry.clone()).collect();
            let after = entries.last().map_or(0, |entry| entry.seen + 1);
            let row = self.work_row(&number, after);
            match self.archive.append_beside(&number, &entries, row.as_ref()) {
                Ok(_) => {
                    drop(self.unsaved.drain(..entries.len()));
                    self.held.keep(&number, entries);
                }
                Err(error @ ArchiveError::Moved { .. }) => {
                    self.catch_up(&number)?;
                    let next = self.unsaved.iter().find(|(own, _)| *own == number);
                    let tried = entries.first().map(|entry| entry.seen);
                    if next.is_some_and(|(_, entry)| Some(entry.seen) == tried) {
                        // Nobody has written, and it does not fit all the same.
                        return Err(error);
                    }
                }
                Err(error) => return Err(error),
            }
        }
        self.session.leaving_unsaved = false;
        Ok(())
    }
}
