//! Keys and lines on the worklist: filter, order, picked cases.

use casepan::case::life::State;
use casepan::print::Sheet;
use casepan::session::view::{PageView, WorklistView};
use casepan::session::{Context, Effect, Session};
use casepan::tooth::Notation;
use casepan::worklist::{ShortState, WorkItem};
use jiff::civil::date;

use super::Lab;
use crate::session::moment;

pub(super) fn item(number: &str, state: Option<State>) -> WorkItem {
    WorkItem {
        state: state.map(|state| ShortState {
            state,
            of: (1, 1),
            awaited: Vec::new(),
        }),
        fresh: true,
        ..WorkItem::unread(number, moment(0).now)
    }
}

fn view(session: &Session) -> WorklistView {
    match session.view().page {
        PageView::Worklist(view) => *view,
        _ => panic!("no worklist"),
    }
}

fn session() -> Session {
    let mut session = Session::new(Notation::Iso3950);
    session.list(["a", "b", "c"].map(|number| item(number, None)).into());
    session
}

#[test]
fn each_key_of_the_filter_narrows_the_list() {
    let mut session = session();
    let mut key = |name: &str| session.key(name, &moment(1));
    assert!(key("f").is_empty());
    // Letters are words here, whatever they do elsewhere.
    for name in ["q", "n", "4", "6", "space", "?", "/"] {
        assert_eq!(key(name), [Effect::List], "{name}");
    }
    assert_eq!(key("backspace"), [Effect::List]);
    assert!(key("down").is_empty());
    assert_eq!(session.listing.filter, "qn46 ?");
    assert_eq!(session.marked, 1);
    assert_eq!(session.context(), Context::Filter);
    assert!(view(&session).typing);
    // Kept, the letters are commands again; esc empties it.
    assert!(session.key("tab", &moment(1)).is_empty());
    assert_eq!(session.context(), Context::Worklist);
    assert_eq!(view(&session).filter, "qn46 ?");
    assert_eq!(session.key("esc", &moment(1)), [Effect::List]);
    assert_eq!(session.listing.filter, "");
    assert!(session.key("esc", &moment(1)).is_empty());
    // Pasted at once, and opened from the line.
    session.key("f", &moment(1));
    assert_eq!(session.paste("24-0381\n", &moment(1)), [Effect::List]);
    assert_eq!(session.listing.filter, "24-0381");
    let number = "b".to_owned();
    assert_eq!(session.key("enter", &moment(1)), [Effect::Open { number }]);
    assert_eq!(session.over.line(), None);
}

#[test]
fn late_and_today_are_said_in_words() {
    let mut session = session();
    session.today = Some(date(2026, 11, 23));
    for (index, day) in [date(2026, 11, 20), date(2026, 11, 23), date(2027, 1, 8)]
        .iter()
        .enumerate()
    {
        session.worklist[index].due = Some(*day);
    }
    let due: Vec<(String, bool)> = view(&session)
        .rows
        .into_iter()
        .map(|row| (row.due, row.late))
        .collect();
    let wanted = [
        ("late, Fri 20 Nov", true),
        ("today", false),
        ("Fri 8 Jan 2027", false),
    ];
    assert_eq!(due, wanted.map(|(due, late)| (due.to_owned(), late)));
    // Of a row that does not hold any more nothing is said that was judged.
    session.worklist[0].fresh = false;
    let row = view(&session).rows[0].clone();
    assert_eq!(
        (row.due.as_str(), row.result.as_str(), row.late),
        ("…", "…", false)
    );
}

#[test]
fn several_cases_are_printed_in_one_go() {
    let mut lab = Lab::with_samples();
    lab.desk.show_worklist().unwrap();
    let numbers: Vec<String> = lab
        .desk
        .session
        .worklist
        .iter()
        .map(|own| own.number.clone())
        .collect();
    // The third is picked, and no longer.
    lab.keys("space down space up space up up space");
    let picked = lab.desk.session.listing.picked.clone();
    assert_eq!(view(&lab.desk.session).picked, picked.len());
    let mut wanted = numbers[..2].to_vec();
    wanted.sort();
    assert!(picked.iter().eq(&wanted), "{picked:?}");
    lab.keys("w");
    assert!(!lab.desk.has_failed(), "{:?}", lab.desk.session.notice);
    let prints = lab.directory.path().join("prints");
    let files = |number: &str| {
        let plain: String = number
            .chars()
            .map(|c| if c.is_alphanumeric() { c } else { '-' })
            .collect();
        let one = |ending: String| prints.join(format!("casepan-{plain}{ending}"));
        let sheets = Sheet::ALL.map(|sheet| one(format!("-{}.txt", sheet.name())));
        let mut all = sheets.to_vec();
        all.push(one(".html".to_owned()));
        all
    };
    for number in &numbers {
        for file in files(number) {
            assert_eq!(file.exists(), picked.contains(number), "{}", file.display());
        }
    }
    let notice = lab.desk.session.notice.clone().unwrap();
    assert!(
        notice.contains(&format!("{} cases", picked.len())),
        "{notice}"
    );
    assert!(lab.desk.session.listing.picked.is_empty());
    // They are what the key of the summary prints; options have not been tried there.
    let number = picked.first().unwrap();
    let place = Sheet::ALL.iter().position(|sheet| *sheet == Sheet::Ticket);
    let file = files(number)[place.unwrap()].clone();
    let ticket = std::fs::read_to_string(&file).unwrap();
    lab.desk.open(number).unwrap();
    lab.keys("s w");
    assert_eq!(std::fs::read_to_string(&file).unwrap(), ticket);
    assert!(ticket.contains(number.as_str()));
}

#[test]
fn without_a_pick_the_marked_case_is_printed() {
    let mut lab = Lab::with_samples();
    lab.desk.show_worklist().unwrap();
    lab.keys("down");
    let number = lab.marked().to_owned();
    lab.keys("w");
    let notice = lab.desk.session.notice.clone().unwrap();
    assert!(notice.starts_with("written: "), "{notice}");
    let files = std::fs::read_dir(lab.directory.path().join("prints")).unwrap();
    assert_eq!(files.count(), Sheet::ALL.len() + 1, "{number}");
}

/// A number that is taken is found out even if the case is not in the part of the list that is here.
#[test]
fn a_number_that_is_taken_is_not_given_twice() {
    let mut lab = Lab::with_samples();
    let number = casepan::demo::case("crown-26").unwrap().number;
    assert!(lab.desk.session.worklist.is_empty());
    let typed: Vec<String> = number.chars().map(String::from).collect();
    lab.keys(&format!("n {} enter", typed.join(" ")));
    let notice = lab.desk.session.notice.clone().unwrap();
    assert!(notice.contains(&number), "{notice}");
    assert_eq!(
        lab.desk.session.over.line().map(|(_, line)| line.as_str()),
        Some(number.as_str())
    );
    lab.keys("7 enter");
    assert_eq!(lab.desk.session.notice, None);
    assert_eq!(lab.desk.session.context(), Context::Prompt);
}
