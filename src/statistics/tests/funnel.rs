//! Limits of the funnel.

use statrs::distribution::{Binomial, Discrete};

use super::{close, ends};
use crate::funnel::{MOST, at_least, funnel};
use crate::proportion::Count;
use crate::{Confidence, Refused};

/// Method of D. J. Spiegelhalter 2005, Statistics in Medicine 24:1185-1202, for a target of 5 %.
#[test]
fn limits_for_a_target() {
    for (of, low998, low95, high95, high998) in [
        (10, 0.0, 0.0, 0.181916689147, 0.302953741547),
        (20, 0.0, 0.0, 0.142364765017, 0.235059878652),
        (50, 0.0, 0.0, 0.10983171072, 0.157993590948),
        (100, 0.0, 0.00612293143607, 0.0919073440239, 0.124638495438),
        (
            200,
            0.00654215794283,
            0.0195842152021,
            0.0797079854159,
            0.101177876156,
        ),
        (
            400,
            0.0183660554745,
            0.0284043157749,
            0.0712220005547,
            0.0854853297109,
        ),
    ] {
        ends(funnel(0.05, of, Confidence::P95).unwrap(), low95, high95);
        ends(
            funnel(0.05, of, Confidence::P99_8).unwrap(),
            low998,
            high998,
        );
    }
}

/// Far from the handful of cases that are usual.
#[test]
fn limits_of_many() {
    let limits = |target, of| funnel(target, of, Confidence::P95).unwrap();
    ends(limits(0.05, MOST), 0.04864845363720747, 0.05135005312976928);
    ends(limits(0.5, MOST), 0.496896017332323, 0.503093982667677);
    ends(
        limits(0.0001, MOST),
        3.7754520133982175e-5,
        0.00016159466192418873,
    );
}

/// One of one: the quantile of a single throw by hand. With a target of 40 % the tails of 2.5 % lie at 0 - (.6 - .025) / .6,
/// below nothing, and 1 - (1 - .975) / .4.
#[test]
fn limits_of_one() {
    ends(funnel(0.4, 1, Confidence::P95).unwrap(), 0.0, 0.9375);
}

/// Summed one by one: the first whole number above the limit is where the probability falls through the promised one.
#[test]
fn what_lies_above_is_rare() {
    for (target, of, confidence) in [
        (0.05, 20, Confidence::P95),
        (0.05, 60, Confidence::P95),
        (0.2, 150, Confidence::P95),
        (0.08, 300, Confidence::P99_8),
    ] {
        let limits = funnel(target, of, confidence).unwrap();
        let binomial = Binomial::new(target, of).unwrap();
        let from = |events: u64| (events..=of).map(|k| binomial.pmf(k)).sum::<f64>();
        let first = (0..=of).find(|k| *k as f64 > limits.high * of as f64);
        let first = first.unwrap();
        let tail = (1.0 - confidence.level()) / 2.0;
        assert!(from(first) > tail && from(first + 1) <= tail, "{first}");
        for events in [0, 1, first, first + 1, of] {
            let found = at_least(target, Count { events, of }).unwrap();
            close(found, from(events));
        }
    }
}

/// Three of twenty lie above the limit of 2.5 % and come by chance in 7.5 % of times.
#[test]
fn a_small_number_is_exact_only_by_its_probability() {
    let limits = funnel(0.05, 20, Confidence::P95).unwrap();
    assert!(limits.high < 0.15);
    let three = Count { events: 3, of: 20 };
    close(at_least(0.05, three).unwrap(), 0.07548367378849626);
    close(
        at_least(0.05, Count { events: 7, of: 20 }).unwrap(),
        3.394616530143376e-05,
    );
    let none = Count { events: 0, of: 20 };
    assert_eq!(at_least(0.05, none), Ok(1.0));
    let more = Count { events: 3, of: 2 };
    assert_eq!(
        at_least(0.05, more),
        Err(Refused::MoreEvents { events: 3, of: 2 })
    );
    let nobody = Count { events: 0, of: 0 };
    assert_eq!(at_least(0.05, nobody), Err(Refused::Empty));
}

#[test]
fn funnels_that_cannot_be_are_refused() {
    assert_eq!(funnel(0.05, 0, Confidence::P95), Err(Refused::Empty));
    for target in [0.0, 1.0, -0.1] {
        let what = "target";
        let refused = Refused::OutOfRange {
            what,
            value: target,
        };
        assert_eq!(funnel(target, 10, Confidence::P95), Err(refused));
    }
    let found = funnel(f64::NAN, 10, Confidence::P95);
    assert_eq!(found, Err(Refused::NotFinite));
    assert!(funnel(0.05, MOST + 1, Confidence::P95).is_err());
}
