//! Trying readings out: no trace is left, or a list of changes.

use proptest::prelude::*;

use crate::made::{mm, spot};
use crate::session::{Technician, crown, values};

#[test]
fn what_is_tried_is_dropped_or_listed() {
    let mut tech = Technician::on(&crown());
    tech.at("tooth.height", "26").keys("3 enter");
    let (case, journal) = (tech.case().clone(), tech.journal.clone());
    tech.keys("t");
    assert!(tech.session.view().header.unwrap().trying.is_some());
    tech.at("tooth.height", "26").keys("5 enter f");
    assert_eq!((tech.case(), &tech.journal), (&case, &journal));
    // Other pages wait; leaving does too.
    tech.keys("c o s q");
    assert!(tech.session.is_trying());
    tech.home();
    assert_eq!((tech.case(), &tech.journal), (&case, &journal));
    // Listed, it survives as an entry and counts for nothing.
    tech.keys("t");
    tech.at("tooth.height", "26").keys("5 enter k");
    assert!(!tech.session.is_trying());
    assert_eq!(tech.journal.len(), journal.len() + 1);
    assert_eq!(tech.case().proposals().len(), 1);
    assert_eq!(
        tech.case().proposals()[0].changes,
        [(spot("tooth.height", "26"), mm(5.0))]
    );
    assert_eq!(values(tech.case()), values(&case));
    assert_eq!(
        &casepan::case::journal::fold(&tech.journal).unwrap(),
        tech.case()
    );
    tech.keys("u");
    assert_eq!(tech.case().proposals().len(), 0);
}

/// What is tried out is no case: no sheet of it is printed, also not from where the last answer led.
#[test]
fn nothing_is_printed_while_something_is_tried_out() {
    let mut tech = Technician::on(&crown());
    tech.key("t");
    tech.session.page = casepan::session::Page::Summary;
    assert!(tech.key("w").is_empty());
    assert!(tech.session.notice.is_some());
    tech.key("esc");
    assert!(tech.session.is_trying());
}

fn trial_key() -> impl Strategy<Value = &'static str> {
    prop::sample::select(vec![
        "1",
        "2",
        "5",
        "0",
        ".",
        "enter",
        "-",
        "*",
        "tab",
        "down",
        "up",
        "u",
        "y",
        "w",
        "i",
        "f",
        "c",
        "delete",
        "backspace",
        "pgdn",
        "pgup",
        "t",
        "d",
        "x",
        "e",
        "o",
        "v",
        "?",
    ])
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(30))]

    #[test]
    fn trying_leaves_the_journal_untouched(keys in prop::collection::vec(trial_key(), 0..40)) {
        let mut tech = Technician::on(&crown());
        let (case, journal) = (tech.case().clone(), tech.journal.clone());
        tech.key("t");
        for key in keys {
            let effects = tech.key(key);
            prop_assert!(effects.is_empty(), "{}: {:?}", key, effects);
        }
        prop_assert_eq!(tech.case(), &case);
        prop_assert_eq!(&tech.journal, &journal);
        tech.home();
        prop_assert!(!tech.session.is_trying());
        prop_assert_eq!(tech.case(), &case);
    }
}
