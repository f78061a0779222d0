//! Volumes: the prep, and the tooth cut between two preparations.

use std::f64::consts::TAU;

use super::{PrepError, Preparation, Wall};

/// Nodes round the tooth for volumes.
const AROUND: usize = 96;

/// Returns the volume of tooth above a level, in mm³: the prep, and below its margin the tooth out to the margin's edge.
///
/// `floor` is the level in mm in the axes of the tooth. Walls count with their full height; what a hollow wall lacks and
/// grooves are not taken off, but see [`cut_volume`]. Reckoned by the divergence theorem: the level above the floor
/// times the upward area of walls, top and margin.
///
/// # Errors
///
/// See [`PrepError`].
pub fn prep_volume(preparation: &Preparation, floor: f64) -> Result<f64, PrepError> {
    preparation.check()?;
    if !floor.is_finite() {
        return Err(PrepError::Margin(floor));
    }
    let full = |wall: &Wall| wall.height;
    let centre = preparation.top_centre(full);
    let mut sum = 0.0;
    for meridian in preparation.meridians(AROUND, full) {
        // Simpson's rule is exact up the wall: level and upward area are linear in the height.
        for (up, weight) in [(0.0, 1.0 / 6.0), (0.5, 4.0 / 6.0), (1.0, 1.0 / 6.0)] {
            let patch = meridian.wall(up);
            sum += weight * patch.normal[2] * (patch.position[2] - floor);
        }
        let rim = meridian.top(centre)?;
        let level = (centre[2] + 2.0 * rim.position[2]) / 3.0 - floor;
        sum += rim.normal[2] / 2.0 * level;
        for out in [0.0, 1.0] {
            let ledge = meridian.ledge(out);
            sum += ledge.normal[2] / 2.0 * (ledge.position[2] - floor);
        }
    }
    Ok(sum * TAU / AROUND as f64)
}

/// Returns the volume of tooth to be cut to get from one preparation to another, in mm³, net: what is built up counts
/// against it.
///
/// Both are in the same axes. Grooves count with width × depth × length, without what is lost at their ends.
///
/// # Errors
///
/// See [`PrepError`].
pub fn cut_volume(before: &Preparation, after: &Preparation) -> Result<f64, PrepError> {
    let floor = before
        .walls
        .iter()
        .chain(&after.walls)
        .map(|wall| wall.margin)
        .fold(f64::INFINITY, f64::min);
    let whole = |preparation: &Preparation| -> Result<f64, PrepError> {
        Ok(prep_volume(preparation, floor)? - groove_volume(preparation))
    };
    Ok(whole(before)? - whole(after)?)
}

fn groove_volume(preparation: &Preparation) -> f64 {
    preparation
        .grooves
        .iter()
        .map(|groove| {
            let length = preparation.wall(groove.side).height - super::GROOVE_ABOVE_MARGIN;
            groove.width * groove.depth * length
        })
        .sum()
}
