//! Follow-up: what is due, answered by exception, each answer in the journal of its own case.

use std::path::Path;

use casepan::case::outcome::{Kind, Known, Outcome};
use casepan::case::{Case, Restoration};
use casepan::demo::journal;
use casepan::demo::laboratory::{Plan, orders};
use casepan::learn::follow_up::{FollowUp, follow_up};
use casepan::learn::{Lot, Made};
use casepan::session::Page;
use casepan::session::view::{FollowUpView, PageView};
use jiff::ToSpan as _;
use jiff::civil::{Date, date};

use super::{Lab, TODAY, sql};
use crate::made::flow;
use crate::session::moment;
use crate::support::{Home, Output};

/// Crowns of two dentists, delivered on these days; invented.
const CROWNS: &[(&str, &str, Date)] = &[
    ("F-1", "P-04", date(2026, 5, 18)),
    ("F-2", "P-04", date(2026, 5, 20)),
    ("F-3", "P-04", date(2025, 11, 1)),
    // Not due yet.
    ("F-4", "P-04", date(2026, 5, 24)),
    ("F-5", "P-07", date(2026, 2, 1)),
];

fn crown(number: &str, dentist: &str) -> String {
    format!(
        r#"Case(
    format: 1, number: "{number}", flow: "fixed", version: 3,
    restorations: [Bridge("R1", [Abutment("44"), Pontic("45"), Abutment("46")])],
    facts: [(fact: "order.dentist", at: "case", is: Text("{dentist}"))],
)
"#
    )
}

#[track_caller]
fn good(output: Output) -> String {
    assert_eq!(output.code, Some(0), "{output:?}");
    output.stdout
}

/// An archive with these crowns.
fn home() -> Home {
    let home = Home::new();
    for (number, dentist, delivered) in CROWNS {
        let file = format!("{number}.ron");
        home.file(&file, crown(number, dentist));
        let run = |args: &[&str]| good(home.run(&[&["--archive", "a.casepan"], args].concat()));
        run(&["archive", "import", &file]);
        run(&[
            "became",
            number,
            "delivered",
            "--on",
            &delivered.to_string(),
        ]);
    }
    home
}

fn lab() -> (Home, Lab) {
    let home = home();
    let mut lab = Lab::new();
    std::fs::copy(home.path("a.casepan"), lab.path()).unwrap();
    lab.again();
    lab.desk.show_worklist().unwrap();
    (home, lab)
}

fn case(lab: &Lab, number: &str) -> Case {
    let journal = lab.archive().journal(number).unwrap();
    casepan::case::journal::fold(&journal).unwrap()
}

fn shown(lab: &Lab) -> FollowUpView {
    match lab.desk.session.view().page {
        PageView::FollowUp(page) => *page,
        _ => panic!("another page"),
    }
}

fn rows(lab: &Lab) -> Vec<String> {
    let rows = shown(lab).rows.into_iter();
    rows.map(|row| format!("{} {}", row.cells[0], row.cells[5]))
        .collect()
}

fn quiet(on: Date) -> Outcome {
    Outcome {
        what: Kind::Quiet,
        restoration: 1,
        at: None,
        on,
        known: Known::Recall,
        seen: None,
        goes_on: None,
    }
}

/// Nothing is quiet before somebody says so; each answer stands in its own case, and the list says what it writes before it
/// does.
#[test]
fn all_are_quiet_but_those_that_are_named() {
    let (_home, mut lab) = lab();
    lab.keys("o");
    while shown(&lab).title != "Follow-up: P-04" {
        lab.keys("n");
    }
    assert_eq!(shown(&lab).of, "dentist 1 of 2");
    assert_eq!(rows(&lab), ["F-1 –", "F-2 –", "F-3 –"]);
    assert_eq!(shown(&lab).rows[2].cells[3], "12 months");
    lab.keys("enter");
    let notice = lab.desk.session.notice.clone().unwrap();
    assert!(notice.starts_with("nothing to write: "), "{notice}");
    lab.keys("a");
    assert_eq!(rows(&lab), ["F-1 quiet", "F-2 quiet", "F-3 quiet"]);
    lab.keys("a");
    assert_eq!(rows(&lab), ["F-1 –", "F-2 –", "F-3 –"]);
    lab.keys("2 4 3 3 - a");
    assert_eq!(
        rows(&lab),
        ["F-1 quiet", "F-2 high contact, 46", "F-3 not seen"]
    );
    let says = shown(&lab).says;
    assert_eq!(
        says.last().unwrap(),
        "enter writes 1 quiet and 1 high contact, dated today; of 1 nothing is said and nothing is written."
    );
    for (number, ..) in CROWNS {
        assert_eq!(case(&lab, number).outcomes(), [], "only enter writes");
    }
    lab.keys("enter");
    assert_eq!(lab.desk.session.notice.as_deref(), Some("2 written down"));
    assert_eq!(case(&lab, "F-1").outcomes(), [quiet(TODAY)]);
    let own = case(&lab, "F-2");
    let high = &own.outcomes()[0];
    assert_eq!(
        (
            high.what,
            high.known,
            high.at.map(|at| at.to_string()).as_deref()
        ),
        (Kind::HighContact, Known::Dentist, Some("46"))
    );
    for number in ["F-3", "F-4", "F-5"] {
        assert_eq!(case(&lab, number).outcomes(), [], "{number}");
    }
    // What nobody has seen stays, and is not said to be quiet meanwhile.
    assert_eq!(rows(&lab), ["F-3 not seen"]);
    lab.keys("enter");
    assert!(
        lab.desk
            .session
            .notice
            .as_deref()
            .unwrap()
            .starts_with("nothing to write")
    );
    lab.keys("n");
    assert_eq!(rows(&lab), ["F-5 –"]);
    lab.keys("esc");
    assert_eq!(lab.desk.session.page, Page::Worklist);
}

/// The day is that of all, or of the one that was named; nothing is written on a day before its delivery.
#[test]
fn a_day_is_given_to_all_or_to_one() {
    let (_home, mut lab) = lab();
    lab.keys("o n");
    while shown(&lab).title != "Follow-up: P-04" {
        lab.keys("n");
    }
    for (typed, why) in [
        ("19-5-2026", "F-2: it was delivered on Wed 20 May 2026"),
        ("24-11", "still to come"),
    ] {
        lab.keys(&format!("d {} enter", split(typed)));
        let notice = lab.desk.session.notice.clone().unwrap_or_default();
        assert!(notice.contains(why), "{typed}: {notice}");
        lab.keys("esc");
    }
    lab.keys("d 2 enter 1 1 6 d");
    lab.keys(&split("1-6-2026"));
    lab.keys("enter");
    assert_eq!(rows(&lab)[0], "F-1 came off, 1 Jun 2026");
    lab.keys("2 0 enter");
    let own = case(&lab, "F-1");
    let came_off = &own.outcomes()[0];
    assert_eq!((came_off.at, came_off.on), (None, date(2026, 6, 1)));
    assert_eq!(case(&lab, "F-2").outcomes(), [quiet(date(2026, 11, 21))]);
    // Told now of something that was then, it is heard of now.
    assert!(!rows(&lab).iter().any(|row| row.starts_with("F-1")));
}

fn split(text: &str) -> String {
    let keys: Vec<String> = text.chars().map(String::from).collect();
    keys.join(" ")
}

/// Whoever wrote the same meanwhile has written it; what a case does not take is named, and the others are written.
#[test]
fn what_was_not_written_is_named() {
    let (_home, mut lab) = lab();
    lab.keys("o n");
    while shown(&lab).title != "Follow-up: P-04" {
        lab.keys("n");
    }
    let mut other = Lab::new();
    other.desk = super::desk(lab.directory.path());
    other.desk.open("F-2").unwrap();
    other.keys("s e 0 enter");
    assert_eq!(case(&lab, "F-2").outcomes(), [quiet(TODAY)]);
    // One journal has lost its beginning.
    sql(
        &lab.path(),
        "DROP TRIGGER entry_stays; DELETE FROM entry WHERE case_number = 'F-3' AND number = 1",
    );
    lab.keys("a enter");
    let notice = lab.desk.session.notice.clone().unwrap();
    assert!(
        notice.starts_with("1 written down; not written: "),
        "{notice}"
    );
    assert!(
        notice.contains("F-2: something was heard of it meanwhile"),
        "{notice}"
    );
    assert!(notice.contains("F-3: "), "{notice}");
    assert_eq!(case(&lab, "F-1").outcomes(), [quiet(TODAY)]);
    assert_eq!(case(&lab, "F-2").outcomes(), [quiet(TODAY)]);
}

/// Rows that were never in view are not written; what was named is not left unasked; a held digit names nothing.
#[test]
fn nothing_is_written_by_accident() {
    let mut lab = Lab::new();
    lab.keys("o");
    let all = std::sync::Arc::new(super::due_of("P-04", 11));
    let due = casepan::session::Rated::FollowUp(all, 0);
    lab.desk.session.rated(due);
    lab.keys("enter");
    let notice = lab.desk.session.notice.clone().unwrap();
    assert_eq!(
        notice,
        "2 more rows were not looked at yet: pgdn shows them"
    );
    lab.keys("pgdn");
    let digits: Vec<Option<char>> = shown(&lab).rows.iter().map(|row| row.digit).collect();
    assert_eq!(digits[8..], [None, Some('1'), Some('2')]);
    lab.keys("2 2");
    assert!(rows(&lab)[10].ends_with("broke"), "{:?}", rows(&lab));
    lab.keys("q");
    assert_eq!(lab.desk.session.page, Page::FollowUp);
    assert!(
        lab.desk
            .session
            .notice
            .clone()
            .unwrap()
            .contains("not written yet")
    );
    lab.keys("q");
    assert_eq!(lab.desk.session.page, Page::Worklist);
    // Held down, a digit picks a row and says nothing of it.
    let all = std::sync::Arc::new(super::due_of("P-04", 11));
    lab.keys("o");
    lab.desk
        .session
        .rated(casepan::session::Rated::FollowUp(all, 0));
    lab.desk.session.taps.by_hand = true;
    for nth in 0..8 {
        let mut at = moment(5);
        at.now += jiff::SignedDuration::from_millis(500 + 30 * nth);
        lab.desk.key("1", &at);
    }
    assert!(
        rows(&lab).iter().all(|row| row.ends_with(" –")),
        "{:?}",
        rows(&lab)
    );
}

fn lot(number: &str, delivered: Date, heard: &[(Kind, Date)]) -> Lot {
    Lot {
        number: number.to_owned(),
        opened: delivered,
        dentist: Some("P-04".to_owned()),
        remake: false,
        made: vec![Made {
            restoration: Restoration {
                id: 1,
                ..Restoration::default()
            },
            delivered,
            heard: heard.last().copied(),
            ended: heard.iter().any(|(kind, _)| *kind == Kind::LostSight),
            ..Made::default()
        }],
        not_made: 0,
        withdrawn: 0,
    }
}

fn due(all: &FollowUp) -> Vec<(&str, i32)> {
    let due = all.dentists.iter().flat_map(|own| &own.due);
    due.map(|own| (own.number.as_str(), own.months)).collect()
}

/// Six and twelve months after the delivery, to the day, unless something was heard since.
#[test]
fn it_is_due_to_the_day() {
    let delivered = date(2026, 1, 31);
    let six = date(2026, 7, 31);
    let on = |day: Date, heard: &[(Kind, Date)]| {
        let all = follow_up(&[lot("F", delivered, heard)], day);
        due(&all).first().map(|(_, months)| *months)
    };
    assert_eq!(on(six.yesterday().unwrap(), &[]), None);
    assert_eq!(on(six, &[]), Some(6));
    assert_eq!(on(six, &[(Kind::Quiet, six)]), None);
    // What was heard before says nothing of since.
    assert_eq!(on(six, &[(Kind::HighContact, date(2026, 2, 10))]), Some(6));
    assert_eq!(on(six + 1.month(), &[(Kind::Quiet, six)]), None);
    let year = date(2027, 1, 31);
    assert_eq!(on(year, &[(Kind::Quiet, six)]), Some(12));
    assert_eq!(on(year + 5.years(), &[(Kind::Quiet, six)]), Some(12));
    assert_eq!(on(year, &[(Kind::LostSight, six)]), None);
    let own = follow_up(&[lot("F", delivered, &[])], six);
    assert_eq!(own.dentists[0].never_heard_of(), 1);
    // Nobody can be asked where no dentist is known.
    let mut nobodys = lot("F", delivered, &[]);
    nobodys.dentist = None;
    let all = follow_up(&[nobodys], six);
    assert_eq!((all.dentists.len(), all.nobodys), (0, 1));
}

/// The same is due by the rows of the worklist and by the journals, and an invented laboratory has its share.
#[test]
fn rows_give_what_journals_give() {
    let mut lab = Lab::new();
    let mut archive = lab.archive();
    let plan = Plan {
        cases: 60,
        seed: 4,
        until: TODAY,
    };
    let mut delivered = 0;
    for order in orders(&plan) {
        delivered += usize::from(order.is_made() && order.left + 6.months() <= TODAY);
        let entries = journal(&flow(), &order, TODAY, 2).unwrap();
        archive.append(&order.number(), &entries).unwrap();
    }
    drop(archive);
    lab.desk.show_worklist().unwrap();
    let read = |lab: &mut Lab| {
        lab.keys("o");
        let first = shown(lab).title;
        let mut all = Vec::new();
        loop {
            all.extend(shown(lab).rows.into_iter().map(|row| row.cells));
            lab.keys("n");
            if shown(lab).title == first {
                break;
            }
        }
        lab.keys("esc");
        all
    };
    sql(&lab.path(), "UPDATE work SET engine = 'older'");
    let by_journals = read(&mut lab);
    let flows = casepan::desk::Flows::new(flow());
    casepan::desk::fill_all(&mut lab.archive(), &flows, TODAY, &mut |_, _| {}).unwrap();
    let mut by_rows = read(&mut lab);
    let mut sorted = by_journals.clone();
    sorted.sort();
    by_rows.sort();
    assert_eq!(by_rows, sorted);
    assert!(
        by_rows.len() > 10 && by_rows.len() <= delivered,
        "{} of {delivered}",
        by_rows.len()
    );
}

/// The list as text, for others to read and for paper.
#[test]
fn the_list_is_printed_with_boxes() {
    let home = home();
    let run = |args: &[&str]| home.run(&[&["--archive", "a.casepan", "follow-up"], args].concat());
    let on = ["P-04", "--on", "2026-11-23"];
    let text = good(run(&on));
    for part in [
        "Follow-up: how are they? For P-04",
        "3 restorations due at 6 or 12 months",
        "F-1",
        "44 x45 46",
        "18 May 2026",
        "[ ]",
        "____",
    ] {
        assert!(text.contains(part), "{part}: {text}");
    }
    assert!(!text.contains("F-4") && !text.contains("F-5"), "{text}");
    assert!(
        text.lines().all(|line| line.chars().count() <= 78),
        "{text}"
    );
    for (format, parts) in [
        ("markdown", ["| F-2", "[ ]"]),
        ("html", ["row\">F-2", "|"]),
        ("json", ["\"case\": \"F-2\"", "\"months\": 6"]),
    ] {
        let own = good(run(&[&on[..], &["--as", format]].concat()));
        assert!(
            parts.iter().any(|part| own.contains(part)),
            "{format}: {own}"
        );
    }
    let early = good(run(&["P-07", "--on", "2026-03-01"]));
    assert!(early.contains("Nothing is due of P-07"), "{early}");
    let output = run(&["P-99", "--on", "2026-11-23"]);
    assert_eq!(
        (output.code, output.stdout.as_str()),
        (Some(66), ""),
        "{output:?}"
    );
    assert!(
        output.stderr.contains("something is due of P-04 and P-07"),
        "{output:?}"
    );
    assert!(Path::new(&home.path("a.casepan")).exists());
}
