//! The shapes of the RON files, as serde reads them. What they mean is checked afterwards.

use serde::Deserialize;
use serde::de::IgnoredAny;

use super::model::{Days, Enter, Hands, Level, Status, Treatment};
use crate::case::outcome::Kind as OutcomeKind;
use crate::fact::{PlaceKind, Value};
use crate::ronfile::{Raw, Spanned};

/// What a file of a flow may be.
#[derive(Deserialize)]
pub(super) enum Part<'s> {
    #[serde(borrow)]
    Flow(Spanned<Head<'s>>),
    #[serde(borrow)]
    Facts(Vec<Raw<'s>>),
    #[serde(borrow)]
    Terms(Vec<Raw<'s>>),
    #[serde(borrow)]
    Questions(Vec<Raw<'s>>),
    #[serde(borrow)]
    Rules(Vec<Raw<'s>>),
    #[serde(borrow)]
    Materials(Vec<Raw<'s>>),
    #[serde(borrow)]
    Cements(Vec<Raw<'s>>),
    #[serde(borrow)]
    Groups(Vec<Raw<'s>>),
    #[serde(borrow)]
    Steps(Vec<Raw<'s>>),
    #[serde(borrow)]
    Seatings(Vec<Raw<'s>>),
    #[serde(borrow)]
    Prices(Vec<Raw<'s>>),
    #[serde(borrow, alias = "Remedies")]
    Options(Vec<Raw<'s>>),
    #[serde(borrow)]
    Loads(Vec<Raw<'s>>),
    #[serde(borrow)]
    Instruments(Vec<Raw<'s>>),
    #[serde(borrow)]
    Figures(Vec<Raw<'s>>),
    #[serde(borrow)]
    Norms(Vec<Raw<'s>>),
    #[serde(borrow)]
    Shorts(Vec<Raw<'s>>),
    #[serde(borrow)]
    Sources(Vec<Raw<'s>>),
}

#[derive(Deserialize)]
#[serde(rename = "Head", deny_unknown_fields)]
pub(super) struct Head<'s> {
    pub id: Spanned<String>,
    pub version: u32,
    pub title: Spanned<String>,
    #[serde(borrow)]
    pub steps: Vec<Raw<'s>>,
    #[serde(default)]
    pub anew: Vec<(crate::case::coming::Part, Vec<Spanned<String>>)>,
}

#[derive(Deserialize)]
#[serde(rename = "Step", deny_unknown_fields)]
pub(super) struct StepShape {
    pub id: Spanned<String>,
    pub title: Spanned<String>,
    pub blocks: Vec<BlockShape>,
    #[serde(default)]
    pub aside: bool,
    #[serde(default)]
    pub dentists: bool,
    #[serde(default)]
    pub drawn: bool,
}

#[derive(Deserialize)]
pub(super) enum BlockShape {
    Ask(Spanned<String>),
    Grid(GridShape),
}

#[derive(Deserialize)]
#[serde(rename = "GridShape", deny_unknown_fields)]
pub(super) struct GridShape {
    pub title: Spanned<String>,
    pub rows: Vec<Spanned<String>>,
    pub enter: Enter,
}

#[derive(Deserialize)]
#[serde(rename = "Short")]
pub(super) struct ShortShape(
    pub Spanned<String>,
    pub Spanned<String>,
    pub Spanned<String>,
);

#[derive(Deserialize)]
pub(super) enum FactKindShape {
    Choice(Vec<(String, String)>),
    YesNo,
    Number(Value, Value),
    Day,
    Text,
}

#[derive(Deserialize)]
#[serde(rename = "Fact", deny_unknown_fields)]
pub(super) struct FactShape {
    pub id: Spanned<String>,
    pub at: PlaceKind,
    pub kind: Spanned<FactKindShape>,
    pub label: Spanned<String>,
    pub sentence: Spanned<String>,
}

#[derive(Deserialize)]
#[serde(rename = "Question", deny_unknown_fields)]
pub(super) struct QuestionShape {
    pub fact: Spanned<String>,
    pub asks: Spanned<String>,
    pub when: Option<ConditionShape>,
    pub look: Spanned<String>,
    pub how: Option<Spanned<String>>,
    pub why: Spanned<String>,
    #[serde(default)]
    pub with: Vec<(Spanned<String>, Spanned<Value>)>,
    #[serde(default)]
    pub also_off: Vec<(ConditionShape, Spanned<Value>)>,
    #[serde(default)]
    pub bands: Vec<Spanned<Value>>,
    pub usual: Option<UsualShape>,
    pub days: Option<Spanned<Days>>,
    pub not_before: Option<Spanned<String>>,
    pub dentist: Option<Spanned<String>>,
    pub source: Spanned<String>,
}

#[derive(Deserialize)]
#[serde(rename = "Usual", deny_unknown_fields)]
pub(super) struct UsualShape {
    pub on: Spanned<String>,
    pub is: Spanned<Value>,
}

#[derive(Deserialize)]
pub(super) enum ConditionShape {
    All(Vec<ConditionShape>),
    Any(Vec<ConditionShape>),
    Not(Box<ConditionShape>),
    AtLeast(usize, Vec<ConditionShape>),
    AnyAt(Spanned<PlaceKind>, Box<ConditionShape>),
    EveryAt(Spanned<PlaceKind>, Box<ConditionShape>),
    AtLeastAt(usize, Spanned<PlaceKind>, Box<ConditionShape>),
    Is(Spanned<String>, Spanned<Value>),
    OneOf(Spanned<String>, Vec<Spanned<Value>>),
    Below(Spanned<String>, Spanned<Value>),
    AtMost(Spanned<String>, Spanned<Value>),
    Above(Spanned<String>, Spanned<Value>),
    Reaches(Spanned<String>, Spanned<Value>),
    Answered(Spanned<String>),
    NotSeen(Spanned<String>),
    Term(Spanned<String>),
}

#[derive(Deserialize)]
#[serde(rename = "TermRow", deny_unknown_fields)]
pub(super) struct TermShape {
    pub id: Spanned<String>,
    pub at: PlaceKind,
    pub when: ConditionShape,
}

#[derive(Deserialize)]
#[serde(rename = "Rule", deny_unknown_fields)]
pub(super) struct RuleShape {
    pub id: Spanned<String>,
    pub at: PlaceKind,
    pub levels: Spanned<Vec<(Spanned<Level>, ConditionShape)>>,
    #[serde(default)]
    pub foretells: Vec<Spanned<OutcomeKind>>,
    #[serde(default)]
    pub raise: Vec<ConditionShape>,
    pub topic: Option<String>,
    pub says: Spanned<String>,
    pub because: Spanned<String>,
    pub source: Spanned<String>,
    #[serde(default)]
    pub limits: Vec<(Spanned<Level>, Spanned<String>)>,
    pub asks: Option<Spanned<String>>,
    pub tells: Option<Spanned<String>>,
    pub choices: Option<Spanned<Vec<Spanned<String>>>>,
    #[serde(default)]
    pub settles: Vec<Spanned<String>>,
    pub bench: Option<Spanned<String>>,
    pub asks_back: Option<Spanned<String>>,
    #[serde(default)]
    pub never: bool,
    #[serde(default)]
    pub examples: Vec<Spanned<ExampleShape>>,
}

#[derive(Deserialize)]
pub(super) enum ExampleShape {
    Fires(Level, Vec<(Spanned<String>, Spanned<Value>)>),
    Silent(Vec<(Spanned<String>, Spanned<Value>)>),
    Open(Vec<(Spanned<String>, Spanned<Value>)>),
}

#[derive(Deserialize)]
#[serde(rename = "Material", deny_unknown_fields)]
pub(super) struct MaterialShape {
    pub id: Spanned<String>,
    pub name: Spanned<String>,
    pub strength: Option<Spanned<Value>>,
    /// Not used any more; older flows have them.
    #[serde(rename = "weibull")]
    pub _weibull: Option<IgnoredAny>,
    #[serde(rename = "modulus_gpa")]
    pub _modulus: Option<IgnoredAny>,
    pub occlusal: Spanned<Value>,
    pub axial: Spanned<Value>,
    pub margin_depth: Spanned<Value>,
    pub margins: Vec<Spanned<String>>,
    pub connectors: Option<Spanned<ConnectorsShape>>,
    pub connector_front: Option<Spanned<Value>>,
    pub connector_back: Option<Spanned<Value>>,
    pub connector_long: Option<Spanned<Value>>,
    pub most_units: Spanned<u32>,
    #[serde(alias = "replaces_molar")]
    pub takes_molar: bool,
    pub cantilever: bool,
    pub breaks: Option<BreaksShape>,
    #[serde(default)]
    pub temporary: bool,
    pub source: Spanned<String>,
}

#[derive(Deserialize)]
#[serde(rename = "Breaks", deny_unknown_fields)]
pub(super) struct BreaksShape {
    pub sharp: Spanned<Value>,
    pub rounded: Spanned<Value>,
    pub source: Spanned<String>,
}

#[derive(Deserialize)]
#[serde(rename = "Connectors", deny_unknown_fields)]
pub(super) struct ConnectorsShape {
    pub front: Vec<Spanned<Value>>,
    pub back: Vec<Spanned<Value>>,
    pub cantilever: Option<Spanned<Value>>,
    pub joint_front: Spanned<Value>,
    pub joint_back: Spanned<Value>,
    pub source: Spanned<String>,
}

#[derive(Deserialize)]
#[serde(rename = "Cement", deny_unknown_fields)]
pub(super) struct CementShape {
    pub id: Spanned<String>,
    pub name: Spanned<String>,
    pub stress: Spanned<Value>,
    pub water_based: bool,
    pub dry_field: bool,
    pub primer: bool,
    #[serde(default)]
    pub temporary: bool,
    pub over: Option<Treatment>,
    pub source: Spanned<String>,
}

#[derive(Deserialize)]
#[serde(rename = "Seating", deny_unknown_fields)]
pub(super) struct SeatingShape<'s> {
    pub id: Spanned<String>,
    pub name: Spanned<String>,
    pub materials: Vec<Spanned<String>>,
    pub cements: Vec<Spanned<String>>,
    #[serde(default)]
    pub must: Vec<Spanned<Treatment>>,
    #[serde(default)]
    pub never: Vec<(Spanned<Treatment>, Spanned<String>)>,
    /// Ids of named steps, or steps written out.
    #[serde(borrow)]
    pub steps: Vec<Raw<'s>>,
}

/// Materials that are seated alike.
#[derive(Deserialize)]
#[serde(rename = "Group", deny_unknown_fields)]
pub(super) struct GroupShape {
    pub id: Spanned<String>,
    pub materials: Vec<Spanned<String>>,
    #[serde(default)]
    pub never: Vec<(Spanned<Treatment>, Spanned<String>)>,
}

/// A step of seating that rows name by its id.
#[derive(Deserialize)]
#[serde(rename = "Step", deny_unknown_fields)]
pub(super) struct NamedStepShape {
    pub id: Spanned<String>,
    pub treatment: Spanned<Treatment>,
    pub by: Hands,
    pub does: Spanned<String>,
    pub lasts: Option<(Spanned<Value>, Spanned<Value>)>,
    pub source: Spanned<String>,
}

impl NamedStepShape {
    /// Returns the id, and the step as a row would write it.
    pub(super) fn parts(self) -> (Spanned<String>, SeatingStepShape) {
        let step = SeatingStepShape {
            treatment: self.treatment,
            by: self.by,
            does: self.does,
            lasts: self.lasts,
            source: self.source,
        };
        (self.id, step)
    }
}

#[derive(Deserialize)]
#[serde(rename = "SeatingStep", deny_unknown_fields)]
pub(super) struct SeatingStepShape {
    pub treatment: Spanned<Treatment>,
    pub by: Hands,
    pub does: Spanned<String>,
    pub lasts: Option<(Spanned<Value>, Spanned<Value>)>,
    pub source: Spanned<String>,
}

#[derive(Deserialize)]
#[serde(rename = "Load", deny_unknown_fields)]
pub(super) struct LoadShape {
    pub id: Spanned<String>,
    pub name: Spanned<String>,
    pub at: Spanned<PlaceKind>,
    pub when: Option<ConditionShape>,
    pub out: Spanned<Value>,
    pub above: Spanned<Value>,
    pub angle: Spanned<Value>,
    pub toward: Vec<Spanned<String>>,
    pub force: ForceShape,
    pub judged: bool,
    pub against: Option<Spanned<String>>,
    pub source: Spanned<String>,
}

#[derive(Deserialize)]
#[serde(rename = "Force", deny_unknown_fields)]
pub(super) struct ForceShape {
    pub incisor: Spanned<Value>,
    pub canine: Spanned<Value>,
    pub premolar: Spanned<Value>,
    pub molar: Spanned<Value>,
}

#[derive(Deserialize)]
#[serde(rename = "Instrument", deny_unknown_fields)]
pub(super) struct InstrumentShape {
    pub id: Spanned<String>,
    pub name: Spanned<String>,
    pub step: Spanned<Value>,
    pub of_scan: Option<bool>,
    pub source: Spanned<String>,
}

#[derive(Deserialize)]
#[serde(rename = "Norm", deny_unknown_fields)]
pub(super) struct NormShape {
    pub beside: Vec<Spanned<String>>,
    pub at: PlaceKind,
    pub when: Option<ConditionShape>,
    pub says: Spanned<String>,
    pub source: Spanned<String>,
}

#[derive(Deserialize)]
#[serde(rename = "Source", deny_unknown_fields)]
pub(super) struct SourceShape {
    pub id: Spanned<String>,
    pub text: Spanned<String>,
    pub status: Status,
}
