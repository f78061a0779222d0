//! An archive that cannot be written to, opened all the same.

use std::fs::{self, File};
use std::io::Read as _;
use std::path::Path;
use std::time::SystemTime;

use rusqlite::{Connection, OpenFlags};
use tempfile::TempDir;

use super::super::ArchiveError;
use super::place::ending;
use super::{file, said, schema};

/// How much of a file is compared at once, in bytes.
const AT_ONCE: u64 = 1 << 20;

/// Opens an archive without writing to it or beside it. Where that cannot be, it is a copy in a directory of its own.
pub(super) fn connect(path: &Path) -> Result<(Connection, Option<TempDir>), ArchiveError> {
    // What cannot be opened so is copied, which says why it cannot be read.
    if let Ok(conn) = in_place(path) {
        schema::is_ours(&conn, path)?;
        // Without a look at the log the newest answers would be missing; and only the newest schema is read in its place.
        let newest = schema::is_newest(&conn).map_err(|error| said(path, error))?;
        if newest && !file::beside(path)[0].exists() {
            return Ok((conn, None));
        }
    }
    let directory = tempfile::tempdir().map_err(|error| ArchiveError::cannot_make(path, &error))?;
    let copy = directory.path().join("archive");
    copy_with_log(path, &copy)?;
    let (conn, _) = schema::connect(&copy)?;
    Ok((conn, Some(directory)))
}

/// Opens a file that nobody writes to. SQLite makes no file beside it then, and takes no lock.
pub(super) fn in_place(path: &Path) -> Result<Connection, ArchiveError> {
    let mut name = String::from("file:");
    for byte in path.as_os_str().as_encoded_bytes() {
        match byte {
            b'/' | b'.' | b'-' | b'_' => name.push(char::from(*byte)),
            byte if byte.is_ascii_alphanumeric() => name.push(char::from(*byte)),
            byte => name.push_str(&format!("%{byte:02x}")),
        }
    }
    name.push_str("?immutable=1");
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY
        | OpenFlags::SQLITE_OPEN_NO_MUTEX
        | OpenFlags::SQLITE_OPEN_URI;
    let conn = Connection::open_with_flags(name, flags).map_err(|error| said(path, error))?;
    conn.execute_batch("PRAGMA trusted_schema = OFF")
        .map_err(|error| said(path, error))?;
    Ok(conn)
}

/// Copies an archive and the log beside it, as they were at one moment.
pub(super) fn copy_with_log(path: &Path, to: &Path) -> Result<(), ArchiveError> {
    let io = |error| ArchiveError::unreadable(path, &error);
    let [log, _] = file::beside(path);
    for _ in 0..10 {
        let before = (stamp(path), stamp(&log));
        copy(path, to).map_err(io)?;
        let own = ending(to, "-wal");
        match before.1 {
            Some(_) => copy(&log, &own).map_err(io)?,
            None => drop(fs::remove_file(&own)),
        }
        if (stamp(path), stamp(&log)) == before {
            return Ok(());
        }
    }
    Err(ArchiveError::Busy(path.to_path_buf()))
}

/// Copies what a file holds, not its permissions.
pub(super) fn copy(from: &Path, to: &Path) -> std::io::Result<()> {
    let mut options = File::options();
    options.write(true).create(true).truncate(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    let mut source = File::open(from)?;
    std::io::copy(&mut source, &mut options.open(to)?)?;
    Ok(())
}

/// Returns whether two files hold the same bytes.
pub(super) fn is_same(one: &Path, other: &Path) -> bool {
    let same = || -> std::io::Result<bool> {
        let (mut one, mut other) = (File::open(one)?, File::open(other)?);
        let length = one.metadata()?.len();
        if !other.metadata()?.is_file() || other.metadata()?.len() != length {
            return Ok(false);
        }
        let (mut left, mut right) = (Vec::new(), Vec::new());
        loop {
            left.clear();
            right.clear();
            (&mut one).take(AT_ONCE).read_to_end(&mut left)?;
            (&mut other).take(AT_ONCE).read_to_end(&mut right)?;
            if left != right || left.is_empty() {
                return Ok(left == right);
            }
        }
    };
    // What cannot be read is taken for another.
    same().unwrap_or(false)
}

fn stamp(path: &Path) -> Option<(u64, SystemTime)> {
    let about = fs::metadata(path).ok()?;
    Some((about.len(), about.modified().ok()?))
}
