//! Typing a number moves nothing else on the screen.

use casepan::case::Layer;
use casepan::case::Reading;
use casepan::screen::{Theme, draw};
use casepan::session::view::PageView;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Modifier;

use super::{Technician, crown};
use crate::made::{choice, mm, spot};

fn screen(tech: &Technician, width: u16, height: u16) -> Buffer {
    let area = Rect::new(0, 0, width, height);
    let mut buf = Buffer::empty(area);
    draw(&mut buf, area, &tech.session.view(), Theme::plain());
    buf
}

/// From this size on a picture stands beside the questions, from this column on. It alone follows what is typed.
fn picture(area: Rect) -> u16 {
    match (area.width, area.height) {
        (80.., 20..) => 51 + (area.width - 80) / 4,
        _ => u16::MAX,
    }
}

/// What changed outside the open cell, the line it is typed on and the picture, as `column,row before after`.
fn changed(before: &Buffer, after: &Buffer) -> Vec<(String, String)> {
    let area = before.area;
    // The line that is typed on begins with the mark of the open cell.
    let begins = |y: &u16| (0..3).any(|x| before[(x + 1, *y)].symbol() == "►");
    let typed = (0..area.height)
        .rev()
        .find(begins)
        .expect("a line to type on");
    let mut list = Vec::new();
    for y in 0..area.height {
        for x in 0..area.width {
            let (was, is) = (&before[(x, y)], &after[(x, y)]);
            let open = |cell: &ratatui::buffer::Cell| cell.modifier.contains(Modifier::REVERSED);
            let entry = y == typed && (2..16).contains(&x);
            let picture = x > picture(area) && y > area.height * 2 / 5;
            let follows = entry || picture || (open(was) && open(is));
            if was != is && !follows {
                list.push((was.symbol().to_owned(), is.symbol().to_owned()));
            }
        }
    }
    list
}

/// A crown with findings, one of them just brought and one just taken away by the last key.
fn with_findings() -> Technician {
    let mut case = crown();
    for (fact, value) in [
        ("tooth.margin_seen", choice("over-2")),
        ("tooth.undercut", choice("over-0.3")),
        ("tooth.height", mm(2.0)),
        ("tooth.width_margin_md", mm(9.0)),
        ("tooth.width_top_md", mm(6.0)),
        ("tooth.width_margin_fl", mm(9.0)),
    ] {
        case.put(spot(fact, "26"), Layer::Measured, Reading::plain(value));
    }
    Technician::on(&case)
}

#[test]
fn typing_a_number_moves_nothing_else() {
    for (width, height) in [(40, 12), (60, 20), (80, 24), (100, 30), (120, 40)] {
        for (first, fact) in [
            // The finding on the margin goes, and the height is open again.
            ("1", "tooth.margin_seen"),
            // A finding comes.
            ("5", "tooth.undercut"),
            ("1", "tooth.undercut"),
            ("4.5 enter", "tooth.height"),
            ("6 enter", "tooth.width_top_fl"),
        ] {
            let mut tech = with_findings();
            tech.at(fact, "26").keys(first);
            for (fact, at) in [("tooth.height", "26"), ("tooth.clearance", "26")] {
                tech.at(fact, at);
                let mut before = screen(&tech, width, height);
                for (n, key) in ["2", ".", "5", "backspace", "3", "9", "9", "9", "9"]
                    .into_iter()
                    .enumerate()
                {
                    tech.keys(key);
                    let after = screen(&tech, width, height);
                    let mut list = changed(&before, &after);
                    if n == 0 && width < 80 {
                        // A notice stands in the row of the findings of a low page until the first key.
                        before = after;
                        continue;
                    }
                    if n == 0 {
                        // The mark of what is new goes with the first key and leaves blanks.
                        list.retain(|(_, is)| is != " ");
                    }
                    assert!(list.is_empty(), "{width}x{height} {fact} {key}: {list:?}");
                    before = after;
                }
                tech.keys("esc");
            }
        }
    }
}

/// A number typed beside bands stands in its open cell before enter keeps it, over one that was kept before.
#[test]
fn a_number_typed_beside_bands_shows() {
    let mut tech = super::walls();
    tech.at("wall.margin_width", "26/mesial").keys("0.6 enter");
    tech.at("wall.margin_width", "26/mesial").keys("0.7");
    let screen = screen(&tech, 80, 24);
    let open: String = screen
        .content()
        .iter()
        .filter(|cell| cell.modifier.contains(Modifier::REVERSED))
        .map(ratatui::buffer::Cell::symbol)
        .collect();
    assert!(open.contains("0.7") && !open.contains("0.6"), "{open:?}");
}

/// The picture of what is typed on a prep all of whose readings are there.
fn drawn(tech: &Technician) -> casepan::session::view::PictureView {
    let PageView::Questions(page) = tech.session.view().page else {
        panic!("not the questions");
    };
    page.picture.expect("a picture")
}

/// A frame that is drawn at once shows the new shape without grip; what follows is what would have come whole.
#[test]
fn a_digit_is_drawn_before_its_grip() {
    let mut tech = Technician::on(&casepan::demo::case("bridge-44-46").unwrap());
    tech.session.pictures = true;
    tech.at("tooth.height", "46");
    let before = drawn(&tech).grip.unwrap().value.expect("grip is known");
    tech.keys("4");
    let whole = drawn(&tech);
    let grip = whole.grip.clone().unwrap();
    assert!(grip.value.unwrap() > before, "a higher prep holds better");
    assert!(!tech.session.completes_sketch(), "it was whole already");

    tech.keys("backspace");
    tech.session.draws_first();
    tech.keys("4");
    let first = drawn(&tech);
    assert_eq!(first.sketch, whole.sketch);
    let says = first.grip.unwrap();
    assert_eq!(says.value, None);
    assert!(says.says.contains("being worked out"), "{}", says.says);
    // The next key drops what was not worked out.
    tech.keys("5");
    let _ = drawn(&tech);
    tech.keys("backspace");
    let _ = drawn(&tech);
    assert!(tech.session.completes_sketch());
    assert_eq!(drawn(&tech), whole);
    assert!(!tech.session.completes_sketch());
}
