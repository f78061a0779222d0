//! The terminal: draws views and passes keys on. It computes nothing and changes nothing.

mod badge;
mod call;
mod find;
mod follow_up;
mod frame;
mod input;
mod leaf;
mod open;
mod options;
mod outcome;
mod pages;
mod pen;
mod picture;
mod questions;
mod rates;
mod rows;
mod signs;
mod terminal;
mod theme;
mod worklist;

use ratatui::Terminal;
use ratatui::backend::Backend;
use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use crate::desk::{Desk, Next};
use crate::error::{Error, Trouble};
use crate::phrase::pages as said;
use crate::session::Moment;
use crate::session::view::{Header, PageView, View};
use open::Message;
use pen::{below, put, put_at, put_right, split_bottom};
use unicode_width::UnicodeWidthStr;

pub use input::Event;
pub use terminal::{Surface, failed_apart, sit};
pub use theme::{Hue, Patch, Signs, TextRole, Theme, ThemeName};

/// The smallest screen that is drawn on.
pub const LEAST: (u16, u16) = (40, 12);

/// From this width on there is a blank column at the left.
const WIDE: u16 = 80;

/// The rows that a typed line has on the page of the call.
const PROMPT_ROWS: u16 = 6;

/// What the loop needs from outside.
pub struct Outside<'a> {
    /// Waits for the next event; `None` if there will be no more.
    pub event: &'a mut dyn FnMut() -> Option<Event>,
    /// Returns an event that has come already, or `None` if there is none.
    pub waiting: &'a mut dyn FnMut() -> Option<Event>,
    /// Sends the frame that was drawn.
    pub drawn: &'a mut dyn FnMut() -> std::io::Result<()>,
    /// Gives the time and a fresh id.
    pub moment: &'a mut dyn FnMut() -> Moment,
    /// Puts the program into the background and returns when it is back.
    pub suspend: &'a mut dyn FnMut(),
    /// Opens a file in an editor at a line and returns when it is left, or says why not.
    pub edit: &'a mut dyn FnMut(&std::path::Path, usize) -> Result<(), String>,
}

/// The most events that are taken in before a frame is drawn.
///
/// What came while a frame was on its way over a slow line, or while a window was being dragged, is taken in at once and
/// drawn once; but never so much that the screen stands still.
const AT_ONCE: usize = 64;

/// Draws, waits, hands on, until somebody leaves. The same loop runs in a terminal and in tests.
///
/// # Errors
/// The terminal cannot be drawn on.
pub fn run<B: Backend>(
    terminal: &mut Terminal<B>,
    desk: &mut Desk,
    theme: Theme,
    outside: &mut Outside<'_>,
) -> Result<(), Error> {
    let mut drawn = false;
    loop {
        if !drawn {
            frame(terminal, desk, theme, outside)?;
        }
        let first = match (outside.waiting)() {
            Some(event) => Some(event),
            None => {
                if desk.session.completes_sketch() {
                    frame(terminal, desk, theme, outside)?;
                }
                (outside.event)()
            }
        };
        let Some(first) = first else {
            return Ok(());
        };
        let mut next = Some(first);
        let mut taken = 0;
        let mut seen = true;
        while let Some(event) = next {
            let event = match event {
                // Nobody answers a question that is not shown.
                Event::Key(_) | Event::Paste(_) if !is_shown(terminal) && !ends(&event) => {
                    Event::Redraw
                }
                event => event,
            };
            match take(event, desk, outside) {
                Taken::Nothing => {}
                Taken::Plain => seen = false,
                Taken::Anew => {
                    forget_drawn(terminal);
                    seen = false;
                }
                Taken::Last => return Ok(()),
            }
            taken += 1;
            next = if taken < AT_ONCE {
                (outside.waiting)()
            } else {
                None
            };
        }
        drawn = seen;
    }
}

/// Returns whether the window is large enough for a page.
fn is_shown<B: Backend>(terminal: &Terminal<B>) -> bool {
    let size = terminal.size().ok();
    size.is_none_or(|size| size.width >= LEAST.0 && size.height >= LEAST.1)
}

/// Returns whether a key ends or suspends the program, whatever is shown.
fn ends(event: &Event) -> bool {
    matches!(event, Event::Key(key) if matches!(key.as_str(), "ctrl-c" | "ctrl-z"))
}

/// Draws a frame and sends it.
fn frame<B: Backend>(
    terminal: &mut Terminal<B>,
    desk: &mut Desk,
    theme: Theme,
    outside: &mut Outside<'_>,
) -> Result<(), Error> {
    // Where the size cannot be told, drawing fails next, with words.
    let size = terminal.size().ok();
    desk.session.pictures =
        size.is_some_and(|size| questions::has_room_for_pictures(size.width, size.height));
    desk.session.draws_first();
    draw_on(terminal, desk, theme)?;
    (outside.drawn)().map_err(|error| cannot_draw(&error))
}

/// What follows from an event for the loop.
enum Taken {
    /// No frame: nothing has changed.
    Nothing,
    /// A frame.
    Plain,
    /// A frame on a blank screen.
    Anew,
    /// Nothing more.
    Last,
}

/// Hands an event on.
fn take(event: Event, desk: &mut Desk, outside: &mut Outside<'_>) -> Taken {
    let next = match event {
        Event::Key(key) => desk.key(&key, &(outside.moment)()),
        Event::Paste(text) => desk.paste(&text, &(outside.moment)()),
        Event::Weighed(weighed) => {
            desk.weighed(weighed);
            Next::Go
        }
        Event::Tried(tried) => {
            desk.tried(tried);
            Next::Go
        }
        Event::Filled(filled) => {
            desk.filled(filled);
            Next::Go
        }
        Event::Found(found) => {
            desk.found(found);
            Next::Go
        }
        Event::Rated(rated) => {
            desk.session.rated(rated);
            Next::Go
        }
        Event::Tick => {
            return match desk.tick(&(outside.moment)()) {
                true => Taken::Plain,
                false => Taken::Nothing,
            };
        }
        Event::Redraw => Next::Go,
        Event::Repaint => return Taken::Anew,
        Event::End => return Taken::Last,
    };
    match next {
        Next::Go => Taken::Plain,
        Next::Quit => Taken::Last,
        Next::Suspend => {
            (outside.suspend)();
            Taken::Anew
        }
        Next::Edit => {
            if let Some((file, line)) = desk.editing() {
                desk.edited((outside.edit)(&file, line));
            }
            Taken::Anew
        }
    }
}

/// Forgets what is on the screen, which is blank now. `clear` would ask the terminal for its cursor and wait.
fn forget_drawn<B: Backend>(terminal: &mut Terminal<B>) {
    terminal.swap_buffers();
    terminal.swap_buffers();
}

fn draw_on<B: Backend>(terminal: &mut Terminal<B>, desk: &Desk, theme: Theme) -> Result<(), Error> {
    let view = desk.session.view();
    terminal
        .draw(|frame| {
            let area = frame.area();
            if let Some(cursor) = draw(frame.buffer_mut(), area, &view, theme) {
                frame.set_cursor_position(cursor);
            }
        })
        .map_err(|error| cannot_draw(&error))?;
    Ok(())
}

fn cannot_draw(error: &dyn std::fmt::Display) -> Error {
    Error::new(Trouble::Io, said::screen::cannot_draw(error))
}

/// How high a window is that has a row left for a tip.
const ROWS_FOR_A_TIP: u16 = 24;

/// Draws a view; returns where the terminal's cursor belongs.
pub fn draw(buf: &mut Buffer, area: Rect, view: &View, theme: Theme) -> Option<Position> {
    let respelled;
    let view = match theme.signs() {
        Signs::Braille => view,
        Signs::Ascii => {
            respelled = signs::ascii_view(view);
            &respelled
        }
    };
    let area = area.intersection(buf.area);
    if area.width < LEAST.0 || area.height < LEAST.1 {
        let text = said::screen::too_small(LEAST.0, LEAST.1);
        for (row, line) in (0u16..).zip(pen::wrap(&text, area.width)) {
            put(buf, area, row, &line, theme.style(TextRole::Text));
        }
        return None;
    }
    let (rest, last) = split_bottom(area, 1);
    keys(buf, last, view, theme);
    let is_plain = view.help.is_none() && view.find.is_none();
    let can_tip = area.height >= ROWS_FOR_A_TIP && is_plain;
    // A tip has a row of its own, so that it covers nothing; a small window goes without.
    let rest = match &view.tip {
        Some(tip) if can_tip => {
            let (rest, row) = split_bottom(rest, 1);
            put(buf, row, 0, tip, theme.style(TextRole::Dim));
            rest
        }
        _ => rest,
    };
    let body = match &view.header {
        Some(head) => {
            header(buf, rest, head, view.not_saved.as_deref(), theme);
            below(rest, 1)
        }
        None => rest,
    };
    if let Some(found) = &view.find {
        let cursor = find::draw(buf, body, found, theme);
        notice(buf, body, view, theme);
        return Some(cursor);
    }
    let mut cursor = match (&view.help, &view.page) {
        (Some(help), _) => {
            pages::help(buf, body, help, view.scroll, theme);
            None
        }
        (None, PageView::Worklist(list)) => worklist::draw(buf, body, list, theme),
        (None, PageView::Questions(page)) => {
            let notice = view.notice.as_deref();
            questions::draw(buf, body, page, notice, theme)
        }
        (None, PageView::Findings(page)) => {
            pages::findings(buf, body, page, view.scroll, theme);
            None
        }
        (None, PageView::Summary(lines)) => {
            pages::end(buf, body, lines, view.scroll, theme);
            None
        }
        (None, PageView::Call(page)) => {
            call::draw(buf, body, page, view.scroll, theme);
            None
        }
        (None, PageView::History(page)) => {
            pages::history(buf, body, page, view.scroll, theme);
            None
        }
        (None, PageView::Outcome(page)) => {
            outcome::draw(buf, body, page, view.scroll, theme);
            None
        }
        (None, PageView::Rates(page)) => {
            rates::draw(buf, body, page, view.scroll, theme);
            None
        }
        (None, PageView::Leaf(page)) => {
            leaf::draw(buf, body, page, view.scroll, theme);
            None
        }
        (None, PageView::FollowUp(page)) => {
            follow_up::draw(buf, body, page, view.scroll, theme);
            None
        }
        (None, PageView::Picture(page)) => {
            picture::page(buf, body, page, view.scroll, theme);
            None
        }
        (None, PageView::Options(page)) => {
            options::draw(buf, body, page, view.scroll, theme);
            None
        }
    };
    if let Some((what, example, text)) = &view.prompt {
        // The question stays in view while its answer is typed.
        let strip = match &view.page {
            PageView::Call(_) => split_bottom(body, PROMPT_ROWS).1,
            _ => body,
        };
        cursor = pages::prompt(buf, strip, (what, example, text), theme);
    }
    if view.header.is_none()
        && let Some(what) = &view.not_saved
    {
        put_right(
            buf,
            rest,
            0,
            &format!(" {what} "),
            theme.style(TextRole::Refusal),
        );
    }
    // On the page of questions it has a row of its own.
    let has_row = matches!(view.page, PageView::Questions(_)) && view.help.is_none();
    if !has_row || view.prompt.is_some() {
        notice(buf, body, view, theme);
    }
    cursor
}

/// A sentence over the lowest rows, until the next key.
fn notice(buf: &mut Buffer, body: Rect, view: &View, theme: Theme) {
    if view.notice.is_some() {
        let inner = Rect {
            x: body.x + 1,
            width: body.width.saturating_sub(1),
            ..body
        };
        let message = Message::of(None, view.notice.as_deref(), inner.width);
        // The column before it belongs to what it covers.
        let first = body.height.saturating_sub(message.rows());
        for row in first..body.height {
            put(buf, body, row, " ", theme.style(TextRole::Text));
        }
        message.draw(buf, inner, theme);
    }
}

/// Number, units, material, notation; the result always in the right corner, and beside it what it may become, and that
/// something is not saved.
fn header(buf: &mut Buffer, area: Rect, head: &Header, not_saved: Option<&str>, theme: Theme) {
    let badge = head.badge();
    let mut end = area.width.saturating_sub(badge::width(badge, theme));
    badge::put(buf, area, (end, 0), badge, theme);
    let beside = |end: u16| Rect {
        width: end.saturating_sub(1),
        ..area
    };
    if let Some(what) = not_saved {
        let text = format!(" {what} ");
        end = put_right(buf, beside(end), 0, &text, theme.style(TextRole::Refusal));
    }
    // The longer words where they leave half of the line to the case.
    let half = usize::from(area.width / 2);
    let said = [head.beside(), head.beside_in_short()];
    let fits = |text: &&String| text.width() + usize::from(area.width - end) <= half;
    let [_, short] = &said;
    // Without the short words the badge would say more than is so: they stand there whatever has to give way.
    let shown = said.iter().find(fits).unwrap_or(short);
    if !shown.is_empty() {
        let text = theme.signs().spell(shown);
        end = put_right(buf, beside(end), 0, &text, theme.style(TextRole::Text));
    }
    let left = Rect {
        width: end.saturating_sub(2),
        ..area
    };
    let first = u16::from(area.width >= WIDE);
    let (name, style) = match head.trying {
        Some(trying) => (trying, theme.style(TextRole::Refusal)),
        None => (head.number.as_str(), theme.style(TextRole::Heading)),
    };
    let mut column = first + put_at(buf, left, first, 0, name, style) + 2;
    for (index, units) in head.units.iter().enumerate() {
        if index > 0 {
            column += put_at(buf, left, column, 0, ";", theme.style(TextRole::Text)) + 1;
        }
        for unit in units {
            let role = if unit.present {
                TextRole::Present
            } else {
                TextRole::Text
            };
            column += put_at(buf, left, column, 0, &unit.name, theme.style(role)) + 1;
        }
    }
    column += 1;
    let mut put_whole = |text: &str, role: TextRole| {
        // What does not fit whole is left out: half a word is read as another.
        if usize::from(column) + text.width() <= usize::from(left.width) {
            column += put_at(buf, left, column, 0, text, theme.style(role)) + 2;
        }
    };
    // How late it is, and who has it, stand before what is the same on every page.
    if let Some(late) = &head.late {
        put_whole(late, TextRole::Heading);
    }
    if let Some([with, _]) = &head.with {
        put_whole(with, TextRole::Text);
    }
    put_whole(&said::in_notation(head.notation), TextRole::Dim);
    put_whole(&head.material, TextRole::Text);
}

/// The pages, where there is room for all of them, then the keys that work here; help is named first and cut last.
fn keys(buf: &mut Buffer, area: Rect, view: &View, theme: Theme) {
    let (key, dim) = (theme.style(TextRole::Key), theme.style(TextRole::Dim));
    let mut column = 0;
    if area.width >= WIDE {
        for tab in &view.tabs {
            let begins = tab.name.to_lowercase().starts_with(&tab.key);
            if !begins {
                column += put_at(buf, area, column, 0, &tab.key, key) + 1;
            }
            let text = said::counted(tab.name, tab.count);
            let own = theme.style(if tab.here {
                TextRole::Present
            } else {
                TextRole::Text
            });
            let width = put_at(buf, area, column, 0, &text, own);
            if begins && !tab.here {
                let first: String = text.chars().take(1).collect();
                put_at(buf, area, column, 0, &first, key);
            }
            column += width + 2;
        }
    }
    column += u16::from(column > 0);
    for (name, short) in &view.keys {
        let width = name.chars().count() + 1 + short.chars().count();
        if usize::from(column) + width > usize::from(area.width) {
            continue;
        }
        column += put_at(buf, area, column, 0, name, key) + 1;
        column += put_at(buf, area, column, 0, short, dim) + 2;
    }
}
