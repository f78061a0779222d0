//! Every page at every size, with names as long and as wide as they may be.

use std::collections::BTreeSet;

use casepan::case::Case;
use casepan::screen::{LEAST, Theme, draw};
use casepan::session::Session;
use casepan::session::view::PageView;
use casepan::tooth::Notation;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Color;

use super::{drawn, pages, row, screen};
use crate::made::{case, choice, mm};
use crate::session::{Technician, crown};

/// Every size up to 60 by 30, and steps beyond.
fn sizes() -> impl Iterator<Item = (u16, u16)> {
    let widths = (1..=60).chain([71, 72, 79, 80, 100, 109, 110, 111, 120, 131, 132, 140, 200]);
    widths.flat_map(|width| {
        let heights = (1..=30).chain([34, 40, 50, 60]);
        heights.map(move |height| (width, height))
    })
}

/// The word of the badge in the corner.
fn verdict(session: &Session) -> Option<String> {
    session.view().header.map(|head| head.badge().word())
}

#[track_caller]
fn corner(buf: &Buffer, verdict: &str, what: &str) {
    let top = row(buf, 0);
    let ends = top.trim_end_matches([' ', ']', '■']);
    assert!(
        ends.ends_with(&format!(" {verdict}")),
        "{what} {:?}: {top}",
        buf.area
    );
    let last = top.chars().last();
    assert!(matches!(last, Some(' ' | ']')), "{what}: {top}");
}

/// One draw a size: no panic, no colour without colours, verdict and help where they belong.
#[test]
fn every_page_at_every_size() {
    for (name, session) in pages() {
        let view = session.view();
        let verdict = verdict(&session);
        let named =
            session.over.line().is_none() && !session.over.helps() && session.over.find().is_none();
        for (width, height) in sizes() {
            let area = Rect::new(0, 0, width, height);
            let mut buf = Buffer::empty(area);
            let cursor = draw(&mut buf, area, &view, Theme::plain());
            assert!(
                cursor.is_none_or(|at| area.contains(at)),
                "{name} {width}x{height}: {cursor:?}"
            );
            let plain =
                |cell: &ratatui::buffer::Cell| cell.fg == Color::Reset && cell.bg == Color::Reset;
            assert!(buf.content.iter().all(plain), "{name} {width}x{height}");
            if width < LEAST.0 || height < LEAST.1 {
                continue;
            }
            if let Some(verdict) = &verdict {
                corner(&buf, verdict, name);
            }
            let last = row(&buf, height - 1);
            assert_eq!(
                last.contains("? help"),
                named,
                "{name} {width}x{height}: {last}"
            );
        }
    }
}

#[test]
fn a_screen_that_is_too_small_says_so() {
    for (name, session) in pages() {
        for size in [(39, 24), (80, 11)] {
            let (buf, cursor) = screen(&session, size, Theme::dark());
            assert!(row(&buf, 0).contains("too small"), "{name}");
            assert_eq!(cursor, None);
        }
        let (buf, _) = screen(&session, LEAST, Theme::dark());
        assert!(!row(&buf, 0).contains("too small"), "{name}");
    }
}

/// An area of its own within a larger screen is not left.
#[test]
fn nothing_is_drawn_outside_the_area() {
    for (name, session) in pages() {
        let view = session.view();
        for (width, height) in [(40, 12), (60, 20), (80, 24), (112, 30), (20, 5)] {
            let mut buf = Buffer::empty(Rect::new(0, 0, 130, 40));
            let area = Rect::new(7, 5, width, height);
            draw(&mut buf, area, &view, Theme::dark());
            for y in 0..40 {
                for x in 0..130 {
                    let inside = area.contains((x, y).into());
                    assert!(
                        inside || buf[(x, y)] == ratatui::buffer::Cell::EMPTY,
                        "{name} {width}x{height} at {x},{y}"
                    );
                }
            }
        }
    }
}

/// A list of more than nine: each page of it is read whole with its digits, down to the smallest window, where what
/// stands behind a comma may be left out.
#[test]
fn a_long_list_is_read_whole_at_every_size() {
    let mut tech = Technician::on(&crown());
    tech.at("order.material", "R1");
    for keys in ["", "9"] {
        tech.keys(keys);
        let PageView::Questions(page) = tech.session.view().page else {
            panic!("no questions");
        };
        let choices = page.present.expect("an open question").choices;
        for size in [(40, 12), (40, 24), (60, 20), (80, 24), (120, 40)] {
            let (buf, _) = screen(&tech.session, size, Theme::plain());
            let rows: Vec<String> = (0..size.1).map(|y| row(&buf, y)).collect();
            for choice in &choices {
                let head = choice.words.split(',').next().unwrap_or_default();
                assert!(choice.short.chars().count() <= head.chars().count());
                // Whole, without what stands behind a comma, or in the shorter words of the flow.
                let wanted = [head, &choice.short].map(|own| format!("{}  {own}", choice.digit));
                let read = |own: &String| wanted.iter().any(|wanted| own.contains(wanted));
                assert!(rows.iter().any(read), "{wanted:?} {rows:#?}");
            }
        }
    }
}

/// A badge alone would say more than is so: down to the smallest window stands beside it what it does not cover.
#[test]
fn no_badge_stands_without_what_is_not_covered() {
    let mixed = case("26; 36", &[("order.scope", "R2", choice("implant"))]);
    let tech = Technician::on(&mixed);
    let view = tech.session.view();
    let head = view.header.as_ref().expect("a case");
    assert_eq!((head.not_covered, head.units.len()), (1, 2));
    for width in 40..=200 {
        let (buf, _) = drawn(&view, (width, 24), Theme::plain());
        let top = row(&buf, 0);
        assert!(top.contains("1 of 2 not covered"), "{width}: {top}");
    }
}

#[test]
fn no_green_stands_without_what_is_still_to_be_drawn() {
    let mut bridge = crate::good::pan("24 x25 26", "zirconia-3y", "resin-modified");
    crate::good::finish(&mut bridge, false);
    let tech = Technician::on(&bridge);
    let view = tech.session.view();
    let head = view.header.as_ref().expect("a case");
    assert!(head.verdict.awaits_drawing() && head.badge().word() == "NOTHING FOUND");
    for width in 40..=200 {
        let (buf, _) = drawn(&view, (width, 24), Theme::plain());
        let top = row(&buf, 0);
        assert!(top.contains("connectors"), "{width}: {top}");
    }
}

/// On the list too, where a narrow window has no room for the state.
#[test]
fn no_green_stands_alone_on_a_narrow_list() {
    let mut session = super::worklist();
    let fine = session.worklist[1].clone();
    session.worklist[1].not_covered = 1;
    session.worklist[1].units = Some(crate::made::units("26; 36"));
    session.worklist[2] = fine;
    session.worklist[2].verdict = session.worklist[2]
        .verdict
        .map(|own| casepan::judge::Verdict {
            drawn: casepan::flow::Level::Hold,
            ..own
        });
    let view = session.view();
    for width in 40..=160 {
        let (buf, _) = drawn(&view, (width, 24), Theme::plain());
        for (y, wanted) in [(6, "1 of 2 not covered"), (7, "to be designed")] {
            let line = row(&buf, y);
            let green = line.contains("NOTHING FOUND");
            assert!(line.contains(wanted) || !green, "{width}: {line}");
            assert!(width >= 60 || line.contains(wanted), "{width}: {line}");
        }
    }
}

/// What is said of a question, however long, covers none of its choices.
#[test]
fn no_notice_covers_a_choice() {
    let mut tech = Technician::on(&crown());
    tech.at("order.material", "R1");
    let PageView::Questions(page) = tech.session.view().page else {
        panic!("no questions");
    };
    let choices = page.present.expect("an open question").choices;
    let mut shown = 0;
    for words in [1, 12, 24, 36] {
        tech.session.notice = Some("notice ".repeat(words).trim_end().to_owned());
        for size in [(80, 24), (100, 30), (120, 40)] {
            let (buf, _) = screen(&tech.session, size, Theme::plain());
            let rows: Vec<String> = (0..size.1).map(|y| row(&buf, y)).collect();
            for choice in &choices {
                let wanted = format!("{}  {}", choice.digit, choice.words);
                assert!(
                    rows.iter().any(|row| row.contains(&wanted)),
                    "{wanted} {rows:#?}"
                );
            }
            shown += rows
                .iter()
                .map(|row| row.matches("notice").count())
                .sum::<usize>();
        }
    }
    assert_eq!(shown, 3 * (1 + 12 + 24 + 36), "each is whole");
}

/// The longest number, in letters of two columns, and a bridge over the whole arch.
fn widest() -> Vec<Case> {
    let arch = "17 16 x15 x14 13 x12 x11 x21 x22 23 x24 x25 26 27";
    let facts = [
        ("order.material", "R1", choice("zirconia-3y")),
        ("tooth.height", "17", mm(2.0)),
        ("restoration.connector_space", "R1", choice("tight")),
    ];
    let long = case(arch, &facts);
    [
        "9".repeat(40),
        "技".repeat(40),
        format!("a{}", "技".repeat(39)),
    ]
    .into_iter()
    .map(|number| {
        let mut case = long.clone();
        case.number = number;
        case
    })
    .collect()
}

#[test]
fn long_and_wide_names_break_nothing() {
    for case in widest() {
        let mut tech = Technician::on(&case);
        for notation in Notation::all() {
            tech.session.notation = notation;
            for cell in [
                ("tooth.height", "27"),
                ("order.material", "R1"),
                ("connector.space_height", "26-27"),
            ] {
                tech.at(cell.0, cell.1);
                let verdict = verdict(&tech.session).unwrap();
                let view = tech.session.view();
                for width in 40..=140 {
                    for height in [12, 24, 40] {
                        let (buf, _) = drawn(&view, (width, height), Theme::dark());
                        corner(&buf, &verdict, cell.0);
                        assert!(row(&buf, height - 1).contains("? help"));
                        // What is typed into is to be seen, below the row of the steps.
                        let (buf, _) = drawn(&view, (width, height), super::by_role());
                        let mut below = buf.content.iter().skip(2 * usize::from(width));
                        let open = below.any(|cell| super::look(cell) == "present");
                        assert!(open, "{cell:?} {width}x{height}");
                    }
                }
            }
        }
        let mut session = super::worklist();
        session.worklist[0].number.clone_from(&case.number);
        session.worklist[0].units = Some(case.units.clone());
        let view = session.view();
        for width in 40..=140 {
            let (buf, _) = drawn(&view, (width, 24), Theme::plain());
            // Down to the smallest window no result is cut, however long the number.
            let rows: Vec<String> = (5..12).map(|y| row(&buf, y)).collect();
            for (row, result) in rows.iter().zip([
                " ▲ CALL",
                "● NOTHING FOUND]",
                "○ OPEN]",
                " ■ ON HOLD ■",
                " ◊ WATCH",
                " cannot be read",
                " …",
            ]) {
                assert!(format!("{row} ").contains(result), "{width}: {row}");
            }
        }
    }
}

/// The cursor of the terminal stands behind what is typed.
#[test]
fn the_cursor_stands_behind_what_is_typed() {
    let mut tech = Technician::on(&super::low_crown());
    tech.at("tooth.clearance", "26");
    for (key, text) in [("1", "► 1"), (".", "► 1."), ("2", "► 1.2")] {
        tech.keys(key);
        let (buf, cursor) = screen(&tech.session, (80, 24), Theme::plain());
        let at = cursor.expect("a cursor");
        let line = row(&buf, at.y);
        assert!(line.starts_with(&format!("   {text}")), "{line}");
        assert_eq!(usize::from(at.x), 3 + text.chars().count());
    }
}

/// Whoever answers "none of them" has to have read of what: no question is cut, down to the smallest window.
#[test]
fn a_question_is_read_whole_at_every_size() {
    let case = casepan::demo::case("bridge-44-46").unwrap();
    let mut tech = Technician::on(&case);
    let (mut read, mut long) = (BTreeSet::new(), 0);
    // From the first question that is open, on over the open ones, and back over all.
    for step in 0..300 {
        tech.keys(match step {
            0 => "",
            1..150 => "tab",
            _ => "shift-tab",
        });
        let PageView::Questions(page) = tech.session.view().page else {
            panic!("no questions");
        };
        let Some(present) = page.present else {
            continue;
        };
        let wanted: Vec<&str> = present.asks.split_whitespace().collect();
        for size in [(40, 12), (60, 20), (80, 24), (120, 40)] {
            let (buf, _) = screen(&tech.session, size, Theme::plain());
            let rows: Vec<String> = (0..size.1).map(|y| row(&buf, y)).collect();
            // The zone that takes the keys ends at the line between zones; the thread stands in its second column.
            let zone = |row: &String| -> String {
                let end = |(n, c): (usize, char)| n > 3 && "│├┤┼".contains(c);
                let cells = row.chars().enumerate();
                cells.take_while(|own| !end(*own)).map(|(_, c)| c).collect()
            };
            let rows: Vec<String> = rows.iter().map(zone).collect();
            let said: Vec<&str> = rows.iter().flat_map(|row| row.split_whitespace()).collect();
            assert!(
                said.windows(wanted.len()).any(|part| part == wanted),
                "{size:?}: {wanted:?} {rows:#?}"
            );
        }
        long += usize::from(present.asks.len() > 80);
        read.insert(present.asks);
    }
    assert!(read.len() > 20 && long > 0, "{read:?} {long}");
}
