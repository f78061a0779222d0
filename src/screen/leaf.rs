//! A page of the record: what is said, its table with as many columns as the window has room for, and what is said of it.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use unicode_width::{UnicodeWidthChar as _, UnicodeWidthStr as _};

use super::pen::split_bottom;
use super::rows::{MEASURE, Row, Scroll, scrolled, titled, wrapped};
use super::theme::{TextRole, Theme};
use crate::phrase::pages::cells::OPEN_SIGN;
use crate::session::view::LeafView;

/// The columns of the mark.
const LEFT: u16 = 2;
/// The columns between two of the table.
const GAP: u16 = 2;
/// The least columns of a name.
const NAME: usize = 10;

pub(super) fn draw(buf: &mut Buffer, area: Rect, page: &LeafView, scroll: usize, theme: Theme) {
    let leaf = &page.leaf;
    let fits = leaf.title.width() + page.right.width() + 5 <= usize::from(area.width);
    // What has no room at the head is the first of the text, where it can break.
    let (body, head) = match fits {
        true => {
            let body = titled(buf, area, &leaf.title, &page.right, theme);
            (body, Vec::new())
        }
        false => (area, vec![&leaf.title, &page.right]),
    };
    let room = body.width.min(MEASURE).saturating_sub(1);
    let text = |text: &String| wrapped(1, text, room, TextRole::Text);
    let mut all: Vec<Row> = head
        .into_iter()
        .filter(|text| !text.is_empty())
        .chain(&leaf.before)
        .flat_map(text)
        .collect();
    if !leaf.rows.is_empty() {
        if !leaf.over.is_empty() {
            all.extend(over(&leaf.over, body.width));
        }
        all.extend(table(page, body.width, theme));
    }
    let mut after = Vec::new();
    for (heading, texts) in &leaf.after {
        after.push(match heading.as_str() {
            "" => Row::default(),
            heading => Row::rule(heading),
        });
        after.extend(texts.iter().flat_map(text));
    }
    if page.marked.is_none() {
        all.extend(after);
        scrolled(buf, body, &all, Scroll::Arrows(scroll), theme);
        return;
    }
    // The arrows move the mark, so that what is said below has room of its own.
    let left = usize::from(body.height).saturating_sub(all.len());
    let most = left.max(usize::from(body.height / 3));
    let rows = match all.len() + after.len() <= usize::from(body.height) {
        true => left,
        false => after.len().min(most),
    };
    let (body, foot) = split_bottom(body, u16::try_from(rows).unwrap_or(0));
    scrolled(buf, body, &all, Scroll::Arrows(0), theme);
    scrolled(buf, foot, &after, Scroll::PageKeys(scroll), theme);
}

/// What heads the table: in a rule where it fits, else as text.
fn over(text: &str, width: u16) -> Vec<Row> {
    match text.width() + 8 <= usize::from(width) {
        true => vec![Row::rule(text)],
        false => wrapped(1, text, width.saturating_sub(1), TextRole::Heading),
    }
}

/// Rows in columns under their heads; the marked one stays in view.
fn table(page: &LeafView, width: u16, theme: Theme) -> Vec<Row> {
    let room = usize::from(width.saturating_sub(LEFT));
    let mut columns = page.leaf.fitting(room);
    let whole: usize = columns.iter().map(|(_, own)| own + usize::from(GAP)).sum();
    let beyond = whole.saturating_sub(usize::from(GAP) + room);
    // The name gives way before what is said of it.
    if let Some((_, name)) = columns.first_mut() {
        *name = name.saturating_sub(beyond).max(NAME.min(*name));
    }
    let put = |row: &mut Row, cells: &[String], role: TextRole| {
        let mut at = LEFT;
        for (column, own) in &columns {
            let cell = cells.get(*column).map_or("", String::as_str);
            row.put(at, cut(cell, *own), role);
            at = at.saturating_add(u16::try_from(*own).unwrap_or(u16::MAX) + GAP);
        }
    };
    let mut head = Row::default();
    put(&mut head, &page.leaf.head, TextRole::Dim);
    let mut all = vec![head];
    for (nth, cells) in page.leaf.rows.iter().enumerate() {
        let mut row = Row::default();
        row.marked = page.marked == Some(nth);
        if row.marked {
            row.put(0, theme.signs().spell(OPEN_SIGN), TextRole::Present);
        }
        put(&mut row, cells, TextRole::Text);
        all.push(row);
    }
    all
}

/// Returns a text in so many columns; what does not fit ends in two points.
fn cut(text: &str, width: usize) -> String {
    if text.width() <= width {
        return text.to_owned();
    }
    let mut left = width.saturating_sub(2);
    let fits = |c: &char| {
        let own = c.width().unwrap_or(0);
        let has = own <= left;
        left = left.saturating_sub(own);
        has
    };
    let mut own: String = text.chars().take_while(fits).collect();
    own.push_str("..");
    own
}
