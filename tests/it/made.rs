//! Units, spots, values and cases put together in few words.

use std::sync::{Arc, LazyLock};

use casepan::case::{Case, FlowRef, Layer, Reading, Units};
use casepan::derive::{Derived, Facts, Worked};
use casepan::fact::{CATALOGUE, FactId, Kind, List, Origin, Place, Spot, Unit, Value};
use casepan::flow::{Flow, embedded};
use casepan::judge::Judgement;
use casepan::phrase::Phrase;
use casepan::print::{Beside, Told};
use casepan::session::units_line;
use casepan::tooth::{Notation, Tooth};
use proptest::prelude::*;

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

/// What is printed about a case in ISO 3950, with nothing beside the judgement.
pub(crate) fn told<'a>(flow: &'a Flow, facts: &'a Facts<'a>, judgement: &'a Judgement) -> Told<'a> {
    Told {
        facts,
        judgement,
        doubt: None,
        phrase: Phrase {
            flow,
            notation: Notation::Iso3950,
        },
        beside: Beside::default(),
    }
}

pub(crate) fn iso(number: u8) -> Tooth {
    Tooth::from_iso(number).expect("a tooth")
}

/// A value that the catalogue takes; none where the flow's tables have to be asked.
pub(crate) fn any_value(kind: &Kind) -> BoxedStrategy<Value> {
    match kind {
        Kind::Choice(choices) => {
            let names: Vec<String> = choices.iter().map(|(id, _)| id.to_string()).collect();
            prop::sample::select(names).prop_map(Value::Choice).boxed()
        }
        Kind::Listed(list) => {
            let flow = flow();
            let names: Vec<String> = match list {
                List::Materials => flow.materials.iter().map(|m| m.id.to_string()).collect(),
                List::Cements => flow.cements.iter().map(|c| c.id.clone()).collect(),
            };
            prop::sample::select(names).prop_map(Value::Choice).boxed()
        }
        Kind::YesNo => any::<bool>().prop_map(Value::from).boxed(),
        Kind::Number { unit, least, most } => {
            let (unit, least, most) = (*unit, *least, *most);
            let whole = unit == Unit::Count;
            prop_oneof![
                1 => Just(least),
                1 => Just(most),
                6 => least..=most,
            ]
            .prop_map(move |number| {
                let number = if whole { number.round() } else { number };
                Value::Number(number, unit)
            })
            .boxed()
        }
        Kind::Teeth => prop::sample::subsequence(vec![44u8, 46, 12, 13], 0..=4)
            .prop_map(|list| Value::Teeth(list.into_iter().map(iso).collect()))
            .boxed(),
        Kind::Day => (2000i16..2030, 1i8..=12, 1i8..=28)
            .prop_map(|(year, month, day)| Value::Day(jiff::civil::date(year, month, day)))
            .boxed(),
        Kind::Text => "[ -~äßé日本\"\\\\]{0,30}".prop_map(Value::Text).boxed(),
    }
}

/// Every asked fact at every place of the units, each with a value, *not seen*, or not asked.
pub(crate) fn any_facts(line: &str) -> BoxedStrategy<Vec<(Spot, Value)>> {
    let units = units(line);
    let mut all = Vec::new();
    for spec in CATALOGUE.iter().filter(|spec| spec.origin == Origin::Asked) {
        for at in units.within(Place::Case, spec.at) {
            let spot = Spot {
                fact: FactId::named(&spec.id),
                at,
            };
            let value = prop_oneof![
                6 => any_value(&spec.kind).prop_map(Some),
                1 => Just(Some(Value::NotSeen)),
                1 => Just(None),
            ];
            all.push(value.prop_map(move |value| value.map(|value| (spot.clone(), value))));
        }
    }
    all.prop_map(|list| list.into_iter().flatten().collect())
        .boxed()
}
