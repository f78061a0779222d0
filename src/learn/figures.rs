//! Figures of many cases.

use std::collections::{BTreeMap, BTreeSet};

use jiff::ToSpan as _;
use jiff::civil::Date;

use super::lot::{Group, Lot, Made};
use crate::case::outcome::Kind;
use crate::statistics::funnel::at_least;
use crate::statistics::proportion::{Count, wilson};
use crate::statistics::survival::{Curve, Subject, kaplan_meier};
use crate::statistics::{Confidence, Interval};

// How few are too few is ours, but for what stands out.

/// Fewer restorations than this have no percentage.
const FEW: u64 = 20;

/// Fewer returns than this in all tell no groups apart.
const FEW_RETURNS: u64 = 5;

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

/// What is asked of the record.
#[derive(Clone, PartialEq, Debug)]
pub struct Asked {
    /// What restorations are told apart by.
    pub by: Option<Group>,
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
    /// Its name, or `None` for those of which it is not known.
    pub name: Option<String>,
    /// How many of it came back.
    pub ripe: Ripe,
    /// Whether more came back than chance alone brings, against all together; only looked at among people.
    pub stands_out: bool,
}

/// What the record says.
#[derive(Clone, PartialEq, Debug)]
pub struct Figures {
    /// The day on which they close.
    pub closing: Date,
    /// How many restorations were delivered up to then.
    pub delivered: u64,
    /// How many of them are of dentists who never said what became of anything, quiet or not.
    pub unheard: u64,
    /// How many were not followed long enough.
    pub unripe: u64,
    /// How many restorations were not built or not delivered: what was held back was never tried.
    pub not_made: u64,
    /// All that were followed long enough.
    pub all: Ripe,
    /// The groups, in the order of their names.
    pub rows: Vec<Row>,
    /// Whether returns are too few to tell groups apart.
    pub nothing_follows: bool,
    /// How long restorations stay without such a return, in days.
    pub curve: Option<Curve>,
}

/// A restoration with how long it was followed.
struct Followed<'a> {
    made: &'a Made,
    /// The last day on which its dentist would have said something.
    until: Date,
}

/// Works out what the record says.
///
/// # Errors
/// Says why the question is not answered.
pub fn figures(lots: &[Lot], asked: &Asked) -> Result<Figures, Unfit> {
    let fit = asked.kinds.iter().all(|kind| AT_FIT.contains(kind)) && !asked.kinds.is_empty();
    if asked.by == Some(Group::Technician) && !fit {
        return Err(Unfit::NotByTechnician);
    }
    if !asked.kinds.iter().all(|kind| kind.is_failure()) {
        return Err(Unfit::NoReturn);
    }
    if asked.from.zip(asked.to).is_some_and(|(from, to)| to < from) {
        return Err(Unfit::NoTime);
    }
    let closing = quarter_day(asked.today);
    let ends = last_orders(lots, closing);
    let heard = heard_of(lots);
    let within = |made: &Made| {
        made.delivered <= closing
            && asked.from.is_none_or(|day| made.delivered >= day)
            && asked.to.is_none_or(|day| made.delivered <= day)
    };
    let (mut followed, mut delivered, mut unheard) = (Vec::new(), 0, 0);
    for lot in lots {
        for made in lot.made.iter().filter(|made| within(made)) {
            delivered += 1;
            if !heard.contains(&lot.dentist) {
                unheard += 1;
                continue;
            }
            let until = ends.get(&lot.dentist).copied().unwrap_or(made.delivered);
            let lost = made
                .outcomes
                .iter()
                .filter(|(kind, _)| *kind == Kind::LostSight);
            let until = lost.map(|(_, on)| *on).fold(until, Date::min);
            followed.push(Followed { made, until });
        }
    }
    let counts = |kind: Kind| match asked.kinds.as_slice() {
        [] => kind.is_failure(),
        kinds => kinds.contains(&kind),
    };
    let first = |own: &Followed<'_>| {
        let came = own.made.outcomes.iter().filter(|(kind, _)| counts(*kind));
        came.map(|(_, on)| *on).min()
    };
    // Whether somebody was followed long enough hangs on the day of delivery alone: an early return would count twice.
    let end = |own: &Followed<'_>| own.made.delivered.saturating_add(asked.months.months());
    let ripe: Vec<&Followed<'_>> = followed
        .iter()
        .filter(|own| end(own) <= own.until)
        .collect();
    let came = |own: &&Followed<'_>| first(own).is_some_and(|on| on <= end(own));
    let all = Ripe::of(
        ripe.iter().filter(|own| came(own)).count() as u64,
        ripe.len() as u64,
    );
    let rows = asked
        .by
        .map_or_else(Vec::new, |by| rows(by, &ripe, &came, &all));
    if asked.by.is_some_and(Group::is_people) && rows.len() < FEW_PEOPLE {
        return Err(Unfit::FewPeople(rows.len()));
    }
    Ok(Figures {
        closing,
        delivered,
        unheard,
        unripe: (followed.len() - ripe.len()) as u64,
        not_made: lots.iter().map(|lot| lot.not_made as u64).sum(),
        nothing_follows: all.came < FEW_RETURNS,
        all,
        rows,
        curve: curve(&followed, &first),
    })
}

fn rows(
    by: Group,
    ripe: &[&Followed<'_>],
    came: &dyn Fn(&&Followed<'_>) -> bool,
    all: &Ripe,
) -> Vec<Row> {
    let nth = Group::ALL.iter().position(|own| *own == by).unwrap_or(0);
    let mut groups: BTreeMap<Option<(u8, String)>, (u64, u64)> = BTreeMap::new();
    for own in ripe {
        let name = own.made.groups.get(nth).cloned().flatten();
        let (back, of) = groups.entry(name).or_default();
        *of += 1;
        *back += u64::from(came(own));
    }
    // The pooled share is that of all, their own with it: without it a group of its own would stand out too often.
    let target = all.came as f64 / (all.of.max(1)) as f64;
    let row = |(name, (back, of)): (Option<(u8, String)>, (u64, u64))| {
        let count = Count { events: back, of };
        let tail = at_least(target, count).unwrap_or(1.0);
        Row {
            stands_out: by.is_people()
                && name.is_some()
                && all.came >= FEW_RETURNS
                && tail < CHANCE,
            name: name.map(|(_, name)| name),
            ripe: Ripe::of(back, of),
        }
    };
    // What is not known comes last.
    let unknown = groups.remove(&None).map(|own| (None, own));
    groups.into_iter().chain(unknown).map(row).collect()
}

/// Returns how long restorations stay, or `None` if none was followed for a day.
fn curve(
    followed: &[Followed<'_>],
    first: &dyn Fn(&Followed<'_>) -> Option<Date>,
) -> Option<Curve> {
    let days = |from: Date, to: Date| f64::from((to - from).get_days());
    let subject = |own: &Followed<'_>| {
        let from = own.made.delivered;
        let back = first(own).filter(|on| *on <= own.until);
        let time = days(from, back.unwrap_or(own.until));
        (time > 0.0 || back.is_some()).then_some(Subject {
            time: time.max(0.0),
            event: back.is_some(),
        })
    };
    let subjects: Vec<Subject> = followed.iter().filter_map(subject).collect();
    kaplan_meier(&subjects).ok()
}

/// Returns the first day of the quarter that a day lies in.
pub(super) fn quarter_day(today: Date) -> Date {
    let month = (today.month() - 1) / 3 * 3 + 1;
    Date::new(today.year(), month, 1).unwrap_or(today)
}

/// Returns, for each dentist, the day of the last new order, at most the closing day: whoever goes on ordering would have
/// said something by then. An order that makes something again is no such sign.
pub(super) fn last_orders(lots: &[Lot], closing: Date) -> BTreeMap<Option<String>, Date> {
    let mut last: BTreeMap<Option<String>, Date> = BTreeMap::new();
    let new = lots
        .iter()
        .filter(|lot| !lot.remake && lot.opened <= closing);
    for lot in new {
        let own = last.entry(lot.dentist.clone()).or_insert(lot.opened);
        *own = (*own).max(lot.opened);
    }
    last
}

/// Returns the dentists who ever said what became of anything.
pub(super) fn heard_of(lots: &[Lot]) -> BTreeSet<Option<String>> {
    let said = |lot: &&Lot| lot.remake || lot.made.iter().any(|made| !made.outcomes.is_empty());
    lots.iter()
        .filter(said)
        .map(|lot| lot.dentist.clone())
        .collect()
}
