//! An invented laboratory's two years: who ordered what, how it was cut, what was answered, what came of it.
//!
//! All is drawn from a seed, so that the same seed is the same laboratory, moved by days alone. It has a few effects that
//! are known, and many things without any: figures that find the ones and not the others can be trusted with a real archive.
//!
//! What has an effect:
//! - *Low grip, made as ordered.* Of all preps 32 % are short and tapered. The dentist was asked: 45 % were cut anew, 50 %
//!   made as ordered, 5 % withdrawn. Made as ordered they come off at 8 times the rate; cut anew, at that of all others.
//! - *Dual-arch tray of plastic, behind it no tooth.* 25 % of the orders; 22 % of them are high or open at a contact when
//!   seated, 3 % of the others.
//! - *Dentist P-03.* 30 % open margins, 3 % with the others.
//!
//! What has none: the day of the week, the other materials, the other dentists, technicians, a shade that is missing on the
//! order (25 %), the last tooth without such a tray.
//!
//! What misleads: technician T3 makes 60 % of the low ones; dentists P-11 and P-12 never say what became of anything, and
//! are not quiet; one material is there for the last four months alone; too little clearance is always cut anew, so that
//! nobody knows what it would have done.
//!
//! Everything else comes off at 3.5 % a year, fewer later than early (Weibull, shape 0.6), and at a few in a thousand breaks,
//! decays, or is lost. The figures are ours, chosen so that 400 cases can show them; none is of a real laboratory.

use fastrand::Rng;
use jiff::ToSpan as _;
use jiff::civil::{Date, Weekday};

use crate::case::outcome::{Foreseen, Kind, Known};

/// Which laboratory.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Plan {
    /// How many cases.
    pub cases: usize,
    /// What it is drawn from.
    pub seed: u64,
    /// The last day; two years end with it.
    pub until: Date,
}

/// The tray of an impression.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Tray {
    /// Over the whole arch.
    FullArch,
    /// Over a quadrant.
    Quadrant,
    /// Over both arches at once, of plastic, at the last tooth.
    DualArch,
}

/// How a prep is cut.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Shape {
    /// Its height in mm.
    pub height: f64,
    /// Its total taper in degrees.
    pub taper: f64,
    /// How much less clearance there is than is needed, in mm; less than nothing for more.
    pub short_of: f64,
}

/// What the dentist answered.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Answer {
    /// It is cut anew.
    Changed,
    /// It is made as it was ordered.
    AsOrdered,
    /// It is not made.
    Withdrawn,
}

/// What became of a restoration.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Event {
    /// What.
    pub what: Kind,
    /// When.
    pub on: Date,
    /// How it is known.
    pub known: Known,
    /// Whether the bench could have seen it.
    pub seen: Option<Foreseen>,
}

/// An order of one crown.
#[derive(Clone, PartialEq, Debug)]
pub struct Order {
    /// Its number, from 1.
    pub nth: usize,
    /// The day on which it came in.
    pub opened: Date,
    /// The dentist, from 1 to [`DENTISTS`].
    pub dentist: usize,
    /// Who makes it, from 1 to [`TECHNICIANS`].
    pub technician: usize,
    /// The tooth, in ISO 3950.
    pub tooth: u8,
    /// The id of the material, and of the cement.
    pub of: (&'static str, &'static str),
    /// The tray.
    pub tray: Tray,
    /// Whether the order names a shade.
    pub shade: bool,
    /// The prep as it came in.
    pub found: Shape,
    /// Whether its grip is low.
    pub low: bool,
    /// What was answered, if it was asked.
    pub answer: Option<Answer>,
    /// The prep as it was cut anew, with the day on which the new impression came.
    pub anew: Option<(Shape, Date)>,
    /// The day of the delivery, or of the withdrawal.
    pub left: Date,
    /// What became of it, as far as somebody said so, in the order of the days.
    pub events: Vec<Event>,
}

/// How many dentists.
pub const DENTISTS: usize = 12;
/// How many technicians.
pub const TECHNICIANS: usize = 5;
/// How many days.
pub const DAYS: i64 = 730;

/// The dentist with open margins.
pub const OPEN_MARGINS: usize = 3;
/// The dentists who never say anything.
pub const SILENT: [usize; 2] = [11, 12];
/// The technician to whom short preps go.
pub const SHORT_PREPS: usize = 3;

const LOW: f64 = 0.32;
const CHANGED: f64 = 0.45;
const AS_ORDERED: f64 = 0.50;
/// How many times as often what is low and made as ordered comes off.
const TIMES: f64 = 8.0;
/// The share that comes off within the first year.
const COMES_OFF: f64 = 0.035;
const SHAPE: f64 = 0.6;
const DUAL_ARCH: f64 = 0.25;
const AT_FIT: f64 = 0.03;
const AT_FIT_DUAL_ARCH: f64 = 0.22;
const MARGIN: f64 = 0.03;
const MARGIN_OF_ONE: f64 = 0.30;
const NO_SHADE: f64 = 0.25;
const TO_SHORT_PREPS: f64 = 0.60;
const NO_ROOM: f64 = 0.05;
/// Shares a year, whatever the prep.
const LATER: [(Kind, f64); 3] = [
    (Kind::Broke, 0.008),
    (Kind::Decay, 0.003),
    (Kind::ToothLost, 0.003),
];

/// Materials with a cement that goes with each, and how often they are ordered.
const MATERIALS: [((&str, &str), f64); 3] = [
    (("zirconia-3y", "resin-modified"), 0.55),
    (("lithium-disilicate", "adhesive-resin"), 0.27),
    (("metal-ceramic", "zinc-phosphate"), 0.18),
];
/// The material of the last four months, and how often it is ordered then.
const LATE_MATERIAL: ((&str, &str), f64) = (("zirconia-4y", "resin-modified"), 0.30);

/// Teeth with a tooth behind them, and last teeth.
const WITHIN: [u8; 12] = [14, 15, 16, 24, 25, 26, 34, 35, 36, 44, 45, 46];
const LAST: [u8; 4] = [17, 27, 37, 47];

impl Order {
    /// Returns whether it was made and left the laboratory.
    pub fn is_made(&self) -> bool {
        self.answer != Some(Answer::Withdrawn)
    }

    /// Returns the code of the dentist.
    pub fn dentist_code(&self) -> String {
        format!("P-{:02}", self.dentist)
    }

    /// Returns the code of who makes it.
    pub fn technician_code(&self) -> String {
        format!("T{}", self.technician)
    }

    /// Returns the number of the case.
    pub fn number(&self) -> String {
        format!("L-{:04}", self.nth)
    }
}

/// Returns what was ordered and what became of it, the oldest first.
pub fn orders(plan: &Plan) -> Vec<Order> {
    let mut rng = Rng::with_seed(plan.seed);
    let first = plan.until.saturating_sub(DAYS.days());
    (0..plan.cases)
        .map(|nth| {
            let share = nth as f64 / plan.cases.max(1) as f64;
            let day = (share * DAYS as f64) as i64;
            order(
                &mut rng,
                plan,
                nth + 1,
                working(first.saturating_add(day.days())),
            )
        })
        .collect()
}

fn order(rng: &mut Rng, plan: &Plan, nth: usize, opened: Date) -> Order {
    let dentist = dentist(rng);
    let low = rng.f64() < LOW;
    let technician = match low && rng.f64() < TO_SHORT_PREPS {
        true => SHORT_PREPS,
        false => rng.usize(1..=TECHNICIANS),
    };
    let tray = match rng.f64() {
        share if share < DUAL_ARCH => Tray::DualArch,
        share if share < 0.45 => Tray::Quadrant,
        _ => Tray::FullArch,
    };
    let tooth = match tray {
        Tray::DualArch => LAST[rng.usize(..LAST.len())],
        // Some are last teeth with another tray.
        Tray::FullArch if rng.f64() < 0.15 => LAST[rng.usize(..LAST.len())],
        _ => WITHIN[rng.usize(..WITHIN.len())],
    };
    let of = material(rng, plan, opened);
    let no_room = !low && rng.f64() < NO_ROOM;
    let found = match low {
        true => low_shape(rng),
        false => sound_shape(rng, no_room),
    };
    let answer = match low {
        true => Some(answer(rng)),
        false => no_room.then_some(Answer::Changed),
    };
    let anew = (answer == Some(Answer::Changed)).then(|| {
        let came = working(opened.saturating_add(rng.i64(8..=15).days()));
        (sound_shape(rng, false), came)
    });
    let begun = anew.map_or(opened, |(_, came)| came);
    let left = match answer {
        Some(Answer::Withdrawn) => working(opened.saturating_add(3.days())),
        _ => working(begun.saturating_add(rng.i64(5..=10).days())),
    };
    let mut order = Order {
        nth,
        opened,
        dentist,
        technician,
        tooth,
        of,
        tray,
        shade: rng.f64() >= NO_SHADE,
        found,
        low,
        answer,
        anew,
        left,
        events: Vec::new(),
    };
    let events = events(rng, &order);
    if order.is_made() && !SILENT.contains(&dentist) {
        order.events = events;
        order.events.retain(|event| event.on <= plan.until);
    }
    order
}

/// The dentists order from 60 to 12 of the same number of crowns.
fn dentist(rng: &mut Rng) -> usize {
    let orders = |nth: usize| 60.0 - 48.0 * nth as f64 / (DENTISTS - 1) as f64;
    let all: f64 = (0..DENTISTS).map(orders).sum();
    let mut left = rng.f64() * all;
    for nth in 0..DENTISTS {
        left -= orders(nth);
        if left < 0.0 {
            return nth + 1;
        }
    }
    DENTISTS
}

fn material(rng: &mut Rng, plan: &Plan, opened: Date) -> (&'static str, &'static str) {
    let share = rng.f64();
    let late = opened >= plan.until.saturating_sub(4.months());
    if late && rng.f64() < LATE_MATERIAL.1 {
        return LATE_MATERIAL.0;
    }
    let mut below = 0.0;
    for (of, often) in MATERIALS {
        below += often;
        if share < below {
            return of;
        }
    }
    MATERIALS[0].0
}

fn answer(rng: &mut Rng) -> Answer {
    match rng.f64() {
        share if share < CHANGED => Answer::Changed,
        share if share < CHANGED + AS_ORDERED => Answer::AsOrdered,
        _ => Answer::Withdrawn,
    }
}

/// A prep without resistance form: about a millimetre under the published least, and strongly tapered.
fn low_shape(rng: &mut Rng) -> Shape {
    Shape {
        height: (normal(rng) * 0.2 + 2.7).clamp(2.5, 3.0),
        taper: (normal(rng) * 3.0 + 42.0).clamp(38.0, 50.0),
        short_of: -0.2,
    }
}

/// A prep that holds: over the published least, with a total taper as advised or a little more.
fn sound_shape(rng: &mut Rng, no_room: bool) -> Shape {
    Shape {
        height: (normal(rng) * 0.4 + 4.7).clamp(4.1, 5.6),
        taper: (normal(rng) * 3.0 + 14.0).clamp(8.0, 19.0),
        short_of: if no_room { 0.6 } else { -0.2 },
    }
}

/// A draw from the standard normal distribution, after Box and Muller 1958.
fn normal(rng: &mut Rng) -> f64 {
    (-2.0 * unit(rng).ln()).sqrt() * (std::f64::consts::TAU * rng.f64()).cos()
}

/// A share that is more than 0.
fn unit(rng: &mut Rng) -> f64 {
    1.0 - rng.f64()
}

/// What becomes of a restoration, whether or not anybody says so.
fn events(rng: &mut Rng, order: &Order) -> Vec<Event> {
    let of_dual_arch = order.tray == Tray::DualArch;
    let at_fit = if of_dual_arch {
        AT_FIT_DUAL_ARCH
    } else {
        AT_FIT
    };
    let of_one = order.dentist == OPEN_MARGINS;
    let margin = if of_one { MARGIN_OF_ONE } else { MARGIN };
    let contact = match rng.f64() {
        share if share < 0.6 => Kind::HighContact,
        _ => Kind::ContactOpen,
    };
    let mut events = Vec::new();
    for (what, often) in [
        (contact, at_fit),
        (Kind::OpenMargin, margin),
        (Kind::Shade, 0.01),
    ] {
        let day = rng.i64(1..=25);
        if rng.f64() < often {
            events.push(failed(rng, what, order, day as f64));
        }
    }
    let held_as_ordered = order.low && order.answer == Some(Answer::AsOrdered);
    let times = if held_as_ordered { TIMES } else { 1.0 };
    let years = (-unit(rng).ln() / (times * hazard(COMES_OFF))).powf(1.0 / SHAPE);
    events.push(failed(rng, Kind::CameOff, order, years * YEAR));
    for (what, share) in LATER {
        let years = -unit(rng).ln() / hazard(share);
        events.push(failed(rng, what, order, years * YEAR));
    }
    events.sort_by_key(|event| event.on);
    // Nothing more comes of a tooth that is lost, and nothing is seen quiet once something has come.
    if let Some(lost) = events.iter().position(|own| own.what == Kind::ToothLost) {
        events.truncate(lost + 1);
    }
    for months in [6, 12] {
        let on = working(order.left.saturating_add(months.months()));
        let before = events
            .iter()
            .any(|own| own.what.is_failure() && own.on <= on);
        if rng.bool() && !before {
            events.push(Event {
                what: Kind::Quiet,
                on,
                known: Known::Recall,
                seen: None,
            });
        }
    }
    events.sort_by_key(|event| event.on);
    events
}

const YEAR: f64 = 365.25;

/// The hazard that sums up to a share within a year.
fn hazard(share: f64) -> f64 {
    -(1.0 - share).ln()
}

fn failed(rng: &mut Rng, what: Kind, order: &Order, days: f64) -> Event {
    // Two hundred years are never.
    let days = days.clamp(1.0, 200.0 * YEAR) as i64;
    let seen = match rng.f64() {
        share if share < 0.3 => None,
        _ if what == Kind::CameOff && order.answer == Some(Answer::AsOrdered) => {
            Some(Foreseen::Asked)
        }
        share if share < 0.5 => Some(Foreseen::NoRule),
        share if share < 0.6 => Some(Foreseen::ReadingOff),
        _ => Some(Foreseen::No),
    };
    Event {
        what,
        on: order.left.saturating_add(days.days()),
        known: if rng.bool() {
            Known::Bench
        } else {
            Known::Dentist
        },
        seen,
    }
}

/// The same day, or Monday where it falls on a weekend.
pub(super) fn working(day: Date) -> Date {
    let beyond = match day.weekday() {
        Weekday::Saturday => 2,
        Weekday::Sunday => 1,
        _ => 0,
    };
    day.saturating_add(beyond.days())
}
