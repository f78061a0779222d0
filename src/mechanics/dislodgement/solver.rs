//! The interior point method: slower than Newton's, for the cases that gives up.
//!
//! Primal-dual with the scaling of Nesterov and Todd and Mehrotra's predictor and corrector (standard; see for the cone
//! Andersen, Dahl, Vandenberghe on conic programmes). Everything that belongs to a node is eliminated in the node, so
//! one 6 × 6 Cholesky factor an iteration is all the linear algebra there is.
//!
//! All in scaled coordinates: motions and wrenches such that `Σ area GᵀG` is the unit matrix and the load has length one.

use super::Settings;
use super::layer::Layer;
use super::linear::{Factor, Matrix, Six, add, dot, length};
use super::node::{Aim, Bounds, Products, Rows, Scaling, State, Step};

/// How much of the way to the limits a step goes.
const STEP: f64 = 0.97;

/// The nodes in scaled coordinates.
#[derive(Clone, Debug)]
pub(super) struct Scaled {
    rows: Vec<Rows>,
    areas: Vec<f64>,
    factor: Factor,
    reach: f64,
}

impl Scaled {
    /// Returns none where rounding leaves the nodes holding nothing.
    pub(super) fn new(layer: &Layer) -> Option<Scaled> {
        let (mut rows, areas): (Vec<Rows>, Vec<f64>) = layer.rows().unzip();
        let mut sum = Matrix::ZERO;
        for (rows, area) in rows.iter().zip(&areas) {
            for row in rows {
                sum.add(*area, row);
            }
        }
        let factor = sum.factor()?;
        let mut shear = Matrix::ZERO;
        let mut longest: f64 = 0.0;
        for (rows, area) in rows.iter_mut().zip(&areas) {
            for row in rows.iter_mut() {
                *row = factor.forward(row);
            }
            let [_, first, second] = &rows;
            longest = longest.max((dot(first, first) + dot(second, second)).sqrt());
            shear.add(*area, first);
            shear.add(*area, second);
            for row in rows {
                *row = row.map(|value| value * area);
            }
        }
        // For a motion ξ the shear alone dissipates Σ a|Gξ| ≥ Σ a|Gξ|² / max|Gξ|, and Σ a|Gξ|² is |ξ|² over the stretch
        // of the inverse at least.
        let stretch = shear.factor()?.inverse_bound();
        Some(Scaled {
            rows,
            areas,
            factor,
            reach: longest * stretch,
        })
    }

    /// Raises a load, a wrench in the coordinates of the layer, until the gap is met.
    pub(super) fn solve(
        &self,
        bounds: Bounds,
        load: &Six,
        settings: Settings,
    ) -> Result<Solved, Failure> {
        let scaled = self.factor.forward(load);
        let size = length(&scaled);
        let settings = settings.until(settings.enough * size);
        let problem = Problem {
            rows: &self.rows,
            areas: &self.areas,
            bounds,
            load: scaled.map(|value| value / size),
            reach: self.reach,
        };
        match solve(&problem, cold(&problem), settings) {
            Ok(solved) => Ok(Solved {
                lower: solved.lower / size,
                upper: solved.upper / size,
                motion: self
                    .factor
                    .backward(&solved.motion)
                    .map(|value| value / size),
                ..solved
            }),
            Err(failure) => Err(failure.times(1.0 / size)),
        }
    }
}

struct Problem<'a> {
    /// Velocities times area of each node from the scaled motion.
    rows: &'a [Rows],
    /// In mm².
    areas: &'a [f64],
    bounds: Bounds,
    /// The scaled load, of length one.
    load: Six,
    /// No motion of unit dissipation is longer than this.
    reach: f64,
}

/// From where to start: a motion and the products of complementarity.
struct Start {
    motion: Six,
    mu: f64,
}

#[derive(Debug)]
pub(super) struct Solved {
    pub(super) lower: f64,
    pub(super) upper: f64,
    /// The motion that the upper bound is made of, with a power of the load of one.
    pub(super) motion: Six,
    /// The tractions that the lower bound is made of, for the lower bound.
    pub(super) tractions: Vec<[f64; 3]>,
    pub(super) iterations: u32,
}

#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) enum Failure {
    Iterations { lower: f64, upper: f64 },
    Numbers { lower: f64, upper: f64 },
}

impl Failure {
    /// Returns this failure with the better bounds of both.
    pub(super) fn narrowed(self, other: Failure) -> Failure {
        let (Failure::Iterations { lower, upper } | Failure::Numbers { lower, upper }) = other;
        self.with(|low, high| (low.max(lower), high.min(upper)))
    }

    /// Returns the same in other units.
    fn times(self, factor: f64) -> Failure {
        self.with(|lower, upper| (lower * factor, upper * factor))
    }

    fn with(self, change: impl Fn(f64, f64) -> (f64, f64)) -> Failure {
        match self {
            Failure::Iterations { lower, upper } => {
                let (lower, upper) = change(lower, upper);
                Failure::Iterations { lower, upper }
            }
            Failure::Numbers { lower, upper } => {
                let (lower, upper) = change(lower, upper);
                Failure::Numbers { lower, upper }
            }
        }
    }
}

struct Run<'a> {
    problem: &'a Problem<'a>,
    states: Vec<State>,
    scalings: Vec<Scaling>,
    steps: Vec<Step>,
    aims: Vec<Aim>,
    motion: Six,
    lambda: f64,
    residual: Six,
    complementarity: f64,
    lower: f64,
    upper: f64,
}

/// A proven lower bound.
struct Bound {
    lower: f64,
    tractions: Vec<[f64; 3]>,
}

/// Raises the load until the gap is met.
///
/// Both bounds hold whatever way they were found, so the best of each is kept.
fn solve(problem: &Problem<'_>, start: Start, settings: Settings) -> Result<Solved, Failure> {
    let Settings {
        gap,
        max_iterations,
        enough,
    } = settings;
    let mut run = Run::new(problem, start);
    let mut best_motion = run.motion;
    let mut best: Option<Bound> = None;
    for iteration in 0..=max_iterations {
        let Some(factor) = run.scale() else {
            return Err(run.numbers());
        };
        let upper = run.dissipation();
        if upper < run.upper {
            run.upper = upper;
            best_motion = run.motion;
        }
        let apart = (upper - run.lambda) / upper;
        // The state alone proves nothing; ask for proof once it looks like success.
        if (apart <= 2.0 * gap || run.lambda >= enough)
            && let Some(bound) = run.certificate(&factor)
            && bound.lower > run.lower
        {
            run.lower = bound.lower;
            best = Some(bound);
        }
        if ((run.upper - run.lower) / run.upper <= gap || run.lower >= enough)
            && let Some(Bound { lower, tractions }) = best
        {
            let power = dot(&problem.load, &best_motion);
            return Ok(Solved {
                lower,
                upper: run.upper,
                motion: best_motion.map(|value| value / power),
                tractions,
                iterations: iteration,
            });
        }
        if iteration < max_iterations && run.advance(&factor).is_none() {
            return Err(run.numbers());
        }
    }
    Err(Failure::Iterations {
        lower: run.lower,
        upper: run.upper,
    })
}

impl Run<'_> {
    fn new<'a>(problem: &'a Problem<'a>, start: Start) -> Run<'a> {
        let power = dot(&problem.load, &start.motion);
        let motion = start.motion.map(|value| value / power);
        let states: Vec<State> = problem
            .rows
            .iter()
            .map(|rows| {
                let [u, v, w] = velocities(rows, &motion);
                State::central(u, [v, w], problem.bounds, start.mu)
            })
            .collect();
        let mut run = Run {
            problem,
            scalings: Vec::with_capacity(states.len()),
            aims: Vec::with_capacity(states.len()),
            steps: vec![Step::default(); states.len()],
            states,
            motion,
            lambda: 0.0,
            residual: [0.0; 6],
            complementarity: 0.0,
            lower: 0.0,
            upper: f64::INFINITY,
        };
        let held = run.take_stock();
        run.lambda = dot(&problem.load, &held);
        run.residual = run.residual_of(run.lambda, &held);
        run
    }

    fn numbers(&self) -> Failure {
        Failure::Numbers {
            lower: self.lower,
            upper: self.upper,
        }
    }

    fn residual_of(&self, lambda: f64, held: &Six) -> Six {
        let mut residual = self.problem.load.map(|value| lambda * value);
        add(&mut residual, -1.0, held);
        residual
    }

    /// The mean product of complementarity; each node has three.
    fn mu(&self) -> f64 {
        self.complementarity / (3 * self.states.len()) as f64
    }

    /// Sums the complementarity and returns the wrench held.
    fn take_stock(&mut self) -> Six {
        let mut held = [0.0; 6];
        self.complementarity = 0.0;
        for (state, rows) in self.states.iter().zip(self.problem.rows) {
            self.complementarity += state.complementarity(self.problem.bounds);
            add_held(&mut held, rows, state.traction());
        }
        held
    }

    /// Returns what the present motion dissipates, from the motion itself.
    fn dissipation(&self) -> f64 {
        dissipation(self.problem.rows, self.problem.bounds, &self.motion)
            / dot(&self.problem.load, &self.motion)
    }

    /// Scales all nodes and returns the factor of `Σ Bᵀ K B`.
    fn scale(&mut self) -> Option<Factor> {
        let mut matrix = Matrix::ZERO;
        self.scalings.clear();
        for (state, rows) in self.states.iter().zip(self.problem.rows) {
            let scaling = state.scaling(self.problem.bounds)?;
            scaling.stiffen(rows, &mut matrix);
            self.scalings.push(scaling);
        }
        // A certificate does not rest on the factor.
        matrix.factor_propped()
    }

    /// Returns the better of two proven lower bounds with its tractions.
    ///
    /// The residual of equilibrium is put right along the stiffness, which keeps clear of the limits but gets inexact
    /// near the end, or evenly, all tractions alike.
    fn certificate(&self, factor: &Factor) -> Option<Bound> {
        let along = factor.solve(&self.residual);
        let nodes = self.scalings.iter().zip(self.problem.rows);
        let stiff = nodes.map(|(scaling, rows)| scaling.traction(velocities(rows, &along)));
        let nodes = self.problem.rows.iter().zip(self.problem.areas);
        let even = nodes.map(|(rows, area)| {
            let share = if *area > 0.0 { 1.0 / area } else { 0.0 };
            velocities(rows, &self.residual).map(|value| share * value)
        });
        match (self.corrected(stiff), self.corrected(even)) {
            (Some(one), Some(other)) if other.lower > one.lower => Some(other),
            (one, other) => one.or(other),
        }
    }

    /// Returns the lower bound that the tractions prove after a correction.
    ///
    /// All are shrunk by the worst limit, and what residual is left then, by rounding, is charged: by duality it can be
    /// worth no more than its length times the longest motion of unit dissipation, times the load. None where no
    /// shrinking mends a limit.
    fn corrected(&self, corrections: impl Iterator<Item = [f64; 3]>) -> Option<Bound> {
        let bounds = self.problem.bounds;
        let mut worst: f64 = 1.0;
        let mut tractions: Vec<[f64; 3]> = Vec::with_capacity(self.states.len());
        for (state, [dq, ds, dt]) in self.states.iter().zip(corrections) {
            let [q, s, t] = state.traction();
            let corrected = [q + dq, s + ds, t + dt];
            worst = worst.max(excess(corrected, bounds)?);
            tractions.push(corrected);
        }
        let mut held = [0.0; 6];
        for (traction, rows) in tractions.iter_mut().zip(self.problem.rows) {
            *traction = traction.map(|value| value / worst);
            add_held(&mut held, rows, *traction);
        }
        let lambda = self.lambda / worst;
        let residual = length(&self.residual_of(lambda, &held));
        let lower = lambda - residual * self.problem.reach * self.upper;
        if !(lower.is_finite() && lower > 0.0) {
            return None;
        }
        // Charged too, so that the tractions hold the lower bound and no more.
        for traction in &mut tractions {
            *traction = traction.map(|value| value * (lower / lambda));
        }
        Some(Bound { lower, tractions })
    }

    /// Predictor, corrector, step. None when the numbers give out.
    fn advance(&mut self, factor: &Factor) -> Option<()> {
        let bounds = self.problem.bounds;
        let mu = self.mu();
        // What the predictor asks of the nodes whatever the motion is `K B ξ`, so that in sum the motion itself goes.
        let mut motion = factor.solve(&self.residual);
        add(&mut motion, -1.0, &self.motion);
        self.keep_power(factor, &mut motion);
        let mut products = Products::default();
        let mut strain = [0.0_f64; 2];
        for (((state, scaling), step), rows) in self
            .states
            .iter()
            .zip(&self.scalings)
            .zip(&mut self.steps)
            .zip(self.problem.rows)
        {
            *step = state.step(
                scaling,
                &state.predictor(scaling),
                velocities(rows, &motion),
            );
            let [tractions, velocities] = state.strain(scaling, step);
            strain = [strain[0].max(tractions), strain[1].max(velocities)];
            state.add_products(bounds, step, &mut products);
        }
        let [tractions, speeds] = strain.map(|strain| (1.0 / strain).min(1.0));
        let after = self.complementarity
            + tractions * products.tractions
            + speeds * products.velocities
            + tractions * speeds * products.both;
        let centring = (after / self.complementarity).clamp(0.0, 1.0).powi(3);

        self.aims.clear();
        let mut right = self.residual;
        for (((state, scaling), step), rows) in self
            .states
            .iter()
            .zip(&self.scalings)
            .zip(&self.steps)
            .zip(self.problem.rows)
        {
            let aim = state.corrector(scaling, step, centring * mu);
            add_held(&mut right, rows, scaling.unmoved(&aim).map(|value| -value));
            self.aims.push(aim);
        }
        let mut motion = factor.solve(&right);
        let lambda = self.keep_power(factor, &mut motion);
        let mut strain = [0.0_f64; 2];
        for ((((state, scaling), aim), step), rows) in self
            .states
            .iter()
            .zip(&self.scalings)
            .zip(&self.aims)
            .zip(&mut self.steps)
            .zip(self.problem.rows)
        {
            *step = state.step(scaling, aim, velocities(rows, &motion));
            let [tractions, velocities] = state.strain(scaling, step);
            strain = [strain[0].max(tractions), strain[1].max(velocities)];
        }
        let [tractions, speeds] = strain.map(|strain| (STEP / strain).min(1.0));
        if !(tractions > 1e-10 && speeds > 1e-10 && lambda.is_finite()) {
            return None;
        }
        for (state, step) in self.states.iter_mut().zip(&self.steps) {
            state.go(step, tractions, speeds);
        }
        self.lambda += tractions * lambda;
        add(&mut self.motion, speeds, &motion);
        let held = self.take_stock();
        self.residual = self.residual_of(self.lambda, &held);
        Some(())
    }

    /// Changes a step of the motion so that the power of the load stays one, and returns the step of the load multiplier.
    fn keep_power(&self, factor: &Factor, motion: &mut Six) -> f64 {
        let load = &self.problem.load;
        let along = factor.solve(load);
        let lambda = -dot(load, motion) / dot(load, &along);
        add(motion, lambda, &along);
        lambda
    }
}

/// Returns the cold start: the motion along the load.
fn cold(problem: &Problem<'_>) -> Start {
    let motion = problem.load;
    let worth = dissipation(problem.rows, problem.bounds, &motion);
    Start {
        motion,
        mu: worth / (3 * problem.rows.len()) as f64,
    }
}

/// Returns what a motion dissipates.
fn dissipation(rows: &[Rows], bounds: Bounds, motion: &Six) -> f64 {
    rows.iter()
        .map(|rows| {
            let [u, v, w] = velocities(rows, motion);
            (v * v + w * w).sqrt() + (bounds.tension * u).max(-bounds.pressing * u)
        })
        .sum()
}

fn velocities(rows: &Rows, motion: &Six) -> [f64; 3] {
    [
        dot(&rows[0], motion),
        dot(&rows[1], motion),
        dot(&rows[2], motion),
    ]
}

/// Adds the wrench that the traction of a node holds.
fn add_held(sum: &mut Six, rows: &Rows, traction: [f64; 3]) {
    for (row, traction) in rows.iter().zip(traction) {
        add(sum, traction, row);
    }
}

/// Returns by how much a traction is over its limits, as a factor; none for tension where there is to be none.
fn excess([q, s, t]: [f64; 3], bounds: Bounds) -> Option<f64> {
    let normal = if q > 0.0 {
        if bounds.tension <= 0.0 {
            return None;
        }
        q / bounds.tension
    } else {
        -q / bounds.pressing
    };
    Some(normal.max((s * s + t * t).sqrt()))
}
