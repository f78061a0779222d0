//! The options as a table that is read in one look, and the marked one below it.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;

use super::badge::Badge;
use super::pages::indented;
use super::pen::{below, put, put_at, put_right, wrap};
use super::rows::{Row, scrolled, wrapped};
use super::theme::{TextRole, Theme};
use crate::phrase::pages::options as said;
use crate::phrase::words;
use crate::session::view::{OptionLine, OptionsView};

/// The columns of the table from the right: heading, width, and from which width of the page on they are shown.
const COLUMNS: [(&str, u16, u16); 6] = [
    (said::COLUMNS[0], 18, 0),
    (said::COLUMNS[1], 13, 64),
    (said::COLUMNS[2], 22, 112),
    (said::COLUMNS[3], 6, 70),
    (said::COLUMNS[4], 5, 70),
    (said::COLUMNS[5], 22, 90),
];

/// Where the name of an option begins, behind its rank.
const NAME: u16 = 3;

pub(super) fn draw(buf: &mut Buffer, area: Rect, page: &OptionsView, scroll: usize, theme: Theme) {
    put(buf, area, 0, words::OPTIONS, theme.style(TextRole::Heading));
    if let Some(waiting) = &page.waiting {
        put_right(buf, area, 0, waiting, theme.style(TextRole::Dim));
    }
    let body = below(area, 1);
    let detail: Vec<(String, Style)> = page
        .detail
        .iter()
        .flat_map(|(heading, texts)| {
            let mut rows = vec![(heading.clone(), theme.style(TextRole::Heading))];
            for text in texts {
                rows.extend(
                    indented(text, body.width)
                        .into_iter()
                        .map(|line| (line, theme.style(TextRole::Text))),
                );
            }
            rows
        })
        .collect();
    if page.full {
        super::pages::scrolled(buf, body, &detail, scroll, theme);
        return;
    }
    let shown = columns(body.width);
    let mut column = body
        .width
        .saturating_sub(shown.iter().map(|own| own.width).sum());
    for own in &shown {
        let name = theme.signs().spell(own.name);
        put_at(buf, body, column, 0, &name, theme.style(TextRole::Dim));
        column += own.width;
    }
    let body = below(body, 1);
    let table = table(page, &shown, body.width, theme);
    let most = usize::from(body.height.saturating_mul(3) / 5).max(3);
    let rows = u16::try_from(table.len().min(most)).unwrap_or(3);
    let place = Rect {
        height: rows.min(body.height),
        ..body
    };
    scrolled(buf, place, &table, 0, theme);
    super::pages::scrolled(buf, below(body, rows + 1), &detail, scroll, theme);
}

/// A column of figures: which it is, its heading, its width with the gap behind it.
struct Column {
    nth: usize,
    name: &'static str,
    width: u16,
}

/// Returns the columns that a page of this width has room for.
fn columns(width: u16) -> Vec<Column> {
    let all = (0..).zip(COLUMNS);
    let shown = all.filter(|(_, (.., from))| width >= *from);
    let column = |(nth, (name, width, _)): (usize, _)| Column { nth, name, width };
    shown.map(column).collect()
}

/// The table without its heading: the names of options whole, if need be in a second row.
fn table(page: &OptionsView, shown: &[Column], width: u16, theme: Theme) -> Vec<Row> {
    let first = width.saturating_sub(shown.iter().map(|own| own.width).sum());
    let mut rows = Vec::new();
    for (index, option) in page.rows.iter().enumerate() {
        if let Some(section) = option.section {
            rows.push(Row::text(0, section, TextRole::Heading));
        }
        let marked = index == page.marked;
        let role = match (marked, &option.barred) {
            (true, _) => TextRole::Present,
            (false, Some(_)) => TextRole::Dim,
            (false, None) => TextRole::Text,
        };
        let mut lines = wrapped(NAME, &option.does, first.saturating_sub(NAME + 1), role);
        let rank = option
            .rank
            .map_or_else(String::new, |rank| rank.to_string());
        if let Some(line) = lines.first_mut() {
            line.put(0, rank, TextRole::Dim);
        }
        match &option.barred {
            Some(why) => {
                let why = wrap(why, width.saturating_sub(first));
                if lines.len() < why.len() {
                    lines.resize_with(why.len(), Row::default);
                }
                for (line, text) in lines.iter_mut().zip(why) {
                    line.put(first, text, TextRole::Dim);
                }
            }
            None => {
                if let Some(line) = lines.first_mut() {
                    figures(line, option, shown, first, theme);
                }
            }
        }
        for line in &mut lines {
            line.marked = marked;
        }
        rows.extend(lines);
    }
    rows
}

fn figures(line: &mut Row, option: &OptionLine, shown: &[Column], first: u16, theme: Theme) {
    let texts = option.columns();
    let mut column = first;
    for own in shown {
        let text = texts.get(own.nth).map_or("", String::as_str);
        match (own.nth, option.verdict) {
            (0, Some(verdict)) => line.badge(column, Badge::from(verdict)),
            (0, None) => line.put(column + 1, said::NO_FIGURE_SIGN, TextRole::Dim),
            (5, _) => line.put(column, theme.signs().spell(text), TextRole::Dim),
            _ => line.put(column, theme.signs().spell(text), TextRole::Text),
        }
        column += own.width;
    }
}
