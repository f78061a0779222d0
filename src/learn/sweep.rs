//! One limit of a flow moved step by step over the record.
//!
//! Each restoration lies in one slice: between the limit at which the rule is still silent and the one at which it tells
//! something. So the slices share nothing, and what came back in one says nothing of another. The best of many slices is mostly
//! luck: none is marked.

use jiff::civil::Date;

use super::figures::Ripe;
use super::followed::{Followed, Following, counts};
use super::lot::Lot;
use super::replay::{FEW_RETURNS, Known, MOST_OPEN, Over, Several, several};
use crate::case::outcome::Kind;
use crate::derive::{Derivation, Facts};
use crate::fact::{FactId, Kind as FactKind, Place};
use crate::flow::{Flow, Level, Rule};
use crate::logic::{Condition, Test};

/// More steps than this are refused: nobody reads them. Ours, as is all that follows.
pub const MOST_STEPS: usize = 200;
/// How many steps there are on each side of where a limit stands.
const EACH_SIDE: f64 = 4.0;
/// Into how many parts a limit is divided for a step: as usual, finer, wider.
pub const PARTS: [f64; 3] = [10.0, 25.0, 4.0];
/// A step is one of these, times a power of ten.
const ROUND: [f64; 4] = [5.0, 2.5, 2.0, 1.0];

/// A limit of a flow.
#[derive(Clone, PartialEq, Debug)]
pub struct Limit {
    /// The rule's place among the rules of the flow.
    pub nth: usize,
    /// The rule's id.
    pub rule: String,
    /// The level that it belongs to.
    pub level: Level,
    /// The fact that it limits.
    pub fact: FactId,
    /// Where it stands now.
    pub now: f64,
    /// Whether a higher limit makes the rule tell more.
    pub rises: bool,
}

impl Limit {
    /// Returns the name by which it can be told from every other: rule, level, fact, number.
    pub fn name(&self) -> String {
        let level = self.level.as_str();
        format!("{}:{level}:{}:{}", self.rule, self.fact, self.now)
    }

    /// Returns whether its figure takes a search.
    pub fn is_searched(&self) -> bool {
        Derivation::of(&self.fact).is_some_and(Derivation::searches)
    }
}

/// Returns every limit of a flow that a name fits, which is a rule, followed if needed by a level, a fact or a number, each
/// after a colon.
pub fn limits(flow: &Flow, name: &str) -> Vec<Limit> {
    let mut parts = name.split(':');
    let id = parts.next().unwrap_or_default();
    let parts: Vec<&str> = parts.collect();
    let fits = |limit: &Limit, part: &str| {
        part == limit.level.as_str() || part == limit.fact.as_str() || part.parse() == Ok(limit.now)
    };
    let mut found: Vec<Limit> = Vec::new();
    for (nth, rule) in flow
        .rules
        .iter()
        .enumerate()
        .filter(|(_, rule)| rule.id == id)
    {
        for (level, condition) in &rule.levels {
            visit(condition, true, &mut |fact, test, plain| {
                let Some(now) = test.limit() else { return };
                let below = matches!(test, Test::Below(_) | Test::AtMost(_));
                let limit = Limit {
                    nth,
                    rule: rule.id.clone(),
                    level: *level,
                    fact: fact.clone(),
                    now,
                    rises: below == plain,
                };
                if parts.iter().all(|part| fits(&limit, part)) && !found.contains(&limit) {
                    found.push(limit);
                }
            });
        }
    }
    found
}

/// Returns the limits of a rule that can be moved, each of which its name tells from every other.
pub fn limits_of(flow: &Flow, nth: usize) -> Vec<Limit> {
    let mut own = flow
        .rules
        .get(nth)
        .map_or_else(Vec::new, |rule| limits(flow, &rule.id));
    let alone = |limit: &Limit| limits(flow, &limit.name()).len() == 1;
    own.retain(|limit| alone(limit) && around(flow, limit, PARTS[0]).is_some());
    own
}

/// Returns steps around where a limit stands, within what its fact can be: a step is about the limit divided by `parts`, round,
/// and no finer than the fact is read. `None` where it has no room to be moved.
pub fn around(flow: &Flow, limit: &Limit, parts: f64) -> Option<Steps> {
    let FactKind::Number { unit, least, most } = flow.spec(&limit.fact)?.kind else {
        return None;
    };
    let finest = 10_f64.powi(-i32::try_from(unit.decimals()).ok()?);
    let size = match limit.now.abs() {
        0.0 => (most - least) / 2.0,
        now => now,
    };
    let by = round(size / parts, finest);
    let steps = |room: f64| (room / by + 1e-9).floor().clamp(0.0, EACH_SIDE);
    let (below, above) = (steps(limit.now - least), steps(most - limit.now));
    let ends = (limit.now - below * by, limit.now + above * by);
    Steps::new(flow, limit.clone(), ends, by).ok()
}

/// Returns the largest round number that is not beyond another one and is a multiple of the finest.
fn round(most: f64, finest: f64) -> f64 {
    let is_multiple = |own: f64| ((own / finest).round() - own / finest).abs() < 1e-6;
    let power = 10_f64.powf(most.max(finest).log10().floor());
    let all = ROUND.iter().map(|own| own * power);
    all.filter(|own| *own <= most.max(finest) * (1.0 + 1e-9) && is_multiple(*own))
        .fold(finest, f64::max)
}

/// Visits every test of a condition with whether it stands under an even number of `Not`.
fn visit(condition: &Condition, plain: bool, look: &mut dyn FnMut(&FactId, &Test, bool)) {
    match condition {
        Condition::All(parts) | Condition::Any(parts) | Condition::AtLeast(_, parts) => {
            parts.iter().for_each(|part| visit(part, plain, look));
        }
        Condition::Not(part) => visit(part, !plain, look),
        Condition::AnyAt(_, part)
        | Condition::EveryAt(_, part)
        | Condition::AtLeastAt(_, _, part) => visit(part, plain, look),
        Condition::Test(fact, test) => look(fact, test, plain),
    }
}

/// Returns the rule with its limit somewhere else.
fn moved(rule: &Rule, limit: &Limit, to: f64) -> Rule {
    let mut rule = rule.clone();
    for (level, condition) in &mut rule.levels {
        if *level == limit.level {
            set(condition, limit, to);
        }
    }
    rule
}

fn set(condition: &mut Condition, limit: &Limit, to: f64) {
    match condition {
        Condition::All(parts) | Condition::Any(parts) | Condition::AtLeast(_, parts) => {
            parts.iter_mut().for_each(|part| set(part, limit, to));
        }
        Condition::Not(part)
        | Condition::AnyAt(_, part)
        | Condition::EveryAt(_, part)
        | Condition::AtLeastAt(_, _, part) => set(part, limit, to),
        Condition::Test(fact, test) if *fact == limit.fact && test.limit() == Some(limit.now) => {
            match test {
                Test::Below(own) | Test::AtMost(own) | Test::Above(own) | Test::Reaches(own) => {
                    *own = to;
                }
                _ => {}
            }
        }
        Condition::Test(..) => {}
    }
}

/// A rule with its limit at each step.
#[derive(Clone, PartialEq, Debug)]
pub struct Steps {
    /// The limit that is moved.
    pub limit: Limit,
    /// Where it is put, from where the rule tells the least to where it tells the most.
    pub at: Vec<f64>,
    rules: Vec<Rule>,
}

/// Why a limit is not moved.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum NoSteps {
    /// The last is not beyond the first, or the step is none.
    Backwards,
    /// So many steps are too many.
    TooMany(usize),
}

impl Steps {
    /// Returns the steps from one number to another.
    ///
    /// # Errors
    /// Says why there are none.
    pub fn new(
        flow: &Flow,
        limit: Limit,
        (from, to): (f64, f64),
        by: f64,
    ) -> Result<Steps, NoSteps> {
        let finite = from.is_finite() && to.is_finite() && by.is_finite();
        if !finite || by <= 0.0 || to <= from {
            return Err(NoSteps::Backwards);
        }
        let count = ((to - from) / by + 1e-9).floor();
        if count >= MOST_STEPS as f64 {
            return Err(NoSteps::TooMany(count.min(1e9) as usize + 1));
        }
        // Tenths are not exact in binary: 3 + 4 × 0.1 is to be 3.4.
        let exact = |own: f64| (own * 1e9).round() / 1e9;
        let mut at: Vec<f64> = (0..=count as usize)
            .map(|nth| exact(from + nth as f64 * by))
            .collect();
        if !limit.rises {
            at.reverse();
        }
        let own = flow.rules.get(limit.nth);
        let rules = at
            .iter()
            .filter_map(|to| own.map(|rule| moved(rule, &limit, *to)))
            .collect();
        Ok(Steps { limit, at, rules })
    }

    /// Returns in which slice each restoration lies, by its number. What is not covered, and what the rule has no place at,
    /// is left out.
    pub fn slices(&self, facts: &Facts<'_>) -> Vec<(u8, Slice)> {
        let Some(first) = self.rules.first() else {
            return Vec::new();
        };
        let places = facts.places(first.at);
        let all = facts.units().restorations().iter();
        all.filter_map(|own| {
            let here: Vec<Place> = places
                .iter()
                .copied()
                .filter(|at| {
                    let owner = facts.units().owner(*at);
                    owner.is_none_or(|owner| owner.id == own.id)
                })
                .collect();
            let covered = facts.covers(Place::Restoration(own.id));
            (covered && !here.is_empty()).then(|| (own.id, self.slice(facts, &here)))
        })
        .collect()
    }

    fn slice(&self, facts: &Facts<'_>, places: &[Place]) -> Slice {
        let mut open = false;
        for (nth, rule) in self.rules.iter().enumerate() {
            for at in places {
                let found = rule.evaluate(facts, *at);
                if found.level() >= self.limit.level {
                    return if open { Slice::Open } else { Slice::Told(nth) };
                }
                open |= found
                    .open
                    .is_some_and(|own| own.could_be >= self.limit.level);
            }
        }
        if open { Slice::Open } else { Slice::Silent }
    }
}

/// Where a restoration lies among the steps.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Slice {
    /// The rule tells something from this step on.
    Told(usize),
    /// It is silent at every step.
    Silent,
    /// It cannot be told from which step on.
    Open,
}

/// A question to the record: one limit, moved by steps.
#[derive(Clone, PartialEq, Debug)]
pub struct Moved {
    /// The limit at each step.
    pub steps: Steps,
    /// What counts.
    pub over: Over,
}

/// What came of a restoration, as far as it counts.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Fate {
    /// It came back within the time.
    CameBack,
    /// It did not.
    Stayed,
    /// It was not followed long enough.
    NotYet,
    /// Its dentist never said what became of anything.
    Unheard,
    /// It was delivered after the figures closed.
    Later,
    /// It was changed, withdrawn or not delivered.
    Unknown,
}

/// Where a restoration lies, and what came of it.
#[derive(Clone, PartialEq, Debug)]
pub struct Lies {
    /// The number of its case.
    pub number: String,
    /// Its own number.
    pub restoration: u8,
    /// The day on which it was delivered, or `None` if it was not.
    pub delivered: Option<Date>,
    /// Its slice.
    pub slice: Slice,
    /// What came of it.
    pub fate: Fate,
    /// How it came back first, whether that counts or not.
    pub back: Option<(Kind, Date)>,
}

/// Returns where each restoration lies, and what came of it. `lots` are the cases, as the figures see them.
pub fn lying(lots: &[Lot], all: &[(Known, Slice)], over: &Over) -> Vec<Lies> {
    let following = Following::of(lots, over.today);
    all.iter()
        .map(|(known, slice)| {
            let back = known.outcomes.iter();
            let back = back.filter(|(kind, _)| counts(&over.kinds, *kind));
            Lies {
                number: known.number.clone(),
                restoration: known.restoration,
                delivered: known.delivered,
                slice: *slice,
                fate: match known.followed(&following, over) {
                    None => Fate::Unknown,
                    Some(Followed::Ripe { came: true, .. }) => Fate::CameBack,
                    Some(Followed::Ripe { came: false, .. }) => Fate::Stayed,
                    Some(Followed::Unripe(_)) => Fate::NotYet,
                    Some(Followed::Unheard) => Fate::Unheard,
                    Some(Followed::Later) => Fate::Later,
                },
                back: back.min_by_key(|(_, on)| *on).copied(),
            }
        })
        .collect()
}

/// One slice of the record.
#[derive(Clone, PartialEq, Debug)]
pub struct Row {
    /// Where the limit is still silent on them; `None` in the first.
    pub from: Option<f64>,
    /// Where it tells of them; `None` in the last.
    pub to: Option<f64>,
    /// What is in it.
    pub own: Several,
    /// Of how many the rule tells with its limit at `to`; `None` in the last.
    pub told: Option<u64>,
}

/// A limit moved over the record.
#[derive(Clone, PartialEq, Debug)]
pub struct Sweep {
    /// The day on which the figures close.
    pub closing: Date,
    /// How many restorations lie in a slice.
    pub decidable: u64,
    /// How many lie in none, since something was never asked.
    pub open: u64,
    /// The slices.
    pub rows: Vec<Row>,
    /// The slice whose end is where the limit stands now.
    pub now: Option<usize>,
}

/// Why slices tell nothing.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum TellsNothing {
    /// So many of so many wait for what was never asked.
    Open(u64, u64),
    /// So few came back in all.
    Few(u64),
}

impl Sweep {
    /// Returns what lies in a row.
    pub fn slice(&self, row: usize) -> Slice {
        match row + 1 < self.rows.len() {
            true => Slice::Told(row),
            false => Slice::Silent,
        }
    }

    /// Returns how many of those made as they were found came back in all.
    pub fn returns(&self) -> u64 {
        self.rows.iter().map(|row| row.own.as_found.came).sum()
    }

    /// Returns what lies in some slices together.
    pub fn together(&self, rows: &[Row]) -> Several {
        let sum = |of: fn(&Row) -> u64| rows.iter().map(of).sum();
        Several {
            count: sum(|row| row.own.count),
            as_found: Ripe::of(
                sum(|row| row.own.as_found.came),
                sum(|row| row.own.as_found.of),
            ),
            unknown: sum(|row| row.own.unknown),
        }
    }

    /// Returns why it tells nothing, or `None` if it tells something.
    pub fn tells_nothing(&self) -> Option<TellsNothing> {
        let all = self.decidable + self.open;
        if self.open as f64 > MOST_OPEN * all as f64 {
            return Some(TellsNothing::Open(self.open, all));
        }
        let returns = self.returns();
        (returns < FEW_RETURNS).then_some(TellsNothing::Few(returns))
    }
}

/// Sorts restorations into slices. `lots` are the cases, as the figures see them.
pub fn sweep(lots: &[Lot], all: &[(Known, Slice)], steps: &Steps, over: &Over) -> Sweep {
    let following = Following::of(lots, over.today);
    let within = |slice: Slice| {
        let own = all.iter().filter(move |(_, own)| *own == slice);
        several(own.map(|(known, _)| known), &following, over)
    };
    let mut rows = Vec::new();
    let (mut told, mut before) = (0, None);
    for (nth, to) in steps.at.iter().enumerate() {
        let own = within(Slice::Told(nth));
        told += own.count;
        rows.push(Row {
            from: before,
            to: Some(*to),
            own,
            told: Some(told),
        });
        before = Some(*to);
    }
    rows.push(Row {
        from: before,
        to: None,
        own: within(Slice::Silent),
        told: None,
    });
    let open = within(Slice::Open).count;
    Sweep {
        closing: following.closing,
        decidable: all.len() as u64 - open,
        open,
        now: steps
            .at
            .iter()
            .position(|at| (at - steps.limit.now).abs() < 1e-9),
        rows,
    }
}
