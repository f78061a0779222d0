//! What became of a delivered restoration: kinds, what is refused, the journal, the page, the command line.

mod command;
mod page;
mod random;

use casepan::case::Case;
use casepan::case::file::{read, write};
use casepan::case::history::{About, What, history};
use casepan::case::journal::{Body, Entry, fold};
use casepan::case::opening::{self, Opening};
use casepan::case::outcome::{Foreseen, Kind, Known, Outcome, Refused};
use casepan::case::{dispute, journal};
use casepan::fact::{CATALOGUE, Kind as Type, Place};
use casepan::ronfile::Source;
use jiff::civil::{Date, date};
use uuid::Uuid;

use super::session::Technician;
use super::states::{good, sit};

pub(crate) const TODAY: Date = date(2026, 11, 23);

pub(crate) fn bridge() -> Case {
    good("44 x45 46", "zirconia-3y", &[])
}

/// A bridge that was delivered today.
pub(crate) fn delivered() -> Technician {
    let mut tech = sit(&bridge());
    // A day of the case is written, and with it what it was judged to be as it is built.
    tech.keys("s l 7 enter enter s b 1 enter");
    if tech.session.over.line().is_some() {
        tech.keys("enter");
    }
    assert_eq!(tech.case().delivered(), [1]);
    tech
}

fn place(at: &str) -> Option<Place> {
    Some(at.parse().expect("a place"))
}

pub(crate) fn came_off(at: &str) -> Outcome {
    Outcome {
        what: Kind::CameOff,
        restoration: 1,
        at: place(at),
        on: TODAY,
        known: Known::Dentist,
        seen: None,
        goes_on: None,
    }
}

/// Files of today have these choices: they are read as before, and each has its kind.
#[test]
fn every_choice_of_what_happened_before_has_a_kind_of_its_own() {
    let spec = CATALOGUE.iter().find(|own| own.id == "remake.what");
    let Type::Choice(choices) = &spec.expect("a fact").kind else {
        panic!("no choices");
    };
    let names: Vec<&str> = choices.iter().map(|(name, _)| &**name).collect();
    let known = [
        "came-off",
        "broke",
        "open-margin",
        "high",
        "contact",
        "shade",
        "other",
    ];
    assert_eq!(names, known);
    let mut kinds: Vec<Kind> = (names.iter())
        .map(|name| Kind::of_remake(name).expect(name))
        .collect();
    assert!(kinds.iter().all(|kind| kind.is_failure()));
    kinds.dedup();
    assert_eq!(kinds.len(), names.len());
    assert_eq!(Kind::of_remake("seen"), None);
}

#[test]
fn what_cannot_have_become_of_it_is_refused() {
    let tech = delivered();
    let mut tech = tech;
    tech.with(|i, moment| i.keep_outcome(came_off("46"), moment));
    let case = tech.case();
    let check = |outcome: Outcome| case.check_outcome(&outcome, TODAY);
    assert_eq!(check(came_off("44")), Ok(()));
    assert_eq!(check(came_off("44-45")), Ok(()));
    let whole = Outcome {
        at: None,
        ..came_off("46")
    };
    assert_eq!(check(whole), Ok(()));
    assert_eq!(check(came_off("46")), Err(Refused::Twice));
    for other in ["47", "26", "44-46", "46/mesial", "R1", "case"] {
        let refused = Err(Refused::NotThere(other.parse().unwrap()));
        assert_eq!(check(came_off(other)), refused, "{other}");
    }
    let on = |on: Date| Outcome {
        on,
        ..came_off("44")
    };
    let (yesterday, tomorrow) = (date(2026, 11, 22), date(2026, 11, 24));
    assert_eq!(check(on(yesterday)), Err(Refused::BeforeDelivery(TODAY)));
    assert_eq!(check(on(tomorrow)), Err(Refused::Future(tomorrow)));
    let no_such = Outcome {
        restoration: 2,
        ..came_off("44")
    };
    assert_eq!(check(no_such), Err(Refused::NoRestoration(2)));
    let itself = Outcome {
        goes_on: Some(case.number.clone()),
        ..came_off("44")
    };
    assert_eq!(check(itself), Err(Refused::Itself));
    // Taken up again, withdrawn or never delivered, nothing can have become of it.
    for keys in ["esc s b 5 enter", "esc s b 4 enter"] {
        let mut tech = delivered();
        tech.keys(keys);
        let refused = tech.case().check_outcome(&came_off("44"), TODAY);
        assert_eq!(refused, Err(Refused::NotDelivered(1)), "{keys}");
    }
    let refused = bridge().check_outcome(&came_off("44"), TODAY);
    assert_eq!(refused, Err(Refused::NotDelivered(1)));
    // Closed, or come back, it was delivered all the same.
    for keys in ["esc s b 2 enter", "esc s b 3 enter"] {
        let mut tech = delivered();
        tech.keys(keys);
        assert_eq!(tech.case().delivered_on(1), Some(TODAY), "{keys}");
    }
}

#[test]
fn an_outcome_is_added_to_taken_back_and_undone_by_entries_of_their_own() {
    let mut tech = delivered();
    let before = tech.journal.len();
    tech.with(|i, moment| i.keep_outcome(came_off("46"), moment));
    let linked = Outcome {
        goes_on: Some("D-7".to_owned()),
        ..came_off("46")
    };
    tech.with(|i, moment| i.keep_outcome(linked.clone(), moment));
    let seen = Outcome {
        seen: Some(Foreseen::ReadingOff),
        known: Known::Bench,
        ..came_off("46")
    };
    tech.with(|i, moment| i.keep_outcome(seen.clone(), moment));
    // What was said before stays where nothing else is said.
    let all = Outcome {
        goes_on: linked.goes_on.clone(),
        ..seen
    };
    assert_eq!(tech.case().outcomes(), std::slice::from_ref(&all));
    // Another one deletes nothing.
    let quiet = Outcome {
        what: Kind::Quiet,
        at: None,
        ..came_off("46")
    };
    tech.with(|i, moment| i.keep_outcome(quiet.clone(), moment));
    assert_eq!(tech.case().outcomes(), [all.clone(), quiet.clone()]);
    assert_eq!(tech.case().last_failure(), Some(&all));
    tech.with(|i, moment| i.take_back_outcome(all.clone(), moment));
    assert_eq!(tech.case().outcomes(), std::slice::from_ref(&quiet));
    assert_eq!(tech.case().last_failure(), None);
    tech.keys("s u");
    assert_eq!(tech.case().outcomes(), [all.clone(), quiet.clone()]);
    tech.keys("y");
    assert_eq!(tech.case().outcomes(), [quiet]);
    tech.keys("u u u u");
    assert_eq!(tech.case().outcomes(), [came_off("46")]);
    assert_eq!(tech.journal.len(), before + 11);
    assert_eq!(fold(&tech.journal).unwrap(), *tech.case());
    // Each is told.
    let told = history(&tech.journal, &About::Case).unwrap();
    let count = |is: fn(&What) -> bool| told.iter().filter(|own| is(&own.what)).count();
    assert_eq!(count(|what| matches!(what, What::Outcome(_))), 4);
    assert_eq!(count(|what| matches!(what, What::TakenBack(_))), 5);
}

#[test]
fn outcomes_leave_and_come_back_with_the_case() {
    let mut tech = delivered();
    let all = Outcome {
        seen: Some(Foreseen::NoRule),
        goes_on: Some("D-7".to_owned()),
        ..came_off("44-45")
    };
    let whole = Outcome {
        what: Kind::Quiet,
        at: None,
        known: Known::Recall,
        ..came_off("46")
    };
    for own in [&all, &whole] {
        tech.with(|i, moment| i.keep_outcome(own.clone(), moment));
    }
    let own = [all, whole];
    // As a case file, and as the entries that open a case with it.
    let text = write(tech.case(), false).unwrap();
    let again = read(&Source::new("case.ron", text.clone())).unwrap();
    assert_eq!(again.outcomes(), own);
    let opening = Opening {
        flow: again.flow.clone(),
        session: Uuid::from_u128(3),
        when: "2026-11-23T09:30:00Z".parse().unwrap(),
        who: None,
    };
    let mut count = 0;
    let mut fresh = || {
        count += 1;
        Uuid::from_u128(count)
    };
    let entries = opening::entries(&again, &opening, &mut fresh);
    assert_eq!(fold(&entries).unwrap().outcomes(), own);
    // As a journal file.
    let number = tech.case().number.clone();
    let lines = journal::file::write(&number, &tech.journal, false).unwrap();
    let carried = journal::file::read(&lines).unwrap();
    assert_eq!(fold(&carried.journal).unwrap().outcomes(), own);
    // A file of before has none; one at a place that is not there is refused.
    let old = text.split("    outcomes: [").next().unwrap().to_owned() + ")\n";
    let old = read(&Source::new("case.ron", old)).unwrap();
    assert_eq!(old.outcomes(), []);
    for (from, to) in [("44-45", "47"), ("restoration:1,at:", "restoration:4,at:")] {
        let odd = text.replacen(from, to, 1);
        assert_ne!(odd, text, "{from}");
        let problems = read(&Source::new("case.ron", odd)).unwrap_err();
        assert_eq!(problems[0].code, "case-life", "{to}");
    }
}

/// Two people write the same at the same time: it is one, and what only one of them said stays.
#[test]
fn two_people_who_write_the_same_have_written_one() {
    let tech = delivered();
    let case = tech.case().clone();
    let seen = tech.journal.len() as u64;
    let entry = |id: u128, outcome: Outcome| Entry {
        id: Uuid::from_u128(id),
        seen,
        session: Uuid::from_u128(id),
        when: "2026-11-23T10:30:00Z".parse().unwrap(),
        who: None,
        body: Body::Outcome { outcome },
    };
    let theirs = entry(
        5001,
        Outcome {
            seen: Some(Foreseen::No),
            ..came_off("46")
        },
    );
    let mine = vec![entry(5002, came_off("46")), entry(5003, came_off("44"))];
    let rebased = dispute::rebase(&case, std::slice::from_ref(&theirs), mine, seen + 1);
    assert!(rebased.overtaken.is_empty());
    let mut journal = tech.journal.clone();
    journal.push(theirs.clone());
    journal.extend(rebased.entries);
    let case = fold(&journal).unwrap();
    assert!(!case.is_disputed());
    let Body::Outcome { outcome } = theirs.body else {
        panic!("no outcome");
    };
    assert_eq!(case.outcomes(), [outcome, came_off("44")]);
}

/// Beside a remake stand the readings of what is made again, not those of another restoration of the same cases.
#[test]
fn only_what_is_made_again_stands_beside() {
    let height = crate::made::mm(4.2);
    let heights = ["26", "36"].map(|tooth| ("tooth.height", tooth, height.clone()));
    let two = || crate::made::case("26; 36", &heights);
    let earlier = casepan::case::before::Earlier {
        again: 1,
        number: "24-1".to_owned(),
        case: Some(two()),
    };
    let both = earlier.both(&two());
    let places: Vec<String> = both.iter().map(|own| own.spot.at.to_string()).collect();
    assert_eq!(places, ["26"]);
}
