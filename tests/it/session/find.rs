//! Finding by words, and one hand on a numeric pad.

use casepan::session::command::{COMMANDS, Command, Context};
use casepan::session::{Act, Effect, Keymap, Page, Search, Session, Target};
use casepan::tooth::Notation;

use super::{Technician, crown, moment};
use crate::made::case;

fn search(session: &Session) -> &Search {
    session.over.find().expect("something is looked for")
}

/// Types words into the line.
fn look_for(tech: &mut Technician, words: &str) {
    tech.key("/");
    for c in words.chars() {
        let key = if c == ' ' {
            "space".to_owned()
        } else {
            c.to_string()
        };
        tech.key(&key);
    }
}

fn first(tech: &Technician) -> Target {
    search(&tech.session)
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
                session.over.helps(),
                session.over.line(),
                session.notation
            ),
            (
                session.marked,
                session.findings.marked,
                session.options.marked,
                session.scroll,
                session.picture.shown
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
        let open = |tech: &mut Technician| {
            match context {
                Context::Findings => drop(tech.key("f")),
                Context::Summary => drop(tech.key("s")),
                Context::Call => drop(tech.key("c")),
                Context::Options => drop(tech.key("o")),
                Context::Picture => drop(tech.key("p")),
                _ => {}
            }
            assert_eq!(tech.session.context(), context);
            tech.key("/");
        };
        let wanted: Vec<Command> = COMMANDS
            .iter()
            .filter(|spec| spec.contexts.contains(&context) && spec.command != Command::Find)
            .map(|spec| spec.command)
            .collect();
        for (index, command) in wanted.iter().enumerate() {
            let mut tech = Technician::on(&crown());
            open(&mut tech);
            for _ in 0..index / 9 {
                tech.key("+");
            }
            let listed = &search(&tech.session).hits[index];
            assert_eq!(listed.to, Target::Command(*command));
            // The digit does what the command does.
            let digit = (index % 9 + 1).to_string();
            assert!(tech.key(&digit).is_empty(), "a digit alone does nothing");
            let by_digit = tech.key("enter");
            assert!(tech.session.over.find().is_none());
            let mut other = Technician::on(&crown());
            open(&mut other);
            other.key("esc");
            let by_command = other.session.command(*command, &moment(99));
            let kinds = |effects: &[Effect]| -> Vec<_> {
                effects.iter().map(std::mem::discriminant).collect()
            };
            assert_eq!(kinds(&by_digit), kinds(&by_command), "{command:?}");
            assert_eq!(state(&tech.session), state(&other.session), "{command:?}");
        }
    }
}

#[test]
fn minus_goes_back_from_the_first_nine_and_turns_the_others() {
    let mut tech = Technician::on(&crown());
    let before = tech.journal.len();
    tech.key("/");
    tech.key("+");
    assert_eq!(search(&tech.session).offset(), 9);
    tech.key("-");
    assert_eq!(search(&tech.session).offset(), 0);
    tech.key("-");
    assert!(tech.session.over.find().is_none());
    assert_eq!(tech.session.page, Page::Questions);
    assert_eq!(tech.journal.len(), before);
}

#[test]
fn a_question_is_found_by_its_words_and_gone_to() {
    let mut tech = Technician::on(&case("44 x45 46", &[]));
    let before = tech.journal.len();
    look_for(&mut tech, "46 height");
    let Target::Question(spot) = first(&tech) else {
        panic!("{:?}", search(&tech.session).hits);
    };
    assert_eq!(spot, crate::made::spot("tooth.height", "46"));
    tech.key("enter");
    assert_eq!(tech.cursor(), "tooth.height@46");
    assert!(tech.session.over.find().is_none());
    look_for(&mut tech, "heq");
    assert!(search(&tech.session).hits.is_empty());
    tech.key("backspace");
    assert!(!search(&tech.session).hits.is_empty());
    // Nothing of it is an answer.
    assert_eq!(tech.journal.len(), before);
}

#[test]
fn a_slip_of_the_finger_still_finds() {
    let mut tech = Technician::on(&crown());
    look_for(&mut tech, "clearence");
    assert!(
        matches!(first(&tech), Target::Question(spot) if spot.fact.as_str() == "tooth.clearance")
    );
}

#[test]
fn a_finding_is_found_and_shown_in_full() {
    let mut tech = Technician::on(&crate::screen::low_crown());
    look_for(&mut tech, "tip off");
    let hits = &search(&tech.session).hits;
    let place = hits
        .iter()
        .position(|hit| matches!(hit.to, Target::Finding(_)))
        .expect("a finding");
    tech.act(Act::Mark(place));
    let Target::Finding(index) = search(&tech.session).hits[place].to else {
        unreachable!()
    };
    tech.key("enter");
    assert_eq!(tech.session.page, Page::Findings);
    assert_eq!(tech.session.findings.marked, index);
}

#[test]
fn what_does_not_come_up_says_why() {
    let mut tech = Technician::on(&crown());
    look_for(&mut tech, "scan holes");
    let hits = &search(&tech.session).hits;
    let place = hits
        .iter()
        .position(|hit| matches!(hit.to, Target::Idle(_)))
        .expect("a question that is not asked");
    tech.act(Act::Mark(place));
    let before = tech.cursor();
    tech.key("enter");
    assert!(
        tech.session
            .notice
            .as_ref()
            .is_some_and(|n| n.contains("not needed"))
    );
    tech.key("esc");
    assert_eq!(tech.cursor(), before);
}

#[test]
fn words_that_nothing_has_lose_nothing() {
    let mut tech = Technician::on(&crown());
    look_for(&mut tech, "xyzzyq");
    tech.key("enter");
    assert_eq!(search(&tech.session).words, "xyzzyq");
    assert!(tech.session.notice.is_some());
    tech.key("esc");
    assert_eq!(tech.session.page, Page::Questions);
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
    let mut tech = Technician::on(&crown());
    let keys = |keys: &[&str]| keys.iter().map(|key| (*key).to_owned()).collect();
    let changes = [
        (Command::Findings, keys(&["f5"])),
        (Command::Back, keys(&["ctrl-b"])),
    ];
    tech.session.keymap = Keymap::default().changed(&changes).unwrap();
    tech.key("f");
    assert_eq!(tech.session.page, Page::Questions);
    let tabs = tech.session.view().tabs;
    assert!(
        tabs.iter()
            .any(|tab| (tab.key.as_str(), tab.name) == ("f5", "Findings")),
        "{tabs:?}"
    );
    tech.key("t");
    let notice = tech.session.notice.clone().unwrap_or_default();
    assert!(notice.contains("ctrl-b drops the changes"), "{notice}");
    tech.key("ctrl-b");
    tech.key("f5");
    assert_eq!(tech.session.page, Page::Findings);
    tech.key("?");
    let help = tech.session.view().help.expect("help");
    let lines: Vec<_> = help.sections.iter().flat_map(|(_, lines)| lines).collect();
    assert!(
        lines.iter().any(|line| line.starts_with("ctrl-b ")),
        "{lines:?}"
    );
}

/// A whole crown with nothing but the keys of a numeric pad: answers, and what is done beside them.
#[test]
fn one_hand_on_the_pad_is_enough() {
    let mut tech = Technician::on(&crown());
    let pad = "0123456789.+-*/";
    let reach = |tech: &mut Technician, command: Command| {
        tech.key("/");
        let index = search(&tech.session)
            .hits
            .iter()
            .position(|hit| hit.to == Target::Command(command))
            .expect("listed");
        for _ in 0..index / 9 {
            tech.key("+");
        }
        let digit = (index % 9 + 1).to_string();
        assert!(pad.contains(&digit));
        tech.key(&digit);
        tech.key("enter");
    };
    let before = tech.journal.len();
    reach(&mut tech, Command::Findings);
    assert_eq!(tech.session.page, Page::Findings);
    tech.key("-");
    assert_eq!(tech.session.page, Page::Questions);
    reach(&mut tech, Command::Summary);
    tech.key("3");
    assert_eq!(tech.session.scroll, 10);
    tech.key("8");
    assert_eq!(tech.session.scroll, 9);
    reach(&mut tech, Command::Back);
    tech.key("1");
    assert_eq!(tech.journal.len(), before + 1);
    reach(&mut tech, Command::Undo);
    assert_eq!(tech.journal.len(), before + 2);
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
    let mut tech = Technician::on(&crown());
    tech.key("s");
    let before = tech.journal.len();
    for key in ["5", "-", "1", "7"] {
        tech.key(key);
        assert_eq!(tech.session.page, Page::Summary, "{key}");
    }
    assert_eq!(tech.journal.len(), before);
}

/// What was typed for a cell goes with the cell, and into no other.
#[test]
fn a_number_goes_with_its_cell() {
    let mut tech = Technician::on(&case("44 x45 46", &[]));
    tech.at("tooth.height", "46").keys("5.2 e");
    for _ in 0..20 {
        tech.key("backspace");
    }
    for c in "44".chars() {
        tech.key(&c.to_string());
    }
    tech.key("enter");
    if tech.session.over.line().is_some() {
        tech.key("enter");
    }
    assert!(
        tech.session.over.line().is_none(),
        "{:?}",
        tech.session.notice
    );
    assert_ne!(tech.cursor(), "tooth.height@46");
    let typed = tech.session.inspection.as_ref().expect("a case").typed();
    assert_eq!(typed, "");
}

/// Finding from a question of the call closes it: whoever comes back opens it anew and sees what is answered.
#[test]
fn finding_away_from_an_answer_closes_it() {
    let mut tech = Technician::on(&crate::screen::low_crown());
    tech.with_ways().keys("c 1 1");
    assert_eq!(tech.session.context(), Context::Answer);
    let begun = tech.session.call.drafts.len();
    look_for(&mut tech, "26 height");
    tech.key("enter");
    assert_eq!(tech.session.page, Page::Questions);
    let before = tech.journal.len();
    tech.key("c");
    assert_eq!(tech.session.context(), Context::Call);
    assert_eq!(tech.session.call.drafts.len(), begun);
    tech.key("enter");
    assert_eq!(tech.session.context(), Context::Answer);
    assert_eq!(tech.journal.len(), before);
}
