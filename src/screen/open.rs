//! The open question: its words, its choices, what is typed. Its rows never move while something is typed.

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};
use unicode_width::UnicodeWidthStr;

use super::pen::{below, put, put_at, wrap};
use super::theme::{TextRole, Theme};
use crate::phrase::pages::cells::OPEN_SIGN;
use crate::phrase::pages::questions as said;
use crate::session::view::{ChoiceView, PresentView};

/// The columns between two choices.
const GAP: usize = 3;
/// The columns of a digit with the gap behind it.
const DIGIT: u16 = 3;
/// The columns of the sign before a message.
const SIGN: u16 = 3;
/// Where the words of what can be typed begin, whatever is typed.
const BESIDE: u16 = 12;

/// What is said below the question: why a key was refused, two answers to choose from, or a notice.
#[derive(Default)]
pub(super) struct Message {
    lines: Vec<String>,
    is_error: bool,
}

impl Message {
    /// Returns what has to be said, in lines: why a key was refused and nothing else, or a notice, or where it goes back to.
    pub(super) fn of(present: Option<&PresentView>, notice: Option<&str>, width: u16) -> Message {
        let goes_back = present.and_then(|own| own.goes_back.as_deref());
        Message::first(present, notice.or(goes_back), width)
    }

    /// Returns what has to be said where there is room for nothing else.
    pub(super) fn first(
        present: Option<&PresentView>,
        notice: Option<&str>,
        width: u16,
    ) -> Message {
        let refusal = present.and_then(|own| own.refusal.as_deref().or(own.two_answers.as_deref()));
        let lines = |text: &str| wrap(text, width.saturating_sub(SIGN));
        match (refusal, notice) {
            (Some(text), _) => Message {
                lines: lines(text),
                is_error: true,
            },
            (None, Some(text)) => Message {
                lines: lines(text),
                is_error: false,
            },
            (None, None) => Message::default(),
        }
    }

    /// Returns how many rows to keep for it below a question: at least so many, so that nothing moves with the next key.
    pub(super) fn kept(&self, present: Option<&PresentView>, width: u16, least: u16) -> u16 {
        let takes = present.map_or(0, |own| takes_and_now(own, width, Theme::plain()).len());
        least.max(self.rows().saturating_sub(takes as u16))
    }

    /// Returns how many rows it takes.
    pub(super) fn rows(&self) -> u16 {
        u16::try_from(self.lines.len()).unwrap_or(u16::MAX)
    }

    pub(super) fn is_empty(&self) -> bool {
        self.lines.is_empty()
    }

    /// Draws its first row, with two points behind it if there are more.
    pub(super) fn draw_first(&self, buf: &mut Buffer, area: Rect, theme: Theme) {
        let mut all = self.lines.iter();
        let first = all.next().cloned().unwrap_or_default();
        let line = match all.next() {
            Some(_) => format!("{first} .."),
            None => first,
        };
        let one = Message {
            lines: vec![line],
            is_error: self.is_error,
        };
        one.draw(buf, area, theme);
    }

    /// Draws it into the lowest rows of an area.
    pub(super) fn draw(&self, buf: &mut Buffer, area: Rect, theme: Theme) {
        let first = area.height.saturating_sub(self.rows());
        for (row, line) in (first..area.height).zip(&self.lines) {
            let blank = " ".repeat(usize::from(area.width));
            put(buf, area, row, &blank, theme.style(TextRole::Text));
            let (sign, role, words) = match self.is_error {
                true => (said::ERROR_SIGN, TextRole::Refusal, TextRole::Heading),
                false => (said::NOTICE_SIGN, TextRole::Heading, TextRole::Text),
            };
            if row == first {
                let sign = theme.signs().spell(sign);
                put(buf, area, row, &sign, theme.style(role));
            }
            put_at(buf, area, SIGN, row, line, theme.style(words));
        }
    }
}

/// Draws the open question with what is said below it, for which so many rows are kept; returns where the cursor belongs if something is typed.
pub(super) fn open_question(
    buf: &mut Buffer,
    area: Rect,
    present: Option<&PresentView>,
    (message, kept): (&Message, u16),
    theme: Theme,
) -> Option<Position> {
    let whole = area;
    let Some(present) = present else {
        message.draw(buf, whole, theme);
        return None;
    };
    // Its rows are there whether anything is said or not, so that nothing moves with the next key.
    let area = Rect {
        height: area.height.saturating_sub(kept),
        ..area
    };
    let cursor = question(buf, area, present, theme);
    // A long one goes over what can be typed, never over choices.
    message.draw(buf, whole, theme);
    cursor
}

fn question(buf: &mut Buffer, area: Rect, present: &PresentView, theme: Theme) -> Option<Position> {
    let asks = words(present, area.width);
    // What is asked back needs the rows of what can be typed.
    let takes = match present.asked {
        Some(_) => Vec::new(),
        None => takes_and_now(present, area.width, theme),
    };
    // The question is whole wherever its choices leave the rows: whoever answers "none" has to have read of what.
    let beside = rows_of_choices(present, area.width);
    let least = least_rows_of_choices(present, area.width);
    let rows = usize::from(area.height.saturating_sub(least).max(2));
    for (row, line) in (0u16..).zip(asks.iter().take(rows)) {
        put(buf, area, row, line, theme.style(TextRole::Heading));
    }
    let rows = asks.len().min(rows) as u16;
    let rest = below(area, rows);
    if present.choices.is_empty() {
        return Some(entry(buf, rest, present, &takes, theme));
    }
    // What can be typed goes before any choice does.
    let room = Rect {
        height: (rest.height.saturating_sub(takes.len() as u16)).max(beside.min(rest.height)),
        ..rest
    };
    let used = choices(buf, room, present, theme);
    for (row, line) in (used..rest.height).zip(&takes) {
        put(buf, rest, row, line, theme.style(TextRole::Dim));
    }
    None
}

/// The line that is typed; what can be typed stands in its own place, whatever is typed.
fn entry(
    buf: &mut Buffer,
    area: Rect,
    present: &PresentView,
    takes: &[String],
    theme: Theme,
) -> Position {
    let mark = theme.signs().spell(OPEN_SIGN);
    let key = theme.style(TextRole::Key);
    let column = put_at(buf, area, 0, 0, &mark, key) + 1;
    let typed = theme.style(TextRole::Heading);
    let end = column + put_at(buf, area, column, 0, &present.input, typed);
    let dim = theme.style(TextRole::Dim);
    // Beside it where all of it has room there, else below it.
    let beside = end.max(BESIDE - 2);
    match takes {
        [line] if usize::from(beside) + 2 + line.width() <= usize::from(area.width) => {
            let column = (end + 2).max(BESIDE);
            put_at(buf, area, column, 0, line, dim);
        }
        lines => {
            for (row, line) in (1..area.height).zip(lines) {
                put(buf, area, row, line, dim);
            }
        }
    }
    Position {
        x: (area.x + end).min(area.right().saturating_sub(1)),
        y: area.y,
    }
}

fn takes_and_now(present: &PresentView, width: u16, theme: Theme) -> Vec<String> {
    let now = present.last.as_ref().map(|last| said::now(&last.said()));
    let text = said::takes_and_now(&present.takes, &now.unwrap_or_default());
    if text.is_empty() {
        return Vec::new();
    }
    wrap(&theme.signs().spell(&text), width)
}

/// The question, or what is asked to be checked about the reading, in lines.
fn words(present: &PresentView, width: u16) -> Vec<String> {
    match &present.asked {
        // It stands in the place of the question, so that nothing moves.
        Some(asked) => wrap(asked, width),
        None => wrap(&said::asks(&present.place, &present.asks), width),
    }
}

/// Returns how many rows an open question needs for its words, for every choice and for messages, for which so many are
/// kept.
pub(super) fn rows_needed(
    present: Option<&PresentView>,
    (message, kept): (&Message, u16),
    width: u16,
    usual: u16,
) -> u16 {
    let Some(present) = present else {
        return message.rows().max(2);
    };
    let asks = wrap(&said::asks(&present.place, &present.asks), width).len() as u16;
    let takes = takes_and_now(present, width, Theme::plain()).len() as u16;
    let rest = match present.choices.is_empty() {
        true => 1,
        false => rows_of_choices(present, width),
    };
    // What is asked back takes the rows of what can be typed, and only if it is longer than both, more.
    let words = match present.asked {
        Some(_) => (words(present, width).len() as u16).max(asks + takes),
        None => asks + takes,
    };
    usual.max(words + rest + kept)
}

/// Returns how many rows the choices need at least, or the line that is typed in their place.
fn rows_of_choices(present: &PresentView, width: u16) -> u16 {
    let names = names(&present.choices);
    let in_columns = (1..=names.len() as u16).find(|rows| columns(&names, width, *rows).is_some());
    let last = flowing(&names, width, u16::MAX).last().copied();
    let in_lines = last.map_or(1, |(_, row)| row + 1);
    in_columns.unwrap_or(in_lines).min(in_lines.max(1))
}

/// Returns how many rows the choices need where what explains them is left out.
fn least_rows_of_choices(present: &PresentView, width: u16) -> u16 {
    let short: Vec<&str> = (present.choices.iter())
        .map(|choice| choice.short.as_str())
        .collect();
    let last = flowing(&short, width, u16::MAX).last().copied();
    last.map_or(1, |(_, row)| row + 1)
        .min(rows_of_choices(present, width))
}

/// Names of choices as they are put on the screen.
fn names(choices: &[ChoiceView]) -> Vec<&str> {
    choices.iter().map(|choice| choice.words.as_str()).collect()
}

/// Returns the width of a column, if the names stand whole in columns of so many rows.
fn columns(names: &[&str], width: u16, rows: u16) -> Option<u16> {
    let columns = names.len().div_ceil(usize::from(rows).max(1)).max(1);
    let longest = names
        .iter()
        .map(|name| name.width() + usize::from(DIGIT) + GAP)
        .max()?;
    let even = usize::from(width) / columns;
    (longest.saturating_sub(GAP) <= even).then_some(even.min(longest) as u16)
}

/// Returns where each name begins, one behind the other, as many to a row as fit; in the last row whatever is left.
fn flowing(names: &[&str], width: u16, height: u16) -> Vec<(u16, u16)> {
    let (mut column, mut row) = (0u16, 0u16);
    let place = |name: &&str| {
        let wanted = name.width() as u16 + DIGIT;
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
/// room, what stands behind a comma is left out, as long as the names stay different. Returns how many rows they took.
fn choices(buf: &mut Buffer, area: Rect, present: &PresentView, theme: Theme) -> u16 {
    if area.height == 0 {
        return 0;
    }
    let mut names = names(&present.choices);
    // The fewest rows in which they stand in columns are read in one look, but a few stand one below the other.
    let few = if names.len() <= 3 {
        names.len() as u16
    } else {
        names.len().div_ceil(2) as u16
    };
    let rows = [few.min(area.height), area.height]
        .into_iter()
        .find(|rows| columns(&names, area.width, *rows).is_some());
    let Some((rows, width)) =
        rows.and_then(|rows| Some((rows, columns(&names, area.width, rows)?)))
    else {
        let fits = |names: &[&str]| {
            let last = flowing(names, area.width, u16::MAX).last().copied();
            let wide = |name: &&str| name.width() as u16 + DIGIT > area.width;
            last.is_none_or(|(_, row)| row < area.height) && !names.iter().any(wide)
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
        let mut used = 0;
        for ((choice, name), (column, row)) in present.choices.iter().zip(names).zip(places) {
            let cell = Rect {
                x: area.x + column.min(area.width),
                width: area.width.saturating_sub(column),
                ..area
            };
            put_choice(buf, cell, row, choice, name, theme);
            used = used.max(row + 1);
        }
        return used;
    };
    let per = usize::from(rows).max(1);
    for (index, choice) in present.choices.iter().enumerate() {
        let (column, row) = ((index / per) as u16, (index % per) as u16);
        let cell = Rect {
            x: area.x + column * width,
            width,
            ..area
        };
        put_choice(buf, cell, row, choice, &choice.words, theme);
    }
    rows.min(present.choices.len() as u16)
}

fn put_choice(
    buf: &mut Buffer,
    cell: Rect,
    row: u16,
    choice: &ChoiceView,
    words: &str,
    theme: Theme,
) {
    let digit = choice.digit.to_string();
    put_at(buf, cell, 0, row, &digit, theme.style(TextRole::Key));
    let role = if choice.now {
        TextRole::Present
    } else {
        TextRole::Text
    };
    put_at(buf, cell, DIGIT, row, words, theme.style(role));
}
