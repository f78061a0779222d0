//! What came back, as one JSON object.

use schemars::JsonSchema;
use serde::Serialize;

use super::shape::{Day, ForeseenWord, FormatKey, OutcomeKindWord};
use crate::case::outcome::Kind;
use crate::fact::Place;
use crate::learn::{Against, Asked, Figures, Ripe, Row, Unfound};
use crate::statistics::survival::{Curve, Incidence};
use crate::statistics::{Confidence, Interval};

/// What came back of what was delivered.
#[derive(Serialize, JsonSchema)]
pub struct Rates<'a> {
    /// The format of this object.
    format: FormatKey,
    /// The day on which the figures close: the last quarter day.
    closing: Day,
    /// The first day of delivery that counts; null if all do.
    from: Option<Day>,
    /// The last day of delivery that counts; null if all do.
    to: Option<Day>,
    /// How many months each restoration is followed.
    months: i32,
    /// The kinds that count; empty for all that went wrong.
    of: Vec<OutcomeKindWord>,
    /// What restorations are told apart by.
    by: Vec<&'static str>,
    /// How many restorations were delivered.
    delivered: u64,
    /// What is not known, and left out.
    not_known: NotKnownObject,
    /// All that were followed long enough.
    all: ShareObject,
    /// What they came back for.
    kinds: Vec<KindObject>,
    /// Whether the bench could have seen it, of those of which somebody said so.
    foreseen: Vec<ForeseenObject>,
    /// All of them by the half-year of their delivery.
    half_years: Vec<HalfYearObject<'a>>,
    /// The groups, in the order of their names, never by how many came back.
    groups: Vec<GroupObject<'a>>,
    /// Whether too few came back to tell groups apart.
    nothing_follows: bool,
    /// How many returns it takes to see what makes them three times as many in a quarter of the work.
    needed: u64,
    /// How long restorations stay: each day on which one came back.
    staying: Vec<StayingObject>,
    /// What they came back for first, as cumulative incidence; a lost tooth takes its restoration from all other kinds.
    by_kind: Vec<ByKindObject>,
    /// What came back although nothing had been found, the newest first. A list and no rate.
    nothing_found: Vec<UnfoundObject<'a>>,
}

/// What is not known, by number.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "NotKnown")]
struct NotKnownObject {
    /// Of dentists who never said what became of anything.
    never_heard_of: u64,
    /// Withdrawn.
    withdrawn: u64,
    /// Not delivered yet.
    open: u64,
    /// Delivered after the figures closed.
    since: u64,
    /// Lost sight of.
    lost: u64,
    /// Not followed long enough.
    not_followed: u64,
    /// Those of them that came back all the same.
    not_followed_came: u64,
    /// Cases that cannot be read.
    unreadable_cases: usize,
}

/// So many of so many.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Share")]
struct ShareObject {
    /// How many came back.
    came: u64,
    /// How many were followed.
    of: u64,
    /// The interval at 95 %; null if none was followed.
    interval: Option<[f64; 2]>,
}

/// What some came back for.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "KindCount")]
struct KindObject {
    /// What.
    what: OutcomeKindWord,
    /// How many.
    restorations: u64,
}

/// Whether the bench could have seen it.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "ForeseenCount")]
struct ForeseenObject {
    /// What was said.
    seen: ForeseenWord,
    /// How many.
    restorations: u64,
}

/// A group of restorations.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Group")]
struct GroupObject<'a> {
    /// Its names, one for each that it is told apart by; null where that is not known.
    names: Vec<Option<&'a str>>,
    /// How many of it came back.
    share: ShareObject,
    /// How many times as often as with all others; null if that is not compared.
    times: Option<TimesObject>,
    /// Why it is not compared, in one word; null if it is, or there is nothing to compare it with.
    not_compared: Option<&'static str>,
    /// Whether it lies beyond chance.
    stands_out: bool,
}

/// What was delivered in a half-year.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "HalfYear")]
struct HalfYearObject<'a> {
    /// The half-year in words; null if it is not known.
    name: Option<&'a str>,
    /// How many of it came back.
    share: ShareObject,
}

/// So many times as often.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Times")]
struct TimesObject {
    /// How many times; null if none of the others came back.
    times: Option<f64>,
    /// The low end at 95 %.
    low: f64,
    /// The high end at 95 %; null if it has none.
    high: Option<f64>,
    /// The same within each dentist, put together; null if that is not looked at.
    within_dentists: Option<f64>,
}

/// How many stay.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Staying")]
struct StayingObject {
    /// Days since the delivery.
    days: f64,
    /// How many were followed so far.
    followed: u64,
    /// How many came back then.
    came: u64,
    /// The share that is left.
    share: f64,
    /// Its band at 95 %; null where the formula knows none.
    interval: Option<[f64; 2]>,
}

/// What restorations came back for first, over time.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "ByKind")]
struct ByKindObject {
    /// What.
    what: OutcomeKindWord,
    /// The share up to each day on which one came back so.
    shares: Vec<ByDayObject>,
}

/// The share that came back for something up to a day.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "ByDay")]
struct ByDayObject {
    /// Days since the delivery.
    days: f64,
    /// The share, while other kinds take restorations away.
    share: f64,
    /// Its band at 95 %; null where the formula knows none.
    interval: Option<[f64; 2]>,
}

/// Something that came back although nothing had been found.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "NothingFound")]
struct UnfoundObject<'a> {
    /// The case.
    case: &'a str,
    /// The teeth.
    teeth: &'a [Place],
    /// What it was.
    what: OutcomeKindWord,
    /// The day.
    on: Day,
    /// Whether the bench could have seen it; null if nobody said.
    seen: Option<ForeseenWord>,
}

impl<'a> Rates<'a> {
    /// Returns the object of what came back; `unread` cases could not be read.
    pub fn of(found: &'a Figures, asked: &Asked, unread: usize) -> Rates<'a> {
        Rates {
            format: FormatKey,
            closing: Day(found.closing),
            from: asked.from.map(Day),
            to: asked.to.map(Day),
            months: asked.months,
            of: asked
                .kinds
                .iter()
                .map(|kind| OutcomeKindWord(*kind))
                .collect(),
            by: asked.by.iter().map(|by| by.as_str()).collect(),
            delivered: found.delivered,
            not_known: NotKnownObject {
                never_heard_of: found.unheard,
                withdrawn: found.withdrawn,
                open: found.open,
                since: found.since,
                lost: found.lost,
                not_followed: found.unripe,
                not_followed_came: found.unripe_came,
                unreadable_cases: unread,
            },
            all: share(&found.all),
            kinds: found
                .kinds
                .iter()
                .map(|(kind, of)| KindObject {
                    what: OutcomeKindWord(*kind),
                    restorations: *of,
                })
                .collect(),
            foreseen: found
                .foreseen
                .iter()
                .map(|(seen, of)| ForeseenObject {
                    seen: ForeseenWord(*seen),
                    restorations: *of,
                })
                .collect(),
            half_years: found.halves.iter().map(half_year).collect(),
            groups: found.rows.iter().map(group).collect(),
            nothing_follows: found.nothing_follows,
            needed: found.needed,
            staying: found.curve.iter().flat_map(staying).collect(),
            by_kind: found.by_kind.iter().flat_map(by_kind).collect(),
            nothing_found: found.unfound.iter().map(unfound).collect(),
        }
    }
}

/// Four decimals are more than any record tells.
fn rounded(figure: f64) -> f64 {
    (figure * 1e4).round() / 1e4
}

fn ends(own: Interval) -> [f64; 2] {
    [rounded(own.low), rounded(own.high)]
}

fn share(ripe: &Ripe) -> ShareObject {
    ShareObject {
        came: ripe.came,
        of: ripe.of,
        interval: ripe.interval.map(ends),
    }
}

fn group(row: &Row) -> GroupObject<'_> {
    let times = match &row.against {
        Against::Times(times) => Some(TimesObject {
            times: times.ratio.map(rounded),
            low: rounded(times.low),
            high: times.high.map(rounded),
            within_dentists: times.within_dentists.map(|(ratio, _)| rounded(ratio)),
        }),
        _ => None,
    };
    GroupObject {
        names: row.names.iter().map(Option::as_deref).collect(),
        share: share(&row.ripe),
        times,
        not_compared: match row.against {
            Against::TooFew => Some("too-few"),
            Against::FewDentists => Some("few-dentists"),
            Against::NotCompared | Against::Times(_) => None,
        },
        stands_out: row.stands_out,
    }
}

fn half_year(row: &Row) -> HalfYearObject<'_> {
    HalfYearObject {
        name: row.names.first().and_then(Option::as_deref),
        share: share(&row.ripe),
    }
}

fn staying(curve: &Curve) -> Vec<StayingObject> {
    let steps = curve.steps().iter().filter(|step| step.events > 0);
    let objects = steps.map(|step| StayingObject {
        days: step.time,
        followed: step.at_risk,
        came: step.events,
        share: rounded(step.survival),
        interval: curve
            .at(step.time, Confidence::P95)
            .ok()
            .and_then(|point| point.interval)
            .map(ends),
    });
    objects.collect()
}

fn by_kind(own: &Incidence<Kind>) -> Vec<ByKindObject> {
    let kinds = own.kinds().into_iter();
    let shares = |kind: Kind| {
        let at = |days: f64| {
            let point = own.at(kind, days, Confidence::P95).ok()?;
            Some(ByDayObject {
                days,
                share: rounded(point.value),
                interval: point.interval.map(ends),
            })
        };
        own.times(kind).filter_map(at).collect()
    };
    kinds
        .map(|kind| ByKindObject {
            what: OutcomeKindWord(kind),
            shares: shares(kind),
        })
        .collect()
}

fn unfound(own: &Unfound) -> UnfoundObject<'_> {
    UnfoundObject {
        case: &own.number,
        teeth: &own.teeth,
        what: OutcomeKindWord(own.what),
        on: Day(own.on),
        seen: own.seen.map(ForeseenWord),
    }
}
