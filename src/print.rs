//! Prints: sheets as documents; documents as text, Markdown or HTML; the judgement as JSON.
//!
//! A new sheet is one file and one arm of [`document`]; a new format is one file and one arm of [`Format`].

mod call;
mod html;
pub mod json;
mod letter;
mod markdown;
mod options;
mod picture;
mod plain;
mod questions;
mod seating;
mod standing;
mod summary;
mod ticket;

use std::fmt;

use jiff::civil::{Date, DateTime};

use crate::call::Tell;
use crate::case::instruction::Instruction;
use crate::derive::Facts;
use crate::fact::{FactId, Kind, Place, Spot};
use crate::flow::Level;
use crate::judge::Judgement;
use crate::judge::doubt::Doubt;
use crate::options::CaseOption;
use crate::phrase::{Phrase, words};
use crate::state::CaseState;

pub use json::json;
pub use picture::Picture;
pub(crate) use picture::label_words;

/// What is printed.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Sheet {
    /// What was found, on a page.
    Summary,
    /// The checklist for the phone.
    Call,
    /// The work ticket for the bench.
    Ticket,
    /// How it is seated, for the dentist.
    Seating,
    /// The letter to the dentist.
    Letter,
}

impl Sheet {
    /// Every sheet, in the order in which a case goes: found, asked, written, made, seated.
    pub const ALL: [Sheet; 5] = [
        Sheet::Summary,
        Sheet::Call,
        Sheet::Letter,
        Sheet::Ticket,
        Sheet::Seating,
    ];

    /// Returns its name, as the command line and file names have it.
    pub fn name(self) -> &'static str {
        match self {
            Sheet::Summary => "summary",
            Sheet::Call => "call",
            Sheet::Ticket => "ticket",
            Sheet::Seating => "seating",
            Sheet::Letter => "letter",
        }
    }

    /// Returns what it is called at the foot of each printed page.
    pub fn title(self) -> &'static str {
        match self {
            Sheet::Summary => "inspection summary",
            Sheet::Call => "call list",
            Sheet::Ticket => "work ticket",
            Sheet::Seating => "seating notes",
            Sheet::Letter => "letter to the dentist",
        }
    }
}

/// How it is printed.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Format {
    /// Plain text, 78 columns.
    Text,
    /// Markdown.
    Markdown,
    /// One HTML file that stands for itself, with pictures; a sheet begins a page when it is printed.
    Html,
    /// One JSON object; the same for every sheet.
    Json,
}

/// A part of a document. Text stands for itself: formats escape it.
#[derive(Clone, PartialEq, Debug)]
pub enum Block {
    /// A sheet begins.
    Sheet(Sheet),
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
    /// A line to be filled in by hand; behind `[ ] ` it has a box to tick.
    Blank(String),
    /// A source, which is printed small where that can be done.
    Source(String),
    /// A table; the first cell of a row names the row. Every row has as many cells as the head.
    Table {
        /// What stands in each column.
        head: Vec<String>,
        /// The rows.
        rows: Vec<Vec<String>>,
    },
    /// A picture. Formats without pictures keep its caption.
    Picture(Box<Picture>),
}

/// A document.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Document {
    /// The number of the case, for the foot of each printed page.
    pub number: String,
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

    fn source(&mut self, text: impl Into<String>) {
        self.blocks.push(Block::Source(text.into()));
    }

    fn table<const N: usize>(&mut self, head: [&str; N], rows: Vec<[String; N]>) {
        self.blocks.push(Block::Table {
            head: head.map(str::to_owned).to_vec(),
            rows: rows.into_iter().map(|row| row.to_vec()).collect(),
        });
    }

    /// Returns the document as unwrapped lines, each with whether it is a heading and the level that it tells of.
    pub fn lines(&self) -> impl Iterator<Item = (String, bool, Option<Level>)> + '_ {
        self.blocks.iter().flat_map(|block| match block {
            Block::Sheet(_) => Vec::new(),
            Block::Title(text) | Block::Heading(text) => vec![(text.clone(), true, None)],
            Block::Text(text) => vec![(text.clone(), false, None)],
            Block::Source(text) => vec![(format!("- {text}"), false, None)],
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
            Block::Table { head, rows } => rows
                .iter()
                .map(|row| (row_as_line(head, row), false, None))
                .collect(),
            Block::Picture(picture) => vec![(picture.caption.clone(), false, None)],
        })
    }

    /// Returns the document as plain text.
    pub fn to_text(&self) -> String {
        plain::text(self)
    }

    /// Returns the document as an HTML file.
    ///
    /// # Errors
    /// The template could not be filled, which its types should not let happen.
    pub fn to_html(&self) -> Result<String, askama::Error> {
        html::html(self)
    }

    /// Returns the document as Markdown.
    pub fn to_markdown(&self) -> String {
        markdown::markdown(self)
    }
}

/// Says a row of a table where a table has no room: its name, then what stands in each column.
///
/// A table that is wider than a print of 78 columns, or than a narrow screen, reads worse than the same cells in a
/// sentence.
fn row_as_line(head: &[String], row: &[String]) -> String {
    let name = row.first().map_or("", String::as_str);
    let cells: Vec<String> = head
        .iter()
        .zip(row)
        .skip(1)
        .filter(|(_, cell)| !cell.is_empty())
        .map(|(head, cell)| format!("{head} {cell}"))
        .collect();
    format!("{name}: {}", cells.join(", "))
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
    /// Standing instructions that hold.
    pub instructions: &'a [Instruction],
    /// Options for what was found; none where they were not worked out.
    pub ways: Option<&'a [CaseOption]>,
    /// The day it is printed; none where that is to be left out.
    pub today: Option<Date>,
    /// Whose sheets these are.
    pub imprint: Imprint<'a>,
}

/// Whose sheets these are: the laboratory, the person at the bench, the time of printing.
#[derive(Clone, Copy, PartialEq, Default, Debug)]
pub struct Imprint<'a> {
    /// The laboratory, or `None` if its settings name none.
    pub laboratory: Option<&'a Laboratory>,
    /// The code of the person at the bench.
    pub who: Option<&'a str>,
    /// When it is printed, in local time, shown to the minute; `None` leaves the line out.
    pub printed: Option<DateTime>,
}

/// The laboratory as it stands on its sheets.
#[derive(Clone, PartialEq, Eq, Default, Debug)]
pub struct Laboratory {
    /// Its name.
    pub name: Option<String>,
    /// The lines of its address.
    pub address: Vec<String>,
}

impl Told<'_> {
    /// Works out how far the case is.
    fn state(self) -> CaseState {
        CaseState::of(
            self.facts,
            self.judgement,
            self.phrase,
            self.beside.instructions,
        )
    }

    /// Adds the boxes to what only the dentist can tell: its choices, or a line; and that it is not known.
    fn tell_boxes(self, document: &mut Document, tell: &Tell) {
        let flow = self.phrase.flow;
        let choices: Vec<String> = match flow.spec(&tell.spot.fact).map(|spec| &spec.kind) {
            Some(Kind::YesNo) => vec!["yes".to_owned(), "no".to_owned()],
            Some(kind @ (Kind::Choice(_) | Kind::Listed(_))) => flow
                .choices(kind)
                .into_iter()
                .map(|(_, words)| words)
                .collect(),
            _ => Vec::new(),
        };
        if choices.is_empty() {
            document.blank("   Answer");
        }
        for choice in choices {
            document.point("   [ ]", None, choice, Vec::new());
        }
        document.point("   [ ]", None, "not known", Vec::new());
    }

    /// Says the value of a fact at a place; none where it has none.
    fn said(self, fact: FactId, at: Place) -> Option<String> {
        self.phrase.fact(self.facts, &Spot { fact, at })
    }

    /// Says the value of a fact at a place, or that it is still to find out.
    fn said_or_open(self, fact: FactId, at: Place) -> String {
        self.said(fact, at)
            .unwrap_or_else(|| words::STILL_TO_FIND_OUT.to_owned())
    }

    /// Returns the laboratory, if its settings name one.
    fn laboratory(&self) -> Option<&Laboratory> {
        self.beside.imprint.laboratory
    }

    /// Returns the codes of those who gave the answers, or else of the person at the bench.
    fn inspected_by(self) -> Vec<String> {
        let mut codes: Vec<String> = Vec::new();
        for (_, _, reading) in self.facts.case().layers() {
            if let Some(who) = &reading.who
                && !codes.contains(who)
            {
                codes.push(who.clone());
            }
        }
        if codes.is_empty() {
            codes.extend(self.beside.imprint.who.map(str::to_owned));
        }
        codes
    }

    /// Says whose sheet it is, when it was printed, and who inspected; `None` if it has no time of printing.
    fn stamp(self) -> Option<String> {
        let Imprint {
            laboratory,
            printed,
            ..
        } = self.beside.imprint;
        let printed = printed?;
        let name = laboratory.and_then(|laboratory| laboratory.name.as_ref());
        let mut said: Vec<String> = name.cloned().into_iter().collect();
        said.push(format!("Printed {}", words::minute_in_words(printed)));
        let who = self.inspected_by();
        if !who.is_empty() {
            said.push(format!("Inspected by {}", who.join(", ")));
        }
        Some(format!("{}.", said.join(". ")))
    }
}

/// Puts sheets together.
pub fn document(told: Told<'_>, sheets: &[Sheet]) -> Document {
    let mut document = Document {
        number: told.facts.case().number.clone(),
        blocks: Vec::new(),
    };
    for sheet in sheets {
        document.blocks.push(Block::Sheet(*sheet));
        let from = document.blocks.len();
        match sheet {
            Sheet::Summary => summary::add(&mut document, told),
            Sheet::Call => call::add(&mut document, told),
            Sheet::Ticket => ticket::add(&mut document, told),
            Sheet::Seating => seating::add(&mut document, told),
            Sheet::Letter => letter::add(&mut document, told),
        }
        // A letter has its date where letters have it.
        if *sheet != Sheet::Letter
            && let Some(stamp) = told.stamp()
        {
            let title = |block: &Block| matches!(block, Block::Title(_));
            let blocks = document.blocks.get(from..).unwrap_or_default();
            let under = blocks
                .iter()
                .position(title)
                .map_or(from, |at| from + at + 1);
            document.blocks.insert(under, Block::Text(stamp));
        }
    }
    document
}

/// Why a print could not be made. Neither comes of a case's values.
#[derive(Debug)]
pub enum PrintError {
    /// A figure that JSON cannot write.
    Json(serde_json::Error),
    /// The HTML template could not be filled.
    Html(askama::Error),
}

impl fmt::Display for PrintError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            PrintError::Json(error) => write!(f, "{error}"),
            PrintError::Html(error) => write!(f, "{error}"),
        }
    }
}

impl std::error::Error for PrintError {}

/// Prints sheets in a format. JSON is the whole judgement whatever the sheet.
///
/// # Errors
/// A figure that JSON cannot write, or a template that cannot be filled; none of the values that are kept does that.
pub fn print(told: Told<'_>, sheets: &[Sheet], format: Format) -> Result<String, PrintError> {
    Ok(match format {
        Format::Text => document(told, sheets).to_text(),
        Format::Markdown => document(told, sheets).to_markdown(),
        Format::Html => document(told, sheets).to_html().map_err(PrintError::Html)?,
        Format::Json => json(told).map_err(PrintError::Json)?,
    })
}
