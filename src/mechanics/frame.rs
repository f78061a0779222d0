//! Where the units of a restoration stand: axes of a tooth, and teeth along the arch.

use super::prep::{Node, Preparation};
use super::vector::{Vector, add, scale, unit};

/// Axes of a tooth in the axes of the restoration.
///
/// The arch lies in the plane of x, to one side, and y, forwards, with the origin at the midline in front and z
/// occlusally.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Frame {
    /// The middle of the base, in mm.
    pub origin: Vector,
    /// Unit vectors mesially, facially, and occlusally along the tooth's axis. Right- or left-handed by the side of the
    /// mouth.
    pub axes: [Vector; 3],
}

/// A prep where it stands.
#[derive(Clone, PartialEq, Debug)]
pub struct Abutment {
    /// Its axes.
    pub frame: Frame,
    /// Its preparation, in those axes.
    pub preparation: Preparation,
}

impl Frame {
    /// The axes of the restoration themselves.
    pub const IDENTITY: Frame = Frame {
        origin: [0.0; 3],
        axes: [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]],
    };

    /// Returns a direction or a velocity of the tooth's axes in those of the restoration.
    pub fn direction(&self, local: Vector) -> Vector {
        let [x, y, z] = local;
        let [mesial, facial, occlusal] = self.axes;
        add(add(scale(x, mesial), scale(y, facial)), scale(z, occlusal))
    }

    /// Returns a point of the tooth's axes in those of the restoration, in mm.
    pub fn point(&self, local: Vector) -> Vector {
        add(self.origin, self.direction(local))
    }

    /// Returns a node of the tooth's axes in those of the restoration.
    pub fn node(&self, local: &Node) -> Node {
        Node {
            position: self.point(local.position),
            normal: self.direction(local.normal),
            tangents: local.tangents.map(|tangent| self.direction(tangent)),
            ..*local
        }
    }

    /// Returns the frame tilted about the middle of its base: the occlusal end leans mesially and facially by angles in
    /// degrees, negative distally and lingually, within ±80° each. The tilt turns about one axis square to the lean.
    pub fn tilted(&self, mesially: f64, facially: f64) -> Frame {
        let lean = [
            mesially.clamp(-80.0, 80.0).to_radians().tan(),
            facially.clamp(-80.0, 80.0).to_radians().tan(),
        ];
        let slope = lean[0].hypot(lean[1]);
        if slope.is_nan() || slope <= 0.0 {
            return *self;
        }
        let (sin, cos) = slope.atan().sin_cos();
        let [cx, cy] = [lean[0] / slope, lean[1] / slope];
        // Turns (cx, cy, 0) and z in their plane; what is square to both stays.
        let turn = |[x, y, z]: Vector| {
            let along = x * cx + y * cy;
            let rest = [x - along * cx, y - along * cy];
            let (along, z) = (along * cos + z * sin, z * cos - along * sin);
            self.direction([rest[0] + along * cx, rest[1] + along * cy, z])
        };
        Frame {
            origin: self.origin,
            axes: [
                turn([1.0, 0.0, 0.0]),
                turn([0.0, 1.0, 0.0]),
                turn([0.0, 0.0, 1.0]),
            ],
        }
    }
}

/// The line the teeth stand on: a parabola with its apex at the midline in front.
///
/// Catenary and parabola are both in the textbooks for the form of the arch (from memory); the parabola has its length
/// in closed form.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct ArchCurve {
    /// Half the width of the arch, in mm, where its depth is given.
    pub half_width: f64,
    /// Distance from the front to that place along the midline, in mm.
    pub depth: f64,
}

impl ArchCurve {
    /// The upper arch: ours, so that the usual tooth widths from the midline (41.5 mm to the middle of the first molar)
    /// end 48 mm apart, about the usual distance of upper first molars (from memory).
    pub const UPPER: ArchCurve = ArchCurve {
        half_width: 24.0,
        depth: 31.0,
    };

    /// The lower arch: ours, so that the usual tooth widths from the midline (37 mm to the middle of the first molar)
    /// end 44 mm apart, about the usual distance of lower first molars (from memory).
    pub const LOWER: ArchCurve = ArchCurve {
        half_width: 22.0,
        depth: 27.5,
    };

    /// Returns the length of the curve in mm from the midline to a distance `x` beside it, in mm.
    ///
    /// `(u sqrt(1 + u²) + asinh u) / 4k` with `u = 2kx` for `y = -k x²` (any handbook).
    pub fn length(&self, x: f64) -> f64 {
        let k = self.depth / (self.half_width * self.half_width);
        let u = 2.0 * k * x;
        (u * u.hypot(1.0) + u.asinh()) / (4.0 * k)
    }

    /// Returns the frame of a unit whose middle is `along` mm from the midline along the arch.
    ///
    /// Positive on one side of the mouth, negative on the other; the mesial axis points to the midline along the curve
    /// and the facial one outwards. None when the curve or the length is no positive number, or the length is 0, where
    /// mesial has no meaning.
    pub fn frame(&self, along: f64) -> Option<Frame> {
        let sound = |value: f64| value.is_finite() && value > 0.0;
        if !(sound(self.half_width) && sound(self.depth) && sound(along.abs())) {
            return None;
        }
        let k = self.depth / (self.half_width * self.half_width);
        // Newton's method: the length grows with x, convexly, so from the right it falls to the root without overshoot.
        let wanted = along.abs();
        let mut x = wanted;
        for _ in 0..50 {
            let step = (self.length(x) - wanted) / (2.0 * k * x).hypot(1.0);
            x -= step;
            if step.abs() <= 1e-13 * wanted {
                break;
            }
        }
        let slope = 2.0 * k * x;
        let side = along.signum();
        let mesial = unit([-side, slope, 0.0])?;
        let facial = unit([side * slope, 1.0, 0.0])?;
        Some(Frame {
            origin: [side * x, -k * x * x, 0.0],
            axes: [mesial, facial, [0.0, 0.0, 1.0]],
        })
    }
}

/// Returns how far the middle of each tooth lies from the midline along the arch, in mm, from the mesiodistal widths of
/// the teeth of one side in their order from the midline, in mm.
pub fn middles(widths: &[f64]) -> Vec<f64> {
    let mut from = 0.0;
    widths
        .iter()
        .map(|width| {
            let middle = from + width / 2.0;
            from += width;
            middle
        })
        .collect()
}
