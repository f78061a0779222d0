//! Finding by words, and one hand on a numeric pad.

use casepan::tooth::Notation;
use casepan::walk::command::{COMMANDS, Command, Context};
use casepan::walk::{Effect, Keymap, Page, Search, Target, Walk};

use super::{Sitting, crown, moment};
use crate::made::case;

fn search(walk: &Walk) -> &Search {
    walk.search.as_ref().expect("something is looked for")
}

/// Types words into the line.
fn look_for(sitting: &mut Sitting, words: &str) {
    sitting.key("/");
    for c in words.chars() {
        let key = if c == ' ' {
            "space".to_owned()
        } else {
            c.to_string()
        };
        sitting.key(&key);
    }
}

fn first(sitting: &Sitting) -> Target {
    search(&sitting.walk)
        .hits
        .first()
        .expect("a hit")
        .to
        .clone()
}

/// What a command can change on the screen.
fn state(walk: &Walk) -> String {
    let inspection = walk.inspection.as_ref();
    format!(
        "{:?}",
        (
            (walk.page, walk.help, &walk.prompt, walk.notation),
            (
                walk.marked,
                walk.finding,
                walk.option,
                walk.scroll,
                walk.picture
            ),
            (&walk.call, walk.is_trying(), &walk.notice),
            inspection.map(|i| (i.cursor().cloned(), i.typed().to_owned(), i.entries())),
        )
    )
}

#[test]
fn every_command_of_a_page_is_reached_by_a_digit() {
    for context in [
        Context::Questions,
        Context::Findings,
        Context::End,
        Context::Call,
        Context::Options,
        Context::Picture,
    ] {
        let open = |sitting: &mut Sitting| {
            match context {
                Context::Findings => drop(sitting.key("f")),
                Context::End => drop(sitting.key("e")),
                Context::Call => drop(sitting.key("d")),
                Context::Options => drop(sitting.key("x")),
                Context::Picture => drop(sitting.key("g")),
                _ => {}
            }
            assert_eq!(sitting.walk.context(), context);
            sitting.key("/");
        };
        let wanted: Vec<Command> = COMMANDS
            .iter()
            .filter(|spec| spec.contexts.contains(&context) && spec.command != Command::Find)
            .map(|spec| spec.command)
            .collect();
        for (index, command) in wanted.iter().enumerate() {
            let mut sitting = Sitting::on(&crown());
            open(&mut sitting);
            for _ in 0..index / 9 {
                sitting.key("+");
            }
            let listed = &search(&sitting.walk).hits[index];
            assert_eq!(listed.to, Target::Command(*command));
            // The digit does what the command does.
            let digit = (index % 9 + 1).to_string();
            assert!(sitting.key(&digit).is_empty(), "a digit alone does nothing");
            let by_digit = sitting.key("enter");
            assert!(sitting.walk.search.is_none());
            let mut other = Sitting::on(&crown());
            open(&mut other);
            other.key("esc");
            let by_command = other.walk.command(*command, &moment(99));
            let kinds = |effects: &[Effect]| -> Vec<_> {
                effects.iter().map(std::mem::discriminant).collect()
            };
            assert_eq!(kinds(&by_digit), kinds(&by_command), "{command:?}");
            assert_eq!(state(&sitting.walk), state(&other.walk), "{command:?}");
        }
    }
}

#[test]
fn minus_goes_back_from_the_first_nine_and_turns_the_others() {
    let mut sitting = Sitting::on(&crown());
    let before = sitting.journal.len();
    sitting.key("/");
    sitting.key("+");
    assert_eq!(search(&sitting.walk).offset(), 9);
    sitting.key("-");
    assert_eq!(search(&sitting.walk).offset(), 0);
    sitting.key("-");
    assert!(sitting.walk.search.is_none());
    assert_eq!(sitting.walk.page, Page::Questions);
    assert_eq!(sitting.journal.len(), before);
}

#[test]
fn a_question_is_found_by_its_words_and_gone_to() {
    let mut sitting = Sitting::on(&case("44 x45 46", &[]));
    let before = sitting.journal.len();
    look_for(&mut sitting, "46 height");
    let Target::Question(spot) = first(&sitting) else {
        panic!("{:?}", search(&sitting.walk).hits);
    };
    assert_eq!(spot, crate::made::spot("tooth.height", "46"));
    sitting.key("enter");
    assert_eq!(sitting.cursor(), "tooth.height@46");
    assert!(sitting.walk.search.is_none());
    look_for(&mut sitting, "heq");
    assert!(search(&sitting.walk).hits.is_empty());
    sitting.key("backspace");
    assert!(!search(&sitting.walk).hits.is_empty());
    // Nothing of it is an answer.
    assert_eq!(sitting.journal.len(), before);
}

#[test]
fn a_slip_of_the_finger_still_finds() {
    let mut sitting = Sitting::on(&crown());
    look_for(&mut sitting, "clearence");
    assert!(
        matches!(first(&sitting), Target::Question(spot) if spot.fact.as_str() == "tooth.clearance")
    );
}

#[test]
fn a_finding_is_found_and_shown_in_full() {
    let mut sitting = Sitting::on(&crate::screen::low_crown());
    look_for(&mut sitting, "tip off");
    let hits = &search(&sitting.walk).hits;
    let place = hits
        .iter()
        .position(|hit| matches!(hit.to, Target::Finding(_)))
        .expect("a finding");
    for _ in 0..place {
        sitting.key("down");
    }
    let Target::Finding(index) = search(&sitting.walk).hits[place].to else {
        unreachable!()
    };
    sitting.key("enter");
    assert_eq!(sitting.walk.page, Page::Findings);
    assert_eq!(sitting.walk.finding, index);
}

#[test]
fn what_does_not_come_up_says_why() {
    let mut sitting = Sitting::on(&crown());
    look_for(&mut sitting, "scan gaps");
    let hits = &search(&sitting.walk).hits;
    let place = hits
        .iter()
        .position(|hit| matches!(hit.to, Target::Idle(_)))
        .expect("a question that is not asked");
    for _ in 0..place {
        sitting.key("down");
    }
    let before = sitting.cursor();
    sitting.key("enter");
    assert!(
        sitting
            .walk
            .notice
            .as_ref()
            .is_some_and(|n| n.contains("not asked"))
    );
    sitting.key("esc");
    assert_eq!(sitting.cursor(), before);
}

#[test]
fn words_that_nothing_has_lose_nothing() {
    let mut sitting = Sitting::on(&crown());
    look_for(&mut sitting, "xyzzyq");
    sitting.key("enter");
    assert_eq!(search(&sitting.walk).words, "xyzzyq");
    assert!(sitting.walk.notice.is_some());
    sitting.key("esc");
    assert_eq!(sitting.walk.page, Page::Questions);
}

#[test]
fn a_case_is_found_on_the_worklist() {
    let mut walk = crate::screen::worklist();
    for key in ["/", "0", "3", "8", "4"] {
        walk.key(key, &moment(1));
    }
    assert_eq!(search(&walk).words, "0384");
    let effects = walk.key("enter", &moment(2));
    assert_eq!(
        effects,
        [Effect::Open {
            number: "24-0384".to_owned()
        }]
    );
}

#[test]
fn changed_keys_are_the_ones_that_work_and_the_ones_that_are_named() {
    let mut sitting = Sitting::on(&crown());
    let keys = |keys: &[&str]| keys.iter().map(|key| (*key).to_owned()).collect();
    let changes = [
        (Command::Findings, keys(&["f5"])),
        (Command::Back, keys(&["ctrl-b"])),
    ];
    sitting.walk.keymap = Keymap::default().changed(&changes).unwrap();
    sitting.key("f");
    assert_eq!(sitting.walk.page, Page::Questions);
    let shown = sitting.walk.view().keys;
    assert!(shown.contains(&("f5".to_owned(), "findings")), "{shown:?}");
    sitting.key("v");
    let notice = sitting.walk.notice.clone().unwrap_or_default();
    assert!(notice.contains("ctrl-b drops it"), "{notice}");
    sitting.key("ctrl-b");
    sitting.key("f5");
    assert_eq!(sitting.walk.page, Page::Findings);
    sitting.key("?");
    let help = sitting.walk.view().help.expect("help");
    let lines: Vec<_> = help.sections.iter().flat_map(|(_, lines)| lines).collect();
    assert!(
        lines.iter().any(|line| line.starts_with("ctrl-b ")),
        "{lines:?}"
    );
}

/// A whole crown with nothing but the keys of a numeric pad: answers, and what is done beside them.
#[test]
fn one_hand_on_the_pad_is_enough() {
    let mut sitting = Sitting::on(&crown());
    let pad = "0123456789.+-*/";
    let reach = |sitting: &mut Sitting, command: Command| {
        sitting.key("/");
        let index = search(&sitting.walk)
            .hits
            .iter()
            .position(|hit| hit.to == Target::Command(command))
            .expect("listed");
        for _ in 0..index / 9 {
            sitting.key("+");
        }
        let digit = (index % 9 + 1).to_string();
        assert!(pad.contains(&digit));
        sitting.key(&digit);
        sitting.key("enter");
    };
    let before = sitting.journal.len();
    reach(&mut sitting, Command::Findings);
    assert_eq!(sitting.walk.page, Page::Findings);
    sitting.key("-");
    assert_eq!(sitting.walk.page, Page::Questions);
    reach(&mut sitting, Command::End);
    sitting.key("3");
    assert_eq!(sitting.walk.scroll, 10);
    sitting.key("8");
    assert_eq!(sitting.walk.scroll, 9);
    reach(&mut sitting, Command::Back);
    sitting.key("1");
    assert_eq!(sitting.journal.len(), before + 1);
    reach(&mut sitting, Command::Undo);
    assert_eq!(sitting.journal.len(), before + 2);
}

#[test]
fn units_can_be_typed_on_the_pad() {
    let mut walk = Walk::new(Notation::Iso3950);
    for key in ["n", "2", "4", "-", "9", "enter"] {
        walk.key(key, &moment(1));
    }
    for key in "44/*45/46+36".chars() {
        walk.key(&key.to_string(), &moment(2));
    }
    let mut effects = walk.key("enter", &moment(3));
    if effects.is_empty() {
        // Asked whether these teeth are meant.
        effects = walk.key("enter", &moment(4));
    }
    let Some(Effect::Create { number, units }) = effects.first() else {
        panic!("{effects:?} {:?}", walk.notice);
    };
    assert_eq!(number, "24-9");
    let plain = casepan::walk::units_line::read("44 x45 46; 36", Notation::Iso3950).unwrap();
    assert_eq!(*units, plain);
}

/// A digit typed ahead behind the last answer stays on the end page.
#[test]
fn answers_typed_ahead_behind_the_last_one_change_nothing() {
    let mut sitting = Sitting::on(&crown());
    sitting.key("e");
    let before = sitting.journal.len();
    for key in ["5", "-", "1", "7"] {
        sitting.key(key);
        assert_eq!(sitting.walk.page, Page::End, "{key}");
    }
    assert_eq!(sitting.journal.len(), before);
}

/// What was typed for a cell goes with the cell, and into no other.
#[test]
fn a_number_goes_with_its_cell() {
    let mut sitting = Sitting::on(&case("44 x45 46", &[]));
    sitting.at("tooth.height", "46").keys("5.2 o");
    for _ in 0..20 {
        sitting.key("backspace");
    }
    for c in "44".chars() {
        sitting.key(&c.to_string());
    }
    sitting.key("enter");
    if sitting.walk.prompt.is_some() {
        sitting.key("enter");
    }
    assert!(sitting.walk.prompt.is_none(), "{:?}", sitting.walk.notice);
    assert_ne!(sitting.cursor(), "tooth.height@46");
    let typed = sitting.walk.inspection.as_ref().expect("a case").typed();
    assert_eq!(typed, "");
}

/// Finding from a question of the call closes it: whoever comes back opens it anew and sees what is answered.
#[test]
fn finding_away_from_an_answer_closes_it() {
    let mut sitting = Sitting::on(&crate::screen::low_crown());
    sitting.with_ways().keys("d 1 1");
    assert_eq!(sitting.walk.context(), Context::Answer);
    let begun = sitting.walk.call.drafts.len();
    look_for(&mut sitting, "26 height");
    sitting.key("enter");
    assert_eq!(sitting.walk.page, Page::Questions);
    let before = sitting.journal.len();
    sitting.key("d");
    assert_eq!(sitting.walk.context(), Context::Call);
    assert_eq!(sitting.walk.call.drafts.len(), begun);
    sitting.key("enter");
    assert_eq!(sitting.walk.context(), Context::Answer);
    assert_eq!(sitting.journal.len(), before);
}
