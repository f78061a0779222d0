//! Markdown as a manual page: headings, paragraphs, lists, examples and, in place of a paragraph `{name}`, a table.

use clap_mangen::roff::{Inline, Roff, bold, italic, roman};
use pulldown_cmark::{Event, Parser, Tag, TagEnd};

use super::tables::{Line, table};
use crate::error::{Error, Trouble};
use crate::phrase::program::command_line::manual as says;

/// Appends a Markdown text, without its title, to a page.
///
/// # Errors
/// A paragraph names a table that there is not.
pub(super) fn put(text: &str, page: &mut Roff) -> Result<(), Error> {
    let mut writer = Writer {
        page,
        line: Vec::new(),
        font: Font::Roman,
        items: Vec::new(),
        begun: false,
        verbatim: false,
        title: false,
    };
    for event in Parser::new(text) {
        writer.take(event)?;
    }
    Ok(())
}

/// Returns the title of a Markdown text, its first line without the sign.
pub(super) fn title(text: &str) -> &str {
    text.lines().next().unwrap_or("").trim_start_matches("# ")
}

#[derive(Clone, Copy)]
enum Font {
    Roman,
    Bold,
    Italic,
}

struct Writer<'p> {
    page: &'p mut Roff,
    /// What of the paragraph or heading has been read.
    line: Vec<Inline>,
    font: Font,
    /// The number of the next item of each list that is open; none in a list without numbers.
    items: Vec<Option<u64>>,
    /// An item was begun and nothing was written of it yet.
    begun: bool,
    /// Within an example.
    verbatim: bool,
    /// Within the title of the whole text.
    title: bool,
}

impl Writer<'_> {
    fn take(&mut self, event: Event<'_>) -> Result<(), Error> {
        match event {
            Event::Start(Tag::Heading { level, .. }) => {
                self.title = level == pulldown_cmark::HeadingLevel::H1;
            }
            Event::End(TagEnd::Heading(level)) => {
                let text = self.plain();
                if !self.title {
                    let section = level == pulldown_cmark::HeadingLevel::H2;
                    self.head(section, &text);
                }
                self.title = false;
            }
            Event::End(TagEnd::Paragraph) => return self.paragraph(),
            Event::Start(Tag::CodeBlock(_)) => {
                self.flush();
                self.verbatim = true;
                self.page.control("PP", []);
                self.page.control("RS", ["4"]);
                self.page.control("nf", []);
            }
            Event::End(TagEnd::CodeBlock) => {
                self.verbatim = false;
                self.page.control("fi", []);
                self.page.control("RE", []);
            }
            Event::Start(Tag::List(first)) => {
                self.flush();
                if !self.items.is_empty() {
                    self.page.control("RS", ["4"]);
                }
                self.items.push(first);
            }
            Event::End(TagEnd::List(_)) => {
                self.items.pop();
                if !self.items.is_empty() {
                    self.page.control("RE", []);
                }
            }
            Event::Start(Tag::Item) => self.item(),
            Event::End(TagEnd::Item) => self.flush(),
            Event::Start(Tag::Strong) => self.font = Font::Bold,
            Event::Start(Tag::Emphasis) => self.font = Font::Italic,
            Event::End(TagEnd::Strong | TagEnd::Emphasis) => self.font = Font::Roman,
            Event::Text(text) if self.verbatim => {
                for line in text.lines() {
                    self.page.text([roman(line)]);
                }
            }
            Event::Text(text) => {
                let text = text.into_string();
                self.line.push(match self.font {
                    Font::Roman => roman(text),
                    Font::Bold => bold(text),
                    Font::Italic => italic(text),
                });
            }
            Event::Code(text) => self.line.push(bold(text.into_string())),
            Event::SoftBreak | Event::HardBreak => self.line.push(roman(" ")),
            // Comments mark what a test compares; nothing else is used in these texts.
            _ => {}
        }
        Ok(())
    }

    fn head(&mut self, section: bool, text: &str) {
        if section {
            let text = text.to_uppercase();
            self.page.control("SH", [text.as_str()]);
        } else {
            self.page.control("SS", [text]);
        }
    }

    /// Begins an item of a list.
    fn item(&mut self) {
        self.flush();
        let tag = match self.items.last_mut() {
            Some(Some(number)) => {
                let tag = format!("{number}.");
                *number += 1;
                tag
            }
            _ => "\\(bu".to_owned(),
        };
        self.page.control("IP", [tag.as_str(), "4"]);
        self.begun = true;
    }

    fn paragraph(&mut self) -> Result<(), Error> {
        let text = self.line.iter().map(said).collect::<String>();
        let named = text
            .strip_prefix('{')
            .and_then(|text| text.strip_suffix('}'));
        let Some(name) = named else {
            if !self.begun {
                let control = if self.items.is_empty() { "PP" } else { "IP" };
                self.page.control(control, []);
            }
            self.flush();
            return Ok(());
        };
        self.line.clear();
        let Some(lines) = table(name)? else {
            return Err(Error::new(Trouble::Bug, says::no_table(name)));
        };
        for line in lines {
            match line {
                Line::Head(text) => self.head(false, &text),
                Line::Row(tag, text) => {
                    self.page.control("TP", []);
                    self.page.text([bold(tag)]);
                    self.page.text(with_names(&text));
                }
            }
        }
        Ok(())
    }

    /// Writes what has been read as a line.
    fn flush(&mut self) {
        if !self.line.is_empty() {
            self.page.text(std::mem::take(&mut self.line));
            self.begun = false;
        }
    }

    /// Takes what has been read as text without fonts.
    fn plain(&mut self) -> String {
        std::mem::take(&mut self.line).iter().map(said).collect()
    }
}

fn said(inline: &Inline) -> &str {
    match inline {
        Inline::Roman(text) | Inline::Italic(text) | Inline::Bold(text) => text,
        Inline::LineBreak => " ",
    }
}

/// A text in which backquotes mark names.
fn with_names(text: &str) -> Vec<Inline> {
    let parts = text.split('`').enumerate();
    parts
        .filter(|(_, part)| !part.is_empty())
        .map(|(index, part)| match index % 2 {
            0 => roman(part),
            _ => bold(part),
        })
        .collect()
}
