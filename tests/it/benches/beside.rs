//! What several people change beside the readings: the restorations, who has the case, its files.

use casepan::case::journal::{Body, CaseFile};
use casepan::case::{Case, Units};
use casepan::derive::Facts;
use casepan::judge::judge;
use casepan::session::units_line::read;
use casepan::session::{Act, Command, Effect, Inspection, Moment, Page};
use casepan::tooth::Notation;

use super::{Lab, Person};
use crate::decision::decision;
use crate::good::{finish, flow, pan};
use crate::session::moment;

/// A sound crown on 26 that was read through, and two people.
fn sound() -> (Lab, Person, Person) {
    let mut case = pan("26", "zirconia-3y", "resin-modified");
    finish(&mut case, true);
    case.number = "T-1".to_owned();
    let mut lab = Lab::with(&case);
    assert!(is_fine(&lab.case()));
    let (b1, b2) = (lab.person("b1"), lab.person("b2"));
    (lab, b1, b2)
}

fn is_fine(case: &Case) -> bool {
    judge(flow(), &Facts::of(flow(), case)).verdict.is_fine()
}

fn units(line: &str) -> Units {
    read(line, Notation::Iso3950).expect("units")
}

fn enters_units(lab: &mut Lab, person: &mut Person, line: &str) {
    lab.go(person, Page::Questions);
    for act in [Act::Do(Command::EditUnits), Act::Enter(line.to_owned())] {
        lab.tick += 1;
        person.desk.act(act, &moment(lab.tick));
    }
    // Where a line can be read in two ways, it is confirmed.
    lab.keys(person, "enter");
}

fn does(
    lab: &mut Lab,
    person: &mut Person,
    what: impl FnOnce(&mut Inspection, &Moment) -> Vec<Effect>,
) {
    lab.tick += 1;
    let now = moment(lab.tick);
    let inspection = person.desk.session.inspection.as_mut().expect("a case");
    let effects = what(inspection, &now);
    person.desk.carry_out(effects, &now).expect("it is kept");
}

fn undoes(lab: &mut Lab, person: &mut Person) {
    lab.go(person, Page::Questions);
    lab.keys(person, "u");
}

#[test]
fn two_people_change_the_units() {
    let (mut lab, mut b1, mut b2) = sound();
    enters_units(&mut lab, &mut b1, "26 27");
    enters_units(&mut lab, &mut b2, "25 26");
    let kept = lab.case();
    assert_eq!(kept.units, units("26 27"));
    assert_eq!(kept.disputed_units(), [units("25 26")]);
    assert!(!is_fine(&kept));
    let differs = |body: &Body| matches!(body, Body::Differs { .. });
    assert!(lab.journal().iter().any(|entry| differs(&entry.body)));
    // Those that stand, entered anew, settle it; an undo brings it back.
    lab.tick(&mut b1);
    enters_units(&mut lab, &mut b1, "26 27");
    let settled = lab.case();
    assert_eq!(settled.units, units("26 27"));
    assert!(settled.disputed_units().is_empty());
    undoes(&mut lab, &mut b1);
    assert_eq!(lab.case(), kept);
    // Read again by somebody else it is the same.
    assert_eq!(*lab.person("b3").open().case(), kept);
}

#[test]
fn whoever_was_second_takes_back_the_own_units_alone() {
    let (mut lab, mut b1, mut b2) = sound();
    enters_units(&mut lab, &mut b1, "26 27");
    enters_units(&mut lab, &mut b2, "25 26");
    undoes(&mut lab, &mut b2);
    let kept = lab.case();
    assert_eq!(kept.units, units("26 27"));
    assert!(kept.disputed_units().is_empty());
}

#[test]
fn a_decision_does_not_overwrite_the_units_of_somebody_else() {
    let (mut lab, mut b1, mut b2) = sound();
    enters_units(&mut lab, &mut b1, "26 27");
    does(&mut lab, &mut b2, |inspection, now| {
        let mut decision = decision("grip", "26", casepan::case::decision::DentistAnswer::Agreed);
        decision.units = Some(units("25 26"));
        inspection.decide(decision, now)
    });
    let kept = lab.case();
    assert_eq!(kept.units, units("26 27"));
    assert_eq!(kept.disputed_units(), [units("25 26")]);
    assert!(!is_fine(&kept));
}

fn file(name: &str) -> CaseFile {
    CaseFile {
        path: name.to_owned(),
        sha256: "0".repeat(64),
        bytes: 1,
    }
}

/// Seen or not, what somebody else did since stays.
#[test]
fn an_undo_leaves_hands_and_files_of_others_alone() {
    for seen in [true, false] {
        let (mut lab, mut b1, mut b2) = sound();
        does(&mut lab, &mut b1, |own, now| own.hand_over("b2", "", now));
        lab.tick(&mut b2);
        does(&mut lab, &mut b2, |own, now| own.hand_over("b3", "", now));
        if seen {
            lab.tick(&mut b1);
        }
        undoes(&mut lab, &mut b1);
        let kept = lab.case();
        assert_eq!(kept.handed().expect("somebody").to, "b3", "{seen}");

        let (mut lab, mut b1, mut b2) = sound();
        does(&mut lab, &mut b1, |own, now| {
            own.attach(file("one.jpg"), now)
        });
        lab.tick(&mut b2);
        does(&mut lab, &mut b2, |own, now| {
            own.attach(file("two.jpg"), now)
        });
        if seen {
            lab.tick(&mut b1);
        }
        undoes(&mut lab, &mut b1);
        assert_eq!(lab.case().files().len(), 2, "{seen}");
    }
}

/// The day of the work is nobody's answer: the newest stands, and no undo of something else is held up by it.
#[test]
fn a_day_disputes_nothing_and_holds_nobody_up() {
    let (mut lab, mut b1, mut b2) = sound();
    let day = |text: &str| Some(text.parse().expect("a day"));
    let due = casepan::fact::ORDER_DUE;
    does(&mut lab, &mut b1, |own, now| {
        let answer = casepan::case::decision::DentistAnswer::AsItIs;
        own.decide(decision("grip", "26", answer), now)
    });
    does(&mut lab, &mut b1, |own, now| {
        own.set_day(&due, day("2026-12-04"), now)
    });
    does(&mut lab, &mut b2, |own, now| {
        own.set_day(&due, day("2026-12-09"), now)
    });
    let kept = lab.case();
    assert_eq!(kept.due_day(), day("2026-12-09"));
    assert!(!kept.is_disputed());
    assert!(is_fine(&kept));
    lab.tick(&mut b1);
    // The own day has been overtaken.
    undoes(&mut lab, &mut b1);
    assert_eq!(lab.case().due_day(), day("2026-12-09"));
}
