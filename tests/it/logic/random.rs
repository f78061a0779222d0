//! Conditions made at random against every way to fill in what is unknown.

use casepan::fact::Place;
use casepan::logic::{Condition, Truth};
use proptest::prelude::*;

use super::{FACTS, State, five, is_yes};

/// A condition over facts by their number.
#[derive(Clone, Debug)]
enum Tree {
    Leaf(usize),
    Not(Box<Tree>),
    All(Vec<Tree>),
    Any(Vec<Tree>),
    AtLeast(usize, Vec<Tree>),
}

impl Tree {
    fn leaves(&self) -> usize {
        match self {
            Tree::Leaf(_) => 1,
            Tree::Not(part) => part.leaves(),
            Tree::All(parts) | Tree::Any(parts) | Tree::AtLeast(_, parts) => {
                parts.iter().map(Tree::leaves).sum()
            }
        }
    }

    /// Numbers the leaves as they come, so that none comes twice.
    fn numbered(self, next: &mut usize) -> Tree {
        let mut all = |parts: Vec<Tree>| -> Vec<Tree> {
            parts.into_iter().map(|part| part.numbered(next)).collect()
        };
        match self {
            Tree::All(parts) => Tree::All(all(parts)),
            Tree::Any(parts) => Tree::Any(all(parts)),
            Tree::AtLeast(least, parts) => Tree::AtLeast(least, all(parts)),
            Tree::Not(part) => Tree::Not(Box::new(part.numbered(next))),
            Tree::Leaf(_) => {
                *next += 1;
                Tree::Leaf(*next - 1)
            }
        }
    }

    fn condition(&self) -> Condition {
        let all = |parts: &[Tree]| parts.iter().map(Tree::condition).collect();
        match self {
            Tree::Leaf(index) => is_yes(*index),
            Tree::Not(part) => Condition::Not(Box::new(part.condition())),
            Tree::All(parts) => Condition::All(all(parts)),
            Tree::Any(parts) => Condition::Any(all(parts)),
            Tree::AtLeast(least, parts) => Condition::AtLeast(*least, all(parts)),
        }
    }

    /// Plain two-valued logic.
    fn holds(&self, facts: &[bool; 5]) -> bool {
        match self {
            Tree::Leaf(index) => facts[index % 5],
            Tree::Not(part) => !part.holds(facts),
            Tree::All(parts) => !parts.iter().any(|part| !part.holds(facts)),
            Tree::Any(parts) => parts.iter().any(|part| part.holds(facts)),
            Tree::AtLeast(least, parts) => {
                parts
                    .iter()
                    .map(|part| usize::from(part.holds(facts)))
                    .sum::<usize>()
                    >= *least
            }
        }
    }
}

fn tree() -> impl Strategy<Value = Tree> {
    let leaf = (0usize..5).prop_map(Tree::Leaf);
    leaf.prop_recursive(3, 12, 3, |inner| {
        let list = prop::collection::vec(inner.clone(), 0..4);
        prop_oneof![
            inner.prop_map(|part| Tree::Not(Box::new(part))),
            list.clone().prop_map(Tree::All),
            list.clone().prop_map(Tree::Any),
            (0usize..4, list).prop_map(|(least, parts)| Tree::AtLeast(least, parts)),
        ]
    })
}

fn states() -> impl Strategy<Value = [State; 5]> {
    let one = prop_oneof![
        Just(State::Known(true)),
        Just(State::Known(false)),
        Just(State::NotAsked),
        Just(State::NotSeen),
        Just(State::Idle),
    ];
    prop::array::uniform5(one)
}

/// Every way to fill in the facts that `free` picks, the others as they are or false.
fn fillings(states: [State; 5], free: impl Fn(State) -> bool) -> Vec<[bool; 5]> {
    (0u8..32)
        .map(|bits| std::array::from_fn(|index| bits & (1 << index) != 0))
        .filter(|filling: &[bool; 5]| {
            states.iter().zip(filling).all(|(state, fill)| match state {
                State::Known(known) => known == fill,
                state => free(*state) || !fill,
            })
        })
        .collect()
}

fn is_unknown(state: State) -> bool {
    !matches!(state, State::Known(_))
}

fn may_come(state: State) -> bool {
    matches!(state, State::NotAsked | State::NotSeen)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    /// Where each fact comes once, three-valued truth is exact, and so are the prospects: an answer can decide it
    /// where some answers make it so whatever the idle facts would have been.
    #[test]
    fn exact_where_each_fact_comes_once(tree in tree(), states in states()) {
        prop_assume!(tree.leaves() <= 5);
        let tree = tree.numbered(&mut 0);
        let outcome = tree.condition().eval(&five(&states), Place::Case);
        let all: Vec<bool> = fillings(states, is_unknown)
            .iter()
            .map(|filling| tree.holds(filling))
            .collect();
        let truth = match (all.contains(&true), all.contains(&false)) {
            (true, false) => Truth::True,
            (false, true) => Truth::False,
            _ => Truth::Unknown,
        };
        prop_assert_eq!(outcome.truth, truth);
        let reaches = |wanted: bool| {
            fillings(states, may_come).iter().any(|answers| {
                let settled: [State; 5] = std::array::from_fn(|index| match states[index] {
                    State::Idle => State::Idle,
                    _ => State::Known(answers[index]),
                });
                fillings(settled, is_unknown).iter().all(|filling| tree.holds(filling) == wanted)
            })
        };
        prop_assert_eq!(outcome.can_be_true, reaches(true));
        prop_assert_eq!(outcome.can_be_false, reaches(false));
    }

    /// Where facts come more than once, it is never wrong, only more careful.
    #[test]
    fn never_wrong_where_facts_come_again(tree in tree(), states in states()) {
        let condition = tree.condition();
        let outcome = condition.eval(&five(&states), Place::Case);
        let all: Vec<bool> = fillings(states, is_unknown)
            .iter()
            .map(|filling| tree.holds(filling))
            .collect();
        match outcome.truth {
            Truth::True => prop_assert!(!all.contains(&false)),
            Truth::False => prop_assert!(!all.contains(&true)),
            Truth::Unknown => prop_assert!(states.iter().any(|state| is_unknown(*state))),
        }
        for answers in fillings(states, may_come) {
            let answered: [State; 5] = std::array::from_fn(|index| match states[index] {
                State::Idle => State::Idle,
                _ => State::Known(answers[index]),
            });
            match condition.eval(&five(&answered), Place::Case).truth {
                Truth::True => prop_assert!(outcome.can_be_true),
                Truth::False => prop_assert!(outcome.can_be_false),
                Truth::Unknown => {}
            }
        }
        // What is known for certain has evidence only among what is known.
        for spot in &outcome.evidence {
            let index = FACTS.iter().position(|fact| *fact == spot.fact.as_str()).unwrap();
            prop_assert!(matches!(states[index], State::Known(_)));
        }
    }
}
