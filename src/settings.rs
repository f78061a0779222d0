//! Keys, look and laboratory: three small RON files that say what differs from what is built in.
//!
//! A problem in one file refuses all of them, with every place: half a keymap would be worse than none.
//!
//! Prints and checks need no keys and go on all the same. They read which notation `look.ron` names, and if the file
//! cannot be read at all they do not guess.

mod keys;
mod lab;
mod look;

use std::fs::File;
use std::io::{self, Read as _};
use std::path::{Path, PathBuf};

use crate::error::{Error, Trouble};
use crate::phrase::program::errors::cannot_be_read;
use crate::phrase::program::settings_files as says;
use crate::ronfile::{Diagnostic, MAX_BYTES, Source};
use crate::session::Keymap;
use crate::text::shown;
use crate::tooth::Notation;

pub use crate::phrase::program::settings_files::CODES;
pub use lab::Lab;
pub use look::Look;

/// The file of the keys.
pub const KEYS: &str = "keys.ron";
/// The file of the look.
pub const LOOK: &str = "look.ron";
/// The file of the laboratory.
pub const LAB: &str = "lab.ron";
/// Every file, in the order in which they are shown.
pub const FILES: [&str; 3] = [KEYS, LOOK, LAB];

/// The directory of the files.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Folder {
    /// Its path, or `None` for a user without a home directory.
    pub path: Option<PathBuf>,
    /// Whether it was named and so has to exist.
    pub named: bool,
}

impl Folder {
    /// Returns the named directory, or the usual one of this user.
    pub fn of(named: Option<&Path>) -> Folder {
        match named {
            Some(path) => Folder {
                path: Some(path.to_path_buf()),
                named: true,
            },
            None => Folder {
                path: directories::ProjectDirs::from("", "", "casepan")
                    .map(|directories| directories.config_dir().to_path_buf()),
                named: false,
            },
        }
    }

    /// Returns the path of a file in it.
    pub fn file(&self, name: &str) -> Option<PathBuf> {
        self.path.as_ref().map(|path| path.join(name))
    }
}

/// What the files say.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Settings {
    /// What the keys mean.
    pub keymap: Keymap,
    /// What was changed about the look.
    pub look: Look,
    /// The laboratory and the folder of its prints.
    pub lab: Lab,
    /// The names of the files that were found.
    pub found: Vec<&'static str>,
}

/// Reads the files. A file that does not exist changes nothing.
///
/// # Errors
/// Returns an error if a named directory does not exist, a file cannot be read, or a file has a problem.
pub fn read(folder: &Folder) -> Result<Settings, Error> {
    let mut settings = Settings::default();
    let Some(path) = &folder.path else {
        return Ok(settings);
    };
    if folder.named && !path.is_dir() {
        let what = says::not_a_directory(path);
        return Err(Error::new(Trouble::NoInput, what).hint(says::NOT_A_DIRECTORY_HINT));
    }
    let mut problems: Vec<(Diagnostic, Option<Source>)> = Vec::new();
    if let Some(source) = source(path, KEYS, &mut problems)? {
        settings.found.push(KEYS);
        match keys::read(&source) {
            Ok(keymap) => settings.keymap = keymap,
            Err(list) => problems.extend(placed(list, &source)),
        }
    }
    if let Some(source) = source(path, LOOK, &mut problems)? {
        settings.found.push(LOOK);
        match look::read(&source) {
            Ok(look) => settings.look = look,
            Err(list) => problems.extend(placed(list, &source)),
        }
    }
    if let Some(source) = source(path, LAB, &mut problems)? {
        settings.found.push(LAB);
        match lab::read(&source) {
            Ok(lab) => settings.lab = lab,
            Err(list) => problems.extend(placed(list, &source)),
        }
    }
    if problems.is_empty() {
        return Ok(settings);
    }
    Err(refused(problems))
}

/// Returns the notation that `look.ron` names, or `None`. Prints need that and the laboratory, nothing else.
///
/// # Errors
/// Returns an error if the file exists and cannot be read: the meaning of a tooth number must not be guessed.
pub fn notation(folder: &Folder) -> Result<Option<Notation>, Error> {
    let Some(path) = &folder.path else {
        return Ok(None);
    };
    let mut problems = Vec::new();
    let Some(source) = source(path, LOOK, &mut problems)? else {
        return problems
            .pop()
            .map_or(Ok(None), |problem| Err(refused(vec![problem])));
    };
    look::notation(&source).map_err(|problem| refused(placed(vec![problem], &source)))
}

/// Reads `lab.ron`.
///
/// # Errors
/// Returns an error if the file exists and has a problem: half an address is none.
pub fn laboratory(folder: &Folder) -> Result<Lab, Error> {
    let Some(path) = &folder.path else {
        return Ok(Lab::default());
    };
    let mut problems = Vec::new();
    let Some(source) = source(path, LAB, &mut problems)? else {
        return problems
            .pop()
            .map_or(Ok(Lab::default()), |problem| Err(refused(vec![problem])));
    };
    lab::read(&source).map_err(|list| refused(placed(list, &source)))
}

fn refused(problems: Vec<(Diagnostic, Option<Source>)>) -> Error {
    let what = says::problems(problems.len());
    let mut error = Error::new(Trouble::Data, what).hint(says::PROBLEMS_HINT);
    error.problems = problems;
    error
}

/// Returns new files by name, with every line commented out.
pub fn templates() -> [(&'static str, String); 3] {
    [
        (KEYS, keys::template()),
        (LOOK, look::template()),
        (LAB, lab::template()),
    ]
}

fn placed(list: Vec<Diagnostic>, source: &Source) -> Vec<(Diagnostic, Option<Source>)> {
    let with = |problem| (problem, Some(source.clone()));
    list.into_iter().map(with).collect()
}

/// Returns a file, or `None` if it does not exist or is not text; the latter is added to `problems`.
fn source(
    folder: &Path,
    name: &str,
    problems: &mut Vec<(Diagnostic, Option<Source>)>,
) -> Result<Option<Source>, Error> {
    let path = folder.join(name);
    let shown = shown(&path);
    let unread = |error: io::Error| {
        Error::new(Trouble::NoInput, cannot_be_read(&shown, &error)).hint(says::UNREAD_HINT)
    };
    let file = match File::open(&path) {
        Ok(file) => file,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
        Err(error) => return Err(unread(error)),
    };
    // One byte too many is enough to know that it is too large.
    let mut bytes = Vec::new();
    file.take(MAX_BYTES as u64 + 1)
        .read_to_end(&mut bytes)
        .map_err(unread)?;
    match Source::from_bytes(shown, bytes) {
        Ok(source) => Ok(Some(source)),
        Err(problem) => {
            problems.push((problem, None));
            Ok(None)
        }
    }
}

/// Returns the first 30 characters of a text, to be quoted in a sentence.
fn short(text: &str) -> String {
    const MOST: usize = 30;
    let mut out: String = text.chars().take(MOST).collect();
    if text.chars().nth(MOST).is_some() {
        out.push_str("..");
    }
    out
}
