//! The page of what became of a delivered restoration.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use unicode_width::UnicodeWidthStr;

use super::rows::{self, MEASURE, Row, Scroll, scrolled, sections, wrapped};
use super::theme::{TextRole, Theme};
use crate::phrase::outcome as said;
use crate::session::view::{ChoiceView, OutcomeView};

/// Where text begins on a page.
const INDENT: u16 = 1;
/// The columns between two choices.
const GAP: u16 = 3;

pub(super) fn draw(buf: &mut Buffer, area: Rect, page: &OutcomeView, scroll: usize, theme: Theme) {
    let body = rows::titled(buf, area, &page.title, "", theme);
    let body = Rect {
        width: body.width.min(MEASURE),
        ..body
    };
    let room = body.width.saturating_sub(INDENT);
    let text = |text: &String| wrapped(INDENT, text, room, TextRole::Text);
    let mut rows: Vec<Row> = page.known.iter().flat_map(text).collect();
    if !page.asks.is_empty() {
        rows.push(Row::rule(page.asks));
        rows.extend(page.says.iter().flat_map(text));
        rows.extend(choices(&page.choices, room));
    }
    if !page.then.is_empty() {
        rows.push(Row::rule(said::KNOWN_THEN));
        rows.extend(sections(&page.then, INDENT, room, TextRole::Text));
    }
    scrolled(buf, body, &rows, Scroll::Arrows(scroll), theme);
}

/// Choices in as many columns as fit, read from the top of each column down.
pub(super) fn choices(choices: &[ChoiceView], room: u16) -> Vec<Row> {
    let widest = choices.iter().map(|own| own.words.width()).max();
    let width = u16::try_from(widest.unwrap_or(0)).unwrap_or(u16::MAX);
    let column = width.saturating_add(3 + GAP);
    let columns = usize::from((room / column).clamp(1, 3));
    let height = choices.len().div_ceil(columns);
    let mut rows: Vec<Row> = Vec::new();
    rows.resize_with(height, Row::default);
    for (index, own) in choices.iter().enumerate() {
        let at = u16::try_from(index / height.max(1)).unwrap_or(0);
        let left = INDENT + 1 + at.saturating_mul(column);
        if let Some(row) = rows.get_mut(index % height.max(1)) {
            row.put(left, own.digit.to_string(), TextRole::Key);
            row.put(left + 3, own.words.as_str(), TextRole::Text);
        }
    }
    rows
}
