//! Competing ends.

use super::{close, ends, printed, remission};
use crate::survival::{Ending, competing, kaplan_meier};
use crate::{Confidence, Refused};

#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
enum Kind {
    Disease,
    Other,
}

use Kind::{Disease, Other};

fn record(list: &[(f64, Option<Kind>)]) -> Vec<Ending<Kind>> {
    let ending = |(time, kind): &(f64, Option<Kind>)| Ending {
        time: *time,
        kind: *kind,
    };
    list.iter().map(ending).collect()
}

/// Nine of 305 women with breast cancer, the others followed further: J. M. Satagopan et al. 2004, British Journal of Cancer
/// 91:1229-1235, table 2, where the incidence is added up from rounded steps of .3 %.
#[test]
fn a_published_table() {
    let mut list = vec![
        (7.0, None),
        (10.0, Some(Disease)),
        (14.0, None),
        (16.0, Some(Disease)),
        (18.0, Some(Other)),
        (23.0, Some(Disease)),
        (24.0, None),
        (26.0, Some(Other)),
        (27.0, Some(Disease)),
    ];
    list.resize(305, (60.0, None));
    let found = competing(&record(&list)).unwrap();
    let share = |kind, time| found.at(kind, time, Confidence::P95).unwrap().value;
    for (time, incidence, free) in [
        (10.0, 0.3, 99.7),
        (16.0, 0.6, 99.3),
        (23.0, 0.9, 98.7),
        (27.0, 1.2, 98.0),
    ] {
        let disease = 100.0 * share(Disease, time);
        assert!((disease - incidence).abs() < 0.13, "{disease} {incidence}");
        printed(100.0 - disease - 100.0 * share(Other, time), 1, free);
    }
    // The same by fractions.
    let steps =
        1.0 / 304.0 + 303.0 / 304.0 / 302.0 + 303.0 / 304.0 * 301.0 / 302.0 * 300.0 / 301.0 / 300.0;
    close(share(Disease, 26.5), steps);
}

/// A made-up record of twelve, reckoned by an independent implementation.
fn twelve() -> Vec<Ending<Kind>> {
    let kinds = [
        Some(Disease),
        Some(Other),
        None,
        Some(Disease),
        Some(Disease),
        Some(Other),
        None,
        Some(Other),
        Some(Disease),
        None,
        Some(Disease),
        None,
    ];
    let list: Vec<_> = (1..).map(f64::from).zip(kinds).collect();
    record(&list)
}

#[test]
fn shares_and_errors() {
    let found = competing(&twelve()).unwrap();
    for (time, share, variance) in [
        (1.0, 1.0 / 12.0, 0.00636574074074074),
        (3.5, 1.0 / 12.0, 0.00636574074074074),
        (4.0, 19.0 / 108.0, 0.012843411827465328),
        (5.0, 29.0 / 108.0, 0.017701665142508767),
        (9.0, 41.0 / 108.0, 0.0230400281969212),
        (11.0, 59.0 / 108.0, 0.029761564548087233),
    ] {
        let point = found.at(Disease, time, Confidence::P95).unwrap();
        close(point.value, share);
        close(point.se.powi(2), variance);
    }
    // The band on the log-log scale contains the share and stays within 0 and 1.
    let band = found.at(Disease, 11.0, Confidence::P95).unwrap().interval;
    ends(band.unwrap(), 0.26493527046004, 0.86856375310296);
    let refused = found.at(Disease, 12.5, Confidence::P95);
    assert_eq!(refused, Err(Refused::BeyondFollowUp(12.5)));
}

/// Nobody lost: the share that ended so, with the binomial standard error.
#[test]
fn without_losses_incidence_is_a_share() {
    let kinds = [
        Disease, Other, Other, Disease, Other, Disease, Disease, Other,
    ];
    let list: Vec<_> = (1..).map(f64::from).zip(kinds.map(Some)).collect();
    let found = competing(&record(&list)).unwrap();
    for (time, gone) in [
        (1.0, 1),
        (3.0, 1),
        (4.0, 2),
        (6.0, 3),
        (7.0, 4),
        (8.0, 4),
        (99.0, 4),
    ] {
        let share = f64::from(gone) / 8.0;
        let point = found.at(Disease, time, Confidence::P95).unwrap();
        close(point.value, share);
        close(point.se, (share * (1.0 - share) / 8.0).sqrt());
    }
}

/// Where all have ended so, nothing but rounding is left of the spread: the steps of six add up to a little less than 1.
#[test]
fn a_share_of_all_has_no_spread() {
    for subjects in 1..30 {
        let list: Vec<_> = (1..=subjects)
            .map(|time| (f64::from(time), Some(Disease)))
            .collect();
        let found = competing(&record(&list)).unwrap();
        let point = found.at(Disease, 40.0, Confidence::P95).unwrap();
        close(point.value, 1.0);
        assert_eq!((point.se, point.interval), (0.0, None), "{subjects}");
    }
}

/// With one kind alone incidence is what the Kaplan–Meier curve leaves, its band too.
#[test]
fn one_kind_alone_mirrors_the_curve() {
    let (drug, _) = remission();
    let curve = kaplan_meier(&drug).unwrap();
    let endings: Vec<Ending<Kind>> = drug
        .iter()
        .map(|subject| Ending {
            time: subject.time,
            kind: subject.event.then_some(Disease),
        })
        .collect();
    let found = competing(&endings).unwrap();
    for time in [6.0, 10.0, 16.0, 23.0, 33.0] {
        let left = curve.at(time, Confidence::P95).unwrap();
        let gone = found.at(Disease, time, Confidence::P95).unwrap();
        close(gone.value, 1.0 - left.value);
        close(gone.se, left.se);
        let (left, gone) = (left.interval.unwrap(), gone.interval.unwrap());
        ends(gone, 1.0 - left.high, 1.0 - left.low);
        let never = found.at(Other, time, Confidence::P95).unwrap();
        assert_eq!((never.value, never.se, never.interval), (0.0, 0.0, None));
    }
}

#[test]
fn endings_that_cannot_be_are_refused() {
    assert_eq!(competing::<Kind>(&[]), Err(Refused::Empty));
    let before = record(&[(1.0, None), (-2.0, Some(Other))]);
    assert_eq!(competing(&before), Err(Refused::NegativeTime(-2.0)));
    let found = competing(&twelve())
        .unwrap()
        .at(Disease, -1.0, Confidence::P95);
    assert_eq!(found, Err(Refused::NegativeTime(-1.0)));
}
