//! Ends of several kinds, of which each subject has the first alone.
//!
//! Sources: O. O. Aalen, S. Johansen 1978, Scandinavian Journal of Statistics 5:141-150; E. Marubini, M. G. Valsecchi 1995,
//! Analysing Survival Data from Clinical Trials and Observational Studies, chapter 10, for the variance.

use std::collections::{BTreeMap, BTreeSet};

use super::{Point, ROUNDING, by_time, log_log, sorted};
use crate::confidence::Confidence;
use crate::refused::{Refused, time};

/// How one subject ended.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Ending<K> {
    /// How long it was followed.
    pub time: f64,
    /// The kind of its end; none where it was lost sight of, or the record closed.
    pub kind: Option<K>,
}

/// Cumulative incidence by kind of end: the share that has ended so, while the other kinds take subjects away.
///
/// One less the Kaplan–Meier curve of one kind, with the others as lost, says more than really comes.
#[derive(Clone, PartialEq, Debug)]
pub struct Incidence<K> {
    steps: Vec<Step<K>>,
}

#[derive(Clone, PartialEq, Debug)]
struct Step<K> {
    time: f64,
    at_risk: u64,
    /// How many ended then, by kind.
    ends: BTreeMap<K, u64>,
    /// The share without any end, just before and just after.
    free: (f64, f64),
}

/// Returns the Aalen–Johansen cumulative incidence of each kind of end, of subjects in any order.
///
/// # Errors
/// Refuses an empty record, and times that are negative or not finite.
pub fn competing<K: Ord + Copy>(endings: &[Ending<K>]) -> Result<Incidence<K>, Refused> {
    let sorted = sorted(endings, |ending| ending.time)?;
    let mut before = 1.0;
    let steps = by_time(&sorted, |ending| ending.time).map(|(time, at_risk, here)| {
        let mut ends = BTreeMap::new();
        for kind in here.iter().filter_map(|ending| ending.kind) {
            *ends.entry(kind).or_insert(0) += 1;
        }
        let left = at_risk - ends.values().sum::<u64>();
        let after = before * (left as f64 / at_risk as f64);
        let free = (before, after);
        before = after;
        Step {
            time,
            at_risk,
            ends,
            free,
        }
    });
    Ok(Incidence {
        steps: steps.collect(),
    })
}

impl<K: Ord + Copy> Incidence<K> {
    /// How many were followed up to a time at least.
    pub fn at_risk(&self, at: f64) -> u64 {
        let later = self.steps.partition_point(|step| step.time < at);
        self.steps.get(later).map_or(0, |step| step.at_risk)
    }

    /// Returns the times of all steps with how many were followed up to each, in their order.
    pub fn followed(&self) -> impl Iterator<Item = (f64, u64)> + '_ {
        self.steps.iter().map(|step| (step.time, step.at_risk))
    }

    /// Returns the times at which somebody ended so, in their order.
    pub fn times(&self, kind: K) -> impl Iterator<Item = f64> + '_ {
        let own = self
            .steps
            .iter()
            .filter(move |step| step.ends.contains_key(&kind));
        own.map(|step| step.time)
    }

    /// Returns the kinds of which there is an end, in their order.
    pub fn kinds(&self) -> Vec<K> {
        let all = self.steps.iter().flat_map(|step| step.ends.keys());
        all.copied().collect::<BTreeSet<K>>().into_iter().collect()
    }

    /// Returns the share that has ended by one kind up to a time, with its standard error and its log-log band.
    ///
    /// # Errors
    /// Refuses a time that is negative or not finite, and one that nobody was followed to, unless all had ended before.
    pub fn at(&self, kind: K, at: f64, confidence: Confidence) -> Result<Point, Refused> {
        let at = time(at)?;
        let done = &self.steps[..self.steps.partition_point(|step| step.time <= at)];
        let free = done.last().map_or(1.0, |step| step.free.1);
        if done.len() == self.steps.len()
            && free > 0.0
            && done.last().is_some_and(|step| step.time < at)
        {
            return Err(Refused::BeyondFollowUp(at));
        }
        // For each step: at risk, ended by any kind, ended by this one, free before, share ended by this kind so far.
        let mut value = 0.0;
        let terms: Vec<(f64, f64, f64, f64, f64)> = done
            .iter()
            .map(|step| {
                let n = step.at_risk as f64;
                let own = step.ends.get(&kind).map_or(0.0, |count| *count as f64);
                value += step.free.0 * own / n;
                let all = step.ends.values().sum::<u64>() as f64;
                (n, all, own, step.free.0, value)
            })
            .collect();
        let variance: f64 = terms
            .iter()
            .map(|(n, all, own, free, so_far)| {
                let later = value - so_far;
                let gone = match all < n {
                    true => later * later * all / (n * (n - all)),
                    // Nobody is left, so that nothing comes later.
                    false => 0.0,
                };
                let here = free * free * own * (n - own) / n.powi(3);
                gone + here - 2.0 * later * free * own / (n * n)
            })
            .sum();
        // Where all have ended so, what is left of the variance is rounding.
        let inner = value > 0.0 && value < 1.0 - ROUNDING;
        let se = if inner { variance.max(0.0).sqrt() } else { 0.0 };
        Ok(Point {
            value,
            se,
            interval: log_log(1.0 - value, se, confidence).map(|free| crate::Interval {
                low: 1.0 - free.high,
                high: 1.0 - free.low,
            }),
        })
    }
}
