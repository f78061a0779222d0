//! Strength of ceramics, against closed forms and an independent library.

use casepan::mechanics::ceramic::{
    Bending, CeramicError, Disc, Weibull, bar_strength, disc_strength, disc_terms, rank,
};
use proptest::prelude::*;
use statrs::distribution::{ContinuousCDF, Weibull as Reference};
use statrs::function::gamma::gamma;
use statrs::statistics::Distribution;

#[track_caller]
fn near(found: f64, wanted: f64, within: f64) {
    assert!((found - wanted).abs() <= within, "{found} is not {wanted}");
}

/// Formulas of ISO 6872:2015, clause from memory; P = 200 N, L = 16, w = 4, b = 1.2 mm by exact arithmetic:
/// 3·200·16/(2·4·1.44) = 833.33, half of it, and two thirds of it.
#[test]
fn bars() {
    for (bending, wanted) in [
        (Bending::ThreePoint, 2500.0 / 3.0),
        (Bending::FourPointQuarter, 1250.0 / 3.0),
        (Bending::FourPointThird, 5000.0 / 9.0),
    ] {
        let found = bar_strength(bending, 200.0, 16.0, 4.0, 1.2).unwrap();
        near(found, wanted, 1e-9);
    }
    near(
        bar_strength(Bending::ThreePoint, 200.0, 16.0, 4.0, 1.2).unwrap(),
        833.33,
        0.005,
    );
    assert!(matches!(
        bar_strength(Bending::ThreePoint, 200.0, 16.0, 0.0, 1.2),
        Err(CeramicError::NotPositive("width"))
    ));
}

/// Piston on three balls, formula of ISO 6872:2015 from memory; X, Y and σ worked out by hand to the digits given.
#[test]
fn discs() {
    let disc = Disc {
        thickness: 1.2,
        support: 5.0,
        piston: 0.7,
        radius: 6.0,
        poisson: 0.25,
    };
    let (x, y) = disc_terms(disc).unwrap();
    near(x, -5.36598, 5e-6);
    near(y, 1.31503, 5e-6);
    near(disc_strength(200.0, disc).unwrap(), 221.494, 5e-4);
    let wide = Disc {
        piston: 5.5,
        ..disc
    };
    assert_eq!(disc_terms(wide), Err(CeramicError::Disc));
    let rubber = Disc {
        poisson: 0.6,
        ..disc
    };
    assert_eq!(disc_terms(rubber), Err(CeramicError::Poisson));
}

/// Mean, median and three low quantiles by the closed forms, to one decimal.
#[test]
fn weibull_table() {
    for (scale, modulus, wanted) in [
        (1000.0, 10.0, [951.4, 964.0, 743.0, 631.3, 398.1]),
        (1000.0, 15.0, [965.7, 975.9, 820.4, 735.9, 541.2]),
        (400.0, 10.0, [380.5, 385.6, 297.2, 252.5, 159.2]),
    ] {
        let strengths = Weibull::new(scale, modulus).unwrap();
        let [mean, median, five, one, tiny] = wanted;
        near(strengths.mean(), mean, 0.05);
        for (share, wanted) in [(0.5, median), (0.05, five), (0.01, one), (1e-4, tiny)] {
            near(strengths.quantile(share).unwrap(), wanted, 0.05);
        }
    }
}

/// At the characteristic strength 1 − 1/e have failed, whatever the modulus.
#[test]
fn characteristic_strength() {
    for modulus in [3.0, 10.0, 20.0] {
        let strengths = Weibull::new(850.0, modulus).unwrap();
        near(
            strengths.failure(850.0).unwrap(),
            1.0 - (-1.0_f64).exp(),
            1e-12,
        );
        assert_eq!(strengths.failure(0.0), Ok(0.0));
    }
    let strengths = Weibull::new(850.0, 10.0).unwrap();
    assert_eq!(strengths.failure(-1.0), Err(CeramicError::Stress));
    assert_eq!(strengths.failure(f64::NAN), Err(CeramicError::Stress));
    assert_eq!(strengths.quantile(1.0), Err(CeramicError::Probability));
    assert!(Weibull::new(0.0, 10.0).is_err() && Weibull::new(850.0, f64::NAN).is_err());
}

/// Twice the stress is 2^m times the chance where chances are small: a thousandfold at a modulus of 10.
#[test]
fn half_the_stress_is_a_thousandth_of_the_chance() {
    let strengths = Weibull::new(850.0, 10.0).unwrap();
    let ratio = strengths.failure(200.0).unwrap() / strengths.failure(100.0).unwrap();
    near(ratio, 1024.0, 0.01);
}

/// `(i − 0.5)/N`: the ranks of 30 specimens run from 1/60 to 59/60 and lie even.
#[test]
fn ranks() {
    near(rank(1, 30).unwrap(), 1.0 / 60.0, 1e-15);
    near(rank(30, 30).unwrap(), 59.0 / 60.0, 1e-15);
    assert!(rank(0, 30).is_err() && rank(31, 30).is_err());
}

proptest! {
    /// Against statrs, an independent implementation.
    #[test]
    fn agrees_with_statrs(scale in 20.0..2000.0, modulus in 2.0..30.0, share in 1e-6..0.999_f64) {
        let own = Weibull::new(scale, modulus).unwrap();
        let other = Reference::new(modulus, scale).unwrap();
        prop_assert!((own.mean() / other.mean().unwrap() - 1.0).abs() < 1e-10);
        prop_assert!((own.mean() / (scale * gamma(1.0 + 1.0 / modulus)) - 1.0).abs() < 1e-10);
        let stress = own.quantile(share).unwrap();
        prop_assert!((stress / other.inverse_cdf(share) - 1.0).abs() < 1e-6);
        prop_assert!((own.failure(stress).unwrap() / share - 1.0).abs() < 1e-9);
        prop_assert!((other.cdf(stress) / share - 1.0).abs() < 1e-6);
    }

    #[test]
    fn a_mean_comes_back(mean in 20.0..2000.0, modulus in 2.0..30.0) {
        let own = Weibull::with_mean(mean, modulus).unwrap();
        prop_assert!((own.mean() / mean - 1.0).abs() < 1e-12);
    }

    /// n pieces in a row hold only if each holds: the chance for n times the volume is 1 − (1 − p)^n.
    #[test]
    fn more_volume_is_more_pieces(modulus in 2.0..30.0, pieces in 1_u8..50, stress in 100.0..1500.0) {
        let one = Weibull::new(850.0, modulus).unwrap();
        let many = one.scaled(f64::from(pieces)).unwrap();
        let survives = (1.0 - one.failure(stress).unwrap()).powi(i32::from(pieces));
        prop_assert!((1.0 - many.failure(stress).unwrap() - survives).abs() < 1e-9);
    }
}
