//! A preparation as a surface: four walls on a base, a top, grooves.
//!
//! Local axes, in mm: x mesially, y facially, z occlusally along the tooth's own axis; the origin lies in the middle of
//! the base at margin level 0. Walls stand at mesial (0° about z), facial (90°), distal (180°) and lingual (270°);
//! between two of them height, taper, margin level and margin depth go over as `v₁ cos² + v₂ sin²`: periodic, with a
//! continuous slope, and never beyond either. Trigonometric interpolation through four values overshoots: three walls
//! of 2 mm and one of 3 mm would dip below 2.
//!
//! The base is a superellipse. The wall at margin level `m` rises by its height `h` and recedes along the base curve's
//! normal by `h tan T`, so that a wall of constant taper is inclined by just that taper all round.

mod change;
mod curve;
mod surface;
mod volume;

use std::f64::consts::FRAC_PI_2;
use std::fmt;

use curve::Curve;

pub use surface::{Mesh, Node, Part, Surface};
pub use volume::{cut_volume, stump_volume};

/// Exponent of the base curve: 2 is an ellipse, infinity a box. Ours: between the two, since prepared teeth are
/// rounded boxes; no published value is known.
pub const BASE_EXPONENT: f64 = 2.5;

/// How far a groove ends above the margin, in mm. Ours.
pub const GROOVE_ABOVE_MARGIN: f64 = 0.5;

/// The sides of a tooth, in the order of all arrays of four walls.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Side {
    /// Towards the midline along the arch.
    Mesial,
    /// Towards lip or cheek.
    Facial,
    /// Away from the midline along the arch.
    Distal,
    /// Towards tongue or palate.
    Lingual,
}

impl Side {
    /// All sides, in order.
    pub const ALL: [Side; 4] = [Side::Mesial, Side::Facial, Side::Distal, Side::Lingual];

    /// Cosine and sine of the polar angle of the side, exactly.
    fn direction(self) -> (f64, f64) {
        match self {
            Side::Mesial => (1.0, 0.0),
            Side::Facial => (0.0, 1.0),
            Side::Distal => (-1.0, 0.0),
            Side::Lingual => (0.0, -1.0),
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
    /// Depth of the margin: from the foot of the wall out to the surface of the tooth, in mm. Counts for volumes only.
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
    pub side: Side,
    /// Distance between its two walls, in mm.
    pub width: f64,
    /// Depth into the wall, in mm.
    pub depth: f64,
}

impl Groove {
    /// Returns a groove of a usual rotary instrument: 1.0 mm wide, 0.8 mm deep. Ours.
    pub fn usual(side: Side) -> Groove {
        Groove {
            side,
            width: 1.0,
            depth: 0.8,
        }
    }

    /// Returns a box, 2.5 mm wide, 1.0 mm deep. Ours.
    pub fn cut_box(side: Side) -> Groove {
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
    /// The walls in the order of [`Side::ALL`].
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
    pub fn wall(&self, side: Side) -> &Wall {
        let [mesial, facial, distal, lingual] = &self.walls;
        match side {
            Side::Mesial => mesial,
            Side::Facial => facial,
            Side::Distal => distal,
            Side::Lingual => lingual,
        }
    }

    /// Returns the outward unit normal in the middle of a wall, in local axes.
    pub fn wall_normal(&self, side: Side) -> [f64; 3] {
        let (x, y) = side.direction();
        let (sin, cos) = self.wall(side).taper.to_radians().sin_cos();
        [cos * x, cos * y, sin]
    }

    pub(crate) fn curve(&self) -> Curve {
        Curve::new(self.mesiodistal, self.faciolingual, self.exponent)
    }

    /// Checks the readings and that the surface does not fold.
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
        for side in Side::ALL {
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
        self.check_folds()
    }

    /// Looks for folds at 96 angles: exact there, and dense against the length over which base and walls change.
    fn check_folds(&self) -> Result<(), PrepError> {
        const STEPS: u32 = 24;
        let curve = self.curve();
        let [x, y] = [Axis::X, Axis::Y].map(|axis| self.profiles(axis, Wall::holding_height));
        for step in 0..=STEPS {
            let (sin, cos) = (FRAC_PI_2 * f64::from(step) / f64::from(STEPS)).sin_cos();
            // The base is alike in its four quarters.
            let curvature = curve.at((sin, cos)).curvature;
            for one in &x {
                for other in &y {
                    let profile = one.blend(other, (sin, cos));
                    let recession = profile.height * profile.tangent;
                    if recession * curvature >= 1.0 {
                        let radius = 1.0 / curvature;
                        return Err(PrepError::Folds { recession, radius });
                    }
                }
            }
        }
        Ok(())
    }

    /// Returns height, tangent of the taper and the rest for the two walls on an axis, positive side first.
    fn profiles(&self, axis: Axis, height: fn(&Wall) -> f64) -> [Profile; 2] {
        let [mesial, facial, distal, lingual] = &self.walls;
        match axis {
            Axis::X => [mesial, distal],
            Axis::Y => [facial, lingual],
        }
        .map(|wall| Profile {
            height: height(wall),
            taper: wall.taper.to_radians(),
            tangent: wall.taper.to_radians().tan(),
            margin: wall.margin,
            depth: wall.depth,
        })
    }
}

/// The tapers a wall may have, in degrees: beyond them a reading is a slip and the section no preparation.
const TAPER_BOUNDS: std::ops::RangeInclusive<f64> = -45.0..=60.0;

#[derive(Clone, Copy)]
enum Axis {
    X,
    Y,
}

/// What a wall is at one angle round the tooth.
#[derive(Clone, Copy, Debug)]
struct Profile {
    height: f64,
    /// In radians.
    taper: f64,
    /// Tangent of the taper.
    tangent: f64,
    margin: f64,
    depth: f64,
}

impl Profile {
    /// Goes over from this wall, on the x axis, to the other, on the y axis.
    fn blend(&self, other: &Profile, (sin, cos): (f64, f64)) -> Profile {
        let (one, two) = (cos * cos, sin * sin);
        let taper = self.taper * one + other.taper * two;
        Profile {
            height: self.height * one + other.height * two,
            taper,
            tangent: taper.tan(),
            margin: self.margin * one + other.margin * two,
            depth: self.depth * one + other.depth * two,
        }
    }
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
    NoRoomForGroove(Side),
    /// A corner recedes further than it is round, so the surface folds over itself; both in mm.
    Folds {
        /// Height times tangent of the taper.
        recession: f64,
        /// Radius of the base there.
        radius: f64,
    },
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
            PrepError::Folds { recession, radius } => write!(
                f,
                "A corner recedes by {recession:.2} mm, more than its radius of {radius:.2} mm: no such stump exists."
            ),
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
