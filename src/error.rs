//! The one error of the program: a kind, a sentence, hints, and the exit code that follows.

use std::fmt;

use crate::archive::{ArchiveError, ErrorKind};
use crate::ronfile::{Diagnostic, Source};
use crate::text::clean;

/// What kind of trouble it is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Trouble {
    /// The command line asks for something that cannot be.
    Usage,
    /// A file is not what it should be.
    Data,
    /// A file or case that was named is not there.
    NoInput,
    /// A file cannot be made.
    CannotCreate,
    /// Reading or writing failed.
    Io,
    /// The program is wrong.
    Bug,
    /// Whoever read the output went away; said without words.
    Pipe,
}

/// An error as a person reads it.
#[derive(Debug)]
pub struct Error {
    /// The kind.
    pub trouble: Trouble,
    /// The sentence.
    pub sentence: String,
    /// What to do.
    pub hints: Vec<String>,
    /// Problems of a file, with the file they are in.
    pub problems: Vec<(Diagnostic, Option<Source>)>,
}

impl Error {
    /// Returns an error without hints.
    pub fn new(trouble: Trouble, sentence: impl Into<String>) -> Error {
        Error {
            trouble,
            sentence: sentence.into(),
            hints: Vec::new(),
            problems: Vec::new(),
        }
    }

    /// Adds a hint.
    #[must_use]
    pub fn hint(mut self, hint: impl Into<String>) -> Error {
        self.hints.push(hint.into());
        self
    }

    /// Returns the exit code, after the open convention of `sysexits.h`.
    pub fn exit_code(&self) -> u8 {
        match self.trouble {
            Trouble::Usage => 64,
            Trouble::Data => 65,
            Trouble::NoInput => 66,
            Trouble::Bug => 70,
            Trouble::CannotCreate => 73,
            Trouble::Io | Trouble::Pipe => 74,
        }
    }

    /// Returns everything there is to say, for the standard error stream.
    pub fn render(&self, colour: bool) -> String {
        let mut out = String::new();
        for (problem, source) in &self.problems {
            out.push_str(problem.render(source.as_ref(), colour).trim_end());
            out.push_str("\n\n");
        }
        // Names of files and cases are in the sentences, and may hold anything.
        out.push_str(&format!("casepan: {}\n", clean(&self.sentence)));
        for hint in &self.hints {
            out.push_str(&format!("  {}\n", clean(hint)));
        }
        out
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.sentence)
    }
}

impl std::error::Error for Error {}

impl From<ArchiveError> for Error {
    fn from(error: ArchiveError) -> Error {
        let trouble = match error.kind() {
            ErrorKind::NoInput => Trouble::NoInput,
            ErrorKind::BadData => Trouble::Data,
            ErrorKind::CannotCreate => Trouble::CannotCreate,
            ErrorKind::Io | ErrorKind::Busy => Trouble::Io,
            ErrorKind::Conflict => Trouble::Usage,
        };
        let hint = error.hint();
        let mut out = Error::new(trouble, error.to_string());
        out.hints.extend(hint);
        out
    }
}

impl From<std::io::Error> for Error {
    fn from(error: std::io::Error) -> Error {
        if error.kind() == std::io::ErrorKind::BrokenPipe {
            return Error::new(Trouble::Pipe, "the reader of the output went away");
        }
        Error::new(Trouble::Io, format!("reading or writing failed: {error}"))
    }
}
