//! Trying readings out: no trace is left, or a list of changes.

use proptest::prelude::*;

use crate::made::{mm, spot};
use crate::session::{Technician, crown, values};

#[test]
fn what_is_tried_is_dropped_or_listed() {
    let mut technician = Technician::on(&crown());
    technician.at("tooth.height", "26").keys("3 enter");
    let (case, journal) = (technician.case().clone(), technician.journal.clone());
    technician.keys("v");
    assert!(technician.session.view().header.unwrap().trying.is_some());
    technician.at("tooth.height", "26").keys("5 enter f");
    assert_eq!((technician.case(), &technician.journal), (&case, &journal));
    // Other pages wait; leaving does too.
    technician.keys("d x e q");
    assert!(technician.session.is_trying());
    technician.home();
    assert_eq!((technician.case(), &technician.journal), (&case, &journal));
    // Listed, it survives as an entry and counts for nothing.
    technician.keys("v");
    technician.at("tooth.height", "26").keys("5 enter k");
    assert!(!technician.session.is_trying());
    assert_eq!(technician.journal.len(), journal.len() + 1);
    assert_eq!(technician.case().proposals().len(), 1);
    assert_eq!(
        technician.case().proposals()[0].changes,
        [(spot("tooth.height", "26"), mm(5.0))]
    );
    assert_eq!(values(technician.case()), values(&case));
    assert_eq!(
        &casepan::case::journal::fold(&technician.journal).unwrap(),
        technician.case()
    );
    technician.keys("u");
    assert_eq!(technician.case().proposals().len(), 0);
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
        let mut technician = Technician::on(&crown());
        let (case, journal) = (technician.case().clone(), technician.journal.clone());
        technician.key("v");
        for key in keys {
            prop_assert!(technician.key(key).is_empty(), "{}", key);
        }
        prop_assert_eq!(technician.case(), &case);
        prop_assert_eq!(&technician.journal, &journal);
        technician.home();
        prop_assert!(!technician.session.is_trying());
        prop_assert_eq!(technician.case(), &case);
    }
}
