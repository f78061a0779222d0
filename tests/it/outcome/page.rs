//! The page: few keys, one step back, and no key that is held answers anything.

use casepan::case::life::State;
use casepan::case::outcome::{Foreseen, Kind, Known};
use casepan::session::view::{OutcomeView, PageView};
use casepan::session::{Moment, OutcomeState, Page};
use jiff::SignedDuration;

use super::{bridge, came_off, delivered};
use crate::ask::Bench;
use crate::session::{Technician, moment};
use crate::states::{far, good, sit};

fn shown(tech: &Technician) -> OutcomeView {
    match tech.session.view().page {
        PageView::Outcome(page) => *page,
        _ => panic!("another page is shown"),
    }
}

#[test]
fn a_bridge_that_came_off_takes_three_keys_and_enter() {
    let mut tech = delivered();
    tech.keys("e");
    let page = shown(&tech);
    assert_eq!(page.known, ["Mon 23 Nov 2026: 44 x45 46 delivered"]);
    let digits: String = page.choices.iter().map(|own| own.digit).collect();
    assert_eq!(digits, "1234567890-");
    tech.keys("1");
    let page = shown(&tech);
    let words: Vec<&str> = page.choices.iter().map(|own| own.words.as_str()).collect();
    assert_eq!(words, ["44", "45", "46", "44-45", "45-46", "44 x45 46"]);
    tech.keys("3");
    assert_eq!(tech.case().outcomes(), [], "only enter keeps it");
    assert!(
        shown(&tech).says[0].contains("46 came off (the dentist's word)"),
        "{:?}",
        shown(&tech).says
    );
    tech.keys("w w w enter");
    assert_eq!(tech.case().outcomes(), [came_off("46")]);
    assert_eq!(shown(&tech).asks, "Could the bench have seen it?");
    tech.keys("3");
    assert_eq!(tech.case().outcomes()[0].seen, Some(Foreseen::ReadingOff));
    let known = &shown(&tech).known[1];
    assert!(known.contains("yes, but a reading was off"), "{known}");
    // The same again is refused, and what stands there stays.
    tech.keys("1 3 enter");
    let notice = tech.session.notice.clone().unwrap();
    assert!(notice.contains("written down already"), "{notice}");
    assert_eq!(tech.case().outcomes().len(), 1);
}

#[test]
fn what_was_known_then_stands_beside_it() {
    let mut tech = delivered();
    tech.keys("e 1 3");
    let then = shown(&tech).then;
    // Its connectors were never drawn: what was found when it was inspected is the record.
    assert_eq!(then[0].0, "as found");
    assert!(!then[0].1[0].is_empty());
    let (unit, readings) = &then[1];
    assert_eq!(unit, "46");
    assert!(readings[0].contains("height "), "{readings:?}");
    let mut tech = sit(&good("26", "zirconia-3y", &[]));
    tech.keys("s l 7 enter enter b 1 enter e");
    let then = shown(&tech).then;
    assert_eq!((then[0].0.as_str(), then[1].0.as_str()), ("as built", "26"));
    // Without a record nothing is made up.
    let mut tech = Technician::on(&crate::session::crown());
    tech.keys("s b 1 enter enter e");
    assert_eq!(shown(&tech).then[0].1, ["no record of how it was built"]);
}

#[test]
fn escape_goes_one_step_back() {
    let mut tech = delivered();
    tech.keys("e");
    let kinds = shown(&tech).asks;
    tech.keys("2");
    let places = shown(&tech).asks;
    tech.keys("1 esc");
    assert_eq!(shown(&tech).asks, places);
    tech.keys("esc");
    assert_eq!(shown(&tech).asks, kinds);
    tech.keys("2 1 enter esc");
    assert_eq!(shown(&tech).asks, kinds, "the last question may stay open");
    assert_eq!(tech.case().outcomes()[0].seen, None);
    tech.keys("esc");
    assert_eq!(tech.session.page, Page::Summary);
    // An undo takes it back, and what was asked about it is asked no more.
    tech.keys("e 3 1 enter u 1");
    assert_eq!(tech.case().outcomes().len(), 1);
    assert_eq!(shown(&tech).asks, places);
}

#[test]
fn the_day_is_a_line_and_has_to_be_possible() {
    let mut tech = delivered();
    for (typed, why) in [
        ("1", "delivered on Mon 23 Nov 2026"),
        ("24-11", "still to come"),
        ("soon", "enter days ago"),
    ] {
        tech.keys(&format!("e 0 d {typed} enter"));
        let notice = tech.session.notice.clone().unwrap_or_default();
        assert!(notice.contains(why), "{typed}: {notice}");
        tech.keys("esc esc esc");
    }
    assert_eq!(tech.session.page, Page::Summary);
    tech.keys("e 0 d 0 enter enter");
    let own = &tech.case().outcomes()[0];
    assert_eq!(
        (own.what, own.at, own.known),
        (Kind::Quiet, None, Known::Recall)
    );
    tech.keys("- enter");
    assert_eq!(tech.case().outcomes()[1].what, Kind::LostSight);
    // Nothing is asked behind what did not go wrong.
    assert_eq!(shown(&tech).asks, "What happened?");
}

#[test]
fn nothing_is_written_of_what_was_not_delivered() {
    let mut tech = sit(&bridge());
    tech.keys("s e");
    let page = shown(&tech);
    assert!(page.choices.is_empty());
    assert!(page.known[0].contains("Nothing of this case was delivered yet"));
    tech.keys("1 enter 0 enter - enter");
    assert_eq!(tech.case().outcomes(), []);
    tech.keys("esc");
    assert_eq!(tech.session.page, Page::Summary);
}

/// Twelve crowns: the ninth digit turns the list.
#[test]
fn a_long_list_of_places_is_turned() {
    let units = "16; 15; 14; 24; 25; 26; 36; 35; 34; 44; 45; 46";
    let mut tech = Technician::on(&good(units, "zirconia-3y", &[]));
    tech.keys("s b 1 enter");
    if tech.session.over.line().is_some() {
        tech.keys("enter");
    }
    tech.keys("e 2");
    let first: Vec<String> = (shown(&tech).choices.iter())
        .map(|own| own.words.clone())
        .collect();
    assert_eq!(first.len(), 9);
    tech.keys("9");
    let second: Vec<String> = (shown(&tech).choices.iter())
        .map(|own| own.words.clone())
        .collect();
    assert_eq!(second.len(), 5);
    assert!(first[..8].iter().all(|own| !second.contains(own)));
    tech.keys("9");
    assert_eq!(shown(&tech).choices[0].words, first[0]);
    tech.keys("2 enter");
    assert_eq!(tech.case().outcomes().len(), 1);
}

fn at(ms: i64) -> Moment {
    let base = moment(1000);
    Moment {
        now: base.now + SignedDuration::from_millis(ms),
        id: uuid::Uuid::from_u128(900_000 + u128::try_from(ms).unwrap()),
        ..base
    }
}

#[test]
fn a_second_tap_and_a_held_key_answer_nothing_more() {
    let stage = |tech: &Technician| -> OutcomeState { tech.session.outcome.clone() };
    let mut tech = delivered();
    tech.keys("e");
    tech.session.taps.by_hand = true;
    let kinds = stage(&tech);
    tech.session.key("1", &at(0));
    let places = stage(&tech);
    assert_ne!(kinds, places);
    // A finger that bounces picks no place.
    tech.session.key("1", &at(60));
    assert_eq!(stage(&tech), places);
    // Slowly, it is a second answer.
    tech.session.key("1", &at(1500));
    assert_ne!(stage(&tech), places);
    tech.session.key("esc", &at(2500));
    tech.session.key("esc", &at(3500));
    assert_eq!(stage(&tech), kinds);
    // Held down it begins to repeat: what it picked then is asked again.
    tech.session.key("1", &at(5000));
    for (n, ms) in (0..20).zip((5500..).step_by(33)) {
        tech.session.key("1", &at(ms));
        assert!(n < 2 || stage(&tech) == places, "{n}");
    }
    assert_eq!(tech.case().outcomes(), []);
    // Enter held down keeps once, and leaves the question behind it open.
    tech.session.key("3", &at(8000));
    for ms in (9000..10_000).step_by(33) {
        tech.session.key("enter", &at(ms));
    }
    assert_eq!(tech.case().outcomes().len(), 1);
    assert_eq!(shown(&tech).asks, "Could the bench have seen it?");
    // The answer held down is one entry.
    let entries = tech.session.inspection.as_ref().unwrap().entries();
    tech.session.key("2", &at(11_000));
    for ms in (11_500..13_000).step_by(33) {
        tech.session.key("2", &at(ms));
    }
    let now = tech.session.inspection.as_ref().unwrap().entries();
    assert_eq!(now, entries + 1);
    assert_eq!(stage(&tech), kinds);
}

#[test]
fn from_the_worklist_the_page_opens_and_goes_back_there() {
    let mut bench = Bench::on(&bridge());
    bench.desk.session.single = false;
    let mut tick = 0;
    let mut press = |bench: &mut Bench, keys: &str| {
        for key in keys.split(' ') {
            tick += 1;
            bench.desk.key(key, &moment(tick));
        }
    };
    press(&mut bench, "q b 1 enter");
    if bench.desk.session.over.line().is_some() {
        press(&mut bench, "enter");
    }
    assert_eq!(bench.desk.session.page, Page::Worklist);
    press(&mut bench, "e 1 3 enter");
    // Read from the disk, as after a power cut.
    assert_eq!(bench.kept().outcomes(), [came_off("46")]);
    press(&mut bench, "esc esc");
    assert_eq!(bench.desk.session.page, Page::Worklist);
    assert!(bench.desk.session.inspection.is_none());
    // The row tells it, and a filter finds it.
    let PageView::Worklist(list) = bench.desk.session.view().page else {
        panic!("no list");
    };
    assert_eq!(list.rows[0].state, "came off, DELIVERED");
    let about = list.about.unwrap().in_a_line();
    assert!(about.contains("46: came off, today"), "{about}");
    press(&mut bench, "f c a m e");
    assert_eq!(bench.desk.session.worklist.len(), 1);
    press(&mut bench, "x x x");
    assert_eq!(bench.desk.session.worklist.len(), 0);
    // Seen quiet, nothing came back.
    press(&mut bench, "esc e u");
    assert_eq!(bench.desk.session.page, Page::Outcome);
}

#[test]
fn an_outcome_changes_no_state_and_no_result() {
    let mut tech = delivered();
    let (before, verdict) = (
        far(&tech),
        tech.session
            .inspection
            .as_ref()
            .unwrap()
            .judgement()
            .verdict,
    );
    tech.keys("e 1 3 enter 3 0 enter");
    assert_eq!(far(&tech), before);
    assert_eq!(far(&tech).0, State::Delivered);
    let now = tech
        .session
        .inspection
        .as_ref()
        .unwrap()
        .judgement()
        .verdict;
    assert_eq!(now, verdict);
}
