//! The archive: one SQLite file with the journals of all cases and the files of their flows.
//!
//! This is the only place with SQL: rows in, rows out. Nothing that was written is ever changed or removed. Every
//! entry carries a SHA-256 over the entry before it and itself, and [`Archive::check`] walks them.
//!
//! Answers are kept over a power cut as far as the disk keeps its word: write-ahead logging with a flush at every
//! commit (`journal_mode = WAL`, `synchronous = FULL`), both read back when an archive is opened.

mod chain;
mod check;
mod error;
mod file;
mod instructions;
mod schema;
#[cfg(test)]
mod tests;
mod work;

use std::path::{Path, PathBuf};

use jiff::Timestamp;
use rusqlite::{Connection, OptionalExtension, Transaction, TransactionBehavior, params};

use crate::case::journal::{Body, Entry};
use crate::phrase::faults::archive as said;
use chain::{Chain, Found, Head, Written};

pub use check::Damage;
pub use error::{ArchiveError, Trouble};
pub use instructions::Standing;
pub use work::{Freshness, Listed, WorkAsk, WorkOrder, WorkRow};

/// An open archive.
#[derive(Debug)]
pub struct Archive {
    conn: Connection,
    path: PathBuf,
}

/// One case in the list of cases.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct CaseRow {
    /// The laboratory's number.
    pub number: String,
    /// How many journal entries it has.
    pub entries: u64,
    /// When it was opened. The Unix epoch where the row is damaged.
    pub opened: Timestamp,
    /// When it was last written to. The Unix epoch where the row is damaged.
    pub last: Timestamp,
}

impl Archive {
    /// Opens an archive; makes it, and the directories above it, where there is none.
    ///
    /// # Errors
    /// The path leads to something that is not an archive of this program, to a place that cannot be written to or
    /// that does not keep answers safely, or to an archive that others hold for longer than five seconds.
    pub fn open(path: &Path) -> Result<Archive, ArchiveError> {
        let path = file::absolute(path)?;
        if !file::is_there(&path)? {
            file::create(&path)?;
        }
        // A link that leads nowhere takes the name and gives no file.
        Self::open_existing(&path)
    }

    /// Opens an archive that must exist.
    ///
    /// # Errors
    /// There is none, or as for [`Archive::open`].
    pub fn open_existing(path: &Path) -> Result<Archive, ArchiveError> {
        let path = file::absolute(path)?;
        if !file::is_there(&path)? {
            return Err(ArchiveError::Missing(path));
        }
        Self::connect(path)
    }

    fn connect(path: PathBuf) -> Result<Archive, ArchiveError> {
        let conn = schema::connect(&path)?;
        Ok(Archive { conn, path })
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
    /// Nothing was written, except after [`ArchiveError::Unsure`]: somebody else wrote meanwhile
    /// ([`ArchiveError::Moved`]); the case is opened twice, or written to before it is opened; an entry of other
    /// content has the id; an entry would not read back as itself; the end of the case is damaged; or the system
    /// failed.
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
        let path = &self.path;
        let tx = self
            .conn
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(|error| ArchiveError::from_sql(path, &error))?;
        let mut end = end(&tx, path, number)?;
        let before = end.count;
        for (entry, row) in entries.iter().zip(&written) {
            if is_kept(&tx, path, number, entry, row)? {
                continue;
            }
            may_follow(&tx, path, number, entry, end.count)?;
            insert(&tx, number, entry, row, &mut end)
                .map_err(|error| ArchiveError::from_sql(path, &error))?;
        }
        if end.count == before {
            return Ok(before);
        }
        let last = entries
            .last()
            .map_or(Timestamp::UNIX_EPOCH, |entry| entry.when);
        keep_head(&tx, number, &end)
            .and_then(|()| match beside.filter(|row| row.entries == end.count) {
                Some(row) => work::keep(&tx, row),
                None => work::let_down(&tx, number, last),
            })
            .map_err(|error| ArchiveError::from_sql(path, &error))?;
        match tx.commit() {
            Ok(()) => Ok(end.count),
            Err(error) => self.look_after(number, entries, &written, &error),
        }
    }

    /// Finds out, over a new connection, whether a commit that failed has happened all the same.
    fn look_after(
        &mut self,
        number: &str,
        entries: &[Entry],
        written: &[Written],
        error: &rusqlite::Error,
    ) -> Result<u64, ArchiveError> {
        let unsure = |why: String| ArchiveError::Unsure {
            number: number.to_owned(),
            why,
        };
        self.conn =
            schema::connect(&self.path).map_err(|second| unsure(said::then(error, &second)))?;
        let tx = self
            .conn
            .unchecked_transaction()
            .map_err(|second| unsure(said::then(error, &second)))?;
        for (entry, row) in entries.iter().zip(written) {
            match is_kept(&tx, &self.path, number, entry, row) {
                Ok(true) => {}
                Ok(false) => return Err(ArchiveError::from_sql(&self.path, error)),
                Err(second) => return Err(unsure(said::then(error, &second))),
            }
        }
        Ok(end(&tx, &self.path, number)?.count)
    }

    /// Returns the journal of a case, in the order it was written.
    ///
    /// # Errors
    /// There is no such case; one of its entries is damaged, missing, or of a kind that this program does not know;
    /// or the system failed.
    pub fn journal(&self, number: &str) -> Result<Vec<Entry>, ArchiveError> {
        let sql = |error: rusqlite::Error| self.sql(&error);
        let tx = self.conn.unchecked_transaction().map_err(sql)?;
        let head = head(&tx, number).map_err(sql)?;
        let query = format!(
            "SELECT {} FROM entry WHERE case_number = ?1 ORDER BY number",
            chain::COLUMNS
        );
        let mut statement = tx.prepare_cached(&query).map_err(sql)?;
        let mut chain = Chain::new(number);
        let mut journal = Vec::new();
        for row in statement
            .query_map([number], Found::from_row)
            .map_err(sql)?
        {
            journal.push(chain.next(&row.map_err(sql)?)?);
        }
        if journal.is_empty() && head.is_none() {
            return Err(no_such_case(&tx, &self.path, number));
        }
        chain.end(head.as_ref())?;
        Ok(journal)
    }

    /// Returns the entries of a case after the first `after`, in the order they were written.
    ///
    /// # Errors
    /// As for [`Archive::journal`].
    pub fn since(&self, number: &str, after: u64) -> Result<Vec<Entry>, ArchiveError> {
        let journal = self.journal(number)?;
        let after = usize::try_from(after).unwrap_or(usize::MAX);
        Ok(journal.into_iter().skip(after).collect())
    }

    /// Returns how many entries a case has, and the hash that they end with, or `None` if there is no such case.
    ///
    /// # Errors
    /// The system failed.
    pub fn end_of(&self, number: &str) -> Result<Option<(u64, String)>, ArchiveError> {
        let tx = self
            .conn
            .unchecked_transaction()
            .map_err(|e| self.sql(&e))?;
        let head = head(&tx, number).map_err(|e| self.sql(&e))?;
        Ok(head.map(|head| (head.count, head.in_letters())))
    }

    /// Returns a number that changes when somebody else has written to the archive since this handle was opened.
    ///
    /// # Errors
    /// The system failed.
    pub fn revision(&self) -> Result<u64, ArchiveError> {
        let version: i64 = self
            .conn
            .pragma_query_value(None, "data_version", |row| row.get(0))
            .map_err(|error| self.sql(&error))?;
        Ok(version.unsigned_abs())
    }

    /// Opens the same archive once more, for another thread.
    ///
    /// # Errors
    /// As for [`Archive::open_existing`].
    pub fn again(&self) -> Result<Archive, ArchiveError> {
        Self::open_existing(&self.path)
    }

    /// Sets how long a write waits for others before it gives up.
    ///
    /// # Errors
    /// The system failed.
    pub fn patience(&mut self, time: std::time::Duration) -> Result<(), ArchiveError> {
        self.conn
            .busy_timeout(time)
            .map_err(|error| self.sql(&error))
    }

    /// Lists the cases, the one written to last first.
    ///
    /// # Errors
    /// The system failed, or the file is damaged as a database. Damaged entries do not hide a case.
    pub fn cases(&self) -> Result<Vec<CaseRow>, ArchiveError> {
        let sql = |error: rusqlite::Error| self.sql(&error);
        let mut statement = self
            .conn
            .prepare_cached(
                "SELECT c.case_number, c.entries, first.when_text, last.when_text
                 FROM (SELECT case_number, COUNT(*) AS entries, MIN(number) AS low, MAX(number) AS high
                       FROM entry GROUP BY case_number) AS c
                 JOIN entry AS first ON first.case_number = c.case_number AND first.number = c.low
                 JOIN entry AS last ON last.case_number = c.case_number AND last.number = c.high",
            )
            .map_err(sql)?;
        let rows = statement
            .query_map([], |row| {
                Ok(CaseRow {
                    number: chain::lossy(row, 0)?,
                    entries: chain::count(row, 1)?,
                    opened: when(&chain::lossy(row, 2)?),
                    last: when(&chain::lossy(row, 3)?),
                })
            })
            .map_err(sql)?;
        let mut cases = rows.collect::<Result<Vec<_>, _>>().map_err(sql)?;
        cases.sort_by(|a, b| b.last.cmp(&a.last).then_with(|| a.number.cmp(&b.number)));
        Ok(cases)
    }

    /// Keeps the files of a flow, name and text, under its digest. Files that are kept under it already stay.
    ///
    /// # Errors
    /// The system failed.
    pub fn keep_flow(
        &mut self,
        digest: &str,
        files: &[(String, String)],
    ) -> Result<(), ArchiveError> {
        let path = &self.path;
        let sql = |error: rusqlite::Error| ArchiveError::from_sql(path, &error);
        let json = serde_json::to_string(files).map_err(|error| ArchiveError::Io {
            path: path.clone(),
            why: error.to_string(),
        })?;
        let tx = self
            .conn
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(sql)?;
        tx.execute(
            "INSERT INTO flow (digest, files, hash) VALUES (?1, ?2, ?3) ON CONFLICT (digest) DO NOTHING",
            params![digest, json, chain::flow_hash(digest, &json)],
        )
        .map_err(sql)?;
        tx.commit().map_err(sql)
    }

    /// Returns the files of a flow, name and text, where they are kept.
    ///
    /// # Errors
    /// They are not as they were written, or the system failed.
    pub fn flow(&self, digest: &str) -> Result<Option<Vec<(String, String)>>, ArchiveError> {
        let found = self
            .conn
            .query_row(
                "SELECT files, hash FROM flow WHERE digest = ?1",
                [digest],
                |row| Ok(check::flow_files(digest, row, 0, 1)),
            )
            .optional()
            .map_err(|error| self.sql(&error))?;
        match found {
            None => Ok(None),
            Some(Some(files)) => Ok(Some(files)),
            Some(None) => Err(ArchiveError::FlowDamaged {
                digest: digest.to_owned(),
            }),
        }
    }

    /// Returns all that is damaged: what the database finds in its own pages, then what each case's chain of hashes
    /// shows.
    ///
    /// # Errors
    /// The file is too damaged to be checked, or the system failed.
    pub fn check(&self) -> Result<Vec<Damage>, ArchiveError> {
        check::check(&self.conn, &self.path)
    }

    /// Copies the archive, as it is at this moment, to a file that does not exist. Others can write meanwhile.
    ///
    /// # Errors
    /// The target exists or cannot be made, or the system failed.
    pub fn backup(&self, to: &Path) -> Result<(), ArchiveError> {
        file::backup(&self.conn, &self.path, &file::absolute(to)?)
    }

    fn sql(&self, error: &rusqlite::Error) -> ArchiveError {
        ArchiveError::from_sql(&self.path, error)
    }
}

fn when(text: &str) -> Timestamp {
    text.parse().unwrap_or(Timestamp::UNIX_EPOCH)
}

fn head(tx: &Transaction<'_>, number: &str) -> rusqlite::Result<Option<Head>> {
    tx.prepare_cached("SELECT case_number, entries, hash FROM head WHERE case_number = ?1")?
        .query_row([number], Head::from_row)
        .optional()
}

/// Returns where the chain of a case ends, after a look whether its head says the same.
fn end(tx: &Transaction<'_>, path: &Path, number: &str) -> Result<Chain, ArchiveError> {
    let sql = |error: rusqlite::Error| ArchiveError::from_sql(path, &error);
    let mut chain = Chain::new(number);
    let last = tx
        .prepare_cached(
            "SELECT number, hash FROM entry WHERE case_number = ?1 ORDER BY number DESC LIMIT 1",
        )
        .and_then(|mut statement| {
            statement
                .query_row([number], |row| Ok((chain::count(row, 0)?, row.get(1)?)))
                .optional()
        })
        .map_err(sql)?;
    let head = head(tx, number).map_err(sql)?;
    if last.is_none() && head.is_none() {
        return Ok(chain);
    }
    if let Some((count, hash)) = last {
        chain.count = count;
        chain.hash = hash;
    }
    chain.end(head.as_ref())?;
    Ok(chain)
}

/// Returns whether an entry is there already.
fn is_kept(
    tx: &Transaction<'_>,
    path: &Path,
    number: &str,
    entry: &Entry,
    row: &Written,
) -> Result<bool, ArchiveError> {
    let kept = tx
        .prepare_cached("SELECT case_number = ?2 AND body = ?3 FROM entry WHERE id = ?1")
        .and_then(|mut statement| {
            statement
                .query_row(params![entry.id.to_string(), number, row.body], |row| {
                    row.get(0)
                })
                .optional()
        })
        .map_err(|error| ArchiveError::from_sql(path, &error))?;
    match kept {
        None => Ok(false),
        Some(true) => Ok(true),
        Some(false) => Err(ArchiveError::IdTaken(entry.id)),
    }
}

/// Checks that an entry can be the next one of a case.
fn may_follow(
    tx: &Transaction<'_>,
    path: &Path,
    number: &str,
    entry: &Entry,
    has: u64,
) -> Result<(), ArchiveError> {
    let opens = matches!(entry.body, Body::Opened { .. });
    if opens && has > 0 {
        return Err(ArchiveError::CaseExists(number.to_owned()));
    }
    if !opens && has == 0 {
        return Err(no_such_case(tx, path, number));
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

fn insert(
    tx: &Transaction<'_>,
    number: &str,
    entry: &Entry,
    row: &Written,
    end: &mut Chain,
) -> rusqlite::Result<()> {
    let place = end.count.saturating_add(1);
    let hash = chain::hash(&end.hash, number, place, &row.body);
    tx.prepare_cached(
        "INSERT INTO entry (case_number, number, id, when_text, kind, body, before_hash, hash)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
    )?
    .execute(params![
        number,
        chain::stored(place),
        entry.id.to_string(),
        entry.when.to_string(),
        row.kind,
        row.body,
        end.hash,
        hash
    ])?;
    end.count = place;
    end.hash = hash;
    Ok(())
}

fn keep_head(tx: &Transaction<'_>, number: &str, end: &Chain) -> rusqlite::Result<()> {
    tx.prepare_cached(
        "INSERT INTO head (case_number, entries, hash) VALUES (?1, ?2, ?3)
         ON CONFLICT (case_number) DO UPDATE SET entries = excluded.entries, hash = excluded.hash",
    )?
    .execute(params![number, chain::stored(end.count), end.hash])
    .map(|_| ())
}

/// Returns the error for a number that is not there, with those that it may stand for.
fn no_such_case(tx: &Transaction<'_>, path: &Path, number: &str) -> ArchiveError {
    let known = tx
        .prepare_cached("SELECT case_number FROM head ORDER BY case_number")
        .and_then(|mut statement| {
            statement
                .query_map([], |row| chain::lossy(row, 0))?
                .collect::<Result<Vec<_>, _>>()
        });
    match known {
        Ok(known) => ArchiveError::NoSuchCase {
            number: number.to_owned(),
            near: near(number, known),
        },
        Err(error) => ArchiveError::from_sql(path, &error),
    }
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
