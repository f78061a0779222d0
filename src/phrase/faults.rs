//! Sentences of errors and faults. Every room may use them, so that this part of `phrase` knows facts and teeth alone.

pub mod archive;
pub mod case;
pub mod flow;
pub mod journal;
pub mod reasons;
pub mod values;

use std::fmt::Display;

use crate::fact::Kind;

/// What is wrong in a file: one sentence, the label at its place and one line that says what to do.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Fault {
    /// What is wrong.
    pub what: String,
    /// The label under the place.
    pub label: &'static str,
    /// What to do.
    pub help: String,
}

impl Fault {
    fn new(what: impl Into<String>, label: &'static str, help: impl Into<String>) -> Fault {
        Fault {
            what: what.into(),
            label,
            help: help.into(),
        }
    }
}

/// What to do where a fact is not known and none has a similar name.
pub const FACTS_LISTED: &str = "`casepan flow facts` lists every fact";

/// A name that no fact has; `near` is a similar one.
pub fn unknown_fact(name: &str, near: Option<&str>) -> Fault {
    let help = near.map_or_else(|| FACTS_LISTED.to_owned(), did_you_mean);
    Fault::new(format!("there is no fact \"{name}\""), "unknown fact", help)
}

/// A choice that a fact does not have; `near` is a similar one.
pub fn unknown_choice(fact: &str, near: Option<&str>, known: &[String]) -> Fault {
    let help = near.map_or_else(|| one_of(known), did_you_mean);
    let what = format!("\"{fact}\" has no such choice");
    Fault::new(what, "unknown choice", help)
}

/// A value of another kind or unit than the fact takes.
pub fn other_type(fact: &str, kind: &Kind) -> Fault {
    let wanted = values::wanted(kind);
    let help = match kind {
        Kind::Number { unit, .. } => format!("write {}(…): it takes {wanted}", unit.variant()),
        _ => format!("it takes {wanted}"),
    };
    let what = format!("\"{fact}\" takes another kind of value");
    Fault::new(what, "does not fit", help)
}

/// A number outside the bounds of its fact.
pub fn out_of_range(fact: &str, kind: &Kind) -> Fault {
    let what = format!("\"{fact}\" never has this value");
    let help = format!("it takes {}", values::wanted(kind));
    Fault::new(what, "out of range", help)
}

/// A number that is infinite, not a number, or a fraction of things that are counted.
pub fn not_measurable() -> Fault {
    Fault::new(
        "this is not a number that can be measured",
        "not a measured value",
        "write a plain number",
    )
}

/// A free text that is too long to be saved.
pub fn long_text(most: usize) -> Fault {
    Fault::new(
        "this text is too long",
        "too long",
        format!("at most {most} characters fit"),
    )
}

/// What to do where a similar name is known.
fn did_you_mean(near: impl Display) -> String {
    format!("did you mean \"{near}\"?")
}

/// What to do where one of some names is expected.
pub fn one_of(known: &[String]) -> String {
    let names: Vec<String> = known.iter().map(|name| format!("\"{name}\"")).collect();
    format!("choose one of {}", names.join(", "))
}
