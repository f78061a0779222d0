//! The check of a flow: what the files mean together. It never stops at the first problem.

use std::collections::HashMap;

use super::model::{Flow, SeatingStep, StepBlock};
use super::seating::Group;
use super::shape::{Part, QuestionShape};
use crate::fact::{CATALOGUE, FactId, FactSpec, Kind, List, MAX_TEXT, Misfit, PlaceKind, Value};
use crate::logic::Condition;
use crate::phrase::faults::flow::{self as faults, Sort};
use crate::phrase::faults::{self as said, Fault};
use crate::ronfile::{
    Diagnostic, Raw, Source, Span, Spanned, nearest, parse, parse_raw, parse_raw_formerly,
};

/// The longest question, sentence or call line, in characters.
pub(super) const LONGEST_LINE: usize = 160;
/// The longest name of a row, a material or a step.
pub(super) const LONGEST_NAME: usize = 44;

pub(super) struct Checker<'s> {
    sources: &'s [Source],
    now: usize,
    pub(super) problems: Vec<Diagnostic>,
    pub(super) flow: Flow,
    ids: HashMap<(Sort, String), String>,
    /// Conditions with a name, each with the place it is meant for.
    pub(super) terms: Vec<(String, PlaceKind, Condition)>,
    /// Steps of seating by their ids.
    pub(super) steps: Vec<(String, SeatingStep)>,
    /// Materials that are seated alike.
    pub(super) groups: Vec<Group>,
    /// Whether a whole file could not be read.
    unread_file: bool,
    /// Rows that could not be read or are not what they should be.
    unread_rows: Vec<&'s str>,
    /// Names of rows that have a fault of their own and are left out for it.
    pub(super) unread_names: Vec<String>,
    /// Of what there is not one row, where that was said.
    gone: Vec<String>,
}

/// Checks the files; the flow is `None` if a problem is an error. `unread` says that some file could not be read.
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
        shorts: Vec::new(),
        sources: Vec::new(),
        facts: Vec::new(),
        hands: super::OwnErrors::default(),
    };
    let mut checker = Checker {
        sources,
        now: 0,
        problems: Vec::new(),
        flow,
        ids: HashMap::new(),
        terms: Vec::new(),
        steps: Vec::new(),
        groups: Vec::new(),
        unread_file: unread,
        unread_rows: Vec::new(),
        unread_names: Vec::new(),
        gone: Vec::new(),
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

    pub(super) fn error(&mut self, code: &'static str, span: Span, fault: Fault) {
        let Fault { what, label, help } = fault;
        let problem = Diagnostic::error(code, self.source(), span, what, label.to_owned());
        self.problems.push(problem.help(help));
    }

    pub(super) fn warning(&mut self, code: &'static str, span: Span, fault: Fault) {
        let Fault { what, label, help } = fault;
        let problem = Diagnostic::warning(code, self.source(), span, what, label.to_owned());
        self.problems.push(problem.help(help));
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
                Part::Steps(rows) => self.each(rows, Self::seating_step),
                _ => {}
            }
        }
        for (index, part) in &parts {
            self.now = *index;
            if let Part::Groups(rows) = part {
                self.each(rows, Self::group);
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
                Part::Shorts(rows) => self.each(rows, Self::short),
                _ => {}
            }
        }
        let mut head = None;
        for (index, part) in &parts {
            self.now = *index;
            if let Part::Flow(shape) = part {
                if let Some(first) = head.replace(*index) {
                    let span = shape.span(self.source());
                    let name = self.sources.get(first).map_or("", |source| source.name());
                    self.error("flow-two-heads", span, faults::second_head(name));
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
                    self.error("flow-no-head", 0..0, faults::no_head());
                }
                None => {
                    let empty = Source::new(faults::NO_FILES, "");
                    let Fault { what, label, help } = faults::no_files();
                    let label = label.to_owned();
                    let problem = Diagnostic::error("flow-no-head", &empty, 0..0, what, label);
                    self.problems.push(problem.help(help));
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
                StepBlock::Ask(fact) => vec![fact.clone()],
                StepBlock::Grid { rows, .. } => rows.clone(),
            })
            .collect();
        for (index, span, fact) in asked {
            if !in_steps.contains(&fact) {
                self.now = index;
                self.warning("flow-not-asked", span, faults::never_asked(&fact));
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

    /// Returns whether a name that is missing may be in what could not be read. Then it is no problem of its own.
    pub(super) fn may_be_unread(&self, name: &str) -> bool {
        let quoted = format!("\"{name}\"");
        let left_out = self.unread_names.iter().any(|own| own == name);
        self.unread_file || left_out || self.unread_rows.iter().any(|row| row.contains(&quoted))
    }

    /// Reports an id that another thing of its sort has.
    pub(super) fn own_id(&mut self, sort: Sort, id: &Spanned<String>) {
        let span = id.span(self.source());
        self.once(sort, id.value.clone(), span);
    }

    /// Reports a name that is there a second time.
    pub(super) fn once(&mut self, sort: Sort, name: String, span: Span) {
        let (line, _) = self.source().line_column(span.start);
        let place = format!("{}:{line}", self.source().name());
        if let Some(first) = self.ids.insert((sort, name.clone()), place) {
            self.error("flow-id-twice", span, faults::id_twice(sort, &name, &first));
        }
    }

    /// Returns a text, cleaned; reports one that is longer than `most` characters.
    pub(super) fn fits_line(&mut self, text: &Spanned<String>, most: usize) -> String {
        let length = text.value.chars().count();
        if length > most {
            let span = text.span(self.source());
            self.error("flow-too-long", span, faults::long_line(length, most));
        }
        let clean = crate::text::clean(&text.value);
        if clean.trim().is_empty() {
            let span = text.span(self.source());
            self.error("flow-no-text", span, faults::no_text());
        }
        clean
    }

    /// Returns whether nothing is known that could be named here, and that was said already: a file that is gone is one
    /// fault, and not one for each row that names what stood in it.
    fn is_told_gone(&mut self, known: &[String], what: String) -> bool {
        if !known.is_empty() {
            return false;
        }
        let told = self.gone.contains(&what);
        if !told {
            self.gone.push(what);
        }
        told
    }

    /// Returns an id as it is written; reports one that is not among `known`.
    pub(super) fn refers(
        &mut self,
        sort: Sort,
        id: &Spanned<String>,
        known: Vec<String>,
    ) -> String {
        // These are the program's own; none of them stands in a file that could not be read.
        let row = !matches!(
            sort,
            Sort::Side | Sort::MarginForm | Sort::ImpressionMaterial | Sort::EarlierLoad
        );
        let may_be_there = row && self.may_be_unread(&id.value);
        let is_none = !known.contains(&id.value) && !may_be_there;
        if is_none && !self.is_told_gone(&known, sort.words().to_owned()) {
            let span = id.span(self.source());
            let near = nearest(&id.value, known.iter().map(String::as_str));
            let fault = faults::unknown_id(sort, &id.value, near, &known);
            self.error("flow-reference", span, fault);
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
        self.refers(Sort::Source, id, known)
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
        let near = nearest(&name.value, known);
        let fault = said::unknown_fact(&name.value, near);
        self.error("flow-fact", span, fault);
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
        let (code, fault) = match misfit {
            Misfit::Type { .. } => ("flow-type", said::other_type(&spec.id, &spec.kind)),
            // A file cannot write half a thing.
            Misfit::NotFinite | Misfit::NotWhole => ("flow-not-finite", said::not_measurable()),
            Misfit::Bounds { .. } => ("flow-bounds", said::out_of_range(&spec.id, &spec.kind)),
            Misfit::Choice { known } if self.is_told_gone(&known, spec.id.to_string()) => {
                return None;
            }
            Misfit::Choice { known } => {
                let name = value.value.choice().unwrap_or_default();
                let near = nearest(name, known.iter().map(String::as_str));
                let fault = said::unknown_choice(&spec.id, near, &known);
                ("flow-choice", fault)
            }
            Misfit::TooLong => ("flow-too-long", said::long_text(MAX_TEXT)),
        };
        self.error(code, span, fault);
        None
    }
}
