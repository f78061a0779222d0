//! The archive: the journals of all cases, their flows, standing instructions, practice.
//!
//! Nothing that was written is ever changed or removed. Every entry carries a SHA-256 over the entry before it and
//! itself, a root in a log stands for everything that was kept up to each row, and [`Archive::check`] walks them all.
//!
//! Here and in `chain`, `check` and `witness` stands what is kept and what holds; how rows are kept is the engine's, behind
//! the trait in `store`. The one engine is in `sqlite`, the only place with SQL.
//!
//! An answer that is called kept was flushed to the disk and then found in the file that others open under the same name.

mod chain;
mod check;
mod error;
mod instructions;
mod practice;
mod sqlite;
mod store;
mod witness;
mod work;

use std::collections::BTreeMap;
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};

use jiff::Timestamp;
use jiff::civil::DateTime;

use crate::case::journal::{Body, Entry};
use crate::phrase::faults::archive as words;
use crate::text::hex;
use chain::{Chain, NONE, Written};
use store::{Appended, Beside, Ends, Head, Store, StoreError, Stream};
use witness::Witness;

pub use check::{Checked, Damage};
pub use error::{ArchiveError, Trouble};
pub use instructions::Standing;
pub use practice::Practice;
pub use work::{Freshness, Listed, WorkAsk, WorkOrder, WorkRow};

/// How often others may be faster before a write gives up.
const TURNS: usize = 100;

/// An open archive.
#[derive(Debug)]
pub struct Archive {
    store: Box<dyn Store>,
    path: PathBuf,
    notes: Vec<String>,
    witness: Option<Witness>,
    /// What differs from what this computer saw of it.
    other: Option<String>,
}

/// What became of a backup that was put in place.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Restored {
    /// Where the archive lies that was in its place, if there was one.
    pub aside: Option<PathBuf>,
    /// How many cases that one has, where it can be read.
    pub had: Option<usize>,
    /// How many cases the archive has now.
    pub cases: usize,
}

/// A flow as it is kept.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct KeptFlow {
    /// The number of the format that its files are written in.
    pub format: u32,
    /// Its files, each with its name and its text.
    pub files: Vec<(String, String)>,
}

/// One case in the list of cases.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct CaseRow {
    /// The laboratory's number.
    pub number: String,
    /// How many journal entries were kept of it, by its end, its last entry or the list of everything that was kept,
    /// whichever says most.
    pub entries: u64,
}

impl Archive {
    /// Opens an archive; makes it, and the directories above it, where there is none.
    ///
    /// # Errors
    /// The path leads to something that is not an archive of this program, to a place that cannot be written to or
    /// that does not keep answers safely, or to an archive that others hold for longer than five seconds.
    pub fn open(path: &Path) -> Result<Archive, ArchiveError> {
        let path = sqlite::absolute(path)?;
        let store = sqlite::open(&path, true)?;
        Self::over(store, path)
    }

    /// Opens an archive that must exist.
    ///
    /// # Errors
    /// There is none, or as for [`Archive::open`].
    pub fn open_existing(path: &Path) -> Result<Archive, ArchiveError> {
        let path = sqlite::absolute(path)?;
        let store = sqlite::open(&path, false)?;
        Self::over(store, path)
    }

    /// Opens an archive that must exist, to read it. Where it can be written to it is opened as by
    /// [`Archive::open_existing`]; where it cannot, nothing is written beside it, and every append is refused.
    ///
    /// # Errors
    /// There is none, it cannot be read, or it is not an archive of this program.
    pub fn open_to_read(path: &Path) -> Result<Archive, ArchiveError> {
        let path = sqlite::absolute(path)?;
        let store = match sqlite::open(&path, false) {
            Err(ArchiveError::ReadOnly(_)) => sqlite::open_to_read(&path)?,
            other => other?,
        };
        Self::over(store, path)
    }

    fn over(store: Box<dyn Store>, path: PathBuf) -> Result<Archive, ArchiveError> {
        let notes = store.notes().to_vec();
        let mut archive = Archive {
            store,
            path,
            notes,
            witness: None,
            other: None,
        };
        // What was damaged before there was a log is not made sound by one.
        if archive.store.about().moved_on {
            let damages = archive.check()?.len();
            if damages > 0 {
                archive.notes.push(words::was_damaged(damages));
            }
        }
        Ok(archive)
    }

    /// Compares the archive with what this computer saw of it last, and keeps what it sees when it is closed, in a file
    /// in this directory. What differs is among the [`Archive::notes`].
    ///
    /// # Errors
    /// The archive cannot be read. A witness that cannot be read or kept is none.
    pub fn witness_in(&mut self, directory: &Path) -> Result<(), ArchiveError> {
        let witness = Witness::of(directory, self.store.about(), &self.path);
        let note = witness.compare(&*self.store);
        self.other = note.map_err(|error| self.said(error))?;
        self.notes.extend(self.other.clone());
        self.witness = Some(witness);
        Ok(())
    }

    /// Takes the archive as it is, whatever this computer saw of it before: it was put back on purpose.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn take_as_it_is(&mut self) -> Result<(), ArchiveError> {
        let last = self.store.last().map_err(|error| self.said(error))?;
        if let Some(witness) = &mut self.witness {
            witness.take(last.as_ref());
        }
        self.other = None;
        Ok(())
    }

    /// Returns what differs from what this computer saw of the archive before, or `None` if nothing does or it saw none.
    pub fn not_as_seen(&self) -> Option<&str> {
        self.other.as_deref()
    }

    /// Returns what a person should be told of the archive on opening it, as sentences: that it is older than it was, that
    /// something was lost or changed from outside, that only a copy is read.
    pub fn notes(&self) -> &[String] {
        &self.notes
    }

    /// Returns the path, made absolute.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Appends entries of one case in one transaction; returns how many entries the case has now.
    ///
    /// `seen` of each entry must be the number of entries before it. An entry whose id is there already, with the
    /// same content, is not written twice: after an error it is safe to append the same entries again.
    ///
    /// # Errors
    /// Nothing was written, except after [`ArchiveError::Unsure`] and [`ArchiveError::Gone`]: somebody else wrote meanwhile
    /// ([`ArchiveError::Moved`]); the case is opened twice, or written to before it is opened; an entry of other
    /// content has the id; an entry would not read back as itself; the end of the case is damaged; the archive is no longer
    /// what others find in its place; or the system failed.
    pub fn append(&mut self, number: &str, entries: &[Entry]) -> Result<u64, ArchiveError> {
        self.append_beside(number, entries, None)
    }

    /// Appends entries as [`Archive::append`] does, and with them the case's row in the worklist as it is after them.
    ///
    /// Without a row the one that is there is marked as one to be made anew.
    ///
    /// # Errors
    /// As for [`Archive::append`].
    pub fn append_beside(
        &mut self,
        number: &str,
        entries: &[Entry],
        beside: Option<&WorkRow>,
    ) -> Result<u64, ArchiveError> {
        let written = entries
            .iter()
            .map(|entry| chain::write(number, entry))
            .collect::<Result<Vec<_>, _>>()?;
        let stream = Stream::Case(number.to_owned());
        let last = entries.last().map(|entry| entry.when.to_string());
        let mut turns = 0;
        loop {
            let ends = self.store.ends(&stream).map_err(|e| self.said(e))?;
            let mut chain = Chain::at_end(&stream, &ends)?;
            let expected = chain.head();
            let mut rows = Vec::new();
            for (entry, row) in entries.iter().zip(&written) {
                if self.is_kept(&stream, entry, row)? {
                    continue;
                }
                self.may_follow(number, entry, chain.count)?;
                rows.push(chain.add(Some(entry.id), entry.when.to_string(), row.clone()));
            }
            let said = |error: StoreError| error.at(&self.path, number);
            if rows.is_empty() {
                // What an earlier call has written counts as kept only where others find it.
                if expected != Head::NONE && !entries.is_empty() {
                    self.store.stands(&stream, &expected).map_err(said)?;
                }
                return Ok(expected.count);
            }
            let beside = match beside.filter(|row| row.entries == chain.count) {
                Some(row) => Beside::Row(row),
                None => Beside::Mark(last.as_deref().unwrap_or_default()),
            };
            let end = chain.count;
            match self.store.append(&stream, &expected, &rows, beside) {
                Ok(Appended::Kept) => {
                    self.see();
                    return Ok(end);
                }
                // Now it shows what has changed.
                Ok(Appended::Conflict) if turns < TURNS => turns += 1,
                Ok(Appended::Conflict) => return Err(ArchiveError::Busy(self.path.clone())),
                Err(error) => return Err(error.at(&self.path, number)),
            }
        }
    }

    /// Returns whether an entry is there already.
    fn is_kept(&self, stream: &Stream, entry: &Entry, row: &Written) -> Result<bool, ArchiveError> {
        let known = self.store.known(stream, &entry.id.to_string());
        match known.map_err(|error| self.said(error))? {
            None => Ok(false),
            Some((own, body)) if own == *stream && body == row.body => Ok(true),
            Some(_) => Err(ArchiveError::IdTaken(entry.id)),
        }
    }

    /// Checks that an entry can be the next one of a case.
    fn may_follow(&self, number: &str, entry: &Entry, has: u64) -> Result<(), ArchiveError> {
        let opens = matches!(entry.body, Body::Opened { .. });
        if opens && has > 0 {
            return Err(ArchiveError::CaseExists(number.to_owned()));
        }
        if !opens && has == 0 {
            return Err(self.no_such_case(number));
        }
        if entry.seen != has {
            return Err(ArchiveError::Moved {
                number: number.to_owned(),
                seen: entry.seen,
                has,
            });
        }
        Ok(())
    }

    /// Returns the error for a number that is not there, with those that it may stand for.
    fn no_such_case(&self, number: &str) -> ArchiveError {
        match self.store.streams() {
            Ok(streams) => {
                let known = streams.into_iter().filter_map(|stream| match stream {
                    Stream::Case(own) => Some(own),
                    _ => None,
                });
                ArchiveError::NoSuchCase {
                    number: number.to_owned(),
                    near: near(number, known.collect()),
                }
            }
            Err(error) => self.said(error),
        }
    }

    /// Returns the journal of a case, in the order it was written.
    ///
    /// # Errors
    /// There is no such case; one of its entries is damaged, missing, or of a kind that this program does not know;
    /// or the system failed.
    pub fn journal(&self, number: &str) -> Result<Vec<Entry>, ArchiveError> {
        self.since(number, 0)
    }

    /// Returns the entries of a case after the first `after`, in the order they were written.
    ///
    /// # Errors
    /// As for [`Archive::journal`], of those entries and the one before them.
    pub fn since(&self, number: &str, after: u64) -> Result<Vec<Entry>, ArchiveError> {
        let stream = Stream::Case(number.to_owned());
        let mut chain = Chain::new(&stream);
        let mut list = Vec::new();
        let mut broken = None;
        // The row before the first that is wanted says what that one follows.
        let begin = after.saturating_sub(1);
        let head = self.store.read(&stream, begin, &mut |row| {
            if after > 0 && row.number == after {
                chain.start_at(row.number, row.hash);
                return ControlFlow::Continue(());
            }
            match chain.entry(&row) {
                Ok(entry) => list.push(entry),
                Err(error) => broken = Some(error),
            }
            match broken {
                None => ControlFlow::Continue(()),
                Some(_) => ControlFlow::Break(()),
            }
        });
        let head = head.map_err(|error| self.said(error))?;
        if let Some(error) = broken {
            return Err(error);
        }
        match head {
            None if list.is_empty() && chain.count == 0 => Err(self.no_such_case(number)),
            Some(head) if head.count < after => Ok(list),
            head => chain.end(head.as_ref()).map(|()| list),
        }
    }

    /// Returns how many entries a case has, and the root of the archive in hexadecimal letters, which stands for everything
    /// that was kept so far; or `None` if there is no such case.
    ///
    /// # Errors
    /// The system failed.
    pub fn end_of(&self, number: &str) -> Result<Option<(u64, String)>, ArchiveError> {
        let stream = Stream::Case(number.to_owned());
        let mut found = None;
        let read = self.store.at_one_moment(&mut || {
            let head = self.store.ends(&stream)?.head;
            found = head.zip(self.store.last()?);
            Ok(())
        });
        read.map_err(|error| self.said(error))?;
        Ok(found.map(|(head, last)| {
            let root = last.root.unwrap_or(NONE);
            (head.count, hex(root))
        }))
    }

    /// Returns a number that changes when somebody else has written to the archive since this handle was opened.
    ///
    /// # Errors
    /// The system failed.
    pub fn revision(&self) -> Result<u64, ArchiveError> {
        self.store.revision().map_err(|error| self.said(error))
    }

    /// Returns what opens the same archive once more, in another thread and as often as it is asked. Its errors are those of
    /// [`Archive::open_existing`].
    pub fn opener(&self) -> impl Fn() -> Result<Archive, ArchiveError> + Send + use<> {
        let (open, path) = (self.store.opener(), self.path.clone());
        move || Self::over(open()?, path.clone())
    }

    /// Sets how long a write waits for others before it gives up.
    ///
    /// # Errors
    /// The system failed.
    pub fn patience(&mut self, time: std::time::Duration) -> Result<(), ArchiveError> {
        let set = self.store.patience(time);
        set.map_err(|error| self.said(error))
    }

    /// Lists the cases that were ever kept, by number, those that are gone among them.
    ///
    /// # Errors
    /// The system failed, or the file is damaged as a database. Damaged entries do not hide a case.
    pub fn cases(&self) -> Result<Vec<CaseRow>, ArchiveError> {
        let mut known: BTreeMap<String, u64> = BTreeMap::new();
        let read = self.store.at_one_moment(&mut || {
            known.clear();
            let mut note = |number: String, count: u64| {
                let entries = known.entry(number).or_default();
                *entries = count.max(*entries);
            };
            for stream in self.store.streams()? {
                let Ends { head, last } = self.store.ends(&stream)?;
                let ends = head.into_iter().chain(last).map(|end| end.count);
                if let Stream::Case(number) = stream {
                    note(number, ends.max().unwrap_or_default());
                }
            }
            self.store.log(0, &mut |row| {
                if let Some(Stream::Case(number)) = Stream::from_key(&row.stream) {
                    note(number, row.number);
                }
                ControlFlow::Continue(())
            })
        });
        read.map_err(|error| self.said(error))?;
        let rows = known.into_iter();
        Ok(rows
            .map(|(number, entries)| CaseRow { number, entries })
            .collect())
    }

    /// Keeps the files of a flow, name and text, under its digest, with the number of the format that they are written in.
    /// Files that are kept under it already stay.
    ///
    /// # Errors
    /// The system failed.
    pub fn keep_flow(
        &mut self,
        digest: &str,
        format: u32,
        files: &[(String, String)],
    ) -> Result<(), ArchiveError> {
        let stream = Stream::Flow(digest.to_owned());
        let ends = self.store.ends(&stream).map_err(|e| self.said(e))?;
        if ends.last.is_some() {
            return Ok(());
        }
        let body = serde_json::to_string(files).map_err(|error| ArchiveError::Io {
            path: self.path.clone(),
            why: error.to_string(),
        })?;
        let kind = format.to_string();
        let row = Chain::new(&stream).add(None, String::new(), Written { kind, body });
        let kept = self
            .store
            .append(&stream, &Head::NONE, &[row], Beside::Nothing);
        // Another one has kept the same files meanwhile.
        kept.map_err(|error| self.said(error))?;
        Ok(())
    }

    /// Returns a flow, where it is kept.
    ///
    /// # Errors
    /// Its files are not as they were written, or the system failed.
    pub fn flow(&self, digest: &str) -> Result<Option<KeptFlow>, ArchiveError> {
        let found = check::flow_files(&*self.store, digest);
        match found.map_err(|error| self.said(error))? {
            None => Ok(None),
            Some(Some((flow, _))) => Ok(Some(flow)),
            Some(None) => Err(ArchiveError::FlowDamaged {
                digest: digest.to_owned(),
            }),
        }
    }

    /// Returns all that is damaged, as [`Archive::check_all`] finds it.
    ///
    /// # Errors
    /// The file is too damaged to be checked, or the system failed.
    pub fn check(&self) -> Result<Vec<Damage>, ArchiveError> {
        self.check_all().map(|checked| checked.damages)
    }

    /// Checks everything: what the database finds in its own files, what each chain of hashes shows, and whether all that
    /// the log says was kept is there; and says which cases can be read whole.
    ///
    /// # Errors
    /// The file is too damaged to be checked, or the system failed.
    pub fn check_all(&self) -> Result<Checked, ArchiveError> {
        check::check(&*self.store).map_err(|error| self.said(error))
    }

    /// Copies the archive, as it is at this moment, to a file that does not exist. Others can write meanwhile.
    ///
    /// # Errors
    /// The target exists or cannot be made, or the system failed.
    pub fn backup(&self, to: &Path) -> Result<(), ArchiveError> {
        self.store.backup(&sqlite::absolute(to)?)
    }

    /// Puts a backup in the place of an archive, whole or not at all. What was there is moved aside under a name with the
    /// time; the backup stays. `state` is the directory of the witness, for which the archive is not an older one then.
    ///
    /// # Errors
    /// The backup is missing or damaged, others have the archive open, or the place cannot be written to. The archive is where it
    /// was then, or the error says where it is ([`ArchiveError::LeftAside`]).
    pub fn restore(
        backup: &Path,
        path: &Path,
        now: DateTime,
        state: Option<&Path>,
    ) -> Result<Restored, ArchiveError> {
        let (backup, path) = (sqlite::absolute(backup)?, sqlite::absolute(path)?);
        let path = sqlite::real(&path);
        let whole = sqlite::draft(&backup, &path)?;
        let places = {
            let opened = whole.open().map_err(|error| match error.of(&backup) {
                // What to do is to take another one, not to look after this one.
                ArchiveError::Corrupt { path, .. } => {
                    ArchiveError::BackupDamaged { path, places: 1 }
                }
                error => error,
            })?;
            let archive = Self::over(opened, backup.clone())?;
            archive.check()?.len()
        };
        if places > 0 {
            return Err(ArchiveError::BackupDamaged {
                path: backup,
                places,
            });
        }
        let (aside, had) = whole.put_in_place(&path, now)?;
        let archive = Self::open_existing(&path)?;
        if let Some(state) = state {
            let witness = Witness::of(state, archive.store.about(), &path);
            let last = archive.store.last().map_err(|e| archive.said(e))?;
            witness.keep(last.as_ref());
        }
        let cases = archive.count()?.0;
        Ok(Restored { aside, had, cases })
    }

    /// Notes for the witness that an answer was kept, unless the archive is not the one that was seen.
    fn see(&self) {
        if let Some(witness) = self.witness.as_ref().filter(|_| self.other.is_none())
            && let Ok(last) = self.store.last()
        {
            witness.keep_for_now(last.as_ref());
        }
    }

    fn said(&self, error: StoreError) -> ArchiveError {
        error.at(&self.path, "")
    }
}

impl Drop for Archive {
    fn drop(&mut self) {
        if let Some(witness) = &self.witness {
            witness.close(&*self.store);
        }
    }
}

fn when(text: &str) -> Timestamp {
    text.parse().unwrap_or(Timestamp::UNIX_EPOCH)
}

/// Returns up to three numbers within two slips of the finger, the nearest first.
fn near(number: &str, known: Vec<String>) -> Vec<String> {
    let typed = number.to_lowercase();
    let mut near: Vec<_> = known
        .into_iter()
        .map(|other| {
            let slips = strsim::damerau_levenshtein(&typed, &other.to_lowercase());
            (slips, other)
        })
        // Two slips in a number of two characters would be any number.
        .filter(|(slips, other)| *slips <= 2 && *slips < other.chars().count())
        .collect();
    near.sort();
    near.into_iter().take(3).map(|(_, other)| other).collect()
}

#[cfg(test)]
mod tests;
