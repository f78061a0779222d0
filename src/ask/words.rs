//! Commands by their words: those of the command table, and the few that only lines need.

use super::choose::small;
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

/// Returns whether a command works without a screen: scrolling, suspending and an editor do not, since pages are said whole and no
/// terminal is held.
pub fn is_offered(command: Command) -> bool {
    !matches!(
        command,
        Command::PageUp | Command::PageDown | Command::Suspend | Command::EditRule
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

/// The pages in the line of pages, each with the commands that go there.
const PAGES: [(Context, Command); 7] = [
    (Context::Questions, Command::Questions),
    (Context::Questions, Command::ToQuestions),
    (Context::Findings, Command::Findings),
    (Context::Options, Command::Options),
    (Context::Call, Command::Call),
    (Context::Picture, Command::Picture),
    (Context::Summary, Command::Summary),
];

/// Returns whether a word or letter goes to the page that is shown.
fn is_here(session: &Session, text: &str) -> bool {
    let here = PAGES.iter().filter(|(page, _)| *page == session.context());
    here.map(|(_, command)| command).any(|command| {
        let keys = session.keymap.keys(*command);
        let is_letter = text.chars().count() == 1;
        words(command.spec()).iter().any(|word| word == text)
            || is_letter && keys.iter().any(|key| key == text)
    })
}

/// Returns the command that a line could be, by its first word: the line is its word or its key, or begins an answer that
/// every question has, such as *not seen*. Returns `None` if it could be none.
pub(super) fn named(session: &Session, text: &str) -> Option<String> {
    let first = |command: Command| words(command.spec()).into_iter().next();
    let begun = |command: &Command| first(*command).is_some_and(|word| word.starts_with(text));
    match find(session, text) {
        Ok(Word::Command(command)) => first(command),
        Ok(Word::Own(Own::Again)) if is_here(session, text) => {
            Some(session.context().title().to_owned())
        }
        Ok(Word::Own(own)) => {
            let own = OWN.iter().find(|(other, ..)| *other == own);
            own.map(|(_, word, _)| (*word).to_owned())
        }
        Err(_) => [Command::NotSeen, Command::Same]
            .iter()
            .find(|command| session.context() == Context::Questions && begun(command))
            .and_then(|command| first(*command)),
    }
}

/// Finds the command of a word or of a key's name.
///
/// # Errors
/// Returns a sentence if it means nothing here, with the nearest word.
pub(super) fn find(session: &Session, text: &str) -> Result<Word, String> {
    let context = session.context();
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let small = small(&text);
    // Help is said, and covers nothing: there is none of it that has to be left first.
    if words(Command::Help.spec()).contains(&small) {
        return Ok(Word::Command(Command::Help));
    }
    // Whoever leaves what is looked for stays with the case.
    if context == Context::Find && words(Command::Leave.spec()).contains(&small) {
        return Ok(Word::Command(Command::Back));
    }
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
    if is_here(session, &small) {
        return Ok(Word::Own(Own::Again));
    }
    Err(unknown(context, &text, &small))
}

/// Says why a line means nothing here: as it was typed, and in small letters as words are known.
fn unknown(context: Context, typed: &str, text: &str) -> String {
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
    let shown: String = typed.chars().take(60).collect();
    let holds = |word: &&String| word.split(' ').any(|part| part == text);
    let near = known.iter().find(holds).map(String::as_str);
    let near = near.or_else(|| nearest(text, known.iter().map(String::as_str)));
    said::unknown(&shown, near)
}

/// Returns the commands of a context: those of the last line a line each, the pages in one line, and the names of all
/// others in another, since a list of fifty is heard by nobody.
pub(super) fn help(session: &Session) -> Vec<String> {
    let context = session.context();
    let is_page = |command: Command| PAGES.iter().any(|(_, own)| *own == command);
    let (told, others): (Vec<&CommandSpec>, Vec<&CommandSpec>) = here(context)
        .filter(|own| !is_page(own.command))
        .partition(|own| !own.short.is_empty());
    let mut lines: Vec<String> = told
        .into_iter()
        .map(|spec| {
            let mut names = words(spec);
            if context == Context::Find && spec.command == Command::Back {
                names.extend(words(Command::Leave.spec()));
            }
            // Keys that have no sign of their own are seldom typed as words; they are taken all the same.
            let keys = session.keymap.keys(spec.command);
            names.extend(keys.iter().filter_map(|key| match key.as_str() {
                "enter" => Some(said::EMPTY_LINE.to_owned()),
                key if key.chars().count() == 1 || key == "esc" => Some(key.to_owned()),
                _ => None,
            }));
            let does = match spec.command {
                Command::Back if context == Context::Find => said::LEAVES_FIND,
                Command::Back if goes_to_the_question_before(session) => said::QUESTION_BEFORE,
                _ => spec.does,
            };
            said::command(&names, does)
        })
        .collect();
    let own = OWN
        .iter()
        .map(|(_, word, does)| said::command(&[(*word).to_owned()], does));
    lines.extend(own);
    let first = |spec: &&CommandSpec| words(spec).into_iter().next();
    let pages = PAGES.iter().map(|(_, command)| command.spec());
    let pages: Vec<(String, String)> = pages
        .filter(|spec| spec.contexts.contains(&context))
        .filter_map(|spec| {
            let mut keys = session.keymap.keys(spec.command).iter();
            let letter = keys.find(|key| key.chars().count() == 1);
            Some((first(&spec)?, letter.cloned().unwrap_or_default()))
        })
        .collect();
    if !pages.is_empty() {
        lines.push(said::pages(&pages));
    }
    let others: Vec<String> = others.iter().filter_map(first).collect();
    if !others.is_empty() {
        lines.push(said::other_commands(&others));
    }
    lines
}

/// Returns whether one step back is the question before: at a question, unless the step back drops what is tried out.
pub(super) fn goes_to_the_question_before(session: &Session) -> bool {
    let open = session.inspection.as_ref().and_then(|i| i.cursor());
    session.context() == Context::Questions && open.is_some() && !session.is_trying()
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
