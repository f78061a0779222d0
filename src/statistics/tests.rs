//! Against published examples, exact enumeration and what may not change a figure.
//!
//! Published papers print four digits or so. The longer ones come from independent implementations fed with the published
//! data, and agree with what the paper prints.

mod agreement;
mod competing;
mod funnel;
mod log_rank;
mod proportion;
mod random;
mod repetition;
mod survival;

use crate::Interval;
use crate::survival::Subject;

/// Whether two numbers agree in nine digits.
#[track_caller]
fn close(found: f64, wanted: f64) {
    let off = (found - wanted).abs();
    assert!(off <= 1e-9 * wanted.abs() + 1e-13, "{found} {wanted}");
}

#[track_caller]
fn ends(found: Interval, low: f64, high: f64) {
    close(found.low, low);
    close(found.high, high);
}

/// Whether a number agrees with one that is printed with so many decimals.
#[track_caller]
fn printed(found: f64, decimals: i32, wanted: f64) {
    let off = (found - wanted).abs();
    assert!(
        off <= 0.5 * 10_f64.powi(-decimals) + 1e-12,
        "{found} {wanted}"
    );
}

/// Remission in weeks of 42 children with leukaemia, 21 on the drug and 21 on placebo: E. J. Freireich et al. 1963, Blood
/// 21:699-716, table of remissions as E. A. Gehan 1965, Biometrika 52:203-223, prints it.
fn remission() -> (Vec<Subject>, Vec<Subject>) {
    let relapsed = |time: i32| (time, true);
    let followed = |time: i32| (time, false);
    let drug = [6, 6, 6, 7, 10, 13, 16, 22, 23].map(relapsed);
    let still = [6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35].map(followed);
    let placebo = [
        1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23,
    ];
    let subjects = |list: &[(i32, bool)]| -> Vec<Subject> {
        let subject = |(time, event): &(i32, bool)| Subject {
            time: f64::from(*time),
            event: *event,
        };
        list.iter().map(subject).collect()
    };
    let first = subjects(&[&drug[..], &still[..]].concat());
    (first, subjects(&placebo.map(relapsed)))
}

/// Quantiles of the usual tables, and far out, where an approximation would show.
#[test]
fn quantiles() {
    let level = |level| crate::Confidence::new(level).unwrap();
    for (share, z) in [
        (0.5, 0.674489750196),
        (0.95, 1.95996398454),
        (0.998, 3.09023230617),
        (0.9999, 3.89059188641),
    ] {
        close(level(share).z(), z);
    }
    for (share, freedom, t) in [
        (0.95, 1, 12.7062047362),
        (0.95, 10, 2.22813885199),
        (0.95, 16, 2.11990529922),
        (0.99, 40, 2.70445926743),
        (0.9999, 3, 28.000130011),
        (0.95, 999, 1.96234146113),
        (0.9999, 999, 3.9063595611),
        (0.9999, 1000, 3.9063437367),
        (0.95, 1000, 1.96233908083),
        (0.95, 100000, 1.95998770753),
    ] {
        close(level(share).t(freedom).unwrap(), t);
    }
    for (share, freedom, low, high) in [
        (0.95, 1, 0.000982069117175, 5.02388618731),
        (0.95, 16, 6.9076643535, 28.8453507234),
        (0.95, 60, 40.4817480428, 83.2976748772),
        (0.99, 3, 0.0717217745865, 12.8381564666),
        (0.9999, 30, 8.68684367709, 69.9044640287),
        (0.95, 1000, 914.257153799, 1089.53091277),
        (0.95, 100000, 99125.3733006, 100878.415306),
    ] {
        let found = level(share).chi_squared(freedom).unwrap();
        close(found.0, low);
        close(found.1, high);
    }
}
