//! A flow after its check: names resolved, constants fitted, nothing left that could fail.

use std::fmt;

use serde::{Deserialize, Serialize};

use super::materials::{Cement, Material, MaterialId};
use crate::case::coming::Part;
use crate::case::decision::ORDER;
use crate::case::outcome;
use crate::fact::{
    CALL_BY, FactId, FactSpec, ORDER_SEATING, POURED, PlaceKind, Side, TAKEN, Value,
};
use crate::logic::Condition;
use crate::phrase::faults::flow as said;
use crate::phrase::faults::flow::seating as treatments;

/// How grave a finding is.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
pub enum Level {
    /// Nothing found.
    Fine,
    /// Make it, with care.
    Watch,
    /// Ask before making.
    Call,
    /// Do not start.
    Hold,
}

impl Level {
    /// All levels, from nothing to the worst.
    pub const ALL: [Level; 4] = [Level::Fine, Level::Watch, Level::Call, Level::Hold];

    /// Returns the name in JSON.
    pub fn as_str(self) -> &'static str {
        match self {
            Level::Fine => "fine",
            Level::Watch => "watch",
            Level::Call => "call",
            Level::Hold => "hold",
        }
    }

    /// Returns the level so many steps graver, at most [`Level::Hold`].
    pub fn raised(self, steps: usize) -> Level {
        let index = Level::ALL
            .iter()
            .position(|level| *level == self)
            .unwrap_or(0);
        Level::ALL
            .get(index.saturating_add(steps))
            .copied()
            .unwrap_or(Level::Hold)
    }
}

/// How far a number or a sentence can be relied on.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Serialize, Deserialize)]
pub enum Status {
    /// Published, and checked against the publication.
    Published,
    /// Published, as another text reports it.
    SecondHand,
    /// From memory, not checked.
    Memory,
    /// Common practice, no source.
    CommonPractice,
    /// Follows by mathematics.
    Derived,
    /// This project's or this laboratory's own choice.
    Ours,
}

impl Status {
    /// Returns the words for prints and JSON.
    pub fn words(self) -> &'static str {
        match self {
            Status::Published => said::PUBLISHED,
            Status::SecondHand => said::SECOND_HAND,
            Status::Memory => said::FROM_MEMORY,
            Status::CommonPractice => said::COMMON_PRACTICE,
            Status::Derived => said::BY_MATHEMATICS,
            Status::Ours => said::OUR_CHOICE,
        }
    }

    /// Returns the words for the summary on paper: how far a source can be relied on, to whoever reads it without a flow.
    pub fn on_paper(self) -> &'static str {
        match self {
            Status::Memory => said::FROM_MEMORY_ON_PAPER,
            Status::CommonPractice => said::COMMON_PRACTICE_ON_PAPER,
            other => other.words(),
        }
    }
}

impl fmt::Display for Status {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.words())
    }
}

/// Which way Enter goes in a grid.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub enum Enter {
    /// Down a column: all of one tooth, then the next.
    Down,
    /// Along a row: one reading on every wall, then the next reading.
    Across,
}

/// Which way from today the day lies that a question asks for.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub enum Days {
    /// Today or before: what was done.
    Past,
    /// Today or later: what is still to come.
    Future,
    /// Before or after, but near.
    Either,
}

impl Days {
    /// Returns the direction of a fact whose question names none, as those of older flows do.
    pub(super) fn usual(fact: &FactId) -> Days {
        if [ORDER_SEATING, CALL_BY].contains(fact) {
            Days::Future
        } else if *fact == TAKEN {
            Days::Past
        } else {
            Days::Either
        }
    }
}

/// Returns the day before which a day cannot lie, where a question of an older flow names none.
pub(super) fn usual_not_before(fact: &FactId) -> Option<FactId> {
    (*fact == POURED).then_some(TAKEN)
}

/// A part of a step's page.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub enum StepBlock {
    /// A question by itself.
    Ask(FactId),
    /// Several questions against several places.
    Grid {
        /// Its heading.
        title: String,
        /// The facts of its rows.
        rows: Vec<FactId>,
        /// The kind of place of its columns.
        columns: PlaceKind,
        /// Which way Enter goes.
        enter: Enter,
    },
}

/// One step of the inspection.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Step {
    /// Its id.
    pub id: String,
    /// Its title.
    pub title: String,
    /// What it asks, in order.
    pub blocks: Vec<StepBlock>,
    /// Whether the inspection passes it by: it is asked on the page of the call.
    pub aside: bool,
    /// Whether only the dentist can answer what it asks.
    pub dentists: bool,
    /// Whether it asks for what is drawn once the case is taken on: nobody holds a case back for want of it.
    ///
    /// What only the drawing can tell comes weeks later. Points that wait for nothing else are open points and lines of
    /// the sheets; only the result does not wait for them.
    pub drawn: bool,
}

impl Step {
    /// Returns the facts that it asks for, in order.
    pub fn facts(&self) -> impl Iterator<Item = &FactId> {
        self.blocks.iter().flat_map(|block| match block {
            StepBlock::Ask(fact) => std::slice::from_ref(fact),
            StepBlock::Grid { rows, .. } => rows.as_slice(),
        })
    }
}

/// A question. A fact has one at the most.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Question {
    /// The fact it asks for.
    pub fact: FactId,
    /// The kind of place it is asked at.
    pub at: PlaceKind,
    /// When it comes up.
    pub when: Condition,
    /// The question.
    pub asks: String,
    /// What to look at.
    pub look: String,
    /// How to measure it.
    pub how: Option<String>,
    /// Why it matters.
    pub why: String,
    /// Instruments by id, each with the standard deviation of one reading in the fact's unit. The first is the usual one.
    pub with: Vec<(String, f64)>,
    /// What else a reading may be off by, as a standard deviation in the fact's unit, while a condition holds.
    pub also_off: Vec<(Condition, f64)>,
    /// Values to pick from instead of typing a number.
    pub bands: Vec<f64>,
    /// How it is asked by exception, or `None` if every place is asked.
    pub usual: Option<Usual>,
    /// Which way from today the day lies, or `None` if no day is asked for.
    pub days: Option<Days>,
    /// The day before which this day cannot lie.
    pub not_before: Option<FactId>,
    /// The question as the dentist is asked it, if the bench cannot answer it; `None` if it can.
    pub dentist: Option<String>,
    /// The id of its source.
    pub source: String,
}

/// How a question is asked by exception: a list names the teeth that are as usual.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Usual {
    /// The fact that lists them, at a place that contains the question's.
    pub on: FactId,
    /// What counts at a tooth on the list.
    pub value: Value,
}

impl Question {
    /// Returns one standard deviation of a reading with an instrument, or with the usual one, or `None` if none is known. What
    /// else it is off by where it was read comes on top: see [`Question::also_off`].
    pub fn error(&self, with: Option<&str>) -> Option<f64> {
        let own = self.with.iter().find(|(id, _)| Some(id.as_str()) == with);
        own.or(self.with.first())
            .map(|(_, error)| *error)
            .filter(|error| *error > 0.0)
    }
}

/// An example that a rule carries: facts at the rule's place, and what must come of them.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Example {
    /// What must come of it.
    pub gives: Gives,
    /// Fact names, optionally with `@place`, and values.
    pub facts: Vec<(FactId, Option<String>, Value)>,
    /// The file and line where it stands.
    pub stands: String,
}

/// What a rule does.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub enum Gives {
    /// It fires at this level.
    Fires(Level),
    /// It does not fire, and no answer could make it.
    Silent,
    /// It cannot be decided.
    Open,
}

/// Names a rule of one flow. Only that flow makes it, so it cannot be taken for a count or for another list's position;
/// what is kept beyond a run is the rule's name.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct RuleId(u16);

/// Names an option of one flow, as [`RuleId`] does a rule.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct OptionId(u16);

/// A rule.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Rule {
    /// Its id.
    pub id: String,
    /// The kind of place it looks at.
    pub at: PlaceKind,
    /// What becomes of work that it finds fault with and that is made all the same; empty where it is not on trial.
    pub foretells: Vec<outcome::Kind>,
    /// Levels from the worst to the least, each with its condition.
    pub levels: Vec<(Level, Condition)>,
    /// Conditions that each raise the level by one.
    pub raise: Vec<Condition>,
    /// Findings of one topic at one tooth, connector or restoration share a cause and are told as one.
    pub topic: Option<String>,
    /// The sentence, with placeholders.
    pub says: String,
    /// The reason.
    pub because: String,
    /// The id of the source of its sentence and reason.
    pub source: String,
    /// The id of the source of the limits, level by level; where a level is missing nobody said.
    pub limits: Vec<(Level, String)>,
    /// The file and line where it stands.
    pub stands: String,
    /// What it asks the dentist.
    pub asks: Option<String>,
    /// Why it matters, in one sentence to the dentist; where it is missing `because` stands in the letter.
    pub tells: Option<String>,
    /// What the question offers, in its own words, each with a box to tick on paper.
    pub choices: Vec<String>,
    /// Which of them, by their place, settle it: the work goes on as it lies here, and nothing has to come in.
    pub settles: Vec<usize>,
    /// What the laboratory does itself.
    pub bench: Option<String>,
    /// What is asked back before a reading is kept that newly makes it fire.
    pub asks_back: Option<String>,
    /// Whether nobody can have it made as it is: there is nothing to make it on.
    pub never: bool,
    /// Examples that `flow test` runs.
    pub examples: Vec<Example>,
}

/// A kind of treatment between the furnace and the cemented restoration.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Serialize, Deserialize)]
pub enum Treatment {
    /// Tried in: saliva spoils what was done before it.
    TryIn,
    /// Air-abraded with alumina.
    Abrade,
    /// Etched with hydrofluoric acid.
    Etch,
    /// Cleaned of saliva and of what the step before left.
    Clean,
    /// Coated with silane.
    Silane,
    /// Coated with a primer.
    Primer,
    /// The field kept dry.
    Dry,
    /// Cemented.
    Seat,
}

impl Treatment {
    /// Returns the words for it.
    pub fn words(self) -> &'static str {
        match self {
            Treatment::TryIn => treatments::TRY_IN,
            Treatment::Abrade => treatments::ABRADE,
            Treatment::Etch => treatments::ETCH,
            Treatment::Clean => treatments::CLEAN,
            Treatment::Silane => treatments::SILANE,
            Treatment::Primer => treatments::PRIMER,
            Treatment::Dry => treatments::DRY,
            Treatment::Seat => treatments::SEAT,
        }
    }
}

/// Where a step is done.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Serialize, Deserialize)]
pub enum Hands {
    /// In the laboratory.
    Laboratory,
    /// At the chair.
    Chair,
}

/// One step of seating.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct SeatingStep {
    /// What kind of treatment it is.
    pub treatment: Treatment,
    /// Who does it.
    pub by: Hands,
    /// What is done, as a sentence.
    pub does: String,
    /// How long it lasts, at least and at most, in seconds.
    pub lasts: Option<(f64, f64)>,
    /// The id of its source.
    pub source: String,
}

/// How the fitting surface of a restoration is treated before it is seated.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Seating {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// The materials it is for.
    pub materials: Vec<MaterialId>,
    /// The cements it is for, by id.
    pub cements: Vec<String>,
    /// The treatments without which it does not bond.
    pub must: Vec<Treatment>,
    /// The treatments that spoil it, each with the reason.
    pub never: Vec<(Treatment, String)>,
    /// Its steps, in order.
    pub steps: Vec<SeatingStep>,
}

/// A load case: how a unit is loaded, by its kind of tooth.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Load {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// The kind of unit that is loaded.
    pub at: PlaceKind,
    /// When it applies to a unit.
    pub when: Condition,
    /// How far out from the middle of the top it acts, as a share of the half width towards the side.
    pub out: f64,
    /// How far above the top of the prep it acts, in mm.
    pub above: f64,
    /// Its angle to the tooth's axis in degrees: 0 presses home, 90 is level, 180 pulls off.
    pub angle: f64,
    /// The sides it leans to; each is a load of its own.
    pub toward: Vec<Side>,
    /// Its force in N on incisors, canines, premolars and molars.
    pub force: [f64; 4],
    /// Whether grip is judged by it.
    pub judged: bool,
    /// The load that the least single crown bears in comparison; itself where none is named.
    pub against: Option<String>,
    /// The id of its source.
    pub source: String,
}

/// Where a number or a rule comes from.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Citation {
    /// Its id.
    pub id: String,
    /// The text that is printed.
    pub text: String,
    /// How far it can be relied on.
    pub status: Status,
}

/// A flow: steps, questions, rules, materials, cements, instruments and sources that belong together.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Flow {
    /// Its id.
    pub id: String,
    /// Its version, raised when meaning changes.
    pub version: u32,
    /// Its title.
    pub title: String,
    /// The digest of its files.
    pub digest: String,
    /// Its steps.
    pub steps: Vec<Step>,
    /// What is read anew once something has come in.
    pub anew: Vec<(Part, Vec<FactId>)>,
    /// Its questions, in the order of its steps.
    pub questions: Vec<Question>,
    /// Its rules, in the order of weight.
    pub rules: Vec<Rule>,
    /// Its materials.
    pub materials: Vec<Material>,
    /// Its cements.
    pub cements: Vec<Cement>,
    /// How restorations are seated, by material and cement.
    pub seatings: Vec<Seating>,
    /// Its price lines.
    pub prices: Vec<super::Price>,
    /// Its options, those for the dentist in the order in which they are shown.
    pub options: Vec<super::OptionRow>,
    /// Its load cases.
    pub loads: Vec<Load>,
    /// Its instruments.
    pub instruments: Vec<super::Instrument>,
    /// What mechanics rests on.
    pub figures: super::Figures,
    /// What is usual, shown beside findings.
    pub norms: Vec<super::Norm>,
    /// Shorter words for choices.
    pub shorts: Vec<super::Short>,
    /// Its sources.
    pub sources: Vec<Citation>,
    /// Facts of its own, `x.` in front.
    pub facts: Vec<FactSpec>,
    /// Reading errors of people, in place of the usual ones.
    #[serde(skip)]
    pub hands: super::OwnErrors,
}

impl Flow {
    /// Returns a fact's row, out of the catalogue or of the flow.
    pub fn spec<'a>(&'a self, fact: &FactId) -> Option<&'a FactSpec> {
        match fact.spec() {
            Some(spec) => Some(spec),
            None => self.facts.iter().find(|spec| spec.id == fact.as_str()),
        }
    }

    /// Returns the question for a fact.
    pub fn question(&self, fact: &FactId) -> Option<&Question> {
        self.questions
            .iter()
            .find(|question| question.fact == *fact)
    }

    /// Returns whether a fact is one of the drawing.
    pub fn is_drawn(&self, fact: &FactId) -> bool {
        let drawn = self.steps.iter().filter(|step| step.drawn);
        drawn.flat_map(Step::facts).any(|own| own == fact)
    }

    /// Returns the rules with their ids, in the order of weight.
    pub fn rules(&self) -> impl Iterator<Item = (RuleId, &Rule)> {
        (0..).map(RuleId).zip(&self.rules)
    }

    /// Returns a rule, or `None` if the id is of another flow.
    pub fn rule(&self, id: RuleId) -> Option<&Rule> {
        self.rules.get(usize::from(id.0))
    }

    /// Returns the options with their ids, in the order of the file.
    pub fn options(&self) -> impl Iterator<Item = (OptionId, &super::OptionRow)> {
        (0..).map(OptionId).zip(&self.options)
    }

    /// Returns an option, or `None` if the id is of another flow.
    pub fn option(&self, id: OptionId) -> Option<&super::OptionRow> {
        self.options.get(usize::from(id.0))
    }

    /// Returns the facts that are read anew once something has come in.
    pub fn anew(&self, part: Part) -> impl Iterator<Item = &FactId> {
        let own = move |(of, _): &&(Part, Vec<FactId>)| *of == part;
        self.anew.iter().filter(own).flat_map(|(_, facts)| facts)
    }

    /// Returns whether a fact is a day that lies behind us when it is asked.
    pub fn is_past(&self, fact: &FactId) -> bool {
        self.question(fact)
            .is_some_and(|own| own.days == Some(Days::Past))
    }

    /// Returns whether a fact is told and not looked at: it stands on the order, or only the dentist knows it. What is told
    /// counts as soon as it is said.
    pub fn is_told(&self, fact: &FactId) -> bool {
        let asked = self.question(fact);
        fact.as_str().starts_with(ORDER) || asked.is_some_and(|own| own.dentist.is_some())
    }

    /// Returns whether a fact is asked in a step that is the dentist's: the bench has nothing to look at for it.
    pub fn is_dentists(&self, fact: &FactId) -> bool {
        let own = |step: &&Step| step.dentists && step.facts().any(|own| own == fact);
        self.steps.iter().any(|step| own(&step))
    }

    /// Returns the questions that a list answers for the teeth on it; none for a fact that is no such list.
    pub fn covered<'a>(&'a self, list: &'a FactId) -> impl Iterator<Item = &'a Question> {
        let on = move |question: &&Question| {
            question
                .usual
                .as_ref()
                .is_some_and(|usual| usual.on == *list)
        };
        self.questions.iter().filter(on)
    }

    /// Returns the material with this id.
    pub fn material(&self, id: &str) -> Option<&Material> {
        self.materials.iter().find(|material| material.id == *id)
    }

    /// Returns the cement with this id.
    pub fn cement(&self, id: &str) -> Option<&Cement> {
        self.cements.iter().find(|cement| cement.id == id)
    }

    /// Returns how a restoration of this material is seated with this cement.
    pub fn seating(&self, material: &MaterialId, cement: &str) -> Option<&Seating> {
        self.seatings.iter().find(|seating| {
            seating.materials.contains(material) && seating.cements.iter().any(|id| id == cement)
        })
    }

    /// Returns the price line with this id.
    pub fn price(&self, id: &str) -> Option<&super::Price> {
        self.prices.iter().find(|price| price.id == id)
    }

    /// Returns the instrument with this id.
    pub fn instrument(&self, id: &str) -> Option<&super::Instrument> {
        self.instruments
            .iter()
            .find(|instrument| instrument.id == id)
    }

    /// Returns the source with this id.
    pub fn source(&self, id: &str) -> Option<&Citation> {
        self.sources.iter().find(|source| source.id == id)
    }
}
