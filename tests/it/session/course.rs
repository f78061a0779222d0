//! Where Enter goes: on, back to what came up late, and back to where the work was.

use casepan::session::view::PageView;

use super::{Technician, crown};
use crate::made::{case, choice, mm};

fn looked_for(tech: &mut Technician, words: &str) {
    tech.key("/");
    for c in words.chars() {
        tech.key(&c.to_string());
    }
    tech.key("enter");
}

/// Answers the open cell, whatever it asks.
fn not_seen(tech: &mut Technician) {
    match tech.cursor().as_str() {
        // A dash is text there.
        "order.fee_lines@case" => tech.keys("x enter"),
        _ => tech.keys("-"),
    };
}

/// A crown whose prep is read down to the clearance.
fn read() -> Technician {
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
    let mut tech = Technician::on(&case("26", &facts));
    tech.at("tooth.clearance", "26");
    tech
}

#[test]
fn a_correction_returns_to_where_the_work_was() {
    for back in ["up", "backspace", "shift-tab"] {
        let mut tech = read();
        // Three cells back, corrected; then two more, one after the other.
        for keys in [
            format!("{back} {back} {back} 7.1 enter"),
            format!("{back} 7.1 enter"),
        ] {
            tech.keys(&keys);
            assert_eq!(tech.cursor(), "tooth.clearance@26", "{keys}");
        }
        assert_eq!(tech.wrote().len(), 2);
    }
    let mut tech = read();
    looked_for(&mut tech, "26 height");
    assert_eq!(tech.cursor(), "tooth.height@26");
    // Taken away first, then typed anew.
    tech.keys("delete 4.5 enter");
    assert_eq!(tech.cursor(), "tooth.clearance@26");
    // Looked at, and left as it is.
    looked_for(&mut tech, "new or remake");
    tech.key("enter");
    assert_eq!(tech.cursor(), "tooth.clearance@26");
    // Undo keeps its own way: to the cell that was answered.
    tech.key("u");
    assert_eq!(tech.cursor(), "tooth.height@26");
}

/// Where a correction goes back to is said while it lasts, and one step back goes there without a change.
#[test]
fn a_correction_says_where_it_goes_back_to() {
    let says = |tech: &Technician| match tech.session.view().page {
        PageView::Questions(page) => page.present.and_then(|own| own.goes_back),
        _ => None,
    };
    let mut tech = read();
    assert_eq!(says(&tech), None);
    tech.keys("up up");
    let told = says(&tech).unwrap();
    assert!(told.contains("clearance") && told.contains("esc"), "{told}");
    // What is typed goes first, then the way back; the case stays open.
    tech.keys("7.2 esc");
    assert_eq!(tech.cursor(), "tooth.width_margin_fl@26");
    tech.key("esc");
    assert_eq!(tech.cursor(), "tooth.clearance@26");
    assert_eq!(says(&tech), None);
    assert!(tech.wrote().is_empty() && tech.session.inspection.is_some());
    // An open question further up is no look back: the work goes on from there.
    tech.keys("down down");
    assert_eq!(says(&tech), None);
}

#[test]
fn going_elsewhere_to_work_there_goes_on_from_there() {
    let mut tech = read();
    tech.keys("down down 0");
    assert_eq!(tech.wrote().len(), 1);
    let here = tech.cursor();
    assert_ne!(here, "tooth.clearance@26");
    // What was passed by comes at the end.
    for _ in 0..200 {
        if tech.cursor() == "tooth.clearance@26" {
            return;
        }
        not_seen(&mut tech);
    }
    panic!("it is never asked");
}

#[test]
fn a_question_that_comes_up_behind_is_asked_next() {
    let mut tech = read();
    looked_for(&mut tech, "new or remake");
    tech.key("2");
    assert_eq!(tech.cursor(), "remake.what@R1");
    // It came off: more comes up, one after the other, and only that is asked.
    tech.key("1");
    let mut asked = vec![];
    while tech.cursor() != "tooth.clearance@26" {
        asked.push(tech.cursor());
        assert!(asked.len() < 20, "{asked:?}");
        not_seen(&mut tech);
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
    let mut tech = read();
    tech.key("e");
    for c in ";36".chars() {
        tech.key(&c.to_string());
    }
    tech.key("enter");
    while tech.session.over.line().is_some() {
        tech.key("enter");
    }
    assert_eq!(tech.cursor(), "tooth.clearance@26");
    tech.keys("1.5 enter");
    assert_eq!(tech.cursor(), "order.scope@R2");
    assert_eq!(
        tech.session.notice.as_deref(),
        Some("back to Order: R2, type of work")
    );
    tech.key("1");
    assert_eq!(tech.session.notice, None);
    // What is left empty there does not hold anybody: one Enter a question, then on.
    let mut asked = vec![];
    while tech.cursor() != "restoration.usual_path@R1" {
        asked.push(tech.cursor());
        assert!(asked.len() < 40, "{asked:?}");
        tech.key("enter");
    }
    let mut once = asked.clone();
    once.sort();
    once.dedup();
    assert_eq!(once.len(), asked.len(), "{asked:?}");
    assert!(asked.iter().all(|cell| !cell.contains("@26")), "{asked:?}");
}

#[test]
fn what_is_left_empty_is_offered_again_only_at_the_end() {
    let mut tech = Technician::on(&crown());
    tech.at("tooth.height", "26").keys("enter 9 enter");
    assert_eq!(tech.cursor(), "tooth.width_top_md@26");
    // A correction before it does not bring it up.
    tech.key("up");
    assert_eq!(tech.cursor(), "tooth.width_margin_md@26");
    tech.keys("8 enter");
    assert_eq!(tech.cursor(), "tooth.width_top_md@26");
    let mut steps = 0;
    while tech.cursor() != "tooth.height@26" {
        not_seen(&mut tech);
        steps += 1;
        assert!(steps < 200, "it is never asked again");
    }
    assert!(steps > 10);
}

#[test]
fn after_the_walls_the_prep_goes_on_where_it_was_left() {
    let mut tech = read();
    tech.key("w");
    assert_eq!(tech.cursor(), "wall.height@26/mesial");
    let mut steps = 0;
    while tech.cursor() != "tooth.clearance@26" {
        let cell = tech.cursor();
        assert!(
            cell.starts_with("wall.")
                || cell.starts_with("tooth.uneven")
                || cell.starts_with("records."),
            "{cell}"
        );
        not_seen(&mut tech);
        steps += 1;
        assert!(steps < 100);
    }
    let notice = tech.session.notice.clone().unwrap_or_default();
    assert!(
        notice.starts_with("back to Preps: 26, clearance"),
        "{notice}"
    );
    tech.keys("1.5 enter");
    assert_eq!(tech.cursor(), "restoration.usual_path@R1");
}

/// Why a key was refused is gone with the next key: over what that one does it would be read as its refusal.
#[test]
fn a_refusal_is_gone_with_the_next_key() {
    for key in ["f", "o", "?", "t"] {
        let mut tech = read();
        tech.key("u");
        assert_eq!(tech.refusal(), "nothing to undo in this session");
        tech.key(key);
        let open = tech.session.inspection.as_ref().unwrap();
        assert_eq!(open.refusal(), None, "{key}");
        tech.key("esc");
        let open = tech.session.inspection.as_ref().unwrap();
        assert_eq!(open.refusal(), None, "{key} esc");
    }
}
