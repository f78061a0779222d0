//! Strokes as braille dots.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::symbols::Marker;
use ratatui::widgets::Widget;
use ratatui::widgets::canvas::{Canvas, Points};

use super::{corners, inwards, role};
use crate::drawing::{Ink, Stroke};
use crate::screen::picture::fit::PlateAt;
use crate::screen::theme::Theme;

/// How far from a line its second line stands, in dots, so that a row of dots is free between.
const SECOND: f64 = 2.0;

/// How many dots are drawn and how many left out, again and again.
fn pattern(ink: Ink) -> (u32, u32) {
    match ink {
        Ink::Usual => (1, 2),
        Ink::Margin => (1, 1),
        Ink::Outer => (1, 3),
        Ink::Inner => (2, 2),
        Ink::Fails => (3, 2),
        Ink::Least | Ink::Pontic => (2, 2),
        _ => (1, 0),
    }
}

pub(super) fn draw(
    buf: &mut Buffer,
    area: Rect,
    place: &PlateAt,
    strokes: &[&Stroke],
    theme: Theme,
) {
    let (wide, high) = (
        f64::from(area.width) * 2.0 - 1.0,
        f64::from(area.height) * 4.0 - 1.0,
    );
    let drawn: Vec<(Vec<(f64, f64)>, Ink)> = strokes
        .iter()
        .map(|stroke| {
            let dots = dots(place, stroke)
                .into_iter()
                .map(|(x, y)| (x.round(), high - y.round()))
                .filter(|(x, y)| (0.0..=wide).contains(x) && (0.0..=high).contains(y))
                .collect();
            (dots, stroke.ink)
        })
        .collect();
    Canvas::default()
        .marker(Marker::Braille)
        .x_bounds([0.0, wide])
        .y_bounds([0.0, high])
        .paint(|ctx| {
            for (dots, ink) in &drawn {
                let color = theme.style(role(*ink)).fg.unwrap_or_default();
                ctx.draw(&Points::new(dots, color));
            }
        })
        .render(area, buf);
}

/// The dots of a stroke, rightwards and downwards from the first.
fn dots(place: &PlateAt, stroke: &Stroke) -> Vec<(f64, f64)> {
    let (on, off) = pattern(stroke.ink);
    let mut dots = Vec::new();
    let mut count = 0;
    for pair in corners(place, stroke).windows(2) {
        let &[from, to] = pair else { continue };
        let (dx, dy) = (to.0 - from.0, to.1 - from.1);
        let steps = dx.abs().max(dy.abs()).ceil().max(1.0);
        let (x, y) = inwards(place, stroke, from, to);
        let aside = match stroke.ink {
            Ink::Resists => SECOND,
            Ink::Marked => -SECOND,
            _ => 0.0,
        };
        for step in 0..=steps as u32 {
            let share = f64::from(step) / steps;
            let (own_x, own_y) = (from.0 + dx * share, from.1 + dy * share);
            if count % (on + off) < on {
                if stroke.ink != Ink::Marked {
                    dots.push((own_x, own_y));
                }
                if aside != 0.0 {
                    dots.push((own_x + x * aside, own_y + y * aside));
                }
            }
            // The first dot of the next part is the last of this one.
            if step < steps as u32 {
                count += 1;
            }
        }
    }
    dots
}
