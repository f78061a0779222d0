//! How long judging takes, told as ratios within one run. Prints only; nothing is asserted.
#![allow(missing_docs, clippy::expect_used, clippy::print_stdout)]

#[path = "time.rs"]
mod time;

use std::hint::black_box;
use std::time::{Duration, Instant};

use casepan::case::{Case, FlowRef, Layer, Reading};
use casepan::demo::{CASES, case};
use casepan::derive::{Facts, Precision};
use casepan::fact::{
    FactId, HEIGHT, MARGIN_FL, MARGIN_MD, Place, PlaceKind, Spot, TOOTH_WIDTH, TOP_FL, TOP_MD,
    Unit, Value,
};
use casepan::flow::embedded;
use casepan::judge::judge;
use casepan::mechanics::dislodgement::grip::MESH;
use casepan::mechanics::dislodgement::{Holding, Limits, Load, Restoration, Settings};
use casepan::mechanics::resistance::{Section, resistance};
use casepan::session::{Inspection, Session, units_line};
use casepan::tooth::Notation;
use time::least;
use uuid::Uuid;

fn median(mut run: impl FnMut()) -> Duration {
    let mut times: Vec<Duration> = (0..101)
        .map(|_| {
            let start = Instant::now();
            run();
            start.elapsed()
        })
        .collect();
    times.sort();
    times[times.len() / 2]
}

fn main() {
    let flow = std::sync::Arc::new(embedded().flow.expect("the built-in flow has no problem"));
    let section = Section {
        base: 9.0,
        step: 0.2,
        height: 4.0,
        taper: 8.0,
    };
    let unit = median(|| {
        for _ in 0..1000 {
            let _ = black_box(resistance(black_box(section)));
        }
    }) / 1000;
    println!("unit: one section by the half-wall rule, {unit:?}");
    for (name, _) in CASES {
        let case = case(name).expect("an invented case reads");
        let derive = median(|| {
            black_box(Facts::of(&flow, black_box(&case)));
        });
        let facts = Facts::of(&flow, &case);
        let judged = median(|| {
            black_box(judge(&flow, black_box(&facts)));
        });
        let mut session = Session::new(Notation::Iso3950);
        session.show(Inspection::new(
            flow.clone(),
            case.clone(),
            1,
            Uuid::nil(),
            None,
        ));
        let view = median(|| {
            black_box(session.view());
        });
        let ratio = |time: Duration| time.as_secs_f64() / unit.as_secs_f64();
        println!(
            "{name}: derive {derive:?} ({:.0} units), judge {judged:?} ({:.0}), view {view:?} ({:.0})",
            ratio(derive),
            ratio(judged),
            ratio(view)
        );
    }
    whole();
    arch();
}

/// Fourteen joined crowns, as multiples of one crown: each solve is one prep's, so that the whole grows with preps times
/// loads.
fn arch() {
    let flow = embedded().flow.expect("the built-in flow has no problem");
    let [one, all] = ["17", "17 16 15 14 13 12 11 21 22 23 24 25 26 27"].map(bridge);
    for precision in [Precision::MeasureAgain, Precision::Quick] {
        let crown = median(|| {
            black_box(Facts::with(&flow, black_box(&one), precision));
        });
        let joined = least(3, || {
            black_box(Facts::with(&flow, black_box(&all), precision));
        });
        let facts = Facts::with(&flow, &all, precision);
        let mut changed = all.clone();
        put(&mut changed, TOP_MD, "14".parse().expect("a place"), 4.7);
        let after = least(3, || {
            black_box(Facts::after(
                &flow,
                black_box(&changed),
                precision,
                facts.results(),
            ));
        });
        let times = |time: Duration| time.as_secs_f64() / crown.as_secs_f64();
        println!(
            "14 joined crowns, {precision:?}: {joined:?} ({:.0} single crowns), one reading changed {after:?} ({:.0})",
            times(joined),
            times(after)
        );
    }
}

/// A bridge of plain preps: invented readings, teeth in ISO 3950, an x before each pontic.
fn bridge(line: &str) -> Case {
    let flow = embedded().flow.expect("the built-in flow has no problem");
    let own = FlowRef {
        id: flow.id.clone(),
        version: flow.version,
        digest: String::new(),
    };
    let units = units_line::read(line, Notation::Iso3950).expect("units");
    let mut case = Case::new("B-1", own, units);
    let preps = case.units.within(Place::Case, PlaceKind::Abutment);
    for (index, at) in preps.into_iter().enumerate() {
        let more = 0.2 * (index % 4) as f64;
        for (fact, number) in [
            (HEIGHT, 4.0 - more),
            (TOOTH_WIDTH, 0.5),
            (MARGIN_MD, 6.0 + more),
            (TOP_MD, 4.6),
            (MARGIN_FL, 7.0 + more),
            (TOP_FL, 5.6),
        ] {
            put(&mut case, fact, at, number);
        }
    }
    case
}

fn put(case: &mut Case, fact: FactId, at: Place, number: f64) {
    let value = Value::Number(number, Unit::Mm);
    case.put(Spot { fact, at }, Layer::Measured, Reading::plain(value));
}

/// Deriving and judging with all loads, as multiples of one load case of the same restoration; then after one reading
/// changed by 0.1 mm, from nothing and from the results before.
fn whole() {
    let flow = embedded().flow.expect("the built-in flow has no problem");
    for (line, at) in [("44 x45 46", "44"), ("13 x12 11 21 x22 23", "13")] {
        let case = bridge(line);
        let mut changed = case.clone();
        put(&mut changed, TOP_MD, at.parse().expect("a place"), 4.7);
        for precision in [Precision::MeasureAgain, Precision::Quick, Precision::Exact] {
            let facts = Facts::with(&flow, &case, precision);
            let settings = match precision {
                Precision::MeasureAgain | Precision::Quick => Settings::QUICK,
                Precision::Exact => Settings::EXACT,
            };
            let detail = facts.details().first().expect("a detail");
            let preps: Vec<_> = detail.preps.iter().map(|(_, prep)| prep.clone()).collect();
            let restoration = Restoration::new(&preps, MESH).expect("stumps");
            let holding = Holding::new(&restoration, Limits::default()).expect("held");
            let loads: Vec<Load> = detail
                .loads
                .iter()
                .map(|load| Load {
                    point: load.line.0,
                    direction: load.line.1,
                    force: load.force,
                })
                .collect();
            let one = median(|| {
                for load in &loads {
                    black_box(holding.dislodge(load, settings));
                }
            }) / loads.len() as u32;
            let cold = median(|| {
                let facts = Facts::with(&flow, black_box(&changed), precision);
                black_box(judge(&flow, &facts));
            });
            let warm = median(|| {
                let facts = Facts::after(&flow, black_box(&changed), precision, facts.results());
                black_box(judge(&flow, &facts));
            });
            let same = median(|| {
                let facts = Facts::after(&flow, black_box(&case), precision, facts.results());
                black_box(judge(&flow, &facts));
            });
            let ratio = |time: Duration| time.as_secs_f64() / one.as_secs_f64();
            println!(
                "{line}, {precision:?}: one of {} loads {one:?}; all of it {cold:?} ({:.0} loads), one reading changed \
                 {warm:?} ({:.0}, {:.2} of anew), none changed {same:?} ({:.0})",
                loads.len(),
                ratio(cold),
                ratio(warm),
                ratio(warm) / ratio(cold),
                ratio(same),
            );
        }
    }
}
