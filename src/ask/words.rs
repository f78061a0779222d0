//! Commands by their words: those of the command table, and the few that only lines need.

use crate::phrase::pages::ask as said;
use crate::ronfile::nearest;
use crate::session::command::former_name;
use crate::session::command::{COMMANDS, CommandSpec};
use crate::session::{Command, Context, Session};

/// The mark before a command while a text is typed.
pub const MARK: char = ':';

/// A command that only lines need.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Own {
    Again,
    Where,
    Page,
    Line,
}

/// The words of those, and what they do.
const OWN: &[(Own, &str, &str)] = &[
    (Own::Again, said::AGAIN_WORD, said::AGAIN),
    (Own::Where, said::WHERE_WORD, said::WHERE),
    (Own::Page, said::PAGE_WORD, said::PAGE),
    (Own::Line, said::LINE_WORD, said::LINE),
];

/// What a word asks for.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) enum Word {
    Command(Command),
    Own(Own),
}

/// Returns the words of a command: its name in the last line of the screen, then its own name.
pub fn words(spec: &CommandSpec) -> Vec<String> {
    let mut name = String::new();
    for c in format!("{:?}", spec.command).chars() {
        if c.is_uppercase() && !name.is_empty() {
            name.push(' ');
        }
        name.extend(c.to_lowercase());
    }
    let short = spec.short.to_owned();
    // What it was called before is understood as well.
    let former = former_name(spec.command).unwrap_or_default().to_owned();
    let both = [short, name, former];
    let mut words: Vec<String> = Vec::new();
    for word in both.into_iter().filter(|word| !word.is_empty()) {
        if !words.contains(&word) {
            words.push(word);
        }
    }
    words
}

/// Returns whether a command works without a screen: scrolling and suspending do not, since pages are said whole and no
/// terminal is held.
pub fn is_offered(command: Command) -> bool {
    !matches!(
        command,
        Command::PageUp
            | Command::PageDown
            | Command::NextHits
            | Command::PreviousHits
            | Command::Suspend
    )
}

/// Returns what Enter does in a context.
pub(super) fn enter(context: Context) -> Option<Command> {
    COMMANDS
        .iter()
        .find(|spec| spec.contexts.contains(&context) && spec.keys.contains(&"enter"))
        .map(|spec| spec.command)
}

fn here(context: Context) -> impl Iterator<Item = &'static CommandSpec> {
    COMMANDS
        .iter()
        .filter(move |spec| spec.contexts.contains(&context) && is_offered(spec.command))
}

/// Finds the command of a word or of a key's name.
///
/// # Errors
/// Returns a sentence if it means nothing here, with the nearest word.
pub(super) fn find(session: &Session, text: &str) -> Result<Word, String> {
    let context = session.context();
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let small = text.to_lowercase();
    if let Some((own, ..)) = OWN.iter().find(|(_, word, _)| *word == small) {
        return Ok(Word::Own(*own));
    }
    let spoken = here(context).find(|spec| words(spec).contains(&small));
    if let Some(spec) = spoken {
        return Ok(Word::Command(spec.command));
    }
    let by_key = |key: &str| session.keymap.named(context, key);
    let key = by_key(&text).or_else(|| by_key(&small));
    if let Some(command) = key.filter(|command| is_offered(*command)) {
        return Ok(Word::Command(command));
    }
    Err(unknown(context, &small))
}

fn unknown(context: Context, text: &str) -> String {
    let elsewhere: Vec<&str> = COMMANDS
        .iter()
        .filter(|spec| is_offered(spec.command) && words(spec).iter().any(|word| word == text))
        .flat_map(|spec| spec.contexts)
        .map(|context| context.title())
        .collect();
    if !elsewhere.is_empty() {
        return said::elsewhere(text, &elsewhere);
    }
    let known: Vec<String> = here(context)
        .flat_map(words)
        .chain(OWN.iter().map(|(_, word, _)| (*word).to_owned()))
        .collect();
    let shown: String = text.chars().take(60).collect();
    let holds = |word: &&String| word.split(' ').any(|part| part == text);
    let near = known.iter().find(holds).map(String::as_str);
    let near = near.or_else(|| nearest(&shown, known.iter().map(String::as_str)));
    said::unknown(&shown, near)
}

/// Returns the commands of a context, a line each: words, keys, what it does.
pub(super) fn help(session: &Session) -> Vec<String> {
    let context = session.context();
    let table = here(context).map(|spec| {
        let mut names = words(spec);
        // Keys that have no sign of their own are seldom typed as words; they are taken all the same.
        let keys = session.keymap.keys(spec.command);
        names.extend(keys.iter().filter_map(|key| match key.as_str() {
            "enter" => Some(said::EMPTY_LINE.to_owned()),
            key if key.chars().count() == 1 || key == "esc" => Some(key.to_owned()),
            _ => None,
        }));
        said::command(&names, spec.does)
    });
    let own = OWN
        .iter()
        .map(|(_, word, does)| said::command(&[(*word).to_owned()], does));
    table.chain(own).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_word_means_two_things_in_one_context() {
        for context in Context::ALL {
            let mut all: Vec<String> = here(context).flat_map(words).collect();
            all.extend(OWN.iter().map(|(_, word, _)| (*word).to_owned()));
            let count = all.len();
            all.sort();
            all.dedup();
            assert_eq!(all.len(), count, "{context:?}");
        }
    }

    #[test]
    fn no_key_is_the_mark_and_none_is_the_word_of_another_command() {
        for context in Context::ALL {
            for spec in here(context) {
                assert!(!spec.keys.iter().any(|key| key.starts_with(MARK)));
                let other = here(context).find(|other| {
                    other.command != spec.command
                        && words(other).iter().any(|w| spec.keys.contains(&w.as_str()))
                });
                assert!(other.is_none(), "{:?} {other:?}", spec.command);
            }
        }
    }
}
