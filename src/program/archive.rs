//! The archive on the command line: checked, copied, cases out and in.

use std::io::Write;

use serde_json::json;
use uuid::Uuid;

use super::case_file::read_case;
use super::{archive_path, counted, desk, loaded, moment, write_json};
use crate::archive::Archive;
use crate::case::{file, journal::fold};
use crate::cli::{ArchiveCommand, Cli, DataFormat};
use crate::desk::usable;
use crate::error::{Error, Trouble};

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
                let list: Vec<_> = damages
                    .iter()
                    .map(|damage| {
                        json!({
                            "case": damage.case,
                            "entry": damage.entry,
                            "sentence": damage.sentence,
                        })
                    })
                    .collect();
                let archive = path.display().to_string();
                write_json(
                    &json!({ "format": 1, "archive": archive, "damages": list }),
                    out,
                )?;
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
