//! The arch, frames and the common path of insertion.

use super::random::{Random, case};
use super::{near, plain};
use casepan::mechanics::frame::{Abutment, ArchCurve, Frame, middles};
use casepan::mechanics::path::{along_path, common_path};
use casepan::mechanics::prep::PrepSide;
use proptest::prelude::*;

fn prep(frame: Frame, taper: f64) -> Abutment {
    Abutment {
        frame,
        preparation: plain(6.0, 7.0, 4.0, taper),
    }
}

/// A path straight down between two abutments that lean 5° apart each: the inner walls of 6° have 1° left.
#[test]
fn two_leaning_abutments() {
    let one = prep(Frame::IDENTITY.tilted(5.0, 0.0), 6.0);
    let other = prep(
        Frame {
            origin: [15.0, 0.0, 0.0],
            ..Frame::IDENTITY
        }
        .tilted(-5.0, 0.0),
        6.0,
    );
    let path = common_path(&[one, other]).unwrap();
    near(path.direction[2], 1.0, 1e-12);
    near(path.least, 1.0, 1e-9);
    near(path.abutments[0][0].taper, 1.0, 1e-9);
    near(path.abutments[0][2].taper, 11.0, 1e-9);
    near(path.abutments[1][2].taper, 1.0, 1e-9);
    assert_eq!(path.abutments[0][0].undercut, 0.0);
}

/// Leaning 9° apart each, 6° walls are undercut by 3°: 4 mm · tan 3° = 0.2096 mm.
#[test]
fn undercut() {
    let one = prep(Frame::IDENTITY.tilted(9.0, 0.0), 6.0);
    let other = prep(Frame::IDENTITY.tilted(-9.0, 0.0), 6.0);
    let path = common_path(&[one, other]).unwrap();
    near(path.least, -3.0, 1e-9);
    near(
        path.abutments[0][0].undercut,
        4.0 * 3_f64.to_radians().tan(),
        1e-9,
    );
    near(path.abutments[0][0].undercut, 0.2096, 1e-3);
}

/// Tilted straight towards a corner, the corner binds before the two walls beside it do: parallel walls of 4 mm, the path 4°
/// off along the diagonal. On a cylinder the corner faces the tilt outright, 4 mm · tan 4° = 0.280 mm, and the walls beside
/// it at 45° only 4 mm · tan(asin(sin 4° · cos 45°)) = 0.197 mm.
#[test]
fn corners_bind() {
    let mut round = prep(Frame::IDENTITY, 0.0);
    round.preparation.exponent = 2.0;
    round.preparation.faciolingual = round.preparation.mesiodistal;
    let (sin, cos) = 4_f64.to_radians().sin_cos();
    let diagonal = std::f64::consts::FRAC_1_SQRT_2;
    let path = along_path(&[round], [-sin * diagonal, -sin * diagonal, cos]);
    near(path.least, -4.0, 1e-9);
    for wall in &path.abutments[0][..2] {
        near(wall.undercut, 4.0 * 4_f64.to_radians().tan(), 1e-9);
        near(wall.taper, -(sin * diagonal).asin().to_degrees(), 1e-9);
    }
}

/// One prep with walls of 2° and 10° on opposite sides is best approached so that both have 6°; alone along its own axis
/// it has the tapers as read.
#[test]
fn one_uneven_prep() {
    let mut prep = prep(Frame::IDENTITY, 8.0);
    prep.preparation.walls[0].taper = 2.0;
    prep.preparation.walls[2].taper = 10.0;
    let path = common_path(std::slice::from_ref(&prep)).unwrap();
    near(path.least, 6.0, 1e-9);
    near(path.abutments[0][0].taper, 6.0, 1e-9);
    let own = along_path(&[prep], [0.0, 0.0, 2.0]);
    for (wall, taper) in own.abutments[0].iter().zip([2.0, 8.0, 10.0, 8.0]) {
        near(wall.taper, taper, 1e-9);
    }
    assert!(common_path(&[]).is_none());
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    /// No other direction within reach leaves more.
    #[test]
    fn no_path_leaves_more(seed in any::<u64>(), abutments in 1..5_u64) {
        let mut random = Random(seed);
        let case = case(&mut random, abutments);
        let path = common_path(&case.abutments).unwrap();
        let least = path.least;
        near(path.direction.iter().map(|x| x * x).sum::<f64>(), 1.0, 1e-12);
        let walls: Vec<[f64; 3]> = case
            .abutments
            .iter()
            .flat_map(|abutment| {
                let middles = PrepSide::ALL.map(|side| abutment.preparation.wall_normal(side));
                let corners = abutment.preparation.facings().into_iter().map(|facing| facing.normal);
                corners.chain(middles).map(|normal| abutment.frame.direction(normal)).collect::<Vec<_>>()
            })
            .collect();
        let dot = |one: [f64; 3], other: [f64; 3]| one.iter().zip(other).map(|(a, b)| a * b).sum::<f64>();
        let mut mean = [0.0; 3];
        for abutment in &case.abutments {
            for (sum, x) in mean.iter_mut().zip(abutment.frame.axes[2]) {
                *sum += x;
            }
        }
        // Free paths by the angle, others by the undercut over the height.
        let worth = |path: [f64; 3]| {
            let size = if least >= 0.0 { dot(path, path).sqrt() } else { dot(mean, path) };
            walls.iter().map(|wall| dot(*wall, path)).fold(f64::MAX, f64::min) / size
        };
        for spread in [1.5, 0.2, 0.01] {
            for _ in 0..100 {
                let other = path.direction.map(|x| x + random.within(-spread, spread));
                if case.abutments.iter().all(|abutment| dot(abutment.frame.axes[2], other) > 0.0) {
                    prop_assert!(worth(other) <= worth(path.direction) + 1e-9);
                }
            }
        }
    }

    /// The arch is as long as a polygon along it, and each frame is square, outwards and to the midline.
    #[test]
    fn frames_along_the_arch(along in 0.5..60.0_f64, mesially in -30.0..30.0_f64, facially in -30.0..30.0_f64) {
        for (curve, side) in [(ArchCurve::UPPER, 1.0), (ArchCurve::LOWER, -1.0)] {
            let frame = curve.frame(side * along).unwrap();
            let x = frame.origin[0].abs();
            let k = curve.depth / curve.half_width.powi(2);
            let steps = 20_000;
            let polygon: f64 = (0..steps).map(|step| {
                let at = |step: i32| x * f64::from(step) / f64::from(steps);
                let (one, two) = (at(step), at(step + 1));
                (two - one).hypot(k * (two * two - one * one))
            }).sum();
            near(polygon, along, 1e-6);
            near(frame.origin[1], -k * x * x, 1e-12);
            prop_assert!(frame.axes[0][0] * side < 0.0 && frame.axes[1][1] > 0.0);
            let leaning = frame.tilted(mesially, facially);
            for (i, one) in leaning.axes.iter().enumerate() {
                for (j, other) in leaning.axes.iter().enumerate() {
                    let dot: f64 = one.iter().zip(other).map(|(a, b)| a * b).sum();
                    prop_assert!((dot - f64::from(u8::from(i == j))).abs() < 1e-12);
                }
            }
            // The lean as seen from the side and from the front.
            let seen = |axis: [f64; 3]| leaning.axes[2].iter().zip(axis).map(|(a, b)| a * b).sum::<f64>();
            prop_assert!((seen(frame.axes[0]) / seen(frame.axes[2]) - mesially.to_radians().tan()).abs() < 1e-9);
            prop_assert!((seen(frame.axes[1]) / seen(frame.axes[2]) - facially.to_radians().tan()).abs() < 1e-9);
        }
    }
}

/// First molars stand 48 and 44 mm apart for the usual widths (Wheeler's table, from memory): see the curves.
#[test]
fn usual_arches() {
    for (curve, widths, apart) in [
        (ArchCurve::UPPER, [8.5, 6.5, 7.5, 7.0, 7.0, 10.0], 48.0),
        (ArchCurve::LOWER, [5.0, 5.5, 7.0, 7.0, 7.0, 11.0], 44.0),
    ] {
        let middles = middles(&widths);
        let right = curve.frame(middles[5]).unwrap();
        let left = curve.frame(-middles[5]).unwrap();
        near(right.origin[0] - left.origin[0], apart, 0.02);
        assert_eq!(right.origin[1], left.origin[1]);
    }
    assert!(ArchCurve::UPPER.frame(0.0).is_none());
    assert!(ArchCurve::UPPER.frame(f64::NAN).is_none());
}
