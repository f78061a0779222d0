//! Two numbers at once: plain x86-64 has registers of two, and the compiler uses them for arrays of two.

use std::ops::{Add, AddAssign, Mul, Neg, Sub};

/// Two numbers, each its own lane.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
#[repr(align(16))]
pub(super) struct Pair(pub(super) [f64; 2]);

impl Pair {
    pub(super) const ZERO: Pair = Pair([0.0; 2]);

    #[inline(always)]
    pub(super) fn both(value: f64) -> Pair {
        Pair([value; 2])
    }

    #[inline(always)]
    fn with(self, other: Pair, combine: impl Fn(f64, f64) -> f64) -> Pair {
        Pair([
            combine(self.0[0], other.0[0]),
            combine(self.0[1], other.0[1]),
        ])
    }

    #[inline(always)]
    pub(super) fn sqrt(self) -> Pair {
        Pair([self.0[0].sqrt(), self.0[1].sqrt()])
    }

    #[inline(always)]
    pub(super) fn abs(self) -> Pair {
        Pair([self.0[0].abs(), self.0[1].abs()])
    }

    /// Returns one over each.
    #[inline(always)]
    pub(super) fn inverse(self) -> Pair {
        Pair([1.0 / self.0[0], 1.0 / self.0[1]])
    }

    /// Returns the larger of each. Written out, since what `f64::max` does with no numbers takes thrice as long.
    #[inline(always)]
    pub(super) fn max(self, other: Pair) -> Pair {
        self.with(other, |one, other| if one > other { one } else { other })
    }

    #[inline(always)]
    pub(super) fn min(self, other: Pair) -> Pair {
        self.with(other, |one, other| if one < other { one } else { other })
    }

    #[inline(always)]
    pub(super) fn sum(self) -> f64 {
        self.0[0] + self.0[1]
    }

    /// Returns the larger of the two.
    #[inline(always)]
    pub(super) fn largest(self) -> f64 {
        self.0[0].max(self.0[1])
    }
}

impl Add for Pair {
    type Output = Pair;

    #[inline(always)]
    fn add(self, other: Pair) -> Pair {
        self.with(other, |one, other| one + other)
    }
}

impl Sub for Pair {
    type Output = Pair;

    #[inline(always)]
    fn sub(self, other: Pair) -> Pair {
        self.with(other, |one, other| one - other)
    }
}

impl Mul for Pair {
    type Output = Pair;

    #[inline(always)]
    fn mul(self, other: Pair) -> Pair {
        self.with(other, |one, other| one * other)
    }
}

impl Neg for Pair {
    type Output = Pair;

    #[inline(always)]
    fn neg(self) -> Pair {
        Pair([-self.0[0], -self.0[1]])
    }
}

impl AddAssign for Pair {
    #[inline(always)]
    fn add_assign(&mut self, other: Pair) {
        *self = *self + other;
    }
}

/// A vector of each lane.
pub(super) type Three = [Pair; 3];

#[inline(always)]
pub(super) fn dot(one: Three, other: Three) -> Pair {
    one[0] * other[0] + one[1] * other[1] + one[2] * other[2]
}

#[inline(always)]
pub(super) fn cross(one: Three, other: Three) -> Three {
    [
        one[1] * other[2] - one[2] * other[1],
        one[2] * other[0] - one[0] * other[2],
        one[0] * other[1] - one[1] * other[0],
    ]
}

#[inline(always)]
pub(super) fn add(one: Three, other: Three) -> Three {
    [one[0] + other[0], one[1] + other[1], one[2] + other[2]]
}

/// Returns `one - factor other`.
#[inline(always)]
pub(super) fn less(one: Three, factor: Pair, other: Three) -> Three {
    [
        one[0] - factor * other[0],
        one[1] - factor * other[1],
        one[2] - factor * other[2],
    ]
}

#[inline(always)]
pub(super) fn scale(factor: Pair, vector: Three) -> Three {
    [factor * vector[0], factor * vector[1], factor * vector[2]]
}
