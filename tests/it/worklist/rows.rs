//! What a row says of a case, when it holds no longer, and who makes it anew.

use std::sync::mpsc::{RecvTimeoutError, channel};
use std::time::Duration;

use casepan::archive::Archive;
use casepan::case::instruction::Instruction;
use casepan::case::journal::{Body, Entry};
use casepan::case::life::{CaseEvent, Happened, State};
use casepan::case::{Case, Layer, Reading};
use casepan::desk::freshness;
use casepan::fact::{Place, Value};
use casepan::tooth::Notation;
use casepan::worklist::{WorkItem, fresh_until, wanted};
use jiff::civil::date;
use uuid::Uuid;

use super::{Lab, TODAY, everything, sql, state};
use crate::made::spot;
use crate::session::moment;

const STALE: &str = "UPDATE work SET engine = ''";

/// Every row as it is made from the whole journal, whatever stood there.
fn made_anew(lab: &mut Lab) -> Vec<WorkItem> {
    sql(&lab.path(), STALE);
    let before = everything(&lab.archive());
    assert!(before.iter().all(|item| !item.fresh));
    lab.again();
    lab.desk.show_worklist().unwrap();
    everything(&lab.archive())
}

/// What is written with the answers is what the journal says.
#[test]
fn the_row_that_is_written_with_an_answer_is_the_one_that_the_journal_gives() {
    let mut lab = Lab::with_samples();
    let mut compared = 0;
    let mut same = |lab: &mut Lab, what: &str| {
        let written = everything(&lab.archive());
        assert!(written.iter().all(|item| item.fresh), "{what}");
        assert_eq!(written, made_anew(lab), "{what}");
        compared += 1;
    };
    same(&mut lab, "brought in");
    let mut tick = 0;
    for (name, keys) in [
        ("crown-26", "1 2 3 . 1 enter - 1 u"),
        ("bridge-44-46", "- - u y - *"),
    ] {
        let number = casepan::demo::case(name).unwrap().number;
        lab.desk.open(&number).unwrap();
        for key in keys.split(' ') {
            tick += 1;
            lab.desk.key(key, &moment(tick));
        }
        assert!(!lab.desk.has_unsaved(), "{name}");
        assert!(lab.archive().end_of(&number).unwrap().unwrap().0 > 1);
        same(&mut lab, name);
        assert!(lab.item(&number).last > moment(0).now, "{name}");
        assert_eq!(lab.item(&number).who.as_deref(), Some("mk"));
    }
    assert_eq!(compared, 3);
}

#[test]
fn a_row_says_what_a_case_is_and_what_is_due() {
    let mut lab = Lab::new();
    let mut case = casepan::demo::case("bridge-44-46").unwrap();
    let text = |text: &str| Reading::plain(Value::Text(text.to_owned()));
    case.put(spot("order.dentist", "case"), Layer::Measured, text("K17"));
    lab.bring_in(&case);
    let item = lab.item(&case.number);
    assert_eq!(item.units.as_ref(), Some(&case.units));
    assert_eq!(item.dentist.as_deref(), Some("K17"));
    assert_eq!(
        item.materials,
        ["zirconia 3Y, high strength"].map(str::to_owned)
    );
    let gravest = item.gravest.clone().unwrap();
    assert_eq!(Some(gravest.level), item.verdict.map(|own| own.level));
    assert_ne!(gravest.at, Place::Case);
    assert!(!gravest.says.is_empty() && !gravest.says.contains(['{', '}']));
    assert_eq!(state(&item), Some(State::Inspecting));
    assert!(item.left > 0 && !item.closed);
    assert_eq!((item.due, item.first_due()), (None, None));
}

#[test]
fn who_has_a_case_is_whom_it_was_handed_to() {
    let mut lab = Lab::with_samples();
    let number = casepan::demo::case("crown-26").unwrap().number;
    assert_eq!(lab.item(&number).who.as_deref(), Some("mk"));
    let mut archive = lab.archive();
    let entry = |seen: u64, who: &str, body: Body| Entry {
        id: Uuid::new_v4(),
        seen,
        session: Uuid::new_v4(),
        when: moment(9).now,
        who: Some(who.to_owned()),
        body,
    };
    let (count, _) = archive.end_of(&number).unwrap().unwrap();
    // Whoever answers something in it has it no more than before.
    let answer = Body::Answer {
        spot: spot("tooth.height", "26"),
        value: Value::NotSeen,
        with: None,
        layer: Layer::Measured,
        undoes: None,
    };
    archive
        .append(&number, &[entry(count, "EF", answer)])
        .unwrap();
    lab.desk.show_worklist().unwrap();
    assert_eq!(lab.item(&number).who.as_deref(), Some("mk"));
    let count = count + 1;
    let handed = Body::HandedOver {
        to: "bench 2".to_owned(),
        note: String::new(),
        on: None,
    };
    archive
        .append(&number, &[entry(count, "AB", handed)])
        .unwrap();
    let event = CaseEvent {
        what: Happened::Delivered,
        restorations: vec![1],
        on: TODAY,
        goes_on: None,
    };
    archive
        .append(&number, &[entry(count + 1, "CD", Body::Happened { event })])
        .unwrap();
    // Written without a row: the list knows the number and the time, and nothing that was judged.
    let item = lab.item(&number);
    assert!(!item.fresh);
    assert_eq!(item.last, moment(9).now);
    lab.desk.show_worklist().unwrap();
    let item = lab.item(&number);
    assert!(item.fresh && item.closed);
    assert_eq!(state(&item), Some(State::Delivered));
    assert_eq!(item.who.as_deref(), Some("bench 2"));
    // What is closed comes last.
    assert_eq!(
        lab.shown().last().map(|own| own.trim_matches(['[', ']'])),
        Some(number.as_str())
    );
}

#[test]
fn a_row_holds_until_the_program_or_an_instruction_changes() {
    let mut lab = Lab::new();
    let mut case: Case = casepan::demo::case("crown-26").unwrap();
    let code = Reading::plain(Value::Text("K17".to_owned()));
    case.put(spot("order.dentist", "case"), Layer::Measured, code);
    lab.bring_in(&case);
    lab.bring_in(&casepan::demo::case("bridge-44-46").unwrap());
    let stale = |lab: &Lab, today| lab.archive().stale(&freshness(today), 9).unwrap();
    assert_eq!(stale(&lab, TODAY), [""; 0]);
    // Another version, and another form of the rows.
    sql(
        &lab.path(),
        "UPDATE work SET engine = '0.0.1 1' WHERE dentist = 'K17'",
    );
    assert_eq!(stale(&lab, TODAY), [case.number.clone()]);
    lab.desk.show_worklist().unwrap();
    assert_eq!(stale(&lab, TODAY), [""; 0]);
    // An instruction of its dentist, and not of another.
    let instruction = |from, until, dentist: &str| Instruction {
        id: Uuid::new_v4(),
        dentist: dentist.to_owned(),
        rule: "clearance".to_owned(),
        words: "thin".to_owned(),
        from,
        until,
    };
    let later = instruction(date(2026, 12, 1), Some(date(2026, 12, 10)), "K17");
    let mut archive = lab.archive();
    archive
        .agree(&instruction(TODAY, None, "K18"), moment(1).now, None)
        .unwrap();
    assert_eq!(stale(&lab, TODAY), [""; 0]);
    archive.agree(&later, moment(1).now, None).unwrap();
    assert_eq!(stale(&lab, TODAY), [case.number.clone()]);
    lab.again();
    lab.desk.show_worklist().unwrap();
    assert_eq!(stale(&lab, TODAY), [""; 0]);
    // It holds until the instruction begins; then the other case holds still.
    assert_eq!(stale(&lab, date(2026, 11, 30)), [""; 0]);
    assert_eq!(stale(&lab, date(2026, 12, 1)), [case.number.clone()]);
    let all = [later];
    for (today, until) in [
        (TODAY, Some(date(2026, 12, 1))),
        (date(2026, 12, 1), Some(date(2026, 12, 11))),
        (date(2026, 12, 11), None),
    ] {
        assert_eq!(fresh_until(Some("K17"), &all, today), until);
        assert_eq!(fresh_until(Some("K18"), &all, today), None);
        assert_eq!(fresh_until(None, &all, today), None);
    }
    // It was ended.
    archive
        .end_instruction(all[0].id, TODAY, (Uuid::new_v4(), moment(2).now), None)
        .unwrap();
    assert_eq!(stale(&lab, TODAY), [case.number.clone()]);
}

#[test]
fn the_days_order_knows_no_today() {
    let item = |state: Option<State>, due| {
        let mut item = super::lines::item("1", state);
        item.due = due;
        item
    };
    let early = Some(date(2026, 11, 1));
    let order = [
        item(Some(State::ToCall), Some(date(2026, 12, 31))),
        item(Some(State::ToCall), None),
        item(Some(State::Returned), early),
        item(Some(State::Waiting), early),
        item(Some(State::Inspecting), Some(date(2027, 1, 2))),
        item(Some(State::ToMake), None),
    ];
    let turns: Vec<String> = order.iter().map(WorkItem::turn).collect();
    assert!(turns.is_sorted(), "{turns:?}");
    assert_ne!(turns[1], turns[5]);
}

/// A tooth is no number of a case, and a number of a case is no tooth.
#[test]
fn a_tooth_is_found_in_the_notation_in_force() {
    let mut lab = Lab::new();
    for (number, name) in [
        ("46-1", "crown-26"),
        ("7", "bridge-44-46"),
        ("30", "cantilever-12-13"),
    ] {
        let mut case = casepan::demo::case(name).unwrap();
        case.number = number.to_owned();
        lab.bring_in(&case);
    }
    lab.desk.show_worklist().unwrap();
    let mut found = |notation: Notation, filter: &str| {
        lab.desk.session.notation = notation;
        lab.desk.session.listing.filter = filter.to_owned();
        lab.desk.show_worklist().unwrap();
        let mut numbers: Vec<String> = lab.shown();
        numbers
            .iter_mut()
            .for_each(|own| *own = own.replace(['[', ']'], ""));
        numbers.sort();
        numbers
    };
    use Notation::{Iso3950, Palmer, Universal};
    assert_eq!(found(Iso3950, "46"), ["46-1", "7"]);
    assert_eq!(found(Iso3950, "26"), ["46-1"]);
    assert_eq!(found(Iso3950, "x45"), ["7"]);
    assert_eq!(found(Iso3950, "45 46"), ["7"]);
    // In Universal 46 is no tooth, and 30 is the lower right first molar.
    assert_eq!(found(Universal, "46"), ["46-1"]);
    assert_eq!(found(Universal, "30"), ["30", "7"]);
    assert_eq!(found(Palmer, "lr6"), ["7"]);
    assert_eq!(found(Palmer, "UL6"), ["46-1"]);
    // Nobody can type the sign of a tooth.
    let words = |filter: &str| wanted(filter, Iso3950, false).words;
    let sign = words("46")[0][1].clone();
    assert_eq!(words(&format!("a{sign}b")), [["ab"]]);
}

/// No journal is read at start: where all of them are damaged, the list is the same.
#[test]
fn nothing_is_read_at_start() {
    let mut lab = Lab::with_samples();
    let before = everything(&lab.archive());
    crate::archive::support::tamper(&lab.path(), "UPDATE entry SET body = 'x'");
    let number = &before[0].number;
    assert!(lab.archive().journal(number).is_err());
    lab.again();
    let (sender, told) = channel();
    lab.desk
        .fill_apart(move |filled| drop(sender.send(filled)))
        .unwrap();
    // There is nothing to read, and nothing is drawn anew.
    let filled = told.recv_timeout(Duration::from_secs(1));
    assert_eq!(filled, Err(RecvTimeoutError::Timeout));
    assert_eq!(lab.desk.session.worklist, before);
    // Once its row holds no longer, it is listed as one that cannot be read.
    sql(&lab.path(), STALE);
    lab.again();
    lab.desk.show_worklist().unwrap();
    let items = &lab.desk.session.worklist;
    assert_eq!(items.len(), before.len());
    assert!(
        items
            .iter()
            .all(|own| own.fresh && own.verdict.is_none() && own.units.is_none())
    );
    let row = &lab.desk.session.view().page;
    let casepan::session::view::PageView::Worklist(page) = row else {
        panic!("no worklist");
    };
    assert!(page.rows.iter().all(|row| row.result == "cannot be read"));
    // It was last written to when it was.
    assert!(items.iter().all(|own| own.last == moment(0).now));
}

/// One case is opened, and no other is judged.
#[test]
fn a_case_that_is_opened_by_name_is_the_only_one_that_is_read() {
    let mut lab = Lab::with_samples();
    sql(&lab.path(), STALE);
    lab.again();
    let number = casepan::demo::case("bridge-44-46").unwrap().number;
    lab.desk.open(&number).unwrap();
    lab.desk.session.single = true;
    // Its own row is made anew with it.
    assert_eq!(lab.archive().count_stale(&freshness(TODAY)).unwrap(), 3);
    lab.keys("-");
    assert_eq!(lab.archive().count_stale(&freshness(TODAY)).unwrap(), 3);
}

fn many(count: usize) -> Lab {
    let mut lab = Lab::new();
    for index in 0..count {
        let mut case = casepan::demo::case("crown-26").unwrap();
        case.number = format!("N-{index:03}");
        lab.bring_in(&case);
    }
    sql(&lab.path(), STALE);
    lab.again();
    lab
}

#[test]
fn cases_are_read_beside_and_the_list_says_how_far() {
    let mut lab = many(70);
    let (sender, told) = channel();
    lab.desk
        .fill_apart(move |filled| drop(sender.send(filled)))
        .unwrap();
    // At once every case is listed, with what is sure.
    assert_eq!(lab.desk.session.worklist.len(), 70);
    let mut steps = Vec::new();
    loop {
        let filled = told.recv_timeout(Duration::from_secs(60)).unwrap();
        steps.push((filled.done, filled.of));
        let ended = filled.done >= filled.of;
        lab.desk.filled(filled);
        if ended {
            break;
        }
        assert!(lab.desk.session.listing.progress.is_some());
    }
    assert!(steps.len() > 2 && steps.is_sorted(), "{steps:?}");
    assert_eq!(steps.last(), Some(&(70, 70)));
    assert_eq!(lab.desk.session.listing.progress, None);
    assert!(lab.desk.session.worklist.iter().all(|own| own.fresh));
}

/// Whoever leaves loses nothing of what was done, and need not wait for the rest.
#[test]
fn what_was_read_stays_when_the_program_ends() {
    let mut lab = many(150);
    let (sender, told) = channel();
    lab.desk
        .fill_apart(move |filled| drop(sender.send(filled)))
        .unwrap();
    let first = told.recv_timeout(Duration::from_secs(60)).unwrap();
    lab.again();
    let left = lab.archive().count_stale(&freshness(TODAY)).unwrap();
    assert!(left <= 150 - first.done && left > 0, "{first:?} {left}");
    // What is on the screen was read first.
    let shown = lab.archive();
    let items = everything(&shown);
    assert!(items.iter().take(first.done).all(|own| own.fresh));
}

/// Somebody writes to a case while it is being judged: the row that was made of less is not kept.
#[test]
fn a_row_of_fewer_entries_is_not_kept() {
    let lab = many(1);
    let mut archive: Archive = lab.archive();
    let made = casepan::worklist::unreadable("N-000", &[], moment(0).now);
    let now = freshness(TODAY);
    let (count, _) = archive.end_of("N-000").unwrap().unwrap();
    let row = |entries| casepan::desk::row_of((&made, None), entries, "", (&[], 0), &now).unwrap();
    assert!(!archive.put_work(&row(count - 1)).unwrap());
    assert!(!lab.item("N-000").fresh);
    assert!(archive.put_work(&row(count)).unwrap());
    assert!(lab.item("N-000").fresh);
}

/// Somebody agrees something while a case is being judged: its row is made anew, not taken for one that holds.
#[test]
fn a_row_that_was_judged_before_an_instruction_came_does_not_hold() {
    let lab = many(1);
    let mut archive = lab.archive();
    let now = freshness(TODAY);
    let made = casepan::worklist::unreadable("N-000", &[], moment(0).now);
    let (count, _) = archive.end_of("N-000").unwrap().unwrap();
    let row =
        |standing| casepan::desk::row_of((&made, None), count, "", (&[], standing), &now).unwrap();
    let judged = row(archive.count_standing().unwrap());
    assert!(archive.put_work(&judged).unwrap());
    assert!(lab.item("N-000").fresh);
    let instruction = Instruction {
        id: Uuid::new_v4(),
        dentist: "K17".to_owned(),
        rule: "clearance".to_owned(),
        words: "thin".to_owned(),
        from: TODAY,
        until: None,
    };
    // Of a dentist that the row does not name: what it would name now is not known.
    let mut other = lab.archive();
    other.agree(&instruction, moment(1).now, None).unwrap();
    archive.put_work(&judged).unwrap();
    assert_eq!(archive.stale(&now, 9).unwrap(), ["N-000"]);
    let judged = row(archive.count_standing().unwrap());
    assert!(archive.put_work(&judged).unwrap());
    assert_eq!(archive.count_stale(&now).unwrap(), 0);
    // With an entry it is the same.
    other
        .end_instruction(instruction.id, TODAY, (Uuid::new_v4(), moment(2).now), None)
        .unwrap();
    let entry = Entry {
        id: Uuid::new_v4(),
        seen: count,
        session: Uuid::new_v4(),
        when: moment(3).now,
        who: None,
        body: Body::HandedOver {
            to: "bench 2".to_owned(),
            note: String::new(),
            on: None,
        },
    };
    let mut beside = judged;
    beside.entries += 1;
    archive
        .append_beside("N-000", &[entry], Some(&beside))
        .unwrap();
    assert_eq!(archive.stale(&now, 9).unwrap(), ["N-000"]);
}

/// Whoever changed a row or took it away, opening the case or listing makes it what its journal gives.
#[test]
fn a_row_that_somebody_else_changed_does_not_last() {
    let mut lab = Lab::with_samples();
    lab.desk.show_worklist().unwrap();
    let bridge = casepan::demo::case("bridge-44-46").unwrap().number;
    let crown = casepan::demo::case("crown-26").unwrap().number;
    let was = lab.item(&bridge);
    sql(
        &lab.path(),
        &format!(
            "UPDATE work SET body = (SELECT body FROM work WHERE case_number = '{crown}') WHERE case_number = '{bridge}'"
        ),
    );
    lab.again();
    lab.desk.show_worklist().unwrap();
    assert_ne!(lab.item(&bridge).verdict, was.verdict);
    lab.desk.open(&bridge).unwrap();
    lab.again();
    lab.desk.show_worklist().unwrap();
    assert_eq!(lab.item(&bridge).verdict, was.verdict);
    // A row that is gone is one that has to be made anew.
    sql(
        &lab.path(),
        &format!("DELETE FROM work WHERE case_number = '{bridge}'"),
    );
    let now = freshness(TODAY);
    assert_eq!(lab.archive().count_stale(&now).unwrap(), 1);
    assert_eq!(lab.archive().stale(&now, 9).unwrap(), [bridge.as_str()]);
    lab.desk.open(&bridge).unwrap();
    assert_eq!(lab.archive().count_stale(&now).unwrap(), 0);
}
