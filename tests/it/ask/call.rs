//! The call by lines: from the first pick to the sentence that is read back, and what is on hold.

use std::sync::LazyLock;

use casepan::case::Case;
use casepan::case::decision::{Decider, Outcome};
use casepan::case::journal::Body;
use casepan::fact::{Place, Value};
use casepan::walk::call::Stage;
use casepan::walk::{Page, Ways};

use super::Bench;
use crate::walk::Sitting;

/// The bridge of the demo with its ways out, worked out once.
pub(super) fn bridge() -> Bench {
    static WAYS: LazyLock<Ways> = LazyLock::new(|| {
        let mut sitting = Sitting::on(&casepan::demo::case("bridge-44-46").unwrap());
        sitting.with_ways();
        sitting.walk.inspection.unwrap().ways.unwrap()
    });
    let mut bench = Bench::on(&casepan::demo::case("bridge-44-46").unwrap());
    bench.desk.walk.page = Page::Questions;
    bench.desk.walk.inspection.as_mut().unwrap().ways = Some(WAYS.clone());
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
    let told = bench.all("call\n\n5\n\nsoon\n1\nhalf each\n\n");
    assert_eq!(bench.desk.walk.draft().unwrap().stage, Stage::Confirm);
    assert_eq!(
        bench.journal().len(),
        before,
        "nothing is kept before it was read back"
    );
    assert!(told.ended.begun);
    told.has("an answer on the call was begun and is not kept");
    let read_back = |line: &&String| line.starts_with("You want ");
    let sentence = told
        .lines
        .iter()
        .find(read_back)
        .expect("a sentence")
        .clone();
    assert!(
        sentence.contains(": \"soon\"")
            && sentence
                .ends_with(", at half each, decided by the dentist, from 2026-11-23. Right?"),
        "{sentence}"
    );
    let told = bench.all("\n");
    assert!(!told.ended.begun);
    assert_eq!(bench.journal().len(), before + 1);
    let Some(Body::Decide { decision }) = bench.journal().pop().map(|entry| entry.body) else {
        panic!("another entry");
    };
    assert_eq!(
        (decision.outcome, decision.by),
        (Outcome::Agreed, Some(Decider::Dentist))
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
fn lines_beyond_the_digits_are_picked_and_words_pick_too() {
    let mut bench = bridge();
    bench.all("call\n\n");
    let lines = bench.desk.walk.choices();
    assert!(lines > 10, "{lines}");
    let told = bench.all("12\n");
    assert_eq!(bench.desk.walk.draft().unwrap().ways.len(), 1);
    assert!(
        told.lines
            .iter()
            .any(|line| line.starts_with("12: picked: "))
    );
    // The same line again picks it no longer.
    bench.all("12\n");
    assert!(bench.desk.walk.draft().unwrap().ways.is_empty());
    let told = bench.say(&format!("{}\n", lines + 1));
    assert_eq!(told.ended.refused, 1);
    bench.all("make it as it is\n");
    assert_eq!(
        bench.desk.walk.draft().unwrap().outcome,
        Some(Outcome::AsItIs)
    );
}

/// What cuts tooth is heard with its cautions before it is picked, and again when it is.
#[test]
fn a_marked_way_says_what_to_be_careful_about() {
    let mut bench = bridge();
    bench.all("call\n\n");
    for number in 5..=bench.desk.walk.choices() {
        let told = bench.all(&format!("line {number}\n"));
        let said = told.after_the_opening();
        let walk = &bench.desk.walk;
        assert_eq!(walk.draft().unwrap().marked, number - 1);
        let inspection = walk.inspection.as_ref().unwrap();
        let picks = walk.picks(inspection, walk.call.open.as_ref().unwrap());
        let casepan::walk::call::Pick::Way(way) = &picks[number - 1] else {
            panic!("line {number} is no way out");
        };
        for caution in &way.of(inspection.flow()).unwrap().cautions {
            // One that the line before has too was said already.
            let heard = said.contains(caution) || told.lines.contains(caution);
            assert!(heard, "{number} {caution}");
        }
    }
}

#[test]
fn what_was_typed_can_be_taken_back_mended_and_emptied() {
    let mut bench = bridge();
    bench.all("call\n\n1\nso be it\n1\nhalf each\n:back\n");
    // Back on the cost: it stands there, and can be emptied.
    assert_eq!(bench.desk.walk.prompt.as_ref().unwrap().1, "half each");
    let told = bench.all(":again\n");
    told.has("now: half each");
    bench.all(":\n\n");
    assert_eq!(bench.desk.walk.draft().unwrap().cost, "");
    let told = bench.say("tomorrow\n2026-11-24\n\n");
    assert_eq!(told.ended.first.unwrap().0, 1);
    let decision = bench.kept().decisions().next().unwrap().decision.clone();
    assert_eq!(decision.from, jiff::civil::date(2026, 11, 24));
    assert_eq!(decision.words, "so be it");
}

#[test]
fn what_is_on_hold_wants_the_amended_order_by_lines_too() {
    let mut bench = Bench::on(&held());
    bench.desk.walk.page = Page::Questions;
    let before = bench.journal().len();
    let told = bench.all("call\n\n1\n\n1\n\n\n2\n");
    assert_eq!(bench.desk.walk.draft().unwrap().stage, Stage::Amended);
    told.has(casepan::phrase::WRITTEN_FIRST);
    // It does not go on from there.
    let told = bench.say("\n");
    assert_eq!(told.ended.first.unwrap().1, casepan::phrase::WRITTEN_FIRST);
    assert_eq!(bench.journal().len(), before);
    bench.all("1\n\n");
    assert_eq!(bench.journal().len(), before + 1);
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
            .any(|line| line.starts_with("kept: seating day: Sat 5 Dec 2026"))
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
    let told = bench.say("line 7\n3\n");
    assert!(told.ended.first.unwrap().1.contains("\"line 3\""));
    assert_eq!(bench.desk.walk.call.marked, 6);
    // A name is no code.
    let told = bench.say("line 6\n\nDr Who\n:back\n");
    assert_eq!(told.ended.refused, 1);
}
