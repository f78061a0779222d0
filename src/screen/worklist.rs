//! The worklist: as many columns as the window has room for, the result always whole.

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};
use unicode_width::UnicodeWidthStr;

use super::badge;
use super::frame::rule;
use super::pen::{below, end_of, put, put_at, put_right, split_bottom, wrap};
use super::rows::{Scroll, scrolled, wrapped};
use super::theme::{TextRole, Theme};
use crate::flow::Level;
use crate::phrase::CAUTION_SHORT;
use crate::phrase::pages::cells::OPEN_SIGN;
use crate::phrase::pages::{self, worklist as said};
use crate::session::view::{AboutCase, Badge, WorklistRow, WorklistView};

/// Columns between two columns.
const GAP: usize = 2;

/// Columns on the left for the signs of the case that is marked, and of one that is picked.
const SIGN: usize = 3;

/// From this width on there is room for the state of each case.
const WITH_STATE: usize = 60;

/// From this height on, the marked case has a line of its own.
const ROWS_FOR_ABOUT: u16 = 16;

/// From this height on it has a zone of its own, and a rule stands over the list.
const ROOMY: u16 = 20;

/// The rows of that zone, with the caution below it.
const ABOUT: u16 = 6;

/// The columns that come first, by their places in [`WorklistRow::columns`], each with the least width that is of use, or
/// `None` if it is never cut. What is named first has room first.
const CORE: [(usize, Option<usize>); 5] = [
    (RESULT, None),
    (NUMBER, Some(10)),
    (STATE, Some(16)),
    (DUE, None),
    (UNITS, Some(8)),
];

/// In which order these have what room is left; states may be long, and come last.
const WIDENED: [usize; 4] = [NUMBER, UNITS, DUE, STATE];

/// Columns that are shown where there is room for them.
const MORE: [usize; 4] = [DENTIST, WHO, TURN, LAST];

/// All columns from left to right.
const PLACES: [usize; 9] = [NUMBER, UNITS, DENTIST, STATE, RESULT, DUE, TURN, WHO, LAST];

const NUMBER: usize = 0;
const UNITS: usize = 1;
const DENTIST: usize = 2;
const STATE: usize = 3;
const RESULT: usize = 4;
const DUE: usize = 5;
const WHO: usize = 6;
const LAST: usize = 7;
const TURN: usize = 8;

/// Draws the list; returns where the cursor belongs if the filter is being typed.
pub(super) fn draw(
    buf: &mut Buffer,
    area: Rect,
    list: &WorklistView,
    theme: Theme,
) -> Option<Position> {
    let cursor = head(buf, area, list, theme);
    let roomy = area.height >= ROOMY;
    if roomy {
        rule(buf, area, 3, "", "", theme);
    }
    let kept = match area.height {
        ROOMY.. => ABOUT + 1,
        ROWS_FOR_ABOUT.. => 4,
        _ => 2,
    };
    let (body, foot) = split_bottom(below(area, if roomy { 4 } else { 3 }), kept);
    let caution = wrap(CAUTION_SHORT, foot.width);
    let rows = u16::try_from(caution.len()).unwrap_or(foot.height);
    for (row, line) in (foot.height.saturating_sub(rows)..).zip(&caution) {
        put(buf, foot, row, line, theme.style(TextRole::Dim));
    }
    if let Some(about) = &list.about {
        match kept {
            4 => {
                let line = about.in_a_line();
                put(buf, foot, 1, &line, theme.style(TextRole::Text));
            }
            2 => {}
            _ => marked_case(buf, below(foot, 1), about, theme),
        }
    }
    if list.rows.is_empty() {
        for (row, line) in (0..).zip(&list.empty) {
            put(buf, body, row, line, theme.style(TextRole::Text));
        }
        return cursor;
    }
    let columns = columns(list, usize::from(body.width), theme);
    let first = list.rows.first();
    for (column, at, width) in &columns {
        let head = first.and_then(|row| row.columns().get(*column).map(|(head, _)| *head));
        let cell = cell(body, *at, *width);
        put(
            buf,
            cell,
            0,
            head.unwrap_or_default(),
            theme.style(TextRole::Dim),
        );
    }
    let body = below(body, 1);
    let height = usize::from(body.height).max(1);
    let offset = (list.marked + 1).saturating_sub(height);
    let rows = list.rows.iter().enumerate().skip(offset).take(height);
    for (row, (index, case)) in (0u16..).zip(rows) {
        let marked = index == list.marked;
        line(
            buf,
            Rect {
                y: body.y + row,
                height: 1,
                ..body
            },
            case,
            &columns,
            (marked, theme),
        );
    }
    cursor
}

/// The marked case in short: its title in a rule, what was found, what is left.
fn marked_case(buf: &mut Buffer, area: Rect, about: &AboutCase, theme: Theme) {
    rule(buf, area, 0, &about.title, "", theme);
    let mut rows = Vec::new();
    if let Some(found) = &about.found {
        let own = Badge::from(found.level);
        let column = SIGN as u16 + badge::width(own, theme) + 1;
        let text = said::gravest(&found.place, &found.says);
        let room = area.width.saturating_sub(column);
        let mut lines = wrapped(column, &text, room, TextRole::Text);
        if let Some(first) = lines.first_mut() {
            first.badge(SIGN as u16, own);
        }
        rows.extend(lines);
    }
    let room = area.width.saturating_sub(SIGN as u16);
    for line in &about.lines {
        rows.extend(wrapped(SIGN as u16, line, room, TextRole::Text));
    }
    let text = Rect {
        height: area.height.saturating_sub(3),
        ..below(area, 1)
    };
    scrolled(buf, text, &rows, Scroll::PageKeys(0), theme);
}

/// Heading, counts, order, filter; how far reading is, while that goes on.
fn head(buf: &mut Buffer, area: Rect, list: &WorklistView, theme: Theme) -> Option<Position> {
    let dim = theme.style(TextRole::Dim);
    let right = match &list.progress {
        Some(progress) => progress.clone(),
        None => {
            let notation = pages::in_notation(list.notation);
            let today = list.today.as_deref().unwrap_or_default();
            pages::listed(&[&notation, today])
        }
    };
    let counts = list.counts;
    let counts = said::counts(counts.to_call, counts.late, counts.open, counts.all);
    let fits =
        |left: &str, right: &str| left.width() + GAP + right.width() <= usize::from(area.width);
    if fits(said::TITLE, &right) {
        put(buf, area, 0, said::TITLE, theme.style(TextRole::Heading));
    }
    put_right(buf, area, 0, &right, dim);
    put(buf, area, 1, &counts, theme.style(TextRole::Text));
    let beside = match list.picked {
        0 => list.order.to_owned(),
        picked => pages::listed(&[&said::selected(picked), list.order]),
    };
    if fits(&counts, &beside) {
        put_right(buf, area, 1, &beside, dim);
    }
    if !list.typing && list.filter.is_empty() {
        // A window too narrow for all of them shows none: help names the keys.
        if list.ready.width() <= usize::from(area.width) {
            put(buf, area, 2, &list.ready, dim);
        }
        return None;
    }
    let found = list.found.as_deref().unwrap_or_default();
    let begins = put_right(buf, area, 2, found, dim);
    let line = Rect {
        width: begins.saturating_sub(1),
        ..area
    };
    let named = put(buf, line, 2, &said::filter(""), theme.style(TextRole::Key));
    let shown = end_of(&list.filter, line.width.saturating_sub(named + 1));
    let typed = put_at(buf, line, named, 2, shown, theme.style(TextRole::Text));
    list.typing.then(|| Position {
        x: (line.x + named + typed).min(area.right().saturating_sub(1)),
        y: area.y + 2,
    })
}

/// Chooses the columns that have room: the place of each in a row, where it begins, and its width, from left to right.
fn columns(list: &WorklistView, width: usize, theme: Theme) -> Vec<(usize, usize, usize)> {
    let natural = |column: usize| {
        let texts = list.rows.iter().map(|row| (row, row.columns()[column]));
        let widths = texts.map(|(row, (head, text))| match (column, row.verdict) {
            (RESULT, Some(own)) => {
                let badge = usize::from(badge::width(own.into(), theme));
                let beside = instead(row).map_or(0, UnicodeWidthStr::width);
                (badge.max(beside), head.width())
            }
            _ => (text.width(), head.width()),
        });
        let (text, head) = widths.fold((0, 0), |(a, b), (c, d)| (a.max(c), b.max(d)));
        // A column that says nothing is left out.
        if text == 0 { 0 } else { text.max(head) }
    };
    let mut room = width.saturating_sub(SIGN);
    let mut chosen: Vec<(usize, usize)> = Vec::new();
    for (column, least) in CORE {
        let natural = natural(column);
        let least = least.map_or(natural, |least| least.min(natural));
        let gap = if chosen.is_empty() { 0 } else { GAP };
        if column == STATE && width < WITH_STATE {
            continue;
        }
        if natural > 0 && least + gap <= room {
            room -= least + gap;
            chosen.push((column, least));
        }
    }
    for column in WIDENED {
        if let Some((_, width)) = chosen.iter_mut().find(|(own, _)| *own == column) {
            let more = natural(column).saturating_sub(*width).min(room);
            *width += more;
            room -= more;
        }
    }
    for column in MORE {
        let natural = natural(column);
        if natural > 0 && natural + GAP <= room {
            room -= natural + GAP;
            chosen.push((column, natural));
        }
    }
    chosen.sort_unstable_by_key(|(column, _)| PLACES.iter().position(|own| own == column));
    let mut at = SIGN;
    let mut placed = Vec::new();
    for (column, width) in chosen {
        placed.push((column, at, width));
        at += width + GAP;
    }
    placed
}

/// Returns what stands in place of a green badge that would say more than is so by itself.
fn instead(case: &WorklistRow) -> Option<&str> {
    let is_green = case.verdict.map(Badge::from) == Some(Badge::Level(Level::Fine));
    Some(case.beside.as_str()).filter(|text| is_green && !text.is_empty())
}

fn cell(area: Rect, at: usize, width: usize) -> Rect {
    let columns = |count: usize| u16::try_from(count).unwrap_or(u16::MAX);
    Rect {
        x: area.x.saturating_add(columns(at)),
        width: columns(width),
        ..area
    }
}

fn line(
    buf: &mut Buffer,
    area: Rect,
    case: &WorklistRow,
    columns: &[(usize, usize, usize)],
    (marked, theme): (bool, Theme),
) {
    if marked {
        let mark = theme.signs().spell(OPEN_SIGN);
        put(buf, area, 0, &mark, theme.style(TextRole::Present));
    }
    if case.picked {
        put_at(buf, area, 1, 0, said::SELECTED, theme.style(TextRole::Key));
    }
    let texts = case.columns();
    // Where the state is whole and says it, the badge need not.
    let says_it = |(column, _, width): &(usize, usize, usize)| {
        let said = case.state.to_lowercase();
        *column == STATE && case.state.width() <= *width && said.contains(&case.beside)
    };
    let has_state = columns.iter().any(says_it);
    for (column, at, width) in columns {
        let place = cell(area, *at, *width);
        let role = match *column {
            RESULT if !has_state && instead(case).is_some() => {
                let text = instead(case).unwrap_or_default();
                put(buf, place, 0, text, theme.style(TextRole::Heading));
                continue;
            }
            RESULT => match case.verdict {
                Some(verdict) => {
                    badge::put(buf, place, (0, 0), verdict.into(), theme);
                    continue;
                }
                None => TextRole::Dim,
            },
            NUMBER if marked => TextRole::Present,
            DUE if case.late => TextRole::Heading,
            _ => TextRole::Text,
        };
        let text = match texts[*column] {
            (_, whole) if *column == STATE && whole.width() > *width => &case.state_in_short,
            (_, text) => text,
        };
        put(buf, place, 0, text, theme.style(role));
    }
}
