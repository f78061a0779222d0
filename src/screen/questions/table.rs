//! The questions of a step as rows of text: nothing of an answer is ever cut, it takes a second row instead.

use std::ops::Range;

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use unicode_width::UnicodeWidthStr;

use crate::fact::Unit;
use crate::phrase::pages::cells::{OPEN_SIGN, in_table};
use crate::phrase::pages::questions as said;
use crate::screen::frame::lines;
use crate::screen::pen::{end_of, put_at, wrap};
use crate::screen::theme::{TextRole, Theme};
use crate::session::view::{CellState, CellView, LineView};

/// The columns left of the table: the thread runs in the second.
pub(super) const MARGIN: u16 = 3;
/// The least columns of a cell with its mark and the gap behind it.
const CELL: u16 = 9;
/// The columns of the open cell, where there is room: what is typed moves nothing.
const OPEN: u16 = 14;
/// The most columns of a name, if its answers need the room.
const NAME: usize = 24;

/// A piece of a row.
struct Piece {
    column: u16,
    text: String,
    role: TextRole,
}

/// The rows of a page's table, and which of them hold the open cell.
pub(super) struct Table {
    rows: Vec<Vec<Piece>>,
    /// Where each line begins.
    begins: Vec<usize>,
    open: Range<usize>,
}

impl Table {
    /// Lays the questions out in so many columns.
    pub(super) fn of(page: &[LineView], width: u16, theme: Theme) -> Table {
        let mut table = Table {
            rows: Vec::new(),
            begins: Vec::new(),
            open: 0..0,
        };
        let width = width.saturating_sub(MARGIN);
        let names = page.iter().filter_map(|line| match line {
            LineView::Ask { label, place, .. } => Some(said::name(place, label).width()),
            _ => None,
        });
        let room = usize::from(width / 2);
        let single = names.max().unwrap_or(0).min(room) as u16 + 2;
        let mut block = Block::default();
        for (index, line) in page.iter().enumerate() {
            let rows = match line {
                LineView::Heading { title, columns } => {
                    let own = page.get(index + 1..).unwrap_or_default();
                    block = Block::fit(own, columns, width, theme);
                    block.heading(title, columns)
                }
                LineView::Row { label, unit, cells } => block.row(label, *unit, cells, theme),
                LineView::Ask { label, place, cell } => {
                    let name = said::name(place, label);
                    let cells = [(cell, single, width.saturating_sub(single))];
                    in_rows(&name, single, cells.into_iter(), theme)
                }
                LineView::Idle { label, why } => wrap(&said::idle(label, why), width)
                    .into_iter()
                    .map(|text| vec![piece(0, text, TextRole::Dim)])
                    .collect(),
            };
            if holds_open(line) {
                table.open = table.rows.len()..table.rows.len() + rows.len();
            }
            table.begins.push(table.rows.len());
            table.rows.extend(rows);
        }
        table
    }

    /// Returns how many rows it takes.
    pub(super) fn height(&self) -> u16 {
        u16::try_from(self.rows.len()).unwrap_or(u16::MAX)
    }

    /// Draws it with the open cell and the row behind it in view; returns in which row the open cell begins, and how many rows
    /// above and below are out of view.
    pub(super) fn draw(
        &self,
        buf: &mut Buffer,
        area: Rect,
        theme: Theme,
    ) -> (Option<u16>, usize, usize) {
        let height = usize::from(area.height);
        let most = self.rows.len().saturating_sub(height);
        let offset = (self.open.end + 1).saturating_sub(height).min(most);
        // No line is shown without its first row.
        let mut begins = self.begins.iter().copied();
        let offset = begins.find(|own| *own >= offset).unwrap_or(offset);
        let offset = offset.min(self.open.start);
        let shown = self.rows.iter().skip(offset).take(height);
        for (row, pieces) in (0u16..).zip(shown) {
            for own in pieces {
                let column = MARGIN + own.column;
                // The mark of the open cell stands in the column before it.
                put_at(buf, area, column, row, &own.text, theme.style(own.role));
            }
        }
        let begins = self.open.start.checked_sub(offset);
        let begins = begins.filter(|row| !self.open.is_empty() && *row < height);
        let below = self.rows.len().saturating_sub(offset + height);
        (begins.map(|row| row as u16), offset, below)
    }
}

/// Draws the thread from a row of the open cell down to the last row of an area, under which its question stands.
pub(super) fn thread(buf: &mut Buffer, area: Rect, from: u16, theme: Theme) {
    let own = lines(theme);
    for row in from..area.height {
        let sign = if row == from { own.begins } else { own.down };
        put_at(buf, area, 1, row, sign, theme.style(TextRole::Text));
    }
}

fn piece(column: u16, text: String, role: TextRole) -> Piece {
    Piece { column, text, role }
}

fn holds_open(line: &LineView) -> bool {
    let open = |cell: &CellView| cell.state == CellState::Present;
    match line {
        LineView::Row { cells, .. } => cells.iter().any(open),
        LineView::Ask { cell, .. } => open(cell),
        LineView::Heading { .. } | LineView::Idle { .. } => false,
    }
}

/// A table below a heading: how wide its names and its columns are, and which columns are in view.
#[derive(Default)]
struct Block {
    name: u16,
    widths: Vec<u16>,
    first: usize,
    /// The unit of all its numbers, if they have one in common.
    unit: Option<Unit>,
}

impl Block {
    /// Fits the rows up to the next heading into so many columns. Each column is as wide as what it holds; if that is too
    /// much, all are as wide as there is room for, and as a last resort those left of the open one are out of view.
    fn fit(rows: &[LineView], columns: &[String], room: u16, theme: Theme) -> Block {
        let own: Vec<(&str, Option<Unit>, &[CellView])> = rows
            .iter()
            .take_while(|line| matches!(line, LineView::Row { .. } | LineView::Idle { .. }))
            .filter_map(|line| match line {
                LineView::Row { label, unit, cells } => Some((label.as_str(), *unit, &cells[..])),
                _ => None,
            })
            .collect();
        let mut units = own.iter().filter_map(|(_, unit, _)| *unit);
        let unit = units.next();
        let unit = unit.filter(|first| units.all(|own| own == *first));
        let names = own.iter().map(|(label, own, _)| {
            let own = own.filter(|own| Some(*own) != unit);
            with_unit(label, own, theme).width()
        });
        let name = names.max().unwrap_or(0).min(NAME) as u16 + 1;
        let left = room.saturating_sub(name);
        let natural = |nth: usize| {
            let cells = own.iter().filter_map(|(.., cells)| cells.get(nth));
            let texts = cells.map(|cell| text_of(cell, theme).width());
            let widest = texts.chain(columns.get(nth).map(|name| name.width())).max();
            (widest.unwrap_or(0) as u16 + 3).max(CELL)
        };
        let mut widths: Vec<u16> = (0..columns.len()).map(natural).collect();
        let mut first = 0;
        if widths.iter().sum::<u16>() > left {
            let shown = widths.len().clamp(1, usize::from(left / CELL).max(1));
            let even = (left / shown as u16).max(1);
            // What needs less leaves the rest to those that need more.
            let spare: u16 = widths.iter().map(|own| even.saturating_sub(*own)).sum();
            let short = widths.iter().filter(|own| **own > even).count().max(1) as u16;
            for own in &mut widths {
                *own = if shown < columns.len() {
                    even
                } else {
                    (*own).min(even + spare / short)
                };
            }
            let open = own.iter().find_map(|(.., cells)| {
                let mut cells = cells.iter();
                cells.position(|cell| cell.state == CellState::Present)
            });
            first = (open.unwrap_or(0) + 1).saturating_sub(shown);
            widths = widths.into_iter().skip(first).take(shown).collect();
        }
        Block {
            name,
            widths,
            first,
            unit,
        }
    }

    fn heading(&self, title: &str, columns: &[String]) -> Vec<Vec<Piece>> {
        let title = match self.unit {
            Some(unit) => said::in_unit(title, unit.symbol()),
            None => title.to_owned(),
        };
        let mut rows: Vec<Vec<Piece>> = wrap(&title, self.name.saturating_sub(1))
            .into_iter()
            .map(|text| vec![piece(0, text, TextRole::Heading)])
            .collect();
        let mut column = self.name;
        for (name, width) in columns.iter().skip(self.first).zip(&self.widths) {
            if let Some(row) = rows.first_mut() {
                row.push(piece(column + 1, name.clone(), TextRole::Heading));
            }
            column += width;
        }
        rows
    }

    fn row(
        &self,
        label: &str,
        unit: Option<Unit>,
        cells: &[CellView],
        theme: Theme,
    ) -> Vec<Vec<Piece>> {
        let unit = unit.filter(|own| Some(*own) != self.unit);
        let name = with_unit(label, unit, theme);
        let mut column = self.name;
        let cells = cells.iter().skip(self.first).zip(&self.widths);
        let cells = cells.map(|(cell, width)| {
            let at = column;
            column += width;
            (cell, at, *width)
        });
        in_rows(&name, self.name, cells, theme)
    }
}

/// Puts a name and its cells, each with its column and its width, into as many rows as the longest needs.
fn in_rows<'c>(
    name: &str,
    width: u16,
    cells: impl Iterator<Item = (&'c CellView, u16, u16)>,
    theme: Theme,
) -> Vec<Vec<Piece>> {
    let mut rows: Vec<Vec<Piece>> = Vec::new();
    let mut add = |nth: usize, own: Piece| {
        if rows.len() <= nth {
            rows.resize_with(nth + 1, Vec::new);
        }
        if let Some(row) = rows.get_mut(nth) {
            row.push(own);
        }
    };
    for (nth, line) in wrap(name, width.saturating_sub(1)).into_iter().enumerate() {
        add(nth, piece(0, line, TextRole::Text));
    }
    for (cell, at, width) in cells {
        let role = match cell.state {
            CellState::Present => TextRole::Present,
            CellState::Answered | CellState::NotSeen => TextRole::Answer,
            CellState::ToDo | CellState::Idle => TextRole::Dim,
        };
        let open = cell.state == CellState::Present;
        let room = width.saturating_sub(2).max(1);
        let text = text_of(cell, theme);
        // What is typed moves nothing: where it is long, its end shows.
        let lines = match cell.typed {
            Some(_) => vec![end_of(&text, room).to_owned()],
            None => wrap(&text, room),
        };
        for (nth, line) in lines.into_iter().enumerate() {
            if open && nth == 0 {
                let mark = theme.signs().spell(OPEN_SIGN).into_owned();
                add(nth, piece(at, mark, TextRole::Present));
            }
            let least = usize::from(room.min(OPEN));
            let line = if open {
                format!("{line:<least$}")
            } else {
                line
            };
            add(nth, piece(at + 1, line, role));
        }
    }
    rows
}

/// A name with its unit behind it.
fn with_unit(label: &str, unit: Option<Unit>, theme: Theme) -> String {
    let unit = unit.map_or("", Unit::symbol);
    said::name(label, &theme.signs().spell(unit))
        .trim_end()
        .to_owned()
}

fn text_of(cell: &CellView, theme: Theme) -> String {
    theme.signs().spell(&in_table(cell)).into_owned()
}
