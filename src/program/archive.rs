//! The archive on the command line: checked, copied, cases out and in.

use std::io::Write;

use schemars::JsonSchema;
use serde::Serialize;
use uuid::Uuid;

use super::case_file::read_case;
use super::{archive_path, counted, desk, loaded, moment, write_json};
use crate::archive::{Archive, Damage};
use crate::case::{file, journal::fold};
use crate::cli::{ArchiveCommand, Cli, DataFormat};
use crate::desk::usable;
use crate::error::{Error, Trouble};
use crate::print::json::shape::Format;

/// What is damaged in the archive; an empty list where nothing is.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "CheckedArchive")]
pub(super) struct Checked {
    /// The format of this object.
    format: Format,
    /// The file.
    archive: String,
    /// What is not as it was written.
    damages: Vec<DamageObject>,
}

/// Something that is not as it was written.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Damage")]
struct DamageObject {
    /// The case's number, or null where it is not in a case.
    case: Option<String>,
    /// The entry, from 1, or null where it is not in one entry.
    entry: Option<u64>,
    /// What is wrong.
    sentence: String,
}

/// Looks after the archive.
///
/// # Errors
/// There is none, it is damaged, or what was asked for cannot be done.
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
                    format: Format,
                    archive: path.display().to_string(),
                    damages: damages.iter().map(object).collect(),
                };
                write_json(&checked, out)?;
            }
            if damages.is_empty() {
                if *format == DataFormat::Text {
                    writeln!(out, "{}: no damage", path.display())?;
                }
                return Ok(());
            }
            let mut error = Error::new(
                Trouble::Data,
                format!("{}: {}", path.display(), counted(damages.len(), "damage")),
            );
            if *format == DataFormat::Text {
                error.hints.extend(damages.iter().map(ToString::to_string));
            }
            Err(error.hint("put a backup back, or export the cases that can still be read"))
        }
        ArchiveCommand::Backup { to } => {
            Archive::open_existing(&path)?.backup(to)?;
            writeln!(out, "written: {}", to.display())?;
            Ok(())
        }
        ArchiveCommand::Export { case, free_text } => {
            let journal = Archive::open_existing(&path)?.journal(case)?;
            let case =
                fold(&journal).map_err(|error| Error::new(Trouble::Data, error.to_string()))?;
            let text = file::write(&case, *free_text).map_err(|error| {
                Error::new(Trouble::Bug, format!("the case cannot be written: {error}"))
            })?;
            out.write_all(text.as_bytes())?;
            out.flush()?;
            Ok(())
        }
        ArchiveCommand::Import { file } => {
            let (flow, _) = usable(loaded(cli)?)?;
            let case = read_case(file, &flow)?;
            let mut desk = desk(cli, Archive::open(&path)?)?;
            desk.bring_in(&case, &moment(), &mut Uuid::new_v4)?;
            writeln!(out, "case {} is on the worklist", case.number)?;
            Ok(())
        }
    }
}
