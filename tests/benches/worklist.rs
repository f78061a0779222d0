//! The worklist at 100 and at 100,000 cases: start to the first frame, a keystroke of the filter to its frame, and how many
//! cases a second are read: `cargo bench --bench worklist`.
//!
//! It prints and judges nothing: the figures hang on the machine, their ratios less so.
#![allow(missing_docs)]
#![allow(clippy::unwrap_used, clippy::print_stdout)]

#[path = "time.rs"]
mod time;

use std::path::Path;
use std::sync::Arc;
use std::time::{Duration, Instant};

use casepan::archive::Archive;
use casepan::desk::{Desk, Flows, Setup, fill_all};
use casepan::flow::embedded;
use casepan::screen::{Theme, draw};
use casepan::session::Moment;
use casepan::tooth::Notation;
use jiff::civil::date;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use uuid::Uuid;

const SMALL: usize = 100;
const LARGE: usize = 100_000;

/// Filters as somebody types them.
const FILTERS: [&str; 6] = ["46", "24-00", "k17 call", "zirconia 26", "to call", "xyz"];

fn moment() -> Moment {
    Moment {
        now: "2026-11-23T09:30:00Z".parse().unwrap(),
        today: date(2026, 11, 23),
        id: Uuid::new_v4(),
    }
}

fn desk(directory: &Path) -> Desk {
    let mut desk = Desk::new(Setup {
        archive: Archive::open(&directory.join("a.casepan")).unwrap(),
        loaded: embedded(),
        notation: Notation::Iso3950,
        who: None,
        session_id: Uuid::new_v4(),
        prints: directory.to_owned(),
    })
    .unwrap();
    desk.session.today = Some(moment().today);
    desk
}

/// Sample cases under so many numbers.
fn samples(directory: &Path, count: usize) {
    let mut desk = desk(directory);
    for index in 0..count {
        let (name, _) = casepan::demo::CASES[index % casepan::demo::CASES.len()];
        let mut case = casepan::demo::case(name).unwrap();
        case.number = format!("24-{index:06}");
        desk.bring_in(&case, &moment(), &mut Uuid::new_v4).unwrap();
    }
}

/// Rows of the worklist for so many cases, of which one in twelve is open. Nothing else of them is needed here.
fn rows(directory: &Path, count: usize) {
    samples(directory, 4);
    let conn = rusqlite::Connection::open(directory.join("a.casepan")).unwrap();
    conn.execute_batch(&format!(
        "WITH RECURSIVE many(n) AS (SELECT 4 UNION ALL SELECT n + 1 FROM many WHERE n + 1 < {count}),
              own AS (SELECT *, row_number() OVER (ORDER BY case_number) - 1 AS place FROM work)
         INSERT INTO work (case_number, entries, engine, flow, closed, turn, last, dentist, who, hay, body)
         SELECT printf('24-%06d', n), entries, engine, flow, n % 12 > 0,
                printf('%d2026-%02d-%02d', n % 2, 1 + n % 12, 1 + n % 28),
                printf('2026-%02d-%02dT09:30:00Z', 1 + n % 12, 1 + n % 28),
                printf('k%d', n % 40), printf('b%d', n % 9),
                printf('24-%06d k%d b%d ', n, n % 40, n % 9) || hay, body
         FROM many JOIN own ON own.place = n % 4;
         PRAGMA wal_checkpoint(TRUNCATE);"
    ))
    .unwrap();
}

fn frame(desk: &Desk) {
    let area = Rect::new(0, 0, 120, 40);
    let mut buf = Buffer::empty(area);
    draw(&mut buf, area, &desk.session.view(), Theme::plain());
    std::hint::black_box(buf);
}

/// Returns how much memory this process has held at most, in MB.
fn peak() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find(|line| line.starts_with("VmHWM:"));
    let kb = line.and_then(|line| line.split_whitespace().nth(1)?.parse::<u64>().ok());
    kb.unwrap_or_default() / 1024
}

/// Start to the first frame; the median and the worst keystroke of a filter to its frame, and to its list.
fn measured(count: usize) -> [Duration; 5] {
    let directory = tempfile::tempdir().unwrap();
    rows(directory.path(), count);
    let start = time::least(9, || {
        let mut desk = desk(directory.path());
        desk.fill_apart(drop).unwrap();
        frame(&desk);
    });
    let mut desk = desk(directory.path());
    desk.fill_apart(drop).unwrap();
    let (sender, found) = std::sync::mpsc::channel();
    desk.find_apart(move |part| drop(sender.send(part)));
    assert_eq!(desk.session.listing.counts.all, count);
    let (mut keys, mut lists): (Vec<Duration>, Vec<Duration>) = (Vec::new(), Vec::new());
    for _ in 0..3 {
        for filter in FILTERS {
            desk.key("f", &moment());
            for c in filter.chars() {
                let key = c.to_string();
                let begun = Instant::now();
                desk.key(if c == ' ' { "space" } else { &key }, &moment());
                frame(&desk);
                keys.push(begun.elapsed());
                if desk.session.listing.looks {
                    desk.found(found.recv().unwrap());
                    frame(&desk);
                }
                lists.push(begun.elapsed());
            }
            desk.key("esc", &moment());
        }
    }
    keys.sort();
    lists.sort();
    let of = |all: &[Duration]| [all[all.len() / 2], all[all.len() - 1]];
    let ([key, slow], [list, late]) = (of(&keys), of(&lists));
    println!("{count} cases: this process has held {} MB at most", peak());
    [start, key, slow, list, late]
}

fn main() {
    let small = measured(SMALL);
    let large = measured(LARGE);
    println!("{:<28} {SMALL:>10} {LARGE:>10} {:>8}", "cases", "ratio");
    let names = [
        "start to the first frame",
        "key to its frame, median",
        "key to its frame, worst",
        "key to its list, median",
        "key to its list, worst",
    ];
    for (name, (small, large)) in names.iter().zip(small.iter().zip(&large)) {
        let ms = |time: &Duration| time.as_secs_f64() * 1e3;
        let ratio = large.as_secs_f64() / small.as_secs_f64();
        println!(
            "{name:<28} {:>7.2} ms {:>7.2} ms {ratio:>7.1}x",
            ms(small),
            ms(large)
        );
    }
    let directory = tempfile::tempdir().unwrap();
    samples(directory.path(), 400);
    let conn = rusqlite::Connection::open(directory.path().join("a.casepan")).unwrap();
    conn.execute("UPDATE work SET engine = ''", []).unwrap();
    let flow = Arc::new(embedded().flow.unwrap());
    let mut archive = Archive::open(&directory.path().join("a.casepan")).unwrap();
    let begun = Instant::now();
    fill_all(
        &mut archive,
        &Flows::new(flow),
        moment().today,
        &mut |_, _| (),
    )
    .unwrap();
    let second = 400.0 / begun.elapsed().as_secs_f64();
    println!("cases read                   {second:.0} a second");
}
