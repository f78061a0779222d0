//! How long things last: the Kaplan–Meier curve; below it, competing ends and the comparison of two groups.
//!
//! Times are in any one unit, from each subject's own start. Who leaves at the time of an event was still at risk then.
//!
//! Sources: E. L. Kaplan, P. Meier 1958, Journal of the American Statistical Association 53:457-481; M. Greenwood 1926,
//! Reports on Public Health and Medical Subjects 33:1-26, for the standard error; J. D. Kalbfleisch, R. L. Prentice 1980,
//! The Statistical Analysis of Failure Time Data, section 1.3, for the band on the log-log scale.

mod competing;
mod log_rank;

pub use competing::{Ending, Incidence, competing};
pub use log_rank::{Groups, LogRank, events_needed, log_rank, stratified_log_rank};

use crate::confidence::{Confidence, Interval};
use crate::refused::{Refused, time};

/// What is known of one subject.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Subject {
    /// How long it was followed.
    pub time: f64,
    /// Whether it ended by the event; otherwise it was lost sight of, or the record closed.
    pub event: bool,
}

/// A share at one time.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Point {
    /// The share.
    pub value: f64,
    /// Its standard error; 0 at a share of 0 or 1, where the formula knows none.
    pub se: f64,
    /// Its interval; none at a share of 0 or 1, where the formula knows none. A score interval among those at risk may
    /// stand there instead.
    pub interval: Option<Interval>,
}

/// One time of the curve.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Step {
    /// The time.
    pub time: f64,
    /// How many were followed up to this time.
    pub at_risk: u64,
    /// How many had the event then.
    pub events: u64,
    /// The share without the event, just after.
    pub survival: f64,
    /// Sum of `d / (n (n - d))` so far, Greenwood's formula without its factor.
    greenwood: f64,
}

/// The Kaplan–Meier curve.
#[derive(Clone, PartialEq, Debug)]
pub struct Curve {
    steps: Vec<Step>,
}

/// Returns the Kaplan–Meier curve of some subjects, in any order.
///
/// # Errors
/// Refuses an empty record, and times that are negative or not finite.
pub fn kaplan_meier(subjects: &[Subject]) -> Result<Curve, Refused> {
    let (mut survival, mut greenwood) = (1.0, 0.0);
    let sorted = sorted(subjects, |subject| subject.time)?;
    let steps = by_time(&sorted, |subject| subject.time).map(|(time, at_risk, here)| {
        let events = here.iter().filter(|subject| subject.event).count() as u64;
        let (n, d) = (at_risk as f64, events as f64);
        survival *= (n - d) / n;
        if events < at_risk {
            greenwood += d / (n * (n - d));
        }
        Step {
            time,
            at_risk,
            events,
            survival,
            greenwood,
        }
    });
    Ok(Curve {
        steps: steps.collect(),
    })
}

impl Curve {
    /// Each time at which a subject ended or was lost, in order.
    pub fn steps(&self) -> &[Step] {
        &self.steps
    }

    /// Returns the share without the event just after a time, with Greenwood's standard error and the log-log band.
    ///
    /// # Errors
    /// Refuses a time that is negative or not finite, and one that nobody was followed to, unless all had ended before.
    pub fn at(&self, at: f64, confidence: Confidence) -> Result<Point, Refused> {
        let at = time(at)?;
        let done = &self.steps[..self.steps.partition_point(|step| step.time <= at)];
        let (value, greenwood) = done
            .last()
            .map_or((1.0, 0.0), |step| (step.survival, step.greenwood));
        if value > 0.0 && self.at_risk(at) == 0 {
            return Err(Refused::BeyondFollowUp(at));
        }
        let se = value * greenwood.sqrt();
        Ok(Point {
            value,
            se,
            interval: log_log(value, se, confidence),
        })
    }

    /// How many were followed up to a time at least.
    pub fn at_risk(&self, at: f64) -> u64 {
        let later = self.steps.partition_point(|step| step.time < at);
        self.steps.get(later).map_or(0, |step| step.at_risk)
    }

    /// The first time at which half or fewer are without the event; none if more are to the end.
    pub fn median(&self) -> Option<f64> {
        let half = 0.5 + ROUNDING;
        let step = self.steps.iter().find(|step| step.survival <= half)?;
        Some(step.time)
    }
}

/// What a product of shares may be off by, so that an exact half counts as one.
const ROUNDING: f64 = 1e-12;

/// The band of a share on the scale of log(-log), which cannot leave 0 to 1.
fn log_log(share: f64, se: f64, confidence: Confidence) -> Option<Interval> {
    if !(share > 0.0 && share < 1.0 && se > 0.0) {
        return None;
    }
    let factor = (confidence.z() * se / (share * -share.ln())).exp();
    Some(Interval {
        low: share.powf(factor),
        high: share.powf(1.0 / factor),
    })
}

/// Subjects in the order of their times, all of which can be.
fn sorted<T: Copy>(all: &[T], own: impl Fn(&T) -> f64) -> Result<Vec<T>, Refused> {
    if all.is_empty() {
        return Err(Refused::Empty);
    }
    for subject in all {
        time(own(subject))?;
    }
    let mut all = all.to_vec();
    all.sort_by(|one, other| own(one).total_cmp(&own(other)));
    Ok(all)
}

/// Each time with how many were followed up to it and those who ended or were lost then.
fn by_time<T>(
    sorted: &[T],
    own: impl Fn(&T) -> f64 + Copy,
) -> impl Iterator<Item = (f64, u64, &[T])> {
    let mut at_risk = sorted.len() as u64;
    sorted
        .chunk_by(move |one, other| own(one) == own(other))
        .map(move |here| {
            let before = at_risk;
            at_risk -= here.len() as u64;
            (own(&here[0]), before, here)
        })
}
