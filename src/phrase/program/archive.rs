//! The archive on the command line.

use std::fmt::Display;
use std::path::Path;

/// Said of an archive without damage.
pub fn no_damage(archive: &Path) -> String {
    format!("{}: no damage", archive.display())
}

/// Said of a damaged archive.
pub fn damaged(archive: &Path, places: usize) -> String {
    let s = if places == 1 { "" } else { "s" };
    format!("{}: damage in {places} place{s}", archive.display())
}

/// What to do with a damaged archive.
pub const DAMAGED_HINT: &str =
    "restore a backup (`casepan archive restore FILE`), or export the cases that can still be read";

/// Said of the cases of a damaged archive: how many can be read, and which cannot.
pub fn still_read(whole: usize, broken: &[String]) -> String {
    let s = if whole == 1 { "" } else { "s" };
    let can = format!("{whole} case{s} can be read whole");
    match broken {
        [] => can,
        _ => format!("{can}; not: {}", broken.join(", ")),
    }
}

/// Said of a backup that is now the archive.
pub fn restored(archive: &Path, cases: usize) -> String {
    let s = if cases == 1 { "" } else { "s" };
    format!("{}: restored, {cases} case{s}", archive.display())
}

/// Said of the archive that was there before; nothing of it is lost.
pub fn moved_aside(aside: &Path) -> String {
    format!("what was there before is now {}", aside.display())
}

/// Said on opening, of what a person should know of the archive.
pub fn note(note: &str) -> String {
    format!("casepan: {note}")
}

/// Said of a copy that was written.
pub fn written(to: &Path) -> String {
    format!("written: {}", to.display())
}

/// Said of a case that cannot be exported.
pub fn cannot_be_written(error: &dyn Display) -> String {
    format!("the case cannot be written: {error}")
}

/// Said of a case that was imported.
pub fn imported(number: &str) -> String {
    format!("case {number} is on the worklist")
}
