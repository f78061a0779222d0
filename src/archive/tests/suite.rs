//! What every engine must do, written against the trait alone. An engine is named in [`engines`], and passes all of it.

use std::ops::ControlFlow;

use jiff::Timestamp;
use tempfile::TempDir;

use super::super::chain::{Chain, Hash, Written, root, seed};
use super::super::store::*;
use super::super::{Freshness, WorkAsk, WorkRow, sqlite};
use crate::text::hex;

/// A new archive, empty, with what keeps its place.
type Made = (Box<dyn Store>, TempDir);

/// An engine: its name, and what makes a new archive.
type Engine = (&'static str, Box<dyn Fn() -> Made>);

/// Every engine there is.
fn engines() -> Vec<Engine> {
    let sqlite = || {
        let directory = tempfile::tempdir().unwrap();
        let store = sqlite::open(&directory.path().join("a"), true).unwrap();
        (store, directory)
    };
    vec![("sqlite", Box::new(sqlite))]
}

fn each(test: impl Fn(&mut dyn Store)) {
    for (name, make) in engines() {
        println!("{name}");
        let (mut store, _directory) = make();
        test(&mut *store);
    }
}

fn case(number: &str) -> Stream {
    Stream::Case(number.to_owned())
}

/// Rows that follow an end.
fn rows(stream: &Stream, after: &Head, bodies: &[&str]) -> (Vec<Row>, Head) {
    let mut chain = Chain::new(stream);
    chain.start_at(after.count, Some(after.hash));
    let rows = bodies.iter().map(|body| {
        let written = Written {
            kind: "1".to_owned(),
            body: (*body).to_owned(),
        };
        chain.add(Some(uuid::Uuid::new_v4()), "w".to_owned(), written)
    });
    let rows = rows.collect();
    (rows, chain.head())
}

#[track_caller]
fn keep(store: &mut dyn Store, stream: &Stream, after: &Head, bodies: &[&str]) -> Head {
    let (rows, head) = rows(stream, after, bodies);
    let kept = store.append(stream, after, &rows, Beside::Nothing);
    assert_eq!(kept, Ok(Appended::Kept));
    head
}

fn found(head: &Head) -> Option<RawHead> {
    Some(RawHead {
        count: head.count,
        hash: Some(head.hash),
    })
}

fn bodies(store: &dyn Store, stream: &Stream, after: u64) -> Vec<String> {
    let mut found = Vec::new();
    store
        .read(stream, after, &mut |row| {
            found.push(row.body.unwrap());
            ControlFlow::Continue(())
        })
        .unwrap();
    found
}

fn log(store: &dyn Store, after: u64) -> Vec<LogRow> {
    let mut found = Vec::new();
    store
        .log(after, &mut |row| {
            found.push(row);
            ControlFlow::Continue(())
        })
        .unwrap();
    found
}

#[test]
fn rows_come_back_as_they_were_in_their_order() {
    each(|store| {
        let a = case("a");
        assert_eq!(store.ends(&a), Ok(Ends::default()));
        assert_eq!(store.last(), Ok(None));
        let (first, head) = rows(&a, &Head::NONE, &["one", "two", "drei ½"]);
        let kept = store.append(&a, &Head::NONE, &first, Beside::Mark("w"));
        assert_eq!(kept, Ok(Appended::Kept));
        let mut back = Vec::new();
        let end = store.read(&a, 0, &mut |row| {
            back.push(row);
            ControlFlow::Continue(())
        });
        assert_eq!(end, Ok(found(&head)));
        assert_eq!(back.len(), 3);
        for (row, was) in back.iter().zip(&first) {
            let text = |text: &String| Some(text.clone());
            assert_eq!((row.number, row.hash), (was.number, Some(was.hash)));
            assert_eq!((&row.id, &row.when), (&text(&was.id), &text(&was.when)));
            assert_eq!((&row.kind, &row.body), (&text(&was.kind), &text(&was.body)));
            assert_eq!(row.before, Some(was.before));
        }
        assert_eq!(bodies(store, &a, 2), ["drei ½"]);
        let mut one = 0;
        store
            .read(&a, 0, &mut |_| {
                one += 1;
                ControlFlow::Break(())
            })
            .unwrap();
        assert_eq!(one, 1);
        let ends = store.ends(&a).unwrap();
        assert_eq!((ends.head, ends.last), (found(&head), found(&head)));
        let known = store.known(&a, &first[1].id);
        assert_eq!(known, Ok(Some((a.clone(), "two".to_owned()))));
        assert_eq!(store.known(&a, "none"), Ok(None));
    });
}

#[test]
fn only_what_follows_the_end_is_kept() {
    each(|store| {
        let a = case("a");
        let head = keep(store, &a, &Head::NONE, &["one"]);
        let other = Head {
            hash: [7; 32],
            ..head
        };
        let ahead = Head { count: 2, ..head };
        for expected in [Head::NONE, other, ahead] {
            let (next, _) = rows(&a, &expected, &["two"]);
            let appended = store.append(&a, &expected, &next, Beside::Nothing);
            assert_eq!(appended, Ok(Appended::Conflict), "{expected:?}");
        }
        assert_eq!(bodies(store, &a, 0), ["one"]);
        assert_eq!(log(store, 0).len(), 1);
        let head = keep(store, &a, &head, &["two"]);
        assert_eq!(head.count, 2);
        // Another handle is where this one is.
        let mut again = store.opener()().unwrap();
        keep(&mut *again, &a, &head, &["three"]);
        assert_eq!(bodies(store, &a, 0), ["one", "two", "three"]);
        let (late, _) = rows(&a, &head, &["late"]);
        let appended = store.append(&a, &head, &late, Beside::Nothing);
        assert_eq!(appended, Ok(Appended::Conflict));
    });
}

#[test]
fn cases_flows_and_instructions_are_streams_alike() {
    each(|store| {
        let (a, flow) = (case("a"), Stream::Flow("d1".to_owned()));
        let ends = [
            (a.clone(), keep(store, &a, &Head::NONE, &["one"])),
            (flow.clone(), keep(store, &flow, &Head::NONE, &["files"])),
            (
                Stream::Standing,
                keep(store, &Stream::Standing, &Head::NONE, &["agreed", "ended"]),
            ),
            (
                Stream::Practice,
                keep(store, &Stream::Practice, &Head::NONE, &["right", "missed"]),
            ),
        ];
        for (stream, head) in &ends {
            assert_eq!(store.ends(stream).unwrap().head, found(head));
            assert_eq!(store.stands(stream, head), Ok(()));
            let other = Head {
                hash: [7; 32],
                ..*head
            };
            let error = store.stands(stream, &other).unwrap_err();
            assert!(matches!(error, StoreError::Gone(_)), "{error:?}");
        }
        assert_eq!(bodies(store, &flow, 0), ["files"]);
        assert_eq!(bodies(store, &Stream::Standing, 1), ["ended"]);
        let mut streams = store.streams().unwrap();
        streams.sort();
        assert_eq!(bodies(store, &Stream::Practice, 1), ["missed"]);
        assert_eq!(streams, [a, flow, Stream::Standing, Stream::Practice]);
    });
}

#[test]
fn the_log_has_a_row_for_each_and_a_root_over_all() {
    each(|store| {
        assert!(!store.about().id.is_empty());
        let (a, b) = (case("a"), case("b"));
        let first = keep(store, &a, &Head::NONE, &["one"]);
        keep(store, &b, &Head::NONE, &["one", "two"]);
        keep(store, &a, &first, &["two"]);
        let log = log(store, 0);
        let names: Vec<_> = log
            .iter()
            .map(|row| (row.seq, row.stream.as_str(), row.number))
            .collect();
        let expected = [
            (1, "case a", 1),
            (2, "case b", 1),
            (3, "case b", 2),
            (4, "case a", 2),
        ];
        assert_eq!(names, expected);
        let mut before: Hash = seed(&store.about().id, store.about().adopted);
        for row in &log {
            before = root(
                &before,
                row.seq,
                &row.stream,
                row.number,
                &row.hash.unwrap(),
            );
            assert_eq!(row.root.map(hex), Some(hex(before)));
        }
        assert_eq!(store.last(), Ok(log.last().cloned()));
        // What has changed since a place in it.
        assert_eq!(super::suite::log(store, 2), log[2..]);
    });
}

fn row(number: &str, entries: u64) -> WorkRow {
    WorkRow {
        number: number.to_owned(),
        entries,
        standing: 0,
        engine: "e1".to_owned(),
        flow: "d1".to_owned(),
        fresh_until: None,
        closed: false,
        turn: number.to_owned(),
        last: Timestamp::UNIX_EPOCH,
        dentist: "K17".to_owned(),
        who: String::new(),
        hay: format!("{number} crown"),
        body: format!("\"{number}\""),
    }
}

#[test]
fn the_worklist_goes_with_what_is_appended() {
    each(|store| {
        let now = Freshness {
            engine: "e1".to_owned(),
            today: "2026-11-27".parse().unwrap(),
        };
        let all = WorkAsk {
            most: 10,
            ..WorkAsk::default()
        };
        let a = case("a");
        let (one, head) = rows(&a, &Head::NONE, &["one"]);
        store
            .append(&a, &Head::NONE, &one, Beside::Row(&row("a", 1)))
            .unwrap();
        let listed = |store: &dyn Store, ask: &WorkAsk| {
            let mut rows = Vec::new();
            let mut each = |row| {
                rows.push(row);
                ControlFlow::Continue(())
            };
            store.work(ask, &now, &mut each).unwrap();
            rows
        };
        let fresh = |store: &dyn Store| listed(store, &all)[0].fresh;
        let put = |store: &mut dyn Store, number: &str, entries| {
            store.put_work(&[row(number, entries)]).unwrap()
        };
        assert!(fresh(store));
        assert_eq!(store.count(), Ok((1, 1)));
        assert_eq!(store.stale(&now, 9), Ok(vec![]));
        let (two, head) = (rows(&a, &head, &["two"]).0, head);
        store.append(&a, &head, &two, Beside::Mark("w")).unwrap();
        assert!(!fresh(store));
        assert_eq!(store.stale(&now, 9), Ok(vec!["a".to_owned()]));
        // A row of an older state is not kept, one of this state is.
        assert_eq!(put(store, "a", 1), [""; 0]);
        assert_eq!(put(store, "b", 1), [""; 0]);
        assert_eq!(put(store, "a", 2), ["a"]);
        assert!(fresh(store));
        let (agreed, _) = rows(&Stream::Standing, &Head::NONE, &["agreed"]);
        let beside = Beside::MarkAll("K17");
        store
            .append(&Stream::Standing, &Head::NONE, &agreed, beside)
            .unwrap();
        assert!(!fresh(store));
        // It was judged without the instruction, and is kept as one to be made anew.
        assert_eq!(put(store, "a", 2), ["a"]);
        assert!(!fresh(store));
        let judged = WorkRow {
            standing: 1,
            ..row("a", 2)
        };
        store.put_work(&[judged]).unwrap();
        // What conflicts leaves the worklist as it is.
        store.append(&a, &head, &two, Beside::Mark("w")).unwrap();
        assert!(fresh(store));
        let ask = WorkAsk {
            words: vec![vec!["bridge".to_owned()]],
            ..all.clone()
        };
        assert_eq!(listed(store, &ask), []);
    });
}

#[test]
fn a_moment_stays_while_others_write() {
    each(|store| {
        let a = case("a");
        let head = keep(store, &a, &Head::NONE, &["one"]);
        let mut other = store.opener()().unwrap();
        let revision = store.revision().unwrap();
        store
            .at_one_moment(&mut || {
                assert_eq!(bodies(store, &a, 0).len(), 1);
                keep(&mut *other, &a, &head, &["two"]);
                assert_eq!(bodies(store, &a, 0).len(), 1);
                Ok(())
            })
            .unwrap();
        assert_eq!(bodies(store, &a, 0).len(), 2);
        assert_ne!(store.revision(), Ok(revision));
        assert_eq!(store.own_damage(), Ok(vec![]));
        assert!(store.notes().is_empty() && store.is_in_place());
    });
}
