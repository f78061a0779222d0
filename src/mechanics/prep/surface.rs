//! The nodes of a preparation's surface, with exact normals and area weights.

use std::f64::consts::{FRAC_1_SQRT_2, TAU};

use super::curve::{CurvePoint, unit_curve};
use super::{Axis, GROOVE_ABOVE_MARGIN, Groove, PrepError, PrepSide, Preparation, Wall};
use crate::vector::{Vector, add, cross, length, scale, sub, unit};

/// What a node belongs to.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Part {
    /// A wall.
    Axial,
    /// The top.
    Top,
    /// The ledge of the margin outside the walls.
    Ledge,
    /// A wall of a groove or box.
    Groove,
}

/// A node of the surface, in the axes of its tooth or of the restoration.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Node {
    /// Where it lies, in mm.
    pub position: Vector,
    /// Unit normal, from the tooth to the restoration.
    pub normal: Vector,
    /// Two unit tangents, square to each other and to the normal.
    pub tangents: [Vector; 2],
    /// The area it stands for, in mm².
    pub area: f64,
    /// What it belongs to.
    pub part: Part,
}

/// How many nodes a surface gets: collocation nodes that include the margin line and the top edge.
///
/// Round the tooth evenly with the trapezium rule; up the wall and out over the top in panels of three Gauss–Lobatto
/// nodes, which is Simpson's rule.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Mesh {
    around: usize,
    up: u32,
    out: u32,
}

impl Mesh {
    /// 16 nodes round × 3 up, and 16 × 2 on the top. What is held stands within 1.5 % of [`Mesh::FINE`] where the cement
    /// is pulled and sheared, and up to 13 % below it where the wall is pressed near its edges.
    pub const USUAL: Mesh = Mesh {
        around: 16,
        up: 1,
        out: 1,
    };

    /// 16 nodes round × 5 up, and 16 × 2 on the top. What is held stands within 2.5 % of [`Mesh::FINE`].
    pub const CLOSE: Mesh = Mesh {
        up: 2,
        ..Mesh::USUAL
    };

    /// 32 nodes round × 9 up, and 32 × 4 on the top. What is held stands within 1.5 % of [`Mesh::FINE`], at a tenth of the
    /// work: for comparing with on many shapes.
    pub const DENSE: Mesh = Mesh {
        around: 32,
        up: 4,
        out: 2,
    };

    /// 96 nodes round × 17 up, and 96 × 16 on the top, to compare with.
    pub const FINE: Mesh = Mesh {
        around: 96,
        up: 8,
        out: 8,
    };
}

/// Returns nodes and weights on 0 to 1.
fn simpson(panels: u32) -> impl Iterator<Item = (f64, f64)> {
    let last = 2 * panels;
    (0..=last).map(move |at| {
        let weight = match at {
            0 => 1.0,
            _ if at == last => 1.0,
            _ if at % 2 == 1 => 4.0,
            _ => 2.0,
        };
        (
            f64::from(at) / f64::from(last),
            weight / f64::from(6 * panels),
        )
    })
}

/// The surface of a preparation as nodes.
#[derive(Clone, PartialEq, Debug)]
pub struct Surface {
    /// Round the tooth from mesial over facial, on the walls; then on the top; then in grooves.
    pub nodes: Vec<Node>,
}

impl Surface {
    /// Returns the area of one part, in mm².
    pub fn area(&self, part: Part) -> f64 {
        self.nodes
            .iter()
            .filter(|node| node.part == part)
            .map(|node| node.area)
            .sum()
    }
}

/// The surface at one angle round the tooth: `P(u) = (u cx + (a - u rx) C, u cy + (b - u ry) S, m + u h)` on the point
/// (C, S) of the unit curve, with what each wall recedes by (r), and the shift c of the middle of the top.
#[derive(Clone, Copy, Debug)]
pub(super) struct Meridian {
    curve: CurvePoint,
    /// The half-widths of the base, in mm.
    half: [f64; 2],
    /// What they lose up to the top, in mm.
    recedes: [f64; 2],
    /// Where the middle of the top stands, in mm.
    shift: [f64; 2],
    /// How far the ledge reaches outside the base, along x and along y, in mm.
    ledge: [f64; 2],
    height: f64,
    margin: f64,
    /// Change of height and margin level per radian.
    change: [f64; 2],
}

/// A point of a surface.
#[derive(Clone, Copy, Debug)]
pub(super) struct Patch {
    pub(super) position: Vector,
    /// The exact normal; its length is the area per unit of both parameters.
    pub(super) normal: Vector,
    /// A direction in the surface.
    pub(super) tangent: Vector,
}

impl Preparation {
    /// Returns the surface as nodes.
    ///
    /// Hollow walls end at their straight height. The top joins the rim to the mean of its four points in the middle of
    /// the walls by straight lines. Where the margin has a width, its ledge lies level outside the base.
    ///
    /// # Errors
    ///
    /// See [`PrepError`].
    pub fn surface(&self, mesh: Mesh) -> Result<Surface, PrepError> {
        self.check()?;
        let meridians = self.meridians(mesh.around, Wall::holding_height);
        let step = TAU / mesh.around as f64;
        let mut nodes = Vec::with_capacity(mesh.around * (2 * mesh.up + 2 * mesh.out + 3) as usize);
        for meridian in &meridians {
            for (up, weight) in simpson(mesh.up) {
                nodes.extend(node(meridian.wall(up), weight * step, Part::Axial));
            }
        }
        let centre = self.top_centre(Wall::holding_height);
        for meridian in &meridians {
            let patch = meridian.top(centre)?;
            // The area per radian is in proportion to the option, and nil in the centre.
            for (out, weight) in simpson(mesh.out).skip(1) {
                let place = Patch {
                    position: add(scale(out, patch.position), scale(1.0 - out, centre)),
                    ..patch
                };
                nodes.extend(node(place, weight * step * out, Part::Top));
            }
        }
        if self.walls.iter().any(|wall| wall.depth > 0.0) {
            for meridian in &meridians {
                for out in [0.0, 1.0] {
                    nodes.extend(node(meridian.ledge(out), step / 2.0, Part::Ledge));
                }
            }
        }
        for groove in &self.grooves {
            self.groove(groove, mesh, &mut nodes);
        }
        Ok(Surface { nodes })
    }

    /// Returns meridians evenly round the tooth, the first at mesial. The count is a multiple of eight.
    pub(super) fn meridians(&self, count: usize, height: fn(&Wall) -> f64) -> Vec<Meridian> {
        (0..count)
            .map(|at| self.meridian(sin_cos(at, count), height))
            .collect()
    }

    fn meridian(&self, (sin, cos): (f64, f64), height: fn(&Wall) -> f64) -> Meridian {
        let axes = [
            (self.mesiodistal, cos, Axis::X),
            (self.faciolingual, sin, Axis::Y),
        ]
        .map(|(width, toward, axis)| self.along(axis, width / 2.0, toward, height));
        let [x, y] = &axes;
        let (one, two) = (cos * cos, sin * sin);
        // The weights cos² and sin² change by -2 sin cos and 2 sin cos.
        let rate = 2.0 * sin * cos;
        Meridian {
            curve: unit_curve(self.exponent, (sin, cos)),
            half: [x.half, y.half],
            recedes: [x.recedes, y.recedes],
            shift: [x.shift, y.shift],
            ledge: [x.ledge, y.ledge],
            height: x.height * one + y.height * two,
            margin: x.margin * one + y.margin * two,
            change: [rate * (y.height - x.height), rate * (y.margin - x.margin)],
        }
    }

    /// Returns what the wall on one side of an axis gives; between both, where the axis is crossed, the mean.
    fn along(&self, axis: Axis, half: f64, toward: f64, height: fn(&Wall) -> f64) -> AlongAxis {
        let [plus, minus] = self.on_axis(axis);
        let [plus_recedes, minus_recedes] =
            [plus, minus].map(|wall| height(wall) * wall.taper.to_radians().tan());
        let shift = top_shift(half, [plus_recedes, minus_recedes]);
        let one = |wall: &Wall, recedes: f64| AlongAxis {
            half,
            recedes,
            shift,
            ledge: wall.depth,
            height: height(wall),
            margin: wall.margin,
        };
        let plus = one(plus, plus_recedes + shift);
        let minus = one(minus, minus_recedes - shift);
        if toward > 0.0 {
            plus
        } else if toward < 0.0 {
            minus
        } else {
            AlongAxis {
                recedes: f64::midpoint(plus.recedes, minus.recedes),
                ledge: f64::midpoint(plus.ledge, minus.ledge),
                ..plus
            }
        }
    }

    /// Returns how the walls face and how high they are, 16 times round the prep, at foot and rim: each wall in its middle
    /// and on towards both corners. A corner counts to both of its walls.
    pub fn facings(&self) -> Vec<Facing> {
        let full = |wall: &Wall| wall.height;
        let mut list = Vec::with_capacity(40);
        for (at, meridian) in self.meridians(AROUND, full).iter().enumerate() {
            for up in [0.0, 1.0] {
                let Some(normal) = unit(meridian.wall(up).normal) else {
                    continue;
                };
                // Sides stand at every fourth; half-way between two lies their corner.
                let [near, far] = [(at + 2) / 4, (at + 1) / 4].map(|quarter| quarter % 4);
                let sides = if near == far {
                    vec![near]
                } else {
                    vec![near, far]
                };
                list.extend(sides.into_iter().filter_map(|side| {
                    Some(Facing {
                        side: *PrepSide::ALL.get(side)?,
                        normal,
                        height: meridian.height,
                    })
                }));
            }
        }
        list
    }

    pub(super) fn top_centre(&self, height: fn(&Wall) -> f64) -> Vector {
        let mut sum = [0.0; 3];
        for meridian in self.meridians(4, height) {
            sum = add(sum, meridian.wall(1.0).position);
        }
        scale(0.25, sum)
    }

    fn groove(&self, groove: &Groove, mesh: Mesh, nodes: &mut Vec<Node>) {
        let (cos, sin) = groove.side.direction();
        let meridian = self.meridian((sin, cos), |wall| wall.height);
        let height = meridian.height;
        let from = GROOVE_ABOVE_MARGIN / height;
        let (across, out) = ([-sin, cos, 0.0], [cos, sin, 0.0]);
        for sign in [1.0, -1.0] {
            // The tooth lies beyond the groove's wall, so the normal points into the groove.
            let normal = scale(-sign, across);
            for (up, weight) in simpson(mesh.up) {
                let patch = meridian.wall(from + (1.0 - from) * up);
                let edge = add(patch.position, scale(sign * groove.width / 2.0, across));
                for depth in [0.0, groove.depth] {
                    nodes.push(Node {
                        position: sub(edge, scale(depth, out)),
                        normal,
                        tangents: [[0.0, 0.0, 1.0], out],
                        area: weight * (height - GROOVE_ABOVE_MARGIN) * groove.depth / 2.0,
                        part: Part::Groove,
                    });
                }
            }
        }
    }
}

/// How a wall faces somewhere on it.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Facing {
    /// The wall.
    pub side: PrepSide,
    /// The outward unit normal, in local axes.
    pub normal: Vector,
    /// The height of the wall there, in mm.
    pub height: f64,
}

/// Meridians by which a path looks at a prep.
const AROUND: usize = 16;

/// The part of a meridian that one axis gives.
struct AlongAxis {
    half: f64,
    recedes: f64,
    shift: f64,
    ledge: f64,
    height: f64,
    margin: f64,
}

/// Returns how far the middle of the top stands off that of the base along an axis: not at all while each wall ends on its
/// own side of it by a tenth of the top, else just so far.
fn top_shift(half: f64, [plus, minus]: [f64; 2]) -> f64 {
    let least = 0.1 * (2.0 * half - plus - minus);
    (least - (half - minus)).max(0.0) + (half - plus - least).min(0.0)
}

impl Meridian {
    /// Returns the wall at a part of its height, 0 to 1.
    pub(super) fn wall(&self, up: f64) -> Patch {
        let [height, margin] = self.change;
        let round = self.round(
            |axis| self.half[axis] - up * self.recedes[axis],
            margin + up * height,
        );
        let level = |axis: usize| self.shift[axis] - self.recedes[axis] * self.curve.point[axis];
        let rise = [level(0), level(1), self.height];
        Patch {
            position: [
                up * self.shift[0] + (self.half[0] - up * self.recedes[0]) * self.curve.point[0],
                up * self.shift[1] + (self.half[1] - up * self.recedes[1]) * self.curve.point[1],
                self.margin + up * self.height,
            ],
            normal: cross(round, rise),
            tangent: rise,
        }
    }

    /// Returns the ledge of the margin at a part of its width, 0 at the foot of the wall.
    pub(super) fn ledge(&self, out: f64) -> Patch {
        let half = |axis: usize| self.half[axis] + out * self.ledge[axis];
        let outward = [
            self.ledge[0] * self.curve.point[0],
            self.ledge[1] * self.curve.point[1],
            0.0,
        ];
        Patch {
            position: [
                half(0) * self.curve.point[0],
                half(1) * self.curve.point[1],
                self.margin,
            ],
            normal: cross(outward, self.round(half, self.change[1])),
            tangent: outward,
        }
    }

    /// Returns how a point moves per radian round the tooth.
    fn round(&self, half: impl Fn(usize) -> f64, climb: f64) -> Vector {
        let [dx, dy] = self.curve.change;
        [half(0) * dx, half(1) * dy, climb]
    }

    /// Returns the top at its rim. The area is per radian and per unit of the way from the centre, at the rim; inwards it
    /// falls in proportion.
    ///
    /// # Errors
    ///
    /// [`PrepError::NoTop`] where the rim runs backwards as seen from the centre.
    pub(super) fn top(&self, centre: Vector) -> Result<Patch, PrepError> {
        let [height, margin] = self.change;
        let rim = self.wall(1.0).position;
        let spoke = sub(rim, centre);
        let round = self.round(|axis| self.half[axis] - self.recedes[axis], margin + height);
        let normal = cross(spoke, round);
        if normal[2] > 0.0 {
            Ok(Patch {
                position: rim,
                normal,
                tangent: spoke,
            })
        } else {
            Err(PrepError::NoTop)
        }
    }
}

/// Returns a node, none where the surface has no extent.
fn node(patch: Patch, weight: f64, part: Part) -> Option<Node> {
    let area = weight * length(patch.normal);
    let normal = unit(patch.normal)?;
    let first = unit(patch.tangent)?;
    Some(Node {
        position: patch.position,
        normal,
        tangents: [first, cross(normal, first)],
        area,
        part,
    })
}

/// Returns sine and cosine of a part of the turn, exact at the eighths so that like walls give like nodes.
fn sin_cos(at: usize, count: usize) -> (f64, f64) {
    const DIAGONAL: f64 = FRAC_1_SQRT_2;
    if !(8 * at).is_multiple_of(count) {
        return (TAU * at as f64 / count as f64).sin_cos();
    }
    match 8 * at / count {
        0 => (0.0, 1.0),
        1 => (DIAGONAL, DIAGONAL),
        2 => (1.0, 0.0),
        3 => (DIAGONAL, -DIAGONAL),
        4 => (0.0, -1.0),
        5 => (-DIAGONAL, -DIAGONAL),
        6 => (-1.0, 0.0),
        _ => (-DIAGONAL, DIAGONAL),
    }
}
