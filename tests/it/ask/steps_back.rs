//! Steps back by lines: to the question before, out of what is looked for, out of a reading that is checked.

use casepan::case::{Case, Layer, Reading};
use casepan::fact::Spot;
use casepan::session::{Context, Page};

use super::Bench;
use crate::made::{mm, spot};
use crate::session::{Technician, crown};

fn cursor(bench: &Bench) -> Option<Spot> {
    let inspection = bench.desk.session.inspection.as_ref()?;
    inspection.cursor().cloned()
}

#[test]
fn back_goes_to_the_question_before_as_the_key_does_and_an_empty_line_comes_back() {
    for line in ["back", "esc", ":back"] {
        let mut bench = Bench::on(&crown());
        let before = bench.journal();
        let mut tech = Technician::on(&crown());
        tech.at("tooth.width_margin_md", "26").keys("shift-tab");
        bench
            .at("tooth.width_margin_md", "26")
            .all(&format!("{line}\n"));
        let at = cursor(&bench).expect("a question");
        assert_eq!(format!("{}@{}", at.fact, at.at), tech.cursor());
        assert_eq!(at, spot("tooth.height", "26"));
        bench.all(&format!("{line}\n"));
        assert_ne!(cursor(&bench), Some(at));
        assert_eq!(bench.journal(), before);
    }
    // Answered, it is asked again, and what was said stands beside it.
    let mut bench = Bench::on(&crown());
    let told = bench.at("tooth.height", "26").all("4.4\nback\n\n");
    told.has("now: 4.4 mm");
    assert_eq!(cursor(&bench), Some(spot("tooth.width_margin_md", "26")));
}

#[test]
fn before_the_first_question_there_is_none_and_only_leave_leaves() {
    for single in [true, false] {
        let mut bench = Bench::on(&crown());
        bench.desk.session.single = single;
        let told = bench.at("order.scope", "R1").say("back\nback\n");
        assert_eq!(told.ended.refused, 2);
        told.has(
            "refused: this is the first question; \"leave\" leaves the case, and every answer is saved",
        );
        assert_eq!(told.after_the_opening()[1], "your answer?");
        assert!(bench.desk.session.inspection.is_some());
        assert_eq!(bench.desk.session.page, Page::Questions);
    }
}

#[test]
fn back_drops_a_reading_that_is_checked_and_asks_again() {
    let mut case: Case = crown();
    for (fact, value) in [("tooth.height", 4.5), ("tooth.width_margin_md", 8.6)] {
        case.put(spot(fact, "26"), Layer::Measured, Reading::plain(mm(value)));
    }
    let mut bench = Bench::on(&case);
    let before = bench.journal();
    let told = bench.at("tooth.width_top_md", "26").all("9.4\nback\n");
    let said = told.after_the_opening();
    let dropped = said
        .iter()
        .position(|line| line == "not saved; the question again:");
    let rest = &said[dropped.expect("it is said") + 1..];
    assert!(rest[1].starts_with("Width at the top"), "{rest:#?}");
    assert_eq!(rest.last().unwrap(), "closed; every answer is saved");
    assert_eq!(cursor(&bench), Some(spot("tooth.width_top_md", "26")));
    assert_eq!(bench.journal(), before);
    assert!(!told.ended.asked_back);
}

#[test]
fn undo_with_nothing_to_undo_is_one_sentence_and_changes_nothing() {
    for (line, why) in [
        ("undo", "nothing to undo in this session"),
        ("redo", "nothing to redo"),
    ] {
        let mut bench = Bench::on(&crown());
        let (before, at) = (bench.journal(), spot("tooth.height", "26"));
        let told = bench.at("tooth.height", "26").say(&format!("{line}\n"));
        assert_eq!(
            told.after_the_opening(),
            [
                format!("refused: {why}").as_str(),
                "your answer?",
                "closed; every answer is saved"
            ]
        );
        // In a script, the next answer was meant for the question that was to come back.
        assert_eq!(told.ended.refused, 1);
        assert_eq!((bench.journal(), cursor(&bench)), (before, Some(at)));
        let told = bench.say(&format!("findings\n{line}\n"));
        told.has(&format!("refused: {why}"));
    }
}

#[test]
fn leave_in_find_leaves_find_alone_and_says_so() {
    for single in [true, false] {
        let mut bench = Bench::on(&crown());
        bench.desk.session.single = single;
        let told = bench.all("find height\nleave\nfind\n:leave\n");
        let left = told
            .lines
            .iter()
            .filter(|line| *line == "only find is closed");
        assert_eq!(left.count(), 2, "{:#?}", told.lines);
        assert_eq!(bench.desk.session.context(), Context::Questions);
        assert!(bench.desk.session.inspection.is_some());
        // The word itself can still be looked for.
        let told = bench.all("find leave\n");
        assert!(
            told.lines
                .iter()
                .any(|line| line.starts_with("1: q: Leave"))
        );
    }
    let told = Bench::on(&crown()).all("find height\n");
    told.has("find is closed");
    assert_eq!(told.lines.last().unwrap(), "closed; every answer is saved");
}

#[test]
fn all_that_was_found_can_be_turned_to_and_only_what_was_said_is_gone_to() {
    let mut bench = Bench::on(&crown());
    let told = bench.all("find\nmore\n");
    assert!(told.lines.iter().any(|line| line.starts_with("10: ")));
    // Lines that were not said, and the numbers of teeth, are none of these.
    let mut bench = Bench::on(&crown());
    let told = bench.say("find\n26\nmore\n3\n");
    assert_eq!(told.ended.refused, 2, "{:#?}", told.lines);
    assert!(bench.desk.session.inspection.is_some());
}

#[test]
fn help_is_said_wherever_somebody_is() {
    let mut bench = Bench::on(&crown());
    let told = bench.all("find\nhelp\nback\nedit units\n:help\n");
    let heads = told
        .lines
        .iter()
        .filter(|line| line.starts_with("What can be typed here ("));
    assert_eq!(heads.count(), 2, "{:#?}", told.lines);
}
