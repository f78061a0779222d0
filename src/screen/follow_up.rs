//! The page of follow-up: as many columns as the window has room for, what is said now always whole.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use unicode_width::UnicodeWidthStr as _;

use super::outcome::choices;
use super::pen::split_bottom;
use super::rows::{self, MEASURE, Row, Scroll, scrolled, wrapped};
use super::theme::{TextRole, Theme};
use crate::phrase::follow_up as said;
use crate::phrase::pages::cells::OPEN_SIGN;
use crate::session::view::{FollowUpRow, FollowUpView};

/// The columns of mark and digit.
const LEFT: u16 = 4;
/// The columns between two of the table.
const GAP: u16 = 2;
/// The order in which columns go where there is no room: heard last, delivered, due, units.
const GO: [usize; 4] = [4, 2, 3, 1];

pub(super) fn draw(buf: &mut Buffer, area: Rect, page: &FollowUpView, scroll: usize, theme: Theme) {
    let body = rows::titled(buf, area, &page.title, &page.of, theme);
    let body = Rect {
        width: body.width.min(MEASURE),
        ..body
    };
    let room = body.width.saturating_sub(1);
    let text = |text: &String| wrapped(1, text, room, TextRole::Text);
    if !page.asks.is_empty() {
        // What is asked needs the room of the other rows.
        let own = page.rows.iter().filter(|row| row.marked);
        let mut all = table(own.map(|row| (row, false)), body.width, theme);
        all.push(Row::rule(page.asks));
        all.extend(choices(&page.choices, room));
        all.extend(page.says.iter().flat_map(text));
        scrolled(buf, body, &all, Scroll::Arrows(scroll), theme);
        return;
    }
    // What Enter writes stays in view, whatever has room above it.
    let (writes, says) = match page.says.split_last() {
        Some((writes, says)) => (text(writes), says),
        None => (Vec::new(), &[][..]),
    };
    let (body, foot) = split_bottom(body, u16::try_from(writes.len()).unwrap_or(0));
    scrolled(buf, foot, &writes, Scroll::Arrows(0), theme);
    let mut all: Vec<Row> = page.head.iter().flat_map(text).collect();
    all.extend(table(
        page.rows.iter().map(|row| (row, row.marked)),
        body.width,
        theme,
    ));
    all.extend(says.iter().flat_map(text));
    scrolled(buf, body, &all, Scroll::Arrows(scroll), theme);
}

/// Rows in columns under their heads, each with whether it stays in view; nothing without a row.
fn table<'v>(
    rows: impl Iterator<Item = (&'v FollowUpRow, bool)>,
    width: u16,
    theme: Theme,
) -> Vec<Row> {
    let rows: Vec<(&FollowUpRow, bool)> = rows.collect();
    if rows.is_empty() {
        return Vec::new();
    }
    let widest = |column: usize| {
        let cells = rows.iter().map(|(row, _)| row.cells[column].width());
        let widest = cells.max().unwrap_or(0).max(said::COLUMNS[column].width());
        u16::try_from(widest).unwrap_or(u16::MAX)
    };
    let mut columns: Vec<(usize, u16)> = (0..6).map(|column| (column, widest(column))).collect();
    for gone in GO {
        let whole: u16 = columns.iter().map(|(_, own)| own.saturating_add(GAP)).sum();
        if LEFT + whole <= width + GAP {
            break;
        }
        columns.retain(|(column, _)| *column != gone);
    }
    let put = |row: &mut Row, cells: &[&str], role: TextRole| {
        let mut at = LEFT;
        for (column, own) in &columns {
            row.put(at, cells.get(*column).copied().unwrap_or_default(), role);
            at = at.saturating_add(own + GAP);
        }
    };
    let mut head = Row::default();
    put(&mut head, &said::COLUMNS, TextRole::Dim);
    let mut all = vec![head];
    for (own, stays) in rows {
        let mut row = Row::default();
        row.marked = stays;
        if own.marked {
            let sign = theme.signs().spell(OPEN_SIGN);
            row.put(0, sign, TextRole::Present);
        }
        if let Some(digit) = own.digit {
            row.put(2, digit.to_string(), TextRole::Key);
        }
        let role = match own.named {
            true => TextRole::Heading,
            false => TextRole::Text,
        };
        let cells: Vec<&str> = own.cells.iter().map(String::as_str).collect();
        put(&mut row, &cells, role);
        all.push(row);
    }
    all
}
