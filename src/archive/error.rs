use std::fmt;
use std::path::{Path, PathBuf};

use uuid::Uuid;

use crate::phrase::faults::archive as said;

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
    /// The archive may not even be read.
    Unreadable(PathBuf),
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
    /// A row of the practice, the first being 1, is not what was written, or is missing.
    PracticeDamaged(u64),
    /// A line is no row of the practice.
    NotPractice(String),
    /// A line is no row of the standing instructions.
    NotARow(String),
    /// No standing instruction is called this.
    NoInstruction(String),
    /// The write failed, and it is not known whether it happened.
    Unsure {
        /// The case.
        number: String,
        /// What the system says.
        why: String,
    },
    /// The archive is no longer what others find in its place. What was written since is not kept.
    Gone {
        /// The archive.
        path: PathBuf,
        /// What became of it, as the end of a sentence.
        how: &'static str,
    },
    /// There is no archive, but files that belong to one lie where it would be.
    LeftBehind(PathBuf),
    /// A backup that is damaged is not put in place of an archive.
    BackupDamaged {
        /// The backup.
        path: PathBuf,
        /// How many places are damaged.
        places: usize,
    },
    /// Others have the archive open, which nothing may be put in place of meanwhile.
    InUse(PathBuf),
    /// A backup could not be put in place of an archive, and the archive could not be taken back.
    LeftAside {
        /// Where the archive is.
        aside: PathBuf,
        /// Why the backup could not be put in place.
        why: String,
    },
    /// The backup is the archive itself.
    BackupIsArchive(PathBuf),
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
        f.write_str(&match self {
            Self::Missing(path) => said::missing(path),
            Self::NotAFile { path, what } => said::not_a_file(path, what),
            Self::EmptyFile(path) => said::empty_file(path),
            Self::NotADatabase(path) => said::not_a_database(path),
            Self::OtherProgram(path) => said::other_program(path),
            Self::Newer {
                path,
                schema,
                known,
                program,
            } => said::newer(path, program.as_deref(), *schema, *known),
            Self::ReadOnly(path) => said::read_only(path),
            Self::Unreadable(path) => said::unreadable(path),
            Self::CannotMake { path, why } => said::cannot_make(path, why),
            Self::NotDurable { path, setting, got } => said::not_durable(path, setting, got),
            Self::Busy(path) => said::busy(path),
            Self::Full(path) => said::full(path),
            Self::Corrupt { path, why } => said::corrupt(path, why),
            Self::Io { path, why } => said::failed(path, why),
            Self::NoSuchCase { number, .. } => said::no_such_case(number),
            Self::CaseExists(number) => said::case_exists(number),
            Self::Moved { number, seen, has } => said::moved(number, *seen, *has),
            Self::IdTaken(id) => said::id_taken(*id),
            Self::NotStorable { number, id, why } => said::not_storable(number, *id, why),
            Self::Damaged {
                number,
                entry: Some(entry),
                why,
            } => said::damaged_entry(number, *entry, why),
            Self::Damaged {
                number,
                entry: None,
                why,
            } => said::damaged_case(number, why),
            Self::UnknownKind {
                number,
                entry,
                kind,
            } => said::unknown_kind(number, *entry, kind),
            Self::InstructionDamaged(row) => said::instruction_damaged(*row),
            Self::PracticeDamaged(row) => said::practice_damaged(*row),
            Self::NotPractice(why) => said::not_practice(why),
            Self::NotARow(why) => said::not_a_row(why),
            Self::NoInstruction(name) => said::no_instruction(name),
            Self::FlowDamaged { digest } => said::flow_damaged(digest),
            Self::Unsure { number, why } => said::unsure(number, why),
            Self::Gone { path, how } => said::gone(path, how),
            Self::LeftBehind(path) => said::left_behind(path),
            Self::BackupDamaged { path, places } => said::backup_damaged(path, *places),
            Self::InUse(path) => said::in_use(path),
            Self::LeftAside { aside, why } => said::left_aside(aside, why),
            Self::BackupIsArchive(path) => said::backup_is_archive(path),
            Self::TargetExists(path) => said::target_exists(path),
        })
    }
}

impl std::error::Error for ArchiveError {}

impl ArchiveError {
    /// Returns what to do about it, or `None` if nothing can be done.
    pub fn hint(&self) -> Option<String> {
        let hint = match self {
            Self::Missing(_) => said::MISSING_HINT,
            Self::NotAFile { .. } => said::NOT_A_FILE_HINT,
            Self::EmptyFile(_) => said::EMPTY_FILE_HINT,
            Self::NotADatabase(_) | Self::OtherProgram(_) => said::NOT_OURS_HINT,
            Self::Newer { .. } => said::NEWER_HINT,
            Self::ReadOnly(_) => said::READ_ONLY_HINT,
            Self::Unreadable(_) => said::UNREADABLE_HINT,
            Self::CannotMake { .. } => said::CANNOT_MAKE_HINT,
            Self::NotDurable { .. } => said::NOT_DURABLE_HINT,
            Self::Busy(_) => said::BUSY_HINT,
            Self::Full(_) => said::FULL_HINT,
            Self::Corrupt { .. }
            | Self::Damaged { .. }
            | Self::FlowDamaged { .. }
            | Self::InstructionDamaged(_)
            | Self::PracticeDamaged(_) => said::DAMAGED_HINT,
            Self::NotARow(_) | Self::NotPractice(_) => said::NOT_A_ROW_HINT,
            Self::UnknownKind { .. } => said::UNKNOWN_KIND_HINT,
            Self::Io { .. } => said::FAILED_HINT,
            Self::NoSuchCase { near, .. } if !near.is_empty() => {
                return Some(said::similar_cases(near));
            }
            Self::NoSuchCase { .. } => said::NO_SUCH_CASE_HINT,
            Self::CaseExists(_) => said::CASE_EXISTS_HINT,
            Self::Moved { .. } => said::MOVED_HINT,
            Self::IdTaken(_) => said::ID_TAKEN_HINT,
            Self::NotStorable { .. } => said::NOT_STORABLE_HINT,
            Self::Unsure { .. } => said::UNSURE_HINT,
            Self::Gone { .. } => said::GONE_HINT,
            Self::LeftBehind(_) => said::LEFT_BEHIND_HINT,
            Self::BackupDamaged { .. } => said::BACKUP_DAMAGED_HINT,
            Self::InUse(_) => said::IN_USE_HINT,
            Self::LeftAside { .. } => said::LEFT_ASIDE_HINT,
            Self::BackupIsArchive(_) => said::BACKUP_IS_ARCHIVE_HINT,
            Self::TargetExists(_) => said::TARGET_EXISTS_HINT,
            Self::NoInstruction(_) => said::NO_INSTRUCTION_HINT,
        };
        Some(hint.to_owned())
    }

    /// Says of another file what was found in a copy of it.
    pub(super) fn of(self, path: &Path) -> ArchiveError {
        let path = path.to_path_buf();
        match self {
            Self::EmptyFile(_) => Self::EmptyFile(path),
            Self::NotADatabase(_) => Self::NotADatabase(path),
            Self::OtherProgram(_) => Self::OtherProgram(path),
            Self::Corrupt { why, .. } => Self::Corrupt { path, why },
            Self::Newer {
                schema,
                known,
                program,
                ..
            } => Self::Newer {
                path,
                schema,
                known,
                program,
            },
            other => other,
        }
    }

    /// Returns what kind of trouble it is.
    pub fn kind(&self) -> Trouble {
        match self {
            Self::Missing(_)
            | Self::NotAFile { .. }
            | Self::NoSuchCase { .. }
            | Self::NoInstruction(_)
            | Self::Unreadable(_) => Trouble::NoInput,
            Self::EmptyFile(_)
            | Self::NotADatabase(_)
            | Self::OtherProgram(_)
            | Self::Newer { .. }
            | Self::Corrupt { .. }
            | Self::NotStorable { .. }
            | Self::Damaged { .. }
            | Self::UnknownKind { .. }
            | Self::FlowDamaged { .. }
            | Self::NotARow(_)
            | Self::NotPractice(_)
            | Self::InstructionDamaged(_)
            | Self::PracticeDamaged(_)
            | Self::LeftBehind(_)
            | Self::BackupDamaged { .. } => Trouble::Data,
            Self::ReadOnly(_)
            | Self::CannotMake { .. }
            | Self::LeftAside { .. }
            | Self::TargetExists(_) => Trouble::CannotCreate,
            Self::NotDurable { .. }
            | Self::Full(_)
            | Self::Io { .. }
            | Self::Unsure { .. }
            | Self::Gone { .. } => Trouble::Io,
            Self::Busy(_) | Self::InUse(_) => Trouble::Busy,
            Self::BackupIsArchive(_) => Trouble::Usage,
            Self::CaseExists(_) | Self::Moved { .. } | Self::IdTaken(_) => Trouble::Conflict,
        }
    }

    pub(super) fn io(path: &Path, error: &std::io::Error) -> ArchiveError {
        ArchiveError::Io {
            path: path.to_path_buf(),
            why: error.to_string(),
        }
    }

    pub(super) fn unreadable(path: &Path, error: &std::io::Error) -> ArchiveError {
        match error.kind() {
            std::io::ErrorKind::PermissionDenied => ArchiveError::Unreadable(path.to_path_buf()),
            _ => ArchiveError::io(path, error),
        }
    }

    pub(super) fn cannot_make(path: &Path, error: &std::io::Error) -> ArchiveError {
        ArchiveError::CannotMake {
            path: path.to_path_buf(),
            why: error.to_string(),
        }
    }
}
