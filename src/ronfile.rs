//! Reads RON text with positions and reports problems in words for people.
//!
//! A [`Source`] holds the text. [`parse`] reads it into any shape that serde can read; [`Spanned`] keeps a value's place
//! with it, [`Raw`] keeps a list's element unread until [`parse_raw`], so that the errors of all elements can be listed.
//! Every problem is a [`Diagnostic`] with a stable code out of [`CODES`].
//!
//! This room knows RON and nothing of what the files are about.

mod diagnostic;
mod source;
mod spanned;
mod syntax;
mod wording;

pub use diagnostic::{Diagnostic, Severity, nearest};
pub use source::{MAX_BYTES, Source, Span};
pub use spanned::{Raw, Spanned};

use serde::Deserialize;
use spanned::{Carried, options};

/// The codes of this room, each with its meaning in one line.
pub const CODES: &[(&str, &str)] = &[];

/// Reads a whole source.
///
/// # Errors
/// The first problem that keeps the text from being read as a `T`.
pub fn parse<'s, T: Deserialize<'s>>(source: &'s Source) -> Result<T, Diagnostic> {
    read(source, source.padded())
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
