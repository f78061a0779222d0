//! What others write is taken in, and everything of one's own stays.

use casepan::fact::Value;

use super::{Lab, two};
use crate::made::{case, choice, mm, spot};
use crate::session::crown;

#[test]
fn others_are_seen_on_a_tick_and_the_own_work_stays() {
    let (mut lab, mut b1, mut b2) = two();
    b1.at("tooth.width_top_md", "26");
    lab.keys(&mut b1, "m 7 enter");
    let chosen = b1
        .open()
        .case()
        .merged(&spot("tooth.width_top_md", "26"))
        .unwrap();
    let chosen = chosen.1.with.clone();
    b1.at("tooth.width_margin_md", "26");
    lab.keys(&mut b1, "8 . 9");
    assert!(!lab.tick(&mut b1), "nobody has written");
    lab.keys(&mut b2, "3.5 enter");
    assert!(lab.tick(&mut b1));
    let notice = b1.notice();
    assert!(
        notice.starts_with("b2: 26, ") && notice.ends_with("is now 3.5 mm"),
        "{notice}"
    );
    assert_eq!(b1.reads("tooth.height", "26").as_deref(), Some("3.5 mm"));
    assert_eq!(
        b1.open().cursor(),
        Some(&spot("tooth.width_margin_md", "26"))
    );
    assert_eq!(b1.open().typed(), "8.9");
    assert!(!lab.tick(&mut b1), "it is told once");
    lab.keys(&mut b1, "enter");
    assert_eq!(
        b1.reads("tooth.width_margin_md", "26").as_deref(),
        Some("8.90 mm")
    );
    // Undo goes on where it was, with the answers of this session alone.
    lab.keys(&mut b1, "u u u");
    assert_eq!(b1.reads("tooth.width_margin_md", "26"), None);
    assert_eq!(b1.reads("tooth.width_top_md", "26"), None);
    assert_eq!(b1.reads("tooth.height", "26").as_deref(), Some("3.5 mm"));
    lab.keys(&mut b1, "y");
    let again = b1
        .open()
        .case()
        .merged(&spot("tooth.width_top_md", "26"))
        .unwrap();
    assert_eq!(again.1.with, chosen);
    assert_eq!(lab.case(), *b1.open().case());
}

#[test]
fn answers_to_different_questions_are_both_kept() {
    let (mut lab, mut b1, mut b2) = two();
    lab.keys(&mut b1, "3.5 enter");
    b2.at("tooth.width_margin_md", "26");
    lab.keys(&mut b2, "8.9 enter");
    assert!(b2.notice().starts_with("b1: 26, "), "{}", b2.notice());
    assert_eq!(b2.reads("tooth.height", "26").as_deref(), Some("3.5 mm"));
    assert_eq!(
        b2.reads("tooth.width_margin_md", "26").as_deref(),
        Some("8.9 mm")
    );
    lab.tick(&mut b1);
    assert_eq!(b1.open().case(), b2.open().case());
    assert!(!lab.case().is_disputed());
}

#[test]
fn the_same_answer_twice_is_no_difference() {
    let (mut lab, mut b1, mut b2) = two();
    lab.keys(&mut b1, "3.5 enter");
    lab.keys(&mut b2, "3.5 enter");
    assert!(!lab.case().is_disputed());
    assert_eq!(lab.written("tooth.height", "26").len(), 2);
    let kept = lab.case();
    assert_eq!(
        kept.merged(&spot("tooth.height", "26")).unwrap().1.value,
        mm(3.5)
    );
}

#[test]
fn what_is_tried_out_is_not_thrown_away() {
    let (mut lab, mut b1, mut b2) = two();
    lab.keys(&mut b1, "3.5 enter");
    lab.tick(&mut b2);
    b1.at("tooth.height", "26");
    lab.keys(&mut b1, "t");
    b1.at("tooth.height", "26");
    lab.keys(&mut b1, "5 enter");
    b2.at("tooth.width_margin_md", "26");
    lab.keys(&mut b2, "8.9 enter");
    assert!(lab.tick(&mut b1));
    assert!(b1.desk.session.is_trying());
    assert_eq!(b1.open().tried(), [(spot("tooth.height", "26"), mm(5.0))]);
    assert_eq!(
        b1.reads("tooth.width_margin_md", "26").as_deref(),
        Some("8.9 mm")
    );
    lab.keys(&mut b1, "esc");
    assert_eq!(b1.open().case(), &lab.case());
}

#[test]
fn undo_takes_back_nothing_that_others_have_answered_since() {
    let (mut lab, mut b1, mut b2) = two();
    lab.keys(&mut b1, "3.5 enter");
    lab.tick(&mut b2);
    // Whoever comes to it sees what stands there.
    lab.keys(&mut b2, "tab shift-tab 4 enter");
    lab.tick(&mut b1);
    lab.keys(&mut b1, "u");
    let why = b1.open().refusal().unwrap_or_default().to_owned();
    assert!(why.starts_with("not undone: b2 has changed "), "{why}");
    assert_eq!(b1.reads("tooth.height", "26").as_deref(), Some("4.0 mm"));
    // Undo of what nobody else has touched works.
    b1.at("tooth.width_margin_md", "26");
    lab.keys(&mut b1, "8.9 enter u");
    assert_eq!(b1.reads("tooth.width_margin_md", "26"), None);
    // Their own answer they can take back themselves.
    lab.tick(&mut b2);
    lab.keys(&mut b2, "u");
    assert_eq!(b2.reads("tooth.height", "26").as_deref(), Some("3.5 mm"));
    // It is b1's again, but another has written it since: b1 sees whose it is.
    lab.tick(&mut b1);
    lab.keys(&mut b1, "u");
    assert_eq!(b1.reads("tooth.height", "26").as_deref(), Some("3.5 mm"));
}

/// The other has answered, and undo comes before anybody could have seen it.
#[test]
fn an_undo_that_is_overtaken_leaves_the_answer_of_the_other() {
    let (mut lab, mut b1, mut b2) = two();
    lab.keys(&mut b1, "3.5 enter");
    lab.tick(&mut b2);
    // Whoever comes to it sees what stands there.
    lab.keys(&mut b2, "tab shift-tab 4 enter");
    lab.keys(&mut b1, "u");
    assert!(
        b1.notice().starts_with("not undone: b2 "),
        "{}",
        b1.notice()
    );
    assert_eq!(b1.reads("tooth.height", "26").as_deref(), Some("4.0 mm"));
    assert_eq!(lab.case(), *b1.open().case());
    assert!(!lab.case().is_disputed());
}

/// A line is typed, and the other's units take its cell away: it answers nothing else.
#[test]
fn what_is_typed_never_answers_another_question() {
    let mut lab = Lab::with(&case(
        "44 x45 46",
        &[
            ("order.scope", "R1", choice("teeth")),
            ("order.material", "R1", choice("zirconia-3y")),
        ],
    ));
    let (mut b1, mut b2) = (lab.person("b1"), lab.person("b2"));
    b1.at("tooth.height", "44");
    lab.keys(&mut b1, "3 . 5");
    lab.keys(&mut b2, "e");
    for _ in 0..9 {
        lab.keys(&mut b2, "backspace");
    }
    lab.keys(&mut b2, "46 enter enter");
    lab.tick(&mut b1);
    assert_ne!(b1.open().cursor(), Some(&spot("tooth.height", "44")));
    assert_eq!(b1.open().typed(), "");
    let spots: Vec<Value> = lab
        .case()
        .layers()
        .map(|(_, _, own)| own.value.clone())
        .collect();
    assert!(!spots.contains(&mm(3.5)));
}

#[test]
fn a_desk_that_nobody_writes_beside_sees_nothing_new() {
    let mut lab = Lab::with(&crown());
    let mut b1 = lab.person("b1");
    b1.at("tooth.height", "26");
    for _ in 0..3 {
        lab.keys(&mut b1, "3.5 enter u");
        assert!(!lab.tick(&mut b1));
    }
}
