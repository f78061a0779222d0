//! The Kaplan–Meier curve against a published record.

use super::{close, ends, remission};
use crate::survival::{Subject, kaplan_meier};
use crate::{Confidence, Refused};

type Row = (f64, u64, f64, f64, Option<(f64, f64)>);

/// The remissions of 1963. E. A. Gehan 1965 and J. D. Kalbfleisch, R. L. Prentice 1980 print the curve of the drug as .857,
/// .807, .753, .690, .627, .538, .448 with standard errors .076, .087, .096, .107, .114, .128, .135.
#[test]
fn remissions() {
    let (drug, placebo) = remission();
    let drug_rows: &[Row] = &[
        (
            6.0,
            21,
            0.857142857143,
            0.0763603548321,
            Some((0.619717955266, 0.951551747647)),
        ),
        (
            7.0,
            17,
            0.806722689076,
            0.0869352851801,
            Some((0.563146564622, 0.922809019203)),
        ),
        (
            10.0,
            15,
            0.752941176471,
            0.0963496529943,
            Some((0.5031995108, 0.889361835169)),
        ),
        (
            13.0,
            12,
            0.690196078431,
            0.106814707775,
            Some((0.431610222486, 0.849065963349)),
        ),
        (
            16.0,
            11,
            0.627450980392,
            0.114053865257,
            Some((0.367510855988, 0.804912189472)),
        ),
        (
            22.0,
            7,
            0.53781512605,
            0.128233751693,
            Some((0.267778936767, 0.746790717635)),
        ),
        (
            23.0,
            6,
            0.448179271709,
            0.134591456756,
            Some((0.188052005959, 0.680142628495)),
        ),
        (
            35.0,
            1,
            0.448179271709,
            0.134591456756,
            Some((0.188052005959, 0.680142628495)),
        ),
    ];
    let placebo_rows: &[Row] = &[
        (
            1.0,
            21,
            0.904761904762,
            0.064056448489,
            Some((0.670045882235, 0.975294149038)),
        ),
        (
            2.0,
            19,
            0.809523809524,
            0.0856890867469,
            Some((0.568905059924, 0.923888828559)),
        ),
        (
            5.0,
            14,
            0.571428571429,
            0.107989849431,
            Some((0.337976953859, 0.749240709943)),
        ),
        (
            8.0,
            12,
            0.380952380952,
            0.105971169574,
            Some((0.18306654882, 0.577788677746)),
        ),
        (
            12.0,
            6,
            0.190476190476,
            0.0856890867469,
            Some((0.0594817013612, 0.377434890585)),
        ),
        (
            15.0,
            4,
            0.142857142857,
            0.0763603548321,
            Some((0.0356573551907, 0.321161574681)),
        ),
        (
            17.0,
            3,
            0.0952380952381,
            0.064056448489,
            Some((0.0162592602122, 0.261249981969)),
        ),
        (
            22.0,
            2,
            0.047619047619,
            0.0464714320452,
            Some((0.00332446304253, 0.197044905699)),
        ),
        // Nobody is left: the formula would be as sure of 0 as of nothing else.
        (23.0, 1, 0.0, 0.0, None),
    ];
    // Before the first event there is no spread either.
    let before: &[Row] = &[(5.0, 21, 1.0, 0.0, None)];
    for (subjects, rows, median) in [
        (&drug, drug_rows, 23.0),
        (&drug, before, 23.0),
        (&placebo, placebo_rows, 8.0),
    ] {
        let curve = kaplan_meier(subjects).unwrap();
        for (time, at_risk, survival, se, band) in rows {
            assert_eq!(curve.at_risk(*time), *at_risk, "{time}");
            let found = curve.at(*time, Confidence::P95).unwrap();
            close(found.value, *survival);
            close(found.se, *se);
            assert_eq!(found.interval.is_some(), band.is_some());
            if let (Some(found), Some((low, high))) = (found.interval, band) {
                ends(found, *low, *high);
            }
        }
        assert_eq!(curve.median(), Some(median));
    }
}

fn subject(time: f64, event: bool) -> Subject {
    Subject { time, event }
}

/// Between two events the curve is level, and after the last it is known only if nobody is left.
#[test]
fn the_curve_between_and_after_events() {
    let (drug, placebo) = remission();
    let (drug, placebo) = (
        kaplan_meier(&drug).unwrap(),
        kaplan_meier(&placebo).unwrap(),
    );
    let at = |time| drug.at(time, Confidence::P99);
    assert_eq!(at(23.0), at(34.5));
    assert_eq!(at(35.5), Err(Refused::BeyondFollowUp(35.5)));
    assert_eq!(drug.at_risk(35.5), 0);
    assert_eq!(placebo.at(99.0, Confidence::P95).unwrap().value, 0.0);
    assert_eq!(at(-1.0), Err(Refused::NegativeTime(-1.0)));
    assert_eq!(at(f64::NAN), Err(Refused::NotFinite));
    let steps = drug.steps();
    assert_eq!(
        (steps[0].time, steps[0].at_risk, steps[0].events),
        (6.0, 21, 3)
    );
    assert_eq!(steps.len(), 16);
}

/// Nobody lost: the curve is the share that is left, and its standard error the binomial one.
#[test]
fn without_losses_the_curve_is_a_share() {
    let all: Vec<Subject> = (1..=8).map(|time| subject(f64::from(time), true)).collect();
    let curve = kaplan_meier(&all).unwrap();
    for gone in 1..8 {
        let left = f64::from(8 - gone) / 8.0;
        let found = curve.at(f64::from(gone), Confidence::P95).unwrap();
        close(found.value, left);
        close(found.se, (left * (1.0 - left) / 8.0).sqrt());
    }
    // Half are gone, whatever the product of the shares is rounded to: for 24 it is a little more than a half.
    for half in 1..30 {
        let all: Vec<Subject> = (1..=2 * half)
            .map(|time| subject(f64::from(time), true))
            .collect();
        assert_eq!(kaplan_meier(&all).unwrap().median(), Some(f64::from(half)));
    }
}

#[test]
fn a_median_that_is_not_reached_is_none() {
    let most = [subject(1.0, true), subject(2.0, false), subject(3.0, false)];
    assert_eq!(kaplan_meier(&most).unwrap().median(), None);
}

#[test]
fn an_event_at_the_start_counts() {
    let curve = kaplan_meier(&[
        subject(0.0, true),
        subject(-0.0, false),
        subject(2.0, false),
    ]);
    let curve = curve.unwrap();
    assert_eq!(curve.at_risk(0.0), 3);
    close(curve.at(0.0, Confidence::P95).unwrap().value, 2.0 / 3.0);
}

#[test]
fn records_that_cannot_be_are_refused() {
    assert_eq!(kaplan_meier(&[]), Err(Refused::Empty));
    for (time, why) in [
        (-0.5, Refused::NegativeTime(-0.5)),
        (f64::NAN, Refused::NotFinite),
        (f64::INFINITY, Refused::NotFinite),
    ] {
        let found = kaplan_meier(&[subject(1.0, true), subject(time, false)]);
        assert_eq!(found, Err(why));
    }
}
