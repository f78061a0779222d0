//! What is wrong with shorter words for choices.

use crate::fact::FactId;
use crate::phrase::faults::Fault;

/// Shorter words for a fact that offers no choices.
pub fn no_choices(fact: &FactId) -> Fault {
    Fault::new(
        format!("\"{fact}\" offers no choices"),
        "this fact",
        "name a fact that is answered by one of several choices",
    )
}

/// Shorter words for a choice that the fact does not have.
pub fn no_such_choice(choice: &str, fact: &FactId, known: &str) -> Fault {
    Fault::new(
        format!("\"{fact}\" has no choice \"{choice}\""),
        "this choice",
        known,
    )
}

/// Shorter words that are none, too long, or no shorter than the whole ones.
pub fn not_short(length: usize, longest: usize) -> Fault {
    Fault::new(
        format!("these words have {length} characters"),
        "these words",
        format!("write at most {longest} characters, fewer than the choice itself has"),
    )
}

/// Shorter words for a choice that has some.
pub fn short_twice() -> Fault {
    Fault::new(
        "this choice has shorter words already",
        "the second",
        "remove one of the two rows",
    )
}

/// Shorter words that stand for two choices of a fact.
pub fn two_alike(words: &str) -> Fault {
    Fault::new(
        format!("\"{words}\" stands for another choice of this fact already"),
        "the second",
        "write words that tell the two apart",
    )
}
