//! The stories from the return on: returned, drawn anew, taken over by somebody else, late.

use casepan::case::decision::Outcome;
use casepan::case::journal::Body;
use casepan::case::life::{Event, Happened, State};
use casepan::print::Sheet;

use super::{answer, far, good, lost_46, says, sheet, sit};
use crate::made::{choice, mm, spot};

#[test]
fn story_11_returned_nothing_under_this_number() {
    let mut sitting = sit(&good("35 x36 37", "zirconia-4y", &[]));
    sitting.with(|inspection, moment| {
        let event = Event {
            what: Happened::Returned,
            restorations: vec![1],
            on: moment.today,
            goes_on: Some("D-0735-2".to_owned()),
        };
        inspection.happen(event, moment)
    });
    says(
        &sitting,
        State::Returned,
        &["35 x36 37 RETURNED Mon 23 Nov 2026. Nothing under this number: see D-0735-2."],
    );
    sitting.keys("f u");
    assert_eq!(far(&sitting).0, State::ForDesign);
}

#[test]
fn story_12_a_bridge_is_cleared_for_design_then_to_make() {
    let mut sitting = sit(&good("44 x45 46", "zirconia-4y", &[]));
    says(
        &sitting,
        State::ForDesign,
        &["44 x45 46 CLEARED FOR DESIGN. Do not make 44 x45 46: connectors to be drawn."],
    );
    let ticket = sheet(&sitting, Sheet::Ticket);
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
            sitting.with(|i, moment| i.answer_at(at, value, moment));
        }
    }
    says(&sitting, State::ForDesign, &["44-45"]);
    let at = spot("connector.height", "44-45");
    sitting.with(|i, moment| i.answer_at(at, mm(4.5), moment));
    says(&sitting, State::ToMake, &["44 x45 46 CLEARED TO MAKE."]);
}

#[test]
fn story_13_a_second_person_takes_the_answer() {
    let two_ways = [("bite.models_close", "case", choice("two-ways"))];
    let mut sitting = sit(&good("47", "zirconia-4y", &two_ways));
    answer(&mut sitting, "bite-two-ways", '1', "no decision", "");
    says(
        &sitting,
        State::Waiting,
        &["47 WAITING for the dentist's own answer, due Tue 24 Nov 2026"],
    );
    let (_, first) = (0, sitting.case().decisions().next().unwrap().who.clone());
    assert_eq!(first.as_deref(), Some("mk"));
    answer(&mut sitting, "bite-two-ways", '1', "new-bite", "");
    says(
        &sitting,
        State::Waiting,
        &["47 WAITING for a new bite, due Mon 30 Nov 2026. Do not start 47."],
    );
    // Who asked stays in the journal.
    let asked = sitting.journal.iter().filter(|entry| {
        matches!(&entry.body, Body::Decide { decision } if decision.outcome == Outcome::NoDecision)
    });
    assert_eq!(asked.count(), 1);
}

#[test]
fn story_14_a_day_that_has_passed_makes_it_late_and_changes_nothing_else() {
    let mut sitting = sit(&good("26; 46", "zirconia-4y", &lost_46()));
    answer(&mut sitting, "finish-line-lost", '1', "clear-margin", "");
    let before = sitting.walk.case_state().unwrap();
    sitting.walk.today = Some(jiff::civil::date(2026, 12, 5));
    assert_eq!(sitting.walk.case_state().unwrap(), before);
    assert!(before.is_late(jiff::civil::date(2026, 12, 5)));
    assert!(!before.is_late(jiff::civil::date(2026, 11, 30)));
    says(
        &sitting,
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
    let mut sitting = sit(&good("46", "zirconia-4y", &lost_46()));
    answer(&mut sitting, "finish-line-lost", '1', "try-in-piece", "");
    says(
        &sitting,
        State::Waiting,
        &["46 WAITING for the written order"],
    );
}
