//! Codes of people: of dentists, and of those at the bench. A code is a word and never a name.

use crate::phrase::faults::case as faults;

/// The longest code, in characters.
pub const MAX_CODE: usize = 20;

/// Whose code it is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Whose {
    /// A dentist's.
    Dentist,
    /// Somebody's at the bench.
    Bench,
}

/// Checks a code.
///
/// # Errors
/// What is wrong with it, as a sentence.
pub fn check_code(code: &str, whose: Whose) -> Result<(), String> {
    let whose = match whose {
        Whose::Dentist => faults::CODE_OF_DENTIST,
        Whose::Bench => faults::CODE_OF_BENCH,
    };
    if code.is_empty() {
        return Err(whose.missing.to_owned());
    }
    if code.chars().count() > MAX_CODE {
        return Err(faults::code_long(whose, MAX_CODE));
    }
    match code
        .chars()
        .find(|c| !(c.is_alphanumeric() || "-/._".contains(*c)))
    {
        Some(' ') => Err(faults::code_one_word(whose)),
        Some(odd) => Err(faults::code_odd(whose, odd)),
        None => Ok(()),
    }
}
