//! The files of settings: what is wrong with them, and what stands in new ones.

use std::path::Path;

use super::counted;
use crate::text::shown;

/// The codes of problems, each with its meaning in one line.
pub const CODES: &[(&str, &str)] = &[
    ("keys-command", "there is no command with this name"),
    ("keys-command-twice", "two lines give keys to one command"),
    ("keys-leaves", "ctrl-c always leaves and does nothing else"),
    ("keys-name", "there is no key with this name"),
    ("keys-none", "a command would have no key left"),
    (
        "keys-swallowed",
        "terminals send this key as another one or do not pass it on",
    ),
    ("keys-too-many", "too many keys for one command"),
    (
        "keys-twice",
        "another command has this key on the same page",
    ),
    (
        "keys-typed",
        "this key types a character on a page of the command",
    ),
    ("lab-empty", "an empty text"),
    (
        "lab-folder",
        "the folder for prints is not an absolute path",
    ),
    (
        "lab-lines",
        "more address lines than a letter has space for",
    ),
    ("lab-long", "a line that is too long for a letter"),
    ("look-colour", "a colour that cannot be chosen"),
    ("look-mark", "the open cell would look like other text"),
    ("look-role", "there is no role with this name"),
    ("look-role-twice", "two lines change one role"),
];

/// Said of a directory that was named and is not one.
pub fn not_a_directory(path: &Path) -> String {
    format!("{} is not a settings directory", shown(path))
}

/// What to do then.
pub const NOT_A_DIRECTORY_HINT: &str =
    "name a directory that exists; `casepan --settings DIR settings new` creates one";

/// Said of files with problems, which stand above.
pub fn problems(count: usize) -> String {
    format!(
        "{} in the settings, nothing was started",
        counted(count, "problem")
    )
}

/// What to do then.
pub const PROBLEMS_HINT: &str =
    "fix the places above, or move the file away to use the built-in settings";

/// What to do if a file cannot be read.
pub const UNREAD_HINT: &str = "make it readable, or move it away to use the built-in settings";

/// What stands beside a place in a file.
pub mod label {
    /// A command that does not exist.
    pub const NOT_A_COMMAND: &str = "not a command";
    /// A command that has a line before.
    pub const NAMED_TWICE: &str = "named twice";
    /// More keys or lines than are allowed.
    pub const TOO_MANY: &str = "too many";
    /// A key that does not exist.
    pub const NOT_A_KEY: &str = "not a key";
    /// A key that a terminal does not pass on.
    pub const SWALLOWED: &str = "never arrives as this key";
    /// A key that types a character.
    pub const TYPED: &str = "types a character there";
    /// A key that another command has.
    pub const TAKEN: &str = "taken";
    /// A command without keys.
    pub const NO_KEY: &str = "no key";
    /// The key that always leaves.
    pub const FIXED: &str = "cannot be changed";
    /// A path that does not begin at the root.
    pub const NOT_ABSOLUTE: &str = "not an absolute path";
    /// An empty text.
    pub const EMPTY: &str = "empty";
    /// A text that is too long.
    pub const TOO_LONG: &str = "too long";
    /// A role that does not exist.
    pub const NOT_A_ROLE: &str = "not a role";
    /// A role that has a line before.
    pub const CHANGED_TWICE: &str = "changed twice";
    /// A colour that does not exist.
    pub const NOT_A_COLOUR: &str = "not a colour";
    /// Roles that would look alike.
    pub const ALIKE: &str = "cannot be told apart";
}

/// Said of a command that does not exist.
pub fn no_command(name: &str) -> String {
    format!("there is no command \"{name}\"")
}

/// What to do if no name is close to it.
pub const NO_COMMAND_HINT: &str = "`casepan settings new` writes a file that names all commands";

/// Said of a command that has a line before.
pub fn command_twice(name: &str, line: usize) -> String {
    format!("\"{name}\" already has its keys on line {line}")
}

/// What to do then.
pub const COMMAND_TWICE_HINT: &str = "put all its keys on one line";

/// Said of a command with too many keys.
pub fn too_many_keys(count: usize) -> String {
    format!("{count} keys for one command")
}

/// What to do then.
pub fn too_many_keys_hint(most: usize) -> String {
    format!("name at most {most}")
}

/// What to do if no key has this name.
pub const NO_KEY_NAMED_HINT: &str = "write the key as one character, or by its name";
/// What to do if terminals do not pass the key on.
pub const SWALLOWED_HINT: &str = "choose another letter, or one of f2 to f9";
/// What to do if the key types a character.
pub const TYPED_HINT: &str =
    "choose a key that types nothing there, such as f4 or ctrl- with a letter";

/// Says that a command has moved to the key that a file gives to another one.
pub fn moved(command: &str, former: &str, now: &str) -> String {
    format!("`{command}` was on `{former}` before; it is on `{now}` now")
}

/// What to do if another command has the key.
pub fn taken_hint(other: &str) -> String {
    format!("give \"{other}\" another key in this file too")
}

/// What else to do then.
pub const FREE_KEY_HINT: &str =
    "or choose a free key: `?` during the inspection lists those in use";
/// What to do if a command has no key.
pub const NO_KEY_HINT: &str = "name at least one key, or remove the line";
/// What to do about the key that always leaves.
pub const LEAVES_HINT: &str = "keep ctrl-c for \"quit\", and \"quit\" on ctrl-c alone";

/// Said of an address that is too long.
pub fn address_lines(count: usize) -> String {
    format!("{count} address lines")
}

/// What to do then.
pub fn address_lines_hint(most: usize) -> String {
    format!("a letter has room for {most}")
}

/// Said of a folder that is not an absolute path.
pub fn not_absolute(path: &str) -> String {
    format!("\"{path}\" is not an absolute path")
}

/// What to do then.
pub const NOT_ABSOLUTE_HINT: &str =
    "write the full path; ~ and names of variables are not expanded";

/// Said of a text with nothing in it.
pub const EMPTY: &str = "there is no text here";
/// What to do then.
pub const EMPTY_HINT: &str = "fill it in, or remove it: the letter then has a line to fill in";

/// Said of a line that is too long.
pub fn long_line(count: usize, most: usize) -> String {
    format!("{count} characters, at most {most} fit")
}

/// What to do then.
pub const LONG_LINE_HINT: &str = "split it over two lines of the address";

/// Said of a role that does not exist.
pub fn no_role(name: &str) -> String {
    format!("there is no role \"{name}\"")
}

/// Said of a role that has a line before.
pub fn role_twice(name: &str) -> String {
    format!("\"{name}\" was already changed on an earlier line")
}

/// What to do then.
pub const ROLE_TWICE_HINT: &str = "put all its changes on one line";

/// Said of a colour that cannot be chosen.
pub fn no_colour(name: &str) -> String {
    format!("\"{name}\" is not a colour that can be chosen")
}

/// Why not every colour can be chosen.
pub const NO_COLOUR_HINT: &str =
    "white, black and greys may be the background itself and disappear on it";

/// Which names there are, if none is close.
pub fn there_are(names: &[&str]) -> String {
    format!("there are {}", names.join(", "))
}

/// Said if the open cell would not show.
pub const NO_MARK: &str = "the open cell would look like other text without colour";
/// What to do then.
pub const NO_MARK_HINT: &str =
    "make \"present\" differ from \"text\" and \"answer\" in bold, dim, underlined or reversed";

/// How changed files are checked; stands in every new file.
pub const CHECK: &str = "After a change: casepan settings check";

/// What stands at the head of a new file of keys.
pub fn keys_head(named: &[&str]) -> [String; 5] {
    [
        "Your own keys. A line here replaces all keys of its command; everything else stays as it is.".to_owned(),
        "Remove the // before a line that begins with Key, and change its keys; the first one is the one shown.".to_owned(),
        "A key is one character (an upper-case letter is a key of its own), ctrl- with a letter, or one of".to_owned(),
        format!("{}.", named.join(" ")),
        CHECK.to_owned(),
    ]
}

/// What stands over the line of a command in a new file of keys: what it does, and where.
pub fn keys_line(does: &str, places: &[&str]) -> String {
    format!("{does} ({})", places.join(", "))
}

/// What stands at the head of a new file of the laboratory.
pub const LAB_HEAD: [&str; 2] = [
    "Your laboratory on its sheets. Remove the // before what you fill in.",
    CHECK,
];
/// Over the name of the laboratory.
pub const LAB_NAME: &str = "Printed at the head of letters, and on every sheet.";
/// Over its address.
pub const LAB_ADDRESS: &str = "One text for each line, five at most.";
/// Over its folder.
pub const LAB_PRINTS: &str = "Folder that p on the summary page writes to, as an absolute path; without it, the current directory.";
/// An invented name of a laboratory.
pub const LAB_NAME_EXAMPLE: &str = "Our laboratory";
/// An invented address.
pub const LAB_ADDRESS_EXAMPLE: [&str; 2] = ["1 Example Street", "Example Town"];

/// What stands at the head of a new file of the look.
pub const LOOK_HEAD: [&str; 2] = [
    "Your own look. Remove the // before what you change; everything else stays as it is.",
    CHECK,
];
/// Over the theme.
pub const LOOK_THEME: &str =
    "Auto, Dark, Light, Plain or Contrast. Auto is Light if COLORFGBG says so, otherwise Dark.";
/// Over the signs.
pub const LOOK_SIGNS: &str = "Braille, or Ascii for a terminal that shows nothing else.";
/// Over the notation.
pub const LOOK_NOTATION: &str = "Iso3950, Universal or Palmer. If it is set, tooth numbers that could be misread are not asked back.";

/// Over the roles: what can be changed about each.
pub fn look_roles(example: &str) -> [String; 2] {
    [
        "How single roles look, over any theme. For each role, as many of these as you want:"
            .to_owned(),
        format!("colour: {example:?}, bold: true, dim: true, underlined: true, reversed: true"),
    ]
}

/// Which colours there are.
pub fn look_colours(names: &[&str]) -> String {
    format!("Colours: {}.", names.join(" "))
}
