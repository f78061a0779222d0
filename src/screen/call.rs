//! The page of the call: what to have ready and the questions above or at the left, the marked one in full beside it.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;

use super::pen::{below, put, put_at, put_right, split_left, wrap};
use super::theme::{TextRole, Theme};
use crate::phrase::{pages as said, words};
use crate::session::view::{CallView, PanelLine, UnitShown};

/// From this width on the marked question stands beside the list.
const TWO_COLUMNS: u16 = 110;
/// The columns of the list beside it.
const LEFT: u16 = 52;
/// From this width on what to have ready stands in two columns.
const PAIRS: u16 = 60;

/// The columns of a name before its answer.
const LABEL: u16 = 19;

/// A line of a part that scrolls: pieces, each with its column and the columns that it has.
struct Line {
    pieces: Vec<(u16, u16, String, Style)>,
    marked: bool,
}

pub(super) fn draw(buf: &mut Buffer, area: Rect, page: &CallView, scroll: usize, theme: Theme) {
    put(
        buf,
        area,
        0,
        words::THE_CALL,
        theme.style(TextRole::Heading),
    );
    put_right(buf, area, 0, &page.count, theme.style(TextRole::Dim));
    let body = below(area, 1);
    let (list_area, panel_area) = if body.width >= TWO_COLUMNS {
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
    scrolled(buf, list_area, &list, 0, theme);
    let panel = panel(page, panel_area.width, theme);
    scrolled(buf, panel_area, &panel, scroll, theme);
}

/// Draws lines, the marked one in view, or from where they are scrolled to. What does not fit is said.
fn scrolled(buf: &mut Buffer, area: Rect, lines: &[Line], scroll: usize, theme: Theme) {
    let height = usize::from(area.height);
    let marked = lines.iter().rposition(|line| line.marked);
    let cut = lines.len() > height && height > 1;
    let shown = if cut { height - 1 } else { height };
    let offset = match marked {
        Some(marked) => (marked + 2).min(lines.len()).saturating_sub(shown),
        None => scroll.min(lines.len().saturating_sub(shown)),
    };
    for (row, line) in (0u16..).zip(lines.iter().skip(offset).take(shown)) {
        for (column, room, text, style) in &line.pieces {
            let cell = Rect {
                width: area.width.min(column.saturating_add(*room)),
                ..area
            };
            put_at(buf, cell, *column, row, text, *style);
        }
    }
    if cut {
        let more = if marked.is_none() {
            said::screen::PAGE_KEYS_SCROLL
        } else {
            ""
        };
        let text = said::lines_shown(offset + 1, offset + shown, lines.len()) + more;
        put_right(
            buf,
            area,
            area.height.saturating_sub(1),
            &text,
            theme.style(TextRole::Dim),
        );
    }
}

fn list(page: &CallView, width: u16, theme: Theme) -> Vec<Line> {
    let mut lines = Vec::new();
    let per = if width >= PAIRS { 2 } else { 1 };
    let column = width / per;
    for pair in page.ready.chunks(usize::from(per)) {
        let mut pieces = Vec::new();
        for (index, ready) in (0u16..).zip(pair) {
            let role = if ready.marked {
                TextRole::Present
            } else {
                TextRole::Text
            };
            let label = ready.label.clone();
            pieces.push((index * column, LABEL, label, theme.style(TextRole::Dim)));
            let value = if ready.marked && ready.cell.is_blank() {
                " ".repeat(8)
            } else {
                theme.signs().cell(&ready.cell, UnitShown::Behind)
            };
            let room = column.saturating_sub(LABEL + 1);
            pieces.push((index * column + LABEL, room, value, theme.style(role)));
        }
        lines.push(Line {
            pieces,
            marked: pair.iter().any(|ready| ready.marked),
        });
    }
    for row in &page.rows {
        if let Some(section) = row.section {
            lines.push(Line {
                pieces: vec![(0, width, section.to_owned(), theme.style(TextRole::Heading))],
                marked: false,
            });
        }
        let role = if row.marked {
            TextRole::Present
        } else {
            TextRole::Text
        };
        let number = row.number.map_or_else(String::new, |n| n.to_string());
        let style = row.level.map_or_else(
            || theme.style(TextRole::Dim),
            |level| theme.level_line(level),
        );
        let mark = row.mark.map_or("", said::call::mark);
        let width_of_mark = u16::try_from(mark.chars().count()).unwrap_or(0);
        lines.push(Line {
            pieces: vec![
                (0, 2, number, style),
                (
                    2,
                    width.saturating_sub(4 + width_of_mark),
                    row.text.clone(),
                    theme.style(role),
                ),
                (
                    width.saturating_sub(width_of_mark),
                    width_of_mark,
                    mark.to_owned(),
                    theme.style(TextRole::Dim),
                ),
            ],
            marked: row.marked,
        });
    }
    lines
}

fn panel(page: &CallView, width: u16, theme: Theme) -> Vec<Line> {
    let mut lines = Vec::new();
    let mut say = |text: &str, indent: u16, role: TextRole, marked: bool| {
        for line in wrap(text, width.saturating_sub(indent)) {
            lines.push(Line {
                pieces: vec![(indent, width, line, theme.style(role))],
                marked,
            });
        }
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
                say(&format!("{tick} {digit} {text}"), 0, role, *marked);
                if !note.is_empty() {
                    say(note, 4, TextRole::Dim, *marked);
                }
            }
        }
    }
    lines
}
