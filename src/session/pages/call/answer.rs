//! One answer: what was chosen, the decision that follows, and what has to come in.

use jiff::ToSpan;
use jiff::civil::{Date, Weekday};

use crate::call::matter;
use crate::case::coming::{Blocks, Coming, Part};
use crate::case::decision::{Decider, Decision, DentistAnswer, Matter, Seen};
use crate::derive::Facts;
use crate::fact::{CALL_BY, Place, Spot, Value};
use crate::flow::Level;
use crate::options::{CaseOption, answering, for_the_dentist, ranked};
use crate::session::Inspection;

/// A typed line of an answer.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum AnswerLine {
    /// What was said, in free words.
    Words,
    /// What was agreed on the cost.
    Cost,
    /// The day by which it comes.
    Day,
}

/// How far an answer is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum AnswerStage {
    /// One of the choices of the question is chosen, or other words are typed.
    Offered,
    /// A line is typed.
    Line(AnswerLine),
    /// What has to come in for an answer in free words is chosen.
    Coming,
    /// Another option is chosen.
    Add,
    /// It is read back.
    ReadBack,
}

/// What can be chosen.
#[derive(Clone, PartialEq, Debug)]
pub enum Pick {
    /// An outcome that needs no option.
    Outcome(DentistAnswer),
    /// An option.
    Way(Box<CaseOption>),
}

/// An answer that was begun.
#[derive(Clone, PartialEq, Debug)]
pub struct Draft {
    /// What it is about.
    pub about: Matter,
    /// How far it is.
    pub stage: AnswerStage,
    /// The marked line.
    pub marked: usize,
    /// What was said.
    pub outcome: DentistAnswer,
    /// The options that were chosen.
    pub ways: Vec<CaseOption>,
    /// The answer in free words.
    pub words: String,
    /// The cost.
    pub cost: String,
    /// The due date; empty for the one that follows from the flow.
    pub day: String,
    /// Whether the written order is here.
    pub order: bool,
    /// What has to come in, for an answer in free words.
    pub parts: Vec<Part>,
    /// How many journal entries the case had when the options were chosen.
    pub entries: u64,
    /// Whether the choice says nothing without the words that belong to it, such as a shade.
    pub needs_words: bool,
}

/// What can be awaited after free words, in the order of the digits.
pub const FREE_PARTS: [Part; 6] = [
    Part::Impression,
    Part::Bite,
    Part::Opposing,
    Part::Order,
    Part::Shade,
    Part::Temporary,
];

/// How many options stand before the outcomes: the digits 1 to 6.
pub const OPTIONS_AT_ONCE: usize = 6;

/// What can be said whatever the options, with its digit.
pub const OUTCOMES: [(char, DentistAnswer); 4] = [
    ('7', DentistAnswer::AsItIs),
    ('8', DentistAnswer::Refused),
    ('9', DentistAnswer::NoDecision),
    ('0', DentistAnswer::Agreed),
];

impl Draft {
    pub(super) fn new(about: Matter, outcome: DentistAnswer, entries: u64) -> Draft {
        Draft {
            about,
            stage: AnswerStage::ReadBack,
            marked: 0,
            outcome,
            ways: Vec::new(),
            words: String::new(),
            cost: String::new(),
            day: String::new(),
            order: false,
            parts: Vec::new(),
            entries,
            needs_words: false,
        }
    }

    /// Returns whether an option is chosen.
    pub fn has(&self, way: &CaseOption) -> bool {
        self.ways.iter().any(|own| own.is_same(way))
    }

    pub(super) fn toggle(&mut self, way: &CaseOption) {
        let had = self.has(way);
        self.ways.retain(|own| !own.is_same(way));
        if !had {
            self.ways.push(way.clone());
        }
    }

    /// Returns the text of a line.
    pub fn line(&self, line: AnswerLine) -> &str {
        match line {
            AnswerLine::Words => &self.words,
            AnswerLine::Cost => &self.cost,
            AnswerLine::Day => &self.day,
        }
    }

    pub(super) fn set_line(&mut self, line: AnswerLine, text: &str) {
        let own = match line {
            AnswerLine::Words => &mut self.words,
            AnswerLine::Cost => &mut self.cost,
            AnswerLine::Day => &mut self.day,
        };
        text.clone_into(own);
    }

    /// Returns whether a written order belongs to this answer.
    pub(super) fn takes_order(&self, level: Level) -> bool {
        self.coming(level, None, None, None)
            .parts
            .iter()
            .any(|(part, _)| *part == Part::Order)
            || self.order
    }

    /// Returns what has to come in before the answer counts, and by when.
    pub(super) fn coming(
        &self,
        level: Level,
        inspection: Option<&Inspection>,
        by: Option<Decider>,
        today: Option<Date>,
    ) -> Coming {
        let mut coming = Coming::default();
        let mut days = None;
        match self.outcome {
            DentistAnswer::NoDecision => coming.add(Part::Answer, Blocks::Design),
            DentistAnswer::Refused => {}
            DentistAnswer::AsItIs => {
                if level == Level::Hold {
                    coming.add(Part::Order, Blocks::Design);
                }
            }
            DentistAnswer::Agreed if self.ways.is_empty() => {
                for part in &self.parts {
                    coming.add(*part, Blocks::Design);
                }
            }
            DentistAnswer::Agreed => {
                let options = inspection
                    .iter()
                    .flat_map(|i| self.ways.iter().filter_map(|way| way.of(i.flow())));
                for option in options {
                    for (part, blocks) in &option.comes {
                        // What is on hold is not begun on a spoken word.
                        let held = level == Level::Hold && *part == Part::Order;
                        coming.add(*part, if held { Blocks::Design } else { *blocks });
                    }
                    days = days.max(Some(option.days));
                }
            }
        }
        // What is on hold is begun on something new to look at, or on a written order: never on a word alone.
        let looked_at = coming.parts.iter().any(|(part, _)| part.is_inspected());
        if level == Level::Hold && self.outcome == DentistAnswer::Agreed && !looked_at {
            coming.add(Part::Order, Blocks::Design);
        }
        if by == Some(Decider::Message) && self.outcome != DentistAnswer::Refused {
            coming.add(Part::Answer, Blocks::Design);
        }
        if self.order {
            coming.parts.retain(|(part, _)| *part != Part::Order);
        }
        let reckoned = || {
            let today = today?;
            let answer_by = inspection.and_then(|i| match i.case().value(&CALL_BY, Place::Case) {
                Some(Value::Day(day)) if *day > today => Some(*day),
                _ => None,
            });
            let days = days.map_or(1, i64::from).max(1);
            match self.outcome {
                DentistAnswer::NoDecision => answer_by.or_else(|| working_day(today, 1)),
                _ => working_day(today, days),
            }
        };
        if !coming.parts.is_empty() {
            coming.due = self.day.parse().ok().or_else(reckoned);
        }
        coming
    }

    /// Returns the decision, without its changes.
    pub fn decision(
        &self,
        inspection: &Inspection,
        by: Option<Decider>,
        today: Option<Date>,
    ) -> Decision {
        let level = level_of(inspection, &self.about).unwrap_or(Level::Call);
        Decision {
            about: self.about.clone(),
            outcome: self.outcome,
            words: self.words.clone(),
            taken: self
                .ways
                .iter()
                .map(|way| way.to_taken(inspection.flow()))
                .collect(),
            by,
            from: today.unwrap_or_default(),
            cost: self.cost.clone(),
            amended: self.order,
            changes: Vec::new(),
            expected: Vec::new(),
            units: None,
            coming: Some(self.coming(level, Some(inspection), by, today)),
            seen: (self.outcome == DentistAnswer::AsItIs).then(|| seen(inspection, &self.about)),
        }
    }
}

/// Returns what a question is about at this moment: its units, and the readings behind it at every place where it could be
/// found as well: accepting one wall does not accept the next.
fn seen(inspection: &Inspection, about: &Matter) -> Seen {
    let facts = inspection.facts();
    let findings = inspection.judgement.findings.iter();
    let case = inspection.case();
    let alike = |at: Place, spot: &Spot| -> Vec<Spot> {
        let kind = inspection.flow.spec(&spot.fact).map(|spec| spec.at);
        let places = kind.map_or(Vec::new(), |kind| case.units.within(at, kind));
        let others = places.into_iter().map(|at| Spot {
            fact: spot.fact.clone(),
            at,
        });
        others.chain([spot.clone()]).collect()
    };
    let mut spots: Vec<Spot> = findings
        .filter(|finding| matter(&inspection.flow, finding) == *about)
        .flat_map(|finding| finding.evidence.iter().map(|spot| (finding.at, spot)))
        .flat_map(|(at, spot)| alike(at, spot))
        .flat_map(|spot| facts.readings(&spot))
        .collect();
    spots.sort();
    spots.dedup();
    // What was not read is kept as not seen.
    let read = spots.into_iter().map(|spot| {
        let value = case.merged(&spot).map(|(_, reading)| reading.value.clone());
        (spot, value.unwrap_or(Value::NotSeen))
    });
    Seen {
        units: case.units_seen(about.at),
        readings: read.collect(),
    }
}

/// Returns the day `days` ahead of `today`, moved from a weekend to Monday.
fn working_day(today: Date, days: i64) -> Option<Date> {
    let day = today.checked_add(days.days()).ok()?;
    let beyond = match day.weekday() {
        Weekday::Saturday => 2,
        Weekday::Sunday => 1,
        _ => 0,
    };
    day.checked_add(beyond.days()).ok()
}

/// Returns the level of the finding that a question comes from.
pub(super) fn level_of(inspection: &Inspection, about: &Matter) -> Option<Level> {
    inspection
        .judgement
        .findings
        .iter()
        .find(|finding| matter(&inspection.flow, finding) == *about)
        .map(|finding| finding.level)
}

/// Returns the options for a question that are not barred: those of the laboratory by rank; those of the dentist in the
/// order in which the question names them, then in that of the flow.
pub(in crate::session) fn behind(
    inspection: &Inspection,
    facts: &Facts<'_>,
    about: &Matter,
) -> (Vec<CaseOption>, Vec<CaseOption>) {
    let Some(ways) = &inspection.ways else {
        return (Vec::new(), Vec::new());
    };
    let flow = inspection.flow();
    let finding = inspection
        .judgement
        .findings
        .iter()
        .find(|finding| matter(flow, finding) == *about);
    let Some(finding) = finding else {
        return (Vec::new(), Vec::new());
    };
    let own: Vec<CaseOption> =
        answering(flow, facts, &inspection.judgement, finding, &ways.singles)
            .into_iter()
            .cloned()
            .collect();
    // What is told in one line elsewhere is answered place by place.
    let each = |way: &CaseOption| {
        let alone = CaseOption {
            also: Vec::new(),
            ..way.clone()
        };
        let others = own.iter().filter(|other| {
            (other.option, other.at) == (way.option, way.at) && way.also.contains(&other.walls)
        });
        let others: Vec<CaseOption> = others.cloned().collect();
        std::iter::once(alone).chain(others)
    };
    let laboratory = ranked(flow, &own)
        .into_iter()
        .flat_map(|(_, way)| each(way));
    // What was read out on the phone stands first, in the order of its words.
    let rules = std::iter::once(finding).chain(&finding.folded);
    let named: Vec<&String> = rules
        .filter_map(|own| flow.rule(own.rule))
        .flat_map(|rule| &rule.choices)
        .collect();
    let spoken = |way: &&CaseOption| {
        let place = named.iter().position(|words| way.is_meant(flow, words));
        place.unwrap_or(named.len())
    };
    let mut dentist = for_the_dentist(flow, &own);
    dentist.sort_by_key(spoken);
    (
        laboratory.collect(),
        dentist.into_iter().flat_map(each).collect(),
    )
}
