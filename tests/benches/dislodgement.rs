//! Times the limit analysis against a general conic solver: `cargo bench --bench dislodgement`.
//!
//! Times are in microseconds of one thread, from the nodes to the result, setup included. Compare the ratios of one run,
//! not the times of two. Where solvers are compared each case counts with its least time of as many runs for either: on a
//! busy machine the median of a long solve holds pauses that a short one slips between, and flatters the short one.

#![allow(missing_docs)]
#![allow(clippy::unwrap_used, clippy::print_stdout)]

#[path = "../it/dislodgement/random.rs"]
mod random;
#[path = "../it/dislodgement/reference.rs"]
mod reference;

use std::hint::black_box;
use std::time::Instant;

use casepan::mechanics::dislodgement::{
    Holding, LimitOutcome, Limits, Load, Method, Restoration, Settings,
};
use casepan::mechanics::prep::Mesh;
use random::{Case, Random, case};
use reference::reference;

const QUICK: Settings = Settings::QUICK;
const EXACT: Settings = Settings::EXACT;
/// Runs of each solver on each case.
const RUNS: usize = 7;

fn main() {
    println!(
        "own 1e-3 / own 1e-6 / general 1e-4 / general 1e-8 / interior point alone 1e-3, µs; ratios 1e-4 over 1e-3, 1e-8 over 1e-6, 1e-4 over interior point"
    );
    let mut random = Random(7);
    for abutments in [1, 2, 3, 6] {
        let cases: Vec<Case> = (0..25).map(|_| case(&mut random, abutments)).collect();
        line(&format!("{abutments} abutments"), &cases);
    }
    let cases: Vec<Case> = (0..120)
        .map(|index| case(&mut random, 1 + index % 6))
        .collect();
    line("mixed", &cases);
    parts();
    many_loads();
}

fn own(restoration: &Restoration, load: &Load, settings: Settings) -> LimitOutcome {
    Holding::new(restoration, Limits::default())
        .unwrap()
        .dislodge(load, settings)
}

fn line(name: &str, cases: &[Case]) {
    let mut columns: [Vec<f64>; 5] = Default::default();
    let mut missed = [0; 5];
    for case in cases {
        let restoration = case.restoration();
        let load = &case.load;
        for (column, settings) in [QUICK, EXACT].into_iter().enumerate() {
            columns[column].push(least(RUNS, || own(&restoration, load, settings)));
            missed[column] += i32::from(own(&restoration, load, settings).certified().is_none());
        }
        for (column, tolerance) in [(2, 1e-4), (3, 1e-8)] {
            let solve = || reference(&restoration, Limits::default(), load, tolerance);
            columns[column].push(least(RUNS, solve));
            missed[column] += i32::from(solve().is_none());
        }
        let interior = || {
            Holding::new(&restoration, Limits::default())
                .unwrap()
                .dislodge_by(Method::InteriorPoint, load, QUICK)
        };
        columns[4].push(least(RUNS, interior));
        missed[4] += i32::from(interior().certified().is_none());
    }
    let ratio = |over: usize, under: usize| -> Vec<f64> {
        columns[over]
            .iter()
            .zip(&columns[under])
            .map(|(one, other)| one / other)
            .collect()
    };
    let (quick, exact, interior) = (ratio(2, 0), ratio(3, 1), ratio(2, 4));
    let middle: Vec<String> = columns
        .iter()
        .map(|times| format!("{:.0}", of(times, 0.5)))
        .collect();
    let worst: Vec<String> = columns
        .iter()
        .map(|times| format!("{:.0}", of(times, 1.0)))
        .collect();
    println!(
        "{name}: median {}, worst {}; ratios median {:.0}, {:.0}, {:.0}, least {:.0}, {:.0}, {:.0}; without result {missed:?}",
        middle.join(" / "),
        worst.join(" / "),
        of(&quick, 0.5),
        of(&exact, 0.5),
        of(&interior, 0.5),
        of(&quick, 0.0),
        of(&exact, 0.0),
        of(&interior, 0.0),
    );
}

/// What the nodes and the preparation of a restoration take.
fn parts() {
    let mut random = Random(9);
    for abutments in [1, 2, 6] {
        let case = case(&mut random, abutments);
        let restoration = case.restoration();
        let nodes = median(51, || Restoration::new(&case.abutments, Mesh::USUAL));
        let holding = median(51, || Holding::new(&restoration, Limits::default()));
        println!("{abutments} abutments: nodes {nodes:.0} µs, preparation {holding:.0} µs");
        // What a solve holds while it runs is not counted: its states take about as much as the preparation.
        let prepared = Holding::new(&restoration, Limits::default()).unwrap();
        let found = prepared.dislodge(&case.load, QUICK);
        let found = found.certified().unwrap();
        let tractions: usize = found
            .tractions
            .iter()
            .map(|tractions| size_of_val(tractions.as_slice()))
            .sum();
        println!(
            "    {} bytes prepared, {} told",
            prepared.bytes(),
            size_of_val(found) + size_of_val(found.opening.as_slice()) + tractions
        );
    }
}

/// Twenty loads on one bridge of six.
fn many_loads() {
    let mut random = Random(11);
    let bridge = case(&mut random, 6);
    let restoration = bridge.restoration();
    let loads: Vec<Load> = (0..20)
        .map(|_| Load {
            direction: [
                random.within(-1.0, 1.0),
                random.within(-1.0, 1.0),
                random.within(-1.0, 1.0),
            ],
            ..bridge.load
        })
        .collect();
    let all = |settings| {
        let holding = Holding::new(&restoration, Limits::default()).unwrap();
        loads
            .iter()
            .map(|load| holding.dislodge(load, settings))
            .collect::<Vec<_>>()
    };
    let quick = median(9, || all(QUICK));
    let exact = median(9, || all(EXACT));
    println!("20 loads on one bridge of 6: {quick:.0} / {exact:.0} µs");
}

/// Returns the median time of some runs in microseconds.
fn median<T>(runs: usize, job: impl FnMut() -> T) -> f64 {
    of(&times(runs, job), 0.5)
}

/// Returns the least time of some runs in microseconds.
fn least<T>(runs: usize, job: impl FnMut() -> T) -> f64 {
    of(&times(runs, job), 0.0)
}

fn times<T>(runs: usize, mut job: impl FnMut() -> T) -> Vec<f64> {
    (0..runs)
        .map(|_| {
            let start = Instant::now();
            black_box(job());
            start.elapsed().as_secs_f64() * 1e6
        })
        .collect()
}

/// Returns the value at a part of the order, 0 the least, 1 the largest.
fn of(values: &[f64], part: f64) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted[((sorted.len() - 1) as f64 * part).round() as usize]
}
