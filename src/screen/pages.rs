//! Findings, summary, help, the typed line.

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use super::badge;
use super::frame::divide;
use super::pen::{below, end_of, put, put_at, split_left, wrap};
use super::picture::plates;
use super::rows::{self, MEASURE, Row, Scroll, scrolled, sections, wrapped};
use super::theme::{TextRole, Theme};
use crate::phrase::pages::cells::OPEN_SIGN;
use crate::phrase::{DISLODGEMENT_CAUTION, pages as said, words};
use crate::session::view::{Badge, EvidenceLine, FindingsView};
use crate::session::view::{HelpView, HistoryView, SummaryLine};
use unicode_width::UnicodeWidthStr;

/// From this width on the list of findings stands beside the marked one in full.
const BESIDE: u16 = 110;
/// The columns of the list beside it.
const LIST: u16 = 47;

pub(super) fn findings(
    buf: &mut Buffer,
    area: Rect,
    page: &FindingsView,
    scroll: usize,
    theme: Theme,
) {
    let title = said::findings::titled(page.findings.len());
    let body = rows::titled(buf, area, &title, "", theme);
    let wide = body.width >= BESIDE;
    let width = if wide { LIST } else { body.width };
    let list = finding_rows(page, width, theme);
    let (place, full) = if wide {
        let (list, full) = split_left(body, LIST, 2);
        divide(buf, body.x + LIST, body, theme);
        (list, full)
    } else {
        let most = usize::from(area.height / 3).max(1);
        let rows = list.len().clamp(1, most) as u16;
        let list = Rect {
            height: rows,
            ..body
        };
        (list, below(body, rows))
    };
    if page.findings.is_empty() {
        let style = theme.style(TextRole::Dim);
        put_at(buf, place, INDENT, 0, page.none, style);
    }
    scrolled(buf, place, &list, Scroll::Arrows(0), theme);
    let full = measure(full);
    let room = full.width.saturating_sub(INDENT);
    let mut rows = Vec::new();
    let title = page.findings.get(page.marked).map(|own| own.place.clone());
    if !wide || title.is_some() {
        rows.push(Row::rule(title.unwrap_or_default()));
    }
    rows.extend(sections(&page.detail, INDENT, room, TextRole::Text));
    rows.extend(evidence(&page.evidence, room, theme));
    rows.extend(sections(&page.rest, INDENT, room, TextRole::Text));
    let mut add = |heading: &str, texts: &[String], role: TextRole| {
        rows.push(Row::rule(heading));
        let texts = texts.iter();
        rows.extend(texts.flat_map(|text| wrapped(INDENT, text, room, role)));
    };
    if !page.open_points.is_empty() {
        let heading = said::findings::still_to_find_out(page.open_points.len());
        add(&heading, &page.open_points, TextRole::Text);
    }
    if !page.to_come.is_empty() {
        add(words::STILL_TO_BE_ASKED, &page.to_come, TextRole::Text);
    }
    if !page.figures.is_empty() {
        let mut figures = page.figures.clone();
        figures.push(DISLODGEMENT_CAUTION.to_owned());
        add(words::FIGURES, &figures, TextRole::Text);
    }
    scrolled(buf, full, &rows, Scroll::Arrows(scroll), theme);
}

/// From so many columns on what a fact was worked out from stands beside it.
const FROM_BESIDE: u16 = 26;

/// What a finding rests on, as a table: what it is, what was found, what it needs, and what it was worked out from.
fn evidence(lines: &[EvidenceLine], width: u16, theme: Theme) -> Vec<Row> {
    if lines.is_empty() {
        return Vec::new();
    }
    let needs: Vec<String> = lines
        .iter()
        .map(|own| {
            let needs = own.needs.as_ref();
            let said = needs.map(|(bound, limit)| said::findings::needs(*bound, limit));
            theme.signs().spell(&said.unwrap_or_default()).into_owned()
        })
        .collect();
    let columns = |texts: &mut dyn Iterator<Item = &str>, head: &str| {
        let widest = texts.map(UnicodeWidthStr::width).max().unwrap_or(0);
        u16::try_from(widest.max(head.width())).unwrap_or(u16::MAX)
    };
    let head = said::findings::EVIDENCE;
    let what = columns(&mut lines.iter().map(|own| own.what.as_str()), head).min(width / 2);
    let found = columns(
        &mut lines.iter().map(|own| own.found.as_str()),
        said::findings::FOUND,
    );
    let need = columns(&mut needs.iter().map(String::as_str), said::findings::NEEDS);
    let found_at = INDENT + what + 2;
    let needs_at = found_at + found + 2;
    let from_at = needs_at + need + 2;
    // A value of many words takes the row behind its name, and what it was worked out from the next.
    let in_columns = from_at <= width;
    let beside = in_columns && from_at + FROM_BESIDE <= width + INDENT;
    let mut heads = Row::text(INDENT, head, TextRole::Heading);
    if in_columns {
        heads.put(found_at, said::findings::FOUND, TextRole::Dim);
        heads.put(needs_at, said::findings::NEEDS, TextRole::Dim);
    }
    if beside {
        heads.put(from_at, said::findings::FROM, TextRole::Dim);
    }
    let mut rows = vec![heads];
    for (own, needs) in lines.iter().zip(needs) {
        if !in_columns {
            let limit = own.needs.as_ref();
            let line = said::findings::evidence_aloud(&own.what, &own.found, limit, &own.from);
            let room = width.saturating_sub(2);
            rows.extend(wrapped(INDENT + 2, &line, room, TextRole::Text));
            continue;
        }
        let mut own_rows = wrapped(INDENT, &own.what, what, TextRole::Text);
        if let Some(first) = own_rows.first_mut() {
            first.put(found_at, own.found.as_str(), TextRole::Heading);
            first.put(needs_at, needs, TextRole::Text);
        }
        let (at, from) = match beside {
            true => (from_at, own.from.clone()),
            false if own.from.is_empty() => (0, String::new()),
            false => (INDENT + 2, said::findings::from(&own.from)),
        };
        let from = match from.is_empty() {
            true => Vec::new(),
            false => wrap(&from, (width + INDENT).saturating_sub(at)),
        };
        let first = if beside { 0 } else { own_rows.len() };
        for (index, line) in (first..).zip(from) {
            match own_rows.get_mut(index) {
                Some(row) => row.put(at, line, TextRole::Dim),
                None => own_rows.push(Row::text(at, line, TextRole::Dim)),
            }
        }
        rows.extend(own_rows);
    }
    rows
}

/// Where text begins on a page.
const INDENT: u16 = 1;

/// Each finding whole, behind its badge.
fn finding_rows(page: &FindingsView, width: u16, theme: Theme) -> Vec<Row> {
    let badges = page.findings.iter().map(|own| Badge::from(own.level));
    let widest = badges
        .map(|own| badge::width(own, theme))
        .max()
        .unwrap_or(0);
    let column = MARK + widest + 1;
    let mut all = Vec::new();
    for (index, finding) in page.findings.iter().enumerate() {
        let marked = index == page.marked;
        let role = match marked {
            true => TextRole::Heading,
            false => TextRole::Text,
        };
        let text = said::findings::at(&finding.place, &finding.says);
        let mut own = wrapped(column, &text, width.saturating_sub(column), role);
        if let Some(row) = own.first_mut() {
            row.badge(MARK, Badge::from(finding.level));
            if marked {
                let sign = theme.signs().spell(OPEN_SIGN);
                row.put(1, sign, TextRole::Present);
            }
        }
        for row in &mut own {
            row.marked = marked;
        }
        all.extend(own);
    }
    all
}

/// The columns before a badge, for the sign of the marked line.
const MARK: u16 = 3;

fn measure(area: Rect) -> Rect {
    Rect {
        width: area.width.min(MEASURE),
        ..area
    }
}

pub(super) fn end(
    buf: &mut Buffer,
    area: Rect,
    lines: &[SummaryLine],
    scroll: usize,
    theme: Theme,
) {
    let area = measure(area);
    let room = area.width.saturating_sub(INDENT);
    let mut rows: Vec<Row> = Vec::new();
    for line in lines {
        if line.heading {
            rows.push(Row::rule(line.text.as_str()));
            continue;
        }
        let badge = line
            .level
            .map(|level| (Badge::from(level), said::badge(level)));
        let behind = badge.and_then(|(badge, word)| {
            let rest = line.text.strip_prefix(word)?.trim_start_matches(':');
            Some((badge, rest.trim_start()))
        });
        match behind {
            Some((badge, text)) => {
                let column = INDENT + badge::width(badge, theme) + 1;
                let room = area.width.saturating_sub(column);
                let mut own = wrapped(column, text, room, TextRole::Heading);
                if let Some(first) = own.first_mut() {
                    first.badge(INDENT, badge);
                }
                rows.extend(own);
            }
            None => {
                let role = match line.level {
                    Some(_) => TextRole::Heading,
                    None => TextRole::Text,
                };
                rows.extend(wrapped(INDENT, &line.text, room, role));
            }
        }
    }
    scrolled(buf, area, &rows, Scroll::Arrows(scroll), theme);
}

pub(super) fn history(
    buf: &mut Buffer,
    area: Rect,
    page: &HistoryView,
    scroll: usize,
    theme: Theme,
) {
    let body = measure(rows::titled(buf, area, &page.title, "", theme));
    let room = body.width.saturating_sub(INDENT);
    let lines = page.lines.iter();
    let lines = lines.flat_map(|line| wrapped(INDENT, line, room, TextRole::Text));
    let rows: Vec<Row> = lines.collect();
    scrolled(buf, body, &rows, Scroll::Arrows(scroll), theme);
}

pub(super) fn help(buf: &mut Buffer, area: Rect, help: &HelpView, scroll: usize, theme: Theme) {
    let (area, drawn) = beside_help(measure(area), help);
    if let (Some(place), Some(plate)) = (drawn, &help.picture) {
        plates(buf, place, std::slice::from_ref(plate), theme);
    }
    let room = area.width.saturating_sub(INDENT);
    let mut rows: Vec<Row> = Vec::new();
    for (heading, texts) in &help.sections {
        rows.push(Row::rule(heading.as_str()));
        let texts = texts.iter();
        rows.extend(texts.flat_map(|text| wrapped(INDENT, text, room, TextRole::Text)));
    }
    scrolled(buf, area, &rows, Scroll::Arrows(scroll), theme);
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
