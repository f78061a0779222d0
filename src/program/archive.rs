//! The archive on the command line: checks, copies, exports, imports.

use std::io::Write;

use schemars::JsonSchema;
use serde::Serialize;
use uuid::Uuid;

use super::case_file::read_case;
use super::{archive_path, desk, loaded, moment, write_json};
use crate::archive::{Archive, Damage};
use crate::case::dispute::as_comments;
use crate::case::{file, journal::fold};
use crate::cli::{ArchiveCommand, Cli, DataFormat};
use crate::error::{Error, Trouble, usable};
use crate::phrase::program::archive as says;
use crate::print::json::shape::FormatKey;

/// What is damaged in the archive; an empty list if nothing is.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "CheckedArchive")]
pub(super) struct Checked {
    /// The format of this object.
    format: FormatKey,
    /// The file.
    archive: String,
    /// What is not as it was written.
    damages: Vec<DamageObject>,
}

/// Something that is not as it was written.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Damage")]
struct DamageObject {
    /// The case's number, or null if it is not in a case.
    case: Option<String>,
    /// The entry, from 1, or null if it is not in one entry.
    entry: Option<u64>,
    /// What is wrong.
    sentence: String,
}

/// Checks, copies, exports or imports.
///
/// # Errors
/// Returns an error if there is no archive, it is damaged, or the command cannot be carried out.
pub(super) fn carry_out(
    cli: &Cli,
    command: &ArchiveCommand,
    out: &mut dyn Write,
) -> Result<(), Error> {
    let path = archive_path(cli)?;
    match command {
        ArchiveCommand::Check { format } => {
            let damages = Archive::open_existing(&path)?.check()?;
            if *format == DataFormat::Json {
                let object = |damage: &Damage| DamageObject {
                    case: damage.case.clone(),
                    entry: damage.entry,
                    sentence: damage.sentence.clone(),
                };
                let checked = Checked {
                    format: FormatKey,
                    archive: path.display().to_string(),
                    damages: damages.iter().map(object).collect(),
                };
                write_json(&checked, out)?;
            }
            if damages.is_empty() {
                if *format == DataFormat::Text {
                    writeln!(out, "{}", says::no_damage(&path))?;
                }
                return Ok(());
            }
            let mut error = Error::new(Trouble::Data, says::damaged(&path, damages.len()));
            if *format == DataFormat::Text {
                error.hints.extend(damages.iter().map(ToString::to_string));
            }
            Err(error.hint(says::DAMAGED_HINT))
        }
        ArchiveCommand::Backup { to } => {
            Archive::open_existing(&path)?.backup(to)?;
            writeln!(out, "{}", says::written(to))?;
            Ok(())
        }
        ArchiveCommand::Export { case, free_text } => {
            let journal = Archive::open_existing(&path)?.journal(case)?;
            let case =
                fold(&journal).map_err(|error| Error::new(Trouble::Data, error.to_string()))?;
            let text = file::write(&case, *free_text)
                .map_err(|error| Error::new(Trouble::Bug, says::cannot_be_written(&error)))?;
            out.write_all(text.as_bytes())?;
            out.write_all(as_comments(&case).as_bytes())?;
            out.flush()?;
            Ok(())
        }
        ArchiveCommand::Import { file } => {
            let (flow, _) = usable(loaded(cli)?)?;
            let case = read_case(file, &flow)?;
            let mut desk = desk(cli, Archive::open(&path)?)?;
            desk.bring_in(&case, &moment(), &mut Uuid::new_v4)?;
            writeln!(out, "{}", says::imported(&case.number))?;
            Ok(())
        }
    }
}
