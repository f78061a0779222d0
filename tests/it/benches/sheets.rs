//! A sheet says what is in the archive now, not what a window remembers.

use std::path::Path;

use casepan::session::Page;

use super::{Lab, Person};
use crate::good::{finish, pan};
use crate::made::{choice, spot};
use crate::session::moment;

/// A sound crown, two people, both at the summary.
fn two() -> (Lab, Person, Person) {
    let mut case = pan("26", "zirconia-3y", "resin-modified");
    finish(&mut case, true);
    case.number = "T-1".to_owned();
    let mut lab = Lab::with(&case);
    let (mut b1, mut b2) = (lab.person("b1"), lab.person("b2"));
    lab.go(&mut b1, Page::Summary);
    lab.go(&mut b2, Page::Summary);
    (lab, b1, b2)
}

fn ticket(lab: &Lab) -> Option<String> {
    let name = format!("prints/casepan-{}-ticket.txt", lab.number);
    std::fs::read_to_string(lab.directory.path().join(name)).ok()
}

/// The second window records that the crown is on an implant; the first would still print that nothing was found.
#[test]
fn a_stale_window_prints_no_ticket() {
    let (mut lab, mut b1, mut b2) = two();
    b1.desk.at_the_screen().expect("an archive");
    lab.tick += 1;
    let now = moment(lab.tick);
    let inspection = b2.desk.session.inspection.as_mut().unwrap();
    let effects = inspection.answer_at(spot("order.scope", "R1"), choice("implants"), &now);
    b2.desk.carry_out(effects, &now).expect("it is kept");
    lab.keys(&mut b1, "w");
    assert_eq!(ticket(&lab), None, "nothing is printed");
    let notice = b1.notice();
    assert!(notice.starts_with("not printed yet: b2: "), "{notice}");
    assert!(notice.ends_with("w prints it so"), "{notice}");
    lab.keys(&mut b1, "w");
    let text = ticket(&lab).expect("now it is printed");
    let record = b1.desk.record().expect("the archive was asked");
    assert_eq!(record.0, lab.journal().len() as u64);
    let foot = format!("From entry {}, {}.\n", record.0, &record.1[..8]);
    assert!(text.ends_with(&foot), "{text}");
    let title = text.lines().next().unwrap_or_default();
    assert!(!title.contains("CLEARED TO MAKE"), "{title}");
}

fn first_line(path: &Path) -> String {
    let text = std::fs::read_to_string(path).expect("a sheet");
    text.lines().next().unwrap_or_default().to_owned()
}

#[test]
fn a_sheet_that_was_not_checked_says_so_in_its_first_line() {
    let (mut lab, mut b1, _b2) = two();
    std::fs::remove_file(lab.directory.path().join("a.casepan")).unwrap();
    lab.keys(&mut b1, "w");
    let prints = lab.directory.path().join("prints");
    for sheet in ["summary", "call", "letter", "ticket", "seating"] {
        let line = first_line(&prints.join(format!("casepan-{}-{sheet}.txt", lab.number)));
        assert!(line.starts_with("NOT CHECKED"), "{sheet}: {line}");
    }
}

/// From the worklist as well: a file that was deleted can still be read by whoever has it open.
#[test]
fn sheets_of_selected_cases_say_so_too() {
    let (mut lab, mut b1, _b2) = two();
    let number = lab.number.clone();
    b1.desk.session.listing.picked.insert(number);
    b1.desk.session.page = Page::Worklist;
    std::fs::remove_file(lab.directory.path().join("a.casepan")).unwrap();
    lab.keys(&mut b1, "w");
    let prints = lab.directory.path().join("prints");
    let line = first_line(&prints.join(format!("casepan-{}-ticket.txt", lab.number)));
    assert!(line.starts_with("NOT CHECKED"), "{line}");
}

#[test]
fn a_sheet_with_answers_that_are_not_saved_says_so_in_its_first_line() {
    let (mut lab, mut b1, _b2) = two();
    b1.desk.at_the_screen().expect("an archive");
    let path = lab.directory.path().join("a.casepan");
    let mut other = rusqlite::Connection::open(path).expect("the archive");
    let lock = other
        .transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)
        .expect("a lock");
    lab.tick += 1;
    let now = moment(lab.tick);
    let inspection = b1.desk.session.inspection.as_mut().unwrap();
    let effects = inspection.answer_at(spot("order.material", "R1"), choice("zirconia-5y"), &now);
    b1.desk
        .carry_out(effects, &now)
        .expect_err("others hold it");
    lab.keys(&mut b1, "w");
    let line = first_line(
        &lab.directory
            .path()
            .join(format!("prints/casepan-{}-ticket.txt", lab.number)),
    );
    assert!(line.starts_with("NOT SAVED: "), "{line}");
    drop(lock);
}
