//! Changes to a preparation, each consistent in itself: what moves takes along what hangs on it.
//!
//! The tooth outside the margin is taken to go straight down, and the base curve stays centred when one side of it
//! moves. Both are approximations: volumes are for comparing ways, good to some tenths of the figure.
//!
//! A margin that goes down keeps its depth and its wall the taper, so the base keeps its width and the wall is cut
//! back over its whole height. Were the wall only carried on downwards, the base would widen into a tooth that narrows
//! there, and the margin would run out.

use super::{Groove, PrepSide, Preparation, Wall};

impl Preparation {
    /// Returns the preparation with the margin of some walls further down, by mm.
    ///
    /// Walls keep their taper and the margin its depth, so the top narrows; the straight part of a dished wall grows.
    pub fn deepened(&self, sides: &[PrepSide], by: f64) -> Preparation {
        let mut after = self.clone();
        for side in sides {
            let wall = after.wall_mut(*side);
            wall.margin -= by;
            wall.height += by;
            wall.straight = wall.straight.map(|straight| straight + by);
        }
        after
    }

    /// Returns the preparation with some walls leaned to a taper in degrees, cut at the gum: the top stays, the base
    /// narrows and the margin gets deeper.
    pub fn straightened(&self, sides: &[PrepSide], to: f64) -> Preparation {
        let mut after = self.clone();
        for side in sides {
            let wall = after.wall_mut(*side);
            let by = wall.height * (wall.taper.to_radians().tan() - to.to_radians().tan());
            wall.taper = to;
            wall.depth += by;
            *after.width_mut(*side) -= by;
        }
        after
    }

    /// Returns the preparation with a groove of usual size in some walls that have none.
    pub fn grooved(&self, sides: &[PrepSide]) -> Preparation {
        let mut after = self.clone();
        for side in sides {
            if !after.grooves.iter().any(|groove| groove.side == *side) {
                after.grooves.push(Groove::usual(*side));
            }
        }
        after
    }

    /// Returns the preparation built up by mm at the top, with the walls going on at their taper.
    pub fn built_up(&self, by: f64) -> Preparation {
        let mut after = self.clone();
        for wall in &mut after.walls {
            wall.height += by;
        }
        after
    }

    /// Returns the width at the top between two opposite walls, in mm.
    pub fn top_width(&self, across: [PrepSide; 2]) -> f64 {
        let recess = |side: PrepSide| {
            let wall = self.wall(side);
            wall.height * wall.taper.to_radians().tan()
        };
        let [one, other] = across;
        let base = match one {
            PrepSide::Mesial | PrepSide::Distal => self.mesiodistal,
            PrepSide::Facial | PrepSide::Lingual => self.faciolingual,
        };
        base - recess(one) - recess(other)
    }

    fn wall_mut(&mut self, side: PrepSide) -> &mut Wall {
        let [mesial, facial, distal, lingual] = &mut self.walls;
        match side {
            PrepSide::Mesial => mesial,
            PrepSide::Facial => facial,
            PrepSide::Distal => distal,
            PrepSide::Lingual => lingual,
        }
    }

    fn width_mut(&mut self, side: PrepSide) -> &mut f64 {
        match side {
            PrepSide::Mesial | PrepSide::Distal => &mut self.mesiodistal,
            PrepSide::Facial | PrepSide::Lingual => &mut self.faciolingual,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::cut_volume;
    use super::*;

    fn cylinder(height: f64, taper: f64, depth: f64) -> Preparation {
        let wall = Wall {
            depth,
            ..Wall::straight(height, taper)
        };
        Preparation {
            exponent: 2.0,
            ..Preparation::new(8.0, 8.0, [wall; 4])
        }
    }

    /// A ring of 1 mm round a cylinder of 8 mm, 1 mm high: π (5² − 4²) = 28.3 mm³.
    #[test]
    fn a_deeper_margin_cuts_a_ring() {
        let before = cylinder(4.0, 0.0, 1.0);
        let after = before.deepened(&PrepSide::ALL, 1.0);
        let cut = cut_volume(&before, &after).unwrap();
        assert!((cut - std::f64::consts::PI * 9.0).abs() < 0.1, "{cut}");
        assert_eq!(after.mesiodistal, 8.0);
        assert_eq!(after.walls[0].height, 5.0);
    }

    /// A frustum of base radius 4 and height 4 at 10° straightened to 0° keeps its top of radius r: what is cut is the
    /// frustum less a cylinder, π h (R² + R r + r²) / 3 − π h r², with the ring below uncut.
    #[test]
    fn straightening_cuts_a_frustum_down_to_its_top() {
        let before = cylinder(4.0, 10.0, 1.0);
        let after = before.straightened(&PrepSide::ALL, 0.0);
        let top = 4.0 - 4.0 * 10_f64.to_radians().tan();
        let wanted =
            std::f64::consts::PI * 4.0 * ((16.0 + 4.0 * top + top * top) / 3.0 - top * top);
        let cut = cut_volume(&before, &after).unwrap();
        assert!((cut - wanted).abs() < 0.02 * wanted, "{cut} {wanted}");
        let across = [PrepSide::Mesial, PrepSide::Distal];
        assert!((after.top_width(across) - before.top_width(across)).abs() < 1e-12);
        assert!((after.mesiodistal - 2.0 * top).abs() < 1e-12);
        assert!((after.walls[0].depth - (5.0 - top)).abs() < 1e-12);
    }

    #[test]
    fn grooves_are_cut_once_and_a_build_up_cuts_nothing() {
        let before = cylinder(4.0, 6.0, 1.0);
        let pair = [PrepSide::Mesial, PrepSide::Distal];
        let after = before.grooved(&pair);
        // Two grooves of 1.0 by 0.8 by 3.5 mm.
        let cut = cut_volume(&before, &after).unwrap();
        assert!((cut - 5.6).abs() < 1e-9, "{cut}");
        assert_eq!(after.grooved(&pair), after);
        assert!(cut_volume(&before, &before.built_up(1.0)).unwrap() < 0.0);
    }
}
