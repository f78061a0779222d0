//! Values with their places, and list elements kept raw.

use std::fmt;

use ron::value::RawValue;
use serde::{Deserialize, Deserializer, de};

use super::kind::Kind;
use super::source::{Source, Span, offset_of};
use super::syntax;

/// The options that every reader uses.
///
/// Elements read again from their raw text lose what the file itself enables, so `implicit_some` is always on.
pub(super) fn options() -> ron::Options {
    ron::Options::default().with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME)
}

/// A value with its place in the source it was read from.
///
/// It reads from RON text only. It does not work inside `#[serde(untagged)]`, internally tagged or flattened shapes:
/// serde buffers those, and the place is lost.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
pub struct Spanned<T> {
    /// The value itself.
    pub value: T,
    // An address in memory, not an offset: a value read again from a raw piece does not know where the piece starts.
    address: usize,
    length: usize,
}

impl<T> Spanned<T> {
    /// Where the value stands in its source, without comments and blanks around it.
    ///
    /// For a value from another source the answer lies inside the file but means nothing.
    pub fn span(&self, source: &Source) -> Span {
        span_of(source, self.address, self.length)
    }
}

impl<T: fmt::Debug> fmt::Debug for Spanned<T> {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        // The address differs from run to run and would spoil every comparison of printed values.
        self.value.fmt(formatter)
    }
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for Spanned<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = syntax::trim(<&'de RawValue>::deserialize(deserializer)?.get_ron());
        let value = options()
            .from_str(text)
            .map_err(|error| de::Error::custom(Carried::new(text, error).pack()))?;
        Ok(Spanned {
            value,
            address: text.as_ptr() as usize,
            length: text.len(),
        })
    }
}

/// A list element kept raw, so that the errors of every element are reported and not just the first one's.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Raw<'s>(&'s RawValue);

impl<'s> Raw<'s> {
    /// The text of the element, without comments and blanks around it.
    pub fn text(&self) -> &'s str {
        syntax::trim(self.0.get_ron())
    }

    /// Where the element stands in its source.
    pub fn span(&self, source: &Source) -> Span {
        let text = self.text();
        span_of(source, text.as_ptr() as usize, text.len())
    }
}

impl<'de: 's, 's> Deserialize<'de> for Raw<'s> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        <&'de RawValue>::deserialize(deserializer).map(Raw)
    }
}

fn span_of(source: &Source, address: usize, length: usize) -> Span {
    let start = source.offset_of_address(address);
    let end = source.offset_of_address(address.saturating_add(length));
    source.clamp(start..end)
}

/// An error of ron with the addresses it is about, in a form that passes through ron's own error type.
#[derive(Clone, Debug, serde::Serialize, serde::Deserialize)]
pub(super) struct Carried {
    start: usize,
    end: usize,
    pub(super) kind: Kind,
}

/// Begins a message that carries a place. A file that forged it would only mislead about its own error: addresses are
/// clamped to the file, and the words are ours.
const MARK: &str = "\u{0}place\u{0}";

impl Carried {
    /// Takes an error from reading `text`; when it carries an inner one, the inner one is taken.
    pub(super) fn new(text: &str, error: ron::error::SpannedError) -> Carried {
        if let ron::Error::Message(message) = &error.code
            && let Some(inner) = Carried::unpack(message)
        {
            return inner;
        }
        let base = text.as_ptr() as usize;
        Carried {
            start: base + offset_of(text, error.span.start.line, error.span.start.col),
            end: base + offset_of(text, error.span.end.line, error.span.end.col),
            kind: Kind::from(error.code),
        }
    }

    /// Where the error is in the source.
    pub(super) fn span(&self, source: &Source) -> Span {
        let start = source.offset_of_address(self.start);
        let end = source.offset_of_address(self.end);
        source.clamp(start..end)
    }

    fn pack(&self) -> String {
        let body = serde_json::to_string(self).unwrap_or_default();
        format!("{MARK}{body}")
    }

    fn unpack(message: &str) -> Option<Carried> {
        serde_json::from_str(message.strip_prefix(MARK)?).ok()
    }
}
