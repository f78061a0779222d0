//! The archive on the command line.

use crate::text::shown;
use std::fmt::Display;
use std::path::Path;

/// Said of an archive without damage.
pub fn no_damage(archive: &Path) -> String {
    format!("{}: no damage", shown(archive))
}

/// Said of a damaged archive.
pub fn damaged(archive: &Path, places: usize) -> String {
    let s = if places == 1 { "" } else { "s" };
    format!("{}: damage in {places} place{s}", shown(archive))
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
    format!("{}: restored, {cases} case{s}", shown(archive))
}

/// Said of the archive that was there before; nothing of it is lost.
pub fn moved_aside(aside: &Path) -> String {
    format!("what was there before is now {}", shown(aside))
}

/// Says how many cases the archive had that was there before.
pub fn had_before(count: usize) -> String {
    format!(
        "it has {}; what was entered after the backup is in it alone",
        cases(count)
    )
}

/// Said on opening, of what a person should know of the archive.
pub fn note(note: &str) -> String {
    format!("casepan: {note}")
}

/// Said of a copy that was written.
pub fn written(to: &Path) -> String {
    format!("written: {}", shown(to))
}

/// Said of a case that cannot be exported.
pub fn cannot_be_written(error: &dyn Display) -> String {
    format!("the case cannot be written: {error}")
}

/// Said of a case that was imported.
pub fn imported(number: &str) -> String {
    format!("case {number} is on the worklist")
}

/// Said of a case whose units two people changed differently: a case file can hold one of both.
pub const UNITS_IN_DISPUTE: &str = "two people changed the units of this case differently";

/// What to do about it.
pub const UNITS_IN_DISPUTE_HINT: &str =
    "open the case and enter the right units; `archive export --to` writes the case as it is";

/// Said where neither a case nor a folder is named.
pub const WHAT_TO_EXPORT: &str = "name a case, or a folder for the whole archive";

/// How the whole archive is exported.
pub const WHAT_TO_EXPORT_HINT: &str = "the whole archive: casepan archive export --to FOLDER";

/// Said of a folder with something in it.
pub fn folder_in_use(folder: &Path) -> String {
    format!("{} is not empty", shown(folder))
}

/// What to do about a folder with something in it.
pub const FOLDER_IN_USE_HINT: &str = "choose a new folder; nothing is written over";

/// Said of a file that is there already.
pub fn is_there(file: &Path) -> String {
    format!("{} is there already", shown(file))
}

/// Says that the files of a flow are not in the archive.
pub fn flow_missing(digest: &str) -> String {
    format!("the archive does not have flow {digest}, with which cases were opened")
}

fn cases(count: usize) -> String {
    match count {
        1 => "1 case".to_owned(),
        count => format!("{count} cases"),
    }
}

/// Says how much of a case is missing at its end.
pub fn has_lost(number: &str, has: usize, had: u64) -> String {
    match has {
        0 => format!("case {number} is gone: it had {had} entries"),
        has => format!("case {number} has {has} entries; it had {had}"),
    }
}

/// Says what was exported.
pub fn exported(count: usize, folder: &Path) -> String {
    format!("{} written into {}", cases(count), shown(folder))
}

/// Said of an export without free text.
pub const WITHOUT_FREE_TEXT: &str = "without free text: the dentist's words (in standing instructions too), costs, invoice items, notes and names of files are left out; --free-text includes them";

/// Says that not everything could be exported.
pub fn not_exported(count: usize) -> String {
    match count {
        1 => "1 item could not be read and is not in the folder".to_owned(),
        count => format!("{count} items could not be read and are not in the folder"),
    }
}

/// Says what was imported, and what was there already.
pub fn taken_in(new: usize, there: usize) -> String {
    match there {
        0 => format!("{} imported", cases(new)),
        there => format!("{} imported, {there} already here", cases(new)),
    }
}

/// Says of how many cases the free text was left out when they were exported.
pub fn came_bare(count: usize) -> String {
    format!("{} came without free text", cases(count))
}

/// Says that not everything was imported.
pub fn refused(count: usize) -> String {
    match count {
        1 => "1 item was not imported".to_owned(),
        count => format!("{count} items were not imported"),
    }
}

/// Said of a folder that was not written by an export.
pub fn not_a_folder_of_ours(folder: &Path) -> String {
    format!("{} holds no exported archive", shown(folder))
}

/// What folder is meant.
pub const NOT_A_FOLDER_OF_OURS_HINT: &str =
    "name the folder that `archive export --to` wrote; cases and flows lie in it";

/// Said once an archive that is not what this computer saw is taken as it is.
pub const TAKEN_AS_IT_IS: &str = "from now on this archive is taken as it is";

/// What to do if nothing is missing that was not meant to be.
pub const PUT_BACK_HINT: &str = "if it was put back on purpose, on this computer or another, `casepan archive check --accept` takes it as it is";

/// Said of a whole archive that was named where a case or an export belongs.
pub fn is_an_archive(path: &Path) -> String {
    format!(
        "{} is an archive or a backup of one, not a case",
        shown(path)
    )
}

/// What to do with it.
pub const IS_AN_ARCHIVE_HINT: &str = "`casepan archive restore FILE` puts a backup back; `casepan --archive FILE archive export --to FOLDER` writes its cases into a folder, which can be imported";

/// Said of something that is no file.
pub fn not_a_file(path: &Path) -> String {
    format!("{} is not a file", shown(path))
}

/// Said of a file that is too long to be one of ours.
pub fn too_long(path: &Path, most: u64) -> String {
    format!("{} is longer than {} MiB", shown(path), most >> 20)
}

/// Says what is wrong with a file.
pub fn in_file(path: &Path, why: &dyn Display) -> String {
    format!("{}: {why}", shown(path))
}

/// Says that something which was taken back in a file is not taken back here.
pub fn overtaken(case: &str, count: usize) -> String {
    let what = match count {
        1 => "1 answer was taken back".to_owned(),
        count => format!("{count} answers were taken back"),
    };
    format!("case {case}: {what} in the file; others have answered since, and their answer stays")
}

/// Says what is wrong with a line of a file, the first being 1.
pub fn in_line(path: &Path, line: usize, why: &dyn Display) -> String {
    format!("{}, line {line}: {why}", shown(path))
}

/// Said of a flow whose files are not those that were exported.
pub const CHANGED_FLOW: &str = "this is not the flow that was exported; copy the file again";

/// Said of a case whose flow is neither here nor in the folder.
pub fn without_flow(path: &Path, case: &str, flow: &str) -> String {
    format!(
        "{}: case {case} was opened with flow \"{flow}\", which is neither here nor in the folder",
        shown(path)
    )
}

/// Says that the flow of some cases is in a format that this program does not read.
pub fn other_format(digest: &str, cases: usize, format: u32, known: u32) -> String {
    let short: String = digest.chars().take(12).collect();
    let are = if cases == 1 { "is" } else { "are" };
    let cases = self::cases(cases);
    format!(
        "flow {short}, by which {cases} {are} judged, is in format {format}; this program reads formats 1 to {known}"
    )
}

/// Said of a folder that does not say which cases it should have.
pub const NO_CONTENTS: &str = "the folder has no list of its cases (contents.json): it may have been broken off while it was written";

/// A case is on the list of a folder and not in it.
pub fn gone(number: &str) -> String {
    format!(
        "case {number} is on the list of this folder and in none of its files that can be read: copy it again from where it was exported"
    )
}
