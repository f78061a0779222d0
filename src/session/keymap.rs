//! Which key asks for what: the table's own keys, or those that a person changed.

use std::fmt;

use super::command::{COMMANDS, Command, CommandSpec, Context};
use crate::phrase::prompts::keys;

/// Keys with a name of their own. Everything else is a single character, or `ctrl-` and a letter.
///
/// No Alt and no Ctrl-Enter: terminals send them as something else, or not at all.
pub const NAMED: &[&str] = &[
    "enter",
    "backspace",
    "delete",
    "insert",
    "tab",
    "shift-tab",
    "up",
    "down",
    "left",
    "right",
    "pgup",
    "pgdn",
    "home",
    "end",
    "esc",
    "space",
    "f2",
    "f3",
    "f4",
    "f5",
    "f6",
    "f7",
    "f8",
    "f9",
];

/// Letters that a terminal sends with Ctrl as another key, or keeps for itself.
const TAKEN_WITH_CTRL: &str = "hijmqs[";

/// What the keys mean.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Keymap {
    /// The keys of each command, in the order of the table.
    keys: Vec<Vec<String>>,
}

impl Default for Keymap {
    fn default() -> Keymap {
        let own = |spec: &CommandSpec| spec.keys.iter().map(|key| (*key).to_owned()).collect();
        Keymap {
            keys: COMMANDS.iter().map(own).collect(),
        }
    }
}

/// Why a command cannot have a key.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum KeyFault {
    /// No key has this name.
    NoSuchKey(String),
    /// Terminals send this key as another one, or do not send it.
    Swallowed(String),
    /// The key is typed as text in this context.
    Typed(String, Context),
    /// Another command has the key in the same context.
    Twice(String, Context, Command),
    /// The command would have no key.
    NoKey,
    /// The key always quits.
    Leaves,
}

impl fmt::Display for KeyFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&match self {
            KeyFault::NoSuchKey(key) => keys::no_such_key(key, NAMED),
            KeyFault::Swallowed(key) => keys::not_handed_on(key),
            KeyFault::Typed(key, context) => keys::typed(key, context.title()),
            KeyFault::Twice(key, context, other) => {
                keys::twice(key, other.spec().id, context.title())
            }
            KeyFault::NoKey => keys::NO_KEY.to_owned(),
            KeyFault::Leaves => keys::ALWAYS_QUITS.to_owned(),
        })
    }
}

/// Checks the name of a key; an upper-case letter is a key of its own.
///
/// # Errors
/// No key has this name, or terminals do not send it as it is.
pub fn check_key(name: &str) -> Result<(), KeyFault> {
    let mut chars = name.chars();
    if let (Some(c), None) = (chars.next(), chars.next()) {
        let visible = !c.is_control() && !c.is_whitespace();
        return visible
            .then_some(())
            .ok_or_else(|| KeyFault::NoSuchKey(name.to_owned()));
    }
    if let Some(letter) = name.strip_prefix("ctrl-") {
        let mut chars = letter.chars();
        return match (chars.next(), chars.next()) {
            (Some(c), None) if TAKEN_WITH_CTRL.contains(c) => {
                Err(KeyFault::Swallowed(name.to_owned()))
            }
            (Some(c), None) if c.is_ascii_lowercase() => Ok(()),
            _ => Err(KeyFault::NoSuchKey(name.to_owned())),
        };
    }
    if NAMED.contains(&name) {
        return Ok(());
    }
    Err(KeyFault::NoSuchKey(name.to_owned()))
}

/// Returns whether a key is typed as text in a context.
fn is_typed(context: Context, key: &str) -> bool {
    if key == "space" {
        // Between words, also in a cell that takes a text.
        return matches!(
            context,
            Context::Prompt | Context::Filter | Context::Find | Context::Questions
        );
    }
    let mut chars = key.chars();
    let (Some(c), None) = (chars.next(), chars.next()) else {
        return false;
    };
    match context {
        Context::Prompt | Context::Filter | Context::Find => true,
        // A number, a day, or the digit of a choice.
        Context::Questions | Context::AskedBack => c.is_ascii_digit() || c == '.' || c == ',',
        Context::Call | Context::Answer => c.is_ascii_digit(),
        _ => false,
    }
}

impl Keymap {
    fn of(&self, command: Command) -> &[String] {
        self.keys.get(command as usize).map_or(&[], Vec::as_slice)
    }

    /// Returns the keys of a command.
    pub fn keys(&self, command: Command) -> &[String] {
        self.of(command)
    }

    /// Returns the key of a command that is shown.
    pub fn key(&self, command: Command) -> &str {
        self.of(command).first().map_or("", String::as_str)
    }

    /// Finds the command of a key in a context.
    ///
    /// Where no digits are typed, those of a numeric pad act as the arrows and page keys printed on them, so that one hand
    /// on the pad is enough.
    ///
    /// With the number lock on, a pad sends digits. The digit itself is looked up first.
    pub fn lookup(&self, context: Context, key: &str) -> Option<Command> {
        self.named(context, key).or_else(|| {
            let works = |command: &&Command| command.spec().contexts.contains(&context);
            on_the_pad(context, key).iter().find(works).copied()
        })
    }

    /// Finds the command of a key by the name of the key alone.
    pub fn named(&self, context: Context, key: &str) -> Option<Command> {
        COMMANDS
            .iter()
            .zip(&self.keys)
            .find(|(spec, keys)| {
                spec.contexts.contains(&context) && keys.iter().any(|own| own == key)
            })
            .map(|(spec, _)| spec.command)
    }

    /// Returns the commands of a context that the last line shows, each with its key.
    pub fn shown(&self, context: Context) -> impl Iterator<Item = (Command, &str, &'static str)> {
        COMMANDS
            .iter()
            .filter(move |spec| spec.contexts.contains(&context) && !spec.short.is_empty())
            .map(|spec| (spec.command, self.key(spec.command), spec.short))
    }

    /// Fills the keys into a text that names commands in braces, such as "{back} drops it".
    pub fn say(&self, text: &str) -> String {
        let mut out = String::new();
        let mut rest = text;
        while let Some((before, after)) = rest.split_once('{') {
            out.push_str(before);
            let named = after
                .split_once('}')
                .and_then(|(id, behind)| Some((Command::named(id)?, behind)));
            match named {
                Some((command, behind)) => {
                    out.push_str(self.key(command));
                    rest = behind;
                }
                None => {
                    out.push('{');
                    rest = after;
                }
            }
        }
        out.push_str(rest);
        out
    }

    /// Gives other keys to commands, all at once, so that two commands can change keys.
    ///
    /// # Errors
    /// Every change that is not possible, by its place in the list, with the reason. Then nothing is changed.
    pub fn changed(
        &self,
        changes: &[(Command, Vec<String>)],
    ) -> Result<Keymap, Vec<(usize, KeyFault)>> {
        let mut map = self.clone();
        let mut faults = Vec::new();
        for (index, (command, keys)) in changes.iter().enumerate() {
            let contexts = command.spec().contexts;
            for key in keys {
                let fault = match check_key(key) {
                    Err(fault) => Some(fault),
                    Ok(())
                        if (key == "ctrl-c") != (*command == Command::Quit) && key == "ctrl-c" =>
                    {
                        Some(KeyFault::Leaves)
                    }
                    Ok(()) => contexts
                        .iter()
                        .find(|context| is_typed(**context, key))
                        .map(|context| KeyFault::Typed(key.clone(), *context)),
                };
                faults.extend(fault.map(|fault| (index, fault)));
            }
            if *command == Command::Quit && !keys.iter().any(|key| key == "ctrl-c") {
                faults.push((index, KeyFault::Leaves));
            }
            if keys.is_empty() {
                faults.push((index, KeyFault::NoKey));
            }
            if let Some(own) = map.keys.get_mut(*command as usize) {
                own.clone_from(keys);
            }
        }
        for (index, (command, keys)) in changes.iter().enumerate() {
            for (context, key) in command
                .spec()
                .contexts
                .iter()
                .flat_map(|context| keys.iter().map(move |key| (context, key)))
            {
                let other = COMMANDS.iter().map(|spec| spec.command).find(|other| {
                    other != command
                        && other.spec().contexts.contains(context)
                        && map.of(*other).contains(key)
                });
                if let Some(other) = other {
                    let fault = KeyFault::Twice(key.clone(), *context, other);
                    let said = faults.iter().any(|(at, told)| {
                        *at == index
                            && matches!(told, KeyFault::Twice(k, _, o) if k == key && *o == other)
                    });
                    if !said {
                        faults.push((index, fault));
                    }
                }
            }
        }
        if faults.is_empty() {
            Ok(map)
        } else {
            Err(faults)
        }
    }
}

/// Returns the commands of a key of the numeric pad where it is not typed: arrows, back, page keys. The first that works
/// in the context counts.
fn on_the_pad(context: Context, key: &str) -> &'static [Command] {
    if matches!(
        context,
        Context::Questions | Context::AskedBack | Context::Prompt | Context::Find
    ) || is_typed(context, key)
    {
        return &[];
    }
    match key {
        // Answers that were typed ahead may end here: none of them may go back and become another.
        "5" | "-" if context == Context::Summary => &[],
        "-" => &[Command::Back],
        "+" => &[Command::Tick, Command::Pick, Command::PageDown],
        "2" => &[Command::Down],
        "3" => &[Command::PageDown],
        "4" => &[Command::PreviousPicture],
        "5" => &[Command::OpenCase, Command::Detail],
        "6" => &[Command::NextPicture],
        "8" => &[Command::Up],
        "9" => &[Command::PageUp],
        _ => &[],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn keys(keys: &[&str]) -> Vec<String> {
        keys.iter().map(|key| (*key).to_owned()).collect()
    }

    #[test]
    fn the_table_itself_has_no_fault() {
        let map = Keymap::default();
        let all: Vec<_> = COMMANDS
            .iter()
            .map(|spec| (spec.command, keys(spec.keys)))
            .collect();
        assert_eq!(map.changed(&all), Ok(map));
    }

    #[test]
    fn a_change_takes_the_place_of_all_keys_of_a_command() {
        let map = Keymap::default()
            .changed(&[(Command::Undo, keys(&["z", "f4"]))])
            .unwrap();
        assert_eq!(map.lookup(Context::Questions, "z"), Some(Command::Undo));
        assert_eq!(map.lookup(Context::Findings, "f4"), Some(Command::Undo));
        assert_eq!(map.lookup(Context::Questions, "u"), None);
        assert_eq!(map.say("{undo}: back; {nothing} {"), "z: back; {nothing} {");
    }

    #[test]
    fn two_commands_can_change_keys() {
        let swap = [(Command::Undo, keys(&["y"])), (Command::Redo, keys(&["u"]))];
        let map = Keymap::default().changed(&swap).unwrap();
        assert_eq!(map.lookup(Context::Call, "u"), Some(Command::Redo));
        // One of the two alone takes the other's key.
        let fault = KeyFault::Twice("y".to_owned(), Context::Questions, Command::Redo);
        assert_eq!(Keymap::default().changed(&swap[..1]), Err(vec![(0, fault)]));
    }

    #[test]
    fn what_cannot_be_is_refused() {
        for (command, wanted, fault) in [
            (
                Command::Undo,
                "7",
                KeyFault::Typed("7".to_owned(), Context::Questions),
            ),
            (
                Command::Undo,
                "alt-u",
                KeyFault::NoSuchKey("alt-u".to_owned()),
            ),
            (Command::Undo, "U U", KeyFault::NoSuchKey("U U".to_owned())),
            (Command::Undo, "", KeyFault::NoSuchKey(String::new())),
            (
                Command::Undo,
                "ctrl-m",
                KeyFault::Swallowed("ctrl-m".to_owned()),
            ),
            (Command::Undo, "ctrl-c", KeyFault::Leaves),
            (
                Command::Accept,
                "k",
                KeyFault::Typed("k".to_owned(), Context::Prompt),
            ),
            (
                Command::Undo,
                "space",
                KeyFault::Typed("space".to_owned(), Context::Questions),
            ),
            (
                Command::Accept,
                "space",
                KeyFault::Typed("space".to_owned(), Context::Prompt),
            ),
            (
                Command::Choose,
                "3",
                KeyFault::Typed("3".to_owned(), Context::Answer),
            ),
        ] {
            let told = Keymap::default().changed(&[(command, keys(&[wanted]))]);
            let faults = told.unwrap_err();
            assert!(faults.contains(&(0, fault)), "{wanted}: {faults:?}");
        }
        let told = Keymap::default().changed(&[(Command::Quit, keys(&["f9"]))]);
        assert_eq!(told, Err(vec![(0, KeyFault::Leaves)]));
        let told = Keymap::default().changed(&[(Command::Undo, Vec::new())]);
        assert_eq!(told, Err(vec![(0, KeyFault::NoKey)]));
    }

    #[test]
    fn the_pad_acts_as_what_is_printed_on_it_where_no_digit_is_typed() {
        let map = Keymap::default();
        for (context, key, wanted) in [
            (Context::Findings, "2", Some(Command::Down)),
            (Context::Options, "8", Some(Command::Up)),
            (Context::Worklist, "5", Some(Command::OpenCase)),
            (Context::Summary, "3", Some(Command::PageDown)),
            (Context::Findings, "-", Some(Command::Back)),
            (Context::Call, "-", Some(Command::Back)),
            (Context::Picture, "6", Some(Command::NextPicture)),
            // Typed ahead behind the last answer.
            (Context::Summary, "-", None),
            (Context::Summary, "5", None),
            (Context::Answer, "+", Some(Command::AddOption)),
            (Context::Questions, "2", None),
            (Context::Questions, "-", Some(Command::NotSeen)),
            (Context::Answer, "2", None),
            (Context::Prompt, "-", None),
        ] {
            assert_eq!(map.lookup(context, key), wanted, "{context:?} {key}");
        }
    }
}
