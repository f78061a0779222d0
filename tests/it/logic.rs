//! Conditions over facts with three truth values (strong Kleene logic: Kleene 1952, Introduction to Metamathematics),
//! counted against plain two-valued evaluation of every way in which what is unknown may still turn out.

use std::collections::BTreeMap;

use casepan::case::Units;
use casepan::fact::{FactId, Place, PlaceKind, Spot, Value};
use casepan::logic::{Condition, Gap, Sight, Test, Truth, World};

mod random;

use super::made::{choice, mm, spot, units};

/// Answers on paper: what is in `known` is known, what is not has a gap, *not asked* where none is noted.
struct Paper {
    units: Units,
    known: BTreeMap<Spot, Value>,
    gaps: BTreeMap<Spot, Gap>,
}

impl World for Paper {
    fn sight(&self, fact: &FactId, at: Place) -> Sight<'_> {
        let spot = Spot {
            fact: fact.clone(),
            at,
        };
        match self.known.get(&spot) {
            Some(value) => Sight::Known(value),
            None => {
                let gap = self.gaps.get(&spot).copied().unwrap_or(Gap::NotAsked);
                Sight::Unknown(vec![(spot, gap)])
            }
        }
    }

    fn resolve(&self, fact: &FactId, at: Place) -> Option<Place> {
        self.units.resolve(fact.spec()?.at, at)
    }

    fn within(&self, at: Place, kind: PlaceKind) -> Vec<Place> {
        self.units.within(at, kind)
    }
}

/// What is known of one fact: true, false, not asked, not seen, idle.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum State {
    Known(bool),
    NotAsked,
    NotSeen,
    Idle,
}

impl State {
    fn of(letter: char) -> State {
        match letter {
            'T' => State::Known(true),
            'F' => State::Known(false),
            '?' => State::NotAsked,
            '-' => State::NotSeen,
            'i' => State::Idle,
            other => panic!("no state is written {other}"),
        }
    }
}

/// Five facts of the case that are yes or no.
const FACTS: [&str; 5] = [
    "order.shade_given",
    "order.metal_sensitivity",
    "records.disinfected",
    "impression.canine_in",
    "impression.stops",
];

fn paper(line: &str, states: impl IntoIterator<Item = (Spot, State, [Value; 2])>) -> Paper {
    let mut paper = Paper {
        units: units(line),
        known: BTreeMap::new(),
        gaps: BTreeMap::new(),
    };
    for (spot, state, [yes, no]) in states {
        match state {
            State::Known(true) => drop(paper.known.insert(spot, yes)),
            State::Known(false) => drop(paper.known.insert(spot, no)),
            State::NotSeen => drop(paper.known.insert(spot, Value::NotSeen)),
            State::NotAsked => {}
            State::Idle => drop(paper.gaps.insert(spot, Gap::Idle)),
        }
    }
    paper
}

fn five(states: &[State]) -> Paper {
    let facts = FACTS.iter().zip(states);
    paper(
        "26",
        facts.map(|(fact, state)| (spot(fact, "case"), *state, [Value::Yes, Value::No])),
    )
}

fn walls(states: &str) -> Paper {
    let sides = ["26/mesial", "26/distal", "26/facial", "26/lingual"];
    paper(
        "26",
        sides.iter().zip(states.chars()).map(|(side, letter)| {
            (
                spot("wall.height", side),
                State::of(letter),
                [mm(2.0), mm(4.0)],
            )
        }),
    )
}

fn is_yes(index: usize) -> Condition {
    Condition::Test(
        FactId::named(FACTS[index % FACTS.len()]),
        Test::Is(Value::Yes),
    )
}

fn parts(count: usize) -> Vec<Condition> {
    (0..count).map(is_yes).collect()
}

fn low() -> Box<Condition> {
    Box::new(Condition::Test(
        FactId::named("wall.height"),
        Test::Below(3.0),
    ))
}

/// Truth, may become true, may become false, as `T tf`.
fn said(condition: &Condition, world: &Paper, at: Place) -> String {
    let outcome = condition.eval(world, at);
    let truth = match outcome.truth {
        Truth::True => 'T',
        Truth::False => 'F',
        Truth::Unknown => 'U',
    };
    let may = |may: bool, letter: &'static str| if may { letter } else { "" };
    format!(
        "{truth} {}{}",
        may(outcome.can_be_true, "t"),
        may(outcome.can_be_false, "f")
    )
}

/// (states of the parts, All, Any, at least two).
const TABLE: &[(&str, &str, &str, &str)] = &[
    ("", "T t", "F f", "F f"),
    ("T", "T t", "T t", "F f"),
    ("F", "F f", "F f", "F f"),
    ("?", "U tf", "U tf", "F f"),
    ("i", "U ", "U ", "F f"),
    ("TT", "T t", "T t", "T t"),
    ("TF", "F f", "T t", "F f"),
    ("FF", "F f", "F f", "F f"),
    ("T?", "U tf", "T t", "U tf"),
    ("F?", "F f", "U tf", "F f"),
    ("??", "U tf", "U tf", "U tf"),
    // Not seen is unknown too.
    ("T-", "U tf", "T t", "U tf"),
    ("F-", "F f", "U tf", "F f"),
    ("-?", "U tf", "U tf", "U tf"),
    // What is idle never becomes anything.
    ("Ti", "U ", "T t", "U "),
    ("Fi", "F f", "U ", "F f"),
    ("ii", "U ", "U ", "U "),
    // An idle part leaves Any to the other, but All only its failing.
    ("i?", "U f", "U t", "U f"),
    ("i-", "U f", "U t", "U f"),
    ("i??", "U f", "U t", "U tf"),
    ("TFF", "F f", "T t", "F f"),
    ("TTF", "F f", "T t", "T t"),
    ("TF?", "F f", "T t", "U tf"),
    ("FF?", "F f", "U tf", "F f"),
    ("FFi", "F f", "U ", "F f"),
    ("TFi", "F f", "T t", "U "),
    ("?Fi", "F f", "U t", "U f"),
    ("T?i", "U f", "T t", "U t"),
];

#[test]
fn truth_tables_of_all_any_and_counts() {
    for (states, all, any, two) in TABLE {
        let list: Vec<_> = states.chars().map(State::of).collect();
        let world = five(&list);
        let of = |condition: &Condition| said(condition, &world, Place::Case);
        let count = list.len();
        assert_eq!(of(&Condition::All(parts(count))), *all, "All {states:?}");
        assert_eq!(of(&Condition::Any(parts(count))), *any, "Any {states:?}");
        assert_eq!(
            of(&Condition::AtLeast(2, parts(count))),
            *two,
            "two of {states:?}"
        );
        // The bounds of counting are All and Any.
        assert_eq!(
            of(&Condition::AtLeast(count, parts(count))),
            *all,
            "{states:?}"
        );
        assert_eq!(of(&Condition::AtLeast(1, parts(count))), *any, "{states:?}");
        assert_eq!(of(&Condition::AtLeast(0, parts(count))), "T t");
    }
}

#[test]
fn not_turns_truth_and_prospects_round() {
    for (states, plain, turned) in [
        ("T", "T t", "F f"),
        ("F", "F f", "T t"),
        ("?", "U tf", "U tf"),
        ("i", "U ", "U "),
    ] {
        let world = five(&[State::of(states.chars().next().unwrap())]);
        let of = |condition: &Condition| said(condition, &world, Place::Case);
        assert_eq!(of(&is_yes(0)), plain);
        assert_eq!(of(&Condition::Not(Box::new(is_yes(0)))), turned);
    }
    // Not(Any[idle, unknown]) can still become false and never true.
    let world = five(&[State::Idle, State::NotAsked]);
    let not = Condition::Not(Box::new(Condition::Any(parts(2))));
    assert_eq!(said(&not, &world, Place::Case), "U f");
}

/// (the four walls, AnyAt, EveryAt, AtLeastAt 2, places where it held).
const PLACES: &[(&str, &str, &str, &str, &str)] = &[
    ("FFFF", "F f", "F f", "F f", ""),
    ("TFFF", "T t", "F f", "F f", "mesial"),
    ("TFTF", "T t", "F f", "T t", "mesial facial"),
    ("TTTT", "T t", "T t", "T t", "mesial distal facial lingual"),
    ("TTT?", "T t", "U tf", "T t", "mesial distal facial"),
    ("TTTi", "T t", "U ", "T t", "mesial distal facial"),
    ("T???", "T t", "U tf", "U tf", "mesial"),
    ("FF?-", "U tf", "F f", "U tf", ""),
    ("FFi?", "U t", "F f", "U f", ""),
    ("iiii", "U ", "U ", "U ", ""),
];

#[test]
fn truth_tables_over_places() {
    let tooth: Place = "26".parse().unwrap();
    for (states, any, every, two, held) in PLACES {
        let world = walls(states);
        for at in [tooth, Place::Restoration(1), Place::Case] {
            let any_at = Condition::AnyAt(PlaceKind::Wall, low());
            assert_eq!(said(&any_at, &world, at), *any, "any of {states}");
            let every_at = Condition::EveryAt(PlaceKind::Wall, low());
            assert_eq!(said(&every_at, &world, at), *every, "every of {states}");
            let two_at = Condition::AtLeastAt(2, PlaceKind::Wall, low());
            assert_eq!(said(&two_at, &world, at), *two, "two of {states}");
            let outcome = any_at.eval(&world, at);
            let places: Vec<_> = outcome
                .held_at
                .iter()
                .map(|place| {
                    place
                        .to_string()
                        .split('/')
                        .nth(1)
                        .unwrap_or_default()
                        .to_owned()
                })
                .collect();
            assert_eq!(places.join(" "), *held, "{states}");
        }
    }
}

#[test]
fn no_place_of_a_kind_is_any_false_and_every_true() {
    let world = five(&[]);
    let test = || Box::new(is_yes(0));
    let of = |condition: &Condition| said(condition, &world, Place::Case);
    // A single crown has no pontic and no connector.
    for kind in [PlaceKind::Pontic, PlaceKind::Connector] {
        assert_eq!(of(&Condition::AnyAt(kind, test())), "F f");
        assert_eq!(of(&Condition::EveryAt(kind, test())), "T t");
        assert_eq!(of(&Condition::AtLeastAt(1, kind, test())), "F f");
        assert_eq!(of(&Condition::AtLeastAt(0, kind, test())), "T t");
    }
}

#[test]
fn an_idle_fact_is_never_an_open_point() {
    let open = |states: &str, condition: &Condition| {
        let list: Vec<_> = states.chars().map(State::of).collect();
        condition.eval(&five(&list), Place::Case).is_open()
    };
    assert!(!open("i", &is_yes(0)));
    assert!(open("?", &is_yes(0)));
    assert!(open("-", &is_yes(0)));
    assert!(open("i?", &Condition::Any(parts(2))));
    assert!(!open("i?", &Condition::All(parts(2))));
    assert!(!open("ii", &Condition::Any(parts(2))));
    assert!(!open("i", &Condition::Not(Box::new(is_yes(0)))));
}

#[test]
fn what_is_open_names_what_it_waits_for() {
    let world = five(&[
        State::NotAsked,
        State::NotSeen,
        State::Known(true),
        State::Idle,
    ]);
    let outcome = Condition::All(parts(4)).eval(&world, Place::Case);
    let needs: Vec<_> = outcome
        .needs
        .iter()
        .map(|(spot, gap)| (spot.fact.as_str().to_owned(), *gap))
        .collect();
    assert_eq!(
        needs[..2],
        [
            (FACTS[0].to_owned(), Gap::NotAsked),
            (FACTS[1].to_owned(), Gap::NotSeen),
        ]
    );
    // A fact that is named twice is waited for once.
    let twice = Condition::All(vec![is_yes(0), Condition::Any(parts(1))]).eval(&world, Place::Case);
    assert_eq!(twice.needs.len(), 1);
    // What is decided waits for nothing.
    let decided = Condition::Any(vec![is_yes(0), is_yes(2)]).eval(&world, Place::Case);
    assert_eq!(decided.truth, Truth::True);
    assert!(decided.needs.is_empty());
    assert_eq!(decided.evidence, [spot(FACTS[2], "case")]);
}

#[test]
fn not_seen_is_an_answer_but_no_value() {
    let answered = Condition::Test(FactId::named(FACTS[0]), Test::Answered);
    for (state, truth) in [
        (State::Known(true), "T t"),
        (State::Known(false), "T t"),
        (State::NotSeen, "T t"),
    ] {
        assert_eq!(said(&answered, &five(&[state]), Place::Case), truth);
    }
    for state in [State::NotAsked, State::Idle] {
        let outcome = answered.eval(&five(&[state]), Place::Case);
        assert_eq!(outcome.truth, Truth::False, "{state:?}");
    }
    // No comparison holds or fails for it.
    let world = walls("----");
    let at: Place = "26/mesial".parse().unwrap();
    for test in [
        Test::Below(3.0),
        Test::Reaches(3.0),
        Test::Is(mm(3.0)),
        Test::OneOf(vec![mm(3.0)]),
    ] {
        let outcome = Condition::Test(FactId::named("wall.height"), test).eval(&world, at);
        assert_eq!(outcome.truth, Truth::Unknown);
        assert_eq!(
            outcome.needs,
            [(spot("wall.height", "26/mesial"), Gap::NotSeen)]
        );
    }
}

#[test]
fn a_reading_on_a_limit_is_on_it() {
    // 3.9 and 4.1 have the mean 4; in binary it is not exactly that, nor is 0.1 + 0.2.
    let mean = (3.9 + 4.1) / 2.0;
    for (number, limit) in [(mean, 4.0), (0.1 + 0.2, 0.3), (0.3, 0.1 + 0.2)] {
        assert!(!Test::Below(limit).holds(&mm(number)));
        assert!(!Test::Above(limit).holds(&mm(number)));
        assert!(Test::AtMost(limit).holds(&mm(number)));
        assert!(Test::Reaches(limit).holds(&mm(number)));
    }
    // Far finer than any instrument, and yet off the limit.
    for (number, below) in [(3.999, true), (4.001, false)] {
        assert_eq!(Test::Below(4.0).holds(&mm(number)), below);
        assert_eq!(Test::AtMost(4.0).holds(&mm(number)), below);
        assert_eq!(Test::Above(4.0).holds(&mm(number)), !below);
        assert_eq!(Test::Reaches(4.0).holds(&mm(number)), !below);
    }
    // Another type never holds.
    for test in [Test::Below(3.0), Test::AtMost(3.0), Test::Above(3.0)] {
        assert!(!test.holds(&choice("none")) && !test.holds(&Value::Yes));
    }
}
