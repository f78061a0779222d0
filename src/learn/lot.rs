//! A case as the figures see it.

use jiff::civil::Date;

use crate::case::journal::{Body, Entry};
use crate::case::life::Happened;
use crate::case::outcome::Kind;
use crate::case::{Restoration, Role};
use crate::derive::Facts;
use crate::fact::{
    FactId, GRIP, HEIGHT_USED, ORDER_DENTIST, ORDER_MAKE, ORDER_MATERIAL, Place, TAPER_MOST, TRAY,
    Unit, Value,
};
use crate::phrase::learn as said;
use jiff::tz::TimeZone;

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
}

impl Group {
    /// All of them.
    pub const ALL: [Group; 8] = [
        Group::Tray,
        Group::Material,
        Group::Height,
        Group::Taper,
        Group::Grip,
        Group::Dentist,
        Group::Technician,
        Group::Flow,
    ];

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
        }
    }

    /// Returns whether it tells people apart.
    pub fn is_people(self) -> bool {
        matches!(self, Group::Dentist | Group::Technician)
    }
}

/// A case: when it was ordered, by whom, and what of it was delivered.
#[derive(Clone, PartialEq, Debug)]
pub struct Lot {
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
}

/// A restoration that was delivered.
#[derive(Clone, PartialEq, Debug)]
pub struct Made {
    /// The day.
    pub delivered: Date,
    /// What it is told apart by, in the order of [`Group::ALL`]; `None` where that is not known. Names sort as they are to be
    /// shown.
    pub groups: [Option<(u8, String)>; 8],
    /// What became of it.
    pub outcomes: Vec<(Kind, Date)>,
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
            made.push(Made {
                delivered,
                groups: groups(facts, own, journal, dentist.as_deref()),
                outcomes: outcomes.map(|outcome| (outcome.what, outcome.on)).collect(),
            });
        }
        Some(Lot {
            opened,
            dentist,
            remake: !all.is_empty() && all.iter().all(again),
            not_made: all.len() - made.len(),
            made,
        })
    }
}

fn groups(
    facts: &Facts<'_>,
    own: &Restoration,
    journal: &[Entry],
    dentist: Option<&str>,
) -> [Option<(u8, String)>; 8] {
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
