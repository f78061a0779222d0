//! Photographs and files of a case, named by path with a digest. They stay where they are.

use std::fs::File;
use std::io::{self, Read, Write};
use std::path::Path;

use schemars::JsonSchema;
use serde::Serialize;
use sha2::{Digest, Sha256};

use super::arrived::{opened, opened_to_read};
use super::{moment, write_json};
use crate::case::beside::{CaseFile, MAX_PATH, MOST_FILES};
use crate::cli::{AttachArgs, Cli, DataFormat, DetachArgs, FilesArgs};
use crate::error::{Error, Trouble};
use crate::phrase::program::life as says;
use crate::print::json::shape::FormatKey;
use crate::text::{clean, hex};

/// The longest file that is read, in bytes: far above any scan of a jaw.
const MOST_BYTES: u64 = 4_000_000_000;

/// How many bytes are read at once.
const AT_ONCE: usize = 64 * 1024;

/// Photographs and files of a case.
#[derive(Serialize, JsonSchema)]
pub(super) struct Files<'a> {
    /// The format of this object.
    format: FormatKey,
    /// The case's number.
    case: &'a str,
    /// The files, in the order in which they were added.
    files: Vec<FileObject>,
}

/// A photograph or a file.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "CheckedFile")]
struct FileObject {
    /// Its name.
    name: String,
    /// Where it was when it was added.
    path: String,
    /// Its SHA-256 then, in hexadecimal letters.
    sha256: String,
    /// Its length then, in bytes.
    bytes: u64,
    /// What became of it since.
    found: FoundWord,
}

/// What became of a file since it was added.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
enum FoundWord {
    /// It is there and unchanged.
    There,
    /// It is there and another one.
    Changed,
    /// It is not there any more.
    Gone,
    /// It cannot be read.
    Unreadable,
}

/// Names files of a case. Nothing is recorded unless all of them can be read.
///
/// # Errors
/// Returns an error if there is no such case, a path is no file, or a file cannot be read.
pub(super) fn attach(cli: &Cli, args: &AttachArgs, out: &mut dyn Write) -> Result<(), Error> {
    let mut files = Vec::new();
    for path in &args.file {
        files.push(named(path)?);
    }
    let mut desk = opened(cli, &args.case)?;
    for file in files {
        // Each entry has an id of its own.
        let moment = moment();
        let Some(inspection) = &mut desk.session.inspection else {
            return Ok(());
        };
        let known = inspection.case().files();
        if known.contains(&file) {
            writeln!(out, "{}", says::attached_already(&file.name()))?;
            continue;
        }
        let is_new = !known.iter().any(|own| own.path == file.path);
        if is_new && known.len() >= MOST_FILES {
            let what = says::too_many(MOST_FILES);
            return Err(Error::new(Trouble::Usage, what).hint(says::TOO_MANY_HINT));
        }
        let line = says::attached(&file.name(), file.bytes);
        let effects = inspection.attach(file, &moment);
        desk.carry_out(effects, &moment)?;
        writeln!(out, "{line}")?;
    }
    out.flush()?;
    Ok(())
}

/// Takes files off a case, by path or by name. The files themselves stay.
///
/// # Errors
/// Returns an error if there is no such case, or it has no such file, or several of that name.
pub(super) fn detach(cli: &Cli, args: &DetachArgs, out: &mut dyn Write) -> Result<(), Error> {
    let mut desk = opened(cli, &args.case)?;
    for wanted in &args.file {
        let moment = moment();
        let Some(inspection) = &mut desk.session.inspection else {
            return Ok(());
        };
        let own = found(inspection.case().files(), wanted, &args.case)?;
        let (name, path) = (own.name(), own.path.clone());
        let effects = inspection.detach(&path, &moment);
        desk.carry_out(effects, &moment)?;
        writeln!(out, "{}", says::detached(&name))?;
    }
    out.flush()?;
    Ok(())
}

/// Lists the files of a case, with what became of each.
///
/// # Errors
/// Returns an error if there is no such case.
pub(super) fn list(cli: &Cli, args: &FilesArgs, out: &mut dyn Write) -> Result<(), Error> {
    let desk = opened_to_read(cli, &args.case)?;
    let files = desk.session.inspection.as_ref();
    let files = files.map_or(&[][..], |inspection| inspection.case().files());
    let checked: Vec<FileObject> = files.iter().map(checked).collect();
    if args.format == DataFormat::Json {
        let object = Files {
            format: FormatKey,
            case: &args.case,
            files: checked,
        };
        return write_json(&object, out);
    }
    if checked.is_empty() {
        writeln!(out, "{}", says::NO_FILES)?;
    }
    for (number, own) in (1..).zip(&checked) {
        let found = match own.found {
            FoundWord::There => says::THERE,
            FoundWord::Changed => says::CHANGED,
            FoundWord::Gone => says::GONE,
            FoundWord::Unreadable => says::UNREADABLE,
        };
        writeln!(out, "{}", says::file(number, &own.name, &own.path, found))?;
    }
    out.flush()?;
    Ok(())
}

fn found<'f>(files: &'f [CaseFile], wanted: &Path, number: &str) -> Result<&'f CaseFile, Error> {
    let text = wanted.to_string_lossy();
    let whole = std::path::absolute(wanted).ok();
    let by_path = files.iter().find(|own| {
        own.path == text
            || whole
                .as_deref()
                .is_some_and(|whole| Path::new(&own.path) == whole)
    });
    if let Some(own) = by_path {
        return Ok(own);
    }
    let shown = clean(&text);
    let mut named = files.iter().filter(|own| own.name() == shown);
    match (named.next(), named.next()) {
        (Some(own), None) => Ok(own),
        (Some(_), Some(_)) => {
            Err(Error::new(Trouble::Usage, says::several(&shown)).hint(says::SEVERAL_HINT))
        }
        (None, _) => {
            let what = says::no_such_file(number, &shown);
            Err(Error::new(Trouble::NoInput, what).hint(says::NO_SUCH_FILE_HINT))
        }
    }
}

/// Reads a file and returns it as it is kept.
fn named(path: &Path) -> Result<CaseFile, Error> {
    let shown = clean(&path.to_string_lossy());
    let whole = std::path::absolute(path).map_err(|error| unread(&shown, &error))?;
    let whole = whole.to_str().filter(|own| own.chars().count() <= MAX_PATH);
    let Some(whole) = whole else {
        return Err(Error::new(Trouble::Usage, says::odd_path(&shown)).hint(says::ODD_PATH_HINT));
    };
    match digest(Path::new(whole)) {
        Ok((sha256, bytes)) => Ok(CaseFile {
            path: whole.to_owned(),
            sha256,
            bytes,
        }),
        Err(Refused::NotAFile) => {
            Err(Error::new(Trouble::NoInput, says::not_a_file(&shown)).hint(says::NOT_A_FILE_HINT))
        }
        Err(Refused::TooLong) => {
            let what = says::too_long(&shown, MOST_BYTES);
            Err(Error::new(Trouble::Data, what).hint(says::TOO_LONG_HINT))
        }
        Err(Refused::Unread(error)) => Err(unread(&shown, &error)),
    }
}

fn unread(name: &str, error: &io::Error) -> Error {
    let trouble = match error.kind() {
        io::ErrorKind::NotFound | io::ErrorKind::PermissionDenied => Trouble::NoInput,
        _ => Trouble::Io,
    };
    Error::new(trouble, says::unread(name, error)).hint(says::UNREAD_HINT)
}

fn checked(own: &CaseFile) -> FileObject {
    let found = match digest(Path::new(&own.path)) {
        Ok((sha256, _)) if sha256.eq_ignore_ascii_case(&own.sha256) => FoundWord::There,
        // A folder of the same name is another thing too.
        Ok(_) | Err(Refused::NotAFile | Refused::TooLong) => FoundWord::Changed,
        Err(Refused::Unread(error)) if error.kind() == io::ErrorKind::NotFound => FoundWord::Gone,
        Err(Refused::Unread(_)) => FoundWord::Unreadable,
    };
    FileObject {
        name: own.name(),
        path: own.shown(),
        sha256: own.sha256.clone(),
        bytes: own.bytes,
        found,
    }
}

/// Why a file has no digest.
enum Refused {
    /// It is a folder, a device or a pipe: reading it may never end.
    NotAFile,
    /// It is longer than what is read.
    TooLong,
    /// It cannot be read.
    Unread(io::Error),
}

impl From<io::Error> for Refused {
    fn from(error: io::Error) -> Refused {
        Refused::Unread(error)
    }
}

/// Returns the SHA-256 of a file in hexadecimal letters, and its length in bytes.
fn digest(path: &Path) -> Result<(String, u64), Refused> {
    // Looked at before it is opened: opening a pipe waits for somebody who writes.
    if !std::fs::metadata(path)?.is_file() {
        return Err(Refused::NotAFile);
    }
    let file = File::open(path)?;
    if !file.metadata()?.is_file() {
        return Err(Refused::NotAFile);
    }
    let mut file = file.take(MOST_BYTES + 1);
    let (mut sha, mut bytes) = (Sha256::new(), 0_u64);
    let mut buffer = vec![0_u8; AT_ONCE];
    loop {
        let count = match file.read(&mut buffer) {
            Ok(0) => break,
            Ok(count) => count,
            Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
            Err(error) => return Err(error.into()),
        };
        sha.update(buffer.get(..count).unwrap_or_default());
        bytes += count as u64;
    }
    if bytes > MOST_BYTES {
        return Err(Refused::TooLong);
    }
    Ok((hex(sha.finalize()), bytes))
}
