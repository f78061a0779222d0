//! The errors of ron in a form that can be carried through ron's own error type.

use ron::Error;
use serde::{Deserialize, Serialize};

/// What kind of value was expected.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(super) enum Wanted {
    Text,
    Number,
    Whole,
    YesNo,
    Character,
    Bytes,
    List,
    Map,
    Nothing,
    Optional,
    Range,
}

/// An error of ron, without its place.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(super) enum Kind {
    Wanted(Wanted),
    /// A name; what stands there instead when ron took it for a name with odd letters.
    Name(Option<String>),
    /// A round bracket, of a shape with a name or of one without.
    Bracket(Option<String>),
    Comma,
    /// The closing bracket of a group that has its number of values.
    End,
    Colon,
    Trailing,
    OtherName {
        expected: String,
        found: String,
    },
    UnknownName {
        known: Vec<String>,
        found: String,
    },
    UnknownField {
        known: Vec<String>,
        found: String,
        of: Option<String>,
    },
    MissingField {
        field: String,
        of: Option<String>,
    },
    DuplicateField {
        field: String,
    },
    Length {
        expected: String,
        found: usize,
    },
    NumberRange,
    BadNumber,
    Digit,
    Escape,
    Attribute(Option<String>),
    Character,
    TooDeep,
    /// The end of the text, of a string or of a comment.
    Cut,
    Value {
        expected: String,
        found: String,
    },
    /// Any other, in its own words.
    Other(String),
}

impl From<Error> for Kind {
    fn from(error: Error) -> Kind {
        match error {
            Error::NoSuchEnumVariant {
                expected, found, ..
            } => Kind::UnknownName {
                known: owned(expected),
                found,
            },
            Error::NoSuchStructField {
                expected,
                found,
                outer,
            } => Kind::UnknownField {
                known: owned(expected),
                found,
                of: outer,
            },
            Error::MissingStructField { field, outer } => Kind::MissingField {
                field: field.to_owned(),
                of: outer,
            },
            Error::DuplicateStructField { field, .. } => Kind::DuplicateField {
                field: field.to_owned(),
            },
            Error::ExpectedDifferentStructName { expected, found } => Kind::OtherName {
                expected: expected.to_owned(),
                found,
            },
            Error::ExpectedDifferentLength { expected, found } => Kind::Length { expected, found },
            Error::InvalidValueForType { expected, found } => Kind::Value { expected, found },
            Error::ExpectedNamedStructLike(name) if !name.is_empty() => {
                Kind::Bracket(Some(name.to_owned()))
            }
            Error::ExpectedStructName(name) => Kind::Bracket(Some(name)),
            Error::SuggestRawIdentifier(name) | Error::InvalidIdentifier(name) => {
                Kind::Name(Some(name))
            }
            Error::NoSuchExtension(name) => Kind::Attribute(Some(name)),
            other => plain(&other),
        }
    }
}

/// The errors that carry nothing to say.
fn plain(error: &Error) -> Kind {
    match error {
        Error::ExpectedString => Kind::Wanted(Wanted::Text),
        Error::ExpectedFloat => Kind::Wanted(Wanted::Number),
        Error::ExpectedInteger => Kind::Wanted(Wanted::Whole),
        Error::ExpectedBoolean => Kind::Wanted(Wanted::YesNo),
        Error::ExpectedChar => Kind::Wanted(Wanted::Character),
        Error::ExpectedByteString | Error::ExpectedByteLiteral => Kind::Wanted(Wanted::Bytes),
        Error::ExpectedArray => Kind::Wanted(Wanted::List),
        Error::ExpectedMap => Kind::Wanted(Wanted::Map),
        Error::ExpectedUnit => Kind::Wanted(Wanted::Nothing),
        Error::ExpectedOption => Kind::Wanted(Wanted::Optional),
        Error::ExpectedRangeSyntax => Kind::Wanted(Wanted::Range),
        Error::ExpectedIdentifier => Kind::Name(None),
        Error::ExpectedStructLike | Error::ExpectedNamedStructLike(_) => Kind::Bracket(None),
        Error::ExpectedComma => Kind::Comma,
        Error::ExpectedArrayEnd
        | Error::ExpectedMapEnd
        | Error::ExpectedOptionEnd
        | Error::ExpectedStructLikeEnd => Kind::End,
        Error::ExpectedMapColon => Kind::Colon,
        Error::TrailingCharacters => Kind::Trailing,
        Error::IntegerOutOfBounds => Kind::NumberRange,
        Error::FloatUnderscore | Error::UnderscoreAtBeginning => Kind::BadNumber,
        Error::InvalidIntegerDigit { .. } => Kind::Digit,
        Error::InvalidEscape(_) => Kind::Escape,
        Error::ExpectedAttribute | Error::ExpectedAttributeEnd => Kind::Attribute(None),
        Error::UnexpectedChar(_) => Kind::Character,
        Error::ExceededRecursionLimit => Kind::TooDeep,
        Error::Eof | Error::ExpectedStringEnd | Error::UnclosedBlockComment => Kind::Cut,
        other => Kind::Other(other.to_string()),
    }
}

fn owned(names: &[&str]) -> Vec<String> {
    names.iter().map(|&name| name.to_owned()).collect()
}
