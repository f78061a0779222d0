//! Strokes as ASCII characters that follow their slope.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Modifier;

use super::{corners, inwards, role};
use crate::drawing::{Ink, Stroke};
use crate::screen::pen::put_at;
use crate::screen::picture::fit::PlateAt;
use crate::screen::theme::{TextRole, Theme};

/// A line that leans less than this, in columns a row, is upright but where it comes from one column into the next.
const UPRIGHT: f64 = 0.5;
/// A line that rises less than this, in rows a column, is flat.
const FLAT: f64 = 0.35;
/// A ring smaller than this, in columns and rows, is one letter.
const RING: (f64, f64) = (2.5, 1.3);

/// Characters that were chosen, by row and column of the area.
struct Sheet {
    wide: usize,
    cells: Vec<Option<(char, TextRole)>>,
}

impl Sheet {
    fn set(&mut self, column: f64, row: f64, sign: char, role: TextRole) {
        if !(column >= 0.0 && row >= 0.0 && (column as usize) < self.wide) {
            return;
        }
        let index = row as usize * self.wide + column as usize;
        if let Some(cell) = self.cells.get_mut(index) {
            *cell = Some((sign, role));
        }
    }
}

pub(super) fn draw(
    buf: &mut Buffer,
    area: Rect,
    place: &PlateAt,
    strokes: &[&Stroke],
    theme: Theme,
) {
    let wide = usize::from(area.width);
    let mut sheet = Sheet {
        wide,
        cells: vec![None; wide * usize::from(area.height)],
    };
    for stroke in strokes {
        add(&mut sheet, place, stroke);
    }
    for (row, cells) in (0u16..).zip(sheet.cells.chunks(wide)) {
        for (column, cell) in (0u16..).zip(cells) {
            if let Some((sign, role)) = cell {
                put_at(
                    buf,
                    area,
                    column,
                    row,
                    sign.encode_utf8(&mut [0; 4]),
                    // Reversed, a sign would be a block.
                    theme.style(*role).remove_modifier(Modifier::REVERSED),
                );
            }
        }
    }
}

fn add(sheet: &mut Sheet, place: &PlateAt, stroke: &Stroke) {
    let dots = corners(place, stroke);
    // A dot lies in the middle of its share of the character.
    let cells: Vec<(f64, f64)> = dots
        .iter()
        .map(|(x, y)| ((x + 0.5) / 2.0, (y + 0.5) / 4.0))
        .collect();
    let own = role(stroke.ink);
    if stroke.ink == Ink::Head {
        if let Some((sign, at)) = head(&dots, &cells) {
            sheet.set(at.0.floor(), at.1.floor(), sign, own);
        }
        return;
    }
    if let Some(middle) = small_ring(stroke, &cells) {
        sheet.set(middle.0.floor(), middle.1.floor(), 'o', own);
        return;
    }
    for (pair, dots) in cells.windows(2).zip(dots.windows(2)) {
        if let (&[from, to], &[a, b]) = (pair, dots) {
            line(sheet, stroke.ink, from, to, inwards(place, stroke, a, b));
        }
    }
}

/// The head of an arrow: a letter that points its way, where its tip is.
fn head(dots: &[(f64, f64)], cells: &[(f64, f64)]) -> Option<(char, (f64, f64))> {
    let (&[one, tip, other], &[_, at, _]) = (dots, cells) else {
        return None;
    };
    let (dx, dy) = (
        tip.0 - f64::midpoint(one.0, other.0),
        tip.1 - f64::midpoint(one.1, other.1),
    );
    let sign = match (dx.abs() > dy.abs(), dx > 0.0, dy > 0.0) {
        (true, true, _) => '>',
        (true, false, _) => '<',
        (false, _, true) => 'v',
        (false, _, false) => '^',
    };
    Some((sign, at))
}

/// The middle of a ring that is too small to be drawn.
fn small_ring(stroke: &Stroke, cells: &[(f64, f64)]) -> Option<(f64, f64)> {
    if !stroke.closed {
        return None;
    }
    let (low, high) = cells.iter().fold(None, |bounds, point| {
        let (low, high): ((f64, f64), (f64, f64)) = bounds.unwrap_or((*point, *point));
        Some((
            (low.0.min(point.0), low.1.min(point.1)),
            (high.0.max(point.0), high.1.max(point.1)),
        ))
    })?;
    let small = high.0 - low.0 < RING.0 && high.1 - low.1 < RING.1;
    small.then_some((f64::midpoint(low.0, high.0), f64::midpoint(low.1, high.1)))
}

/// Draws one straight part, between places in columns and rows.
fn line(sheet: &mut Sheet, ink: Ink, from: (f64, f64), to: (f64, f64), inwards: (f64, f64)) {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    // A character is twice as high as wide: what is steeper than half a turn's eighth to the eye goes by rows.
    if dy.abs() * 2.0 >= dx.abs() {
        let (top, foot) = if from.1 <= to.1 {
            (from, to)
        } else {
            (to, from)
        };
        let lean = if foot.1 > top.1 {
            (foot.0 - top.0) / (foot.1 - top.1)
        } else {
            0.0
        };
        let mut row = top.1.floor();
        while row < foot.1 || row == top.1.floor() {
            let (a, b) = (row.max(top.1), (row + 1.0).min(foot.1));
            let at = |y: f64| top.0 + (y - top.1) * lean;
            let column = at(f64::midpoint(a, b)).floor();
            let turns = at(a).floor() != at(b).floor();
            let slanted = lean.abs() > UPRIGHT || turns;
            let slope = match (slanted, lean > 0.0) {
                (false, _) => '|',
                (true, true) => '\\',
                (true, false) => '/',
            };
            steep(sheet, ink, (column, row), slope, inwards.0);
            row += 1.0;
        }
    } else {
        let (left, right) = if from.0 <= to.0 {
            (from, to)
        } else {
            (to, from)
        };
        let fall = (right.1 - left.1) / (right.0 - left.0);
        let mut column = left.0.floor();
        while column < right.0 || column == left.0.floor() {
            let (a, b) = (column.max(left.0), (column + 1.0).min(right.0));
            let y = left.1 + (f64::midpoint(a, b) - left.0) * fall;
            if fall.abs() > FLAT {
                let slope = if fall > 0.0 { '\\' } else { '/' };
                steep(sheet, ink, (column, y.floor()), slope, 0.0);
            } else {
                flat(sheet, ink, column, y);
            }
            column += 1.0;
        }
    }
}

/// Puts a character of a line that is upright or slanted.
fn steep(sheet: &mut Sheet, ink: Ink, (column, row): (f64, f64), slope: char, inwards: f64) {
    let own = role(ink);
    match ink {
        Ink::Usual => sheet.set(column, row, '\'', own),
        Ink::Margin | Ink::Outer => sheet.set(column, row, '.', own),
        Ink::Fails | Ink::Least | Ink::Pontic | Ink::Inner => sheet.set(column, row, ':', own),
        // Beside the line, pointing at it.
        Ink::Marked => {
            let sign = if inwards > 0.0 { '>' } else { '<' };
            if inwards != 0.0 {
                sheet.set(column - inwards, row, sign, own);
            }
        }
        Ink::Resists => {
            sheet.set(column, row, slope, own);
            sheet.set(column + inwards, row, slope, own);
        }
        _ => sheet.set(column, row, slope, own),
    }
}

/// Puts a character of a flat line: low in its row, in the middle of it, or at the foot of the row above.
fn flat(sheet: &mut Sheet, ink: Ink, column: f64, y: f64) {
    let (row, share) = (y.floor(), y - y.floor());
    let own = role(ink);
    let (row, slope) = match share {
        share if share < 0.25 => (row - 1.0, '_'),
        share if share < 0.7 => (row, '-'),
        _ => (row, '_'),
    };
    let odd = column.rem_euclid(2.0) != 0.0;
    match ink {
        Ink::Usual => sheet.set(column, row, if slope == '_' { '.' } else { '\'' }, own),
        Ink::Margin | Ink::Outer => sheet.set(column, row, '.', own),
        Ink::Fails | Ink::Least | Ink::Pontic | Ink::Inner if odd => {}
        Ink::Resists | Ink::Curve => sheet.set(column, row, '=', own),
        Ink::Marked => {}
        _ => sheet.set(column, row, slope, own),
    }
}
