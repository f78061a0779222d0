//! The terminal: draws ready views, hands keys on. It computes nothing and changes nothing.

mod call;
mod input;
mod look;
mod options;
mod pages;
mod pen;
mod picture;
mod questions;
mod terminal;
mod theme;

use ratatui::Terminal;
use ratatui::backend::Backend;
use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use crate::desk::{Desk, Next};
use crate::error::{Error, Trouble};
use crate::walk::Moment;
use crate::walk::view::{Header, PageView, View};
use pen::{below, put, put_at, put_right, split_bottom};

pub use input::Event;
pub use look::{Look, Signs};
pub use terminal::{Surface, sit};
pub use theme::{Role, Theme};

/// The smallest screen that is drawn on.
pub const LEAST: (u16, u16) = (40, 12);

/// The rows that a typed line has on the page of the call.
const PROMPT_ROWS: u16 = 6;

/// What the loop needs from outside.
pub struct Outside<'a> {
    /// Waits for the next event; none when there will be no more.
    pub event: &'a mut dyn FnMut() -> Option<Event>,
    /// Gives the time and a fresh id.
    pub moment: &'a mut dyn FnMut() -> Moment,
    /// Puts the program into the background and returns when it is back.
    pub suspend: &'a mut dyn FnMut(),
}

/// Draws, waits, hands on, until somebody leaves. The same loop runs in a terminal and in tests.
///
/// # Errors
/// The terminal cannot be drawn on.
pub fn run<B: Backend>(
    terminal: &mut Terminal<B>,
    desk: &mut Desk,
    look: impl Into<Look>,
    outside: &mut Outside<'_>,
) -> Result<(), Error> {
    let look = look.into();
    loop {
        draw_on(terminal, desk, look)?;
        let Some(event) = (outside.event)() else {
            return Ok(());
        };
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
            Event::Redraw => Next::Go,
            Event::Repaint => {
                forget_drawn(terminal);
                Next::Go
            }
            Event::End => return Ok(()),
        };
        match next {
            Next::Go => {}
            Next::Quit => return Ok(()),
            Next::Suspend => {
                (outside.suspend)();
                forget_drawn(terminal);
            }
        }
    }
}

/// Forgets what is on the screen, which is blank now. `clear` would ask the terminal for its cursor and wait.
fn forget_drawn<B: Backend>(terminal: &mut Terminal<B>) {
    terminal.swap_buffers();
    terminal.swap_buffers();
}

fn draw_on<B: Backend>(terminal: &mut Terminal<B>, desk: &Desk, look: Look) -> Result<(), Error> {
    let view = desk.walk.view();
    terminal
        .draw(|frame| {
            let area = frame.area();
            if let Some(cursor) = draw(frame.buffer_mut(), area, &view, look) {
                frame.set_cursor_position(cursor);
            }
        })
        .map_err(|error| {
            Error::new(
                Trouble::Io,
                format!("the terminal cannot be drawn on: {error}"),
            )
        })?;
    Ok(())
}

/// Draws a view; returns where the terminal's cursor belongs.
pub fn draw(buf: &mut Buffer, area: Rect, view: &View, look: impl Into<Look>) -> Option<Position> {
    let look = look.into();
    let theme = look.theme;
    let area = area.intersection(buf.area);
    if area.width < LEAST.0 || area.height < LEAST.1 {
        let text = format!(
            "The window is too small: casepan needs {} by {}.",
            LEAST.0, LEAST.1
        );
        for (row, line) in (0u16..).zip(pen::wrap(&text, area.width)) {
            put(buf, area, row, &line, theme.style(Role::Text));
        }
        return None;
    }
    let (rest, last) = split_bottom(area, 1);
    keys(buf, last, view, theme);
    let body = match &view.header {
        Some(head) => {
            header(buf, rest, head, theme);
            below(rest, 1)
        }
        None => rest,
    };
    let mut cursor = match (&view.help, &view.page) {
        (Some(help), _) => {
            pages::help(buf, body, help, view.scroll, theme);
            None
        }
        (None, PageView::Worklist(list)) => {
            pages::worklist(buf, body, list, theme);
            None
        }
        (None, PageView::Questions(page)) => questions::draw(buf, body, page, look),
        (None, PageView::Findings(page)) => {
            pages::findings(buf, body, page, view.scroll, theme);
            None
        }
        (None, PageView::End(lines)) => {
            pages::end(buf, body, lines, view.scroll, theme);
            None
        }
        (None, PageView::Call(page)) => {
            call::draw(buf, body, page, theme);
            None
        }
        (None, PageView::Picture(page)) => {
            picture::page(buf, body, page, view.scroll, look);
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
    if let Some(notice) = &view.notice {
        let lines = pen::wrap(notice, body.width);
        let rows = u16::try_from(lines.len()).unwrap_or(1).min(3);
        let (_, strip) = split_bottom(body, rows);
        for (row, line) in (0..rows).zip(lines) {
            let line = format!("{line:<width$}", width = usize::from(strip.width));
            put(buf, strip, row, &line, theme.style(Role::Refusal));
        }
    }
    cursor
}

/// Number, units, material, notation; the verdict always in the right corner.
fn header(buf: &mut Buffer, area: Rect, head: &Header, theme: Theme) {
    let verdict = format!(" {} ", head.verdict.to_uppercase());
    let style = if head.open && head.level == crate::flow::Level::Fine {
        theme.style(Role::Heading)
    } else {
        theme.level(head.level)
    };
    let end = put_right(buf, area, 0, &verdict, style);
    let left = Rect {
        width: end.saturating_sub(1),
        ..area
    };
    let mut column = match head.trying {
        Some(trying) => put(buf, left, 0, trying, theme.level(crate::flow::Level::Hold)) + 2,
        None => put(buf, left, 0, &head.number, theme.style(Role::Heading)) + 2,
    };
    for (name, present) in &head.units {
        let role = if *present { Role::Present } else { Role::Text };
        column += put_at(buf, left, column, 0, name, theme.style(role)) + 1;
    }
    // What does not fit is the material's name first, then the notation.
    let notation = format!("[{}]", head.notation);
    let width = u16::try_from(notation.len()).unwrap_or(0);
    put_at(buf, left, column, 0, &notation, theme.style(Role::Dim));
    put_at(
        buf,
        left,
        column + width + 1,
        0,
        &head.material,
        theme.style(Role::Text),
    );
}

/// The keys that work here; help is named first and cut last.
fn keys(buf: &mut Buffer, area: Rect, view: &View, theme: Theme) {
    let mut column = 0;
    for (key, short) in &view.keys {
        let width = key.chars().count() + 1 + short.chars().count();
        if usize::from(column) + width > usize::from(area.width) {
            continue;
        }
        column += put_at(buf, area, column, 0, key, theme.style(Role::Key)) + 1;
        column += put_at(buf, area, column, 0, short, theme.style(Role::Dim)) + 2;
    }
}
