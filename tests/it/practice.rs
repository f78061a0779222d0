//! Drills: drawn as published, right by the judge, the same from the same seed; a person's record and what comes back.

mod command;
mod models;

use std::collections::BTreeMap;

use casepan::case::{Case, Layer, Reading};
use casepan::derive::Facts;
use casepan::fact::{FactId, Value};
use casepan::flow::Level;
use casepan::judge::doubt::{doubt, error_of};
use casepan::judge::judge;
use casepan::practice::record::{Act, Drills, Missed, Row, answered, grade, missed};
use casepan::practice::{Asks, Choice, Drill, Kind, ROUND, drill, nth};
use jiff::ToSpan as _;
use jiff::civil::date;

use crate::good::flow;

fn drawn(kind: Kind, seed: u64) -> Drill {
    drill(flow(), kind, seed).unwrap_or_else(|| panic!("{kind:?} {seed}"))
}

/// The level by the exact figures that prints have.
fn level(case: &Case) -> Level {
    let facts = Facts::of(flow(), case);
    judge(flow(), &facts).verdict.level
}

/// Every case in which one measured number is off by twice its error: worked out here, from the questions of the flow.
fn off(case: &Case) -> Vec<Case> {
    let facts = Facts::of(flow(), case);
    let mut list = Vec::new();
    for (spot, layer, reading) in case.present() {
        let (Layer::Measured, Value::Number(value, unit)) = (layer, &reading.value) else {
            continue;
        };
        let Some(error) = error_of(&facts, spot, reading) else {
            continue;
        };
        for sign in [-2.0, 2.0] {
            let mut moved = case.clone();
            let value = Value::Number((value + sign * error).max(0.0), *unit);
            let reading = Reading {
                value,
                ..reading.clone()
            };
            moved.put(spot.clone(), Layer::Measured, reading);
            list.push(moved);
        }
    }
    list
}

#[test]
fn every_kind_can_be_drawn_and_the_same_seed_gives_the_same_drill() {
    for kind in Kind::ALL {
        for seed in [1, 2] {
            let own = drawn(kind, seed);
            assert_eq!(drawn(kind, seed), own);
            assert!(own.choices.len() > 2 && own.right < own.choices.len());
            assert!(!own.told.is_empty());
        }
        assert_ne!(drawn(kind, 1).case, drawn(kind, 2).case, "{kind:?}");
    }
}

#[test]
fn a_result_is_the_judges_and_holds_whichever_reading_is_off() {
    for kind in Kind::ALL.into_iter().filter(|kind| kind.asks_result()) {
        let own = drawn(kind, 11);
        assert_eq!(own.asks, Asks::Result);
        let right = level(&own.case);
        assert_eq!(own.choices[own.right], Choice::Level(right), "{kind:?}");
        assert_eq!(right == Level::Fine, kind == Kind::Sound);
        let moved = off(&own.case);
        assert!(moved.len() > 8, "{kind:?}");
        for case in moved {
            assert_eq!(level(&case), right, "{kind:?}");
        }
        // What decides was told.
        assert_eq!(own.decides.is_empty(), kind == Kind::Sound, "{kind:?}");
        assert!(own.decides.iter().all(|spot| own.told.contains(spot)));
    }
}

#[test]
fn the_weak_wall_is_the_one_of_which_least_is_effective() {
    for seed in [3, 4, 5] {
        let own = drawn(Kind::Wall, seed);
        for (nth, case) in std::iter::once(own.case.clone())
            .chain(off(&own.case))
            .enumerate()
        {
            let facts = Facts::of(flow(), &case);
            let share = |choice: &Choice| {
                let Choice::Spot(spot) = choice else {
                    panic!("{choice:?}");
                };
                assert_eq!(spot.fact, FactId::named("wall.effective_share"));
                facts
                    .value(&spot.fact, spot.at)
                    .and_then(Value::number)
                    .unwrap()
            };
            let shares: Vec<f64> = own.choices.iter().map(share).collect();
            let weak = shares[own.right];
            // A wall counts from half of it on (Parker 1993).
            assert!(nth > 0 || weak < 50.0, "{shares:?}");
            let others = shares.iter().enumerate().filter(|(at, _)| *at != own.right);
            for (_, share) in others {
                assert!(weak < *share, "{shares:?}");
            }
        }
    }
}

#[test]
fn the_reading_to_take_again_first_is_the_one_that_the_bench_is_told() {
    for seed in [1, 2] {
        let own = drawn(Kind::First, seed);
        let facts = Facts::of(flow(), &own.case);
        let judgement = judge(flow(), &facts);
        let told = doubt(flow(), &own.case, &facts, &judgement).measure_again;
        assert_eq!(own.choices[own.right], Choice::Spot(told[0].spot.clone()));
        assert!(told.get(1).is_none_or(|next| next.chance < told[0].chance));
    }
}

/// With the taper that is advised, or the height that is advised, the result is a better one exactly where the drill says so.
#[test]
fn what_is_at_fault_is_what_makes_the_result_better() {
    let mut seen = BTreeMap::new();
    for seed in 1..6 {
        let own = drawn(Kind::Shape, seed);
        *seen.entry(own.right).or_insert(0) += 1;
        let at = own.told.last().unwrap().at;
        let read = |fact: &str| {
            let value = own.case.value(&FactId::named(fact), at);
            value.and_then(Value::number).unwrap()
        };
        // A taper is at fault only where it is more than advised: 20° and over (Goodacre 2001).
        let height = read("tooth.height");
        let wide = |base: &str, top: &str| {
            2.0 * ((read(base) - read(top)) / 2.0 / height)
                .atan()
                .to_degrees()
        };
        let most = wide("tooth.width_margin_md", "tooth.width_top_md")
            .max(wide("tooth.width_margin_fl", "tooth.width_top_fl"));
        match own.right {
            0 => assert!(most > 16.0, "{most}"),
            1 => assert!(height < 4.0, "{height}"),
            _ => assert!(most > 16.0 && height < 4.0),
        }
    }
    assert!(!seen.is_empty());
}

#[test]
fn of_twenty_drills_six_are_sound_and_all_differ() {
    for seed in [0, 7, u64::MAX] {
        for round in 0..3 {
            let own: Vec<(Kind, u64)> = (0..ROUND).map(|n| nth(seed, round * ROUND + n)).collect();
            for kind in Kind::ALL {
                let count = own.iter().filter(|(other, _)| *other == kind).count();
                assert_eq!(count, kind.of_twenty());
            }
            let mut once = own.clone();
            once.sort();
            once.dedup();
            assert_eq!(once.len(), ROUND);
        }
    }
    assert_eq!(Kind::Sound.of_twenty(), 6);
}

/// Grades by harm, and the reading that decides.
#[test]
fn answers_are_graded_by_harm() {
    let own = drawn(Kind::Tray, 1);
    assert!(level(&own.case) >= Level::Call);
    assert_eq!(missed(&own, 0), Some(Missed::Call));
    assert_eq!(missed(&own, own.right), None);
    let sound = drawn(Kind::Sound, 1);
    assert_eq!(missed(&sound, 1), Some(Missed::Level));
    assert_eq!(missed(&sound, 2), Some(Missed::Invented));
    assert_eq!(grade(&own, Some(Missed::Call), None), 2);
    assert_eq!(grade(&own, Some(Missed::Invented), None), 2);
    assert_eq!(grade(&own, Some(Missed::Level), None), 3);
    assert_eq!(grade(&own, None, None), 4);
    assert_eq!(grade(&own, None, own.decides.first()), 5);
    let other = own.told.iter().find(|spot| !own.decides.contains(spot));
    assert_eq!(grade(&own, None, other), 4);
}

/// SM-2: grades 2, 4, 4, 4, 2, 4, 4, 4 wait 1, 1, 6, 15, 1, 1, 6, 15 days (Wozniak 1990). A drill that was right at once does
/// not come back.
#[test]
fn what_was_missed_comes_back_by_the_published_spacing() {
    let own = drawn(Kind::Tray, 1);
    let wrong = 0;
    let mut rows: Vec<Row> = Vec::new();
    let mut today = date(2026, 11, 28);
    let mut waits = Vec::new();
    for right in [false, true, true, true, false, true, true, true] {
        let chosen = if right { own.right } else { wrong };
        let drills = Drills::of(&rows, "t2");
        let act = answered(&drills, &own, chosen, None, 12);
        waits.push(act.days);
        rows.push(Row {
            who: "t2".to_owned(),
            on: today,
            case: None,
            act: Act::Drill(act.clone()),
        });
        let drills = Drills::of(&rows, "t2");
        let eve = today.saturating_add((i64::from(act.days) - 1).days());
        assert_eq!(drills.due(eve), 0);
        today = today.saturating_add(i64::from(act.days).days());
        assert_eq!(drills.due(today), 1);
        assert_eq!(drills.session(3, 2, today)[0], (own.kind, own.seed));
        // Nobody else has missed anything.
        assert_eq!(Drills::of(&rows, "t3").due(today), 0);
    }
    assert_eq!(waits, [1, 1, 6, 15, 1, 1, 6, 15]);
    let at_once = answered(&Drills::default(), &own, own.right, None, 12);
    assert_eq!(at_once.days, 0);
    // What was answered is not drawn again as new.
    let mut drills = Drills::default();
    let first = drills.session(3, 1, today)[0];
    let mut act = at_once;
    (act.kind, act.seed) = first;
    drills.add(&act, today);
    assert_ne!(drills.session(3, 1, today)[0], first);
}

/// A crown; invented.
const CASE: &str = r#"Case(
    format: 1, number: "T-1", flow: "fixed", version: 3,
    restorations: [Crown("R1", [Abutment("26")])],
    facts: [(fact: "order.scope", at: "R1", is: Choice("teeth"))],
)
"#;
