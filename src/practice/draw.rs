//! Preps as surveys found them.
//!
//! *Sources*: total taper by class of tooth, mean and standard deviation, of 125 dies: Br Dent J 2018 (sj.bdj.2018.270).
//! Means of height and of margin width over classes: Tiu et al., J Prosthet Dent 2015;114:67-74 (tallest upper canines 5.25 mm,
//! shortest lower molars 1.87 mm; margins 0.40 to 0.83 mm). Its other means of height lie between and are not at hand; those
//! used here, and every standard deviation of a height, margin or clearance, are ours.

use fastrand::Rng;

use crate::tooth::{Arch, Tooth, ToothClass, size};

/// Mean and standard deviation.
pub(super) type Normal = (f64, f64);

/// Margin widths in mm, within the published means; the standard deviation is ours.
pub(super) const MARGIN: Normal = (0.6, 0.25);

/// How far heights of the four walls of a prep differ, in mm. Ours.
const UNEVEN: f64 = 0.6;
/// How far the taper of a wall lies off half of the total taper, in degrees. Ours.
const UNEQUAL: f64 = 5.0;

/// Total taper in degrees.
pub(super) fn taper(class: ToothClass) -> Normal {
    match class {
        ToothClass::Molar => (31.6, 12.56),
        ToothClass::Premolar => (20.7, 7.81),
        ToothClass::Canine => (19.4, 6.37),
        ToothClass::Incisor => (17.0, 9.62),
    }
}

/// Height in mm.
pub(super) fn height(tooth: Tooth) -> Normal {
    let mean = match (tooth.class(), tooth.arch()) {
        (ToothClass::Canine, Arch::Upper) => 5.25,
        (ToothClass::Molar, Arch::Lower) => 1.87,
        (ToothClass::Molar, Arch::Upper) => 3.2,
        (ToothClass::Premolar, _) => 3.8,
        (ToothClass::Canine | ToothClass::Incisor, _) => 4.6,
    };
    (mean, 1.0)
}

/// A draw within bounds; what lies beyond is drawn again.
pub(super) fn within(rng: &mut Rng, (mean, sd): Normal, least: f64, most: f64) -> f64 {
    for _ in 0..100 {
        let drawn = mean + sd * normal(rng);
        if (least..=most).contains(&drawn) {
            return drawn;
        }
    }
    mean.clamp(least, most)
}

/// A draw from the standard normal distribution, after Box and Muller 1958.
fn normal(rng: &mut Rng) -> f64 {
    (-2.0 * (1.0 - rng.f64()).ln()).sqrt() * (std::f64::consts::TAU * rng.f64()).cos()
}

/// Rounded to a tenth.
pub(super) fn tenth(number: f64) -> f64 {
    (number * 10.0).round() / 10.0
}

/// A prep as it would be read: lengths in mm, angles in degrees. Walls are mesial, distal, facial, lingual.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Prep {
    /// Heights of the walls.
    pub(super) heights: [f64; 4],
    /// Tapers of the walls.
    pub(super) tapers: [f64; 4],
    /// Widths at the margin, mesiodistal and faciolingual.
    pub(super) margins: [f64; 2],
}

impl Prep {
    /// Draws a prep whose opposite walls are alike.
    pub(super) fn even(rng: &mut Rng, tooth: Tooth, margin: f64) -> Prep {
        let high = tenth(within(rng, height(tooth), 1.2, 8.0));
        let [md, fl] = [(); 2].map(|()| within(rng, taper(tooth.class()), 4.0, 70.0) / 2.0);
        Prep {
            heights: [high; 4],
            tapers: [md, md, fl, fl],
            margins: margins(tooth, margin),
        }
    }

    /// Draws a prep wall by wall: total tapers as published, of which the two walls have unequal parts.
    pub(super) fn uneven(rng: &mut Rng, tooth: Tooth, margin: f64) -> Prep {
        let high = within(rng, height(tooth), 2.5, 8.0);
        let mut pair = || {
            let half = within(rng, taper(tooth.class()), 4.0, 70.0) / 2.0;
            let part = within(rng, (0.0, UNEQUAL), 1.0 - half, half - 1.0);
            [(half + part).round(), (half - part).round()]
        };
        let ([mesial, distal], [facial, lingual]) = (pair(), pair());
        Prep {
            heights: [(); 4].map(|()| tenth(within(rng, (high, UNEVEN), 1.2, 8.0))),
            tapers: [mesial, distal, facial, lingual],
            margins: margins(tooth, margin),
        }
    }

    /// The mean height.
    pub(super) fn height(&self) -> f64 {
        tenth(self.heights.iter().sum::<f64>() / 4.0)
    }

    /// Widths at the top, or `None` where the walls would meet below it.
    pub(super) fn tops(&self) -> Option<[f64; 2]> {
        let height = self.height();
        let narrower = |first: usize| {
            let walls = self.tapers[first..first + 2].iter();
            height * walls.map(|own| own.to_radians().tan()).sum::<f64>()
        };
        let tops = [0, 1].map(|nth| tenth(self.margins[nth] - narrower(2 * nth)));
        tops.iter().all(|top| *top >= 0.8).then_some(tops)
    }
}

/// Usual widths of the tooth at the neck, less the margin on both sides.
fn margins(tooth: Tooth, margin: f64) -> [f64; 2] {
    let size = size(tooth);
    [size.mesiodistal_cervix, size.faciolingual_cervix].map(|neck| tenth(neck - 2.0 * margin))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Drawn as they are drawn for drills, total tapers have the published mean and standard deviation: of 20,000, both within
    /// five standard errors, but for what the bounds cut off.
    #[test]
    fn total_tapers_are_as_published() {
        let mut rng = Rng::with_seed(1);
        for (tooth, mean, sd) in [(45, 20.7, 7.81), (33, 19.4, 6.37)] {
            let tooth = Tooth::from_iso(tooth).unwrap();
            let n = 20_000.0;
            for wall_by_wall in [false, true] {
                let drawn: Vec<f64> = (0..20_000)
                    .map(|_| match wall_by_wall {
                        false => 2.0 * Prep::even(&mut rng, tooth, 0.8).tapers[0],
                        true => Prep::uneven(&mut rng, tooth, 0.8).tapers[..2].iter().sum(),
                    })
                    .collect();
                let found = drawn.iter().sum::<f64>() / n;
                let squares: f64 = drawn.iter().map(|own| (own - found).powi(2)).sum();
                let spread = (squares / (n - 1.0)).sqrt();
                assert!((found - mean).abs() < 0.6, "{tooth}: {found}");
                assert!((spread - sd).abs() < 0.6, "{tooth}: {spread}");
            }
        }
    }

    /// Worked by hand: 4 mm high, 10° on each wall, 8 mm wide: 8 - 2 · 4 · tan 10° = 6.589.
    #[test]
    fn tops_follow_from_taper_and_height() {
        let prep = Prep {
            heights: [4.0; 4],
            tapers: [10.0, 10.0, 20.0, 40.0],
            margins: [8.0, 8.0],
        };
        // 8 - 4 · (tan 20° + tan 40°) = 3.188.
        assert_eq!(prep.tops(), Some([6.6, 3.2]));
        let cone = Prep {
            tapers: [45.0; 4],
            ..prep
        };
        assert_eq!(cone.tops(), None);
    }
}
