//! Where Enter goes: on, back to what came up late, and back to where the work was.

use super::{Sitting, crown};
use crate::made::{case, choice, mm};

fn looked_for(sitting: &mut Sitting, words: &str) {
    sitting.key("/");
    for c in words.chars() {
        sitting.key(&c.to_string());
    }
    sitting.key("enter");
}

/// Answers the open cell, whatever it asks.
fn not_seen(sitting: &mut Sitting) {
    match sitting.cursor().as_str() {
        // A dash is text there.
        "order.fee_lines@case" => sitting.keys("x enter"),
        _ => sitting.keys("-"),
    };
}

/// A crown whose stump is read down to the clearance.
fn read() -> Sitting {
    let facts = [
        ("order.scope", "R1", choice("teeth")),
        ("order.make", "R1", choice("first")),
        ("order.material", "R1", choice("zirconia-3y")),
        ("records.kind", "case", choice("impression")),
        ("tooth.height", "26", mm(4.4)),
        ("tooth.width_margin_md", "26", mm(9.0)),
        ("tooth.width_top_md", "26", mm(7.0)),
        ("tooth.width_margin_fl", "26", mm(9.0)),
        ("tooth.width_top_fl", "26", mm(7.0)),
    ];
    let mut sitting = Sitting::on(&case("26", &facts));
    sitting.at("tooth.clearance", "26");
    sitting
}

#[test]
fn a_correction_returns_to_where_the_work_was() {
    for back in ["up", "backspace", "shift-tab"] {
        let mut sitting = read();
        // Three cells back, corrected; then two more, one after the other.
        for keys in [
            format!("{back} {back} {back} 7.1 enter"),
            format!("{back} 7.1 enter"),
        ] {
            sitting.keys(&keys);
            assert_eq!(sitting.cursor(), "tooth.clearance@26", "{keys}");
        }
        assert_eq!(sitting.wrote().len(), 2);
    }
    let mut sitting = read();
    looked_for(&mut sitting, "26 height");
    assert_eq!(sitting.cursor(), "tooth.height@26");
    // Taken away first, then typed anew.
    sitting.keys("delete 4.5 enter");
    assert_eq!(sitting.cursor(), "tooth.clearance@26");
    // Looked at, and left as it is.
    looked_for(&mut sitting, "first or remake");
    sitting.key("enter");
    assert_eq!(sitting.cursor(), "tooth.clearance@26");
    // Undo keeps its own way: to the cell that was answered.
    sitting.key("u");
    assert_eq!(sitting.cursor(), "tooth.height@26");
}

#[test]
fn going_elsewhere_to_work_there_goes_on_from_there() {
    let mut sitting = read();
    sitting.keys("down down 0");
    assert_eq!(sitting.wrote().len(), 1);
    let here = sitting.cursor();
    assert_ne!(here, "tooth.clearance@26");
    // What was passed by comes at the end.
    for _ in 0..200 {
        if sitting.cursor() == "tooth.clearance@26" {
            return;
        }
        not_seen(&mut sitting);
    }
    panic!("it is never asked");
}

#[test]
fn a_question_that_comes_up_behind_is_asked_next() {
    let mut sitting = read();
    looked_for(&mut sitting, "first or remake");
    sitting.key("2");
    assert_eq!(sitting.cursor(), "remake.what@R1");
    // It came off: more comes up, one after the other, and only that is asked.
    sitting.key("1");
    let mut asked = vec![];
    while sitting.cursor() != "tooth.clearance@26" {
        asked.push(sitting.cursor());
        assert!(asked.len() < 20, "{asked:?}");
        not_seen(&mut sitting);
    }
    assert!(
        asked.iter().all(|cell| cell.starts_with("remake.")),
        "{asked:?}"
    );
    assert!(
        asked.contains(&"remake.cement_left@R1".to_owned()),
        "{asked:?}"
    );
}

#[test]
fn a_step_that_was_passed_is_gone_back_to_with_a_word() {
    let mut sitting = read();
    sitting.key("o");
    for c in ";36".chars() {
        sitting.key(&c.to_string());
    }
    sitting.key("enter");
    while sitting.walk.prompt.is_some() {
        sitting.key("enter");
    }
    assert_eq!(sitting.cursor(), "tooth.clearance@26");
    sitting.keys("1.5 enter");
    assert_eq!(sitting.cursor(), "order.scope@R2");
    assert_eq!(
        sitting.walk.notice.as_deref(),
        Some("back to Order: R2, kind of work")
    );
    sitting.key("1");
    assert_eq!(sitting.walk.notice, None);
    // What is left empty there does not hold anybody: one Enter a question, then on.
    let mut asked = vec![];
    while sitting.cursor() != "restoration.usual_path@R1" {
        asked.push(sitting.cursor());
        assert!(asked.len() < 40, "{asked:?}");
        sitting.key("enter");
    }
    let mut once = asked.clone();
    once.sort();
    once.dedup();
    assert_eq!(once.len(), asked.len(), "{asked:?}");
    assert!(asked.iter().all(|cell| !cell.contains("@26")), "{asked:?}");
}

#[test]
fn what_is_left_empty_is_offered_again_only_at_the_end() {
    let mut sitting = Sitting::on(&crown());
    sitting.at("tooth.height", "26").keys("enter 9 enter");
    assert_eq!(sitting.cursor(), "tooth.width_top_md@26");
    // A correction before it does not bring it up.
    sitting.key("up");
    assert_eq!(sitting.cursor(), "tooth.width_margin_md@26");
    sitting.keys("8 enter");
    assert_eq!(sitting.cursor(), "tooth.width_top_md@26");
    let mut steps = 0;
    while sitting.cursor() != "tooth.height@26" {
        not_seen(&mut sitting);
        steps += 1;
        assert!(steps < 200, "it is never asked again");
    }
    assert!(steps > 10);
}

#[test]
fn after_the_walls_the_stump_goes_on_where_it_was_left() {
    let mut sitting = read();
    sitting.key("w");
    assert_eq!(sitting.cursor(), "wall.height@26/mesial");
    let mut steps = 0;
    while sitting.cursor() != "tooth.clearance@26" {
        let cell = sitting.cursor();
        assert!(
            cell.starts_with("wall.")
                || cell.starts_with("tooth.uneven")
                || cell.starts_with("records."),
            "{cell}"
        );
        not_seen(&mut sitting);
        steps += 1;
        assert!(steps < 100);
    }
    let notice = sitting.walk.notice.clone().unwrap_or_default();
    assert!(
        notice.starts_with("back to Stumps: 26, clearance"),
        "{notice}"
    );
    sitting.keys("1.5 enter");
    assert_eq!(sitting.cursor(), "restoration.usual_path@R1");
}
