//! The file around the database: what is refused, how it is made, how it is copied.
//!
//! A database that may be open is looked at with `stat` and with SQLite only. POSIX drops all of a process's locks on
//! a file when the process closes any descriptor of it, so a plain open and close here would take the locks from
//! under another handle.

use std::fs::{self, File};
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

use rusqlite::Connection;
use rusqlite::backup::{Backup, StepResult};
use tempfile::TempPath;

use super::{ArchiveError, schema};
use crate::phrase::faults::archive as said;

/// The smallest page, and with it the smallest database, that there is, in bytes (sqlite.org/fileformat.html, 1.3.2).
const SMALLEST: u64 = 512;

/// Returns an absolute path: SQLite reads relative ones that begin with `file:` or `:memory:` in ways of its own.
pub(super) fn absolute(path: &Path) -> Result<PathBuf, ArchiveError> {
    std::path::absolute(path).map_err(|error| ArchiveError::io(path, &error))
}

/// Returns whether something is there that may be an archive.
///
/// # Errors
/// Something is there that cannot be one, or it cannot be told.
pub(super) fn is_there(path: &Path) -> Result<bool, ArchiveError> {
    let about = match fs::metadata(path) {
        Ok(about) => about,
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(false),
        Err(error) if error.kind() == ErrorKind::NotADirectory => {
            return Err(ArchiveError::cannot_make(path, &error));
        }
        Err(error) if error.kind() == ErrorKind::PermissionDenied => {
            return Err(ArchiveError::ReadOnly(path.to_path_buf()));
        }
        Err(error) => return Err(ArchiveError::io(path, &error)),
    };
    let not_a_file = |what| ArchiveError::NotAFile {
        path: path.to_path_buf(),
        what,
    };
    if about.is_dir() {
        Err(not_a_file(said::A_FOLDER))
    } else if !about.is_file() {
        Err(not_a_file(said::A_DEVICE))
    } else if about.len() == 0 {
        Err(ArchiveError::EmptyFile(path.to_path_buf()))
    } else if about.len() < SMALLEST {
        // SQLite would take it for an empty database.
        Err(ArchiveError::NotADatabase(path.to_path_buf()))
    } else {
        Ok(true)
    }
}

/// Makes an archive where there is none. It is made whole under another name and then given its own, so that no other
/// process sees half of one.
pub(super) fn create(path: &Path) -> Result<(), ArchiveError> {
    let directory = directory(path);
    let made =
        make_directories(directory).map_err(|error| ArchiveError::cannot_make(path, &error))?;
    let temporary = temporary(path)?;
    {
        let mut conn = schema::raw(&temporary)?;
        conn.pragma_update(None, "application_id", schema::APPLICATION_ID)
            .map_err(|error| ArchiveError::from_sql(path, &error))?;
        schema::settle(&conn, path)?;
        schema::migrate(&mut conn, path, schema::STEPS)?;
        close(conn, path)?;
    }
    match put_in_place(temporary, path) {
        // Another process was faster; its archive is as good.
        Err(ArchiveError::TargetExists(_)) => {}
        other => other?,
    }
    for directory in made {
        sync_directory(&directory).map_err(|error| ArchiveError::io(path, &error))?;
    }
    Ok(())
}

/// Copies a database to a file that does not exist, while others write.
pub(super) fn backup(from: &Connection, path: &Path, to: &Path) -> Result<(), ArchiveError> {
    if fs::symlink_metadata(to).is_ok() {
        return Err(ArchiveError::TargetExists(to.to_path_buf()));
    }
    let temporary = temporary(to)?;
    let mut copy = schema::raw(&temporary)?;
    {
        let backup =
            Backup::new(from, &mut copy).map_err(|error| ArchiveError::from_sql(to, &error))?;
        // All pages in one step: one snapshot, which writers do not wait for and cannot make begin anew.
        match backup.step(-1) {
            Ok(StepResult::Done) => {}
            Ok(_) => return Err(ArchiveError::Busy(path.to_path_buf())),
            Err(error) => return Err(ArchiveError::from_sql(to, &error)),
        }
    }
    close(copy, to)?;
    put_in_place(temporary, to)
}

fn close(conn: Connection, path: &Path) -> Result<(), ArchiveError> {
    conn.close()
        .map_err(|(_, error)| ArchiveError::from_sql(path, &error))
}

/// Makes an empty file beside another one, under the permissions that the user's new files have.
fn temporary(beside: &Path) -> Result<TempPath, ArchiveError> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".casepan-");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    builder
        .tempfile_in(directory(beside))
        // The descriptor is closed before SQLite opens the file; see above.
        .map(tempfile::NamedTempFile::into_temp_path)
        .map_err(|error| ArchiveError::cannot_make(beside, &error))
}

fn put_in_place(temporary: TempPath, path: &Path) -> Result<(), ArchiveError> {
    File::options()
        .write(true)
        .open(&temporary)
        .and_then(|file| file.sync_all())
        .map_err(|error| ArchiveError::io(path, &error))?;
    temporary.persist_noclobber(path).map_err(|error| {
        if error.error.kind() == ErrorKind::AlreadyExists {
            ArchiveError::TargetExists(path.to_path_buf())
        } else {
            ArchiveError::cannot_make(path, &error.error)
        }
    })?;
    sync_directory(directory(path)).map_err(|error| ArchiveError::io(path, &error))
}

fn directory(path: &Path) -> &Path {
    path.parent().unwrap_or(path)
}

/// Makes a directory and those above it; returns the directories that got a new name in them.
fn make_directories(directory: &Path) -> io::Result<Vec<PathBuf>> {
    let missing = directory
        .ancestors()
        .take_while(|above| !above.exists())
        .filter_map(Path::parent)
        .map(Path::to_path_buf)
        .collect();
    fs::create_dir_all(directory)?;
    Ok(missing)
}

/// Makes the names in a directory last over a power cut.
#[cfg(unix)]
fn sync_directory(directory: &Path) -> io::Result<()> {
    match File::open(directory)?.sync_all() {
        // Some file systems have no such thing.
        Err(error)
            if matches!(
                error.kind(),
                ErrorKind::InvalidInput | ErrorKind::Unsupported
            ) =>
        {
            Ok(())
        }
        result => result,
    }
}

#[cfg(not(unix))]
fn sync_directory(_directory: &Path) -> io::Result<()> {
    Ok(())
}
