//! Decisions: what counts after one, what suspends it, and that nothing of it is lost on the way through a journal or a
//! file. The cases are invented; what is checked against is the rule that a later word counts, and undo as an identity.

use casepan::case::coming::Coming;
use casepan::case::decision::{Decided, Decider, Decision, DentistAnswer, Matter, Proposal, Taken};
use casepan::case::file::{read, write};
use casepan::case::journal::fold;
use casepan::case::{Case, Layer};
use casepan::derive::{Facts, Precision};
use casepan::fact::{Spot, Value};
use casepan::judge::{doubt::doubt, judge};
use casepan::ronfile::Source;
use casepan::session::view::ValueOrigin;
use proptest::prelude::*;

use super::made::{case, choice, mm, spot, units};
use super::session::{Technician, crown};

pub(crate) fn matter(rule: &str, at: &str) -> Matter {
    Matter {
        rule: rule.to_owned(),
        at: at.parse().expect("a place"),
    }
}

/// A decision that changes the height of a prep, or nothing.
pub(crate) fn decision(rule: &str, at: &str, outcome: DentistAnswer) -> Decision {
    let changes = match outcome {
        DentistAnswer::Agreed => vec![(spot("tooth.height", "46"), mm(4.5))],
        _ => Vec::new(),
    };
    Decision {
        about: matter(rule, at),
        outcome,
        words: "half a millimetre \"more\"".to_owned(),
        taken: vec![Taken {
            option: "deeper-wall".to_owned(),
            at: "46".parse().expect("a place"),
            walls: vec!["46/distal".parse().expect("a place")],
            amount: Some(mm(0.5)),
            choice: Some(choice("\"odd\"")),
        }],
        by: Some(Decider::Dentist),
        from: jiff::civil::date(2026, 11, 23),
        cost: "one visit".to_owned(),
        amended: true,
        changes,
        expected: Vec::new(),
        units: None,
        coming: Some(Coming::default()),
        seen: None,
    }
}

fn decided(decision: Decision) -> Decided {
    Decided {
        decision,
        who: Some("mk".to_owned()),
        when: Some("2026-11-23T10:00:00Z".parse().expect("a time")),
    }
}

fn changing(rule: &str, list: &[(&str, &str, Value)]) -> Decision {
    Decision {
        changes: list
            .iter()
            .map(|(fact, at, value)| (spot(fact, at), value.clone()))
            .collect(),
        ..decision(rule, "26", DentistAnswer::AsItIs)
    }
}

fn counts(case: &Case, fact: &str, at: &str) -> Option<(Layer, Value)> {
    case.merged(&spot(fact, at))
        .map(|(layer, reading)| (layer, reading.value.clone()))
}

fn decide(tech: &mut Technician, decision: Decision) {
    tech.with(|inspection, moment| inspection.decide(decision, moment));
}

#[test]
fn a_later_reading_suspends_a_decision_and_undo_brings_it_back() {
    let mut tech = Technician::on(&crown());
    tech.at("tooth.height", "26").keys("3 enter");
    decide(
        &mut tech,
        changing("stump", &[("tooth.height", "26", mm(4.5))]),
    );
    let height = |tech: &Technician| counts(tech.case(), "tooth.height", "26");
    assert_eq!(height(&tech), Some((Layer::Decided, mm(4.5))));
    // Not seen is no reading.
    tech.at("tooth.height", "26").keys("-");
    assert_eq!(height(&tech), Some((Layer::Decided, mm(4.5))));
    tech.keys("u");
    tech.at("tooth.height", "26").keys("3.5 enter");
    assert_eq!(height(&tech), Some((Layer::Measured, mm(3.5))));
    tech.at("tooth.height", "26");
    let last = tech.questions().present.and_then(|present| present.last);
    let last = last.expect("an answer");
    assert_eq!(last.said(), "3.5 mm (agreed before: 4.5 mm)");
    assert_eq!(last.cell.value, Some(mm(3.5)));
    assert_eq!(last.cell.origin, Some(ValueOrigin::Measured));
    let (_, aside, now) = tech.case().suspended().next().expect("both are kept");
    assert_eq!(
        (&aside.value, &now.expect("a reading").value),
        (&mm(4.5), &mm(3.5))
    );
    // The decision itself is still known.
    assert!(tech.case().decision(&matter("stump", "26")).is_some());
    tech.keys("u");
    assert_eq!(height(&tech), Some((Layer::Decided, mm(4.5))));
    tech.keys("y");
    assert_eq!(height(&tech), Some((Layer::Measured, mm(3.5))));
    // Decided again: it counts again.
    decide(
        &mut tech,
        changing("stump", &[("tooth.height", "26", mm(4.0))]),
    );
    assert_eq!(height(&tech), Some((Layer::Decided, mm(4.0))));
    assert_eq!(tech.case().suspended().count(), 0);
    assert_eq!(&fold(&tech.journal).unwrap(), tech.case());
}

#[test]
fn a_new_decision_takes_what_the_one_before_brought() {
    let mut case = crown();
    let brought = [
        ("tooth.height", "26", mm(4.5)),
        ("tooth.clearance", "26", mm(1.5)),
    ];
    case.decide(decided(changing("stump", &brought)));
    // Another matter wants the room too.
    case.decide(decided(changing("room", &brought[1..])));
    case.decide(decided(changing("stump", &[])));
    assert_eq!(counts(&case, "tooth.height", "26"), None);
    assert_eq!(
        counts(&case, "tooth.clearance", "26"),
        Some((Layer::Decided, mm(1.5)))
    );
    assert_eq!(case.decisions().count(), 2);
}

#[test]
fn a_decision_may_change_the_units() {
    let mut tech = Technician::on(&case("44 x45 46", &[]));
    let mut other = decision("support", "R1", DentistAnswer::AsItIs);
    other.units = Some(units("43 44 x45 46"));
    decide(&mut tech, other);
    assert_eq!(tech.case().units, units("43 44 x45 46"));
    tech.keys("u");
    assert_eq!(tech.case().units, units("44 x45 46"));
    assert_eq!(tech.case().decisions().count(), 0);
    tech.keys("y");
    assert_eq!(tech.case().units, units("43 44 x45 46"));
}

#[test]
fn a_decided_value_has_no_reading_error() {
    let case = casepan::demo::case("bridge-44-46").expect("an invented case");
    let errors = |case: &Case| {
        let facts = Facts::with(flow_ref(), case, Precision::Quick);
        let judgement = judge(flow_ref(), &facts);
        let doubt = doubt(flow_ref(), case, &facts, &judgement);
        doubt.spread.contains_key(&spot("tooth.height", "46"))
    };
    assert!(errors(&case));
    let mut told = case.clone();
    told.decide(decided(decision("stump", "46", DentistAnswer::Agreed)));
    assert!(!errors(&told));
}

fn flow_ref() -> &'static casepan::flow::Flow {
    crate::good::flow()
}

/// A case file keeps decisions with what counts; words and cost only where free text is asked for.
#[test]
fn a_file_keeps_decisions() {
    let mut kept = case("44 x45 46", &[("tooth.height", "46", mm(2.8))]);
    kept.decide(decided(decision("stump", "46", DentistAnswer::Agreed)));
    kept.decide(decided(decision(
        "gone-rule",
        "17",
        DentistAnswer::NoDecision,
    )));
    kept.set_proposals(vec![Proposal {
        changes: vec![(spot("tooth.grooves", "46"), choice("proximal"))],
    }]);
    let text = write(&kept, true).unwrap();
    assert_eq!(
        read(&Source::new("case.ron", &text)).unwrap(),
        kept,
        "{text}"
    );
    let bare = write(&kept, false).unwrap();
    assert!(!bare.contains("half a millimetre") && !bare.contains("one visit"));
    let again = read(&Source::new("case.ron", &bare)).unwrap();
    assert_eq!(again.decisions().count(), 2);
    // A file that lists only the decision has the value all the same.
    let short: String = text
        .lines()
        .filter(|line| !line.contains("layer: Decided"))
        .map(|line| format!("{line}\n"))
        .collect();
    assert_ne!(short, text);
    assert_eq!(read(&Source::new("case.ron", &short)).unwrap(), kept);
}

fn any_step() -> impl Strategy<Value = (u8, f64)> {
    (0u8..6, 2.0..6.0_f64)
}

/// Readings, decisions and undo in any order.
fn step(tech: &mut Technician, (what, number): (u8, f64)) {
    let number = (number * 10.0).round() / 10.0;
    let at = spot("tooth.height", "26");
    match what {
        0 => tech.with(|i, moment| i.answer_at(at, mm(number), moment)),
        1 => decide(tech, changing("a", &[("tooth.height", "26", mm(number))])),
        2 => decide(tech, changing("b", &[("tooth.height", "26", mm(number))])),
        3 => decide(tech, changing("a", &[])),
        4 => drop(tech.keys("f u")),
        _ => drop(tech.keys("f y")),
    }
}

/// What a case comes to, whoever wrote it down and when.
fn state(case: &Case) -> (Vec<(Spot, Layer, Value)>, Vec<Decision>) {
    (
        case.layers()
            .map(|(spot, layer, reading)| (spot.clone(), layer, reading.value.clone()))
            .collect(),
        case.decisions().map(|d| d.decision.clone()).collect(),
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn the_journal_tells_decisions_and_undo_is_the_way_back(
        steps in prop::collection::vec(any_step(), 0..14),
    ) {
        let mut tech = Technician::on(&crown());
        let first = state(tech.case());
        for one in &steps {
            step(&mut tech, *one);
            prop_assert_eq!(&fold(&tech.journal).unwrap(), tech.case());
        }
        let last = state(tech.case());
        let mut back = Vec::new();
        for _ in 0..steps.len() {
            back.push(state(tech.case()));
            tech.keys("f u");
        }
        prop_assert_eq!(state(tech.case()), first);
        if steps.iter().all(|(what, _)| *what < 4) {
            for _ in 0..steps.len() {
                tech.keys("f y");
            }
            prop_assert_eq!(state(tech.case()), last);
        }
        // A file gives back what counts.
        let text = write(tech.case(), true).unwrap();
        prop_assert_eq!(&read(&Source::new("case.ron", &text)).unwrap(), tech.case());
    }
}
