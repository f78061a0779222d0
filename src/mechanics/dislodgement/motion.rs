//! A rigid motion about to begin, and how to tell it: as a turn about an axis or a slide.

use super::velocity_at;
use crate::vector::{Vector, cross, dot, length, scale, unit};

/// A rigid motion: the velocity of the point at the origin, in mm, and the rotation, in radians, both per the same unit
/// of time.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Motion {
    /// Velocity at the origin.
    pub velocity: Vector,
    /// Rotation about its own direction, right-handed.
    pub rotation: Vector,
}

/// A motion in words' reach.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Screw {
    /// A turn about an axis, perhaps with a slide along it.
    Turn {
        /// The point of the axis that is nearest to the point asked for, in mm.
        point: Vector,
        /// Unit vector along the axis; the turn is right-handed about it.
        direction: Vector,
        /// Slide along the axis over the turn, in mm per radian.
        pitch: f64,
    },
    /// A slide along a unit vector without a turn worth telling.
    Slide {
        /// The way it slides.
        direction: Vector,
    },
    /// No motion.
    Rest,
}

impl Motion {
    /// Returns the velocity of a point in mm.
    pub fn at(&self, point: Vector) -> Vector {
        velocity_at(self.velocity, self.rotation, point)
    }

    /// Returns the motion as a screw (Chasles' theorem, any handbook of mechanics), told near a point, in mm.
    ///
    /// It is a slide where the axis would lie more than 500 mm away, a hundred teeth, or the slide along the axis
    /// outweighs the turn as far.
    pub fn screw(&self, near: Vector) -> Screw {
        const FAR: f64 = 500.0;
        let velocity = self.at(near);
        let turn = length(self.rotation);
        if length(velocity) > FAR * turn {
            return match unit(velocity) {
                Some(direction) => Screw::Slide { direction },
                None => Screw::Rest,
            };
        }
        let Some(direction) = unit(self.rotation) else {
            return Screw::Rest;
        };
        let square = turn * turn;
        let offset = scale(1.0 / square, cross(self.rotation, velocity));
        let [x, y, z] = near;
        let [a, b, c] = offset;
        Screw::Turn {
            point: [x + a, y + b, z + c],
            direction,
            pitch: dot(self.rotation, velocity) / square,
        }
    }
}
