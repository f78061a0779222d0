//! Why a key cannot be given to a command.

/// Said where a command would be left without a key.
pub const NO_KEY: &str = "this command needs at least one key";

/// Said where ctrl-c is given to another command, or taken from the one that quits.
pub const ALWAYS_QUITS: &str = "ctrl-c always quits, and does nothing else";

/// Says that no key has this name, and how keys are named.
pub fn no_such_key(key: &str, named: &[&str]) -> String {
    format!(
        "there is no key \"{key}\": use one character, ctrl- and a letter, or one of {}",
        named.join(", ")
    )
}

/// Says that terminals do not hand a key on.
pub fn not_handed_on(key: &str) -> String {
    format!("terminals do not pass {key} on as it is")
}

/// Says that a key is needed for typing on a page.
pub fn typed(key: &str, page: &str) -> String {
    format!("{key} is needed for typing on the page \"{page}\"")
}

/// Says that a key has another command on a page.
pub fn twice(key: &str, command: &str, page: &str) -> String {
    format!("{key} is already the key for \"{command}\" on the page \"{page}\"")
}
