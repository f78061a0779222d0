//! A backup, put in the place of an archive.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

use jiff::civil::DateTime;
use rusqlite::Connection;
use tempfile::TempPath;

use super::super::ArchiveError;
use super::super::store::Store;
use super::column::count;
use super::place::ending;
use super::{Sqlite, file, reading, said, schema};
use crate::phrase::faults::archive as words;

/// A copy of a backup, beside the archive that it is to replace.
pub(in super::super) struct Draft {
    whole: TempPath,
    _beside: Litter,
}

/// Files that opening the copy leaves beside it; they go with it.
struct Litter(Vec<PathBuf>);

impl Drop for Litter {
    fn drop(&mut self) {
        for file in &self.0 {
            // Mostly it is not there.
            let _ = fs::remove_file(file);
        }
    }
}

/// Copies a backup to beside an archive.
///
/// # Errors
/// The backup is missing, is the archive itself, or cannot be copied there.
pub(in super::super) fn draft(backup: &Path, path: &Path) -> Result<Draft, ArchiveError> {
    if !file::is_there(backup)? {
        return Err(ArchiveError::Missing(backup.to_path_buf()));
    }
    let real = |path: &Path| fs::canonicalize(path).ok();
    if real(backup).is_some_and(|backup| real(path) == Some(backup)) {
        return Err(ArchiveError::BackupIsArchive(backup.to_path_buf()));
    }
    file::make_directories(file::directory(path))
        .map_err(|error| ArchiveError::cannot_make(path, &error))?;
    let whole = file::temporary(path)?;
    let earlier = (1..schema::STEPS.len()).map(|schema| format!(".schema-{schema}"));
    let ends = ["-wal", "-shm", "-journal", ".damaged-log"].map(str::to_owned);
    let beside = ends.into_iter().chain(earlier);
    let _beside = Litter(beside.map(|end| ending(&whole, &end)).collect());
    reading::copy_with_log(backup, &whole)?;
    Ok(Draft { whole, _beside })
}

impl Draft {
    /// Opens the copy as an archive of the newest schema.
    pub(in super::super) fn open(&self) -> Result<Box<dyn Store>, ArchiveError> {
        Ok(Box::new(Sqlite::connect(&self.whole)?))
    }

    /// Moves the archive aside with all that belongs to it, and puts the copy in its place. Returns where it is, and how
    /// many cases it has, where both are known.
    pub(in super::super) fn put_in_place(
        self,
        path: &Path,
        now: DateTime,
    ) -> Result<(Option<PathBuf>, Option<usize>), ArchiveError> {
        self.take_over_log(path)?;
        replace(self.whole, path, now)
    }

    /// Takes over what the copy's log still holds: the copy alone is put in place, and closing says nothing of a failure.
    fn take_over_log(&self, path: &Path) -> Result<(), ArchiveError> {
        let sql = |error| said(path, error);
        let conn = schema::raw(&self.whole)?;
        // Nobody else knows of the copy, so that there is nobody to wait for.
        conn.busy_timeout(Duration::ZERO).map_err(sql)?;
        let busy: i64 = conn
            .query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |row| row.get(0))
            .map_err(sql)?;
        file::close(conn, path)?;
        let left = fs::metadata(ending(&self.whole, "-wal")).is_ok_and(|log| log.len() > 0);
        if busy != 0 || left {
            return Err(ArchiveError::Io {
                path: path.to_path_buf(),
                why: words::LOG_STAYS.to_owned(),
            });
        }
        Ok(())
    }
}

/// Puts a whole copy in the place of an archive, and that one aside. Where it cannot be put there, the archive is taken back.
pub(super) fn replace(
    whole: TempPath,
    path: &Path,
    now: DateTime,
) -> Result<(Option<PathBuf>, Option<usize>), ArchiveError> {
    // Held until the archive is out of the way, so that nobody opens it meanwhile.
    let alone = alone(path)?;
    // While nobody else can change it, and as it is: opening it would bring it to the newest schema first.
    let had = alone.as_ref().and_then(|conn| cases(conn, path));
    let Some(aside) = free_name(path, now) else {
        file::put_in_place(whole, path)?;
        return Ok((None, None));
    };
    let io = |error: std::io::Error| ArchiveError::io(path, &error);
    let moved = rename(path, &aside, PARTS)
        .and_then(|()| file::sync_directory(file::directory(path)))
        .map_err(io);
    // SQLite sees that the file was moved, and leaves its log alone.
    drop(alone);
    match moved.and_then(|()| file::put_in_place(whole, path)) {
        Ok(()) => Ok((Some(aside), had)),
        Err(error) => Err(take_back(path, &aside, error)),
    }
}

/// Takes an archive for this process alone. One that is damaged beyond that nobody else can use either.
fn alone(path: &Path) -> Result<Option<Connection>, ArchiveError> {
    if !path.exists() {
        return Ok(None);
    }
    let taken = schema::raw(path).and_then(|conn| {
        conn.busy_timeout(Duration::ZERO)
            .and_then(|()| {
                conn.pragma_update_and_check(None, "locking_mode", "EXCLUSIVE", |_| Ok(()))
            })
            .and_then(|()| conn.execute_batch("BEGIN EXCLUSIVE; ROLLBACK"))
            .map_err(|error| said(path, error))?;
        Ok(conn)
    });
    match taken {
        Ok(conn) => Ok(Some(conn)),
        Err(ArchiveError::Busy(path)) => Err(ArchiveError::InUse(path)),
        Err(ArchiveError::NotADatabase(_) | ArchiveError::Corrupt { .. }) => Ok(None),
        // Whoever could not look does not know whether others have it open.
        Err(error) => Err(error),
    }
}

/// Counts the cases of an archive of any schema, where it can be read.
fn cases(conn: &Connection, path: &Path) -> Option<usize> {
    schema::is_ours(conn, path).ok()?;
    let count = conn.query_row("SELECT COUNT(*) FROM head", [], |row| count(row, 0));
    count.ok()?.try_into().ok()
}

/// What the names of an archive and of the files beside it end in.
const PARTS: [&str; 3] = ["", "-wal", "-shm"];

fn is_there(file: &Path) -> bool {
    fs::symlink_metadata(file).is_ok()
}

fn nothing_at(path: &Path) -> bool {
    PARTS.iter().all(|end| !is_there(&ending(path, end)))
}

/// Returns a name for what is at a path, or `None` if nothing is.
fn free_name(path: &Path, now: DateTime) -> Option<PathBuf> {
    if nothing_at(path) {
        return None;
    }
    let stamp = now.strftime(".before-%Y-%m-%d-%H%M%S").to_string();
    let names = std::iter::once(stamp.clone()).chain((2..).map(|n| format!("{stamp}-{n}")));
    names
        .map(|name| ending(path, &name))
        .find(|name| nothing_at(name))
}

/// Gives an archive and the files beside it another name, together: each has both names before the first loses its own.
fn rename(from: &Path, to: &Path, parts: [&str; 3]) -> std::io::Result<()> {
    let there: Vec<_> = parts
        .iter()
        .map(|end| (ending(from, end), ending(to, end)))
        .filter(|(old, _)| is_there(old))
        .collect();
    let mut linked = Vec::new();
    for (old, new) in &there {
        if fs::hard_link(old, new).is_err() {
            break;
        }
        linked.push(new);
    }
    if linked.len() == there.len() {
        // The archive goes first: a log without an archive is refused, an archive without its log is not.
        return there.iter().try_for_each(|(old, _)| fs::remove_file(old));
    }
    // To rename a file to a name that it has already changes nothing.
    linked.into_iter().try_for_each(fs::remove_file)?;
    there.iter().try_for_each(|(old, new)| fs::rename(old, new))
}

/// Takes an archive back to its place after an error. Where that cannot be, the error says where it is.
pub(super) fn take_back(path: &Path, aside: &Path, error: ArchiveError) -> ArchiveError {
    if nothing_at(aside) {
        return error;
    }
    // The log comes first: whoever looks meanwhile finds no archive without it.
    let [own, log, index] = PARTS;
    if nothing_at(path) && rename(aside, path, [log, index, own]).is_ok() {
        return error;
    }
    ArchiveError::LeftAside {
        aside: aside.to_path_buf(),
        why: error.to_string(),
    }
}
