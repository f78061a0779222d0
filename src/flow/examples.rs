//! The examples that rules carry, and their run.

use std::collections::BTreeMap;
use std::fmt;

use super::conditions::is_of_old;
use super::model::{Flow, Gives, Rule};
use super::written::truths;
use crate::case::{CaseUnit, OrderedKind, Restoration, Role, Units};
use crate::fact::{FactId, Place, PlaceKind, Side, Spot, Value};
use crate::logic::{Gap, Sight, World};
use crate::phrase::faults::flow as said;
use crate::tooth::Tooth;

/// An example whose rule did something else.
#[derive(Clone, PartialEq, Debug)]
pub struct Miss {
    /// The rule.
    pub rule: String,
    /// The example, counted from 1.
    pub example: usize,
    /// What it should have given.
    pub wanted: Gives,
    /// What it gave, in words.
    pub gave: String,
    /// The file and line where the example stands.
    pub stands: String,
    /// What each part of the rule came to, a line each; empty where the rule was not tried.
    pub parts: Vec<String>,
}

impl Miss {
    /// Says what missed, and below it what each part of the rule came to.
    pub fn lines(&self) -> Vec<String> {
        std::iter::once(self.to_string())
            .chain(self.parts.iter().cloned())
            .chain(std::iter::once(said::EXAMPLE_ADVICE.to_owned()))
            .collect()
    }
}

impl fmt::Display for Miss {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let wanted = format!("{:?}", self.wanted);
        let text = said::example_missed(&self.rule, self.example, &wanted, &self.gave);
        write!(f, "{}: {text}", self.stands)
    }
}

/// Runs every example of every rule; returns those that miss.
///
/// Each stands on its own: a bridge with abutments 44 and 46 and a pontic 45, and only the facts that the example
/// lists, derived ones included.
pub fn run_examples(flow: &Flow) -> Vec<Miss> {
    let mut misses = Vec::new();
    for rule in &flow.rules {
        for (index, example) in rule.examples.iter().enumerate() {
            let missed = |gave: String, parts: Vec<String>| Miss {
                rule: rule.id.clone(),
                example: index + 1,
                wanted: example.gives,
                gave,
                stands: example.stands.clone(),
                parts,
            };
            match ExampleStage::set(flow, rule, &example.facts) {
                Err(why) => misses.push(missed(why, Vec::new())),
                Ok(stage) => {
                    let gave = rule.evaluate(&stage, stage.at).gives();
                    if gave != example.gives {
                        let parts = truths(rule, &stage, stage.at, (flow, said::PART_OPEN));
                        misses.push(missed(format!("{gave:?}"), parts));
                    }
                }
            }
        }
    }
    misses
}

/// A rule without an example of each thing that it can come to.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Unshown {
    /// The rule.
    pub rule: String,
    /// The file and line where the rule stands.
    pub stands: String,
    /// Whether it has no example at all.
    pub none: bool,
    /// What no example gives.
    pub lacks: Vec<Gives>,
}

impl fmt::Display for Unshown {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text = match self.none {
            true => said::no_example(&self.rule),
            false => {
                let lacks: Vec<String> = self.lacks.iter().map(|own| format!("{own:?}")).collect();
                said::example_lacks(&self.rule, &lacks)
            }
        };
        write!(f, "{}: {text}", self.stands)
    }
}

/// Returns the rules that lack an example of one of their levels, of what they are silent on, or of what leaves them open.
pub fn unshown(flow: &Flow) -> Vec<Unshown> {
    let all = flow.rules.iter().map(|rule| {
        let levels = rule.levels.iter().map(|(level, _)| Gives::Fires(*level));
        // Raised by one step, its worst level may be one that it does not name.
        let raised = rule.levels.first().filter(|_| !rule.raise.is_empty());
        let raised = raised.map(|(level, _)| Gives::Fires(level.raised(1)));
        let mut lacks = Vec::new();
        for gives in levels.chain(raised).chain([Gives::Silent, Gives::Open]) {
            let shown = rule.examples.iter().any(|own| own.gives == gives);
            if !shown && !lacks.contains(&gives) {
                lacks.push(gives);
            }
        }
        Unshown {
            rule: rule.id.clone(),
            stands: rule.stands.clone(),
            none: rule.examples.is_empty(),
            lacks,
        }
    });
    all.filter(|own| !own.lacks.is_empty()).collect()
}

struct ExampleStage {
    at: Place,
    units: Units,
    facts: BTreeMap<Spot, Value>,
}

impl ExampleStage {
    fn set(
        flow: &Flow,
        rule: &Rule,
        facts: &[(FactId, Option<String>, Value)],
    ) -> Result<ExampleStage, String> {
        let units = stage_units()?;
        let tooth = |number| Tooth::from_iso(number).ok_or(said::EXAMPLE_NO_TOOTH);
        let at = match rule.at {
            PlaceKind::Case => Place::Case,
            PlaceKind::Restoration => Place::Restoration(1),
            PlaceKind::Unit | PlaceKind::Abutment => Place::Unit(tooth(46)?),
            PlaceKind::Pontic => Place::Unit(tooth(45)?),
            PlaceKind::Wall => Place::Wall(tooth(46)?, Side::Distal),
            PlaceKind::Connector => Place::connector(tooth(45)?, tooth(46)?),
        };
        let mut stage = ExampleStage {
            at,
            units,
            facts: BTreeMap::new(),
        };
        for (fact, place, value) in facts {
            let spot_at = match place {
                None if is_of_old(fact, rule.at) => Some(Place::Restoration(1)),
                None => flow
                    .spec(fact)
                    .and_then(|spec| stage.units.resolve(spec.at, at)),
                // A bare side is a wall of the rule's own tooth.
                Some(text) => {
                    match (Side::ALL.into_iter().find(|side| side.as_str() == text), at) {
                        (Some(side), Place::Unit(tooth) | Place::Wall(tooth, _)) => {
                            Some(Place::Wall(tooth, side))
                        }
                        _ => text.parse().ok(),
                    }
                }
            };
            let Some(spot_at) = spot_at.filter(|place| stage.units.has(*place)) else {
                return Err(said::example_no_place(fact));
            };
            stage.facts.insert(
                Spot {
                    fact: fact.clone(),
                    at: spot_at,
                },
                value.clone(),
            );
        }
        Ok(stage)
    }
}

fn stage_units() -> Result<Units, String> {
    let unit = |number, role| Tooth::from_iso(number).map(|tooth| CaseUnit { tooth, role });
    let units = [
        unit(44, Role::Abutment),
        unit(45, Role::Pontic),
        unit(46, Role::Abutment),
    ];
    let units = units.into_iter().flatten().collect();
    Units::new(vec![Restoration {
        id: 1,
        ordered: OrderedKind::Bridge,
        units,
    }])
    .map_err(|e| e.to_string())
}

impl World for ExampleStage {
    fn sight(&self, fact: &FactId, at: Place) -> Sight<'_> {
        match self.facts.get(&Spot {
            fact: fact.clone(),
            at,
        }) {
            Some(value) => Sight::Known(value),
            // Which fact is missing does not matter to an example, only that one is.
            None => Sight::Unknown(vec![(
                Spot {
                    fact: fact.clone(),
                    at,
                },
                Gap::NotAsked,
            )]),
        }
    }

    fn resolve(&self, fact: &FactId, at: Place) -> Option<Place> {
        let kind = match fact.spec() {
            Some(spec) => spec.at,
            // A fact of the flow's own stands where the example put it.
            None => self
                .facts
                .keys()
                .find(|spot| spot.fact == *fact)
                .map(|spot| kind_of(spot.at))?,
        };
        self.units.resolve(kind, at)
    }

    fn within(&self, at: Place, kind: PlaceKind) -> Vec<Place> {
        self.units.within(at, kind)
    }
}

fn kind_of(place: Place) -> PlaceKind {
    match place {
        Place::Case => PlaceKind::Case,
        Place::Restoration(_) => PlaceKind::Restoration,
        Place::Unit(_) => PlaceKind::Unit,
        Place::Wall(..) => PlaceKind::Wall,
        Place::Connector(..) => PlaceKind::Connector,
    }
}
