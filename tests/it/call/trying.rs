//! Trying readings out: no trace is left, or a list of changes.

use proptest::prelude::*;

use crate::made::{mm, spot};
use crate::walk::{Sitting, crown, values};

#[test]
fn what_is_tried_is_dropped_or_listed() {
    let mut sitting = Sitting::on(&crown());
    sitting.at("tooth.height", "26").keys("3 enter");
    let (case, journal) = (sitting.case().clone(), sitting.journal.clone());
    sitting.keys("v");
    assert!(sitting.walk.view().header.unwrap().trying.is_some());
    sitting.at("tooth.height", "26").keys("5 enter f");
    assert_eq!((sitting.case(), &sitting.journal), (&case, &journal));
    // Other pages wait; leaving does too.
    sitting.keys("d x e q");
    assert!(sitting.walk.is_trying());
    sitting.home();
    assert_eq!((sitting.case(), &sitting.journal), (&case, &journal));
    // Listed, it survives as an entry and counts for nothing.
    sitting.keys("v");
    sitting.at("tooth.height", "26").keys("5 enter k");
    assert!(!sitting.walk.is_trying());
    assert_eq!(sitting.journal.len(), journal.len() + 1);
    assert_eq!(sitting.case().proposals().len(), 1);
    assert_eq!(
        sitting.case().proposals()[0].changes,
        [(spot("tooth.height", "26"), mm(5.0))]
    );
    assert_eq!(values(sitting.case()), values(&case));
    assert_eq!(
        &casepan::case::journal::fold(&sitting.journal).unwrap(),
        sitting.case()
    );
    sitting.keys("u");
    assert_eq!(sitting.case().proposals().len(), 0);
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
        let mut sitting = Sitting::on(&crown());
        let (case, journal) = (sitting.case().clone(), sitting.journal.clone());
        sitting.key("v");
        for key in keys {
            prop_assert!(sitting.key(key).is_empty(), "{}", key);
        }
        prop_assert_eq!(sitting.case(), &case);
        prop_assert_eq!(&sitting.journal, &journal);
        sitting.home();
        prop_assert!(!sitting.walk.is_trying());
        prop_assert_eq!(sitting.case(), &case);
    }
}
