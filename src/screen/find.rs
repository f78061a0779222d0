//! Finding by words: the line that is typed, and what was found below it.

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};
use unicode_width::UnicodeWidthStr;

use super::pen::{below, end_of, put, put_at, put_right};
use super::theme::{TextRole, Theme};
use crate::phrase::pages::cells::OPEN_SIGN;
use crate::phrase::pages::lines::FIND;
use crate::session::view::FindView;

/// The columns of the digit, and of the key or the word that says what a line is.
const DIGIT: u16 = 2;
const KIND: u16 = 10;

pub(super) fn draw(buf: &mut Buffer, area: Rect, find: &FindView, theme: Theme) -> Position {
    let column = put(buf, area, 0, FIND, theme.style(TextRole::Heading)) + 1;
    let count = u16::try_from(find.count.width()).unwrap_or(0);
    let room = area.width.saturating_sub(column + count + 2);
    let entry = Rect {
        x: area.x + column.min(area.width),
        width: room,
        ..area
    };
    let shown = end_of(&find.words, room.saturating_sub(1));
    let end = put(buf, entry, 0, shown, theme.style(TextRole::Answer));
    put_right(buf, area, 0, &find.count, theme.style(TextRole::Dim));
    let body = below(area, 2);
    // On a low screen the marked line stays in view.
    let height = usize::from(body.height);
    let marked = find.rows.iter().position(|row| row.marked).unwrap_or(0);
    let offset = (marked + 1).saturating_sub(height);
    for (row, line) in (0u16..).zip(find.rows.iter().skip(offset).take(height)) {
        if let Some(digit) = line.digit {
            put_at(
                buf,
                body,
                0,
                row,
                &digit.to_string(),
                theme.style(TextRole::Key),
            );
        }
        put_at(
            buf,
            body,
            DIGIT,
            row,
            &line.kind,
            theme.style(TextRole::Dim),
        );
        if line.marked {
            let sign = theme.signs().spell(OPEN_SIGN);
            put_at(buf, body, 1, row, &sign, theme.style(TextRole::Present));
        }
        let role = if line.marked {
            TextRole::Present
        } else {
            TextRole::Text
        };
        let column = DIGIT + KIND.max(line.kind.width() as u16 + 1);
        put_at(buf, body, column, row, &line.line, theme.style(role));
    }
    if find.rows.is_empty() {
        put(buf, body, 0, &find.count, theme.style(TextRole::Dim));
    }
    Position {
        x: (entry.x + end).min(area.right().saturating_sub(1)),
        y: area.y,
    }
}
