//! The page that a technician works on: one zone takes every key, and what stands right of it follows from it.

mod side;
mod table;

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};
use unicode_width::UnicodeWidthStr;

use super::frame::{divide, lines, rule};
use super::open::{Message, open_question, rows_needed};
use super::pen::{below, put, put_at, put_right, split_bottom, wrap};
use super::picture;
use super::theme::{Signs, TextRole, Theme};
use crate::phrase::pages::questions as said;
use crate::session::view::{QuestionsView, StepState, StepView};
use table::{MARGIN, Table, thread};

/// From this width on what follows stands beside the questions.
const TWO_ZONES: u16 = super::WIDE;
/// From this width on pictures have a zone of their own.
const THREE_ZONES: u16 = 160;
/// From so many rows on there are zones at all.
const TALL: u16 = 17;
/// From so many rows on a narrow page has its findings below the questions.
const STACKED: u16 = 24;
/// From this width on steps say how many of their questions are answered.
const ROOMY: u16 = 110;
/// The rows of the open question with its rule and the row of messages, unless its choices need more.
const PANEL: u16 = 8;
/// The same on a low screen.
const LOW_PANEL: u16 = 5;
/// Below this width the words of the question begin at the left.
const NARROW: u16 = 50;
/// The rows that are left above it then.
const LEAST_TABLE: u16 = 2;
/// From so many rows on it is said below the question how to look.
const HOW_TO_LOOK: u16 = 6;

pub(super) fn draw(
    buf: &mut Buffer,
    area: Rect,
    page: &QuestionsView,
    notice: Option<&str>,
    theme: Theme,
) -> Option<Position> {
    let done = steps(buf, area, page, theme);
    let zoned = has_zones(area.width, area.height);
    // On a low screen the progress goes first, for the choices have to be readable.
    let body = if zoned || area.height >= TALL {
        progress(buf, area, &done, theme);
        below(area, 2)
    } else {
        below(area, 1)
    };
    if !zoned {
        let rows = if body.height >= STACKED {
            body.height / 3
        } else {
            1
        };
        let (above, fold) = split_bottom(body, rows);
        if rows > 1 {
            let cursor = work(buf, above, page, notice, theme);
            rule(buf, fold, 0, "", "", theme);
            side::findings(buf, below(fold, 1), page, theme);
            return cursor;
        }
        // On a low page what is said stands for what was found, never over the question or a choice.
        let message = Message::first(page.present.as_ref(), notice, fold.width);
        let cursor = work(buf, above, page, None, theme);
        match message.is_empty() {
            true => side::folded(buf, fold, page, theme),
            false => message.draw_first(buf, fold, theme),
        }
        return cursor;
    }
    let zones = Zones::of(body);
    let cursor = work(buf, zones.work, page, notice, theme);
    side::findings(buf, zones.findings, page, theme);
    if let (Some(place), Some(drawn)) = (zones.picture, &page.picture) {
        let sketch = drawn.sketch.as_deref().unwrap_or_default();
        rule(buf, place, 0, &drawn.title, sketch, theme);
        let inner = Rect {
            x: place.x + 1,
            width: place.width.saturating_sub(1),
            ..below(place, 1)
        };
        picture::beside(buf, inner, drawn, theme);
    }
    for column in zones.dividers {
        divide(buf, column, body, theme);
    }
    cursor
}

fn has_zones(width: u16, height: u16) -> bool {
    width >= TWO_ZONES && height >= TALL
}

/// Returns whether a window of this size shows a picture beside the questions.
pub(super) fn has_room_for_pictures(width: u16, height: u16) -> bool {
    // Around the page stand the first row, the last, and in the demo a tip.
    has_zones(width, height.saturating_sub(3))
}

/// Where the parts of the page stand.
struct Zones {
    work: Rect,
    findings: Rect,
    picture: Option<Rect>,
    /// The columns of the lines between them.
    dividers: Vec<u16>,
}

impl Zones {
    /// Divides a page: the questions at the left; findings and picture at the right, one over the other, or each in a zone
    /// of its own. A picture stands where it stands whatever is found.
    fn of(body: Rect) -> Zones {
        let width = body.width;
        let zone = |from: u16, to: u16| Rect {
            x: body.x + from,
            width: to.saturating_sub(from),
            ..body
        };
        if width < THREE_ZONES {
            let work = 51 + (width - TWO_ZONES) / 4;
            let right = zone(work + 1, width);
            let rows = right.height * 11 / 20;
            let (findings, picture) = split_bottom(right, rows);
            return Zones {
                work: zone(0, work),
                findings,
                picture: Some(picture),
                dividers: vec![body.x + work],
            };
        }
        let beyond = width - THREE_ZONES;
        let work = (64 + beyond / 4).min(76);
        let findings = (46 + beyond / 3).min(60);
        Zones {
            work: zone(0, work),
            findings: zone(work + 1, work + 1 + findings),
            picture: Some(zone(work + 2 + findings, width)),
            dividers: vec![body.x + work, body.x + work + 1 + findings],
        }
    }
}

/// Draws the table, under it the open question, joined with its cell, and where there is room how to look.
fn work(
    buf: &mut Buffer,
    area: Rect,
    page: &QuestionsView,
    notice: Option<&str>,
    theme: Theme,
) -> Option<Position> {
    let table = Table::of(&page.lines, area.width, theme);
    let indent = if area.width < NARROW { 1 } else { MARGIN };
    let text = Rect {
        x: area.x + indent,
        // A blank before the line between two zones.
        width: area.width.saturating_sub(indent + u16::from(indent > 1)),
        ..area
    };
    let is_low = area.height + 2 < TALL;
    let message = match is_low {
        true => Message::default(),
        false => Message::of(page.present.as_ref(), notice, text.width),
    };
    // Choices that would be cut take rows from the table, and leave it those that the open line is seen in.
    let (usual, kept) = match is_low {
        true => (LOW_PANEL, 0),
        false => (PANEL, 2),
    };
    let present = page.present.as_ref();
    // A long one takes the rows of what can be typed, and more if it must; never those of the choices.
    let kept = message.kept(present, text.width, kept);
    let needed = 1 + rows_needed(present, (&message, kept), text.width, usual - 1);
    // The rule names the question where not even its row is left.
    let least = if is_low { 0 } else { LEAST_TABLE };
    let most = area.height.saturating_sub(least).max(usual);
    let panel = needed.min(most).min(area.height);
    let rows = table.height().min(area.height - panel);
    let place = Rect {
        height: rows,
        ..area
    };
    let (open, above, hidden) = table.draw(buf, place, theme);
    if let Some(from) = open {
        thread(buf, place, from, theme);
    }
    let panel = Rect {
        y: area.y + rows,
        height: panel,
        ..area
    };
    heading(buf, panel, page, (above, hidden), theme);
    if open.is_some() {
        let ends = lines(theme).ends;
        put_at(buf, panel, 1, 0, ends, theme.style(TextRole::Text));
        put_at(buf, panel, 0, 0, " ", theme.style(TextRole::Text));
    }
    let inner = Rect {
        x: text.x,
        width: text.width,
        ..below(panel, 1)
    };
    let cursor = open_question(buf, inner, present, (&message, kept), theme);
    how_to_look(buf, below(area, rows + panel.height), page, theme);
    cursor
}

/// The rule over the open question: its name, how much of the table is out of view, and the keys that answer in place of a
/// value.
fn heading(
    buf: &mut Buffer,
    area: Rect,
    page: &QuestionsView,
    (above, hidden): (usize, usize),
    theme: Theme,
) {
    let name = page.present.as_ref().map_or("", |own| own.name.as_str());
    let more = said::out_of_view(above, hidden);
    let more = theme.signs().spell(&more);
    let title = match (name, more.as_ref()) {
        (name, "") => name.to_owned(),
        ("", more) => more.to_owned(),
        (name, more) => format!("{name}  {more}"),
    };
    let keys: Vec<String> = (page.answer_keys.iter())
        .map(|(key, does)| format!("{key} {does}"))
        .collect();
    // What has no room is named in the help.
    let room = usize::from(area.width).saturating_sub(title.width() + 9);
    let fits = (0..=keys.len()).rev().find_map(|shown| {
        let text = keys.get(..shown)?.join("  ");
        (text.width() <= room).then_some(text)
    });
    rule(buf, area, 0, &title, &fits.unwrap_or_default(), theme);
}

fn how_to_look(buf: &mut Buffer, area: Rect, page: &QuestionsView, theme: Theme) {
    if area.height < HOW_TO_LOOK || page.how.is_empty() {
        return;
    }
    let area = below(area, 1);
    rule(buf, area, 0, said::HOW_TO_LOOK, "", theme);
    let body = below(area, 1);
    let text = Rect {
        x: body.x + MARGIN,
        width: body.width.saturating_sub(MARGIN + 1),
        ..body
    };
    let mut row = 0;
    for (name, words) in &page.how {
        let rows = wrap(words, text.width);
        // What has no room as a whole stands in the help.
        if row + 1 + rows.len() > usize::from(text.height) {
            return;
        }
        put(buf, text, row as u16, name, theme.style(TextRole::Dim));
        row += 1;
        for line in rows {
            put(buf, text, row as u16, &line, theme.style(TextRole::Text));
            row += 1;
        }
    }
}

/// The steps in one row: done, in hand, to come, with how much is left of each; returns where each begins, how wide it is,
/// and how much of it is answered.
fn steps(buf: &mut Buffer, area: Rect, page: &QuestionsView, theme: Theme) -> Vec<(u16, u16, f64)> {
    let left = said::left(page.left);
    let show_left =
        !left.is_empty() && (area.width >= ROOMY || !has_zones(area.width, area.height));
    let mut room = area.width;
    if show_left {
        let begins = put_right(buf, area, 0, &left, theme.style(TextRole::Dim));
        room = begins.saturating_sub(1);
    }
    let names: Vec<(String, TextRole)> = (page.steps.iter())
        .map(|step| (step_in_words(step, area.width, theme), role_of(step.state)))
        .collect();
    let wide = |gap: usize| {
        1 + names
            .iter()
            .map(|(name, _)| name.width() + gap)
            .sum::<usize>()
    };
    let room_left = usize::from(room);
    let (names, gap) = match () {
        () if wide(2) <= room_left + 2 => (names, 2),
        () if wide(1) <= room_left + 1 => (names, 1),
        // Numbers for all but the one in hand.
        () => {
            let numbers = (1..).zip(&page.steps).zip(names);
            let short = numbers.map(|((number, step), (name, role))| match step.state {
                StepState::Present => (name, role),
                _ => (number.to_string(), role),
            });
            (short.collect(), 1)
        }
    };
    let area = Rect {
        width: room,
        ..area
    };
    let mut column = u16::from(area.width >= TWO_ZONES);
    let mut places = Vec::new();
    for ((name, role), step) in names.iter().zip(&page.steps) {
        let used = put_at(buf, area, column, 0, name, theme.style(*role));
        let done = match step.of {
            0 => 1.0,
            of => step.answered as f64 / of as f64,
        };
        places.push((column, used, done));
        column += used + gap;
    }
    places
}

fn role_of(state: StepState) -> TextRole {
    match state {
        StepState::Present => TextRole::Present,
        StepState::Done => TextRole::Dim,
        StepState::ToCome => TextRole::Text,
    }
}

fn step_in_words(step: &StepView, width: u16, theme: Theme) -> String {
    let left = step.of.saturating_sub(step.answered);
    let named = match width >= ROOMY {
        true => said::step_of(&step.title, step.answered, step.of),
        false => said::step_left(&step.title, left),
    };
    match step.state {
        StepState::Present => said::step_in_hand(&named),
        StepState::Done if width < ROOMY && step.of > 0 => match theme.signs() {
            Signs::Braille => said::step_done(&named),
            Signs::Ascii => theme.signs().spell(&said::step_done(&named)).into_owned(),
        },
        StepState::Done | StepState::ToCome => named,
    }
}

/// The rule under the steps, double as far as each is answered.
fn progress(buf: &mut Buffer, area: Rect, done: &[(u16, u16, f64)], theme: Theme) {
    rule(buf, area, 1, "", "", theme);
    let sign = lines(theme).done;
    for (column, width, share) in done {
        let columns = (f64::from(*width) * share.clamp(0.0, 1.0)).floor() as usize;
        let text = sign.repeat(columns);
        put_at(buf, area, *column, 1, &text, theme.style(TextRole::Text));
    }
}
