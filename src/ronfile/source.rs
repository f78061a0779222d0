//! The text of one file and the places in it.

use super::diagnostic::{Diagnostic, Severity};

/// A range of byte offsets into the text of a [`Source`].
pub type Span = std::ops::Range<usize>;

/// The largest file that is read, in bytes.
pub const MAX_BYTES: usize = 4 * 1024 * 1024;

const BYTE_ORDER_MARK: char = '\u{FEFF}';

/// One text with the name it is shown by.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Source {
    name: String,
    // Always ends in a line feed of our own: `RawValue` refuses a line comment that ends with the file.
    padded: String,
}

impl Source {
    /// Takes a text that is already in memory; a byte order mark at its start is dropped.
    pub fn new(name: impl Into<String>, text: impl Into<String>) -> Source {
        let mut padded: String = text.into();
        if padded.starts_with(BYTE_ORDER_MARK) {
            padded.drain(..BYTE_ORDER_MARK.len_utf8());
        }
        padded.push('\n');
        Source {
            name: name.into(),
            padded,
        }
    }

    /// Takes the bytes of a file.
    ///
    /// # Errors
    /// A [`Diagnostic`] when there are more than [`MAX_BYTES`] bytes, or when they are not UTF-8; the latter names the
    /// line and column of the first byte that is not.
    pub fn from_bytes(name: impl Into<String>, bytes: Vec<u8>) -> Result<Source, Diagnostic> {
        let name = name.into();
        if bytes.len() > MAX_BYTES {
            return Err(too_large(&name, bytes.len()));
        }
        match String::from_utf8(bytes) {
            Ok(text) => Ok(Source::new(name, text)),
            Err(error) => Err(not_utf8(
                &name,
                error.as_bytes(),
                error.utf8_error().valid_up_to(),
            )),
        }
    }

    /// The name the text is shown by, usually a path.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The text, without a byte order mark.
    pub fn text(&self) -> &str {
        self.padded.strip_suffix('\n').unwrap_or(&self.padded)
    }

    /// Line and column of a byte offset, both from 1, the column in characters.
    ///
    /// An offset past the end counts as the end, one inside a character as its start.
    pub fn line_column(&self, offset: usize) -> (usize, usize) {
        line_column(self.text(), offset)
    }

    /// The text as ron reads it: with a line feed behind it.
    pub(super) fn padded(&self) -> &str {
        &self.padded
    }

    /// The offset of an address in memory; the nearest end of the text when it is not inside.
    pub(super) fn offset_of_address(&self, address: usize) -> usize {
        address
            .saturating_sub(self.padded.as_ptr() as usize)
            .min(self.text().len())
    }

    /// A span that lies inside the text and on the borders of characters.
    pub(super) fn clamp(&self, span: Span) -> Span {
        let start = floor_boundary(self.text(), span.start);
        let end = floor_boundary(self.text(), span.end);
        start..end.max(start)
    }
}

/// The largest border of a character that is not behind the offset.
pub(super) fn floor_boundary(text: &str, offset: usize) -> usize {
    let mut offset = offset.min(text.len());
    while !text.is_char_boundary(offset) {
        offset -= 1;
    }
    offset
}

/// The part of a text before an offset, which may lie anywhere.
pub(super) fn before(text: &str, offset: usize) -> &str {
    text.get(..floor_boundary(text, offset)).unwrap_or_default()
}

/// The part of a text from an offset on, which may lie anywhere.
pub(super) fn from(text: &str, offset: usize) -> &str {
    text.get(floor_boundary(text, offset)..).unwrap_or_default()
}

fn line_column(text: &str, offset: usize) -> (usize, usize) {
    let before = before(text, offset);
    let line_start = before.rfind('\n').map_or(0, |at| at + 1);
    let line = 1 + before.bytes().filter(|&byte| byte == b'\n').count();
    let column = 1 + from(before, line_start).chars().count();
    (line, column)
}

/// The byte offset of a line and a column as ron counts them: from 1, in characters.
pub(super) fn offset_of(text: &str, line: usize, column: usize) -> usize {
    let mut start = 0;
    for _ in 1..line {
        match from(text, start).find('\n') {
            Some(at) => start += at + 1,
            None => return text.len(),
        }
    }
    from(text, start)
        .char_indices()
        .nth(column.saturating_sub(1))
        .map_or(text.len(), |(at, _)| start + at)
}

pub(super) fn too_large(name: &str, bytes: usize) -> Diagnostic {
    Diagnostic {
        code: "ron-too-large",
        severity: Severity::Error,
        file: name.to_owned(),
        span: 0..0,
        line: 1,
        column: 1,
        what: format!("The file has {bytes} bytes; the most that is read is {MAX_BYTES}"),
        why: "this file is too large".to_owned(),
        help: vec!["Check that this is the file you meant, or divide it into several.".to_owned()],
    }
}

fn not_utf8(name: &str, bytes: &[u8], valid: usize) -> Diagnostic {
    let good = bytes
        .get(..valid)
        .and_then(|good| std::str::from_utf8(good).ok())
        .unwrap_or_default();
    let (line, column) = line_column(good, good.len());
    let wide = bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF]);
    let what = if wide {
        "The file is saved as UTF-16, not as UTF-8".to_owned()
    } else {
        let bad = bytes.get(valid).copied().unwrap_or_default();
        format!("The file is not saved as UTF-8: the byte {bad:#04X} fits no character")
    };
    Diagnostic {
        code: "ron-not-utf8",
        severity: Severity::Error,
        file: name.to_owned(),
        span: valid..valid,
        line,
        column,
        what,
        why: "the first byte that cannot be read".to_owned(),
        help: vec!["Save the file again in your editor with the encoding UTF-8.".to_owned()],
    }
}
