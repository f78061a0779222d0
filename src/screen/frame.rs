//! Rules with titles, and the lines between zones.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use unicode_width::UnicodeWidthStr;

use super::pen::{put_at, put_right};
use super::theme::{Signs, TextRole, Theme};

/// The signs that lines are made of.
#[derive(Clone, Copy)]
pub(super) struct Lines {
    /// A rule.
    pub(super) rule: &'static str,
    /// A rule under what is done.
    pub(super) done: &'static str,
    /// A line between two zones, or down to what belongs together.
    pub(super) down: &'static str,
    /// Where a line begins that goes down.
    pub(super) begins: &'static str,
    /// Where it ends in a rule.
    pub(super) ends: &'static str,
    joins: [&'static str; 4],
}

/// Returns the signs of a theme's lines.
pub(super) fn lines(theme: Theme) -> Lines {
    match theme.signs() {
        Signs::Braille => Lines {
            rule: "─",
            done: "═",
            down: "│",
            begins: "┌",
            ends: "└",
            joins: ["┤", "├", "┼", "┬"],
        },
        Signs::Ascii => Lines {
            rule: "-",
            done: "=",
            down: "|",
            begins: "+",
            ends: "+",
            joins: ["+"; 4],
        },
    }
}

/// Draws a rule over an area with a title, and at its right end what belongs to it, if there is room for both.
pub(super) fn rule(buf: &mut Buffer, area: Rect, row: u16, title: &str, right: &str, theme: Theme) {
    let dim = theme.style(TextRole::Dim);
    let sign = lines(theme).rule;
    put_at(
        buf,
        area,
        0,
        row,
        &sign.repeat(usize::from(area.width)),
        dim,
    );
    if area.width < 4 {
        return;
    }
    let inner = Rect {
        width: area.width - 1,
        ..area
    };
    let mut used = 0;
    if !title.is_empty() {
        let text = format!(" {title} ");
        used = 2 + put_at(buf, inner, 2, row, &text, theme.style(TextRole::Heading));
    }
    if !right.is_empty() && usize::from(used) + right.width() + 3 <= usize::from(inner.width) {
        put_right(buf, inner, row, &format!(" {right} "), dim);
    }
}

/// Draws the line between two zones over an area's height, joined with the rules that end at it and with the rule above.
pub(super) fn divide(buf: &mut Buffer, column: u16, area: Rect, theme: Theme) {
    let own = lines(theme);
    let [left, right, both, top] = own.joins;
    let dim = theme.style(TextRole::Dim);
    let is_rule = |buf: &Buffer, x: u16, y: u16| {
        let cell = buf.cell((x, y));
        cell.is_some_and(|cell| cell.symbol() == own.rule)
    };
    for y in area.y..area.bottom() {
        let ends = column > 0 && is_rule(buf, column - 1, y);
        let begins = is_rule(buf, column.saturating_add(1), y);
        let sign = match (ends, begins) {
            (true, true) => both,
            (true, false) => left,
            (false, true) => right,
            (false, false) => own.down,
        };
        buf.set_string(column, y, sign, dim);
    }
    if area.y > 0 && is_rule(buf, column, area.y - 1) {
        buf.set_string(column, area.y - 1, top, dim);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(buf: &Buffer, y: u16) -> String {
        (0..buf.area.width).map(|x| buf[(x, y)].symbol()).collect()
    }

    #[test]
    fn rules_have_titles_and_join_the_line_between_zones() {
        for (theme, wanted) in [
            (
                Theme::plain(),
                ["────┬──────", "── a┤      ", "    ├── b ─", "────┼── c ─"],
            ),
            (
                Theme::plain().with_signs(Signs::Ascii),
                ["----+------", "-- a+      ", "    +-- b -", "----+-- c -"],
            ),
        ] {
            let area = Rect::new(0, 0, 11, 4);
            let mut buf = Buffer::empty(area);
            let (left, right) = (Rect::new(0, 1, 4, 3), Rect::new(5, 1, 6, 3));
            rule(&mut buf, area, 0, "", "", theme);
            rule(&mut buf, left, 0, "a", "", theme);
            rule(&mut buf, right, 1, "b", "too long", theme);
            rule(&mut buf, left, 2, "", "", theme);
            rule(&mut buf, right, 2, "c", "", theme);
            divide(&mut buf, 4, Rect::new(0, 1, 11, 3), theme);
            for (y, wanted) in (0..).zip(wanted) {
                if y != 1 {
                    assert_eq!(row(&buf, y), wanted);
                }
            }
        }
    }
}
