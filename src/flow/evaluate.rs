//! What a rule comes to at a place. Judging, examples, reading errors, limits in words and the ticket all ask here.

use super::model::{Gives, Level, Rule};
use crate::fact::{FactId, Place, Spot};
use crate::logic::{Condition, Evaluation, Gap, Test, Truth, World};

/// What a rule comes to at a place: the level that fired, and what open facts could still make of it.
#[derive(Clone, PartialEq, Debug)]
pub struct Evaluated {
    /// The level that fired, raises included, or `None` if none did.
    pub fired: Option<Fired>,
    /// What facts still to come could make of it, or `None` if they could make it no graver.
    pub open: Option<Open>,
}

/// A level of a rule that fired.
#[derive(Clone, PartialEq, Debug)]
pub struct Fired {
    /// The level, raises included.
    pub level: Level,
    /// The facts that made it fire, raises included.
    pub evidence: Vec<Spot>,
    /// The places at which a count's inner condition held.
    pub held_at: Vec<Place>,
}

/// What a rule waits for.
#[derive(Clone, PartialEq, Debug)]
pub struct Open {
    /// The worst that it may come to.
    pub could_be: Level,
    /// The asked facts it waits for, and why.
    pub needs: Vec<(Spot, Gap)>,
}

impl Rule {
    /// Evaluates the rule at a place of its kind. The worst level whose condition is true fires; each true `raise` adds
    /// one level; an unknown condition above it, or an unknown raise, keeps it open.
    pub fn evaluate(&self, world: &dyn World, at: Place) -> Evaluated {
        let mut needs: Vec<(Spot, Gap)> = Vec::new();
        let mut could_be = Level::Fine;
        let mut fired: Option<(Level, Evaluation)> = None;
        for (level, condition) in &self.levels {
            let outcome = condition.eval(world, at);
            if outcome.truth == Truth::True {
                fired = Some((*level, outcome));
                break;
            }
            if outcome.is_open() {
                could_be = could_be.max(*level);
                needs.extend(outcome.needs);
            }
        }
        if fired.is_none() && could_be == Level::Fine {
            return Evaluated {
                fired: None,
                open: None,
            };
        }
        let raises: Vec<Evaluation> = self.raise.iter().map(|r| r.eval(world, at)).collect();
        let (true_ones, open_ones): (Vec<_>, Vec<_>) = raises
            .into_iter()
            .filter(|outcome| outcome.truth == Truth::True || outcome.is_open())
            .partition(|outcome| outcome.truth == Truth::True);
        let base = fired.as_ref().map_or(Level::Fine, |(level, _)| *level);
        could_be = could_be.max(base).raised(true_ones.len() + open_ones.len());
        needs.extend(open_ones.into_iter().flat_map(|outcome| outcome.needs));
        needs.sort();
        needs.dedup();
        let fired = fired.map(|(level, outcome)| {
            let mut evidence = outcome.evidence;
            for spot in true_ones.iter().flat_map(|outcome| &outcome.evidence) {
                if !evidence.contains(spot) {
                    evidence.push(spot.clone());
                }
            }
            Fired {
                level: level.raised(true_ones.len()),
                evidence,
                held_at: outcome.held_at,
            }
        });
        let now = fired.as_ref().map_or(Level::Fine, |fired| fired.level);
        let open = (could_be > now && !needs.is_empty()).then_some(Open { could_be, needs });
        Evaluated { fired, open }
    }

    /// Returns every fact that the rule tests at a place, resolved, with its test.
    pub fn tests<'r>(&'r self, world: &dyn World, at: Place) -> Vec<(Spot, &'r Test)> {
        let mut list = Vec::new();
        let levels = self.levels.iter().map(|(_, condition)| condition);
        for condition in levels.chain(&self.raise) {
            visit(condition, world, at, &|_, _| true, &mut list);
        }
        list
    }

    /// Returns the number that made the rule fire at a place with the strictest of the limits that it passed, or `None`
    /// if it did not fire or no number decided.
    pub fn limit_passed<'r>(&'r self, world: &dyn World, at: Place) -> Option<(Spot, &'r Test)> {
        let passed = self.limits_passed(world, at);
        let (first, _) = passed.first()?;
        let beyond = |spot: &Spot, test: &Test| {
            let number = world.known(&spot.fact, spot.at)?.number()?;
            Some(match test {
                Test::Below(_) | Test::AtMost(_) => -number,
                _ => number,
            })
        };
        // Of several walls the weakest is named, the first of those that are alike.
        let mut worst: Option<(&Spot, f64)> = None;
        for (spot, test) in passed.iter().filter(|(spot, _)| spot.fact == first.fact) {
            let by = beyond(spot, test).unwrap_or(f64::NEG_INFINITY);
            if worst.is_none_or(|(_, most)| by > most) {
                worst = Some((spot, by));
            }
        }
        let spot = worst.map_or(first, |(spot, _)| spot).clone();
        let test = self.limit_passed_by(&spot, world, at)?;
        Some((spot, test))
    }

    /// Returns the numbers that made the rule fire at a place, each with a limit that it passed.
    fn limits_passed<'r>(&'r self, world: &dyn World, at: Place) -> Vec<(Spot, &'r Test)> {
        let held = |condition: &Condition, at| condition.eval(world, at).truth == Truth::True;
        let mut passed = Vec::new();
        let mut levels = self.levels.iter();
        if let Some((_, fired)) = levels.find(|(_, condition)| held(condition, at)) {
            visit(fired, world, at, &held, &mut passed);
        }
        passed.retain(|(_, test)| test.limit().is_some());
        passed
    }

    /// Returns the strictest of the limits that one number passed when the rule fired at a place, or `None` if it passed
    /// none.
    pub fn limit_passed_by<'r>(
        &'r self,
        spot: &Spot,
        world: &dyn World,
        at: Place,
    ) -> Option<&'r Test> {
        let strictness = |test: &Test| match test {
            Test::Below(limit) | Test::AtMost(limit) => *limit,
            other => -other.limit().unwrap_or(f64::INFINITY),
        };
        let passed = self.limits_passed(world, at).into_iter();
        passed
            .filter(|(other, _)| other == spot)
            .map(|(_, test)| test)
            .max_by(|a, b| strictness(a).total_cmp(&strictness(b)))
    }

    /// Returns the least value of `fact` that this rule asks for at a place, or `None` if it asks for none: the largest
    /// lower limit among the levels that fire in `world`, where the fact is far too small.
    pub fn least(&self, fact: &FactId, world: &dyn World, at: Place) -> Option<f64> {
        let held = |condition: &Condition, at| condition.eval(world, at).truth == Truth::True;
        let mut list = Vec::new();
        for (_, condition) in self
            .levels
            .iter()
            .filter(|(_, condition)| held(condition, at))
        {
            visit(condition, world, at, &held, &mut list);
        }
        list.into_iter()
            .filter(|(spot, _)| spot.fact == *fact)
            .filter_map(|(_, test)| match test {
                Test::Below(limit) | Test::AtMost(limit) => Some(*limit),
                _ => None,
            })
            .reduce(f64::max)
    }
}

impl Evaluated {
    /// Returns the level that fired; [`Level::Fine`] where none did.
    pub fn level(&self) -> Level {
        self.fired.as_ref().map_or(Level::Fine, |fired| fired.level)
    }

    /// Returns what an example says of it.
    pub fn gives(&self) -> Gives {
        match (&self.fired, &self.open) {
            (Some(fired), _) => Gives::Fires(fired.level),
            (None, Some(_)) => Gives::Open,
            (None, None) => Gives::Silent,
        }
    }
}

/// Collects the tests of a condition at the places where they look, going only into the parts that `enter` lets in.
/// What stands under a true `Not` is false, so [`Rule::limit_passed`] does not go there.
fn visit<'c>(
    condition: &'c Condition,
    world: &dyn World,
    at: Place,
    enter: &dyn Fn(&Condition, Place) -> bool,
    list: &mut Vec<(Spot, &'c Test)>,
) {
    if !enter(condition, at) {
        return;
    }
    match condition {
        Condition::All(parts) | Condition::Any(parts) | Condition::AtLeast(_, parts) => {
            for part in parts {
                visit(part, world, at, enter, list);
            }
        }
        Condition::Not(part) => visit(part, world, at, enter, list),
        Condition::AnyAt(kind, part)
        | Condition::EveryAt(kind, part)
        | Condition::AtLeastAt(_, kind, part) => {
            for place in world.within(at, *kind) {
                visit(part, world, place, enter, list);
            }
        }
        Condition::Test(fact, test) => {
            if let Some(at) = world.resolve(fact, at) {
                let fact = fact.clone();
                list.push((Spot { fact, at }, test));
            }
        }
    }
}
