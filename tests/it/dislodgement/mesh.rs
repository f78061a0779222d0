//! How far the mesh of grip may be off: invented stumps and bridges against much finer meshes.

use super::random::Random;
use casepan::mechanics::dislodgement::grip::{
    Graded, GradedLoad, LoadGrip, MESH, MINIMUM_MOLAR, MINIMUM_OTHER, grip, minimum_stump,
};
use casepan::mechanics::dislodgement::{Limits, Load, Settings};
use casepan::mechanics::frame::{Abutment, ArchCurve, Frame};
use casepan::mechanics::prep::{Mesh, Preparation, Side, Uneven, Wall};

/// A stump such as comes to the bench, good or poor: 1.5 to 6 mm high, 2 to 19° a wall, some stepped, some dished.
fn stump(random: &mut Random) -> Graded {
    loop {
        let molar = random.below(2) == 0;
        let (narrow, wide) = if molar { (6.5, 10.0) } else { (3.0, 7.0) };
        let (lean, height) = (random.within(2.0, 15.0), random.within(1.5, 5.0));
        let walls = Side::ALL.map(|_| {
            let mut wall = Wall::straight(
                height + random.within(0.0, 1.0),
                lean + random.within(0.0, 4.0),
            );
            if random.below(12) == 0 {
                wall.straight = Some(random.within(0.5, 1.5));
            }
            wall
        });
        let widths = [(); 2].map(|()| random.within(narrow, wide));
        let mut preparation = Preparation::new(widths[0], widths[1], walls);
        if random.below(3) == 0 {
            preparation = preparation.uneven(Uneven::MarginSteps);
        }
        let minimum_height = if molar { MINIMUM_MOLAR } else { MINIMUM_OTHER };
        let least = minimum_stump(&preparation, minimum_height);
        if preparation.check().is_ok() && least.check().is_ok() {
            return Graded {
                abutment: Abutment {
                    frame: Frame::IDENTITY,
                    preparation,
                },
                minimum_height,
            };
        }
    }
}

/// Two to four such stumps along the arch, leaning by up to 5°.
fn bridge(random: &mut Random) -> Vec<Graded> {
    let mut along = random.within(5.0, 15.0);
    (0..2 + random.below(3))
        .map(|_| {
            let mut graded = stump(random);
            let frame = ArchCurve::UPPER.frame(along).unwrap();
            graded.abutment.frame =
                frame.tilted(random.within(-5.0, 5.0), random.within(-5.0, 5.0));
            along += random.within(8.0, 20.0);
            graded
        })
        .collect()
}

/// The judged loads of the shipped flow on each stump: at 45° to four sides and at 60° to two.
fn loads(abutments: &[Graded]) -> Vec<GradedLoad> {
    let mut list = Vec::new();
    for graded in abutments {
        let Abutment { frame, preparation } = &graded.abutment;
        let walls = preparation.walls.iter();
        let top = walls
            .map(|wall| wall.height + wall.margin)
            .fold(f64::MIN, f64::max);
        let half = [
            preparation.mesiodistal / 2.0,
            preparation.faciolingual / 2.0,
        ];
        for (x, y, angle) in [
            (1.0, 0.0, 45.0_f64),
            (-1.0, 0.0, 45.0),
            (0.0, 1.0, 45.0),
            (0.0, -1.0, 45.0),
            (0.0, 1.0, 60.0),
            (0.0, -1.0, 60.0),
        ] {
            let (sin, cos) = angle.to_radians().sin_cos();
            list.push(GradedLoad::same(Load {
                point: frame.point([0.6 * x * half[0], 0.6 * y * half[1], top + 1.5]),
                direction: frame.direction([x * sin, y * sin, -cos]),
                force: 100.0,
            }));
        }
    }
    list
}

/// The least grip, and how many of the loads press home.
fn least(abutments: &[Graded], mesh: Mesh) -> (f64, usize) {
    let loads = loads(abutments);
    let found = grip(abutments, &loads, mesh, Limits::default(), Settings::EXACT).unwrap();
    let home = found
        .loads
        .iter()
        .filter(|load| matches!(load, LoadGrip::PressesHome))
        .count();
    (found.least.unwrap().1, home)
}

/// Errors of a mesh against another, by size.
fn errors(cases: &[Vec<Graded>], mesh: Mesh, against: Mesh) -> Vec<f64> {
    let mut errors: Vec<f64> = cases
        .iter()
        .map(|case| {
            let ((one, home), (other, same)) = (least(case, mesh), least(case, against));
            assert_eq!(home, same, "loads that press home");
            (one / other - 1.0).abs()
        })
        .collect();
    errors.sort_by(f64::total_cmp);
    errors
}

/// The median, what 95 of 100 keep within, and the most.
fn quantiles(errors: &[f64]) -> [f64; 3] {
    [50, 95, 100].map(|share| errors[(errors.len() - 1) * share / 100])
}

/// Tolerances (ours): 0.03 of grip for 95 of 100 stumps, 0.06 for all; on bridges, where stumps share, less.
#[test]
fn grip_hardly_depends_on_the_mesh() {
    let mut random = Random(11);
    let stumps: Vec<_> = (0..200).map(|_| vec![stump(&mut random)]).collect();
    let bridges: Vec<_> = (0..20).map(|_| bridge(&mut random)).collect();
    let [median, most_of, all] = quantiles(&errors(&stumps, MESH, Mesh::DENSE));
    println!("stumps: median {median:.4}, 95 % {most_of:.4}, most {all:.4}");
    assert!(most_of <= 0.03 && all <= 0.06, "{most_of}, {all}");
    let [median, most_of, all] = quantiles(&errors(&bridges, MESH, Mesh::DENSE));
    println!("bridges: median {median:.4}, 95 % {most_of:.4}, most {all:.4}");
    assert!(most_of <= 0.02 && all <= 0.03, "{most_of}, {all}");
    // The mesh compared with is itself near the finest.
    let [.., all] = quantiles(&errors(&stumps[..4], Mesh::DENSE, Mesh::FINE));
    assert!(all <= 0.015, "{all}");
    // The usual mesh would not do: the test can tell.
    let [_, most_of, _] = quantiles(&errors(&stumps, Mesh::USUAL, Mesh::DENSE));
    assert!(most_of > 0.1, "{most_of}");
}
