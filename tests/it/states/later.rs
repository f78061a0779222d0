//! The stories from the return on: returned, drawn anew, taken over by somebody else, late.

use casepan::case::coming::Part;
use casepan::case::decision::DentistAnswer;
use casepan::case::journal::Body;
use casepan::case::life::{CaseEvent, Happened, State};
use casepan::case::{Layer, Reading};
use casepan::derive::{Facts, Precision};
use casepan::fact::{Kind, Value};
use casepan::flow::Level;
use casepan::judge::judge;
use casepan::print::Sheet;
use casepan::state::{CaseState, arrival};

use super::{answer, far, good, lost_46, mark, says, sheet, sit};
use crate::made::{choice, mm, spot};

#[test]
fn story_11_returned_nothing_under_this_number() {
    let mut tech = sit(&good("35 x36 37", "zirconia-4y", &[]));
    tech.with(|inspection, moment| {
        let event = CaseEvent {
            what: Happened::Returned,
            restorations: vec![1],
            on: moment.today,
            goes_on: Some("D-0735-2".to_owned()),
        };
        inspection.happen(event, moment)
    });
    says(
        &tech,
        State::Returned,
        &["35 x36 37 RETURNED Mon 23 Nov 2026. Continued as case D-0735-2."],
    );
    tech.keys("f u");
    assert_eq!(far(&tech).0, State::ForDesign);
}

#[test]
fn story_12_a_bridge_is_cleared_for_design_then_to_make() {
    let mut tech = sit(&good("44 x45 46", "zirconia-4y", &[]));
    says(
        &tech,
        State::ForDesign,
        &["44 x45 46 CLEARED FOR DESIGN. Do not make 44 x45 46 yet: connectors to be designed."],
    );
    let ticket = sheet(&tech, Sheet::Ticket);
    assert!(
        ticket.contains("Connectors") && !ticket.contains("Before it leaves"),
        "{ticket}"
    );
    // Too thin where there is room: drawn anew, nobody is asked.
    for (at, height) in [("44-45", 2.0), ("45-46", 4.0)] {
        for (fact, value) in [
            ("connector.height", mm(height)),
            ("connector.width", mm(3.5)),
            ("connector.section", choice("ellipse")),
        ] {
            let at = spot(fact, at);
            tech.with(|i, moment| i.answer_at(at, value, moment));
        }
    }
    says(&tech, State::ForDesign, &["44-45"]);
    let at = spot("connector.height", "44-45");
    tech.with(|i, moment| i.answer_at(at, mm(4.5), moment));
    says(&tech, State::ToMake, &["44 x45 46 CLEARED TO MAKE."]);
}

#[test]
fn story_13_a_second_person_takes_the_answer() {
    let two_ways = [("bite.models_close", "case", choice("two-ways"))];
    let mut tech = sit(&good("47", "zirconia-4y", &two_ways));
    answer(&mut tech, "bite-two-ways", '1', "no decision", "");
    says(
        &tech,
        State::Waiting,
        &["47 WAITING for the dentist's own answer, due Tue 24 Nov 2026"],
    );
    let (_, first) = (0, tech.case().decisions().next().unwrap().who.clone());
    assert_eq!(first.as_deref(), Some("mk"));
    answer(&mut tech, "bite-two-ways", '1', "new-bite", "");
    says(
        &tech,
        State::Waiting,
        &["47 WAITING for a new bite, due Mon 30 Nov 2026. Do not start 47."],
    );
    // Who asked stays in the journal.
    let asked = tech.journal.iter().filter(|entry| {
        matches!(&entry.body, Body::Decide { decision } if decision.outcome == DentistAnswer::NoDecision)
    });
    assert_eq!(asked.count(), 1);
}

#[test]
fn story_14_a_day_that_has_passed_makes_it_late_and_changes_nothing_else() {
    let mut tech = sit(&good("26; 46", "zirconia-4y", &lost_46()));
    answer(&mut tech, "finish-line-lost", '1', "clear-margin", "");
    let before = tech.session.case_state().unwrap();
    tech.session.today = Some(jiff::civil::date(2026, 12, 5));
    assert_eq!(tech.session.case_state().unwrap(), before);
    assert!(before.is_late(jiff::civil::date(2026, 12, 5)));
    assert!(!before.is_late(jiff::civil::date(2026, 11, 30)));
    says(
        &tech,
        State::Waiting,
        &[
            "26 CLEARED TO MAKE.",
            "46 WAITING for a new impression or scan, late. Do not start 46.",
        ],
    );
}

/// On hold, an option that brings nothing to look at starts nothing: it waits for the written order.
#[test]
fn what_is_on_hold_is_not_begun_on_an_option_that_brings_nothing() {
    let mut tech = sit(&good("46", "zirconia-4y", &lost_46()));
    // The question's own second choice, the margin drawn on the photo; nothing else has to come in.
    mark(&mut tech, "finish-line-lost");
    tech.keys("1 0 2 enter");
    assert!(
        tech.case().decisions().next().is_none(),
        "nothing was picked that comes in"
    );
    tech.keys("4 enter enter");
    let decided = tech.case().decisions().next().expect("a decision");
    assert_eq!(decided.decision.words, "mark the margin on the photo");
    says(&tech, State::Waiting, &["46 WAITING for the written order"]);
    // The order brings no margin: words are no acceptance, so it is asked again.
    tech.with(|inspection, moment| {
        let there = (inspection.case(), inspection.judgement());
        let own = arrival(inspection.flow(), there, Part::Order, &[1], moment.today).unwrap();
        inspection.arrive(own, moment)
    });
    says(&tech, State::ToCall, &["46 CALL FIRST, asked again"]);
}

/// A neighbour that nothing here covers is never cleared, and its contact is never there: it is said beside the crown.
#[test]
fn a_neighbour_that_is_not_covered_is_said() {
    let mut case = good("36; 35", "zirconia-4y", &[]);
    crate::good::put(&mut case, "order.scope", "R2", choice("implant"));
    let tech = sit(&case);
    says(
        &tech,
        State::ToMake,
        &[
            "36 CLEARED TO MAKE. 35 next to it is not checked here",
            "35 NOT COVERED",
        ],
    );
    let ticket = sheet(&tech, Sheet::Ticket);
    assert!(
        ticket.contains("CLEARED TO MAKE, 1 of 2 not covered"),
        "{ticket}"
    );
}

/// Whatever is found at a call or worse, and is neither answered nor on its way, is never cleared: one fault at a time in a
/// sound crown and a sound bridge, each value that the catalogue has.
#[test]
fn what_was_found_and_not_answered_is_never_cleared() {
    let mut looked = 0;
    for units in ["46", "44 x45 46"] {
        let sound = good(units, "zirconia-4y", &[]);
        let spots: Vec<_> = sound.present().map(|(spot, ..)| spot.clone()).collect();
        for spot in spots {
            let spec = crate::good::flow().spec(&spot.fact).unwrap();
            let values: Vec<Value> = match &spec.kind {
                Kind::YesNo => vec![Value::Yes, Value::No, Value::NotSeen],
                Kind::Choice(choices) => choices
                    .iter()
                    .map(|(id, _)| Value::Choice(id.to_string()))
                    .chain([Value::NotSeen])
                    .collect(),
                Kind::Number { unit, least, most } => {
                    let some = |share: f64| Value::Number(least + (most - least) * share, *unit);
                    vec![some(0.1), some(0.6), Value::NotSeen]
                }
                _ => vec![Value::NotSeen],
            };
            for value in values {
                let mut case = sound.clone();
                case.put(spot.clone(), Layer::Measured, Reading::plain(value.clone()));
                let facts = Facts::with(crate::good::flow(), &case, Precision::Quick);
                let judgement = judge(crate::good::flow(), &facts);
                let phrase = crate::made::told(crate::good::flow(), &facts, &judgement).phrase;
                let state = CaseState::of(&facts, &judgement, phrase, &[]).state;
                let verdict = judgement.verdict;
                if !verdict.covered {
                    continue;
                }
                looked += 1;
                let worst = verdict.level.max(verdict.drawn);
                assert!(
                    worst < Level::Call || state != State::ToMake,
                    "{units}: {spot:?} {value:?} is {worst:?} and cleared to make"
                );
                assert!(
                    verdict.level < Level::Call || state != State::ForDesign,
                    "{units}: {spot:?} {value:?} is {:?} and cleared for design",
                    verdict.level
                );
            }
        }
    }
    assert!(looked > 250, "{looked}");
}

/// What was accepted as it is was that reading on those units: another one is asked about again.
#[test]
fn what_was_accepted_is_asked_again_once_it_is_another() {
    let short = [("tooth.clearance", "26", mm(0.5))];
    let accepted = || {
        let mut tech = sit(&good("26", "zirconia-4y", &short));
        answer(&mut tech, "clearance", '1', "as it is", "");
        says(&tech, State::ToMake, &["26 CLEARED TO MAKE as agreed"]);
        tech
    };
    let change = |tech: &mut crate::session::Technician, fact: &str, at: &str, value: Value| {
        tech.with(|inspection, moment| inspection.answer_at(spot(fact, at), value, moment));
    };
    let mut tech = accepted();
    change(&mut tech, "tooth.clearance", "26", mm(0.4));
    says(&tech, State::ToCall, &["26 CALL FIRST, asked again"]);
    let letter = sheet(&tech, Sheet::Letter);
    assert!(letter.contains("it has changed since"), "{letter}");
    // The same reading once more is the one that was accepted.
    change(&mut tech, "tooth.clearance", "26", mm(0.5));
    says(&tech, State::ToMake, &["26 CLEARED TO MAKE as agreed"]);
    let mut tech = accepted();
    change(&mut tech, "order.material", "R1", choice("zirconia-5y"));
    let (state, lines) = far(&tech);
    assert!(!state.is_cleared(), "{lines:?}");
}
