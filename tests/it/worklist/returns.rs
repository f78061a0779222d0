//! The page of what came back: the same figures as on the command line, beside the keys.

use std::sync::mpsc::channel;

use casepan::demo::journal;
use casepan::demo::laboratory::{Plan, orders};
use casepan::session::view::PageView;
use casepan::session::{Page, Rated};

use super::{Lab, TODAY, sql};
use crate::made::flow;
use casepan::archive::Archive;
use casepan::desk::{Flows, fill_all, lots};
use casepan::learn::Lot;
use jiff::tz::TimeZone;

/// No row of the worklist holds any more.
const OLDER: &str = "UPDATE work SET engine = 'older'";

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
    // What has no figures is not printed; what has them is, with its charts.
    lab.keys("w");
    let print = lab.directory.path().join("prints/casepan-returns.html");
    assert!(!print.exists());
    lab.keys("right right w");
    let html = std::fs::read_to_string(&print).unwrap();
    assert!(
        html.contains("Came back within 24 months: came off"),
        "{html}"
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
    sql(&lab.path(), OLDER);
    let (sender, came) = channel();
    lab.desk.rate_apart(move |rated| drop(sender.send(rated)));
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
            other => panic!("nobody asked for it: {other:?}"),
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

/// What figures need is kept beside the rows of the worklist, and is what the journals give.
#[test]
fn what_figures_need_is_kept_beside_the_rows() {
    let lab = invented(40);
    let flows = Flows::new(flow());
    let read = |archive: &Archive| -> (Vec<Lot>, usize) {
        let mut worked_out = 0;
        let tell = &mut |_: usize, _: usize| worked_out += 1;
        let (mut all, unread) = lots(archive, &flows, &TimeZone::system(), tell).unwrap();
        assert_eq!(unread, 0);
        all.sort_by(|one, other| one.number.cmp(&other.number));
        (all, worked_out)
    };
    sql(&lab.path(), OLDER);
    let mut archive = lab.archive();
    let (journals, worked_out) = read(&archive);
    assert!(worked_out > 0 && journals.len() > 40);
    fill_all(&mut archive, &flows, TODAY, &mut |_, _| {}).unwrap();
    let (rows, worked_out) = read(&archive);
    assert_eq!(worked_out, 0);
    assert_eq!(rows, journals);
    // Rows of another version do not count.
    sql(&lab.path(), OLDER);
    let (again, worked_out) = read(&lab.archive());
    assert!(worked_out > 0);
    assert_eq!(again, journals);
}
