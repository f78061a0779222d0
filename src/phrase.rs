//! The one room of words: every sentence that the program itself says, by subject, as functions of typed arguments.
//!
//! What a flow says is said through [`Phrase`], which fills its texts for a case.

pub mod coming;
pub mod commands;
mod dislodgement;
pub mod faults;
pub mod glossary;
mod limits;
mod options;
pub mod pages;
pub mod program;
pub mod prompts;
pub mod sheets;
pub mod states;
mod verdict;
pub mod words;

use std::fmt::Write as _;

use crate::case::life::State;
use crate::case::{Reading, Restoration, Role};
use crate::derive::Facts;
use crate::fact::{FactId, FactSpec, Kind, Place, Side, Spot, Unit, Value};
use crate::flow::{Flow, Level, Norm, Question, Rule, RuleId};
use crate::judge::doubt::{Doubt, MeasureAgain};
use crate::judge::{Finding, OpenPoint};
use crate::logic::{Gap, Truth};
use crate::tooth::{Arch, Notation, Tooth};

pub use options::{
    BARRED, DENTIST_MAY, LABORATORY_CAN, NO_ANSWER, TOGETHER, TRYING, WORKED_OUT, WRITTEN_FIRST,
    grip_moved, seen_cut, walls_changed,
};

/// The caution that stands under every result.
pub const CAUTION: &str = "Nothing found is not approval. These are screening figures for comparing shapes and options, \
not a clinical prediction. The licensed dentist decides; the makers' instructions, local rules and the patient's own \
situation go first.";

/// The caution in one line, for the screen.
pub const CAUTION_SHORT: &str =
    "Screening only. The licensed dentist decides; makers' instructions go first.";

/// What stands beside every figure of the limit analysis.
pub const DISLODGEMENT_CAUTION: &str = "A screening estimate for comparing shapes and options: static, rigid, the same \
cement everywhere, no decay of it. Single-tooth forces and published stresses scatter widely. Not a clinical prediction.";

/// What is said where nothing of a case is covered.
pub const NOTHING_CHECKED: &str = "Nothing was checked: these checks are for crowns and bridges on prepared teeth. Take it \
through the laboratory's own routine for such work.";

/// How a sentence begins that only names its place first.
const TOOTH_FIRST: &str = "{tooth}: ";

/// How things are said: in which notation, out of which flow.
#[derive(Clone, Copy, Debug)]
pub struct Phrase<'a> {
    /// The flow whose words are used.
    pub flow: &'a Flow,
    /// The notation of teeth.
    pub notation: Notation,
}

impl<'a> Phrase<'a> {
    /// Says a level.
    pub fn level(self, level: Level) -> &'static str {
        words::level(level)
    }

    /// Says how far something is.
    pub fn state(self, state: State) -> &'static str {
        words::state(state)
    }

    /// Says a tooth in the notation in force.
    pub fn tooth(self, tooth: Tooth) -> String {
        self.notation.show(tooth)
    }

    /// Says a tooth in words, which no notation can mistake.
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

    /// Says a side as the bench does: labial in front and buccal behind, palatal above and lingual below.
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

    /// Says a place shortly, for the head of a line.
    pub fn place(self, at: Place) -> String {
        match at {
            Place::Case => "case".to_owned(),
            Place::Restoration(id) => format!("R{id}"),
            Place::Unit(tooth) => self.tooth(tooth),
            Place::Wall(tooth, side) => format!("{} {}", self.tooth(tooth), self.side(tooth, side)),
            Place::Connector(a, b) => format!("{}-{}", self.tooth(a), self.tooth(b)),
        }
    }

    /// Says a restoration by its units, pontics with an x in front.
    pub fn units(self, restoration: &Restoration) -> String {
        Self::units_in(self.notation, restoration)
    }

    /// Says a restoration by its units in a notation, as [`Phrase::units`] does.
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

    /// Says a fact's value with its unit.
    pub fn value(self, spec: Option<&FactSpec>, value: &Value, decimals: Option<usize>) -> String {
        match value {
            Value::NotSeen => words::NOT_SEEN.to_owned(),
            Value::Yes => "yes".to_owned(),
            Value::No => "no".to_owned(),
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

    /// Says a reading, with as many decimals as its instrument has.
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

    /// Says the value of a fact at a place, entered or derived; none where it has none.
    pub fn fact(self, facts: &Facts<'_>, spot: &Spot) -> Option<String> {
        match facts.case().merged(spot) {
            Some((_, reading)) => Some(self.reading(&spot.fact, reading)),
            None => {
                let value = facts.value(&spot.fact, spot.at)?;
                Some(self.value(self.flow.spec(&spot.fact), value, None))
            }
        }
    }

    /// Names a fact in bench words.
    pub fn label(self, fact: &FactId) -> String {
        self.flow
            .spec(fact)
            .map_or_else(|| fact.to_string(), |spec| spec.label.to_string())
    }

    /// Says a finding's sentence, without the place where the sentence only begins with it.
    pub fn says(self, facts: &Facts<'_>, finding: &Finding) -> String {
        self.rule(finding.rule).map_or_else(String::new, |rule| {
            let template = rule.says.strip_prefix(TOOTH_FIRST).unwrap_or(&rule.says);
            self.fill(template, facts, finding.at, &finding.held_at)
        })
    }

    /// Says what a finding asks of the dentist.
    pub fn asks(self, facts: &Facts<'_>, finding: &Finding) -> Option<String> {
        let asks = self.rule(finding.rule)?.asks.as_ref()?;
        Some(self.fill(asks, facts, finding.at, &finding.held_at))
    }

    /// Says to the dentist why a finding matters.
    pub fn tells(self, facts: &Facts<'_>, finding: &Finding) -> String {
        let tells = self.rule(finding.rule).and_then(|rule| rule.tells.as_ref());
        match tells {
            Some(tells) => self.fill(tells, facts, finding.at, &finding.held_at),
            None => self.because(facts, finding),
        }
    }

    /// Says what the question of a finding offers.
    pub fn choices(self, facts: &Facts<'_>, finding: &Finding) -> Vec<String> {
        let rule = self.rule(finding.rule);
        rule.map_or(&[][..], |rule| &rule.choices)
            .iter()
            .map(|choice| self.fill(choice, facts, finding.at, &finding.held_at))
            .collect()
    }

    /// Says what a finding asks of the laboratory itself.
    pub fn bench(self, facts: &Facts<'_>, finding: &Finding) -> Option<String> {
        let bench = self.rule(finding.rule)?.bench.as_ref()?;
        Some(self.fill(bench, facts, finding.at, &finding.held_at))
    }

    /// Says why a finding matters.
    pub fn because(self, facts: &Facts<'_>, finding: &Finding) -> String {
        self.rule(finding.rule).map_or_else(String::new, |rule| {
            self.fill(&rule.because, facts, finding.at, &finding.held_at)
        })
    }

    /// Returns what is usual where something was found.
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

    /// Says where a rule comes from and how far that can be relied on.
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

    /// Fills the placeholders of a text. What is unknown reads *not seen*.
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
                let place = self
                    .flow
                    .spec(&fact)
                    .and_then(|spec| facts.units().resolve(spec.at, at));
                place
                    .and_then(|at| self.fact(facts, &Spot { fact, at }))
                    .unwrap_or_else(|| words::NOT_SEEN.to_owned())
            }
        }
    }

    /// Says a finding in a line: place, sentence, limit.
    pub fn line(self, facts: &Facts<'_>, finding: &Finding) -> String {
        let says = self.says(facts, finding);
        let template = self
            .rule(finding.rule)
            .map_or("", |rule| rule.says.as_str());
        let limit = self
            .limit(facts, finding)
            .map_or_else(String::new, |limit| format!(" ({limit})"));
        // A sentence that begins with its tooth needs no place in front.
        let named = template.starts_with("{tooth}") && !template.starts_with(TOOTH_FIRST);
        match finding.at {
            Place::Case => format!("{says}{limit}"),
            _ if named => format!("{says}{limit}"),
            at => format!("{}: {says}{limit}", self.place(at)),
        }
    }

    /// Says the limit that a finding passed, such as "at least 3.0 mm", with the number where the sentence lacks it.
    pub fn limit(self, facts: &Facts<'_>, finding: &Finding) -> Option<String> {
        let passed = self.passed(facts, finding)?;
        Some(pages::findings::limit(&passed))
    }

    fn is_ratio(self, fact: &FactId) -> bool {
        let kind = self.flow.spec(fact).map(|spec| &spec.kind);
        matches!(
            kind,
            Some(Kind::Number {
                unit: Unit::Ratio,
                ..
            })
        )
    }

    /// Says how likely the result is another with all readings off at once; nothing where that is hardly so.
    pub fn turns(self, doubt: &Doubt) -> Option<String> {
        let turns = doubt.turns.filter(|turns| *turns >= 0.02)?;
        Some(format!(
            "With all readings off at once as they may be: {} that the result is another",
            chance_words(turns)
        ))
    }

    /// Says which reading to take again, and where the result turns.
    pub fn again(self, measure_again: &MeasureAgain) -> String {
        let MeasureAgain {
            spot,
            value,
            unit,
            error,
            flips_at,
            to,
            chance,
        } = measure_again;
        let decimals = Some(unit.decimals().max(1));
        format!(
            "{} {}: {} ± {}; {} {} it is {} (about {})",
            self.place(spot.at),
            self.label(&spot.fact),
            number_words(*value, Unit::Ratio, decimals),
            number_words(*error, *unit, decimals),
            if flips_at < value { "below" } else { "above" },
            number_words(*flips_at, *unit, decimals),
            self.level(*to),
            chance_words(*chance)
        )
    }

    /// Says one fact of a finding's evidence: label, value and the readings it was worked out from.
    pub fn evidence(self, facts: &Facts<'_>, spot: &Spot) -> String {
        let value = self
            .fact(facts, spot)
            .unwrap_or_else(|| words::NOT_SEEN.to_owned());
        let other = self.other_layer(facts.case(), spot);
        format!(
            "{} {}: {value}{other}",
            self.place(spot.at),
            self.label(&spot.fact)
        )
    }

    /// Says why an open point is open.
    pub fn why_open(self, point: &OpenPoint) -> &'static str {
        let has = |wanted: Gap| point.needs.iter().any(|(_, gap)| *gap == wanted);
        match (has(Gap::NotSeen), has(Gap::NotComputed)) {
            (true, _) => words::NOT_SEEN,
            (false, true) => words::NOT_COMPUTED,
            (false, false) => words::NOT_ASKED,
        }
    }

    /// Says what an open point waits for.
    pub fn open_point(self, point: &OpenPoint) -> String {
        let mut parts: Vec<(Place, Vec<String>)> = Vec::new();
        for (spot, _) in point.needs.iter().filter(|(_, gap)| *gap != Gap::Idle) {
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

    /// Says why a question does not come up: the facts that decided it, or that nothing asks for it.
    pub fn why_idle(self, facts: &Facts<'_>, question: &Question, at: Place) -> String {
        match self.reasons(facts, question, at).as_slice() {
            [] => "nothing asks for it".to_owned(),
            reasons => join(reasons),
        }
    }

    /// Says the facts that decided that a question does not come up, two at the most; none where nothing asks for it.
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

/// Says a chance as one in so many, which reads easier than a percentage.
fn chance_words(chance: f64) -> String {
    if chance >= 0.4 {
        "even odds".to_owned()
    } else {
        format!("1 in {:.0}", (1.0 / chance).round())
    }
}

/// Writes a number with its unit.
pub fn number_words(number: f64, unit: Unit, decimals: Option<usize>) -> String {
    let decimals = decimals.unwrap_or_else(|| unit.decimals());
    // Rounds first, so that a small negative does not read "-0".
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

/// Rounds a number to so many decimals. Never to a negative zero.
pub fn rounded(number: f64, decimals: usize) -> f64 {
    let scale = 10f64.powi(i32::try_from(decimals).unwrap_or(0));
    let rounded = (number * scale).round() / scale;
    if rounded == 0.0 { 0.0 } else { rounded }
}

/// Joins words as a sentence does.
/// Joins words with commas, and *and* before the last.
pub fn join(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [one] => one.clone(),
        [many @ .., last] => format!("{} and {last}", many.join(", ")),
    }
}
