//! The interior point method.
//!
//! Primal-dual with the scaling of Nesterov and Todd and Mehrotra's predictor and corrector (standard; see for the cone
//! Andersen, Dahl, Vandenberghe on conic programmes). Everything that belongs to a node is eliminated in the node, so
//! one 6 × 6 Cholesky factor an iteration is all the linear algebra there is.
//!
//! All in scaled coordinates: motions and wrenches such that `Σ area GᵀG` is the unit matrix and the load has length one.

use super::linear::{Factor, Matrix, Six, add, dot, length};
use super::node::{Aim, Bounds, Rows, Scaling, State, Step};

/// How much of the way to the limits a step goes.
const STEP: f64 = 0.97;
/// Gap at which the state is kept for a warm start.
const KEEP: f64 = 1e-2;

pub(super) struct Problem<'a> {
    /// Velocities times area of each node from the scaled motion.
    pub(super) rows: &'a [Rows],
    pub(super) bounds: Bounds,
    /// The scaled load, of length one.
    pub(super) load: Six,
    /// No motion of unit dissipation is longer than this.
    pub(super) reach: f64,
}

/// From where to start: a motion and the products of complementarity.
#[derive(Clone, Copy, Debug)]
pub(super) struct Start {
    pub(super) motion: Six,
    pub(super) mu: f64,
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
    pub(super) keep: Start,
}

#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) enum Failure {
    Iterations { lower: f64, upper: f64 },
    Numbers { lower: f64, upper: f64 },
}

struct Run<'a> {
    problem: &'a Problem<'a>,
    states: Vec<State>,
    scalings: Vec<Scaling>,
    steps: Vec<Step>,
    motion: Six,
    lambda: f64,
    residual: Six,
    lower: f64,
    upper: f64,
}

/// Raises the load until the gap is met.
pub(super) fn solve(
    problem: &Problem<'_>,
    start: Start,
    gap: f64,
    max_iterations: u32,
) -> Result<Solved, Failure> {
    let mut run = Run::new(problem, start);
    let mut keep = None;
    for iteration in 0..=max_iterations {
        let Some(factor) = run.scale() else {
            return Err(run.numbers());
        };
        let upper = run.dissipation();
        run.upper = run.upper.min(upper);
        let apart = (upper - run.lambda) / upper;
        if apart.abs() <= KEEP && length(&run.residual) <= KEEP * upper {
            keep.get_or_insert(Start {
                motion: run.motion,
                mu: run.mu(),
            });
        }
        // The state alone proves nothing; ask for proof once it looks like success.
        if apart <= gap
            && let Some((lower, tractions)) = run.certificate(&factor)
        {
            run.lower = run.lower.max(lower);
            if (upper - lower) / upper <= gap {
                return Ok(Solved {
                    lower,
                    upper,
                    motion: run.motion,
                    tractions,
                    iterations: iteration,
                    keep: keep.unwrap_or(Start {
                        motion: run.motion,
                        mu: run.mu(),
                    }),
                });
            }
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
        let held = held(problem.rows, states.iter().map(State::traction));
        let lambda = dot(&problem.load, &held);
        let mut run = Run {
            problem,
            scalings: Vec::with_capacity(states.len()),
            steps: Vec::with_capacity(states.len()),
            states,
            motion,
            lambda,
            residual: [0.0; 6],
            lower: 0.0,
            upper: f64::INFINITY,
        };
        run.residual = run.residual_of(lambda, &held);
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
        let bounds = self.problem.bounds;
        let sum: f64 = self
            .states
            .iter()
            .map(|state| state.complementarity(bounds))
            .sum();
        sum / (3 * self.states.len()) as f64
    }

    /// Returns what the present motion dissipates, from the motion itself.
    fn dissipation(&self) -> f64 {
        dissipation(self.problem.rows, self.problem.bounds, &self.motion)
            / dot(&self.problem.load, &self.motion)
    }

    /// Scales all nodes and returns the factor of `Σ Bᵀ K B`.
    fn scale(&mut self) -> Option<Factor> {
        let bounds = self.problem.bounds;
        let mut matrix = Matrix::ZERO;
        self.scalings.clear();
        for (state, rows) in self.states.iter().zip(self.problem.rows) {
            let scaling = state.scaling(rows, bounds)?;
            scaling.stiffen(&mut matrix);
            self.scalings.push(scaling);
        }
        matrix.factor()
    }

    /// Returns a proven lower bound with its tractions.
    ///
    /// The residual of equilibrium is put right along the stiffness, all tractions are shrunk by the worst limit, and
    /// what residual is left then, by rounding, is charged: by duality it can be worth no more than its length times the
    /// longest motion of unit dissipation, times the load. None where no shrinking mends a limit.
    fn certificate(&self, factor: &Factor) -> Option<(f64, Vec<[f64; 3]>)> {
        let bounds = self.problem.bounds;
        let right = factor.solve(&self.residual);
        let mut worst: f64 = 1.0;
        let mut tractions: Vec<[f64; 3]> = Vec::with_capacity(self.states.len());
        for (state, scaling) in self.states.iter().zip(&self.scalings) {
            let [q, s, t] = state.traction();
            let [dq, ds, dt] = scaling.traction(&right);
            let corrected = [q + dq, s + ds, t + dt];
            worst = worst.max(excess(corrected, bounds)?);
            tractions.push(corrected);
        }
        for traction in &mut tractions {
            *traction = traction.map(|value| value / worst);
        }
        let lambda = self.lambda / worst;
        let held = held(self.problem.rows, tractions.iter().copied());
        let residual = length(&self.residual_of(lambda, &held));
        let charge = residual * self.problem.reach * self.upper;
        let lower = lambda - charge;
        (lower.is_finite() && lower > 0.0).then_some((lower, tractions))
    }

    /// Predictor, corrector, step. None when the numbers give out.
    fn advance(&mut self, factor: &Factor) -> Option<()> {
        let bounds = self.problem.bounds;
        let mu = self.mu();
        self.direction(factor, |state, scaling, _| state.predictor(scaling, bounds));
        let [tractions, velocities] = self.room(1.0);
        let left =
            self.complementarity_after(tractions, velocities) / (3 * self.states.len()) as f64;
        let centring = (left / mu).clamp(0.0, 1.0).powi(3);
        let (lambda, motion) = self.direction(factor, |state, scaling, step| {
            state.corrector(scaling, bounds, step, centring * mu)
        });
        let [tractions, velocities] = self.room(STEP);
        if !(tractions > 1e-10 && velocities > 1e-10) || !lambda.is_finite() {
            return None;
        }
        for (state, step) in self.states.iter_mut().zip(&self.steps) {
            *state = state.moved(step, tractions, velocities);
        }
        self.lambda += tractions * lambda;
        add(&mut self.motion, velocities, &motion);
        let held = held(self.problem.rows, self.states.iter().map(State::traction));
        self.residual = self.residual_of(self.lambda, &held);
        Some(())
    }

    /// Sets the steps of all nodes for an aim, and returns those of the load multiplier and of the motion.
    fn direction(
        &mut self,
        factor: &Factor,
        aim: impl Fn(&State, &Scaling, &Step) -> Aim,
    ) -> (f64, Six) {
        let bounds = self.problem.bounds;
        let load = &self.problem.load;
        self.steps.resize(self.states.len(), Step::default());
        let mut right = self.residual;
        let mut aims = Vec::with_capacity(self.states.len());
        for ((state, scaling), step) in self.states.iter().zip(&self.scalings).zip(&self.steps) {
            let aim = aim(state, scaling, step);
            scaling.load(state, bounds, &aim, &mut right);
            aims.push(aim);
        }
        let mut motion = factor.solve(&right);
        let along = factor.solve(load);
        // The power of the load stays one.
        let lambda = -dot(load, &motion) / dot(load, &along);
        add(&mut motion, lambda, &along);
        for (((state, scaling), aim), step) in self
            .states
            .iter()
            .zip(&self.scalings)
            .zip(&aims)
            .zip(&mut self.steps)
        {
            *step = state.step(scaling, bounds, aim, &motion);
        }
        (lambda, motion)
    }

    /// Returns how much of the steps keeps all nodes within their limits, at most one.
    fn room(&self, of_the_way: f64) -> [f64; 2] {
        let bounds = self.problem.bounds;
        let mut room = [f64::INFINITY; 2];
        for (state, step) in self.states.iter().zip(&self.steps) {
            let [tractions, velocities] = state.room(bounds, step);
            room = [room[0].min(tractions), room[1].min(velocities)];
        }
        room.map(|room| (of_the_way * room).min(1.0))
    }

    fn complementarity_after(&self, tractions: f64, velocities: f64) -> f64 {
        let bounds = self.problem.bounds;
        self.states
            .iter()
            .zip(&self.steps)
            .map(|(state, step)| {
                state
                    .moved(step, tractions, velocities)
                    .complementarity(bounds)
            })
            .sum()
    }
}

/// Returns the cold start: the motion along the load.
pub(super) fn cold(problem: &Problem<'_>) -> Start {
    let motion = problem.load;
    let worth = dissipation(problem.rows, problem.bounds, &motion);
    Start {
        motion,
        mu: worth / (3 * problem.rows.len()) as f64,
    }
}

/// Returns what a motion dissipates.
pub(super) fn dissipation(rows: &[Rows], bounds: Bounds, motion: &Six) -> f64 {
    rows.iter()
        .map(|rows| {
            let [u, v, w] = velocities(rows, motion);
            v.hypot(w) + (bounds.tension * u).max(-bounds.pressing * u)
        })
        .sum()
}

pub(super) fn velocities(rows: &Rows, motion: &Six) -> [f64; 3] {
    [
        dot(&rows[0], motion),
        dot(&rows[1], motion),
        dot(&rows[2], motion),
    ]
}

/// Returns the wrench that tractions hold.
fn held(rows: &[Rows], tractions: impl Iterator<Item = [f64; 3]>) -> Six {
    let mut sum = [0.0; 6];
    for (rows, traction) in rows.iter().zip(tractions) {
        for (row, traction) in rows.iter().zip(traction) {
            add(&mut sum, traction, row);
        }
    }
    sum
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
    Some(normal.max(s.hypot(t)))
}
