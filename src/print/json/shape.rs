//! The shapes that several objects share, and the schema that follows from all shapes.
//!
//! Modules below know nothing of schemas: their types are described here, as a word, a text or an object.
//!
//! A schema derived from the types that are written says what is written. Objects are closed, so that a key that nobody
//! documented fails; the manual's table is made from the schemas, since whoever reads it has no code.

use std::borrow::Cow;

use jiff::Timestamp;
use schemars::generate::SchemaSettings;
use schemars::transform::{RecursiveTransform, Transform as _};
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Serialize, Serializer};

use crate::case::coming::{Awaited, Part};
use crate::case::decision::DentistAnswer;
use crate::case::life::State;
use crate::case::outcome::{Foreseen, Kind, Known};
use crate::case::{Layer, OrderedKind, Role, Units};
use crate::fact::{FactId, Place, PlaceKind, Side};
use crate::flow::{Flow, Level, Status, Whose};
use crate::judge::doubt::Method;
use crate::judge::{self, Verdict};
use crate::logic::Gap;
use crate::phrase::rounded;
use crate::phrase::sheets::json as sheets;
use crate::tooth::Tooth;

/// The format of every object; it changes if a key goes or changes its meaning.
pub const FORMAT: u32 = 3;

/// The format, as the first key of every object.
#[derive(Clone, Copy, Debug)]
pub struct FormatKey;

impl Serialize for FormatKey {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_u32(FORMAT)
    }
}

impl JsonSchema for FormatKey {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        "Format".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "type": "integer", "const": FORMAT })
    }
}

/// Defines types that are written as one of a few words, with their schema.
macro_rules! words {
    ($($(#[$doc:meta])* $name:ident($own:ty) { $($is:pat => $word:expr),+ $(,)? })+) => { $(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug)]
        pub struct $name(
            /// The value.
            pub $own,
        );

        impl Serialize for $name {
            fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.serialize_str(match self.0 { $($is => $word),+ })
            }
        }

        impl JsonSchema for $name {
            fn inline_schema() -> bool {
                true
            }

            fn schema_name() -> Cow<'static, str> {
                stringify!($name).into()
            }

            fn json_schema(_: &mut SchemaGenerator) -> Schema {
                json_schema!({ "type": "string", "enum": [$($word),+] })
            }
        }
    )+ };
}

words! {
    /// A level by itself; what a case comes to is a [`VerdictShape`].
    LevelWord(Level) {
        Level::Fine => Level::Fine.as_str(),
        Level::Watch => Level::Watch.as_str(),
        Level::Call => Level::Call.as_str(),
        Level::Hold => Level::Hold.as_str(),
    }
    /// How far a source can be relied on.
    StatusWord(Status) {
        Status::Published => Status::Published.words(),
        Status::SecondHand => Status::SecondHand.words(),
        Status::Memory => Status::Memory.words(),
        Status::CommonPractice => Status::CommonPractice.words(),
        Status::Derived => Status::Derived.words(),
        Status::Ours => Status::Ours.words(),
    }
    /// The outcome of a question.
    OutcomeWord(DentistAnswer) {
        DentistAnswer::Agreed => DentistAnswer::Agreed.as_str(),
        DentistAnswer::AsItIs => DentistAnswer::AsItIs.as_str(),
        DentistAnswer::Refused => DentistAnswer::Refused.as_str(),
        DentistAnswer::NoDecision => DentistAnswer::NoDecision.as_str(),
    }
    /// A side of a tooth.
    SideWord(Side) {
        Side::Mesial => Side::Mesial.as_str(),
        Side::Distal => Side::Distal.as_str(),
        Side::Facial => Side::Facial.as_str(),
        Side::Lingual => Side::Lingual.as_str(),
    }
    /// Where a value is from.
    LayerWord(Layer) {
        Layer::Before => "before",
        Layer::Expected => "expected",
        Layer::Suspended => "suspended",
        Layer::Measured => "measured",
        Layer::Decided => "decided",
        Layer::Proposed => "proposed",
    }
    /// Why a value is missing.
    GapWord(Gap) {
        Gap::NotAsked => "not asked",
        Gap::NotSeen => "not seen",
        Gap::NotComputed => "not computed",
        Gap::Idle => "idle",
    }
    /// How far a case or a restoration is.
    StateWord(State) {
        State::ToCall => State::ToCall.as_str(),
        State::Returned => State::Returned.as_str(),
        State::Inspecting => State::Inspecting.as_str(),
        State::Waiting => State::Waiting.as_str(),
        State::ForDesign => State::ForDesign.as_str(),
        State::ToMake => State::ToMake.as_str(),
        State::Delivered => State::Delivered.as_str(),
        State::Closed => State::Closed.as_str(),
        State::NotCovered => State::NotCovered.as_str(),
        State::Withdrawn => State::Withdrawn.as_str(),
    }
    /// What became of a restoration.
    OutcomeKindWord(Kind) {
        Kind::CameOff => Kind::CameOff.as_str(),
        Kind::Broke => Kind::Broke.as_str(),
        Kind::OpenMargin => Kind::OpenMargin.as_str(),
        Kind::HighContact => Kind::HighContact.as_str(),
        Kind::ContactOpen => Kind::ContactOpen.as_str(),
        Kind::Shade => Kind::Shade.as_str(),
        Kind::Decay => Kind::Decay.as_str(),
        Kind::ToothLost => Kind::ToothLost.as_str(),
        Kind::Other => Kind::Other.as_str(),
        Kind::Quiet => Kind::Quiet.as_str(),
        Kind::LostSight => Kind::LostSight.as_str(),
    }
    /// How an outcome is known.
    KnownWord(Known) {
        Known::Bench => Known::Bench.as_str(),
        Known::Dentist => Known::Dentist.as_str(),
        Known::Recall => Known::Recall.as_str(),
    }
    /// Whether the bench could have seen an outcome.
    ForeseenWord(Foreseen) {
        Foreseen::Asked => Foreseen::Asked.as_str(),
        Foreseen::NoRule => Foreseen::NoRule.as_str(),
        Foreseen::ReadingOff => Foreseen::ReadingOff.as_str(),
        Foreseen::No => Foreseen::No.as_str(),
    }
    /// Something that has to arrive.
    PartWord(Part) {
        Part::Answer => Part::Answer.as_str(),
        Part::Healed => Part::Healed.as_str(),
        Part::Impression => Part::Impression.as_str(),
        Part::Bite => Part::Bite.as_str(),
        Part::Opposing => Part::Opposing.as_str(),
        Part::Temporary => Part::Temporary.as_str(),
        Part::Shade => Part::Shade.as_str(),
        Part::Order => Part::Order.as_str(),
        Part::Bench => Part::Bench.as_str(),
    }
    /// How a chance was found.
    MethodWord(Method) {
        Method::Differences => "differences",
        Method::Draws(_) => "draws",
    }
    /// Whose decision an option is.
    WhoseWord(Whose) {
        Whose::Laboratory => "laboratory",
        Whose::Dentist => "dentist",
    }
    /// What the order calls a restoration.
    KindWord(OrderedKind) {
        OrderedKind::Crown => "crown",
        OrderedKind::Bridge => "bridge",
        OrderedKind::Splinted => "splinted",
        OrderedKind::Cantilever => "cantilever",
    }
    /// The role of a unit.
    RoleWord(Role) {
        Role::Abutment => "abutment",
        Role::Pontic => "pontic",
    }
}

/// The result of a case or of a restoration.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum VerdictWord {
    /// Nothing was found yet, and open points may become a finding.
    Open,
    /// Nothing was found, and no open point may become a finding.
    Fine,
    /// Make it, with care.
    Watch,
    /// Ask before making.
    Call,
    /// Do not start.
    Hold,
    /// The rules do not cover this kind of work.
    NotCovered,
}

impl VerdictWord {
    /// Returns the word for a verdict. Nothing found is not *fine* while points are open.
    pub fn of(verdict: Verdict) -> VerdictWord {
        match verdict.outcome() {
            judge::CaseResult::NotCovered => VerdictWord::NotCovered,
            judge::CaseResult::Open => VerdictWord::Open,
            judge::CaseResult::NothingFound => VerdictWord::Fine,
            judge::CaseResult::Watch => VerdictWord::Watch,
            judge::CaseResult::Call => VerdictWord::Call,
            judge::CaseResult::Hold => VerdictWord::Hold,
        }
    }

    /// Returns the word as it is written.
    pub fn as_str(self) -> &'static str {
        match self {
            VerdictWord::Open => "open",
            VerdictWord::Fine => "fine",
            VerdictWord::Watch => "watch",
            VerdictWord::Call => "call",
            VerdictWord::Hold => "hold",
            VerdictWord::NotCovered => "not-covered",
        }
    }
}

/// The worst that open points may make of a case or of a restoration.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum WorstWord {
    /// No open point may become a finding.
    Fine,
    /// Make it, with care.
    Watch,
    /// Ask before making.
    Call,
    /// Do not start.
    Hold,
    /// The rules do not cover this kind of work: what nobody judged is not fine.
    NotCovered,
}

impl WorstWord {
    fn of(verdict: Verdict, level: Level) -> WorstWord {
        match level {
            _ if !verdict.covered => WorstWord::NotCovered,
            Level::Fine => WorstWord::Fine,
            Level::Watch => WorstWord::Watch,
            Level::Call => WorstWord::Call,
            Level::Hold => WorstWord::Hold,
        }
    }
}

/// A verdict.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
#[schemars(rename = "Verdict")]
pub struct VerdictShape {
    /// The result.
    pub level: VerdictWord,
    /// The worst that open points may make of it, without those of the design.
    pub could_be: WorstWord,
    /// The worst that all open points may make of it, those of the design included.
    pub drawn: WorstWord,
}

impl From<Verdict> for VerdictShape {
    fn from(verdict: Verdict) -> VerdictShape {
        VerdictShape {
            level: VerdictWord::of(verdict),
            could_be: WorstWord::of(verdict, verdict.could_be),
            drawn: WorstWord::of(verdict, verdict.drawn),
        }
    }
}

/// A unit of a restoration.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
#[schemars(rename = "Unit")]
pub struct UnitShape {
    /// Its tooth.
    pub tooth: Tooth,
    /// Its role.
    pub role: RoleWord,
}

/// A restoration with its units, in their order in the arch.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[schemars(rename = "Restoration")]
pub struct RestorationShape {
    /// Its name within the case, such as R1.
    pub id: Place,
    /// What the order calls it.
    pub kind: KindWord,
    /// Its units.
    pub units: Vec<UnitShape>,
}

/// Returns the restorations of a case.
pub fn restorations(units: &Units) -> Vec<RestorationShape> {
    let shape = |own: &crate::case::Restoration| RestorationShape {
        id: Place::Restoration(own.id),
        kind: KindWord(own.ordered),
        units: units_of(own),
    };
    units.restorations().iter().map(shape).collect()
}

/// Returns the units of a restoration.
pub fn units_of(own: &crate::case::Restoration) -> Vec<UnitShape> {
    let units = own.units.iter().map(|unit| UnitShape {
        tooth: unit.tooth,
        role: RoleWord(unit.role),
    });
    units.collect()
}

/// Where a rule or an option comes from.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[schemars(rename = "Source")]
pub struct SourceShape<'a> {
    /// Its id in the flow.
    pub id: &'a str,
    /// What it is.
    pub words: &'a str,
    /// How far it can be relied on.
    pub status: StatusWord,
}

impl<'a> SourceShape<'a> {
    /// Returns the source of this id; a checked flow has every one that it names.
    pub fn of(flow: &'a Flow, id: &str) -> Option<SourceShape<'a>> {
        flow.source(id).map(|source| SourceShape {
            id: &source.id,
            words: &source.text,
            status: StatusWord(source.status),
        })
    }
}

/// Something that is waited for.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Waiting {
    /// What it is.
    pub what: PartWord,
    /// The teeth that it is about; empty if it is about the whole case.
    pub teeth: Vec<Tooth>,
    /// The day it is due, or null.
    pub due: Option<Day>,
}

/// How far a case or a restoration is.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Outlook {
    /// How far the work is.
    pub state: StateWord,
    /// What has still to arrive.
    pub waiting_for: Vec<Waiting>,
    /// The result that is expected once that has arrived; null if nothing is expected.
    pub expected: Option<VerdictShape>,
}

/// Returns what is waited for.
pub fn waiting(units: &Units, awaited: &[&Awaited]) -> Vec<Waiting> {
    let teeth = |own: &Awaited| {
        let mut teeth: Vec<Tooth> = Vec::new();
        for at in &own.places {
            match (units.resolve(PlaceKind::Unit, *at), units.owner(*at)) {
                (Some(Place::Unit(tooth)), _) => teeth.push(tooth),
                (_, Some(owner)) => teeth.extend(owner.units.iter().map(|unit| unit.tooth)),
                // The whole case.
                (_, None) => return Vec::new(),
            }
        }
        teeth.dedup();
        teeth
    };
    awaited
        .iter()
        .map(|own| Waiting {
            what: PartWord(own.part),
            teeth: teeth(own),
            due: own.due.map(Day),
        })
        .collect()
}

/// A calendar day, as RFC 3339 writes a full date.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Day(pub jiff::civil::Date);

impl JsonSchema for Day {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        "Day".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "type": "string", "format": "date", "pattern": r"^\d{4}-\d{2}-\d{2}$" })
    }
}

/// A moment, as RFC 3339 writes it, to the second and in UTC.
#[derive(Clone, Copy, Debug)]
pub struct Moment(pub Timestamp);

impl std::fmt::Display for Moment {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{:.0}", self.0)
    }
}

impl Serialize for Moment {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl JsonSchema for Moment {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        "Moment".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "type": "string",
            "format": "date-time",
            "pattern": r"^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}Z$",
        })
    }
}

/// Describes types of modules below that are written as a text.
macro_rules! texts {
    ($($own:ty, $name:literal, $says:expr, $pattern:expr;)+) => { $(
        impl JsonSchema for $own {
            fn schema_name() -> Cow<'static, str> {
                $name.into()
            }

            fn json_schema(_: &mut SchemaGenerator) -> Schema {
                json_schema!({ "type": "string", "description": $says, "pattern": $pattern })
            }
        }
    )+ };
}

texts! {
    Tooth, "Tooth", sheets::TOOTH, "^[1-4][1-8]$";
    Place, "Place", sheets::PLACE,
        "^(case|R[1-9][0-9]*|[1-4][1-8](/(mesial|distal|facial|lingual)|-[1-4][1-8])?)$";
    FactId, "Fact", sheets::FACT, "^[a-z][a-z0-9_.-]*$";
}

/// Decimals of lengths, axes and forces: three digits finer than the finest proven gap of the figures computed from them.
const SHAPE_DECIMALS: usize = 9;

/// Rounds what another program needs to compute the figures again.
pub(super) fn shape(number: f64) -> f64 {
    rounded(number, SHAPE_DECIMALS)
}

/// Rounds a figure to a tenth of its proven gap, which is a part of the figure.
pub(super) fn proven(number: f64, gap: f64) -> f64 {
    let last = gap.abs() * number.abs() / 10.0;
    let decimals = (-last.log10()).ceil().clamp(0.0, 12.0);
    // Clamped, because the logarithm may be infinite or no number.
    rounded(number, decimals as usize)
}

/// Rounds a gap up to one digit, as prints show it: rounded down, it would not be proven.
pub(super) fn gap(gap: f64) -> f64 {
    let digits = gap.log10().floor();
    if !digits.is_finite() {
        return gap;
    }
    let decimals = (-digits).clamp(0.0, 12.0);
    let scale = 10f64.powf(decimals);
    (gap * scale).ceil() / scale
}

/// An object that is written, as its schema is made.
pub type Shape = fn(&mut SchemaGenerator) -> Schema;

/// Returns the schema of an object of any of these shapes, draft 2020-12. Objects are closed: a key that the schema does not
/// have fails.
pub fn schema(title: &str, shapes: &[Shape]) -> Schema {
    let mut generator = SchemaSettings::draft2020_12()
        .for_serialize()
        .into_generator();
    let mut any: Vec<Schema> = Vec::new();
    for shape in shapes {
        let own = shape(&mut generator);
        if !any.contains(&own) {
            any.push(own);
        }
    }
    let mut schema = match any.as_slice() {
        [own] => own.clone(),
        any => json_schema!({ "anyOf": any }),
    };
    schema.insert(
        "$schema".to_owned(),
        generator.settings().meta_schema.as_deref().into(),
    );
    schema.insert("title".to_owned(), title.into());
    schema.insert("$defs".to_owned(), generator.take_definitions(false).into());
    RecursiveTransform(|schema: &mut Schema| {
        if schema.get("properties").is_some() {
            schema.insert("additionalProperties".to_owned(), false.into());
        }
    })
    .transform(&mut schema);
    schema
}

#[cfg(test)]
mod tests {
    use super::*;

    fn verdict(level: Level, could_be: Level) -> &'static str {
        let drawn = could_be;
        let covered = true;
        VerdictWord::of(Verdict {
            level,
            could_be,
            drawn,
            covered,
        })
        .as_str()
    }

    #[test]
    fn what_was_not_looked_at_is_open_and_never_fine() {
        assert_eq!(verdict(Level::Fine, Level::Fine), "fine");
        for could_be in [Level::Watch, Level::Call, Level::Hold] {
            assert_eq!(verdict(Level::Fine, could_be), "open");
            assert_eq!(verdict(Level::Watch, could_be), "watch");
        }
        assert_eq!(verdict(Level::Hold, Level::Hold), "hold");
    }

    #[test]
    fn figures_keep_what_is_proven() {
        assert_eq!(proven(0.123_456_789_12, 1e-3), 0.12346);
        assert_eq!(proven(123.456_789_12, 1e-6), 123.456_79);
        assert_eq!(gap(8.1e-7), 9e-7);
        assert_eq!(gap(0.0), 0.0);
        assert_eq!(gap(1e-6), 1e-6);
        let written = Moment("2026-11-28T09:30:59.987654321Z".parse().unwrap()).to_string();
        assert_eq!(written, "2026-11-28T09:30:59Z");
    }

    #[test]
    fn words_are_written_as_they_are_told() {
        for word in [VerdictWord::Open, VerdictWord::NotCovered] {
            let written = serde_json::to_string(&word).unwrap();
            assert_eq!(written, format!("\"{}\"", word.as_str()));
        }
    }
}
