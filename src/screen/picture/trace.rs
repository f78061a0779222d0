//! Strokes and labels put on the screen: as braille dots, or as ASCII that follows their slope.

mod ascii;
mod braille;

use ratatui::buffer::Buffer;
use unicode_width::UnicodeWidthStr;

use super::fit::{PlateAt, label_cell, label_text};
use crate::drawing::{Ink, Stroke, Word};
use crate::screen::pen::put_at;
use crate::screen::theme::{Signs, TextRole, Theme};
use crate::session::view::Plate;

/// Draws a part where it was given its place.
pub(super) fn draw(buf: &mut Buffer, place: &PlateAt, plate: &Plate, theme: Theme) {
    let area = place.inner.intersection(buf.area);
    if area.width == 0 || area.height == 0 {
        return;
    }
    // What tells most is drawn last.
    let mut strokes: Vec<&Stroke> = plate.figure.strokes.iter().collect();
    strokes.sort_by_key(|stroke| rank(stroke.ink));
    match theme.signs() {
        Signs::Braille => braille::draw(buf, area, place, &strokes, theme),
        Signs::Ascii => ascii::draw(buf, area, place, &strokes, theme),
    }
    labels(buf, place, plate, theme);
}

/// What is drawn over what.
fn rank(ink: Ink) -> u8 {
    match ink {
        Ink::Usual | Ink::Axis => 0,
        Ink::Opposing | Ink::Margin | Ink::Outer => 1,
        Ink::Inner | Ink::Outline | Ink::Pontic => 2,
        Ink::Fails | Ink::Connector | Ink::Least => 3,
        Ink::Resists | Ink::Distance => 4,
        Ink::Marked | Ink::Curve => 5,
        Ink::Motion => 6,
        Ink::Head => 7,
    }
}

/// What a stroke is drawn in.
fn role(ink: Ink) -> TextRole {
    match ink {
        Ink::Usual | Ink::Opposing | Ink::Axis => TextRole::Dim,
        Ink::Outline | Ink::Margin | Ink::Connector | Ink::Least | Ink::Pontic => TextRole::Text,
        // Their patterns tell them apart.
        Ink::Resists | Ink::Fails | Ink::Motion | Ink::Head => TextRole::Text,
        Ink::Curve | Ink::Inner | Ink::Outer => TextRole::Text,
        Ink::Distance | Ink::Marked => TextRole::Key,
    }
}

/// The corners of a stroke in dots, back at the first where it is closed; none of one that has no finite place.
fn corners(place: &PlateAt, stroke: &Stroke) -> Vec<(f64, f64)> {
    let back = stroke.points.first().filter(|_| stroke.closed);
    let dots: Vec<(f64, f64)> = stroke
        .points
        .iter()
        .chain(back)
        .map(|point| place.dot(*point))
        .collect();
    // A figure that fits lies within some thousand dots; what does not is no picture.
    let sound = |(x, y): &(f64, f64)| x.abs() < 1e4 && y.abs() < 1e4;
    if dots.iter().all(sound) {
        dots
    } else {
        Vec::new()
    }
}

/// One step towards the inner side of a stroke, square to what is nearer to it: level for a steep part, upright for a flat
/// one.
fn inwards(place: &PlateAt, stroke: &Stroke, from: (f64, f64), to: (f64, f64)) -> (f64, f64) {
    let Some(inner) = stroke.inner.map(|inner| place.dot(inner)) else {
        return (0.0, 0.0);
    };
    let middle = (f64::midpoint(from.0, to.0), f64::midpoint(from.1, to.1));
    if (to.1 - from.1).abs() >= (to.0 - from.0).abs() {
        ((inner.0 - middle.0).signum(), 0.0)
    } else {
        (0.0, (inner.1 - middle.1).signum())
    }
}

/// Puts labels over the strokes. Of two that would run into each other the later one gives way by a row, or stays out.
fn labels(buf: &mut Buffer, place: &PlateAt, plate: &Plate, theme: Theme) {
    let area = place.whole.intersection(buf.area);
    let first = i32::from(place.inner.y) - i32::from(area.y);
    let mut taken: Vec<(i32, i32, i32)> = Vec::new();
    for (label, words) in plate.figure.labels.iter().zip(&plate.words) {
        let text = label_text(label, words);
        let width = text.width();
        let point = place.dot(label.at);
        let (column, row) = label_cell(label, point, width);
        let room = i32::from(area.width) - width as i32;
        if !(column.is_finite() && row.is_finite()) || room < 0 {
            continue;
        }
        let column = (column as i32).clamp(0, room);
        let away = if label.lines > 0.0 { -1 } else { 1 };
        let free = |row: &i32| {
            let end = column + width as i32;
            (0..i32::from(area.height)).contains(row)
                && !taken
                    .iter()
                    .any(|(own, from, to)| own == row && column <= *to && end >= *from)
        };
        // Rows are counted from the first of the strokes; above it lie those that are kept free for labels.
        let row = row as i32 + first;
        let Some(row) = [row, row + away].into_iter().find(free) else {
            continue;
        };
        taken.push((row, column, column + width as i32));
        let style = theme.style(match (label.marked, label.word) {
            (true, _) => TextRole::Present,
            (false, Word::Distance(_)) => TextRole::Key,
            (false, _) => TextRole::Text,
        });
        put_at(buf, area, column as u16, row as u16, &text, style);
    }
}
