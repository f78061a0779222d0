//! Ten thousand cases: what a filter finds and in which order, beside a plain look at each case; and how much is here.

use std::cmp::Reverse;

use casepan::archive::WorkRow;
use casepan::case::coming::{Awaited, Blocks, Part};
use casepan::case::journal::{Body, Entry};
use casepan::case::life::State;
use casepan::case::{FlowRef, Role};
use casepan::desk::{asked, freshness, row_of};
use casepan::flow::Level;
use casepan::judge::Verdict;
use casepan::session::WINDOW;
use casepan::session::view::PageView;
use casepan::tooth::{Notation, Tooth};
use casepan::worklist::{Made, Order, ShortState, WorkItem, hay};
use jiff::ToSpan as _;
use jiff::civil::date;
use uuid::Uuid;

use super::{Lab, TODAY};
use crate::made::units;

/// Numbers that look drawn and are the same every time.
struct Draws(u64);

impl Draws {
    fn below(&mut self, most: usize) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1);
        (self.0 >> 33) as usize % most
    }

    fn of<T: Copy>(&mut self, list: &[T]) -> T {
        list[self.below(list.len())]
    }
}

const LINES: [&str; 6] = ["46", "44 x45 46", "11 21; 26", "x12 13", "36; 37", "24 25"];
const MATERIALS: [&str; 3] = [
    "zirconia 3Y, high strength",
    "lithium disilicate",
    "gold alloy",
];
const DENTISTS: [&str; 4] = ["", "K17", "K18", "46"];
const WHO: [&str; 3] = ["", "AB", "bench 2"];
const FOUND: [&str; 3] = [
    "",
    "total taper 36° (30°)",
    "margin lost, no resistance form",
];

/// A case of a laboratory that never was, with the sentences of what was found.
fn invented(index: usize, draws: &mut Draws) -> (WorkItem, Vec<String>) {
    let level = draws.of(&[Level::Fine, Level::Watch, Level::Call, Level::Hold]);
    let state = draws.of(&[
        State::ToCall,
        State::Returned,
        State::Inspecting,
        State::Waiting,
        State::ForDesign,
        State::ToMake,
        State::Delivered,
    ]);
    let day = |draws: &mut Draws| {
        let days = draws.below(60) as i64 - 20;
        TODAY.checked_add(days.days()).unwrap()
    };
    let due = (draws.below(3) > 0).then(|| day(draws));
    let awaited = (state == State::Waiting).then(|| Awaited {
        part: Part::Impression,
        blocks: Blocks::Design,
        restorations: vec![1],
        places: Vec::new(),
        due: Some(day(draws)),
        matters: Vec::new(),
        is_recorded: true,
    });
    let some = |text: &str| Some(text.to_owned()).filter(|text| !text.is_empty());
    let seconds = jiff::SignedDuration::from_secs(draws.below(10_000_000) as i64);
    let last: jiff::Timestamp = "2026-07-01T00:00:00Z".parse().unwrap();
    let item = WorkItem {
        units: Some(units(draws.of(&LINES))),
        verdict: Some(Verdict {
            level,
            could_be: level,
            drawn: level,
            covered: true,
        }),
        state: Some(ShortState {
            state,
            of: (1, 1),
            awaited: awaited.into_iter().collect(),
        }),
        dentist: some(draws.of(&DENTISTS)),
        who: some(draws.of(&WHO)),
        materials: vec![draws.of(&MATERIALS).to_owned()],
        due,
        closed: state == State::Delivered,
        fresh: true,
        ..WorkItem::unread(format!("{}-{index:05}", 20 + index % 7), last + seconds)
    };
    let found = some(draws.of(&FOUND)).into_iter().collect();
    (item, found)
}

fn row(item: &WorkItem, found: &[String]) -> WorkRow {
    let made = Made {
        item: item.clone(),
        hay: hay(item, found),
    };
    row_of((&made, None), 1, "", (&[], 0), &freshness(TODAY)).unwrap()
}

/// A laboratory of so many cases, made by writing rows; and the cases.
fn laboratory(count: usize) -> (Lab, Vec<(WorkItem, Vec<String>)>) {
    let lab = Lab::new();
    let mut archive = lab.archive();
    let mut draws = Draws(7);
    let all: Vec<_> = (0..count)
        .map(|index| invented(index, &mut draws))
        .collect();
    for (item, found) in &all {
        let opened = Entry {
            id: Uuid::new_v4(),
            seen: 0,
            session: Uuid::nil(),
            when: item.last,
            who: item.who.clone(),
            body: Body::Opened {
                number: item.number.clone(),
                flow: FlowRef::default(),
                units: item.units.clone().unwrap(),
            },
        };
        let row = row(item, found);
        archive
            .append_beside(&item.number, &[opened], Some(&row))
            .unwrap();
    }
    (lab, all)
}

/// Whether a case has a word, by a look at the case itself.
fn has(item: &WorkItem, found: &[String], word: &str, notation: Notation) -> bool {
    let within = |text: &str| text.to_lowercase().contains(word);
    let teeth = item.units.iter().flat_map(|own| own.restorations());
    let mut teeth = teeth.flat_map(|own| own.units.iter().map(|unit| (unit.tooth, unit.role)));
    let named = |(tooth, role): (Tooth, Role)| {
        let own = notation.show(tooth);
        own == word || role == Role::Pontic && format!("x{own}") == word
    };
    let state = item.state.as_ref().unwrap();
    let state_words = match state.state {
        State::ToCall => "to call",
        State::Returned => "returned",
        State::Inspecting => "open",
        State::Waiting => "waiting",
        State::ForDesign => "cleared for design",
        State::ToMake => "cleared to make",
        _ => "delivered",
    };
    let result = match item.verdict.unwrap().level {
        Level::Fine => "nothing found",
        Level::Watch => "watch",
        Level::Call => "call",
        Level::Hold => "on hold",
    };
    within(&item.number)
        || teeth.any(named)
        || item.materials.iter().any(|own| within(own))
        || item.dentist.iter().chain(&item.who).any(|own| within(own))
        || state_words.contains(word)
        || state
            .awaited
            .iter()
            .any(|_| "a new impression or scan".contains(word))
        || result.contains(word)
        || found.iter().any(|own| {
            let mut words = own.split([' ', ',', '(', ')']);
            words.any(|own| !own.contains(char::is_numeric) && within(own) && own.contains(word))
        })
}

fn in_order(order: Order, list: &mut [&WorkItem]) {
    let call = |item: &WorkItem| match item.state.as_ref().unwrap().state {
        State::ToCall => 0,
        State::Returned => 1,
        _ => 2,
    };
    let due = |item: &WorkItem| {
        let awaited = item.state.as_ref().unwrap().awaited.first();
        let first = awaited
            .and_then(|own| own.due)
            .into_iter()
            .chain(item.due)
            .chain(item.promised)
            .min();
        first.filter(|_| !item.closed)
    };
    let number = |item: &WorkItem| item.number.clone();
    let nobody = |code: &Option<String>| (code.is_none(), code.clone());
    match order {
        // Nothing due comes after every day.
        Order::Turn => list.sort_by_key(|own| {
            // What came back waits for nobody's day.
            let day = due(own).filter(|_| call(own) != 1);
            let day = day.unwrap_or(date(9999, 12, 31));
            (own.closed, call(own), day, number(own))
        }),
        Order::Last => list.sort_by_key(|own| (own.closed, Reverse((own.last, number(own))))),
        Order::Number => list.sort_by_key(|own| (own.closed, number(own))),
        Order::Dentist => list.sort_by_key(|own| (own.closed, nobody(&own.dentist), number(own))),
        Order::Who => list.sort_by_key(|own| (own.closed, nobody(&own.who), number(own))),
    }
}

#[test]
fn a_filter_finds_what_a_look_at_every_case_finds() {
    let (mut lab, all) = laboratory(10_000);
    let archive = lab.archive();
    let now = freshness(TODAY);
    let mut most = 0;
    for notation in [Notation::Iso3950, Notation::Universal] {
        for filter in [
            "",
            "46",
            "x45",
            "zirc",
            "K17 call",
            "bench 30",
            "30",
            "taper",
            "margin lost",
            "36",
            "waiting impression",
            "to call 46 gold",
            "24-0",
            "nothing",
            "hold K18 ab",
            "xyz",
        ] {
            let words: Vec<String> = filter
                .to_lowercase()
                .split(' ')
                .map(str::to_owned)
                .collect();
            let own = all
                .iter()
                .filter(|(item, found)| words.iter().all(|word| has(item, found, word, notation)));
            let mut wanted: Vec<&WorkItem> = own.map(|(item, _)| item).collect();
            most = most.max(wanted.len());
            for order in Order::ALL {
                in_order(order, &mut wanted);
                let rows = archive
                    .work(&asked(filter, notation, order, (TODAY, None)), &now)
                    .unwrap();
                let found: Vec<String> = rows.into_iter().map(|row| row.number).collect();
                let wanted: Vec<&str> = wanted.iter().map(|own| own.number.as_str()).collect();
                assert_eq!(found, wanted, "{notation:?} {filter:?} {order:?}");
                // Each stands where the archive says that it does.
                for place in [0, 1, 17, 399]
                    .into_iter()
                    .filter(|own| *own < wanted.len())
                {
                    let ask = asked(filter, notation, order, (TODAY, None));
                    let told = archive.place_of(wanted[place], &ask).unwrap();
                    assert_eq!(told, Some(place), "{filter:?} {order:?}");
                }
            }
        }
    }
    assert_eq!(most, 10_000);
    // A row comes back as it was written.
    let listed = super::everything(&archive);
    for (item, _) in all.iter().step_by(97) {
        let own = listed.iter().find(|own| own.number == item.number);
        let own = own.unwrap().clone();
        let touched = own.touched;
        assert_eq!(
            own,
            WorkItem {
                touched,
                ..item.clone()
            }
        );
    }
    counted(&mut lab, &all);
}

fn counted(lab: &mut Lab, all: &[(WorkItem, Vec<String>)]) {
    lab.desk.show_worklist().unwrap();
    let counts = lab.desk.session.listing.counts;
    let count = |is: &dyn Fn(&WorkItem) -> bool| all.iter().filter(|(own, _)| is(own)).count();
    let state = |own: &WorkItem| own.state.as_ref().unwrap().state;
    let calls = |own: &WorkItem| state(own) == State::ToCall;
    assert_eq!(counts.all, 10_000);
    assert_eq!(counts.open, count(&|own| !own.closed));
    assert_eq!(counts.to_call, count(&calls));
    let late = count(&|own| {
        let awaited = own.state.as_ref().unwrap().awaited.iter();
        let mut days = awaited
            .filter_map(|own| own.due)
            .chain(own.due)
            .chain(own.promised);
        !own.closed && state(own) != State::Returned && days.any(|day| day < TODAY)
    });
    assert_eq!(counts.late, late);
    // What a row calls late is what is counted.
    assert_eq!(late, count(&|own| own.is_late(TODAY)));
    assert!(late > 100 && counts.to_call > 100);
}

/// The mark goes through the whole list, and only a part of it is here.
#[test]
fn the_part_that_is_here_goes_with_the_mark() {
    let (mut lab, all) = laboratory(1_000);
    lab.desk.show_worklist().unwrap();
    let mut wanted: Vec<&WorkItem> = all.iter().map(|(item, _)| item).collect();
    in_order(Order::Turn, &mut wanted);
    for own in &wanted {
        assert_eq!(lab.marked(), own.number);
        assert!(lab.desk.session.worklist.len() <= WINDOW);
        lab.keys("down");
    }
    for own in wanted.iter().rev() {
        assert_eq!(lab.marked(), own.number);
        lab.keys("up");
    }
    lab.keys("pgdn pgdn 3 pgdn");
    assert_eq!(lab.marked(), wanted[40].number);
    lab.keys("pgup 9");
    assert_eq!(lab.marked(), wanted[20].number);
}

#[test]
fn the_marked_case_stays_marked_when_the_list_changes() {
    let (mut lab, all) = laboratory(1_000);
    lab.desk.show_worklist().unwrap();
    lab.keys("pgdn pgdn pgdn down");
    let number = lab.marked().to_owned();
    let (item, _) = all.iter().find(|(own, _)| own.number == number).unwrap();
    // Round all orders.
    for order in [
        Order::Last,
        Order::Number,
        Order::Dentist,
        Order::Who,
        Order::Turn,
    ] {
        lab.keys("s");
        assert_eq!(lab.desk.session.listing.order, order);
        assert_eq!(lab.marked(), number);
    }
    // It has the words that are typed, to the last but one.
    lab.keys("f");
    for c in number.chars() {
        lab.desk.key(&c.to_string(), &super::moment(1));
        assert_eq!(
            lab.marked(),
            number,
            "{:?}",
            lab.desk.session.listing.filter
        );
    }
    assert_eq!(lab.shown(), [format!("[{number}]")]);
    lab.keys("x");
    assert!(lab.desk.session.worklist.is_empty());
    lab.keys("esc");
    assert!(lab.desk.session.listing.filter.is_empty());
    assert_eq!(lab.desk.session.worklist.len(), WINDOW);
    // Somebody else works on it: it moves in the order, and stays marked.
    lab.desk.show_worklist().unwrap();
    lab.keys("pgdn");
    let marked = lab.marked().to_owned();
    let (item, found) = all
        .iter()
        .find(|(own, _)| own.number == marked)
        .unwrap_or(&(item.clone(), Vec::new()))
        .clone();
    let moved = WorkItem {
        due: Some(date(1999, 1, 1)),
        closed: false,
        ..item
    };
    assert!(lab.archive().put_work(&row(&moved, &found)).unwrap());
    lab.desk.show_worklist().unwrap();
    assert_eq!(lab.marked(), marked);
}

/// A long list is looked through beside the keys: the letter that was typed is shown at once, an older search is not taken,
/// and no key acts on the list of the filter before.
#[test]
fn a_long_list_is_looked_through_beside_the_keys() {
    let (mut lab, all) = laboratory(10_000);
    lab.desk.show_worklist().unwrap();
    let (sender, found) = std::sync::mpsc::channel();
    lab.desk.find_apart(move |part| drop(sender.send(part)));
    let mut wanted: Vec<&WorkItem> = all.iter().map(|(item, _)| item).collect();
    in_order(Order::Turn, &mut wanted);
    let first = lab.shown();
    let deep = wanted[9_000].number.clone();
    let view = |lab: &Lab| match lab.desk.session.view().page {
        PageView::Worklist(list) => *list,
        _ => panic!("no worklist"),
    };
    lab.keys("f");
    for c in deep.chars() {
        lab.desk.key(&c.to_string(), &super::moment(1));
        assert!(lab.desk.session.listing.looks);
        assert_eq!(lab.shown(), first);
    }
    assert_eq!(view(&lab).filter, deep);
    assert_eq!(view(&lab).found.as_deref(), Some("looking"));
    // Whatever comes back, in whatever order, only what was typed last is shown.
    while lab.desk.session.listing.looks {
        assert_eq!(lab.shown(), first);
        lab.desk.found(found.recv().unwrap());
    }
    assert_eq!(lab.shown(), [format!("[{deep}]")]);
    assert_eq!(view(&lab).found.as_deref(), Some("1 case"));
    // Enter does not wait for what is on its way, and opens what the filter finds.
    let other = wanted[8_000].number.clone();
    lab.keys("esc f");
    for c in other.chars() {
        lab.desk.key(&c.to_string(), &super::moment(2));
    }
    assert!(lab.desk.session.listing.looks);
    lab.keys("down");
    assert!(!lab.desk.session.listing.looks);
    assert_eq!(lab.marked(), other);
    // What comes back late changes nothing.
    let late = found.recv().unwrap();
    lab.keys("esc");
    let before = lab.shown();
    lab.desk.found(late);
    assert_eq!(lab.shown(), before);
}

/// Three words look at no text: what is late, what is due soon, and what is one's own.
#[test]
fn late_due_and_mine_are_words_of_a_filter() {
    let (lab, all) = laboratory(2_000);
    let archive = lab.archive();
    let found = |filter: &str, who: Option<&str>| -> Vec<String> {
        let ask = asked(filter, Notation::Iso3950, Order::Number, (TODAY, who));
        let rows = archive.work(&ask, &freshness(TODAY)).unwrap();
        let mut numbers: Vec<String> = rows.into_iter().map(|row| row.number).collect();
        numbers.sort();
        numbers
    };
    let wanted = |is: &dyn Fn(&WorkItem) -> bool| -> Vec<String> {
        let own = all.iter().filter(|(item, _)| is(item));
        let mut numbers: Vec<String> = own.map(|(item, _)| item.number.clone()).collect();
        numbers.sort();
        numbers
    };
    let day = |item: &WorkItem| item.first_due().filter(|_| !item.closed);
    let late = wanted(&|own| day(own).is_some_and(|day| day < TODAY));
    let due = wanted(&|own| day(own).is_some_and(|day| day <= date(2026, 11, 26)));
    let mine = wanted(&|own| own.who.as_deref() == Some("AB"));
    assert!(late.len() > 50 && due.len() > late.len() && mine.len() > 50);
    assert_eq!(found("late", None), late);
    assert_eq!(found("due", None), due);
    assert_eq!(found("Late due", None), late);
    assert_eq!(found("mine", Some("AB")), mine);
    let state = |own: &WorkItem| own.state.as_ref().unwrap().state;
    let calls = wanted(&|own| !own.closed && state(own) == State::ToCall);
    assert_eq!(found("calls", None), calls);
    // A code is whole: nobody's cases are those of whoever has a longer one.
    assert!(found("mine", Some("A")).is_empty());
    assert_eq!(found("mine", Some("ab")), mine);
    let both = wanted(&|own| late.contains(&own.number) && mine.contains(&own.number));
    assert_eq!(found("mine late", Some("AB")), both);
    // Without a code it is a word like any other.
    assert!(found("mine", None).is_empty());
}

/// A letter takes one of the ready filters, and the list says by what it is filtered.
#[test]
fn letters_take_ready_filters() {
    let (mut lab, all) = laboratory(1_000);
    lab.desk.show_worklist().unwrap();
    let state = |own: &WorkItem| own.state.as_ref().unwrap().state;
    for (key, filter, is) in [
        ("c", "calls", State::ToCall),
        ("a", "waiting", State::Waiting),
    ] {
        lab.keys(key);
        assert_eq!(lab.desk.session.listing.filter, filter);
        let many = all.iter().filter(|(own, _)| state(own) == is).count();
        let shown = &lab.desk.session.worklist;
        assert!(shown.len() == many.min(WINDOW) && many > 0, "{key}");
        assert!(shown.iter().all(|own| state(own) == is), "{key}");
    }
    lab.keys("d");
    assert_eq!(lab.desk.session.listing.filter, "due");
    lab.keys("esc");
    assert!(lab.desk.session.listing.filter.is_empty());
    assert_eq!(lab.desk.session.worklist.len(), WINDOW);
    // Nobody knows whose cases are meant.
    lab.desk.session.who = None;
    lab.keys("m");
    assert!(lab.desk.session.listing.filter.is_empty());
    assert!(lab.desk.session.notice.as_ref().unwrap().contains("--who"));
    lab.desk.session.who = Some("AB".to_owned());
    lab.keys("m");
    assert_eq!(lab.desk.session.listing.filter, "mine");
    let shown = &lab.desk.session.worklist;
    assert!(!shown.is_empty() && shown.iter().all(|own| own.who.as_deref() == Some("AB")));
    // Typed into the filter, a letter is a letter.
    lab.keys("esc f d");
    assert_eq!(lab.desk.session.listing.filter, "d");
}
