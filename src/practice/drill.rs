//! Drills: a small case is drawn, judged, and kept if what is right about it stays so whichever reading is off.

use fastrand::Rng;

use super::Kind;
use super::draw::{MARGIN, Prep, tenth, within};
use super::made::{ONLY, choice, finish, mm, ordered, put, spot};
use crate::case::Case;
use crate::derive::{Facts, Precision};
use crate::fact::{FactId, Place, Side, Spot, Unit, Value};
use crate::flow::{Flow, Level};
use crate::judge::doubt::{MeasureAgain, measure_again, off_by};
use crate::judge::{Judgement, judge};
use crate::tooth::Tooth;

/// What a drill asks.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Asks {
    /// What the result is.
    Result,
    /// Which wall is the weak one.
    WeakWall,
    /// What has to be better for the result to be better.
    AtFault,
    /// Which reading to take again first.
    AgainFirst,
}

/// One of the answers that a drill offers.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Choice {
    /// A result.
    Level(Level),
    /// A fact at its place: a wall, a figure, a reading.
    Spot(Spot),
    /// All that stands before it, together.
    Both,
}

/// A drill.
#[derive(Clone, PartialEq, Debug)]
pub struct Drill {
    /// What it is about.
    pub kind: Kind,
    /// What it was drawn from.
    pub seed: u64,
    /// What it asks.
    pub asks: Asks,
    /// The case.
    pub case: Case,
    /// What of the case is told, in this order. Everything else of it is sound.
    pub told: Vec<Spot>,
    /// The answers that are offered.
    pub choices: Vec<Choice>,
    /// Which of them is right, from 0.
    pub right: usize,
    /// The judgement of the case.
    pub judgement: Judgement,
    /// The readings that could turn the result, the likeliest first; only where that is asked.
    pub again: Vec<MeasureAgain>,
    /// The readings told that decide the result; empty where nothing was found or it is not asked.
    pub decides: Vec<Spot>,
}

/// How many cases are drawn before it is given up.
const TRIES: usize = 400;

/// By how many standard deviations each reading may be off.
const OFF: f64 = 2.0;

/// Draws a drill. The same flow, kind and seed give the same one. `None` if the flow lets none be drawn: it asks what is not
/// known here, or has no rule on the subject.
pub fn drill(flow: &Flow, kind: Kind, seed: u64) -> Option<Drill> {
    let own = Kind::ALL.iter().position(|other| *other == kind)? as u64;
    let mut rng = Rng::with_seed(seed ^ (own + 1).rotate_left(48));
    (0..TRIES).find_map(|_| {
        let drawn = draw(flow, kind, &mut rng)?;
        kept(flow, kind, seed, drawn)
    })
}

/// A case that was drawn, and what of it is told.
struct Drawn {
    asks: Asks,
    case: Case,
    told: Vec<Spot>,
}

/// Materials with a cement that goes with each in practice.
const MATERIALS: [(&str, &str); 4] = [
    ("zirconia-3y", "resin-modified"),
    ("lithium-disilicate", "adhesive-resin"),
    ("metal-ceramic", "zinc-phosphate"),
    ("cast-metal", "glass-ionomer"),
];

const CROWNS: [u8; 14] = [14, 15, 16, 24, 25, 26, 34, 35, 36, 44, 45, 46, 13, 33];
/// Where a molar of the lower jaw is cut, few are tall enough for anything but a call.
const TALLER: [u8; 10] = [14, 15, 16, 24, 25, 26, 34, 44, 45, 13];
const BACK: [u8; 8] = [15, 16, 17, 25, 26, 36, 37, 46];
const BRIDGES: [[u8; 3]; 4] = [[44, 45, 46], [34, 35, 36], [14, 15, 16], [24, 25, 26]];
/// Kinds that a sound drill looks like.
const LOOKS_LIKE: [Kind; 5] = [
    Kind::Shape,
    Kind::Margin,
    Kind::Clearance,
    Kind::Connector,
    Kind::Tray,
];

fn one<T: Copy>(rng: &mut Rng, of: &[T]) -> Option<T> {
    rng.choice(of).copied()
}

fn draw(flow: &Flow, kind: Kind, rng: &mut Rng) -> Option<Drawn> {
    match kind {
        Kind::Wall => wall(flow, rng),
        Kind::Shape => shape(flow, rng, Asks::AtFault),
        Kind::First => shape(flow, rng, Asks::AgainFirst),
        Kind::Margin => margin(flow, rng),
        Kind::Clearance => clearance(flow, rng),
        Kind::Connector => connector(flow, rng),
        Kind::Tray => tray(flow, rng),
        Kind::Sound => match one(rng, &LOOKS_LIKE)? {
            Kind::Shape => shape(flow, rng, Asks::Result),
            other => draw(flow, other, rng),
        },
    }
}

/// A crown on one of these teeth.
fn crown(flow: &Flow, rng: &mut Rng, of: &[u8]) -> Option<(Case, Place, Tooth)> {
    let tooth = Tooth::from_iso(one(rng, of)?)?;
    let case = ordered(flow, &[(tooth, false)], one(rng, &MATERIALS)?)?;
    Some((case, Place::Unit(tooth), tooth))
}

/// What is told of every order.
fn order() -> Vec<Spot> {
    ["order.material", "order.cement"]
        .map(|fact| spot(fact, ONLY))
        .to_vec()
}

fn margin_of(flow: &Flow, case: &Case) -> Option<f64> {
    let id = case.value(&FactId::named("order.material"), ONLY)?;
    Some(flow.material(id.choice()?)?.margin_depth)
}

/// A prep by its four widths and its height.
fn shape(flow: &Flow, rng: &mut Rng, asks: Asks) -> Option<Drawn> {
    let (mut case, at, tooth) = crown(flow, rng, &TALLER)?;
    let prep = Prep::even(rng, tooth, margin_of(flow, &case)?);
    // On a scan the errors are smaller, and more cases hold.
    if asks != Asks::AgainFirst {
        put(flow, &mut case, "records.kind", Place::Case, choice("scan"))?;
    }
    let mut told = order();
    told.extend(put_shape(flow, &mut case, at, &prep)?);
    // Told of every second one: where it always was, it would nearly always be the one.
    if asks == Asks::AgainFirst && rng.bool() {
        let need = of_material(flow, &case)?;
        let clearance = tenth(within(rng, (need + 0.2, 0.4), 0.3, 3.0));
        told.push(put(flow, &mut case, "tooth.clearance", at, mm(clearance))?);
    }
    Some(Drawn { asks, case, told })
}

fn of_material(flow: &Flow, case: &Case) -> Option<f64> {
    let id = case.value(&FactId::named("order.material"), ONLY)?;
    Some(flow.material(id.choice()?)?.occlusal)
}

/// Height and widths of a prep.
fn put_shape(flow: &Flow, case: &mut Case, at: Place, prep: &Prep) -> Option<Vec<Spot>> {
    let [top_md, top_fl] = prep.tops()?;
    let [md, fl] = prep.margins;
    let read = [
        ("tooth.height", prep.height()),
        ("tooth.width_margin_md", md),
        ("tooth.width_top_md", top_md),
        ("tooth.width_margin_fl", fl),
        ("tooth.width_top_fl", top_fl),
    ];
    let put = read.into_iter();
    put.map(|(fact, number)| self::put(flow, case, fact, at, mm(number)))
        .collect()
}

/// A prep wall by wall.
fn wall(flow: &Flow, rng: &mut Rng) -> Option<Drawn> {
    let (mut case, at, tooth) = crown(flow, rng, &TALLER)?;
    let prep = Prep::uneven(rng, tooth, margin_of(flow, &case)?);
    put(flow, &mut case, "records.kind", Place::Case, choice("scan"))?;
    let mut told = order();
    told.extend(put_shape(flow, &mut case, at, &prep)?);
    put(flow, &mut case, "tooth.wall_by_wall", at, Value::Yes)?;
    for (fact, read, unit) in [
        ("wall.height", prep.heights, Unit::Mm),
        ("wall.taper", prep.tapers, Unit::Deg),
    ] {
        for (side, number) in Side::ALL.into_iter().zip(read) {
            let at = Place::Wall(tooth, side);
            told.push(put(flow, &mut case, fact, at, Value::Number(number, unit))?);
        }
    }
    // The mean of the walls and the widths at the top follow from them.
    told.retain(|spot| {
        !["tooth.height", "tooth.width_top_md", "tooth.width_top_fl"].contains(&spot.fact.as_str())
    });
    Some(Drawn {
        asks: Asks::WeakWall,
        case,
        told,
    })
}

fn margin(flow: &Flow, rng: &mut Rng) -> Option<Drawn> {
    let (mut case, at, _) = crown(flow, rng, &CROWNS)?;
    put(flow, &mut case, "records.kind", Place::Case, choice("scan"))?;
    let form = one(
        rng,
        &["chamfer", "shoulder", "sharp-shoulder", "bevel", "feather"],
    )?;
    let mut told = order();
    told.push(put(flow, &mut case, "tooth.margin_form", at, choice(form))?);
    if form != "feather" {
        let width = mm(tenth(within(rng, MARGIN, 0.1, 1.6)));
        told.push(put(flow, &mut case, "tooth.margin_width", at, width)?);
    }
    Some(Drawn {
        asks: Asks::Result,
        case,
        told,
    })
}

fn clearance(flow: &Flow, rng: &mut Rng) -> Option<Drawn> {
    let (mut case, at, _) = crown(flow, rng, &CROWNS)?;
    let need = of_material(flow, &case)?;
    // No survey of clearances is at hand: ours.
    let clearance = tenth(within(rng, (need, 0.6), 0.1, 3.0));
    let mut told = order();
    told.push(put(flow, &mut case, "tooth.clearance", at, mm(clearance))?);
    Some(Drawn {
        asks: Asks::Result,
        case,
        told,
    })
}

fn connector(flow: &Flow, rng: &mut Rng) -> Option<Drawn> {
    let [front, middle, back] = one(rng, &BRIDGES)?.map(Tooth::from_iso);
    let teeth = [(front?, false), (middle?, true), (back?, false)];
    let materials = &MATERIALS[..3];
    let of = one(rng, materials).filter(|of| of.0 != "lithium-disilicate")?;
    let mut case = ordered(flow, &teeth, of)?;
    let mut told = order();
    let tight = choice("tight");
    put(flow, &mut case, "restoration.connector_space", ONLY, tight)?;
    for pair in teeth.windows(2) {
        let at = Place::connector(pair[0].0, pair[1].0);
        // Ours, as no survey is at hand.
        for (fact, mean) in [
            ("connector.space_height", 4.0),
            ("connector.space_width", 3.8),
        ] {
            let room = mm(tenth(within(rng, (mean, 0.9), 1.5, 7.0)));
            told.push(put(flow, &mut case, fact, at, room)?);
        }
    }
    Some(Drawn {
        asks: Asks::Result,
        case,
        told,
    })
}

fn tray(flow: &Flow, rng: &mut Rng) -> Option<Drawn> {
    let (mut case, _, tooth) = crown(flow, rng, &BACK)?;
    let yes = |own: bool| Value::from(own);
    let last = tooth.position() == 7;
    let tray = one(rng, &["full-arch", "quadrant", "dual-arch", "dual-arch"])?;
    let mut told = order();
    let mut read = vec![("impression.tray", Place::Case, choice(tray))];
    if tray == "dual-arch" {
        read.push(("impression.stops", Place::Case, yes(rng.f64() < 0.75)));
        read.push((
            "impression.tray_on_tissue",
            Place::Case,
            yes(rng.f64() < 0.25),
        ));
        read.push(("impression.canine_in", Place::Case, yes(rng.f64() < 0.75)));
        let neighbours = if last { "one" } else { "both" };
        read.push(("restoration.neighbours", ONLY, choice(neighbours)));
    }
    read.push(("restoration.last_tooth", ONLY, yes(last)));
    let record = one(rng, &["none", "prepared"])?;
    read.push(("bite.record", Place::Case, choice(record)));
    for (fact, at, value) in read {
        told.push(put(flow, &mut case, fact, at, value)?);
    }
    Some(Drawn {
        asks: Asks::Result,
        case,
        told,
    })
}

/// Finishes a case that was drawn and works out what is right, or refuses it.
fn kept(flow: &Flow, kind: Kind, seed: u64, drawn: Drawn) -> Option<Drill> {
    let Drawn {
        asks,
        mut case,
        told,
    } = drawn;
    finish(flow, &mut case)?;
    let facts = Facts::with(flow, &case, Precision::Quick);
    let judgement = judge(flow, &facts);
    // A case that is open has no answer.
    (judgement.verdict.covered && !judgement.verdict.is_open()).then_some(())?;
    let level = judgement.verdict.level;
    if asks == Asks::Result && (level == Level::Fine) != (kind == Kind::Sound) {
        return None;
    }
    let mut again = Vec::new();
    let (choices, right) = match asks {
        Asks::Result => {
            let right = LEVELS.iter().position(|own| *own == level)?;
            (LEVELS.map(Choice::Level).to_vec(), right)
        }
        Asks::AgainFirst => {
            again = measure_again(flow, &case, &facts, &judgement);
            let read: Vec<Spot> = told
                .iter()
                .filter(|spot| {
                    facts
                        .value(&spot.fact, spot.at)
                        .and_then(Value::number)
                        .is_some()
                })
                .cloned()
                .collect();
            let right =
                first(&again).and_then(|first| read.iter().position(|own| *own == first))?;
            (read.into_iter().map(Choice::Spot).collect(), right)
        }
        Asks::WeakWall => {
            let walls = walls(told.last()?.at)?;
            let right = weakest(&facts, &walls)?;
            (walls.into_iter().map(Choice::Spot).collect(), right)
        }
        Asks::AtFault => {
            let at = told.last()?.at;
            let right = at_fault(flow, &facts, at, level)?;
            let figures = ["tooth.total_taper", "tooth.height_used"];
            let mut choices: Vec<Choice> =
                figures.map(|fact| Choice::Spot(spot(fact, at))).to_vec();
            choices.push(Choice::Both);
            (choices, right)
        }
    };
    let decides = deciding(&facts, &judgement, &told);
    if asks == Asks::Result && level > Level::Fine && decides.is_empty() {
        return None;
    }
    if asks != Asks::AgainFirst && !holds(flow, &facts, &told, asks, right) {
        return None;
    }
    drop(facts);
    Some(Drill {
        kind,
        seed,
        asks,
        case,
        told,
        choices,
        right,
        judgement,
        again,
        decides: if asks == Asks::Result {
            decides
        } else {
            Vec::new()
        },
    })
}

/// The results that are offered, the lightest first.
pub(super) const LEVELS: [Level; 4] = [Level::Fine, Level::Watch, Level::Call, Level::Hold];

/// Whether the answer stays what it is, whichever reading is off by twice its error.
fn holds(flow: &Flow, facts: &Facts<'_>, told: &[Spot], asks: Asks, right: usize) -> bool {
    off_by(facts, OFF).all(|case| {
        let moved = match asks {
            Asks::WeakWall => Facts::without_search(flow, &case),
            _ => Facts::after(flow, &case, Precision::Quick, facts.results()),
        };
        let level = || judge(flow, &moved).verdict.level;
        let now = match asks {
            Asks::Result => LEVELS.iter().position(|own| *own == level()),
            Asks::WeakWall => told
                .last()
                .and_then(|last| weakest(&moved, &walls(last.at)?)),
            Asks::AtFault => told
                .last()
                .and_then(|last| at_fault(flow, &moved, last.at, level())),
            Asks::AgainFirst => Some(right),
        };
        now == Some(right)
    })
}

/// The readings told that the gravest finding rests on.
fn deciding(facts: &Facts<'_>, judgement: &Judgement, told: &[Spot]) -> Vec<Spot> {
    let Some(finding) = judgement.findings.first() else {
        return Vec::new();
    };
    let read: Vec<Spot> = finding
        .evidence
        .iter()
        .flat_map(|spot| facts.readings(spot))
        .collect();
    told.iter()
        .filter(|spot| read.contains(spot))
        .cloned()
        .collect()
}

/// The reading that turns the result soonest, if none comes near it.
fn first(again: &[MeasureAgain]) -> Option<Spot> {
    /// By how much its chance must be the greatest. Ours.
    const CLEARLY: f64 = 0.05;
    let best = again.first()?;
    let next = again.get(1).map_or(0.0, |next| next.chance);
    (best.chance - next >= CLEARLY).then(|| best.spot.clone())
}

/// The four walls of a tooth, as their effective shares.
fn walls(at: Place) -> Option<Vec<Spot>> {
    let Place::Wall(tooth, _) = at else {
        return None;
    };
    let walls = Side::ALL.map(|side| spot("wall.effective_share", Place::Wall(tooth, side)));
    Some(walls.to_vec())
}

/// The wall of which least is effective, if that is too little and less than of any other.
fn weakest(facts: &Facts<'_>, walls: &[Spot]) -> Option<usize> {
    let shares: Option<Vec<f64>> = walls
        .iter()
        .map(|wall| facts.value(&wall.fact, wall.at).and_then(Value::number))
        .collect();
    let shares = shares?;
    let least = shares.iter().copied().reduce(f64::min)?;
    let mut weak = shares.iter().enumerate().filter(|(_, own)| **own <= least);
    let (at, _) = weak.next()?;
    let fails = facts.value(&FactId::named("wall.effective"), walls[at].at) == Some(&Value::No);
    (weak.next().is_none() && fails).then_some(at)
}

/// What has to be better for a better result: taper (0), height (1), or both (2). `None` where either would do, or neither,
/// or nothing was found.
fn at_fault(flow: &Flow, facts: &Facts<'_>, at: Place, level: Level) -> Option<usize> {
    (level > Level::Fine).then_some(())?;
    let better = |taper: bool, height: bool| -> Option<bool> {
        // A prep that cannot be cut so helps nothing.
        let Some(case) = cut(flow, facts, at, taper, height) else {
            return Some(false);
        };
        let facts = Facts::after(flow, &case, Precision::Quick, facts.results());
        Some(judge(flow, &facts).verdict.level < level)
    };
    match (better(true, false)?, better(false, true)?) {
        (true, false) => Some(0),
        (false, true) => Some(1),
        (false, false) => better(true, true)?.then_some(2),
        (true, true) => None,
    }
}

/// Total taper of a prep that is cut better: within the 10 to 20° advised (Goodacre 2001).
const ADVISED: f64 = 16.0;

/// The same prep with a taper as advised, or with the published least height (4 mm on molars, 3 on others, Goodacre 2001), or
/// with both. The margin stays.
fn cut(flow: &Flow, facts: &Facts<'_>, at: Place, taper: bool, height: bool) -> Option<Case> {
    let Place::Unit(tooth) = at else {
        return None;
    };
    let number = |fact: &str| {
        facts
            .value(&FactId::named(fact), at)
            .and_then(Value::number)
    };
    let old = number("tooth.height")?;
    let least = match tooth.class() {
        crate::tooth::ToothClass::Molar => 4.0,
        _ => 3.0,
    };
    let new = if height { old.max(least) } else { old };
    let mut case = facts.case().clone();
    put(flow, &mut case, "tooth.height", at, mm(new))?;
    for side in Side::ALL {
        let wall = Place::Wall(tooth, side);
        // What was read wall by wall is as the quick pass here.
        if case.value(&FactId::named("wall.height"), wall).is_some() {
            put(flow, &mut case, "wall.height", wall, mm(new))?;
        }
    }
    for (margin, top) in [
        ("tooth.width_margin_md", "tooth.width_top_md"),
        ("tooth.width_margin_fl", "tooth.width_top_fl"),
    ] {
        let narrower = match taper {
            true => 2.0 * new * (ADVISED / 2.0).to_radians().tan(),
            false => (number(margin)? - number(top)?) * new / old,
        };
        // What is cut straighter is cut less.
        let narrower = narrower.min((number(margin)? - number(top)?) * new / old);
        let width = number(margin)? - narrower;
        (width >= 0.5).then_some(())?;
        put(flow, &mut case, top, at, mm(width))?;
    }
    finish(flow, &mut case)?;
    Some(case)
}
