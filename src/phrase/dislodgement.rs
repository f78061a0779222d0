//! Grip, loads, motions and strength of connectors.

use super::{Phrase, words};
use crate::derive::{ComesOff, Detail, Facts, Found, LoadDetail, MESH_ERROR};
use crate::fact::{
    C_BITE, C_BREAKS, C_BREAKS_FROM, C_BREAKS_SHARE, C_BREAKS_TO, DEFLECTION, FAILING, FactId,
    GRIP, GRIP_FIRST, HEIGHT_USED, ORDER_CEMENT, PLAN_SHARE, PREP_SHARE, Place, PlaceKind,
    RETAINER_GRIP, Spot, Value,
};
use crate::flow::{Cement, Level, Status};
use crate::tooth::Tooth;

/// Share of the pressing bound from which the crushing of the cement governs. Own choice, no source.
const CRUSHES: f64 = 0.9;

/// Returns how accurate the figures are: by the mesh, next to which the gap that is proven between the bounds is nothing.
fn accuracy(detail: &Detail) -> Option<String> {
    detail.proven()?;
    Some(format!("Accurate to about {:.0} %", 100.0 * MESH_ERROR))
}

impl<'a> Phrase<'a> {
    /// Returns how a restoration on `retainers` preps would come off, as the rest of a sentence.
    pub fn comes_off(self, motion: ComesOff, retainers: usize) -> String {
        let (lifted, lifts) = motion.lifts;
        let lifts = format!(
            "{} margin of {}",
            self.side(lifted, lifts),
            self.tooth(lifted)
        );
        match motion.about {
            Some((tooth, side)) if tooth == lifted => format!(
                "lifts at the {lifts} and turns about its {} margin",
                self.side(tooth, side)
            ),
            Some((tooth, side)) => format!(
                "lifts at the {lifts} and turns about the {} margin of {}",
                self.side(tooth, side),
                self.tooth(tooth)
            ),
            None if retainers > 1 => {
                format!(
                    "comes straight off, {} giving way first",
                    self.tooth(motion.first)
                )
            }
            None => "comes straight off".to_owned(),
        }
    }

    /// Returns the name of a load, its unit and the side that it is directed to.
    pub fn load(self, detail: &LoadDetail) -> String {
        let name = self
            .flow
            .loads
            .iter()
            .find(|load| load.id == detail.load)
            .map_or(detail.load.as_str(), |l| &l.name);
        let unit = self.tooth(detail.unit);
        match detail.toward {
            Some(side) => format!("{name} on {unit}, towards {}", self.side(detail.unit, side)),
            None => format!("{name} on {unit}"),
        }
    }

    /// Returns what limit analysis found for a restoration, a sentence each without its full stop: grip, its parts, the
    /// hardest load with its motion, loads without a figure, accuracy.
    pub fn dislodgement(self, facts: &Facts<'_>, detail: &Detail) -> Vec<String> {
        let at = Place::Restoration(detail.restoration);
        let mut lines = Vec::new();
        if let Some(grip) = self.fact(facts, &Spot { fact: GRIP, at }) {
            let range = detail.grip_range.map_or_else(String::new, |(least, most)| {
                format!("; {least:.2} to {most:.2} with other assumptions on how the cement fails")
            });
            let weakest = self
                .weakest(facts, detail)
                .map_or_else(String::new, |tooth| {
                    format!(" at {}, the weakest retainer", self.tooth(tooth))
                });
            lines.push(format!(
                "Grip {grip}{weakest} (1.0 = the recommended minimum prep{range})"
            ));
            lines.extend(self.prep_and_plan(facts, detail));
        }
        let worst = detail.worst();
        if let Some((load, motion)) = worst.and_then(|load| Some((load, load.motion()?))) {
            lines.push(format!(
                "Hardest load on {}: {}; the restoration {}",
                self.tooth(motion.first),
                self.load(load),
                self.comes_off(motion, detail.preps.len())
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
        lines.extend(accuracy(detail));
        lines
    }

    /// Returns the weakest of several retainers.
    fn weakest(self, facts: &Facts<'_>, detail: &Detail) -> Option<Tooth> {
        let mut teeth = detail.preps.iter().map(|(tooth, _)| *tooth);
        let weakest = |tooth: &Tooth| facts.value(&GRIP_FIRST, Place::Unit(*tooth)).is_some();
        (detail.preps.len() > 1).then(|| teeth.find(weakest))?
    }

    /// Returns whether a rule of the flow finds something in a fact at a place: only the rules say what is weak.
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

    /// Returns the shares of the prep and of the plan in grip: in words at the weakest retainer, then by retainer. Empty for
    /// a single crown, where all of it is the prep's.
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
                "loads it more than a single crown would"
            } else {
                "loads it no more than a single crown would"
            };
            lines.push(format!(
                "The prep is {prep_word} ({prep:.2}); the plan {plan_word} ({plan:.2})"
            ));
        }
        if detail.preps.len() > 1 {
            lines.extend(detail.preps.iter().filter_map(|(tooth, _)| {
                let at = Place::Unit(*tooth);
                let (grip, prep) = (number(&RETAINER_GRIP, at)?, number(&PREP_SHARE, at)?);
                Some(format!(
                    "{}: grip {grip:.2} (prep {prep:.2}, plan {:.2})",
                    self.tooth(*tooth),
                    grip / prep
                ))
            }));
        }
        lines
    }

    /// Returns the stress in the cement under the hardest load and the strength of the cement, and that the comparison does
    /// not affect the result: single laboratory results scatter by 3 to 100 % of their mean (Heintze 2010, Dental Materials
    /// 26:193-206). `None` if no cement is planned or there is no figure.
    pub fn reserve(self, facts: &Facts<'_>, detail: &Detail) -> Option<String> {
        let cement = self.cement(facts, detail)?;
        let load = detail.worst()?;
        let Found::Figure { demand, .. } = &load.found else {
            return None;
        };
        let source = self.flow.source(&cement.source);
        let held = match source.map(|source| source.status) {
            Some(Status::Published) => "failed in laboratory tests",
            _ => "is assumed to fail",
        };
        Some(format!(
            "In this model the cement has to hold {demand:.1} MPa there; {} {held} at {:.1} MPa, {:.1} times that. This is \
             not a safety factor: single test results scatter by 3 to 100 % of their mean; this figure does not affect the result",
            cement.name,
            cement.stress,
            cement.stress / demand
        ))
    }

    /// Returns how far the longest span bends compared with a single pontic, or `None` if no span is longer.
    pub fn bends(self, facts: &Facts<'_>, detail: &Detail) -> Option<String> {
        let at = Place::Restoration(detail.restoration);
        let spot = Spot {
            fact: DEFLECTION,
            at,
        };
        let ratio = facts.value(&spot.fact, at)?.number()?;
        (ratio > 1.0).then(|| {
            format!(
                "The longest span bends {ratio:.1} times as far as a single pontic of the same section would (slender beam, \
                 rigid abutments)"
            )
        })
    }

    /// Returns the force at which the weakest designed connector would break, or `None` if its material was not measured. It
    /// does not affect the result.
    pub fn breaks(self, facts: &Facts<'_>, detail: &Detail) -> Option<String> {
        let whole = Place::Restoration(detail.restoration);
        let number = |fact: &FactId, at: Place| facts.value(fact, at).and_then(Value::number);
        let connectors = facts.units().within(whole, PlaceKind::Connector);
        let (at, share) = connectors
            .into_iter()
            .filter_map(|at| Some((at, number(&C_BREAKS_SHARE, at)?)))
            .min_by(|one, other| one.1.total_cmp(&other.1))?;
        // Series of tests differ by half: nobody knows it closer than to 100 N.
        let hundreds = |fact: &FactId| Some(100.0 * (number(fact, at)? / 100.0).round());
        Some(format!(
            "Connector {} breaks at about {:.0} N in a single loading, as such connectors did in laboratory tests ({:.0} to \
             {:.0} N between series). After years of chewing it would bear about {share:.1} times a hard bite there ({:.0} N). \
             For comparing designs only: the result rests on the minimum sections",
            self.place(at),
            hundreds(&C_BREAKS)?,
            hundreds(&C_BREAKS_FROM)?,
            hundreds(&C_BREAKS_TO)?,
            10.0 * (number(&C_BITE, at)? / 10.0).round()
        ))
    }

    /// Returns the cement that is planned.
    fn cement(self, facts: &Facts<'_>, detail: &Detail) -> Option<&'a Cement> {
        let at = Place::Restoration(detail.restoration);
        let id = facts.value(&ORDER_CEMENT, at).and_then(Value::choice)?;
        self.flow.cement(id)
    }

    /// Returns the stress in the cement under each load and the strength of the cement. It does not affect the result.
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
                    ", {} {:.1} MPa ({:.1} times)",
                    cement.name,
                    cement.stress,
                    cement.stress / demand
                )
            });
            let crushes = if *pressing_share > CRUSHES {
                ", crushing governs"
            } else {
                ""
            };
            let accurate = if *gap < 0.005 {
                String::new()
            } else {
                format!(", accurate to {:.0} %", gap * 100.0)
            };
            lines.push(format!(
                "{}, {:.0} N: {demand:.2} MPa{accurate}{grip}{reserve}{crushes}",
                self.load(load),
                load.force
            ));
        }
        lines
    }
}
