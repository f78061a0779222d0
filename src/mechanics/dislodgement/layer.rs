//! The nodes of the cement layer as the solvers take them: two by two, without tangents.
//!
//! What a node adds to the six equations depends on its place, its normal and its area alone, so shear is kept as a
//! vector in space. Places are told from the middle of the nodes in units of their mean distance from it, so that
//! velocity and rotation are of like size.

use super::linear::{Factor, Matrix, Six};
use super::node::{Bounds, Rows};
use super::pair::{Pair, Three, add, cross, dot, scale};
use crate::prep::Node;
use crate::vector::{self, Vector};

/// Two nodes. Of an odd number the last is joined by one without area.
#[derive(Clone, Copy, Debug)]
pub(super) struct Nodes {
    pub(super) place: Three,
    pub(super) normal: Three,
    /// In mm².
    pub(super) area: Pair,
}

/// All nodes, and what is known of them whatever the load.
#[derive(Clone, Debug)]
pub(super) struct Layer {
    pub(super) nodes: Vec<Nodes>,
    /// The tangents of each node, in which shear is told.
    pub(super) tangents: Vec<[Vector; 2]>,
    pub(super) bounds: Bounds,
    pub(super) area: f64,
    /// `Σ area (n, p × n)`: the wrench of a tension of one everywhere.
    pub(super) normal: Six,
    /// The sum over the shear of `area GᵀG`, G the velocities from the motion.
    pub(super) shear: Matrix,
    /// The same with the normal too, weighed by the mean of its limits.
    pub(super) whole: Factor,
    /// No motion of unit dissipation is longer than this.
    pub(super) reach: f64,
    middle: Vector,
    /// One over the unit of length, per mm.
    over: f64,
}

/// The lower triangle of a sum of stiffnesses: forces, moments over forces, moments.
#[derive(Clone, Copy)]
pub(super) struct Stiffness {
    forces: [Pair; 6],
    mixed: [Three; 3],
    moments: [Pair; 6],
}

/// A sum of forces and their moments.
#[derive(Clone, Copy)]
pub(super) struct Wrench {
    force: Three,
    moment: Three,
}

impl Layer {
    /// Returns none when the shear does not hold every motion, or the nodes are no numbers or have normals of another
    /// length than one.
    pub(super) fn new(abutments: &[Vec<Node>], bounds: Bounds) -> Option<Layer> {
        let all = || abutments.iter().flatten();
        let count = abutments.iter().map(Vec::len).sum::<usize>();
        let mut middle = [0.0; 3];
        for node in all() {
            middle = vector::add(middle, node.position);
        }
        if count == 0 {
            return None;
        }
        middle = vector::scale(1.0 / count as f64, middle);
        let squares: f64 = all()
            .map(|node| {
                let arm = vector::sub(node.position, middle);
                vector::dot(arm, arm)
            })
            .sum();
        let over = 1.0 / (squares / count as f64).sqrt();
        let mut tangents = Vec::with_capacity(count);
        tangents.extend(all().map(|node| node.tangents));
        let nodes = in_pairs(all(), count, middle, over);
        let mut normals = Wrench::ZERO;
        let (mut shear, mut pressing) = (Stiffness::ZERO, Stiffness::ZERO);
        let (mut area, mut farthest, mut skewed) = (Pair::ZERO, Pair::ZERO, Pair::ZERO);
        let mut least = Pair::ZERO;
        for node in &nodes {
            let pull = scale(node.area, node.normal);
            let [n0, n1, n2] = node.normal;
            let [xx, xy, yy] = [pull[0] * n0, pull[0] * n1, pull[1] * n1];
            let [xz, yz, zz] = [pull[0] * n2, pull[1] * n2, pull[2] * n2];
            normals.add(node.place, pull);
            pressing.add(node.place, [xx, xy, yy, xz, yz, zz]);
            let all = node.area;
            shear.add(node.place, [all - xx, -xy, all - yy, -xz, -yz, all - zz]);
            area += all;
            farthest = farthest.max(dot(node.place, node.place));
            least = least.min(all);
            skewed += (dot(node.normal, node.normal) - Pair::both(1.0)).abs();
        }
        let area = area.sum();
        // Compared so that no numbers fail too.
        if !(area.is_finite()
            && least.min(-least).sum() >= 0.0
            && skewed.sum() < 1e-9 * count as f64)
        {
            return None;
        }
        let shear = shear.matrix();
        let mut whole = shear;
        whole.add_matrix((bounds.tension + bounds.pressing) / 2.0, &pressing.matrix());
        // For a motion ξ the shear alone dissipates Σ a|s| ≥ Σ a|s|² / max|s|, where Σ a|s|² is |ξ|² over the stretch of
        // the inverse at least, and |s|² at most |ξ|² (1 + |p|²).
        let stretch = shear.factor()?.inverse_bound();
        Some(Layer {
            nodes,
            tangents,
            bounds,
            area,
            normal: normals.six(),
            shear,
            whole: whole.factor()?,
            reach: (1.0 + farthest.largest()).sqrt() * stretch,
            middle,
            over,
        })
    }

    /// Returns the memory of the nodes, in bytes.
    pub(super) fn bytes(&self) -> usize {
        size_of_val(self.nodes.as_slice()) + size_of_val(self.tangents.as_slice())
    }

    /// Returns a wrench about the origin, in N and N·mm, as one about the middle in units of length.
    pub(super) fn wrench(&self, [x, y, z, a, b, c]: &Six) -> Six {
        let force = [*x, *y, *z];
        let moment = vector::sub([*a, *b, *c], vector::cross(self.middle, force));
        let [a, b, c] = vector::scale(self.over, moment);
        [*x, *y, *z, a, b, c]
    }

    /// Returns a motion told at the origin as one told at the middle.
    pub(super) fn motion(&self, velocity: Vector, rotation: Vector) -> Six {
        let [x, y, z] = vector::add(velocity, vector::cross(rotation, self.middle));
        let [a, b, c] = vector::scale(1.0 / self.over, rotation);
        [x, y, z, a, b, c]
    }

    /// Returns velocity at the origin and rotation of a motion told at the middle.
    pub(super) fn plain_motion(&self, [x, y, z, a, b, c]: &Six) -> (Vector, Vector) {
        let rotation = vector::scale(self.over, [*a, *b, *c]);
        let turned = vector::cross(rotation, self.middle);
        (vector::sub([*x, *y, *z], turned), rotation)
    }

    /// Returns the rows that give the velocities of each node, normal and along both tangents, from a motion; and its area.
    pub(super) fn rows(&self) -> impl Iterator<Item = (Rows, f64)> {
        let lanes = self.nodes.iter().flat_map(|node| {
            [0, 1].map(|lane| {
                let of = |three: Three| three.map(|axis| axis.0[lane]);
                (of(node.place), of(node.normal), node.area.0[lane])
            })
        });
        lanes
            .zip(&self.tangents)
            .map(|((place, normal, area), [first, second])| {
                let rows = [normal, *first, *second].map(|direction| {
                    let [x, y, z] = direction;
                    let [a, b, c] = vector::cross(place, direction);
                    [x, y, z, a, b, c]
                });
                (rows, area)
            })
    }

    /// Returns velocity along the normal, speed along the surface and area of each node under a motion.
    pub(super) fn speeds(&self, motion: &Six) -> impl Iterator<Item = [f64; 3]> {
        let moving = Moving::new(motion);
        let pairs = self.nodes.iter().flat_map(move |node| {
            let (open, slide) = moving.at(node);
            let slide = dot(slide, slide).sqrt();
            [0, 1].map(|lane| [open.0[lane], slide.0[lane], node.area.0[lane]])
        });
        pairs.take(self.tangents.len())
    }

    /// Returns what a motion dissipates.
    pub(super) fn dissipation(&self, motion: &Six) -> f64 {
        let moving = Moving::new(motion);
        let limits = self.bounds.pairs();
        let mut sum = Pair::ZERO;
        for node in &self.nodes {
            let (open, slide) = moving.at(node);
            sum += node.area * (dot(slide, slide).sqrt() + limits.dissipation(open));
        }
        sum.sum()
    }
}

fn in_pairs<'a>(
    all: impl Iterator<Item = &'a Node>,
    count: usize,
    middle: Vector,
    over: f64,
) -> Vec<Nodes> {
    let mut nodes: Vec<Nodes> = Vec::with_capacity(count.div_ceil(2));
    for (index, node) in all.enumerate() {
        let place = vector::scale(over, vector::sub(node.position, middle));
        match nodes.last_mut() {
            Some(last) if index % 2 == 1 => {
                for (pair, value) in last.place.iter_mut().zip(place) {
                    pair.0[1] = value;
                }
                for (pair, value) in last.normal.iter_mut().zip(node.normal) {
                    pair.0[1] = value;
                }
                last.area.0[1] = node.area;
            }
            _ => nodes.push(Nodes {
                place: place.map(|x| Pair([x, 0.0])),
                // The same normal for one without area: it has to be a unit vector.
                normal: node.normal.map(Pair::both),
                area: Pair([node.area, 0.0]),
            }),
        }
    }
    nodes
}

/// A motion, to be asked node by node.
#[derive(Clone, Copy)]
pub(super) struct Moving {
    velocity: Three,
    rotation: Three,
}

impl Moving {
    pub(super) fn new(motion: &Six) -> Moving {
        let [x, y, z, a, b, c] = motion.map(Pair::both);
        Moving {
            velocity: [x, y, z],
            rotation: [a, b, c],
        }
    }

    /// Returns the velocity along the normal, opening positive, and that along the surface.
    #[inline(always)]
    pub(super) fn at(&self, node: &Nodes) -> (Pair, Three) {
        let velocity = add(self.velocity, cross(self.rotation, node.place));
        let open = dot(velocity, node.normal);
        (open, super::pair::less(velocity, open, node.normal))
    }
}

/// The limits of the normal traction: `middle - half` to `middle + half`.
#[derive(Clone, Copy)]
pub(super) struct PairBounds {
    tension: Pair,
    pressing: Pair,
    pub(super) middle: Pair,
    pub(super) half: Pair,
}

impl Bounds {
    pub(super) fn pairs(self) -> PairBounds {
        PairBounds {
            tension: Pair::both(self.tension),
            pressing: Pair::both(self.pressing),
            middle: Pair::both(self.middle()),
            half: Pair::both(self.half()),
        }
    }

    /// The middle of the limits of the normal traction.
    pub(super) fn middle(self) -> f64 {
        (self.tension - self.pressing) / 2.0
    }

    /// Half the way between them.
    pub(super) fn half(self) -> f64 {
        (self.tension + self.pressing) / 2.0
    }
}

impl PairBounds {
    #[inline(always)]
    pub(super) fn dissipation(&self, open: Pair) -> Pair {
        (self.tension * open).max(-self.pressing * open)
    }
}

impl Wrench {
    pub(super) const ZERO: Wrench = Wrench {
        force: [Pair::ZERO; 3],
        moment: [Pair::ZERO; 3],
    };

    /// Adds a force at a place.
    #[inline(always)]
    pub(super) fn add(&mut self, place: Three, force: Three) {
        self.force = add(self.force, force);
        self.moment = add(self.moment, cross(place, force));
    }

    pub(super) fn six(&self) -> Six {
        let [x, y, z] = self.force.map(Pair::sum);
        let [a, b, c] = self.moment.map(Pair::sum);
        [x, y, z, a, b, c]
    }
}

impl Stiffness {
    pub(super) const ZERO: Stiffness = Stiffness {
        forces: [Pair::ZERO; 6],
        mixed: [[Pair::ZERO; 3]; 3],
        moments: [Pair::ZERO; 6],
    };

    /// Adds a stiffness in space, in the order xx, xy, yy, xz, yz, zz, at a place.
    ///
    /// With `[p]` the matrix of the cross product the mixed part is `[p] K` and the moments are `[p] K [p]ᵀ`.
    #[inline(always)]
    pub(super) fn add(&mut self, place: Three, stiffness: [Pair; 6]) {
        let [xx, xy, yy, xz, yz, zz] = stiffness;
        for (sum, value) in self.forces.iter_mut().zip(stiffness) {
            *sum += value;
        }
        let [x, y, z] = place;
        let first = [y * xz - z * xy, y * yz - z * yy, y * zz - z * yz];
        let second = [z * xx - x * xz, z * xy - x * yz, z * xz - x * zz];
        let third = [x * xy - y * xx, x * yy - y * xy, x * yz - y * xz];
        self.mixed = [
            add(self.mixed[0], first),
            add(self.mixed[1], second),
            add(self.mixed[2], third),
        ];
        let moments = [
            y * first[2] - z * first[1],
            y * second[2] - z * second[1],
            z * second[0] - x * second[2],
            y * third[2] - z * third[1],
            z * third[0] - x * third[2],
            x * third[1] - y * third[0],
        ];
        for (sum, value) in self.moments.iter_mut().zip(moments) {
            *sum += value;
        }
    }

    pub(super) fn matrix(&self) -> Matrix {
        let [xx, xy, yy, xz, yz, zz] = self.forces.map(Pair::sum);
        let [aa, ab, bb, ac, bc, cc] = self.moments.map(Pair::sum);
        let [[ax, ay, az], [bx, by, bz], [cx, cy, cz]] = self.mixed.map(|row| row.map(Pair::sum));
        Matrix::lower([
            [xx, 0.0, 0.0, 0.0, 0.0, 0.0],
            [xy, yy, 0.0, 0.0, 0.0, 0.0],
            [xz, yz, zz, 0.0, 0.0, 0.0],
            [ax, ay, az, aa, 0.0, 0.0],
            [bx, by, bz, ab, bb, 0.0],
            [cx, cy, cz, ac, bc, cc],
        ])
    }
}
