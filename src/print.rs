//! Prints: sheets as documents, these as text, Markdown or HTML, the judgement as JSON.
//!
//! A new sheet is one file and one arm of [`document`]; a new format is one file and one arm of [`Format`].

mod call;
mod compared;
pub mod drills;
pub mod follow_up;
mod html;
pub mod json;
mod leaf;
mod letter;
mod markdown;
mod options;
mod picture;
mod plain;
mod questions;
pub mod rates;
pub mod replay;
mod seating;
mod standing;
mod summary;
mod ticket;
pub mod trial;

use std::fmt;

use clap::ValueEnum;
use jiff::civil::{Date, DateTime};

use crate::call::Tell;
use crate::case::before::Earlier;
use crate::case::instruction::Instruction;
use crate::derive::Facts;
use crate::fact::{FactId, Kind, NOT_SAID, ORDER_DUE, ORDER_PROMISED, Place, Spot};
use crate::flow::Level;
use crate::judge::Judgement;
use crate::judge::doubt::Doubt;
use crate::options::CaseOption;
use crate::phrase::program::values;
use crate::phrase::{Phrase, sheets, words};
use crate::state::CaseState;

pub use json::json;
pub use leaf::Leaf;
pub use picture::Picture;
pub(crate) use picture::label_words;

/// What is printed.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub enum Sheet {
    /// What was found, on a page.
    #[value(help = values::SHEET_SUMMARY)]
    Summary,
    /// The checklist for the phone.
    #[value(help = values::SHEET_CALL)]
    Call,
    /// The work ticket for the bench.
    #[value(help = values::SHEET_TICKET)]
    Ticket,
    /// How it is seated, for the dentist.
    #[value(help = values::SHEET_SEATING)]
    Seating,
    /// The letter to the dentist.
    #[value(help = values::SHEET_LETTER)]
    Letter,
}

impl Sheet {
    /// Every sheet, in the order of the work: found, asked, written, made, seated.
    pub const ALL: [Sheet; 5] = [
        Sheet::Summary,
        Sheet::Call,
        Sheet::Letter,
        Sheet::Ticket,
        Sheet::Seating,
    ];

    /// Returns its name on the command line and in file names.
    pub fn name(self) -> &'static str {
        match self {
            Sheet::Summary => "summary",
            Sheet::Call => "call",
            Sheet::Ticket => "ticket",
            Sheet::Seating => "seating",
            Sheet::Letter => "letter",
        }
    }

    /// Returns its name at the foot of each printed page.
    pub fn title(self) -> &'static str {
        match self {
            Sheet::Summary => sheets::SUMMARY,
            Sheet::Call => sheets::CALL,
            Sheet::Ticket => sheets::TICKET,
            Sheet::Seating => sheets::SEATING,
            Sheet::Letter => sheets::LETTER,
        }
    }
}

/// How it is printed.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub enum Format {
    /// Plain text, 78 columns.
    #[value(help = values::FORMAT_TEXT)]
    Text,
    /// Markdown.
    #[value(help = values::FORMAT_MARKDOWN)]
    Markdown,
    /// One HTML file that stands for itself, with pictures; a sheet begins a page when it is printed.
    #[value(help = values::FORMAT_HTML)]
    Html,
    /// One JSON object; the same for every sheet.
    #[value(help = values::FORMAT_JSON)]
    Json,
}

/// A part of a document. Its texts are plain: formats escape them.
#[derive(Clone, PartialEq, Debug)]
pub enum Block {
    /// A sheet begins.
    Sheet(Sheet),
    /// A page begins on which no sheet does.
    Page,
    /// The title.
    Title(String),
    /// A heading.
    Heading(String),
    /// A paragraph.
    Text(String),
    /// A point of a list.
    Point {
        /// The mark or number before the text.
        mark: String,
        /// The level of what it tells, if it has one.
        level: Option<Level>,
        /// The text.
        text: String,
        /// Lines under it.
        under: Vec<String>,
    },
    /// A line to be filled in by hand; with `[ ] ` before its label it has a box to tick.
    Blank(String),
    /// A source; HTML prints it small.
    Source(String),
    /// A table; the first cell of a row names the row. Every row has as many cells as the head.
    Table {
        /// The heads of the columns.
        head: Vec<String>,
        /// The rows.
        rows: Vec<Vec<String>>,
    },
    /// A picture; formats without pictures print its caption if that tells something by itself.
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

    /// Adds a paragraph, where there is one.
    pub fn add_text(&mut self, text: Option<String>) {
        self.blocks.extend(text.map(Block::Text));
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

    /// Adds a box to tick below a question.
    fn tick(&mut self, text: impl Into<String>) {
        self.point("   [ ]", None, text, Vec::new());
    }

    /// Adds a line for the answer to a question.
    fn answer(&mut self) {
        self.blank(format!("   {}", sheets::ANSWER));
    }

    /// Adds a label with its value, or with a line to fill in.
    fn filled(&mut self, label: &str, value: Option<String>) {
        match value {
            Some(value) => self.text(sheets::labelled(label, &value)),
            None => self.blank(label),
        }
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

    /// Returns the document as unwrapped lines, each with whether it is a heading and with the level of what it tells.
    pub fn lines(&self) -> impl Iterator<Item = (String, bool, Option<Level>)> + '_ {
        self.blocks.iter().flat_map(|block| match block {
            Block::Sheet(_) | Block::Page => Vec::new(),
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
            Block::Picture(picture) if !picture.tells => Vec::new(),
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
    /// Returns an error if the template cannot be filled; its types should not allow that.
    pub fn to_html(&self) -> Result<String, askama::Error> {
        html::html(self)
    }

    /// Returns the document as Markdown.
    pub fn to_markdown(&self) -> String {
        markdown::markdown(self)
    }
}

/// Returns a row of a table as a line, for lack of width: its name, then each column's head and cell.
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
        .map(|(head, cell)| format!("{head} {cell}").trim_start().to_owned())
        .collect();
    format!("{name}: {}", cells.join(", "))
}

/// What the sheets are printed from.
#[derive(Clone, Copy)]
pub struct Told<'a> {
    /// The facts.
    pub facts: &'a Facts<'a>,
    /// What was found.
    pub judgement: &'a Judgement,
    /// How far the readings can be trusted, or `None` while that is computed.
    pub doubt: Option<&'a Doubt>,
    /// The texts and the notation.
    pub phrase: Phrase<'a>,
    /// What is printed beside the judgement.
    pub beside: Beside<'a>,
}

/// What is printed beside a judgement and never changes it.
#[derive(Clone, Copy, Default)]
pub struct Beside<'a> {
    /// Standing instructions that hold.
    pub instructions: &'a [Instruction],
    /// Options for what was found, or `None` if they were not computed.
    pub ways: Option<&'a [CaseOption]>,
    /// The day of printing, or `None` to leave it out.
    pub today: Option<Date>,
    /// The cases that came back and are made again in this one.
    pub earlier: &'a [Earlier],
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
    /// Which state of the case in the archive it shows, or `None` for a case that is in none.
    pub record: Option<Record<'a>>,
}

/// Which state of a case in the archive a sheet shows.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Record<'a> {
    /// The archive was asked, and this is what it has.
    From {
        /// How many entries.
        entry: u64,
        /// The hash that they end with.
        root: &'a str,
    },
    /// So many answers on it are not in the archive.
    NotSaved(usize),
    /// The archive could not be asked.
    NotChecked,
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
    /// Returns how far the case is.
    fn state(self) -> CaseState {
        CaseState::of(
            self.facts,
            self.judgement,
            self.phrase,
            self.beside.instructions,
        )
    }

    /// Adds the boxes to a question that only the dentist can answer: its choices, or a line; and that it is not known.
    fn tell_boxes(self, document: &mut Document, tell: &Tell) {
        let flow = self.phrase.flow;
        let choices: Vec<String> = match flow.spec(&tell.spot.fact).map(|spec| &spec.kind) {
            Some(Kind::YesNo) => vec![words::YES.to_owned(), words::NO.to_owned()],
            Some(kind @ (Kind::Choice(_) | Kind::Listed(_))) => flow
                .choices(kind)
                .into_iter()
                // That the order does not say it is no answer of the dentist's.
                .filter(|(id, _)| id != NOT_SAID)
                .map(|(_, words)| words)
                .collect(),
            _ => Vec::new(),
        };
        if choices.is_empty() {
            document.answer();
        }
        for choice in choices {
            document.tick(choice);
        }
        document.tick(sheets::NOT_KNOWN);
    }

    /// Returns the value of a fact at a place in words, or `None` if it has none.
    fn said(self, fact: FactId, at: Place) -> Option<String> {
        self.phrase.fact(self.facts, &Spot { fact, at })
    }

    /// Returns the value of a fact at a place in words, or that it is not known yet.
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
        for (spot, _, reading) in self.facts.case().layers() {
            // Whoever entered a day of the work has inspected nothing by that.
            let is_day = [ORDER_DUE, ORDER_PROMISED].contains(&spot.fact);
            if let Some(who) = &reading.who
                && !is_day
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

    /// Returns whose sheet it is, when it was printed, and who inspected; `None` if it has no time of printing.
    fn stamp(self) -> Option<String> {
        let Imprint {
            laboratory,
            printed,
            ..
        } = self.beside.imprint;
        let printed = printed?;
        let name = laboratory.and_then(|laboratory| laboratory.name.as_ref());
        let mut said: Vec<String> = name.cloned().into_iter().collect();
        said.push(sheets::printed(printed));
        let who = self.inspected_by();
        if !who.is_empty() {
            said.push(sheets::inspected_by(&who));
        }
        Some(format!("{}.", said.join(". ")))
    }
}

/// Returns a document of these sheets.
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
        // A letter has its date in its head.
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
        match told.beside.imprint.record {
            Some(Record::From { entry, root }) => {
                document.text(sheets::from_entry(entry, root));
            }
            Some(Record::NotSaved(answers)) => {
                let first = Block::Text(sheets::not_saved(answers));
                document.blocks.insert(from, first);
            }
            Some(Record::NotChecked) => {
                let first = Block::Text(sheets::NOT_CHECKED.to_owned());
                document.blocks.insert(from, first);
            }
            None => {}
        }
    }
    document
}

/// Why a print could not be made. No value of a case leads to either.
#[derive(Debug)]
pub enum PrintError {
    /// A figure that JSON cannot represent.
    Json(serde_json::Error),
    /// The HTML template cannot be filled.
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

/// Prints sheets in a format. JSON is the whole judgement, whatever the sheets.
///
/// # Errors
/// Returns an error if JSON cannot represent a figure or the template cannot be filled; no value of a case leads to either.
pub fn print(told: Told<'_>, sheets: &[Sheet], format: Format) -> Result<String, PrintError> {
    Ok(match format {
        Format::Text => document(told, sheets).to_text(),
        Format::Markdown => document(told, sheets).to_markdown(),
        Format::Html => document(told, sheets).to_html().map_err(PrintError::Html)?,
        Format::Json => json(told).map_err(PrintError::Json)?,
    })
}
