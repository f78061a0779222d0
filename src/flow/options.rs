//! Options: their shapes in RON, what they become, and their check.
//!
//! The verbs are the program's, since they change a preparation consistently; where, how much, who, the price, the bars
//! and the words are the flow's.

use serde::{Deserialize, Serialize};

use super::check::{Checker, LONGEST_LINE, LONGEST_NAME};
use super::model::Rule;
use super::shape::ConditionShape;
use crate::case::coming::{Blocks, Part};
use crate::fact::{FactId, Kind, Origin, PlaceKind, Unit, Value};
use crate::logic::Condition;
use crate::phrase::faults::flow::{Sort, options as faults};
use crate::ronfile::Spanned;

/// Whose an option is to take.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
pub enum Whose {
    /// The laboratory does it without asking anybody.
    Laboratory,
    /// For the dentist to consider: it cuts tooth, changes the order or needs the patient.
    Dentist,
}

/// Which walls a change goes to.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Serialize, Deserialize)]
pub enum Reach {
    /// One wall, each tried by itself.
    EachWall,
    /// The walls that do not resist, together.
    FailingWalls,
    /// All four walls.
    WholeTooth,
    /// All walls of all abutments of the restoration.
    AllTeeth,
}

/// Two opposite walls.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Serialize, Deserialize)]
pub enum Pair {
    /// Mesial and distal.
    Proximal,
    /// Facial and lingual.
    FacialLingual,
}

/// What an option does. Amounts are found: the smallest multiple of `step`, up to `most`, that is enough.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub enum Verb {
    /// The margin goes further down, in mm.
    Deepen {
        /// Which walls.
        on: Reach,
        /// What a bench can cut, in mm.
        step: f64,
        /// The most, in mm.
        most: f64,
        /// Whether gum and bone are taken back with it.
        gum_goes_back: bool,
    },
    /// Walls are leaned in less, in degrees, down to a least taper.
    Straighten {
        /// Which walls.
        on: Reach,
        /// What a hand can hold, in degrees.
        step: f64,
        /// The least taper, in degrees.
        least: f64,
    },
    /// A groove in both of two opposite walls.
    Groove(Pair),
    /// The prep is built up, in mm.
    BuildUp {
        /// The thinnest build-up that can be made, in mm; 0 if the flow names none.
        least: f64,
        /// Step in mm.
        step: f64,
        /// The most, in mm.
        most: f64,
    },
    /// The designed connector is made larger, in mm: higher as far as its space allows, then wider; at a restoration all of its
    /// connectors.
    Enlarge {
        /// Step in mm.
        step: f64,
        /// The most, in mm.
        most: f64,
    },
    /// More room is made over the prep, in mm.
    Ease {
        /// Step in mm.
        step: f64,
        /// The most, in mm.
        most: f64,
        /// Whether it is taken off the prep, which is lower then.
        off_prep: bool,
    },
    /// The next tooth of the arch becomes an abutment.
    AddAbutment,
    /// Joined crowns are made one by one.
    SplitUp,
    /// Every other choice of a fact, each by itself.
    Each(FactId),
    /// Facts get these values.
    Set(Vec<(FactId, Value)>),
    /// Something to say or do that changes no figure; nothing is computed for it.
    Say,
    /// Made as it is: an answer of the call, and no advice.
    AsItIs,
}

impl Verb {
    /// Returns whether it cuts a prep.
    pub fn cuts(&self) -> bool {
        matches!(
            self,
            Verb::Deepen { .. } | Verb::Straighten { .. } | Verb::Groove(_) | Verb::BuildUp { .. }
        )
    }

    /// Returns whether it changes what was read of the preps or of the drawing.
    fn changes_readings(&self) -> bool {
        self.cuts() || matches!(self, Verb::Enlarge { .. } | Verb::Ease { .. })
    }

    /// Returns whether it changes figures; what changes none is shown, not computed.
    pub fn changes_figures(&self) -> bool {
        !matches!(self, Verb::Say | Verb::AsItIs)
    }
}

/// An option.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct OptionRow {
    /// Its id.
    pub id: String,
    /// The kind of place it changes.
    pub at: PlaceKind,
    /// Whose it is.
    pub by: Whose,
    /// What is done, with placeholders.
    pub does: String,
    /// The verb.
    pub verb: Verb,
    /// The topics and rules whose findings it may answer.
    pub answers: Vec<String>,
    /// The choices of questions that mean it, in their words; with a value where it picks one and the words mean that one.
    pub said: Vec<(String, Option<String>)>,
    /// Where it may be tried at all.
    pub when: Condition,
    /// What bars it, looked at once it is done, each with its reason.
    pub bars: Vec<(Condition, String)>,
    /// What must be known and true before it is done, each with the reason why it is barred otherwise.
    pub needs: Vec<(Condition, String)>,
    /// What bars it at any wall that it changes, looked at before it is done, each with its reason.
    pub wall_bars: Vec<(Condition, String)>,
    /// What has to come in before it counts, and what cannot be done before.
    pub comes: Vec<(Part, Blocks)>,
    /// What is told with an option that changes no figure, such as another cement: it counts as soon as it is agreed.
    pub told: Vec<(FactId, Value)>,
    /// Whether the prep is cut: whatever was read of it is read anew.
    pub cuts: bool,
    /// What is asked again besides, once all of it is here.
    pub anew: Vec<FactId>,
    /// Whether the laboratory does what the dentist decides here.
    pub ours: bool,
    /// The price line, by id.
    pub price: String,
    /// Days that it takes.
    pub days: u32,
    /// What to be careful about.
    pub cautions: Vec<String>,
    /// The id of its source.
    pub source: String,
    /// Where it stands: file and line.
    pub written: String,
}

impl OptionRow {
    /// Returns whether a new impression or scan comes in, on which all of it is inspected again.
    pub fn brings_a_record(&self) -> bool {
        self.comes.iter().any(|(part, _)| *part == Part::Impression)
    }

    /// Returns whether what it changes counts as soon as it is agreed: nothing comes in that is looked at.
    pub fn is_told(&self) -> bool {
        !self
            .comes
            .iter()
            .any(|(part, _)| part.is_inspected() || *part == Part::Healed)
    }
}

/// What has to come in for an option whose row does not say, as those of older flows do not.
fn unsaid(by: Whose, verb: &Verb) -> Vec<(Part, Blocks)> {
    match (by, verb) {
        (_, Verb::AsItIs) => Vec::new(),
        (_, Verb::Each(_)) => vec![(Part::Order, Blocks::Make)],
        (Whose::Laboratory, Verb::Say) => Vec::new(),
        (Whose::Laboratory, _) => vec![(Part::Bench, Blocks::Make)],
        (_, Verb::SplitUp) => vec![(Part::Order, Blocks::Design)],
        (_, Verb::AddAbutment) => vec![
            (Part::Impression, Blocks::Design),
            (Part::Order, Blocks::Design),
        ],
        (Whose::Dentist, _) => vec![(Part::Impression, Blocks::Design)],
    }
}

/// A line of the laboratory's prices.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Price {
    /// Its id.
    pub id: String,
    /// What it costs, in words.
    pub text: String,
    /// Its place among prices: 0 is nothing. Equal ranks are ties.
    pub rank: u32,
}

#[derive(Deserialize)]
#[serde(rename = "Price", deny_unknown_fields)]
pub(super) struct PriceShape {
    pub id: Spanned<String>,
    pub text: Spanned<String>,
    pub rank: u32,
}

#[derive(Deserialize)]
#[serde(rename = "OptionRow", deny_unknown_fields)]
pub(super) struct OptionShape {
    pub id: Spanned<String>,
    pub at: PlaceKind,
    pub by: Whose,
    pub does: Spanned<String>,
    pub verb: Spanned<VerbShape>,
    pub answers: Vec<Spanned<String>>,
    #[serde(default)]
    pub said: Vec<SaidShape>,
    pub when: Option<ConditionShape>,
    #[serde(default)]
    pub bars: Vec<(ConditionShape, Spanned<String>)>,
    #[serde(default)]
    pub needs: Vec<(ConditionShape, Spanned<String>)>,
    #[serde(default)]
    pub wall_bars: Vec<(ConditionShape, Spanned<String>)>,
    pub comes: Option<Vec<(Part, Blocks)>>,
    #[serde(default)]
    pub told: Vec<(Spanned<String>, Spanned<Value>)>,
    #[serde(default)]
    pub cuts: bool,
    #[serde(default)]
    pub anew: Vec<Spanned<String>>,
    #[serde(default)]
    pub ours: bool,
    pub price: Spanned<String>,
    pub days: u32,
    #[serde(default)]
    pub cautions: Vec<Spanned<String>>,
    pub source: Spanned<String>,
}

#[derive(Deserialize)]
#[serde(rename = "Said", deny_unknown_fields)]
pub(super) struct SaidShape {
    pub words: Spanned<String>,
    pub choice: Option<String>,
}

#[derive(Deserialize)]
pub(super) enum VerbShape {
    Deepen {
        on: Reach,
        step: Value,
        most: Value,
        #[serde(default)]
        gum_goes_back: bool,
    },
    Straighten {
        on: Reach,
        step: Value,
        least: Value,
    },
    Groove(Pair),
    BuildUp {
        least: Option<Value>,
        step: Value,
        most: Value,
    },
    Enlarge {
        step: Value,
        most: Value,
    },
    Ease {
        step: Value,
        most: Value,
        #[serde(default)]
        off_prep: bool,
    },
    Say,
    AsItIs,
    AddAbutment,
    SplitUp,
    Each(String),
    Set(Vec<(Spanned<String>, Spanned<Value>)>),
}

impl Checker<'_> {
    pub(super) fn price(&mut self, shape: PriceShape) {
        self.own_id(Sort::Price, &shape.id);
        let text = self.fits_line(&shape.text, LONGEST_NAME * 2);
        self.flow.prices.push(Price {
            text,
            rank: shape.rank,
            id: shape.id.value,
        });
    }

    pub(super) fn option(&mut self, shape: OptionShape) {
        self.own_id(Sort::Option, &shape.id);
        let span = shape.id.span(self.source());
        let (line, _) = self.source().line_column(span.start);
        let written = format!("{}:{line}", self.source().name());
        let verb = self.verb(&shape);
        let answers = self.answered(&shape);
        let said = self.said(&shape, &answers);
        let when = match &shape.when {
            None => Some(Condition::All(Vec::new())),
            Some(when) => self.condition(when, shape.at),
        };
        let bars = self.reasons(&shape.bars, shape.at);
        let needs = self.reasons(&shape.needs, shape.at);
        let wall_bars = self.reasons(&shape.wall_bars, PlaceKind::Wall);
        let prices = self.flow.prices.iter().map(|p| p.id.clone()).collect();
        let price = self.refers(Sort::Price, &shape.price, prices);
        let does = self.fits_line(&shape.does, LONGEST_LINE);
        self.placeholders_and(&shape.does, shape.at, &["amount", "choice", "sizes"]);
        let cautions = shape
            .cautions
            .iter()
            .map(|text| self.fits_line(text, LONGEST_LINE))
            .collect();
        let source = self.refers_source(&shape.source);
        let (Some(verb), Some(when)) = (verb, when) else {
            return;
        };
        let told = self.told(&shape);
        let comes_in = |(part, _): &(Part, Blocks)| part.is_inspected() || *part == Part::Healed;
        let nothing_comes = shape
            .comes
            .as_ref()
            .is_some_and(|own| !own.iter().any(comes_in));
        let looked_at = match &verb {
            Verb::Set(values) => values
                .iter()
                .map(|(fact, _)| fact)
                .find(|fact| !self.flow.is_told(fact))
                .map(faults::fact_without_arrival),
            verb if verb.changes_readings() => Some(faults::readings_without_arrival()),
            _ => None,
        };
        if let Some(fault) = looked_at.filter(|_| nothing_comes) {
            let span = shape.id.span(self.source());
            self.error("flow-option", span, fault);
        }
        let (Some(bars), Some(needs), Some(wall_bars)) = (bars, needs, wall_bars) else {
            return;
        };
        let comes = shape.comes.unwrap_or_else(|| unsaid(shape.by, &verb));
        let cuts = shape.cuts || verb.cuts();
        let anew = shape
            .anew
            .iter()
            .filter_map(|name| self.asked_fact(name))
            .collect();
        self.flow.options.push(OptionRow {
            comes,
            told,
            cuts,
            anew,
            ours: shape.ours,
            at: shape.at,
            by: shape.by,
            does,
            verb,
            answers,
            said,
            when,
            bars,
            needs,
            wall_bars,
            price,
            days: shape.days,
            cautions,
            source,
            written,
            id: shape.id.value,
        });
    }

    /// Conditions at a kind of place, each with its reason. None where one of them was reported.
    fn reasons(
        &mut self,
        list: &[(ConditionShape, Spanned<String>)],
        at: PlaceKind,
    ) -> Option<Vec<(Condition, String)>> {
        let checked: Vec<_> = list
            .iter()
            .map(|(condition, why)| {
                let why = self.fits_line(why, LONGEST_LINE);
                Some((self.condition(condition, at)?, why))
            })
            .collect();
        checked.into_iter().collect()
    }

    /// What an option answers: topics or rules of the flow.
    fn answered(&mut self, shape: &OptionShape) -> Vec<String> {
        let mut known: Vec<String> = Vec::new();
        for rule in &self.flow.rules {
            known.push(rule.id.clone());
            known.extend(rule.topic.clone());
        }
        known.sort();
        known.dedup();
        if shape.answers.is_empty() {
            let span = shape.id.span(self.source());
            self.error("flow-option", span, faults::answers_nothing());
        }
        shape
            .answers
            .iter()
            .map(|name| self.refers(Sort::Rule, name, known.clone()))
            .collect()
    }

    /// The choices that mean an option: each offered by a question that it answers, and settling nothing by itself.
    fn said(&mut self, shape: &OptionShape, answers: &[String]) -> Vec<(String, Option<String>)> {
        let mut said = Vec::new();
        for own in &shape.said {
            let words = &own.words.value;
            let offers = |rule: &Rule| {
                let place = rule.choices.iter().position(|choice| choice == words);
                let is_answered = answers
                    .iter()
                    .any(|name| *name == rule.id || Some(name) == rule.topic.as_ref());
                is_answered && place.is_some_and(|place| !rule.settles.contains(&place))
            };
            // A rule that could not be read may offer it.
            if !self.may_be_unread(words) && !self.flow.rules.iter().any(offers) {
                let span = own.words.span(self.source());
                self.error("flow-option", span, faults::said_by_no_rule(words));
            }
            said.push((words.clone(), own.choice.clone()));
        }
        said
    }

    /// What an option tells besides: facts of the order, or what only the dentist knows.
    fn told(&mut self, shape: &OptionShape) -> Vec<(FactId, Value)> {
        let mut told = Vec::new();
        for (name, value) in &shape.told {
            let Some((fact, spec)) = self.fact(name) else {
                continue;
            };
            // Where its question cannot be read nobody knows who answers it.
            let unread = self.may_be_unread(fact.as_str());
            if !self.flow.is_told(&fact) && !unread {
                let span = name.span(self.source());
                self.error("flow-option", span, faults::cannot_be_told(&fact));
            } else if self.fits(&spec, value).is_some() {
                told.push((fact, value.value.clone()));
            }
        }
        told
    }

    fn verb(&mut self, shape: &OptionShape) -> Option<Verb> {
        let span = shape.verb.span(self.source());
        let mut number = |value: &Value, unit: Unit| match value {
            Value::Number(number, given)
                if *given == unit && number.is_finite() && *number > 0.0 =>
            {
                Some(*number)
            }
            _ => {
                self.error("flow-option", span.clone(), faults::amount(unit));
                None
            }
        };
        let (verb, place) = match &shape.verb.value {
            VerbShape::Deepen {
                on,
                step,
                most,
                gum_goes_back,
            } => (
                Verb::Deepen {
                    on: *on,
                    step: number(step, Unit::Mm)?,
                    most: number(most, Unit::Mm)?,
                    gum_goes_back: *gum_goes_back,
                },
                Some(PlaceKind::Abutment),
            ),
            VerbShape::Straighten { on, step, least } => (
                Verb::Straighten {
                    on: *on,
                    step: number(step, Unit::Deg)?,
                    least: number(least, Unit::Deg)?,
                },
                Some(PlaceKind::Abutment),
            ),
            VerbShape::Groove(pair) => (Verb::Groove(*pair), Some(PlaceKind::Abutment)),
            VerbShape::BuildUp { least, step, most } => (
                Verb::BuildUp {
                    least: match least {
                        Some(least) => number(least, Unit::Mm)?,
                        None => 0.0,
                    },
                    step: number(step, Unit::Mm)?,
                    most: number(most, Unit::Mm)?,
                },
                Some(PlaceKind::Abutment),
            ),
            VerbShape::Enlarge { step, most } => (
                Verb::Enlarge {
                    step: number(step, Unit::Mm)?,
                    most: number(most, Unit::Mm)?,
                },
                Some(PlaceKind::Connector).filter(|_| shape.at != PlaceKind::Restoration),
            ),
            VerbShape::Ease {
                step,
                most,
                off_prep,
            } => (
                Verb::Ease {
                    off_prep: *off_prep,
                    step: number(step, Unit::Mm)?,
                    most: number(most, Unit::Mm)?,
                },
                Some(PlaceKind::Abutment),
            ),
            VerbShape::Say => (Verb::Say, None),
            VerbShape::AsItIs => (Verb::AsItIs, None),
            VerbShape::AddAbutment => (Verb::AddAbutment, Some(PlaceKind::Restoration)),
            VerbShape::SplitUp => (Verb::SplitUp, Some(PlaceKind::Restoration)),
            VerbShape::Each(name) => {
                let fact = FactId::named(name);
                let kind = self.flow.spec(&fact).map(|spec| spec.kind.clone());
                if !matches!(kind, Some(Kind::Listed(_) | Kind::Choice(_))) {
                    self.error("flow-option", span, faults::no_choices(name));
                    return None;
                }
                (Verb::Each(fact), None)
            }
            VerbShape::Set(values) => {
                let mut set = Vec::new();
                for (name, value) in values {
                    let (fact, spec) = self.fact(name)?;
                    if spec.origin == Origin::Derived {
                        let span = name.span(self.source());
                        self.error("flow-option", span, faults::computed(&fact));
                        return None;
                    }
                    self.fits(&spec, value)?;
                    set.push((fact, value.value.clone()));
                }
                if set.is_empty() {
                    self.error("flow-option", span, faults::sets_nothing());
                    return None;
                }
                (Verb::Set(set), None)
            }
        };
        if let Some(place) = place.filter(|place| *place != shape.at) {
            self.error("flow-option", span, faults::verb_place(place, shape.at));
            return None;
        }
        Some(verb)
    }
}
