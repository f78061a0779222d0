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
pub const DAMAGED_HINT: &str = "restore a backup, or export the cases that can still be read";

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
