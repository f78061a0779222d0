//! Limits of a funnel plot: how far a proportion may lie from a target by chance.
//!
//! Source: D. J. Spiegelhalter 2005, Statistics in Medicine 24:1185-1202, appendix A.1: exact binomial limits,
//! interpolated between the whole numbers of events.

use statrs::distribution::{Binomial, DiscreteCDF};

use crate::confidence::{Confidence, Interval};
use crate::proportion::Count;
use crate::refused::{Refused, inner_share};

/// The most that may be observed: beyond it the binomial distribution is not reckoned exactly enough.
pub const MOST: u64 = 100_000;

/// Returns the limits of a proportion among so many, if the true one is the target: a share more than 0 and less than 1.
///
/// A funnel has them at [`Confidence::P95`] and [`Confidence::P99_8`]. They are for the eye: the first whole number above
/// the upper one still comes a little oftener than the tail promises, much oftener where few are expected. Whether a number
/// stands out is for [`at_least`] to say.
///
/// # Errors
/// Refuses nobody observed, more than [`MOST`], and a target that is no inner share.
pub fn funnel(target: f64, of: u64, confidence: Confidence) -> Result<Interval, Refused> {
    let binomial = binomial(target, of)?;
    let share = |probability| (quantile(&binomial, of, probability) / of as f64).clamp(0.0, 1.0);
    Ok(Interval {
        low: share(confidence.tail()),
        high: share(1.0 - confidence.tail()),
    })
}

/// Returns how often so many events or more come by chance, if the true proportion is the target.
///
/// # Errors
/// As [`funnel`], and refuses more events than were observed.
pub fn at_least(target: f64, count: Count) -> Result<f64, Refused> {
    count.observed()?;
    let binomial = binomial(target, count.of)?;
    let below = count.events.checked_sub(1);
    Ok(below.map_or(1.0, |below| binomial.sf(below)))
}

/// The distribution of events, where it is exact.
fn binomial(target: f64, of: u64) -> Result<Binomial, Refused> {
    inner_share("target", target)?;
    if of == 0 {
        return Err(Refused::Empty);
    }
    let too_many = Refused::OutOfRange {
        what: "number observed",
        value: of as f64,
    };
    if of > MOST {
        return Err(too_many);
    }
    Binomial::new(target, of).map_err(|_| too_many)
}

/// The number of events with a probability at or below it, interpolated; below 0 where even none is likelier.
fn quantile(binomial: &Binomial, of: u64, probability: f64) -> f64 {
    // The least number of events that reaches the probability lies in low..=high.
    let (mut low, mut high) = (0, of);
    while low < high {
        let middle = low.midpoint(high);
        match binomial.cdf(middle) < probability {
            true => low = middle + 1,
            false => high = middle,
        }
    }
    let reached = binomial.cdf(low);
    let before = low.checked_sub(1).map_or(0.0, |one| binomial.cdf(one));
    low as f64 - (reached - probability) / (reached - before)
}
