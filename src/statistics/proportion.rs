//! Proportions: one, the difference and the ratio of two, and a ratio over strata.
//!
//! Sources:
//! - E. B. Wilson 1927, Journal of the American Statistical Association 22:209-212: the score interval.
//! - R. G. Newcombe 1998, Statistics in Medicine 17:873-890, method 10: the difference by two score intervals.
//! - D. Katz et al. 1978, Biometrics 34:469-474: the ratio on the log scale.
//! - P. A. R. Koopman 1984, Biometrics 40:513-517: the score interval of a ratio.
//! - S. Greenland, J. M. Robins 1985, Biometrics 41:55-68: variance of the Mantel–Haenszel risk ratio.

use crate::confidence::{Confidence, Interval};
use crate::refused::Refused;

/// So many events among so many that were observed.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Count {
    /// How many had the event.
    pub events: u64,
    /// How many were observed, with and without the event.
    pub of: u64,
}

/// A value with its interval.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Estimate {
    /// The estimate.
    pub value: f64,
    /// Its interval.
    pub interval: Interval,
}

/// A ratio of two proportions by a method on the log scale.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct LogRatio {
    /// The first proportion over the second.
    pub ratio: f64,
    /// Standard error of the ratio's natural logarithm.
    pub se_log: f64,
    /// Its interval.
    pub interval: Interval,
}

/// A ratio of two proportions whose interval may have no end.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct ScoreRatio {
    /// The first proportion over the second; none where the second has no events.
    pub ratio: Option<f64>,
    /// The low end, 0 where the first has no events.
    pub low: f64,
    /// The high end; none where the second has no events, for then the ratio may be as large as it likes.
    pub high: Option<f64>,
}

/// Two counts that are alike in what might mislead: both of one customer, or of one year.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Stratum {
    /// The group in question.
    pub first: Count,
    /// The group it is compared with.
    pub second: Count,
}

impl Count {
    /// Events and observed as numbers; an empty count passes.
    fn numbers(self) -> Result<(f64, f64), Refused> {
        let Count { events, of } = self;
        if events > of {
            return Err(Refused::MoreEvents { events, of });
        }
        Ok((events as f64, of as f64))
    }

    /// Events and observed as numbers.
    pub(crate) fn observed(self) -> Result<(f64, f64), Refused> {
        let numbers = self.numbers()?;
        if self.of == 0 {
            return Err(Refused::Empty);
        }
        Ok(numbers)
    }
}

/// Returns a proportion with Wilson's score interval.
///
/// The low end is exactly 0 without events, the high one exactly 1 with nothing else.
///
/// # Errors
/// Refuses an empty count and one with more events than were observed.
pub fn wilson(count: Count, confidence: Confidence) -> Result<Estimate, Refused> {
    let (events, of) = count.observed()?;
    let value = events / of;
    let z2 = confidence.z().powi(2);
    let middle = (events + z2 / 2.0) / (of + z2);
    let half = (z2 * (events * (1.0 - value) + z2 / 4.0)).sqrt() / (of + z2);
    // The formula gives 0 and 1 at the ends but for rounding.
    let low = match count.events {
        0 => 0.0,
        _ => (middle - half).clamp(0.0, value),
    };
    let high = match count.of - count.events {
        0 => 1.0,
        _ => (middle + half).clamp(value, 1.0),
    };
    Ok(Estimate {
        value,
        interval: Interval { low, high },
    })
}

/// Returns the first proportion less the second, with Newcombe's hybrid score interval.
///
/// # Errors
/// Refuses counts that [`wilson`] refuses.
pub fn difference(
    first: Count,
    second: Count,
    confidence: Confidence,
) -> Result<Estimate, Refused> {
    let (first, second) = (wilson(first, confidence)?, wilson(second, confidence)?);
    let value = first.value - second.value;
    let below = (first.value - first.interval.low).hypot(second.interval.high - second.value);
    let above = (first.interval.high - first.value).hypot(second.value - second.interval.low);
    Ok(Estimate {
        value,
        interval: Interval {
            low: (value - below).max(-1.0),
            high: (value + above).min(1.0),
        },
    })
}

/// Returns the first proportion over the second, with the interval on the log scale after Katz.
///
/// It wants some events on both sides, five at least to be trusted; [`score_ratio`] takes any.
///
/// # Errors
/// Refuses counts that [`wilson`] refuses, sides without events, and two sides where all had it.
pub fn log_ratio(first: Count, second: Count, confidence: Confidence) -> Result<LogRatio, Refused> {
    let ((a, n1), (b, n0)) = (first.observed()?, second.observed()?);
    if first.events == 0 || second.events == 0 {
        return Err(Refused::NoEvents);
    }
    // (1 - p) / events rather than 1 / events - 1 / of: nothing cancels.
    let variance = (n1 - a) / (n1 * a) + (n0 - b) / (n0 * b);
    on_log_scale((a / n1) / (b / n0), variance, confidence)
}

fn on_log_scale(ratio: f64, variance: f64, confidence: Confidence) -> Result<LogRatio, Refused> {
    if variance <= 0.0 {
        return Err(Refused::NoSpread);
    }
    let se_log = variance.sqrt();
    let factor = (confidence.z() * se_log).exp();
    Ok(LogRatio {
        ratio,
        se_log,
        interval: Interval {
            low: ratio / factor,
            high: ratio * factor,
        },
    })
}

/// Returns the first proportion over the second, with Koopman's score interval, which takes sides without events.
///
/// The interval holds each ratio at which the chi² of the two counts against the likeliest proportions of that ratio stays
/// below its quantile with one degree of freedom.
///
/// # Errors
/// Refuses counts that [`wilson`] refuses.
pub fn score_ratio(
    first: Count,
    second: Count,
    confidence: Confidence,
) -> Result<ScoreRatio, Refused> {
    let ((a, n1), (b, n0)) = (first.observed()?, second.observed()?);
    let bound = confidence.z().powi(2);
    let inside = |ratio: f64| misfit((a, n1), (b, n0), ratio) <= bound;
    let ratio = (second.events > 0).then(|| (a / n1) / (b / n0));
    let low = match (first.events, ratio) {
        (0, _) => 0.0,
        (_, Some(ratio)) => end(ratio, 0.5, inside),
        (_, None) => end(first_inside(2.0, inside), 0.5, inside),
    };
    let high = ratio.map(|ratio| match first.events {
        0 => end(first_inside(0.5, inside), 2.0, inside),
        _ => end(ratio, 2.0, inside),
    });
    Ok(ScoreRatio { ratio, low, high })
}

/// The chi² of two counts against the likeliest proportions whose ratio is the one given.
fn misfit((a, n1): (f64, f64), (b, n0): (f64, f64), ratio: f64) -> f64 {
    let sum = ratio * (n1 + b) + a + n0;
    let product = ratio * (a + b);
    let root = (sum * sum - 4.0 * product * (n1 + n0)).max(0.0).sqrt();
    // The smaller root of the quadratic equation, written so that nothing cancels.
    let p1 = 2.0 * product / (sum + root);
    let p0 = 2.0 * (a + b) / (sum + root);
    let part = |events: f64, of: f64, p: f64| match events - of * p {
        0.0 => 0.0,
        off => off * off / (of * p * (1.0 - p)),
    };
    part(a, n1, p1) + part(b, n0, p0)
}

/// A ratio within the interval, sought from 1 by steps of a factor: it tends to fit as the steps go on.
fn first_inside(step: f64, inside: impl Fn(f64) -> bool) -> f64 {
    let mut ratio = 1.0;
    for _ in 0..MOST_STEPS {
        if inside(ratio) {
            break;
        }
        ratio *= step;
    }
    ratio
}

/// Enough steps of a factor of two for any counts.
const MOST_STEPS: usize = 500;

/// The end of the interval that is reached from a ratio within by steps of a factor.
fn end(mut within: f64, step: f64, inside: impl Fn(f64) -> bool) -> f64 {
    let mut beyond = within * step;
    for _ in 0..MOST_STEPS {
        if !inside(beyond) {
            break;
        }
        (within, beyond) = (beyond, beyond * step);
    }
    // Halved until no number lies between.
    for _ in 0..MOST_STEPS {
        let middle = within.midpoint(beyond);
        if middle == within || middle == beyond {
            break;
        }
        match inside(middle) {
            true => within = middle,
            false => beyond = middle,
        }
    }
    within
}

/// Returns the Mantel–Haenszel risk ratio over strata, with the interval of Greenland and Robins.
///
/// A stratum with nobody on one side says nothing and changes nothing.
///
/// # Errors
/// Refuses counts with more events than were observed, no stratum with both sides, sides without events in all those, and
/// two sides where all had it.
pub fn mantel_haenszel(strata: &[Stratum], confidence: Confidence) -> Result<LogRatio, Refused> {
    let (mut upper, mut lower, mut spread, mut both) = (0.0, 0.0, 0.0, false);
    for stratum in strata {
        let ((a, n1), (b, n0)) = (stratum.first.numbers()?, stratum.second.numbers()?);
        if n1 == 0.0 || n0 == 0.0 {
            continue;
        }
        both = true;
        let n = n1 + n0;
        upper += a * n0 / n;
        lower += b * n1 / n;
        // (a + b) n1 n0 - a b n, sorted so that nothing cancels.
        spread += (a * n1 * (n0 - b) + b * n0 * (n1 - a)) / (n * n);
    }
    if !both {
        return Err(Refused::Empty);
    }
    if upper == 0.0 || lower == 0.0 {
        return Err(Refused::NoEvents);
    }
    on_log_scale(upper / lower, spread / (upper * lower), confidence)
}
