//! The call: which questions are asked, what silences one, how an answer is given, and trying out.
//!
//! Checked against the rules of the house: what is on hold is never silenced by habit, nothing is preselected, the
//! dentist's list keeps the flow's order, and what is tried out leaves no trace.

mod desk;
mod page;
mod same;
mod trying;

use casepan::call::{QuestionState, asks, earlier, matter};
use casepan::case::decision::{Decided, DentistAnswer};
use casepan::case::instruction::Instruction;
use casepan::case::{Case, Layer, Reading};
use casepan::derive::{Facts, Precision};
use casepan::fact::{ORDER_DENTIST, Place, Spot, Value};
use casepan::flow::Level;
use casepan::judge::judge;
use casepan::phrase::Phrase;
use casepan::print::{Beside, Sheet, Told, document};
use casepan::session::Page;
use casepan::session::call::Row;
use casepan::tooth::Notation;
use uuid::Uuid;

use super::decision::{decision, matter as about};
use super::good::flow;
use super::session::Technician;

fn phrase() -> Phrase<'static> {
    Phrase {
        flow: flow(),
        notation: Notation::Iso3950,
    }
}

fn demo(name: &str) -> Case {
    casepan::demo::case(name).expect("an invented case")
}

fn instruction(dentist: &str, rule: &str) -> Instruction {
    Instruction {
        id: Uuid::nil(),
        dentist: dentist.to_owned(),
        rule: rule.to_owned(),
        words: "as always".to_owned(),
        from: jiff::civil::date(2026, 1, 1),
        until: None,
    }
}

fn of_dentist(case: &mut Case, code: &str) {
    let spot = Spot {
        fact: ORDER_DENTIST,
        at: Place::Case,
    };
    let code = Value::Text(code.to_owned());
    case.put(spot, Layer::Measured, Reading::plain(code));
}

/// A demo case with what is left answered as a careful dentist's case would have it.
fn whole(name: &str) -> Case {
    let mut case = demo(name);
    super::good::finish(&mut case, false);
    case
}

/// Every demo case with something to ask, its facts and what was found, handed on.
fn each_demo(mut look: impl FnMut(&str, Case)) {
    for (name, _) in casepan::demo::CASES {
        look(name, demo(name));
    }
}

#[test]
fn instructions_silence_what_they_cover_and_never_what_is_on_hold() {
    let (mut silenced, mut held) = (0, 0);
    each_demo(|name, mut case| {
        of_dentist(&mut case, "K17");
        let facts = Facts::with(flow(), &case, Precision::Quick);
        let judgement = judge(flow(), &facts);
        let open = asks(&facts, &judgement, phrase(), &[]);
        for ask in &open {
            let own = matter(flow(), ask.finding);
            for (dentist, rule, covers) in [
                ("K17", own.rule.as_str(), true),
                ("K18", own.rule.as_str(), false),
                ("K17", "no-such-rule", false),
            ] {
                let list = [instruction(dentist, rule)];
                for other in asks(&facts, &judgement, phrase(), &list) {
                    let is_own = matter(flow(), other.finding).rule == own.rule;
                    let hold = other.finding.level == Level::Hold;
                    let wanted = covers && is_own && !hold;
                    assert_eq!(!other.is_open(), wanted, "{name} {rule} {dentist}");
                    silenced += usize::from(wanted);
                    held += usize::from(covers && is_own && hold);
                }
            }
        }
        // Nothing of it changes what was found.
        assert_eq!(judge(flow(), &facts), judgement);
    });
    assert!(silenced > 0 && held > 0, "{silenced} {held}");
}

#[test]
fn as_it_is_is_no_longer_asked_and_stays_found() {
    let mut case = demo("bridge-44-46");
    let first = {
        let facts = Facts::with(flow(), &case, Precision::Quick);
        let judgement = judge(flow(), &facts);
        let list = asks(&facts, &judgement, phrase(), &[]);
        assert!(list.iter().all(|ask| ask.state == QuestionState::Open));
        matter(flow(), list[0].finding)
    };
    let mut said = decision(&first.rule, &first.at.to_string(), DentistAnswer::AsItIs);
    said.amended = false;
    case.decide(Decided {
        decision: said,
        who: None,
        when: None,
    });
    let facts = Facts::with(flow(), &case, Precision::Quick);
    let judgement = judge(flow(), &facts);
    let list = asks(&facts, &judgement, phrase(), &[]);
    assert!(!list[0].is_open());
    assert!(
        judgement
            .findings
            .iter()
            .any(|f| matter(flow(), f) == first)
    );
    let told = Told {
        facts: &facts,
        judgement: &judgement,
        doubt: None,
        phrase: phrase(),
        beside: Beside::default(),
    };
    let summary = document(told, &[Sheet::Summary]).to_text();
    let flat: Vec<&str> = summary.split_whitespace().collect();
    let said = "agreed with the dentist on Mon 23 Nov 2026: make it as it is";
    assert!(flat.join(" ").contains(said), "{summary}");
    let text = document(told, &[Sheet::Call]).to_text();
    let (_, after) = text
        .split_once("Decided")
        .expect("a part on what was decided");
    assert!(
        after.contains("agreed with the dentist on Mon 23 Nov 2026: make it as it is"),
        "{text}"
    );
}

#[test]
fn what_is_on_hold_wants_it_in_writing() {
    let mut case = demo("cantilever-12-13");
    let held = {
        let facts = Facts::with(flow(), &case, Precision::Quick);
        let judgement = judge(flow(), &facts);
        let list = asks(&facts, &judgement, phrase(), &[]);
        let ask = list.iter().find(|ask| ask.finding.level == Level::Hold);
        matter(flow(), ask.expect("something on hold").finding)
    };
    for amended in [false, true] {
        let mut said = decision(&held.rule, &held.at.to_string(), DentistAnswer::AsItIs);
        said.amended = amended;
        said.coming = None;
        case.decide(Decided {
            decision: said,
            who: None,
            when: None,
        });
        let facts = Facts::with(flow(), &case, Precision::Quick);
        let judgement = judge(flow(), &facts);
        let list = asks(&facts, &judgement, phrase(), &[]);
        let ask = list
            .iter()
            .find(|ask| matter(flow(), ask.finding) == held)
            .expect("still found");
        assert_eq!(ask.is_open(), !amended);
    }
}

#[test]
fn a_decision_on_a_question_that_is_gone_is_listed() {
    let mut case = demo("crown-26");
    for (rule, at) in [("gone-rule", "26"), ("clearance", "17")] {
        case.decide(Decided {
            decision: decision(rule, at, DentistAnswer::Refused),
            who: None,
            when: None,
        });
    }
    let facts = Facts::with(flow(), &case, Precision::Quick);
    let judgement = judge(flow(), &facts);
    let list = asks(&facts, &judgement, phrase(), &[]);
    assert_eq!(earlier(&case, &list).len(), 2);
    let told = Told {
        facts: &facts,
        judgement: &judgement,
        doubt: None,
        phrase: phrase(),
        beside: Beside::default(),
    };
    let text = document(told, &[Sheet::Call]).to_text();
    assert_eq!(text.matches("no longer asked").count(), 2, "{text}");
    let mut tech = Technician::on(&case);
    tech.go(Page::Call);
    let rows = tech
        .session
        .call_rows(tech.session.inspection.as_ref().unwrap());
    assert!(rows.contains(&Row::Earlier(about("gone-rule", "26"))));
}

/// What was decided stands no longer in the way of the work: the ticket does not say to call first, nor the letter ask; both
/// tell the decision. On hold it does, until the amended order is there in writing.
#[test]
fn sheets_follow_what_was_decided() {
    let sheets = |case: &Case| {
        let facts = Facts::with(flow(), case, Precision::Quick);
        let judgement = judge(flow(), &facts);
        let told = crate::made::told(flow(), &facts, &judgement);
        [Sheet::Ticket, Sheet::Letter].map(|sheet| document(told, &[sheet]).to_text())
    };
    let made = |case: &str, rule: &str, at: &str, amended: bool| {
        let mut case = whole(case);
        let mut decision = decision(rule, at, DentistAnswer::AsItIs);
        decision.amended = amended;
        decision.coming = None;
        case.decide(Decided {
            decision,
            who: None,
            when: None,
        });
        sheets(&case)
    };
    let [ticket, letter] = sheets(&whole("bridge-44-46"));
    assert!(
        ticket.contains("CALL FIRST") && letter.contains("1. 46: "),
        "{ticket}{letter}"
    );
    let [ticket, letter] = made("bridge-44-46", "tips-off", "46", false);
    assert!(
        !ticket.contains("CALL FIRST") && !letter.contains("1. 46: "),
        "{ticket}{letter}"
    );
    for sheet in [ticket, letter] {
        assert!(
            sheet.contains("agreed with the dentist on Mon 23 Nov 2026: make it as it is")
                || sheet.contains("By phone on Mon 23 Nov 2026: we will make 46 as it is"),
            "{sheet}"
        );
    }
    // The result stays what was found; the first line says whether the work may go on.
    let first = |amended| {
        let [ticket, _] = made("cantilever-12-13", "span", "R1", amended);
        ticket.lines().next().map(str::to_owned).unwrap_or_default()
    };
    assert!(first(false).contains("ON HOLD"), "{}", first(false));
    assert!(!first(true).contains("ON HOLD"), "{}", first(true));
}

/// Where order and models do not match, no answer makes it right, not on a written order either: it is asked about until the
/// new order is entered.
#[test]
fn what_does_not_match_is_accepted_by_no_order() {
    for outcome in [DentistAnswer::AsItIs, DentistAnswer::Agreed] {
        let mut case = whole("bridge-44-46");
        let spot = crate::made::spot("order.matches", "case");
        let not = Value::Choice("not-ordered".to_owned());
        case.put(spot, Layer::Measured, Reading::plain(not));
        let mut said = decision("order-and-models", "case", outcome);
        said.changes = Vec::new();
        said.taken = Vec::new();
        assert!(said.amended);
        case.decide(Decided {
            decision: said,
            who: None,
            when: None,
        });
        let facts = Facts::with(flow(), &case, Precision::Quick);
        let judgement = judge(flow(), &facts);
        let list = asks(&facts, &judgement, phrase(), &[]);
        let own =
            |ask: &&casepan::call::Ask<'_>| matter(flow(), ask.finding).rule == "order-and-models";
        let ask = list.iter().find(own).expect("it is asked");
        assert!(ask.is_open(), "{outcome:?}: {:?}", ask.state);
    }
}
