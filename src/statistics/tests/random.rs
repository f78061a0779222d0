//! What may not change a figure, on random records.

use proptest::prelude::*;

use crate::kappa::{Weights, kappa};
use crate::measurement::{limits_of_agreement, within_subject};
use crate::proportion::{
    Count, Stratum, difference, log_ratio, mantel_haenszel, score_ratio, wilson,
};
use crate::survival::{Ending, Groups, Subject, competing, kaplan_meier, log_rank};
use crate::{Confidence, Interval};

/// As [`super::close`], coarser where a result is a small difference of large numbers.
fn near(found: f64, wanted: f64) -> bool {
    (found - wanted).abs() <= 1e-7 * (1.0 + wanted.abs())
}

fn a_count() -> impl Strategy<Value = Count> {
    (1..400_u64).prop_flat_map(|of| (0..=of).prop_map(move |events| Count { events, of }))
}

/// A count with neither none nor all.
fn inner_count() -> impl Strategy<Value = Count> {
    (2..400_u64).prop_flat_map(|of| (1..of).prop_map(move |events| Count { events, of }))
}

fn a_level() -> impl Strategy<Value = Confidence> {
    (0.5..0.9999).prop_map(|level| Confidence::new(level).unwrap())
}

/// Times, each with one of three ends.
type Record = Vec<(f64, u8)>;

/// Times in halves of a unit, so that many are tied.
fn a_record(most: usize) -> impl Strategy<Value = Record> {
    let one = (0..40_i32, 0..3_u8).prop_map(|(halves, end)| (f64::from(halves) / 2.0, end));
    prop::collection::vec(one, 1..most)
}

/// A record and the same in another order.
fn shuffled(most: usize) -> impl Strategy<Value = (Record, Record)> {
    a_record(most).prop_flat_map(|record| (Just(record.clone()), Just(record).prop_shuffle()))
}

/// The end 0 is none, the others are events.
fn subjects(record: &[(f64, u8)]) -> Vec<Subject> {
    let subject = |(time, end): &(f64, u8)| Subject {
        time: *time,
        event: *end > 0,
    };
    record.iter().map(subject).collect()
}

fn endings(record: &[(f64, u8)]) -> Vec<Ending<u8>> {
    let ending = |(time, end): &(f64, u8)| Ending {
        time: *time,
        kind: (*end > 0).then_some(*end),
    };
    record.iter().map(ending).collect()
}

/// So many times as much of everything.
fn times(count: Count, factor: u64) -> Count {
    Count {
        events: factor * count.events,
        of: factor * count.of,
    }
}

fn width(interval: Interval) -> f64 {
    interval.high - interval.low
}

proptest! {
    #[test]
    fn intervals_contain_the_estimate_and_shrink(count in a_count(), other in a_count(), level in a_level()) {
        let found = wilson(count, level).unwrap();
        prop_assert!(found.interval.low >= 0.0 && found.interval.high <= 1.0);
        prop_assert!(found.interval.contains(found.value));
        let more = wilson(times(count, 4), level).unwrap();
        prop_assert!(width(more.interval) < width(found.interval));
        // Events and what is none of them are two views of the same.
        let none = Count { events: count.of - count.events, of: count.of };
        let none = wilson(none, level).unwrap();
        prop_assert!(near(none.interval.low, 1.0 - found.interval.high));

        let found = difference(count, other, level).unwrap();
        prop_assert!(found.interval.contains(found.value));
        let more = difference(times(count, 4), times(other, 4), level).unwrap();
        prop_assert!(width(more.interval) < width(found.interval));
        let swapped = difference(other, count, level).unwrap();
        prop_assert!(near(swapped.interval.low, -found.interval.high));
        prop_assert!(near(swapped.interval.high, -found.interval.low));
    }

    #[test]
    fn swapping_groups_inverts_ratios(first in inner_count(), second in inner_count(), level in a_level()) {
        let found = log_ratio(first, second, level).unwrap();
        let swapped = log_ratio(second, first, level).unwrap();
        prop_assert!(found.interval.contains(found.ratio));
        prop_assert!(near(swapped.ratio * found.ratio, 1.0));
        prop_assert!(near(swapped.interval.low * found.interval.high, 1.0));
        let more = log_ratio(times(first, 4), times(second, 4), level).unwrap();
        prop_assert!(near(2.0 * more.se_log, found.se_log));

        let strata = [Stratum { first, second }, Stratum { first: times(second, 2), second: first }];
        let swapped = strata.map(|one| Stratum { first: one.second, second: one.first });
        let (found, swapped) = (mantel_haenszel(&strata, level).unwrap(), mantel_haenszel(&swapped, level).unwrap());
        prop_assert!(near(swapped.ratio * found.ratio, 1.0));
        prop_assert!(near(swapped.se_log, found.se_log));
    }

    #[test]
    fn score_intervals_take_any_counts(first in a_count(), second in a_count(), level in a_level()) {
        let found = score_ratio(first, second, level).unwrap();
        prop_assert_eq!(found.low == 0.0, first.events == 0);
        prop_assert_eq!(found.high.is_none(), second.events == 0);
        let ratio = found.ratio.unwrap_or(f64::INFINITY);
        prop_assert!(found.low <= ratio && ratio <= found.high.unwrap_or(f64::INFINITY));
        prop_assert!(found.low.is_finite() && found.high.is_none_or(f64::is_finite));
        let swapped = score_ratio(second, first, level).unwrap();
        if let Some(high) = found.high {
            prop_assert!(near(swapped.low * high, 1.0));
            let more = score_ratio(times(first, 4), times(second, 4), level).unwrap();
            prop_assert!(more.low >= found.low && more.high.unwrap() < high);
        }
    }

    #[test]
    fn order_and_unit_change_no_curve((record, other) in shuffled(60), level in a_level()) {
        let curve = kaplan_meier(&subjects(&record)).unwrap();
        prop_assert_eq!(&curve, &kaplan_meier(&subjects(&other)).unwrap());
        let scaled: Record = record.iter().map(|(time, end)| (30.4 * time, *end)).collect();
        let scaled = kaplan_meier(&subjects(&scaled)).unwrap();
        prop_assert_eq!(scaled.median(), curve.median().map(|time| 30.4 * time));
        let mut before = 1.0;
        for step in curve.steps() {
            let point = curve.at(step.time, level).unwrap();
            prop_assert_eq!(Ok(point), scaled.at(30.4 * step.time, level));
            prop_assert_eq!(point.interval.is_some(), point.value > 0.0 && point.value < 1.0);
            prop_assert!(point.interval.is_none_or(|band| band.contains(point.value)));
            prop_assert!(point.value <= before);
            before = point.value;
        }
        // Four of each: the same curve, half the error.
        let four = kaplan_meier(&subjects(&record.repeat(4))).unwrap();
        for step in curve.steps() {
            let (one, four) = (curve.at(step.time, level).unwrap(), four.at(step.time, level).unwrap());
            prop_assert!(near(four.value, one.value));
            prop_assert!(near(2.0 * four.se, one.se));
        }
    }

    #[test]
    fn shares_of_all_kinds_make_a_whole((record, other) in shuffled(60), level in a_level()) {
        let found = competing(&endings(&record)).unwrap();
        prop_assert_eq!(&found, &competing(&endings(&other)).unwrap());
        let curve = kaplan_meier(&subjects(&record)).unwrap();
        for step in curve.steps() {
            let shares = [1, 2].map(|kind| found.at(kind, step.time, level).unwrap());
            prop_assert!(near(shares[0].value + shares[1].value + step.survival, 1.0));
            for share in shares {
                prop_assert!(share.se.is_finite());
                prop_assert!(share.interval.is_none_or(|band| band.contains(share.value)));
            }
        }
    }

    #[test]
    fn swapping_groups_mirrors_log_rank((first, other) in shuffled(40), second in a_record(40)) {
        let compared = |first: &[(f64, u8)], second: &[(f64, u8)]| {
            log_rank(Groups { first: &subjects(first), second: &subjects(second) })
        };
        let scaled = |record: &[(f64, u8)]| -> Record {
            record.iter().map(|(time, end)| (7.0 * time, *end)).collect()
        };
        let Ok(found) = compared(&first, &second) else {
            return Ok(());
        };
        prop_assert_eq!(Ok(found), compared(&other, &second));
        prop_assert_eq!(Ok(found), compared(&scaled(&first), &scaled(&second)));
        let swapped = compared(&second, &first).unwrap();
        prop_assert_eq!((swapped.observed.1, swapped.observed.0), found.observed);
        prop_assert!(near(swapped.expected.0, found.expected.1));
        prop_assert!(near(swapped.variance, found.variance));
        prop_assert!(near(swapped.chi_squared, found.chi_squared));
        prop_assert!((0.0..=1.0).contains(&found.p));
        let sum = (found.observed.0 + found.observed.1) as f64;
        prop_assert!(near(found.expected.0 + found.expected.1, sum));
    }

    #[test]
    fn who_is_first_changes_no_kappa(table in prop::array::uniform3(prop::array::uniform3(0..30_u64)), level in a_level()) {
        let turned: [[u64; 3]; 3] = std::array::from_fn(|i| std::array::from_fn(|j| table[j][i]));
        for weights in [Weights::Unweighted, Weights::Linear] {
            let Ok(found) = kappa(&table, weights, level) else {
                return Ok(());
            };
            let turned = kappa(&turned, weights, level).unwrap();
            prop_assert!(near(turned.kappa, found.kappa) && near(turned.se, found.se));
            prop_assert!(found.kappa.abs() <= 1.0 + 1e-9 && found.se.is_finite());
            prop_assert!(found.interval.is_none_or(|interval| interval.contains(found.kappa)));
            let four = kappa(&table.map(|row| row.map(|count| 4 * count)), weights, level).unwrap();
            prop_assert!(near(2.0 * four.se, found.se));
        }
    }

    #[test]
    fn units_and_order_change_no_spread(
        (readings, other) in prop::collection::vec((0.0..9.0, 0.0..9.0), 2..30)
            .prop_flat_map(|pairs| (Just(pairs.clone()), Just(pairs).prop_shuffle())),
        level in a_level(),
    ) {
        let found = limits_of_agreement(&readings, level).unwrap();
        let shuffled = limits_of_agreement(&other, level).unwrap();
        prop_assert!(near(shuffled.bias, found.bias) && near(shuffled.sd, found.sd));
        prop_assert!(found.low_interval.contains(found.limits.low));
        prop_assert!(found.high_interval.contains(found.limits.high));
        let swapped: Vec<(f64, f64)> = readings.iter().map(|(one, two)| (*two, *one)).collect();
        let swapped = limits_of_agreement(&swapped, level).unwrap();
        prop_assert!(near(swapped.limits.low, -found.limits.high));

        // Pairs are repeats as well, and a metre is a thousand millimetres.
        let pairs: Vec<[f64; 2]> = readings.iter().map(|(one, two)| [*one, *two]).collect();
        let scaled: Vec<[f64; 2]> = pairs.iter().map(|pair| pair.map(|reading| 1000.0 * reading)).collect();
        let (found, scaled) = (within_subject(&pairs, level).unwrap(), within_subject(&scaled, level).unwrap());
        prop_assert!(near(scaled.sd, 1000.0 * found.sd));
        prop_assert!(near(width(scaled.interval.unwrap()), 1000.0 * width(found.interval.unwrap())));
    }
}
