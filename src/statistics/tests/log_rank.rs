//! The log-rank comparison.

use super::{close, remission};
use crate::survival::{Groups, Subject, events_needed, log_rank, stratified_log_rank};
use crate::{Confidence, Refused};

/// The remissions of 1963: E. A. Gehan 1965's record, χ² 16.79 in J. D. Kalbfleisch, R. L. Prentice 1980 and others since.
#[test]
fn remissions() {
    let (drug, placebo) = remission();
    let found = log_rank(Groups {
        first: &drug,
        second: &placebo,
    });
    let found = found.unwrap();
    assert_eq!(found.observed, (9, 21));
    close(found.expected.0, 19.25050094803113);
    close(found.expected.1, 30.0 - 19.25050094803113);
    close(found.variance, 6.2569605736755);
    close(found.chi_squared, 16.79294098921654);
    close(found.p, 4.168809109334511e-5);
}

fn list(times: &[(f64, bool)]) -> Vec<Subject> {
    let subject = |(time, event): &(f64, bool)| Subject {
        time: *time,
        event: *event,
    };
    times.iter().map(subject).collect()
}

/// By hand, in fractions. First 1 3+ 4, second 2 3 5: at 1, 2, 3, 4 there are 3:3, 2:3, 2:2 and 1:1 at risk, the last one
/// is alone. Expected 1/2 + 2/5 + 1/2 + 1/2, variance 1/4 + 6/25 + 1/4 + 1/4.
#[test]
fn two_groups_by_hand() {
    let first = list(&[(4.0, true), (1.0, true), (3.0, false)]);
    let second = list(&[(2.0, true), (3.0, true), (5.0, true)]);
    let groups = Groups {
        first: &first,
        second: &second,
    };
    let found = log_rank(groups).unwrap();
    assert_eq!(found.observed, (2, 3));
    close(found.expected.0, 1.9);
    close(found.expected.1, 3.1);
    close(found.variance, 0.99);
    close(found.chi_squared, 0.01 / 0.99);

    // Ties by hand: both events at 1 among 2:2, drawn without putting back: E 1, V 2 · 1/2 · 1/2 · 2/3.
    let tied = list(&[(1.0, true), (2.0, false)]);
    let tied = Groups {
        first: &tied,
        second: &tied,
    };
    let alone = log_rank(tied).unwrap();
    close(alone.expected.0, 1.0);
    close(alone.variance, 1.0 / 3.0);
    close(alone.p, 1.0);

    // Strata add up; one with a single side moves observed and expected alike.
    let side = Groups {
        first: &first,
        second: &[],
    };
    let nobody = Groups {
        first: &[],
        second: &[],
    };
    let both = stratified_log_rank(&[groups, nobody, tied, side]).unwrap();
    assert_eq!(both.observed, (5, 4));
    close(both.expected.0, 1.9 + 1.0 + 2.0);
    close(both.variance, 0.99 + 1.0 / 3.0);
    close(both.chi_squared, 0.01 / (0.99 + 1.0 / 3.0));
}

#[test]
fn groups_that_cannot_be_compared_are_refused() {
    let lost = list(&[(1.0, false), (2.0, false)]);
    let ended = list(&[(3.0, true), (4.0, true)]);
    let compared = |first, second| log_rank(Groups { first, second });
    assert_eq!(compared(&[], &[]), Err(Refused::Empty));
    assert_eq!(stratified_log_rank(&[]), Err(Refused::Empty));
    assert_eq!(compared(&ended, &[]), Err(Refused::NothingToCompare));
    assert_eq!(compared(&lost, &lost), Err(Refused::NothingToCompare));
    // All of one group are lost before the other has its first event.
    assert_eq!(compared(&lost, &ended), Err(Refused::NothingToCompare));
    let at_once = list(&[(3.0, true), (3.0, true)]);
    assert_eq!(compared(&at_once, &at_once), Err(Refused::NothingToCompare));
    let before = list(&[(-1.0, true)]);
    assert_eq!(compared(&ended, &before), Err(Refused::NegativeTime(-1.0)));
    let never = list(&[(f64::NAN, true)]);
    assert_eq!(compared(&never, &ended), Err(Refused::NotFinite));
}

/// D. A. Schoenfeld 1983, Biometrics 39:499-503: (1.96 + .8416)² = 7.849 and (2.5758 + .8416)² = 11.679 over P(1 - P) ln² of the
/// ratio; by the tables of the normal: 65.3 for 2 in halves, 129.7, 51.6 and 24.05 with a quarter.
#[test]
fn events_that_it_takes() {
    for (ratio, share, confidence, events) in [
        (2.0, 0.5, Confidence::P95, 66),
        (2.0, 0.25, Confidence::P99, 130),
        (3.0, 0.25, Confidence::P99, 52),
        (5.0, 0.25, Confidence::P99, 25),
    ] {
        let needed = |ratio, share| events_needed(ratio, share, confidence, 0.8);
        assert_eq!(needed(ratio, share), Ok(events));
        assert_eq!(needed(1.0 / ratio, share), Ok(events));
        assert_eq!(needed(ratio, 1.0 - share), Ok(events));
    }
}

#[test]
fn ratios_that_no_number_of_events_shows_are_refused() {
    for (ratio, share, power) in [
        (1.0, 0.5, 0.8),
        (0.0, 0.5, 0.8),
        (-2.0, 0.5, 0.8),
        (2.0, 0.0, 0.8),
        (2.0, 1.0, 0.8),
        (2.0, 0.5, 1.0),
        (2.0, 0.5, 0.4),
    ] {
        let found = events_needed(ratio, share, Confidence::P95, power);
        assert!(
            matches!(found, Err(Refused::OutOfRange { .. })),
            "{ratio} {share} {power}"
        );
    }
    let found = events_needed(f64::NAN, 0.5, Confidence::P95, 0.8);
    assert_eq!(found, Err(Refused::NotFinite));
}
