//! What may not matter, and what may not harm.

use super::random::{Random, case};
use super::{near, plain, single, solve};
use casepan::mechanics::dislodgement::{Limits, Load, Restoration};
use casepan::mechanics::prep::{Groove, Mesh, Node, PrepSide};
use proptest::prelude::*;

/// A turn by a unit quaternion, a shift, and a mirror on demand.
struct Move {
    quaternion: [f64; 4],
    shift: [f64; 3],
    mirror: bool,
}

impl Move {
    fn direction(&self, [x, y, z]: [f64; 3]) -> [f64; 3] {
        let x = if self.mirror { -x } else { x };
        let [w, a, b, c] = self.quaternion;
        [
            (1.0 - 2.0 * (b * b + c * c)) * x
                + 2.0 * (a * b - w * c) * y
                + 2.0 * (a * c + w * b) * z,
            2.0 * (a * b + w * c) * x
                + (1.0 - 2.0 * (a * a + c * c)) * y
                + 2.0 * (b * c - w * a) * z,
            2.0 * (a * c - w * b) * x
                + 2.0 * (b * c + w * a) * y
                + (1.0 - 2.0 * (a * a + b * b)) * z,
        ]
    }

    fn point(&self, point: [f64; 3]) -> [f64; 3] {
        let turned = self.direction(point);
        [0, 1, 2].map(|k| turned[k] + self.shift[k])
    }

    fn node(&self, node: &Node) -> Node {
        Node {
            position: self.point(node.position),
            normal: self.direction(node.normal),
            tangents: node.tangents.map(|tangent| self.direction(tangent)),
            ..*node
        }
    }
}

fn changed(restoration: &Restoration, change: impl Fn(&Node) -> Node) -> Restoration {
    Restoration {
        abutments: restoration
            .abutments
            .iter()
            .map(|nodes| nodes.iter().map(&change).collect())
            .collect(),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    /// Turning, shifting or mirroring the whole case changes nothing.
    #[test]
    fn turned_or_mirrored(seed in any::<u64>(), abutments in 1..4_u64, mirror in any::<bool>()) {
        let mut random = Random(seed);
        let case = case(&mut random, abutments);
        let mut quaternion = [0; 4].map(|_| random.within(-1.0, 1.0));
        let size = quaternion.iter().map(|x| x * x).sum::<f64>().sqrt();
        quaternion = quaternion.map(|x| x / size);
        let moved = Move { quaternion, shift: [0; 3].map(|_| random.within(-30.0, 30.0)), mirror };
        let restoration = case.restoration();
        let before = solve(&restoration, Limits::default(), &case.load);
        let load = Load {
            point: moved.point(case.load.point),
            direction: moved.direction(case.load.direction),
            ..case.load
        };
        let after = solve(&changed(&restoration, |node| moved.node(node)), Limits::default(), &load);
        near(after.lambda, before.lambda, 1e-6);
        prop_assert_eq!(after.first, before.first);
    }

    /// Twice the strength, told as twice the area, holds twice.
    #[test]
    fn strength_scales(seed in any::<u64>(), factor in 0.01..100.0_f64) {
        let case = case(&mut Random(seed), 2);
        let restoration = case.restoration();
        let before = solve(&restoration, Limits::default(), &case.load);
        let scaled = changed(&restoration, |node| Node { area: factor * node.area, ..*node });
        near(solve(&scaled, Limits::default(), &case.load).lambda, factor * before.lambda, 1e-6);
    }

    /// More area somewhere, another abutment, or higher limits never hold less.
    #[test]
    fn more_never_holds_less(seed in any::<u64>()) {
        let mut random = Random(seed);
        let case = case(&mut random, 3);
        let whole = case.restoration();
        let limits = Limits::default();
        let all = solve(&whole, limits, &case.load);
        let two = Restoration { abutments: whole.abutments[..2].to_vec() };
        prop_assert!(solve(&two, limits, &case.load).lambda <= all.upper * (1.0 + 1e-9));
        let mut more = whole.clone();
        for node in &mut more.abutments[0] {
            node.area *= random.within(1.0, 2.0);
        }
        prop_assert!(solve(&more, limits, &case.load).upper >= all.lambda);
        for other in [Limits { tension: 1.5, ..limits }, Limits { pressing: 20.0, ..limits }] {
            prop_assert!(solve(&whole, other, &case.load).upper >= all.lambda);
        }
    }

    /// A groove never holds less, in whichever wall.
    #[test]
    fn grooves_never_hold_less(seed in any::<u64>()) {
        let mut random = Random(seed);
        let mut case = case(&mut random, 1);
        let prep = &mut case.abutments[0].preparation;
        prep.grooves.clear();
        let before = solve(&single(prep, Mesh::USUAL), Limits::default(), &case.load);
        prep.grooves.push(Groove::usual(PrepSide::ALL[random.below(4) as usize]));
        prop_assert!(solve(&single(prep, Mesh::USUAL), Limits::default(), &case.load).upper >= before.lambda);
    }

    /// A taller prep of the same taper never holds less, whichever way it is loaded at one place.
    #[test]
    fn taller_is_never_worse(
        base in 5.0..10.0_f64, other in 5.0..10.0_f64, height in 1.5..4.0_f64, more in 0.1..2.0_f64,
        taper in 0.0..14.0_f64, load in prop::array::uniform3(-1.0..1.0_f64),
    ) {
        let load = Load { point: [1.0, -1.5, 8.0], direction: load, force: 1.0 };
        let low = plain(base, other, height, taper);
        let high = plain(base, other, height + more, taper);
        let [low, high] = [low, high].map(|prep| {
            prop_assume!(prep.check().is_ok());
            Ok(solve(&single(&prep, Mesh::USUAL), Limits::default(), &load))
        });
        let (low, high) = (low?, high?);
        // Where the load presses home the top governs, and a taller prep has less of it.
        if low.pressing_share < 0.5 {
            prop_assert!(high.upper >= low.lambda, "{} {}", high.upper, low.lambda);
        }
    }
}
