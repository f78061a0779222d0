//! Reads RON text with positions and reports problems in words for people.
//!
//! A [`Source`] holds the text. [`parse`] reads it into any shape that serde can read; [`Spanned`] keeps a value's place
//! with it, [`Raw`] keeps a list's element unread until [`parse_raw`], so that the errors of all elements can be listed.
//! Every problem is a [`Diagnostic`] with a stable code out of [`CODES`].
//!
//! This room knows RON and nothing of what the files are about.
//!
//! It is a crate of its own since cases, flows and settings need the same positions and the same plain words. It knows
//! RON and nothing else.

mod brackets;
mod diagnostic;
mod kind;
mod source;
mod spanned;
mod syntax;
mod wording;

pub use diagnostic::{Diagnostic, Severity, nearest};
pub use source::{MAX_BYTES, Source, Span};
pub use spanned::{Raw, Spanned};

use ron::extensions::Extensions;
use serde::Deserialize;
use spanned::{Carried, options};

/// The codes of this room, each with its meaning in one line.
pub const CODES: &[(&str, &str)] = &[
    ("ron-too-large", "The file is larger than what is read."),
    ("ron-not-utf8", "The file is not saved as UTF-8."),
    (
        "ron-empty",
        "The file has no content, or nothing but comments.",
    ),
    (
        "ron-attribute",
        "A line that begins with `#` is not understood or not allowed.",
    ),
    (
        "ron-typographic-quote",
        "A typographic quotation mark stands where only a straight one counts.",
    ),
    (
        "ron-single-quotes",
        "A text stands in single quotation marks.",
    ),
    ("ron-unclosed-text", "A text has no closing quotation mark."),
    (
        "ron-quote-in-text",
        "A quotation mark inside a text ends it too early.",
    ),
    (
        "ron-unclosed-comment",
        "A comment that begins with `/*` is never closed.",
    ),
    (
        "ron-unclosed-bracket",
        "A bracket is still open at the end of the file.",
    ),
    (
        "ron-wrong-bracket",
        "A closing bracket does not fit the one that is open.",
    ),
    ("ron-stray-bracket", "A closing bracket closes nothing."),
    (
        "ron-too-deep",
        "Brackets stand inside brackets too many times over.",
    ),
    (
        "ron-decimal-comma",
        "A number is written with a decimal comma.",
    ),
    (
        "ron-missing-comma",
        "Two values or fields have no comma between them.",
    ),
    ("ron-extra-comma", "A comma has nothing before it."),
    (
        "ron-missing-colon",
        "A field's name has no colon behind it.",
    ),
    (
        "ron-trailing",
        "Something follows behind the end of the content.",
    ),
    (
        "ron-unexpected-character",
        "A character has no meaning where it stands.",
    ),
    ("ron-unknown-field", "A field's name is not known."),
    ("ron-missing-field", "A field that is needed is not there."),
    ("ron-duplicate-field", "A field is given twice."),
    (
        "ron-unknown-name",
        "A name is none of those that can stand there.",
    ),
    (
        "ron-other-name",
        "The name before a bracket is not the one expected.",
    ),
    (
        "ron-name-expected",
        "A value lacks the name and brackets that belong around it.",
    ),
    ("ron-quoted-name", "A name stands in quotation marks."),
    (
        "ron-bad-name",
        "What should be a name has characters that no name has.",
    ),
    ("ron-text-without-quotes", "A text has no quotation marks."),
    (
        "ron-wrong-type",
        "A value is of another sort than the one expected.",
    ),
    (
        "ron-not-a-number",
        "What should be a number cannot be read as one.",
    ),
    (
        "ron-number-range",
        "A number is too small or too large for what it stands for.",
    ),
    (
        "ron-escape",
        "A backslash in a text is followed by something without meaning.",
    ),
    (
        "ron-brackets-expected",
        "A name needs values in brackets behind it.",
    ),
    (
        "ron-no-values-expected",
        "A name that stands alone has brackets behind it.",
    ),
    (
        "ron-too-many-values",
        "There are more values in brackets than can stand there.",
    ),
    (
        "ron-too-few-values",
        "There are fewer values in brackets than are needed.",
    ),
    (
        "ron-refused",
        "A value has the right form but is not allowed.",
    ),
];

/// Reads a whole source.
///
/// # Errors
/// The first problem that keeps the text from being read as a `T`.
pub fn parse<'s, T: Deserialize<'s>>(source: &'s Source) -> Result<T, Diagnostic> {
    let length = source.text().len();
    if length > MAX_BYTES {
        return Err(source::too_large(source.name(), length));
    }
    allowed(source)?;
    read(source, source.padded())
}

/// Refuses what would be on for the file but off for its elements: they are read again without it.
fn allowed(source: &Source) -> Result<(), Diagnostic> {
    let Ok(reader) = ron::Deserializer::from_str_with_options(source.padded(), &options()) else {
        return Ok(());
    };
    let others = reader.extensions() - Extensions::IMPLICIT_SOME;
    let Some((name, _)) = others.iter_names().next() else {
        return Ok(());
    };
    let name = name.to_lowercase();
    let start = source.text().find(&name).unwrap_or_default();
    Err(wording::attribute(
        source,
        start..start + name.len(),
        Some(&name),
    ))
}

/// Reads one raw element of a source.
///
/// # Errors
/// The first problem that keeps the element from being read as a `T`.
pub fn parse_raw<'s, T: Deserialize<'s>>(
    source: &'s Source,
    raw: Raw<'s>,
) -> Result<T, Diagnostic> {
    read(source, raw.text())
}

/// Reads one raw element of a source as [`parse_raw`] does, also where it carries the name its type had before.
///
/// # Errors
/// The first problem that keeps the element from being read as a `T`.
pub fn parse_raw_formerly<'s, T: Deserialize<'s>>(
    source: &'s Source,
    raw: Raw<'s>,
    former: &str,
) -> Result<T, Diagnostic> {
    // RON lets the name of a struct be left out, so that the old one is simply not read.
    let nameless = raw.text().strip_prefix(former);
    let nameless = nameless.filter(|rest| rest.trim_start().starts_with('('));
    read(source, nameless.unwrap_or(raw.text()))
}

fn read<'s, T: Deserialize<'s>>(source: &Source, text: &'s str) -> Result<T, Diagnostic> {
    options().from_str(text).map_err(|error| {
        let carried = Carried::new(text, error);
        wording::reword(source, carried.span(source), &carried.kind)
    })
}

/// Whether a number is one that can be measured.
///
/// RON reads `NaN`, `inf` and `1e999` (as infinity) without an error, so whoever reads a number asks this.
pub fn finite(number: f64) -> bool {
    number.is_finite()
}
