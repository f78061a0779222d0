//! Surfaces and volumes against closed forms.

use super::random::{Random, preparation};
use super::{cone, near, plain};
use casepan::mechanics::prep::{
    BASE_EXPONENT, Groove, Mesh, Part, PrepError, Preparation, Side, Uneven, Wall, cut_volume,
    stump_volume,
};
use std::f64::consts::PI;

/// Cones of 9 mm, areas of wall and top from `π(R + r)H / cos T` and `πr²`, worked by hand.
#[test]
fn areas_of_cones() {
    for (height, taper, axial, top) in [
        (3.0, 3.0, 83.5, 59.2),
        (3.0, 6.0, 82.3, 55.0),
        (3.0, 10.0, 81.1, 49.5),
        (3.0, 20.0, 79.3, 36.5),
        (4.0, 3.0, 110.6, 57.8),
        (4.0, 6.0, 108.4, 52.3),
        (4.0, 10.0, 105.8, 45.2),
        (4.0, 20.0, 100.9, 29.1),
    ] {
        let surface = cone(9.0, height, taper).surface(Mesh::USUAL).unwrap();
        assert!((surface.area(Part::Axial) - axial).abs() < 0.051);
        assert!((surface.area(Part::Top) - top).abs() < 0.051);
    }
}

/// Square pyramids of 9 mm, the molar model of Bowley and Kieser 2007, Journal of Prosthetic Dentistry 98:436-444; areas
/// from `2(a + t)H / cos T` and `t²` by hand. A base of a high exponent is nearly square; its rounded corners bear only
/// small tapers.
#[test]
fn areas_of_square_pyramids() {
    for (height, taper, axial, top) in [(3.0, 3.0, 106.3, 75.4), (4.0, 3.0, 140.8, 73.6)] {
        let square = Preparation {
            exponent: 25.0,
            ..plain(9.0, 9.0, height, taper)
        };
        let surface = square.surface(Mesh::FINE).unwrap();
        near(surface.area(Part::Axial), axial, 0.03);
        near(surface.area(Part::Top), top, 0.03);
    }
}

/// Offset curves after Steiner: length `L - 2πo`, area `F - Lo + πo²`, for any convex base of length L and area F. These
/// two come from a polygon of 200,000 corners.
#[test]
fn areas_of_rounded_boxes() {
    for (a, b, exponent) in [(8.0, 8.0, 2.5), (5.0, 9.0, 2.5), (6.0, 7.0, 3.0)] {
        let (length, base) = polygon(a / 2.0, b / 2.0, exponent);
        for taper in [0.0, 4.0, 10.0_f64] {
            let height = 3.5;
            let offset = height * taper.to_radians().tan();
            let axial = (length - PI * offset) * height / taper.to_radians().cos();
            let top = base - length * offset + PI * offset * offset;
            let stump = Preparation {
                exponent,
                ..plain(a, b, height, taper)
            };
            for (mesh, within) in [(Mesh::USUAL, 0.01), (Mesh::FINE, 1e-3)] {
                let surface = stump.surface(mesh).unwrap();
                near(surface.area(Part::Axial), axial, within);
                near(surface.area(Part::Top), top, within);
            }
            // The volume is the integral of the offset area up the wall.
            let slope = taper.to_radians().tan();
            let volume = base * height - length * slope * height.powi(2) / 2.0
                + PI * slope * slope * height.powi(3) / 3.0;
            near(stump_volume(&stump, 0.0).unwrap(), volume, 1e-3);
        }
    }
}

fn polygon(a: f64, b: f64, exponent: f64) -> (f64, f64) {
    let corners = 200_000;
    let at = |corner: u32| {
        let (sin, cos) = (f64::from(corner) * 2.0 * PI / f64::from(corners)).sin_cos();
        let r =
            ((cos / a).abs().powf(exponent) + (sin / b).abs().powf(exponent)).powf(-1.0 / exponent);
        (r * cos, r * sin)
    };
    let (mut length, mut area) = (0.0, 0.0);
    for corner in 0..corners {
        let ((x, y), (u, v)) = (at(corner), at(corner + 1));
        length += (x - u).hypot(y - v);
        area += (x * v - y * u) / 2.0;
    }
    (length, area)
}

/// The normals of wall and top by area add up to the base looking upwards, whatever stands on it (divergence theorem):
/// for uneven tapers and heights on a level margin. Each normal and its tangents are square and of length one.
#[test]
fn normals_close() {
    let mut random = Random(3);
    // The curvature of the usual base is not smooth in the middle of a wall, so sums over its nodes close less well.
    for (exponent, within) in [2.0, BASE_EXPONENT]
        .repeat(10)
        .into_iter()
        .zip([1e-3, 4e-3].repeat(10))
    {
        let mut stump = preparation(&mut random).uneven(Uneven::TopSlopes);
        stump.exponent = exponent;
        stump.grooves.clear();
        let (_, base) = polygon(
            stump.mesiodistal / 2.0,
            stump.faciolingual / 2.0,
            stump.exponent,
        );
        let Ok(surface) = stump.surface(Mesh::FINE) else {
            continue;
        };
        let mut sum = [0.0; 3];
        for node in &surface.nodes {
            for (total, n) in sum.iter_mut().zip(node.normal) {
                *total += node.area * n;
            }
            let frame = [node.normal, node.tangents[0], node.tangents[1]];
            for (i, one) in frame.iter().enumerate() {
                for (j, other) in frame.iter().enumerate() {
                    let dot: f64 = one.iter().zip(other).map(|(a, b)| a * b).sum();
                    assert!((dot - f64::from(u8::from(i == j))).abs() < 1e-12);
                }
            }
        }
        assert!(
            sum[0].abs() < within * base && sum[1].abs() < within * base,
            "{sum:?}"
        );
        near(sum[2], base, within);
    }
}

/// Between two walls nothing goes beyond either; the top edge of three walls of 2 mm and one of 3 mm keeps within.
#[test]
fn no_overshoot() {
    let mut stump = plain(6.0, 6.0, 2.0, 6.0);
    stump.walls[3].height = 3.0;
    let surface = stump.surface(Mesh::FINE).unwrap();
    let heights: Vec<f64> = surface
        .nodes
        .iter()
        .filter(|node| node.part == Part::Axial)
        .map(|node| node.position[2])
        .collect();
    assert!(heights.iter().all(|z| (0.0..=3.0 + 1e-12).contains(z)));
    let rim = heights.chunks(17).map(|column| column[16]);
    assert!(rim.clone().all(|z| z >= 2.0 - 1e-12));
    assert!(rim.fold(0.0, f64::max) > 3.0 - 1e-12);
}

/// A hollow wall counts with its straight height, for holding; its tooth is there all the same.
#[test]
fn hollow_walls() {
    let full = plain(8.0, 8.0, 4.0, 6.0);
    let mut hollow = full.clone();
    for wall in &mut hollow.walls {
        wall.straight = Some(1.5);
    }
    assert_eq!(
        hollow.surface(Mesh::USUAL).unwrap(),
        plain(8.0, 8.0, 1.5, 6.0).surface(Mesh::USUAL).unwrap()
    );
    assert_eq!(stump_volume(&full, 0.0), stump_volume(&hollow, 0.0));
}

/// A cylinder of 6 mm whose margin of 1 mm depth goes 1.5 mm deeper loses a ring: π((3+1)² - 3²)·1.5; two grooves more
/// take twice width × depth × length.
#[test]
fn cut_by_a_deeper_margin_and_grooves() {
    let mut before = cone(6.0, 3.0, 0.0);
    for wall in &mut before.walls {
        wall.depth = 1.0;
    }
    let mut after = before.clone();
    for wall in &mut after.walls {
        wall.height = 4.5;
        wall.margin = -1.5;
    }
    let ring = PI * 7.0 * 1.5;
    near(cut_volume(&before, &after).unwrap(), ring, 1e-9);
    near(cut_volume(&after, &before).unwrap(), -ring, 1e-9);
    after.grooves = vec![Groove::usual(Side::Mesial), Groove::usual(Side::Distal)];
    near(
        cut_volume(&before, &after).unwrap(),
        ring + 2.0 * 1.0 * 0.8 * 4.0,
        1e-9,
    );
}

/// A groove adds two walls of depth × length, square to the wall and facing each other.
#[test]
fn grooves() {
    let mut stump = plain(8.0, 8.0, 4.0, 10.0);
    stump.grooves = vec![Groove::usual(Side::Facial)];
    let surface = stump.surface(Mesh::USUAL).unwrap();
    near(surface.area(Part::Groove), 2.0 * 0.8 * 3.5, 1e-12);
    for node in surface
        .nodes
        .iter()
        .filter(|node| node.part == Part::Groove)
    {
        assert!((node.position[0].abs() - 0.5).abs() < 1e-12 && node.position[1] > 0.0);
        // Into the groove.
        assert!((node.normal[0] + node.position[0].signum()).abs() < 1e-12);
    }
}

/// Margin levels from heights: a sloping top over a level margin, or a level top over a stepped one.
#[test]
fn uneven_walls() {
    let mut stump = plain(8.0, 8.0, 4.0, 0.0);
    stump.walls[0].height = 2.5;
    for (uneven, margin, top) in [
        (Uneven::TopSlopes, 0.0, 2.5),
        (Uneven::MarginSteps, 1.5, 4.0),
    ] {
        let stump = stump.clone().uneven(uneven);
        let nodes = stump.surface(Mesh::USUAL).unwrap().nodes;
        assert_eq!(nodes[0].position[2], margin);
        assert_eq!(nodes[2].position[2], top);
    }
}

#[test]
fn unsound_preparations_are_refused() {
    let sound = plain(4.0, 4.5, 3.0, 6.0);
    assert!(sound.surface(Mesh::USUAL).is_ok());
    let refused = |change: fn(&mut Preparation)| {
        let mut stump = sound.clone();
        change(&mut stump);
        stump.surface(Mesh::USUAL).unwrap_err()
    };
    // A circle of 2 mm radius under a recession of 3 tan 35° = 2.1 mm.
    let mut folded = cone(4.0, 3.0, 35.0);
    assert!(matches!(
        folded.surface(Mesh::USUAL),
        Err(PrepError::Folds { recession, radius })
            if (recession - 2.1006).abs() < 1e-3 && (radius - 2.0).abs() < 1e-9
    ));
    folded.walls = [Wall::straight(3.0, 33.0); 4];
    assert!(folded.surface(Mesh::USUAL).is_ok());
    assert!(matches!(
        refused(|stump| stump.walls[1].height = 0.0),
        PrepError::NotPositive(_, _)
    ));
    assert!(matches!(
        refused(|stump| stump.mesiodistal = f64::NAN),
        PrepError::NotPositive(_, _)
    ));
    assert_eq!(
        refused(|stump| stump.exponent = 1.9),
        PrepError::Exponent(1.9)
    );
    assert_eq!(
        refused(|stump| stump.walls[2].taper = 61.0),
        PrepError::Taper(61.0)
    );
    assert!(matches!(
        refused(|stump| stump.walls[0].margin = f64::INFINITY),
        PrepError::Margin(_)
    ));
    assert_eq!(
        refused(|stump| {
            stump.walls[0].height = 0.5;
            stump.grooves = vec![Groove::usual(Side::Mesial)];
        }),
        PrepError::NoRoomForGroove(Side::Mesial)
    );
}
