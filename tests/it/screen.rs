//! The screen: how each page looks, and what holds at every size.

mod pictures;
mod signs;
mod sizes;

use std::fmt::Write as _;

use casepan::case::{Case, Layer, Reading};
use casepan::fact::Value;
use casepan::flow::Level;
use casepan::judge::Verdict;
use casepan::screen::{Theme, draw};
use casepan::session::view::View;
use casepan::session::{Page, Session, WorkItem};
use casepan::tooth::Notation;
use ratatui::buffer::{Buffer, Cell};
use ratatui::layout::{Position, Rect};
use ratatui::style::{Color, Modifier};

use super::made::{choice, mm, spot, units};
use super::session::{Technician, crown};

/// Draws a walk on an empty screen.
fn screen(session: &Session, size: (u16, u16), theme: Theme) -> (Buffer, Option<Position>) {
    drawn(&session.view(), size, theme)
}

fn drawn(view: &View, (width, height): (u16, u16), theme: Theme) -> (Buffer, Option<Position>) {
    let area = Rect::new(0, 0, width, height);
    let mut buf = Buffer::empty(area);
    let cursor = draw(&mut buf, area, view, theme);
    (buf, cursor)
}

/// One row as text, blanks at its end included.
fn row(buf: &Buffer, y: u16) -> String {
    let mut text = String::new();
    let mut x = 0;
    while x < buf.area.width {
        let symbol = buf[(x, y)].symbol();
        text.push_str(symbol);
        // The cell behind a wide character belongs to it.
        x += u16::try_from(unicode_width::UnicodeWidthStr::width(symbol).max(1)).unwrap();
    }
    text
}

/// How a cell looks; nothing for plain text.
fn look(cell: &Cell) -> String {
    let mut words = Vec::new();
    for (modifier, word) in [
        (Modifier::BOLD, "bold"),
        (Modifier::DIM, "dim"),
        (Modifier::UNDERLINED, "underlined"),
        (Modifier::REVERSED, "reversed"),
    ] {
        if cell.modifier.contains(modifier) {
            words.push(word.to_owned());
        }
    }
    for (ground, colour) in [("fg", cell.fg), ("bg", cell.bg)] {
        if colour != Color::Reset {
            words.push(format!("{ground}={}", format!("{colour:?}").to_lowercase()));
        }
    }
    words.join(" ")
}

/// Runs of cells that look alike, as `row:first..end look`.
fn runs(buf: &Buffer) -> String {
    let mut text = String::new();
    for y in 0..buf.area.height {
        let looks: Vec<String> = (0..buf.area.width).map(|x| look(&buf[(x, y)])).collect();
        let mut start = 0;
        for run in looks.chunk_by(|a, b| a == b) {
            if !run[0].is_empty() {
                let _ = writeln!(text, "{y}:{start}..{} {}", start + run.len(), run[0]);
            }
            start += run.len();
        }
    }
    text
}

/// A page in full: its text, the terminal's cursor, its looks with and without colours.
fn shown(session: &Session, size: (u16, u16)) -> String {
    let (plain, cursor) = screen(session, size, Theme::plain());
    let mut text = String::new();
    for y in 0..size.1 {
        let _ = writeln!(text, "{}", row(&plain, y).trim_end());
    }
    let cursor = cursor.map_or("none".to_owned(), |at| format!("{}:{}", at.y, at.x));
    let _ = write!(text, "--- cursor\n{cursor}\n--- plain\n{}", runs(&plain));
    for (name, theme) in [
        ("dark", Theme::dark()),
        ("light", Theme::light()),
        ("contrast", Theme::contrast()),
    ] {
        let (coloured, _) = screen(session, size, theme);
        for y in 0..size.1 {
            assert_eq!(row(&plain, y), row(&coloured, y), "{name} changes no text");
        }
        let _ = write!(text, "--- {name}\n{}", runs(&coloured));
    }
    text
}

/// A crown whose prep is read, low and wide at its base, with a loose margin.
pub(crate) fn low_crown() -> Case {
    let mut case = crown();
    for (fact, at, value) in [
        ("order.matches", "case", choice("yes")),
        ("order.shade_given", "case", Value::No),
        ("tooth.margin_seen", "26", choice("1-2")),
        ("tooth.margin_defect", "26", Value::NotSeen),
        ("tooth.height", "26", mm(2.4)),
        ("tooth.width_margin_md", "26", mm(8.0)),
        ("tooth.width_top_md", "26", mm(6.0)),
        ("tooth.width_margin_fl", "26", mm(9.0)),
        ("tooth.width_top_fl", "26", mm(6.5)),
    ] {
        case.put(spot(fact, at), Layer::Measured, Reading::plain(value));
    }
    case
}

pub(crate) fn worklist() -> Session {
    let mut session = Session::new(Notation::Iso3950);
    let item = |number: &str, line: &str, level: Level, could_be: Level, left: usize| WorkItem {
        state: None,
        expected: None,
        number: number.to_owned(),
        units: Some(units(line)),
        verdict: Some(Verdict {
            level,
            could_be,
            drawn: could_be,
            covered: true,
        }),
        not_covered: 0,
        left,
        last: "2026-11-23T09:30:00Z".parse().unwrap(),
    };
    session.list(vec![
        item("24-0381", "44 x45 46", Level::Call, Level::Hold, 12),
        item("24-0382", "26", Level::Fine, Level::Fine, 0),
        item("24-0383", "11 21; 26", Level::Fine, Level::Call, 1),
        item("24-0384", "x12 13", Level::Hold, Level::Hold, 0),
        item("24-0385", "36", Level::Watch, Level::Watch, 0),
        WorkItem {
            units: None,
            verdict: None,
            ..item("24-0386", "26", Level::Fine, Level::Fine, 0)
        },
    ]);
    session.key("down", &super::session::moment(1));
    session
}

/// Every page that there is, by name.
fn pages() -> Vec<(&'static str, Session)> {
    let crown = |keys: fn(&mut Technician) -> &mut Technician| {
        let mut tech = Technician::on(&low_crown());
        keys(&mut tech);
        tech.session
    };
    let mut prompt = worklist();
    prompt.key("n", &super::session::moment(1));
    let mut missing = worklist();
    missing.notice = Some("case 24-0381 is already on the worklist".to_owned());
    vec![
        ("worklist-empty", Session::new(Notation::Iso3950)),
        ("worklist", worklist()),
        ("notice", missing),
        ("prompt-number", prompt),
        (
            "numbers",
            crown(|s| s.at("tooth.clearance", "26").keys("0.4")),
        ),
        ("choices", crown(|s| s.at("tooth.undercut", "26"))),
        (
            "refusal",
            crown(|s| s.at("tooth.clearance", "26").keys("7 enter")),
        ),
        (
            "new-finding",
            crown(|s| s.at("tooth.undercut", "26").keys("5")),
        ),
        (
            "walls",
            crown(|s| {
                s.at("wall.height", "26/mesial")
                    .keys("2 enter 2.5 enter * - 1 2")
            }),
        ),
        ("findings", crown(|s| s.keys("f down"))),
        ("summary", crown(|s| s.keys("e"))),
        ("help", crown(|s| s.at("tooth.clearance", "26").keys("?"))),
        ("prompt-units", crown(|s| s.keys("o"))),
        ("call-waiting", crown(|s| s.keys("d"))),
        ("call", crown(|s| s.with_ways().keys("d"))),
        ("call-ready", crown(|s| s.with_ways().keys("d up up up"))),
        ("call-picking", crown(|s| s.with_ways().keys("d 1"))),
        (
            "prompt-words",
            crown(|s| s.with_ways().keys("d 1 0 enter as space agreed")),
        ),
        (
            "call-parts",
            crown(|s| s.with_ways().keys("d 1 0 enter as space agreed enter 1")),
        ),
        (
            "call-read-back",
            crown(|s| {
                s.with_ways()
                    .keys("d 1 1 t soon enter c half space each enter")
            }),
        ),
        (
            "call-said",
            crown(|s| s.with_ways().keys("d 1 7 enter x d down")),
        ),
        ("find-all", crown(|s| s.keys("/"))),
        ("find-words", crown(|s| s.keys("/ heigh down"))),
        ("find-nothing", crown(|s| s.keys("/ xyzzyq enter"))),
        ("options-waiting", crown(|s| s.keys("x"))),
        ("options", crown(|s| s.with_ways().keys("x down down"))),
        (
            "options-full",
            crown(|s| s.with_ways().keys("x down enter")),
        ),
        (
            "history",
            crown(|s| {
                s.at("tooth.height", "26").keys("4.1 enter");
                s.at("tooth.height", "26").keys("3.9 enter u h")
            }),
        ),
        (
            "history-case",
            crown(|s| s.keys("l 7 enter 14 enter h h h")),
        ),
        ("picture", crown(|s| s.at("tooth.height", "26").keys("g"))),
        ("picture-arch", crown(|s| s.keys("g left"))),
        ("trying", crown(|s| s.at("tooth.height", "26").keys("v"))),
        (
            "tried",
            crown(|s| {
                s.at("tooth.height", "26").keys("v");
                s.at("tooth.height", "26").keys("5 enter")
            }),
        ),
    ]
}

#[test]
fn every_page_looks_as_it_did() {
    for size in [(40, 12), (80, 24), (120, 40)] {
        for (name, session) in pages() {
            insta::assert_snapshot!(
                format!("{name}-{}x{}", size.0, size.1),
                shown(&session, size)
            );
        }
    }
}

#[test]
fn each_page_is_the_one_it_is_called() {
    for (name, session) in pages() {
        let page = match name {
            "findings" => Page::Findings,
            "summary" => Page::Summary,
            name if name.starts_with("worklist") => Page::Worklist,
            name if name.starts_with("call") || name == "prompt-words" => Page::Call,
            name if name.starts_with("options") => Page::Options,
            name if name.starts_with("picture") => Page::Picture,
            name if name.starts_with("history") => Page::History,
            "notice" | "prompt-number" => Page::Worklist,
            _ => Page::Questions,
        };
        assert_eq!(session.page, page, "{name}");
        assert_eq!(session.help, name == "help");
        assert_eq!(session.prompt.is_some(), name.starts_with("prompt"));
    }
}
