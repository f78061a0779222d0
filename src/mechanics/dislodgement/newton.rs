//! The smoothed Newton method, first to be tried.
//!
//! Primal and dual at once, after Chan, Golub, Mulet 1999, SIAM Journal on Scientific Computing (from memory): the
//! dissipation `|w|` of a sliding node is taken for `√(w² + ε²)`, its traction `d` is a state of its own, and
//! `d √(w² + ε²) = w` is what Newton's method solves along with the six equations of equilibrium. The normal is the same
//! in one dimension: its traction is `middle + half e` with `|e| ≤ 1`. Linearised tractions are in equilibrium, so they
//! give a lower bound as soon as they keep within the limits or can be shrunk to.
//!
//! No bound is claimed from the method: see [`Run::certify`].

use super::Settings;
use super::layer::{Layer, Moving, Nodes, Stiffness, Wrench};
use super::linear::{Six, add, dot as dot_six, length};
use super::node::Bounds;
use super::pair::{Pair, Three, add as sum_of, dot, less, scale};
use super::solver::{Failure, Solved};
use crate::vector;

/// Smoothing at first, over the mean sliding velocity. This and what follows by trial on random cases.
const FIRST: f64 = 0.4;
/// Smoothing aimed at, over the gap between the bounds.
const AIM: f64 = 0.3;
/// The least smoothing wanted, over the gap asked for.
const LEAST: f64 = 4.0;
/// How fast the smoothing may fall while the tractions nearly keep within their limits, and while they do not.
const FALL: f64 = 0.2;
const SLOW_FALL: f64 = 0.5;
/// How far over their limits tractions nearly keep within them.
const NEARLY: f64 = 1.3;
/// The most iterations before another method is tried.
const MOST: u32 = 24;

/// Two nodes on the way.
#[derive(Clone, Copy, Default)]
struct State {
    /// Shear, as the last step made it, perhaps beyond the limit.
    shear: Three,
    /// What brings it back: at most one over its length where that is over one, else one.
    back: Pair,
    /// Normal traction: from the middle of its limits over half their distance, perhaps beyond one.
    normal: Pair,
    slide: Three,
    open: Pair,
    /// One over the smoothed speeds.
    over_slide: Pair,
    over_open: Pair,
}

/// What a pass over all nodes adds up.
struct Sums {
    stiffness: Stiffness,
    /// Held by smoothed tractions.
    held: Wrench,
    /// Not less than the dissipation, save that of the middle of the normal limits.
    dissipation: f64,
    speed: f64,
    /// By how much the worst traction is over its limit, as a factor.
    worst: f64,
}

struct Run<'a> {
    layer: &'a Layer,
    load: &'a Six,
    states: Vec<State>,
    motion: Six,
    best: Six,
    upper: f64,
    lower: f64,
}

/// Raises the load until the gap is met.
pub(super) fn solve(layer: &Layer, load: &Six, settings: Settings) -> Result<Solved, Failure> {
    let Settings {
        gap,
        max_iterations,
        enough,
    } = settings;
    let first = layer.whole.solve(load);
    let power = dot_six(load, &first);
    let mut step = first.map(|value| value / power);
    let mut run = Run {
        layer,
        load,
        states: vec![State::default(); layer.nodes.len()],
        motion: [0.0; 6],
        best: step,
        upper: f64::INFINITY,
        lower: 0.0,
    };
    let mut speed = (layer.shear.worth(&step) / layer.area).sqrt();
    let mut smoothing = FIRST;
    let mut least = LEAST * gap;
    let mut lambda = 0.0;
    for iteration in 0..=max_iterations.min(MOST) {
        let sums = run.pass(&step, smoothing * speed);
        add(&mut run.motion, 1.0, &step);
        let upper = sums.dissipation + layer.bounds.middle() * dot_six(&layer.normal, &run.motion);
        if upper < run.upper {
            run.upper = upper;
            run.best = run.motion;
        }
        // The sums alone prove nothing; ask for proof once they look like success.
        let done = |lower: f64, upper: f64| upper - lower <= gap * upper || lower >= enough;
        if iteration > 0
            && done(lambda / sums.worst, run.upper)
            && run.certify(lambda)
            && done(run.lower, run.upper)
        {
            return Ok(run.solved(lambda, iteration));
        }
        let apart = ((upper - lambda) / upper).abs();
        if iteration > 0 {
            let fall = if sums.worst < NEARLY { FALL } else { SLOW_FALL };
            let aim = (AIM * apart).clamp(smoothing * fall, smoothing);
            smoothing = aim.max(least);
            if smoothing <= least {
                least *= 0.5;
            }
        } else {
            smoothing *= FALL;
        }
        speed = sums.speed / layer.area;
        let Some((next, held)) = run.next(&sums, lambda) else {
            return Err(Failure::Numbers {
                lower: run.lower,
                upper: run.upper,
            });
        };
        (step, lambda) = (next, held);
    }
    Err(Failure::Iterations {
        lower: run.lower,
        upper: run.upper,
    })
}

impl Run<'_> {
    /// Moves on by a step and sums up what is there.
    fn pass(&mut self, step: &Six, smoothing: f64) -> Sums {
        let bounds = self.layer.bounds;
        let (one, half) = (Pair::both(1.0), Pair::both(0.5));
        let reach = Pair::both(bounds.half());
        let square = Pair::both(smoothing * smoothing);
        let moving = Moving::new(step);
        let mut stiffness = Stiffness::ZERO;
        let mut held = Wrench::ZERO;
        let (mut dissipation, mut speed) = (Pair::ZERO, Pair::ZERO);
        let mut longest = Pair::ZERO;
        let (mut highest, mut lowest) = (Pair::ZERO, Pair::ZERO);
        for (node, state) in self.layer.nodes.iter().zip(&mut self.states) {
            let (opening, sliding) = moving.at(node);
            let (shear, normal) = state.stepped(opening, sliding);
            let slide = sum_of(state.slide, sliding);
            let open = state.open + opening;
            let long = dot(shear, shear);
            longest = longest.max(long);
            highest = highest.max(normal);
            lowest = lowest.min(normal);

            let slid = dot(slide, slide);
            let speeds = [(slid + square).sqrt(), (open * open + square).sqrt()];
            let beyond = one + long.max(one);
            // One division for three: dividing takes as long as ten products.
            let both = speeds[0] * speeds[1];
            let over = (both * beyond).inverse();
            let back = (both + both) * over;
            let over_both = over * beyond;
            let over_slide = speeds[1] * over_both;
            let over_open = speeds[0] * over_both;
            // √(r² - ε²) from above, without another root: r (1 - x/2 - x²/8) with x = ε²/r².
            let part = square * over_slide * over_slide;
            let slid = speeds[0] - half * speeds[0] * part * (one + half * half * part);
            dissipation += node.area * (slid + reach * open.abs());
            speed += node.area * speeds[0];

            let along = scale(over_slide, slide);
            let opened = open * over_open;
            let within = scale(back, shear);
            let inner = normal.min(one).max(-one);
            *state = State {
                shear,
                back,
                normal,
                slide,
                open,
                over_slide,
                over_open,
            };

            let stiff = node.area * over_slide;
            let pull = node.area * reach;
            let across = pull * over_open * (one - inner * opened) - stiff;
            let mixed = scale(-half * stiff, along);
            stiffness.add(node.place, in_space(node, stiff, across, within, mixed));
            let pull = pull * opened;
            held.add(
                node.place,
                less(scale(node.area, along), -pull, node.normal),
            );
        }
        Sums {
            stiffness,
            held,
            dissipation: dissipation.sum(),
            speed: speed.sum(),
            worst: excess(
                bounds,
                longest.largest().sqrt(),
                [highest.largest(), (-lowest).largest()],
            ),
        }
    }

    /// Returns the next step, at a power of the load of nil, and its load multiplier.
    ///
    /// Along the motion itself the stiffness all but vanishes as the smoothing falls. Since the step has no power, stiffness
    /// along the load changes nothing but that; and of what is held only what the load does not balance is solved for.
    fn next(&self, sums: &Sums, lambda: f64) -> Option<(Six, f64)> {
        let mut matrix = sums.stiffness.matrix();
        matrix.add(matrix.trace() / dot_six(self.load, self.load), self.load);
        let factor = matrix.factor_propped()?;
        let mut held = sums.held.six();
        add(&mut held, self.layer.bounds.middle(), &self.layer.normal);
        add(&mut held, -lambda, self.load);
        let free = factor.solve(&held);
        let along = factor.solve(self.load);
        let more = dot_six(self.load, &free) / dot_six(self.load, &along);
        let mut step = along.map(|value| more * value);
        add(&mut step, -1.0, &free);
        let lambda = lambda + more;
        (lambda.is_finite() && length(&step).is_finite()).then_some((step, lambda))
    }

    /// Proves both bounds from the motion and the tractions themselves. False when that gives no lower bound.
    ///
    /// The tractions are shrunk, all alike, by the worst limit, and what they lack of equilibrium is charged: by
    /// duality it can be worth no more than its length times the longest motion of unit dissipation, times the load.
    fn certify(&mut self, lambda: f64) -> bool {
        let layer = self.layer;
        let power = dot_six(self.load, &self.best);
        self.upper = layer.dissipation(&self.best) / power;
        let bounds = layer.bounds;
        let limits = bounds.pairs();
        let mut held = Wrench::ZERO;
        let mut longest = Pair::ZERO;
        let (mut highest, mut lowest) = (Pair::ZERO, Pair::ZERO);
        for (node, state) in layer.nodes.iter().zip(&self.states) {
            let (normal, shear) = state.told(node, bounds);
            longest = longest.max(dot(shear, shear));
            highest = highest.max(normal);
            lowest = lowest.min(normal);
            let pull = limits.middle + limits.half * normal;
            held.add(
                node.place,
                scale(node.area, less(shear, -pull, node.normal)),
            );
        }
        let worst = excess(
            bounds,
            longest.largest().sqrt(),
            [highest.largest(), (-lowest).largest()],
        );
        let held = held.six();
        let mut residual = self.load.map(|value| lambda * value);
        add(&mut residual, -1.0, &held);
        let lower = (lambda - length(&residual) * layer.reach * self.upper) / worst;
        self.lower = if lower.is_finite() {
            lower.max(0.0)
        } else {
            0.0
        };
        self.lower > 0.0
    }

    /// The result; `lambda` is the multiplier that the tractions hold as they are.
    fn solved(self, lambda: f64, iterations: u32) -> Solved {
        let power = dot_six(self.load, &self.best);
        let bounds = self.layer.bounds;
        let part = self.lower / lambda;
        let mut tractions = Vec::with_capacity(self.layer.nodes.len() * 2);
        for (node, state) in self.layer.nodes.iter().zip(&self.states) {
            let (normal, shear) = state.told(node, bounds);
            for lane in 0..2 {
                let normal = bounds.middle() + bounds.half() * normal.0[lane];
                let Some([first, second]) = self.layer.tangents.get(tractions.len()) else {
                    break;
                };
                let shear = shear.map(|axis| axis.0[lane]);
                let told = [
                    normal,
                    vector::dot(shear, *first),
                    vector::dot(shear, *second),
                ];
                tractions.push(told.map(|value| part * value));
            }
        }
        Solved {
            lower: self.lower,
            upper: self.upper,
            motion: self.best.map(|value| value / power),
            tractions,
            iterations,
        }
    }
}

impl State {
    /// Returns shear and normal traction after a step: `w/r + K δw` with the symmetric `K = (1 - (d hᵀ + h dᵀ)/2) / r`,
    /// `h = w/r`.
    #[inline(always)]
    fn stepped(&self, opening: Pair, sliding: Three) -> (Three, Pair) {
        let (one, half) = (Pair::both(1.0), Pair::both(0.5));
        let within = scale(self.back, self.shear);
        let over = half * self.over_slide;
        let along = over * dot(self.slide, sliding);
        let loaded = over * dot(within, sliding);
        let moved = sum_of(self.slide, sliding);
        let moved = less(less(moved, along, within), loaded, self.slide);
        let inner = self.normal.min(one).max(-one);
        let opened = self.open * self.over_open;
        let normal = self.over_open * (self.open + opening * (one - inner * opened));
        (scale(self.over_slide, moved), normal)
    }

    /// Returns the tractions to be told: normal, from the middle of its limits over half their distance, and shear, free
    /// of what rounding turned along the normal. Where there is to be no tension none is told.
    #[inline(always)]
    fn told(&self, node: &Nodes, bounds: Bounds) -> (Pair, Three) {
        let normal = if bounds.tension > 0.0 {
            self.normal
        } else {
            self.normal.min(Pair::both(1.0))
        };
        let stray = dot(self.shear, node.normal);
        (normal, less(self.shear, stray, node.normal))
    }
}

/// Returns `stiff + across n nᵀ + d gᵀ + g dᵀ` in the order xx, xy, yy, xz, yz, zz.
#[inline(always)]
fn in_space(node: &Nodes, stiff: Pair, across: Pair, d: Three, g: Three) -> [Pair; 6] {
    let [n0, n1, n2] = node.normal;
    let [a0, a1, a2] = scale(across, node.normal);
    let [xx, yy, zz] = [d[0] * g[0], d[1] * g[1], d[2] * g[2]];
    [
        stiff + a0 * n0 + (xx + xx),
        a0 * n1 + d[0] * g[1] + d[1] * g[0],
        stiff + a1 * n1 + (yy + yy),
        a0 * n2 + d[0] * g[2] + d[2] * g[0],
        a1 * n2 + d[1] * g[2] + d[2] * g[1],
        stiff + a2 * n2 + (zz + zz),
    ]
}

/// Returns by how much tractions are over their limits, as a factor, below one where they keep within them; not less
/// than a half. From the longest shear and the most tension and pressing, from the middle of the limits over half their
/// distance.
fn excess(bounds: Bounds, longest: f64, [tension, pressing]: [f64; 2]) -> f64 {
    let half = bounds.half();
    // Without any tension no shrinking would mend it: it is cut off before it is told, and here counts as if some were
    // allowed.
    let allowed = if bounds.tension > 0.0 {
        bounds.tension
    } else {
        1e-3
    };
    let tension = 1.0 + half * (tension - 1.0) / allowed;
    let pressing = 1.0 + half * (pressing - 1.0) / bounds.pressing;
    longest.max(tension).max(pressing).max(0.5)
}
