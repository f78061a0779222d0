//! The page of the call: what to have ready and the questions above or at the left, the marked one in full beside it.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use unicode_width::UnicodeWidthStr;

use super::badge;
use super::frame::divide;
use super::pen::{below, split_left};
use super::rows::{Row, Scroll, scrolled, titled, wrapped};
use super::theme::{TextRole, Theme};
use crate::phrase::pages::cells::{OPEN_SIGN, in_table};
use crate::phrase::{pages as said, words};
use crate::session::view::{CallView, PanelLine};

/// From this width on the marked question stands beside the list.
const TWO_COLUMNS: u16 = 110;
/// The columns of the list beside it.
const LEFT: u16 = 52;
/// From this width on what to have ready stands in two columns.
const PAIRS: u16 = 60;

/// The columns of a name before its answer.
const LABEL: u16 = 19;
/// Where the words of a question begin, behind its number and the sign of its level.
const TEXT: u16 = 5;

pub(super) fn draw(buf: &mut Buffer, area: Rect, page: &CallView, scroll: usize, theme: Theme) {
    let body = titled(buf, area, words::THE_CALL, &page.count, theme);
    let (list_area, panel_area) = if body.width >= TWO_COLUMNS {
        divide(buf, body.x + LEFT, body, theme);
        split_left(body, LEFT, 2)
    } else {
        let lines = list(page, body.width, theme).len();
        // A long list of options needs the room more than the lines above it; the marked one stays in view.
        let half = usize::from(body.height.div_ceil(2)).max(3);
        let beneath = panel(page, body.width, theme).len() + 1;
        let most = usize::from(body.height)
            .saturating_sub(beneath)
            .clamp(4.min(half), half);
        let rows = u16::try_from(lines.min(most)).unwrap_or(3);
        let list_area = Rect {
            height: rows.min(body.height),
            ..body
        };
        (list_area, below(body, rows + 1))
    };
    let list = list(page, list_area.width, theme);
    scrolled(buf, list_area, &list, Scroll::Arrows(0), theme);
    let panel = panel(page, panel_area.width, theme);
    scrolled(buf, panel_area, &panel, Scroll::PageKeys(scroll), theme);
}

fn list(page: &CallView, width: u16, theme: Theme) -> Vec<Row> {
    let mut rows = Vec::new();
    let per = if width >= PAIRS { 2 } else { 1 };
    let column = width / per;
    for pair in page.ready.chunks(usize::from(per)) {
        let mut row = Row::default();
        for (index, ready) in (0u16..).zip(pair) {
            let role = if ready.marked {
                TextRole::Present
            } else {
                TextRole::Text
            };
            row.put(index * column, ready.label.clone(), TextRole::Dim);
            if ready.marked {
                let sign = theme.signs().spell(OPEN_SIGN);
                row.put(index * column + LABEL - 1, sign, TextRole::Present);
            }
            let value = theme.signs().spell(&in_table(&ready.cell)).into_owned();
            row.put(index * column + LABEL, value, role);
            row.marked |= ready.marked;
        }
        rows.push(row);
    }
    for own in &page.rows {
        if let Some(section) = own.section {
            rows.push(Row::text(0, section, TextRole::Heading));
        }
        let role = if own.marked {
            TextRole::Present
        } else {
            TextRole::Text
        };
        let mark = own.mark.map_or("", said::call::mark);
        let mark_width = u16::try_from(mark.width()).unwrap_or(0);
        let room = width.saturating_sub(TEXT + 1 + mark_width);
        let mut lines = wrapped(TEXT, &own.text, room, role);
        if let Some(first) = lines.first_mut() {
            let number = own.number.map_or_else(String::new, |n| n.to_string());
            first.put(0, number, TextRole::Key);
            if own.marked {
                first.put(TEXT - 1, theme.signs().spell(OPEN_SIGN), TextRole::Present);
            }
            if let Some(level) = own.level {
                let sign = badge::sign(level.into(), theme.signs());
                first.put(TEXT - 2, sign, TextRole::Heading);
            }
            first.put(width.saturating_sub(mark_width), mark, TextRole::Dim);
        }
        for line in &mut lines {
            line.marked = own.marked;
        }
        rows.extend(lines);
    }
    rows
}

fn panel(page: &CallView, width: u16, theme: Theme) -> Vec<Row> {
    let mut rows = Vec::new();
    let mark = theme.signs().spell(OPEN_SIGN);
    let mut say = |text: &str, indent: u16, role: TextRole, marked: bool| {
        let mut own = wrapped(indent, text, width.saturating_sub(indent), role);
        for row in &mut own {
            row.marked = marked;
        }
        rows.extend(own);
    };
    for line in &page.panel {
        match line {
            PanelLine::Heading(text) => say(text, 0, TextRole::Heading, false),
            PanelLine::Text(text) => say(text, 0, TextRole::Text, false),
            PanelLine::Dim(text) => say(text, 0, TextRole::Dim, false),
            PanelLine::Pick {
                digit,
                ticked,
                marked,
                text,
                note,
            } => {
                let digit = digit.map_or(' ', |digit| digit);
                let tick = if *ticked { 'x' } else { ' ' };
                let role = match (marked, ticked) {
                    (true, _) => TextRole::Present,
                    (false, true) => TextRole::Heading,
                    (false, false) => TextRole::Text,
                };
                let sign = if *marked { &mark } else { " " };
                say(&format!("{sign}{tick} {digit} {text}"), 0, role, *marked);
                if !note.is_empty() {
                    say(note, 5, TextRole::Dim, *marked);
                }
            }
        }
    }
    rows
}
