//! How long the archive takes at 100 cases and at 100,000, as ratios: `cargo bench --bench archive`.
#![allow(missing_docs, clippy::expect_used, clippy::print_stdout)]

#[path = "time.rs"]
mod time;

use std::fs;
use std::hint::black_box;
use std::path::Path;
use std::time::Duration;

use casepan::archive::Archive;
use casepan::case::journal::{Body, Entry};
use casepan::case::{CaseUnit, FlowRef, Layer, OrderedKind, Restoration, Role, Units};
use casepan::fact::{FactId, Spot, Unit, Value};
use jiff::Timestamp;
use time::least;
use uuid::Uuid;

/// Entries of each case, the first of which opens it.
const ENTRIES: u64 = 20;

fn entry(seen: u64, body: Body) -> Entry {
    Entry {
        id: Uuid::new_v4(),
        seen,
        session: Uuid::nil(),
        when: Timestamp::now(),
        who: Some("KM".to_owned()),
        body,
    }
}

fn answer(seen: u64) -> Entry {
    let body = Body::Answer {
        spot: Spot {
            fact: FactId::named("wall.height"),
            at: "46/distal".parse().expect("a place"),
        },
        value: Value::Number(2.5, Unit::Mm),
        with: Some("gauge".to_owned()),
        layer: Layer::Measured,
        undoes: None,
    };
    entry(seen, body)
}

/// Makes an archive with so many cases.
fn fill(path: &Path, cases: u32, units: &Units) -> Archive {
    let mut archive = Archive::open(path).expect("an archive");
    for number in 0..cases {
        let number = format!("26-{number:06}");
        let body = Body::Opened {
            number: number.clone(),
            flow: FlowRef::default(),
            units: units.clone(),
        };
        let mut entries = vec![entry(0, body)];
        entries.extend((1..ENTRIES).map(answer));
        archive.append(&number, &entries).expect("kept");
    }
    archive
}

/// The least and the middle time of an answer, kept one after the other; and the least of one that is kept already, which
/// is the look whether it is there and little else, of opening a case, and of the end for the foot of a print.
fn times(archive: &mut Archive) -> [Duration; 5] {
    let number = "26-000050";
    let mut seen = archive.end_of(number).expect("read").map_or(0, |end| end.0);
    let mut each = Vec::new();
    for _ in 0..1_000 {
        let next = [answer(seen)];
        each.push(least(1, || {
            seen = archive.append(number, black_box(&next)).expect("kept");
        }));
    }
    each.sort();
    let again = archive.since(number, seen - 1).expect("read");
    let look = least(1_001, || {
        black_box(archive.append(number, black_box(&again)).expect("kept"));
    });
    let open = least(101, || {
        black_box(archive.journal(black_box("26-000077")).expect("read"));
    });
    let end = least(101, || {
        black_box(archive.end_of(black_box("26-000077")).expect("read"));
    });
    [each[0], each[each.len() / 2], look, open, end]
}

fn main() {
    let directory = tempfile::tempdir().expect("a directory");
    let units = Units::new(vec![Restoration {
        id: 1,
        ordered: OrderedKind::Crown,
        units: vec![CaseUnit {
            tooth: "46".parse().expect("a tooth"),
            role: Role::Abutment,
        }],
    }])
    .expect("a crown");
    let [small, large] = [100, 100_000].map(|cases| {
        let path = directory.path().join(cases.to_string());
        let mut archive = fill(&path, cases, &units);
        let times = times(&mut archive);
        let size = fs::metadata(&path).map_or(0, |about| about.len());
        println!(
            "{cases} cases of {ENTRIES} entries, {} MB: {times:?}",
            size >> 20
        );
        times
    });
    for (what, (small, large)) in [
        "answer, least",
        "answer, middle",
        "open a case",
        "end of a case",
    ]
    .iter()
    .zip(small.iter().zip(&large))
    {
        let ratio = large.as_secs_f64() / small.as_secs_f64();
        println!("{what}: {ratio:.2} times as long at 100,000 cases as at 100");
    }
}
