//! How fast a flow is tried on an archive: cases per second on one thread and on two, and what reading takes of it. Prints only;
//! nothing is asserted.
#![allow(missing_docs, clippy::expect_used, clippy::print_stdout)]

use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use std::time::{Duration, Instant};

use casepan::archive::Archive;
use casepan::case::opening::{Opening, entries};
use casepan::case::{Case, FlowRef, Layer, Reading};
use casepan::demo::{CASES, case};
use casepan::derive::{Facts, Precision};
use casepan::desk::{Flows, FoundCase, both, walk};
use casepan::fact::{HEIGHT, Place, Spot, Unit, Value};
use casepan::flow::{FORMAT, Flow, embedded, embedded_sources, load};
use casepan::learn::sweep::{Slice, Steps, limits};
use casepan::ronfile::Source;
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
}
