//! Pictures in characters: the one beside the questions, and the page of all of them.

mod bar;
mod fit;
mod trace;

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::pen::{below, put, split_bottom, split_left, wrap};
use super::rows::{Row, Scroll, scrolled, titled, wrapped};
use super::theme::{TextRole, Theme};
use crate::phrase::pages::index_of;
use crate::session::view::{PictureView, Plate};

/// From this width on the words of the page stand beside its picture.
const BESIDE: u16 = 84;
/// From this height on the picture beside the questions has its legend.
const LEGEND: u16 = 18;
/// From this height on it has its bar of grip.
const BAR: u16 = 9;

/// Draws the picture beside the questions, below its title. Only what is drawn moves with the digits, never where it stands.
pub(super) fn beside(buf: &mut Buffer, area: Rect, picture: &PictureView, theme: Theme) {
    let area = area.intersection(buf.area);
    if area.width < 12 || area.height < 5 {
        return;
    }
    let mut body = area;
    if let Some(grip) = picture.grip.as_ref().filter(|_| area.height >= BAR) {
        // In a small zone the marks under the bar have to speak for themselves.
        let rows = match area.height >= LEGEND {
            true => bar::rows(grip, area.width),
            false => bar::least(grip, area.width),
        };
        let (rest, strip) = split_bottom(body, rows);
        bar::draw(buf, strip, grip, theme);
        body = rest;
    }
    if area.height >= LEGEND {
        let lines = wrap(&picture.legend.join("; "), area.width);
        let (rest, strip) = split_bottom(body, u16::try_from(lines.len()).unwrap_or(0));
        for (row, line) in (0..strip.height).zip(&lines) {
            put(buf, strip, row, line, theme.style(TextRole::Dim));
        }
        body = split_bottom(rest, 1).0;
    }
    plates(buf, body, &picture.plates, theme);
}

/// Draws the page of a picture: as large as the screen allows, its figures in words beside or under it.
pub(super) fn page(
    buf: &mut Buffer,
    area: Rect,
    picture: &PictureView,
    scroll: usize,
    theme: Theme,
) {
    let area = area.intersection(buf.area);
    if area.width == 0 || area.height == 0 {
        return;
    }
    let of = picture.of.map(|(index, of)| index_of(index, of));
    let right = picture.sketch.clone().or(of).unwrap_or_default();
    let body = titled(buf, area, &picture.title, &right, theme);
    let (drawn, mut text) = if area.width >= BESIDE {
        split_left(body, body.width * 3 / 5, 3)
    } else {
        let rows = (body.height * 2 / 5).clamp(3, 14);
        let (above, under) = split_bottom(body, rows);
        (split_bottom(above, u16::from(above.height > 8)).0, under)
    };
    plates(buf, drawn, &picture.plates, theme);
    let mut lines: Vec<Row> = Vec::new();
    if let Some(grip) = &picture.grip {
        let rows = bar::rows(grip, text.width.min(60));
        if text.height >= rows + 4 {
            let strip = Rect {
                width: text.width.min(60),
                height: rows,
                ..text
            };
            bar::draw(buf, strip, grip, theme);
            text = below(text, rows + 1);
        } else {
            lines.push(Row::text(0, grip.says.clone(), TextRole::Heading));
        }
    }
    let mut add = |words: &str, role: TextRole| {
        lines.extend(wrapped(0, words, text.width, role));
    };
    for words in &picture.says {
        add(words, TextRole::Text);
    }
    for words in &picture.legend {
        add(words, TextRole::Dim);
    }
    add(picture.caution, TextRole::Dim);
    scrolled(buf, text, &lines, Scroll::Arrows(scroll), theme);
}

/// Draws the parts of a picture to one scale, side by side or one under the other, whichever is larger. An area that is
/// too small for any scale stays empty.
pub(super) fn plates(buf: &mut Buffer, area: Rect, plates: &[Plate], theme: Theme) {
    let area = area.intersection(buf.area);
    let Some(fitted) = fit::fit(plates, area) else {
        return;
    };
    for (plate, place) in plates.iter().zip(&fitted.places) {
        put(
            buf,
            place.whole,
            0,
            &plate.title,
            theme.style(TextRole::Dim),
        );
        trace::draw(buf, place, plate, theme);
    }
}
