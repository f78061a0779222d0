//! The check of a flow: what the files mean together. It never stops at the first problem.

use std::collections::HashMap;

use super::model::{Block, Flow};
use super::shape::{Part, QuestionShape};
use crate::fact::{CATALOGUE, FactId, FactSpec, Kind, List, Misfit, PlaceKind, Value};
use crate::logic::Condition;
use crate::ronfile::{
    Diagnostic, Raw, Source, Span, Spanned, nearest, parse, parse_raw, parse_raw_formerly,
};

/// The codes of this room, each with its meaning in one line.
pub const CODES: &[(&str, &str)] = &[
    ("flow-bounds", "a number lies outside the fact's bounds"),
    ("flow-choice", "a choice that the fact does not have"),
    (
        "flow-choices",
        "what a rule offers or tells the dentist does not go with its question",
    ),
    (
        "flow-connectors",
        "a material's least connectors are not put together right",
    ),
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
        "flow-limit-source",
        "a rule does not say where one of its limits comes from",
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
        "nothing of this sort has this id: a source, instrument, material, cement, term, price, rule or margin form",
    ),
    (
        "flow-option",
        "a way out that changes nothing, or what it cannot change",
    ),
    (
        "flow-seating-order",
        "a step of seating that the next one undoes, or one that its own row bars",
    ),
    (
        "flow-seating-twice",
        "two rows say how one material is seated with one cement",
    ),
    ("flow-too-long", "a text that does not fit the screen"),
    ("flow-two-heads", "two files say which flow this is"),
    ("flow-type", "a value of another type or unit than the fact"),
];

/// The longest question, sentence or call line, in characters.
pub(super) const LONGEST_LINE: usize = 160;
/// The longest name of a row, a material or a step.
pub(super) const LONGEST_NAME: usize = 40;

pub(super) struct Checker<'s> {
    sources: &'s [Source],
    now: usize,
    pub(super) problems: Vec<Diagnostic>,
    pub(super) flow: Flow,
    ids: HashMap<(&'static str, String), String>,
    /// Conditions with a name, each with the place it is meant for.
    pub(super) terms: Vec<(String, PlaceKind, Condition)>,
    /// Whether a whole file could not be read.
    unread_file: bool,
    /// Rows that could not be read or are not what they should be.
    unread_rows: Vec<&'s str>,
}

/// Checks the files; the flow is none where a problem is an error. `unread` says that some file is not among them.
pub(super) fn check(
    sources: &[Source],
    digest: String,
    unread: bool,
) -> (Option<Flow>, Vec<Diagnostic>) {
    let flow = Flow {
        id: String::new(),
        version: 0,
        title: String::new(),
        digest,
        steps: Vec::new(),
        anew: Vec::new(),
        questions: Vec::new(),
        rules: Vec::new(),
        materials: Vec::new(),
        cements: Vec::new(),
        seatings: Vec::new(),
        prices: Vec::new(),
        options: Vec::new(),
        loads: Vec::new(),
        instruments: Vec::new(),
        figures: super::Figures::shipped(),
        norms: Vec::new(),
        sources: Vec::new(),
        facts: Vec::new(),
    };
    let mut checker = Checker {
        sources,
        now: 0,
        problems: Vec::new(),
        flow,
        ids: HashMap::new(),
        terms: Vec::new(),
        unread_file: unread,
        unread_rows: Vec::new(),
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

    pub(super) fn warning(
        &mut self,
        code: &'static str,
        span: Span,
        what: impl Into<String>,
        why: &str,
    ) {
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
        self.unread_file |= !self.problems.is_empty();
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
                Part::Figures(rows) => self.each(rows, Self::figure_row),
                Part::Instruments(rows) => self.each(rows, Self::instrument),
                Part::Materials(rows) => self.each(rows, Self::material),
                Part::Cements(rows) => self.each(rows, Self::cement),
                Part::Prices(rows) => self.each(rows, Self::price),
                _ => {}
            }
        }
        for (index, part) in &parts {
            self.now = *index;
            if let Part::Terms(rows) = part {
                self.each(rows, Self::term);
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
                                } else {
                                    self.unread_rows.push(raw.text());
                                }
                            }
                            Err(problem) => {
                                self.problems.push(problem);
                                self.unread_rows.push(raw.text());
                            }
                        }
                    }
                }
                Part::Rules(rows) => self.each(rows, Self::rule),
                Part::Loads(rows) => self.each(rows, Self::load),
                Part::Seatings(rows) => self.each(rows, Self::seating),
                _ => {}
            }
        }
        // They name rules and topics.
        for (index, part) in &parts {
            self.now = *index;
            match part {
                Part::Options(rows) => {
                    let read = |source, raw| parse_raw_formerly(source, raw, "Remedy");
                    self.each_read(rows, read, Self::option);
                }
                Part::Norms(rows) => self.each(rows, Self::norm),
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
        // What could not be read may have held the head, or the step that asks.
        if self.unread_file || !self.unread_rows.is_empty() {
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
        self.each_read(rows, parse_raw, take);
    }

    fn each_read<T>(
        &mut self,
        rows: &[Raw<'s>],
        read: fn(&'s Source, Raw<'s>) -> Result<T, Diagnostic>,
        take: fn(&mut Self, T),
    ) {
        for raw in rows {
            match read(self.source(), *raw) {
                Ok(shape) => take(self, shape),
                Err(problem) => {
                    self.problems.push(problem);
                    self.unread_rows.push(raw.text());
                }
            }
        }
    }

    /// Says whether a name that is missing may be in what could not be read. Then it is no problem of its own.
    pub(super) fn may_be_unread(&self, name: &str) -> bool {
        let quoted = format!("\"{name}\"");
        self.unread_file || self.unread_rows.iter().any(|row| row.contains(&quoted))
    }

    /// Reports an id that another thing of its sort has.
    pub(super) fn own_id(&mut self, sort: &'static str, id: &Spanned<String>) {
        let span = id.span(self.source());
        self.once(sort, id.value.clone(), span);
    }

    /// Tells of a name that is there a second time.
    pub(super) fn once(&mut self, sort: &'static str, name: String, span: Span) {
        let (line, _) = self.source().line_column(span.start);
        let place = format!("{}:{line}", self.source().name());
        if let Some(first) = self.ids.insert((sort, name.clone()), place) {
            self.error(
                "flow-id-twice",
                span,
                format!("two {sort}s are called \"{name}\""),
                "the second",
            );
            self.help(format!("the first is at {first}"));
        }
    }

    pub(super) fn fits_line(&mut self, text: &Spanned<String>, most: usize) -> String {
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

    pub(super) fn refers(
        &mut self,
        sort: &str,
        id: &Spanned<String>,
        known: Vec<String>,
    ) -> String {
        // Sides and margin forms are the program's own; nothing of them is missing.
        let row = matches!(
            sort,
            "source" | "instrument" | "material" | "cement" | "term" | "price" | "rule"
        );
        let may_be_there = row && self.may_be_unread(&id.value);
        if !known.contains(&id.value) && !may_be_there {
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

    pub(super) fn refers_source(&mut self, id: &Spanned<String>) -> String {
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
        if name.value.starts_with("x.") && self.may_be_unread(&name.value) {
            return None;
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
                    List::Materials => self
                        .flow
                        .materials
                        .iter()
                        .map(|m| m.id.to_string())
                        .collect(),
                    List::Cements => self.flow.cements.iter().map(|c| c.id.clone()).collect(),
                };
                if known.contains(name) || self.may_be_unread(name) {
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
}
