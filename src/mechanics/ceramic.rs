//! Strength of brittle ceramics: the bending tests that measure it, and the chance that a flaw is met.
//!
//! Ceramics have no one strength: the largest flaw under tension decides. Their strengths follow a Weibull distribution
//! with a characteristic strength `σ0`, at which 63.2 % have failed, and a modulus `m`, large where strengths lie close.
//! Strengths here are of bars and discs made in a laboratory: no water, no fatigue, no grinding at the chair.
//!
//! Sources: formulas after ISO 6872, the clause from memory; two-parameter Weibull statistics, any handbook.

use std::fmt;

/// An input with which no strength can be reckoned.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum CeramicError {
    /// The named quantity is not a positive finite number.
    NotPositive(&'static str),
    /// A probability lies outside 0 to 1.
    Probability,
    /// A stress is negative or no number.
    Stress,
    /// The piston or the support of a disc is wider than what it stands on.
    Disc,
    /// Poisson's ratio lies outside 0 to 0.5.
    Poisson,
    /// The inputs are so large or so small that the result is no number.
    OutOfRange,
}

impl fmt::Display for CeramicError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            CeramicError::NotPositive(what) => write!(f, "The {what} must be more than zero."),
            CeramicError::Probability => f.write_str("A probability lies between 0 and 1."),
            CeramicError::Stress => f.write_str("A stress must be zero or more."),
            CeramicError::Disc => {
                f.write_str("The piston must be narrower than the support, and that than the disc.")
            }
            CeramicError::Poisson => f.write_str("Poisson's ratio lies between 0 and 0.5."),
            CeramicError::OutOfRange => {
                f.write_str("The numbers given are too large or too small.")
            }
        }
    }
}

impl std::error::Error for CeramicError {}

/// A two-parameter Weibull distribution of strengths.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Weibull {
    scale: f64,
    modulus: f64,
}

impl Weibull {
    /// Returns the distribution with a characteristic strength in MPa and a Weibull modulus.
    ///
    /// # Errors
    ///
    /// Refuses parameters that are not positive and finite.
    pub fn new(characteristic: f64, modulus: f64) -> Result<Weibull, CeramicError> {
        Ok(Weibull {
            scale: positive("characteristic strength", characteristic)?,
            modulus: positive("Weibull modulus", modulus)?,
        })
    }

    /// Returns the distribution whose mean strength, in MPa, is known: `σ0 = mean / Γ(1 + 1/m)`.
    ///
    /// # Errors
    ///
    /// As [`Weibull::new`].
    pub fn with_mean(mean: f64, modulus: f64) -> Result<Weibull, CeramicError> {
        let mean = positive("mean strength", mean)?;
        let modulus = positive("Weibull modulus", modulus)?;
        Weibull::new(mean / ln_gamma(1.0 + 1.0 / modulus).exp(), modulus)
    }

    /// Returns the characteristic strength in MPa.
    pub fn characteristic(self) -> f64 {
        self.scale
    }

    /// Returns the probability, 0 to 1, of failure at or under a stress in MPa: `1 − exp(−(σ/σ0)^m)`.
    ///
    /// # Errors
    ///
    /// Refuses a stress that is negative or no number.
    pub fn failure(self, stress: f64) -> Result<f64, CeramicError> {
        if stress.is_nan() || stress < 0.0 {
            return Err(CeramicError::Stress);
        }
        // Exact where the probability is very small, which is where it matters.
        Ok(-(-(stress / self.scale).powf(self.modulus)).exp_m1())
    }

    /// Returns the mean strength in MPa: `σ0·Γ(1 + 1/m)`.
    pub fn mean(self) -> f64 {
        self.scale * ln_gamma(1.0 + 1.0 / self.modulus).exp()
    }

    /// Returns the strength in MPa that a given share, 0 to 1, does not reach: `σ0·(−ln(1 − p))^(1/m)`.
    ///
    /// # Errors
    ///
    /// Refuses a share that is not between 0 and 1, both excluded.
    pub fn quantile(self, share: f64) -> Result<f64, CeramicError> {
        if !(share > 0.0 && share < 1.0) {
            return Err(CeramicError::Probability);
        }
        Ok(self.scale * (-(-share).ln_1p()).powf(1.0 / self.modulus))
    }

    /// Returns the distribution for another volume under tension: `σ1/σ2 = (V2/V1)^(1/m)`. More volume, more flaws.
    ///
    /// `ratio` is the new volume over the one that was tested.
    ///
    /// # Errors
    ///
    /// Refuses a ratio that is not positive and finite, and one that leaves no number.
    pub fn scaled(self, ratio: f64) -> Result<Weibull, CeramicError> {
        let ratio = positive("ratio of volumes", ratio)?;
        Weibull::new(self.scale * ratio.powf(-1.0 / self.modulus), self.modulus)
            .map_err(|_| CeramicError::OutOfRange)
    }
}

/// Returns the probability that stands for the strength of one specimen among many: `(i − 0.5)/N`, `i` counted from 1.
///
/// # Errors
///
/// Refuses a rank of 0 or beyond the number of specimens.
pub fn rank(i: usize, number: usize) -> Result<f64, CeramicError> {
    if i == 0 || i > number {
        return Err(CeramicError::Probability);
    }
    Ok((i as f64 - 0.5) / number as f64)
}

/// How a bar is bent.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Bending {
    /// One load in the middle.
    ThreePoint,
    /// Two loads, each a quarter of the span in from the support.
    FourPointQuarter,
    /// Two loads, each a third of the span in from the support.
    FourPointThird,
}

/// Returns the strength in MPa of a bar that broke at a load.
///
/// `load` in N; `span` between the supports, `width` and `thickness` of the bar in mm. `3PL/2wb²` in three-point
/// bending, `3PL/4wb²` with quarter points, `PL/wb²` with third points.
///
/// # Errors
///
/// Refuses inputs that are not positive and finite.
pub fn bar_strength(
    bending: Bending,
    load: f64,
    span: f64,
    width: f64,
    thickness: f64,
) -> Result<f64, CeramicError> {
    let factor = match bending {
        Bending::ThreePoint => 1.5,
        Bending::FourPointQuarter => 0.75,
        Bending::FourPointThird => 1.0,
    };
    let moment = positive("load", load)? * positive("span", span)?;
    finite(
        factor * moment / (positive("width", width)? * positive("thickness", thickness)?.powi(2)),
    )
}

/// A disc on three balls, pressed by a piston in the middle. Lengths in mm.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Disc {
    /// Thickness.
    pub thickness: f64,
    /// Radius of the circle on which the balls lie.
    pub support: f64,
    /// Radius of the piston.
    pub piston: f64,
    /// Radius of the disc.
    pub radius: f64,
    /// Poisson's ratio; 0.25 where it is not known.
    pub poisson: f64,
}

/// Returns the biaxial strength in MPa of a disc that broke at a load in N: `−0.2387·P·(X − Y)/b²`.
///
/// # Errors
///
/// Refuses inputs that are not positive and finite, a piston wider than the support or a support wider than the disc,
/// and a Poisson's ratio that no solid of this kind has.
pub fn disc_strength(load: f64, disc: Disc) -> Result<f64, CeramicError> {
    let (x, y) = disc_terms(disc)?;
    let thickness = positive("thickness", disc.thickness)?;
    finite(-0.2387 * positive("load", load)? * (x - y) / thickness.powi(2))
}

/// Returns the terms X and Y of [`disc_strength`].
///
/// # Errors
///
/// As [`disc_strength`].
pub fn disc_terms(disc: Disc) -> Result<(f64, f64), CeramicError> {
    let support = positive("radius of the support", disc.support)?;
    let piston = positive("radius of the piston", disc.piston)?;
    let radius = positive("radius of the disc", disc.radius)?;
    if piston > support || support > radius {
        return Err(CeramicError::Disc);
    }
    let nu = disc.poisson;
    if !(0.0..=0.5).contains(&nu) {
        return Err(CeramicError::Poisson);
    }
    let (inner, outer) = ((piston / radius).powi(2), (support / radius).powi(2));
    let x = (1.0 + nu) * inner.ln() + (1.0 - nu) / 2.0 * inner;
    let y = (1.0 + nu) * (1.0 + outer.ln()) + (1.0 - nu) * outer;
    Ok((x, y))
}

/// The natural logarithm of Γ for arguments above 0.5, by the approximation of Lanczos with g = 7 and nine terms.
fn ln_gamma(z: f64) -> f64 {
    const FIRST: f64 = 0.999_999_999_999_809_9;
    const TERMS: [f64; 8] = [
        676.520_368_121_885_1,
        -1_259.139_216_722_402_8,
        771.323_428_777_653_1,
        -176.615_029_162_140_6,
        12.507_343_278_686_905,
        -0.138_571_095_265_720_12,
        9.984_369_578_019_572e-6,
        1.505_632_735_149_311_6e-7,
    ];
    let z = z - 1.0;
    let sum = (1_u32..)
        .zip(TERMS)
        .fold(FIRST, |sum, (i, term)| sum + term / (z + f64::from(i)));
    let t = z + 7.5;
    0.5 * std::f64::consts::TAU.ln() + (z + 0.5) * t.ln() - t + sum.ln()
}

fn positive(what: &'static str, value: f64) -> Result<f64, CeramicError> {
    if value.is_finite() && value > 0.0 {
        Ok(value)
    } else {
        Err(CeramicError::NotPositive(what))
    }
}

fn finite(value: f64) -> Result<f64, CeramicError> {
    if value.is_finite() {
        Ok(value)
    } else {
        Err(CeramicError::OutOfRange)
    }
}
