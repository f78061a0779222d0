//! What is wrong with the archive, and what to do about it.

use crate::text::shown;
use std::path::Path;

use uuid::Uuid;

/// There is no file.
pub fn missing(path: &Path) -> String {
    format!("there is no archive at {}", shown(path))
}

/// What was found in place of a file: a folder.
pub const A_FOLDER: &str = "a folder";
/// What was found in place of a file: a device or a pipe.
pub const A_DEVICE: &str = "a device or a pipe";

/// Something that is not a file; `what` is one of the two above.
pub fn not_a_file(path: &Path, what: &str) -> String {
    format!("{} is {what}, not an archive", shown(path))
}

/// A file without content.
pub fn empty_file(path: &Path) -> String {
    format!("{} is an empty file, not an archive", shown(path))
}

/// A file of another kind.
pub fn not_a_database(path: &Path) -> String {
    format!("{} is another kind of file, not an archive", shown(path))
}

/// A database of another program.
pub fn other_program(path: &Path) -> String {
    format!(
        "{} is the database of another program, not an archive",
        shown(path)
    )
}

/// An archive of a newer version; `program` is the version that wrote it, where it is known.
pub fn newer(path: &Path, program: Option<&str>, schema: i64, known: i64) -> String {
    let by = match program {
        Some(version) => format!("version {version} of this program"),
        None => "a newer version of this program".to_owned(),
    };
    format!(
        "the archive {} was written by {by} (schema {schema}; this one reads up to {known})",
        shown(path)
    )
}

/// An archive that cannot be written to.
pub fn read_only(path: &Path) -> String {
    format!("the archive {} cannot be written to", shown(path))
}

/// An archive that may not be read.
pub fn unreadable(path: &Path) -> String {
    format!("you may not read the archive {}", shown(path))
}

/// A file that cannot be made; `why` as the system says it.
pub fn cannot_make(path: &Path, why: &str) -> String {
    format!("{} cannot be created: {why}", shown(path))
}

/// A place that may lose answers when the power fails.
pub fn not_durable(path: &Path, setting: &str, got: &str) -> String {
    format!(
        "answers in {} would not be safe if the power fails ({setting} stays \"{got}\")",
        shown(path)
    )
}

/// Another program holds the archive.
pub fn busy(path: &Path) -> String {
    format!("another program is using the archive {}", shown(path))
}

/// The disk is full.
pub fn full(path: &Path) -> String {
    format!("the disk of {} is full", shown(path))
}

/// A damaged file; `why` as the database says it.
pub fn corrupt(path: &Path, why: &str) -> String {
    format!("the archive {} is damaged: {why}", shown(path))
}

/// The system failed; `why` as it says it.
pub fn failed(path: &Path, why: &str) -> String {
    format!("{} could not be read or written: {why}", shown(path))
}

/// A number that no case has.
pub fn no_such_case(number: &str) -> String {
    format!("the archive has no case \"{number}\"")
}

/// A number that a case has already.
pub fn case_exists(number: &str) -> String {
    format!("the archive already has a case \"{number}\"")
}

/// A case that changed since it was read.
pub fn moved(number: &str, seen: u64, has: u64) -> String {
    format!(
        "case \"{number}\" was changed by somebody else: {has} entries, {seen} when it was read"
    )
}

/// An entry with the id of another.
pub fn id_taken(id: Uuid) -> String {
    format!("another entry already has the id {id}")
}

/// An entry that cannot be saved; `why` is one of the three that follow, or as the system says it.
pub fn not_storable(number: &str, id: Uuid, why: &str) -> String {
    format!("entry {id} cannot be saved in case \"{number}\": {why}")
}

/// An entry that opens another case.
pub fn opens_another(other: &str) -> String {
    format!("it opens case \"{other}\"")
}

/// An entry with a number that is not finite, for one.
pub const NOT_ITSELF: &str = "one of its values could not be read back";
/// An entry without a kind.
pub const NO_KIND: &str = "it has no kind";

/// A damaged entry; `why` is one of those that follow.
pub fn damaged_entry(number: &str, entry: u64, why: &str) -> String {
    format!("entry {entry} of case \"{number}\" {why}")
}

/// A damaged case; `why` is one of those that follow.
pub fn damaged_case(number: &str, why: &str) -> String {
    format!("case \"{number}\" {why}")
}

/// Of a damaged entry: it is gone.
pub const IS_MISSING: &str = "is missing";

/// Of a damaged entry: it is gone, and how many there were.
pub fn is_missing_of(entries: u64) -> String {
    format!("is missing: the case had {entries} entries")
}

/// Of a damaged entry: no text.
pub const CANNOT_BE_READ: &str = "cannot be read";

/// Of a damaged entry: no entry of a journal, as the reader says it.
pub fn cannot_be_read(why: &str) -> String {
    format!("cannot be read: {why}")
}

/// Of a damaged entry: another entry was before it.
pub const OUT_OF_CHAIN: &str = "does not follow the entry before it";
/// Of a damaged entry: its text was changed.
pub const CHANGED: &str = "is not what was written";
/// Of a damaged entry: the columns of its row differ.
pub const COLUMNS_DIFFER: &str = "does not agree with the other columns of its row";
/// Of a damaged case: its last entry is another one.
pub const ENDS_ELSEWHERE: &str = "does not end where the archive says";

/// An entry of a kind that this version does not know.
pub fn unknown_kind(number: &str, entry: u64, kind: &str) -> String {
    format!(
        "entry {entry} of case \"{number}\" is of the kind \"{kind}\", which this program does not know"
    )
}

/// A damaged row of the standing instructions.
pub fn instruction_damaged(row: u64) -> String {
    format!("row {row} of the standing instructions is missing or is not what was written")
}

/// A damaged row of the practice.
pub fn practice_damaged(row: u64) -> String {
    format!("row {row} of the practice record is missing or is not what was written")
}

/// A line that is no row of the practice; `why` as the reader says it.
pub fn not_practice(why: &str) -> String {
    format!("this is no row of a practice record of casepan ({why})")
}

/// A standing instruction that is not there.
pub fn no_instruction(name: &str) -> String {
    format!("there is no standing instruction {name}")
}

/// Damaged files of a flow.
pub fn flow_damaged(digest: &str) -> String {
    format!("the saved files of flow {digest} are not as they were written")
}

/// A write that may or may not have happened; `why` as the system says it.
pub fn unsure(number: &str, why: &str) -> String {
    format!("the last entry of case \"{number}\" may not have been saved: {why}")
}

/// Two errors of the system, one after the other.
pub fn then(first: &dyn std::fmt::Display, second: &dyn std::fmt::Display) -> String {
    format!("{first}; then {second}")
}

/// An archive that is no longer what others find in its place; `how` is one of the three that follow.
pub fn gone(path: &Path, how: &str) -> String {
    format!(
        "the archive {} {how}: the last answers are not in it",
        shown(path)
    )
}

/// Of an archive that is gone: another file, or none, is in its place.
pub const WAS_MOVED: &str = "was moved, replaced or deleted while it was open";
/// Of an archive that is gone: a file that belongs to it is another, or none.
pub const LOST_ITS_LOG: &str = "lost a file that belongs to it (-wal or -shm) while it was open";
/// Of an archive that is gone: what was written is not found in it.
pub const WAS_EMPTIED: &str = "was emptied or written over while it was open";

/// No archive, but what belongs to one.
pub fn left_behind(path: &Path) -> String {
    format!(
        "there is no archive at {}, but files that belong to one are there (-wal or -shm)",
        shown(path)
    )
}

/// A backup that is damaged.
pub fn backup_damaged(path: &Path, places: usize) -> String {
    let s = if places == 1 { "" } else { "s" };
    format!(
        "the backup {} is damaged in {places} place{s}; nothing was changed",
        shown(path)
    )
}

/// An archive that others have open.
pub fn in_use(path: &Path) -> String {
    format!(
        "the archive {} is open in another program; nothing was changed",
        shown(path)
    )
}

/// Of a restore: what the log of the copy holds is not in the copy.
pub const LOG_STAYS: &str =
    "the newest answers of the backup could not be taken over; nothing was changed";

/// An archive that had to make room for a backup which then could not be put in its place; `why` is why.
pub fn left_aside(aside: &Path, why: &str) -> String {
    format!(
        "{why}; what was there before is now {}, and could not be moved back",
        shown(aside)
    )
}

/// A backup that is the archive itself.
pub fn backup_is_archive(path: &Path) -> String {
    format!("{} is the archive itself, not a backup of it", shown(path))
}

/// An archive that ends before what this computer saw.
pub fn older(has: u64, seen: u64) -> String {
    format!(
        "this archive is older than what this computer saw: {has} of {seen} entries; later answers are missing"
    )
}

/// An archive that has as much as this computer saw, but not the same.
pub fn another(seen: u64) -> String {
    format!(
        "this archive is not the one that this computer saw: something among its first {seen} entries is another"
    )
}

/// Damage that was there before the archive was brought to a newer form.
pub fn was_damaged(places: usize) -> String {
    let s = if places == 1 { "" } else { "s" };
    format!("the archive is damaged in {places} place{s}: `casepan archive check` says where")
}

/// Said where a copy is read in place of the archive.
pub fn reads_a_copy(path: &Path) -> String {
    format!(
        "the archive {} cannot be written to: what is shown is read from a copy of this moment",
        shown(path)
    )
}

/// Pages of the log beside an archive that are lost; `copy` is where the log was copied to.
pub fn log_lost(pages: usize, copy: Option<&Path>) -> String {
    let s = if pages == 1 { "" } else { "s" };
    let kept = copy.map_or_else(String::new, |copy| {
        format!("; a copy of it was kept as {}", shown(copy))
    });
    format!(
        "the newest answers (in the file -wal beside the archive) are damaged: {pages} page{s} could not be read, so the last answers may be missing{kept}"
    )
}

/// A part of the database that is missing.
pub fn part_missing(what: &str, name: &str) -> String {
    format!("the {what} {name}, which is part of every archive, is missing")
}

/// A part of the database that was changed.
pub fn part_changed(what: &str, name: &str) -> String {
    format!("the {what} {name}, which is part of every archive, was changed")
}

/// A part of the database that another program added.
pub fn part_added(what: &str, name: &str) -> String {
    format!("the {what} {name} was added to the archive by another program")
}

/// Rows that are not there after they were put in.
pub const SWALLOWED: &str = "what is written to it is not there afterwards";

/// Said where nobody can be asked whether a write has happened.
pub const ALONE: &str = "nobody else can look";

/// A damaged row of the log.
pub fn log_damaged(row: u64) -> String {
    format!(
        "line {row} of the list of everything that was kept is missing or is not what was written"
    )
}

/// Of a damaged entry: the log does not have it.
pub const NOT_LOGGED: &str = "is not in the list of everything that was kept";

/// Files of a flow that are gone; `cases` is how many cases are judged by it.
pub fn flow_missing(digest: &str, cases: usize) -> String {
    let of = match cases {
        0 => String::new(),
        1 => ", by which 1 case is judged,".to_owned(),
        more => format!(", by which {more} cases are judged,"),
    };
    format!("the saved files of flow {digest}{of} are missing")
}

/// A target that exists.
pub fn target_exists(path: &Path) -> String {
    format!("{} is there already", shown(path))
}

/// What to do where there is no archive.
pub const MISSING_HINT: &str = "check the path, or open a first case to make an archive there";
/// What to do where a folder was named.
pub const NOT_A_FILE_HINT: &str = "name a file, such as cases.archive inside it";
/// What to do about an empty file.
pub const EMPTY_FILE_HINT: &str =
    "remove the empty file so that an archive can be made there, or restore a backup in its place";
/// What to do about a file of another kind or program.
pub const NOT_OURS_HINT: &str = "the file was left as it is; give another path";
/// What to do about an archive of a newer version.
pub const NEWER_HINT: &str = "use that version of the program or a later one; nothing was changed";
/// What to do about an archive that cannot be written to.
pub const READ_ONLY_HINT: &str = "check that you may write to the file and its folder, or copy the archive to a place where you may";
/// What to do about a file that cannot be made.
pub const CANNOT_MAKE_HINT: &str = "check that the folder exists and that you may write to it";
/// What to do about a place that is not safe.
pub const NOT_DURABLE_HINT: &str =
    "keep the archive on a disk of this computer: network drives are not safe for it";
/// What to do about an archive that is in use.
pub const BUSY_HINT: &str =
    "try again; if that fails, see which other program has the archive open";
/// What to do about a full disk.
pub const FULL_HINT: &str = "make room on the disk; what was saved before is still there";
/// What to do about damage.
pub const DAMAGED_HINT: &str = "`casepan archive check` says what is damaged, and what can still be read; `casepan archive restore FILE` puts a backup back and keeps this one beside it";
/// What to do about an entry of a newer version.
pub const UNKNOWN_KIND_HINT: &str =
    "a newer version of the program wrote it; use that one for this case";
/// What to do where the system failed.
pub const FAILED_HINT: &str = "check that the disk is connected and sound";
/// What to do about a number that no case has.
pub const NO_SUCH_CASE_HINT: &str = "list the cases to see their numbers";
/// What to do about a number that a case has.
pub const CASE_EXISTS_HINT: &str = "resume that case, or give the new one another number";
/// What to do about a case that changed.
pub const MOVED_HINT: &str = "read the case again, see what has changed, and answer again";
/// What to do about an id that is taken.
pub const ID_TAKEN_HINT: &str = "this is another version of the same case, with or without its free text; it is not mixed with the one that is here";
/// What to do about an entry that cannot be saved.
pub const NOT_STORABLE_HINT: &str = "nothing was written; correct the value";
/// What to do about a write that may not have happened.
pub const UNSURE_HINT: &str =
    "open the archive again and look; writing the same entry again does not double it";
/// What to do about an archive that may not be read.
pub const UNREADABLE_HINT: &str = "ask whoever owns the file to let you read it and its folder";
/// What to do about an archive that is gone.
pub const GONE_HINT: &str = "put the file back in its place or restore a backup, start again, and give again what was said to be NOT SAVED";
/// What to do about files that were left behind.
pub const LEFT_BEHIND_HINT: &str = "put the archive back beside them, or restore a backup; to begin anew, move these files to another folder first";
/// What to do about a damaged backup.
pub const BACKUP_DAMAGED_HINT: &str =
    "take another backup; `casepan --archive FILE archive check` says what is damaged";
/// What to do about an archive that others have open.
pub const IN_USE_HINT: &str = "close the program wherever it is open, and try again";
/// What to do about an archive that was left under another name.
pub const LEFT_ASIDE_HINT: &str = "see what keeps its place, then give the file its name back, and those beside it (-wal, -shm) theirs; nothing in it was changed";
/// What to do about a backup that is the archive itself.
pub const BACKUP_IS_ARCHIVE_HINT: &str =
    "name the backup; `--archive` names the archive whose place it takes";
/// What to do about a target that exists.
pub const TARGET_EXISTS_HINT: &str = "name a file that does not exist yet";
/// What to do about a standing instruction that is not there.
pub const NO_INSTRUCTION_HINT: &str = "`casepan instruction list` shows them with their numbers";

/// What to do about a number that no case has, where there are similar ones.
pub fn similar_cases(near: &[String]) -> String {
    let near: Vec<String> = near.iter().map(|number| format!("\"{number}\"")).collect();
    format!("did you mean {}?", near.join(" or "))
}

/// Damage, with its place: the case and the entry, where they are known.
pub fn damage(case: Option<&str>, entry: Option<u64>, sentence: &str) -> String {
    match (case, entry) {
        (Some(case), Some(entry)) => format!("case {case}, entry {entry}: {sentence}"),
        (Some(case), None) => format!("case {case}: {sentence}"),
        (None, _) => sentence.to_owned(),
    }
}

/// Damage that the database itself reports.
pub fn database_reports(line: &str) -> String {
    // It names every page; which cases are whole is said below.
    let short: String = line.chars().take(120).collect();
    let more = if short.len() < line.len() { " …" } else { "" };
    format!("the database reports: {short}{more}")
}

/// Entries that are whole but make no case; `why` is one of the sentences on journals.
pub fn not_a_case(number: &str, why: &dyn std::fmt::Display) -> String {
    format!("the entries of \"{number}\" do not make a case: {why}")
}

/// A line that is no standing instruction; `why` as the reader says it.
pub fn not_a_row(why: &str) -> String {
    format!("this is no standing instruction of casepan ({why})")
}

/// What to do about a line that is no standing instruction, or no row of the practice.
pub const NOT_A_ROW_HINT: &str = "copy the file again from where it was exported";
