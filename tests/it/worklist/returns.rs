//! The page of what came back: the same figures as on the command line, beside the keys.

use std::sync::mpsc::channel;

use casepan::demo::journal;
use casepan::demo::laboratory::{Plan, orders};
use casepan::session::view::PageView;
use casepan::session::{Page, Rated};

use super::{Lab, TODAY};
use crate::made::flow;

/// A laboratory with some invented cases.
fn invented(cases: usize) -> Lab {
    let mut lab = Lab::with_samples();
    let mut archive = lab.archive();
    let plan = Plan {
        cases,
        seed: 2,
        until: TODAY,
    };
    for order in orders(&plan) {
        let entries = journal(&flow(), &order, TODAY, 2).unwrap();
        archive.append(&order.number(), &entries).unwrap();
    }
    lab.desk.show_worklist().unwrap();
    lab
}

fn shown(lab: &Lab) -> (String, String, Vec<String>) {
    match lab.desk.session.view().page {
        PageView::Rates(page) => {
            let lines = page.lines.into_iter().map(|line| line.text).collect();
            (page.title, page.by, lines)
        }
        _ => panic!("another page"),
    }
}

#[test]
fn keys_turn_to_groups_kinds_and_months() {
    let mut lab = invented(40);
    lab.keys("r");
    let (title, by, lines) = shown(&lab);
    assert_eq!(title, "Came back within a year, for any reason");
    assert_eq!(by, "all together (1 of 11)");
    assert!(lines[0].starts_with("Up to Thu 1 Oct 2026: "), "{lines:?}");
    assert!(lines[1].starts_with("Not known: "), "{lines:?}");
    lab.keys("k right");
    let (title, by, lines) = shown(&lab);
    assert_eq!(title, "Came back within a year: came off");
    assert_eq!(by, "by grip (2 of 11)");
    assert!(lines.iter().any(|line| line == "By grip"), "{lines:?}");
    lab.keys("left left m");
    let (title, by, _) = shown(&lab);
    assert_eq!(title, "Came back within 24 months: came off");
    assert_eq!(by, "by flow and its version (11 of 11)");
    // Who made it is not told apart by what comes off, and that is said.
    lab.keys("left");
    let (_, _, lines) = shown(&lab);
    assert!(
        lines[0].contains("short preps go to the best hands"),
        "{lines:?}"
    );
    lab.keys("esc");
    assert_eq!(lab.desk.session.page, Page::Worklist);
    assert!(!lab.desk.session.worklist.is_empty());
}

/// Without a delivery nothing is known, and a page says so.
#[test]
fn nothing_that_was_delivered_is_no_fault() {
    let mut lab = Lab::with_samples();
    lab.desk.show_worklist().unwrap();
    lab.keys("r right right");
    let (_, _, lines) = shown(&lab);
    let all = lines.join("; ");
    assert!(all.contains("0 of 0, nothing is known"), "{all}");
    assert!(all.contains("not delivered yet"), "{all}");
}

/// No key waits: cases are read beside the keys, and what came of an older question is not shown.
#[test]
fn cases_are_read_beside_the_keys() {
    let mut lab = invented(40);
    let (sender, came) = channel();
    lab.desk
        .rate_apart(move |rated| drop(sender.send(rated)))
        .unwrap();
    lab.keys("r");
    assert_eq!(shown(&lab).2, ["The cases are being read."]);
    lab.keys("right");
    let by_grip = "by grip (2 of 11)";
    let mut reads = 0;
    // Of both questions, or of the second alone, the figures come.
    loop {
        let rated = came.recv().unwrap();
        let of_this = match &rated {
            Rated::Reading(done, of) => {
                assert!(done <= of);
                reads += 1;
                false
            }
            Rated::Done { asked, .. } => !asked.by.is_empty(),
            Rated::Failed(why) => panic!("{why}"),
        };
        lab.desk.session.rated(rated);
        let (_, by, lines) = shown(&lab);
        assert_eq!(by, by_grip);
        let told = lines.iter().any(|line| line == "By grip");
        assert_eq!(told, of_this, "{lines:?}");
        if of_this {
            break;
        }
    }
    assert!(reads > 0);
    // They are not read again for the next question.
    lab.keys("k");
    let rated = came.recv().unwrap();
    assert!(matches!(rated, Rated::Done { .. }), "{rated:?}");
}
