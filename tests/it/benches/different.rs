//! Two people answer the same question and neither has seen the other's answer: both are kept, neither counts, and it is
//! asked again.

use casepan::case::decision::DentistAnswer;
use casepan::derive::Facts;
use casepan::fact::Value;
use casepan::judge::judge;
use casepan::print::{Format, Sheet, print};
use casepan::session::Page;
use casepan::session::view::PageView;

use super::{Lab, Person, two};
use crate::decision::decision;
use crate::good::{finish, flow, pan};
use crate::made::{mm, spot, told};
use crate::session::moment;

/// Both have read the height, and neither has seen the other's.
fn differ() -> (Lab, Person, Person) {
    let (mut lab, mut b1, mut b2) = two();
    lab.keys(&mut b1, "7.0 enter");
    lab.keys(&mut b2, "6.5 enter");
    (lab, b1, b2)
}

#[test]
fn both_answers_are_kept_and_neither_counts() {
    let (mut lab, mut b1, b2) = differ();
    let kept = lab.case();
    let own = spot("tooth.height", "26");
    assert_eq!(kept.merged(&own), None);
    let dispute = kept.dispute(&own).expect("a dispute");
    let sides: Vec<_> = (dispute.sides.iter())
        .map(|side| (side.who.as_deref(), side.value.clone()))
        .collect();
    assert_eq!(
        sides,
        [(Some("b1"), Some(mm(7.0))), (Some("b2"), Some(mm(6.5)))]
    );
    assert!(dispute.sides.iter().all(|side| side.when.is_some()));
    // Neither was written twice, and the first is as it was.
    assert_eq!(lab.written("tooth.height", "26").len(), 2);
    // Both are told, and nobody's next digit answers another question than the one in hand.
    let next = b1.open().cursor().cloned();
    assert_ne!(next.as_ref(), Some(&own));
    assert_eq!(b2.open().cursor(), next.as_ref());
    assert_eq!(*b2.open().case(), kept);
    assert!(b2.notice().contains("b1 read 7.0 mm"), "{}", b2.notice());
    lab.tick(&mut b1);
    assert_eq!(*b1.open().case(), kept);
    assert_eq!(b1.open().cursor(), next.as_ref());
    assert!(b1.notice().contains("two answers"), "{}", b1.notice());
    // It comes next.
    lab.keys(&mut b1, "enter");
    assert_eq!(b1.open().cursor(), Some(&own));
    let PageView::Questions(page) = b1.desk.session.view().page else {
        panic!("the questions");
    };
    let says = page.present.unwrap().two_answers.expect("both answers");
    assert!(
        says.starts_with("b1 read 7.0 mm, b2 read 6.5 mm ("),
        "{says}"
    );
    assert!(
        says.ends_with("): answer it again, or < takes 7.0 mm, > takes 6.5 mm"),
        "{says}"
    );
    assert!(
        page.open_points[0].contains("b2 read 6.5 mm"),
        "{:?}",
        page.open_points
    );
}

#[test]
fn any_later_answer_settles_it() {
    for (keys, value) in [("6.8 enter", 6.8), ("<", 7.0), (">", 6.5)] {
        let (mut lab, mut b1, mut b2) = differ();
        lab.tick(&mut b1);
        b1.at("tooth.height", "26");
        lab.keys(&mut b1, keys);
        let kept = lab.case();
        assert!(!kept.is_disputed(), "{keys}");
        let own = spot("tooth.height", "26");
        assert_eq!(kept.merged(&own).unwrap().1.value, mm(value), "{keys}");
        lab.tick(&mut b2);
        assert_eq!(*b2.open().case(), kept);
        // Undo brings both answers back.
        lab.keys(&mut b1, "u");
        let again = lab.case();
        assert_eq!(again.merged(&own), None);
        assert_eq!(again.dispute(&own).map(|own| own.sides.len()), Some(2));
    }
}

#[test]
fn taking_ones_own_answer_back_leaves_that_of_the_other() {
    let (mut lab, mut b1, mut b2) = differ();
    lab.keys(&mut b2, "u");
    let kept = lab.case();
    let own = spot("tooth.height", "26");
    assert!(!kept.is_disputed());
    let (_, reading) = kept.merged(&own).unwrap();
    assert_eq!(
        (reading.value.clone(), reading.who.as_deref()),
        (mm(7.0), Some("b1"))
    );
    // The first cannot take back what the second has answered since.
    let (mut lab, mut b1b, _b2) = differ();
    lab.tick(&mut b1b);
    lab.keys(&mut b1b, "u");
    assert!(b1b.open().refusal().unwrap_or_default().contains("b2"));
    lab.tick(&mut b1);
}

#[test]
fn a_third_answer_stands_beside_the_two() {
    let mut lab = Lab::with(&crate::session::crown());
    let mut people = [lab.person("b1"), lab.person("b2"), lab.person("b3")];
    for (person, keys) in people
        .iter_mut()
        .zip(["7.0 enter", "6.5 enter", "6.0 enter"])
    {
        person.at("tooth.height", "26");
        lab.keys(person, keys);
    }
    let kept = lab.case();
    let dispute = kept
        .dispute(&spot("tooth.height", "26"))
        .expect("a dispute");
    let values: Vec<_> = dispute
        .sides
        .iter()
        .filter_map(|own| own.value.clone())
        .collect();
    assert_eq!(values, [mm(7.0), mm(6.5), mm(6.0)]);
}

/// What was typed before the other's answer was there to be read was no answer to it.
#[test]
fn a_number_begun_before_the_other_answered_differs_from_it() {
    let (mut lab, mut b1, mut b2) = two();
    lab.keys(&mut b1, "7 . 0");
    lab.keys(&mut b2, "6.5 enter");
    lab.tick(&mut b1);
    assert_eq!(b1.open().typed(), "7.0");
    lab.keys(&mut b1, "enter");
    assert!(lab.case().is_disputed());
    // Whoever stood at the question all the while had eyes for the caliper.
    let (mut lab, mut b1, mut b2) = two();
    lab.keys(&mut b2, "6.5 enter");
    lab.tick(&mut b1);
    lab.keys(&mut b1, "7.0 enter");
    assert!(lab.case().is_disputed());
    // Whoever comes to it and finds an answer there corrects it.
    let (mut lab, mut b1, mut b2) = two();
    lab.keys(&mut b2, "6.5 enter");
    lab.tick(&mut b1);
    lab.keys(&mut b1, "tab shift-tab 7.0 enter");
    assert!(!lab.case().is_disputed());
    assert_eq!(b1.reads("tooth.height", "26").as_deref(), Some("7.0 mm"));
}

/// Two look at an answer that is there: one finds it right, the other does not.
#[test]
fn an_answer_that_is_found_right_stands_against_another() {
    let (mut lab, mut b1, mut b2) = two();
    let mut b3 = lab.person("b3");
    b3.at("tooth.height", "26");
    lab.keys(&mut b3, "7.0 enter");
    for person in [&mut b1, &mut b2] {
        lab.tick(person);
        lab.keys(person, "tab shift-tab");
    }
    lab.keys(&mut b1, "7.0 enter");
    assert_eq!(lab.written("tooth.height", "26").len(), 2);
    lab.keys(&mut b2, "6.5 enter");
    assert!(lab.case().is_disputed());
    // Whoever gives the same answer twice writes it once.
    let before = lab.written("tooth.height", "26").len();
    b2.at("tooth.width_top_md", "26");
    lab.keys(&mut b2, "5.5 enter");
    b2.at("tooth.width_top_md", "26");
    lab.keys(&mut b2, "5.5 enter");
    assert_eq!(lab.written("tooth.width_top_md", "26").len(), 1);
    assert_eq!(lab.written("tooth.height", "26").len(), before);
}

/// A case in which nothing is found and nothing is open.
fn sound() -> Lab {
    let mut case = pan("26", "zirconia-3y", "resin-modified");
    finish(&mut case, true);
    Lab::with(&case)
}

#[test]
fn a_case_with_two_answers_is_never_fine() {
    let lab = sound();
    let before = lab.case();
    let facts = Facts::of(flow(), &before);
    assert!(
        judge(flow(), &facts).verdict.is_fine(),
        "the case is fine before"
    );
    let readings: Vec<_> = before
        .present()
        .map(|(spot, _, reading)| (spot.clone(), reading.value.clone()))
        .collect();
    let mut looked_at = 0;
    for (own, value) in readings {
        let Value::Number(number, unit) = value else {
            continue;
        };
        let mut lab = sound();
        let (mut b1, mut b2) = (lab.person("b1"), lab.person("b2"));
        // Both values are as good as the one that was there.
        for (person, more) in [(&mut b1, 0.011), (&mut b2, 0.012)] {
            lab.tick += 1;
            let now = moment(lab.tick);
            let inspection = person.desk.session.inspection.as_mut().unwrap();
            let value = Value::Number(number + more, unit);
            let effects = inspection.answer_at(own.clone(), value, &now);
            person.desk.carry_out(effects, &now).expect("it is kept");
        }
        let kept = lab.case();
        assert!(kept.dispute(&own).is_some(), "{own:?}");
        let facts = Facts::of(flow(), &kept);
        let judgement = judge(flow(), &facts);
        if facts.disputes().next().is_some() {
            assert!(!judgement.verdict.is_fine(), "{own:?}");
            looked_at += 1;
        }
    }
    assert!(looked_at > 5, "{looked_at}");
}

#[test]
fn two_answers_are_told_on_every_sheet_in_json_and_in_a_file() {
    let (lab, _b1, b2) = differ();
    let kept = lab.case();
    let facts = Facts::of(flow(), &kept);
    let judgement = judge(flow(), &facts);
    let told = told(flow(), &facts, &judgement);
    for sheet in [Sheet::Summary, Sheet::Ticket] {
        let text = print(told, &[sheet], Format::Text).expect("a print");
        let words = text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(words.contains("b1 read 7.0 mm, b2 read 6.5 mm"), "{text}");
    }
    let json = print(told, &[], Format::Json).expect("an object");
    let json: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    let own = &json["in_dispute"][0];
    assert_eq!(own["fact"], "tooth.height");
    assert_eq!(own["answers"][0]["who"], "b1");
    assert_eq!(own["answers"][1]["says"], "6.5 mm");
    let comments = casepan::case::dispute::as_comments(&kept);
    assert!(
        comments.contains("7.0") && comments.contains("6.5"),
        "{comments}"
    );
    let text = casepan::case::file::write(&kept, true).expect("a file") + &comments;
    let source = casepan::ronfile::Source::new("a.ron", text);
    let read = casepan::case::file::read(&source).expect("it is read back");
    // Whoever reads the file is asked again.
    assert_eq!(read.merged(&spot("tooth.height", "26")), None);
    drop(b2);
}

#[test]
fn two_answers_survive_reopening() {
    let (mut lab, _b1, b2) = differ();
    let b3 = lab.person("b3");
    assert_eq!(b3.open().case(), b2.open().case());
    assert_eq!(
        b3.open().cursor().map(|own| own.fact.as_str()),
        Some("tooth.height")
    );
}

fn decide(lab: &mut Lab, person: &mut Person, outcome: DentistAnswer) {
    lab.tick += 1;
    let now = moment(lab.tick);
    let inspection = person.desk.session.inspection.as_mut().unwrap();
    let mut decision = decision("grip", "26", outcome);
    if outcome == DentistAnswer::Agreed {
        decision.changes = vec![(spot("tooth.height", "26"), mm(4.5))];
    }
    let effects = inspection.decide(decision, &now);
    person.desk.carry_out(effects, &now).expect("it is kept");
}

#[test]
fn two_notes_of_the_dentists_answer_open_the_question_again() {
    let (mut lab, mut b1, mut b2) = two();
    lab.keys(&mut b1, "3.5 enter");
    lab.tick(&mut b2);
    decide(&mut lab, &mut b1, DentistAnswer::Agreed);
    let about = decision("grip", "26", DentistAnswer::Agreed).about;
    let own = spot("tooth.height", "26");
    assert_eq!(lab.case().merged(&own).unwrap().1.value, mm(4.5));
    decide(&mut lab, &mut b2, DentistAnswer::AsItIs);
    let kept = lab.case();
    assert!(kept.decision(&about).is_none());
    assert_eq!(kept.disputed_decision(&about).len(), 2);
    // What it brought counts no longer.
    assert_eq!(kept.merged(&own).unwrap().1.value, mm(3.5));
    // The next answer to it settles it, and undo brings both back.
    decide(&mut lab, &mut b2, DentistAnswer::Refused);
    assert!(!lab.case().is_disputed());
    lab.go(&mut b2, Page::Questions);
    lab.keys(&mut b2, "u");
    assert_eq!(lab.case().disputed_decision(&about).len(), 2);
}

#[test]
fn a_reading_and_an_agreed_value_meet() {
    for reading_first in [true, false] {
        let (mut lab, mut b1, mut b2) = two();
        if reading_first {
            lab.keys(&mut b1, "3.5 enter");
            decide(&mut lab, &mut b2, DentistAnswer::Agreed);
        } else {
            decide(&mut lab, &mut b2, DentistAnswer::Agreed);
            lab.keys(&mut b1, "3.5 enter");
        }
        let kept = lab.case();
        let own = spot("tooth.height", "26");
        assert_eq!(kept.merged(&own), None, "{reading_first}");
        let sides = &kept.dispute(&own).expect("a dispute").sides;
        let values: Vec<_> = sides.iter().filter_map(|own| own.value.clone()).collect();
        let wanted = if reading_first {
            [3.5, 4.5]
        } else {
            [4.5, 3.5]
        };
        assert_eq!(values, wanted.map(mm));
        // The decision itself stands.
        assert_eq!(kept.decisions().count(), 1);
        // A reading settles it: the agreed value steps back, as it does for any later reading.
        lab.tick(&mut b1);
        b1.at("tooth.height", "26");
        lab.keys(&mut b1, "3.6 enter");
        let kept = lab.case();
        assert_eq!(kept.merged(&own).unwrap().1.value, mm(3.6));
        assert_eq!(kept.suspended().count(), 1);
    }
}

#[test]
fn what_both_propose_is_put_to_the_dentist() {
    let (mut lab, mut b1, mut b2) = two();
    for (person, value) in [(&mut b1, 4.0), (&mut b2, 5.0)] {
        lab.tick += 1;
        let now = moment(lab.tick);
        let inspection = person.desk.session.inspection.as_mut().unwrap();
        let changes = vec![(spot("tooth.height", "26"), mm(value))];
        let effects = inspection.propose(changes, &now);
        person.desk.carry_out(effects, &now).expect("it is kept");
    }
    let kept = lab.case();
    let values: Vec<_> = (kept.proposals().iter())
        .map(|own| own.changes[0].1.clone())
        .collect();
    assert_eq!(values, [mm(4.0), mm(5.0)]);
}
