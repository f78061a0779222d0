//! The page that a technician works on.

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};
use ratatui::style::Style;
use unicode_width::UnicodeWidthStr;

use super::open::{open_question, rows_needed};
use super::pen::{below, put, put_at, put_right, split_bottom, split_left, wrap};
use super::picture;
use super::theme::{TextRole, Theme};
use crate::fact::Unit;
use crate::phrase::pages::{self as said, cells::IDLE_SIGN, cells::NOT_SEEN_SIGN};
use crate::phrase::words;
use crate::session::view::{CellState, CellView, LineView, QuestionsView, StepState, UnitShown};

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
/// The columns of the picture, at the least.
const PICTURE: u16 = 32;
/// From this width on there is room to spare.
const ROOMY: u16 = 132;
/// From so many rows on a narrow page has its findings below the questions.
const STACKED: u16 = 20;
/// The most rows of the page, unless its table has more.
const TALL: u16 = 42;
/// Below so many rows there are no blank ones.
const LOW: u16 = 14;
/// The rows of the open question, unless its choices need more.
const PANEL: u16 = 6;
/// The rows that are left above it then.
const LEAST_BODY: u16 = 2;

pub(super) fn draw(
    buf: &mut Buffer,
    area: Rect,
    page: &QuestionsView,
    theme: Theme,
) -> Option<Position> {
    // In a tall window the open question stays near the table that it belongs to.
    let most = u16::try_from(page.lines.len()).unwrap_or(u16::MAX);
    let area = Rect {
        height: area.height.min(TALL.max(most.saturating_add(PANEL + 4))),
        ..area
    };
    steps(buf, area, page, theme);
    // On a low screen blank rows go first, for the choices have to be readable.
    let blank = u16::from(area.height >= LOW);
    let page_rows = below(area, 1 + blank);
    // Choices that would be cut take rows from the table, and leave it those that the open line is seen in.
    let most = page_rows.height.saturating_sub(LEAST_BODY).max(PANEL);
    let wanted = page.present.as_ref().map_or(PANEL, |present| {
        rows_needed(present, page_rows.width, PANEL)
    });
    let (body, panel) = split_bottom(page_rows, wanted.min(most));
    let body = Rect {
        height: body.height.saturating_sub(blank),
        ..body
    };
    let parts = Parts::of(body, page.lines.len());
    lines(buf, parts.questions, page, theme);
    match parts.findings {
        Some(area) => findings(buf, area, page, theme),
        None => folded(buf, parts.fold, page, theme),
    }
    if let (Some(area), Some(drawn)) = (parts.picture, &page.picture) {
        picture::beside(buf, area, drawn, theme);
    }
    page.present
        .as_ref()
        .and_then(|present| open_question(buf, panel, present, theme))
}

/// Returns whether a window of this width shows a picture beside the questions.
pub(super) fn has_room_for_pictures(width: u16) -> bool {
    width >= THREE_COLUMNS
}

/// Where the parts of the page stand.
struct Parts {
    questions: Rect,
    /// The findings, or `None` if they fold into a line.
    findings: Option<Rect>,
    fold: Rect,
    picture: Option<Rect>,
}

impl Parts {
    /// Divides the page: one column with the findings folded, or below where a narrow window is tall; questions and
    /// findings side by side; and the picture beside both, the more of it the wider the window.
    fn of(body: Rect, lines: usize) -> Parts {
        let (above, fold) = split_bottom(body, 1);
        if body.width < TWO_COLUMNS {
            if body.height < STACKED {
                return Parts {
                    questions: above,
                    findings: None,
                    fold,
                    picture: None,
                };
            }
            let most = body.height * 3 / 5;
            let rows = u16::try_from(lines).unwrap_or(most).min(most);
            let questions = Rect {
                height: rows,
                ..body
            };
            return Parts {
                questions,
                findings: Some(below(body, rows + 1)),
                fold,
                picture: None,
            };
        }
        // The table has room for wider cells, but a name and its answer should not drift apart.
        let left = if body.width < ROOMY {
            LEFT
        } else {
            (body.width * 2 / 5).clamp(LEFT, 76)
        };
        let (questions, right) = split_left(body, left, 2);
        if !has_room_for_pictures(body.width) {
            return Parts {
                questions,
                findings: Some(right),
                fold,
                picture: None,
            };
        }
        let picture = (body.width / 4).clamp(PICTURE, 64);
        let (findings, picture) = split_left(right, right.width.saturating_sub(picture), 2);
        Parts {
            questions,
            findings: Some(findings),
            fold,
            picture: Some(picture),
        }
    }
}

/// The steps in one line: done, present, to come; the count of open points at the right.
fn steps(buf: &mut Buffer, area: Rect, page: &QuestionsView, theme: Theme) {
    let open = said::questions::open_points(page.open_count);
    let end = put_right(buf, area, 0, &open, theme.style(TextRole::Dim));
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
            StepState::Present => (said::questions::step_in_hand(&name), TextRole::Heading),
            StepState::Done => (said::questions::step_done(&name), TextRole::Dim),
            StepState::ToCome => (name, TextRole::Text),
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
                    theme.style(TextRole::Heading),
                );
                let names = names.iter().skip(columns.first).take(columns.shown);
                for (n, name) in (0u16..).zip(names) {
                    let cell = columns.cell(area, n);
                    put_at(buf, cell, 0, row, name, theme.style(TextRole::Dim));
                }
            }
            LineView::Row { label, unit, cells } => {
                let label_area = Rect {
                    width: (LABEL - 1).min(area.width),
                    ..area
                };
                let used = put(buf, label_area, row, label, theme.style(TextRole::Text));
                // The unit stands beside the name where there is room, and always beside the open cell.
                let unit = theme.signs().spell(unit.map_or("", Unit::symbol));
                if !unit.is_empty() && usize::from(used) + 1 + unit.width() < usize::from(LABEL) {
                    let style = theme.style(TextRole::Dim);
                    put_at(buf, label_area, used + 1, row, &unit, style);
                }
                for (n, cell) in (0u16..).zip(cells.iter().skip(columns.first).take(columns.shown))
                {
                    put_cell(buf, columns.cell(area, n), row, cell, theme);
                }
            }
            LineView::Ask { label, place, cell } => {
                let name = said::questions::name(place, label);
                let room = 24.min(area.width / 2);
                put(
                    buf,
                    Rect {
                        width: room,
                        ..area
                    },
                    row,
                    &name,
                    theme.style(TextRole::Text),
                );
                let (_, cell_area) = split_left(area, room, 1);
                put_cell(buf, cell_area, row, cell, theme);
            }
            LineView::Idle { label, why } => {
                let text = format!("- {}", said::questions::idle(label, why));
                put(buf, area, row, &text, theme.style(TextRole::Dim));
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
    let said = match cell.state {
        // Where the open cell is blank, something is typed into it.
        CellState::Present if cell.is_blank() => String::new(),
        CellState::Idle => IDLE_SIGN.to_owned(),
        _ => theme.signs().cell(cell, UnitShown::Elsewhere),
    };
    let not_seen = cell.state == CellState::NotSeen;
    let said = if not_seen && said.width() > usize::from(area.width) {
        theme.signs().spell(NOT_SEEN_SIGN).into_owned()
    } else {
        said
    };
    match cell.state {
        CellState::Present => {
            let width = usize::from(area.width.min(16)).max(said.width());
            let text = format!("{said:<width$}");
            put(buf, area, row, &text, theme.style(TextRole::Present));
        }
        CellState::Answered | CellState::NotSeen => {
            put(buf, area, row, &said, theme.style(TextRole::Answer));
        }
        CellState::ToDo | CellState::Idle => {
            put(buf, area, row, &said, theme.style(TextRole::Dim));
        }
    }
}

/// Findings by level, the newest change marked; below it what is still open.
fn findings(buf: &mut Buffer, area: Rect, page: &QuestionsView, theme: Theme) {
    let mut rows: Vec<(String, Style)> = Vec::new();
    for finding in &page.findings {
        // Behind the words, so that nothing moves when the mark goes with the next key.
        rows.push((
            said::findings::heading(finding.level, &finding.place, finding.new),
            theme.level(finding.level),
        ));
        rows.extend(
            wrap(&theme.signs().spell(&finding.told()), area.width)
                .into_iter()
                .map(|line| (line, theme.style(TextRole::Text))),
        );
    }
    if page.findings.is_empty() {
        rows.push((page.none.to_owned(), theme.style(TextRole::Dim)));
    }
    if !page.open_points.is_empty() {
        rows.push((
            words::STILL_TO_FIND_OUT.to_owned(),
            theme.style(TextRole::Heading),
        ));
        for point in &page.open_points {
            rows.extend(
                wrap(point, area.width)
                    .into_iter()
                    .map(|line| (line, theme.style(TextRole::Text))),
            );
        }
    }
    if let Some(again) = &page.again {
        rows.push((
            words::MEASURE_AGAIN.to_owned(),
            theme.style(TextRole::Heading),
        ));
        rows.extend(
            wrap(again, area.width)
                .into_iter()
                .map(|line| (line, theme.style(TextRole::Text))),
        );
    }
    if let Some(text) = page.waiting() {
        rows.push((text, theme.style(TextRole::Dim)));
    }
    let height = usize::from(area.height);
    let cut = rows.len() > height;
    // Last and only into what room is left, for the same reason.
    rows.extend(
        page.gone
            .iter()
            .take(height.saturating_sub(rows.len()))
            .map(|gone| (said::ask::gone(&gone.said()), theme.style(TextRole::Dim))),
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
        let text = said::findings::all_findings(&page.more_key, page.findings.len());
        put(
            buf,
            area,
            area.height.saturating_sub(1),
            &text,
            theme.style(TextRole::Key),
        );
    }
}

/// Findings in one line: the worst and how many.
fn folded(buf: &mut Buffer, area: Rect, page: &QuestionsView, theme: Theme) {
    match page.findings.first() {
        Some(worst) => {
            let more = match page.findings.len() {
                1 => String::new(),
                n => said::findings::all(&page.more_key, n),
            };
            let text = said::findings::short(worst.level, &worst.place, &worst.says);
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
            put_right(buf, area, 0, &more, theme.style(TextRole::Key));
        }
        None => {
            put(buf, area, 0, page.none, theme.style(TextRole::Dim));
        }
    }
}
