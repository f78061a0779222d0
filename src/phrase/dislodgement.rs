//! Grip, loads and motions in words.

use super::{Phrase, words};
use crate::derive::{ComesOff, Detail, Facts, Found, LoadDetail};
use crate::fact::{DEFLECTION, GRIP, ORDER_CEMENT, Place, Side, Spot, Value};
use crate::flow::Cement;
use crate::tooth::Tooth;

/// From this share of the bound on, crushing governs and not coming off. Ours.
const CRUSHES: f64 = 0.9;

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
                format!(", {least:.2} to {most:.2} over the plausible range of the cement's limits")
            });
            lines.push(format!(
                "grip {grip}{range}; 1 is as good as the least stump advised, more is better"
            ));
        }
        let worst = detail.worst();
        if let Some((load, motion)) = worst.and_then(|load| Some((load, load.motion()?))) {
            let first = self.tooth(motion.first);
            lines.push(format!(
                "{first} lets go first under {}: {}",
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
        lines
    }

    /// Says how hard the cement has to work under the worst load, against its published stress, and that no level hangs on
    /// it: single laboratory results scatter by 3 to 100 % of their mean (Heintze 2010, Dental Materials 26:193-206).
    pub fn reserve(self, facts: &Facts<'_>, detail: &Detail) -> Option<String> {
        let cement = self.cement(facts, detail)?;
        let load = detail.worst()?;
        let Found::Figure { demand, .. } = &load.found else {
            return None;
        };
        Some(format!(
            "In this model the cement has to hold {demand:.1} MPa there; {} came off in the laboratory at {:.1}, {:.1} times \
             that. That is no safety factor: single results scatter by 3 to 100 % of their mean, and no level hangs on it",
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

    /// Returns the cement that is planned.
    fn cement(self, facts: &Facts<'_>, detail: &Detail) -> Option<&'a Cement> {
        let at = Place::Restoration(detail.restoration);
        let id = facts.value(&ORDER_CEMENT, at).and_then(Value::choice)?;
        self.flow.cement(id)
    }

    /// Says how hard the cement has to work under each load, against its published stress. Detail, without a level.
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
                    ", {:.1} times in the published mean of {}",
                    cement.stress / demand,
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
