//! Grip, loads and motions in words.

use super::{Phrase, words};
use crate::derive::{ComesOff, Detail, Facts, Found, LoadDetail, MESH_ERROR};
use crate::fact::{
    C_BITE, C_BREAKS, C_BREAKS_FROM, C_BREAKS_SHARE, C_BREAKS_TO, DEFLECTION, FAILING, FactId,
    GRIP, GRIP_FIRST, HEIGHT_USED, ORDER_CEMENT, PLAN_SHARE, PREP_SHARE, Place, PlaceKind,
    RETAINER_GRIP, Side, Spot, Value,
};
use crate::flow::{Cement, Level, Status};
use crate::tooth::Tooth;

/// From this share of the bound on, crushing governs and not coming off. Ours.
const CRUSHES: f64 = 0.9;

/// Says how far the figures may be off: what is proven of the load limits, and what the mesh of the prep adds.
fn proven(detail: &Detail) -> Option<String> {
    let proven = if detail.proven()? <= 1.01e-6 {
        "a millionth"
    } else {
        "a thousandth"
    };
    Some(format!(
        "The figure is good to about {:.0} %: 95 of 100 preps and bridges moved no further when they were divided more finely. As \
         divided here it is proven to {proven}",
        100.0 * MESH_ERROR
    ))
}

impl<'a> Phrase<'a> {
    /// Says how a restoration would come off, in the words of a technician.
    pub fn comes_off(self, motion: ComesOff) -> String {
        let margin = |(tooth, side): (Tooth, Side)| {
            format!("{} margin of {}", self.side(tooth, side), self.tooth(tooth))
        };
        match motion.about {
            Some(about) => format!(
                "lifts at the {} and turns about the {}",
                margin(motion.lifts),
                margin(about)
            ),
            None => format!("comes straight off, {} first", self.tooth(motion.first)),
        }
    }

    /// Names a load on a unit.
    pub fn load(self, detail: &LoadDetail) -> String {
        let name = self
            .flow
            .loads
            .iter()
            .find(|load| load.id == detail.load)
            .map_or(detail.load.as_str(), |l| &l.name);
        let unit = self.tooth(detail.unit);
        match detail.toward {
            Some(side) => format!("{name} on {unit}, {}", self.side(detail.unit, side)),
            None => format!("{name} on {unit}"),
        }
    }

    /// Says what limit analysis found for a restoration: grip, the worst load, the motion, and each load's figures.
    pub fn dislodgement(self, facts: &Facts<'_>, detail: &Detail) -> Vec<String> {
        let at = Place::Restoration(detail.restoration);
        let mut lines = Vec::new();
        if let Some(grip) = self.fact(facts, &Spot { fact: GRIP, at }) {
            let range = detail.grip_range.map_or_else(String::new, |(least, most)| {
                format!(" ({least:.2} to {most:.2} depending on how the cement is taken to fail)")
            });
            let weakest = self
                .weakest(facts, detail)
                .map_or_else(String::new, |tooth| {
                    format!(" at {}, the weakest retainer", self.tooth(tooth))
                });
            lines.push(format!(
                "grip {grip}{weakest}{range}; 1 is what a least single crown on that tooth holds, more is better"
            ));
            lines.extend(self.prep_and_plan(facts, detail));
        }
        let worst = detail.worst();
        if let Some((load, motion)) = worst.and_then(|load| Some((load, load.motion()?))) {
            let first = self.tooth(motion.first);
            lines.push(format!(
                "{first} is loaded hardest by {}: it {}",
                self.load(load),
                self.comes_off(motion)
            ));
        }
        for load in &detail.loads {
            if let Found::NotComputed(why) = &load.found {
                lines.push(format!(
                    "{}: {}, {why}",
                    self.load(load),
                    words::NOT_COMPUTED
                ));
            }
        }
        lines.extend(proven(detail));
        lines
    }

    /// The weakest of several retainers.
    fn weakest(self, facts: &Facts<'_>, detail: &Detail) -> Option<Tooth> {
        let mut teeth = detail.preps.iter().map(|(tooth, _)| *tooth);
        let weakest = |tooth: &Tooth| facts.value(&GRIP_FIRST, Place::Unit(*tooth)).is_some();
        (detail.preps.len() > 1).then(|| teeth.find(weakest))?
    }

    /// Says whether a rule of the flow tells of a fact at a place: what is weak is the rules' to say, and stands nowhere else.
    fn is_told(self, facts: &Facts<'_>, fact: &FactId, at: Place) -> bool {
        let rules = self.flow.rules.iter();
        let mut here = rules.filter(|rule| facts.units().is_kind(at, rule.at));
        here.any(|rule| {
            let tests = rule.tests(facts, at);
            tests
                .iter()
                .any(|(spot, _)| spot.fact == *fact && spot.at == at)
                && rule.evaluate(facts, at).level() > Level::Fine
        })
    }

    /// Says what of grip is the prep's and what is the plan's: in words at the weakest retainer, then retainer by retainer.
    /// Nothing for a single crown, where all of it is the prep's.
    fn prep_and_plan(self, facts: &Facts<'_>, detail: &Detail) -> Vec<String> {
        let number = |fact: &FactId, at: Place| facts.value(fact, at).and_then(Value::number);
        let whole = Place::Restoration(detail.restoration);
        let Some(plan) = number(&PLAN_SHARE, whole) else {
            return Vec::new();
        };
        let mut lines = Vec::new();
        if let Some(grip) = number(&GRIP, whole) {
            let prep = grip / plan;
            let mut teeth = detail.preps.iter().map(|(tooth, _)| Place::Unit(*tooth));
            let weakest = teeth.find(|at| number(&GRIP_FIRST, *at).is_some());
            let told = |fact: &FactId| weakest.is_some_and(|at| self.is_told(facts, fact, at));
            let prep_word = if told(&PREP_SHARE) {
                "weak"
            } else if prep < 1.0 || told(&FAILING) || told(&HEIGHT_USED) {
                "fair"
            } else {
                "good"
            };
            let plan_word = if self.is_told(facts, &PLAN_SHARE, whole) {
                "is weak"
            } else if plan < 1.0 {
                "asks more than a single crown does"
            } else {
                "asks no more than a single crown does"
            };
            lines.push(format!(
                "The prep is {prep_word} ({prep:.2}), the plan {plan_word} ({plan:.2})"
            ));
        }
        if detail.preps.len() > 1 {
            lines.extend(detail.preps.iter().filter_map(|(tooth, _)| {
                let at = Place::Unit(*tooth);
                let (grip, prep) = (number(&RETAINER_GRIP, at)?, number(&PREP_SHARE, at)?);
                Some(format!(
                    "{}: grip {grip:.2}, the prep {prep:.2}, the plan {:.2}",
                    self.tooth(*tooth),
                    grip / prep
                ))
            }));
        }
        lines
    }

    /// Says how hard the cement has to work under the worst load, against the stress it comes off at, and that no level hangs on
    /// it: single laboratory results scatter by 3 to 100 % of their mean (Heintze 2010, Dental Materials 26:193-206).
    pub fn reserve(self, facts: &Facts<'_>, detail: &Detail) -> Option<String> {
        let cement = self.cement(facts, detail)?;
        let load = detail.worst()?;
        let Found::Figure { demand, .. } = &load.found else {
            return None;
        };
        let source = self.flow.source(&cement.source);
        let held = match source.map(|source| source.status) {
            Some(Status::Published) => "came off in the laboratory",
            _ => "is taken to come off",
        };
        Some(format!(
            "In this model the cement has to hold {demand:.1} MPa there; {} {held} at {:.1}, {:.1} times that. That is no \
             safety factor: single results scatter by 3 to 100 % of their mean, and no level hangs on it",
            cement.name,
            cement.stress,
            cement.stress / demand
        ))
    }

    /// Says how far a bridge bends against one pontic of it; nothing where no span is longer.
    pub fn bends(self, facts: &Facts<'_>, detail: &Detail) -> Option<String> {
        let at = Place::Restoration(detail.restoration);
        let spot = Spot {
            fact: DEFLECTION,
            at,
        };
        let ratio = facts.value(&spot.fact, at)?.number()?;
        (ratio > 1.0).then(|| {
            format!(
                "The longest span bends {ratio:.1} times as far as one pontic of it with the same section: a slender beam on \
                 abutments that do not give"
            )
        })
    }

    /// Says at what force the weakest connector drawn would break, where its material was measured. Detail, without a level.
    pub fn breaks(self, facts: &Facts<'_>, detail: &Detail) -> Option<String> {
        let whole = Place::Restoration(detail.restoration);
        let number = |fact: &FactId, at: Place| facts.value(fact, at).and_then(Value::number);
        let connectors = facts.units().within(whole, PlaceKind::Connector);
        let (at, share) = connectors
            .into_iter()
            .filter_map(|at| Some((at, number(&C_BREAKS_SHARE, at)?)))
            .min_by(|one, other| one.1.total_cmp(&other.1))?;
        Some(format!(
            "The connector {} breaks at about {:.0} N at one go, as such connectors did in the laboratory ({:.0} to {:.0} \
             between series). What years of chewing leave of that is {share:.1} of the strongest bite there, {:.0} N. It \
             is told to compare designs by: no finding rests on it, the least sections are what counts",
            self.place(at),
            number(&C_BREAKS, at)?,
            number(&C_BREAKS_FROM, at)?,
            number(&C_BREAKS_TO, at)?,
            number(&C_BITE, at)?
        ))
    }

    /// Returns the cement that is planned.
    fn cement(self, facts: &Facts<'_>, detail: &Detail) -> Option<&'a Cement> {
        let at = Place::Restoration(detail.restoration);
        let id = facts.value(&ORDER_CEMENT, at).and_then(Value::choice)?;
        self.flow.cement(id)
    }

    /// Says how hard the cement has to work under each load, against the stress it comes off at. Detail, without a level.
    pub fn demands(self, facts: &Facts<'_>, detail: &Detail) -> Vec<String> {
        let cement = self.cement(facts, detail);
        let mut lines = Vec::new();
        for load in &detail.loads {
            let Found::Figure {
                demand,
                gap,
                grip,
                pressing_share,
                ..
            } = &load.found
            else {
                continue;
            };
            let grip = grip.map_or_else(String::new, |grip| format!(", grip {grip:.2}"));
            let reserve = cement.map_or_else(String::new, |cement| {
                format!(
                    ", {:.1} times in the {:.1} MPa of {}",
                    cement.stress / demand,
                    cement.stress,
                    cement.name
                )
            });
            let crushes = if *pressing_share > CRUSHES {
                ", crushing governs"
            } else {
                ""
            };
            lines.push(format!(
                "{}, {:.0} N: {demand:.2} MPa (gap {gap:.0e}){grip}{reserve}{crushes}",
                self.load(load),
                load.force
            ));
        }
        lines
    }
}
