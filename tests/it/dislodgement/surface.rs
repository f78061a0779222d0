//! Surfaces and volumes against closed forms.

use super::random::{Random, preparation};
use super::{cone, near, plain};
use casepan::mechanics::prep::{
    BASE_EXPONENT, Groove, Mesh, Part, PrepError, PrepSide, Preparation, Uneven, Wall, cut_volume,
    prep_volume,
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

/// A base of 20,000 corners joined to its top by straight lines in 40 steps, facet by facet; the volume from the area
/// `F₁ a b` of a curve stretched to half-widths a and b, integrated up the wall by hand.
#[test]
fn areas_and_volumes_of_rounded_boxes() {
    for (a, b, exponent) in [(8.0, 8.0, 2.5), (5.0, 9.0, 2.5), (6.0, 7.0, 3.0)] {
        let unit_area = polygon(1.0, 1.0, exponent).1;
        for taper in [0.0, 4.0, 10.0_f64] {
            let height = 3.5;
            let r = height * taper.to_radians().tan();
            let [x, y] = [a / 2.0, b / 2.0];
            let axial = facets([x, y], [x - r, y - r], height, exponent);
            let top = unit_area * (x - r) * (y - r);
            let prep = Preparation {
                exponent,
                ..plain(a, b, height, taper)
            };
            for (mesh, within) in [(Mesh::USUAL, 0.01), (Mesh::FINE, 1e-3)] {
                let surface = prep.surface(mesh).unwrap();
                near(surface.area(Part::Axial), axial, within);
                near(surface.area(Part::Top), top, within);
            }
            let volume = unit_area * height * (x * y - (x + y) * r / 2.0 + r * r / 3.0);
            near(prep_volume(&prep, 0.0).unwrap(), volume, 1e-3);
        }
    }
}

/// A ledge is what the outer margin holds more than the base, and lies level outside it.
#[test]
fn the_ledge_is_a_ring() {
    for (a, b) in [(8.0, 8.0), (5.0, 9.0)] {
        let unit_area = polygon(1.0, 1.0, BASE_EXPONENT).1;
        let mut prep = plain(a, b, 3.5, 8.0);
        for wall in &mut prep.walls {
            wall.depth = 0.6;
        }
        let surface = prep.surface(Mesh::FINE).unwrap();
        let [x, y] = [a / 2.0, b / 2.0];
        let ring = unit_area * ((x + 0.6) * (y + 0.6) - x * y);
        near(surface.area(Part::Ledge), ring, 1e-3);
        for node in surface.nodes.iter().filter(|own| own.part == Part::Ledge) {
            assert!(node.position[2].abs() < 1e-12 && (node.normal[2] - 1.0).abs() < 1e-12);
        }
        let without = plain(a, b, 3.5, 8.0).surface(Mesh::FINE).unwrap();
        near(surface.area(Part::Axial), without.area(Part::Axial), 1e-12);
    }
}

/// Readings stand as they were read: in the middle of each wall height, taper and width are those of the reading, however
/// unlike the walls, on narrow bases too; and nothing folds, since the surface runs outwards everywhere.
#[test]
fn readings_stand_as_they_were_read() {
    let mut random = Random(41);
    let mut looked = 0;
    while looked < 300 {
        let walls = PrepSide::ALL
            .map(|_| Wall::straight(random.within(1.0, 8.0), random.within(-3.0, 30.0)));
        let prep = Preparation::new(random.within(3.0, 10.0), random.within(3.0, 10.0), walls);
        let Ok(surface) = prep.surface(Mesh::FINE) else {
            continue;
        };
        looked += 1;
        let axial: Vec<_> = surface
            .nodes
            .iter()
            .filter(|own| own.part == Part::Axial)
            .collect();
        for (index, side) in PrepSide::ALL.into_iter().enumerate() {
            // 96 round, 17 up; the four walls stand at the quarters.
            let column = &axial[index * 24 * 17..(index * 24 + 1) * 17];
            let wall = prep.wall(side);
            let (axis, sign) = [(0, 1.0), (1, 1.0), (0, -1.0), (1, -1.0)][index];
            let half = [prep.mesiodistal, prep.faciolingual][axis] / 2.0;
            let (foot, rim) = (column[0].position, column[16].position);
            near(sign * foot[axis], half, 1e-12);
            near(rim[2], wall.height, 1e-12);
            let recedes = wall.height * wall.taper.to_radians().tan();
            assert!((sign * (foot[axis] - rim[axis]) - recedes).abs() < 1e-9);
            for node in column {
                near(
                    node.normal[2].asin().to_degrees() + 90.0,
                    wall.taper + 90.0,
                    1e-9,
                );
            }
        }
        for node in surface.nodes.iter().filter(|own| own.part == Part::Top) {
            assert!(node.normal[2] > 0.0, "{prep:?}");
        }
        let mut rings = axial.chunks(17).map(|column| column[16].position);
        let first = rings.next().unwrap();
        let mut last = first;
        let middle = surface.nodes.iter().filter(|own| own.part == Part::Top);
        let (sum, count) = middle.fold(([0.0; 2], 0.0), |(sum, count), own| {
            (
                [sum[0] + own.position[0], sum[1] + own.position[1]],
                count + 1.0,
            )
        });
        let centre = sum.map(|own| own / count);
        for next in rings.chain([first]) {
            let turn = (last[0] - centre[0]) * (next[1] - centre[1])
                - (last[1] - centre[1]) * (next[0] - centre[0]);
            assert!(turn > 0.0, "{prep:?}");
            last = next;
        }
    }
}

/// The area of the wall between two stretched curves, facet by facet.
fn facets(base: [f64; 2], top: [f64; 2], height: f64, exponent: f64) -> f64 {
    let (corners, steps) = (20_000, 40);
    let at = |corner: u32, step: u32| {
        let (sin, cos) = (f64::from(corner) * 2.0 * PI / f64::from(corners)).sin_cos();
        let r = (cos.abs().powf(exponent) + sin.abs().powf(exponent)).powf(-1.0 / exponent);
        let up = f64::from(step) / f64::from(steps);
        let half = |axis: usize| base[axis] + up * (top[axis] - base[axis]);
        [half(0) * r * cos, half(1) * r * sin, up * height]
    };
    let minus = |one: [f64; 3], other: [f64; 3]| [0, 1, 2].map(|axis| one[axis] - other[axis]);
    let mut area = 0.0;
    for corner in 0..corners {
        for step in 0..steps {
            let [a, b, c] = minus(at(corner + 1, step + 1), at(corner, step));
            let [x, y, z] = minus(at(corner, step + 1), at(corner + 1, step));
            let across = [b * z - c * y, c * x - a * z, a * y - b * x];
            area += across.iter().map(|own| own * own).sum::<f64>().sqrt() / 2.0;
        }
    }
    area
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
    // The usual base is not smooth in the middle of a wall, so sums over its nodes close less well.
    for (exponent, within) in [2.0, BASE_EXPONENT]
        .repeat(10)
        .into_iter()
        .zip([1e-3, 4e-3].repeat(10))
    {
        let mut prep = preparation(&mut random).uneven(Uneven::TopSlopes);
        prep.exponent = exponent;
        prep.grooves.clear();
        let (_, base) = polygon(
            prep.mesiodistal / 2.0,
            prep.faciolingual / 2.0,
            prep.exponent,
        );
        let Ok(surface) = prep.surface(Mesh::FINE) else {
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
    let mut prep = plain(6.0, 6.0, 2.0, 6.0);
    prep.walls[3].height = 3.0;
    let surface = prep.surface(Mesh::FINE).unwrap();
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
    assert_eq!(prep_volume(&full, 0.0), prep_volume(&hollow, 0.0));
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
    after.grooves = vec![
        Groove::usual(PrepSide::Mesial),
        Groove::usual(PrepSide::Distal),
    ];
    near(
        cut_volume(&before, &after).unwrap(),
        ring + 2.0 * 1.0 * 0.8 * 4.0,
        1e-9,
    );
}

/// A groove adds two walls of depth × length, square to the wall and facing each other.
#[test]
fn grooves() {
    let mut prep = plain(8.0, 8.0, 4.0, 10.0);
    prep.grooves = vec![Groove::usual(PrepSide::Facial)];
    let surface = prep.surface(Mesh::USUAL).unwrap();
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
    let mut prep = plain(8.0, 8.0, 4.0, 0.0);
    prep.walls[0].height = 2.5;
    for (uneven, margin, top) in [
        (Uneven::TopSlopes, 0.0, 2.5),
        (Uneven::MarginSteps, 1.5, 4.0),
    ] {
        let prep = prep.clone().uneven(uneven);
        let nodes = prep.surface(Mesh::USUAL).unwrap().nodes;
        assert_eq!(nodes[0].position[2], margin);
        assert_eq!(nodes[2].position[2], top);
    }
}

#[test]
fn unsound_preparations_are_refused() {
    let sound = plain(4.0, 4.5, 3.0, 6.0);
    assert!(sound.surface(Mesh::USUAL).is_ok());
    let refused = |change: fn(&mut Preparation)| {
        let mut prep = sound.clone();
        change(&mut prep);
        prep.surface(Mesh::USUAL).unwrap_err()
    };
    // Walls of 3 mm at 35° recede by 2.1 mm each, on a base of 4 mm.
    assert!(matches!(
        cone(4.0, 3.0, 35.0).surface(Mesh::USUAL),
        Err(PrepError::NoTop)
    ));
    assert!(cone(4.0, 3.0, 33.0).surface(Mesh::USUAL).is_ok());
    assert!(matches!(
        refused(|prep| prep.walls[1].height = 0.0),
        PrepError::NotPositive(_, _)
    ));
    assert!(matches!(
        refused(|prep| prep.mesiodistal = f64::NAN),
        PrepError::NotPositive(_, _)
    ));
    assert_eq!(
        refused(|prep| prep.exponent = 1.9),
        PrepError::Exponent(1.9)
    );
    assert_eq!(
        refused(|prep| prep.walls[2].taper = 61.0),
        PrepError::Taper(61.0)
    );
    assert!(matches!(
        refused(|prep| prep.walls[0].margin = f64::INFINITY),
        PrepError::Margin(_)
    ));
    assert_eq!(
        refused(|prep| {
            prep.walls[0].height = 0.5;
            prep.grooves = vec![Groove::usual(PrepSide::Mesial)];
        }),
        PrepError::NoRoomForGroove(PrepSide::Mesial)
    );
}
