//! The options as a table that is read in one look, and the marked one below it.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;

use super::pages::indented;
use super::pen::{below, put, put_at, put_right};
use super::theme::{TextRole, Theme};
use crate::phrase::pages::options as said;
use crate::phrase::words;
use crate::session::view::{OptionLine, OptionsView};

/// The columns of the table from the right: heading, width, and from which width of the page on they are shown.
const COLUMNS: [(&str, u16, u16); 6] = [
    (said::COLUMNS[0], 9, 0),
    (said::COLUMNS[1], 13, 56),
    (said::COLUMNS[2], 22, 112),
    (said::COLUMNS[3], 6, 70),
    (said::COLUMNS[4], 5, 70),
    (said::COLUMNS[5], 22, 90),
];

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
    let sections = page.rows.iter().filter(|row| row.section.is_some()).count();
    let wanted = page.rows.len() + sections + 1;
    let most = usize::from(body.height.saturating_mul(3) / 5).max(3);
    let rows = u16::try_from(wanted.min(most))
        .unwrap_or(3)
        .min(body.height);
    table(
        buf,
        Rect {
            height: rows,
            ..body
        },
        page,
        theme,
    );
    super::pages::scrolled(buf, below(body, rows + 1), &detail, scroll, theme);
}

fn table(buf: &mut Buffer, area: Rect, page: &OptionsView, theme: Theme) {
    let shown: Vec<(usize, &str, u16)> = COLUMNS
        .iter()
        .enumerate()
        .filter(|(_, (.., from))| area.width >= *from)
        .map(|(index, (name, width, _))| (index, *name, *width))
        .collect();
    let right: u16 = shown.iter().map(|(.., width)| width).sum();
    let first = area.width.saturating_sub(right);
    let mut column = first;
    for (_, name, width) in &shown {
        let cell = Rect {
            x: area.x + column,
            width: width.saturating_sub(1),
            ..area
        };
        let name = theme.signs().spell(name);
        put(buf, cell, 0, &name, theme.style(TextRole::Dim));
        column += width;
    }
    let area = below(area, 1);
    let mut lines: Vec<(Option<&'static str>, usize)> = Vec::new();
    for (index, row) in page.rows.iter().enumerate() {
        if let Some(section) = row.section {
            lines.push((Some(section), index));
        }
        lines.push((None, index));
    }
    let height = usize::from(area.height);
    let at = lines
        .iter()
        .position(|(section, index)| section.is_none() && *index == page.marked)
        .unwrap_or(0);
    let offset = (at + 1).saturating_sub(height);
    for (line, (section, index)) in (0u16..).zip(lines.iter().skip(offset).take(height)) {
        let Some(row) = page.rows.get(*index) else {
            continue;
        };
        match section {
            Some(section) => {
                put(buf, area, line, section, theme.style(TextRole::Heading));
            }
            None => draw_row(
                buf,
                area,
                line,
                row,
                (*index == page.marked, first, &shown),
                theme,
            ),
        }
    }
}

fn draw_row(
    buf: &mut Buffer,
    area: Rect,
    line: u16,
    row: &OptionLine,
    (marked, first, shown): (bool, u16, &[(usize, &str, u16)]),
    theme: Theme,
) {
    let role = match (marked, &row.barred) {
        (true, _) => TextRole::Present,
        (false, Some(_)) => TextRole::Dim,
        (false, None) => TextRole::Text,
    };
    let rank = row.rank.map_or_else(String::new, |rank| rank.to_string());
    put_at(buf, area, 0, line, &rank, theme.style(TextRole::Dim));
    let name = Rect {
        x: area.x + 2,
        width: first.saturating_sub(3),
        ..area
    };
    put(buf, name, line, &row.does, theme.style(role));
    if let Some(why) = &row.barred {
        let rest = Rect {
            x: area.x + first,
            width: area.width.saturating_sub(first),
            ..area
        };
        put(buf, rest, line, why, theme.style(TextRole::Dim));
        return;
    }
    let mut columns = row.columns();
    if row.verdict.is_none()
        && let Some(result) = columns.first_mut()
    {
        said::NO_FIGURE_SIGN.clone_into(result);
    }
    let mut column = first;
    for (index, _, width) in shown {
        let text = columns.get(*index).map_or("", String::as_str);
        let style = match (index, row.level()) {
            (0, Some(level)) => theme.level_line(level),
            (0 | 5, _) => theme.style(TextRole::Dim),
            _ => theme.style(TextRole::Text),
        };
        let cell = Rect {
            x: area.x + column,
            width: width.saturating_sub(1),
            ..area
        };
        put(buf, cell, line, &theme.signs().spell(text), style);
        column += width;
    }
}
