//! Levels of confidence, intervals, and the quantiles behind them.

use statrs::distribution::{ChiSquared, ContinuousCDF, Normal, StudentsT};

use crate::refused::{Refused, finite};

/// How often an interval of its kind holds the true value: a share from 0.5 to 0.9999.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Confidence(f64);

/// Degrees of freedom from which on t is nearer by its series than by what the library finds.
const MANY: u64 = 1000;

impl Confidence {
    /// 95 %.
    pub const P95: Confidence = Confidence(0.95);
    /// 99 %.
    pub const P99: Confidence = Confidence(0.99);
    /// 99.8 %, the outer limit of a funnel.
    pub const P99_8: Confidence = Confidence(0.998);

    /// A level of its own.
    ///
    /// # Errors
    /// Refuses what is less than 0.5 or more than 0.9999.
    pub fn new(level: f64) -> Result<Confidence, Refused> {
        if (0.5..=0.9999).contains(&finite(level)?) {
            return Ok(Confidence(level));
        }
        Err(Refused::OutOfRange {
            what: "level of confidence",
            value: level,
        })
    }

    /// The level as a share.
    pub fn level(self) -> f64 {
        self.0
    }

    /// The share that lies outside on each side.
    pub(crate) fn tail(self) -> f64 {
        (1.0 - self.0) / 2.0
    }

    /// The normal quantile with a tail above it, 1.96 at 95 %.
    pub(crate) fn z(self) -> f64 {
        -normal_quantile(self.tail())
    }

    /// The quantile of Student's t with a tail above it.
    pub(crate) fn t(self, freedom: u64) -> Result<f64, Refused> {
        let n = freedom as f64;
        if freedom < MANY {
            let t = StudentsT::new(0.0, 1.0, n).map_err(|_| Refused::TooFew)?;
            return finite(-t.inverse_cdf(self.tail()));
        }
        // M. Abramowitz, I. A. Stegun 1964, Handbook of Mathematical Functions, 26.7.5.
        let z = self.z();
        let s = z * z;
        let first = (s + 1.0) / 4.0;
        let second = ((5.0 * s + 16.0) * s + 3.0) / 96.0;
        let third = (((3.0 * s + 19.0) * s + 17.0) * s - 15.0) / 384.0;
        let fourth = ((((79.0 * s + 776.0) * s + 1482.0) * s - 1920.0) * s - 945.0) / 92160.0;
        Ok(z * (1.0 + (first + (second + (third + fourth / n) / n) / n) / n))
    }

    /// The two quantiles of chi² with a tail below and above.
    pub(crate) fn chi_squared(self, freedom: u64) -> Result<(f64, f64), Refused> {
        let chi = ChiSquared::new(freedom as f64).map_err(|_| Refused::TooFew)?;
        let low = finite(chi.inverse_cdf(self.tail()))?;
        Ok((low, finite(chi.inverse_cdf(1.0 - self.tail()))?))
    }
}

/// The normal quantile of a probability between 0 and 1.
pub(crate) fn normal_quantile(probability: f64) -> f64 {
    Normal::standard().inverse_cdf(probability)
}

/// The probability of a chi² with one degree of freedom beyond a value: both tails of the normal.
pub(crate) fn beyond_chi_squared(value: f64) -> f64 {
    statrs::function::erf::erfc((value / 2.0).sqrt())
}

/// From a low end to a high one, both finite and both included.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Interval {
    /// The low end.
    pub low: f64,
    /// The high end.
    pub high: f64,
}

impl Interval {
    /// Whether a value lies within, the ends included.
    pub fn contains(self, value: f64) -> bool {
        (self.low..=self.high).contains(&value)
    }

    /// A value with so much on both sides.
    pub(crate) fn around(middle: f64, half: f64) -> Interval {
        Interval {
            low: middle - half,
            high: middle + half,
        }
    }
}
