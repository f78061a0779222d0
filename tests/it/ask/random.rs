//! Lines at random: nothing panics, nothing that was kept is lost, every line can be spoken.

use casepan::ask::words;
use casepan::case::journal::fold;
use casepan::session::command::COMMANDS;
use proptest::prelude::*;

use super::Bench;
use crate::session::crown;

fn any_line() -> impl Strategy<Value = String> {
    let commands: Vec<String> = COMMANDS
        .iter()
        .flat_map(|spec| {
            words(spec)
                .into_iter()
                .chain(spec.keys.iter().map(ToString::to_string))
        })
        .filter(|word| !["leave", "quit", "q", "ctrl-c", "print", "p"].contains(&word.as_str()))
        .collect();
    let typed = [
        "1",
        "2",
        "3",
        "5",
        "4.4",
        "7,0",
        "-",
        "*",
        "12",
        "2026-11-20",
        "44 x45 46",
        "26",
        "K17",
        "soon",
        "yes",
        ":",
        "::a",
        "again",
        "where",
        "page",
        "line 2",
        "line 7",
        "find 26",
        "find undo",
        "find help",
        "é日",
        "\u{1b}[2J",
        "  ",
        "99999999999",
        "x 3",
    ];
    prop_oneof![
        3 => prop::sample::select(commands.clone()),
        1 => prop::sample::select(commands).prop_map(|word| format!(":{word}")),
        5 => prop::sample::select(typed.to_vec()).prop_map(str::to_owned),
        2 => Just(String::new()),
        // What somebody types of drawn signs is said back to them as it is.
        1 => "[^\\pC\u{2500}-\u{28ff}]{0,12}",
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn any_lines_are_heard_and_no_answer_is_lost(lines in prop::collection::vec(any_line(), 0..40)) {
        let mut bench = Bench::on(&crown());
        let before = bench.journal();
        bench.say(&format!("{}\n", lines.join("\n")));
        let journal = bench.journal();
        prop_assert!(journal.starts_with(&before));
        prop_assert!(!bench.desk.has_unsaved());
        let real = bench.desk.session.real().unwrap();
        prop_assert_eq!(journal.len() as u64, real.entries());
        prop_assert_eq!(&fold(&journal).unwrap(), real.case());
        // Nothing typed is left behind by a line.
        prop_assert_eq!(bench.desk.session.inspection.as_ref().unwrap().typed(), "");
    }
}
