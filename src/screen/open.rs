//! The open question: its words, its choices, what is typed. Its rows never move while something is typed.

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};
use ratatui::style::Style;
use unicode_width::UnicodeWidthStr;

use super::pen::{below, put, put_at, wrap};
use super::theme::{TextRole, Theme};
use crate::phrase::pages::questions as said;
use crate::session::view::{ChoiceView, PresentView};

/// The columns between two choices.
const GAP: usize = 3;

pub(super) fn open_question(
    buf: &mut Buffer,
    area: Rect,
    present: &PresentView,
    theme: Theme,
) -> Option<Position> {
    let asks = words(present, area.width);
    // Whole wherever its choices leave the rows: whoever answers "none" has to have read of what. What does not fit even
    // then ends in two points.
    let left = area
        .height
        .saturating_sub(rows_of_choices(present, area.width) + 1);
    let rows = asks.len().min(usize::from(left).max(2));
    let last = area.height.saturating_sub(1);
    match &present.asked {
        // It stands in the place of the question, so that nothing moves.
        Some(asked) => {
            let most = if present.choices.is_empty() { 2 } else { rows };
            let most = most.min(usize::from(last.saturating_sub(1)).max(1));
            heading(
                buf,
                area,
                &wrap(asked, area.width),
                most,
                theme.style(TextRole::Refusal),
            );
        }
        None => heading(buf, area, &asks, rows, theme.style(TextRole::Heading)),
    }
    let rows = rows as u16;
    let now = present.last.as_ref().map(|last| said::now(&last.said()));
    let now = now.unwrap_or_default();
    let below_it = said::takes_and_now(&present.takes, &now);
    let below_it = theme.signs().spell(&below_it);
    let refuse = |buf: &mut Buffer| {
        let line = present.refusal.as_ref().or(present.two_answers.as_ref());
        if let Some(line) = line {
            // It names the keys that help, so it stands there whole, over what is least needed.
            let lines = wrap(line, area.width);
            let rows = u16::try_from(lines.len()).unwrap_or(1).min(area.height);
            let first = (last + 1).saturating_sub(rows);
            for (row, line) in (first..).zip(lines.iter().take(usize::from(rows))) {
                let blank = " ".repeat(usize::from(area.width));
                put(buf, area, row, &blank, theme.style(TextRole::Text));
                put(buf, area, row, line, theme.style(TextRole::Refusal));
            }
        }
    };
    if !present.choices.is_empty() {
        let room = Rect {
            height: area.height.saturating_sub(rows + 1),
            ..below(area, rows)
        };
        choices(buf, room, present, theme);
        if present.refusal.is_none() && present.two_answers.is_none() {
            put(buf, area, last, &below_it, theme.style(TextRole::Dim));
        }
        refuse(buf);
        return None;
    }
    let entry = area.height.saturating_sub(2);
    let mut column = put_at(buf, area, 0, entry, "> ", theme.style(TextRole::Key));
    let typed = theme.style(TextRole::Heading);
    column += put_at(buf, area, column, entry, &present.input, typed);
    let cursor = Position {
        x: (area.x + column).min(area.right().saturating_sub(1)),
        y: area.y + entry,
    };
    // The rest stands in its own place, whatever is typed.
    put_at(
        buf,
        area,
        column.max(14),
        entry,
        &below_it,
        theme.style(TextRole::Dim),
    );
    refuse(buf);
    Some(cursor)
}

/// Lines from the top on; what does not fit ends in two points.
fn heading(buf: &mut Buffer, area: Rect, lines: &[String], most: usize, style: Style) {
    for (row, line) in (0u16..).zip(lines.iter().take(most)) {
        let cut = usize::from(row) + 1 == most && lines.len() > most;
        let line = if cut {
            format!("{line} ..")
        } else {
            line.clone()
        };
        put(buf, area, row, &line, style);
    }
}

/// The place and the question, in lines.
fn words(present: &PresentView, width: u16) -> Vec<String> {
    wrap(&said::asks(&present.place, &present.asks), width)
}

/// Returns how many rows an open question needs for its words and for every choice, in a column of this width.
pub(super) fn rows_needed(present: &PresentView, width: u16, usual: u16) -> u16 {
    let beside = words(present, width).len() as u16 + 1;
    let names = names(&present.choices);
    if !names.is_empty() && columns(&names, width, usual.saturating_sub(beside)).is_some() {
        return usual;
    }
    usual.max(rows_of_choices(present, width) + beside)
}

/// Returns how many rows the choices need at least, or the line that is typed in their place.
fn rows_of_choices(present: &PresentView, width: u16) -> u16 {
    let last = flowing(&names(&present.choices), width, u16::MAX)
        .last()
        .copied();
    last.map_or(1, |(_, row)| row + 1)
}

/// Names of choices as they are put on the screen.
fn names(choices: &[ChoiceView]) -> Vec<&str> {
    choices.iter().map(|choice| choice.words.as_str()).collect()
}

/// Returns the width of a column, if the names stand whole in columns of so many rows.
fn columns(names: &[&str], width: u16, rows: u16) -> Option<u16> {
    let columns = names.len().div_ceil(usize::from(rows).max(1)).max(1);
    let longest = names.iter().map(|name| name.width() + 2 + GAP).max()?;
    let even = usize::from(width) / columns;
    (longest.saturating_sub(GAP) <= even).then_some(even.min(longest) as u16)
}

/// Returns where each name begins, one behind the other, as many to a row as fit; in the last row whatever is left.
fn flowing(names: &[&str], width: u16, height: u16) -> Vec<(u16, u16)> {
    let (mut column, mut row) = (0u16, 0u16);
    let place = |name: &&str| {
        let wanted = name.width() as u16 + 2;
        if column > 0 && column.saturating_add(wanted) > width && row + 1 < height {
            (column, row) = (0, row + 1);
        }
        let at = (column, row);
        column = column.saturating_add(wanted + GAP as u16 - 1);
        at
    };
    names.iter().map(place).collect()
}

/// Choices in columns, read downwards; one behind the other where columns would cut their words. Where even that has no
/// room, what stands behind a comma is left out, as long as the names stay different.
fn choices(buf: &mut Buffer, area: Rect, present: &PresentView, theme: Theme) {
    if area.height == 0 {
        return;
    }
    let rows = usize::from(area.height);
    let mut names = names(&present.choices);
    let Some(width) = columns(&names, area.width, area.height) else {
        let fits = |names: &[&str]| {
            let last = flowing(names, area.width, u16::MAX).last().copied();
            last.is_none_or(|(_, row)| row < area.height)
        };
        let short: Vec<&str> = (present.choices.iter())
            .map(|choice| choice.short.as_str())
            .collect();
        let differ = (1..)
            .zip(&short)
            .all(|(next, name)| !short[next..].contains(name));
        if !fits(&names) && differ {
            names = short;
        }
        let places = flowing(&names, area.width, area.height);
        for ((choice, name), (column, row)) in present.choices.iter().zip(names).zip(places) {
            let cell = Rect {
                x: area.x + column.min(area.width),
                width: area.width.saturating_sub(column),
                ..area
            };
            put_choice(buf, cell, row, choice, name, theme);
        }
        return;
    };
    for (index, choice) in present.choices.iter().enumerate() {
        let (column, row) = ((index / rows) as u16, (index % rows) as u16);
        let cell = Rect {
            x: area.x + column * width,
            width,
            ..area
        };
        put_choice(buf, cell, row, choice, &choice.words, theme);
    }
}

fn put_choice(
    buf: &mut Buffer,
    cell: Rect,
    row: u16,
    choice: &ChoiceView,
    words: &str,
    theme: Theme,
) {
    put_at(
        buf,
        cell,
        0,
        row,
        &choice.digit.to_string(),
        theme.style(TextRole::Key),
    );
    let role = if choice.now {
        TextRole::Present
    } else {
        TextRole::Text
    };
    put_at(buf, cell, 2, row, words, theme.style(role));
}
