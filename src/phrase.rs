//! Every sentence of the program itself, by subject, as constants and as functions of typed arguments.
//!
//! The texts of a flow go through [`Phrase`], which fills their placeholders for a case.

pub mod benches;
pub mod beside;
pub mod coming;
pub mod commands;
mod dislodgement;
pub mod faults;
pub mod follow_up;
pub mod glossary;
pub mod history;
pub mod learn;
mod limits;
pub mod lines;
pub mod moving;
mod options;
pub mod outcome;
pub mod pages;
pub mod practice;
pub mod program;
pub mod prompts;
pub mod sheets;
pub mod states;
pub mod trial;
mod verdict;
pub mod words;

use std::fmt::Write as _;

use crate::case::life::State;
use crate::case::{Reading, Restoration, Role};
use crate::derive::Facts;
use crate::fact::{FactId, FactSpec, Kind, Place, Side, Spot, Unit, Value};
use crate::flow::{Flow, Level, Norm, Question, Rule, RuleId};
use crate::judge::{Finding, OpenPoint};
use crate::logic::{Gap, Truth};
use crate::tooth::{Arch, Notation, Tooth};

pub use options::{
    BARRED, DENTIST_MAY, LABORATORY_CAN, NO_ANSWER, TOGETHER, TRYING, WRITTEN_FIRST, grip_moved,
    seen_cut, walls_changed,
};

/// The caution under every result.
pub const CAUTION: &str = "\"Nothing found\" does not mean approved. These are screening figures for comparing shapes and \
options, not a clinical prediction. The licensed dentist decides; the makers' instructions, local rules and the \
patient's own situation take precedence.";

/// The caution in one line of at most 76 columns, for the screen.
pub const CAUTION_SHORT: &str =
    "Screening only. The licensed dentist decides; follow makers' instructions.";

/// The caution beside every figure of grip and cement demand.
pub const DISLODGEMENT_CAUTION: &str = "A screening estimate for comparing shapes and options: static loads, rigid parts, \
uniform cement that does not age. Bite forces and published cement strengths scatter widely. Not a clinical prediction.";

/// Said in place of a result if the rules cover nothing of a case.
pub const NOTHING_CHECKED: &str = "Nothing was checked: these checks cover crowns and bridges on prepared teeth. Follow the \
laboratory's own routine for such work.";

/// The beginning of a sentence that only names its place first.
const TOOTH_FIRST: &str = "{tooth}: ";

/// Puts things into words: with the texts of a flow, in a notation of teeth.
#[derive(Clone, Copy, Debug)]
pub struct Phrase<'a> {
    /// The flow whose texts are used.
    pub flow: &'a Flow,
    /// The notation of teeth.
    pub notation: Notation,
}

impl<'a> Phrase<'a> {
    /// Returns the word for a level.
    pub fn level(self, level: Level) -> &'static str {
        words::level(level)
    }

    /// Returns the word for a state.
    pub fn state(self, state: State) -> &'static str {
        words::state(state)
    }

    /// Returns a tooth in the notation in force.
    pub fn tooth(self, tooth: Tooth) -> String {
        self.notation.show(tooth)
    }

    /// Returns a tooth in words, which mean the same in every notation.
    pub fn tooth_in_words(tooth: Tooth) -> String {
        let arch = match tooth.arch() {
            Arch::Upper => "upper",
            Arch::Lower => "lower",
        };
        let side = if matches!(tooth.quadrant(), 1 | 4) {
            "right"
        } else {
            "left"
        };
        let name = match tooth.position() {
            1 => "central incisor",
            2 => "lateral incisor",
            3 => "canine",
            4 => "first premolar",
            5 => "second premolar",
            6 => "first molar",
            7 => "second molar",
            _ => "third molar",
        };
        format!("{arch} {side} {name}")
    }

    /// Returns a side by its name at this tooth: labial or buccal, palatal or lingual.
    pub fn side(self, tooth: Tooth, side: Side) -> &'static str {
        match side {
            Side::Mesial => "mesial",
            Side::Distal => "distal",
            Side::Facial if tooth.is_posterior() => "buccal",
            Side::Facial => "labial",
            Side::Lingual if tooth.arch() == Arch::Upper => "palatal",
            Side::Lingual => "lingual",
        }
    }

    /// Returns a place in short, for the beginning of a line.
    pub fn place(self, at: Place) -> String {
        match at {
            Place::Wall(tooth, side) => format!("{} {}", self.tooth(tooth), self.side(tooth, side)),
            at => Self::place_in(self.notation, at),
        }
    }

    /// Returns a place in short in `notation`; of a wall, its tooth.
    pub fn place_in(notation: Notation, at: Place) -> String {
        match at {
            Place::Case => "case".to_owned(),
            Place::Restoration(id) => format!("R{id}"),
            Place::Unit(tooth) | Place::Wall(tooth, _) => notation.show(tooth),
            Place::Connector(a, b) => format!("{}-{}", notation.show(a), notation.show(b)),
        }
    }

    /// Returns the units of a restoration, pontics with an x in front.
    pub fn units(self, restoration: &Restoration) -> String {
        Self::units_in(self.notation, restoration)
    }

    /// Returns the units of a restoration in `notation`, as [`Phrase::units`] does.
    pub fn units_in(notation: Notation, restoration: &Restoration) -> String {
        let units: Vec<_> = restoration
            .units
            .iter()
            .map(|unit| match unit.role {
                Role::Abutment => notation.show(unit.tooth),
                Role::Pontic => format!("x{}", notation.show(unit.tooth)),
            })
            .collect();
        units.join(" ")
    }

    /// Returns a value with its unit; `decimals` overrides those of the unit.
    pub fn value(self, spec: Option<&FactSpec>, value: &Value, decimals: Option<usize>) -> String {
        match value {
            Value::NotSeen => words::NOT_SEEN.to_owned(),
            Value::Yes => words::YES.to_owned(),
            Value::No => words::NO.to_owned(),
            Value::Number(number, unit) => number_words(*number, *unit, decimals),
            Value::Choice(name) => match spec.map(|spec| &spec.kind) {
                Some(Kind::Listed(_)) => self.listed(name),
                _ => spec
                    .map_or(name.as_str(), |spec| spec.choice_words(name))
                    .to_owned(),
            },
            Value::Teeth(teeth) if teeth.is_empty() => words::NO_TOOTH.to_owned(),
            Value::Teeth(teeth) => teeth
                .iter()
                .map(|tooth| self.tooth(*tooth))
                .collect::<Vec<_>>()
                .join(" "),
            Value::Day(day) => words::day_in_words(*day),
            Value::Text(text) => text.clone(),
        }
    }

    fn listed(self, name: &str) -> String {
        let material = self.flow.material(name).map(|material| &material.name);
        let cement = self.flow.cement(name).map(|cement| &cement.name);
        material
            .or(cement)
            .cloned()
            .unwrap_or_else(|| name.to_owned())
    }

    /// Returns a reading, with as many decimals as its instrument has.
    pub fn reading(self, fact: &FactId, reading: &Reading) -> String {
        let decimals = reading.with.as_deref().and_then(|with| self.decimals(with));
        self.value(self.flow.spec(fact), &reading.value, decimals)
    }

    /// Returns the decimals that an instrument can be read to.
    pub fn decimals(self, instrument: &str) -> Option<usize> {
        let step = self.flow.instrument(instrument)?.step;
        (0..=3)
            .find(|decimals| {
                let scaled = step * 10f64.powi(*decimals);
                (scaled - scaled.round()).abs() < 1e-9
            })
            .map(|decimals| decimals as usize)
    }

    /// Returns the value of a fact at a place, entered or derived, or `None` if it has none.
    pub fn fact(self, facts: &Facts<'_>, spot: &Spot) -> Option<String> {
        match facts.case().merged(spot) {
            Some((_, reading)) => Some(self.reading(&spot.fact, reading)),
            None => {
                let value = facts.value(&spot.fact, spot.at)?;
                Some(self.value(self.flow.spec(&spot.fact), value, None))
            }
        }
    }

    /// Returns the label of a fact, or its id if the flow does not know it.
    pub fn label(self, fact: &FactId) -> String {
        self.flow
            .spec(fact)
            .map_or_else(|| fact.to_string(), |spec| spec.label.to_string())
    }

    /// Returns the sentence of a finding, without the place if the sentence only begins with it.
    pub fn says(self, facts: &Facts<'_>, finding: &Finding) -> String {
        self.rule(finding.rule).map_or_else(String::new, |rule| {
            let template = rule.says.strip_prefix(TOOTH_FIRST).unwrap_or(&rule.says);
            self.fill(template, facts, finding.at, &finding.held_at)
        })
    }

    /// Returns the question of a finding to the dentist, or `None` if it asks nothing.
    pub fn asks(self, facts: &Facts<'_>, finding: &Finding) -> Option<String> {
        let asks = self.rule(finding.rule)?.asks.as_ref()?;
        Some(self.fill(asks, facts, finding.at, &finding.held_at))
    }

    /// Returns why a finding matters, as it is told to the dentist.
    pub fn tells(self, facts: &Facts<'_>, finding: &Finding) -> String {
        let tells = self.rule(finding.rule).and_then(|rule| rule.tells.as_ref());
        match tells {
            Some(tells) => self.fill(tells, facts, finding.at, &finding.held_at),
            None => self.because(facts, finding),
        }
    }

    /// Returns the answers that the question of a finding offers.
    pub fn choices(self, facts: &Facts<'_>, finding: &Finding) -> Vec<String> {
        let rule = self.rule(finding.rule);
        rule.map_or(&[][..], |rule| &rule.choices)
            .iter()
            .map(|choice| self.fill(choice, facts, finding.at, &finding.held_at))
            .collect()
    }

    /// Returns what the laboratory does itself about a finding, or `None` if there is nothing.
    pub fn bench(self, facts: &Facts<'_>, finding: &Finding) -> Option<String> {
        let bench = self.rule(finding.rule)?.bench.as_ref()?;
        Some(self.fill(bench, facts, finding.at, &finding.held_at))
    }

    /// Returns why a finding matters, for the bench.
    pub fn because(self, facts: &Facts<'_>, finding: &Finding) -> String {
        self.rule(finding.rule).map_or_else(String::new, |rule| {
            self.fill(&rule.because, facts, finding.at, &finding.held_at)
        })
    }

    /// Returns the norms that apply beside a finding.
    pub fn usual(self, facts: &Facts<'_>, finding: &Finding) -> Vec<&'a Norm> {
        let Some(rule) = self.rule(finding.rule) else {
            return Vec::new();
        };
        let fits = |norm: &&Norm| {
            let at = facts.units().resolve(norm.at, finding.at);
            at.is_some_and(|at| norm.when.eval(facts, at).truth == Truth::True)
        };
        self.flow.norms_beside(rule).filter(fits).collect()
    }

    /// Returns the text of a source and how far it can be relied on.
    pub fn source(self, id: &str) -> String {
        match self.flow.source(id) {
            Some(source) if source.text.eq_ignore_ascii_case(source.status.words()) => {
                source.text.clone()
            }
            Some(source) => format!("{} ({})", source.text, source.status),
            None => id.to_owned(),
        }
    }

    fn rule(self, id: RuleId) -> Option<&'a Rule> {
        self.flow.rule(id)
    }

    /// Fills the placeholders of a text. A value that is not known reads *not seen*.
    pub fn fill(self, text: &str, facts: &Facts<'_>, at: Place, held_at: &[Place]) -> String {
        let mut out = String::with_capacity(text.len() + 16);
        let mut rest = text;
        while let Some((before, after)) = rest.split_once('{') {
            out.push_str(before);
            let Some((name, tail)) = after.split_once('}') else {
                out.push('{');
                rest = after;
                continue;
            };
            out.push_str(&self.placeholder(name, facts, at, held_at));
            rest = tail;
        }
        out.push_str(rest);
        out
    }

    fn placeholder(self, name: &str, facts: &Facts<'_>, at: Place, held_at: &[Place]) -> String {
        let list = |places: &[Place], say: &dyn Fn(Place) -> String| {
            let mut said: Vec<String> = Vec::new();
            for text in places.iter().map(|place| say(*place)) {
                if !said.contains(&text) {
                    said.push(text);
                }
            }
            join(&said)
        };
        match name {
            "tooth" => match at {
                Place::Unit(tooth) | Place::Wall(tooth, _) => self.tooth(tooth),
                Place::Restoration(_) => facts
                    .units()
                    .owner(at)
                    .map_or_else(String::new, |r| self.units(r)),
                at => self.place(at),
            },
            "teeth" => match held_at {
                [] => facts
                    .units()
                    .owner(at)
                    .map_or_else(|| self.place(at), |r| self.units(r)),
                held => list(held, &|place| match place {
                    Place::Unit(tooth) | Place::Wall(tooth, _) => self.tooth(tooth),
                    place => self.place(place),
                }),
            },
            "wall" => match at {
                Place::Wall(tooth, side) => self.side(tooth, side).to_owned(),
                at => self.place(at),
            },
            "walls" if matches!(at, Place::Unit(_)) && held_at.len() == Side::ALL.len() => {
                words::ALL_ROUND.to_owned()
            }
            "walls" => list(held_at, &|place| match place {
                Place::Wall(tooth, side) => self.side(tooth, side).to_owned(),
                place => self.place(place),
            }),
            "places" => list(held_at, &|place| self.place(place)),
            fact => {
                let fact = FactId::named(fact);
                let say = |at: Place| {
                    let fact = fact.clone();
                    let said = self.fact(facts, &Spot { fact, at });
                    said.unwrap_or_else(|| words::NOT_SEEN.to_owned())
                };
                let kind = self.flow.spec(&fact).map(|spec| spec.at);
                let within = |place: &Place| {
                    kind.is_some_and(|kind| facts.units().resolve(kind, *place) == Some(*place))
                };
                match kind.and_then(|kind| facts.units().resolve(kind, at)) {
                    Some(at) => say(at),
                    // A fact within the place is said of each place where the rule holds.
                    None if held_at.iter().any(within) => list(held_at, &say),
                    None => words::NOT_SEEN.to_owned(),
                }
            }
        }
    }

    /// Returns a finding in a line: place, sentence, limit.
    pub fn line(self, facts: &Facts<'_>, finding: &Finding) -> String {
        let says = self.says(facts, finding);
        let template = self
            .rule(finding.rule)
            .map_or("", |rule| rule.says.as_str());
        let limit = self
            .limit(facts, finding)
            .map_or_else(String::new, |limit| format!(" ({limit})"));
        // A sentence that begins with its tooth needs no place before it.
        let named = template.starts_with("{tooth}") && !template.starts_with(TOOTH_FIRST);
        match finding.at {
            Place::Case => format!("{says}{limit}"),
            _ if named => format!("{says}{limit}"),
            at @ Place::Restoration(_) => {
                let owner = facts.units().owner(at);
                let units = owner.map_or_else(|| self.place(at), |own| self.units(own));
                format!("{units}: {says}{limit}")
            }
            at => format!("{}: {says}{limit}", self.place(at)),
        }
    }

    /// Returns one fact of a finding's evidence: place, label, value, and the other values beside it.
    pub fn evidence(self, facts: &Facts<'_>, spot: &Spot) -> String {
        format!(
            "{} {}: {}",
            self.place(spot.at),
            self.label(&spot.fact),
            self.found(facts, spot)
        )
    }

    /// Returns the value of a fact, and the other values beside it.
    pub fn found(self, facts: &Facts<'_>, spot: &Spot) -> String {
        let value = self
            .fact(facts, spot)
            .unwrap_or_else(|| words::NOT_SEEN.to_owned());
        value + &self.other_layer(facts.case(), spot)
    }

    /// Returns what a fact is called in the evidence of a finding at `at`: the place before it, unless it is that one.
    pub fn evidence_name(self, at: Place, spot: &Spot) -> String {
        let label = self.label(&spot.fact);
        match spot.at {
            own if own == at || own == Place::Case => label,
            Place::Wall(tooth, side) if Place::Unit(tooth) == at => {
                format!("{} {label}", self.side(tooth, side))
            }
            own => format!("{} {label}", self.place(own)),
        }
    }

    /// Returns why an open point is open.
    pub fn why_open(self, point: &OpenPoint) -> &'static str {
        let has = |wanted: Gap| point.needs.iter().any(|(_, gap)| *gap == wanted);
        match (has(Gap::NotSeen), has(Gap::NotComputed)) {
            (true, _) => words::NOT_SEEN,
            (false, true) => words::NOT_COMPUTED,
            (false, false) => words::NOT_ASKED,
        }
    }

    /// Returns the readings that an open point waits for, by place.
    pub fn open_point(self, point: &OpenPoint) -> String {
        let mut parts: Vec<(Place, Vec<String>)> = Vec::new();
        // What nobody has looked for yet is not among what was not seen.
        let not_seen = point.is_not_seen();
        let named = |gap: Gap| match not_seen {
            true => gap.is_not_seen(),
            false => gap != Gap::Idle,
        };
        for (spot, _) in point.needs.iter().filter(|(_, gap)| named(*gap)) {
            let label = self.label(&spot.fact);
            match parts.iter_mut().find(|(at, _)| *at == spot.at) {
                Some((_, labels)) if labels.contains(&label) => {}
                Some((_, labels)) => labels.push(label),
                None => parts.push((spot.at, vec![label])),
            }
        }
        let said: Vec<_> = parts
            .into_iter()
            .map(|(at, labels)| match at {
                Place::Case => labels.join(", "),
                at => format!("{} {}", self.place(at), labels.join(", ")),
            })
            .collect();
        said.join("; ")
    }

    /// Returns the facts that decided that a question does not come up, at most two; empty if nothing needs it.
    pub fn reasons(self, facts: &Facts<'_>, question: &Question, at: Place) -> Vec<String> {
        let outcome = facts.why_turn(question, at);
        let mut said: Vec<String> = Vec::new();
        if outcome.truth == Truth::False {
            for spot in &outcome.evidence {
                if let Some(value) = self.fact(facts, spot) {
                    let text = format!("{}: {value}", self.label(&spot.fact));
                    if !said.contains(&text) {
                        said.push(text);
                    }
                }
            }
        }
        said.truncate(2);
        said
    }
}

/// Writes a number with its unit. Without `decimals`, it has those of its unit, and a ratio from 10 on one.
pub fn number_words(number: f64, unit: Unit, decimals: Option<usize>) -> String {
    let decimals = decimals.unwrap_or_else(|| shown_decimals(number, unit));
    // Rounded first: a small negative number must not read "-0".
    let rounded = rounded(number, decimals);
    let mut text = format!("{rounded:.decimals$}");
    match unit {
        Unit::Deg => text.push('°'),
        Unit::Percent => text.push_str(" %"),
        unit if unit.symbol().is_empty() => {}
        unit => {
            let _ = write!(text, " {}", unit.symbol());
        }
    }
    text
}

/// Returns the decimals with which a number is shown: nobody reads the hundredths of a ratio of 44.
fn shown_decimals(number: f64, unit: Unit) -> usize {
    match unit {
        Unit::Ratio if number.abs() >= 10.0 => 1,
        unit => unit.decimals(),
    }
}

/// Rounds a number to `decimals` decimals, never to a negative zero.
pub fn rounded(number: f64, decimals: usize) -> f64 {
    let scale = 10f64.powi(i32::try_from(decimals).unwrap_or(0));
    let rounded = (number * scale).round() / scale;
    if rounded == 0.0 { 0.0 } else { rounded }
}

/// Joins words with commas, and with *and* before the last.
pub fn join(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [one] => one.clone(),
        [many @ .., last] => format!("{} and {last}", many.join(", ")),
    }
}
