//! How fast a flow is tried on an archive: cases per second on one thread and on two, and what reading takes of it; a case of a
//! replay against judging one case; the figures of what came back against counting the same in SQL. Prints only; nothing is
//! asserted of a time.
#![allow(missing_docs, clippy::expect_used, clippy::print_stdout)]

use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use std::time::{Duration, Instant};

use casepan::archive::Archive;
use casepan::case::opening::{Opening, entries};
use casepan::case::{Case, FlowRef, Layer, Reading};
use casepan::demo::laboratory::{Plan, orders};
use casepan::demo::{CASES, case, journal};
use casepan::derive::{Facts, Precision};
use casepan::desk::{Flows, FoundCase, both, fill_all, lots, walk};
use casepan::fact::{HEIGHT, Place, Spot, Unit, Value};
use casepan::flow::{FORMAT, Flow, embedded, embedded_sources, load};
use casepan::learn::replay::results;
use casepan::learn::sweep::{Slice, Steps, limits};
use casepan::learn::{Asked, figures};
use casepan::ronfile::Source;
use jiff::civil::date;
use jiff::tz::TimeZone;
use uuid::Uuid;

/// How many cases the archive has.
const COUNT: usize = 600;

/// One of the sample cases, with heights of its own.
fn numbered(nth: usize) -> Case {
    let (name, _) = CASES[nth % CASES.len()];
    let mut own = case(name).expect("a sample case");
    own.number = format!("B-{nth:05}");
    let lower = f64::from(u32::try_from(nth % 20).expect("small")) / 10.0;
    let heights: Vec<(Place, f64)> = own
        .present()
        .filter(|(spot, ..)| spot.fact == HEIGHT)
        .filter_map(|(spot, _, reading)| Some((spot.at, reading.value.number()?)))
        .collect();
    for (at, height) in heights {
        let value = Value::Number(((height - lower) * 10.0).round() / 10.0, Unit::Mm);
        let spot = Spot { fact: HEIGHT, at };
        own.put(spot, Layer::Measured, Reading::plain(value));
    }
    own
}

fn written(path: &Path, flow: &Flow) {
    let mut archive = Archive::open(path).expect("an archive");
    let files: Vec<_> = embedded_sources()
        .iter()
        .map(|own| (own.name().to_owned(), own.text().to_owned()))
        .collect();
    archive
        .keep_flow(&flow.digest, FORMAT, &files)
        .expect("kept");
    let opening = Opening {
        flow: FlowRef {
            id: flow.id.clone(),
            version: flow.version,
            digest: flow.digest.clone(),
        },
        session: Uuid::from_u128(1),
        when: "2025-01-06T09:00:00Z".parse().expect("a time"),
        who: None,
    };
    for nth in 0..COUNT {
        let own = numbered(nth);
        let all = entries(&own, &opening, &mut Uuid::new_v4);
        archive.append(&own.number, &all).expect("written");
    }
}

/// Walks over the archive on so many threads; returns how long it took.
fn walked<T: Send>(
    path: &Path,
    flow: &Arc<Flow>,
    threads: usize,
    each: impl Fn(FoundCase<'_>) -> Vec<T> + Send + Sync,
) -> Duration {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads);
    pool.build().expect("threads").install(|| {
        let archive = Archive::open_to_read(path).expect("an archive");
        let flows = Flows::new(flow.clone());
        let stop = AtomicBool::new(false);
        let begun = Instant::now();
        let done = walk(
            &archive,
            &flows,
            &TimeZone::UTC,
            (&stop, &mut |_, _| {}),
            each,
        );
        assert_eq!(done.expect("read").looked.done, COUNT);
        begun.elapsed()
    })
}

/// Judging each of the cases once, from memory, on one thread.
fn judging(flow: &Flow) -> Duration {
    let cases: Vec<Case> = (0..COUNT).map(numbered).collect();
    let begun = Instant::now();
    for own in &cases {
        std::hint::black_box(results(flow, &Facts::with(flow, own, Precision::Quick)));
    }
    begun.elapsed()
}

/// What was delivered, and the first day on which something came back, counted by the database itself.
const COUNTS: &str = "
    WITH made AS (
        SELECT case_number, max(json_extract(body, '$.body.Happened.event.on')) AS day
        FROM entry WHERE kind = 'Happened' AND json_extract(body, '$.body.Happened.event.what') = 'Delivered'
        GROUP BY case_number
    ), back AS (
        SELECT case_number, min(json_extract(body, '$.body.Outcome.outcome.on')) AS day
        FROM entry WHERE kind = 'Outcome'
            AND json_extract(body, '$.body.Outcome.outcome.what') NOT IN ('Quiet', 'LostSight')
        GROUP BY case_number
    )
    SELECT count(*), count(back.day) FROM made LEFT JOIN back USING (case_number) WHERE made.day <= '2026-10-01'";

/// An invented laboratory: the figures of what came back from the kept rows, and from the journals, against counting in SQL.
fn figures_against_sql(folder: &Path, flow: &Arc<Flow>) {
    let path = folder.join("invented.casepan");
    let today = date(2026, 11, 23);
    let flows = Flows::new(flow.clone());
    let mut archive = Archive::open(&path).expect("an archive");
    let plan = Plan {
        cases: COUNT,
        seed: 2,
        until: today,
    };
    for order in orders(&plan) {
        let own = journal(flow, &order, today, 2).expect("a journal");
        archive.append(&order.number(), &own).expect("written");
    }
    let asked = Asked {
        by: Vec::new(),
        kinds: Vec::new(),
        months: 12,
        from: None,
        to: None,
        today,
    };
    let told = |archive: &Archive| {
        let begun = Instant::now();
        let (all, _) = lots(archive, &flows, &TimeZone::UTC, &mut |_, _| {}).expect("read");
        let found = figures(&all, &asked).expect("figures");
        (begun.elapsed(), found.delivered)
    };
    let (from_journals, delivered) = told(&archive);
    fill_all(&mut archive, &flows, today, &mut |_, _| {}).expect("filled");
    let (from_rows, again) = told(&archive);
    let conn = rusqlite::Connection::open(&path).expect("an archive");
    let begun = Instant::now();
    let (counted, back): (i64, i64) = conn
        .query_row(COUNTS, [], |row| Ok((row.get(0)?, row.get(1)?)))
        .expect("counted");
    let in_sql = begun.elapsed();
    let counted = u64::try_from(counted).expect("a count");
    assert_eq!((delivered, again), (counted, counted));
    let ratio = |time: Duration| time.as_secs_f64() / in_sql.as_secs_f64();
    println!(
        "{counted} delivered, {back} came back: SQL {:.1} ms, figures from the rows {:.1} times that, from the journals {:.1} times",
        in_sql.as_secs_f64() * 1e3,
        ratio(from_rows),
        ratio(from_journals),
    );
}

fn main() {
    let flow = Arc::new(embedded().flow.expect("the built-in flow"));
    let sources = embedded_sources().into_iter().map(|own| {
        let text = own.text().replace(
            "Mm(2.5)), Is(\"tooth.class\"",
            "Mm(3.0)), Is(\"tooth.class\"",
        );
        Source::new(own.name(), text)
    });
    let other = load(sources.collect())
        .flow
        .expect("the same with another limit");
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a.casepan");
    written(&path, &flow);
    let limit = limits(&flow, "stump-short:call:2.5").remove(0);
    let steps = Steps::new(&flow, limit, (2.0, 4.0), 0.05).expect("steps");
    let swept = |own: FoundCase<'_>| -> Vec<(u8, Slice)> {
        steps.slices(&Facts::with(&flow, own.found, Precision::Quick))
    };
    for threads in [1, 2] {
        let bare = walked(&path, &flow, threads, |_| Vec::<()>::new());
        let judged = walked(&path, &flow, threads, |own| both(own, &other));
        let sweep = walked(&path, &flow, threads, swept);
        if threads == 1 {
            let alone = judging(&flow);
            println!(
                "a case of a replay takes {:.1} times as long as judging one from memory, without reading {:.1} times",
                judged.as_secs_f64() / alone.as_secs_f64(),
                judged.saturating_sub(bare).as_secs_f64() / alone.as_secs_f64(),
            );
        }
        let rate = |time: Duration| COUNT as f64 / time.as_secs_f64();
        println!(
            "{threads} threads: replay {:.0} cases a second, reading alone {:.0}, its share {:.0} %; {} steps {:.0}",
            rate(judged),
            rate(bare),
            100.0 * bare.as_secs_f64() / judged.as_secs_f64(),
            steps.at.len(),
            rate(sweep),
        );
    }
    figures_against_sql(folder.path(), &flow);
}
