use std::borrow::Cow;

use textwrap::Options;
use unicode_width::UnicodeWidthStr;

use super::{Block, Document, row_as_line};
use crate::phrase::lines::to_width;

/// The columns of a plain print.
const WIDTH: usize = 78;

/// The blanks between two columns of a table.
const GUTTER: usize = 2;

pub(super) fn text(document: &Document) -> String {
    let mut out = String::new();
    let mut line = |text: &str| {
        out.push_str(text.trim_end());
        out.push('\n');
    };
    let mut first = true;
    for block in &document.blocks {
        match block {
            Block::Sheet(_) | Block::Page => {
                if !first {
                    line("");
                    line("");
                }
            }
            Block::Title(text) => {
                line(text);
                line(&"=".repeat(text.width().min(WIDTH)));
            }
            Block::Heading(text) => {
                line("");
                line(text);
                line(&"-".repeat(text.width().min(WIDTH)));
            }
            Block::Text(text) => {
                for wrapped in textwrap::wrap(text, wide()) {
                    line(&wrapped);
                }
            }
            Block::Point {
                mark, text, under, ..
            } => {
                let first = format!("{mark} ");
                let indent = " ".repeat(first.width());
                let options = wide().initial_indent(&first).subsequent_indent(&indent);
                for wrapped in textwrap::wrap(text, options) {
                    line(&wrapped);
                }
                for text in under {
                    let options = wide().initial_indent(&indent).subsequent_indent(&indent);
                    for wrapped in textwrap::wrap(text, options) {
                        line(&wrapped);
                    }
                }
            }
            Block::Blank(label) => {
                let rest = WIDTH.saturating_sub(label.width() + 2).min(40);
                line(&format!("{label}: {}", "_".repeat(rest)));
            }
            Block::Source(text) => {
                let options = wide().initial_indent("- ").subsequent_indent("  ");
                for wrapped in textwrap::wrap(text, options) {
                    line(&wrapped);
                }
            }
            Block::Picture(picture) if !picture.tells => {}
            Block::Picture(picture) => {
                for wrapped in textwrap::wrap(&picture.caption, wide()) {
                    line(&wrapped);
                }
            }
            Block::Table { head, rows } => {
                for row in table(head, rows) {
                    line(&row);
                }
            }
        }
        first = false;
    }
    out
}

fn wide() -> Options<'static> {
    to_width(WIDTH)
}

/// The least width of a first column whose texts are broken so that the table fits.
const LEAST_FIRST: usize = 24;

/// Sets a table in columns. If it is wider than the print, the texts of its first column are broken; if that leaves them
/// no room, each row becomes a line of text.
fn table(head: &[String], rows: &[Vec<String>]) -> Vec<String> {
    let mut widths: Vec<usize> = (0..head.len())
        .map(|column| {
            std::iter::once(head)
                .chain(rows.iter().map(Vec::as_slice))
                .filter_map(|row| row.get(column))
                .map(|cell| cell.width())
                .max()
                .unwrap_or(0)
        })
        .collect();
    let whole = widths.iter().sum::<usize>() + GUTTER * widths.len().saturating_sub(1);
    let first = widths.first().copied().unwrap_or(0);
    let left = (WIDTH + first).saturating_sub(whole);
    if whole > WIDTH && left >= LEAST_FIRST {
        widths.iter_mut().take(1).for_each(|width| *width = left);
    } else if whole > WIDTH {
        return rows
            .iter()
            .flat_map(|row| {
                let options = wide().subsequent_indent("    ");
                textwrap::wrap(&row_as_line(head, row), options)
                    .into_iter()
                    .map(Cow::into_owned)
                    .collect::<Vec<_>>()
            })
            .collect();
    }
    let gutter = " ".repeat(GUTTER);
    let set = |row: &[String]| -> Vec<String> {
        let (name, cells) = row
            .split_first()
            .map_or(("", &[][..]), |(name, rest)| (name.as_str(), rest));
        let mut options = wide().subsequent_indent("  ");
        options.width = widths.first().copied().unwrap_or(WIDTH).max(1);
        let padded =
            |cell: &str, width: usize| format!("{cell}{}", " ".repeat(width - cell.width()));
        let mut lines: Vec<String> = textwrap::wrap(name, &options)
            .into_iter()
            .map(Cow::into_owned)
            .collect();
        if let Some(line) = lines.first_mut() {
            let rest = cells.iter().zip(widths.iter().skip(1));
            let all: Vec<String> = std::iter::once(padded(line, options.width))
                .chain(rest.map(|(cell, width)| padded(cell, *width)))
                .collect();
            *line = all.join(&gutter);
        }
        lines
    };
    let under: Vec<String> = widths.iter().map(|width| "-".repeat(*width)).collect();
    set(head)
        .into_iter()
        .chain([under.join(&gutter)])
        .chain(rows.iter().flat_map(|row| set(row)))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn strings(cells: &[&str]) -> Vec<String> {
        cells.iter().map(|cell| (*cell).to_owned()).collect()
    }

    #[test]
    fn columns_begin_under_each_other() {
        let head = strings(&["tooth", "h²·w"]);
        let rows = [strings(&["44", "27 mm³"]), strings(&["45-46", ""])];
        assert_eq!(
            table(&head, &rows),
            [
                "tooth  h²·w  ",
                "-----  ------",
                "44     27 mm³",
                "45-46        "
            ]
        );
    }

    #[test]
    fn a_long_first_column_is_broken() {
        let head = strings(&["option", "result now", "with it"]);
        let long = "cut more parallel walls on 46 near the margin, and send a new impression";
        let rows = [strings(&[long, "CALL", "WATCH"])];
        assert_eq!(
            table(&head, &rows),
            [
                format!("{:<57}  result now  with it", "option"),
                format!("{}  {}  {}", "-".repeat(57), "-".repeat(10), "-".repeat(7)),
                "cut more parallel walls on 46 near the margin, and send a  CALL        WATCH  "
                    .to_owned(),
                "  new impression".to_owned(),
            ]
        );
    }

    #[test]
    fn a_table_that_is_too_wide_becomes_lines() {
        let (a, b) = ("a".repeat(40), "b".repeat(40));
        let head = strings(&["tooth", "one", "two"]);
        let rows = [strings(&["44", &a, &b]), strings(&["46", "", "c"])];
        assert_eq!(
            table(&head, &rows),
            [
                format!("44: one {a}, two"),
                format!("    {b}"),
                "46: two c".to_owned()
            ]
        );
    }
}
