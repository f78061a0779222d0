//! The engine of one file: SQLite, with a log beside it that is flushed at every commit.
//!
//! Answers are kept over a power cut as far as the disk keeps its word: write-ahead logging with a flush at every
//! commit (`journal_mode = WAL`, `synchronous = FULL`), both read back when an archive is opened.

mod column;
mod error;
mod file;
mod place;
mod reading;
mod restore;
mod rows;
mod schema;
mod shape;
mod wal;
mod work;

use std::cell::Cell;
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::time::Duration;

use jiff::civil::Date;
use rusqlite::{Connection, TransactionBehavior};
use tempfile::TempDir;

use super::store::{
    About, Appended, Beside, Ends, Head, Kept, LogRow, Opener, RawHead, RawRow, Row, Store,
    StoreError, Stream,
};
use super::{ArchiveError, Freshness, Listed, WorkAsk, WorkRow};
use crate::phrase::faults::archive as words;
use place::Place;

pub(super) use file::{absolute, make_directories, real};
pub(super) use restore::draft;

/// Says an error of SQLite of the archive at a path.
fn said(path: &Path, error: rusqlite::Error) -> ArchiveError {
    StoreError::from(error).at(path, "")
}

/// Opens an archive; makes it where there is none and it may.
pub(super) fn open(path: &Path, may_make: bool) -> Result<Box<dyn Store>, ArchiveError> {
    if !file::is_there(path)? {
        if !may_make {
            return Err(ArchiveError::Missing(path.to_path_buf()));
        }
        file::create(path)?;
        // A link that leads nowhere takes the name and gives no file.
        if !file::is_there(path)? {
            return Err(ArchiveError::Missing(path.to_path_buf()));
        }
    }
    Ok(Box::new(Sqlite::connect(path)?))
}

/// Opens an archive that cannot be written to.
pub(super) fn open_to_read(path: &Path) -> Result<Box<dyn Store>, ArchiveError> {
    match file::is_there(path) {
        Ok(true) => Ok(Box::new(Sqlite::to_read(path)?)),
        Ok(false) => Err(ArchiveError::Missing(path.to_path_buf())),
        // Not even its folder may be looked into.
        Err(ArchiveError::ReadOnly(path)) => Err(ArchiveError::Unreadable(path)),
        Err(error) => Err(error),
    }
}

/// An open database.
#[derive(Debug)]
pub(super) struct Sqlite {
    conn: Connection,
    path: PathBuf,
    about: About,
    place: Place,
    /// The version of the tables at the last look at them, and what was found then.
    shape: Cell<i64>,
    unsafe_to_write: Option<String>,
    /// What was found on opening.
    notes: Vec<String>,
    lost: Option<String>,
    patience: Duration,
    /// Whether nobody else can open it, so that nobody can be asked.
    alone: bool,
    /// The copy that is read in place of the archive.
    copy: Option<TempDir>,
}

impl Sqlite {
    fn connect(path: &Path) -> Result<Sqlite, ArchiveError> {
        // Before SQLite reads the log and drops what it cannot use.
        let lost = lost_in_log(path);
        let (conn, moved_on) = schema::connect(path)?;
        file::tighten(path);
        let mut store = Self::over(conn, path, lost, false)?;
        store.about.moved_on = moved_on;
        Ok(store)
    }

    fn to_read(path: &Path) -> Result<Sqlite, ArchiveError> {
        let lost = wal::lost(&file::beside(path)[0]);
        let lost = (lost > 0).then(|| words::log_lost(lost, None));
        let (conn, copy) = reading::connect(path)?;
        let mut store = Self::over(conn, path, lost, true)?;
        store.about.read_only = true;
        if copy.is_some() {
            store.notes.push(words::reads_a_copy(path));
        }
        store.copy = copy;
        Ok(store)
    }

    fn over(
        conn: Connection,
        path: &Path,
        lost: Option<String>,
        alone: bool,
    ) -> Result<Sqlite, ArchiveError> {
        let look = || -> rusqlite::Result<_> {
            Ok((
                rows::about(&conn)?,
                shape::of(&conn)?,
                schema::number(&conn, "schema_version")?,
            ))
        };
        let (about, shape, version) = look().map_err(|error| said(path, error))?;
        let notes = lost.iter().chain(&shape.faults).cloned().collect();
        Ok(Sqlite {
            place: Place::of(path, alone),
            conn,
            path: path.to_path_buf(),
            about,
            shape: Cell::new(version),
            unsafe_to_write: shape.unsafe_to_write,
            notes,
            lost,
            patience: schema::BUSY,
            alone,
            copy: None,
        })
    }

    /// Runs reads over one moment, whether or not one was begun.
    fn moment<T>(&self, read: impl FnOnce(&Connection) -> rusqlite::Result<T>) -> Kept<T> {
        if !self.conn.is_autocommit() {
            return Ok(read(&self.conn)?);
        }
        let tx = self.conn.unchecked_transaction()?;
        Ok(read(&tx)?)
    }

    /// Runs a statement that takes and gives nothing.
    fn run(&self, sql: &str) -> rusqlite::Result<()> {
        self.conn.prepare_cached(sql)?.execute([]).map(drop)
    }

    /// Looks at the tables again if anything about them has changed.
    fn may_write(&mut self) -> Kept<()> {
        let version = schema::number(&self.conn, "schema_version")?;
        if self.shape.get() != version {
            self.unsafe_to_write = shape::of(&self.conn)?.unsafe_to_write;
            self.shape.set(version);
        }
        match &self.unsafe_to_write {
            Some(fault) => Err(StoreError::Damaged(fault.clone())),
            None => Ok(()),
        }
    }

    /// Writes rows, and looks whether they are there, up to the commit. `false` if the stream ends elsewhere.
    fn write(&self, to: &Stream, expected: &Head, rows: &[Row], beside: Beside<'_>) -> Kept<bool> {
        let conn = &self.conn;
        if !rows::ends_with(&rows::ends(conn, to)?, expected) {
            return Ok(false);
        }
        rows::insert(conn, to, rows)?;
        let hashes = rows.iter().map(|row| (row.number, row.hash));
        let log = rows::add_to_log(conn, &self.about, to, hashes)?;
        match (beside, to) {
            (Beside::Row(row), _) => work::keep(conn, row)?,
            (Beside::Mark(last), Stream::Case(number)) => work::let_down(conn, number, last)?,
            (Beside::MarkAll(dentist), _) => work::let_down_of(conn, dentist)?,
            (Beside::Apart(number), _) => work::set_apart(conn, number)?,
            (Beside::Mark(_), _) | (Beside::Nothing, _) => {}
        }
        if !rows::are_there(conn, to, rows, log)? {
            return Err(StoreError::Damaged(words::SWALLOWED.to_owned()));
        }
        Ok(true)
    }

    /// Finds out, over a new connection, whether a commit that failed has happened all the same.
    fn look_after(&mut self, to: &Stream, rows: &[Row], error: rusqlite::Error) -> Kept<Appended> {
        let unsure =
            |second: &dyn std::fmt::Display| StoreError::Unsure(words::then(&error, second));
        let there = |conn: &Connection| -> rusqlite::Result<bool> {
            for row in rows {
                if rows::hash_of(conn, to, row.number)? != Some(row.hash) {
                    return Ok(false);
                }
            }
            Ok(true)
        };
        if self.alone {
            return Err(unsure(&words::ALONE));
        }
        // What lies there now is the place from here on, so that it must be this archive's.
        self.place.holds(&self.conn)?;
        let (conn, _) = schema::connect(&self.path).map_err(|second| unsure(&second))?;
        let about = rows::about(&conn).map_err(|second| unsure(&second))?;
        if about.id != self.about.id {
            return Err(StoreError::Gone(words::WAS_MOVED));
        }
        conn.busy_timeout(self.patience)
            .map_err(|second| unsure(&second))?;
        let kept = there(&conn).map_err(|second| unsure(&second))?;
        self.conn = conn;
        self.place = Place::of(&self.path, self.alone);
        match kept {
            true => Ok(Appended::Kept),
            false => Err(error.into()),
        }
    }
}

/// Keeps a copy of the log of an archive where it is damaged, and says so.
fn lost_in_log(path: &Path) -> Option<String> {
    let [log, _] = file::beside(path);
    let lost = wal::lost(&log);
    if lost == 0 {
        return None;
    }
    let kept = place::names(path, ".damaged-log").find_map(|aside| {
        if std::fs::symlink_metadata(&aside).is_err() {
            return Some(reading::copy(&log, &aside).ok().map(|()| aside));
        }
        // One that lies there already may be of damage that was found before.
        reading::is_same(&log, &aside).then_some(Some(aside))
    });
    Some(words::log_lost(lost, kept.flatten().as_deref()))
}

impl Store for Sqlite {
    fn about(&self) -> &About {
        &self.about
    }

    fn notes(&self) -> &[String] {
        &self.notes
    }

    fn append(
        &mut self,
        to: &Stream,
        expected: &Head,
        rows: &[Row],
        beside: Beside<'_>,
    ) -> Kept<Appended> {
        if self.about.read_only {
            return Err(StoreError::ReadOnly);
        }
        self.place.holds(&self.conn)?;
        self.run("BEGIN IMMEDIATE")?;
        let written = match self.may_write() {
            Ok(()) => self.write(to, expected, rows, beside),
            Err(error) => Err(error),
        };
        if written != Ok(true) {
            // Without a transaction there is nothing to take back.
            let _ = self.conn.execute_batch("ROLLBACK");
            return written.map(|_| Appended::Conflict);
        }
        let kept = match self.run("COMMIT") {
            Ok(()) => Ok(Appended::Kept),
            Err(error) => {
                let _ = self.conn.execute_batch("ROLLBACK");
                self.look_after(to, rows, error)
            }
        };
        if let (Ok(_), Some(last)) = (&kept, rows.last()) {
            let (count, hash) = (last.number, last.hash);
            self.stands(to, &Head { count, hash })?;
        }
        kept
    }

    fn stands(&self, stream: &Stream, row: &Head) -> Kept<()> {
        self.place.holds(&self.conn)?;
        if self.alone {
            return Ok(());
        }
        let found = Connection::open_with_flags(&self.path, schema::FLAGS).and_then(|fresh| {
            fresh.busy_timeout(self.patience)?;
            rows::hash_of(&fresh, stream, row.count)
        });
        match found {
            Ok(Some(hash)) if hash == row.hash => Ok(()),
            Ok(_) => Err(StoreError::Gone(words::WAS_EMPTIED)),
            Err(error) if error::says_gone(&error, &self.path) => {
                Err(StoreError::Gone(words::WAS_EMPTIED))
            }
            // What the system could not do says nothing about the row.
            Err(error) => Err(StoreError::Unsure(error.to_string())),
        }
    }

    fn is_in_place(&self) -> bool {
        self.place.holds(&self.conn).is_ok()
    }

    fn known(&self, kind: &Stream, id: &str) -> Kept<Option<(Stream, String)>> {
        Ok(rows::known(&self.conn, kind, id)?)
    }

    fn ends(&self, stream: &Stream) -> Kept<Ends> {
        Ok(rows::ends(&self.conn, stream)?)
    }

    fn read(
        &self,
        stream: &Stream,
        after: u64,
        each: &mut dyn FnMut(RawRow) -> ControlFlow<()>,
    ) -> Kept<Option<RawHead>> {
        self.moment(|conn| {
            rows::read(conn, stream, after, each)?;
            Ok(rows::ends(conn, stream)?.head)
        })
    }

    fn streams(&self) -> Kept<Vec<Stream>> {
        Ok(rows::streams(&self.conn)?)
    }

    fn log(&self, after: u64, each: &mut dyn FnMut(LogRow) -> ControlFlow<()>) -> Kept<()> {
        Ok(rows::log(&self.conn, after, each)?)
    }

    fn last(&self) -> Kept<Option<LogRow>> {
        Ok(rows::last(&self.conn)?)
    }

    fn at_one_moment(&self, reads: &mut dyn FnMut() -> Kept<()>) -> Kept<()> {
        if !self.conn.is_autocommit() {
            return reads();
        }
        let _moment = self.conn.unchecked_transaction()?;
        reads()
    }

    fn revision(&self) -> Kept<u64> {
        let version = schema::number(&self.conn, "data_version")?;
        Ok(version.unsigned_abs())
    }

    fn work(
        &self,
        ask: &WorkAsk,
        now: &Freshness,
        each: &mut dyn FnMut(Listed) -> ControlFlow<()>,
    ) -> Kept<()> {
        Ok(work::list(&self.conn, ask, now, each)?)
    }

    fn place_of(&self, number: &str, ask: &WorkAsk) -> Kept<Option<usize>> {
        Ok(work::place_of(&self.conn, number, ask)?)
    }

    fn row_of(&self, number: &str, now: &Freshness) -> Kept<Option<Listed>> {
        Ok(work::row_of(&self.conn, number, now)?)
    }

    fn count(&self) -> Kept<(usize, usize)> {
        Ok(work::count(&self.conn)?)
    }

    fn count_first_and_late(&self, today: Date) -> Kept<(usize, usize)> {
        Ok(work::first_and_late(&self.conn, today)?)
    }

    fn count_stale(&self, now: &Freshness) -> Kept<usize> {
        Ok(work::count_stale(&self.conn, now)?)
    }

    fn stale(&self, now: &Freshness, most: usize) -> Kept<Vec<String>> {
        Ok(work::stale(&self.conn, now, most)?)
    }

    fn put_work(&mut self, rows: &[WorkRow]) -> Kept<Vec<String>> {
        if self.about.read_only {
            return Err(StoreError::ReadOnly);
        }
        let tx = self
            .conn
            .transaction_with_behavior(TransactionBehavior::Immediate)?;
        let mut kept = Vec::new();
        for row in rows {
            let stream = Stream::Case(row.number.clone());
            let head = rows::ends(&tx, &stream)?.head;
            if head.map(|head| head.count) == Some(row.entries) {
                work::keep(&tx, row)?;
                kept.push(row.number.clone());
            }
        }
        tx.commit()?;
        Ok(kept)
    }

    fn own_damage(&self) -> Kept<Vec<String>> {
        let mut statement = self.conn.prepare("PRAGMA integrity_check")?;
        let lines = statement.query_map([], |row| column::lossy(row, 0))?;
        let mut found: Vec<String> = self.lost.iter().cloned().collect();
        for line in lines {
            let line = line?;
            if line != "ok" {
                found.push(words::database_reports(&line));
            }
        }
        found.extend(shape::of(&self.conn)?.faults);
        Ok(found)
    }

    fn backup(&self, to: &Path) -> Result<(), ArchiveError> {
        file::backup(&self.conn, &self.path, to)
    }

    fn opener(&self) -> Opener {
        let (path, reads) = (self.path.clone(), self.about.read_only);
        Box::new(move || match reads {
            true => open_to_read(&path),
            false => open(&path, false),
        })
    }

    fn patience(&mut self, time: Duration) -> Kept<()> {
        self.patience = time;
        Ok(self.conn.busy_timeout(time)?)
    }
}

#[cfg(test)]
mod tests;
