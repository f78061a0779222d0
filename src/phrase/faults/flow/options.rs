//! What is wrong with the options of a flow.

use std::fmt::Display;

use crate::fact::{FactId, PlaceKind, Unit, Value};
use crate::phrase::faults::Fault;
use crate::phrase::faults::values::one;

fn here(what: impl Into<String>, help: impl Into<String>) -> Fault {
    Fault::new(what, "here", help)
}

/// An option that sets a fact that is inspected, without anything that comes in.
pub fn fact_without_arrival(fact: &FactId) -> Fault {
    here(
        format!("it changes \"{fact}\", which is inspected, and nothing comes in"),
        ARRIVAL,
    )
}

/// An option that changes readings, without anything that comes in.
pub fn readings_without_arrival() -> Fault {
    here(
        "it changes readings, which are inspected, and nothing comes in",
        ARRIVAL,
    )
}

/// What to do where nothing comes in.
const ARRIVAL: &str = "say in `comes` what has to come in before it counts";

/// An option that answers nothing.
pub fn answers_nothing() -> Fault {
    here("it answers no finding", "name topics or rules in `answers`")
}

/// Words of an answer that no question of the option offers.
pub fn said_by_no_rule(words: &str) -> Fault {
    here(
        format!("no question that it answers offers \"{words}\""),
        "copy a choice from `choices` of a rule that it answers, one that is not in `settles`",
    )
}

/// A fact that is told with an option and has to be inspected.
pub fn cannot_be_told(fact: &FactId) -> Fault {
    here(
        format!("\"{fact}\" is inspected and cannot simply be told"),
        "name a fact of the order, or one that only the dentist knows",
    )
}

/// An amount of 0, or in another unit.
pub fn amount(unit: Unit) -> Fault {
    here(
        format!("expected {}(…) above 0", unit.variant()),
        "write an amount that changes something",
    )
}

/// Each choice of a fact that has none.
pub fn no_choices(fact: &str) -> Fault {
    here(
        format!("\"{fact}\" has no choices"),
        "name a fact that has choices",
    )
}

/// A computed fact that would be set.
pub fn computed(fact: &FactId) -> Fault {
    here(
        format!("\"{fact}\" is computed and cannot be set"),
        "set what it is computed from",
    )
}

/// An option that sets no fact.
pub fn sets_nothing() -> Fault {
    here("it changes nothing", "name facts and their values")
}

/// A verb at a kind of place that it does not change.
pub fn verb_place(verb: PlaceKind, at: PlaceKind) -> Fault {
    here(
        format!("this verb changes {}, not {}", one(verb), one(at)),
        format!("write `at: {verb:?}`"),
    )
}

/// A fault of an option with its place in front: file and line.
pub fn fault(written: &str, option: &str, what: &dyn Display) -> String {
    format!("{written}: option \"{option}\": {what}")
}

/// An option that changes nothing of what a rule or topic reads.
pub fn in_vain(name: &str) -> String {
    format!("it changes nothing that \"{name}\" reads: remove the name from `answers`")
}

/// An option that sets a fact to two values.
pub fn two_values(fact: &FactId, one: &Value, other: &Value) -> String {
    format!("it sets {fact} to two values, {one:?} and {other:?}")
}

/// An option whose own change bars it; `why` as the flow says it.
pub fn bars_itself(why: &str) -> String {
    format!("it bars itself: {why}")
}

/// An option after which a rule fires that had no cause before.
pub fn fires(rule: &str) -> String {
    format!("it makes rule \"{rule}\" fire all by itself")
}

/// Two options that set one fact to different values.
pub fn undo_each_other(other: &str, fact: &str) -> String {
    format!(
        "it and \"{other}\" undo each other: both set {fact} for the same finding, to different values"
    )
}
