//! Whether two groups last alike.
//!
//! Sources: N. Mantel 1966, Cancer Chemotherapy Reports 50:163-170; R. Peto, J. Peto 1972, Journal of the Royal Statistical
//! Society A 135:185-207; D. A. Schoenfeld 1983, Biometrics 39:499-503, for the events that it takes.

use super::{Subject, by_time, sorted};
use crate::confidence::{Confidence, beyond_chi_squared, normal_quantile};
use crate::refused::{Refused, finite, inner_share};

/// Two groups of subjects, each in any order.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Groups<'s> {
    /// The group in question.
    pub first: &'s [Subject],
    /// The group it is compared with.
    pub second: &'s [Subject],
}

/// The log-rank comparison of two groups.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct LogRank {
    /// Events in the first group and in the second.
    pub observed: (u64, u64),
    /// Events that would be expected in them if both lasted alike.
    pub expected: (f64, f64),
    /// Variance of observed less expected, the same for both.
    pub variance: f64,
    /// (O - E)² / V, chi² with one degree of freedom.
    pub chi_squared: f64,
    /// How often chance alone gives as much or more.
    pub p: f64,
}

/// Returns the log-rank comparison of two groups.
///
/// # Errors
/// Refuses an empty record, times that are negative or not finite, and groups that no event could tell apart: both must
/// have had somebody at risk, and not all may have ended at once.
pub fn log_rank(groups: Groups<'_>) -> Result<LogRank, Refused> {
    stratified_log_rank(&[groups])
}

/// Returns the log-rank comparison within strata: observed, expected and variance are added up.
///
/// # Errors
/// As [`log_rank`].
pub fn stratified_log_rank(strata: &[Groups<'_>]) -> Result<LogRank, Refused> {
    let (mut observed, mut expected, mut variance) = ((0, 0), (0.0, 0.0), 0.0);
    let mut empty = true;
    for groups in strata {
        // Each subject with whether it is of the first group.
        let first = groups.first.iter().map(|subject| (*subject, true));
        let second = groups.second.iter().map(|subject| (*subject, false));
        let all: Vec<(Subject, bool)> = first.chain(second).collect();
        if all.is_empty() {
            continue;
        }
        empty = false;
        let sorted = sorted(&all, |(subject, _)| subject.time)?;
        let mut first_at_risk = groups.first.len() as u64;
        for (_, at_risk, here) in by_time(&sorted, |(subject, _)| subject.time) {
            let count = |of_first| {
                let events = here
                    .iter()
                    .filter(|(subject, first)| subject.event && *first == of_first);
                events.count() as u64
            };
            let (own, other) = (count(true), count(false));
            let (n, d) = (at_risk as f64, (own + other) as f64);
            let share = first_at_risk as f64 / n;
            let rest = (at_risk - first_at_risk) as f64 / n;
            observed = (observed.0 + own, observed.1 + other);
            expected = (expected.0 + d * share, expected.1 + d * rest);
            if at_risk > 1 {
                variance += d * share * rest * (n - d) / (n - 1.0);
            }
            first_at_risk -= here.iter().filter(|(_, first)| *first).count() as u64;
        }
    }
    if empty {
        return Err(Refused::Empty);
    }
    if variance == 0.0 {
        return Err(Refused::NothingToCompare);
    }
    let chi_squared = (observed.0 as f64 - expected.0).powi(2) / variance;
    Ok(LogRank {
        observed,
        expected,
        variance,
        chi_squared,
        p: beyond_chi_squared(chi_squared),
    })
}

/// Returns how many events it takes, in both groups together, to see a hazard ratio.
///
/// `share` is the part of all subjects that the first group holds, more than 0 and less than 1; `power` how often the ratio
/// is to be seen, a share of 0.5 at least.
///
/// # Errors
/// Refuses shares out of bounds, and a hazard ratio that is 1, not positive or not finite.
pub fn events_needed(
    hazard_ratio: f64,
    share: f64,
    confidence: Confidence,
    power: f64,
) -> Result<u64, Refused> {
    let out_of_range = |what, value| Err(Refused::OutOfRange { what, value });
    inner_share("share of the first group", share)?;
    if inner_share("power", power)? < 0.5 {
        return out_of_range("power", power);
    }
    if finite(hazard_ratio)? <= 0.0 || hazard_ratio == 1.0 {
        return out_of_range("hazard ratio", hazard_ratio);
    }
    let quantiles = confidence.z() + normal_quantile(power);
    let needed = (quantiles / hazard_ratio.ln()).powi(2) / (share * (1.0 - share));
    Ok(finite(needed)?.ceil() as u64)
}
