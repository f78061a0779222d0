//! Findings, summary, help, the typed line.

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};
use ratatui::style::Style;

use super::badge::Badge;
use super::pen::{below, end_of, put, put_at, put_right, split_left, wrap};
use super::picture::plates;
use super::rows::{self, Row};
use super::theme::{TextRole, Theme};
use crate::phrase::{DISLODGEMENT_CAUTION, pages as said, words};
use crate::session::view::{FindingsView, HelpView, HistoryView, SummaryLine};

/// From this width on the list of findings stands beside the marked one in full.
const BESIDE: u16 = 110;
/// The columns of the list beside it.
const LIST: u16 = 52;

pub(super) fn findings(
    buf: &mut Buffer,
    area: Rect,
    page: &FindingsView,
    scroll: usize,
    theme: Theme,
) {
    put(
        buf,
        area,
        0,
        &said::findings::count(page.findings.len()),
        theme.style(TextRole::Heading),
    );
    let body = below(area, 1);
    let (list, full) = if body.width >= BESIDE {
        split_left(body, LIST, 2)
    } else {
        let rows = finding_rows(page, body.width, theme)
            .len()
            .clamp(1, usize::from(area.height / 3).max(1)) as u16;
        (
            Rect {
                height: rows,
                ..body
            },
            below(body, rows + 1),
        )
    };
    finding_list(buf, list, page, theme);
    let full = measure(full);
    let mut rows: Vec<(String, Style)> = Vec::new();
    let mut add = |heading: &str, texts: &[String], role: TextRole| {
        rows.push((heading.to_owned(), theme.style(TextRole::Heading)));
        for text in texts {
            let lines = indented(text, full.width).into_iter();
            rows.extend(lines.map(|line| (line, theme.style(role))));
        }
    };
    for (heading, texts) in &page.detail {
        add(heading, texts, TextRole::Text);
    }
    if !page.open_points.is_empty() {
        let heading = said::findings::still_to_find_out(page.open_points.len());
        add(&heading, &page.open_points, TextRole::Text);
    }
    if !page.to_come.is_empty() {
        add(words::STILL_TO_BE_ASKED, &page.to_come, TextRole::Dim);
    }
    if !page.figures.is_empty() {
        let mut figures = page.figures.clone();
        figures.push(DISLODGEMENT_CAUTION.to_owned());
        add(words::FIGURES, &figures, TextRole::Dim);
    }
    scrolled(buf, full, &rows, scroll, theme);
}

/// The findings in a line each, the marked one in view.
fn finding_list(buf: &mut Buffer, area: Rect, page: &FindingsView, theme: Theme) {
    if page.findings.is_empty() {
        put(buf, area, 0, page.none, theme.style(TextRole::Dim));
    }
    rows::scrolled(buf, area, &finding_rows(page, area.width, theme), 0, theme);
}

/// Each finding whole, behind its badge.
fn finding_rows(page: &FindingsView, width: u16, theme: Theme) -> Vec<Row> {
    let badges = page.findings.iter().map(|own| Badge::from(own.level));
    let column = badges.map(|own| own.width(theme)).max().unwrap_or(0) + 1;
    let mut all = Vec::new();
    for (index, finding) in page.findings.iter().enumerate() {
        let marked = index == page.marked;
        let role = match marked {
            true => TextRole::Present,
            false => TextRole::Text,
        };
        let text = said::findings::at(&finding.place, &finding.says);
        let mut own = rows::wrapped(column, &text, width.saturating_sub(column), role);
        if let Some(row) = own.first_mut() {
            row.badge(0, Badge::from(finding.level));
        }
        for row in &mut own {
            row.marked = marked;
        }
        all.extend(own);
    }
    all
}

/// Cuts an area to the width in which running text is read well: a line of two hundred columns is lost on the way back.
fn measure(area: Rect) -> Rect {
    Rect {
        width: area.width.min(MEASURE),
        ..area
    }
}

/// The most columns of running text.
const MEASURE: u16 = 96;

pub(super) fn end(
    buf: &mut Buffer,
    area: Rect,
    lines: &[SummaryLine],
    scroll: usize,
    theme: Theme,
) {
    let area = measure(area);
    let mut rows: Vec<(String, Style)> = Vec::new();
    for line in lines {
        let style = match (line.heading, line.level) {
            (true, _) => theme.style(TextRole::Heading),
            (false, Some(_)) => theme.style(TextRole::Heading),
            (false, None) => theme.style(TextRole::Text),
        };
        if line.heading && !rows.is_empty() {
            rows.push((String::new(), theme.style(TextRole::Text)));
        }
        rows.extend(
            indented(&line.text, area.width)
                .into_iter()
                .map(|text| (text, style)),
        );
    }
    scrolled(buf, area, &rows, scroll, theme);
}

pub(super) fn history(
    buf: &mut Buffer,
    area: Rect,
    page: &HistoryView,
    scroll: usize,
    theme: Theme,
) {
    let area = measure(area);
    let title = wrap(&page.title, area.width).into_iter();
    let mut rows: Vec<(String, Style)> = title
        .map(|line| (line, theme.style(TextRole::Heading)))
        .collect();
    for line in &page.lines {
        let lines = indented(line, area.width).into_iter();
        rows.extend(lines.map(|line| (line, theme.style(TextRole::Text))));
    }
    scrolled(buf, area, &rows, scroll, theme);
}

pub(super) fn help(buf: &mut Buffer, area: Rect, help: &HelpView, scroll: usize, theme: Theme) {
    let (area, drawn) = beside_help(measure(area), help);
    if let (Some(place), Some(plate)) = (drawn, &help.picture) {
        plates(buf, place, std::slice::from_ref(plate), theme);
    }
    let mut rows: Vec<(String, Style)> = Vec::new();
    for (heading, texts) in &help.sections {
        rows.push((heading.clone(), theme.style(TextRole::Heading)));
        for text in texts {
            rows.extend(
                indented(text, area.width)
                    .into_iter()
                    .map(|line| (line, theme.style(TextRole::Text))),
            );
        }
        rows.push((String::new(), theme.style(TextRole::Text)));
    }
    scrolled(buf, area, &rows, scroll, theme);
}

/// Divides the help page: the picture of what is measured stands at the right, or above where the window is narrow.
fn beside_help(area: Rect, help: &HelpView) -> (Rect, Option<Rect>) {
    const COLUMNS: u16 = 24;
    const ROWS: u16 = 9;
    if help.picture.is_none() || area.height < 2 * ROWS {
        return (area, None);
    }
    if area.width < 3 * COLUMNS && area.height < 4 * ROWS {
        // The words go first.
        return (area, None);
    }
    if area.width >= 3 * COLUMNS {
        let (text, picture) = split_left(area, area.width - COLUMNS - 2, 2);
        let picture = Rect {
            height: picture.height.min(COLUMNS / 2),
            ..picture
        };
        return (text, Some(picture));
    }
    let picture = Rect {
        height: ROWS,
        width: area.width.min(2 * COLUMNS),
        ..area
    };
    (below(area, ROWS + 1), Some(picture))
}

/// Wraps a text two columns in, keeping the blanks it begins with.
pub(super) fn indented(text: &str, width: u16) -> Vec<String> {
    let own = text.chars().take_while(|c| *c == ' ').count();
    let indent = " ".repeat((own + 2).min(usize::from(width / 2)));
    let room = width.saturating_sub(u16::try_from(indent.len()).unwrap_or(0));
    wrap(text.trim_start(), room)
        .into_iter()
        .map(|line| format!("{indent}{line}"))
        .collect()
}

pub(super) fn scrolled(
    buf: &mut Buffer,
    area: Rect,
    rows: &[(String, Style)],
    scroll: usize,
    theme: Theme,
) {
    let height = usize::from(area.height);
    let more = rows.len() > height;
    let text_rows = if more {
        height.saturating_sub(1)
    } else {
        height
    };
    let scroll = scroll.min(rows.len().saturating_sub(text_rows));
    for (row, (text, style)) in (0u16..).zip(rows.iter().skip(scroll).take(text_rows)) {
        put(buf, area, row, text, *style);
    }
    if more {
        let shown = (scroll + text_rows).min(rows.len());
        let text = said::lines_shown(scroll + 1, shown, rows.len()) + said::screen::ARROWS_SCROLL;
        put_right(
            buf,
            area,
            area.height.saturating_sub(1),
            &text,
            theme.style(TextRole::Dim),
        );
    }
}

pub(super) fn prompt(
    buf: &mut Buffer,
    area: Rect,
    (what, example, text): (&str, &str, &str),
    theme: Theme,
) -> Option<Position> {
    let said = wrap(what, area.width);
    let lines = u16::try_from(said.len()).unwrap_or(1);
    let rows = (lines + 4).min(area.height);
    let top = area.y + (area.height - rows) / 2;
    let strip = Rect {
        y: top,
        height: rows,
        ..area
    };
    for row in 0..rows {
        put(
            buf,
            strip,
            row,
            &" ".repeat(usize::from(strip.width)),
            theme.style(TextRole::Text),
        );
    }
    for (row, line) in (1..).zip(&said) {
        put(buf, strip, row, line, theme.style(TextRole::Heading));
    }
    let entry = lines + 1;
    let shown = end_of(text, strip.width.saturating_sub(4));
    put(buf, strip, entry, "> ", theme.style(TextRole::Key));
    let end = put_at(buf, strip, 2, entry, shown, theme.style(TextRole::Text));
    for (row, line) in (entry + 1..rows).zip(wrap(example, strip.width)) {
        put(buf, strip, row, &line, theme.style(TextRole::Dim));
    }
    Some(Position {
        x: (strip.x + 2 + end).min(strip.right().saturating_sub(1)),
        y: strip.y + entry,
    })
}
