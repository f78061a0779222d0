//! Which choice the start of a word means. What could be two things is neither: a word that is taken for another answer
//! than the one that was said is worse than one more question.

use super::words;
use crate::phrase::pages::ask as said;
use crate::phrase::words::{NO, YES};
use crate::session::Session;

/// Returns the choice of which a line begins a word, or `None` if it begins a word of none.
///
/// # Errors
/// A sentence that names all it could be, if it begins several choices or is a command as well.
pub(super) fn begun<T: Clone>(
    session: &Session,
    choices: &[(T, &str)],
    line: &str,
) -> Option<Result<T, String>> {
    let line = small(line);
    let own = |(_, words): &&(T, &str)| begins(&small(words), &line);
    let begun: Vec<&(T, &str)> = choices.iter().filter(own).collect();
    let names: Vec<&str> = begun.iter().map(|(_, words)| *words).collect();
    let command = words::named(session, &line);
    // A letter that is a key is the key, but where a choice itself begins with it: "f" is not the "for" in one.
    let is_key = command.is_some() && line.chars().count() == 1;
    if is_key && !names.iter().any(|words| small(words).starts_with(&line)) {
        return None;
    }
    match (begun.as_slice(), command) {
        ([], _) => None,
        (_, Some(command)) => Some(Err(said::choice_or_command(&line, &names, &command))),
        ([(choice, _)], None) => Some(Ok(choice.clone())),
        (_, None) => Some(Err(said::several_choices(&line, &names))),
    }
}

/// Returns a text in small letters with one blank between two words.
pub(super) fn small(text: &str) -> String {
    let words: Vec<&str> = text.split_whitespace().collect();
    words.join(" ").to_lowercase()
}

/// Returns whether a line is the start of a word of a choice, or of several of its words that follow each other.
fn begins(words: &str, line: &str) -> bool {
    // Yes and no answer questions of their own: "no" is none of "etched, no silane", "none", "normal".
    if line == YES || line == NO {
        return words.split(|c: char| !c.is_alphanumeric()).next() == Some(line);
    }
    let mut before = ' ';
    let mut begins = false;
    for (at, c) in words.char_indices() {
        let is_start = c.is_alphanumeric() && (before.is_whitespace() || "([/-".contains(before));
        begins |= is_start && words.get(at..).is_some_and(|rest| rest.starts_with(line));
        before = c;
    }
    // Digits are digits of choices, never words.
    begins && line.starts_with(char::is_alphabetic)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn any_word_can_be_begun_and_yes_and_no_only_as_the_first() {
        for (words, line, wanted) in [
            ("lost for under 1 mm", "lost", true),
            ("lost for under 1 mm", "for u", true),
            ("lost for under 1 mm", "und", true),
            ("lost for under 1 mm", "ost", false),
            ("lost for under 1 mm", "1", false),
            ("lost for under 1 mm", "lost under", false),
            ("lipped (j-shaped)", "j", true),
            ("air-abraded, no primer", "abr", true),
            ("air-abraded, no primer", "no", false),
            ("none", "no", false),
            ("none", "non", true),
            ("yes, tooth for tooth", "yes", true),
            ("up to 0.1 mm", "0.1", false),
        ] {
            assert_eq!(begins(words, line), wanted, "{words} {line}");
        }
    }
}
