//! The settings on the command line: what is active, and why.

use std::path::Path;

use super::counted;
use crate::text::shown;
use crate::tooth::Notation;

/// Why the notation is active: the command line or the environment.
pub const NOTATION_NAMED: &str = "set by --notation or CASEPAN_NOTATION";
/// Why the theme is active: the command line or the environment.
pub const THEME_NAMED: &str = "set by --theme or CASEPAN_THEME";
/// Why the signs are active: the command line or the environment.
pub const SIGNS_NAMED: &str = "set by --signs or CASEPAN_SIGNS";
/// Why any of them is active: the file.
pub const IN_LOOK: &str = "set in look.ron";
/// Why the notation is active: nobody has chosen one.
pub const NOTATION_DEFAULT: &str = "not chosen; tooth numbers that could be misread are asked back";

/// Why there is no colour: the command line.
pub const COLOR_NEVER: &str = "--color never";
/// Why there is no colour: the variable.
pub const NO_COLOR: &str = "NO_COLOR is set";
/// Why there is no colour: the terminal.
pub const DUMB: &str = "TERM is dumb";

/// Why a theme or signs are active: a variable of the environment.
pub fn variable(name: &str, value: &str) -> String {
    format!("{name} is {value}")
}

/// Why the theme is dark: the terminal does not say what its background is.
pub const NO_BACKGROUND: &str = "COLORFGBG is not set";
/// Why the signs are braille: the platform.
pub const UTF8_HERE: &str = "terminals support UTF-8 here";
/// Why the signs are ASCII: no locale.
pub const NO_LOCALE: &str = "LC_ALL, LC_CTYPE and LANG are not set";

/// Returns the line of a file; `None` for the path if the user has no home directory.
pub fn file(name: &str, read: bool, path: Option<&Path>) -> String {
    let read = if read { "read" } else { "not found" };
    let path = path.map_or_else(|| "no home directory".to_owned(), shown);
    format!("{name:<9} {read}: {path}")
}

/// Returns the line of the theme.
pub fn theme(name: &str, since: &str) -> String {
    format!("theme     {name}: {since}")
}

/// Returns the line of the signs.
pub fn signs(name: &str, since: &str) -> String {
    format!("signs     {name}: {since}")
}

/// Returns the line of the notation.
pub fn notation(notation: Notation, since: &str) -> String {
    format!("notation  {}: {since}", notation.name())
}

/// Returns the line of the roles that look.ron changes.
pub fn roles(names: &[&str]) -> String {
    format!("roles     changed: {}", names.join(", "))
}

/// Returns the line of the laboratory.
pub fn laboratory(name: Option<&str>, address: &[String]) -> String {
    let name = std::iter::once(name.unwrap_or("not named"));
    let lines: Vec<&str> = name.chain(address.iter().map(String::as_str)).collect();
    format!("lab       {}", lines.join(", "))
}

/// Returns the line of the folder that prints go to; `None` for the current directory.
pub fn prints(path: Option<&Path>) -> String {
    let into = path.map_or_else(|| "the current directory".to_owned(), shown);
    format!("prints    into {into}")
}

/// Returns the line of a command with other keys.
pub fn keys(command: &str, own: &[String], built_in: &[&str]) -> String {
    let (own, built_in) = (own.join(" "), built_in.join(" "));
    format!("key       {command}: {own} (built in: {built_in})")
}

/// The line of the keys if none is changed.
pub const BUILT_IN_KEYS: &str = "keys      built in";

/// Said of files without problems.
pub fn no_problems(files: usize, keys: usize, roles: usize) -> String {
    format!(
        "{}, {}, {}, no problems",
        counted(files, "file"),
        counted(keys, "changed key"),
        counted(roles, "changed role"),
    )
}

/// Said if the user has no home directory and names no settings.
pub const NO_HOME: &str = "this user has no home directory to keep settings in";
/// What to do then.
pub const NO_HOME_HINT: &str = "name a directory with --settings DIR";
/// What to do if one of the files exists.
pub const EXISTS_HINT: &str =
    "nothing was written; move it away, or name another directory with --settings DIR";
/// What to do if the directory cannot be created.
pub const WRITABLE_HINT: &str = "with --settings DIR, name a directory where you may write";

/// Said of new files.
pub fn written(directory: &Path) -> String {
    format!(
        "written to {}; run `casepan settings check` after each change",
        shown(directory)
    )
}
