//! Several people, one of whom works line by line.

use casepan::ask::{Ended, LinesOutside, run};
use rusqlite::TransactionBehavior;

use super::{Lab, Person, two};
use crate::made::spot;
use crate::session::moment;

/// Says lines; between them, before the line of that place, somebody else does something.
fn say(lab: &mut Lab, person: &mut Person, lines: &str, goes_on: bool) -> (Ended, Vec<String>) {
    let mut output = Vec::new();
    let tick = &mut lab.tick;
    let mut next = || {
        *tick += 1;
        moment(*tick)
    };
    let ended = run(
        &mut person.desk,
        LinesOutside {
            input: &mut lines.as_bytes(),
            output: &mut output,
            moment: &mut next,
            goes_on,
        },
    )
    .expect("lines in and out");
    let text = String::from_utf8(output).expect("text");
    (ended, text.lines().map(str::to_owned).collect())
}

#[test]
fn others_are_heard_before_a_line_is_taken() {
    let (mut lab, mut b1, mut b2) = two();
    b2.at("tooth.width_margin_md", "26");
    lab.keys(&mut b2, "8.9 enter");
    let (_, said) = say(&mut lab, &mut b1, "3.5\n", true);
    let heard = said.iter().position(|line| line.starts_with("b2: 26, "));
    let saved = said
        .iter()
        .position(|line| line.starts_with("saved: ") && line.contains("3.5"));
    assert!(heard.is_some() && heard < saved, "{said:#?}");
    // Theirs is not said as if it had been answered here.
    let own = said.iter().filter(|line| line.starts_with("saved: "));
    assert_eq!(own.count(), 1, "{said:#?}");
}

#[test]
fn a_line_that_was_typed_before_the_other_was_heard_differs() {
    let (mut lab, mut b1, mut b2) = two();
    lab.keys(&mut b2, "6.5 enter");
    let (_, said) = say(&mut lab, &mut b1, "7.0\n", true);
    assert!(
        lab.case().dispute(&spot("tooth.height", "26")).is_some(),
        "{said:#?}"
    );
    let told = "b2 read 6.5 mm, b1 read 7.0 mm";
    assert!(
        said.iter()
            .any(|line| line.starts_with("saved: ") && line.contains(told)),
        "{said:#?}"
    );
    // The keys that take one of them are words here.
    let (_, said) = say(&mut lab, &mut b1, "take first\n", true);
    assert!(!lab.case().is_disputed(), "{said:#?}");
}

#[test]
fn a_script_ends_at_the_line_that_is_not_saved() {
    let (mut lab, mut b1, b2) = two();
    drop(b2);
    let before = lab.journal().len();
    let path = lab.directory.path().join("a.casepan");
    let mut other = rusqlite::Connection::open(path).expect("the archive");
    let lock = other
        .transaction_with_behavior(TransactionBehavior::Immediate)
        .expect("a lock");
    let (ended, said) = say(&mut lab, &mut b1, "3.5\n8\n", false);
    assert_eq!(ended.unsaved, Some(1));
    assert!(
        said.iter().any(|line| line.starts_with("NOT SAVED: ")),
        "{said:#?}"
    );
    assert!(
        said.iter().all(|line| !line.starts_with("saved: ")),
        "{said:#?}"
    );
    drop(lock);
    b1.desk.leave().expect("it is saved by now");
    assert_eq!(lab.journal().len(), before + 1);
}

#[test]
fn lines_into_an_archive_that_is_gone_are_not_said_to_be_saved() {
    let (mut lab, mut b1, b2) = two();
    drop(b2);
    std::fs::remove_file(lab.directory.path().join("a.casepan")).unwrap();
    let (ended, said) = say(&mut lab, &mut b1, "3.5\n8\n", false);
    assert_eq!(ended.unsaved, Some(1));
    assert!(
        said.iter().any(|line| line.contains("is gone")),
        "{said:#?}"
    );
    assert!(
        said.iter()
            .all(|line| !line.starts_with("saved: ") && !line.starts_with("closed;")),
        "{said:#?}"
    );
    b1.desk.leave().expect_err("the archive is gone");
}
