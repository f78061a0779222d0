//! The one error of the program: kind, sentence, hints, exit code.

mod loading;

use std::fmt;

use crate::archive::ArchiveError;
use crate::phrase::program::command_line::{ExitCode, exit};
use crate::phrase::program::errors;
use crate::ronfile::{Diagnostic, Source};
use crate::text::clean;

pub use crate::archive::Trouble;
pub use loading::{unusable, usable, with_sources};

/// The exit codes, after the open convention of `sysexits.h`: code, name, meaning.
pub const EXIT_CODES: &[ExitCode] = &[
    (0, exit::DONE.0, exit::DONE.1),
    (64, exit::USAGE.0, exit::USAGE.1),
    (65, exit::DATA.0, exit::DATA.1),
    (66, exit::NO_INPUT.0, exit::NO_INPUT.1),
    (70, exit::BUG.0, exit::BUG.1),
    (73, exit::CANNOT_CREATE.0, exit::CANNOT_CREATE.1),
    (74, exit::IO.0, exit::IO.1),
];

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

    /// Returns the exit code, one of [`EXIT_CODES`].
    pub fn exit_code(&self) -> u8 {
        match self.trouble {
            Trouble::Usage | Trouble::Conflict => 64,
            Trouble::Data => 65,
            Trouble::NoInput => 66,
            Trouble::Bug => 70,
            Trouble::CannotCreate => 73,
            Trouble::Io | Trouble::Busy | Trouble::Pipe => 74,
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
        let hint = error.hint();
        let mut out = Error::new(error.kind(), error.to_string());
        out.hints.extend(hint);
        out
    }
}

impl From<std::io::Error> for Error {
    fn from(error: std::io::Error) -> Error {
        if error.kind() == std::io::ErrorKind::BrokenPipe {
            return Error::new(Trouble::Pipe, errors::NO_READER);
        }
        Error::new(Trouble::Io, errors::broke_off(&error))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_trouble_has_a_code_of_the_table_and_every_code_but_none_a_trouble() {
        let all = [
            Trouble::Usage,
            Trouble::Data,
            Trouble::NoInput,
            Trouble::CannotCreate,
            Trouble::Io,
            Trouble::Busy,
            Trouble::Conflict,
            Trouble::Bug,
            Trouble::Pipe,
        ];
        let mut given: Vec<u8> = all.map(|own| Error::new(own, "").exit_code()).into();
        given.push(0);
        given.sort_unstable();
        given.dedup();
        let table: Vec<u8> = EXIT_CODES.iter().map(|(code, ..)| *code).collect();
        assert_eq!(given, table);
    }
}
