//! How long options take, as multiples of one judging of the same case: `cargo bench --bench option`.
#![allow(missing_docs, clippy::expect_used, clippy::print_stdout)]

#[path = "time.rs"]
mod time;

use std::hint::black_box;
use std::time::Duration;

use casepan::demo::{CASES, case};
use casepan::derive::{Facts, Precision};
use casepan::flow::embedded;
use casepan::judge::judge;
use casepan::options::{case_options, steady, together, together_unpruned};
use time::least;

fn main() {
    let flow = embedded().flow.expect("the built-in flow has no problem");
    for (name, _) in CASES {
        let case = case(name).expect("an invented case reads");
        let one = least(51, || {
            let facts = Facts::with(&flow, black_box(&case), Precision::Quick);
            black_box(judge(&flow, &facts));
        });
        let facts = Facts::with(&flow, &case, Precision::Quick);
        let judgement = judge(&flow, &facts);
        let ways = case_options(&flow, &facts, &judgement);
        let times = |time: Duration| time.as_secs_f64() / one.as_secs_f64();
        let singles = least(5, || {
            black_box(case_options(&flow, &facts, black_box(&judgement)));
        });
        let pairs = least(3, || {
            black_box(together(&flow, &facts, &judgement, black_box(&ways)));
        });
        let all = least(1, || {
            black_box(together_unpruned(
                &flow,
                &facts,
                &judgement,
                black_box(&ways),
            ));
        });
        let graded = ways.iter().filter(|way| way.amount.is_some());
        let error = graded.clone().next().map(|way| {
            least(1, || {
                black_box(steady(&flow, &facts, &judgement, black_box(way)));
            })
        });
        println!(
            "{name}: one judging {one:?}; {} ways {singles:?} ({:.0} judgings); pairs {pairs:?} ({:.0}), unpruned {all:?} ({:.0}); the reading error of one amount {:?} ({:.0})",
            ways.len(),
            times(singles),
            times(pairs),
            times(all),
            error.unwrap_or_default(),
            times(error.unwrap_or_default()),
        );
    }
}
