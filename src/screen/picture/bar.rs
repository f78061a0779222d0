//! The bar of grip: the value on a line from nothing to past the least prep advised, with the rules' limits.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use crate::screen::badge;
use crate::screen::pen::{below, put, put_at, wrap};
use crate::screen::theme::{Signs, TextRole, Theme};
use crate::session::view::GripView;

/// Where the bar ends. What is more is drawn to its end, with a mark.
pub(super) const END: f64 = 1.5;

/// The rows of the bar alone: the value, the line, the marks under it.
const LEAST: u16 = 3;

/// Returns how many rows the value in words takes, whole.
fn head(grip: &GripView, width: u16) -> u16 {
    u16::try_from(wrap(&grip.says, width).len()).unwrap_or(1)
}

/// Returns how many rows the bar takes at a width without what its marks mean.
pub(super) fn least(grip: &GripView, width: u16) -> u16 {
    head(grip, width) + LEAST - 1
}

/// Returns how many rows the bar takes at a width with what its marks mean.
pub(super) fn rows(grip: &GripView, width: u16) -> u16 {
    least(grip, width) + u16::try_from(wrap(&grip.marks.join("; "), width).len()).unwrap_or(0)
}

/// Returns the column of `number` on a bar of `width` columns, or `None` if it is not a number.
fn column(number: f64, width: u16) -> Option<u16> {
    if number.is_nan() || width == 0 {
        return None;
    }
    let last = f64::from(width - 1);
    Some((number / END * last).round().clamp(0.0, last) as u16)
}

/// The signs of a bar: what is held, what the readings' error may take or give, the value, what is left, and the mark of
/// a value past the end.
fn signs(signs: Signs) -> [&'static str; 5] {
    match signs {
        Signs::Braille => ["█", "▒", "┃", "─", "▶"],
        Signs::Ascii => ["#", "=", "|", "-", ">"],
    }
}

/// Draws the bar; what finds no row is left out from below.
pub(super) fn draw(buf: &mut Buffer, area: Rect, grip: &GripView, theme: Theme) {
    let [held, maybe, here, left, past] = signs(theme.signs());
    for (row, line) in (0..).zip(wrap(&grip.says, area.width)) {
        put(buf, area, row, &line, theme.style(TextRole::Heading));
    }
    let area = below(area, head(grip, area.width) - 1);
    let own = theme.style(TextRole::Text);
    let value = grip.value.filter(|value| !value.is_nan());
    let at = value.and_then(|value| column(value, area.width));
    let span = value.zip(grip.spread).and_then(|(value, spread)| {
        let low = column(value - spread, area.width)?;
        let high = column(value + spread, area.width)?;
        Some((low, high))
    });
    for x in 0..area.width {
        let (sign, style) = match at {
            Some(at) if x == at && value.is_some_and(|value| value > END) => (past, own),
            Some(at) if x == at && span.is_some() => (here, own),
            _ if span.is_some_and(|(low, high)| (low..=high).contains(&x)) => (maybe, own),
            Some(at) if x <= at => (held, own),
            _ => (left, theme.style(TextRole::Dim)),
        };
        put_at(buf, area, x, 1, sign, style);
    }
    if let Some(x) = column(grip.advised, area.width) {
        let advised = grip.advised.to_string();
        put_at(buf, area, x, 2, &advised, theme.style(TextRole::Dim));
    }
    for (limit, level) in &grip.limits {
        if let Some(x) = column(*limit, area.width) {
            let sign = badge::sign((*level).into(), theme.signs());
            put_at(buf, area, x, 2, sign, theme.style(TextRole::Text));
        }
    }
    for (row, line) in (3..).zip(wrap(&grip.marks.join("; "), area.width)) {
        put(buf, area, row, &line, theme.style(TextRole::Dim));
    }
}
