//! Keys at random: nothing panics, the journal tells the whole story, and the same keys tell it again.

use casepan::case::journal::fold;
use casepan::session::command::COMMANDS;
use proptest::prelude::*;

use super::{Technician, crown, values};
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

fn start(bridge: bool) -> Technician {
    if bridge {
        Technician::on(&case("44 x45 46; 26", &[]))
    } else {
        Technician::on(&crown())
    }
}

/// Presses keys until the case is left.
fn press(tech: &mut Technician, keys: &[String]) {
    for key in keys {
        if tech.session.inspection.is_none() {
            return;
        }
        tech.key(key);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn any_keys_write_a_journal_that_tells_all(
        keys in prop::collection::vec(any_key(), 0..80),
        bridge in any::<bool>(),
    ) {
        let mut tech = start(bridge);
        press(&mut tech, &keys);
        for (index, entry) in tech.journal.iter().enumerate() {
            prop_assert_eq!(entry.seen, index as u64);
        }
        let mut ids: Vec<_> = tech.journal.iter().map(|entry| entry.id).collect();
        ids.sort();
        ids.dedup();
        prop_assert_eq!(ids.len(), tech.journal.len());
        if tech.session.inspection.is_some() {
            prop_assert_eq!(&fold(&tech.journal).unwrap(), tech.case());
            // The view can be made of whatever state this is.
            tech.session.view();
        }
        let mut again = start(bridge);
        press(&mut again, &keys);
        prop_assert_eq!(again.journal, tech.journal);
    }

    #[test]
    fn all_undone_is_where_it_began_and_all_redone_where_it_was(
        keys in prop::collection::vec(any_key(), 0..60),
        bridge in any::<bool>(),
    ) {
        let mut tech = start(bridge);
        let (first, units) = (values(tech.case()), tech.case().units.clone());
        press(&mut tech, &keys);
        prop_assume!(tech.session.inspection.is_some());
        // Out of whatever takes letters, and out of what is only tried.
        tech.home().key("f");
        if tech.session.page != casepan::session::Page::Findings {
            tech.at("order.scope", "R1").key("f");
        }
        let (last, last_units) = (values(tech.case()), tech.case().units.clone());
        let mut undone = 0;
        let nothing_left = |tech: &Technician| {
            let notice = tech.session.notice.as_deref();
            notice.is_some_and(|said| said.starts_with("nothing"))
        };
        while !nothing_left(&tech) && undone < 200 {
            tech.key("u");
            undone += 1;
        }
        prop_assert_eq!(values(tech.case()), first);
        prop_assert_eq!(&tech.case().units, &units);
        prop_assert_eq!(tech.case().decisions().count(), 0);
        prop_assert_eq!(tech.case().proposals().len(), 0);
        prop_assert_eq!(tech.case().outcomes().len(), 0);
        tech.session.notice = None;
        for _ in 0..undone {
            tech.key("y");
        }
        let redone = values(tech.case());
        // What was undone in the random keys comes again too, so only a run without undo ends where it was.
        if !keys.iter().any(|key| key == "u") {
            prop_assert_eq!(redone, last);
            prop_assert_eq!(&tech.case().units, &last_units);
        }
        prop_assert_eq!(&fold(&tech.journal).unwrap(), tech.case());
    }
}
