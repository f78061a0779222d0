//! How retainers share a load: a rigid restoration on roots that give.
//!
//! Each root is a spring in the axes of its tooth, in the middle of its length below the margin. With the stiffnesses K
//! and a load W about the origin, the restoration moves by `(ΣK)⁻¹ W` and retainer j bears `K_j (ΣK)⁻¹ W`. Only the
//! ratios between the roots matter.
//!
//! *Limits of validity*: small elastic motion; the restoration, its connectors and the cement do not give; no periodontal
//! damage. Stiffnesses are from memory: of the order of root areas and of the mobility of sound teeth, 0.04 to 0.12 mm
//! under 5 N.

use super::Load;
use super::linear::{Factor, Matrix, Six, add, dot};
use crate::frame::Frame;
use crate::vector::{Vector, cross};

/// Stiffness of a root of factor 1 against a level push, in N/mm. From memory.
const LEVEL: f64 = 1000.0;
/// Stiffness of a root of factor 1 along its axis, in N/mm. From memory.
const ALONG: f64 = 3000.0;
/// What roots that stand apart from mesial to distal add against tipping that way, in N·mm for a factor of 1. From memory.
const APART: f64 = 12_000.0;

/// A root as a spring.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Root {
    /// Its length below the margin, in mm.
    pub length: f64,
    /// How stiff it is against an upper central incisor's.
    pub factor: f64,
    /// Whether it has roots that stand apart from mesial to distal.
    pub apart: bool,
}

impl Root {
    /// Returns the stiffness about the origin of the restoration: rows of force and moment per unit of velocity and turn.
    fn stiffness(&self, frame: &Frame) -> [(f64, Six); 6] {
        let middle = frame.point([0.0, 0.0, -self.length / 2.0]);
        let turning = LEVEL * self.factor * self.length * self.length / 12.0;
        let tipping = if self.apart { APART * self.factor } else { 0.0 };
        let [mesial, facial, occlusal] = frame.axes;
        let push = |stiffness: f64, axis: Vector| {
            let [x, y, z] = axis;
            let [a, b, c] = cross(middle, axis);
            (stiffness * self.factor, [x, y, z, a, b, c])
        };
        let turn = |stiffness: f64, axis: Vector| {
            let [a, b, c] = axis;
            (stiffness, [0.0, 0.0, 0.0, a, b, c])
        };
        [
            push(LEVEL, mesial),
            push(LEVEL, facial),
            push(ALONG, occlusal),
            turn(turning, mesial),
            turn(turning + tipping, facial),
            turn(turning, occlusal),
        ]
    }
}

/// How the retainers of one restoration share its loads.
#[derive(Clone, Debug)]
pub struct Sharing {
    springs: Vec<[(f64, Six); 6]>,
    factor: Factor,
}

impl Sharing {
    /// Prepares it for retainers, each with its axes and its root; `None` where they are no sound numbers.
    pub fn new(retainers: &[(Frame, Root)]) -> Option<Sharing> {
        let springs: Vec<[(f64, Six); 6]> = retainers
            .iter()
            .map(|(frame, root)| root.stiffness(frame))
            .collect();
        let mut sum = Matrix::ZERO;
        for (stiffness, row) in springs.iter().flatten() {
            sum.add(*stiffness, row);
        }
        Some(Sharing {
            springs,
            factor: sum.factor()?,
        })
    }

    /// Returns what the retainer of an index bears of a load, as force and moment about the origin for one newton of it: N
    /// and N·mm. `None` where the load is no load, or there is no such retainer.
    pub(crate) fn share(&self, index: usize, load: &Load) -> Option<Six> {
        let wrench = load.unit_wrench()?;
        let spring = self.springs.get(index)?;
        // A single crown bears all of it, without rounding.
        if self.springs.len() == 1 {
            return Some(wrench);
        }
        let motion = self.factor.solve(&wrench);
        let mut own = [0.0; 6];
        for (stiffness, row) in spring {
            add(&mut own, stiffness * dot(row, &motion), row);
        }
        Some(own)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn frame(x: f64) -> Frame {
        Frame {
            origin: [x, 0.0, 0.0],
            ..Frame::IDENTITY
        }
    }

    const ROOT: Root = Root {
        length: 12.0,
        factor: 1.0,
        apart: false,
    };

    fn push(x: f64) -> Load {
        Load {
            point: [x, 0.0, 5.0],
            direction: [0.0, 0.0, -1.0],
            force: 1.0,
        }
    }

    /// Equilibrium: the shares add up to the load.
    #[test]
    fn shares_add_up() {
        let stiff = Root {
            factor: 2.1,
            apart: true,
            ..ROOT
        };
        let sharing =
            Sharing::new(&[(frame(0.0), ROOT), (frame(14.0).tilted(12.0, 3.0), stiff)]).unwrap();
        let load = Load {
            point: [8.0, 3.0, 6.0],
            direction: [0.3, -0.5, -0.8],
            force: 200.0,
        };
        let wrench = load.unit_wrench().unwrap();
        let shares = [0, 1].map(|index| sharing.share(index, &load).unwrap());
        for index in 0..6 {
            let sum: f64 = shares.iter().map(|own| own[index]).sum();
            assert!((sum - wrench[index]).abs() < 1e-9, "{index}");
        }
    }

    /// Two springs side by side (any handbook): half-way each bears half, and a load straight above one of two stiff
    /// springs far apart hardly reaches the other.
    #[test]
    fn springs_side_by_side() {
        let sharing = Sharing::new(&[(frame(0.0), ROOT), (frame(20.0), ROOT)]).unwrap();
        let half = [0, 1].map(|index| sharing.share(index, &push(10.0)).unwrap());
        assert!((half[0][2] + 0.5).abs() < 1e-9 && (half[1][2] + 0.5).abs() < 1e-9);
        // F₁/F = 1/2 + k a c / (2 k a² + 2 r) with a = 10 from the middle, c = 10 off it, k along and r against turning.
        let (k, a, r) = (ALONG, 10.0, LEVEL * 144.0 / 12.0);
        let expected = 0.5 + k * a * 10.0 / (2.0 * k * a * a + 2.0 * r);
        let near = [0, 1].map(|index| sharing.share(index, &push(0.0)).unwrap());
        // The level springs below the margin take a part of the turn as well, so this is a bound from above.
        assert!(-near[0][2] <= expected + 1e-9 && -near[0][2] > 0.5);
    }
}
