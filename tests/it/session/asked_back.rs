//! Readings that cannot be, or hardly, are asked back before they are kept.

use casepan::case::{Case, Layer, Reading};
use casepan::fact::Value;
use casepan::screen::{Theme, draw};
use casepan::session::view::{PageView, PresentView};
use casepan::session::{Command, Page};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::{Technician, crown, moment};
use crate::made::{choice, mm, spot};

fn put(case: &mut Case, fact: &str, at: &str, value: Value) {
    case.put(spot(fact, at), Layer::Measured, Reading::plain(value));
}

/// A crown whose open cell is the top from mesial to distal; its margin was read as 8.6 mm.
fn at_the_top() -> Technician {
    let mut case = crown();
    put(&mut case, "tooth.height", "26", mm(4.5));
    put(&mut case, "tooth.width_margin_md", "26", mm(8.6));
    on(&case, "tooth.width_top_md", "26")
}

fn on(case: &Case, fact: &str, at: &str) -> Technician {
    let mut tech = Technician::on(case);
    tech.go(Page::Questions).at(fact, at);
    tech
}

fn present(tech: &Technician) -> PresentView {
    match tech.session.view().page {
        PageView::Questions(page) => page.present.expect("an open cell"),
        _ => panic!("not the questions"),
    }
}

fn asked(tech: &Technician) -> Option<String> {
    present(tech).asked
}

fn kept(tech: &Technician, fact: &str, at: &str) -> Option<Value> {
    let spot = spot(fact, at);
    tech.case().value(&spot.fact, spot.at).cloned()
}

const SWAPPED: &str = "26: top 9.4 mm but margin 8.6 mm, m-d. Swapped?";

#[test]
fn a_top_wider_than_its_margin_is_asked_back_and_kept_on_insistence() {
    let mut tech = at_the_top();
    let before = tech.journal.len();
    tech.keys("9.4 enter");
    assert_eq!(asked(&tech).as_deref(), Some(SWAPPED));
    assert_eq!(
        present(&tech).refusal.as_deref(),
        Some("+ saves it; any other key goes on")
    );
    assert_eq!(
        (tech.journal.len(), present(&tech).input),
        (before, "9.4".to_owned())
    );
    tech.keys("+");
    assert_eq!(kept(&tech, "tooth.width_top_md", "26"), Some(mm(9.4)));
    assert_eq!(asked(&tech), None);
    // The walk has gone on, and the finding is told.
    let inspection = tech.session.inspection.as_ref().expect("a case");
    assert_ne!(inspection.cursor(), Some(&spot("tooth.width_top_md", "26")));
    let flow = inspection.flow();
    let found = inspection.judgement().findings.iter();
    let rules: Vec<_> = found
        .map(|f| flow.rule(f.rule).expect("a rule").id.as_str())
        .collect();
    assert!(rules.contains(&"top-over-margin-md"), "{rules:?}");
}

/// Enter held down or struck twice asks again and keeps nothing; so does any number of it.
#[test]
fn enter_never_insists() {
    let mut tech = at_the_top();
    let before = tech.journal.len();
    tech.keys("9.4 enter enter enter enter");
    assert_eq!(asked(&tech).as_deref(), Some(SWAPPED));
    assert_eq!(tech.journal.len(), before);
    // The key that insists means nothing of the kind where nothing is asked back, and never keeps what is only typed.
    let mut tech = at_the_top();
    tech.keys("9.4 +");
    assert_eq!(kept(&tech, "tooth.width_top_md", "26"), None);
}

#[test]
fn any_other_key_goes_on_editing_and_leaves_what_was_typed() {
    let mut tech = at_the_top();
    tech.keys("9.4 enter backspace");
    assert_eq!(
        (asked(&tech), present(&tech).input),
        (None, "9.".to_owned())
    );
    tech.keys("backspace backspace 7.9 enter");
    assert_eq!(kept(&tech, "tooth.width_top_md", "26"), Some(mm(7.9)));
    // Notation, help and pages leave it as it stands.
    let mut tech = at_the_top();
    tech.keys("9.4 enter #");
    let universal = SWAPPED.replace("26", "14");
    assert_eq!(asked(&tech).as_deref(), Some(universal.as_str()));
    tech.keys("? esc f esc");
    assert_eq!(present(&tech).input, "9.4");
}

#[test]
fn neither_undo_nor_leaving_is_blocked() {
    let mut tech = at_the_top();
    tech.keys("9.4 enter + u");
    assert_eq!(kept(&tech, "tooth.width_top_md", "26"), None);
    tech.keys("y");
    assert_eq!(kept(&tech, "tooth.width_top_md", "26"), Some(mm(9.4)));
    let mut tech = at_the_top();
    tech.keys("9.4 enter q");
    assert_eq!(tech.session.page, Page::Worklist);
    let mut tech = at_the_top();
    tech.keys("9.4 enter esc");
    assert_eq!((asked(&tech), present(&tech).input), (None, String::new()));
    let mut tech = at_the_top();
    tech.keys("9.4 enter u");
    assert_eq!(asked(&tech), None);
}

/// What is known already is not asked back with the next answer; a correction that cannot be either is.
#[test]
fn only_what_is_new_is_asked_back() {
    let mut tech = at_the_top();
    tech.keys("9.4 enter +");
    tech.answer("tooth.clearance", "26", "1.5");
    assert_eq!(kept(&tech, "tooth.clearance", "26"), Some(mm(1.5)));
    tech.answer("tooth.width_top_md", "26", "9.3");
    assert!(asked(&tech).is_some());
    tech.keys("backspace backspace backspace 9.4 enter");
    // The same value again is no change.
    assert!(!tech.session.is_asked_back());
}

/// Each brother, by hand: what was read before, the cell and what is typed, and what is asked back.
#[test]
fn each_reading_that_can_hardly_be_is_asked_back() {
    let choice_of = |name: &str| choice(name);
    let walls = |heights: [f64; 3]| {
        let places = ["26/mesial", "26/distal", "26/facial"].into_iter();
        let read = places
            .zip(heights)
            .map(|(at, height)| ("wall.height", at, mm(height)));
        let mut list: Vec<(&str, &str, Value)> = read.collect();
        list.push(("tooth.height", "26", mm(4.5)));
        list.push(("tooth.wall_by_wall", "26", Value::Yes));
        list
    };
    type Read = Vec<(&'static str, &'static str, Value)>;
    let by_wall = ("tooth.wall_by_wall", "26", Value::Yes);
    let height = ("tooth.height", "26", mm(4.5));
    let rows: Vec<(Read, &str, &str, &str, &str)> = vec![
        (vec![], "tooth.height", "26", "9.8", "prep 9.8 mm high"),
        (vec![], "tooth.height", "26", "0.5", "prep 0.5 mm high"),
        (
            vec![],
            "tooth.width_margin_md",
            "26",
            "13",
            "13.0 mm wide at the margin, m-d",
        ),
        (
            vec![],
            "tooth.width_margin_fl",
            "26",
            "4",
            "4.0 mm wide at the margin, f-l",
        ),
        (
            vec![("tooth.width_margin_fl", "26", mm(9.0))],
            "tooth.width_top_fl",
            "26",
            "9.2",
            "top 9.2 mm but margin 9.0 mm, f-l",
        ),
        (
            vec![("tooth.width_top_md", "26", mm(8.0))],
            "tooth.width_margin_md",
            "26",
            "7.5",
            "top 8.0 mm but margin 7.5 mm, m-d",
        ),
        (
            vec![height.clone(), ("tooth.width_margin_md", "26", mm(8.0))],
            "tooth.width_top_md",
            "26",
            "8.0",
            "nearly the same width",
        ),
        (vec![], "tooth.clearance", "26", "5.8", "clearance 5.8 mm"),
        (
            walls([2.5, 2.5, 2.6]),
            "wall.height",
            "26/lingual",
            "2.4",
            "average height 4.5 mm",
        ),
        (
            vec![
                height.clone(),
                by_wall.clone(),
                ("wall.form", "26/facial", choice_of("dished-top")),
            ],
            "wall.straight_height",
            "26/facial",
            "8.0",
            "26 buccal: straight part 8.0 mm",
        ),
        (
            vec![
                height.clone(),
                by_wall.clone(),
                ("tooth.uneven", "26", choice_of("margin-steps")),
                ("tooth.height", "26", mm(2.5)),
            ],
            "wall.margin_step",
            "26/facial",
            "4.5",
            "26 buccal: margin step 4.5 mm",
        ),
        (
            vec![
                height,
                by_wall,
                ("tooth.width_margin_md", "26", mm(8.0)),
                ("wall.taper", "26/mesial", crate::made::deg(45.0)),
            ],
            "wall.taper",
            "26/distal",
            "45",
            "meet below the top",
        ),
    ];
    for (read, fact, at, typed, says) in rows {
        let mut case = crown();
        for (fact, at, value) in read {
            put(&mut case, fact, at, value);
        }
        let mut tech = on(&case, fact, at);
        if fact == "wall.taper" {
            tech.keys("m");
        }
        tech.keys(typed).keys("enter");
        let said =
            asked(&tech).unwrap_or_else(|| panic!("{fact} {typed}: {:?}", present(&tech).refusal));
        assert!(said.contains(says) && said.ends_with('?'), "{said}");
        assert_eq!(kept(&tech, fact, at), None, "{fact}");
        tech.keys("+");
        assert!(kept(&tech, fact, at).is_some(), "{fact}");
    }
}

/// A choice can make a shape impossible too: the undercut that explained it is taken back.
#[test]
fn a_choice_is_asked_back_like_a_number() {
    let mut case = crown();
    for (fact, value) in [
        ("tooth.height", mm(4.5)),
        ("tooth.width_margin_md", mm(8.6)),
        ("tooth.width_top_md", mm(8.9)),
        ("tooth.undercut", choice("to-0.3")),
    ] {
        put(&mut case, fact, "26", value);
    }
    let mut tech = on(&case, "tooth.undercut", "26");
    tech.keys("1");
    assert!(asked(&tech).is_some_and(|said| said.contains("top 8.9 mm but margin")));
    tech.keys("1");
    assert_eq!(kept(&tech, "tooth.undercut", "26"), Some(choice("to-0.3")));
    tech.keys("+");
    assert_eq!(kept(&tech, "tooth.undercut", "26"), Some(choice("none")));
}

fn screen(tech: &Technician, width: u16, height: u16) -> Buffer {
    let area = Rect::new(0, 0, width, height);
    let mut buf = Buffer::empty(area);
    draw(&mut buf, area, &tech.session.view(), Theme::plain());
    buf
}

/// It stands where the question stood, with the key in the last row above the keys; nothing else moves.
#[test]
fn nothing_else_moves_on_the_screen() {
    for (width, height) in [(40, 12), (80, 24), (120, 40)] {
        let mut tech = at_the_top();
        tech.keys("9.4");
        let before = screen(&tech, width, height);
        tech.keys("enter");
        let after = screen(&tech, width, height);
        let rows: Vec<u16> = (0..height)
            .filter(|y| (0..width).any(|x| before[(x, *y)].symbol() != after[(x, *y)].symbol()))
            .collect();
        let line = |y: u16| -> String { (0..width).map(|x| after[(x, y)].symbol()).collect() };
        let text: String = (0..height).map(line).collect::<Vec<_>>().join("\n");
        // All of it stands below the rule of the question.
        let rule = (0..height).find(|y| line(*y).starts_with(" └"));
        let rule = rule.expect("the rule of the question");
        assert!(rows.iter().all(|y| *y > rule), "{width}: {rows:?}\n{text}");
        let words: Vec<&str> = text
            .split(['│', ' ', '\n'])
            .filter(|word| !word.is_empty())
            .collect();
        let words = words.join(" ");
        assert!(words.contains("Swapped?"), "{text}");
        assert!(
            words.contains("+ saves it; any other key goes on"),
            "{text}"
        );
    }
}

/// A key of one's own is named, and keeps it.
#[test]
fn the_key_can_be_changed() {
    let mut tech = at_the_top();
    let own = vec![(Command::Insist, vec!["=".to_owned()])];
    tech.session.keymap = tech.session.keymap.changed(&own).expect("a keymap");
    tech.keys("9.4 enter");
    let refusal = present(&tech).refusal;
    assert_eq!(
        refusal.as_deref(),
        Some("= saves it; any other key goes on")
    );
    let effects = tech.session.key("=", &moment(99));
    assert_eq!(effects.len(), 1);
}
