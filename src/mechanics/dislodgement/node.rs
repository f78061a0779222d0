//! One node in the interior point method: its state, its scaling, its increments.
//!
//! Tractions: `q` along the normal, tension positive, `-κ < q < τ`; shear `s`, `|s| < 1`. Against them stand the
//! velocities times area: `u = y₁ - y₂` along the normal, opening positive, `y₁` against the limit of tension and `y₂`
//! against that of pressing; `v` along the surface under the cone `|v| < r`. At the optimum `y₁ (τ - q)`,
//! `y₂ (κ + q)` and `r - s·v` vanish; on the way they are kept alike.

use super::linear::{Matrix, Six};

/// The limits of the normal traction over that of the shear.
#[derive(Clone, Copy, Debug)]
pub(super) struct Bounds {
    pub(super) tension: f64,
    pub(super) pressing: f64,
}

/// The three rows that give the velocities times area of a node from the motion: normal, two tangents.
pub(super) type Rows = [Six; 3];

/// Where a node stands.
#[derive(Clone, Copy, Debug)]
pub(super) struct State {
    pub(super) q: f64,
    pub(super) s: [f64; 2],
    y1: f64,
    y2: f64,
    r: f64,
    v: [f64; 2],
}

/// A step of a node.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Step {
    q: f64,
    s: [f64; 2],
    y1: f64,
    y2: f64,
    r: f64,
    v: [f64; 2],
}

/// What the scaling of Nesterov and Todd makes of a state. Shear is taken along and across the unit vector `e`, in which
/// the scaling of the cone is the hyperbolic turn `(w0, w)` times the root of `square`.
#[derive(Clone, Copy, Debug)]
pub(super) struct Scaling {
    e: [f64; 2],
    /// Normal stiffness.
    kn: f64,
    /// One over the distance to the limits of tension and of pressing.
    near: [f64; 2],
    w0: f64,
    w: f64,
    square: f64,
    /// One over `square`.
    over: f64,
    /// `1 / (1 + 2 w²)`.
    head: f64,
    /// The scaled point over the root of `square`: time part, along, across.
    point: [f64; 3],
    /// One over `1 - |s|²` and over `r² - |v|²`.
    inverse: [f64; 2],
}

/// The right-hand side of a step in a node: what the complementarity products are to become.
#[derive(Clone, Copy, Debug)]
pub(super) struct Aim {
    /// Aims of the two normal products, less what they are, over the distances to the limits.
    normal: [f64; 2],
    /// Time part, along, across.
    shear: [f64; 3],
}

/// The sum of the products of complementarity after parts of a step of the tractions and of the velocities.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Products {
    pub(super) tractions: f64,
    pub(super) velocities: f64,
    pub(super) both: f64,
}

impl State {
    /// Returns the state on the central path for given velocities times area.
    ///
    /// From `y₁(τ - q) = y₂(κ + q) = μ` with `y₁ - y₂ = u`, and `(r, v) = μ (1, s) / (1 - |s|²)`.
    #[inline]
    pub(super) fn central(u: f64, v: [f64; 2], bounds: Bounds, mu: f64) -> State {
        // With half the width c and p from the middle: μ/(c-p) - μ/(c+p) = u, so p = u c² / (μ + sqrt(μ² + u² c²)).
        let half = (bounds.tension + bounds.pressing) / 2.0;
        let root = (mu * mu + u * u * half * half).sqrt();
        // c - p without its cancellation, since 2 (μ + root) (root + |u| c) is (μ + root + |u| c)².
        let near = half * (2.0 * mu / (mu + root + u.abs() * half)).max(1e-12);
        let far = 2.0 * half - near;
        let (to_tension, to_pressing) = if u >= 0.0 { (near, far) } else { (far, near) };
        let speed = (v[0] * v[0] + v[1] * v[1]).sqrt();
        let slope = 2.0 / (mu + (mu * mu + 4.0 * speed * speed).sqrt());
        let s = v.map(|v| v * slope);
        let shear = speed * slope;
        State {
            q: bounds.tension - to_tension,
            s,
            y1: mu / to_tension,
            y2: mu / to_pressing,
            r: mu / ((1.0 - shear) * (1.0 + shear)).max(1e-14),
            v,
        }
    }

    #[inline]
    pub(super) fn complementarity(&self, bounds: Bounds) -> f64 {
        self.y1 * (bounds.tension - self.q) + self.y2 * (self.q + bounds.pressing) + self.r
            - self.s[0] * self.v[0]
            - self.s[1] * self.v[1]
    }

    /// Returns the traction in the order of the rows.
    #[inline]
    pub(super) fn traction(&self) -> [f64; 3] {
        [self.q, self.s[0], self.s[1]]
    }

    /// Returns the scaling, none where the state has left the interior.
    #[inline]
    pub(super) fn scaling(&self, bounds: Bounds) -> Option<Scaling> {
        let near = [
            1.0 / (bounds.tension - self.q),
            1.0 / (self.q + bounds.pressing),
        ];
        let stiffness = self.y1 * near[0] + self.y2 * near[1];
        let [s, v] = [self.s, self.v];
        let det_x = 1.0 - s[0] * s[0] - s[1] * s[1];
        let det_y = self.r * self.r - v[0] * v[0] - v[1] * v[1];
        if !(stiffness > 0.0 && det_x > 0.0 && det_y > 0.0) {
            return None;
        }
        let (over_x, over_y) = (1.0 / det_x.sqrt(), 1.0 / det_y.sqrt());
        let along = s[0] * v[0] + s[1] * v[1];
        // One over twice the γ of the textbooks, turned round.
        let gamma = -1.0 / (2.0 + 2.0 * (self.r - along) * over_x * over_y).sqrt();
        let turn = |s: f64, v: f64| (s * over_x + v * over_y) * gamma;
        let tail = [turn(s[0], v[0]), turn(s[1], v[1])];
        let w_square = tail[0] * tail[0] + tail[1] * tail[1];
        let w = w_square.sqrt();
        let e = if w > 1e-12 {
            tail.map(|tail| tail * (1.0 / w))
        } else {
            [1.0, 0.0]
        };
        let w0 = (1.0 + w_square).sqrt();
        let [v_along, v_across] = turned(e, v);
        Some(Scaling {
            e,
            kn: 1.0 / stiffness,
            near,
            w0,
            w,
            square: det_x * over_x * over_y,
            over: det_y * over_x * over_y,
            head: 1.0 / (1.0 + 2.0 * w_square),
            point: [
                w0 * self.r + w * v_along,
                w * self.r + w0 * v_along,
                v_across,
            ],
            inverse: [over_x * over_x, over_y * over_y],
        })
    }

    /// Returns the aim of the predictor: all products nil.
    #[inline]
    pub(super) fn predictor(&self, scaling: &Scaling) -> Aim {
        let [s_along, s_across] = turned(scaling.e, self.s);
        Aim {
            normal: [-self.y1, -self.y2],
            shear: [-1.0, s_along, s_across],
        }
    }

    /// Returns the aim of the corrector: all products `mu`, less what the predictor step makes of second order.
    #[inline]
    pub(super) fn corrector(&self, scaling: &Scaling, step: &Step, mu: f64) -> Aim {
        let plain = self.predictor(scaling);
        let [s_along, s_across] = turned(scaling.e, step.s);
        let [v_along, v_across] = turned(scaling.e, step.v);
        let (w0, w) = (scaling.w0, scaling.w);
        // The scale of the cone's turn falls out of all of this.
        let one = [w * s_along, -w0 * s_along, -s_across];
        let other = scaling.turn([step.r, v_along, v_across]);
        let product = [
            one[0] * other[0] + one[1] * other[1] + one[2] * other[2],
            one[0] * other[1] + one[1] * other[0],
            one[0] * other[2] + one[2] * other[0],
        ];
        let change = scaling.turn(scaling.divide([mu - product[0], -product[1], -product[2]]));
        Aim {
            normal: [
                plain.normal[0] + scaling.near[0] * (mu + step.y1 * step.q),
                plain.normal[1] + scaling.near[1] * (mu - step.y2 * step.q),
            ],
            shear: [
                plain.shear[0] + change[0],
                plain.shear[1] + change[1],
                plain.shear[2] + change[2],
            ],
        }
    }

    /// Returns the step of the node for a change of its velocities times area.
    #[inline]
    pub(super) fn step(&self, scaling: &Scaling, aim: &Aim, [u, v, w]: [f64; 3]) -> Step {
        let q = scaling.kn * (u - aim.normal[0] + aim.normal[1]);
        let [along, across] = turned(scaling.e, [v, w]);
        let mixed = 2.0 * scaling.w0 * scaling.w;
        let r = (aim.shear[0] * scaling.over - mixed * along) * scaling.head;
        let [_, still_along, still_across] = scaling.still(aim);
        let s_along = scaling.square * scaling.head * along + still_along;
        let s_across = scaling.square * across + still_across;
        Step {
            q,
            s: turned_back(scaling.e, [s_along, s_across]),
            y1: aim.normal[0] + self.y1 * q * scaling.near[0],
            y2: aim.normal[1] - self.y2 * q * scaling.near[1],
            r,
            v: [v, w],
        }
    }

    /// Returns one over how much of a step keeps the tractions, and the velocities, within their limits.
    #[inline]
    pub(super) fn strain(&self, scaling: &Scaling, step: &Step) -> [f64; 2] {
        let square = step.s[0] * step.s[0] + step.s[1] * step.s[1];
        let mixed = self.s[0] * step.s[0] + self.s[1] * step.s[1];
        let [over_x, over_y] = scaling.inverse;
        let root = (mixed * mixed * over_x + square).max(0.0) * over_x;
        let traction = (mixed * over_x + root.sqrt())
            .max(step.q * scaling.near[0])
            .max(-step.q * scaling.near[1]);
        let square = step.r * step.r - step.v[0] * step.v[0] - step.v[1] * step.v[1];
        let mixed = self.r * step.r - self.v[0] * step.v[0] - self.v[1] * step.v[1];
        // Without a root the cone is never left.
        let root = (mixed * mixed * over_y - square) * over_y;
        let cone = if root >= 0.0 {
            root.sqrt() - mixed * over_y
        } else {
            0.0
        };
        let over = 1.0 / (self.y1 * self.y2);
        let velocity = cone
            .max(-step.y1 * self.y2 * over)
            .max(-step.y2 * self.y1 * over);
        [traction, velocity]
    }

    /// Adds what a step makes of the products of complementarity.
    #[inline]
    pub(super) fn add_products(&self, bounds: Bounds, step: &Step, sum: &mut Products) {
        sum.tractions +=
            (self.y2 - self.y1) * step.q - step.s[0] * self.v[0] - step.s[1] * self.v[1];
        sum.velocities +=
            step.y1 * (bounds.tension - self.q) + step.y2 * (self.q + bounds.pressing) + step.r
                - self.s[0] * step.v[0]
                - self.s[1] * step.v[1];
        sum.both += (step.y2 - step.y1) * step.q - step.s[0] * step.v[0] - step.s[1] * step.v[1];
    }

    /// Goes a part of a step of the tractions and another of the velocities.
    #[inline]
    pub(super) fn go(&mut self, step: &Step, tractions: f64, velocities: f64) {
        self.q += tractions * step.q;
        self.y1 += velocities * step.y1;
        self.y2 += velocities * step.y2;
        self.r += velocities * step.r;
        for k in 0..2 {
            self.s[k] += tractions * step.s[k];
            self.v[k] += velocities * step.v[k];
        }
    }
}

impl Scaling {
    /// Adds `Bᵀ K B` of the node.
    #[inline]
    pub(super) fn stiffen(&self, [normal, first, second]: &Rows, matrix: &mut Matrix) {
        let mut rows = [[0.0; 6]; 2];
        for k in 0..6 {
            rows[0][k] = self.e[0] * first[k] + self.e[1] * second[k];
            rows[1][k] = self.e[0] * second[k] - self.e[1] * first[k];
        }
        let [along, across] = &rows;
        matrix.add_three(
            [self.kn, self.square * self.head, self.square],
            [normal, along, across],
        );
    }

    /// Returns the traction `K` times velocities times area.
    #[inline]
    pub(super) fn traction(&self, [u, v, w]: [f64; 3]) -> [f64; 3] {
        let [along, across] = turned(self.e, [v, w]);
        let shear = [self.square * self.head * along, self.square * across];
        let [first, second] = turned_back(self.e, shear);
        [self.kn * u, first, second]
    }

    /// Returns the tractions that a step has whatever the motion.
    #[inline]
    pub(super) fn unmoved(&self, aim: &Aim) -> [f64; 3] {
        let [normal, along, across] = self.still(aim);
        let [first, second] = turned_back(self.e, [along, across]);
        [normal, first, second]
    }

    /// The same, with the shear along and across.
    #[inline]
    fn still(&self, aim: &Aim) -> [f64; 3] {
        [
            self.kn * (aim.normal[1] - aim.normal[0]),
            2.0 * self.w0 * self.w * self.head * aim.shear[0] - aim.shear[1],
            -aim.shear[2],
        ]
    }

    #[inline]
    fn turn(&self, [head, along, across]: [f64; 3]) -> [f64; 3] {
        [
            self.w0 * head + self.w * along,
            self.w * head + self.w0 * along,
            across,
        ]
    }

    /// Solves `point ∘ x = value` in the algebra of the cone.
    #[inline]
    fn divide(&self, value: [f64; 3]) -> [f64; 3] {
        let point = self.point;
        let head =
            (point[0] * value[0] - point[1] * value[1] - point[2] * value[2]) * self.inverse[1];
        let over = 1.0 / point[0];
        [
            head,
            (value[1] - head * point[1]) * over,
            (value[2] - head * point[2]) * over,
        ]
    }
}

/// Returns the parts along and across a unit vector.
#[inline]
fn turned(e: [f64; 2], v: [f64; 2]) -> [f64; 2] {
    [e[0] * v[0] + e[1] * v[1], e[0] * v[1] - e[1] * v[0]]
}

#[inline]
fn turned_back(e: [f64; 2], [along, across]: [f64; 2]) -> [f64; 2] {
    [e[0] * along - e[1] * across, e[1] * along + e[0] * across]
}
