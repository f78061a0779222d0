//! Rows that are put together before they are drawn, so that what is long takes a second row instead of being cut, and what
//! does not fit can be scrolled to.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use unicode_width::UnicodeWidthStr;

use super::badge;
use super::frame::rule;
use super::pen::{below, put_at, put_right, wrap};
use super::theme::{TextRole, Theme};
use crate::phrase::pages as said;
use crate::session::view::Badge;

/// The most columns of running text: a line of two hundred columns is lost on the way back.
pub(super) const MEASURE: u16 = 96;
/// From this width on what a section is called stands beside its text.
const LABELS: u16 = 60;
/// The most columns of that.
const LABEL: usize = 16;
/// From so many rows on the title of a page has a rule below it.
const ROOMY: u16 = 16;

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
    Rule(String),
}

impl Row {
    /// A row of one text.
    pub(super) fn text(column: u16, text: impl Into<String>, role: TextRole) -> Row {
        let mut row = Row::default();
        row.put(column, text, role);
        row
    }

    /// A rule with a title.
    pub(super) fn rule(title: impl Into<String>) -> Row {
        Row {
            pieces: vec![(0, Piece::Rule(title.into()))],
            marked: false,
        }
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
                    badge::put(buf, area, (*column, row), *badge, theme);
                }
                Piece::Rule(title) => rule(buf, area, row, title, "", theme),
            }
        }
    }
}

/// Wraps a text into rows from a column on, so many columns wide. Blanks that it begins with are kept.
pub(super) fn wrapped(column: u16, text: &str, width: u16, role: TextRole) -> Vec<Row> {
    let own = text.chars().take_while(|c| *c == ' ').count();
    let indent = u16::try_from(own).unwrap_or(0).min(width / 2);
    let lines = wrap(text.trim_start(), width.saturating_sub(indent)).into_iter();
    lines
        .map(|line| Row::text(column + indent, line, role))
        .collect()
}

/// Sections as rows: what each is called, and its texts beside it or, in a narrow window, below it.
pub(super) fn sections(
    all: &[(String, Vec<String>)],
    column: u16,
    width: u16,
    role: TextRole,
) -> Vec<Row> {
    let widest = all.iter().map(|(heading, _)| heading.width()).max();
    let label = widest.unwrap_or(0).min(LABEL) as u16 + 2;
    let beside = width >= LABELS;
    let (at, room) = match beside {
        true => (column + label, width.saturating_sub(label)),
        false => (column + 2, width.saturating_sub(2)),
    };
    let mut rows = Vec::new();
    for (heading, texts) in all {
        let texts = texts.iter().flat_map(|text| wrapped(at, text, room, role));
        if !beside {
            rows.push(Row::text(column, heading, TextRole::Heading));
            rows.extend(texts);
            continue;
        }
        let mut own: Vec<Row> = texts.collect();
        let lines = wrap(heading, label - 1);
        if own.len() < lines.len() {
            own.resize_with(lines.len(), Row::default);
        }
        for (row, line) in own.iter_mut().zip(lines) {
            row.put(column, line, TextRole::Heading);
        }
        rows.extend(own);
    }
    rows
}

/// Draws the title of a page, with what is counted at its right and, where there is room, a rule below; returns what is
/// left of the page.
pub(super) fn titled(buf: &mut Buffer, area: Rect, title: &str, right: &str, theme: Theme) -> Rect {
    let indent = u16::from(area.width >= super::WIDE);
    let inner = Rect {
        x: area.x + indent,
        width: area.width.saturating_sub(2 * indent),
        ..area
    };
    let begins = put_right(buf, inner, 0, right, theme.style(TextRole::Dim));
    let line = Rect {
        width: begins.saturating_sub(1),
        ..inner
    };
    put_at(buf, line, 0, 0, title, theme.style(TextRole::Heading));
    if area.height < ROOMY {
        return below(area, 1);
    }
    rule(buf, area, 1, "", "", theme);
    below(area, 2)
}

/// How somebody sees the rest of what does not fit.
#[derive(Clone, Copy)]
pub(super) enum Scroll {
    /// With the arrows, from this row on.
    Arrows(usize),
    /// With the page keys, from this row on.
    PageKeys(usize),
}

/// Draws rows, the marked ones in view, else from where they are scrolled to. What does not fit is counted.
pub(super) fn scrolled(buf: &mut Buffer, area: Rect, rows: &[Row], scroll: Scroll, theme: Theme) {
    let (scroll, keys) = match scroll {
        Scroll::Arrows(from) => (from, said::screen::ARROWS_SCROLL),
        Scroll::PageKeys(from) => (from, said::screen::PAGE_KEYS_SCROLL),
    };
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
        let more = if last.is_none() { keys } else { "" };
        let end = (offset + shown).min(rows.len());
        let text = said::lines_shown(offset + 1, end, rows.len()) + more;
        let style = theme.style(TextRole::Dim);
        put_right(buf, area, area.height - 1, &text, style);
    }
}
