//! Prints: sheets as documents, documents as text or Markdown, and the whole judgement as JSON.
//!
//! A new sheet is one file and one arm of [`document`]; a new format is one file and one arm of [`Format`].

mod call;
mod json;
mod markdown;
mod options;
mod plain;
mod summary;

use crate::case::agreement::Agreement;
use crate::derive::Facts;
use crate::flow::Level;
use crate::judge::Judgement;
use crate::judge::doubt::Doubt;
use crate::phrase::Phrase;
use crate::remedy::WayOut;

pub use json::json;

/// What is printed.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Sheet {
    /// What was found, on a page.
    Summary,
    /// The checklist for the phone.
    Call,
}

/// How it is printed.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Format {
    /// Plain text, 78 columns.
    Text,
    /// Markdown.
    Markdown,
    /// One JSON object; the same for every sheet.
    Json,
}

/// A part of a document. Text stands for itself: formats escape it.
#[derive(Clone, PartialEq, Debug)]
pub enum Block {
    /// The title.
    Title(String),
    /// A heading.
    Heading(String),
    /// A paragraph.
    Text(String),
    /// A point of a list, with the level that it tells of.
    Point {
        /// The mark or number in front.
        mark: String,
        /// The level.
        level: Option<Level>,
        /// The text.
        text: String,
        /// Lines under it.
        under: Vec<String>,
    },
    /// A line to be filled in by hand.
    Blank(String),
}

/// A document.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Document {
    /// Its parts, in order.
    pub blocks: Vec<Block>,
}

impl Document {
    fn title(&mut self, text: impl Into<String>) {
        self.blocks.push(Block::Title(text.into()));
    }

    fn heading(&mut self, text: impl Into<String>) {
        self.blocks.push(Block::Heading(text.into()));
    }

    fn text(&mut self, text: impl Into<String>) {
        self.blocks.push(Block::Text(text.into()));
    }

    fn point(
        &mut self,
        mark: impl Into<String>,
        level: Option<Level>,
        text: impl Into<String>,
        under: Vec<String>,
    ) {
        self.blocks.push(Block::Point {
            mark: mark.into(),
            level,
            text: text.into(),
            under,
        });
    }

    fn blank(&mut self, text: impl Into<String>) {
        self.blocks.push(Block::Blank(text.into()));
    }

    /// Returns the document as unwrapped lines, each with whether it is a heading and the level that it tells of.
    pub fn lines(&self) -> impl Iterator<Item = (String, bool, Option<Level>)> + '_ {
        self.blocks.iter().flat_map(|block| match block {
            Block::Title(text) | Block::Heading(text) => vec![(text.clone(), true, None)],
            Block::Text(text) => vec![(text.clone(), false, None)],
            Block::Point {
                mark,
                level,
                text,
                under,
            } => {
                let mut lines = vec![(format!("{mark} {text}"), false, *level)];
                lines.extend(
                    under
                        .iter()
                        .map(|line| (format!("    {line}"), false, None)),
                );
                lines
            }
            Block::Blank(label) => vec![(format!("{label}: {}", "_".repeat(20)), false, None)],
        })
    }

    /// Returns the document as plain text.
    pub fn to_text(&self) -> String {
        plain::text(self)
    }

    /// Returns the document as Markdown.
    pub fn to_markdown(&self) -> String {
        markdown::markdown(self)
    }
}

/// What is printed about: a case's facts, what was found, how sure that is, and how it is said.
#[derive(Clone, Copy)]
pub struct Told<'a> {
    /// The facts.
    pub facts: &'a Facts<'a>,
    /// What was found.
    pub judgement: &'a Judgement,
    /// How far the readings can be trusted with it; none while that is being worked out.
    pub doubt: Option<&'a Doubt>,
    /// How it is said.
    pub phrase: Phrase<'a>,
    /// What stands beside the judgement.
    pub beside: Beside<'a>,
}

/// What stands beside a judgement and never changes it.
#[derive(Clone, Copy, Default)]
pub struct Beside<'a> {
    /// Standing agreements that hold.
    pub agreements: &'a [Agreement],
    /// Ways out of what was found; none where they were not worked out.
    pub ways: Option<&'a [WayOut]>,
}

/// Puts sheets together.
pub fn document(told: Told<'_>, sheets: &[Sheet]) -> Document {
    let mut document = Document::default();
    for sheet in sheets {
        match sheet {
            Sheet::Summary => summary::add(&mut document, told),
            Sheet::Call => call::add(&mut document, told),
        }
    }
    document
}

/// Prints sheets in a format. JSON is the whole judgement whatever the sheet.
///
/// # Errors
/// A figure that JSON cannot write; none of the figures that are kept is one.
pub fn print(
    told: Told<'_>,
    sheets: &[Sheet],
    format: Format,
) -> Result<String, serde_json::Error> {
    Ok(match format {
        Format::Text => document(told, sheets).to_text(),
        Format::Markdown => document(told, sheets).to_markdown(),
        Format::Json => json(told)?,
    })
}
