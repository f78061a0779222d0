//! Against a general conic solver.

use super::random::{Random, case};
use super::reference::reference;
use casepan::mechanics::dislodgement::{Holding, LimitOutcome, Limits, Method, Reason, Settings};

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

/// Bounds are proven by either method, so those of one may not lie beyond those of the other.
///
/// Returns how many cases each method certified.
fn overlapping(limits: Limits, count: u64, settings: Settings) -> [u64; 2] {
    let mut random = Random(23);
    let mut certified = [0; 2];
    for index in 0..count {
        let case = case(&mut random, 1 + index % 6);
        let holding = Holding::new(&case.restoration(), limits).unwrap();
        let found = [Method::Newton, Method::InteriorPoint]
            .map(|method| holding.dislodge_by(method, &case.load, settings));
        for (found, certified) in found.iter().zip(&mut certified) {
            *certified += u64::from(found.certified().is_some());
        }
        if let [Some(newton), Some(interior)] = found.each_ref().map(|found| found.certified()) {
            for found in [newton, interior] {
                assert!(found.gap >= -1e-12 && found.gap <= settings.gap, "{index}");
            }
            // Rounding of sums over hundreds of nodes is all they may differ by.
            assert!(
                newton.lambda <= interior.upper * (1.0 + 1e-10)
                    && interior.lambda <= newton.upper * (1.0 + 1e-10),
                "{index}: {} to {}, {} to {}",
                newton.lambda,
                newton.upper,
                interior.lambda,
                interior.upper
            );
        }
        // With hard limits rounding can end the search just short of the gap; its bounds are proven all the same.
        let near = match holding.dislodge(&case.load, settings) {
            LimitOutcome::Certified(_) => true,
            LimitOutcome::NotComputed(Reason::Rounding { lower, upper }) => {
                limits.pressing > 100.0 && upper - lower <= 1e-5 * upper
            }
            LimitOutcome::NotComputed(_) => false,
        };
        assert!(near, "{index}: {found:?}");
    }
    certified
}

#[test]
fn both_methods_overlap() {
    let count = if cfg!(debug_assertions) { 100 } else { 1000 };
    for settings in [Settings::QUICK, Settings::EXACT] {
        let [newton, interior] = overlapping(Limits::default(), count, settings);
        println!("{newton} and {interior} of {count} at {:e}", settings.gap);
        assert!(newton * 100 >= count * 98 && interior * 100 >= count * 98);
    }
}

/// Pressing a thousand times the shear, or no tension: where Newton gives up the interior point method answers.
#[test]
fn both_methods_overlap_at_hard_limits() {
    let count = if cfg!(debug_assertions) { 60 } else { 600 };
    for (tension, pressing) in [(1.0, 1e3), (0.0, 10.0), (0.0, 1e3)] {
        let limits = Limits { tension, pressing };
        for settings in [Settings::QUICK, Settings::EXACT] {
            let [newton, interior] = overlapping(limits, count, settings);
            println!(
                "{newton} and {interior} of {count} with {limits:?} at {:e}",
                settings.gap
            );
            assert!(newton > 0 && interior * 100 >= count * 95);
        }
    }
}
