//! Keys at random: nothing panics, the journal tells the whole story, and the same keys tell it again.

use casepan::case::journal::fold;
use casepan::walk::command::COMMANDS;
use proptest::prelude::*;

use super::{Sitting, crown, values};
use crate::made::case;

fn any_key() -> impl Strategy<Value = String> {
    let commands: Vec<String> = COMMANDS
        .iter()
        .flat_map(|spec| spec.keys)
        .filter(|key| **key != "q")
        .map(|key| (*key).to_owned())
        .collect();
    let typed: Vec<String> = "123456789012345.,-x; é日é"
        .chars()
        .map(String::from)
        .collect();
    prop_oneof![
        3 => prop::sample::select(commands),
        4 => prop::sample::select(typed),
        2 => Just("enter".to_owned()),
    ]
}

fn start(bridge: bool) -> Sitting {
    if bridge {
        Sitting::on(&case("44 x45 46; 26", &[]))
    } else {
        Sitting::on(&crown())
    }
}

/// Presses keys until the case is left.
fn press(sitting: &mut Sitting, keys: &[String]) {
    for key in keys {
        if sitting.walk.inspection.is_none() {
            return;
        }
        sitting.key(key);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn any_keys_write_a_journal_that_tells_all(
        keys in prop::collection::vec(any_key(), 0..80),
        bridge in any::<bool>(),
    ) {
        let mut sitting = start(bridge);
        press(&mut sitting, &keys);
        for (index, entry) in sitting.journal.iter().enumerate() {
            prop_assert_eq!(entry.seen, index as u64);
        }
        let mut ids: Vec<_> = sitting.journal.iter().map(|entry| entry.id).collect();
        ids.sort();
        ids.dedup();
        prop_assert_eq!(ids.len(), sitting.journal.len());
        if sitting.walk.inspection.is_some() {
            prop_assert_eq!(&fold(&sitting.journal).unwrap(), sitting.case());
            // The view can be made of whatever state this is.
            sitting.walk.view();
        }
        let mut again = start(bridge);
        press(&mut again, &keys);
        prop_assert_eq!(again.journal, sitting.journal);
    }

    #[test]
    fn all_undone_is_where_it_began_and_all_redone_where_it_was(
        keys in prop::collection::vec(any_key(), 0..60),
        bridge in any::<bool>(),
    ) {
        let mut sitting = start(bridge);
        let (first, units) = (values(sitting.case()), sitting.case().units.clone());
        press(&mut sitting, &keys);
        prop_assume!(sitting.walk.inspection.is_some());
        // Out of whatever takes letters, and out of what is only tried.
        sitting.home().key("f");
        if sitting.walk.page != casepan::walk::Page::Findings {
            sitting.at("order.scope", "R1").key("f");
        }
        let (last, last_units) = (values(sitting.case()), sitting.case().units.clone());
        let mut undone = 0;
        let nothing_left = |sitting: &Sitting| {
            let notice = sitting.walk.notice.as_deref();
            notice.is_some_and(|said| said.starts_with("nothing"))
        };
        while !nothing_left(&sitting) && undone < 200 {
            sitting.key("u");
            undone += 1;
        }
        prop_assert_eq!(values(sitting.case()), first);
        prop_assert_eq!(&sitting.case().units, &units);
        prop_assert_eq!(sitting.case().decisions().count(), 0);
        prop_assert_eq!(sitting.case().proposals().len(), 0);
        sitting.walk.notice = None;
        for _ in 0..undone {
            sitting.key("y");
        }
        let redone = values(sitting.case());
        // What was undone in the random keys comes again too, so only a run without undo ends where it was.
        if !keys.iter().any(|key| key == "u") {
            prop_assert_eq!(redone, last);
            prop_assert_eq!(&sitting.case().units, &last_units);
        }
        prop_assert_eq!(&fold(&sitting.journal).unwrap(), sitting.case());
    }
}
