//! Whether the file that is open is still the one that others find in its place.
//!
//! A file that is renamed, deleted or replaced stays open for whoever has it open, and takes every answer without a word.

use std::cell::Cell;
use std::io::Read as _;
use std::path::{Path, PathBuf};

use rusqlite::Connection;

use super::super::store::{Kept, StoreError};
use crate::phrase::faults::archive as said;

/// The file and the two that SQLite keeps beside it, as they were when the archive was opened.
#[derive(Debug)]
pub(super) struct Place {
    file: Option<PathBuf>,
    /// How long the file was when it was last looked at. It grows: nothing is ever removed from it.
    least: Cell<u64>,
    beside: Vec<(PathBuf, Inode)>,
}

/// The device and the number of a file on it.
#[cfg(unix)]
type Inode = (u64, u64);
#[cfg(not(unix))]
type Inode = ();

impl Place {
    /// Looks at the files of a database that has been read from, so that all of them are there.
    ///
    /// `alone` is for a database that no other can open, and for one without files beside it.
    pub(super) fn of(path: &Path, alone: bool) -> Place {
        // SQLite follows links, and puts its files beside the file that they lead to.
        let real = super::file::real(path);
        let names = if alone { &[][..] } else { &["-wal", "-shm"] };
        let files = names.iter().map(|end| ending(&real, end));
        Place {
            beside: files
                .filter_map(|file| Some((inode(&file)?, file)))
                .map(|(inode, file)| (file, inode))
                .collect(),
            least: Cell::new(if alone { 0 } else { length(&real) }),
            file: (!alone).then_some(real),
        }
    }

    /// Checks that the files are where they were.
    ///
    /// # Errors
    /// They are not.
    pub(super) fn holds(&self, conn: &Connection) -> Kept<()> {
        if has_moved(conn) {
            self.part_from_successor();
            return Err(StoreError::Gone(said::WAS_MOVED));
        }
        // Whoever opens an empty database throws its log away, and the last answers with it.
        if let Some(file) = &self.file {
            let now = length(file);
            if now == 0 || now < self.least.get() {
                return Err(StoreError::Gone(said::WAS_EMPTIED));
            }
            self.least.set(now);
        }
        if self.beside.iter().any(|(file, _)| is_no_log(file)) {
            return Err(StoreError::Gone(said::LOST_ITS_LOG));
        }
        let same = |(file, was): &(PathBuf, Inode)| inode(file).as_ref() == Some(was);
        match self.beside.iter().all(same) {
            true => Ok(()),
            false => Err(StoreError::Gone(said::LOST_ITS_LOG)),
        }
    }
}

impl Place {
    /// Takes this archive's log out of the way of another archive that lies in its place now: whoever opens that one would read
    /// the log into it, and ruin both. Where nothing lies there, the log stays where the archive can come back to it.
    fn part_from_successor(&self) {
        if !self.file.as_ref().is_some_and(|file| file.exists()) {
            return;
        }
        for (own, was) in &self.beside {
            if inode(own).as_ref() != Some(was) {
                continue;
            }
            let mut free = names(own, ".of-the-one-before").filter(|name| !name.exists());
            if let Some(name) = free.next() {
                // Where it cannot be done, what lies there is as it was.
                let _ = std::fs::rename(own, name);
            }
        }
    }
}

fn length(file: &Path) -> u64 {
    std::fs::metadata(file).map_or(0, |about| about.len())
}

/// How a log begins (sqlite.org/fileformat2.html, 4.1: by the order of bytes in its checksums).
const LOG: [[u8; 4]; 2] = [[0x37, 0x7f, 0x06, 0x82], [0x37, 0x7f, 0x06, 0x83]];

/// Returns whether a log was emptied or written over in its place: SQLite goes on behind what it has read, and leaves the
/// beginning as it is. A log without anything in it is one.
///
/// Nobody holds a lock on this file, so that opening and closing it takes none from anybody.
fn is_no_log(file: &Path) -> bool {
    if !file.to_string_lossy().ends_with("-wal") {
        return false;
    }
    let mut begins = [0; 4];
    let read = std::fs::File::open(file).and_then(|mut log| log.read_exact(&mut begins));
    read.is_ok() && !LOG.contains(&begins)
}

/// Returns a path with something after its name.
pub(super) fn ending(path: &Path, end: &str) -> PathBuf {
    let mut name = path.as_os_str().to_os_string();
    name.push(end);
    PathBuf::from(name)
}

/// Returns names for a copy beside an archive: the first, and further ones where that is another file's.
pub(super) fn names(path: &Path, end: &str) -> impl Iterator<Item = PathBuf> {
    let first = ending(path, end);
    let further = first.clone();
    std::iter::once(first).chain((2_u32..).map(move |n| ending(&further, &format!(".{n}"))))
}

#[cfg(unix)]
fn has_moved(conn: &Connection) -> bool {
    let mut moved = 0;
    let asked = conn.file_control(None::<&str>, rusqlite::FileControl::HasMoved(&mut moved));
    asked.is_ok() && moved != 0
}

#[cfg(not(unix))]
fn has_moved(_conn: &Connection) -> bool {
    false
}

#[cfg(unix)]
fn inode(file: &Path) -> Option<Inode> {
    use std::os::unix::fs::MetadataExt as _;
    let about = std::fs::metadata(file).ok()?;
    Some((about.dev(), about.ino()))
}

#[cfg(not(unix))]
fn inode(file: &Path) -> Option<Inode> {
    std::fs::metadata(file).ok().map(|_| ())
}
