//! The check of a flow: what the files mean together. It never stops at the first problem.

use std::collections::HashMap;

use super::conditions::reachable;
use super::model::{
    Block, Cement, Citation, Example, Flow, Gives, Instrument, Level, Material, Question, Rule,
    Step,
};
use super::shape::{
    BlockShape, CementShape, ExampleShape, FactKindShape, FactShape, GridShape, Head,
    InstrumentShape, MaterialShape, Part, QuestionShape, RuleShape, SourceShape, StepShape,
};
use crate::fact::{
    CATALOGUE, FactId, FactSpec, Kind, List, Misfit, Origin, PlaceKind, Unit, Value,
};
use crate::logic::Condition;
use crate::ronfile::{Diagnostic, Raw, Source, Span, Spanned, nearest, parse, parse_raw};

/// The codes of this room, each with its meaning in one line.
pub const CODES: &[(&str, &str)] = &[
    ("flow-bounds", "a number lies outside the fact's bounds"),
    ("flow-choice", "a choice that the fact does not have"),
    ("flow-fact", "no fact has this name"),
    (
        "flow-fact-kind",
        "a fact of the flow's own is not put together right",
    ),
    (
        "flow-fact-place",
        "a fact that cannot be looked up from this place",
    ),
    ("flow-id-twice", "two things of one sort have the same id"),
    (
        "flow-levels",
        "the levels do not go from the worst to the least",
    ),
    (
        "flow-no-ask",
        "a rule that calls or holds asks nobody for anything",
    ),
    ("flow-no-head", "no file says which flow this is"),
    (
        "flow-not-a-number",
        "a limit on a fact that is not a number",
    ),
    ("flow-not-asked", "a question that stands in no step"),
    ("flow-not-finite", "a number that cannot be measured"),
    (
        "flow-place-kind",
        "a kind of place that does not lie within this one",
    ),
    (
        "flow-placeholder",
        "a placeholder that the rule cannot fill",
    ),
    ("flow-question", "a step names a fact that has no question"),
    (
        "flow-question-mark",
        "what a rule asks the dentist is not a question",
    ),
    (
        "flow-reference",
        "no source, instrument or margin form has this id",
    ),
    ("flow-too-long", "a text that does not fit the screen"),
    ("flow-two-heads", "two files say which flow this is"),
    ("flow-type", "a value of another type or unit than the fact"),
];

/// The longest question, sentence or call line, in characters.
const LONGEST_LINE: usize = 160;
/// The longest name of a row, a material or a step.
const LONGEST_NAME: usize = 40;

pub(super) struct Checker<'s> {
    sources: &'s [Source],
    now: usize,
    problems: Vec<Diagnostic>,
    flow: Flow,
    ids: HashMap<(&'static str, String), String>,
}

/// Checks the files; the flow is none where a problem is an error.
pub(super) fn check(sources: &[Source], digest: String) -> (Option<Flow>, Vec<Diagnostic>) {
    let flow = Flow {
        id: String::new(),
        version: 0,
        title: String::new(),
        digest,
        steps: Vec::new(),
        questions: Vec::new(),
        rules: Vec::new(),
        materials: Vec::new(),
        cements: Vec::new(),
        instruments: Vec::new(),
        sources: Vec::new(),
        facts: Vec::new(),
    };
    let mut checker = Checker {
        sources,
        now: 0,
        problems: Vec::new(),
        flow,
        ids: HashMap::new(),
    };
    checker.run();
    let mut problems = checker.problems;
    let place = |name: &str| sources.iter().position(|source| source.name() == name);
    problems.sort_by_key(|problem| (place(&problem.file), problem.span.start));
    let failed = problems
        .iter()
        .any(|problem| problem.severity == crate::ronfile::Severity::Error);
    (Some(checker.flow).filter(|_| !failed), problems)
}

impl<'s> Checker<'s> {
    /// The file that is being checked.
    pub(super) fn source(&self) -> &'s Source {
        // Set only to indices of this slice, and only while there is a file.
        &self.sources[self.now]
    }

    pub(super) fn error(
        &mut self,
        code: &'static str,
        span: Span,
        what: impl Into<String>,
        why: &str,
    ) {
        let problem = Diagnostic::error(code, self.source(), span, what.into(), why.to_owned());
        self.problems.push(problem);
    }

    fn warning(&mut self, code: &'static str, span: Span, what: impl Into<String>, why: &str) {
        let problem = Diagnostic::warning(code, self.source(), span, what.into(), why.to_owned());
        self.problems.push(problem);
    }

    pub(super) fn help(&mut self, text: impl Into<String>) {
        if let Some(problem) = self.problems.pop() {
            self.problems.push(problem.help(text));
        }
    }

    fn run(&mut self) {
        let mut parts = Vec::new();
        for (index, source) in self.sources.iter().enumerate() {
            match parse::<Part<'s>>(source) {
                Ok(part) => parts.push((index, part)),
                Err(problem) => self.problems.push(problem),
            }
        }
        // Names first, then what refers to them.
        for (index, part) in &parts {
            self.now = *index;
            match part {
                Part::Sources(rows) => self.each(rows, Self::citation),
                Part::Facts(rows) => self.each(rows, Self::own_fact),
                _ => {}
            }
        }
        for (index, part) in &parts {
            self.now = *index;
            match part {
                Part::Instruments(rows) => self.each(rows, Self::instrument),
                Part::Materials(rows) => self.each(rows, Self::material),
                Part::Cements(rows) => self.each(rows, Self::cement),
                _ => {}
            }
        }
        let mut asked = Vec::new();
        for (index, part) in &parts {
            self.now = *index;
            match part {
                Part::Questions(rows) => {
                    for raw in rows {
                        match parse_raw::<QuestionShape>(self.source(), *raw) {
                            Ok(shape) => {
                                let span = shape.fact.span(self.source());
                                if let Some(question) = self.question(shape) {
                                    asked.push((*index, span, question.fact.clone()));
                                    self.flow.questions.push(question);
                                }
                            }
                            Err(problem) => self.problems.push(problem),
                        }
                    }
                }
                Part::Rules(rows) => self.each(rows, Self::rule),
                _ => {}
            }
        }
        let mut head = None;
        for (index, part) in &parts {
            self.now = *index;
            if let Part::Flow(shape) = part {
                if let Some(first) = head.replace(*index) {
                    let span = shape.span(self.source());
                    self.error(
                        "flow-two-heads",
                        span,
                        "this is a second Flow(…)",
                        "only one file may have it",
                    );
                    let name = self.sources.get(first).map_or("", |source| source.name());
                    self.help(format!("the first is in {name}"));
                } else {
                    self.head(&shape.value);
                }
            }
        }
        // A file that could not be read may have held the head, or the step that asks.
        if parts.len() < self.sources.len() {
            return;
        }
        if head.is_none() {
            match self.sources.first() {
                Some(_) => {
                    self.now = 0;
                    self.error(
                        "flow-no-head",
                        0..0,
                        "no file of this flow has a Flow(…)",
                        "looked through every file",
                    );
                    self.help("one file says `Flow(Head(id: \"…\", version: 1, title: \"…\", steps: […]))`");
                }
                None => {
                    let empty = Source::new("(no files)", "");
                    let problem = Diagnostic::error(
                        "flow-no-head",
                        &empty,
                        0..0,
                        "there is no .ron file in this directory".to_owned(),
                        "nothing to read".to_owned(),
                    );
                    self.problems
                        .push(problem.help("name a directory that holds a flow's files"));
                }
            }
            return;
        }
        let in_steps: Vec<FactId> = self
            .flow
            .steps
            .iter()
            .flat_map(|step| &step.blocks)
            .flat_map(|block| match block {
                Block::Ask(fact) => vec![fact.clone()],
                Block::Grid { rows, .. } => rows.clone(),
            })
            .collect();
        for (index, span, fact) in asked {
            if !in_steps.contains(&fact) {
                self.now = index;
                self.warning(
                    "flow-not-asked",
                    span,
                    format!("\"{fact}\" is never asked"),
                    "stands in no step",
                );
                self.help("name it in a step of the Flow(…), or take the question out");
            }
        }
        self.flow
            .questions
            .sort_by_key(|question| in_steps.iter().position(|fact| *fact == question.fact));
    }

    fn each<T: serde::Deserialize<'s>>(&mut self, rows: &[Raw<'s>], take: fn(&mut Self, T)) {
        for raw in rows {
            match parse_raw::<T>(self.source(), *raw) {
                Ok(shape) => take(self, shape),
                Err(problem) => self.problems.push(problem),
            }
        }
    }

    /// Reports an id that another thing of its sort has.
    fn own_id(&mut self, sort: &'static str, id: &Spanned<String>) {
        let span = id.span(self.source());
        let (line, _) = self.source().line_column(span.start);
        let place = format!("{}:{line}", self.source().name());
        if let Some(first) = self.ids.insert((sort, id.value.clone()), place) {
            self.error(
                "flow-id-twice",
                span,
                format!("two {sort}s are called \"{}\"", id.value),
                "the second",
            );
            self.help(format!("the first is at {first}"));
        }
    }

    fn fits_line(&mut self, text: &Spanned<String>, most: usize) -> String {
        let length = text.value.chars().count();
        if length > most {
            let span = text.span(self.source());
            self.error(
                "flow-too-long",
                span,
                format!("{length} characters, at most {most} fit"),
                "too long",
            );
            self.help("say it shorter");
        }
        crate::text::clean(&text.value)
    }

    fn refers(&mut self, sort: &str, id: &Spanned<String>, known: Vec<String>) -> String {
        if !known.contains(&id.value) {
            let span = id.span(self.source());
            self.error(
                "flow-reference",
                span,
                format!("no {sort} is called \"{}\"", id.value),
                "unknown",
            );
            match nearest(&id.value, known.iter().map(String::as_str)) {
                Some(near) => self.help(format!("did you mean \"{near}\"?")),
                None => self.help(format!("known are {}", known.join(", "))),
            }
        }
        id.value.clone()
    }

    fn refers_source(&mut self, id: &Spanned<String>) -> String {
        let known = self
            .flow
            .sources
            .iter()
            .map(|source| source.id.clone())
            .collect();
        self.refers("source", id, known)
    }

    pub(super) fn fact(&mut self, name: &Spanned<String>) -> Option<(FactId, FactSpec)> {
        let fact = FactId::named(&name.value);
        if let Some(spec) = self.flow.spec(&fact) {
            let spec = spec.clone();
            return Some((fact, spec));
        }
        let span = name.span(self.source());
        self.error(
            "flow-fact",
            span,
            format!("no fact is called \"{}\"", name.value),
            "unknown fact",
        );
        let own: Vec<String> = self
            .flow
            .facts
            .iter()
            .map(|spec| spec.id.to_string())
            .collect();
        let known = CATALOGUE
            .iter()
            .map(|spec| spec.id.as_ref())
            .chain(own.iter().map(String::as_str));
        match nearest(&name.value, known) {
            Some(near) => self.help(format!("did you mean \"{near}\"?")),
            None => self.help("`casepan flow facts` lists every fact"),
        }
        None
    }

    /// Reports a constant that the fact could never have.
    pub(super) fn fits(&mut self, spec: &FactSpec, value: &Spanned<Value>) -> Option<()> {
        let span = value.span(self.source());
        let misfit = match (&spec.kind, &value.value) {
            (Kind::Listed(list), Value::Choice(name)) => {
                let known: Vec<String> = match list {
                    List::Materials => self.flow.materials.iter().map(|m| m.id.clone()).collect(),
                    List::Cements => self.flow.cements.iter().map(|c| c.id.clone()).collect(),
                };
                if known.contains(name) {
                    return Some(());
                } else {
                    Misfit::Choice { known }
                }
            }
            (_, value) => match spec.check(value) {
                Ok(()) => return Some(()),
                Err(misfit) => misfit,
            },
        };
        match misfit {
            Misfit::Type { wanted } => {
                let what = format!("\"{}\" takes another kind of value", spec.id);
                self.error("flow-type", span, what, "does not fit");
                self.help(match &spec.kind {
                    Kind::Number { unit, .. } => {
                        format!("write {}(…); it takes {wanted}", unit.variant())
                    }
                    _ => format!("it takes {wanted}"),
                });
            }
            // A file cannot write half a thing.
            Misfit::NotFinite | Misfit::NotWhole => {
                self.error(
                    "flow-not-finite",
                    span,
                    "not a number that can be measured",
                    "no limit can be this",
                );
                self.help("write a plain number");
            }
            Misfit::Bounds { wanted } => {
                let what = format!("\"{}\" can never have this value", spec.id);
                self.error("flow-bounds", span, what, "out of bounds");
                self.help(format!("it lies within {wanted}"));
            }
            Misfit::Choice { known } => {
                let near = value
                    .value
                    .choice()
                    .and_then(|name| nearest(name, known.iter().map(String::as_str)));
                let help = match near {
                    Some(near) => format!("did you mean \"{near}\"?"),
                    None => format!("its choices are {}", known.join(", ")),
                };
                self.error(
                    "flow-choice",
                    span,
                    format!("\"{}\" has no such choice", spec.id),
                    "unknown choice",
                );
                self.help(help);
            }
            Misfit::TooLong => self.error(
                "flow-too-long",
                span,
                "at most 400 characters fit",
                "too long",
            ),
        }
        None
    }

    fn number(&mut self, value: &Spanned<Value>, unit: Unit) -> f64 {
        match value.value {
            Value::Number(number, given)
                if given == unit && number.is_finite() && number >= 0.0 =>
            {
                number
            }
            Value::Number(number, given) if given == unit => {
                let span = value.span(self.source());
                self.error(
                    "flow-not-finite",
                    span,
                    format!("{number} is not a number that can be measured"),
                    "here",
                );
                self.help("write a plain number, not below zero");
                0.0
            }
            _ => {
                let span = value.span(self.source());
                self.error(
                    "flow-type",
                    span,
                    format!("expected {}(…)", unit.variant()),
                    "another unit or type",
                );
                self.help(format!("write {}(…)", unit.variant()));
                0.0
            }
        }
    }

    fn some_number(&mut self, value: Option<Spanned<Value>>, unit: Unit) -> Option<f64> {
        value.map(|value| self.number(&value, unit))
    }

    fn citation(&mut self, shape: SourceShape) {
        self.own_id("source", &shape.id);
        let text = self.fits_line(&shape.text, 2 * LONGEST_LINE);
        self.flow.sources.push(Citation {
            id: shape.id.value,
            text,
            status: shape.status,
        });
    }

    fn own_fact(&mut self, shape: FactShape) {
        self.own_id("fact", &shape.id);
        let problem = if shape.id.value.starts_with("x.") {
            None
        } else {
            Some((
                shape.id.span(self.source()),
                "a fact of the flow's own begins with \"x.\"".to_owned(),
            ))
        };
        let (kind, kind_problem) = match &shape.kind.value {
            FactKindShape::YesNo => (Kind::YesNo, None),
            FactKindShape::Day => (Kind::Day, None),
            FactKindShape::Text => (Kind::Text, None),
            FactKindShape::Choice(choices) if (2..=9).contains(&choices.len()) => {
                let choices = choices
                    .iter()
                    .map(|(id, words)| (id.clone().into(), words.clone().into()));
                (Kind::Choice(choices.collect()), None)
            }
            FactKindShape::Choice(_) => (
                Kind::YesNo,
                Some("a choice has two to nine choices, one a digit key"),
            ),
            FactKindShape::Number(Value::Number(least, unit), Value::Number(most, other))
                if unit == other
                    && least.is_finite()
                    && most.is_finite()
                    && 0.0 <= *least
                    && least < most =>
            {
                (
                    Kind::Number {
                        unit: *unit,
                        least: *least,
                        most: *most,
                    },
                    None,
                )
            }
            FactKindShape::Number(..) => (
                Kind::YesNo,
                Some(
                    "write the least and the most with one unit, from zero up, such as Number(Mm(0), Mm(5))",
                ),
            ),
        };
        let kind_problem =
            kind_problem.map(|what| (shape.kind.span(self.source()), what.to_owned()));
        for (span, what) in problem.into_iter().chain(kind_problem) {
            self.error("flow-fact-kind", span, what, "here");
        }
        let label = self.fits_line(&shape.label, LONGEST_NAME);
        let sentence = self.fits_line(&shape.sentence, LONGEST_LINE);
        self.flow.facts.push(FactSpec {
            id: shape.id.value.into(),
            at: shape.at,
            origin: Origin::Asked,
            kind,
            label: label.into(),
            sentence: sentence.into(),
        });
    }

    fn instrument(&mut self, shape: InstrumentShape) {
        self.own_id("instrument", &shape.id);
        let name = self.fits_line(&shape.name, LONGEST_NAME);
        let source = self.refers_source(&shape.source);
        let unit = match shape.step.value {
            Value::Number(_, unit) => unit,
            _ => Unit::Mm,
        };
        let step = self.number(&shape.step, unit);
        self.flow.instruments.push(Instrument {
            id: shape.id.value,
            name,
            step,
            unit,
            source,
        });
    }

    fn material(&mut self, shape: MaterialShape) {
        self.own_id("material", &shape.id);
        let forms = CATALOGUE
            .iter()
            .find(|spec| spec.id == "wall.margin_form")
            .map(|spec| &spec.kind);
        let forms: Vec<String> = match forms {
            Some(Kind::Choice(choices)) => choices.iter().map(|(id, _)| id.to_string()).collect(),
            _ => Vec::new(),
        };
        let material = Material {
            name: self.fits_line(&shape.name, LONGEST_NAME),
            strength: self.some_number(shape.strength, Unit::Mpa),
            weibull: self.some_number(shape.weibull, Unit::Ratio),
            modulus: shape.modulus_gpa.value,
            occlusal: self.number(&shape.occlusal, Unit::Mm),
            axial: self.number(&shape.axial, Unit::Mm),
            margin_depth: self.number(&shape.margin_depth, Unit::Mm),
            margins: shape
                .margins
                .iter()
                .map(|form| self.refers("margin form", form, forms.clone()))
                .collect(),
            connector_front: self.some_number(shape.connector_front, Unit::Mm2),
            connector_back: self.some_number(shape.connector_back, Unit::Mm2),
            connector_long: self.some_number(shape.connector_long, Unit::Mm2),
            most_units: shape.most_units.value,
            replaces_molar: shape.replaces_molar,
            cantilever: shape.cantilever,
            source: self.refers_source(&shape.source),
            id: shape.id.value,
        };
        if !(material.modulus.is_finite() && material.modulus > 0.0) {
            let span = shape.modulus_gpa.span(self.source());
            self.error(
                "flow-not-finite",
                span,
                "the modulus is not a number that can be measured",
                "here",
            );
        }
        self.flow.materials.push(material);
    }

    fn cement(&mut self, shape: CementShape) {
        self.own_id("cement", &shape.id);
        let cement = Cement {
            name: self.fits_line(&shape.name, LONGEST_NAME),
            stress: self.number(&shape.stress, Unit::Mpa),
            water_based: shape.water_based,
            dry_field: shape.dry_field,
            source: self.refers_source(&shape.source),
            id: shape.id.value,
        };
        self.flow.cements.push(cement);
    }

    fn question(&mut self, shape: QuestionShape) -> Option<Question> {
        self.own_id("question", &shape.fact);
        let (fact, spec) = self.fact(&shape.fact)?;
        if spec.origin == Origin::Derived {
            let span = shape.fact.span(self.source());
            self.error(
                "flow-fact",
                span,
                format!("\"{fact}\" is worked out, not asked"),
                "a derived fact",
            );
            self.help("take the question out; rules may use the fact as it is");
            return None;
        }
        let when = match &shape.when {
            None => Condition::All(Vec::new()),
            Some(when) => self.condition(when, spec.at)?,
        };
        let instruments: Vec<String> = self.flow.instruments.iter().map(|i| i.id.clone()).collect();
        let unit = match spec.kind {
            Kind::Number { unit, .. } => Some(unit),
            _ => None,
        };
        let mut with = Vec::new();
        for (id, error) in &shape.with {
            let id = self.refers("instrument", id, instruments.clone());
            with.push((id, self.number(error, unit.unwrap_or(Unit::Mm))));
        }
        let mut bands = Vec::new();
        for band in &shape.bands {
            self.fits(&spec, band)?;
            bands.extend(band.value.number());
        }
        Some(Question {
            fact,
            at: spec.at,
            when,
            asks: self.fits_line(&shape.asks, LONGEST_LINE),
            look: self.fits_line(&shape.look, 2 * LONGEST_LINE),
            how: shape
                .how
                .as_ref()
                .map(|how| self.fits_line(how, 2 * LONGEST_LINE)),
            why: self.fits_line(&shape.why, 2 * LONGEST_LINE),
            with,
            bands,
            source: self.refers_source(&shape.source),
        })
    }

    fn rule(&mut self, shape: RuleShape) {
        self.own_id("rule", &shape.id);
        let levels: Vec<_> = shape
            .levels
            .value
            .iter()
            .map(|(level, condition)| Some((level.value, self.condition(condition, shape.at)?)))
            .collect();
        let raise: Vec<_> = shape
            .raise
            .iter()
            .map(|raise| self.condition(raise, shape.at))
            .collect();
        let graver_first = shape.levels.value.windows(2).all(|pair| match pair {
            [(a, _), (b, _)] => a.value > b.value,
            _ => true,
        });
        let fine = shape
            .levels
            .value
            .iter()
            .any(|(level, _)| level.value == Level::Fine);
        if shape.levels.value.is_empty() || fine || !graver_first {
            let span = shape.levels.span(self.source());
            self.error(
                "flow-levels",
                span,
                "levels go from the worst to the least: Hold, Call, Watch",
                "these levels",
            );
            self.help("the worst that is true fires; leave Fine out");
        }
        let worst = shape
            .levels
            .value
            .iter()
            .map(|(level, _)| level.value.raised(shape.raise.len()))
            .max();
        if worst >= Some(Level::Call) && shape.asks.is_none() && shape.bench.is_none() {
            let span = shape.id.span(self.source());
            let what = format!(
                "rule \"{}\" can call or hold, but asks nobody for anything",
                shape.id.value
            );
            self.error("flow-no-ask", span, what, "what should happen?");
            self.help("say what to ask the dentist (`asks`) or what the laboratory does (`bench`)");
        }
        if let Some(asks) = shape
            .asks
            .as_ref()
            .filter(|asks| !asks.value.trim_end().ends_with('?'))
        {
            let span = asks.span(self.source());
            self.error(
                "flow-question-mark",
                span,
                "what is asked of the dentist is a question",
                "no question mark",
            );
            self.help("end it with a question mark, and offer a choice");
        }
        let optional = [shape.asks.as_ref(), shape.bench.as_ref()];
        for text in [&shape.says, &shape.because]
            .into_iter()
            .chain(optional.into_iter().flatten())
        {
            self.placeholders(text, shape.at);
        }
        let mut examples = Vec::new();
        for example in &shape.examples {
            examples.extend(self.example(example));
        }
        let says = self.fits_line(&shape.says, LONGEST_LINE);
        let because = self.fits_line(&shape.because, 2 * LONGEST_LINE);
        let asks = shape
            .asks
            .as_ref()
            .map(|asks| self.fits_line(asks, LONGEST_LINE));
        let bench = shape
            .bench
            .as_ref()
            .map(|bench| self.fits_line(bench, LONGEST_LINE));
        let source = self.refers_source(&shape.source);
        let (Some(levels), Some(raise)) = (
            levels.into_iter().collect::<Option<Vec<_>>>(),
            raise.into_iter().collect::<Option<Vec<_>>>(),
        ) else {
            return;
        };
        self.flow.rules.push(Rule {
            id: shape.id.value,
            at: shape.at,
            levels,
            raise,
            topic: shape.topic,
            says,
            because,
            source,
            asks,
            bench,
            examples,
        });
    }

    fn example(&mut self, shape: &ExampleShape) -> Option<Example> {
        let (gives, facts) = match shape {
            ExampleShape::Fires(level, facts) => (Gives::Fires(*level), facts),
            ExampleShape::Silent(facts) => (Gives::Silent, facts),
            ExampleShape::Open(facts) => (Gives::Open, facts),
        };
        let mut checked = Vec::new();
        for (name, value) in facts {
            let (bare, place) = match name.value.split_once('@') {
                Some((bare, place)) => (bare, Some(place.to_owned())),
                None => (name.value.as_str(), None),
            };
            let Some(spec) = self.flow.spec(&FactId::named(bare)).cloned() else {
                // Reports with a suggestion.
                self.fact(name)?;
                return None;
            };
            self.fits(&spec, value)?;
            checked.push((FactId::named(bare), place, value.value.clone()));
        }
        Some(Example {
            gives,
            facts: checked,
        })
    }

    /// Reports placeholders that cannot be filled at the rule's place.
    fn placeholders(&mut self, text: &Spanned<String>, at: PlaceKind) {
        for name in placeholders(&text.value) {
            let filled = match name {
                "tooth" | "teeth" => true,
                "wall" => at == PlaceKind::Wall,
                "walls" | "places" => true,
                fact => self
                    .flow
                    .spec(&FactId::named(fact))
                    .is_some_and(|spec| reachable(at, spec.at)),
            };
            if !filled {
                let span = text.span(self.source());
                self.error(
                    "flow-placeholder",
                    span,
                    format!("{{{name}}} cannot be filled here"),
                    "in this text",
                );
                self.help("{tooth}, {teeth}, {wall}, {walls}, {places} or a fact at this place or one that contains it");
            }
        }
    }

    fn head(&mut self, head: &Head<'s>) {
        self.flow.id = head.id.value.clone();
        self.flow.version = head.version;
        self.flow.title = self.fits_line(&head.title, LONGEST_NAME);
        for raw in &head.steps {
            match parse_raw::<StepShape>(self.source(), *raw) {
                Ok(shape) => self.step(shape),
                Err(problem) => self.problems.push(problem),
            }
        }
    }

    fn step(&mut self, shape: StepShape) {
        self.own_id("step", &shape.id);
        let title = self.fits_line(&shape.title, LONGEST_NAME);
        let mut blocks = Vec::new();
        for block in &shape.blocks {
            match block {
                BlockShape::Ask(fact) => {
                    blocks.extend(self.placed(fact).map(|(fact, _)| Block::Ask(fact)))
                }
                BlockShape::Grid(grid) => blocks.extend(self.grid(grid)),
            }
        }
        self.flow.steps.push(Step {
            id: shape.id.value,
            title,
            blocks,
        });
    }

    fn grid(&mut self, grid: &GridShape) -> Option<Block> {
        let title = self.fits_line(&grid.title, LONGEST_NAME);
        let placed: Vec<_> = grid
            .rows
            .iter()
            .map(|row| (row, self.placed(row)))
            .collect();
        let mut rows = Vec::new();
        let mut columns = None;
        for (row, placed) in placed {
            let (fact, at) = placed?;
            if *columns.get_or_insert(at) != at {
                let span = row.span(self.source());
                self.error(
                    "flow-place-kind",
                    span,
                    "the rows of a grid stand at one kind of place",
                    "another kind",
                );
                self.help("put it in a grid of its own");
                return None;
            }
            rows.push(fact);
        }
        Some(Block::Grid {
            title,
            rows,
            columns: columns?,
            enter: grid.enter,
        })
    }

    fn placed(&mut self, name: &Spanned<String>) -> Option<(FactId, PlaceKind)> {
        self.own_id("question in a step", name);
        let (fact, spec) = self.fact(name)?;
        if self.flow.question(&fact).is_none() {
            let span = name.span(self.source());
            self.error(
                "flow-question",
                span,
                format!("no question asks for \"{fact}\""),
                "named in this step",
            );
            self.help("add a Question(fact: …) for it, or take it out of the step");
            return None;
        }
        Some((fact, spec.at))
    }
}

/// Returns the names between braces.
pub(crate) fn placeholders(text: &str) -> impl Iterator<Item = &str> {
    text.split('{')
        .skip(1)
        .filter_map(|rest| rest.split_once('}').map(|(name, _)| name))
}
