//! A page of the record: what is said, a table, and what is said of it. Command line, screen and paper are made from it.

use unicode_width::UnicodeWidthStr;

use super::{Block, Document, row_as_line};

/// The columns of a print, and those between two of a table.
const WIDTH: usize = 78;
const GAP: usize = 2;

/// A page with one table.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Leaf {
    /// What it is.
    pub title: String,
    /// What is said before the table.
    pub before: Vec<String>,
    /// Heads the table; may be empty.
    pub over: String,
    /// The heads of the columns.
    pub head: Vec<String>,
    /// The rows; each has as many cells as the head.
    pub rows: Vec<Vec<String>>,
    /// Which columns go where there is no room for all, the first to go first.
    pub goes: &'static [usize],
    /// The column of bars, which only an eye reads.
    pub bar: Option<usize>,
    /// What is said behind the table, part by part: a heading, which may be empty, and texts.
    pub after: Vec<(String, Vec<String>)>,
}

impl Leaf {
    /// Returns the columns that have room side by side, each with its width: those that go are left out one by one until the
    /// others fit, or none is left that goes.
    pub fn fitting(&self, width: usize) -> Vec<(usize, usize)> {
        let widest = |column: usize| {
            let cells = self.rows.iter().filter_map(|row| row.get(column));
            let cells = cells.chain(self.head.get(column));
            cells.map(|cell| cell.width()).max().unwrap_or(0)
        };
        let mut columns: Vec<(usize, usize)> = (0..self.head.len())
            .map(|column| (column, widest(column)))
            .collect();
        for gone in self.goes {
            let whole: usize = columns.iter().map(|(_, own)| own + GAP).sum();
            if whole <= width + GAP {
                break;
            }
            columns.retain(|(column, _)| column != gone);
        }
        columns
    }

    /// Returns a row in words, without its bar; `None` if there is none.
    pub fn aloud(&self, row: usize) -> Option<String> {
        let row = self.rows.get(row)?;
        let without = |cells: &[String]| -> Vec<String> {
            let own = cells.iter().enumerate();
            let own = own.filter(|(column, _)| Some(*column) != self.bar);
            own.map(|(_, cell)| cell.trim().to_owned()).collect()
        };
        Some(row_as_line(&without(&self.head), &without(row)))
    }

    /// Returns it as a document, its table as wide as a print.
    pub fn document(&self) -> Document {
        let mut document = Document::default();
        document.title(&self.title);
        self.before.iter().for_each(|text| document.text(text));
        if !self.rows.is_empty() {
            if !self.over.is_empty() {
                document.heading(&self.over);
            }
            let columns = self.fitting(WIDTH);
            let own = |cells: &Vec<String>| -> Vec<String> {
                let own = columns.iter().filter_map(|(column, _)| cells.get(*column));
                own.cloned().collect()
            };
            document.blocks.push(Block::Table {
                head: own(&self.head),
                rows: self.rows.iter().map(own).collect(),
            });
        }
        for (heading, texts) in &self.after {
            if !heading.is_empty() {
                document.heading(heading);
            }
            texts.iter().for_each(|text| document.text(text));
        }
        document
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn strings(cells: &[&str]) -> Vec<String> {
        cells.iter().map(|cell| (*cell).to_owned()).collect()
    }

    fn leaf() -> Leaf {
        Leaf {
            title: "T".to_owned(),
            head: strings(&["rule", "told", "0 %    10 %", ""]),
            rows: vec![strings(&["grip", "12", "──●──", "leans"])],
            goes: &[2, 1],
            bar: Some(2),
            ..Leaf::default()
        }
    }

    #[test]
    fn columns_go_until_the_others_fit() {
        let shown = |width| -> Vec<usize> {
            let own = leaf().fitting(width).into_iter();
            own.map(|(column, _)| column).collect()
        };
        assert_eq!(shown(30), [0, 1, 2, 3]);
        assert_eq!(shown(29), [0, 1, 3]);
        assert_eq!(shown(16), [0, 3]);
        // What never goes stays where it does not fit.
        assert_eq!(shown(3), [0, 3]);
    }

    #[test]
    fn a_row_is_said_without_its_bar() {
        let said = leaf().aloud(0);
        assert_eq!(said.as_deref(), Some("grip: told 12, leans"));
        assert_eq!(leaf().aloud(1), None);
    }

    #[test]
    fn what_is_said_stands_around_the_table() {
        let mut own = leaf();
        own.before = strings(&["Before."]);
        own.over = "Over".to_owned();
        own.after = vec![(String::new(), strings(&["After."]))];
        let text = own.document().to_text();
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(
            lines,
            [
                "T",
                "=",
                "Before.",
                "",
                "Over",
                "----",
                "rule  told  0 %    10 %",
                "----  ----  -----------  -----",
                "grip  12    ──●──        leans",
                "After.",
            ]
        );
    }
}
