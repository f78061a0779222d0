//! Puts text on the screen, cut by display width and kept inside its area.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;
use unicode_width::UnicodeWidthStr;

use crate::phrase::lines::to_width;

/// Puts one line; what does not fit ends in two points. Returns the columns that were used.
pub(super) fn put(buf: &mut Buffer, area: Rect, row: u16, text: &str, style: Style) -> u16 {
    put_at(buf, area, 0, row, text, style)
}

/// Puts one line from a column of the area on.
pub(super) fn put_at(
    buf: &mut Buffer,
    area: Rect,
    column: u16,
    row: u16,
    text: &str,
    style: Style,
) -> u16 {
    let area = area.intersection(buf.area);
    if row >= area.height || column >= area.width {
        return 0;
    }
    let room = usize::from(area.width - column);
    let (x, y) = (area.x + column, area.y + row);
    if text.width() <= room {
        let (end, _) = buf.set_stringn(x, y, text, room, style);
        return end.saturating_sub(x);
    }
    let (end, _) = buf.set_stringn(x, y, text, room.saturating_sub(2), style);
    let left = usize::from((area.x + area.width).saturating_sub(end));
    let (end, _) = buf.set_stringn(end, y, "..", left.min(2), style);
    end.saturating_sub(x)
}

/// Puts one line against the right edge; returns the column it begins at.
pub(super) fn put_right(buf: &mut Buffer, area: Rect, row: u16, text: &str, style: Style) -> u16 {
    let width = u16::try_from(text.width())
        .unwrap_or(u16::MAX)
        .min(area.width);
    let column = area.width - width;
    put_at(buf, area, column, row, text, style);
    column
}

/// Returns the end of a text that fits into a width: a long line shows where it is typed.
pub(super) fn end_of(text: &str, width: u16) -> &str {
    let mut shown = text;
    while shown.width() > usize::from(width) {
        let mut chars = shown.chars();
        chars.next();
        shown = chars.as_str();
    }
    shown
}

/// Wraps a text to a width; at least one line.
pub(super) fn wrap(text: &str, width: u16) -> Vec<String> {
    if width == 0 {
        return vec![String::new()];
    }
    textwrap::wrap(text, to_width(usize::from(width)))
        .into_iter()
        .map(|line| line.into_owned())
        .collect()
}

/// Cuts rows off the top of an area.
pub(super) fn below(area: Rect, rows: u16) -> Rect {
    let rows = rows.min(area.height);
    Rect {
        y: area.y + rows,
        height: area.height - rows,
        ..area
    }
}

/// Cuts rows off the bottom of an area; returns what is left and what was cut off.
pub(super) fn split_bottom(area: Rect, rows: u16) -> (Rect, Rect) {
    let rows = rows.min(area.height);
    let top = Rect {
        height: area.height - rows,
        ..area
    };
    (
        top,
        Rect {
            y: area.y + top.height,
            height: rows,
            ..area
        },
    )
}

/// Cuts columns off the left of an area; returns both parts with a gap between them.
pub(super) fn split_left(area: Rect, columns: u16, gap: u16) -> (Rect, Rect) {
    let columns = columns.min(area.width);
    let rest = area.width.saturating_sub(columns + gap);
    let left = Rect {
        width: columns,
        ..area
    };
    (
        left,
        Rect {
            x: area.x + area.width - rest,
            width: rest,
            ..area
        },
    )
}
