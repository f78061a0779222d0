//! What follows from the answers: the findings, what is still to find out, the reading to take again.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use unicode_width::UnicodeWidthStr;

use crate::phrase::pages as said;
use crate::phrase::words;
use crate::screen::badge;
use crate::screen::pen::{put, put_at, put_right, wrap};
use crate::screen::theme::{TextRole, Theme};
use crate::session::view::{Badge, FindingLine, QuestionsView};

/// A row of the findings.
enum Row {
    Badge(Badge, String),
    Text(String, TextRole),
    Blank,
}

/// Draws the findings below their title, what decides first at the top; what finds no row is counted.
pub(super) fn findings(buf: &mut Buffer, area: Rect, page: &QuestionsView, theme: Theme) {
    let title = said::findings::titled(page.findings.len());
    put_at(buf, area, 1, 0, &title, theme.style(TextRole::Heading));
    let left = said::questions::left(page.left);
    let fits = 1 + title.width() + 2 + left.width() < usize::from(area.width);
    if fits {
        put_right(buf, area, 0, &left, theme.style(TextRole::Dim));
    }
    let body = Rect {
        x: area.x + 1.min(area.width),
        y: area.y + 1.min(area.height),
        width: area.width.saturating_sub(2),
        height: area.height.saturating_sub(1),
    };
    let mut rows = rows(page, body.width, theme);
    let height = usize::from(body.height);
    if rows.len() > height {
        // Blank rows go first.
        rows.retain(|row| !matches!(row, Row::Blank));
    }
    let cut = rows.len() > height;
    // Last and only into what room is left, so that nothing moves when they go with the next key.
    let room = height.saturating_sub(rows.len());
    let gone = page.gone.iter().take(room).map(|gone| {
        let text = said::ask::gone(&gone.said());
        Row::Text(text, TextRole::Dim)
    });
    rows.extend(gone);
    let shown = if cut {
        height.saturating_sub(1)
    } else {
        height
    };
    for (row, own) in (0u16..).zip(rows.iter().take(shown)) {
        match own {
            Row::Badge(badge, place) => {
                let column = badge::put(buf, body, (0, row), *badge, theme) + 1;
                put_at(
                    buf,
                    body,
                    column,
                    row,
                    place,
                    theme.style(TextRole::Heading),
                );
            }
            Row::Text(text, role) => {
                put(buf, body, row, text, theme.style(*role));
            }
            Row::Blank => {}
        }
    }
    if cut {
        let text = said::findings::all_findings(&page.more_key, page.findings.len());
        let last = body.height.saturating_sub(1);
        put(buf, body, last, &text, theme.style(TextRole::Key));
    }
}

fn rows(page: &QuestionsView, width: u16, theme: Theme) -> Vec<Row> {
    let mut rows = Vec::new();
    let text = |rows: &mut Vec<Row>, words: &str, role| {
        let lines = wrap(&theme.signs().spell(words), width).into_iter();
        rows.extend(lines.map(|line| Row::Text(line, role)));
    };
    let blank = |rows: &mut Vec<Row>| {
        if !rows.is_empty() {
            rows.push(Row::Blank);
        }
    };
    for finding in &page.findings {
        blank(&mut rows);
        // Behind the words, so that nothing moves when the mark goes with the next key.
        let place = said::findings::place_of(&finding.place, finding.new);
        rows.push(Row::Badge(Badge::from(finding.level), place));
        text(&mut rows, &finding.told(), TextRole::Text);
    }
    if page.findings.is_empty() {
        text(&mut rows, page.none, TextRole::Dim);
    }
    if !page.open_points.is_empty() {
        blank(&mut rows);
        text(&mut rows, words::STILL_TO_FIND_OUT, TextRole::Heading);
        for point in &page.open_points {
            text(&mut rows, point, TextRole::Text);
        }
    }
    if let Some(again) = &page.again {
        blank(&mut rows);
        text(&mut rows, words::MEASURE_AGAIN, TextRole::Heading);
        text(&mut rows, again, TextRole::Text);
    }
    rows
}

/// Draws the gravest finding and how many there are, in one row.
pub(super) fn folded(buf: &mut Buffer, area: Rect, page: &QuestionsView, theme: Theme) {
    let Some(worst) = page.findings.first() else {
        put(buf, area, 0, page.none, theme.style(TextRole::Dim));
        return;
    };
    let more = match page.findings.len() {
        1 => String::new(),
        n => said::findings::all(&page.more_key, n),
    };
    let begins = put_right(buf, area, 0, &more, theme.style(TextRole::Key));
    let line = Rect {
        width: begins,
        ..area
    };
    let column = badge::put(buf, line, (0, 0), worst.level.into(), theme) + 1;
    let FindingLine { place, says, .. } = worst;
    let text = theme
        .signs()
        .spell(&said::findings::at(place, says))
        .into_owned();
    put_at(buf, line, column, 0, &text, theme.style(TextRole::Text));
}
