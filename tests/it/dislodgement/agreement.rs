//! Against a general conic solver.

use super::random::{Random, case};
use super::reference::reference;
use casepan::mechanics::dislodgement::{Holding, Limits, Settings};

/// On random problems with a fixed seed both solvers, which share nothing but the nodes, find the same to 1e-6. All 500
/// with `cargo test --release`; without optimisation the reference takes seconds a problem, so there the first 40.
#[test]
fn a_general_solver_finds_the_same() {
    let count = if cfg!(debug_assertions) { 40 } else { 500 };
    let mut random = Random(20);
    let limits = Limits::default();
    let (mut worst, mut certified, mut compared): (f64, u32, u32) = (0.0, 0, 0);
    for index in 0..count {
        let case = case(&mut random, 1 + index % 6);
        let restoration = case.restoration();
        let own = Holding::new(&restoration, limits)
            .unwrap()
            .dislodge(&case.load, Settings::EXACT);
        let Some(own) = own.certified() else {
            println!("{index}: {own:?}");
            continue;
        };
        certified += 1;
        assert!(own.gap <= 1e-6 && own.lambda > 0.0 && own.lambda <= own.upper);
        if let Some(other) = reference(&restoration, limits, &case.load, 1e-9)
            .or_else(|| reference(&restoration, limits, &case.load, 1e-8))
        {
            compared += 1;
            let apart = (own.lambda / other - 1.0)
                .abs()
                .max((own.upper / other - 1.0).abs());
            worst = worst.max(apart);
            assert!(
                apart <= 1e-6,
                "{index}: {} {} {other}",
                own.lambda,
                own.upper
            );
        }
    }
    println!("{certified} certified, {compared} compared of {count}; at most {worst:.1e} apart");
    assert_eq!(certified, count as u32);
    assert!(compared * 100 >= certified * 95, "{compared}");
}

/// No case is given up, whatever the limits of the cement: without tension, and up to nearly rigid pressing.
#[test]
fn no_case_is_given_up() {
    let count = if cfg!(debug_assertions) { 20 } else { 1000 };
    for (tension, pressing) in [(0.0, 10.0), (1.0, 1.0), (1.0, 100.0), (1.0, 1e4)] {
        let mut random = Random(4);
        for index in 0..count {
            let case = case(&mut random, 1 + index % 3);
            let holding = Holding::new(&case.restoration(), Limits { tension, pressing }).unwrap();
            let outcome = holding.dislodge(&case.load, Settings::EXACT);
            assert!(outcome.certified().is_some(), "{index}: {outcome:?}");
        }
    }
}
