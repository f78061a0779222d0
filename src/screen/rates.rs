//! The page of what came back: the figures as text, the charts beside them where there is room.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use unicode_width::UnicodeWidthStr as _;

use super::pages::end;
use super::pen::{split_bottom, split_left};
use super::picture::plates;
use super::rows::titled;
use super::theme::Theme;
use crate::session::view::{Plate, RatesView, SummaryLine};

/// From this width on charts stand beside the text, so wide at the most.
const BESIDE: u16 = 110;
const CHART: u16 = 70;
/// From this height on they stand over the text of a narrower page, so high.
const ABOVE: u16 = 34;
const HIGH: u16 = 12;

pub(super) fn draw(buf: &mut Buffer, area: Rect, page: &RatesView, scroll: usize, theme: Theme) {
    let lines;
    let fits = page.title.width() + page.by.width() + 5 <= usize::from(area.width);
    // What has no room at the head is the first of the text, where it can break.
    let (body, shown) = match fits {
        true => (titled(buf, area, &page.title, &page.by, theme), &page.lines),
        false => {
            let head = |text: &String| SummaryLine {
                text: text.clone(),
                heading: false,
                level: None,
            };
            let mut own = vec![head(&page.title), head(&page.by)];
            own.extend(page.lines.iter().cloned());
            lines = own;
            (area, &lines)
        }
    };
    let is_drawn = !page.plates.is_empty() && (body.width >= BESIDE || body.height >= ABOVE);
    let captions = page.captions.iter().filter(|_| is_drawn);
    let shown: Vec<SummaryLine> = shown.iter().chain(captions).cloned().collect();
    let text = match page.plates.as_slice() {
        [] => body,
        all if body.width >= BESIDE => {
            let (text, right) = split_left(body, body.width - CHART.min(body.width * 2 / 5), 2);
            one_under_the_other(buf, right, all, theme);
            text
        }
        [first, ..] if body.height >= ABOVE => {
            let (above, under) = split_bottom(body, body.height - HIGH);
            plates(buf, above, std::slice::from_ref(first), theme);
            under
        }
        _ => body,
    };
    end(buf, text, &shown, scroll, theme);
}

fn one_under_the_other(buf: &mut Buffer, area: Rect, all: &[Plate], theme: Theme) {
    let each = (area.height / all.len().max(1) as u16).min(18);
    for (nth, plate) in (0u16..).zip(all) {
        let own = Rect {
            y: area.y + nth * each,
            height: each.saturating_sub(1),
            ..area
        };
        plates(buf, own, std::slice::from_ref(plate), theme);
    }
}
