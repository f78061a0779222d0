//! The nodes of a preparation's surface, with exact normals and area weights.

use std::f64::consts::{FRAC_1_SQRT_2, TAU};

use super::curve::CurvePoint;
use super::{Axis, GROOVE_ABOVE_MARGIN, Groove, PrepError, Preparation, Profile, Side, Wall};
use crate::mechanics::vector::{Vector, add, cross, length, scale, sub, unit};

/// What a node belongs to.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Part {
    /// A wall.
    Axial,
    /// The top.
    Top,
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

/// The surface at one angle round the tooth.
#[derive(Clone, Copy, Debug)]
pub(super) struct Meridian {
    base: CurvePoint,
    /// Mean curvature of the base from half-way to the last meridian to half-way to the next.
    curvature: f64,
    pub(super) profile: Profile,
    /// Change of height, of height times tangent of the taper, and of the margin level, per radian.
    change: [f64; 3],
}

/// A point of a surface.
#[derive(Clone, Copy, Debug)]
pub(super) struct Patch {
    pub(super) position: Vector,
    /// The exact normal, of any length.
    pub(super) normal: Vector,
    /// The normal whose length is the area per unit of both parameters, by the mean curvature: so the base turns by 2π
    /// in all and areas add up as they should, although the curvature has a cusp in the middle of a wall.
    pub(super) area: Vector,
    /// A direction in the surface.
    pub(super) tangent: Vector,
}

impl Preparation {
    /// Returns the surface as nodes.
    ///
    /// Hollow walls end at their straight height. The top joins the rim to the mean of its four points in the middle of
    /// the walls by straight lines.
    ///
    /// # Errors
    ///
    /// See [`PrepError`].
    pub fn surface(&self, mesh: Mesh) -> Result<Surface, PrepError> {
        self.check()?;
        let meridians = self.meridians(mesh.around, Wall::holding_height);
        let step = TAU / mesh.around as f64;
        let mut nodes = Vec::with_capacity(mesh.around * (2 * mesh.up + 2 * mesh.out + 1) as usize);
        for meridian in &meridians {
            for (up, weight) in simpson(mesh.up) {
                nodes.extend(node(meridian.wall(up), weight * step, Part::Axial));
            }
        }
        let centre = self.top_centre(Wall::holding_height);
        for meridian in &meridians {
            let patch = meridian.top(centre)?;
            // The area per radian is in proportion to the way out, and nil in the centre.
            for (out, weight) in simpson(mesh.out).skip(1) {
                let place = Patch {
                    position: add(scale(out, patch.position), scale(1.0 - out, centre)),
                    ..patch
                };
                nodes.extend(node(place, weight * step * out, Part::Top));
            }
        }
        for groove in &self.grooves {
            self.groove(groove, mesh, &mut nodes);
        }
        Ok(Surface { nodes })
    }

    /// Returns meridians evenly round the tooth, the first at mesial. The count is a multiple of eight.
    pub(super) fn meridians(&self, count: usize, height: fn(&Wall) -> f64) -> Vec<Meridian> {
        let curve = self.curve();
        let profiles = [
            self.profiles(Axis::X, height),
            self.profiles(Axis::Y, height),
        ];
        let tangent = |half: usize| curve.at(sin_cos(half % (2 * count), 2 * count)).tangent;
        let step = TAU / count as f64;
        let mut last = tangent(2 * count - 1);
        (0..count)
            .map(|at| {
                let (sin, cos) = sin_cos(at, count);
                let base = curve.at((sin, cos));
                let next = tangent(2 * at + 1);
                let turn = (last[0] * next[1] - last[1] * next[0])
                    .atan2(last[0] * next[0] + last[1] * next[1]);
                last = next;
                let curvature = turn / (step * base.speed);
                Meridian::new(base, curvature, &profiles, (sin, cos))
            })
            .collect()
    }

    pub(super) fn top_centre(&self, height: fn(&Wall) -> f64) -> Vector {
        let mut sum = [0.0; 3];
        for meridian in self.meridians(4, height) {
            sum = add(sum, meridian.wall(1.0).position);
        }
        scale(0.25, sum)
    }

    fn groove(&self, groove: &Groove, mesh: Mesh, nodes: &mut Vec<Node>) {
        let full = self.meridians(4, |wall| wall.height);
        let index = Side::ALL.iter().position(|side| *side == groove.side);
        let Some(meridian) = index.and_then(|index| full.get(index)) else {
            return;
        };
        let height = meridian.profile.height;
        let from = GROOVE_ABOVE_MARGIN / height;
        let [tx, ty] = meridian.base.tangent;
        let [nx, ny] = meridian.base.normal;
        let (across, out) = ([tx, ty, 0.0], [nx, ny, 0.0]);
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

impl Meridian {
    fn new(
        base: CurvePoint,
        curvature: f64,
        profiles: &[[Profile; 2]; 2],
        (sin, cos): (f64, f64),
    ) -> Meridian {
        let [[plus_x, minus_x], [plus_y, minus_y]] = profiles;
        let x = if cos >= 0.0 { plus_x } else { minus_x };
        let y = if sin >= 0.0 { plus_y } else { minus_y };
        let profile = x.blend(y, (sin, cos));
        // The weights cos² and sin² change by -2 sin cos and 2 sin cos.
        let rate = 2.0 * sin * cos;
        let height = rate * (y.height - x.height);
        let taper = rate * (y.taper - x.taper);
        let tangent = profile.tangent;
        let recession = height * tangent + profile.height * taper * (1.0 + tangent * tangent);
        Meridian {
            base,
            curvature,
            profile,
            change: [height, recession, rate * (y.margin - x.margin)],
        }
    }

    /// Returns the area of a band of a width in mm outside the base, in mm² per radian: speed (d + κ d²/2).
    pub(super) fn band(&self, width: f64) -> f64 {
        self.base.speed * width * (1.0 + self.curvature * width / 2.0)
    }

    /// Returns the wall at a part of its height, 0 to 1. The area is per radian and per unit of that part.
    ///
    /// With the outward normal N and the tangent t of the base curve, speed s' and curvature κ, the point is
    /// `B - o N + z e`, recession `o = up h tan T`, level `z = m + up h`. By `N' = κ s' t` the derivative round the
    /// tooth is `s' (1 - oκ) t - o' N + z' e`, the one upwards `h (e - tan T N)`, and the normal their cross product.
    pub(super) fn wall(&self, up: f64) -> Patch {
        let Profile {
            height,
            tangent,
            margin,
            ..
        } = self.profile;
        let [rise, recede, step] = self.change;
        let recession = up * height * tangent;
        let (recede, climb) = (up * recede, step + up * rise);
        let [nx, ny] = self.base.normal;
        let [tx, ty] = self.base.tangent;
        let [bx, by] = self.base.point;
        let along = recede - climb * tangent;
        let across = |curvature: f64| {
            let round = self.base.speed * (1.0 - recession * curvature);
            [
                round * nx + along * tx,
                round * ny + along * ty,
                round * tangent,
            ]
        };
        Patch {
            position: [
                bx - recession * nx,
                by - recession * ny,
                margin + up * height,
            ],
            normal: across(self.base.curvature),
            area: scale(height, across(self.curvature)),
            tangent: [-tangent * nx, -tangent * ny, 1.0],
        }
    }

    /// Returns the top at its rim. The area is per radian and per unit of the way from the centre, at the rim; inwards it
    /// falls in proportion.
    ///
    /// # Errors
    ///
    /// [`PrepError::NoTop`] where the rim runs backwards as seen from the centre.
    pub(super) fn top(&self, centre: Vector) -> Result<Patch, PrepError> {
        let [rise, recede, step] = self.change;
        let rim = self.wall(1.0).position;
        let [nx, ny] = self.base.normal;
        let [tx, ty] = self.base.tangent;
        let spoke = sub(rim, centre);
        let across = |curvature: f64| {
            let recession = self.profile.height * self.profile.tangent;
            let round = self.base.speed * (1.0 - recession * curvature);
            let along = [
                round * tx - recede * nx,
                round * ty - recede * ny,
                step + rise,
            ];
            cross(spoke, along)
        };
        let normal = across(self.base.curvature);
        if normal[2] > 0.0 {
            Ok(Patch {
                position: rim,
                normal,
                area: across(self.curvature),
                tangent: spoke,
            })
        } else {
            Err(PrepError::NoTop)
        }
    }
}

/// Returns a node, none where the surface has no extent.
fn node(patch: Patch, weight: f64, part: Part) -> Option<Node> {
    let area = weight * length(patch.area);
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
