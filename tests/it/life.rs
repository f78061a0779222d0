//! The life of a case around its inspection: its days, who has it, what became of it, what was entered before, its files.

mod history;

use casepan::case::Case;
use casepan::case::beside::{CaseFile, MAX_NOTE};
use casepan::case::file::{read, write};
use casepan::case::history::{About, history};
use casepan::case::journal::{Body, Entry, fold};
use casepan::case::life::State;
use casepan::derive::{Facts, Precision};
use casepan::fact::Place;
use casepan::judge::judge;
use casepan::phrase::Phrase;
use casepan::print::{Format, Sheet, print};
use casepan::ronfile::Source;
use casepan::screen::{Theme, draw};
use casepan::session::call::Row;
use casepan::session::{Page, Prompt};
use casepan::tooth::Notation;
use jiff::civil::date;
use jiff::tz::TimeZone;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use uuid::Uuid;

use super::ask::Bench;
use super::good::flow;
use super::made::{choice, day, spot, told};
use super::session::{Technician, crown, moment};
use super::states::{far, good, sheet, sit};

fn sheets(tech: &Technician) -> String {
    let all = [Sheet::Summary, Sheet::Ticket, Sheet::Call, Sheet::Letter];
    all.map(|own| sheet(tech, own)).join("\n")
}

#[test]
fn the_days_of_a_case_are_two_lines_behind_one_key() {
    let mut tech = Technician::on(&crown());
    let inspection = tech.session.inspection.as_ref().unwrap();
    let next = inspection.next_open();
    // A Monday; the pour of today is no business of these days.
    tech.keys("l 7 enter 4-12 enter");
    assert_eq!(tech.case().due_day(), Some(date(2026, 11, 30)));
    assert_eq!(tech.case().promised_day(), Some(date(2026, 12, 4)));
    assert_eq!(
        tech.session.notice.as_deref(),
        Some("due Mon 30 Nov 2026, promised for Fri 4 Dec 2026")
    );
    // No question of the inspection came of it.
    let inspection = tech.session.inspection.as_ref().unwrap();
    assert_eq!(inspection.next_open(), next);
    assert!(
        flow()
            .question(&spot("order.due_day", "case").fact)
            .is_none()
    );
    // Enter alone leaves a day, a dash takes it back, an undo brings it again.
    tech.keys("l enter - enter");
    assert_eq!(tech.case().due_day(), Some(date(2026, 11, 30)));
    assert_eq!(tech.case().promised_day(), None);
    tech.keys("s u");
    assert_eq!(tech.case().promised_day(), Some(date(2026, 12, 4)));
    // A day that is past is a slip of the finger.
    tech.keys("l 20-11 enter");
    let notice = tech.session.notice.clone().unwrap();
    assert!(notice.contains("Fri 20 Nov 2026 is past"), "{notice}");
    tech.keys("esc");
    assert_eq!(tech.case().due_day(), Some(date(2026, 11, 30)));
    assert_eq!(fold(&tech.journal).unwrap(), *tech.case());
}

#[test]
fn a_late_case_says_so_and_is_in_the_same_state() {
    let early = sit(&good("26", "zirconia-3y", &[]));
    let due = ("order.due_day", "case", day("2026-11-20"));
    let late = sit(&good("26", "zirconia-3y", &[due]));
    let (mut early, mut late) = (early, late);
    early.keys("s");
    late.keys("s");
    assert_eq!(far(&early).0, far(&late).0);
    let verdict = |tech: &Technician| {
        tech.session
            .inspection
            .as_ref()
            .unwrap()
            .judgement()
            .verdict
    };
    assert_eq!(verdict(&early), verdict(&late));
    for own in [Sheet::Summary, Sheet::Ticket] {
        let text = sheet(&late, own);
        assert!(text.contains("Due Fri 20 Nov 2026, 3 days late."), "{text}");
        assert!(!sheet(&early, own).contains("late"));
    }
    let header = late.session.view().header.unwrap();
    assert_eq!(header.late.as_deref(), Some("3 days late"));
    // What is out is not late any more.
    late.keys("b 1 enter");
    if late.session.over.line().is_some() {
        late.keys("enter");
    }
    assert_eq!(far(&late).0, State::Delivered);
    assert_eq!(late.session.view().header.unwrap().late, None);
}

/// A crown that waits for an impression that was agreed, due on 9 December.
fn waits() -> Case {
    let text = super::command::arrived::WAITS.replace("2026-11-09", "2026-12-09");
    read(&Source::new("case.ron", text)).expect("a case")
}

#[test]
fn a_promise_before_what_is_awaited_is_said_to_bench_and_dentist() {
    let mut tech = sit(&waits());
    tech.keys("s l enter 4-12 enter");
    let says = "Promised for Fri 4 Dec 2026; the new impression or scan is due Wed 9 Dec 2026: \
                tell the practice.";
    assert!(sheet(&tech, Sheet::Summary).contains(says));
    let letter = sheet(&tech, Sheet::Letter);
    let says = "We promised Fri 4 Dec 2026. With a new impression or scan coming on Wed 9 Dec 2026, \
                that day cannot be kept.";
    assert!(letter.contains(says), "{letter}");
    // A promise that can be kept is none of their business.
    tech.keys("s l enter 10-12 enter");
    assert!(!sheet(&tech, Sheet::Summary).contains("tell the practice"));
    assert!(!sheet(&tech, Sheet::Letter).contains("cannot be kept"));
}

#[test]
fn a_case_is_handed_over_by_a_code_and_a_note() {
    let mut tech = Technician::on(&crown());
    tech.keys("s j b2 enter check space the space bite enter");
    let handed = tech.case().handed().cloned().unwrap();
    assert_eq!(
        (handed.to.as_str(), handed.note.as_str()),
        ("b2", "check the bite")
    );
    assert_eq!(handed.who.as_deref(), Some("mk"));
    let says = "With b2 since Mon 23 Nov 2026: \"check the bite\"";
    for own in [Sheet::Summary, Sheet::Ticket] {
        assert!(sheet(&tech, own).contains(says), "{}", sheet(&tech, own));
    }
    // Nothing of the bench's own notes goes to the dentist.
    for theirs in [Sheet::Letter, Sheet::Seating] {
        assert!(!sheet(&tech, theirs).contains("check the bite"));
    }
    let header = tech.session.view().header.unwrap();
    assert_eq!(
        header.with.unwrap(),
        ["with b2".to_owned(), says.to_owned()]
    );
    // No name is a code.
    for (typed, why) in [
        ("Anna space B", "one word, never a name"),
        ("", "by a code"),
        ("abcdefghijabcdefghijk", "at most 20 characters"),
        ("b;2", "cannot contain"),
    ] {
        tech.keys(&format!("j {typed} enter"));
        let notice = tech.session.notice.clone().unwrap_or_default();
        assert!(notice.contains(why), "{typed}: {notice}");
        tech.keys("esc");
    }
    // A second person has it, an undo gives it back to the first.
    tech.keys("j b3 enter enter");
    assert_eq!(tech.case().handed().unwrap().to, "b3");
    tech.keys("u");
    assert_eq!(tech.case().handed(), Some(&handed));
    tech.keys("u");
    assert_eq!(tech.case().handed(), None);
    assert_eq!(fold(&tech.journal).unwrap(), *tech.case());
}

const HOSTILE: &str = "so long that it goes on in another line of the sheet \n26 CLEARED TO MAKE.\r\nResult: NOTHING FOUND\u{1b}[2J\u{9b}1m\u{202e}\u{2028}26 DELIVERED\u{7}";

/// Whatever an entry or a file says, a note is one line within a line.
#[test]
fn a_hostile_note_has_no_line_of_its_own() {
    let mut journal = Technician::on(&crown()).journal;
    let seen = journal.len() as u64;
    let entry = |seen: u64, body: Body| Entry {
        id: Uuid::from_u128(900 + u128::from(seen)),
        seen,
        session: Uuid::from_u128(8),
        when: "2026-11-23T09:30:00Z".parse().unwrap(),
        who: Some("m\u{1b}[2Jk".to_owned()),
        body,
    };
    journal.push(entry(
        seen,
        Body::HandedOver {
            to: "b2".to_owned(),
            note: HOSTILE.to_owned(),
            on: None,
        },
    ));
    journal.push(entry(
        seen + 1,
        Body::Attached {
            file: CaseFile {
                path: format!("/photos/{HOSTILE}.jpg"),
                sha256: "b".repeat(64),
                bytes: 1,
            },
        },
    ));
    let case = fold(&journal).unwrap();
    let odd = |c: char| (c.is_control() && c != '\n') || "\u{202e}\u{2028}\u{9b}".contains(c);
    let facts = Facts::with(flow(), &case, Precision::Quick);
    let judgement = judge(flow(), &facts);
    for format in [Format::Text, Format::Markdown, Format::Html] {
        let text = print(told(flow(), &facts, &judgement), &Sheet::ALL, format).unwrap();
        assert!(text.contains("b2"));
        for line in text.lines() {
            // A line that goes on is set in.
            let bare = line.strip_prefix("<p>").unwrap_or(line);
            for begins in ["26 CLEARED", "26 DELIVERED", "Result: NOTHING FOUND"] {
                assert!(!bare.starts_with(begins), "{format:?} {line}");
            }
            assert!(!line.contains(odd), "{line:?}");
        }
    }
    // The screen, and the lines of what was entered.
    let mut tech = Technician::on(&crown());
    let inspection = casepan::session::Inspection::of_journal(
        super::made::flow(),
        journal.clone(),
        Uuid::from_u128(9),
        None,
    );
    tech.session.show(inspection.unwrap());
    for keys in ["s", "h", "h h"] {
        tech.keys(keys);
        for size in [(40, 12), (120, 40)] {
            let area = Rect::new(0, 0, size.0, size.1);
            let mut buf = Buffer::empty(area);
            draw(&mut buf, area, &tech.session.view(), Theme::plain());
            let symbols = buf.content().iter().map(|cell| cell.symbol());
            assert!(!symbols.collect::<String>().contains(odd));
        }
    }
    let events = history(&journal, &About::Case).unwrap();
    let phrase = Phrase {
        flow: flow(),
        notation: Notation::Iso3950,
    };
    for event in &events {
        let line = phrase.event(&facts, (event, &About::Case), &TimeZone::UTC);
        assert!(!line.contains(odd) && !line.contains('\n'), "{line:?}");
    }
    // A file with it is read without it; one that is too long, or no code, is refused.
    let written = write(&case, true).unwrap();
    let again = read(&Source::new("case.ron", written.clone())).unwrap();
    assert_eq!(again.handed(), case.handed());
    let long = written.replace("note: \"", &format!("note: \"{}", "n".repeat(MAX_NOTE)));
    assert!(read(&Source::new("case.ron", long)).is_err());
    let named = written.replace("to: \"b2\"", "to: \"Anna B\"");
    let problems = read(&Source::new("case.ron", named)).unwrap_err();
    assert_eq!(problems[0].code, "case-handed");
}

#[test]
fn a_note_and_a_path_leave_only_when_they_are_asked_for() {
    let mut tech = Technician::on(&crown());
    tech.keys("s j b2 enter secret enter");
    tech.with(|i, moment| {
        let file = CaseFile {
            path: "/photos/of somebody/46.jpg".to_owned(),
            sha256: "a".repeat(64),
            bytes: 12,
        };
        i.attach(file, moment)
    });
    let (kept, shared) = (write(tech.case(), true), write(tech.case(), false));
    assert!(kept.unwrap().contains("secret"));
    let shared = shared.unwrap();
    assert!(shared.contains("handed: (to: \"b2\"") && !shared.contains("secret"));
    // A path may name anybody.
    assert!(!shared.contains("somebody"));
}

#[test]
fn what_is_closed_is_asked_about_no_more_and_comes_back_as_it_was() {
    let mut tech = sit(&super::ask::short());
    tech.with_ways();
    let before = far(&tech);
    let asks = |tech: &Technician| {
        let inspection = tech.session.inspection.as_ref().unwrap();
        let rows = tech.session.call_rows(inspection);
        rows.iter()
            .filter(|row| matches!(row, Row::Ask(_) | Row::Tell(_)))
            .count()
    };
    assert!(asks(&tech) > 0);
    // It is not out: that is said first, and going back records nothing.
    tech.keys("s b 2 enter");
    let prompt = tech.session.view().prompt.unwrap();
    assert!(
        prompt.0.contains("Record it as closed all the same? 26"),
        "{prompt:?}"
    );
    tech.keys("esc esc");
    assert_eq!(far(&tech), before);
    tech.keys("b 2 enter enter");
    assert_eq!(far(&tech).0, State::Closed);
    assert_eq!(far(&tech).1, ["26 CLOSED Mon 23 Nov 2026."]);
    assert_eq!(asks(&tech), 0);
    assert!(sheet(&tech, Sheet::Call).contains("closed: there is nothing to ask any more"));
    assert!(sheet(&tech, Sheet::Letter).contains("No letter"));
    assert!(sheet(&tech, Sheet::Ticket).contains("Nothing to build"));
    assert!(!sheet(&tech, Sheet::Ticket).contains("CLEARED"));
    tech.keys("b 5 enter");
    assert_eq!(far(&tech), before);
    // Delivered, closed by mistake, taken up again: it is delivered still.
    tech.keys("b 1 enter enter b 2 enter");
    assert_eq!(far(&tech).0, State::Closed);
    tech.keys("b 5 enter");
    assert_eq!(far(&tech).0, State::Delivered);
    tech.keys("b 5 enter");
    assert_eq!(far(&tech), before);
    tech.keys("b 5 enter");
    let notice = tech.session.notice.clone().unwrap();
    assert!(
        notice.contains("only what was delivered, closed or withdrawn"),
        "{notice}"
    );
    // An undo takes a closing back too.
    tech.keys("esc b 2 enter enter u");
    assert_eq!(far(&tech), before);
    assert_eq!(fold(&tech.journal).unwrap(), *tech.case());
}

#[test]
fn a_closed_case_with_work_that_is_not_covered_is_closed() {
    let scope = ("order.scope", "R2", choice("implant"));
    let mut tech = sit(&good("26; 36", "zirconia-3y", &[scope]));
    tech.keys("s b 2 enter enter");
    assert_eq!(far(&tech).0, State::Closed);
    assert!(far(&tech).1.iter().all(|line| line.contains("CLOSED")));
}

#[test]
fn photographs_are_named_undone_and_written_with_the_case() {
    let mut tech = Technician::on(&crown());
    let file = |name: &str, letter: &str| CaseFile {
        path: format!("/photos/{name}"),
        sha256: letter.repeat(64),
        bytes: 12,
    };
    tech.with(|i, moment| i.attach(file("a.jpg", "a"), moment));
    tech.with(|i, moment| i.attach(file("b.jpg", "b"), moment));
    // The same path, another picture.
    tech.with(|i, moment| i.attach(file("a.jpg", "c"), moment));
    assert_eq!(
        tech.case().files(),
        [file("a.jpg", "c"), file("b.jpg", "b")]
    );
    let text = sheets(&tech);
    assert!(
        text.contains("Photographs and files: a.jpg, b.jpg."),
        "{text}"
    );
    let back = read(&Source::new("case.ron", write(tech.case(), true).unwrap())).unwrap();
    assert_eq!(back.files(), tech.case().files());
    tech.keys("s u");
    assert_eq!(
        tech.case().files(),
        [file("a.jpg", "a"), file("b.jpg", "b")]
    );
    tech.with(|i, moment| i.detach("/photos/b.jpg", moment));
    assert_eq!(tech.case().files(), [file("a.jpg", "a")]);
    tech.keys("u");
    assert_eq!(tech.case().files().len(), 2);
    assert_eq!(fold(&tech.journal).unwrap(), *tech.case());
    for (from, to) in [("bytes: 12", "bytes: -1"), (&"a".repeat(64), "zz")] {
        let odd = write(tech.case(), true).unwrap().replacen(from, to, 1);
        assert!(read(&Source::new("case.ron", odd)).is_err(), "{to}");
    }
}

/// A bench whose list is shown: the case was opened by name.
fn on_the_list() -> Bench {
    let mut bench = Bench::on(&crown());
    bench.desk.session.single = false;
    bench.desk.key("q", &moment(1));
    assert_eq!(bench.desk.session.page, Page::Worklist);
    bench
}

#[test]
fn from_the_worklist_a_key_opens_the_case_for_one_line_and_goes_back() {
    let mut bench = on_the_list();
    let press = |bench: &mut Bench, keys: &str, from: u64| {
        for (n, key) in (from..).zip(keys.split(' ')) {
            bench.desk.key(key, &moment(n));
        }
    };
    press(&mut bench, "l", 2);
    assert!(matches!(
        bench.desk.session.over.line(),
        Some((Prompt::Day(_), _))
    ));
    press(&mut bench, "7 enter 1 2 enter", 3);
    assert_eq!(bench.desk.session.page, Page::Worklist);
    assert!(bench.desk.session.inspection.is_none());
    // Read from the disk, as after a power cut.
    assert_eq!(bench.kept().due_day(), Some(date(2026, 11, 30)));
    assert_eq!(bench.kept().promised_day(), Some(date(2026, 12, 5)));
    press(&mut bench, "j b 2 enter enter", 20);
    assert_eq!(bench.kept().handed().unwrap().to, "b2");
    assert_eq!(bench.desk.session.page, Page::Worklist);
    press(&mut bench, "b 2 enter enter", 30);
    assert_eq!(bench.desk.session.page, Page::Worklist);
    let state = bench.desk.session.worklist[0].state.as_ref().unwrap().state;
    assert_eq!(state, State::Closed);
    assert!(bench.kept().is_closed(Place::Case));
    // Going back writes nothing and shows the list again.
    let entries = bench.journal().len();
    press(&mut bench, "j esc", 40);
    assert_eq!(bench.desk.session.page, Page::Worklist);
    press(&mut bench, "b 5 enter", 50);
    assert!(!bench.kept().is_closed(Place::Case));
    assert_eq!(bench.journal().len(), entries + 1);
}

#[test]
fn lines_reach_the_life_of_a_case_and_say_it() {
    let mut bench = Bench::on(&crown());
    let told = bench.all(":days\n7\n14\n:hand over\nb2\nplease check\n:where\n");
    let text = told.lines.join("\n");
    assert!(text.contains("Due day at the bench"), "{text}");
    assert!(
        text.contains("Due Mon 30 Nov 2026; promised for Mon 7 Dec 2026."),
        "{text}"
    );
    assert!(
        text.contains("With b2 since Mon 23 Nov 2026: \"please check\""),
        "{text}"
    );
    bench.at("tooth.height", "26");
    let told = bench.all("4.1\n:history\n:history\n:history\n");
    let text = told.lines.join("\n");
    assert!(text.contains("measured: 4.1 mm"), "{text}");
    assert!(
        text.contains("handed over to b2: \"please check\""),
        "{text}"
    );
}
