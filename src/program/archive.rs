//! The archive on the command line: checks, copies, exports, imports.

mod moving;

use std::io::Write;
use std::path::PathBuf;

use jiff::ZonedDateTime;
use schemars::JsonSchema;
use serde::Serialize;
use uuid::Uuid;

use super::case_file::{read_case, tell_version};
use super::{archive_path, desk, loaded, moment, write_json};
use crate::archive::{Archive, Checked, Damage, Restored};
use crate::case::dispute::as_comments;
use crate::case::{file, journal::fold};
use crate::cli::{ArchiveCommand, Cli, DataFormat};
use crate::error::{Error, Trouble, usable};
use crate::flow::{FORMAT, load_as};
use crate::phrase::program::archive as says;
use crate::print::json::shape::FormatKey;

/// What is damaged in the archive; an empty list if nothing is.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "CheckedArchive")]
pub(super) struct CheckedObject {
    /// The format of this object.
    format: FormatKey,
    /// The file.
    archive: String,
    /// What is not as it was written.
    damages: Vec<DamageObject>,
    /// How many cases can be read whole.
    whole: usize,
    /// The numbers of the other cases, those that are gone among them.
    broken: Vec<String>,
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

/// Returns where it is kept what this computer saw of archives, where there is such a place.
fn state_directory() -> Option<PathBuf> {
    let own = directories::ProjectDirs::from("", "", "casepan")?;
    let state = own.state_dir().unwrap_or_else(|| own.data_local_dir());
    Some(state.join("seen"))
}

/// Compares an archive with what this computer saw of it, and says on the error stream what is to be known of it.
///
/// # Errors
/// The archive cannot be read.
pub(super) fn watch(archive: &mut Archive) -> Result<(), Error> {
    compare(archive)?;
    tell(archive.notes().iter());
    Ok(())
}

fn compare(archive: &mut Archive) -> Result<(), Error> {
    if let Some(directory) = state_directory() {
        archive.witness_in(&directory)?;
    }
    Ok(())
}

fn tell<'a>(notes: impl Iterator<Item = &'a String>) {
    for note in notes {
        let line = format!("{}\n", crate::text::clean(&says::note(note)));
        // Without an error stream there is nobody to tell.
        let _ = std::io::stderr().write_all(line.as_bytes());
    }
}

/// Returns the flows by which no case can be judged although nothing of them is damaged: those in a format that never was, as
/// damage, and those of a program to come, as notes.
fn unusable(archive: &Archive, flows: &[(String, usize)]) -> (Vec<Damage>, Vec<String>) {
    let (mut impossible, mut newer) = (Vec::new(), Vec::new());
    for (digest, cases) in flows {
        // One that is damaged is told by the check itself.
        let Ok(Some(kept)) = archive.flow(digest) else {
            continue;
        };
        let sentence = says::other_format(digest, *cases, kept.format, FORMAT);
        if kept.format > FORMAT {
            newer.push(sentence);
        } else if load_as(kept.format, Vec::new()).is_none() {
            impossible.push(Damage {
                case: None,
                entry: None,
                sentence,
            });
        }
    }
    (impossible, newer)
}

/// Checks, copies, puts back, exports or imports.
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
        ArchiveCommand::Check { accept, format } => {
            let mut archive = Archive::open_to_read(&path)?;
            compare(&mut archive)?;
            if *accept && archive.not_as_seen().is_some() {
                archive.take_as_it_is()?;
                tell([says::TAKEN_AS_IT_IS.to_owned()].iter());
            }
            let Checked {
                mut damages,
                whole,
                broken,
                flows,
            } = archive.check_all()?;
            let (impossible, newer) = unusable(&archive, &flows);
            damages.extend(impossible);
            tell(newer.iter());
            // A chain that holds in itself is whole only if it is the one that was seen.
            damages.extend(archive.not_as_seen().map(|sentence| Damage {
                case: None,
                entry: None,
                sentence: sentence.to_owned(),
            }));
            // What is among the damages is said once.
            let damaged = |note: &String| damages.iter().any(|damage| damage.sentence == *note);
            tell(archive.notes().iter().filter(|note| !damaged(note)));
            if *format == DataFormat::Json {
                let object = |damage: &Damage| DamageObject {
                    case: damage.case.clone(),
                    entry: damage.entry,
                    sentence: damage.sentence.clone(),
                };
                let checked = CheckedObject {
                    format: FormatKey,
                    archive: path.display().to_string(),
                    damages: damages.iter().map(object).collect(),
                    whole: whole.len(),
                    broken: broken.clone(),
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
                error.hints.push(says::still_read(whole.len(), &broken));
            }
            if archive.not_as_seen().is_some() {
                error.hints.push(says::PUT_BACK_HINT.to_owned());
            }
            Err(error.hint(says::DAMAGED_HINT))
        }
        ArchiveCommand::Backup { to } => {
            let mut archive = Archive::open_to_read(&path)?;
            watch(&mut archive)?;
            archive.backup(to)?;
            writeln!(out, "{}", says::written(to))?;
            Ok(())
        }
        ArchiveCommand::Restore { from } => {
            let now = ZonedDateTime::now().datetime();
            let Restored { aside, had, cases } =
                Archive::restore(from, &path, now, state_directory().as_deref())?;
            writeln!(out, "{}", says::restored(&path, cases))?;
            if let Some(aside) = aside {
                writeln!(out, "{}", says::moved_aside(&aside))?;
                if let Some(had) = had {
                    writeln!(out, "{}", says::had_before(had))?;
                }
            }
            Ok(())
        }
        ArchiveCommand::Export {
            case: None,
            to: Some(folder),
            free_text,
        } => {
            let mut archive = Archive::open_to_read(&path)?;
            watch(&mut archive)?;
            moving::export(&archive, folder, *free_text, out)
        }
        ArchiveCommand::Export { case: None, .. } => {
            Err(Error::new(Trouble::Usage, says::WHAT_TO_EXPORT).hint(says::WHAT_TO_EXPORT_HINT))
        }
        ArchiveCommand::Export {
            case: Some(case),
            free_text,
            ..
        } => {
            let mut archive = Archive::open_to_read(&path)?;
            watch(&mut archive)?;
            let journal = archive.journal(case)?;
            let case =
                fold(&journal).map_err(|error| Error::new(Trouble::Data, error.to_string()))?;
            if !case.disputed_units().is_empty() {
                return Err(Error::new(Trouble::Data, says::UNITS_IN_DISPUTE)
                    .hint(says::UNITS_IN_DISPUTE_HINT));
            }
            let text = file::write(&case, *free_text)
                .map_err(|error| Error::new(Trouble::Bug, says::cannot_be_written(&error)))?;
            out.write_all(text.as_bytes())?;
            out.write_all(as_comments(&case).as_bytes())?;
            out.flush()?;
            Ok(())
        }
        ArchiveCommand::Import { file } if moving::is_for_import(file) => {
            let present = usable(loaded(cli)?)?;
            moving::import(&mut Archive::open(&path)?, file, &present, out)
        }
        ArchiveCommand::Import { file } if moving::is_an_archive(file) => {
            let error = Error::new(Trouble::Usage, says::is_an_archive(file));
            Err(error.hint(says::IS_AN_ARCHIVE_HINT))
        }
        ArchiveCommand::Import { file } => {
            let (flow, _) = usable(loaded(cli)?)?;
            let case = read_case(file, &flow)?;
            tell_version(file, &case, &flow);
            let mut desk = desk(cli, Archive::open)?;
            desk.bring_in(&case, &moment(), &mut Uuid::new_v4)?;
            writeln!(out, "{}", says::imported(&case.number))?;
            Ok(())
        }
    }
}
