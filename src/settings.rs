//! Keys, look and laboratory: three small RON files that say what differs from what is built in.
//!
//! Half a keymap would be worse than none, so anything wrong in one file refuses all, with every place.
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
use crate::ronfile::{Diagnostic, MAX_BYTES, Source};
use crate::session::Keymap;
use crate::tooth::Notation;

pub use lab::Lab;
pub use look::{Look, ThemeName};

/// The file of the keys.
pub const KEYS: &str = "keys.ron";
/// The file of the look.
pub const LOOK: &str = "look.ron";
/// The file of the laboratory.
pub const LAB: &str = "lab.ron";
/// Every file, in the order in which they are told.
pub const FILES: [&str; 3] = [KEYS, LOOK, LAB];

/// The codes of this room, each with its meaning in one line.
pub const CODES: &[(&str, &str)] = &[
    ("keys-command", "no command has this name"),
    ("keys-command-twice", "two lines give keys to one command"),
    ("keys-leaves", "ctrl-c always leaves, and only that"),
    ("keys-name", "no key has this name"),
    ("keys-none", "a command would have no key left"),
    (
        "keys-swallowed",
        "terminals send this key as another one, or keep it",
    ),
    (
        "keys-too-many",
        "more keys for one command than anybody needs",
    ),
    (
        "keys-twice",
        "another command has this key on the same page",
    ),
    ("keys-typed", "the key is typed on a page of the command"),
    ("lab-empty", "a text with nothing in it"),
    ("lab-folder", "the folder of prints is no whole path"),
    ("lab-lines", "more lines of address than a letter has"),
    ("lab-long", "a line that is longer than a letter's"),
    ("look-colour", "none of the colours that can be chosen"),
    (
        "look-levels",
        "two levels would look alike where no colour is shown",
    ),
    ("look-mark", "the open cell would look like other text"),
    ("look-role", "no role has this name"),
    ("look-role-twice", "two lines change one role"),
];

/// Where the files are looked for.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Folder {
    /// The directory; none for a user without a home.
    pub path: Option<PathBuf>,
    /// Whether somebody named it, so that it has to be there.
    pub named: bool,
}

impl Folder {
    /// Returns the directory that somebody named, or else the usual one of this user.
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
    /// Whose sheets are printed, and where to.
    pub lab: Lab,
    /// The names of the files that are there.
    pub found: Vec<&'static str>,
}

/// Reads the files; what is not there changes nothing.
///
/// # Errors
/// A directory that was named is not there, a file cannot be read, or something in one is wrong.
pub fn read(folder: &Folder) -> Result<Settings, Error> {
    let mut settings = Settings::default();
    let Some(path) = &folder.path else {
        return Ok(settings);
    };
    if folder.named && !path.is_dir() {
        let what = format!("{} is not a directory with settings", path.display());
        return Err(Error::new(Trouble::NoInput, what).hint(
            "name a directory that is there; `casepan --settings DIR settings new` makes one",
        ));
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

/// Reads which notation the file of the look names. Whoever prints needs that and the laboratory, and no more.
///
/// # Errors
/// The file is there and cannot be read: what a number of a tooth means must not be guessed.
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

/// Reads whose sheets are printed.
///
/// # Errors
/// The file is there and something in it is wrong: half an address is none.
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
    let s = if problems.len() == 1 { "" } else { "s" };
    let what = format!(
        "{} problem{s} in the settings, nothing was started",
        problems.len()
    );
    let mut error = Error::new(Trouble::Data, what)
        .hint("mend the places above, or move the file away: then the built-in settings hold");
    error.problems = problems;
    error
}

/// Returns the files to begin with, each by its name: everything commented out.
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

/// Reads a file where it is there; what is no text is a problem of it.
fn source(
    folder: &Path,
    name: &str,
    problems: &mut Vec<(Diagnostic, Option<Source>)>,
) -> Result<Option<Source>, Error> {
    let path = folder.join(name);
    let shown = path.display().to_string();
    let unread = |error: io::Error| {
        Error::new(Trouble::NoInput, format!("{shown} cannot be read: {error}"))
            .hint("make it readable, or move it away: then the built-in settings hold")
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

/// A text of a file as it may stand in a sentence: short.
fn short(text: &str) -> String {
    const MOST: usize = 30;
    let mut out: String = text.chars().take(MOST).collect();
    if text.chars().nth(MOST).is_some() {
        out.push_str("..");
    }
    out
}
