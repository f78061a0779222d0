//! The path of insertion common to all abutments of a restoration.
//!
//! The angle between a wall and a path is the taper of the wall against that path: `asin(m·d)` with the wall's outward
//! normal m. The common path is the direction that leaves the greatest least taper: the centre of the smallest cap of
//! the sphere that holds all normals. Walls are looked at in their middle and on towards their corners, 16 times round the prep
//! ([`Preparation::facings`](super::prep::Preparation::facings)): a path that is free at the middles can bind at a corner.

use std::cmp::Ordering;

use super::frame::Abutment;
use super::prep::PrepSide;
use super::vector::{Vector, add, cross, dot, scale, sub, unit};

/// A path of insertion and what it makes of the walls.
#[derive(Clone, PartialEq, Debug)]
pub struct CommonPath {
    /// Unit vector along the path, occlusally, in the axes of the restoration.
    pub direction: Vector,
    /// The least taper of any wall against it, in degrees; negative is undercut.
    pub least: f64,
    /// The walls of each abutment in the order of [`PrepSide::ALL`].
    pub abutments: Vec<[WallOnPath; 4]>,
}

/// A wall against a path.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct WallOnPath {
    /// Taper in the middle of the wall against the path, in degrees; negative is undercut.
    pub taper: f64,
    /// How far the top of the wall stands over its margin across the path, in mm, where it does so most; 0 without undercut.
    pub undercut: f64,
}

/// Returns the common path of insertion of some abutments.
///
/// At the best direction one, two or three walls tie for the least taper, so it is one of finitely many: a wall's own
/// normal, the bisector of two, or the direction alike to three. All are tried, which is exact. A path keeps within 90°
/// of each abutment's axis.
///
/// Where no path is free of undercut, tilting it along two undercut walls would lessen their angle but not their
/// undercut, at the cost of others. There the undercut per height along the mean axis decides, and among equals the next
/// worst wall.
///
/// None without abutments, or where no direction is within 90° of all axes.
pub fn common_path(abutments: &[Abutment]) -> Option<CommonPath> {
    let axes: Vec<Vector> = abutments
        .iter()
        .map(|abutment| abutment.frame.axes[2])
        .collect();
    let mut normals: Vec<Vector> = abutments
        .iter()
        .flat_map(|abutment| {
            PrepSide::ALL.map(|side| {
                abutment
                    .frame
                    .direction(abutment.preparation.wall_normal(side))
            })
        })
        .collect();
    let corners: Vec<Vector> = abutments
        .iter()
        .flat_map(|abutment| {
            let facings = abutment.preparation.facings().into_iter();
            facings.map(|facing| abutment.frame.direction(facing.normal))
        })
        .collect();
    // Few corners ever bind, so each is taken in only once the path of the others would bind at it.
    let mut found = best_path(&normals, &axes)?;
    for _ in 0..corners.len() {
        let bound = least(&normals, found);
        let worst = corners
            .iter()
            .min_by(|one, other| dot(**one, found).total_cmp(&dot(**other, found)))?;
        if dot(*worst, found) >= bound - 1e-9 {
            break;
        }
        normals.push(*worst);
        found = best_path(&normals, &axes)?;
    }
    Some(along_path(abutments, found))
}

/// The direction that leaves these walls the most.
fn best_path(normals: &[Vector], axes: &[Vector]) -> Option<Vector> {
    let directions = candidates(normals, axes);
    let free = best(&directions, |direction| least(normals, direction))?;
    if least(normals, free) >= 0.0 {
        return Some(free);
    }
    let mean = unit(axes.iter().fold([0.0; 3], |sum, axis| add(sum, *axis)))?;
    let overhang = |direction: Vector| least(normals, direction) / dot(mean, direction);
    let worst = overhang(best(&directions, overhang)?);
    let chosen = directions
        .iter()
        .filter(|direction| overhang(**direction) >= worst - 1e-9)
        .max_by(|one, other| compare(normals, mean, **one, **other))?;
    Some(*chosen)
}

/// Returns the directions one of which is the best, of length one.
fn candidates(normals: &[Vector], axes: &[Vector]) -> Vec<Vector> {
    let mut found = Vec::new();
    let mut add_if_near = |direction: Vector| {
        if let Some(direction) = unit(direction)
            && axes.iter().all(|axis| dot(*axis, direction) > 0.0)
        {
            found.push(direction);
        }
    };
    for (i, one) in normals.iter().enumerate() {
        add_if_near(*one);
        for (j, two) in normals.iter().enumerate().skip(i + 1) {
            add_if_near(add(*one, *two));
            for three in normals.iter().skip(j + 1) {
                let alike = cross(sub(*two, *one), sub(*three, *one));
                add_if_near(alike);
                add_if_near(scale(-1.0, alike));
            }
        }
    }
    found
}

fn least(normals: &[Vector], direction: Vector) -> f64 {
    normals
        .iter()
        .map(|normal| dot(*normal, direction))
        .fold(f64::INFINITY, f64::min)
}

fn best(directions: &[Vector], worth: impl Fn(Vector) -> f64) -> Option<Vector> {
    directions
        .iter()
        .map(|direction| (worth(*direction), *direction))
        .max_by(|one, other| one.0.total_cmp(&other.0))
        .map(|(_, direction)| direction)
}

/// Compares two directions by their worst wall, then the next, per height along the mean axis.
fn compare(normals: &[Vector], mean: Vector, one: Vector, other: Vector) -> Ordering {
    let sorted = |direction: Vector| {
        let mut walls: Vec<f64> = normals
            .iter()
            .map(|normal| dot(*normal, direction) / dot(mean, direction))
            .collect();
        walls.sort_by(f64::total_cmp);
        walls
    };
    sorted(one)
        .iter()
        .zip(&sorted(other))
        .find(|(one, other)| (*one - *other).abs() > 1e-9)
        .map_or(Ordering::Equal, |(one, other)| one.total_cmp(other))
}

/// Returns what a given path, of any length above 0, makes of the walls; along a single tooth's own axis these are the
/// tapers as read. None of the inputs is checked: numbers that are none stay so.
pub fn along_path(abutments: &[Abutment], direction: Vector) -> CommonPath {
    let direction = unit(direction).unwrap_or([f64::NAN; 3]);
    let mut least = f64::INFINITY;
    let walls = abutments
        .iter()
        .map(|abutment| {
            let preparation = &abutment.preparation;
            let against = |normal: Vector| {
                let normal = abutment.frame.direction(normal);
                dot(normal, direction).clamp(-1.0, 1.0).asin()
            };
            let facings = preparation.facings();
            PrepSide::ALL.map(|side| {
                let taper = against(preparation.wall_normal(side));
                least = least.min(taper);
                let mut undercut = preparation.wall(side).height * (-taper).tan().max(0.0);
                for facing in facings.iter().filter(|facing| facing.side == side) {
                    let taper = against(facing.normal);
                    least = least.min(taper);
                    undercut = undercut.max(facing.height * (-taper).tan().max(0.0));
                }
                WallOnPath {
                    taper: taper.to_degrees(),
                    undercut,
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
