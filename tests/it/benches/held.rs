//! Others hold the archive: keys go on, what waits is in view, and it is kept as soon as it can be.

use std::time::{Duration, Instant};

use rusqlite::{Connection, TransactionBehavior};

use super::{Lab, two};
use crate::made::spot;
use crate::session::crown;
use casepan::session::{NotSaved, Page};

fn holder(lab: &Lab) -> Connection {
    Connection::open(lab.directory.path().join("a.casepan")).expect("the archive")
}

#[test]
fn a_held_archive_keeps_no_key_waiting() {
    let (mut lab, mut b1, b2) = two();
    drop(b2);
    b1.desk.at_the_screen().expect("an archive");
    let before = lab.journal().len();
    let mut other = holder(&lab);
    let lock = other
        .transaction_with_behavior(TransactionBehavior::Immediate)
        .expect("a lock");
    let start = Instant::now();
    lab.keys(&mut b1, "3.5 enter 8 enter 7 enter 8 enter 7 enter");
    assert!(
        start.elapsed() < Duration::from_secs(1),
        "{:?}",
        start.elapsed()
    );
    let Some(NotSaved::Waiting(waiting)) = b1.desk.session.not_saved else {
        panic!("it is in view");
    };
    assert!(waiting >= 4, "{waiting}");
    let corner = b1.desk.session.view().not_saved.expect("the corner");
    assert!(corner.starts_with("NOT SAVED"), "{corner}");
    lab.tick(&mut b1);
    assert!(b1.desk.has_unsaved());
    drop(lock);
    assert!(lab.tick(&mut b1), "the corner is empty again");
    assert_eq!(b1.desk.session.not_saved, None);
    assert_eq!(b1.desk.session.view().not_saved, None);
    assert_eq!(lab.journal().len(), before + waiting);
    assert_eq!(lab.case(), *b1.open().case());
}

#[test]
fn answers_that_wait_stay_in_view_when_the_case_is_left_and_opened_again() {
    let (mut lab, mut b1, mut b2) = two();
    b1.desk.at_the_screen().expect("an archive");
    lab.go(&mut b1, Page::Questions);
    let mut other = holder(&lab);
    let lock = other
        .transaction_with_behavior(TransactionBehavior::Immediate)
        .expect("a lock");
    lab.keys(&mut b1, "3.5 enter q");
    assert!(b1.desk.session.inspection.is_none());
    let number = lab.number.clone();
    b1.desk.open(&number).expect("it opens");
    assert_eq!(b1.reads("tooth.height", "26").as_deref(), Some("3.5 mm"));
    assert!(b1.desk.session.view().not_saved.is_some());
    drop(lock);
    // Somebody else comes first: what waits is put after it, and differs.
    lab.keys(&mut b2, "4 enter");
    lab.tick(&mut b1);
    assert!(!b1.desk.has_unsaved());
    assert!(lab.case().dispute(&spot("tooth.height", "26")).is_some());
    assert_eq!(lab.case(), *b1.open().case());
}

#[test]
fn leaving_asks_once_while_answers_wait() {
    let mut lab = Lab::with(&crown());
    let mut b1 = lab.person("b1");
    b1.desk.at_the_screen().expect("an archive");
    b1.desk.session.single = true;
    b1.at("tooth.height", "26");
    let mut other = holder(&lab);
    let lock = other
        .transaction_with_behavior(TransactionBehavior::Immediate)
        .expect("a lock");
    lab.keys(&mut b1, "3.5 enter");
    assert_eq!(lab.keys(&mut b1, "q"), casepan::desk::Next::Go);
    assert!(b1.notice().starts_with("NOT SAVED"), "{}", b1.notice());
    assert_eq!(lab.keys(&mut b1, "q"), casepan::desk::Next::Quit);
    // Even then they are not lost: they are in a file, and the error says which.
    let error = b1.desk.leave().expect_err("they are not in the archive");
    let file = error.hints[0].split(" is in ").nth(1).expect("a file");
    let file = file.split(';').next().unwrap();
    let text = std::fs::read_to_string(file).expect("the file");
    assert!(text.contains("tooth.height"), "{text}");
    drop(lock);
}
