//! Resistance form of a preparation in one section through the path of insertion.
//!
//! A crown pushed sideways turns about the margin of one wall, and only the part of the opposite wall that stands in
//! the way of that turn resists. Drop a perpendicular from the centre of rotation onto the resisting wall: above its
//! foot the wall resists (Lewis 1959; for level margins the foot lies on the circle over the base, Zuckerman 1988).
//! The centre of rotation is the origin, the base lies to the right, the path of insertion points up, so the wall
//! starts at `(base, step)` and leans inward by its taper.
//!
//! Two rules are in use and must not be mixed.
//!
//! - **Half-wall rule**: the occlusal half of the wall resists, `T <= asin(H/B) / 2`. The published guideline tapers fit
//!   this one (Parker et al. 1993, Journal of Prosthodontics 2:61-66; 17.4° total for 3 mm on a base of 10 mm in
//!   Goodacre et al. 2001, Journal of Prosthetic Dentistry 85:363-376).
//! - **Strict rule**: any part of the wall resists, `T < asin(2H/B) / 2`.

use std::fmt;

/// The tapers a wall may have, in degrees: beyond them a reading is a slip and the section no preparation.
const TAPER_BOUNDS: std::ops::RangeInclusive<f64> = -45.0..=60.0;

/// A section through the path of insertion.
///
/// The restoration turns about the margin of one wall, and the opposite wall resists.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Section {
    /// Distance between the two margins across the path of insertion, in mm.
    pub base: f64,
    /// How much more occlusally the margin of the resisting wall lies than the margin turned about, in mm. Negative
    /// when it lies more cervically.
    pub step: f64,
    /// Height of the resisting wall along the path of insertion, in mm: only the straight part of a hollow wall.
    pub height: f64,
    /// Inward lean of the resisting wall against the path of insertion, in degrees. Negative is undercut.
    pub taper: f64,
}

/// How much of a wall resists.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Resistance {
    /// Where resistance starts, in mm along the wall above its margin. Negative when it starts below the margin, more
    /// than `slant` when no part of the wall resists.
    pub transition: f64,
    /// Length of the wall along its slope, in mm.
    pub slant: f64,
    /// The part of the wall that resists, 0 to 1.
    pub fraction: f64,
    /// Whether the occlusal half of the wall resists: the published pass rule.
    pub half_wall: bool,
    /// Whether any part of the wall resists: the strict rule.
    pub any: bool,
}

/// A section that cannot be reckoned with.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum SectionError {
    /// The base is not a positive length; its value in mm.
    Base(f64),
    /// The height is not a positive length; its value in mm.
    Height(f64),
    /// The step between the margins is not a number; its value in mm.
    Step(f64),
    /// The taper is not within -45° and 60°; its value in degrees.
    Taper(f64),
}

impl fmt::Display for SectionError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            SectionError::Base(value) => {
                write!(f, "The base must be a length above 0 mm, not {value}.")
            }
            SectionError::Height(value) => {
                write!(
                    f,
                    "The wall height must be a length above 0 mm, not {value}."
                )
            }
            SectionError::Step(value) => {
                write!(
                    f,
                    "The step between the margins must be a length in mm, not {value}."
                )
            }
            SectionError::Taper(value) => write!(
                f,
                "The taper of a wall must be {}° to {}°, not {value}.",
                TAPER_BOUNDS.start(),
                TAPER_BOUNDS.end()
            ),
        }
    }
}

impl std::error::Error for SectionError {}

/// Returns how much of the resisting wall stands in the way when the restoration turns.
///
/// The transition lies at `s_t = B sin T - d cos T` along the wall. A wall so steeply tapered that it meets its opposite
/// before its height is reached is reckoned as if it went on: whether such a preparation can exist is not asked here.
///
/// # Errors
///
/// Refuses a base or height that is not positive or not finite, a step that is not finite, and a taper outside -45° to
/// 60°.
pub fn resistance(section: Section) -> Result<Resistance, SectionError> {
    let Section {
        base,
        step,
        height,
        taper,
    } = section;
    if !is_length(base) {
        return Err(SectionError::Base(base));
    }
    if !is_length(height) {
        return Err(SectionError::Height(height));
    }
    if !step.is_finite() {
        return Err(SectionError::Step(step));
    }
    if !TAPER_BOUNDS.contains(&taper) {
        return Err(SectionError::Taper(taper));
    }
    let (sin, cos) = taper.to_radians().sin_cos();
    let slant = height / cos;
    let transition = base * sin - step * cos;
    Ok(Resistance {
        transition,
        slant,
        fraction: (1.0 - transition / slant).clamp(0.0, 1.0),
        half_wall: transition <= slant / 2.0,
        any: transition < slant,
    })
}

fn is_length(value: f64) -> bool {
    value.is_finite() && value > 0.0
}

/// Returns the largest taper of a wall, in degrees, at which its occlusal half resists on level margins.
///
/// `asin(H/B) / 2` of the ratio of height to base, but never more than the taper at which two equal walls meet in an
/// apex, `atan(B / 2H)`: that one governs above a ratio of √3/2. Zero when the ratio is not a positive number, for
/// without height no taper gives resistance.
///
/// Source: the half-wall rule, see the [module](self).
pub fn limiting_taper_half_wall(height_over_base: f64) -> f64 {
    let ratio = height_over_base;
    if ratio.is_nan() || ratio <= 0.0 {
        return 0.0;
    }
    let rule = ratio.min(1.0).asin() / 2.0;
    let apex = (0.5 / ratio).atan();
    rule.min(apex).to_degrees()
}

/// Returns the taper of a wall, in degrees, from which on no part of it resists on level margins.
///
/// `asin(2H/B) / 2` of the ratio of height to base. None above a ratio of 0.5, where every taper two equal walls can be
/// cut to leaves some resistance. Zero when the ratio is not a positive number.
///
/// Source: the strict rule, see the [module](self).
pub fn limiting_taper_strict(height_over_base: f64) -> Option<f64> {
    let ratio = height_over_base;
    if ratio.is_nan() || ratio <= 0.0 {
        return Some(0.0);
    }
    (ratio <= 0.5).then(|| ((2.0 * ratio).asin() / 2.0).to_degrees())
}

/// Returns the total occlusal convergence of two opposite walls, in degrees: `2 atan((base - top) / 2H)`.
///
/// All lengths in mm. Negative when the top is wider than the base. Both walls are taken to lean alike; with unlike walls
/// the sum of their tapers differs a little.
pub fn total_taper(base: f64, top: f64, height: f64) -> f64 {
    2.0 * ((base - top) / 2.0).atan2(height).to_degrees()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn level(base: f64, height: f64, taper: f64) -> Resistance {
        resistance(Section {
            base,
            step: 0.0,
            height,
            taper,
        })
        .unwrap()
    }

    /// Right triangle: with a taper of 30° the foot of the perpendicular lies at half the base along the wall.
    #[test]
    fn thirty_degrees() {
        let found = level(8.0, 4.0, 30.0);
        assert!((found.transition - 4.0).abs() < 1e-12);
        assert!((found.slant - 8.0 / 3_f64.sqrt()).abs() < 1e-12);
        assert!((found.fraction - (1.0 - 3_f64.sqrt() / 2.0)).abs() < 1e-12);
        assert!(found.any && !found.half_wall);
    }

    /// A wall parallel to the path resists from the height of the other margin on, whatever the base.
    #[test]
    fn parallel_walls_over_uneven_margins() {
        for (step, fraction) in [
            (0.0, 1.0),
            (2.0, 1.0),
            (-1.0, 0.75),
            (-3.0, 0.25),
            (-5.0, 0.0),
        ] {
            let found = resistance(Section {
                base: 9.0,
                step,
                height: 4.0,
                taper: 0.0,
            })
            .unwrap();
            assert!((found.transition + step).abs() < 1e-12);
            assert!((found.fraction - fraction).abs() < 1e-12, "{step}");
            assert_eq!(found.any, fraction > 0.0);
            assert_eq!(found.half_wall, fraction >= 0.5);
        }
    }

    #[test]
    fn an_undercut_wall_resists_in_full() {
        let found = level(10.0, 3.0, -5.0);
        assert!(found.transition < 0.0);
        assert_eq!(found.fraction, 1.0);
        assert!(found.half_wall && found.any);
    }

    /// tan 45° = 1: a base of 6, a top of 2 and a height of 2 mm make 90°.
    #[test]
    fn convergence() {
        assert!((total_taper(6.0, 2.0, 2.0) - 90.0).abs() < 1e-12);
        assert!((total_taper(2.0, 6.0, 2.0) + 90.0).abs() < 1e-12);
        assert_eq!(total_taper(5.0, 5.0, 3.0), 0.0);
    }

    #[test]
    fn limits_where_the_rules_end() {
        assert_eq!(limiting_taper_strict(0.500_001), None);
        assert!((limiting_taper_strict(0.5).unwrap() - 45.0).abs() < 1e-6);
        // At √3/2 rule and apex are both 30°; beyond, the apex governs: atan(1/2) at 1.
        assert!((limiting_taper_half_wall(3_f64.sqrt() / 2.0) - 30.0).abs() < 1e-9);
        assert!((limiting_taper_half_wall(1.0) - 0.5_f64.atan().to_degrees()).abs() < 1e-12);
        assert!((limiting_taper_half_wall(2.0) - 0.25_f64.atan().to_degrees()).abs() < 1e-12);
        for ratio in [0.0, -1.0, f64::NAN] {
            assert_eq!(limiting_taper_half_wall(ratio), 0.0);
            assert_eq!(limiting_taper_strict(ratio), Some(0.0));
        }
    }
}
