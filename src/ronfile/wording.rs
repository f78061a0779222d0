//! What ron found, in words for people.

use super::diagnostic::Diagnostic;
use super::source::{Source, Span};

/// An error of ron in a form of our own, which can be carried through ron's error type.
#[derive(Clone, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub(super) enum Kind {
    /// Any other, in ron's words.
    Other(String),
}

impl From<ron::Error> for Kind {
    fn from(error: ron::Error) -> Kind {
        Kind::Other(error.to_string())
    }
}

pub(super) fn reword(source: &Source, span: Span, kind: &Kind) -> Diagnostic {
    let Kind::Other(words) = kind;
    Diagnostic::error("ron-refused", source, span, words.clone(), "here")
}
