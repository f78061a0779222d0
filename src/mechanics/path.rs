//! The path of insertion common to all abutments of a restoration.
//!
//! The angle between a wall and a path is the taper of the wall against that path: `asin(m·d)` with the wall's outward
//! normal m. The common path is the direction that leaves the greatest least taper: the centre of the smallest cap of
//! the sphere that holds all normals. Walls are taken in their middle; corners between lean a little more when a path is
//! tilted towards them.

use super::frame::Abutment;
use super::prep::Side;
use super::vector::{Vector, add, cross, dot, scale, sub, unit};

/// A path of insertion and what it makes of the walls.
#[derive(Clone, PartialEq, Debug)]
pub struct CommonPath {
    /// Unit vector along the path, occlusally, in the axes of the restoration.
    pub direction: Vector,
    /// The least taper of any wall against it, in degrees; negative is undercut.
    pub least: f64,
    /// The walls of each abutment in the order of [`Side::ALL`].
    pub abutments: Vec<[WallOnPath; 4]>,
}

/// A wall against a path.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct WallOnPath {
    /// Taper against the path, in degrees; negative is undercut.
    pub taper: f64,
    /// How far the top of the wall stands over its margin across the path, in mm; 0 without undercut.
    pub undercut: f64,
}

/// Returns the common path of insertion of some abutments.
///
/// At the best direction one, two or three walls tie for the least taper, so it is one of finitely many: a wall's own
/// normal, the bisector of two, or the direction alike to three. All are tried, which is exact, also where no path is
/// free of undercut and the problem is no longer convex. A path keeps within 90° of each abutment's axis.
///
/// None without abutments, or where no direction is within 90° of all axes.
pub fn common_path(abutments: &[Abutment]) -> Option<CommonPath> {
    let axes: Vec<Vector> = abutments
        .iter()
        .map(|abutment| abutment.frame.axes[2])
        .collect();
    let normals: Vec<Vector> = abutments
        .iter()
        .flat_map(|abutment| {
            Side::ALL.map(|side| {
                abutment
                    .frame
                    .direction(abutment.preparation.wall_normal(side))
            })
        })
        .collect();
    let mut search = Search {
        normals: &normals,
        axes: &axes,
        best: None,
    };
    for (i, one) in normals.iter().enumerate() {
        search.consider(*one);
        for (j, two) in normals.iter().enumerate().skip(i + 1) {
            search.consider(add(*one, *two));
            for three in normals.iter().skip(j + 1) {
                let alike = cross(sub(*two, *one), sub(*three, *one));
                search.consider(alike);
                search.consider(scale(-1.0, alike));
            }
        }
    }
    let (direction, _) = search.best?;
    Some(along_path(abutments, direction))
}

/// Returns what a given path, of any length above 0, makes of the walls; along a single tooth's own axis these are the
/// tapers as read. None of the inputs is checked: numbers that are none stay so.
pub fn along_path(abutments: &[Abutment], direction: Vector) -> CommonPath {
    let direction = unit(direction).unwrap_or([f64::NAN; 3]);
    let mut least = f64::INFINITY;
    let walls = abutments
        .iter()
        .map(|abutment| {
            Side::ALL.map(|side| {
                let preparation = &abutment.preparation;
                let normal = abutment.frame.direction(preparation.wall_normal(side));
                let taper = dot(normal, direction).clamp(-1.0, 1.0).asin();
                least = least.min(taper);
                let height = preparation.wall(side).height;
                WallOnPath {
                    taper: taper.to_degrees(),
                    undercut: height * (-taper).tan().max(0.0),
                }
            })
        })
        .collect();
    CommonPath {
        direction,
        least: least.to_degrees(),
        abutments: walls,
    }
}

struct Search<'a> {
    normals: &'a [Vector],
    axes: &'a [Vector],
    best: Option<(Vector, f64)>,
}

impl Search<'_> {
    /// Takes a direction when its least taper beats the best so far.
    fn consider(&mut self, direction: Vector) {
        let Some(direction) = unit(direction) else {
            return;
        };
        if self.axes.iter().any(|axis| dot(*axis, direction) <= 0.0) {
            return;
        }
        // A tie by rounding is no better.
        let bar = self
            .best
            .map_or(f64::NEG_INFINITY, |(_, least)| least + 1e-14);
        let mut least = f64::INFINITY;
        for normal in self.normals {
            least = least.min(dot(*normal, direction));
            if least <= bar {
                return;
            }
        }
        self.best = Some((direction, least));
    }
}
