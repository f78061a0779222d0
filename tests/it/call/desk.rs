//! The desk behind the page: options from a thread, standing instructions in the archive.

use casepan::archive::Archive;
use casepan::call::{asks, matter};
use casepan::case::decision::DentistAnswer;
use casepan::desk::{Desk, Setup};
use casepan::flow::{Level, embedded};
use casepan::session::Page;
use casepan::session::call::Row;
use casepan::tooth::Notation;
use uuid::Uuid;

use super::{demo, phrase};
use crate::decision::decision;
use crate::good::flow;
use crate::session::moment;
use crate::support::PATIENCE;

/// A desk on an archive of its own, with the bridge of the demo open.
fn desk(directory: &std::path::Path) -> Desk {
    let archive = Archive::open(&directory.join("a")).expect("an archive");
    let mut desk = Desk::new(Setup {
        archive,
        loaded: embedded(),
        notation: Notation::Iso3950,
        who: None,
        session_id: Uuid::from_u128(8),
        prints: directory.to_path_buf(),
    })
    .expect("a desk");
    let mut count = 0;
    let mut fresh = || {
        count += 1;
        Uuid::from_u128(count)
    };
    desk.bring_in(&demo("cantilever-12-13"), &moment(1), &mut fresh)
        .expect("a case is brought in");
    let number = demo("cantilever-12-13").number;
    desk.open(&number).expect("the case is opened");
    desk
}

#[test]
fn options_of_an_older_state_are_dropped() {
    let directory = tempfile::tempdir().expect("a directory");
    let mut desk = desk(directory.path());
    let (sender, results) = std::sync::mpsc::channel();
    desk.try_apart(move |tried| drop(sender.send(tried)));
    desk.session.page = Page::Questions;
    desk.key("o", &moment(2));
    let ways = |desk: &Desk| {
        desk.session
            .inspection
            .as_ref()
            .and_then(|i| i.ways.clone())
    };
    let wait = || results.recv_timeout(PATIENCE).expect("ways out");
    let old = wait();
    assert_eq!(ways(&desk), None);
    desk.tried(old.clone());
    let single = ways(&desk).expect("single ones first");
    assert!(!single.singles.is_empty() && single.together.is_none());
    desk.tried(wait());
    assert!(
        ways(&desk)
            .expect("then several at once")
            .together
            .is_some()
    );
    // A decision makes another state of the case.
    let inspection = desk.session.inspection.as_mut().unwrap();
    inspection.decide(decision("any", "13", DentistAnswer::NoDecision), &moment(3));
    desk.tried(old);
    assert_eq!(ways(&desk), None);
}

#[test]
fn an_instruction_kept_on_the_page_silences_the_next_case() {
    let directory = tempfile::tempdir().expect("a directory");
    let mut desk = desk(directory.path());
    desk.session.page = Page::Questions;
    let open = |desk: &Desk| {
        let inspection = desk.session.inspection.as_ref().unwrap();
        let facts = inspection.facts();
        asks(
            &facts,
            inspection.judgement(),
            phrase(),
            &desk.session.standing(),
        )
        .iter()
        .filter(|ask| ask.is_open())
        .count()
    };
    let before = open(&desk);
    let mut tick = 10;
    let mut press = |desk: &mut Desk, keys: &str| {
        for key in keys.split(' ') {
            tick += 1;
            desk.key(key, &moment(tick));
        }
    };
    press(&mut desk, "c up up up up up up up up up up");
    desk.session.call.marked = 5;
    press(&mut desk, "enter K 1 7 enter");
    let rule = {
        let inspection = desk.session.inspection.as_ref().unwrap();
        let facts = inspection.facts();
        let list = asks(&facts, inspection.judgement(), phrase(), &[]);
        let ask = list.iter().find(|ask| ask.finding.level == Level::Call);
        ask.map(|ask| matter(flow(), ask.finding))
    };
    let Some(about) = rule else {
        panic!("the demo case has something to call about");
    };
    let mark = |desk: &mut Desk| {
        let rows = desk
            .session
            .call_rows(desk.session.inspection.as_ref().unwrap());
        let row = rows.iter().position(|row| *row == Row::Ask(about.clone()));
        desk.session.call.marked = row.unwrap();
    };
    mark(&mut desk);
    press(&mut desk, "1 7 enter");
    assert_eq!(open(&desk), before - 1);
    mark(&mut desk);
    press(&mut desk, "k enter");
    assert_eq!(desk.session.instructions.len(), 1);
    // Without the decision the agreement holds; without the code nothing does.
    press(&mut desk, "u");
    let case = desk.session.inspection.as_ref().unwrap().case();
    assert_eq!(case.decisions().count(), 0);
    assert_eq!(open(&desk), before - 1);
    press(&mut desk, "u");
    assert_eq!(open(&desk), before);
    assert!(!desk.has_unsaved());
}
