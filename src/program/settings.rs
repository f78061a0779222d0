//! Settings on the command line: what is in force and why, the files to begin with, a check.

use std::io::Write;

use schemars::JsonSchema;
use serde::Serialize;

use super::look::{Chosen, chosen, variable};
use super::{counted, write_json};
use crate::cli::{Cli, DataFormat, SettingsCommand};
use crate::desk::write_file;
use crate::error::{Error, Trouble};
use crate::print::json::shape::Format;
use crate::screen::{Signs, Theme};
use crate::session::Keymap;
use crate::session::command::{COMMANDS, CommandSpec};
use crate::settings::{FILES, Folder, Lab, Look, Settings, read, templates};

/// What is in force, and why.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "SettingsInForce")]
pub(super) struct InForce {
    /// The format of this object.
    format: Format,
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
    /// Where it is looked for; null without a home directory.
    path: Option<String>,
    /// Whether it is there and was read.
    read: bool,
}

/// The theme in force.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Theme")]
struct ThemeObject {
    /// Its name.
    name: &'static str,
    /// Why it is in force.
    since: String,
    /// Whether it has colours.
    colour: bool,
}

/// What was chosen.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Choice")]
struct ChoiceObject {
    /// Its name.
    name: &'static str,
    /// Why it is in force.
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
    /// Its keys now, the one that is shown first.
    keys: Vec<String>,
    /// Its keys without the file.
    built_in: &'static [&'static str],
}

/// Returns what the inspection is set up with.
///
/// # Errors
/// Something is wrong with the settings.
pub(super) fn for_the_session(cli: &Cli) -> Result<(Keymap, Theme, Lab), Error> {
    let settings = read(&folder(cli))?;
    let theme = chosen(cli, &settings.look, &variable).theme;
    Ok((settings.keymap, theme, settings.lab))
}

/// Tells, writes or checks the settings.
///
/// # Errors
/// Something is wrong with them, or the files cannot be written.
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
            let (keys, roles) = (counted(keys, "other key"), counted(roles, "other role"));
            let files = counted(settings.found.len(), "file");
            writeln!(out, "{files}, {keys}, {roles}, no problem")?;
            out.flush()?;
            Ok(())
        }
    }
}

pub(super) fn folder(cli: &Cli) -> Folder {
    Folder::of(cli.settings.as_deref())
}

/// The commands whose keys differ from the built-in ones.
fn changed(keymap: &Keymap) -> impl Iterator<Item = &'static CommandSpec> {
    COMMANDS
        .iter()
        .filter(|spec| keymap.keys(spec.command) != Keymap::default().keys(spec.command))
}

fn signs_name(theme: Theme) -> &'static str {
    match theme.signs() {
        Signs::Braille => "braille",
        Signs::Ascii => "ascii",
    }
}

fn tell(
    folder: &Folder,
    settings: &Settings,
    look: &Chosen,
    out: &mut dyn Write,
) -> Result<(), Error> {
    for name in FILES {
        let path = folder.file(name).map_or_else(
            || "nowhere, since this user has no home directory".to_owned(),
            |path| path.display().to_string(),
        );
        let there = if settings.found.contains(&name) {
            "read"
        } else {
            "not there"
        };
        writeln!(out, "{name:<9} {there}: {path}")?;
    }
    writeln!(out, "theme     {}: {}", look.name, look.theme_since)?;
    let signs = signs_name(look.theme);
    writeln!(out, "signs     {signs}: {}", look.signs_since)?;
    let (notation, since) = (look.notation.name(), look.notation_since);
    writeln!(out, "notation  {notation}: {since}")?;
    let roles = roles(&settings.look);
    if !roles.is_empty() {
        writeln!(out, "roles     changed: {}", roles.join(", "))?;
    }
    let laboratory = &settings.lab.laboratory;
    let name = laboratory.name.as_deref().unwrap_or("not named");
    let lines: Vec<&str> = std::iter::once(name)
        .chain(laboratory.address.iter().map(String::as_str))
        .collect();
    writeln!(out, "lab       {}", lines.join(", "))?;
    let prints = settings.lab.prints.as_ref().map_or_else(
        || "into the present directory".to_owned(),
        |path| format!("into {}", path.display()),
    );
    writeln!(out, "prints    {prints}")?;
    let mut keys = 0;
    for spec in changed(&settings.keymap) {
        let own = settings.keymap.keys(spec.command).join(" ");
        writeln!(
            out,
            "key       {}: {own} (built in: {})",
            spec.id,
            spec.keys.join(" ")
        )?;
        keys += 1;
    }
    if keys == 0 {
        writeln!(out, "keys      as they are built in")?;
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
        format: Format,
        files,
        theme: ThemeObject {
            name: look.name,
            since: look.theme_since.to_string(),
            colour: look.theme.has_colour(),
        },
        signs: choice(signs_name(look.theme), &look.signs_since),
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
        return Err(Error::new(
            Trouble::CannotCreate,
            "this user has no home directory to keep settings in",
        )
        .hint("name a directory with --settings DIR"));
    };
    for (name, _) in templates() {
        let file = path.join(name);
        if file.exists() {
            let what = format!("{} is there already", file.display());
            return Err(Error::new(Trouble::CannotCreate, what).hint(
                "nothing was written; move it away, or name another directory with --settings DIR",
            ));
        }
    }
    std::fs::create_dir_all(path).map_err(|error| {
        let what = format!("{} cannot be made: {error}", path.display());
        Error::new(Trouble::CannotCreate, what)
            .hint("name a directory where you may write with --settings DIR")
    })?;
    for (name, text) in templates() {
        write_file(&path.join(name), &text)?;
    }
    writeln!(
        out,
        "written to {}; try `casepan settings check` after each change",
        path.display()
    )?;
    out.flush()?;
    Ok(())
}

/// The roles that are changed, by name.
fn roles(look: &Look) -> Vec<&'static str> {
    look.roles.iter().map(|(role, _)| role.name()).collect()
}
