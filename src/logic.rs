//! Conditions over facts, with three truth values.
//!
//! A condition compares a fact with a constant. What is unknown stays unknown: `All` is false when one part is
//! false, then unknown when one is; `Any` is true when one part is true, then unknown; `Not(unknown)` is unknown.
//! A fact resolves at the place of the rule or at the places that contain it; facts further down need
//! `AnyAt`, `EveryAt` or `AtLeastAt`.
//!
//! Conditions are enums in RON and no expression language: names and units are checked when a file is loaded, with the
//! place of the mistake, and a value that is absent is *unknown*. In an expression language it would compare as false.

use serde::{Deserialize, Serialize};

use crate::fact::{FactId, Place, PlaceKind, Spot, Value};

/// A condition, checked: its facts exist and its constants fit them.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub enum Condition {
    /// True where every part is. Empty: true.
    All(Vec<Condition>),
    /// True where one part is. Empty: false.
    Any(Vec<Condition>),
    /// True where the part is false.
    Not(Box<Condition>),
    /// True where at least so many parts are.
    AtLeast(usize, Vec<Condition>),
    /// True at one place of this kind within the present one, at the least.
    AnyAt(PlaceKind, Box<Condition>),
    /// True at every place of this kind within the present one.
    EveryAt(PlaceKind, Box<Condition>),
    /// True at so many places of this kind within the present one, at the least.
    AtLeastAt(usize, PlaceKind, Box<Condition>),
    /// A fact against a constant.
    Test(FactId, Test),
}

/// How a fact's value is compared.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub enum Test {
    /// The value is this one.
    Is(Value),
    /// The value is one of these.
    OneOf(Vec<Value>),
    /// The number is less than this.
    Below(f64),
    /// The number is this or less.
    AtMost(f64),
    /// The number is more than this.
    Above(f64),
    /// The number is this or more.
    Reaches(f64),
    /// Somebody answered, be it with *not seen*.
    Answered,
    /// Somebody looked and could not tell.
    NotSeen,
}

/// A truth value.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Truth {
    /// It is so.
    True,
    /// It is not so.
    False,
    /// A fact that it needs is unknown.
    Unknown,
}

impl From<bool> for Truth {
    fn from(truth: bool) -> Truth {
        if truth { Truth::True } else { Truth::False }
    }
}

/// Why a fact has no value.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Gap {
    /// Its question has not been answered yet.
    NotAsked,
    /// Somebody looked and could not tell.
    NotSeen,
    /// It was to be computed and could not be. It stays open.
    NotComputed,
    /// Its question does not come up in this case, or it has no meaning here. A condition on it stays silent.
    Idle,
}

impl Gap {
    /// Returns whether somebody looked and could not tell, or it could not be computed.
    pub fn is_not_seen(self) -> bool {
        matches!(self, Gap::NotSeen | Gap::NotComputed)
    }
}

/// What is known of a fact at a place.
#[derive(Clone, PartialEq, Debug)]
pub enum Sight<'a> {
    /// Its value.
    Known(&'a Value),
    /// No value; the asked facts it waits for, and why. Empty where the fact does not apply.
    Unknown(Vec<(Spot, Gap)>),
}

/// What conditions are asked about.
pub trait World {
    /// Returns what is known of a fact at exactly this place.
    fn sight(&self, fact: &FactId, at: Place) -> Sight<'_>;
    /// Returns the value of a fact at exactly this place, *not seen* included, without asking why one is missing. Two
    /// questions that each come up by whether the other was answered would wait for one another otherwise.
    fn known(&self, fact: &FactId, at: Place) -> Option<&Value> {
        match self.sight(fact, at) {
            Sight::Known(value) => Some(value),
            Sight::Unknown(_) => None,
        }
    }
    /// Returns the place of the fact's kind that is `at` or contains it.
    fn resolve(&self, fact: &FactId, at: Place) -> Option<Place>;
    /// Returns the places of a kind within `at`, in the order of the inspection; `at` itself if it is of that kind.
    fn within(&self, at: Place, kind: PlaceKind) -> Vec<Place>;
}

/// What is known, but with one fact of one place set to a value.
pub struct Instead<'w> {
    /// What is known of everything else.
    pub world: &'w dyn World,
    /// The fact and its place.
    pub spot: Spot,
    /// What it is taken to be.
    pub value: Value,
}

impl World for Instead<'_> {
    fn sight(&self, fact: &FactId, at: Place) -> Sight<'_> {
        if *fact == self.spot.fact && at == self.spot.at {
            return Sight::Known(&self.value);
        }
        self.world.sight(fact, at)
    }

    fn resolve(&self, fact: &FactId, at: Place) -> Option<Place> {
        self.world.resolve(fact, at)
    }

    fn within(&self, at: Place, kind: PlaceKind) -> Vec<Place> {
        self.world.within(at, kind)
    }
}

/// The outcome of a condition at a place.
///
/// Beside the truth it says whether answers still to come *could* make the condition true. A fact whose question does
/// not come up never can. So an idle question stays silent without counting as false, which would fire under `Not`.
#[derive(Clone, PartialEq, Debug)]
pub struct Evaluation {
    /// Its truth value.
    pub truth: Truth,
    /// Whether answers that may still come could make it true. Idle facts never do.
    pub can_be_true: bool,
    /// Whether answers that may still come could make it false.
    pub can_be_false: bool,
    /// The facts that made it what it is, in the order of the condition.
    pub evidence: Vec<Spot>,
    /// The asked facts that it waits for.
    pub needs: Vec<(Spot, Gap)>,
    /// The places at which the part inside `AnyAt`, `EveryAt` or `AtLeastAt` held.
    pub held_at: Vec<Place>,
}

impl Evaluation {
    fn known(truth: bool) -> Evaluation {
        Evaluation {
            truth: truth.into(),
            can_be_true: truth,
            can_be_false: !truth,
            evidence: Vec::new(),
            needs: Vec::new(),
            held_at: Vec::new(),
        }
    }

    fn stuck() -> Evaluation {
        Evaluation {
            truth: Truth::Unknown,
            can_be_true: false,
            can_be_false: false,
            ..Evaluation::known(true)
        }
    }

    /// Returns whether the condition is unknown and an answer could still make it true.
    pub fn is_open(&self) -> bool {
        self.truth == Truth::Unknown && self.can_be_true
    }
}

impl Condition {
    /// Returns whether it looks only at the facts of its own place and of those that contain it.
    pub fn counts_nowhere(&self) -> bool {
        match self {
            Condition::All(parts) | Condition::Any(parts) | Condition::AtLeast(_, parts) => {
                parts.iter().all(Condition::counts_nowhere)
            }
            Condition::Not(part) => part.counts_nowhere(),
            Condition::AnyAt(..) | Condition::EveryAt(..) | Condition::AtLeastAt(..) => false,
            Condition::Test(..) => true,
        }
    }

    /// Evaluates the condition at a place.
    pub fn eval(&self, world: &dyn World, at: Place) -> Evaluation {
        match self {
            Condition::All(parts) => count(
                parts.iter().map(|part| part.eval(world, at)),
                parts.len(),
                Keep::All,
            ),
            Condition::Any(parts) => {
                count(parts.iter().map(|part| part.eval(world, at)), 1, Keep::True)
            }
            Condition::AtLeast(least, parts) => count(
                parts.iter().map(|part| part.eval(world, at)),
                *least,
                Keep::True,
            ),
            Condition::Not(part) => {
                let mut outcome = part.eval(world, at);
                outcome.truth = match outcome.truth {
                    Truth::True => Truth::False,
                    Truth::False => Truth::True,
                    Truth::Unknown => Truth::Unknown,
                };
                std::mem::swap(&mut outcome.can_be_true, &mut outcome.can_be_false);
                outcome
            }
            Condition::AnyAt(kind, part) => within(world, at, *kind, part, |_| 1),
            Condition::EveryAt(kind, part) => within(world, at, *kind, part, |places| places),
            Condition::AtLeastAt(least, kind, part) => within(world, at, *kind, part, |_| *least),
            Condition::Test(fact, test) => test_fact(world, fact, test, at),
        }
    }

    /// Calls `visit` for every fact that the condition names, with the kind of place it is looked up from.
    pub fn facts(&self, from: PlaceKind, visit: &mut dyn FnMut(&FactId, PlaceKind)) {
        match self {
            Condition::All(parts) | Condition::Any(parts) | Condition::AtLeast(_, parts) => {
                parts.iter().for_each(|part| part.facts(from, visit));
            }
            Condition::Not(part) => part.facts(from, visit),
            Condition::AnyAt(kind, part)
            | Condition::EveryAt(kind, part)
            | Condition::AtLeastAt(_, kind, part) => {
                part.facts(*kind, visit);
            }
            Condition::Test(fact, _) => visit(fact, from),
        }
    }
}

impl Condition {
    /// Visits every test with the fact it looks at.
    pub fn tests(&self, visit: &mut dyn FnMut(&FactId, &Test)) {
        match self {
            Condition::All(parts) | Condition::Any(parts) | Condition::AtLeast(_, parts) => {
                parts.iter().for_each(|part| part.tests(visit));
            }
            Condition::Not(part)
            | Condition::AnyAt(_, part)
            | Condition::EveryAt(_, part)
            | Condition::AtLeastAt(_, _, part) => part.tests(visit),
            Condition::Test(fact, test) => visit(fact, test),
        }
    }

    /// Returns whether a number is compared with a limit somewhere in it; 0 only tells signs apart and does not count.
    pub fn has_limit(&self) -> bool {
        let mut has = false;
        self.tests(&mut |_, test| has |= test.limit().is_some_and(|limit| limit != 0.0));
        has
    }
}

/// Which parts' evidence is kept when the whole is true.
#[derive(Clone, Copy, PartialEq)]
enum Keep {
    All,
    True,
}

/// True when the trues reach `least`; false when trues and unknowns together do not; else unknown.
fn count(outcomes: impl Iterator<Item = Evaluation>, least: usize, keep: Keep) -> Evaluation {
    let outcomes: Vec<Evaluation> = outcomes.collect();
    let number = |test: &dyn Fn(&Evaluation) -> bool| {
        outcomes.iter().filter(|outcome| test(outcome)).count()
    };
    let trues = number(&|o| o.truth == Truth::True);
    let unknowns = number(&|o| o.truth == Truth::Unknown);
    let may_be_true = number(&|o| o.can_be_true);
    let must_hold = number(&|o| !o.can_be_false);
    let truth = if trues >= least {
        Truth::True
    } else if trues + unknowns < least {
        Truth::False
    } else {
        Truth::Unknown
    };
    let matters = |o: &Evaluation| match truth {
        Truth::True => keep == Keep::All || o.truth == Truth::True,
        Truth::False => o.truth == Truth::False,
        Truth::Unknown => o.truth != Truth::False,
    };
    let mut whole = Evaluation {
        truth,
        can_be_true: truth == Truth::True || (truth == Truth::Unknown && may_be_true >= least),
        can_be_false: truth == Truth::False || (truth == Truth::Unknown && must_hold < least),
        ..Evaluation::known(true)
    };
    for outcome in outcomes.into_iter().filter(matters) {
        for spot in outcome.evidence {
            if !whole.evidence.contains(&spot) {
                whole.evidence.push(spot);
            }
        }
        if truth == Truth::Unknown && outcome.truth == Truth::Unknown {
            for need in outcome.needs {
                if !whole.needs.contains(&need) {
                    whole.needs.push(need);
                }
            }
        }
        for place in outcome.held_at {
            if !whole.held_at.contains(&place) {
                whole.held_at.push(place);
            }
        }
    }
    whole
}

fn within(
    world: &dyn World,
    at: Place,
    kind: PlaceKind,
    part: &Condition,
    least: impl Fn(usize) -> usize,
) -> Evaluation {
    let places = world.within(at, kind);
    let least = least(places.len());
    let keep = if least == places.len() {
        Keep::All
    } else {
        Keep::True
    };
    let outcomes = places.into_iter().map(|place| {
        let mut outcome = part.eval(world, place);
        if outcome.truth == Truth::True {
            outcome.held_at = vec![place];
        }
        outcome
    });
    count(outcomes, least, keep)
}

fn test_fact(world: &dyn World, fact: &FactId, test: &Test, at: Place) -> Evaluation {
    // A fact without a place here (a tooth's fact asked of a case) was refused when the flow was checked.
    let Some(place) = world.resolve(fact, at) else {
        return Evaluation::stuck();
    };
    let spot = Spot {
        fact: fact.clone(),
        at: place,
    };
    let answer = match test {
        Test::Answered => Some(world.known(fact, place).is_some()),
        Test::NotSeen => Some(world.known(fact, place) == Some(&Value::NotSeen)),
        _ => None,
    };
    if let Some(truth) = answer {
        return Evaluation {
            evidence: vec![spot],
            ..Evaluation::known(truth)
        };
    }
    match world.sight(fact, place) {
        Sight::Known(Value::NotSeen) => Evaluation {
            truth: Truth::Unknown,
            can_be_true: true,
            can_be_false: true,
            needs: vec![(spot, Gap::NotSeen)],
            ..Evaluation::known(true)
        },
        Sight::Known(value) => Evaluation {
            evidence: vec![spot],
            ..Evaluation::known(test.holds(value))
        },
        Sight::Unknown(needs) => {
            if needs.is_empty() || needs.iter().any(|(_, gap)| *gap == Gap::Idle) {
                return Evaluation::stuck();
            }
            Evaluation {
                truth: Truth::Unknown,
                can_be_true: true,
                can_be_false: true,
                needs,
                ..Evaluation::known(true)
            }
        }
    }
}

/// A reading on a limit counts as on it, although the mean of 3.9 and 4.1 is not exactly 4 in binary.
const SLACK: f64 = 1e-9;

impl Test {
    /// Compares a value that is known. A value of another type never holds: the flow's check refuses such tests.
    pub fn holds(&self, value: &Value) -> bool {
        let number = |test: &dyn Fn(f64) -> bool| value.number().is_some_and(test);
        match self {
            Test::Is(wanted) => value == wanted,
            Test::OneOf(wanted) => wanted.contains(value),
            Test::Below(limit) => number(&|n| n < *limit - SLACK),
            Test::AtMost(limit) => number(&|n| n <= *limit + SLACK),
            Test::Above(limit) => number(&|n| n > *limit + SLACK),
            Test::Reaches(limit) => number(&|n| n >= *limit - SLACK),
            Test::Answered => true,
            Test::NotSeen => *value == Value::NotSeen,
        }
    }

    /// Returns the number that the test compares with.
    pub fn limit(&self) -> Option<f64> {
        match self {
            Test::Below(limit)
            | Test::AtMost(limit)
            | Test::Above(limit)
            | Test::Reaches(limit) => Some(*limit),
            Test::Is(_) | Test::OneOf(_) | Test::Answered | Test::NotSeen => None,
        }
    }
}
