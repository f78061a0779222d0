//! Rows that are put together before they are drawn, so that what is long takes a second row instead of being cut, and what
//! does not fit can be scrolled to.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::badge::Badge;
use super::pen::{put_at, put_right, wrap};
use super::theme::{TextRole, Theme};
use crate::phrase::pages as said;

/// A row: pieces, each with the column at which it begins.
#[derive(Default)]
pub(super) struct Row {
    pieces: Vec<(u16, Piece)>,
    /// Whether it belongs to what is marked, which stays in view.
    pub(super) marked: bool,
}

enum Piece {
    Text(String, TextRole),
    Badge(Badge),
}

impl Row {
    /// A row of one text.
    pub(super) fn text(column: u16, text: impl Into<String>, role: TextRole) -> Row {
        let mut row = Row::default();
        row.put(column, text, role);
        row
    }

    /// Puts a text into it.
    pub(super) fn put(&mut self, column: u16, text: impl Into<String>, role: TextRole) {
        self.pieces.push((column, Piece::Text(text.into(), role)));
    }

    /// Puts a badge into it.
    pub(super) fn badge(&mut self, column: u16, badge: Badge) {
        self.pieces.push((column, Piece::Badge(badge)));
    }

    fn draw(&self, buf: &mut Buffer, area: Rect, row: u16, theme: Theme) {
        for (column, piece) in &self.pieces {
            match piece {
                Piece::Text(text, role) => {
                    put_at(buf, area, *column, row, text, theme.style(*role));
                }
                Piece::Badge(badge) => {
                    badge.put(buf, area, *column, row, theme);
                }
            }
        }
    }
}

/// Wraps a text into rows from a column on, so many columns wide.
pub(super) fn wrapped(column: u16, text: &str, width: u16, role: TextRole) -> Vec<Row> {
    let lines = wrap(text, width).into_iter();
    lines.map(|line| Row::text(column, line, role)).collect()
}

/// Draws rows, the marked ones in view, else from where they are scrolled to. What does not fit is counted.
pub(super) fn scrolled(buf: &mut Buffer, area: Rect, rows: &[Row], scroll: usize, theme: Theme) {
    let height = usize::from(area.height);
    let last = rows.iter().rposition(|row| row.marked);
    let first = rows.iter().position(|row| row.marked);
    let cut = rows.len() > height && height > 1;
    let shown = if cut { height - 1 } else { height };
    let offset = match first.zip(last) {
        // The last row of what is marked with the one behind it, but never without its first.
        Some((first, last)) => (last + 2).min(rows.len()).saturating_sub(shown).min(first),
        None => scroll.min(rows.len().saturating_sub(shown)),
    };
    for (row, own) in (0u16..).zip(rows.iter().skip(offset).take(shown)) {
        own.draw(buf, area, row, theme);
    }
    if cut {
        let more = match last {
            None => said::screen::PAGE_KEYS_SCROLL,
            Some(_) => "",
        };
        let shown = (offset + shown).min(rows.len());
        let text = said::lines_shown(offset + 1, shown, rows.len()) + more;
        put_right(
            buf,
            area,
            area.height - 1,
            &text,
            theme.style(TextRole::Dim),
        );
    }
}
