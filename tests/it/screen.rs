//! The screen: how each page looks, and what holds at every size.

mod pages;
mod pictures;
mod signs;
mod sizes;

use std::fmt::Write as _;

use casepan::case::coming::{Awaited, Blocks, Part};
use casepan::case::life::State;
use casepan::case::{Case, Layer, Reading};
use casepan::demo::laboratory::orders;
use casepan::fact::{Place, Value};
use casepan::flow::Level;
use casepan::judge::Verdict;
use casepan::learn::{Lot, figures};
use casepan::screen::{TextRole, Theme, draw};
use casepan::session::view::View;
use casepan::session::{Effect, Page, Rated, Session};
use casepan::tooth::Notation;
use casepan::worklist::{Counts, Gravest, ShortState, WorkItem};
use jiff::civil::date;
use ratatui::buffer::{Buffer, Cell};
use ratatui::layout::{Position, Rect};
use ratatui::style::{Color, Style};

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

/// A theme in which each role has a colour of its own.
fn by_role() -> Theme {
    Theme::styled(|role| {
        let nth = TextRole::ALL.iter().position(|own| *own == role).unwrap();
        Style::new().fg(Color::Indexed(u8::try_from(nth).unwrap()))
    })
}

/// The role of a cell that was drawn by role; nothing for plain text.
fn look(cell: &Cell) -> &'static str {
    match cell.fg {
        Color::Indexed(nth) if nth > 0 => TextRole::ALL[usize::from(nth)].name(),
        _ => "",
    }
}

/// Runs of cells that look alike, as `row:first..end look`.
fn runs(buf: &Buffer) -> String {
    let mut text = String::new();
    for y in 0..buf.area.height {
        let looks: Vec<&str> = (0..buf.area.width).map(|x| look(&buf[(x, y)])).collect();
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

/// A page in full: its text, the terminal's cursor, the roles of its pieces.
fn shown(session: &Session, size: (u16, u16)) -> String {
    let (plain, cursor) = screen(session, size, Theme::plain());
    let mut text = String::new();
    for y in 0..size.1 {
        let _ = writeln!(text, "{}", row(&plain, y).trim_end());
    }
    let cursor = cursor.map_or("none".to_owned(), |at| format!("{}:{}", at.y, at.x));
    // What each piece is; how that looks is the themes' matter, which have tests of their own.
    let (marked, _) = screen(session, size, by_role());
    let _ = write!(text, "--- cursor\n{cursor}\n--- roles\n{}", runs(&marked));
    for theme in [Theme::dark(), Theme::light(), Theme::contrast()] {
        let (coloured, _) = screen(session, size, theme);
        for y in 0..size.1 {
            let brackets = |y| row(&plain, y).replace(['[', ']'], " ");
            let other = row(&coloured, y).replace(['[', ']'], " ");
            assert_eq!(
                brackets(y),
                other,
                "a theme changes no text but the brackets of a badge"
            );
        }
    }
    text
}

/// A crown whose prep is read, low and wide at its base, with a loose margin.
pub(crate) fn low_crown() -> Case {
    let mut case = crown();
    for (fact, at, value) in [
        ("order.matches", "case", choice("yes")),
        ("order.shade_given", "case", Value::Yes),
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

/// A case of the worklist: number, units, verdict, state.
fn listed(number: &str, line: &str, (level, could_be): (Level, Level), state: State) -> WorkItem {
    WorkItem {
        units: Some(units(line)),
        verdict: Some(Verdict {
            level,
            could_be,
            drawn: could_be,
            covered: true,
        }),
        state: Some(ShortState {
            state,
            of: (1, 1),
            awaited: Vec::new(),
        }),
        touched: Some(date(2026, 11, 20)),
        fresh: true,
        ..WorkItem::unread(number, "2026-11-20T09:30:00Z".parse().unwrap())
    }
}

/// A worklist on Monday, 23 November 2026.
pub(crate) fn worklist() -> Session {
    let mut session = Session::new(Notation::Iso3950);
    let code = |code: &str| Some(code.to_owned());
    let waits = |due| ShortState {
        state: State::Waiting,
        of: (1, 2),
        awaited: vec![Awaited {
            part: Part::Impression,
            blocks: Blocks::Design,
            restorations: vec![1],
            places: Vec::new(),
            due: Some(due),
            matters: Vec::new(),
            is_recorded: true,
        }],
    };
    let fine = (Level::Fine, Level::Fine);
    session.list(vec![
        WorkItem {
            left: 12,
            dentist: code("K17"),
            who: code("AB"),
            materials: vec!["zirconia 3Y, high strength".to_owned()],
            promised: Some(date(2026, 12, 11)),
            gravest: Some(Gravest {
                level: Level::Call,
                at: Place::Unit("46".parse().unwrap()),
                says: "no resistance form on any side".to_owned(),
            }),
            ..listed(
                "24-0381",
                "44 x45 46",
                (Level::Call, Level::Hold),
                State::ToCall,
            )
        },
        WorkItem {
            due: Some(date(2026, 11, 23)),
            touched: Some(date(2026, 11, 23)),
            ..listed("24-0382", "26", fine, State::ToMake)
        },
        WorkItem {
            left: 1,
            dentist: code("K18"),
            who: code("bench"),
            ..listed(
                "24-0383",
                "11 21; 26",
                (Level::Fine, Level::Call),
                State::Inspecting,
            )
        },
        WorkItem {
            state: Some(waits(date(2026, 11, 19))),
            ..listed(
                "24-0384",
                "x12 13; 46",
                (Level::Hold, Level::Hold),
                State::Waiting,
            )
        },
        WorkItem {
            closed: true,
            ..listed(
                "24-0385",
                "36",
                (Level::Watch, Level::Watch),
                State::Delivered,
            )
        },
        WorkItem {
            units: None,
            verdict: None,
            state: None,
            ..listed("24-0386", "26", fine, State::Inspecting)
        },
        // Its row does not hold any more: nothing that was judged is said.
        WorkItem {
            fresh: false,
            dentist: code("K17"),
            ..listed("24-0387", "37", (Level::Hold, Level::Hold), State::ToCall)
        },
    ]);
    session.listing.counts = Counts {
        to_call: 1,
        late: 1,
        open: 6,
        all: 1207,
    };
    session.key("down", &super::session::moment(1));
    session
}

fn keyed(mut session: Session, keys: &str) -> Session {
    for key in keys.split(' ') {
        session.key(key, &super::session::moment(2));
    }
    session
}

/// Every page that there is, by name.
/// What came back of an invented laboratory, told apart by what so many keys turn to.
fn returns(turns: usize, read: bool) -> Session {
    let mut session = keyed(worklist(), "r k k k k");
    let mut asked = None;
    for _ in 0..turns {
        let effects = session.key("right", &super::session::moment(3));
        asked = effects.into_iter().find_map(|effect| match effect {
            Effect::Rate(asked) => Some(asked),
            _ => None,
        });
    }
    if let Some(asked) = asked.filter(|_| read) {
        let orders = orders(&super::invented::plan(3));
        let lots: Vec<Lot> = orders.iter().map(super::invented::lot).collect();
        session.rated(Rated::Done {
            found: Box::new(figures(&lots, &asked)),
            asked,
            unread: 1,
        });
    } else {
        session.rated(Rated::Reading(1_200, 100_000));
    }
    session
}

/// Eleven restorations of a dentist that are due, and what these keys say of them.
fn follow_up(keys: &str) -> Session {
    let mut session = keyed(worklist(), "o");
    let all = super::worklist::due_of("K17", 11);
    session.rated(Rated::FollowUp(std::sync::Arc::new(all), 1));
    match keys {
        "" => session,
        keys => keyed(session, keys),
    }
}

/// Rules on trial, with all that these keys ask of the record.
fn trials(keys: &str) -> Session {
    let mut session = worklist();
    for key in keys.split(' ') {
        let effects = session.key(key, &super::session::moment(3));
        super::trial::answer(&mut session, effects);
    }
    session
}

/// A limit whose cases are still being read.
fn limits_reading() -> Session {
    let mut session = trials("t enter");
    for effect in session.key("l", &super::session::moment(4)) {
        if let Effect::Sweep(moved) = effect {
            session.rated(Rated::Moving(moved, 1_200, 100_000));
        }
    }
    session
}

fn pages() -> Vec<(&'static str, Session)> {
    let crown = |keys: fn(&mut Technician) -> &mut Technician| {
        let mut tech = Technician::on(&low_crown());
        keys(&mut tech);
        tech.session
    };
    let mut prompt = worklist();
    prompt.key("n", &super::session::moment(1));
    let mut reading = worklist();
    reading.listing.progress = Some((1200, 100_000));
    reading.listing.more = true;
    let mut nothing = keyed(worklist(), "f x y");
    nothing.list(Vec::new());
    let mut missing = worklist();
    missing.notice = Some("case 24-0381 is already on the worklist".to_owned());
    vec![
        ("worklist-empty", Session::new(Notation::Iso3950)),
        ("worklist", worklist()),
        (
            "worklist-filter",
            keyed(worklist(), "up space up s f 4 6 space k"),
        ),
        ("worklist-reading", reading),
        ("worklist-nothing", nothing),
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
        ("summary", crown(|s| s.keys("s"))),
        ("help", crown(|s| s.at("tooth.clearance", "26").keys("?"))),
        ("prompt-units", crown(|s| s.keys("e"))),
        ("call-waiting", crown(|s| s.keys("c"))),
        ("call", crown(|s| s.with_ways().keys("c"))),
        ("call-ready", crown(|s| s.with_ways().keys("c up up up"))),
        ("call-picking", crown(|s| s.with_ways().keys("c 1"))),
        (
            "prompt-words",
            crown(|s| s.with_ways().keys("c 1 0 enter as space agreed")),
        ),
        (
            "call-parts",
            crown(|s| s.with_ways().keys("c 1 0 enter as space agreed enter 1")),
        ),
        (
            "call-read-back",
            crown(|s| {
                s.with_ways()
                    .keys("c 1 1 t soon enter c half space each enter")
            }),
        ),
        (
            "call-said",
            crown(|s| s.with_ways().keys("c 1 7 enter o c down")),
        ),
        ("find-all", crown(|s| s.keys("/"))),
        ("find-words", crown(|s| s.keys("/ heigh down"))),
        ("find-nothing", crown(|s| s.keys("/ xyzzyq enter"))),
        ("options-waiting", crown(|s| s.keys("o"))),
        ("options", crown(|s| s.with_ways().keys("o down down"))),
        (
            "options-full",
            crown(|s| s.with_ways().keys("o down enter")),
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
        ("rates-reading", returns(0, false)),
        ("rates", returns(1, true)),
        ("rates-dentists", returns(8, true)),
        ("trials-reading", keyed(worklist(), "t")),
        ("trials", trials("t down")),
        ("trials-full", trials("t enter")),
        ("trials-followed", trials("t enter n")),
        ("limits-reading", limits_reading()),
        ("limits", trials("t enter l right")),
        ("limits-few", trials("t enter n l")),
        ("limits-cases", trials("t enter l right enter down down")),
        ("follow-up-reading", keyed(worklist(), "o")),
        ("follow-up", follow_up("")),
        ("follow-up-what", follow_up("4")),
        ("follow-up-where", follow_up("2 - 4 1")),
        ("follow-up-named", follow_up("2 - 3 4 4 1 pgdn")),
        ("move-flow", {
            let mut crown = crown(|s| s.keys("s"));
            crown.look_at_flow(&super::moving::another());
            crown
        }),
        ("outcome", crown(|s| s.keys("s b 1 enter enter e"))),
        ("outcome-keep", crown(|s| s.keys("s b 1 enter enter e 1"))),
        (
            "outcome-seen",
            crown(|s| s.keys("s b 1 enter enter e 1 enter")),
        ),
        ("picture", crown(|s| s.at("tooth.height", "26").keys("p"))),
        ("picture-arch", crown(|s| s.keys("p left"))),
        ("trying", crown(|s| s.at("tooth.height", "26").keys("t"))),
        (
            "tried",
            crown(|s| {
                s.at("tooth.height", "26").keys("t");
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
            name if name.starts_with("outcome") => Page::Outcome,
            name if name.starts_with("rates") => Page::Rates,
            name if name.starts_with("trials") => Page::Trials,
            name if name.starts_with("limits") => Page::Limits,
            "move-flow" => Page::MoveFlow,
            name if name.starts_with("follow-up") => Page::FollowUp,
            "notice" | "prompt-number" => Page::Worklist,
            _ => Page::Questions,
        };
        assert_eq!(session.page, page, "{name}");
        assert_eq!(session.over.helps(), name == "help");
        let typed =
            name.starts_with("prompt") || matches!(name, "worklist-filter" | "worklist-nothing");
        assert_eq!(session.over.line().is_some(), typed);
    }
}
