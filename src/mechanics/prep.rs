//! A preparation as a surface: four walls on a base, a top, grooves.
//!
//! Local axes, in mm: x mesially, y facially, z occlusally along the tooth's own axis; the origin lies in the middle of
//! the base at margin level 0. Walls stand at mesial (0° about z), facial (90°), distal (180°) and lingual (270°);
//! between two of them height and margin level go over as `v₁ cos² + v₂ sin²`: periodic, with a continuous slope, and
//! never beyond either. Trigonometric interpolation through four values overshoots: three walls of 2 mm and one of 3 mm
//! would dip below 2.
//!
//! Base and top are superellipses, joined by straight lines (a loft). Their half-widths differ by `H tan T` of the wall on
//! that side, so that in the middle of a wall height and taper are those that were read, and nothing folds as long as a
//! top is left. At the corners of a long base the wall leans a little less than an offset of the base would. Outside the
//! base lies the ledge of the margin, level and as wide as it was read.
//!
//! When walls were offset along the normal of the base instead, corners of narrow preps folded, and tapers had to be
//! scaled down to avoid it. The load limits of the loft are 1 to 1.5 % lower, alike on prep and yardstick.

mod change;
mod curve;
mod surface;
mod volume;

use std::fmt;

pub use surface::{Facing, Mesh, Node, Part, Surface};
pub use volume::{cut_volume, prep_volume};

/// Exponent of the base curve: 2 is an ellipse, infinity a box. Ours: between the two, since prepared teeth are
/// rounded boxes; no published value is known.
pub const BASE_EXPONENT: f64 = 2.5;

/// How far a groove ends above the margin, in mm. Ours.
pub const GROOVE_ABOVE_MARGIN: f64 = 0.5;

/// The sides of a tooth, in the order of all arrays of four walls.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum PrepSide {
    /// Towards the midline along the arch.
    Mesial,
    /// Towards lip or cheek.
    Facial,
    /// Away from the midline along the arch.
    Distal,
    /// Towards tongue or palate.
    Lingual,
}

impl PrepSide {
    /// All sides, in order.
    pub const ALL: [PrepSide; 4] = [
        PrepSide::Mesial,
        PrepSide::Facial,
        PrepSide::Distal,
        PrepSide::Lingual,
    ];

    /// Cosine and sine of the polar angle of the side, exactly.
    fn direction(self) -> (f64, f64) {
        match self {
            PrepSide::Mesial => (1.0, 0.0),
            PrepSide::Facial => (0.0, 1.0),
            PrepSide::Distal => (-1.0, 0.0),
            PrepSide::Lingual => (0.0, -1.0),
        }
    }
}

/// One wall of a preparation.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Wall {
    /// Height along the tooth's axis, in mm.
    pub height: f64,
    /// How much of the height is straight, in mm from the margin up, for a hollow wall. Only that part holds.
    pub straight: Option<f64>,
    /// Inward lean against the tooth's axis, in degrees; negative is undercut.
    pub taper: f64,
    /// Level of the margin, in mm, occlusal positive.
    pub margin: f64,
    /// Width of the margin: from the foot of the wall out to the surface of the tooth, in mm.
    pub depth: f64,
}

impl Wall {
    /// Returns a straight wall of a height in mm and a taper in degrees, on a level margin without depth.
    pub fn straight(height: f64, taper: f64) -> Wall {
        Wall {
            height,
            straight: None,
            taper,
            margin: 0.0,
            depth: 0.0,
        }
    }

    /// Returns the height that holds, in mm.
    pub fn holding_height(&self) -> f64 {
        self.straight
            .map_or(self.height, |straight| straight.min(self.height))
    }
}

/// A groove or a box: two planar walls that face each other across it, square to the wall it is cut into.
///
/// They run parallel to that wall's surface line from [`GROOVE_ABOVE_MARGIN`] to the full height, also where the wall
/// is hollow. The floor counts as the wall it replaces. Mesial and distal grooves stand against faciolingual
/// displacement, facial and lingual ones against mesiodistal (Parker 1991, from memory).
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Groove {
    /// The wall it is cut into.
    pub side: PrepSide,
    /// Distance between its two walls, in mm.
    pub width: f64,
    /// Depth into the wall, in mm.
    pub depth: f64,
}

impl Groove {
    /// Returns a groove of a usual rotary instrument: 1.0 mm wide, 0.8 mm deep. Ours.
    pub fn usual(side: PrepSide) -> Groove {
        Groove {
            side,
            width: 1.0,
            depth: 0.8,
        }
    }

    /// Returns a box, 2.5 mm wide, 1.0 mm deep. Ours.
    pub fn cut_box(side: PrepSide) -> Groove {
        Groove {
            side,
            width: 2.5,
            depth: 1.0,
        }
    }
}

/// A preparation by readings.
#[derive(Clone, PartialEq, Debug)]
pub struct Preparation {
    /// Width at the margin from mesial to distal, in mm.
    pub mesiodistal: f64,
    /// Width at the margin from facial to lingual, in mm.
    pub faciolingual: f64,
    /// Exponent of the base curve, 2 to 50: see [`BASE_EXPONENT`].
    pub exponent: f64,
    /// The walls in the order of [`PrepSide::ALL`].
    pub walls: [Wall; 4],
    /// Grooves and boxes.
    pub grooves: Vec<Groove>,
}

/// Why walls are of unlike height.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Uneven {
    /// The margin is level and the top slopes.
    TopSlopes,
    /// The top is level and the margin steps.
    MarginSteps,
}

impl Preparation {
    /// Returns a preparation on the usual base curve without grooves. Widths in mm.
    pub fn new(mesiodistal: f64, faciolingual: f64, walls: [Wall; 4]) -> Preparation {
        Preparation {
            mesiodistal,
            faciolingual,
            exponent: BASE_EXPONENT,
            walls,
            grooves: Vec::new(),
        }
    }

    /// Sets the margin levels from the heights: all 0 under a sloping top; under a level top the tallest wall's margin
    /// is at 0 and the others lie above it by what they are shorter.
    pub fn uneven(mut self, uneven: Uneven) -> Preparation {
        let tallest = self
            .walls
            .iter()
            .map(|wall| wall.height)
            .fold(f64::MIN, f64::max);
        for wall in &mut self.walls {
            wall.margin = match uneven {
                Uneven::TopSlopes => 0.0,
                Uneven::MarginSteps => tallest - wall.height,
            };
        }
        self
    }

    /// Returns one wall.
    pub fn wall(&self, side: PrepSide) -> &Wall {
        let [mesial, facial, distal, lingual] = &self.walls;
        match side {
            PrepSide::Mesial => mesial,
            PrepSide::Facial => facial,
            PrepSide::Distal => distal,
            PrepSide::Lingual => lingual,
        }
    }

    /// Returns the outward unit normal in the middle of a wall, in local axes.
    pub fn wall_normal(&self, side: PrepSide) -> [f64; 3] {
        let (x, y) = side.direction();
        let (sin, cos) = self.wall(side).taper.to_radians().sin_cos();
        [cos * x, cos * y, sin]
    }

    /// Checks the readings and that walls leave a top.
    ///
    /// # Errors
    ///
    /// See [`PrepError`].
    pub fn check(&self) -> Result<(), PrepError> {
        positive("mesiodistal width", self.mesiodistal)?;
        positive("faciolingual width", self.faciolingual)?;
        if !(2.0..=50.0).contains(&self.exponent) {
            return Err(PrepError::Exponent(self.exponent));
        }
        for side in PrepSide::ALL {
            let wall = self.wall(side);
            positive("height of a wall", wall.height)?;
            not_negative("straight height of a wall", wall.holding_height())?;
            not_negative("depth of the margin", wall.depth)?;
            if !wall.margin.is_finite() {
                return Err(PrepError::Margin(wall.margin));
            }
            if !TAPER_BOUNDS.contains(&wall.taper) {
                return Err(PrepError::Taper(wall.taper));
            }
        }
        for groove in &self.grooves {
            positive("width of a groove", groove.width)?;
            positive("depth of a groove", groove.depth)?;
            if self.wall(groove.side).height <= GROOVE_ABOVE_MARGIN {
                return Err(PrepError::NoRoomForGroove(groove.side));
            }
        }
        if self.walls.iter().all(|wall| wall.holding_height() <= 0.0) {
            return Err(PrepError::NoWalls);
        }
        self.check_top()
    }

    /// Checks that the walls across from each other leave a top.
    fn check_top(&self) -> Result<(), PrepError> {
        for (axis, width) in [(Axis::X, self.mesiodistal), (Axis::Y, self.faciolingual)] {
            let recedes: f64 = self
                .on_axis(axis)
                .iter()
                .map(|wall| wall.holding_height() * wall.taper.to_radians().tan())
                .sum();
            if recedes >= width {
                return Err(PrepError::NoTop);
            }
        }
        Ok(())
    }

    /// Returns the two walls on an axis, the positive side first.
    fn on_axis(&self, axis: Axis) -> [&Wall; 2] {
        let [mesial, facial, distal, lingual] = &self.walls;
        match axis {
            Axis::X => [mesial, distal],
            Axis::Y => [facial, lingual],
        }
    }
}

/// The tapers a wall may have, in degrees: beyond them a reading is a slip and the section no preparation.
const TAPER_BOUNDS: std::ops::RangeInclusive<f64> = -45.0..=60.0;

#[derive(Clone, Copy)]
enum Axis {
    X,
    Y,
}

/// A preparation that cannot be reckoned with.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum PrepError {
    /// The named length is not above zero; its value in mm.
    NotPositive(&'static str, f64),
    /// The named length is below zero or no number; its value in mm.
    Negative(&'static str, f64),
    /// The exponent of the base curve is not within 2 and 50.
    Exponent(f64),
    /// The margin level is not a number; its value in mm.
    Margin(f64),
    /// The taper is not within -45° and 60°; its value in degrees.
    Taper(f64),
    /// A wall is too short for a groove.
    NoRoomForGroove(PrepSide),
    /// No wall has a straight part.
    NoWalls,
    /// The walls meet before their height is reached, so there is no top.
    NoTop,
}

impl fmt::Display for PrepError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            PrepError::NotPositive(what, value) => {
                write!(f, "The {what} must be a length above 0 mm, not {value}.")
            }
            PrepError::Negative(what, value) => {
                write!(
                    f,
                    "The {what} must be a length of 0 mm or more, not {value}."
                )
            }
            PrepError::Exponent(value) => write!(
                f,
                "The exponent of the base curve must be 2 to 50, not {value}."
            ),
            PrepError::Margin(value) => {
                write!(f, "The margin level must be a length in mm, not {value}.")
            }
            PrepError::Taper(value) => write!(
                f,
                "The taper of a wall must be {}° to {}°, not {value}.",
                TAPER_BOUNDS.start(),
                TAPER_BOUNDS.end()
            ),
            PrepError::NoRoomForGroove(side) => write!(
                f,
                "The {side:?} wall is too short for a groove that ends {GROOVE_ABOVE_MARGIN} mm above the margin."
            ),
            PrepError::NoWalls => write!(f, "The walls do not hold: none of them is straight."),
            PrepError::NoTop => {
                write!(f, "The walls meet below the top: no such stump exists.")
            }
        }
    }
}

impl std::error::Error for PrepError {}

fn positive(what: &'static str, value: f64) -> Result<(), PrepError> {
    if value.is_finite() && value > 0.0 {
        Ok(())
    } else {
        Err(PrepError::NotPositive(what, value))
    }
}

fn not_negative(what: &'static str, value: f64) -> Result<(), PrepError> {
    if value.is_finite() && value >= 0.0 {
        Ok(())
    } else {
        Err(PrepError::Negative(what, value))
    }
}
