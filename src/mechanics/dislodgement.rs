//! What it takes to pull, tip or twist a restoration off its preps: limit analysis of the cement layer.
//!
//! The restoration is rigid and sits on all its abutments at once. At each node of the cement layer act a normal
//! traction *n*, pressing positive, and a shear *s*. With the strength *c* of the cement they keep within `|s| ≤ c` and
//! `-τc ≤ n ≤ κc`. The load multiplier λ is the largest that six equations of equilibrium allow (a second-order cone
//! programme; bound theorems of limit analysis: Drucker, Prager, Greenberg 1952, Quarterly of Applied Mathematics, from
//! memory). Its dual is the motion in which the restoration would come off.
//!
//! The result is an estimate for comparing shapes: static, rigid, without decay of the cement. τ, κ and the absence of
//! friction are assumptions (ours): with κ = 10 what is held falls in a line with convergence and rises in a line with
//! height and diameter, as in the fatigue experiments of Wiskott et al. 1996 and 1997, International Journal of
//! Prosthodontics.
//!
//! [`Holding::new`] prepares a restoration, [`Holding::dislodge`] answers for a load; [`grip`](mod@grip) shares a load between
//! retainers by their roots and compares each with the least single crown.

pub mod grip;
mod layer;
mod linear;
pub mod motion;
mod newton;
mod node;
mod pair;
pub mod sensitivity;
pub mod share;
mod solver;

use std::fmt;
use std::sync::OnceLock;

use super::frame::Abutment;
use super::prep::{Mesh, Node, PrepError};
use super::vector::{Vector, add, cross, length, scale};
use layer::Layer;
use linear::Six;
use motion::Motion;
use node::{Bounds, Rows};
use solver::{Failure, Scaled, Solved};

/// A restoration as the nodes of its cement layer, in one set of axes.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Restoration {
    /// The nodes of each abutment.
    pub abutments: Vec<Vec<Node>>,
}

impl Restoration {
    /// Lays the nodes of the abutments together. Connectors and pontics are rigid.
    ///
    /// # Errors
    ///
    /// The index of the first abutment whose preparation cannot be reckoned with, and why.
    pub fn new(abutments: &[Abutment], mesh: Mesh) -> Result<Restoration, (usize, PrepError)> {
        let abutments = abutments
            .iter()
            .enumerate()
            .map(|(index, abutment)| {
                let surface = abutment
                    .preparation
                    .surface(mesh)
                    .map_err(|error| (index, error))?;
                let place = |node| abutment.frame.node(node);
                Ok(surface.nodes.iter().map(place).collect())
            })
            .collect::<Result<_, _>>()?;
        Ok(Restoration { abutments })
    }
}

/// The limits of the normal traction over the shear strength of the cement.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Limits {
    /// τ: tension over shear strength, 0 or more.
    pub tension: f64,
    /// κ: pressing over shear strength, above 0. Tried up to 10,000.
    pub pressing: f64,
}

impl Default for Limits {
    /// τ = 1, κ = 10. Ours: see the [module](self).
    fn default() -> Limits {
        Limits {
            tension: 1.0,
            pressing: 10.0,
        }
    }
}

/// A force on a restoration.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Load {
    /// Where it acts, in mm.
    pub point: Vector,
    /// Which way it acts: the way the restoration is pushed or pulled. Of any length above 0.
    pub direction: Vector,
    /// How much, in N.
    pub force: f64,
}

impl Load {
    /// Returns force and moment about the origin, in N and N·mm, of one newton of it.
    fn unit_wrench(&self) -> Option<Six> {
        let size = length(self.direction);
        if !(size.is_finite() && size > 0.0 && self.force.is_finite() && self.force > 0.0) {
            return None;
        }
        let force = scale(1.0 / size, self.direction);
        let [x, y, z] = force;
        let [a, b, c] = cross(self.point, force);
        Some([x, y, z, a, b, c])
    }
}

/// When to stop.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Settings {
    /// The gap to be proven between both bounds, over the upper one; 1e-7 and less are lost in rounding.
    pub gap: f64,
    /// The most iterations of either method; the usual number is about seven at 1e-3 and twelve at 1e-6.
    pub max_iterations: u32,
    /// So much proven to be held, in N per MPa, is enough, whatever the gap.
    pub enough: f64,
}

impl Settings {
    /// A gap of 1e-3, for use while values are typed.
    pub const QUICK: Settings = Settings {
        gap: 1e-3,
        max_iterations: 60,
        enough: f64::INFINITY,
    };

    /// A gap of 1e-6, for what is kept.
    pub const EXACT: Settings = Settings {
        gap: 1e-6,
        max_iterations: 60,
        enough: f64::INFINITY,
    };

    /// The same, which ends as soon as so much is proven to be held, in N per MPa.
    pub fn until(self, enough: f64) -> Settings {
        Settings { enough, ..self }
    }
}

/// What became of a load case.
#[derive(Clone, PartialEq, Debug)]
pub enum LimitOutcome {
    /// Both bounds are proven.
    Certified(Box<Dislodgement>),
    /// There is no figure.
    NotComputed(Reason),
}

impl LimitOutcome {
    /// Returns the result, if there is one.
    pub fn certified(&self) -> Option<&Dislodgement> {
        match self {
            LimitOutcome::Certified(dislodgement) => Some(dislodgement),
            LimitOutcome::NotComputed(_) => None,
        }
    }
}

/// Why there is no figure.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Reason {
    /// A limit is negative, nil or no number.
    Limits,
    /// The load has no direction or no force, or is no number.
    Load,
    /// The nodes do not hold the restoration in every direction, or are no numbers.
    NotHeld,
    /// The gap was not met within the iterations. Both bounds in N per MPa; each holds for itself.
    Iterations {
        /// What is held at least.
        lower: f64,
        /// What is held at most.
        upper: f64,
    },
    /// Rounding ended the search early. Both bounds in N per MPa; each holds for itself.
    Rounding {
        /// What is held at least.
        lower: f64,
        /// What is held at most.
        upper: f64,
    },
}

impl fmt::Display for Reason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Reason::Limits => write!(f, "The limits of the cement are no usable numbers."),
            Reason::Load => write!(f, "The load has no direction or no force."),
            Reason::NotHeld => write!(f, "The walls do not hold the restoration at all."),
            Reason::Iterations { .. } | Reason::Rounding { .. } => {
                write!(
                    f,
                    "The search for the load limit did not end within its bounds."
                )
            }
        }
    }
}

/// What a restoration holds under a load, and how it would come off.
#[derive(Clone, PartialEq, Debug)]
pub struct Dislodgement {
    /// λ, proven: the force that is held at least, in N per MPa of cement strength.
    pub lambda: f64,
    /// The force that is held at most, in N per MPa.
    pub upper: f64,
    /// `(upper - lambda) / upper`.
    pub gap: f64,
    /// How hard the cement has to work: force over λ, in MPa.
    pub demand: f64,
    /// The motion of the upper bound, with a power of one per newton of load.
    pub motion: Motion,
    /// The part of the upper bound that the pressing limit carries, 0 to 1. Near 1 crushing governs, not coming off.
    pub pressing_share: f64,
    /// The opening by area over all opening and pressing by area, 0 to 1. Nil where a load only presses home.
    pub opening_share: f64,
    /// The largest opening velocity at each abutment over the largest velocity of any node; 0 where nothing opens.
    pub opening: Vec<f64>,
    /// The abutment that lets go first: the one that opens most; none when nothing opens.
    pub first: Option<usize>,
    /// The tractions of the lower bound by abutment and node over the cement strength: normal, tension positive, and
    /// along both tangents.
    pub tractions: Vec<Vec<[f64; 3]>>,
    /// Iterations used.
    pub iterations: u32,
}

/// How both bounds are found; they are proven the same way.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Method {
    /// Smoothed Newton: fast, but gives some cases up, most of them with hard limits.
    Newton,
    /// Interior point: several times slower, and hardly ever gives up.
    InteriorPoint,
}

/// A restoration prepared for any number of loads.
#[derive(Clone, Debug)]
pub struct Holding {
    layer: Layer,
    counts: Vec<usize>,
    /// For the interior point method, once that is needed; none where rounding leaves nothing to work with.
    scaled: OnceLock<Option<Scaled>>,
}

impl Holding {
    /// Prepares a restoration.
    ///
    /// # Errors
    ///
    /// [`Reason::Limits`] and [`Reason::NotHeld`].
    pub fn new(restoration: &Restoration, limits: Limits) -> Result<Holding, Reason> {
        let Limits { tension, pressing } = limits;
        let sound = tension.is_finite() && pressing.is_finite() && tension >= 0.0 && pressing > 0.0;
        if !sound {
            return Err(Reason::Limits);
        }
        let bounds = Bounds { tension, pressing };
        let layer = Layer::new(&restoration.abutments, bounds).ok_or(Reason::NotHeld)?;
        Ok(Holding {
            layer,
            counts: restoration.abutments.iter().map(Vec::len).collect(),
            scaled: OnceLock::new(),
        })
    }

    /// Returns what is held under a load.
    pub fn dislodge(&self, load: &Load, settings: Settings) -> LimitOutcome {
        match load.unit_wrench() {
            Some(wrench) => self.find(&wrench, load.force, settings),
            None => LimitOutcome::NotComputed(Reason::Load),
        }
    }

    /// As [`Holding::dislodge`] for a force in N and a moment about the origin in N·mm: a twist, or several loads at once.
    /// λ is the multiplier of both per MPa, and the demand its inverse.
    pub fn dislodge_wrench(
        &self,
        force: Vector,
        moment: Vector,
        settings: Settings,
    ) -> LimitOutcome {
        let [x, y, z] = force;
        let [a, b, c] = moment;
        self.find(&[x, y, z, a, b, c], 1.0, settings)
    }

    /// As [`Holding::dislodge`] for what a retainer bears of one newton of a load, and the force of that load in N. λ is the
    /// force of the whole load that this retainer holds.
    pub(crate) fn dislodge_share(
        &self,
        share: &Six,
        force: f64,
        settings: Settings,
    ) -> LimitOutcome {
        self.find(share, force, settings)
    }

    /// As [`Holding::dislodge`] by one method alone, to set one against the other.
    pub fn dislodge_by(&self, method: Method, load: &Load, settings: Settings) -> LimitOutcome {
        let Some(wrench) = load.unit_wrench() else {
            return LimitOutcome::NotComputed(Reason::Load);
        };
        let Some(wrench) = self.wrench(&wrench) else {
            return LimitOutcome::NotComputed(Reason::Load);
        };
        self.outcome(
            load.force,
            match method {
                Method::Newton => newton::solve(&self.layer, &wrench, settings),
                Method::InteriorPoint => self.interior_point(&wrench, settings),
            },
        )
    }

    /// Returns the dissipation of a motion over its power under one newton of a load: an upper bound of λ, in N per MPa.
    /// None when the load does not drive the motion.
    pub fn bound(&self, load: &Load, velocity: Vector, rotation: Vector) -> Option<f64> {
        let wrench = self.layer.wrench(&load.unit_wrench()?);
        let motion = self.layer.motion(velocity, rotation);
        let power = linear::dot(&wrench, &motion);
        let bound = self.layer.dissipation(&motion) / power;
        (power > 0.0 && bound.is_finite()).then_some(bound)
    }

    /// Returns roughly what is held of a share, in N per MPa, without a search: good for an order of loads, and no bound.
    pub(crate) fn rough(&self, share: &Six) -> Option<f64> {
        let wrench = self.wrench(share)?;
        let worth = linear::dot(&wrench, &self.layer.whole.solve(&wrench));
        (worth > 0.0).then(|| worth.sqrt().recip())
    }

    /// Returns the memory it holds, in bytes, without what the interior point method prepares when it is needed.
    pub fn bytes(&self) -> usize {
        size_of::<Holding>() + size_of_val(self.counts.as_slice()) + self.layer.bytes()
    }

    fn wrench(&self, plain: &Six) -> Option<Six> {
        let wrench = self.layer.wrench(plain);
        let size = linear::length(&wrench);
        (size.is_finite() && size > 0.0).then_some(wrench)
    }

    fn find(&self, wrench: &Six, force: f64, settings: Settings) -> LimitOutcome {
        let Some(wrench) = self.wrench(wrench) else {
            return LimitOutcome::NotComputed(Reason::Load);
        };
        let found = newton::solve(&self.layer, &wrench, settings);
        let solved = match found {
            Ok(solved) => Ok(solved),
            Err(failure) => self
                .interior_point(&wrench, settings)
                .map_err(|other| other.narrowed(failure)),
        };
        self.outcome(force, solved)
    }

    fn interior_point(&self, wrench: &Six, settings: Settings) -> Result<Solved, Failure> {
        match self.scaled.get_or_init(|| Scaled::new(&self.layer)) {
            Some(scaled) => scaled.solve(self.layer.bounds, wrench, settings),
            None => Err(Failure::Numbers {
                lower: 0.0,
                upper: f64::INFINITY,
            }),
        }
    }

    fn outcome(&self, force: f64, solved: Result<Solved, Failure>) -> LimitOutcome {
        match solved {
            Ok(solved) => LimitOutcome::Certified(Box::new(self.told(force, solved))),
            Err(Failure::Iterations { lower, upper }) => {
                LimitOutcome::NotComputed(Reason::Iterations { lower, upper })
            }
            Err(Failure::Numbers { lower, upper }) => {
                LimitOutcome::NotComputed(Reason::Rounding { lower, upper })
            }
        }
    }

    fn told(&self, force: f64, solved: Solved) -> Dislodgement {
        let mut nodes = self.layer.speeds(&solved.motion);
        let mut opening = Vec::with_capacity(self.counts.len());
        let (mut fastest, mut opened, mut pressed) = (0.0_f64, 0.0, 0.0);
        for &count in &self.counts {
            let mut most: f64 = 0.0;
            for [open, slide, area] in nodes.by_ref().take(count) {
                opened += area * open.max(0.0);
                pressed += area * (-open).max(0.0);
                if area > 0.0 {
                    most = most.max(open);
                    fastest = fastest.max(open * open + slide * slide);
                }
            }
            opening.push(most);
        }
        for most in &mut opening {
            *most /= fastest.sqrt();
        }
        // Below a thousandth of the fastest node an opening is within the gap.
        let first = (0..opening.len())
            .max_by(|one, other| f64::total_cmp(&opening[*one], &opening[*other]))
            .filter(|index| opening[*index] > 1e-3);
        let mut tractions = solved.tractions.into_iter();
        let (velocity, rotation) = self.layer.plain_motion(&solved.motion);
        let motion = Motion { velocity, rotation };
        Dislodgement {
            lambda: solved.lower,
            upper: solved.upper,
            gap: (solved.upper - solved.lower) / solved.upper,
            demand: force / solved.lower,
            motion,
            // The motion has a power of one, so that it dissipates the upper bound.
            pressing_share: self.layer.bounds.pressing * pressed / solved.upper,
            opening_share: opened / (opened + pressed),
            opening,
            first,
            tractions: self
                .counts
                .iter()
                .map(|&count| tractions.by_ref().take(count).collect())
                .collect(),
            iterations: solved.iterations,
        }
    }
}

/// Returns the rows that give the velocity of a node, normal and along both tangents, from velocity and rotation of the
/// restoration at the origin.
fn velocity_rows(node: &Node) -> Rows {
    let [first, second] = node.tangents;
    [node.normal, first, second].map(|direction| {
        let [x, y, z] = direction;
        let [a, b, c] = cross(node.position, direction);
        [x, y, z, a, b, c]
    })
}

/// Returns the velocity of a point under a motion.
pub(crate) fn velocity_at(velocity: Vector, rotation: Vector, point: Vector) -> Vector {
    add(velocity, cross(rotation, point))
}
