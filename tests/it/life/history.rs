//! What was entered before: against a journal that is written out by hand, and by keys.

use casepan::case::Layer;
use casepan::case::beside::{CaseFile, Hands};
use casepan::case::coming::{Arrival, Part};
use casepan::case::history::{About, Event, history};
use casepan::case::journal::{Before, Body, Entry, fold};
use casepan::case::life::{CaseEvent, Happened};
use casepan::derive::{Facts, Precision};
use casepan::fact::Value;
use casepan::phrase::Phrase;
use casepan::session::Page;
use casepan::session::call::Row;
use casepan::session::view::PageView;
use casepan::tooth::Notation;
use jiff::civil::date;
use jiff::tz::TimeZone;
use uuid::Uuid;

use crate::good::flow;
use crate::made::{mm, spot};
use crate::session::{Technician, crown};
use crate::states::sit;

fn entry(n: u64, (when, who): (&str, &str), body: Body) -> Entry {
    Entry {
        id: Uuid::from_u128(u128::from(n) + 1),
        seen: n,
        session: Uuid::from_u128(if who == "b1" { 101 } else { 102 }),
        when: when.parse().unwrap(),
        who: Some(who.to_owned()),
        body,
    }
}

fn answer(fact: &str, at: &str, value: Value, with: Option<&str>, layer: Layer) -> Body {
    Body::Answer {
        spot: spot(fact, at),
        value,
        with: with.map(str::to_owned),
        layer,
        undoes: None,
    }
}

/// A journal by hand: every way in which a value of one cell changes.
fn by_hand() -> Vec<Entry> {
    let (height, at) = ("tooth.height", "26");
    let first = Technician::on(&crown()).journal.remove(0);
    let Body::Opened { flow, units, .. } = first.body else {
        panic!("it opens the case");
    };
    let bodies = [
        (
            "2026-11-23T08:00:00Z",
            "b1",
            Body::Opened {
                number: "T-1".to_owned(),
                flow,
                units,
            },
        ),
        (
            "2026-11-23T08:05:00Z",
            "b1",
            answer(height, at, mm(4.1), Some("caliper"), Layer::Measured),
        ),
        (
            "2026-11-23T08:06:00Z",
            "b1",
            answer(height, at, mm(3.9), Some("caliper"), Layer::Measured),
        ),
        // Undone: the value before is put back.
        (
            "2026-11-23T08:06:30Z",
            "b1",
            Body::Answer {
                spot: spot(height, at),
                value: mm(4.1),
                with: Some("caliper".to_owned()),
                layer: Layer::Measured,
                undoes: Some(Uuid::from_u128(3)),
            },
        ),
        // Done again.
        (
            "2026-11-23T08:07:00Z",
            "b1",
            answer(height, at, mm(3.9), Some("caliper"), Layer::Measured),
        ),
        (
            "2026-11-23T16:20:00Z",
            "b2",
            answer(height, at, mm(4.4), None, Layer::Decided),
        ),
        (
            "2026-11-24T09:00:00Z",
            "b2",
            answer(height, at, Value::NotSeen, None, Layer::Measured),
        ),
        (
            "2026-11-25T23:30:00Z",
            "b2",
            Body::Arrived {
                arrival: Box::new(Arrival {
                    matters: Vec::new(),
                    parts: vec![Part::Impression],
                    on: date(2026, 11, 25),
                    restorations: vec![1],
                    anew: vec![spot(height, at)],
                }),
            },
        ),
        (
            "2026-11-26T08:00:00Z",
            "b1",
            answer(height, at, mm(4.6), Some("caliper"), Layer::Measured),
        ),
        (
            "2026-11-26T08:01:00Z",
            "b1",
            Body::Clear {
                spot: spot(height, at),
                layer: Layer::Measured,
                undoes: None,
            },
        ),
    ];
    (0..)
        .zip(bodies)
        .map(|(n, (when, who, body))| entry(n, (when, who), body))
        .collect()
}

fn lines(journal: &[Entry], about: &About, zone: &TimeZone) -> Vec<String> {
    let case = fold(journal).unwrap();
    let facts = Facts::with(flow(), &case, Precision::Quick);
    let phrase = Phrase {
        flow: flow(),
        notation: Notation::Iso3950,
    };
    let events = history(journal, about).unwrap();
    let line = |event: &Event| phrase.event(&facts, (event, about), zone);
    events.iter().map(line).collect()
}

#[test]
fn the_history_of_a_cell_is_told_newest_first_in_the_words_of_whose_word_it_is() {
    let journal = by_hand();
    let about = About::Spot(spot("tooth.height", "26"));
    assert_eq!(
        lines(&journal, &about, &TimeZone::UTC),
        [
            "Thu 26 Nov 2026, 08:01, b1: cleared; before: 4.6 mm, caliper",
            "Thu 26 Nov 2026, 08:00, b1: measured: 4.6 mm, caliper",
            "Wed 25 Nov 2026, 23:30, b2: set aside, a new impression or scan arrived; before: 4.4 mm",
            "Tue 24 Nov 2026, 09:00, b2: checked, could not see",
            "Mon 23 Nov 2026, 16:20, b2: told by the dentist: 4.4 mm",
            "Mon 23 Nov 2026, 08:07, b1: redone: 3.9 mm, caliper",
            "Mon 23 Nov 2026, 08:06, b1: taken back: 3.9 mm, caliper; again 4.1 mm, caliper",
            "Mon 23 Nov 2026, 08:06, b1: measured: 3.9 mm, caliper",
            "Mon 23 Nov 2026, 08:05, b1: measured: 4.1 mm, caliper",
        ]
    );
    // In the time of the bench: half past eleven at night is the next day further east.
    let east = TimeZone::fixed(jiff::tz::offset(1));
    let there = lines(&journal, &about, &east);
    assert!(
        there[2].starts_with("Thu 26 Nov 2026, 00:30, b2"),
        "{there:#?}"
    );
    // Another cell has none of it.
    let other = About::Spot(spot("tooth.clearance", "26"));
    assert!(lines(&journal, &other, &TimeZone::UTC).is_empty());
    let every = About::Fact(spot("tooth.height", "26").fact);
    let every = lines(&journal, &every, &TimeZone::UTC);
    assert_eq!(every.len(), 9);
    assert!(
        every[1].ends_with("b1: 26: measured: 4.6 mm, caliper"),
        "{every:#?}"
    );
    // No ids, whatever is asked.
    let whole = lines(&journal, &About::Case, &TimeZone::UTC);
    assert_eq!(whole.len(), journal.len());
    assert!(
        whole.iter().all(|line| !line.contains("0000")),
        "{whole:#?}"
    );
    assert_eq!(
        whole[whole.len() - 1],
        "Mon 23 Nov 2026, 08:00, b1: case opened: 26"
    );
    assert_eq!(
        whole[6],
        "Mon 23 Nov 2026, 08:06, b1: taken back: 26, height: measured: 3.9 mm, caliper"
    );
}

#[test]
fn the_history_of_the_whole_case_names_hands_files_and_what_became() {
    let mut journal = by_hand();
    let last = journal.len() as u64;
    let file = CaseFile {
        path: "/photos/a/46-buccal.jpg".to_owned(),
        sha256: "c".repeat(64),
        bytes: 12,
    };
    let units = crate::made::units("26; 36");
    let put_back = Before {
        units: None,
        handed: Some(Hands::Nobody),
        ..Before::default()
    };
    for (n, body) in (last..).zip([
        Body::HandedOver {
            to: "b2".to_owned(),
            note: "polish".to_owned(),
            on: Some(date(2026, 11, 27)),
        },
        Body::PutBack {
            before: Box::new(put_back),
            undoes: Uuid::from_u128(u128::from(last) + 1),
        },
        Body::Attached { file: file.clone() },
        Body::Detached { path: file.path },
        Body::Units {
            units,
            undoes: None,
        },
        Body::Happened {
            event: CaseEvent {
                what: Happened::Closed,
                restorations: vec![1],
                on: date(2026, 11, 27),
                goes_on: None,
            },
        },
    ]) {
        journal.push(entry(n, ("2026-11-27T10:00:00Z", "b1"), body));
    }
    let told = lines(&journal, &About::Case, &TimeZone::UTC);
    let told: Vec<&str> = told[..6]
        .iter()
        .map(|line| line.strip_prefix("Fri 27 Nov 2026, 10:00, b1: ").unwrap())
        .collect();
    assert_eq!(
        told,
        [
            "26 closed on Fri 27 Nov 2026",
            "units now 26; 36",
            "file taken off the case: 46-buccal.jpg",
            "file added: 46-buccal.jpg",
            "taken back: handed over to b2: \"polish\"",
            "handed over to b2: \"polish\"",
        ]
    );
    assert_eq!(
        lines(&journal, &About::Units, &TimeZone::UTC),
        [
            "Fri 27 Nov 2026, 10:00, b1: units now 26; 36",
            "Mon 23 Nov 2026, 08:00, b1: case opened: 26"
        ]
    );
}

#[test]
fn a_key_shows_what_was_entered_and_another_goes_back() {
    let mut tech = Technician::on(&crown());
    tech.at("tooth.height", "26").keys("4.1 enter");
    tech.at("tooth.height", "26").keys("3.9 enter u");
    tech.at("tooth.height", "26").keys("h");
    let shown = |tech: &Technician| match tech.session.view().page {
        PageView::History(page) => (page.title, page.lines),
        _ => panic!("another page"),
    };
    let (title, told) = shown(&tech);
    assert!(title.starts_with("26, height: what was entered"), "{title}");
    assert_eq!(told.len(), 3, "{told:#?}");
    assert!(told[0].contains(", mk: taken back: 3.9 mm"), "{told:#?}");
    assert!(told[2].contains("measured: 4.1 mm"), "{told:#?}");
    tech.keys("h");
    assert!(shown(&tech).0.starts_with("units of the order"));
    tech.keys("h");
    assert!(shown(&tech).0.starts_with("case "));
    tech.keys("h");
    assert_eq!(shown(&tech).0, title);
    tech.keys("esc");
    assert_eq!(
        (tech.session.page, tech.cursor().as_str()),
        (Page::Questions, "tooth.height@26")
    );
    // What was said to a question, from its line of the call.
    let mut tech = sit(&crate::screen::low_crown());
    tech.with_ways().keys("c 1 7 enter");
    let answered = |tech: &Technician| {
        let case = tech.case();
        let rows = tech
            .session
            .call_rows(tech.session.inspection.as_ref().unwrap());
        rows.iter().position(
            |row| matches!(row, Row::Ask(own) | Row::Earlier(own) if case.decision(own).is_some()),
        )
    };
    tech.session.call.marked = answered(&tech).unwrap();
    tech.keys("h");
    let (title, told) = shown(&tech);
    assert!(title.starts_with("26, the dentist's answers"), "{title}");
    assert!(told[0].contains("make it as it is"), "{told:#?}");
    tech.keys("esc");
    assert_eq!(tech.session.page, Page::Call);
}
