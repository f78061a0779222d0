use std::fmt;
use std::path::{Path, PathBuf};

use rusqlite::ErrorCode;
use rusqlite::ffi;
use uuid::Uuid;

/// Why the archive did not do what it was asked.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum ArchiveError {
    /// There is no file.
    Missing(PathBuf),
    /// The path leads to something that is not a file.
    NotAFile {
        /// The path.
        path: PathBuf,
        /// What is there.
        what: &'static str,
    },
    /// The file has no content.
    EmptyFile(PathBuf),
    /// The file is not a database.
    NotADatabase(PathBuf),
    /// The file is a database of another program.
    OtherProgram(PathBuf),
    /// A newer program wrote the archive.
    Newer {
        /// The archive.
        path: PathBuf,
        /// Its schema.
        schema: i64,
        /// The newest schema that this program knows.
        known: i64,
        /// The version of the program that wrote it, where it can be read.
        program: Option<String>,
    },
    /// The archive, or the directory it lies in, cannot be written to.
    ReadOnly(PathBuf),
    /// A file or its directory cannot be made.
    CannotMake {
        /// The file.
        path: PathBuf,
        /// What the system says.
        why: String,
    },
    /// The place refuses the settings that keep an answer over a power cut.
    NotDurable {
        /// The archive.
        path: PathBuf,
        /// The setting.
        setting: &'static str,
        /// What it is set to all the same.
        got: String,
    },
    /// Others held the archive for too long.
    Busy(PathBuf),
    /// The disk is full.
    Full(PathBuf),
    /// The file of the archive is damaged.
    Corrupt {
        /// The archive.
        path: PathBuf,
        /// What the database says.
        why: String,
    },
    /// The system failed.
    Io {
        /// The archive or the file.
        path: PathBuf,
        /// What the system says.
        why: String,
    },
    /// No case has this number.
    NoSuchCase {
        /// The number.
        number: String,
        /// Numbers like it that there are.
        near: Vec<String>,
    },
    /// The case is opened a second time.
    CaseExists(String),
    /// Somebody else has written to the case meanwhile.
    Moved {
        /// The case.
        number: String,
        /// How many entries the writer knew of.
        seen: u64,
        /// How many there are.
        has: u64,
    },
    /// An entry of other content has this id.
    IdTaken(Uuid),
    /// An entry would not read back as it was given.
    NotStorable {
        /// The case.
        number: String,
        /// The entry.
        id: Uuid,
        /// Why.
        why: String,
    },
    /// An entry is not what was written, or cannot be read.
    Damaged {
        /// The case.
        number: String,
        /// The entry, the first being 1; none for the case as a whole.
        entry: Option<u64>,
        /// What is wrong with it, as the end of a sentence.
        why: String,
    },
    /// An entry is of a kind that this program does not know.
    UnknownKind {
        /// The case.
        number: String,
        /// The entry, the first being 1.
        entry: u64,
        /// The kind.
        kind: String,
    },
    /// The kept files of a flow are not what was written, or cannot be read.
    FlowDamaged {
        /// The digest of the flow.
        digest: String,
    },
    /// A row of the standing instructions, the first being 1, is not what was written, or is missing.
    InstructionDamaged(u64),
    /// No standing instruction is called this.
    NoInstruction(String),
    /// The write failed, and it is not known whether it happened.
    Unsure {
        /// The case.
        number: String,
        /// What the system says.
        why: String,
    },
    /// The file that was to be made is there already.
    TargetExists(PathBuf),
}

/// What kind of trouble an error is: of the archive, and of the program as a whole.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Trouble {
    /// The command line asks for something that cannot be done.
    Usage,
    /// A file is not as it should be, or a check found something.
    Data,
    /// A file, directory or case that was named does not exist.
    NoInput,
    /// A file cannot be created or written.
    CannotCreate,
    /// Reading or writing failed.
    Io,
    /// Another program holds the archive; trying again may help.
    Busy,
    /// What was to be written does not fit what is there.
    Conflict,
    /// An internal error.
    Bug,
    /// The reader of the output is gone; nothing is said about it.
    Pipe,
}

impl fmt::Display for ArchiveError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Missing(path) => write!(f, "there is no archive at {}", path.display()),
            Self::NotAFile { path, what } => {
                write!(f, "{} is {what}, not an archive", path.display())
            }
            Self::EmptyFile(path) => {
                write!(f, "{} is an empty file, not an archive", path.display())
            }
            Self::NotADatabase(path) => {
                write!(
                    f,
                    "{} is a file of another kind, not an archive",
                    path.display()
                )
            }
            Self::OtherProgram(path) => write!(
                f,
                "{} is a database of another program, not an archive",
                path.display()
            ),
            Self::Newer {
                path,
                schema,
                known,
                program,
            } => {
                write!(f, "the archive {} was written by ", path.display())?;
                match program {
                    Some(version) => write!(f, "version {version} of this program")?,
                    None => f.write_str("a newer version of this program")?,
                }
                write!(f, " (schema {schema}; this one knows up to {known})")
            }
            Self::ReadOnly(path) => {
                write!(f, "the archive {} cannot be written to", path.display())
            }
            Self::CannotMake { path, why } => {
                write!(f, "{} cannot be made: {why}", path.display())
            }
            Self::NotDurable { path, setting, got } => write!(
                f,
                "the place of {} does not keep answers safely over a power cut ({setting} stays \"{got}\")",
                path.display()
            ),
            Self::Busy(path) => write!(
                f,
                "the archive {} is held by another program",
                path.display()
            ),
            Self::Full(path) => write!(f, "the disk of {} is full", path.display()),
            Self::Corrupt { path, why } => {
                write!(f, "the archive {} is damaged: {why}", path.display())
            }
            Self::Io { path, why } => {
                write!(f, "reading or writing {} failed: {why}", path.display())
            }
            Self::NoSuchCase { number, .. } => {
                write!(f, "the archive has no case \"{number}\"")
            }
            Self::CaseExists(number) => {
                write!(f, "the archive has a case \"{number}\" already")
            }
            Self::Moved { number, seen, has } => write!(
                f,
                "case \"{number}\" has {has} entries, not the {seen} that were known: somebody else has written to it"
            ),
            Self::IdTaken(id) => {
                write!(f, "another entry has the id {id} already")
            }
            Self::NotStorable { number, id, why } => {
                write!(f, "entry {id} cannot be kept in case \"{number}\": {why}")
            }
            Self::Damaged {
                number,
                entry: Some(entry),
                why,
            } => write!(f, "entry {entry} of case \"{number}\" {why}"),
            Self::Damaged {
                number,
                entry: None,
                why,
            } => write!(f, "case \"{number}\" {why}"),
            Self::UnknownKind {
                number,
                entry,
                kind,
            } => write!(
                f,
                "entry {entry} of case \"{number}\" is of the kind \"{kind}\", which this program does not know"
            ),
            Self::InstructionDamaged(row) => write!(
                f,
                "row {row} of the standing agreements is missing or is not what was written"
            ),
            Self::NoInstruction(name) => write!(f, "there is no standing agreement {name}"),
            Self::FlowDamaged { digest } => {
                write!(
                    f,
                    "the kept files of flow {digest} are not as they were written"
                )
            }
            Self::Unsure { number, why } => write!(
                f,
                "it is not known whether the last entry of case \"{number}\" was kept: {why}"
            ),
            Self::TargetExists(path) => write!(f, "{} is there already", path.display()),
        }
    }
}

impl std::error::Error for ArchiveError {}

impl ArchiveError {
    /// Says what to do about it, where something can be done.
    pub fn hint(&self) -> Option<String> {
        let hint = match self {
            Self::Missing(_) => "check the path, or open a first case to make an archive there",
            Self::NotAFile { .. } => "give the path of a file, such as cases.archive inside it",
            Self::EmptyFile(_) => {
                "remove the empty file to have an archive made there, or restore a backup in its place"
            }
            Self::NotADatabase(_) | Self::OtherProgram(_) => {
                "the file was left as it is; give another path"
            }
            Self::Newer { .. } => {
                "use that version of the program, or a later one; nothing was changed"
            }
            Self::ReadOnly(_) => {
                "see that you may write to the file and to its directory, or copy the archive to a place where you may"
            }
            Self::CannotMake { .. } => "see that the directory exists and that you may write to it",
            Self::NotDurable { .. } => {
                "keep the archive on a disk of this computer: network drives refuse what it needs"
            }
            Self::Busy(_) => {
                "try again; if it stays so, see which other program has the archive open"
            }
            Self::Full(_) => "make room on the disk; what was kept before is still there",
            Self::Corrupt { .. }
            | Self::Damaged { .. }
            | Self::FlowDamaged { .. }
            | Self::InstructionDamaged(_) => {
                "check the archive to see all that is damaged, and take a copy of it before restoring a backup; other cases can still be read"
            }
            Self::UnknownKind { .. } => {
                "a newer version of the program wrote it; use that one for this case"
            }
            Self::Io { .. } => "see that the disk is there and sound",
            Self::NoSuchCase { near, .. } => {
                if !near.is_empty() {
                    let near: Vec<_> = near.iter().map(|n| format!("\"{n}\"")).collect();
                    return Some(format!("did you mean {}?", near.join(" or ")));
                }
                "list the cases to see their numbers"
            }
            Self::CaseExists(_) => {
                "open the case that is there, or give the new one another number"
            }
            Self::Moved { .. } => "read the case again, look at what has changed, and answer again",
            Self::IdTaken(_) => "give every new entry a new id",
            Self::NotStorable { .. } => "nothing was written; correct the value",
            Self::Unsure { .. } => {
                "open the archive again and look; writing the same entry again does not double it"
            }
            Self::TargetExists(_) => "give the name of a file that does not exist yet",
            Self::NoInstruction(_) => "`casepan instruction list` shows them with their numbers",
        };
        Some(hint.to_owned())
    }

    /// Returns what kind of trouble it is.
    pub fn kind(&self) -> Trouble {
        match self {
            Self::Missing(_)
            | Self::NotAFile { .. }
            | Self::NoSuchCase { .. }
            | Self::NoInstruction(_) => Trouble::NoInput,
            Self::EmptyFile(_)
            | Self::NotADatabase(_)
            | Self::OtherProgram(_)
            | Self::Newer { .. }
            | Self::Corrupt { .. }
            | Self::NotStorable { .. }
            | Self::Damaged { .. }
            | Self::UnknownKind { .. }
            | Self::FlowDamaged { .. }
            | Self::InstructionDamaged(_) => Trouble::Data,
            Self::ReadOnly(_) | Self::CannotMake { .. } | Self::TargetExists(_) => {
                Trouble::CannotCreate
            }
            Self::NotDurable { .. } | Self::Full(_) | Self::Io { .. } | Self::Unsure { .. } => {
                Trouble::Io
            }
            Self::Busy(_) => Trouble::Busy,
            Self::CaseExists(_) | Self::Moved { .. } | Self::IdTaken(_) => Trouble::Conflict,
        }
    }

    /// Puts what the database says into the archive's own terms.
    pub(super) fn from_sql(path: &Path, error: &rusqlite::Error) -> ArchiveError {
        let path = path.to_path_buf();
        let why = error.to_string();
        let Some(failure) = error.sqlite_error() else {
            // Everything else is a value of a type that no row of this program has.
            return ArchiveError::Corrupt { path, why };
        };
        match failure.code {
            ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked => ArchiveError::Busy(path),
            ErrorCode::DiskFull => ArchiveError::Full(path),
            ErrorCode::ReadOnly | ErrorCode::PermissionDenied => ArchiveError::ReadOnly(path),
            ErrorCode::CannotOpen => ArchiveError::ReadOnly(path),
            ErrorCode::NotADatabase => ArchiveError::NotADatabase(path),
            ErrorCode::DatabaseCorrupt => ArchiveError::Corrupt { path, why },
            // A table or a column that is missing.
            ErrorCode::Unknown if failure.extended_code == ffi::SQLITE_ERROR => {
                ArchiveError::Corrupt { path, why }
            }
            _ => ArchiveError::Io { path, why },
        }
    }

    pub(super) fn io(path: &Path, error: &std::io::Error) -> ArchiveError {
        ArchiveError::Io {
            path: path.to_path_buf(),
            why: error.to_string(),
        }
    }

    pub(super) fn cannot_make(path: &Path, error: &std::io::Error) -> ArchiveError {
        ArchiveError::CannotMake {
            path: path.to_path_buf(),
            why: error.to_string(),
        }
    }
}
