//! An archive of invented cases with days of their own, and the commands that read it.

use std::path::Path;

use casepan::archive::Archive;
use casepan::case::decision::{Decider, Decision, DentistAnswer, Matter};
use casepan::case::journal::{Body, Entry};
use casepan::case::life::{CaseEvent, Happened, Judged, Ruled, Said, Stage};
use casepan::case::opening::{Opening, entries};
use casepan::case::outcome::{Kind, Known, Outcome};
use casepan::case::{Case, FlowRef, Layer, Reading};
use casepan::desk::{Flows, tried};
use casepan::fact::{FactId, Place, Spot, Unit, Value};
use casepan::flow::{FORMAT, embedded};
use casepan::learn::tried::{Answer, Said as Told, Stood};
use casepan::tooth::Tooth;
use jiff::Timestamp;
use jiff::civil::{Date, date};
use uuid::Uuid;

use crate::support::Home;

/// What is to stand in an archive of one case.
#[derive(Clone, Copy)]
pub(crate) struct Made {
    /// The height of its prep in mm.
    pub(crate) height: f64,
    /// What the dentist said to the rule on its height, where somebody asked.
    pub(crate) answer: Option<DentistAnswer>,
    /// Whether it was delivered.
    pub(crate) delivered: bool,
    /// What became of it half a year later.
    pub(crate) what: Option<Kind>,
}

pub(crate) const PLAIN: Made = Made {
    height: 4.6,
    answer: None,
    delivered: true,
    what: None,
};

pub(crate) fn at_26() -> Place {
    Place::Unit(Tooth::from_iso(26).unwrap())
}

/// The sample crown with another height.
pub(crate) fn crown(number: &str, height: f64) -> Case {
    let mut case = casepan::demo::case("crown-26").unwrap();
    case.number = number.to_owned();
    let mut put = |fact: &str, at, value| {
        let fact = FactId::named(fact);
        case.put(Spot { fact, at }, Layer::Measured, Reading::plain(value));
    };
    put("tooth.height", at_26(), Value::Number(height, Unit::Mm));
    put("order.dentist", Place::Case, Value::Text("K17".to_owned()));
    case
}

pub(crate) fn decision(rule: &str, outcome: DentistAnswer) -> Decision {
    Decision {
        about: Matter {
            rule: rule.to_owned(),
            at: at_26(),
        },
        outcome,
        words: "as said".to_owned(),
        taken: Vec::new(),
        by: Some(Decider::Dentist),
        from: date(2025, 1, 8),
        cost: String::new(),
        amended: false,
        changes: Vec::new(),
        expected: Vec::new(),
        units: None,
        coming: None,
        seen: None,
    }
}

fn at(day: Date) -> Timestamp {
    format!("{day}T09:00:00Z").parse().unwrap()
}

/// The journal of a case, all of it between January and July of 2025.
pub(crate) fn journal(number: &str, made: Made, flow: &FlowRef) -> Vec<Entry> {
    let opening = Opening {
        flow: flow.clone(),
        session: Uuid::from_u128(7),
        when: at(date(2025, 1, 6)),
        who: None,
    };
    let mut all = entries(&crown(number, made.height), &opening, &mut Uuid::new_v4);
    let mut add = |day: Date, body: Body| {
        all.push(Entry {
            id: Uuid::new_v4(),
            seen: all.len() as u64,
            session: Uuid::from_u128(8),
            when: at(day),
            who: None,
            body,
        });
    };
    if let Some(answer) = made.answer {
        let decision = Box::new(decision("stump-short", answer));
        add(date(2025, 1, 8), Body::Decide { decision });
        // What was read after that is no part of what was found.
        let fact = FactId::named("tooth.height");
        add(
            date(2025, 1, 9),
            Body::Answer {
                spot: Spot { fact, at: at_26() },
                value: Value::Number(5.0, Unit::Mm),
                with: None,
                layer: Layer::Measured,
                undoes: None,
            },
        );
    }
    if made.delivered {
        let event = CaseEvent {
            what: Happened::Delivered,
            restorations: vec![1],
            on: date(2025, 1, 20),
            goes_on: None,
        };
        add(date(2025, 1, 20), Body::Happened { event });
    }
    if let Some(what) = made.what {
        let outcome = Outcome {
            what,
            restoration: 1,
            at: Some(at_26()),
            on: date(2025, 7, 20),
            known: Known::Dentist,
            seen: None,
            goes_on: None,
        };
        add(date(2025, 7, 21), Body::Outcome { outcome });
    }
    all
}

/// Writes an archive of such cases under the built-in flow, with a last new order in September 2026; returns the journals.
pub(crate) fn archive(path: &Path, cases: &[Made]) -> Vec<Vec<Entry>> {
    let loaded = embedded();
    let flow = loaded.flow.unwrap();
    let files: Vec<_> = loaded
        .sources
        .iter()
        .map(|source| (source.name().to_owned(), source.text().to_owned()))
        .collect();
    let mut archive = Archive::open(path).unwrap();
    archive.keep_flow(&flow.digest, FORMAT, &files).unwrap();
    let own = FlowRef {
        id: flow.id.clone(),
        version: flow.version,
        digest: flow.digest.clone(),
    };
    let mut journals = Vec::new();
    for (nth, made) in cases.iter().enumerate() {
        let number = format!("25-{nth:03}");
        let journal = journal(&number, *made, &own);
        archive.append(&number, &journal).unwrap();
        journals.push(journal);
    }
    let opening = Opening {
        flow: own,
        session: Uuid::from_u128(9),
        when: at(date(2026, 9, 20)),
        who: None,
    };
    let last = entries(&crown("26-900", 4.6), &opening, &mut Uuid::new_v4);
    archive.append("26-900", &last).unwrap();
    journals.push(last);
    journals
}

/// Some cases with low and high preps: of twelve low ones made as ordered six came off, of 30 high ones one.
pub(crate) fn low_and_high() -> Vec<Made> {
    let mut cases = Vec::new();
    for nth in 0..12 {
        cases.push(Made {
            height: 2.2,
            answer: Some(DentistAnswer::AsItIs),
            what: Some(if nth < 6 { Kind::CameOff } else { Kind::Quiet }),
            ..PLAIN
        });
    }
    for nth in 0..4 {
        cases.push(Made {
            height: 2.3,
            answer: Some(DentistAnswer::Agreed),
            what: (nth == 0).then_some(Kind::Shade),
            ..PLAIN
        });
    }
    for nth in 0..30 {
        cases.push(Made {
            what: Some(if nth == 0 { Kind::CameOff } else { Kind::Quiet }),
            ..PLAIN
        });
    }
    cases.push(Made {
        height: 3.4,
        delivered: false,
        ..PLAIN
    });
    cases
}

#[test]
fn the_command_counts_what_stands_in_the_archive() {
    let home = Home::new();
    archive(&home.path("a.casepan"), &low_and_high());
    let run = |args: &[&str]| home.run(&[&["--archive", "a.casepan", "rules"], args].concat());
    let output = run(&["--as", "json"]);
    assert_eq!(output.code, Some(0), "{output:?}");
    let told: serde_json::Value = serde_json::from_str(&output.stdout).unwrap();
    assert_eq!(told["restorations"], 48);
    let rules = told["rules"].as_array().unwrap();
    let own = rules
        .iter()
        .find(|own| own["rule"] == "stump-short")
        .unwrap();
    // Twelve and four at CALL, one at WATCH that is not delivered; the height that was read later is none of it.
    for (key, wanted) in [
        ("told", 17),
        ("decidable", 48),
        ("open", 0),
        ("called", 16),
        ("as_ordered", 12),
        ("changed", 4),
        ("withdrawn", 0),
        ("built", 46),
        ("unheard", 0),
        ("unripe", 0),
    ] {
        assert_eq!(own[key], wanted, "{key}: {own}");
    }
    for (group, came, of) in [
        ("of_as_ordered", 6, 12),
        ("of_changed", 0, 4),
        ("of_unasked", 0, 0),
        ("of_silent", 1, 30),
    ] {
        assert_eq!(own[group]["came"], came, "{group}");
        assert_eq!(own[group]["of"], of, "{group}");
    }
    assert_eq!(own["ratio"]["value"], 15.0);
    assert_eq!(own["ratio"]["sure"], "stands-out");
    // Six came off, and are listed by each rule that told of them and foretells it.
    let overruled = told["overruled"].as_array().unwrap();
    let of_height = overruled.iter().filter(|own| own["rule"] == "stump-short");
    let numbers: Vec<_> = of_height.map(|own| own["case"].as_str().unwrap()).collect();
    assert_eq!(
        numbers,
        ["25-000", "25-001", "25-002", "25-003", "25-004", "25-005"]
    );
    // What shares a cause was told with it, and is answered with it.
    let tips = rules.iter().find(|own| own["rule"] == "tips-off").unwrap();
    assert_eq!(
        (&tips["as_ordered"], &tips["changed"]),
        (&12.into(), &4.into())
    );
    let of_bite = rules.iter().find(|own| own["rule"] == "opposing").unwrap();
    assert_eq!(
        (&of_bite["told"], &of_bite["called"]),
        (&0.into(), &0.into())
    );
    let never = told["never_told"].as_array().unwrap();
    assert!(
        never
            .iter()
            .any(|own| own["rule"] == "not-disinfected" && own["decidable"] == 48)
    );
    // In words.
    let output = run(&["stump-short"]);
    assert_eq!(output.code, Some(0), "{output:?}");
    for says in [
        "stump-short warns of: came off",
        "told something at 17 of 48 restorations",
        "asked about 16: 4 changed, 12 to be made as ordered, 0 not made after all",
        "told, as ordered 6 of 12",
        "as ordered against silent: 15 times as many",
        "not drawn by lot",
        "25-003 R1 Sun 20 Jul 2025  came off  (stump-short)",
    ] {
        let words: Vec<&str> = output.stdout.split_whitespace().collect();
        let wanted: Vec<&str> = says.split_whitespace().collect();
        assert!(
            words.join(" ").contains(&wanted.join(" ")),
            "{says}: {}",
            output.stdout
        );
    }
    // The list has a row for each rule that told something.
    let output = run(&[]);
    let row = output
        .stdout
        .lines()
        .find(|line| line.starts_with("stump-short "));
    assert!(row.is_some_and(|row| row.contains("6 of 12")), "{output:?}");
}

#[test]
fn bad_questions_are_one_sentence() {
    let home = Home::new();
    for (args, code, says) in [
        (
            &["rules", "stump"][..],
            64,
            "the flow has no rule \"stump\"",
        ),
        (&["rules", "width-unusual-md"], 64, "foretells nothing"),
        (&["rules", "--of", "quiet"], 64, "has not come back"),
        (&["rules", "--within", "0"], 64, "--within"),
    ] {
        let output = home.run(&[&["--archive", "a.casepan"], args].concat());
        assert_eq!(output.code, Some(code), "{args:?}: {output:?}");
        assert!(output.stderr.contains(says), "{args:?}: {output:?}");
        assert_eq!(output.stdout, "", "{args:?}");
    }
    // An archive that is named and not there may be a slip; where none is named, nothing is known yet.
    let output = home.run(&["--archive", "a.casepan", "rules"]);
    assert_eq!(output.code, Some(66), "{output:?}");
    let output = home.run(&["rules"]);
    assert_eq!(output.code, Some(0), "{output:?}");
    assert!(output.stdout.contains("0 restorations"), "{output:?}");
}

/// A case that was brought in with its decisions is found as it was read before anything new came in; one whose restorations
/// changed is not known as it was.
#[test]
fn a_case_that_was_brought_in_is_found_as_it_was_read() {
    let spot = |fact: &str, at| Spot {
        fact: FactId::named(fact),
        at,
    };
    let opened = |case: &Case| {
        let opening = Opening {
            flow: case.flow.clone(),
            session: Uuid::from_u128(7),
            when: at(date(2025, 1, 6)),
            who: None,
        };
        entries(case, &opening, &mut Uuid::new_v4)
    };
    let decided = |decision: Decision| casepan::case::decision::Decided {
        decision,
        who: None,
        when: None,
    };
    let mut case = crown("25-1", 2.2);
    let height = spot("tooth.height", at_26());
    let reading = |mm: f64| Reading::plain(Value::Number(mm, Unit::Mm));
    case.put(height.clone(), Layer::Before, reading(2.2));
    case.put(height.clone(), Layer::Measured, reading(5.0));
    case.decide(decided(decision("stump-short", DentistAnswer::Agreed)));
    let bone = spot("tooth.bone_to_margin", at_26());
    case.put(bone.clone(), Layer::Decided, reading(2.0));
    let found = Case::as_found(&opened(&case)).expect("known");
    assert_eq!(
        found.value(&height.fact, at_26()),
        Some(&Value::Number(2.2, Unit::Mm))
    );
    assert_eq!(found.value(&bone.fact, at_26()), None);
    assert_eq!(found.decisions().count(), 0);
    let plain = crown("25-1", 2.2);
    let values = |case: &Case| -> Vec<(Spot, Layer, Value)> {
        let all = case.layers();
        all.map(|(spot, layer, own)| (spot.clone(), layer, own.value.clone()))
            .collect()
    };
    let found = Case::as_found(&opened(&plain)).expect("known");
    assert_eq!(values(&found), values(&plain));
    let mut other = plain;
    let units = Some(other.units.clone());
    let changed = decision("stump-short", DentistAnswer::Agreed);
    other.decide(decided(Decision { units, ..changed }));
    assert_eq!(Case::as_found(&opened(&other)), None);
    assert_eq!(Case::as_found(&[]), None);
}

/// What was written down as found counts, whatever the rules would say now.
#[test]
fn what_was_written_down_as_found_counts() {
    let loaded = embedded().flow.unwrap();
    let flow = FlowRef {
        id: loaded.id.clone(),
        version: loaded.version,
        digest: loaded.digest.clone(),
    };
    let mut all = journal("25-1", PLAIN, &flow);
    let said = |rule: &str, said: Said| Ruled {
        rule: rule.to_owned(),
        at: at_26(),
        said,
        figures: Vec::new(),
    };
    let judged = Judged {
        stage: Stage::AsFound,
        engine: "0".to_owned(),
        flow: "another".to_owned(),
        rules: vec![
            said("stump-short", Said::Fired("call".to_owned())),
            said("grip", Said::Open("watch".to_owned())),
        ],
    };
    let decide = |rule: &str, outcome| Body::Decide {
        decision: Box::new(decision(rule, outcome)),
    };
    for body in [
        Body::Judged {
            judged: Box::new(judged),
        },
        // What shares its cause, but was told at another tooth, answers nothing.
        Body::Decide {
            decision: Box::new(Decision {
                about: Matter {
                    rule: "cone".to_owned(),
                    at: Place::Unit(Tooth::from_iso(27).unwrap()),
                },
                ..decision("cone", DentistAnswer::Agreed)
            }),
        },
        decide("opposing", DentistAnswer::Agreed),
        decide("cone", DentistAnswer::Refused),
    ] {
        all.push(Entry {
            id: Uuid::new_v4(),
            seen: all.len() as u64,
            session: Uuid::from_u128(8),
            when: at(date(2025, 2, 1)),
            who: None,
            body,
        });
    }
    let home = Home::new();
    let mut archive = Archive::open(&home.path("a.casepan")).unwrap();
    let files: Vec<_> = embedded()
        .sources
        .iter()
        .map(|source| (source.name().to_owned(), source.text().to_owned()))
        .collect();
    archive.keep_flow(&flow.digest, FORMAT, &files).unwrap();
    archive.append("25-1", &all).unwrap();
    let flow = std::sync::Arc::new(loaded);
    let flows = Flows::new(flow.clone());
    let zone = jiff::tz::TimeZone::UTC;
    let stop = std::sync::atomic::AtomicBool::new(false);
    let record = tried(&archive, &flows, &flow, &zone, (&stop, &mut |_, _| {})).unwrap();
    let [own] = &record.tried[..] else {
        panic!("{:?}", record.tried);
    };
    let stood = |rule: &str| own.rules[super::nth(rule)];
    let wanted = Stood {
        said: Told::Fired,
        called: true,
        // What was asked for was refused, so it was made as ordered.
        answer: Answer::AsOrdered,
    };
    assert_eq!(stood("stump-short"), wanted);
    assert_eq!(stood("grip").said, Told::Open);
    assert_eq!(stood("cone").said, Told::Apart);
    assert!(own.of_other_flow);
    assert_eq!(
        (
            record.lots.len(),
            record.looked.unread,
            record.looked.not_found
        ),
        (1, 0, 0)
    );
}
