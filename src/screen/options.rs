//! The options as a table that is read in one look, and the marked one below it.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use unicode_width::UnicodeWidthStr;

use super::badge;
use super::pen::{below, put_at, wrap};
use super::rows::{MEASURE, Row, Scroll, scrolled, sections, titled, wrapped};
use super::theme::{TextRole, Theme};
use crate::phrase::pages::cells::OPEN_SIGN;
use crate::phrase::pages::options as said;
use crate::phrase::words;
use crate::session::view::{Badge, OptionLine, OptionsView};

/// Where the name of an option begins, behind its rank.
const NAME: u16 = 3;
/// The least columns of a name: figures that would leave it less are in the marked option in full.
const LEAST_NAME: u16 = 30;
/// In which order figures have what room there is.
const FIRST: [usize; 6] = [0, 1, 4, 3, 5, 2];

pub(super) fn draw(buf: &mut Buffer, area: Rect, page: &OptionsView, scroll: usize, theme: Theme) {
    let waiting = page.waiting.as_deref().unwrap_or_default();
    let body = titled(buf, area, words::OPTIONS, waiting, theme);
    let width = body.width.min(MEASURE);
    let mut detail = Vec::new();
    if let Some(marked) = page.rows.get(page.marked) {
        detail.push(Row::rule(marked.does.as_str()));
    }
    let room = width.saturating_sub(1);
    // What it is called is the title.
    let rest = page.detail.get(1..).unwrap_or_default();
    detail.extend(sections(rest, 1, room, TextRole::Text));
    if page.full {
        scrolled(buf, body, &detail, Scroll::Arrows(scroll), theme);
        return;
    }
    let shown = columns(page, body.width, theme);
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
    scrolled(buf, place, &table, Scroll::Arrows(0), theme);
    scrolled(
        buf,
        below(body, rows),
        &detail,
        Scroll::Arrows(scroll),
        theme,
    );
}

/// A column of figures: which it is, its heading, its width with the gap behind it.
struct Column {
    nth: usize,
    name: &'static str,
    width: u16,
}

/// Returns the columns that there is room for, each as wide as what it holds.
fn columns(page: &OptionsView, width: u16, theme: Theme) -> Vec<Column> {
    let mut left = width.saturating_sub(NAME + LEAST_NAME);
    let mut shown = Vec::new();
    for nth in FIRST {
        let Some(name) = said::COLUMNS.get(nth).copied() else {
            continue;
        };
        let open = page.rows.iter().filter(|row| row.barred.is_none());
        let own = open.map(|row| match (nth, row.verdict) {
            (0, Some(verdict)) => badge::width(verdict.into(), theme),
            _ => {
                let columns = row.columns();
                let text = columns.get(nth).map_or("", String::as_str);
                theme.signs().spell(text).width() as u16
            }
        });
        let widest = own.max().unwrap_or(0);
        let wanted = widest.max(theme.signs().spell(name).width() as u16) + 2;
        if nth == 0 || (widest > 0 && wanted <= left) {
            left = left.saturating_sub(wanted);
            shown.push(Column {
                nth,
                name,
                width: wanted,
            });
        }
    }
    shown.sort_by_key(|own| own.nth);
    shown
}

/// The table without its heading: the names of options whole, if need be in a second row.
fn table(page: &OptionsView, shown: &[Column], width: u16, theme: Theme) -> Vec<Row> {
    let first = width.saturating_sub(shown.iter().map(|own| own.width).sum());
    let mut rows = Vec::new();
    if let Some(now) = &page.now {
        let mut line = Row::text(NAME, now.does.as_str(), TextRole::Text);
        figures(&mut line, now, shown, first, theme);
        rows.push(line);
    }
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
            if marked {
                line.put(NAME - 1, theme.signs().spell(OPEN_SIGN), TextRole::Present);
            }
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
