//! A case as the figures see it.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::case::decision::DentistAnswer;
use crate::case::journal::{Body, Entry};
use crate::case::life::{Happened, Said, Stage};
use crate::case::outcome::{Foreseen, Kind, Outcome};
use crate::case::{Case, Restoration, Role};
use crate::derive::Facts;
use crate::fact::{
    FactId, GRIP, HEIGHT_USED, ORDER_DENTIST, ORDER_MAKE, ORDER_MATERIAL, Place, TAPER_MOST, TRAY,
    Unit, Value,
};
use crate::phrase::learn as said;
use jiff::tz::TimeZone;

/// How many ways there are to tell restorations apart.
pub const GROUPS: usize = 10;

/// What restorations are told apart by.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Group {
    /// The tray of the impression.
    Tray,
    /// The material.
    Material,
    /// The height of its lowest prep.
    Height,
    /// The total taper of its most tapered prep.
    Taper,
    /// Its grip.
    Grip,
    /// The dentist's code.
    Dentist,
    /// Who entered its delivery.
    Technician,
    /// The flow that it was judged by.
    Flow,
    /// What the dentist answered, where a question was asked.
    Answer,
    /// The half-year of its delivery.
    HalfYear,
}

impl Group {
    /// All of them.
    pub const ALL: [Group; GROUPS] = [
        Group::Tray,
        Group::Material,
        Group::Height,
        Group::Taper,
        Group::Grip,
        Group::Dentist,
        Group::Technician,
        Group::Flow,
        Group::Answer,
        Group::HalfYear,
    ];

    /// Returns its place in [`Group::ALL`].
    pub fn nth(self) -> usize {
        Group::ALL.iter().position(|own| *own == self).unwrap_or(0)
    }

    /// Returns the name on the command line.
    pub fn as_str(self) -> &'static str {
        match self {
            Group::Tray => "tray",
            Group::Material => "material",
            Group::Height => "height",
            Group::Taper => "taper",
            Group::Grip => "grip",
            Group::Dentist => "dentist",
            Group::Technician => "technician",
            Group::Flow => "flow",
            Group::Answer => "answer",
            Group::HalfYear => "half-year",
        }
    }

    /// Says what it is.
    pub fn words(self) -> &'static str {
        match self {
            Group::Tray => said::BY_TRAY,
            Group::Material => said::BY_MATERIAL,
            Group::Height => said::BY_HEIGHT,
            Group::Taper => said::BY_TAPER,
            Group::Grip => said::BY_GRIP,
            Group::Dentist => said::BY_DENTIST,
            Group::Technician => said::BY_TECHNICIAN,
            Group::Flow => said::BY_FLOW,
            Group::Answer => said::BY_ANSWER,
            Group::HalfYear => said::BY_HALF_YEAR,
        }
    }

    /// Returns whether it tells people apart.
    pub fn is_people(self) -> bool {
        matches!(self, Group::Dentist | Group::Technician)
    }
}

/// A case: when it was ordered, by whom, and what of it was delivered.
///
/// It is kept as JSON beside the case's row of the worklist; a change of it is a change of that form.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Lot {
    /// Its number.
    pub number: String,
    /// The day on which it was opened.
    pub opened: Date,
    /// The dentist's code.
    pub dentist: Option<String>,
    /// Whether every restoration of it is made again: such an order is no sign that all else is well.
    pub remake: bool,
    /// Its restorations that were delivered.
    pub made: Vec<Made>,
    /// How many of its restorations were not.
    pub not_made: usize,
    /// How many of those were withdrawn; the others are still at the bench, or waited for.
    pub withdrawn: usize,
}

/// A restoration that was delivered.
#[derive(Clone, PartialEq, Debug, Default, Serialize, Deserialize)]
pub struct Made {
    /// What it is made of.
    pub restoration: Restoration,
    /// The day.
    pub delivered: Date,
    /// What it is told apart by, in the order of [`Group::ALL`]; `None` where that is not known. Names sort as they are to be
    /// shown.
    pub groups: [Option<(u8, String)>; GROUPS],
    /// What became of it.
    pub outcomes: Vec<(Kind, Date)>,
    /// What was heard of it last, and up to when it is known what became of it.
    pub heard: Option<(Kind, Date)>,
    /// Whether nobody asks after it any more: it is made again, or lost sight of.
    pub ended: bool,
    /// Whether the bench could have seen it, of those outcomes of which somebody said so.
    pub foreseen: Vec<(Kind, Foreseen)>,
    /// Whether no rule spoke and none was open when it was inspected; `None` if that was not kept.
    pub nothing_found: Option<bool>,
}

/// Where bands of a figure begin. Ours, as are all of them: they hold together what a bench calls alike.
const HEIGHTS: [f64; 3] = [3.0, 4.0, 5.0];
const TAPERS: [f64; 3] = [12.0, 20.0, 30.0];
const GRIPS: [f64; 3] = [0.85, 1.0, 1.5];

impl Lot {
    /// Returns a case for the figures, or `None` if its journal does not begin with its opening.
    pub fn of(facts: &Facts<'_>, journal: &[Entry], zone: &TimeZone) -> Option<Lot> {
        let case = facts.case();
        let opened = journal.first()?.when.to_zoned_datetime(zone.clone()).date();
        let text = |fact: &FactId| match case.value(fact, Place::Case) {
            Some(Value::Text(text)) => Some(text.trim().to_owned()).filter(|own| !own.is_empty()),
            _ => None,
        };
        let dentist = text(&ORDER_DENTIST);
        let all = case.units.restorations();
        let again = |own: &Restoration| {
            let make = case.value(&ORDER_MAKE, Place::Restoration(own.id));
            matches!(make, Some(Value::Choice(choice)) if choice == "remake")
        };
        let mut made = Vec::new();
        for own in all {
            let Some(delivered) = case.delivered_on(own.id) else {
                continue;
            };
            let outcomes = case.outcomes().iter();
            let outcomes = outcomes.filter(|outcome| outcome.restoration == own.id);
            let ends =
                |outcome: &Outcome| outcome.what == Kind::LostSight || outcome.goes_on.is_some();
            let heard = outcomes.clone();
            let heard = heard.map(|outcome| (outcome.what, known_to(outcome, journal, zone)));
            let seen = outcomes.clone();
            let seen = seen.filter_map(|outcome| Some((outcome.what, outcome.seen?)));
            made.push(Made {
                restoration: own.clone(),
                delivered,
                heard: heard.max_by_key(|(_, day)| *day),
                ended: outcomes.clone().any(ends),
                groups: groups(facts, (own, delivered), journal, dentist.as_deref()),
                foreseen: seen.collect(),
                outcomes: outcomes.map(|outcome| (outcome.what, outcome.on)).collect(),
                nothing_found: nothing_found(case, own),
            });
        }
        let withdrawn = |own: &&Restoration| {
            let last = case.last_event(own.id);
            last.is_some_and(|event| event.what == Happened::Withdrawn)
        };
        Some(Lot {
            number: case.number.clone(),
            withdrawn: all.iter().filter(withdrawn).count(),
            opened,
            dentist,
            remake: !all.is_empty() && all.iter().all(again),
            not_made: all.len() - made.len(),
            made,
        })
    }
}

/// Returns the day up to which an outcome tells what became of a restoration: of what was seen quiet its own; of what went
/// wrong the day on which it was written down, for whoever tells of it then has nothing newer to tell.
fn known_to(outcome: &Outcome, journal: &[Entry], zone: &TimeZone) -> Date {
    let written = journal.iter().rev().find(
        |entry| matches!(&entry.body, Body::Outcome { outcome: own } if own.is_same(outcome)),
    );
    match written.filter(|_| outcome.what.is_failure()) {
        Some(entry) => outcome
            .on
            .max(entry.when.to_zoned_datetime(zone.clone()).date()),
        None => outcome.on,
    }
}

/// Returns whether nothing was found at a restoration when it was inspected.
fn nothing_found(case: &Case, own: &Restoration) -> Option<bool> {
    let judged = case.judged(Stage::AsFound)?;
    let of_it = |at: Place| case.units.owner(at).is_none_or(|owner| owner.id == own.id);
    let mut rules = judged.rules.iter().filter(|rule| of_it(rule.at));
    Some(rules.all(|rule| rule.said == Said::Silent))
}

/// Returns what the dentist answered to what was asked about a restoration: nothing, to make it as it is, or to change it.
fn answered(case: &Case, own: &Restoration) -> (u8, String) {
    let of_it = |at: Place| case.units.owner(at).is_none_or(|owner| owner.id == own.id);
    let decisions = case.decisions().map(|decided| &decided.decision);
    let mut said = (0, said::NOT_ASKED);
    for decision in decisions.filter(|decision| of_it(decision.about.at)) {
        let own = match decision.outcome {
            DentistAnswer::Agreed => (3, said::CHANGED),
            DentistAnswer::AsItIs => (2, said::AS_ORDERED),
            DentistAnswer::Refused | DentistAnswer::NoDecision => (1, said::NOT_SETTLED),
        };
        said = said.max(own);
    }
    (said.0, said.1.to_owned())
}

/// Returns the half-year of a day, in the order of time.
fn half_year(day: Date) -> (u8, String) {
    let second = day.month() > 6;
    let nth = (i32::from(day.year()) - 1990) * 2 + i32::from(second);
    let nth = u8::try_from(nth.clamp(0, 255)).unwrap_or(u8::MAX);
    (nth, said::half_year(day.year(), second))
}

fn groups(
    facts: &Facts<'_>,
    (own, delivered): (&Restoration, Date),
    journal: &[Entry],
    dentist: Option<&str>,
) -> [Option<(u8, String)>; GROUPS] {
    let place = Place::Restoration(own.id);
    let chosen = |fact: &FactId, at: Place| {
        let Some(Value::Choice(id)) = facts.value(fact, at) else {
            return None;
        };
        let kind = &facts.flow().spec(fact)?.kind;
        let all = facts.flow().choices(kind);
        let nth = all.iter().position(|(own, _)| own == id)?;
        Some((u8::try_from(nth).unwrap_or(u8::MAX), all[nth].1.clone()))
    };
    let teeth: Vec<Place> = own.teeth(Role::Abutment).map(Place::Unit).collect();
    let figures = |fact: &FactId| -> Vec<f64> {
        let numbers = teeth
            .iter()
            .filter_map(|at| facts.value(fact, *at)?.number());
        numbers.collect()
    };
    let lowest = figures(&HEIGHT_USED).into_iter().reduce(f64::min);
    let most = figures(&TAPER_MOST).into_iter().reduce(f64::max);
    let grip = facts.value(&GRIP, place).and_then(Value::number);
    let named = |name: Option<&str>| name.map(|name| (0, name.to_owned()));
    let flow = facts.flow();
    [
        chosen(&TRAY, Place::Case),
        chosen(&ORDER_MATERIAL, place),
        lowest.map(|figure| band(figure, &HEIGHTS, Unit::Mm)),
        most.map(|figure| band(figure, &TAPERS, Unit::Deg)),
        grip.map(|figure| band(figure, &GRIPS, Unit::Ratio)),
        named(dentist),
        named(delivered_by(own.id, journal)),
        Some((0, said::flow(&flow.id, flow.version))),
        Some(answered(facts.case(), own)),
        Some(half_year(delivered)),
    ]
}

/// Returns who entered the delivery of a restoration last.
fn delivered_by(restoration: u8, journal: &[Entry]) -> Option<&str> {
    let own = journal.iter().rev().find(|entry| match &entry.body {
        Body::Happened { event } => {
            event.what == Happened::Delivered && event.restorations.contains(&restoration)
        }
        _ => false,
    });
    own?.who.as_deref()
}

/// Returns the band of a figure: its place from the least on, and its words.
fn band(figure: f64, limits: &[f64; 3], unit: Unit) -> (u8, String) {
    let nth = limits.iter().filter(|limit| figure >= **limit).count();
    let from = nth.checked_sub(1).map(|below| limits[below]);
    let to = limits.get(nth).copied();
    (
        u8::try_from(nth).unwrap_or(u8::MAX),
        said::band(from, to, unit),
    )
}
