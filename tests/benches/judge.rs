//! How long judging takes, told as ratios within one run. Prints only; nothing is asserted.
#![allow(missing_docs, clippy::expect_used, clippy::print_stdout)]

use std::hint::black_box;
use std::time::{Duration, Instant};

use casepan::demo::{CASES, case};
use casepan::derive::Facts;
use casepan::flow::embedded;
use casepan::judge::judge;
use casepan::mechanics::resistance::{Section, resistance};
use casepan::tooth::Notation;
use casepan::walk::{Inspection, Walk};
use uuid::Uuid;

fn median(mut run: impl FnMut()) -> Duration {
    let mut times: Vec<Duration> = (0..101)
        .map(|_| {
            let start = Instant::now();
            run();
            start.elapsed()
        })
        .collect();
    times.sort();
    times[times.len() / 2]
}

fn main() {
    let flow = std::sync::Arc::new(embedded().flow.expect("the built-in flow has no problem"));
    let section = Section {
        base: 9.0,
        step: 0.2,
        height: 4.0,
        taper: 8.0,
    };
    let unit = median(|| {
        for _ in 0..1000 {
            let _ = black_box(resistance(black_box(section)));
        }
    }) / 1000;
    println!("unit: one section by the half-wall rule, {unit:?}");
    for (name, _) in CASES {
        let case = case(name).expect("an invented case reads");
        let derive = median(|| {
            black_box(Facts::of(&flow, black_box(&case)));
        });
        let facts = Facts::of(&flow, &case);
        let judged = median(|| {
            black_box(judge(&flow, black_box(&facts)));
        });
        let mut walk = Walk::new(Notation::Iso3950);
        walk.show(Inspection::new(
            flow.clone(),
            case.clone(),
            1,
            Uuid::nil(),
            None,
        ));
        let view = median(|| {
            black_box(walk.view());
        });
        let ratio = |time: Duration| time.as_secs_f64() / unit.as_secs_f64();
        println!(
            "{name}: derive {derive:?} ({:.0} units), judge {judged:?} ({:.0}), view {view:?} ({:.0})",
            ratio(derive),
            ratio(judged),
            ratio(view)
        );
    }
}
