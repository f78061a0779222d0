//! The page that a technician works on.

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};
use ratatui::style::Style;
use unicode_width::UnicodeWidthStr;

use super::look::Look;
use super::pen::{below, put, put_at, put_right, split_bottom, split_left, wrap};
use super::picture;
use super::theme::{Role, Theme};
use crate::walk::view::{CellState, CellView, LineView, PresentView, QuestionsView, StepState};

/// The columns of a row's name.
const LABEL: u16 = 18;
/// The columns of a narrow cell with the gap behind it.
const CELL: u16 = 8;
/// The columns of the questions beside the findings.
const LEFT: u16 = 50;
/// From this width on the findings stand beside the questions.
const TWO_COLUMNS: u16 = 72;
/// From this width on the picture joins.
const THREE_COLUMNS: u16 = 110;
/// The rows of the open question.
const PANEL: u16 = 6;

pub(super) fn draw(
    buf: &mut Buffer,
    area: Rect,
    page: &QuestionsView,
    look: Look,
) -> Option<Position> {
    let theme = look.theme;
    steps(buf, area, page, theme);
    let body = below(area, 2);
    let panel_rows = if body.height >= PANEL + 3 { PANEL } else { 4 };
    let (body, panel) = split_bottom(body, panel_rows);
    let body = Rect {
        height: body.height.saturating_sub(1),
        ..body
    };
    if body.width >= TWO_COLUMNS {
        let (left, right) = split_left(body, LEFT, 2);
        lines(buf, left, page, theme);
        if body.width >= THREE_COLUMNS {
            let (findings_area, picture_area) =
                split_left(right, right.width.saturating_sub(32), 2);
            findings(buf, findings_area, page, theme);
            if let Some(drawn) = &page.picture {
                picture::beside(buf, picture_area, drawn, look);
            }
        } else {
            findings(buf, right, page, theme);
        }
    } else {
        let (questions, fold) = split_bottom(body, 1);
        lines(buf, questions, page, theme);
        folded(buf, fold, page, theme);
    }
    page.present
        .as_ref()
        .and_then(|present| open_question(buf, panel, present, theme))
}

/// The steps in one line: done, present, to come; the count of open points at the right.
fn steps(buf: &mut Buffer, area: Rect, page: &QuestionsView, theme: Theme) {
    let open = match page.open_count {
        0 => String::new(),
        n => format!("{n} open"),
    };
    let end = put_right(buf, area, 0, &open, theme.style(Role::Dim));
    let area = Rect {
        width: end.saturating_sub(1),
        ..area
    };
    // A full stop behind a step says that nothing of it is left; brackets say where the cursor is.
    let whole: usize = page.steps.iter().map(|(title, _)| title.width() + 2).sum();
    let narrow = whole > usize::from(area.width);
    let mut column = 0;
    for (index, (title, state)) in page.steps.iter().enumerate() {
        let name = if narrow && *state != StepState::Present {
            (index + 1).to_string()
        } else {
            title.clone()
        };
        let (text, role) = match state {
            StepState::Present => (format!("[{name}]"), Role::Heading),
            StepState::Done => (format!("{name}."), Role::Dim),
            StepState::ToCome => (name, Role::Text),
        };
        column += put_at(buf, area, column, 0, &text, theme.style(role)) + 1;
    }
}

fn lines(buf: &mut Buffer, area: Rect, page: &QuestionsView, theme: Theme) {
    let height = usize::from(area.height);
    // The open line stays in view with the line after it.
    let offset = (page.present_line + 2)
        .saturating_sub(height)
        .min(page.lines.len().saturating_sub(height));
    let mut columns = Columns {
        first: 0,
        width: CELL,
        shown: 4,
    };
    for (index, line) in page.lines.iter().enumerate() {
        if let LineView::Heading { columns: names, .. } = line {
            columns = Columns::fit(area.width, names.len(), present_column(page, index));
        }
        let Some(row) = index.checked_sub(offset).filter(|row| *row < height) else {
            continue;
        };
        let row = row as u16;
        match line {
            LineView::Heading {
                title,
                columns: names,
            } => {
                put(
                    buf,
                    Rect {
                        width: LABEL.min(area.width),
                        ..area
                    },
                    row,
                    title,
                    theme.style(Role::Heading),
                );
                let names = names.iter().skip(columns.first).take(columns.shown);
                for (n, name) in (0u16..).zip(names) {
                    let cell = columns.cell(area, n);
                    put_at(buf, cell, 0, row, name, theme.style(Role::Dim));
                }
            }
            LineView::Row { label, unit, cells } => {
                let label_area = Rect {
                    width: (LABEL - 1).min(area.width),
                    ..area
                };
                let used = put(buf, label_area, row, label, theme.style(Role::Text));
                // The unit stands beside the name where there is room, and always beside the open cell.
                if !unit.is_empty() && usize::from(used) + 1 + unit.width() < usize::from(LABEL) {
                    put_at(buf, label_area, used + 1, row, unit, theme.style(Role::Dim));
                }
                for (n, cell) in (0u16..).zip(cells.iter().skip(columns.first).take(columns.shown))
                {
                    put_cell(buf, columns.cell(area, n), row, cell, theme);
                }
            }
            LineView::Ask { label, place, cell } => {
                let name = if place.is_empty() {
                    label.clone()
                } else {
                    format!("{place} {label}")
                };
                let room = 24.min(area.width / 2);
                put(
                    buf,
                    Rect {
                        width: room,
                        ..area
                    },
                    row,
                    &name,
                    theme.style(Role::Text),
                );
                let (_, cell_area) = split_left(area, room, 1);
                put_cell(buf, cell_area, row, cell, theme);
            }
            LineView::Idle { label, why } => {
                put(
                    buf,
                    area,
                    row,
                    &format!("- {label}: not asked, {why}"),
                    theme.style(Role::Dim),
                );
            }
        }
    }
}

/// Which columns of a table are shown, and how wide.
struct Columns {
    first: usize,
    width: u16,
    shown: usize,
}

impl Columns {
    fn fit(area: u16, number: usize, present: usize) -> Columns {
        let room = area.saturating_sub(LABEL);
        let most = usize::from((room / CELL).max(1));
        let shown = number.clamp(1, most);
        let width = (room / u16::try_from(shown).unwrap_or(1)).clamp(CELL, 16);
        Columns {
            first: (present + 1).saturating_sub(shown),
            width,
            shown,
        }
    }

    /// The area of the n-th shown cell, over the whole height.
    fn cell(&self, area: Rect, n: u16) -> Rect {
        let x = LABEL + n * self.width;
        let width = self
            .width
            .saturating_sub(1)
            .min(area.width.saturating_sub(x));
        Rect {
            x: area.x + x.min(area.width),
            width,
            ..area
        }
    }
}

/// The column of the open cell in the table whose heading is at this line.
fn present_column(page: &QuestionsView, heading: usize) -> usize {
    page.lines
        .iter()
        .skip(heading + 1)
        .map_while(|line| match line {
            LineView::Row { cells, .. } => Some(
                cells
                    .iter()
                    .position(|cell| cell.state == CellState::Present),
            ),
            LineView::Idle { .. } => Some(None),
            LineView::Heading { .. } | LineView::Ask { .. } => None,
        })
        .flatten()
        .next()
        .unwrap_or(0)
}

fn put_cell(buf: &mut Buffer, area: Rect, row: u16, cell: &CellView, theme: Theme) {
    match cell.state {
        CellState::Present => {
            let width = usize::from(area.width.min(16)).max(cell.text.width());
            put(
                buf,
                area,
                row,
                &format!("{:<width$}", cell.text),
                theme.style(Role::Present),
            );
        }
        CellState::Answered => {
            put(buf, area, row, &cell.text, theme.style(Role::Answer));
        }
        CellState::Empty => {
            put(buf, area, row, "____", theme.style(Role::Dim));
        }
        CellState::Idle => {
            put(buf, area, row, ".", theme.style(Role::Dim));
        }
    }
}

/// Findings by level, the newest change marked; below it what is still open.
fn findings(buf: &mut Buffer, area: Rect, page: &QuestionsView, theme: Theme) {
    let mut rows: Vec<(String, Style)> = Vec::new();
    for finding in &page.findings {
        // Behind the words, so that nothing moves when the mark goes with the next key.
        let mark = if finding.new { " (new)" } else { "" };
        let folded = if finding.folded > 0 {
            format!(" (+{} same cause)", finding.folded)
        } else {
            String::new()
        };
        let number = finding
            .number
            .as_ref()
            .map_or_else(String::new, |number| format!(" ({number})"));
        rows.push((
            format!("{} {}{mark}", finding.word.to_uppercase(), finding.place),
            theme.level(finding.level),
        ));
        let said = format!("{}{number}{folded}", finding.says);
        rows.extend(
            wrap(&said, area.width)
                .into_iter()
                .map(|line| (line, theme.style(Role::Text))),
        );
    }
    if page.findings.is_empty() {
        rows.push(("nothing found so far".to_owned(), theme.style(Role::Dim)));
    }
    if !page.open_points.is_empty() {
        rows.push(("still to find out".to_owned(), theme.style(Role::Heading)));
        for point in &page.open_points {
            rows.extend(
                wrap(point, area.width)
                    .into_iter()
                    .map(|line| (line, theme.style(Role::Text))),
            );
        }
    }
    if let Some(again) = &page.again {
        rows.push(("measure again".to_owned(), theme.style(Role::Heading)));
        rows.extend(
            wrap(again, area.width)
                .into_iter()
                .map(|line| (line, theme.style(Role::Text))),
        );
    }
    if page.to_come > 0 {
        let text = format!("{} checks wait for answers", page.to_come);
        rows.push((text, theme.style(Role::Dim)));
    }
    let height = usize::from(area.height);
    let cut = rows.len() > height;
    // Last and only into what room is left, for the same reason.
    rows.extend(
        page.gone
            .iter()
            .take(height.saturating_sub(rows.len()))
            .map(|gone| (format!("gone: {gone}"), theme.style(Role::Dim))),
    );
    let shown = if cut {
        height.saturating_sub(1)
    } else {
        height
    };
    for (row, (text, style)) in (0u16..).zip(rows.iter().take(shown)) {
        put(buf, area, row, text, *style);
    }
    if cut {
        let text = format!("f: all {} findings", page.findings.len());
        put(
            buf,
            area,
            area.height.saturating_sub(1),
            &text,
            theme.style(Role::Key),
        );
    }
}

/// Findings in one line: the worst and how many.
fn folded(buf: &mut Buffer, area: Rect, page: &QuestionsView, theme: Theme) {
    match page.findings.first() {
        Some(worst) => {
            let more = match page.findings.len() {
                1 => String::new(),
                n => format!(" (f: all {n})"),
            };
            let text = format!(
                "{} {}: {}",
                worst.word.to_uppercase(),
                worst.place,
                worst.says
            );
            let room = area
                .width
                .saturating_sub(u16::try_from(more.width()).unwrap_or(0));
            put(
                buf,
                Rect {
                    width: room,
                    ..area
                },
                0,
                &text,
                theme.level(worst.level),
            );
            put_right(buf, area, 0, &more, theme.style(Role::Key));
        }
        None => {
            put(buf, area, 0, "nothing found so far", theme.style(Role::Dim));
        }
    }
}

/// The open question: its words, its choices, what is typed. Its rows never move.
fn open_question(
    buf: &mut Buffer,
    area: Rect,
    present: &PresentView,
    theme: Theme,
) -> Option<Position> {
    let place = if present.place.is_empty() {
        String::new()
    } else {
        format!("{}: ", present.place)
    };
    let asks = format!("{place}{}", present.asks);
    let choice_rows = area.height.saturating_sub(3);
    put(buf, area, 0, &asks, theme.style(Role::Heading));
    choices(
        buf,
        Rect {
            height: choice_rows,
            ..below(area, 1)
        },
        present,
        theme,
    );
    let entry = area.height.saturating_sub(2);
    let mut column = 0;
    let mut cursor = None;
    if present.choices.is_empty() {
        column += put_at(buf, area, column, entry, "> ", theme.style(Role::Key));
        column += put_at(
            buf,
            area,
            column,
            entry,
            &present.input,
            theme.style(Role::Heading),
        );
        cursor = Some(Position {
            x: (area.x + column).min(area.right().saturating_sub(1)),
            y: area.y + entry,
        });
        // The rest stands in its own place, whatever is typed.
        column = column.max(14);
    }
    let mut said = Vec::new();
    said.extend(Some(present.takes.clone()).filter(|takes| !takes.is_empty()));
    said.extend(present.last.as_ref().map(|last| format!("now {last}")));
    put_at(
        buf,
        area,
        column,
        entry,
        &said.join("; "),
        theme.style(Role::Dim),
    );
    if let Some(refusal) = &present.refusal {
        put(buf, area, entry + 1, refusal, theme.style(Role::Refusal));
    }
    cursor
}

/// Choices in columns, read downwards.
fn choices(buf: &mut Buffer, area: Rect, present: &PresentView, theme: Theme) {
    if present.choices.is_empty() || area.height == 0 {
        return;
    }
    let rows = usize::from(area.height);
    let columns = present.choices.len().div_ceil(rows).max(1);
    let longest = present
        .choices
        .iter()
        .map(|(_, words, _)| words.width() + 5)
        .max()
        .unwrap_or(0);
    let even = area.width / u16::try_from(columns).unwrap_or(1).max(1);
    let width = even.min(u16::try_from(longest).unwrap_or(u16::MAX));
    for (index, (digit, words, now)) in present.choices.iter().enumerate() {
        let (column, row) = ((index / rows) as u16, (index % rows) as u16);
        let cell = Rect {
            x: area.x + column * width,
            width: width.saturating_sub(1),
            ..area
        };
        put_at(
            buf,
            cell,
            0,
            row,
            &digit.to_string(),
            theme.style(Role::Key),
        );
        let role = if *now { Role::Present } else { Role::Text };
        put_at(buf, cell, 2, row, words, theme.style(role));
    }
}
