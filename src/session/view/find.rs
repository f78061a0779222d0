//! What is being looked for.

use crate::phrase::pages::lines::found;
use crate::session::{NINE, Search};

/// Finding by words, over the page.
#[derive(Clone, PartialEq, Debug)]
pub struct FindView {
    /// The words as they are typed.
    pub words: String,
    /// The lines that are shown, nine at the most.
    pub rows: Vec<FindRow>,
    /// How many there are, and which of them are shown.
    pub count: String,
}

/// A line that was found.
#[derive(Clone, PartialEq, Debug)]
pub struct FindRow {
    /// The digit that picks it while no words are typed.
    pub digit: Option<char>,
    /// What it is, in a word; for a command its key.
    pub kind: String,
    /// What it says.
    pub line: String,
    /// Whether it is marked.
    pub marked: bool,
}

impl FindView {
    pub(super) fn of(search: &Search) -> FindView {
        let offset = search.offset();
        let rows: Vec<FindRow> = ('1'..='9')
            .zip(search.hits.iter().enumerate().skip(offset).take(NINE))
            .map(|(digit, (index, hit))| FindRow {
                digit: search.words.is_empty().then_some(digit),
                kind: hit.kind.clone(),
                line: hit.line.clone(),
                marked: index == search.marked,
            })
            .collect();
        let count = found(offset + 1, offset + rows.len(), search.hits.len());
        FindView {
            words: search.words.clone(),
            rows,
            count,
        }
    }
}
