//! How far two instruments differ, how far one hand repeats itself, and what to trust before it has shown it.
//!
//! Sources:
//! - J. M. Bland, D. G. Altman 1986, Lancet 327:307-310: limits of agreement and their intervals.
//! - J. M. Bland, D. G. Altman 1996, British Medical Journal 313:744: within-subject standard deviation, repeatability.

use crate::confidence::{Confidence, Interval};
use crate::refused::{Refused, finite};

/// Limits of agreement of two ways to measure the same, in the unit of the readings.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Agreement {
    /// Mean of the differences, first less second.
    pub bias: f64,
    /// The interval of the mean.
    pub bias_interval: Interval,
    /// Standard deviation of the differences.
    pub sd: f64,
    /// Where 95 % of differences lie.
    pub limits: Interval,
    /// The interval of the lower limit.
    pub low_interval: Interval,
    /// The interval of the upper limit.
    pub high_interval: Interval,
}

/// How far readings of the same thing differ, in their unit.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Within {
    /// Within-subject standard deviation.
    pub sd: f64,
    /// Degrees of freedom: readings less subjects.
    pub freedom: u64,
    /// The interval of the standard deviation; none where all repeats are equal, for then the scale is too coarse to tell.
    pub interval: Option<Interval>,
    /// What two readings of the same thing differ by at most, 95 times in 100.
    pub repeatability: f64,
}

/// Returns the limits of agreement of pairs of readings, each pair of another subject.
///
/// Limits lie 1.96 standard deviations from the mean; the paper has 2. The standard error of a limit is √(3 s² / n).
///
/// # Errors
/// Refuses readings that are not finite or too large, fewer than two pairs, and pairs that all differ alike.
pub fn limits_of_agreement(
    pairs: &[(f64, f64)],
    confidence: Confidence,
) -> Result<Agreement, Refused> {
    let differences = pairs.iter().map(|(first, second)| finite(first - second));
    let differences = differences.collect::<Result<Vec<f64>, Refused>>()?;
    if differences.len() < 2 {
        return Err(Refused::TooFew);
    }
    let n = differences.len() as f64;
    let largest = pairs
        .iter()
        .flat_map(|(first, second)| [first.abs(), second.abs()]);
    let (bias, squares) = mean_and_squares(&differences, largest.fold(0.0, f64::max))?;
    let sd = (squares / (n - 1.0)).sqrt();
    if sd == 0.0 {
        return Err(Refused::NoSpread);
    }
    let t = confidence.t(differences.len() as u64 - 1)?;
    let limits = Interval::around(bias, Confidence::P95.z() * sd);
    let half = finite(t * sd * (3.0 / n).sqrt())?;
    finite(limits.high - limits.low + half)?;
    Ok(Agreement {
        bias,
        bias_interval: Interval::around(bias, t * sd / n.sqrt()),
        sd,
        limits,
        low_interval: Interval::around(limits.low, half),
        high_interval: Interval::around(limits.high, half),
    })
}

/// The mean, and the sum of the squared distances from it: 0 where nothing but the rounding of readings so large differs.
fn mean_and_squares(values: &[f64], largest: f64) -> Result<(f64, f64), Refused> {
    let mean = finite(values.iter().sum::<f64>() / values.len() as f64)?;
    let squares = finite(values.iter().map(|value| (value - mean).powi(2)).sum())?;
    let alike = values
        .iter()
        .all(|value| (value - mean).abs() <= ROUNDING * largest);
    Ok((mean, if alike { 0.0 } else { squares }))
}

/// What a reading may be off by for its being kept in binary, as a part of it.
const ROUNDING: f64 = 1e-13;

/// Returns the within-subject standard deviation of repeated readings: a list of readings for each subject.
///
/// Subjects may have been read unequally often; one that was read once says nothing.
///
/// # Errors
/// Refuses readings that are not finite or too large, and a record where nothing was read twice.
pub fn within_subject(
    subjects: &[impl AsRef<[f64]>],
    confidence: Confidence,
) -> Result<Within, Refused> {
    let (mut squares, mut freedom) = (0.0, 0);
    for readings in subjects.iter().map(AsRef::as_ref) {
        if let Some(others) = readings.len().checked_sub(1) {
            let largest = readings
                .iter()
                .map(|reading| reading.abs())
                .fold(0.0, f64::max);
            squares += mean_and_squares(readings, largest)?.1;
            freedom += others as u64;
        }
    }
    if freedom == 0 {
        return Err(Refused::TooFew);
    }
    finite(squares)?;
    let sd = (squares / freedom as f64).sqrt();
    let (low, high) = confidence.chi_squared(freedom)?;
    Ok(Within {
        sd,
        freedom,
        interval: (sd > 0.0).then(|| Interval {
            low: (squares / high).sqrt(),
            high: (squares / low).sqrt(),
        }),
        repeatability: Confidence::P95.z() * std::f64::consts::SQRT_2 * sd,
    })
}

/// Returns an own standard deviation drawn towards a usual one: √((m s₀² + ν s²) / (m + ν)).
///
/// `own` has `freedom` degrees of freedom (ν); `usual` (s₀) counts as much as `weight` of them (m).
///
/// # Errors
/// Refuses what is negative, not finite or too large, and two that both count nothing.
pub fn shrunk_sd(own: f64, freedom: u64, usual: f64, weight: f64) -> Result<f64, Refused> {
    for (what, value) in [
        ("own standard deviation", own),
        ("usual standard deviation", usual),
        ("weight", weight),
    ] {
        if finite(value)? < 0.0 {
            return Err(Refused::OutOfRange { what, value });
        }
    }
    let all = weight + freedom as f64;
    if all == 0.0 {
        return Err(Refused::TooFew);
    }
    finite(((weight * usual * usual + freedom as f64 * own * own) / all).sqrt())
}
