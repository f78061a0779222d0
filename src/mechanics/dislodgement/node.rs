//! One node in the interior point method: its state, its scaling, its increments.
//!
//! Tractions: `q` along the normal, tension positive, `-κ < q < τ`; shear `s`, `|s| < 1`. Against them stand the
//! velocities times area: `u = y₁ - y₂` along the normal, opening positive, `y₁` against the limit of tension and `y₂`
//! against that of pressing; `v` along the surface under the cone `|v| < r`. At the optimum `y₁ (τ - q)`,
//! `y₂ (κ + q)` and `r - s·v` vanish; on the way they are kept alike.

use super::linear::{Matrix, Six, add, dot};

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
/// the scaling of the cone is a hyperbolic turn `(w0, w)` times `eta`.
#[derive(Clone, Copy, Debug)]
pub(super) struct Scaling {
    rows: Rows,
    e: [f64; 2],
    /// Normal stiffness.
    kn: f64,
    eta: f64,
    w0: f64,
    w: f64,
    /// The scaled point: time part, along, across.
    point: [f64; 3],
    /// `point₀² - |point₁|²`.
    det: f64,
}

/// The right-hand side of a step in a node: what the complementarity products are to become.
#[derive(Clone, Copy, Debug)]
pub(super) struct Aim {
    /// Aims of the two normal products, less what they are.
    normal: [f64; 2],
    /// Time part, along, across.
    shear: [f64; 3],
}

impl State {
    /// Returns the state on the central path for given velocities times area.
    ///
    /// From `y₁(τ - q) = y₂(κ + q) = μ` with `y₁ - y₂ = u`, and `(r, v) = μ (1, s) / (1 - |s|²)`.
    pub(super) fn central(u: f64, v: [f64; 2], bounds: Bounds, mu: f64) -> State {
        // With half the width c and p from the middle: μ/(c-p) - μ/(c+p) = u, so p = u c² / (μ + sqrt(μ² + u² c²)).
        let half = (bounds.tension + bounds.pressing) / 2.0;
        let root = mu.hypot(u * half);
        // c - p without its cancellation, since 2 (μ + root) (root + |u| c) is (μ + root + |u| c)².
        let near = half * (2.0 * mu / (mu + root + u.abs() * half)).max(1e-12);
        let far = 2.0 * half - near;
        let (to_tension, to_pressing) = if u >= 0.0 { (near, far) } else { (far, near) };
        let speed = v[0].hypot(v[1]);
        let slope = 2.0 / (mu + mu.hypot(2.0 * speed));
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

    pub(super) fn complementarity(&self, bounds: Bounds) -> f64 {
        self.y1 * (bounds.tension - self.q) + self.y2 * (self.q + bounds.pressing) + self.r
            - self.s[0] * self.v[0]
            - self.s[1] * self.v[1]
    }

    /// Returns the traction in the order of the rows.
    pub(super) fn traction(&self) -> [f64; 3] {
        [self.q, self.s[0], self.s[1]]
    }

    /// Returns the scaling, none where the state has left the interior.
    pub(super) fn scaling(&self, rows: &Rows, bounds: Bounds) -> Option<Scaling> {
        let stiffness = self.y1 / (bounds.tension - self.q) + self.y2 / (self.q + bounds.pressing);
        let [s, v] = [self.s, self.v];
        let (shear, speed) = (s[0].hypot(s[1]), v[0].hypot(v[1]));
        let det_x = (1.0 - shear) * (1.0 + shear);
        let det_y = (self.r - speed) * (self.r + speed);
        if !(stiffness > 0.0 && det_x > 0.0 && det_y > 0.0) {
            return None;
        }
        let (root_x, root_y) = (det_x.sqrt(), det_y.sqrt());
        let along = s[0] * v[0] + s[1] * v[1];
        let gamma = ((1.0 + (self.r - along) / (root_x * root_y)) / 2.0).sqrt();
        let turn = |s: f64, v: f64| -(s / root_x + v / root_y) / (2.0 * gamma);
        let tail = [turn(s[0], v[0]), turn(s[1], v[1])];
        let w = tail[0].hypot(tail[1]);
        let e = if w > 1e-12 {
            [tail[0] / w, tail[1] / w]
        } else {
            [1.0, 0.0]
        };
        let w0 = w.hypot(1.0);
        let eta = (root_x / root_y).sqrt();
        let [v_along, v_across] = turned(e, v);
        let [first, second] = [&rows[1], &rows[2]];
        let mut turned_rows = [rows[0], [0.0; 6], [0.0; 6]];
        for k in 0..6 {
            turned_rows[1][k] = e[0] * first[k] + e[1] * second[k];
            turned_rows[2][k] = e[0] * second[k] - e[1] * first[k];
        }
        Some(Scaling {
            rows: turned_rows,
            e,
            kn: 1.0 / stiffness,
            eta,
            w0,
            w,
            point: [
                eta * (w0 * self.r + w * v_along),
                eta * (w * self.r + w0 * v_along),
                eta * v_across,
            ],
            det: root_x * root_y,
        })
    }

    /// Returns the aim of the predictor: all products nil.
    pub(super) fn predictor(&self, scaling: &Scaling, bounds: Bounds) -> Aim {
        let [s_along, s_across] = turned(scaling.e, self.s);
        Aim {
            normal: [
                -self.y1 * (bounds.tension - self.q),
                -self.y2 * (self.q + bounds.pressing),
            ],
            shear: [-1.0, s_along, s_across],
        }
    }

    /// Returns the aim of the corrector: all products `mu`, less what the predictor step makes of second order.
    pub(super) fn corrector(&self, scaling: &Scaling, bounds: Bounds, step: &Step, mu: f64) -> Aim {
        let plain = self.predictor(scaling, bounds);
        let normal = [
            plain.normal[0] + mu + step.y1 * step.q,
            plain.normal[1] + mu - step.y2 * step.q,
        ];
        let [s_along, s_across] = turned(scaling.e, step.s);
        let [v_along, v_across] = turned(scaling.e, step.v);
        let one = scaling.unscale([0.0, -s_along, -s_across]);
        let other = scaling.scale([step.r, v_along, v_across]);
        let product = [
            one[0] * other[0] + one[1] * other[1] + one[2] * other[2],
            one[0] * other[1] + one[1] * other[0],
            one[0] * other[2] + one[2] * other[0],
        ];
        let wanted = scaling.divide([mu - product[0], -product[1], -product[2]]);
        let change = scaling.scale(wanted);
        Aim {
            normal,
            shear: [
                plain.shear[0] + change[0],
                plain.shear[1] + change[1],
                plain.shear[2] + change[2],
            ],
        }
    }

    /// Returns the step of the node for a step of the motion.
    pub(super) fn step(&self, scaling: &Scaling, bounds: Bounds, aim: &Aim, motion: &Six) -> Step {
        let [du, along, across] = scaling.rows.map(|row| dot(&row, motion));
        let (z1, z2) = (bounds.tension - self.q, self.q + bounds.pressing);
        let q = scaling.kn * (du - aim.normal[0] / z1 + aim.normal[1] / z2);
        let square = scaling.eta * scaling.eta;
        let head = 1.0 + 2.0 * scaling.w * scaling.w;
        let mixed = 2.0 * scaling.w0 * scaling.w;
        let r = (aim.shear[0] / square - mixed * along) / head;
        let s_along = square / head * along + mixed / head * aim.shear[0] - aim.shear[1];
        let s_across = square * across - aim.shear[2];
        Step {
            q,
            s: turned_back(scaling.e, [s_along, s_across]),
            y1: (aim.normal[0] + self.y1 * q) / z1,
            y2: (aim.normal[1] - self.y2 * q) / z2,
            r,
            v: turned_back(scaling.e, [along, across]),
        }
    }

    /// Returns how much of a step keeps the tractions, and the velocities, within their limits.
    pub(super) fn room(&self, bounds: Bounds, step: &Step) -> [f64; 2] {
        let linear = |value: f64, change: f64| {
            if change < 0.0 {
                -value / change
            } else {
                f64::INFINITY
            }
        };
        let root = |value: f64, denominator: f64| {
            if denominator > 0.0 {
                value / denominator
            } else {
                f64::INFINITY
            }
        };
        let shear = self.s[0].hypot(self.s[1]);
        let left = (1.0 - shear) * (1.0 + shear);
        let square = step.s[0] * step.s[0] + step.s[1] * step.s[1];
        let mixed = self.s[0] * step.s[0] + self.s[1] * step.s[1];
        let traction = root(left, mixed + (mixed * mixed + square * left).sqrt())
            .min(linear(bounds.tension - self.q, -step.q))
            .min(linear(self.q + bounds.pressing, step.q));
        let speed = self.v[0].hypot(self.v[1]);
        let left = (self.r - speed) * (self.r + speed);
        let square = step.r * step.r - step.v[0] * step.v[0] - step.v[1] * step.v[1];
        let mixed = self.r * step.r - self.v[0] * step.v[0] - self.v[1] * step.v[1];
        let discriminant = mixed * mixed - square * left;
        let cone = if discriminant >= 0.0 {
            root(left, discriminant.sqrt() - mixed)
        } else {
            f64::INFINITY
        };
        let velocity = cone
            .min(linear(self.y1, step.y1))
            .min(linear(self.y2, step.y2));
        [traction, velocity]
    }

    /// Returns the state after a part of a step of the tractions and another of the velocities.
    pub(super) fn moved(&self, step: &Step, tractions: f64, velocities: f64) -> State {
        State {
            q: self.q + tractions * step.q,
            s: [
                self.s[0] + tractions * step.s[0],
                self.s[1] + tractions * step.s[1],
            ],
            y1: self.y1 + velocities * step.y1,
            y2: self.y2 + velocities * step.y2,
            r: self.r + velocities * step.r,
            v: [
                self.v[0] + velocities * step.v[0],
                self.v[1] + velocities * step.v[1],
            ],
        }
    }
}

impl Scaling {
    /// Adds `Bᵀ K B` of the node.
    pub(super) fn stiffen(&self, matrix: &mut Matrix) {
        let [normal, along, across] = self.stiffness();
        matrix.add(normal, &self.rows[0]);
        matrix.add(along, &self.rows[1]);
        matrix.add(across, &self.rows[2]);
    }

    fn stiffness(&self) -> [f64; 3] {
        let square = self.eta * self.eta;
        [self.kn, square / (1.0 + 2.0 * self.w * self.w), square]
    }

    /// Returns the traction `K B y` in the order of the node's own rows.
    pub(super) fn traction(&self, motion: &Six) -> [f64; 3] {
        let stiffness = self.stiffness();
        let [q, along, across] = [0, 1, 2].map(|k| stiffness[k] * dot(&self.rows[k], motion));
        let [first, second] = turned_back(self.e, [along, across]);
        [q, first, second]
    }

    /// Adds `-Bᵀ` times the tractions that a step has whatever the motion.
    pub(super) fn load(&self, state: &State, bounds: Bounds, aim: &Aim, sum: &mut Six) {
        let still = state.step(self, bounds, aim, &[0.0; 6]);
        let [along, across] = turned(self.e, still.s);
        add(sum, -still.q, &self.rows[0]);
        add(sum, -along, &self.rows[1]);
        add(sum, -across, &self.rows[2]);
    }

    fn scale(&self, [head, along, across]: [f64; 3]) -> [f64; 3] {
        [
            self.eta * (self.w0 * head + self.w * along),
            self.eta * (self.w * head + self.w0 * along),
            self.eta * across,
        ]
    }

    fn unscale(&self, [head, along, across]: [f64; 3]) -> [f64; 3] {
        [
            (self.w0 * head - self.w * along) / self.eta,
            (self.w0 * along - self.w * head) / self.eta,
            across / self.eta,
        ]
    }

    /// Solves `point ∘ x = value` in the algebra of the cone.
    fn divide(&self, value: [f64; 3]) -> [f64; 3] {
        let point = self.point;
        let head = (point[0] * value[0] - point[1] * value[1] - point[2] * value[2]) / self.det;
        [
            head,
            (value[1] - head * point[1]) / point[0],
            (value[2] - head * point[2]) / point[0],
        ]
    }
}

/// Returns the parts along and across a unit vector.
fn turned(e: [f64; 2], v: [f64; 2]) -> [f64; 2] {
    [e[0] * v[0] + e[1] * v[1], e[0] * v[1] - e[1] * v[0]]
}

fn turned_back(e: [f64; 2], [along, across]: [f64; 2]) -> [f64; 2] {
    [e[0] * along - e[1] * across, e[1] * along + e[0] * across]
}
