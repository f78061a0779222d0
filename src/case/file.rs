//! A case as a RON file, one fact a line, so that two versions can be compared line by line.

mod beside;
mod decisions;
mod writing;

use std::collections::BTreeMap;

use jiff::Timestamp;
use serde::Deserialize;

use super::decision::Decided;
use super::life::CaseEvent;
use super::{
    Case, CaseUnit, FlowRef, Layer, OrderedKind, Reading, Restoration, Role, Units, is_of_old,
};
use crate::fact::{CATALOGUE, FactId, FactSpec, MAX_TEXT, Misfit, Origin, Place, Spot, Value};
use crate::phrase::faults::case as faults;
use crate::phrase::faults::{self as said, Fault};
use crate::ronfile::{Diagnostic, Raw, Source, Span, Spanned, nearest, parse, parse_raw};
use crate::text::clean;
use crate::tooth::Tooth;

pub use writing::write;

/// The format of case files that this program writes.
pub const FORMAT: u32 = 1;
/// The most facts a case file may hold; far above any real case.
const MAX_FACTS: usize = 20_000;
/// How many earlier records of one case restorations may stay on: each restoration stays on one at the most.
const MOST_RECORDS: usize = 32;
/// The longest case number, in characters.
pub const MAX_NUMBER: usize = 40;

#[derive(Deserialize)]
#[serde(rename = "Case", deny_unknown_fields)]
struct CaseShape<'s> {
    format: Spanned<u32>,
    number: Spanned<String>,
    flow: Spanned<String>,
    version: u32,
    digest: Option<String>,
    #[serde(borrow)]
    restorations: Spanned<Vec<Raw<'s>>>,
    #[serde(borrow)]
    facts: Vec<Raw<'s>>,
    #[serde(borrow, default)]
    set_aside: Vec<Raw<'s>>,
    #[serde(borrow, default)]
    decisions: Vec<Raw<'s>>,
    #[serde(borrow, default)]
    proposals: Vec<Raw<'s>>,
    #[serde(borrow, default)]
    arrived: Vec<Raw<'s>>,
    #[serde(borrow, default)]
    earlier: Vec<Raw<'s>>,
    #[serde(borrow, default)]
    life: Vec<Raw<'s>>,
    #[serde(borrow, default)]
    outcomes: Vec<Raw<'s>>,
    #[serde(borrow)]
    handed: Option<Raw<'s>>,
    #[serde(borrow, default)]
    files: Vec<Raw<'s>>,
}

#[derive(Deserialize)]
enum UnitShape {
    Abutment(Spanned<String>),
    Pontic(Spanned<String>),
}

#[derive(Deserialize)]
enum RestorationShape {
    Crown(Spanned<String>, Vec<UnitShape>),
    Bridge(Spanned<String>, Vec<UnitShape>),
    Splinted(Spanned<String>, Vec<UnitShape>),
    Cantilever(Spanned<String>, Vec<UnitShape>),
}

#[derive(Deserialize)]
#[serde(rename = "Fact", deny_unknown_fields)]
struct FactShape {
    fact: Spanned<String>,
    at: Spanned<String>,
    is: Spanned<Value>,
    with: Option<Spanned<String>>,
    layer: Option<Layer>,
    who: Option<String>,
    when: Option<Timestamp>,
}

/// Where the parts of a case stand in its file, for whoever checks it against a flow.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Places {
    /// The flow's id.
    pub flow: Span,
    /// The readings.
    pub readings: BTreeMap<(Spot, Layer), ReadingPlace>,
}

impl Places {
    /// An answer of old stands once in the file and counts at each restoration.
    fn of_old(&mut self, case: &Case, spot: &Spot, layer: Layer) {
        let place = self.readings.get(&(spot.clone(), layer)).cloned();
        for (own, place) in case
            .counts_at(spot.clone())
            .into_iter()
            .zip(place.iter().cycle())
        {
            self.readings.entry((own, layer)).or_insert(place.clone());
        }
    }
}

/// Where a reading stands in its file.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct ReadingPlace {
    /// The fact's name.
    pub name: Span,
    /// The value.
    pub value: Span,
    /// The instrument, where it is named.
    pub with: Option<Span>,
}

/// Reads a case file. Choices out of a flow's tables are checked by whoever has the flow.
///
/// # Errors
/// Everything that is wrong with the file, in the order of the file.
pub fn read(source: &Source) -> Result<Case, Vec<Diagnostic>> {
    read_with_places(source).map(|(case, _)| case)
}

/// Reads a case file as [`read`] does, and says where its parts stand.
///
/// # Errors
/// Everything that is wrong with the file, in the order of the file.
pub fn read_with_places(source: &Source) -> Result<(Case, Places), Vec<Diagnostic>> {
    let shape: CaseShape<'_> = parse(source).map_err(|problem| vec![problem])?;
    let mut reader = Reader {
        source,
        problems: Vec::new(),
        seen: BTreeMap::new(),
    };
    let units = reader.header(&shape);
    let mut readings = Vec::new();
    let listed = [
        &shape.facts,
        &shape.set_aside,
        &shape.decisions,
        &shape.proposals,
        &shape.arrived,
        &shape.earlier,
        &shape.life,
        &shape.outcomes,
    ];
    if listed.map(Vec::len).into_iter().sum::<usize>() > MAX_FACTS {
        let span = shape.number.span(source);
        reader.problem("case-too-long", span, faults::too_many_facts(MAX_FACTS));
        return Err(reader.problems);
    }
    for (raw, aside) in shape
        .facts
        .iter()
        .map(|raw| (raw, false))
        .chain(shape.set_aside.iter().map(|raw| (raw, true)))
    {
        match parse_raw::<FactShape>(source, *raw) {
            Err(problem) => reader.problems.push(problem),
            Ok(fact) => readings.extend(reader.fact(fact, units.as_ref().filter(|_| !aside))),
        }
    }
    let mut decided = Vec::new();
    for raw in &shape.decisions {
        decided.extend(reader.decision(*raw));
    }
    // The newest on a matter stands, wherever it is listed.
    decided.sort_by_key(|own: &Decided| (own.decision.from, own.when));
    let mut proposals = Vec::new();
    for raw in &shape.proposals {
        proposals.extend(reader.proposal(*raw));
    }
    let mut got = Vec::new();
    for raw in &shape.arrived {
        got.extend(reader.arrived(*raw));
    }
    if shape.earlier.len() > MOST_RECORDS {
        let span = shape.flow.span(source);
        let fault = faults::too_many_records(shape.earlier.len(), MOST_RECORDS);
        reader.problem("case-too-long", span, fault);
        return Err(reader.problems);
    }
    let mut earlier = Vec::new();
    for raw in &shape.earlier {
        earlier.extend(reader.earlier(*raw));
    }
    let mut life = Vec::new();
    for raw in &shape.life {
        let event = reader.parsed::<CaseEvent>(*raw);
        let unknown = event
            .iter()
            .flat_map(|event| &event.restorations)
            .find(|id| {
                units
                    .as_ref()
                    .is_some_and(|own| own.restoration(**id).is_none())
            });
        if let Some(id) = unknown {
            let fault = faults::no_restoration(*id);
            reader.problem("case-life", raw.span(source), fault);
        }
        life.extend(event);
    }
    let outcomes = reader.outcomes(&shape, units.as_ref());
    let handed = shape.handed.and_then(|raw| reader.handed(raw));
    let files = reader.files(&shape);
    let Some(units) = units.filter(|_| reader.problems.is_empty()) else {
        return Err(reader.problems);
    };
    let mut places = Places {
        flow: shape.flow.span(source),
        readings: reader.seen,
    };
    let flow = FlowRef {
        id: clean(&shape.flow.value),
        version: shape.version,
        digest: clean(&shape.digest.unwrap_or_default()),
    };
    let mut case = Case::new(shape.number.value, flow, units);
    // What a restoration says of itself counts before what an old file says of the whole case.
    readings.sort_by_key(|(spot, ..)| !is_of_old(spot));
    for (spot, layer, reading) in readings {
        places.of_old(&case, &spot, layer);
        case.put(spot, layer, reading);
    }
    for decided in decided {
        case.list_decision(decided);
    }
    for (about, part, on) in got {
        case.got.entry(about).or_default().push((part, on));
    }
    case.earlier = earlier;
    case.life = life;
    for outcome in &outcomes {
        case.keep_outcome(outcome);
    }
    case.hand(handed);
    for file in files {
        case.attach(file);
    }
    case.set_proposals(proposals);
    Ok((case, places))
}

struct Reader<'s> {
    source: &'s Source,
    problems: Vec<Diagnostic>,
    seen: BTreeMap<(Spot, Layer), ReadingPlace>,
}

impl Reader<'_> {
    fn problem(&mut self, code: &'static str, span: Span, fault: Fault) {
        let Fault { what, label, help } = fault;
        let problem = Diagnostic::error(code, self.source, span, what, label.to_owned());
        self.problems.push(problem.help(help));
    }

    fn header(&mut self, shape: &CaseShape<'_>) -> Option<Units> {
        if shape.format.value != FORMAT {
            let span = shape.format.span(self.source);
            let fault = faults::other_format(shape.format.value, FORMAT);
            self.problem("case-format", span, fault);
        }
        if let Err(why) = check_number(&shape.number.value) {
            let span = shape.number.span(self.source);
            self.problem("case-number", span, faults::number(why));
        }
        let before = self.problems.len();
        let mut restorations = Vec::new();
        for raw in &shape.restorations.value {
            match parse_raw::<RestorationShape>(self.source, *raw) {
                Err(problem) => self.problems.push(problem),
                Ok(shape) => restorations.extend(self.restoration(shape)),
            }
        }
        if self.problems.len() > before {
            return None;
        }
        match Units::new(restorations) {
            Ok(units) => Some(units),
            Err(error) => {
                let span = shape.restorations.span(self.source);
                self.problem("case-units", span, faults::units(&error));
                None
            }
        }
    }

    fn restoration(&mut self, shape: RestorationShape) -> Option<Restoration> {
        let (ordered, name, shapes) = match shape {
            RestorationShape::Crown(name, units) => (OrderedKind::Crown, name, units),
            RestorationShape::Bridge(name, units) => (OrderedKind::Bridge, name, units),
            RestorationShape::Splinted(name, units) => (OrderedKind::Splinted, name, units),
            RestorationShape::Cantilever(name, units) => (OrderedKind::Cantilever, name, units),
        };
        let Ok(Place::Restoration(id)) = name.value.parse() else {
            let span = name.span(self.source);
            let fault = faults::restoration_name(&name.value);
            self.problem("case-restoration", span, fault);
            return None;
        };
        let mut units = Vec::new();
        for shape in shapes {
            let (role, text) = match shape {
                UnitShape::Abutment(text) => (Role::Abutment, text),
                UnitShape::Pontic(text) => (Role::Pontic, text),
            };
            match text.value.parse::<Tooth>() {
                Ok(tooth) => units.push(CaseUnit { tooth, role }),
                Err(error) => {
                    let span = text.span(self.source);
                    self.problem("case-tooth", span, faults::tooth(&error, error.hint()));
                }
            }
        }
        Some(Restoration { id, ordered, units })
    }

    /// Takes one fact, unless it stands twice.
    fn fact(&mut self, shape: FactShape, units: Option<&Units>) -> Option<(Spot, Layer, Reading)> {
        let name = shape.fact.value.clone();
        let (spot, layer, reading, place) = self.checked(shape, units)?;
        let span = place.name.clone();
        if let Some(first) = self.seen.insert((spot.clone(), layer), place) {
            let first = self.source.line_column(first.name.start).0;
            let fault = faults::fact_twice(&name, spot.at, first);
            self.problem("case-fact-twice", span, fault);
            return None;
        }
        Some((spot, layer, reading))
    }

    /// Checks one fact; `units` is none for facts whose places need not exist.
    fn checked(
        &mut self,
        shape: FactShape,
        units: Option<&Units>,
    ) -> Option<(Spot, Layer, Reading, ReadingPlace)> {
        let FactShape {
            fact: name,
            at,
            is,
            with,
            layer,
            who,
            when,
        } = shape;
        let fact = FactId::named(&clean(&name.value));
        let spec = fact.spec();
        if spec.is_none() && !name.value.starts_with("x.") {
            let asked = CATALOGUE.iter().filter(|spec| spec.origin == Origin::Asked);
            let near = nearest(&name.value, asked.map(|spec| spec.id.as_ref()));
            let fault = said::unknown_fact(&name.value, near);
            self.problem("case-fact", name.span(self.source), fault);
            return None;
        }
        if let Some(spec) = spec.filter(|spec| spec.origin == Origin::Derived) {
            let span = name.span(self.source);
            self.problem("case-derived-fact", span, faults::computed(&spec.id));
            return None;
        }
        let place = match at.value.parse::<Place>() {
            Ok(place) => place,
            Err(error) => {
                let span = at.span(self.source);
                self.problem("case-place", span, faults::place(error.text()));
                return None;
            }
        };
        let of_old = is_of_old(&Spot {
            fact: fact.clone(),
            at: place,
        });
        if let Some(spec) = spec.filter(|_| !of_old) {
            let fits = units.map_or(spec.at.fits(place), |units| units.is_kind(place, spec.at));
            let exists = units.is_none_or(|units| units.has(place));
            if exists && !fits {
                let span = at.span(self.source);
                let fault = faults::other_kind(&spec.id, place, spec.at);
                self.problem("case-place-kind", span, fault);
                return None;
            }
        }
        if units.is_some_and(|units| !units.has(place)) {
            let span = at.span(self.source);
            self.problem("case-no-such-place", span, faults::no_such_place(place));
            return None;
        }
        let is_at: Span = is.span(self.source);
        // Cleaned first: composing may lengthen a text.
        let value = match is.value {
            Value::Text(text) => Value::Text(clean(&text)),
            Value::Choice(name) => Value::Choice(clean(&name)),
            value => value,
        };
        if let Some((spec, misfit)) = spec.and_then(|spec| Some((spec, spec.check(&value).err()?)))
        {
            self.misfit(spec, misfit, is_at);
            return None;
        }
        let spot = Spot { fact, at: place };
        let layer = layer.unwrap_or_default();
        let place_in_file = ReadingPlace {
            name: name.span(self.source),
            value: is_at.clone(),
            with: with.as_ref().map(|with| with.span(self.source)),
        };
        let reading = Reading {
            value,
            with: with.map(|with| clean(&with.value)),
            who: who.map(|who| clean(&who)),
            when,
        };
        Some((spot, layer, reading, place_in_file))
    }

    fn misfit(&mut self, spec: &FactSpec, misfit: Misfit, span: Span) {
        let (code, fault) = match misfit {
            Misfit::Type { .. } => ("case-type", said::other_type(&spec.id, &spec.kind)),
            // A file cannot write half a thing.
            Misfit::NotFinite | Misfit::NotWhole => {
                ("case-number-not-finite", said::not_measurable())
            }
            Misfit::Bounds { .. } => ("case-bounds", said::out_of_range(&spec.id, &spec.kind)),
            Misfit::Choice { known } => {
                let fault = said::unknown_choice(&spec.id, None, &known);
                ("case-choice", fault)
            }
            Misfit::TooLong => ("case-text", said::long_text(MAX_TEXT)),
        };
        self.problem(code, span, fault);
    }
}

/// Checks a case number.
///
/// # Errors
/// What is wrong with it, as a sentence.
pub fn check_number(number: &str) -> Result<(), String> {
    let length = number.chars().count();
    if number.trim().is_empty() {
        return Err(faults::NUMBER_MISSING.to_owned());
    }
    if length > MAX_NUMBER {
        return Err(faults::number_long(length, MAX_NUMBER));
    }
    // Two numbers that look alike are taken for one.
    if number.trim() != number || number.contains("  ") {
        return Err(faults::NUMBER_BLANKS.to_owned());
    }
    match number
        .chars()
        .find(|c| !(c.is_alphanumeric() || " -/._".contains(*c)))
    {
        Some(odd) => Err(faults::number_odd(odd)),
        None => Ok(()),
    }
}

/// Returns whether a case number looks like somebody's name: words of letters, and no digit.
///
/// `AB-12`, `2026/117` and `K17` do not, nor do a few letters such as `ABC`.
pub fn looks_like_name(number: &str) -> bool {
    if number.chars().any(char::is_numeric) {
        return false;
    }
    let words: Vec<&str> = number
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .collect();
    // Scripts without capitals write a name in two letters.
    let caseless = |word: &&str| {
        word.chars().count() > 1 && word.chars().all(|c| !c.is_lowercase() && !c.is_uppercase())
    };
    if words.iter().any(caseless) {
        return true;
    }
    let letters = |word: &&str| word.chars().count();
    let longest = words.iter().map(letters).max().unwrap_or(0);
    match words.as_slice() {
        [] => false,
        [word] => longest > 3 && word.chars().any(char::is_uppercase),
        _ => longest > 2,
    }
}
