//! A backup, put in the place of an archive.

use std::fs;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use jiff::civil::DateTime;
use rusqlite::Connection;
use tempfile::TempPath;

use super::super::ArchiveError;
use super::super::store::Store;
use super::place::ending;
use super::{Sqlite, file, reading, said, schema};

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
    /// Opens the copy as an archive of the newest schema, and takes over what its log holds when it is closed.
    pub(in super::super) fn open(&self) -> Result<Box<dyn Store>, ArchiveError> {
        Ok(Box::new(Sqlite::connect(&self.whole)?))
    }

    /// Moves the archive aside with all that belongs to it, and puts the copy in its place. Returns where it is.
    pub(in super::super) fn put_in_place(
        self,
        path: &Path,
        now: DateTime,
    ) -> Result<Option<PathBuf>, ArchiveError> {
        let io = |error: std::io::Error| ArchiveError::io(path, &error);
        // Held until the archive is out of the way, so that nobody opens it meanwhile.
        let alone = alone(path)?;
        let moved = set_aside(path, now).map_err(io)?;
        file::sync_directory(file::directory(path)).map_err(io)?;
        // SQLite sees that the file was moved, and leaves its log alone.
        drop(alone);
        file::put_in_place(self.whole, path)?;
        Ok(moved)
    }
}

/// Takes an archive for this process alone. One that is damaged beyond that nobody else can use either.
fn alone(path: &Path) -> Result<Option<Connection>, ArchiveError> {
    if !path.exists() {
        return Ok(None);
    }
    let in_use = || ArchiveError::InUse(path.to_path_buf());
    let conn = match schema::raw(path) {
        Ok(conn) => conn,
        Err(_) => return Ok(None),
    };
    let taken = conn
        .busy_timeout(std::time::Duration::ZERO)
        .and_then(|()| conn.pragma_update_and_check(None, "locking_mode", "EXCLUSIVE", |_| Ok(())))
        .and_then(|()| conn.execute_batch("BEGIN EXCLUSIVE; ROLLBACK"));
    match taken.map_err(|error| said(path, error)) {
        Ok(()) => Ok(Some(conn)),
        Err(ArchiveError::Busy(_)) => Err(in_use()),
        Err(ArchiveError::ReadOnly(path)) => Err(ArchiveError::ReadOnly(path)),
        Err(_) => Ok(None),
    }
}

/// Gives an archive and the files beside it another name, together: each has both names before the first loses its own.
fn set_aside(path: &Path, now: DateTime) -> std::io::Result<Option<PathBuf>> {
    let [log, index] = file::beside(path);
    let there: Vec<_> = [(path.to_path_buf(), ""), (log, "-wal"), (index, "-shm")]
        .into_iter()
        .filter(|(file, _)| fs::symlink_metadata(file).is_ok())
        .collect();
    if there.is_empty() {
        return Ok(None);
    }
    let stamp = now.strftime(".before-%Y-%m-%d-%H%M%S").to_string();
    let names = std::iter::once(stamp.clone()).chain((2..).map(|n| format!("{stamp}-{n}")));
    let free = names.map(|name| ending(path, &name)).find(|name| {
        ["", "-wal", "-shm"]
            .iter()
            .all(|end| fs::symlink_metadata(ending(name, end)).is_err())
    });
    let Some(aside) = free else {
        return Err(ErrorKind::AlreadyExists.into());
    };
    let linked = there
        .iter()
        .all(|(file, end)| fs::hard_link(file, ending(&aside, end)).is_ok());
    for (file, end) in &there {
        // The archive goes first: a log without an archive is refused, an archive without its log is not.
        match linked {
            true => fs::remove_file(file)?,
            false => fs::rename(file, ending(&aside, end))?,
        }
    }
    Ok(Some(aside))
}
