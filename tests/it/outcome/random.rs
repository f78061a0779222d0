//! Keys at random on the page: the journal tells it all, and undo leads back to where it began.

use casepan::case::journal::fold;
use proptest::prelude::*;

use super::delivered;

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn random_keys_on_the_page_are_undone_to_nothing(
        keys in prop::collection::vec(prop::sample::select(vec![
            "1", "2", "3", "7", "0", "-", "enter", "enter", "enter", "d", "w", "u", "y", "esc", "e", "9",
        ]), 0..60),
    ) {
        let mut tech = delivered();
        tech.keys("e");
        for key in &keys {
            if tech.session.inspection.is_none() {
                break;
            }
            tech.key(key);
            tech.session.view();
        }
        // Gone back from far enough, the case is left.
        prop_assume!(tech.session.inspection.is_some());
        prop_assert_eq!(&fold(&tech.journal).unwrap(), tech.case());
        for own in tech.case().outcomes() {
            let same = tech.case().outcomes().iter().filter(|other| own.is_same(other));
            prop_assert_eq!(same.count(), 1);
        }
        let last = tech.case().outcomes().to_vec();
        tech.home();
        let mut undone = 0;
        while !tech.case().outcomes().is_empty() && undone < 200 {
            tech.key("u");
            undone += 1;
        }
        prop_assert_eq!(tech.case().outcomes().len(), 0);
        for _ in 0..undone {
            tech.key("y");
        }
        prop_assert_eq!(tech.case().outcomes(), last);
        prop_assert_eq!(&fold(&tech.journal).unwrap(), tech.case());
    }
}
