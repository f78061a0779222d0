//! Proportions against published intervals, and coverage by enumeration.

use statrs::distribution::{Binomial, Discrete};

use super::{close, ends, printed};
use crate::proportion::{
    Count, Stratum, difference, log_ratio, mantel_haenszel, score_ratio, wilson,
};
use crate::{Confidence, Refused};

fn count(events: u64, of: u64) -> Count {
    Count { events, of }
}

/// The intervals of 81/263, 15/148 and 1/29 are printed in R. G. Newcombe 1998, Statistics in Medicine 17:857-872, table I,
/// as .2553 to .3662, .0624 to .1605 and .0061 to .1718.
#[test]
fn wilson_intervals() {
    for (events, of, low, high) in [
        (0, 1, 0.0, 0.793450685623),
        (0, 10, 0.0, 0.277532799863),
        (10, 10, 0.722467200137, 1.0),
        (0, 400, 0.0, 0.0095122943343),
        (400, 400, 0.990487705666, 1.0),
        (3, 7, 0.158219855251, 0.749541635472),
        (1, 20, 0.0088814488008, 0.236131193447),
        (15, 400, 0.0228550298147, 0.0609438424445),
        (143, 3750, 0.0324611698156, 0.0447507907853),
        (81, 263, 0.255288519878, 0.366209576983),
        (15, 148, 0.0623863995307, 0.160487241723),
        (1, 29, 0.00611321429276, 0.171755218793),
    ] {
        let found = wilson(count(events, of), Confidence::P95).unwrap();
        close(found.value, events as f64 / of as f64);
        ends(found.interval, low, high);
        // No rounding at the ends.
        assert_eq!(found.interval.low == 0.0, events == 0);
        assert_eq!(found.interval.high == 1.0, events == of);
    }
}

/// How often the interval holds a true share, over all counts that may come: L. D. Brown, T. T. Cai, A. DasGupta 2001,
/// Statistical Science 16:101-133, on why it is not 95 % at any one share.
#[test]
fn coverage_of_wilson_intervals_by_enumeration() {
    for (of, share, wanted) in [
        (10, 0.02, 0.983822359314),
        (10, 0.05, 0.913861644101),
        (10, 0.1, 0.9298091736),
        (20, 0.05, 0.924516326212),
        (50, 0.05, 0.96222382701),
        (100, 0.02, 0.94916955463),
        (200, 0.05, 0.967152163857),
        (400, 0.1, 0.945416835815),
    ] {
        let binomial = Binomial::new(share, of).unwrap();
        let held = |events: &u64| {
            let found = wilson(count(*events, of), Confidence::P95).unwrap();
            found.interval.contains(share)
        };
        let cover: f64 = (0..=of).filter(held).map(|k| binomial.pmf(k)).sum();
        close(cover, wanted);
    }
}

/// R. G. Newcombe 1998, Statistics in Medicine 17:873-890, table II, method 10 (from memory).
#[test]
fn differences_as_printed() {
    for (first, second, low, high) in [
        ((56, 70), (48, 80), 0.0524, 0.3339),
        ((9, 10), (3, 10), 0.1705, 0.8090),
        ((6, 7), (2, 7), 0.0582, 0.8062),
        ((5, 56), (0, 29), -0.0381, 0.1926),
        ((0, 10), (0, 20), -0.1611, 0.2775),
        ((0, 10), (0, 10), -0.2775, 0.2775),
        ((10, 10), (0, 20), 0.6791, 1.0),
        ((10, 10), (0, 10), 0.6075, 1.0),
    ] {
        let (first, second) = (count(first.0, first.1), count(second.0, second.1));
        let found = difference(first, second, Confidence::P95).unwrap();
        printed(found.interval.low, 4, low);
        printed(found.interval.high, 4, high);
    }
}

#[test]
fn differences_to_nine_digits() {
    for (first, second, value, low, high) in [
        (
            ASPIRIN.0,
            ASPIRIN.1,
            -0.00906632064582,
            -0.0125322621123,
            -0.00565800269895,
        ),
        (
            count(9, 31),
            count(12, 312),
            0.251861042184,
            0.119594922666,
            0.428218991677,
        ),
        (
            count(4, 40),
            count(4, 160),
            0.075,
            0.00388301597308,
            0.206404031834,
        ),
        (
            count(0, 15),
            count(3, 90),
            -0.0333333333333,
            -0.0934728603039,
            0.171726302955,
        ),
        (
            count(5, 12),
            count(1, 60),
            0.4,
            0.165313403276,
            0.664178454991,
        ),
    ] {
        let found = difference(first, second, Confidence::P95).unwrap();
        close(found.value, value);
        ends(found.interval, low, high);
    }
}

/// Heart attacks under aspirin and placebo: Steering Committee of the Physicians' Health Study 1989, New England Journal
/// of Medicine 321:129-135 (from memory). The paper's own ratio is a rate ratio, .56 (.45-.70).
const ASPIRIN: (Count, Count) = (
    Count {
        events: 139,
        of: 11037,
    },
    Count {
        events: 239,
        of: 11034,
    },
);

#[test]
fn ratios_on_the_log_scale() {
    for (first, second, ratio, se, low, high) in [
        (
            ASPIRIN.0,
            ASPIRIN.1,
            0.581431874452,
            0.105816405755,
            0.472528218096,
            0.715434574449,
        ),
        (
            count(9, 31),
            count(12, 312),
            7.54838709677,
            0.398724531128,
            3.45508890828,
            16.491080049,
        ),
        (
            count(4, 40),
            count(4, 160),
            4.0,
            0.684653196881,
            1.04539912817,
            15.3051591194,
        ),
        (
            count(5, 12),
            count(1, 60),
            25.0,
            1.04880884817,
            3.20031184234,
            195.293468509,
        ),
    ] {
        let found = log_ratio(first, second, Confidence::P95).unwrap();
        close(found.ratio, ratio);
        close(found.se_log, se);
        ends(found.interval, low, high);
    }
}

/// P. A. R. Koopman 1984, Biometrics 40:513-517, prints 2.94 to 7.15 for 36/40 against 16/80 (from memory).
#[test]
fn score_intervals_of_ratios() {
    for (first, second, ratio, low, high) in [
        (
            count(36, 40),
            count(16, 80),
            4.5,
            2.939569192215,
            7.152223434866,
        ),
        (
            ASPIRIN.0,
            ASPIRIN.1,
            0.581431874452,
            0.472681645169,
            0.715136153438,
        ),
        (
            count(9, 31),
            count(12, 312),
            7.54838709677,
            3.42999062046,
            15.8519559704,
        ),
        (
            count(4, 40),
            count(4, 160),
            4.0,
            1.12355801713,
            13.9193439728,
        ),
        (count(0, 15), count(3, 90), 0.0, 0.0, 6.90142433552),
        (
            count(5, 12),
            count(1, 60),
            25.0,
            4.14784730176,
            152.126219638,
        ),
    ] {
        let found = score_ratio(first, second, Confidence::P95).unwrap();
        close(found.ratio.unwrap(), ratio);
        close(found.low, low);
        close(found.high.unwrap(), high);
        // The other way round everything is inverted, what was 0 has no end.
        let turned = score_ratio(second, first, Confidence::P95).unwrap();
        close(1.0 / turned.low, found.high.unwrap());
        assert_eq!(turned.high.is_none(), first.events == 0);
        assert_eq!(turned.ratio.is_none(), first.events == 0);
    }
}

/// Where every ratio fits, the interval says so, and where all had the event, it is still an interval.
#[test]
fn score_intervals_at_the_ends() {
    let none = score_ratio(count(0, 9), count(0, 20), Confidence::P95).unwrap();
    assert_eq!((none.ratio, none.low, none.high), (None, 0.0, None));
    // At a ratio above 1 the first share is then 1 and the second 1 / ratio: chi² is n (ratio - 1) = z², so for both ends.
    let z2 = 3.841458820694124;
    let all = score_ratio(count(30, 30), count(50, 50), Confidence::P95).unwrap();
    assert_eq!(all.ratio, Some(1.0));
    close(all.high.unwrap(), 1.0 + z2 / 50.0);
    close(all.low, 1.0 / (1.0 + z2 / 30.0));
}

fn stratum(first: (u64, u64), second: (u64, u64)) -> Stratum {
    Stratum {
        first: count(first.0, first.1),
        second: count(second.0, second.1),
    }
}

/// Deaths under tolbutamide and placebo by age, University Group Diabetes Program 1970, as K. J. Rothman, Epidemiology: An
/// Introduction, works them out: risk ratio 1.33 (from memory).
#[test]
fn ratio_over_strata() {
    let ages = [stratum((8, 106), (5, 120)), stratum((22, 98), (16, 85))];
    let found = mantel_haenszel(&ages, Confidence::P95).unwrap();
    printed(found.ratio, 2, 1.33);

    let strata = [
        stratum((4, 12), (3, 40)),
        stratum((3, 9), (4, 60)),
        stratum((2, 10), (5, 112)),
    ];
    let found = mantel_haenszel(&strata, Confidence::P95).unwrap();
    close(found.ratio, 4.63191302586);
    close(found.se_log, 0.412331231215);
    ends(found.interval, 2.0643503995, 10.3929150227);
    // A stratum with one side alone says nothing.
    let more = [
        &strata[..],
        &[stratum((5, 9), (0, 0)), stratum((0, 0), (3, 8))],
    ]
    .concat();
    assert_eq!(mantel_haenszel(&more, Confidence::P95), Ok(found));
}

/// One stratum is the crude ratio, variance and all.
#[test]
fn one_stratum_is_the_crude_ratio() {
    let one = stratum((9, 31), (12, 312));
    let (found, crude) = (
        mantel_haenszel(&[one], Confidence::P99).unwrap(),
        log_ratio(one.first, one.second, Confidence::P99).unwrap(),
    );
    close(found.ratio, crude.ratio);
    close(found.se_log, crude.se_log);
    ends(found.interval, crude.interval.low, crude.interval.high);
}

#[test]
fn counts_that_say_nothing_are_refused() {
    let (p95, some) = (Confidence::P95, count(2, 9));
    let more = Refused::MoreEvents { events: 1, of: 0 };
    for (bad, why) in [(count(0, 0), Refused::Empty), (count(1, 0), more)] {
        assert_eq!(wilson(bad, p95), Err(why));
        assert_eq!(difference(bad, some, p95), Err(why));
        assert_eq!(difference(some, bad, p95), Err(why));
        assert_eq!(log_ratio(some, bad, p95), Err(why));
        assert_eq!(score_ratio(bad, some, p95), Err(why));
    }
    assert_eq!(log_ratio(count(0, 9), some, p95), Err(Refused::NoEvents));
    assert_eq!(log_ratio(some, count(0, 9), p95), Err(Refused::NoEvents));
    let all = stratum((9, 9), (4, 4));
    assert_eq!(
        log_ratio(all.first, all.second, p95),
        Err(Refused::NoSpread)
    );
    assert_eq!(mantel_haenszel(&[all], p95), Err(Refused::NoSpread));
    assert_eq!(mantel_haenszel(&[], p95), Err(Refused::Empty));
    let one_side = [stratum((2, 9), (0, 0))];
    assert_eq!(mantel_haenszel(&one_side, p95), Err(Refused::Empty));
    let quiet = [stratum((2, 9), (0, 5))];
    assert_eq!(mantel_haenszel(&quiet, p95), Err(Refused::NoEvents));
    let wrong = [stratum((2, 9), (1, 0))];
    assert_eq!(mantel_haenszel(&wrong, p95), Err(more));
}

#[test]
fn levels_that_are_none_are_refused() {
    for level in [0.0, 0.49, 0.99995, 1.0, 95.0] {
        let what = "level of confidence";
        let refused = Refused::OutOfRange { what, value: level };
        assert_eq!(Confidence::new(level), Err(refused));
    }
    assert_eq!(Confidence::new(f64::NAN), Err(Refused::NotFinite));
    assert_eq!(Confidence::new(0.95), Ok(Confidence::P95));
}
