//! Working out after a change, from the results before it, against working out anew.

use casepan::case::{Case, Layer, Reading};
use casepan::derive::{Detail, Facts, Found, Precision, Worked};
use casepan::fact::{FactId, Place, PlaceKind, Spot, Value};
use casepan::judge::judge;
use proptest::prelude::*;

use super::missing::full;
use crate::made::{case, choice, deg, flow, mm, number, spot};

/// Both figures are proven to their own gap, so they cannot differ by more than the larger one.
#[track_caller]
fn same_loads(one: &[Detail], other: &[Detail]) {
    assert_eq!(one.len(), other.len());
    for (one, other) in one.iter().zip(other) {
        assert_eq!(one.preps, other.preps);
        assert_eq!(one.loads.len(), other.loads.len());
        for (one, other) in one.loads.iter().zip(&other.loads) {
            assert_eq!(
                (&one.load, one.unit, one.toward),
                (&other.load, other.unit, other.toward)
            );
            match (&one.found, &other.found) {
                (
                    Found::Figure {
                        lambda: a,
                        gap: one,
                        grip,
                        ..
                    },
                    Found::Figure {
                        lambda: b,
                        gap: other,
                        grip: grip_b,
                        ..
                    },
                ) => {
                    let gap = one.max(*other) * (1.0 + 1e-9) + 1e-12;
                    assert!((a - b).abs() <= gap * a.max(*b), "{a}, {b}, {gap}");
                    assert_eq!(grip.is_some(), grip_b.is_some());
                    if let (Some(a), Some(b)) = (grip, grip_b) {
                        // A quotient of two such figures.
                        assert!((a - b).abs() <= 2.1 * gap.max(1e-6) * a, "{a}, {b}");
                    }
                }
                (Found::NotComputed(one), Found::NotComputed(other)) => assert_eq!(one, other),
                (one, other) => panic!("{one:?}, {other:?}"),
            }
        }
    }
}

/// Everything that was worked out: numbers within the gap, all else alike.
#[track_caller]
fn same(case: &Case, warm: &Facts<'_>, cold: &Facts<'_>) {
    let (one, other): (Vec<_>, Vec<_>) =
        (warm.all_derived().collect(), cold.all_derived().collect());
    assert_eq!(one.len(), other.len());
    for ((at, one), (other_at, other)) in one.into_iter().zip(other) {
        assert_eq!((at, &one.from), (other_at, &other.from));
        match (&one.result, &other.result) {
            (Worked::Out(Value::Number(a, unit)), Worked::Out(Value::Number(b, other))) => {
                assert_eq!(unit, other);
                assert!(
                    (a - b).abs() <= 4e-6 * a.abs().max(b.abs()),
                    "{at:?}: {a}, {b}"
                );
            }
            (one, other) => assert_eq!(one, other, "{at:?}"),
        }
    }
    same_loads(warm.details(), cold.details());
    assert_eq!(judge(&flow(), warm), judge(&flow(), cold), "{case:?}");
}

fn put(case: &mut Case, spot: &Spot, value: Value) {
    case.put(spot.clone(), Layer::Measured, Reading::plain(value));
}

/// A bridge of three units, a cantilever and a crown in one case.
fn start() -> Case {
    let mut case = case("44 x45 46; 11; x22 23", &[]);
    for at in case.units.within(Place::Case, PlaceKind::Abutment) {
        for (fact, value) in [
            ("tooth.height", 4.0),
            ("tooth.margin_width", 0.5),
            ("tooth.width_margin_md", 6.0),
            ("tooth.width_margin_fl", 7.0),
            ("tooth.width_top_md", 5.0),
            ("tooth.width_top_fl", 5.8),
        ] {
            let fact = FactId::named(fact);
            put(&mut case, &Spot { fact, at }, mm(value));
        }
    }
    case
}

/// A change of one reading; the second number is the value within its range.
fn change() -> impl Strategy<Value = (usize, usize, f64)> {
    (0..4_usize, 0..8_usize, 0.0..1.0_f64)
}

fn changed(case: &mut Case, (prep, what, share): (usize, usize, f64)) {
    let at = ["44", "46", "11", "23"][prep];
    let wall = format!("{at}/facial");
    let within = |from: f64, to: f64| from + share * (to - from);
    let (spot, value) = match what {
        0 => (spot("tooth.height", at), mm(within(1.5, 6.0))),
        1 => (spot("tooth.width_margin_md", at), mm(within(5.0, 9.0))),
        2 => (spot("tooth.width_margin_fl", at), mm(within(5.5, 9.0))),
        3 => (spot("tooth.width_top_md", at), mm(within(3.5, 6.5))),
        4 => (spot("tooth.width_top_fl", at), mm(within(3.5, 7.5))),
        5 => (spot("wall.height", &wall), mm(within(1.0, 6.0))),
        6 => (spot("wall.taper", &wall), deg(within(0.0, 20.0))),
        _ => (
            spot("tooth.grooves", at),
            choice(if share < 0.5 { "none" } else { "proximal" }),
        ),
    };
    put(case, &spot, value);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    /// A walk of changes, each from the results of the one before, as while somebody types.
    #[test]
    fn results_after_a_change_are_those_worked_out_anew(
        changes in prop::collection::vec(change(), 1..6),
    ) {
        let flow = flow();
        let mut case = start();
        let mut results = Facts::with(&flow, &case, Precision::Quick).into_results();
        for change in changes {
            changed(&mut case, change);
            let warm = Facts::after(&flow, &case, Precision::Quick, &results);
            same(&case, &warm, &Facts::with(&flow, &case, Precision::Quick));
            results = warm.into_results();
        }
    }
}

/// What did not change is taken over to the last digit, whatever else is answered.
#[test]
fn what_did_not_change_is_taken_over() {
    let flow = flow();
    let before = start();
    let mut after = before.clone();
    put(&mut after, &spot("tooth.height", "11"), mm(3.1));
    put(&mut after, &spot("tooth.sound_above_margin", "44"), mm(1.3));
    let exact = Facts::of(&flow, &before);
    for precision in [Precision::Quick, Precision::Exact] {
        let now = Facts::after(&flow, &after, precision, exact.results());
        for (one, other) in exact.details().iter().zip(now.details()) {
            let changed = one.restoration == 2;
            assert_eq!(one.loads == other.loads, !changed, "R{}", one.restoration);
            // The range is a print's.
            assert_eq!(other.grip_range.is_some(), precision == Precision::Exact);
        }
    }
    // A quick result does not serve a print: there the other loads are proven to the finer gap.
    let quick = Facts::with(&flow, &before, Precision::Quick);
    let print = Facts::after(&flow, &before, Precision::Exact, quick.results());
    let gap = |found: &Found| match found {
        Found::Figure { gap, .. } => *gap,
        Found::NotComputed(why) => panic!("{why}"),
    };
    let worst = |facts: &Facts<'_>| {
        let loads = facts.details().iter().flat_map(|detail| &detail.loads);
        loads.map(|load| gap(&load.found)).fold(0.0, f64::max)
    };
    let [coarse, fine] = [&quick, &print].map(worst);
    assert!(coarse > fine && fine <= 1e-6, "{coarse:e}, {fine:e}");
    assert!(
        print
            .details()
            .iter()
            .all(|detail| detail.grip_range.is_some())
    );
}

/// Results of other work are no harm.
#[test]
fn results_of_another_case_do_no_harm() {
    let flow = flow();
    let (one, other) = (start(), full());
    let before = Facts::of(&flow, &one);
    let warm = Facts::after(&flow, &other, Precision::Exact, before.results());
    same(&other, &warm, &Facts::of(&flow, &other));
}

/// Grip, on which levels hang, is the same on the screen and on a print.
#[test]
fn screen_and_print_have_the_same_grip() {
    let flow = flow();
    let case = full();
    let quick = Facts::with(&flow, &case, Precision::Quick);
    let exact = Facts::of(&flow, &case);
    for (fact, at) in [
        ("restoration.grip", "R1"),
        ("tooth.retainer_grip", "44"),
        ("tooth.retainer_grip", "46"),
    ] {
        assert_eq!(number(&quick, fact, at), number(&exact, fact, at), "{fact}");
    }
}

/// A copy that only proves what decides comes to the grip of every retainer that a print proves for all loads: the load that
/// is the hardest is never left early.
#[test]
fn copies_find_the_same_grip() {
    let flow = flow();
    let mut compared = 0;
    for units in [
        "26",
        "44 x45 46",
        "x12 13",
        "13 x12 11 21 x22 23",
        "13 x14 x15 16",
    ] {
        for height in [2.6, 4.4] {
            let mut case = case(units, &[]);
            for at in case.units.within(Place::Case, PlaceKind::Abutment) {
                let Place::Unit(tooth) = at else { continue };
                let place = tooth.iso().to_string();
                for (fact, number) in [
                    ("tooth.height", height),
                    ("tooth.margin_width", 0.5),
                    ("tooth.width_margin_md", 6.0),
                    ("tooth.width_top_md", 5.1),
                    ("tooth.width_margin_fl", 6.6),
                    ("tooth.width_top_fl", 5.4),
                ] {
                    put(&mut case, &spot(fact, &place), mm(number));
                }
            }
            let few = Facts::with(&flow, &case, Precision::MeasureAgain);
            let all = Facts::of(&flow, &case);
            for at in case.units.within(Place::Case, PlaceKind::Abutment) {
                let grip = |facts: &Facts<'_>| {
                    let value = facts.value(&FactId::named("tooth.retainer_grip"), at);
                    value.and_then(Value::number)
                };
                let (Some(few), Some(all)) = (grip(&few), grip(&all)) else {
                    continue;
                };
                assert!((few / all - 1.0).abs() < 3e-6, "{units} {at}: {few} {all}");
                compared += 1;
            }
        }
    }
    assert!(compared >= 20, "{compared}");
}
