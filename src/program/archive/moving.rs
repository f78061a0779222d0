//! Whole archives as folders, and back: one file a case, with who and when.
//!
//! ```text
//! FOLDER/cases/24-0381.jsonl   the journal of a case
//! FOLDER/flows/DIGEST.json     the files of a flow that cases were opened with
//! FOLDER/instructions.jsonl    standing instructions, with those that were ended
//! FOLDER/practice.jsonl        what people did in practice
//! FOLDER/contents.json         the numbers of the cases, written last: what has none was broken off
//! ```

use std::collections::BTreeSet;
use std::fs::File;
use std::io::{ErrorKind, Read as _, Write};
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use crate::archive::{Archive, ArchiveError, KeptFlow};
use crate::case::dispute::rebase;
use crate::case::journal::file::{self, Carried};
use crate::case::journal::{Body, Entry, fold};
use crate::error::{Error, Trouble};
use crate::files::{make_folder, name_of, write_new};
use crate::flow::{FORMAT, Flow, digest};
use crate::phrase::program::archive as says;
use crate::phrase::program::errors::cannot_be_read;
use crate::ronfile::Source;
use crate::text::shown;

/// The longest file that is read, in bytes. A journal of a thousand entries has half a megabyte.
const MOST_BYTES: u64 = 64 << 20;

const CASES: &str = "cases";
const FLOWS: &str = "flows";
const INSTRUCTIONS: &str = "instructions.jsonl";
const PRACTICE: &str = "practice.jsonl";
const CONTENTS: &str = "contents.json";
const JOURNAL_ENDING: &str = "jsonl";
const FLOW_ENDING: &str = "json";

/// The files of a flow.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct FlowFile {
    casepan: String,
    format: u32,
    digest: String,
    files: Vec<(String, String)>,
}

const FLOW: &str = "flow";

/// What is in a folder.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Contents {
    casepan: String,
    cases: Vec<String>,
}

const WHOLE: &str = "contents";

/// Writes everything of an archive into a folder that is empty or not there yet. What cannot be read is said at the end,
/// and the rest is written all the same.
///
/// # Errors
/// The folder is in use or cannot be written to, or something of the archive could not be read.
pub(super) fn export(
    archive: &Archive,
    folder: &Path,
    free_text: bool,
    out: &mut dyn Write,
) -> Result<(), Error> {
    let used = std::fs::read_dir(folder).is_ok_and(|mut list| list.next().is_some());
    if used {
        return Err(
            Error::new(Trouble::CannotCreate, says::folder_in_use(folder))
                .hint(says::FOLDER_IN_USE_HINT),
        );
    }
    make_folder(&folder.join(CASES))?;
    make_folder(&folder.join(FLOWS))?;
    let mut unread = Vec::new();
    let (mut cases, mut flows) = (Vec::new(), Vec::new());
    for row in archive.cases()? {
        let journal = match archive.journal(&row.number) {
            // Of what is missing at the end of a case only the list of everything that was kept knows.
            Ok(journal) if (journal.len() as u64) < row.entries => {
                unread.push(says::has_lost(&row.number, journal.len(), row.entries));
                continue;
            }
            Ok(journal) => journal,
            Err(ArchiveError::NoSuchCase { .. }) => {
                unread.push(says::has_lost(&row.number, 0, row.entries));
                continue;
            }
            Err(error) => {
                unread.push(error.to_string());
                continue;
            }
        };
        let text = file::write(&row.number, &journal, free_text)
            .map_err(|error| Error::new(Trouble::Bug, says::cannot_be_written(&error)))?;
        let path = in_folder(folder, CASES, &name_of(&row.number), JOURNAL_ENDING);
        put(&path, &text)?;
        cases.push(row.number.clone());
        for flow in journal.iter().filter_map(|entry| entry.body.flow()) {
            if !flows.contains(&flow.digest) {
                flows.push(flow.digest.clone());
            }
        }
    }
    for digest in &flows {
        match archive.flow(digest) {
            Ok(Some(flow)) => write_flow(folder, digest, flow)?,
            Ok(None) => unread.push(says::flow_missing(digest)),
            Err(error) => unread.push(error.to_string()),
        }
    }
    match archive.instruction_lines(free_text) {
        Ok(rows) if rows.is_empty() => {}
        Ok(rows) => put(&folder.join(INSTRUCTIONS), &(rows.join("\n") + "\n"))?,
        Err(error) => unread.push(error.to_string()),
    }
    match archive.practice_lines() {
        Ok(rows) if rows.is_empty() => {}
        Ok(rows) => put(&folder.join(PRACTICE), &(rows.join("\n") + "\n"))?,
        Err(error) => unread.push(error.to_string()),
    }
    let contents = Contents {
        casepan: WHOLE.to_owned(),
        cases,
    };
    let text = serde_json::to_string(&contents)
        .map_err(|error| Error::new(Trouble::Bug, says::cannot_be_written(&error)))?;
    put(&folder.join(CONTENTS), &(text + "\n"))?;
    writeln!(out, "{}", says::exported(contents.cases.len(), folder))?;
    if !free_text {
        writeln!(out, "{}", says::WITHOUT_FREE_TEXT)?;
    }
    if unread.is_empty() {
        return Ok(());
    }
    let mut error = Error::new(Trouble::Data, says::not_exported(unread.len()));
    error.hints = unread;
    Err(error)
}

fn write_flow(folder: &Path, digest: &str, flow: KeptFlow) -> Result<(), Error> {
    let flow = FlowFile {
        casepan: FLOW.to_owned(),
        format: flow.format,
        digest: digest.to_owned(),
        files: flow.files,
    };
    let text = serde_json::to_string(&flow)
        .map_err(|error| Error::new(Trouble::Bug, says::cannot_be_written(&error)))?;
    put(
        &in_folder(folder, FLOWS, &name_of(digest), FLOW_ENDING),
        &text,
    )
}

fn in_folder(folder: &Path, below: &str, name: &str, ending: &str) -> PathBuf {
    folder.join(below).join(format!("{name}.{ending}"))
}

fn put(path: &Path, text: &str) -> Result<(), Error> {
    if write_new(path, text)? {
        return Ok(());
    }
    Err(Error::new(Trouble::CannotCreate, says::is_there(path)).hint(says::FOLDER_IN_USE_HINT))
}

/// The flow that new cases are opened with, and its files.
pub(super) type Present = (Flow, Vec<Source>);

/// What became of what was imported.
#[derive(Default)]
struct Imported {
    cases: usize,
    there: usize,
    bare: usize,
    /// The numbers of the cases whose files could be read, whatever the files are called.
    read: BTreeSet<String>,
    refused: Vec<String>,
}

/// Takes in the folder of a whole archive, or one journal file. What is there already stays as it is; what does not fit
/// is refused by itself and said at the end.
///
/// # Errors
/// There is nothing of an archive in it, the archive cannot be written to, or something was refused.
pub(super) fn import(
    archive: &mut Archive,
    from: &Path,
    present: &Present,
    out: &mut dyn Write,
) -> Result<(), Error> {
    let mut done = Imported::default();
    if from.is_dir() {
        let flows = listed(&from.join(FLOWS), FLOW_ENDING)?;
        let cases = listed(&from.join(CASES), JOURNAL_ENDING)?;
        if flows.is_empty() && cases.is_empty() {
            return Err(
                Error::new(Trouble::NoInput, says::not_a_folder_of_ours(from))
                    .hint(says::NOT_A_FOLDER_OF_OURS_HINT),
            );
        }
        for path in flows {
            take_flow(archive, &path, &mut done)?;
        }
        let instructions = from.join(INSTRUCTIONS);
        take_rows(
            archive,
            Archive::bring_instruction,
            &instructions,
            &mut done,
        )?;
        let practice = from.join(PRACTICE);
        take_rows(archive, Archive::bring_practice, &practice, &mut done)?;
        let named = contents(&from.join(CONTENTS), &mut done);
        for path in cases {
            take_case(archive, &path, present, &mut done)?;
        }
        match named {
            None => writeln!(out, "{}", says::NO_CONTENTS)?,
            Some(named) => {
                let gone = named.into_iter().filter(|own| !done.read.contains(own));
                let gone: Vec<String> = gone.map(|number| says::gone(&number)).collect();
                done.refused.extend(gone);
            }
        }
    } else {
        take_case(archive, from, present, &mut done)?;
    }
    writeln!(out, "{}", says::taken_in(done.cases, done.there))?;
    if done.bare > 0 {
        writeln!(out, "{}", says::came_bare(done.bare))?;
    }
    out.flush()?;
    if done.refused.is_empty() {
        return Ok(());
    }
    let mut error = Error::new(Trouble::Data, says::refused(done.refused.len()));
    error.hints = done.refused;
    Err(error)
}

/// Returns the numbers of the cases that a folder should have, or `None` if it does not say so.
fn contents(path: &Path, done: &mut Imported) -> Option<Vec<String>> {
    if !path.exists() {
        return None;
    }
    let read = text_of(path)
        .and_then(|text| serde_json::from_str(&text).map_err(|error| says::in_file(path, &error)));
    match read {
        Ok(Contents { cases, .. }) => Some(cases),
        Err(why) => {
            done.refused.push(why);
            Some(Vec::new())
        }
    }
}

/// Returns whether a path is for [`import`] rather than a case file.
pub(super) fn is_for_import(path: &Path) -> bool {
    path.is_dir()
        || path
            .extension()
            .is_some_and(|ending| ending == JOURNAL_ENDING)
}

/// Returns whether a file is an archive by its first bytes (sqlite.org/fileformat2.html, 1.3).
pub(super) fn is_an_archive(path: &Path) -> bool {
    let mut begins = [0; 16];
    let read = File::open(path).and_then(|mut file| file.read_exact(&mut begins));
    read.is_ok() && begins == *b"SQLite format 3\0"
}

/// Returns the files of a folder with an ending, by name; none where there is no folder.
fn listed(folder: &Path, ending: &str) -> Result<Vec<PathBuf>, Error> {
    let list = match std::fs::read_dir(folder) {
        Ok(list) => list,
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(Vec::new()),
        Err(error) => return Err(unread(folder, &error)),
    };
    let mut files = Vec::new();
    for entry in list {
        let path = entry.map_err(|error| unread(folder, &error))?.path();
        if path.extension().is_some_and(|own| own == ending) {
            files.push(path);
        }
    }
    files.sort();
    Ok(files)
}

fn unread(path: &Path, error: &std::io::Error) -> Error {
    Error::new(Trouble::NoInput, cannot_be_read(&shown(path), error))
}

/// Reads a text, or says why it is none.
fn text_of(path: &Path) -> Result<String, String> {
    let shown = shown(path);
    let about = std::fs::metadata(path).map_err(|error| cannot_be_read(&shown, &error))?;
    if !about.is_file() {
        return Err(says::not_a_file(path));
    }
    let mut text = String::new();
    let file = File::open(path).map_err(|error| cannot_be_read(&shown, &error))?;
    file.take(MOST_BYTES + 1)
        .read_to_string(&mut text)
        .map_err(|error| cannot_be_read(&shown, &error))?;
    if text.len() as u64 > MOST_BYTES {
        return Err(says::too_long(path, MOST_BYTES));
    }
    Ok(text)
}

fn take_flow(archive: &mut Archive, path: &Path, done: &mut Imported) -> Result<(), Error> {
    let read = text_of(path).and_then(|text| {
        let flow: FlowFile =
            serde_json::from_str(&text).map_err(|error| says::in_file(path, &error))?;
        let sources = flow.files.iter().cloned();
        let sources: Vec<Source> = sources
            .map(|(name, text)| Source::new(name, text))
            .collect();
        if flow.casepan != FLOW || digest(&sources) != flow.digest {
            return Err(says::in_file(path, &says::CHANGED_FLOW));
        }
        Ok(flow)
    });
    match read {
        Ok(flow) => archive.keep_flow(&flow.digest, flow.format, &flow.files)?,
        Err(why) => done.refused.push(why),
    }
    Ok(())
}

/// Takes in rows that are no case's, each by `bring`.
fn take_rows(
    archive: &mut Archive,
    bring: fn(&mut Archive, &str) -> Result<(), ArchiveError>,
    path: &Path,
    done: &mut Imported,
) -> Result<(), Error> {
    if !path.exists() {
        return Ok(());
    }
    let text = match text_of(path) {
        Ok(text) => text,
        Err(why) => {
            done.refused.push(why);
            return Ok(());
        }
    };
    for (line, number) in text.lines().zip(1_usize..) {
        match bring(archive, line) {
            Ok(()) => {}
            Err(error) if is_fault_of_input(&error) => {
                let at = says::in_line(path, number, &error);
                done.refused.push(at);
            }
            Err(error) => return Err(error.into()),
        }
    }
    Ok(())
}

fn take_case(
    archive: &mut Archive,
    path: &Path,
    (flow, sources): &Present,
    done: &mut Imported,
) -> Result<(), Error> {
    let read = text_of(path)
        .and_then(|text| file::read(&text).map_err(|error| says::in_file(path, &error)));
    let carried: Carried = match read {
        Ok(carried) => carried,
        Err(why) => {
            done.refused.push(why);
            return Ok(());
        }
    };
    done.read.insert(carried.number.clone());
    for wanted in carried.journal.iter().filter_map(|entry| entry.body.flow()) {
        if archive.flow(&wanted.digest)?.is_some() {
            continue;
        }
        if wanted.digest != flow.digest {
            done.refused
                .push(says::without_flow(path, &carried.number, &wanted.id));
            return Ok(());
        }
        // It is the one that new cases are opened with here.
        let files = sources.iter();
        let files: Vec<_> = files
            .map(|source| (source.name().to_owned(), source.text().to_owned()))
            .collect();
        archive.keep_flow(&flow.digest, FORMAT, &files)?;
    }
    let there = archive.end_of(&carried.number)?.map(|(count, _)| count);
    let taken = match archive.append(&carried.number, &carried.journal) {
        Err(error @ (ArchiveError::Moved { .. } | ArchiveError::IdTaken(_))) => {
            after_the_rest(archive, &carried, error).map(|(count, overtaken)| {
                if overtaken > 0 {
                    let why = says::overtaken(&carried.number, overtaken);
                    done.refused.push(says::in_file(path, &why));
                }
                count
            })
        }
        other => other,
    };
    match taken {
        Ok(count) if there == Some(count) => done.there += 1,
        Ok(_) => {
            done.cases += 1;
            done.bare += usize::from(!carried.free_text);
        }
        Err(error) if is_fault_of_input(&error) => {
            done.refused.push(says::in_file(path, &error));
        }
        Err(error) => return Err(error.into()),
    }
    Ok(())
}

/// Appends what a journal has and the archive has not after what others have written to the case since: what says something
/// else than theirs is kept beside it, and neither counts. Returns how many entries the case has then, and how many of the
/// file were left out because they take back what others have answered since.
///
/// # Errors
/// `error`, if an entry is here and says something else, or the two cases have nothing in common.
fn after_the_rest(
    archive: &mut Archive,
    carried: &Carried,
    error: ArchiveError,
) -> Result<(u64, usize), ArchiveError> {
    let there = archive.journal(&carried.number)?;
    let has = |list: &[Entry], own: &Entry| list.iter().any(|entry| entry.id == own.id);
    let is_other = |own: &Entry| {
        let mut here = there.iter().filter(|entry| entry.id == own.id);
        here.any(|here| !says_the_same(here, own))
    };
    if carried.journal.iter().any(is_other) {
        return Err(error);
    }
    let common = there
        .iter()
        .zip(&carried.journal)
        .take_while(|(here, own)| here.id == own.id)
        .count();
    let (before, since) = there.split_at(common);
    let theirs: Vec<Entry> = since
        .iter()
        .filter(|own| !has(&carried.journal, own))
        .cloned()
        .collect();
    let mine: Vec<Entry> = carried
        .journal
        .iter()
        .filter(|own| !has(&there, own))
        .cloned()
        .collect();
    let Ok(case) = fold(before) else {
        return Err(error);
    };
    let rebased = rebase(&case, &theirs, mine, there.len() as u64);
    let count = archive.append(&carried.number, &rebased.entries)?;
    Ok((count, rebased.overtaken.len()))
}

/// Returns whether two entries of one id are the same but for their place in the journal: what was put after others' entries
/// counts more before it, and may stand as different from theirs.
fn says_the_same(here: &Entry, own: &Entry) -> bool {
    let body = match (&here.body, &own.body) {
        (Body::Differs { body, .. }, own) if !matches!(own, Body::Differs { .. }) => &**body,
        (body, _) => body,
    };
    *body == own.body && (here.when, &here.who, here.session) == (own.when, &own.who, own.session)
}

/// Returns whether something else is there under the same name, or the input is not as it should be, and the next file
/// may do better.
fn is_fault_of_input(error: &ArchiveError) -> bool {
    matches!(
        error.kind(),
        Trouble::Conflict | Trouble::Data | Trouble::NoInput
    )
}
