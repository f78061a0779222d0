//! Limits in closed form, and bounds that hold for any motion.

use super::random::{Random, case};
use super::{cone, near, plain, single, solve};
use casepan::mechanics::dislodgement::motion::{Motion, Screw};
use casepan::mechanics::dislodgement::sensitivity::sensitivity;
use casepan::mechanics::dislodgement::{
    Holding, LimitOutcome, Limits, Load, Method, Reason, Restoration, Settings,
};
use casepan::mechanics::prep::{Mesh, Part};
use proptest::prelude::*;
use std::f64::consts::PI;

const PULL: Load = Load {
    point: [0.0, 0.0, 6.0],
    direction: [0.0, 0.0, 1.0],
    force: 60.0,
};

fn limits(tension: f64) -> Limits {
    Limits {
        tension,
        ..Limits::default()
    }
}

/// A cone pulled along its axis: the whole wall slides and opens, the top opens, so `c (cos T + τ sin T) A_wall + τc
/// A_top`; a cylinder for T = 0. To the areas of the nodes and to those of the cone.
#[test]
fn pull() {
    for tension in [0.0, 0.5, 1.0, 2.0] {
        for taper in [0.0, 3.0, 10.0, 25.0_f64] {
            let prep = cone(7.0, 4.0, taper);
            let surface = prep.surface(Mesh::USUAL).unwrap();
            let found = solve(&single(&prep, Mesh::USUAL), limits(tension), &PULL);
            let (sin, cos) = taper.to_radians().sin_cos();
            let held = |wall: f64, top: f64| (cos + tension * sin) * wall + tension * top;
            near(
                found.lambda,
                held(surface.area(Part::Axial), surface.area(Part::Top)),
                1e-6,
            );
            let r = 3.5 - 4.0 * taper.to_radians().tan();
            near(
                found.lambda,
                held(PI * (3.5 + r) * 4.0 / cos, PI * r * r),
                0.01,
            );
            near(found.demand, 60.0 / found.lambda, 1e-12);
            assert!(found.pressing_share < 1e-5);
            assert_eq!(
                found.first,
                if taper > 0.0 || tension < 5.0 {
                    Some(0)
                } else {
                    None
                }
            );
            let Screw::Slide { direction } = found.motion.screw([0.0; 3]) else {
                panic!("{:?}", found.motion);
            };
            near(direction[2], 1.0, 1e-6);
        }
    }
}

/// A cylinder twisted about its axis by a couple: all slides, `c A_wall r` and the top's `∫ c ρ dA = 2πr³/3`.
#[test]
fn twist() {
    let prep = cone(7.0, 4.0, 0.0);
    let restoration = single(&prep, Mesh::USUAL);
    let holding = Holding::new(&restoration, Limits::default()).unwrap();
    let outcome = holding.dislodge_wrench([0.0; 3], [0.0, 0.0, 1.0], Settings::EXACT);
    let found = outcome.certified().unwrap();
    let by_nodes: f64 = restoration.abutments[0]
        .iter()
        .map(|node| node.area * node.position[0].hypot(node.position[1]))
        .sum();
    near(found.lambda, by_nodes, 1e-6);
    near(
        found.lambda,
        2.0 * PI * 3.5 * 4.0 * 3.5 + 2.0 * PI * 3.5_f64.powi(3) / 3.0,
        0.01,
    );
    assert_eq!(found.first, None);
    let Screw::Turn {
        point,
        direction,
        pitch,
    } = found.motion.screw([0.0, 0.0, 2.0])
    else {
        panic!("{:?}", found.motion);
    };
    assert!(point[0].abs() < 1e-3 && point[1].abs() < 1e-3 && pitch.abs() < 1e-3);
    near(direction[2], 1.0, 1e-6);
}

/// A cylinder pressed home: the top presses with κ, the wall slides.
#[test]
fn press() {
    let prep = cone(7.0, 4.0, 0.0);
    let down = Load {
        direction: [0.0, 0.0, -1.0],
        ..PULL
    };
    let surface = prep.surface(Mesh::USUAL).unwrap();
    let found = solve(&single(&prep, Mesh::USUAL), Limits::default(), &down);
    let (wall, top) = (surface.area(Part::Axial), 10.0 * surface.area(Part::Top));
    near(found.lambda, wall + top, 1e-6);
    near(found.pressing_share, top / (wall + top), 1e-4);
    assert!(found.opening_share < 1e-3);
    assert_eq!(found.first, None);
}

/// What usual and close nodes hold against fine ones, over preps and loads: pull stands close, pressing at an edge of the
/// wall is underrated by three nodes.
#[test]
fn nodes_are_enough() {
    let preps = [
        plain(8.0, 8.0, 4.0, 6.0),
        plain(4.0, 4.5, 3.0, 12.0),
        plain(5.0, 9.0, 3.0, 8.0),
        cone(6.0, 4.0, 5.0),
    ];
    let (mut usual, mut close) = (Vec::new(), Vec::new());
    for prep in &preps {
        for direction in [
            [1.0, 0.0, -1.0],
            [0.0, 1.0, 0.0],
            [0.0, 1.0, -1.0],
            [0.3, -1.0, 0.5],
            [0.0, 0.0, 1.0],
        ] {
            let load = Load {
                point: [1.5, 0.5, 5.0],
                direction,
                force: 1.0,
            };
            let held = |mesh| solve(&single(prep, mesh), Limits::default(), &load).lambda;
            let fine = held(Mesh::FINE);
            usual.push(held(Mesh::USUAL) / fine - 1.0);
            close.push(held(Mesh::CLOSE) / fine - 1.0);
        }
        let central = |mesh| solve(&single(prep, mesh), Limits::default(), &PULL).lambda;
        near(central(Mesh::USUAL), central(Mesh::FINE), 0.015);
    }
    println!("usual over fine {usual:.3?}\nclose over fine {close:.3?}");
    assert!(usual.iter().all(|apart| (-0.13..0.04).contains(apart)));
    assert!(close.iter().all(|apart| apart.abs() < 0.025));
}

/// Dissipation over power of a motion, from the nodes.
fn bound(restoration: &Restoration, limits: Limits, load: &Load, motion: &Motion) -> Option<f64> {
    let dot = |a: [f64; 3], b: [f64; 3]| a.iter().zip(b).map(|(x, y)| x * y).sum::<f64>();
    let size = dot(load.direction, load.direction).sqrt();
    let power = dot(motion.at(load.point), load.direction) / size;
    let dissipated: f64 = restoration
        .abutments
        .iter()
        .flatten()
        .map(|node| {
            let velocity = motion.at(node.position);
            let open = dot(velocity, node.normal);
            let slide = (dot(velocity, velocity) - open * open).max(0.0).sqrt();
            node.area * (slide + (limits.tension * open).max(-limits.pressing * open))
        })
        .sum();
    (power > 0.0).then(|| dissipated / power)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    /// No motion holds less than λ: turns about both margins of each abutment among them, and random screws. The motion
    /// found gives the upper bound.
    #[test]
    fn no_motion_holds_less(seed in any::<u64>(), abutments in 1..4_u64) {
        let mut random = Random(seed);
        let case = case(&mut random, abutments);
        let restoration = case.restoration();
        let limits = Limits::default();
        let found = solve(&restoration, limits, &case.load);
        let own = bound(&restoration, limits, &case.load, &found.motion).unwrap();
        prop_assert!((own / found.upper - 1.0).abs() < 1e-9);
        let mut motions = Vec::new();
        for abutment in &case.abutments {
            let half = [abutment.preparation.mesiodistal / 2.0, abutment.preparation.faciolingual / 2.0];
            for (axis, out) in [(1, [half[0], 0.0]), (1, [-half[0], 0.0]), (0, [0.0, half[1]]), (0, [0.0, -half[1]])] {
                let point = abutment.frame.point([out[0], out[1], 0.0]);
                motions.push((abutment.frame.axes[axis], point));
            }
        }
        for _ in 0..60 {
            let mut three = |from: f64, to: f64| [random.within(from, to), random.within(from, to), random.within(from, to)];
            motions.push((three(-1.0, 1.0), three(-20.0, 20.0)));
        }
        for (axis, [x, y, z]) in motions {
            for sign in [1.0, -1.0] {
                let [a, b, c] = axis.map(|value| value * sign);
                // The axis runs through the point: velocity at the origin is point × axis.
                let motion = Motion { velocity: [y * c - z * b, z * a - x * c, x * b - y * a], rotation: [a, b, c] };
                if let Some(bound) = bound(&restoration, limits, &case.load, &motion) {
                    prop_assert!(found.lambda <= bound * (1.0 + 1e-9), "{} {bound}", found.lambda);
                    let own = Holding::new(&restoration, limits).unwrap().bound(&case.load, motion.velocity, motion.rotation);
                    prop_assert!((own.unwrap() / bound - 1.0).abs() < 1e-9);
                }
            }
        }
    }

    /// The tractions hold the load and keep within their limits.
    #[test]
    fn tractions_hold_the_load(seed in any::<u64>(), abutments in 1..4_u64) {
        let case = case(&mut Random(seed), abutments);
        let restoration = case.restoration();
        let found = solve(&restoration, Limits::default(), &case.load);
        let size = case.load.direction.iter().map(|x| x * x).sum::<f64>().sqrt();
        let mut left = case.load.direction.map(|x| x / size * found.lambda);
        for (nodes, tractions) in restoration.abutments.iter().zip(&found.tractions) {
            for (node, [q, s, t]) in nodes.iter().zip(tractions) {
                prop_assert!(*q <= 1.0 + 1e-12 && *q >= -10.0 - 1e-12 && s.hypot(*t) <= 1.0 + 1e-12);
                for (axis, left) in left.iter_mut().enumerate() {
                    *left -= node.area
                        * (q * node.normal[axis] + s * node.tangents[0][axis] + t * node.tangents[1][axis]);
                }
            }
        }
        prop_assert!(left.iter().all(|x| x.abs() < 1e-7 * found.lambda), "{left:?}");
    }
}

/// The derivative by the envelope theorem against central differences of two solutions each.
#[test]
fn change_with_a_reading() {
    let mut random = Random(31);
    let mut apart = Vec::new();
    for index in 0..40 {
        let case = case(&mut random, 1 + index % 3);
        let changed = |height: f64, taper: f64| {
            let mut abutments = case.abutments.clone();
            let wall = &mut abutments[0].preparation.walls[(index % 4) as usize];
            wall.height += height;
            wall.taper += taper;
            Restoration::new(&abutments, Mesh::USUAL).ok()
        };
        let found = solve(&case.restoration(), Limits::default(), &case.load);
        for (height, taper) in [(1e-3, 0.0), (0.0, 1e-2)] {
            let (Some(less), Some(more)) = (changed(-height, -taper), changed(height, taper))
            else {
                continue;
            };
            let step = height + taper;
            let own = sensitivity(&found, &less, &more, step).unwrap();
            let exact = |restoration: &Restoration| {
                let found = solve(restoration, Limits::default(), &case.load);
                (found.lambda + found.upper) / 2.0
            };
            let differences = (exact(&more) - exact(&less)) / (2.0 * step);
            // Over λ per mm, and per ten degrees.
            let scale = if height > 0.0 {
                found.lambda
            } else {
                found.lambda / 10.0
            };
            apart.push((own - differences).abs() / scale);
        }
    }
    apart.sort_by(f64::total_cmp);
    println!(
        "{} derivatives: median {:.1e}, nine in ten {:.1e} apart",
        apart.len(),
        apart[apart.len() / 2],
        apart[apart.len() * 9 / 10]
    );
    // Both solutions are known to 1e-6 each, over steps of 1e-3: kinks aside, no better can be asked.
    assert!(apart[apart.len() / 2] < 2e-3 && apart[apart.len() * 9 / 10] < 1e-2);
}

#[test]
fn unsound_inputs_are_told() {
    let restoration = single(&plain(8.0, 8.0, 4.0, 6.0), Mesh::USUAL);
    for (tension, pressing) in [
        (-0.1, 10.0),
        (1.0, 0.0),
        (f64::NAN, 10.0),
        (1.0, f64::INFINITY),
    ] {
        let limits = Limits { tension, pressing };
        assert_eq!(
            Holding::new(&restoration, limits).unwrap_err(),
            Reason::Limits
        );
    }
    let empty = Restoration::default();
    assert_eq!(
        Holding::new(&empty, Limits::default()).unwrap_err(),
        Reason::NotHeld
    );
    let holding = Holding::new(&restoration, Limits::default()).unwrap();
    for load in [
        Load {
            direction: [0.0; 3],
            ..PULL
        },
        Load { force: 0.0, ..PULL },
        Load {
            point: [f64::NAN; 3],
            ..PULL
        },
    ] {
        assert_eq!(
            holding.dislodge(&load, Settings::QUICK),
            LimitOutcome::NotComputed(Reason::Load)
        );
    }
    let hurried = Settings {
        gap: 1e-6,
        max_iterations: 2,
        ..Settings::EXACT
    };
    let LimitOutcome::NotComputed(Reason::Iterations { lower, upper }) =
        holding.dislodge(&PULL, hurried)
    else {
        panic!("two iterations are not enough");
    };
    let exact = holding.dislodge(&PULL, Settings::EXACT);
    let exact = exact.certified().unwrap().lambda;
    assert!(lower <= exact && exact <= upper * (1.0 + 1e-6));
}

/// An early end proves as much as was asked for and no more than is true, by both methods.
#[test]
fn enough_is_proven_and_true() {
    let mut random = Random(3);
    let mut early = 0;
    for _ in 0..40 {
        let case = case(&mut random, 1);
        let holding = Holding::new(&case.restoration(), Limits::default()).unwrap();
        let exact = holding.dislodge(&case.load, Settings::EXACT);
        let Some(exact) = exact.certified() else {
            continue;
        };
        for share in [0.3, 0.8] {
            let enough = share * exact.lambda;
            for method in [Method::Newton, Method::InteriorPoint] {
                let found = holding.dislodge_by(method, &case.load, Settings::EXACT.until(enough));
                let Some(found) = found.certified() else {
                    continue;
                };
                assert!(found.lambda >= enough && found.lambda <= exact.upper);
                assert!(found.upper >= exact.lambda);
                early += usize::from(found.gap > Settings::EXACT.gap);
            }
        }
    }
    assert!(early > 40, "{early}");
}
