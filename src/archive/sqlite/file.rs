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

use super::super::ArchiveError;
use super::place::ending;
use super::{reading, said, schema};
use crate::phrase::faults::archive as words;

/// The smallest page, and with it the smallest database, that there is, in bytes (sqlite.org/fileformat.html, 1.3.2).
const SMALLEST: u64 = 512;

/// Returns an absolute path: SQLite reads relative ones that begin with `file:` or `:memory:` in ways of its own.
pub(in super::super) fn absolute(path: &Path) -> Result<PathBuf, ArchiveError> {
    std::path::absolute(path).map_err(|error| ArchiveError::io(path, &error))
}

/// Returns where a path leads, following links; the path itself where nothing is there yet.
pub(in super::super) fn real(path: &Path) -> PathBuf {
    fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf())
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
        Err(not_a_file(words::A_FOLDER))
    } else if !about.is_file() {
        Err(not_a_file(words::A_DEVICE))
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
    // A log without its archive would be taken for the new one's, and spoil it.
    // Where another process was faster, it is that one's.
    if beside(path).iter().any(|file| file.exists()) && !is_there(path)? {
        return Err(ArchiveError::LeftBehind(path.to_path_buf()));
    }
    let directory = directory(path);
    let made =
        make_directories(directory).map_err(|error| ArchiveError::cannot_make(path, &error))?;
    let temporary = temporary(path)?;
    {
        let mut conn = schema::raw(&temporary)?;
        conn.pragma_update(None, "application_id", schema::APPLICATION_ID)
            .map_err(|error| said(path, error))?;
        schema::settle(&conn, path)?;
        // It is flushed whole before it gets its name; until then nothing of it has to last.
        conn.pragma_update(None, "synchronous", "OFF")
            .map_err(|error| said(path, error))?;
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
    put_in_place(copied(from, path, to)?, to)
}

/// Keeps a copy of a database of a schema beside it, unless that very copy is there.
pub(super) fn keep_as_it_was(from: &Connection, path: &Path, was: i64) -> Result<(), ArchiveError> {
    for to in super::place::names(path, &format!(".schema-{was}")) {
        let copy = copied(from, path, &to)?;
        // Another process may have kept one, and brought the archive to a newer schema since.
        let schema = reading::in_place(&copy)
            .and_then(|conn| schema::number(&conn, "user_version").map_err(|e| said(&to, e)))?;
        if schema != was || reading::is_same(&copy, &to) {
            return Ok(());
        }
        match put_in_place(copy, &to) {
            // Of another archive, or of a day when this one was put back.
            Err(ArchiveError::TargetExists(_)) => {}
            other => return other,
        }
    }
    Ok(())
}

/// Copies a database to a new file beside where the copy is to be.
fn copied(from: &Connection, path: &Path, to: &Path) -> Result<TempPath, ArchiveError> {
    let temporary = temporary(to)?;
    let mut copy = schema::raw(&temporary)?;
    {
        let backup = Backup::new(from, &mut copy).map_err(|error| said(to, error))?;
        // All pages in one step: one snapshot, which writers do not wait for and cannot make begin anew.
        match backup.step(-1) {
            Ok(StepResult::Done) => {}
            Ok(_) => return Err(ArchiveError::Busy(path.to_path_buf())),
            Err(error) => return Err(said(to, error)),
        }
    }
    close(copy, to)?;
    Ok(temporary)
}

/// The files that SQLite keeps beside an archive.
pub(super) fn beside(path: &Path) -> [PathBuf; 2] {
    // SQLite follows links, and puts its files beside the file that they lead to.
    let real = real(path);
    ["-wal", "-shm"].map(|end| ending(&real, end))
}

pub(super) fn close(conn: Connection, path: &Path) -> Result<(), ArchiveError> {
    conn.close().map_err(|(_, error)| said(path, error))
}

/// What the names of files that are not whole yet begin with; the number of the process follows.
const UNFINISHED: &str = ".casepan-";

/// Makes an empty file beside another one, for this user alone. Those that processes left behind that are no more go.
pub(super) fn temporary(beside: &Path) -> Result<TempPath, ArchiveError> {
    let directory = directory(beside);
    sweep(directory);
    tempfile::Builder::new()
        .prefix(&format!("{UNFINISHED}{}-", std::process::id()))
        .tempfile_in(directory)
        // The descriptor is closed before SQLite opens the file; see above.
        .map(tempfile::NamedTempFile::into_temp_path)
        .map_err(|error| ArchiveError::cannot_make(beside, &error))
}

/// Removes what was left unfinished by processes that are no more.
fn sweep(directory: &Path) {
    // Where processes cannot be looked up nobody knows whether one is at work.
    if !Path::new("/proc/self").exists() {
        return;
    }
    for file in fs::read_dir(directory).into_iter().flatten().flatten() {
        let name = file.file_name();
        let process = name
            .to_str()
            .and_then(|name| name.strip_prefix(UNFINISHED))
            .and_then(|rest| rest.split_once('-'))
            .and_then(|(process, _)| process.parse::<u32>().ok());
        if process.is_some_and(|process| !Path::new(&format!("/proc/{process}")).exists()) {
            // What cannot be removed stays for the next one.
            let _ = fs::remove_file(file.path());
        }
    }
}

/// Takes away what others may do with an archive, unless it lies in a folder that a group shares: then theirs alone.
/// Where somebody else owns it, it is theirs to do.
#[cfg(unix)]
pub(super) fn tighten(path: &Path) {
    use std::os::unix::fs::PermissionsExt as _;
    let mode = |path: &Path| fs::metadata(path).map(|about| about.permissions().mode() & 0o777);
    let shared = mode(directory(path)).is_ok_and(|mode| mode & 0o020 != 0);
    let may = if shared { 0o770 } else { 0o700 };
    for file in beside(path).iter().map(PathBuf::as_path).chain([path]) {
        if let Ok(now) = mode(file)
            && now & !may != 0
        {
            let _ = fs::set_permissions(file, fs::Permissions::from_mode(now & may));
        }
    }
}

#[cfg(not(unix))]
pub(super) fn tighten(_path: &Path) {}

pub(super) fn put_in_place(temporary: TempPath, path: &Path) -> Result<(), ArchiveError> {
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

pub(super) fn directory(path: &Path) -> &Path {
    path.parent().unwrap_or(path)
}

/// Makes a directory and those above it, for this user alone; returns the directories that got a new name in them.
pub(in super::super) fn make_directories(directory: &Path) -> io::Result<Vec<PathBuf>> {
    let missing = directory
        .ancestors()
        .take_while(|above| !above.exists())
        .filter_map(Path::parent)
        .map(Path::to_path_buf)
        .collect();
    let mut builder = fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(directory)?;
    Ok(missing)
}

/// Makes the names in a directory last over a power cut.
#[cfg(unix)]
pub(super) fn sync_directory(directory: &Path) -> io::Result<()> {
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
pub(super) fn sync_directory(_directory: &Path) -> io::Result<()> {
    Ok(())
}
