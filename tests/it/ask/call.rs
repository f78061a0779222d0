//! The call by lines: from the first pick to the sentence that is read back, and what is on hold.

use std::sync::LazyLock;

use casepan::case::Case;
use casepan::case::decision::{Decider, DentistAnswer};
use casepan::case::journal::Body;
use casepan::fact::{Place, Value};
use casepan::session::call::{AnswerStage, Row};
use casepan::session::{Page, Ways};

use super::Bench;
use crate::good::{choice, finish, mm, pan, put};
use crate::session::Technician;

/// The bridge of the demo with its options, worked out once.
pub(super) fn bridge() -> Bench {
    static WAYS: LazyLock<Ways> = LazyLock::new(|| {
        let mut tech = Technician::on(&casepan::demo::case("bridge-44-46").unwrap());
        tech.with_ways();
        tech.session.inspection.unwrap().ways.unwrap()
    });
    let mut bench = Bench::on(&casepan::demo::case("bridge-44-46").unwrap());
    bench.desk.session.page = Page::Questions;
    bench.desk.session.inspection.as_mut().unwrap().ways = Some(WAYS.clone());
    bench
}

/// A case that is on hold.
pub(super) fn held() -> Case {
    casepan::demo::case("cantilever-12-13").unwrap()
}

#[test]
fn an_answer_is_picked_read_back_and_kept_by_lines() {
    let mut bench = bridge();
    let before = bench.journal().len();
    let told = bench.all("call\n1\n1\nchange words\nsoon\nchange cost\nhalf each\n");
    assert_eq!(
        bench.desk.session.draft().unwrap().stage,
        AnswerStage::ReadBack
    );
    assert_eq!(
        bench.journal().len(),
        before,
        "nothing is kept before it was read back"
    );
    assert!(told.ended.begun);
    told.has("an answer on the call was begun and is not saved");
    let read_back = |line: &&String| line.ends_with("is that right?");
    let sentence = told
        .lines
        .iter()
        .rfind(read_back)
        .expect("a sentence")
        .clone();
    assert!(
        sentence.contains(": \"soon\"") && sentence.contains("cost: half each"),
        "{sentence}"
    );
    let told = bench.all("\n");
    assert!(!told.ended.begun);
    let Some(Body::Decide { decision }) = bench.journal().pop().map(|entry| entry.body) else {
        panic!("another entry");
    };
    assert_eq!(
        (decision.outcome, decision.by),
        (DentistAnswer::Agreed, Some(Decider::Dentist))
    );
    assert_eq!(
        (decision.words.as_str(), decision.cost.as_str()),
        ("soon", "half each")
    );
    assert_eq!(decision.taken.len(), 1);
    let told = bench.all("undo\n");
    assert_eq!(bench.kept().decisions().count(), 0);
    assert!(told.ended.first.is_none());
}

#[test]
fn options_beyond_the_sixth_are_turned_to_and_picked() {
    // Low and leaning in, with its margin above the gum and much space over it: there are many ways to mend that.
    let mut case = pan("44 x45 46", "zirconia-3y", "resin-modified");
    for (fact, value) in [
        ("tooth.height", mm(2.4)),
        ("tooth.clearance", mm(3.0)),
        ("tooth.margin_to_gum", choice("above")),
        ("tooth.width_margin_md", mm(8.0)),
        ("tooth.width_top_md", mm(6.7)),
        ("tooth.width_margin_fl", mm(8.0)),
        ("tooth.width_top_fl", mm(6.7)),
    ] {
        put(&mut case, fact, "46", value);
    }
    finish(&mut case, true);
    let mut tech = Technician::on(&case);
    tech.with_ways();
    let mut bench = Bench::on(&case);
    bench.desk.session.page = Page::Questions;
    bench.desk.session.inspection.as_mut().unwrap().ways = tech.session.inspection.unwrap().ways;
    bench.all("call\n");
    let inspection = bench.desk.session.inspection.as_ref().unwrap();
    let rows = bench.desk.session.call_rows(inspection);
    // The prep that can tip has more ways than six.
    let (number, ways) = rows
        .iter()
        .filter_map(|row| match row {
            Row::Ask(about) => Some(bench.desk.session.ways_behind(inspection, about)),
            _ => None,
        })
        .enumerate()
        .find(|(_, ways)| ways.len() > 6)
        .expect("a question with many options");
    bench.all(&format!("{}\n", number + 1));
    bench.all("more options\n1\n");
    assert!(bench.desk.session.draft().unwrap().ways[0].is_same(&ways[6]));
    bench.all("back\n7\n");
    assert_eq!(
        bench.desk.session.draft().unwrap().outcome,
        DentistAnswer::AsItIs
    );
}

#[test]
fn what_was_typed_can_be_taken_back_mended_and_emptied() {
    let mut bench = bridge();
    bench.all("call\n1\n7\nchange cost\nhalf each\nchange cost\n");
    // Back on the cost: it stands there, and can be emptied.
    assert_eq!(bench.desk.session.over.line().unwrap().1, "half each");
    let told = bench.all(":again\n");
    told.has("now: half each");
    bench.all(":\n\n");
    assert_eq!(bench.desk.session.draft().unwrap().cost, "");
    bench.all("back\n9\nchange day\n");
    let told = bench.say("tomorrow\n2026-11-24\n\n");
    assert_eq!(told.ended.first.unwrap().0, 1);
    let decision = bench.kept().decisions().next().unwrap().decision.clone();
    let due = decision.coming.and_then(|coming| coming.due);
    assert_eq!(due, Some(jiff::civil::date(2026, 11, 24)));
}

/// On hold, a spoken word is kept and starts nothing, by lines too.
#[test]
fn what_is_on_hold_waits_for_the_written_order_by_lines_too() {
    let mut bench = Bench::on(&held());
    bench.desk.session.page = Page::Questions;
    let told = bench.all("call\n1\n");
    told.has(casepan::phrase::WRITTEN_FIRST);
    bench.all("7\n\n");
    let waits = |bench: &Bench| bench.kept().waits().count();
    assert_eq!(waits(&bench), 1);
    bench.all("undo\n7\norder here\n\n");
    assert_eq!(waits(&bench), 0);
    assert!(bench.kept().decisions().any(|d| d.decision.amended));
}

#[test]
fn what_to_have_ready_is_answered_line_by_line() {
    let mut bench = bridge();
    let ready = |bench: &Bench, fact: &str| {
        let fact = crate::made::spot(fact, "case").fact;
        bench.kept().value(&fact, Place::Case).cloned()
    };
    let told = bench.all("call\nline 1\n\n12\nline 5\n1\nline 6\n\nK17\n");
    assert!(
        told.lines
            .iter()
            .any(|line| line.starts_with("saved: seating day: Sat 5 Dec 2026"))
    );
    assert_eq!(
        ready(&bench, "order.seating_day"),
        Some(Value::Day(jiff::civil::date(2026, 12, 5)))
    );
    assert_eq!(
        ready(&bench, "order.dentist"),
        Some(Value::Text("K17".to_owned()))
    );
    // A digit alone never goes to another line.
    bench.all("line 7\n3\n");
    assert_eq!(bench.desk.session.call.marked, 6);
    // A name is no code.
    let told = bench.say("line 6\n\nDr Who\n:back\n");
    assert_eq!(told.ended.refused, 1);
}
