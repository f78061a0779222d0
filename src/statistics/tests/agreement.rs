//! Kappa, limits of agreement, repeated readings.

use super::{close, ends, printed};
use crate::kappa::{Weights, kappa};
use crate::measurement::{limits_of_agreement, shrunk_sd, within_subject};
use crate::{Confidence, Refused};

/// J. L. Fleiss, Statistical Methods for Rates and Proportions, 1981, table 13.1: two judge 100 patients; kappa .676 (from
/// memory).
const DIAGNOSES: [[u64; 3]; 3] = [[75, 1, 4], [5, 4, 1], [0, 0, 10]];

#[test]
fn kappa_unweighted() {
    let found = kappa(&DIAGNOSES, Weights::Unweighted, Confidence::P95).unwrap();
    close(found.observed, 0.89);
    close(found.expected, 0.66);
    close(found.kappa, 0.676470588235294);
    close(found.se, 0.08770295347521254);
    ends(
        found.interval.unwrap(),
        0.5045759580860855,
        0.8483652183845026,
    );

    let halves = [vec![20, 5], vec![10, 15]];
    let found = kappa(&halves, Weights::Unweighted, Confidence::P95).unwrap();
    close(found.kappa, 0.4);
    close(found.se, 0.12699606293110033);
    ends(
        found.interval.unwrap(),
        0.15109229047666106,
        0.6489077095233388,
    );
    // Two classes have no near miss.
    assert_eq!(kappa(&halves, Weights::Linear, Confidence::P95), Ok(found));
}

/// Formulas of J. L. Fleiss, J. Cohen, B. S. Everitt 1969 on a made-up table, by an independent implementation.
#[test]
fn kappa_with_linear_weights() {
    let table = [[22, 3, 1, 0], [2, 9, 2, 0], [1, 2, 11, 1], [0, 0, 1, 5]];
    let found = kappa(&table, Weights::Linear, Confidence::P95).unwrap();
    close(found.kappa, 0.7775580820563519);
    close(found.se, 0.06049954440490298);
    ends(
        found.interval.unwrap(),
        0.6589811539416603,
        0.8961350101710435,
    );
    let found = kappa(&table, Weights::Unweighted, Confidence::P95).unwrap();
    close(found.kappa, 0.6888711607499003);
    close(found.se, 0.07569083951201305);
    ends(
        found.interval.unwrap(),
        0.5405198413467535,
        0.8372224801530471,
    );
}

/// The formula knows no spread where nothing varies, and then there is no interval.
#[test]
fn kappa_without_spread_has_no_interval() {
    for (table, wanted) in [
        ([[3, 0], [0, 4]], 1.0),
        ([[0, 5], [5, 0]], -1.0),
        ([[5, 0], [5, 0]], 0.0),
    ] {
        let found = kappa(&table, Weights::Unweighted, Confidence::P95).unwrap();
        close(found.kappa, wanted);
        assert_eq!((found.se, found.interval), (0.0, None));
    }
    // Rounding leaves a little of the variance here.
    let agreed = [[1, 0, 0], [0, 4, 0], [0, 0, 1]];
    let found = kappa(&agreed, Weights::Unweighted, Confidence::P95).unwrap();
    assert_eq!((found.se, found.interval), (0.0, None));
}

#[test]
fn tables_that_say_nothing_are_refused() {
    let found = |table: &[Vec<u64>]| kappa(table, Weights::Linear, Confidence::P95);
    assert_eq!(found(&[]), Err(Refused::NotSquare));
    assert_eq!(found(&[vec![4]]), Err(Refused::NotSquare));
    assert_eq!(found(&[vec![4, 1], vec![2]]), Err(Refused::NotSquare));
    assert_eq!(found(&[vec![0, 0], vec![0, 0]]), Err(Refused::Empty));
    assert_eq!(found(&[vec![9, 0], vec![0, 0]]), Err(Refused::NoSpread));
}

/// Peak flow of 17 subjects by two meters, first readings, in l/min: J. M. Bland, D. G. Altman 1986, Lancet 327:307-310, table
/// (from memory). The paper prints a mean of -2.1 and a standard deviation of 38.8.
const PEAK_FLOW: [(f64, f64); 17] = [
    (494.0, 512.0),
    (395.0, 430.0),
    (516.0, 520.0),
    (434.0, 428.0),
    (476.0, 500.0),
    (557.0, 600.0),
    (413.0, 364.0),
    (442.0, 380.0),
    (650.0, 658.0),
    (433.0, 445.0),
    (417.0, 432.0),
    (656.0, 626.0),
    (267.0, 260.0),
    (478.0, 477.0),
    (178.0, 259.0),
    (423.0, 350.0),
    (427.0, 451.0),
];

#[test]
fn two_meters() {
    let found = limits_of_agreement(&PEAK_FLOW, Confidence::P95).unwrap();
    printed(found.bias, 1, -2.1);
    printed(found.sd, 1, 38.8);
    close(found.bias, -2.1176470588235294);
    ends(found.bias_interval, -22.04883769664517, 17.81354357899811);
    close(found.sd, 38.76512987360738);
    ends(found.limits, -78.09590546711173, 73.86061134946466);
    ends(found.low_interval, -112.61774030715995, -43.57407063);
    ends(found.high_interval, 39.33877650941645, 108.38244618951288);
}

#[test]
fn pairs_that_say_nothing_are_refused() {
    let found = |pairs: &[(f64, f64)]| limits_of_agreement(pairs, Confidence::P95);
    assert_eq!(found(&[]), Err(Refused::TooFew));
    assert_eq!(found(&PEAK_FLOW[..1]), Err(Refused::TooFew));
    assert_eq!(found(&[(2.0, 1.0), (4.0, 3.0)]), Err(Refused::NoSpread));
    // Tenths are not exact in binary: what differs by rounding is alike.
    let tenths = [(1.1, 1.0), (2.1, 2.0), (0.3, 0.2)];
    assert_eq!(found(&tenths), Err(Refused::NoSpread));
    for wrong in [f64::NAN, f64::INFINITY, f64::MAX] {
        let pairs = [(1.0, 2.0), (wrong, 3.0), (2.0, -wrong)];
        assert_eq!(found(&pairs), Err(Refused::NotFinite));
    }
}

/// Four readings of peak flow of 20 children, in l/min: J. M. Bland, D. G. Altman 1996, British Medical Journal 313:744, table
/// (from memory). The paper prints 21.5 and a repeatability of 60.
const REPEATS: [[f64; 4]; 20] = [
    [190.0, 220.0, 200.0, 200.0],
    [220.0, 200.0, 240.0, 230.0],
    [260.0, 260.0, 240.0, 280.0],
    [210.0, 300.0, 280.0, 265.0],
    [270.0, 265.0, 280.0, 270.0],
    [280.0, 280.0, 270.0, 275.0],
    [260.0, 280.0, 280.0, 300.0],
    [275.0, 275.0, 275.0, 305.0],
    [280.0, 290.0, 300.0, 290.0],
    [320.0, 290.0, 300.0, 290.0],
    [300.0, 300.0, 310.0, 300.0],
    [270.0, 250.0, 330.0, 370.0],
    [320.0, 330.0, 330.0, 330.0],
    [335.0, 320.0, 335.0, 375.0],
    [350.0, 320.0, 340.0, 365.0],
    [360.0, 320.0, 350.0, 345.0],
    [330.0, 340.0, 380.0, 390.0],
    [335.0, 385.0, 360.0, 370.0],
    [400.0, 420.0, 425.0, 420.0],
    [430.0, 460.0, 480.0, 470.0],
];

#[test]
fn repeats_of_twenty() {
    let found = within_subject(&REPEATS, Confidence::P95).unwrap();
    printed(found.sd, 1, 21.5);
    printed(found.repeatability / 10.0, 0, 6.0);
    assert_eq!(found.freedom, 60);
    close(found.sd.powi(2), 460.5208333333333);
    close(found.sd, 21.459749144231235);
    close(found.repeatability, 59.482296817149596);
    ends(
        found.interval.unwrap(),
        18.21309809363796,
        26.125862532174114,
    );
}

/// Eight heights in mm, read three times: an own hand, and what to trust meanwhile.
#[test]
fn an_own_hand_drawn_towards_a_usual_one() {
    let heights = [
        [4.1, 4.3, 4.2],
        [3.6, 3.5, 3.8],
        [2.8, 3.0, 2.9],
        [4.9, 4.7, 4.8],
        [3.2, 3.2, 3.5],
        [5.1, 5.0, 5.2],
        [2.4, 2.6, 2.3],
        [3.9, 4.0, 3.8],
    ];
    let found = within_subject(&heights, Confidence::P95).unwrap();
    close(found.sd, 0.1258305739211792);
    ends(
        found.interval.unwrap(),
        0.09371481601138854,
        0.19150519310380743,
    );
    close(found.repeatability, 0.3487781472349542);
    let trusted = shrunk_sd(found.sd, found.freedom, 0.2, 10.0).unwrap();
    close(trusted, 0.15851878478024342);
    // Nothing measured yet, and no weight on what is usual.
    close(shrunk_sd(0.0, 0, 0.2, 10.0).unwrap(), 0.2);
    close(shrunk_sd(0.1, 5, 0.2, 0.0).unwrap(), 0.1);
}

/// Who was read once, or never, counts nothing; unequal numbers pool by their degrees of freedom: (2 + 8) / 3.
#[test]
fn unequal_repeats() {
    let readings = [vec![1.0, 3.0], vec![5.0], vec![], vec![0.0, 2.0, 4.0]];
    let found = within_subject(&readings, Confidence::P95).unwrap();
    assert_eq!(found.freedom, 3);
    close(found.sd, (10.0_f64 / 3.0).sqrt());
}

#[test]
fn repeats_that_say_nothing_are_refused() {
    let found = |readings: &[&[f64]]| within_subject(readings, Confidence::P95);
    assert_eq!(found(&[]), Err(Refused::TooFew));
    assert_eq!(found(&[&[1.0], &[2.0]]), Err(Refused::TooFew));
    assert_eq!(found(&[&[1.0, f64::NAN]]), Err(Refused::NotFinite));
    assert_eq!(found(&[&[1.0], &[f64::NAN]]), Err(Refused::NotFinite));
    assert_eq!(found(&[&[f64::MAX, f64::MIN]]), Err(Refused::NotFinite));
    // A coarse scale shows no spread; that is no proof of none.
    let coarse = found(&[&[0.1, 0.1, 0.1], &[0.7, 0.7, 0.7]]).unwrap();
    assert_eq!((coarse.sd, coarse.interval), (0.0, None));

    assert_eq!(shrunk_sd(0.1, 0, 0.2, 0.0), Err(Refused::TooFew));
    assert_eq!(shrunk_sd(f64::NAN, 3, 0.2, 1.0), Err(Refused::NotFinite));
    assert_eq!(shrunk_sd(1e300, 3, 0.2, 1.0), Err(Refused::NotFinite));
    for (own, usual, weight) in [(-0.1, 0.2, 1.0), (0.1, -0.2, 1.0), (0.1, 0.2, -1.0)] {
        let found = shrunk_sd(own, 3, usual, weight);
        assert!(matches!(found, Err(Refused::OutOfRange { .. })));
    }
}
