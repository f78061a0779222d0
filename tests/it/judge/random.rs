//! Judging whatever can be answered, in whatever order.

use casepan::case::{Case, Layer, Reading};
use casepan::derive::Facts;
use casepan::fact::{Spot, Value};
use casepan::flow::Level;
use casepan::judge::judge;
use casepan::logic::Gap;
use proptest::prelude::*;

use super::low_prep;
use crate::made::{any_facts, case, choice, flow, mm, spot};

fn filled(line: &str, facts: &[(Spot, Value)]) -> Case {
    let mut case = case(line, &[]);
    for (spot, value) in facts {
        case.put(spot.clone(), Layer::Measured, Reading::plain(value.clone()));
    }
    case
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn judging_is_pure_and_knows_no_order(
        (line, facts, other) in prop_oneof![Just("44 x45 46"), Just("x12 13; 26")]
            .prop_flat_map(|line| (Just(line), any_facts(line)))
            .prop_flat_map(|(line, facts)| {
                (Just(line), Just(facts.clone()), Just(facts).prop_shuffle())
            })
    ) {
        let flow = flow();
        let (case, again) = (filled(line, &facts), filled(line, &other));
        let facts = Facts::of(&flow, &case);
        let judgement = judge(&flow, &facts);
        prop_assert_eq!(&judge(&flow, &facts), &judgement);
        prop_assert_eq!(&judge(&flow, &Facts::of(&flow, &again)), &judgement);

        // What decides comes first, and nothing that is folded is worse than its head.
        prop_assert!(judgement.findings.is_sorted_by(|a, b| a.level >= b.level));
        for finding in &judgement.findings {
            prop_assert!(finding.level > Level::Fine);
            prop_assert!(finding.folded.iter().all(|folded| folded.level <= finding.level));
            prop_assert!(!finding.evidence.is_empty());
        }
        prop_assert!(judgement.open_points.is_sorted_by(|a, b| a.could_be >= b.could_be));
        for point in &judgement.open_points {
            // An open point waits for something that can still be answered or was not to be seen.
            prop_assert!(point.needs.iter().any(|(_, gap)| *gap != Gap::Idle), "{:?}", point);
            let own = judgement
                .all_findings()
                .find(|f| Some(f.rule) == point.rule && f.at == point.at);
            prop_assert!(own.is_none_or(|finding| finding.level < point.could_be));
        }
        let worst = judgement.all_findings().map(|f| f.level).max().unwrap_or(Level::Fine);
        prop_assert_eq!(judgement.verdict.level, worst);
        let of_parts = judgement.by_restoration.iter().map(|(_, v)| v.level).max();
        prop_assert_eq!(of_parts, Some(worst));
    }

    /// An answer never makes worse what the open points did not allow for, where nothing else was unknown.
    #[test]
    fn an_answer_stays_within_what_was_said_to_be_possible(
        facts in any_facts("26"),
        pick in any::<prop::sample::Index>(),
        value in any::<bool>(),
    ) {
        let flow = low_prep();
        let names = ["tooth.height", "habit.grinding", "tooth.core"];
        let own: Vec<_> = facts
            .into_iter()
            .filter(|(spot, _)| names.contains(&spot.fact.as_str()))
            .collect();
        let case = filled("26", &own);
        let before = judge(&flow, &Facts::of(&flow, &case)).verdict;
        let missing: Vec<_> = [
            (spot("tooth.height", "26"), mm(if value { 1.0 } else { 2.5 })),
            (spot("habit.grinding", "case"), choice(if value { "certain" } else { "none" })),
            (spot("tooth.core", "26"), choice(if value { "post" } else { "none" })),
        ]
        .into_iter()
        .filter(|(spot, _)| own.iter().all(|(other, value)| {
            other != spot || *value == Value::NotSeen
        }))
        .collect();
        prop_assume!(!missing.is_empty());
        let (spot, value) = missing[pick.index(missing.len())].clone();
        let mut answered = case;
        answered.put(spot, Layer::Measured, Reading::plain(value));
        let after = judge(&flow, &Facts::of(&flow, &answered)).verdict;
        prop_assert!(after.level <= before.could_be, "{:?} then {:?}", before, after);
    }
}
