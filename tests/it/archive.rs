//! The archive, through its public functions and, to do damage, through plain SQL.
//!
//! The numbers of entries and the sizes here are invented. What is checked against: the entries that were given, and
//! a second implementation of the chain of hashes ([`support::seal`]).

mod away;
mod damage;
mod gone;
mod many;
mod process;
mod refuse;
mod restore;
pub(crate) mod support;
mod witness;

use casepan::archive::{Archive, ArchiveError, KeptFlow, Trouble};
use casepan::case::FlowRef;
use casepan::case::beside::{CaseFile, Handed, Hands};
use casepan::case::decision::{DentistAnswer, Matter, Proposal};
use casepan::case::journal::{Before, Body, Entry, fold};
use casepan::case::outcome::{Foreseen, Kind, Known, Outcome};
use casepan::case::{Layer, Units};
use casepan::fact::{FactId, Spot, Unit, Value};
use proptest::prelude::*;
use support::{answer, bridge, case, crown, entry, new_archive, opened, spot};
use uuid::Uuid;

/// One entry of every kind, with every type of value.
fn every_body() -> Vec<Entry> {
    let mut bodies = vec![Body::Opened {
        number: "24-0381".to_owned(),
        flow: FlowRef {
            id: "house".to_owned(),
            version: 3,
            digest: "ab12".to_owned(),
        },
        units: crown(),
    }];
    let values = [
        ("order.scope", "case", Value::Choice("teeth".to_owned())),
        ("order.shade_given", "case", Value::Yes),
        ("order.shade_given", "case", Value::No),
        ("wall.height", "46/distal", Value::Number(3.1, Unit::Mm)),
        ("x.gap", "46", Value::Number(0.1 + 0.2, Unit::Micron)),
        ("x.area", "R1", Value::Number(71.25, Unit::Mm2)),
        ("x.volume", "R1", Value::Number(1e-300, Unit::Mm3)),
        ("x.angle", "46/lingual", Value::Number(-0.0, Unit::Deg)),
        ("x.force", "46", Value::Number(f64::MAX, Unit::Newton)),
        ("x.strength", "46", Value::Number(1.0 / 3.0, Unit::Mpa)),
        ("x.time", "case", Value::Number(48.0, Unit::Hours)),
        (
            "x.count",
            "case",
            Value::Number(4_294_967_295.0, Unit::Count),
        ),
        ("x.ratio", "44-45", Value::Number(0.5, Unit::Ratio)),
        ("x.share", "case", Value::Number(12.5, Unit::Percent)),
        (
            "x.teeth",
            "case",
            Value::Teeth(vec!["44".parse().unwrap(), "46".parse().unwrap()]),
        ),
        (
            "order.seating_day",
            "case",
            Value::Day("2026-02-28".parse().unwrap()),
        ),
        (
            "order.fee_lines",
            "case",
            Value::Text("ä \"½\" \\ 日本 '; DROP TABLE entry;--".to_owned()),
        ),
        ("x.unknown", "46/facial", Value::NotSeen),
    ];
    for (fact, at, value) in values {
        bodies.push(Body::Answer {
            spot: spot(fact, at),
            value,
            with: Some("caliper".to_owned()),
            layer: Layer::Measured,
            undoes: None,
        });
    }
    bodies.push(Body::Answer {
        spot: spot("wall.height", "46/mesial"),
        value: Value::Number(2.9, Unit::Mm),
        with: None,
        layer: Layer::Decided,
        undoes: Some(Uuid::new_v4()),
    });
    bodies.push(Body::Clear {
        spot: spot("wall.height", "46/distal"),
        layer: Layer::Proposed,
        undoes: Some(Uuid::new_v4()),
    });
    bodies.push(Body::Units {
        units: bridge(),
        undoes: None,
    });
    let decision = crate::decision::decision("short-wall", "46/distal", DentistAnswer::Agreed);
    bodies.push(Body::Decide {
        decision: Box::new(decision.clone()),
    });
    bodies.push(Body::Propose {
        proposals: vec![Proposal {
            changes: decision.changes.clone(),
        }],
    });
    bodies.push(Body::PutBack {
        before: Box::new(Before {
            came: None,
            disputed: Vec::new(),
            spots: vec![(
                spot("wall.height", "46/distal"),
                vec![(Layer::Suspended, Value::Number(3.5, Unit::Mm), None)],
            )],
            decision: Some((decision.about, None)),
            units: Some(crown()),
            proposals: Some(Vec::new()),
            handed: Some(Hands::Of(Handed {
                to: "b2".to_owned(),
                note: "polish".to_owned(),
                on: Some(jiff::civil::date(2026, 11, 23)),
                who: None,
                when: Some("2026-11-23T09:30:00Z".parse().unwrap()),
            })),
            files: Some(vec![photo()]),
            outcomes: Some(vec![
                came_off(),
                Outcome {
                    seen: None,
                    ..came_off()
                },
            ]),
            flow: Some(FlowRef {
                id: "house".to_owned(),
                version: 3,
                digest: "ab12".to_owned(),
            }),
            decisions: Vec::new(),
        }),
        undoes: Uuid::new_v4(),
    });
    bodies.push(Body::PutBack {
        before: Box::new(Before {
            handed: Some(Hands::Nobody),
            ..Before::default()
        }),
        undoes: Uuid::new_v4(),
    });
    bodies.push(Body::HandedOver {
        to: "b3".to_owned(),
        note: String::new(),
        on: Some(jiff::civil::date(2026, 11, 24)),
    });
    bodies.push(Body::Attached { file: photo() });
    bodies.push(Body::Detached { path: photo().path });
    bodies.push(Body::Outcome {
        outcome: came_off(),
    });
    bodies.push(Body::NoOutcome {
        outcome: came_off(),
    });
    bodies.push(Body::MoveFlow {
        flow: FlowRef {
            id: "house".to_owned(),
            version: 4,
            digest: "cd34".to_owned(),
        },
        aside: vec![(
            spot("tooth.height", "26"),
            Layer::Measured,
            Value::Number(4.0, Unit::Mm),
        )],
        anew: vec![Matter {
            rule: "stump-short".to_owned(),
            at: spot("tooth.height", "26").at,
        }],
    });
    (0..)
        .zip(bodies)
        .map(|(seen, body)| entry(seen, body))
        .collect()
}

fn came_off() -> Outcome {
    Outcome {
        what: Kind::CameOff,
        restoration: 1,
        at: Some("46".parse().unwrap()),
        on: jiff::civil::date(2026, 11, 24),
        known: Known::Dentist,
        seen: Some(Foreseen::ReadingOff),
        goes_on: Some("24-0381-2".to_owned()),
    }
}

fn photo() -> CaseFile {
    CaseFile {
        path: "/photos/46.jpg".to_owned(),
        sha256: "a".repeat(64),
        bytes: 7,
    }
}

#[test]
fn every_kind_of_entry_comes_back_as_it_was() {
    let (_directory, path) = new_archive();
    let entries = every_body();
    let count = u64::try_from(entries.len()).unwrap();
    let mut archive = Archive::open(&path).unwrap();
    for digest in ["ab12", "cd34"] {
        archive.keep_flow(digest, 1, &[]).unwrap();
    }
    assert_eq!(archive.append("24-0381", &entries), Ok(count));
    assert_eq!(archive.journal("24-0381").unwrap(), entries);
    drop(archive);
    let archive = Archive::open_existing(&path).unwrap();
    assert_eq!(archive.journal("24-0381").unwrap(), entries);
    assert_eq!(archive.check(), Ok(vec![]));
    assert_eq!(archive.path(), path);
}

#[test]
fn a_minus_sign_on_zero_stays() {
    let (_directory, path) = new_archive();
    let mut archive = Archive::open(&path).unwrap();
    archive
        .append("1", &[opened("1"), answer(1, -0.0)])
        .unwrap();
    let journal = archive.journal("1").unwrap();
    let Body::Answer {
        value: Value::Number(number, _),
        ..
    } = &journal[1].body
    else {
        panic!("not an answer");
    };
    assert!(number.is_sign_negative());
}

#[test]
fn cases_are_listed_by_number_with_their_entries() {
    let (_directory, path) = new_archive();
    let mut archive = Archive::open(&path).unwrap();
    assert_eq!(archive.cases(), Ok(vec![]));
    for (number, entries) in [("b", 2), ("c", 1), ("a", 3)] {
        archive.append(number, &case(number, entries)).unwrap();
    }
    archive.keep_flow("d1", 1, &[]).unwrap();
    let cases = archive.cases().unwrap();
    let rows: Vec<_> = cases
        .iter()
        .map(|case| (case.number.as_str(), case.entries))
        .collect();
    assert_eq!(rows, [("a", 3), ("b", 2), ("c", 1)]);
}

#[test]
fn an_entry_written_on_old_knowledge_is_refused() {
    let (_directory, path) = new_archive();
    let mut archive = Archive::open(&path).unwrap();
    archive.append("1", &[opened("1"), answer(1, 2.0)]).unwrap();
    for seen in [0, 1, 3, u64::MAX] {
        let error = archive.append("1", &[answer(seen, 3.0)]).unwrap_err();
        assert_eq!(
            error,
            ArchiveError::Moved {
                number: "1".to_owned(),
                seen,
                has: 2
            }
        );
        assert_eq!(error.kind(), Trouble::Conflict);
        assert!(error.hint().unwrap().contains("read the case again"));
    }
    // The second of a pair is wrong: neither is kept.
    archive
        .append("1", &[answer(2, 3.0), answer(2, 4.0)])
        .unwrap_err();
    assert_eq!(archive.journal("1").unwrap().len(), 2);
    assert_eq!(
        archive.append("1", &[answer(2, 3.0), answer(3, 4.0)]),
        Ok(4)
    );
}

#[test]
fn the_same_entry_is_kept_once() {
    let (_directory, path) = new_archive();
    let mut archive = Archive::open(&path).unwrap();
    let entries = [opened("1"), answer(1, 2.0), answer(2, 3.0)];
    archive.append("1", &entries[..2]).unwrap();
    assert_eq!(archive.append("1", &entries[..2]), Ok(2));
    assert_eq!(archive.append("1", &entries[1..2]), Ok(2));
    assert_eq!(archive.append("1", &entries), Ok(3));
    assert_eq!(archive.append("1", &[]), Ok(3));
    assert_eq!(archive.journal("1").unwrap(), entries);
    // The same id over other content would lose an answer without a word.
    let mut other = answer(3, 9.0);
    other.id = entries[1].id;
    let error = archive.append("1", &[other]).unwrap_err();
    assert_eq!(error, ArchiveError::IdTaken(entries[1].id));
    assert_eq!(error.kind(), Trouble::Conflict);
}

#[test]
fn a_case_is_opened_once_and_first() {
    let (_directory, path) = new_archive();
    let mut archive = Archive::open(&path).unwrap();
    let mut other = Archive::open(&path).unwrap();
    archive.append("24-0381", &[opened("24-0381")]).unwrap();
    let error = other.append("24-0381", &[opened("24-0381")]).unwrap_err();
    assert_eq!(error, ArchiveError::CaseExists("24-0381".to_owned()));
    assert_eq!(error.kind(), Trouble::Conflict);
    assert_eq!(
        error.to_string(),
        "the archive already has a case \"24-0381\""
    );

    let error = archive.append("24-0318", &[answer(0, 1.0)]).unwrap_err();
    assert_eq!(error.kind(), Trouble::NoInput);
    assert_eq!(error.to_string(), "the archive has no case \"24-0318\"");
    assert_eq!(error.hint().unwrap(), "did you mean \"24-0381\"?");
    assert_eq!(archive.journal("24-0318").unwrap_err(), error);
    let far = archive.journal("Z").unwrap_err();
    assert_eq!(far.hint().unwrap(), "list the cases to see their numbers");

    let error = archive.append("2", &[opened("3")]).unwrap_err();
    assert!(
        error.to_string().ends_with("it opens case \"3\""),
        "{error}"
    );
    assert_eq!(archive.cases().unwrap().len(), 1);
}

#[test]
fn what_would_read_back_otherwise_is_not_written() {
    let (_directory, path) = new_archive();
    let mut archive = Archive::open(&path).unwrap();
    archive.append("1", &[opened("1")]).unwrap();
    for (number, unit) in [
        (f64::NAN, Unit::Mm),
        (f64::INFINITY, Unit::Mm),
        (1.5, Unit::Count),
        (-1.0, Unit::Count),
    ] {
        let mut bad = answer(1, 0.0);
        if let Body::Answer { value, .. } = &mut bad.body {
            *value = Value::Number(number, unit);
        }
        let error = archive.append("1", &[bad]).unwrap_err();
        assert!(matches!(error, ArchiveError::NotStorable { .. }), "{error}");
        assert_eq!(error.kind(), Trouble::Data);
    }
    assert_eq!(archive.journal("1").unwrap().len(), 1);
}

#[test]
fn a_flow_is_kept_once() {
    let (_directory, path) = new_archive();
    let mut archive = Archive::open(&path).unwrap();
    let files = |text: &str| {
        vec![
            ("flow.ron".to_owned(), text.to_owned()),
            ("ä.ron".to_owned(), String::new()),
        ]
    };
    assert_eq!(archive.flow("d1"), Ok(None));
    archive.keep_flow("d1", 1, &files("first")).unwrap();
    archive.keep_flow("d2", 1, &files("second")).unwrap();
    archive.keep_flow("d1", 1, &files("third")).unwrap();
    drop(archive);
    let archive = Archive::open_existing(&path).unwrap();
    let kept = |text| {
        Some(KeptFlow {
            format: 1,
            files: files(text),
        })
    };
    assert_eq!(archive.flow("d1"), Ok(kept("first")));
    assert_eq!(archive.flow("d2"), Ok(kept("second")));
    assert_eq!(archive.check(), Ok(vec![]));
}

fn bodies() -> impl Strategy<Value = Body> {
    let spots = prop::sample::select(vec![
        spot("wall.height", "46/distal"),
        spot("wall.height", "46/mesial"),
        spot("order.scope", "case"),
        Spot {
            fact: FactId::named("x.other"),
            at: "44-45".parse().unwrap(),
        },
    ]);
    let layers = prop::sample::select(vec![Layer::Measured, Layer::Decided, Layer::Proposed]);
    let finite = any::<f64>().prop_filter("finite", |number| number.is_finite());
    let values = prop_oneof![
        finite.prop_map(|number| Value::Number(number, Unit::Mm)),
        any::<u32>().prop_map(|number| Value::Number(f64::from(number), Unit::Count)),
        any::<String>().prop_map(Value::Text),
        any::<bool>().prop_map(Value::from),
        Just(Value::NotSeen),
    ];
    let units = prop::sample::select(vec![crown(), bridge()]);
    prop_oneof![
        6 => (spots.clone(), values, layers.clone(), any::<Option<String>>()).prop_map(
            |(spot, value, layer, with)| Body::Answer { spot, value, with, layer, undoes: None }
        ),
        2 => (spots, layers).prop_map(|(spot, layer)| Body::Clear { spot, layer, undoes: None }),
        1 => units.prop_map(|units: Units| Body::Units { units, undoes: None }),
        1 => any::<u32>().prop_map(|version| Body::MoveFlow {
            flow: FlowRef { version, ..FlowRef::default() },
            aside: Vec::new(),
            anew: Vec::new(),
        }),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_kept_journal_folds_to_the_same_case(
        bodies in prop::collection::vec(bodies(), 0..30),
        number in "[ -~]{1,12}",
        cut in 0_usize..30,
    ) {
        let (_directory, path) = new_archive();
        let mut entries = vec![opened(&number)];
        entries.extend((1..).zip(bodies).map(|(seen, body)| entry(seen, body)));
        let (first, second) = entries.split_at(cut.clamp(1, entries.len()));
        let mut archive = Archive::open(&path).unwrap();
        archive.append(&number, first).unwrap();
        archive.append(&number, second).unwrap();
        let kept = archive.journal(&number).unwrap();
        prop_assert_eq!(fold(&kept), fold(&entries));
        prop_assert_eq!(kept, entries);
        prop_assert_eq!(archive.check(), Ok(vec![]));
    }
}
