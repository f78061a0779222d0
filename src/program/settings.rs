//! Settings on the command line: what is active and why, new files, a check.

use std::io::Write;

use schemars::JsonSchema;
use serde::Serialize;

use super::look::{Chosen, chosen, variable};
use super::write_json;
use crate::cli::{Cli, DataFormat, SettingsCommand};
use crate::error::{Error, Trouble};
use crate::files::write_whole;
use crate::phrase::program::{errors, settings as says};
use crate::print::json::shape::FormatKey;
use crate::screen::Theme;
use crate::session::Keymap;
use crate::session::command::{COMMANDS, CommandSpec};
use crate::settings::{FILES, Folder, Lab, Look, Settings, read, templates};

/// What is active, and why.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "SettingsInForce")]
pub(super) struct InForce {
    /// The format of this object.
    format: FormatKey,
    /// The files of settings.
    files: [FileObject; 3],
    /// The theme.
    theme: ThemeObject,
    /// What pictures and special signs are made of.
    signs: ChoiceObject,
    /// The notation of teeth.
    notation: ChoiceObject,
    /// Roles that look.ron changes.
    roles: Vec<&'static str>,
    /// The laboratory.
    laboratory: LaboratoryObject,
    /// The folder that prints go to, or null.
    prints: Option<String>,
    /// Commands whose keys differ from the built-in ones.
    keys: Vec<KeysObject>,
}

/// A file of settings.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "SettingsFile")]
struct FileObject {
    /// Its name: keys.ron, look.ron or lab.ron.
    name: &'static str,
    /// Its path; null without a home directory.
    path: Option<String>,
    /// Whether it exists and was read.
    read: bool,
}

/// The active theme.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Theme")]
struct ThemeObject {
    /// Its name.
    name: &'static str,
    /// Why it is active.
    since: String,
    /// Whether it has colours.
    colour: bool,
}

/// An active choice.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Choice")]
struct ChoiceObject {
    /// Its name.
    name: &'static str,
    /// Why it is active.
    since: String,
}

/// The laboratory, as lab.ron has it.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Laboratory")]
struct LaboratoryObject {
    /// Its name, or null.
    name: Option<String>,
    /// The lines of its address.
    address: Vec<String>,
}

/// The keys of a command.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Keys")]
struct KeysObject {
    /// The command.
    command: &'static str,
    /// Its active keys, the one that is shown first.
    keys: Vec<String>,
    /// Its keys without the file.
    built_in: &'static [&'static str],
}

/// Returns what the inspection is set up with.
///
/// # Errors
/// Returns an error if the settings have problems.
pub(super) fn for_the_session(cli: &Cli) -> Result<(Keymap, Theme, Lab), Error> {
    let settings = read(&folder(cli))?;
    let theme = chosen(cli, &settings.look, &variable).theme;
    Ok((settings.keymap, theme, settings.lab))
}

/// Shows, writes or checks the settings.
///
/// # Errors
/// Returns an error if they have problems, or the files cannot be written.
pub(super) fn carry_out(
    cli: &Cli,
    command: Option<&SettingsCommand>,
    format: DataFormat,
    out: &mut dyn Write,
) -> Result<(), Error> {
    let folder = folder(cli);
    match command {
        None => {
            let settings = read(&folder)?;
            let look = chosen(cli, &settings.look, &variable);
            match format {
                DataFormat::Text => tell(&folder, &settings, &look, out),
                DataFormat::Json => tell_json(&folder, &settings, &look, out),
            }
        }
        Some(SettingsCommand::New) => write_new(&folder, out),
        Some(SettingsCommand::Check) => {
            let settings = read(&folder)?;
            let (keys, roles) = (changed(&settings.keymap).count(), settings.look.roles.len());
            let files = settings.found.len();
            writeln!(out, "{}", says::no_problems(files, keys, roles))?;
            out.flush()?;
            Ok(())
        }
    }
}

pub(super) fn folder(cli: &Cli) -> Folder {
    Folder::of(cli.settings.as_deref())
}

/// Returns the commands whose keys differ from the built-in ones.
fn changed(keymap: &Keymap) -> impl Iterator<Item = &'static CommandSpec> {
    COMMANDS
        .iter()
        .filter(|spec| keymap.keys(spec.command) != Keymap::default().keys(spec.command))
}

fn tell(
    folder: &Folder,
    settings: &Settings,
    look: &Chosen,
    out: &mut dyn Write,
) -> Result<(), Error> {
    for name in FILES {
        let read = settings.found.contains(&name);
        let path = folder.file(name);
        writeln!(out, "{}", says::file(name, read, path.as_deref()))?;
    }
    writeln!(out, "{}", says::theme(look.name.name(), &look.theme_since))?;
    let signs = look.theme.signs().name();
    writeln!(out, "{}", says::signs(signs, &look.signs_since))?;
    let notation = says::notation(look.notation, look.notation_since);
    writeln!(out, "{notation}")?;
    let roles = roles(&settings.look);
    if !roles.is_empty() {
        writeln!(out, "{}", says::roles(&roles))?;
    }
    let laboratory = &settings.lab.laboratory;
    let laboratory = says::laboratory(laboratory.name.as_deref(), &laboratory.address);
    writeln!(out, "{laboratory}")?;
    writeln!(out, "{}", says::prints(settings.lab.prints.as_deref()))?;
    let mut built_in = true;
    for spec in changed(&settings.keymap) {
        let own = settings.keymap.keys(spec.command);
        writeln!(out, "{}", says::keys(spec.id, own, spec.keys))?;
        built_in = false;
    }
    if built_in {
        writeln!(out, "{}", says::BUILT_IN_KEYS)?;
    }
    out.flush()?;
    Ok(())
}

fn tell_json(
    folder: &Folder,
    settings: &Settings,
    look: &Chosen,
    out: &mut dyn Write,
) -> Result<(), Error> {
    let files = FILES.map(|name| FileObject {
        name,
        path: folder.file(name).map(|path| path.display().to_string()),
        read: settings.found.contains(&name),
    });
    let keys = changed(&settings.keymap).map(|spec| KeysObject {
        command: spec.id,
        keys: settings.keymap.keys(spec.command).to_vec(),
        built_in: spec.keys,
    });
    let choice = |name, since: &dyn ToString| ChoiceObject {
        name,
        since: since.to_string(),
    };
    let in_force = InForce {
        format: FormatKey,
        files,
        theme: ThemeObject {
            name: look.name.name(),
            since: look.theme_since.to_string(),
            colour: look.theme.has_colour(),
        },
        signs: choice(look.theme.signs().name(), &look.signs_since),
        notation: choice(look.notation.name(), &look.notation_since),
        roles: roles(&settings.look),
        laboratory: LaboratoryObject {
            name: settings.lab.laboratory.name.clone(),
            address: settings.lab.laboratory.address.clone(),
        },
        prints: settings
            .lab
            .prints
            .as_ref()
            .map(|path| path.display().to_string()),
        keys: keys.collect(),
    };
    write_json(&in_force, out)
}

fn write_new(folder: &Folder, out: &mut dyn Write) -> Result<(), Error> {
    let Some(path) = &folder.path else {
        return Err(Error::new(Trouble::CannotCreate, says::NO_HOME).hint(says::NO_HOME_HINT));
    };
    for (name, _) in templates() {
        let file = path.join(name);
        if file.exists() {
            let what = errors::already_exists(&file);
            return Err(Error::new(Trouble::CannotCreate, what).hint(says::EXISTS_HINT));
        }
    }
    std::fs::create_dir_all(path).map_err(|error| {
        let what = errors::cannot_be_created(path, &error);
        Error::new(Trouble::CannotCreate, what).hint(says::WRITABLE_HINT)
    })?;
    for (name, text) in templates() {
        write_whole(&path.join(name), &text)?;
    }
    writeln!(out, "{}", says::written(path))?;
    out.flush()?;
    Ok(())
}

/// Returns the names of the roles that are changed.
fn roles(look: &Look) -> Vec<&'static str> {
    look.roles.iter().map(|(role, _)| role.name()).collect()
}
