//! Figures of many cases.

use std::collections::{BTreeMap, BTreeSet};

use jiff::ToSpan as _;
use jiff::civil::Date;

use super::compare::{Against, Side, against};
use super::followed::{self, Following, Seen};
use super::funnel::Funnel;
use super::lot::{Group, Lot, Made};
use crate::case::outcome::{Foreseen, Kind};
use crate::fact::Place;
use crate::statistics::funnel::at_least;
use crate::statistics::proportion::{Count, wilson};
use crate::statistics::survival::{
    Curve, Ending, Incidence, Subject, competing, events_needed, kaplan_meier,
};
use crate::statistics::{Confidence, Interval};

// How few are too few is ours, but for what stands out.

/// Fewer restorations than this have no percentage.
const FEW: u64 = 20;

/// Fewer returns than this in all tell no groups apart.
pub(super) const FEW_RETURNS: u64 = 5;

/// Fewer people than this are not told apart.
const FEW_PEOPLE: usize = 5;

/// What is seen when it is seated or soon after, and hangs on the hand that made it.
const AT_FIT: [Kind; 4] = [
    Kind::OpenMargin,
    Kind::HighContact,
    Kind::ContactOpen,
    Kind::Shade,
];

/// Beyond the upper 99.8 % limit of a funnel (D. J. Spiegelhalter 2005, Statistics in Medicine 24:1185-1202) chance alone
/// brings one group in a thousand: more is said to stand out.
const CHANCE: f64 = 0.001;

/// What is to be seen: something that makes returns three times as many, in a quarter of the work, in four records of five.
const TIMES: f64 = 3.0;
const QUARTER: f64 = 0.25;
const POWER: f64 = 0.80;

/// What is asked of the record.
#[derive(Clone, PartialEq, Debug)]
pub struct Asked {
    /// What restorations are told apart by; by several, each that occurs together is a group.
    pub by: Vec<Group>,
    /// The kinds that count; all that are a failure if none is named.
    pub kinds: Vec<Kind>,
    /// How many months a restoration is followed.
    pub months: i32,
    /// Only those that were delivered on this day or later.
    pub from: Option<Date>,
    /// Only those that were delivered on this day or before.
    pub to: Option<Date>,
    /// Today: figures close on the last quarter day before it.
    pub today: Date,
}

/// Why a question has no answer.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Unfit {
    /// Being seen quiet, or lost sight of, is no return.
    NoReturn,
    /// The last day lies before the first.
    NoTime,
    /// What breaks or comes off is not counted by who made it: short preps go to the best hands.
    NotByTechnician,
    /// There are fewer than five people: each would be a person with a number.
    FewPeople(usize),
}

/// So many of so many.
#[derive(Clone, PartialEq, Debug)]
pub struct Ripe {
    /// How many were followed long enough.
    pub of: u64,
    /// How many of them came back.
    pub came: u64,
    /// Wilson's interval at 95 %, or `None` if nothing was followed.
    pub interval: Option<Interval>,
}

impl Ripe {
    pub(super) fn of(came: u64, of: u64) -> Ripe {
        let count = Count { events: came, of };
        Ripe {
            of,
            came,
            interval: wilson(count, Confidence::P95).ok().map(|own| own.interval),
        }
    }

    /// Returns whether they are too few for a percentage.
    pub fn is_few(&self) -> bool {
        self.of < FEW
    }
}

/// A group of restorations.
#[derive(Clone, PartialEq, Debug)]
pub struct Row {
    /// Its names, one for each way to tell apart; `None` where that is not known.
    pub names: Vec<Option<String>>,
    /// How many of it came back.
    pub ripe: Ripe,
    /// Whether its share is another than that of the others, beyond chance: of people, more than the funnel allows; of all
    /// else, beyond 99 %.
    pub stands_out: bool,
    /// How it compares with all others.
    pub against: Against,
    /// How long its restorations stay without such a return, in days.
    pub curve: Option<Curve>,
    /// How many of them came back first for each kind, by days.
    pub by_kind: Option<Incidence<Kind>>,
}

/// Something that came back although nothing had been found.
#[derive(Clone, PartialEq, Debug)]
pub struct Unfound {
    /// The number of the case.
    pub number: String,
    /// The teeth.
    pub teeth: Vec<Place>,
    /// What it was.
    pub what: Kind,
    /// The day.
    pub on: Date,
    /// Whether the bench could have seen it, where somebody said so.
    pub seen: Option<Foreseen>,
}

/// What the record says.
#[derive(Clone, PartialEq, Debug)]
pub struct Figures {
    /// The day on which they close.
    pub closing: Date,
    /// How many restorations were delivered up to then, within the days that were asked for.
    pub delivered: u64,
    /// How many were delivered after the figures closed.
    pub since: u64,
    /// How many of them are of dentists who never said what became of anything, quiet or not.
    pub unheard: u64,
    /// How many were not followed long enough.
    pub unripe: u64,
    /// How many of those came back all the same.
    pub unripe_came: u64,
    /// How many were lost sight of.
    pub lost: u64,
    /// How many restorations were withdrawn: they were never tried.
    pub withdrawn: u64,
    /// How many are not delivered yet.
    pub open: u64,
    /// All that were followed long enough.
    pub all: Ripe,
    /// What they came back for, in the order of the kinds; one may have come back for several.
    pub kinds: Vec<(Kind, u64)>,
    /// Whether the bench could have seen it, of those that came back and of which somebody said so.
    pub foreseen: Vec<(Foreseen, u64)>,
    /// All of them by the half-year of their delivery.
    pub halves: Vec<Row>,
    /// The groups, in the order of their names.
    pub rows: Vec<Row>,
    /// Whether returns are too few to tell groups apart.
    pub nothing_follows: bool,
    /// How many returns it takes to see something that makes them three times as many in a quarter of the work.
    pub needed: u64,
    /// How long restorations stay without such a return, in days.
    pub curve: Option<Curve>,
    /// How many came back first for each kind, by days. A lost tooth takes its restoration from all other kinds, whether it
    /// was asked for or not.
    pub by_kind: Option<Incidence<Kind>>,
    /// The dentists, where the figures are told apart by them alone.
    pub funnel: Option<Funnel>,
    /// What came back although nothing had been found, the newest first.
    pub unfound: Vec<Unfound>,
}

/// A restoration with how long it was followed.
#[derive(Clone, Copy)]
pub(super) struct Followed<'a> {
    made: &'a Made,
    /// The last day on which its dentist would have said something.
    until: Date,
    /// The first day on which it came back, at any time.
    first: Option<Date>,
    /// Whether it was followed long enough.
    pub(super) ripe: bool,
    /// Whether it came back within that time.
    pub(super) came: bool,
}

impl Followed<'_> {
    fn name(&self, by: Group) -> Option<&(u8, String)> {
        self.made.groups.get(by.nth())?.as_ref()
    }

    /// Returns the code of its dentist.
    pub(super) fn dentist(&self) -> Option<&str> {
        self.name(Group::Dentist).map(|(_, name)| name.as_str())
    }

    /// Returns how long it stayed without a return, or `None` if it was not followed for a day.
    pub(super) fn subject(&self) -> Option<Subject> {
        let own = followed::subject((self.made.delivered, self.until), self.first);
        (own.time > 0.0 || own.event).then_some(own)
    }
}

/// Works out what the record says.
///
/// # Errors
/// Says why the question is not answered.
pub fn figures(lots: &[Lot], asked: &Asked) -> Result<Figures, Unfit> {
    let fit = asked.kinds.iter().all(|kind| AT_FIT.contains(kind)) && !asked.kinds.is_empty();
    if asked.by.contains(&Group::Technician) && !fit {
        return Err(Unfit::NotByTechnician);
    }
    if !asked.kinds.iter().all(|kind| kind.is_failure()) {
        return Err(Unfit::NoReturn);
    }
    if asked.from.zip(asked.to).is_some_and(|(from, to)| to < from) {
        return Err(Unfit::NoTime);
    }
    let following = Following::of(lots, asked.today);
    let closing = following.closing;
    let within = |made: &Made| {
        made.delivered <= closing
            && asked.from.is_none_or(|day| made.delivered >= day)
            && asked.to.is_none_or(|day| made.delivered <= day)
    };
    let (mut followed, mut delivered, mut unheard, mut lost) = (Vec::new(), 0, 0, 0);
    for lot in lots {
        for made in lot.made.iter().filter(|made| within(made)) {
            delivered += 1;
            let mut kinds = made.outcomes.iter().map(|(kind, _)| *kind);
            lost += u64::from(kinds.any(|kind| kind == Kind::LostSight));
            match following.until(made.delivered, &lot.dentist, &made.outcomes) {
                None => unheard += 1,
                Some(until) => followed.push(follow(made, until, asked)),
            }
        }
    }
    let ripe: Vec<&Followed<'_>> = followed.iter().filter(|own| own.ripe).collect();
    let all = ripe_of(&ripe);
    let rows = match asked.by.as_slice() {
        [] => Vec::new(),
        by => rows(by, &followed, &all, (asked, fit)),
    };
    for people in asked.by.iter().filter(|by| by.is_people()) {
        let names: BTreeSet<_> = ripe.iter().map(|own| own.name(*people)).collect();
        if names.len() < FEW_PEOPLE {
            return Err(Unfit::FewPeople(names.len()));
        }
    }
    let not_made = |of: fn(&Lot) -> usize| lots.iter().map(|lot| of(lot) as u64).sum::<u64>();
    let withdrawn = not_made(|lot| lot.withdrawn);
    Ok(Figures {
        closing,
        delivered,
        since: lots
            .iter()
            .flat_map(|lot| &lot.made)
            .filter(|made| made.delivered > closing)
            .count() as u64,
        unheard,
        unripe: (followed.len() - ripe.len()) as u64,
        unripe_came: followed
            .iter()
            .filter(|own| !own.ripe && own.first.is_some())
            .count() as u64,
        lost,
        withdrawn,
        open: not_made(|lot| lot.not_made).saturating_sub(withdrawn),
        kinds: kinds(&ripe, asked),
        foreseen: foreseen(&ripe, asked),
        halves: rows_of(&[Group::HalfYear], &followed, asked)
            .into_iter()
            .filter(|row| row.ripe.of > 0)
            .collect(),
        nothing_follows: all.came < FEW_RETURNS,
        needed: events_needed(TIMES, QUARTER, Confidence::P99, POWER).unwrap_or_default(),
        curve: curve(followed.iter()),
        by_kind: by_kind(followed.iter(), asked),
        funnel: match asked.by.as_slice() {
            [Group::Dentist] => Funnel::of(&all, &rows),
            _ => None,
        },
        unfound: unfound(lots, asked, &within),
        all,
        rows,
    })
}

fn counts(asked: &Asked, kind: Kind) -> bool {
    followed::counts(&asked.kinds, kind)
}

fn follow<'a>(made: &'a Made, until: Date, asked: &Asked) -> Followed<'a> {
    let seen = Seen::of(
        (made.delivered, until),
        &made.outcomes,
        &asked.kinds,
        asked.months,
    );
    Followed {
        made,
        until,
        first: seen.first,
        ripe: seen.ripe,
        came: seen.came,
    }
}

fn ripe_of(ripe: &[&Followed<'_>]) -> Ripe {
    let came = ripe.iter().filter(|own| own.came).count();
    Ripe::of(came as u64, ripe.len() as u64)
}

/// Counts what came back for each kind, within the time that is asked about.
fn kinds(ripe: &[&Followed<'_>], asked: &Asked) -> Vec<(Kind, u64)> {
    let of = |kind: Kind| {
        let back = ripe.iter().filter(|own| {
            let end = own.made.delivered.saturating_add(asked.months.months());
            let mut all = own.made.outcomes.iter();
            all.any(|(what, on)| *what == kind && *on <= end)
        });
        back.count() as u64
    };
    let all = Kind::ALL.into_iter().filter(|kind| counts(asked, *kind));
    all.map(|kind| (kind, of(kind)))
        .filter(|(_, of)| *of > 0)
        .collect()
}

fn foreseen(ripe: &[&Followed<'_>], asked: &Asked) -> Vec<(Foreseen, u64)> {
    let back = ripe.iter().filter(|own| own.came);
    let said = back.flat_map(|own| &own.made.foreseen);
    let said: Vec<Foreseen> = said
        .filter(|(kind, _)| counts(asked, *kind))
        .map(|(_, seen)| *seen)
        .collect();
    let of = |seen: &Foreseen| said.iter().filter(|own| *own == seen).count() as u64;
    let all = Foreseen::ALL.iter().map(|seen| (*seen, of(seen)));
    all.filter(|(_, of)| *of > 0).collect()
}

/// Lists what came back although nothing had been found, the newest first. A list and no rate: nobody knows how often a
/// rule would have had to speak.
fn unfound(lots: &[Lot], asked: &Asked, within: &dyn Fn(&Made) -> bool) -> Vec<Unfound> {
    let mut list = Vec::new();
    for lot in lots {
        let own = lot.made.iter().filter(|made| within(made));
        for made in own.filter(|made| made.nothing_found == Some(true)) {
            for (what, on) in made
                .outcomes
                .iter()
                .filter(|(kind, _)| counts(asked, *kind))
            {
                let seen = made.foreseen.iter().find(|(kind, _)| kind == what);
                list.push(Unfound {
                    number: lot.number.clone(),
                    teeth: made
                        .restoration
                        .units
                        .iter()
                        .map(|unit| Place::Unit(unit.tooth))
                        .collect(),
                    what: *what,
                    on: *on,
                    seen: seen.map(|(_, seen)| *seen),
                });
            }
        }
    }
    list.sort_by(|one, other| (other.on, &one.number).cmp(&(one.on, &other.number)));
    list
}

type Name<'a> = Vec<Option<&'a (u8, String)>>;

/// The same, with whether each is not known before it, so that what is not known comes last.
type Sorted<'a> = Vec<(bool, Option<&'a (u8, String)>)>;

/// Sorts into groups. What is not known comes last.
fn sorted<'a, 'f>(
    by: &[Group],
    followed: &'f [Followed<'a>],
) -> Vec<(Name<'f>, Vec<&'f Followed<'a>>)> {
    let mut groups: BTreeMap<Sorted<'_>, Vec<&Followed<'_>>> = BTreeMap::new();
    for own in followed {
        let name = by.iter().map(|by| own.name(*by));
        let name = name.map(|name| (name.is_none(), name)).collect();
        groups.entry(name).or_default().push(own);
    }
    let bare = |name: Sorted<'f>| name.into_iter().map(|(_, name)| name).collect();
    groups
        .into_iter()
        .map(|(name, own)| (bare(name), own))
        .collect()
}

/// Returns groups that are not compared.
fn rows_of(by: &[Group], followed: &[Followed<'_>], asked: &Asked) -> Vec<Row> {
    let groups = sorted(by, followed).into_iter();
    let rows = groups.map(|(name, own)| {
        let ripe: Vec<&Followed<'_>> = own.iter().copied().filter(|own| own.ripe).collect();
        Row {
            names: name
                .into_iter()
                .map(|own| own.map(|(_, name)| name.clone()))
                .collect(),
            ripe: ripe_of(&ripe),
            stands_out: false,
            against: Against::NotCompared,
            by_kind: by_kind(own.iter().copied(), asked),
            curve: curve(own.into_iter()),
        }
    });
    rows.collect()
}

fn rows(
    by: &[Group],
    followed: &[Followed<'_>],
    all: &Ripe,
    (asked, fit): (&Asked, bool),
) -> Vec<Row> {
    let mut rows = rows_of(by, followed, asked);
    // Of whom nothing was followed long enough, nothing is shown.
    let groups = sorted(by, followed);
    let people = by.iter().any(|own| own.is_people());
    let is_known = |row: &Row| row.names.iter().all(Option::is_some);
    let several = rows.iter().filter(|row| is_known(row)).count() > 1;
    // The pooled share is that of all, their own with it: without it a group of its own would stand out too often.
    let target = all.came as f64 / (all.of.max(1)) as f64;
    for (nth, row) in rows.iter_mut().enumerate() {
        if !is_known(row) {
            continue;
        }
        if people {
            let count = Count {
                events: row.ripe.came,
                of: row.ripe.of,
            };
            let tail = at_least(target, count).unwrap_or(1.0);
            row.stands_out = all.came >= FEW_RETURNS && tail < CHANCE;
        } else if several {
            let known = |name: &Name<'_>| name.iter().all(Option::is_some);
            let others = groups
                .iter()
                .enumerate()
                .filter(|(other, (name, _))| *other != nth && known(name));
            let first: Vec<&Followed<'_>> = groups
                .get(nth)
                .map(|(_, own)| own.clone())
                .unwrap_or_default();
            let second = others
                .flat_map(|(_, (_, own))| own.iter().copied())
                .collect();
            row.against = against(&Side(first), &Side(second), fit);
            row.stands_out = row.against.stands_out();
        }
    }
    rows.retain(|row| row.ripe.of > 0);
    rows
}

/// Returns how long restorations stay, or `None` if none was followed for a day.
fn curve<'f>(followed: impl Iterator<Item = &'f Followed<'f>>) -> Option<Curve> {
    let subjects: Vec<Subject> = followed.filter_map(Followed::subject).collect();
    kaplan_meier(&subjects).ok()
}

/// Returns how many came back first for each kind that counts, or lost their tooth; `None` if none was followed for a day.
/// What came back for several things on one day counts for the first in the order of the kinds.
fn by_kind<'f>(
    followed: impl Iterator<Item = &'f Followed<'f>>,
    asked: &Asked,
) -> Option<Incidence<Kind>> {
    let ending = |own: &'f Followed<'f>| {
        let counted = |kind: Kind| counts(asked, kind) || kind == Kind::ToothLost;
        let all = own.made.outcomes.iter();
        let first = all
            .filter(|(kind, on)| counted(*kind) && *on <= own.until)
            .min_by_key(|(kind, on)| (*on, *kind));
        let days = first.map_or(own.until, |(_, on)| *on) - own.made.delivered;
        let time = f64::from(days.get_days().max(0));
        let kind = first.map(|(kind, _)| *kind);
        (time > 0.0 || kind.is_some()).then_some(Ending { time, kind })
    };
    let endings: Vec<Ending<Kind>> = followed.filter_map(ending).collect();
    competing(&endings).ok()
}
