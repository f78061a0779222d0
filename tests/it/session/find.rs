//! Finding by words, and one hand on a numeric pad.

use casepan::session::command::{COMMANDS, Command, Context};
use casepan::session::{Effect, Keymap, Page, Search, Session, Target};
use casepan::tooth::Notation;

use super::{Technician, crown, moment};
use crate::made::case;

fn search(session: &Session) -> &Search {
    session.search.as_ref().expect("something is looked for")
}

/// Types words into the line.
fn look_for(technician: &mut Technician, words: &str) {
    technician.key("/");
    for c in words.chars() {
        let key = if c == ' ' {
            "space".to_owned()
        } else {
            c.to_string()
        };
        technician.key(&key);
    }
}

fn first(technician: &Technician) -> Target {
    search(&technician.session)
        .hits
        .first()
        .expect("a hit")
        .to
        .clone()
}

/// What a command can change on the screen.
fn state(session: &Session) -> String {
    let inspection = session.inspection.as_ref();
    format!(
        "{:?}",
        (
            (
                session.page,
                session.help,
                &session.prompt,
                session.notation
            ),
            (
                session.marked,
                session.finding,
                session.option,
                session.scroll,
                session.picture
            ),
            (&session.call, session.is_trying(), &session.notice),
            inspection.map(|i| (i.cursor().cloned(), i.typed().to_owned(), i.entries())),
        )
    )
}

#[test]
fn every_command_of_a_page_is_reached_by_a_digit() {
    for context in [
        Context::Questions,
        Context::Findings,
        Context::Summary,
        Context::Call,
        Context::Options,
        Context::Picture,
    ] {
        let open = |technician: &mut Technician| {
            match context {
                Context::Findings => drop(technician.key("f")),
                Context::Summary => drop(technician.key("e")),
                Context::Call => drop(technician.key("d")),
                Context::Options => drop(technician.key("x")),
                Context::Picture => drop(technician.key("g")),
                _ => {}
            }
            assert_eq!(technician.session.context(), context);
            technician.key("/");
        };
        let wanted: Vec<Command> = COMMANDS
            .iter()
            .filter(|spec| spec.contexts.contains(&context) && spec.command != Command::Find)
            .map(|spec| spec.command)
            .collect();
        for (index, command) in wanted.iter().enumerate() {
            let mut technician = Technician::on(&crown());
            open(&mut technician);
            for _ in 0..index / 9 {
                technician.key("+");
            }
            let listed = &search(&technician.session).hits[index];
            assert_eq!(listed.to, Target::Command(*command));
            // The digit does what the command does.
            let digit = (index % 9 + 1).to_string();
            assert!(
                technician.key(&digit).is_empty(),
                "a digit alone does nothing"
            );
            let by_digit = technician.key("enter");
            assert!(technician.session.search.is_none());
            let mut other = Technician::on(&crown());
            open(&mut other);
            other.key("esc");
            let by_command = other.session.command(*command, &moment(99));
            let kinds = |effects: &[Effect]| -> Vec<_> {
                effects.iter().map(std::mem::discriminant).collect()
            };
            assert_eq!(kinds(&by_digit), kinds(&by_command), "{command:?}");
            assert_eq!(
                state(&technician.session),
                state(&other.session),
                "{command:?}"
            );
        }
    }
}

#[test]
fn minus_goes_back_from_the_first_nine_and_turns_the_others() {
    let mut technician = Technician::on(&crown());
    let before = technician.journal.len();
    technician.key("/");
    technician.key("+");
    assert_eq!(search(&technician.session).offset(), 9);
    technician.key("-");
    assert_eq!(search(&technician.session).offset(), 0);
    technician.key("-");
    assert!(technician.session.search.is_none());
    assert_eq!(technician.session.page, Page::Questions);
    assert_eq!(technician.journal.len(), before);
}

#[test]
fn a_question_is_found_by_its_words_and_gone_to() {
    let mut technician = Technician::on(&case("44 x45 46", &[]));
    let before = technician.journal.len();
    look_for(&mut technician, "46 height");
    let Target::Question(spot) = first(&technician) else {
        panic!("{:?}", search(&technician.session).hits);
    };
    assert_eq!(spot, crate::made::spot("tooth.height", "46"));
    technician.key("enter");
    assert_eq!(technician.cursor(), "tooth.height@46");
    assert!(technician.session.search.is_none());
    look_for(&mut technician, "heq");
    assert!(search(&technician.session).hits.is_empty());
    technician.key("backspace");
    assert!(!search(&technician.session).hits.is_empty());
    // Nothing of it is an answer.
    assert_eq!(technician.journal.len(), before);
}

#[test]
fn a_slip_of_the_finger_still_finds() {
    let mut technician = Technician::on(&crown());
    look_for(&mut technician, "clearence");
    assert!(
        matches!(first(&technician), Target::Question(spot) if spot.fact.as_str() == "tooth.clearance")
    );
}

#[test]
fn a_finding_is_found_and_shown_in_full() {
    let mut technician = Technician::on(&crate::screen::low_crown());
    look_for(&mut technician, "tip off");
    let hits = &search(&technician.session).hits;
    let place = hits
        .iter()
        .position(|hit| matches!(hit.to, Target::Finding(_)))
        .expect("a finding");
    for _ in 0..place {
        technician.key("down");
    }
    let Target::Finding(index) = search(&technician.session).hits[place].to else {
        unreachable!()
    };
    technician.key("enter");
    assert_eq!(technician.session.page, Page::Findings);
    assert_eq!(technician.session.finding, index);
}

#[test]
fn what_does_not_come_up_says_why() {
    let mut technician = Technician::on(&crown());
    look_for(&mut technician, "scan holes");
    let hits = &search(&technician.session).hits;
    let place = hits
        .iter()
        .position(|hit| matches!(hit.to, Target::Idle(_)))
        .expect("a question that is not asked");
    for _ in 0..place {
        technician.key("down");
    }
    let before = technician.cursor();
    technician.key("enter");
    assert!(
        technician
            .session
            .notice
            .as_ref()
            .is_some_and(|n| n.contains("not needed"))
    );
    technician.key("esc");
    assert_eq!(technician.cursor(), before);
}

#[test]
fn words_that_nothing_has_lose_nothing() {
    let mut technician = Technician::on(&crown());
    look_for(&mut technician, "xyzzyq");
    technician.key("enter");
    assert_eq!(search(&technician.session).words, "xyzzyq");
    assert!(technician.session.notice.is_some());
    technician.key("esc");
    assert_eq!(technician.session.page, Page::Questions);
}

#[test]
fn a_case_is_found_on_the_worklist() {
    let mut session = crate::screen::worklist();
    for key in ["/", "0", "3", "8", "4"] {
        session.key(key, &moment(1));
    }
    assert_eq!(search(&session).words, "0384");
    let effects = session.key("enter", &moment(2));
    assert_eq!(
        effects,
        [Effect::Open {
            number: "24-0384".to_owned()
        }]
    );
}

#[test]
fn changed_keys_are_the_ones_that_work_and_the_ones_that_are_named() {
    let mut technician = Technician::on(&crown());
    let keys = |keys: &[&str]| keys.iter().map(|key| (*key).to_owned()).collect();
    let changes = [
        (Command::Findings, keys(&["f5"])),
        (Command::Back, keys(&["ctrl-b"])),
    ];
    technician.session.keymap = Keymap::default().changed(&changes).unwrap();
    technician.key("f");
    assert_eq!(technician.session.page, Page::Questions);
    let shown = technician.session.view().keys;
    assert!(shown.contains(&("f5".to_owned(), "findings")), "{shown:?}");
    technician.key("v");
    let notice = technician.session.notice.clone().unwrap_or_default();
    assert!(notice.contains("ctrl-b drops the changes"), "{notice}");
    technician.key("ctrl-b");
    technician.key("f5");
    assert_eq!(technician.session.page, Page::Findings);
    technician.key("?");
    let help = technician.session.view().help.expect("help");
    let lines: Vec<_> = help.sections.iter().flat_map(|(_, lines)| lines).collect();
    assert!(
        lines.iter().any(|line| line.starts_with("ctrl-b ")),
        "{lines:?}"
    );
}

/// A whole crown with nothing but the keys of a numeric pad: answers, and what is done beside them.
#[test]
fn one_hand_on_the_pad_is_enough() {
    let mut technician = Technician::on(&crown());
    let pad = "0123456789.+-*/";
    let reach = |technician: &mut Technician, command: Command| {
        technician.key("/");
        let index = search(&technician.session)
            .hits
            .iter()
            .position(|hit| hit.to == Target::Command(command))
            .expect("listed");
        for _ in 0..index / 9 {
            technician.key("+");
        }
        let digit = (index % 9 + 1).to_string();
        assert!(pad.contains(&digit));
        technician.key(&digit);
        technician.key("enter");
    };
    let before = technician.journal.len();
    reach(&mut technician, Command::Findings);
    assert_eq!(technician.session.page, Page::Findings);
    technician.key("-");
    assert_eq!(technician.session.page, Page::Questions);
    reach(&mut technician, Command::Summary);
    technician.key("3");
    assert_eq!(technician.session.scroll, 10);
    technician.key("8");
    assert_eq!(technician.session.scroll, 9);
    reach(&mut technician, Command::Back);
    technician.key("1");
    assert_eq!(technician.journal.len(), before + 1);
    reach(&mut technician, Command::Undo);
    assert_eq!(technician.journal.len(), before + 2);
}

#[test]
fn units_can_be_typed_on_the_pad() {
    let mut session = Session::new(Notation::Iso3950);
    for key in ["n", "2", "4", "-", "9", "enter"] {
        session.key(key, &moment(1));
    }
    for key in "44/*45/46+36".chars() {
        session.key(&key.to_string(), &moment(2));
    }
    let mut effects = session.key("enter", &moment(3));
    if effects.is_empty() {
        // Asked whether these teeth are meant.
        effects = session.key("enter", &moment(4));
    }
    let Some(Effect::Create { number, units }) = effects.first() else {
        panic!("{effects:?} {:?}", session.notice);
    };
    assert_eq!(number, "24-9");
    let plain = casepan::session::units_line::read("44 x45 46; 36", Notation::Iso3950).unwrap();
    assert_eq!(*units, plain);
}

/// A digit typed ahead behind the last answer stays on the end page.
#[test]
fn answers_typed_ahead_behind_the_last_one_change_nothing() {
    let mut technician = Technician::on(&crown());
    technician.key("e");
    let before = technician.journal.len();
    for key in ["5", "-", "1", "7"] {
        technician.key(key);
        assert_eq!(technician.session.page, Page::Summary, "{key}");
    }
    assert_eq!(technician.journal.len(), before);
}

/// What was typed for a cell goes with the cell, and into no other.
#[test]
fn a_number_goes_with_its_cell() {
    let mut technician = Technician::on(&case("44 x45 46", &[]));
    technician.at("tooth.height", "46").keys("5.2 o");
    for _ in 0..20 {
        technician.key("backspace");
    }
    for c in "44".chars() {
        technician.key(&c.to_string());
    }
    technician.key("enter");
    if technician.session.prompt.is_some() {
        technician.key("enter");
    }
    assert!(
        technician.session.prompt.is_none(),
        "{:?}",
        technician.session.notice
    );
    assert_ne!(technician.cursor(), "tooth.height@46");
    let typed = technician
        .session
        .inspection
        .as_ref()
        .expect("a case")
        .typed();
    assert_eq!(typed, "");
}

/// Finding from a question of the call closes it: whoever comes back opens it anew and sees what is answered.
#[test]
fn finding_away_from_an_answer_closes_it() {
    let mut technician = Technician::on(&crate::screen::low_crown());
    technician.with_ways().keys("d 1 1");
    assert_eq!(technician.session.context(), Context::Answer);
    let begun = technician.session.call.drafts.len();
    look_for(&mut technician, "26 height");
    technician.key("enter");
    assert_eq!(technician.session.page, Page::Questions);
    let before = technician.journal.len();
    technician.key("d");
    assert_eq!(technician.session.context(), Context::Call);
    assert_eq!(technician.session.call.drafts.len(), begun);
    technician.key("enter");
    assert_eq!(technician.session.context(), Context::Answer);
    assert_eq!(technician.journal.len(), before);
}
