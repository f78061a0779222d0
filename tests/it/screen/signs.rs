//! A screen of ASCII signs: every page in every notation, but for letters that somebody typed.

use casepan::case::{Layer, Reading};
use casepan::fact::Value;
use casepan::screen::{Signs, Theme};
use casepan::session::Session;
use casepan::tooth::Notation;
use ratatui::buffer::Buffer;

use super::{low_crown, pages, row, screen};
use crate::made::spot;
use crate::session::Technician;

/// Every character of a screen that is not ASCII.
fn beyond(buf: &Buffer) -> Vec<char> {
    buf.content
        .iter()
        .flat_map(|cell| cell.symbol().chars())
        .filter(|c| !c.is_ascii())
        .collect()
}

/// Pages in every size that changes their layout; the picture is drawn where it chooses its own signs.
fn each(session: &mut Session, mut look: impl FnMut(&mut Session, (u16, u16))) {
    for notation in Notation::all() {
        session.notation = notation;
        for size in [(60, 20), (80, 24), (100, 60), (109, 40)] {
            look(session, size);
        }
    }
}

#[test]
fn nothing_beyond_ascii_is_drawn_but_letters() {
    let mut special = 0;
    for (name, mut session) in pages() {
        each(&mut session, |session, size| {
            let ascii = Theme::plain().with_signs(Signs::Ascii);
            let (buf, _) = screen(session, size, ascii);
            // Names of authors are in the flow as their people write them.
            let signs: String = beyond(&buf).into_iter().filter(|c| *c != 'ü').collect();
            assert_eq!(signs, "", "{name} {size:?} {:?}", session.notation);
            special += beyond(&screen(session, size, Theme::plain()).0).len();
        });
    }
    assert!(
        special > 100,
        "the pages have signs to begin with: {special}"
    );
}

#[test]
fn signs_are_respelled_before_the_page_is_laid_out() {
    let mut session = pages()
        .into_iter()
        .find_map(|(name, session)| (name == "help").then_some(session))
        .unwrap();
    let ascii = Theme::plain().with_signs(Signs::Ascii);
    each(&mut session, |session, size| {
        // A small window shows the sign further down.
        let mut rows: Vec<String> = Vec::new();
        for scroll in (0..60).step_by(usize::from(size.1) - 8) {
            session.scroll = scroll;
            let (buf, _) = screen(session, size, ascii);
            rows.extend((0..size.1).map(|y| row(&buf, y)));
        }
        session.scroll = 0;
        let text = rows.join("\n");
        assert!(text.contains("+/-"), "{text}");
        // What got longer is wrapped anew and not cut.
        let cut = rows.iter().any(|row| row.trim_end().ends_with(".."));
        assert!(!cut, "{text}");
    });
}

/// What people typed keeps its letters, whatever the language.
#[test]
fn letters_that_people_typed_stay() {
    let mut case = low_crown();
    case.number = "Müller-Å-歯".to_owned();
    case.put(
        spot("order.fee_lines", "case"),
        Layer::Measured,
        Reading::plain(Value::Text("größer".to_owned())),
    );
    let tech = Technician::on(&case);
    let ascii = Theme::plain().with_signs(Signs::Ascii);
    let (buf, _) = screen(&tech.session, (80, 24), ascii);
    assert!(row(&buf, 0).starts_with(" Müller-Å-歯"), "{}", row(&buf, 0));
}
