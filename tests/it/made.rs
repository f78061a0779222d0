//! Units, spots, values and cases put together in few words.

use std::sync::{Arc, LazyLock};

use casepan::case::{Case, FlowRef, Layer, Reading, Units};
use casepan::derive::{Derived, Facts, Worked};
use casepan::fact::{FactId, Spot, Unit, Value};
use casepan::flow::{Flow, embedded};
use casepan::tooth::Notation;
use casepan::walk::units_line;

/// The shipped flow, loaded once.
pub(crate) fn flow() -> Arc<Flow> {
    static FLOW: LazyLock<Arc<Flow>> =
        LazyLock::new(|| Arc::new(embedded().flow.expect("the shipped flow")));
    FLOW.clone()
}

/// Units such as `44 x45 46; 26`, in ISO 3950.
pub(crate) fn units(line: &str) -> Units {
    units_line::read(line, Notation::Iso3950).expect("units")
}

pub(crate) fn spot(fact: &str, at: &str) -> Spot {
    let fact = FactId::named(fact);
    assert!(
        fact.spec().is_some() || fact.as_str().starts_with("x."),
        "{fact}"
    );
    Spot {
        fact,
        at: at.parse().expect("a place"),
    }
}

pub(crate) fn choice(name: &str) -> Value {
    Value::Choice(name.to_owned())
}

pub(crate) fn mm(number: f64) -> Value {
    Value::Number(number, Unit::Mm)
}

pub(crate) fn deg(number: f64) -> Value {
    Value::Number(number, Unit::Deg)
}

pub(crate) fn day(text: &str) -> Value {
    Value::Day(text.parse().expect("a day"))
}

/// A case of the shipped flow with these measured facts.
pub(crate) fn case(line: &str, facts: &[(&str, &str, Value)]) -> Case {
    let flow = flow();
    let own = FlowRef {
        id: flow.id.clone(),
        version: flow.version,
        digest: String::new(),
    };
    let mut case = Case::new("T-1", own, units(line));
    for (fact, at, value) in facts {
        case.put(
            spot(fact, at),
            Layer::Measured,
            Reading::plain(value.clone()),
        );
    }
    case
}

/// What a derivation came to, where it came to anything.
pub(crate) fn worked<'f>(facts: &'f Facts<'_>, fact: &str, at: &str) -> Option<&'f Derived> {
    facts.derived(&spot(fact, at))
}

/// The derived value.
#[track_caller]
pub(crate) fn value<'f>(facts: &'f Facts<'_>, fact: &str, at: &str) -> &'f Value {
    match worked(facts, fact, at).map(|derived| &derived.result) {
        Some(Worked::Out(value)) => value,
        other => panic!("{fact} at {at}: {other:?}"),
    }
}

/// The derived number.
#[track_caller]
pub(crate) fn number(facts: &Facts<'_>, fact: &str, at: &str) -> f64 {
    value(facts, fact, at).number().expect("a number")
}
