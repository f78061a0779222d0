//! Acts without their keys: they keep what the keys keep, and are refused what the keys are refused.

use casepan::case::{Case, Layer, Reading};
use casepan::fact::{Kind, Value};
use casepan::session::{Act, Command, Given, Page};

use super::super::made::{choice, flow, mm, spot};
use super::{Technician, crown, values};

fn at_the_top() -> Case {
    let mut case = crown();
    for (fact, number) in [("tooth.height", 4.5), ("tooth.width_margin_md", 8.6)] {
        case.put(
            spot(fact, "26"),
            Layer::Measured,
            Reading::plain(mm(number)),
        );
    }
    case
}

/// Answers by value, by the place of a choice and as they are typed, and the same by keys: one journal.
#[test]
fn an_act_keeps_what_its_keys_keep() {
    let mut keyed = Technician::on(&crown());
    keyed.at("order.make", "R1").keys("2");
    keyed.at("order.shade_given", "case").keys("1");
    keyed.at("tooth.height", "26").keys("4.4 enter");
    keyed.at("tooth.width_margin_md", "26").keys("7 enter");
    keyed.at("tooth.width_margin_fl", "26").keys("-");
    let by_value =
        |fact: &str, at: &str, value: Value| Act::Answer(spot(fact, at), Given::Value(value));
    let by_place = |fact: &str, at: &str, place| Act::Answer(spot(fact, at), Given::Choice(place));
    let typed = |fact: &str, at: &str, text: &str| {
        Act::Answer(spot(fact, at), Given::Typed(text.to_owned()))
    };
    for acts in [
        [
            by_value("order.make", "R1", choice("remake")),
            by_value("order.shade_given", "case", Value::Yes),
            by_value("tooth.height", "26", mm(4.4)),
            by_value("tooth.width_margin_md", "26", mm(7.0)),
            by_value("tooth.width_margin_fl", "26", Value::NotSeen),
        ],
        [
            by_place("order.make", "R1", 1),
            by_place("order.shade_given", "case", 0),
            typed("tooth.height", "26", "4.4"),
            typed("tooth.width_margin_md", "26", "7,0"),
            by_value("tooth.width_margin_fl", "26", Value::NotSeen),
        ],
    ] {
        let mut tech = Technician::on(&crown());
        for act in acts {
            tech.act(act);
        }
        assert_eq!(tech.wrote(), keyed.wrote());
        assert_eq!(values(tech.case()), values(keyed.case()));
    }
}

/// What can hardly be is asked back however it was given, and only what confirms it keeps it.
#[test]
fn an_act_is_asked_back_as_its_keys_are() {
    for given in [Given::Typed("9.4".to_owned()), Given::Value(mm(9.4))] {
        let mut tech = Technician::on(&at_the_top());
        tech.act(Act::Answer(spot("tooth.width_top_md", "26"), given.clone()));
        assert!(tech.session.is_asked_back(), "{given:?}");
        assert!(tech.wrote().is_empty());
        tech.act(Act::Do(Command::Confirm));
        assert!(tech.wrote().is_empty(), "{given:?}");
        tech.act(Act::Answer(spot("tooth.width_top_md", "26"), given));
        tech.act(Act::Do(Command::Insist));
        assert_eq!(tech.wrote(), ["tooth.width_top_md@26 = 9.4 Mm, caliper"]);
    }
}

/// Refused in the sentence of the keys, with nothing kept.
#[test]
fn an_act_is_refused_in_the_sentence_of_its_keys() {
    for (fact, at, typed, value) in [
        ("tooth.height", "26", "44", mm(44.0)),
        ("tooth.height", "26", "4.43", mm(4.43)),
    ] {
        let mut keyed = Technician::on(&crown());
        keyed.at(fact, at).keys(&format!("{typed} enter"));
        let why = keyed.refusal();
        assert!(!why.is_empty() && keyed.wrote().is_empty(), "{typed}");
        for given in [Given::Typed(typed.to_owned()), Given::Value(value.clone())] {
            let mut tech = Technician::on(&crown());
            tech.act(Act::Answer(spot(fact, at), given));
            assert_eq!(tech.refusal(), why);
            assert!(tech.wrote().is_empty());
        }
    }
    let mut tech = Technician::on(&crown());
    for given in [Given::Choice(40), Given::Value(choice("no-such-choice"))] {
        tech.act(Act::Answer(spot("order.make", "R1"), given));
        assert!(!tech.refusal().is_empty());
    }
    // A choice is picked and not typed; on the page of findings nothing is typed at all.
    let typed = Given::Typed("2".to_owned());
    tech.act(Act::Answer(spot("order.make", "R1"), typed));
    assert!(!tech.refusal().is_empty());
    tech.go(Page::Findings);
    tech.act(Act::Enter("2".to_owned()));
    assert_eq!(tech.session.notice, None);
    tech.act(Act::Answer(
        spot("tooth.height", "47"),
        Given::Value(mm(4.0)),
    ));
    assert_eq!(tech.session.notice.as_deref(), Some("no question is open"));
    assert!(tech.wrote().is_empty());
}

/// A choice of a long list is picked by its place, wherever its digits would stand.
#[test]
fn a_choice_beyond_the_ninth_is_picked_by_its_place() {
    let cell = spot("order.material", "R1");
    let flow = flow();
    let kind = &flow.spec(&cell.fact).expect("a fact").kind;
    assert!(matches!(kind, Kind::Listed(_)));
    let all = flow.choices(kind);
    assert!(all.len() > 9);
    for (place, (id, _)) in all.iter().enumerate() {
        let mut tech = Technician::on(&super::super::made::case("26", &[]));
        tech.act(Act::Answer(cell.clone(), Given::Choice(place)));
        assert_eq!(tech.case().value(&cell.fact, cell.at), Some(&choice(id)));
    }
}

/// Nothing goes past what lies over the page, past a trial, or to a page to which no key leads.
#[test]
fn an_act_opens_no_way_that_no_key_has() {
    let mut tech = Technician::on(&crown());
    let answer = || Act::Answer(spot("tooth.height", "26"), Given::Value(mm(4.4)));
    tech.key("e");
    let line = tech.session.over.line().cloned();
    tech.act(answer());
    tech.act(Act::Go(Page::Findings));
    tech.act(Act::Mark(3));
    assert_eq!(tech.session.over.line(), line.as_ref());
    assert_eq!(tech.session.page, Page::Questions);
    assert!(tech.wrote().is_empty());
    tech.keys("esc t");
    tech.act(answer());
    assert!(tech.session.is_trying() && tech.wrote().is_empty());
    tech.act(Act::Go(Page::Call));
    assert_eq!(tech.session.page, Page::Questions);
    assert!(tech.session.notice.is_some());
    tech.home();
    for page in [Page::Rates, Page::Outcome] {
        tech.act(Act::Go(page));
        assert_eq!(tech.session.page, Page::Questions, "{page:?}");
    }
    for page in [
        Page::Findings,
        Page::Options,
        Page::Call,
        Page::History,
        Page::Picture,
        Page::Summary,
        Page::Outcome,
        Page::Questions,
    ] {
        tech.go(page);
    }
    // What was asked for a moment ago is answered from wherever one is.
    tech.go(Page::Call).act(answer());
    assert_eq!(tech.wrote(), ["tooth.height@26 = 4.4 Mm, caliper"]);
}
