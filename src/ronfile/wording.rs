//! What ron found, in words for people.

mod groups;
mod names;
mod values;

use super::brackets::fault;
use super::diagnostic::{Diagnostic, harmless};
use super::kind::{Kind, Wanted};
use super::source::{Source, Span};
use super::syntax::{Placed, Token, Tokens};

/// The problem behind an error of ron at a place of the source.
pub(super) fn reword(source: &Source, span: Span, kind: &Kind) -> Diagnostic {
    let tokens: Vec<Placed> = Tokens::new(source.text()).collect();
    let scene = Scene::new(source, span, &tokens);
    if *kind == Kind::TooDeep {
        return scene.too_deep();
    }
    if let Some(found) = fault(source, &tokens) {
        return found;
    }
    if is_empty(&tokens) && !matches!(kind, Kind::Attribute(_)) {
        return scene.empty();
    }
    if let Some(Token::Other(c)) = scene.here_token()
        && is_invisible(c)
    {
        return scene.invisible(c);
    }
    let comma = || scene.comma_after_nothing();
    let found = scene.decimal_comma(kind).or_else(comma);
    found.unwrap_or_else(|| scene.word(kind))
}

/// A place in a source and the tokens around it.
struct Scene<'s> {
    source: &'s Source,
    /// The range that ron walked before it gave up.
    span: Span,
    /// The token at the end of that range, or the first one behind it.
    here: Option<&'s Placed>,
    previous: Option<&'s Placed>,
    tokens: &'s [Placed],
    index: usize,
}

impl<'s> Scene<'s> {
    fn new(source: &'s Source, span: Span, tokens: &'s [Placed]) -> Self {
        let index = tokens.partition_point(|placed| placed.span.end <= span.end);
        Scene {
            source,
            here: tokens.get(index),
            previous: index.checked_sub(1).and_then(|index| tokens.get(index)),
            span,
            tokens,
            index,
        }
    }

    fn word(&self, kind: &Kind) -> Diagnostic {
        match kind {
            Kind::Wanted(wanted) => self.wrong_type(*wanted),
            Kind::Digit => self.wrong_type(Wanted::Whole),
            Kind::Name(found) => self.name(found.as_deref()),
            Kind::Bracket(name) => self.bracket(name.as_deref()),
            Kind::Comma | Kind::End | Kind::Trailing => self.no_end(kind),
            Kind::Colon => self.colon(),
            Kind::OtherName { expected, found } => self.other_name(expected, found),
            Kind::UnknownName { known, found } => self.unknown_name(known, found),
            Kind::UnknownField { known, found, of } => {
                self.unknown_field(known, found, of.as_deref())
            }
            Kind::MissingField { field, of } => self.missing_field(field, of.as_deref()),
            Kind::DuplicateField { field } => self.duplicate_field(field),
            Kind::Length { expected, found } => self.too_few(expected, *found),
            Kind::NumberRange => self.number_range(),
            Kind::BadNumber => self.bad_number(),
            Kind::Escape => self.escape(),
            Kind::Attribute(name) => self.attribute(name.as_deref()),
            Kind::Character => self.character(),
            Kind::TooDeep => self.too_deep(),
            Kind::Cut => self.refused("The text ends too early".to_owned()),
            Kind::Value { expected, found } => self.refused(format!(
                "{} is expected, found {}",
                capital(expected),
                plain_number(found)
            )),
            Kind::Other(words) => self.refused(words.clone()),
        }
    }

    fn error(
        &self,
        code: &'static str,
        span: Span,
        what: impl Into<String>,
        why: impl Into<String>,
    ) -> Diagnostic {
        Diagnostic::error(code, self.source, span, what, why)
    }

    fn text_of(&self, placed: &Placed) -> &'s str {
        self.source
            .text()
            .get(placed.span.clone())
            .unwrap_or_default()
    }

    /// The span of the token at the place, or an empty one there.
    fn here_span(&self) -> Span {
        self.here
            .map_or(self.span.end..self.span.end, |placed| placed.span.clone())
    }

    fn here_token(&self) -> Option<Token> {
        self.here.map(|placed| placed.token)
    }

    fn previous_token(&self) -> Option<Token> {
        self.previous.map(|placed| placed.token)
    }

    /// Whether ron stopped inside the token: it took a part of it and could not go on.
    fn inside(&self) -> bool {
        self.here
            .is_some_and(|placed| placed.span.start < self.span.end)
    }

    fn describe(&self) -> String {
        let Some(here) = self.here else {
            return "the end of the file".to_owned();
        };
        let text = shown(self.text_of(here));
        match here.token {
            Token::Number => format!("the number `{text}`"),
            Token::Text => format!("the text `{text}`"),
            Token::Word => format!("the name `{text}`"),
            Token::Comma => "a comma".to_owned(),
            Token::Colon => "a colon".to_owned(),
            Token::Open(_) => format!("the opening bracket `{text}`"),
            Token::Close(_) => format!("the closing bracket `{text}`"),
            _ => format!("the character `{text}`"),
        }
    }
}

/// The file as a whole.
impl Scene<'_> {
    fn too_deep(&self) -> Diagnostic {
        self.error(
            "ron-too-deep",
            self.here_span(),
            "Brackets stand inside brackets too many times over",
            "too deep",
        )
        .help("Divide what stands here into several parts, or look for brackets never closed.")
    }

    fn empty(&self) -> Diagnostic {
        self.error(
            "ron-empty",
            0..0,
            "The file is empty",
            "nothing to read here",
        )
        .help("Check that this is the file you meant and that it was saved.")
    }

    fn invisible(&self, c: char) -> Diagnostic {
        self.error(
            "ron-unexpected-character",
            self.here_span(),
            format!(
                "An invisible character (U+{:04X}) stands here",
                u32::from(c)
            ),
            "invisible, but not a plain blank",
        )
        .help("Delete it and type a blank. Word processors put such characters in.")
    }

    fn attribute(&self, name: Option<&str>) -> Diagnostic {
        attribute(self.source, self.span.clone(), name)
    }
}

/// The problem of an attribute that is not understood or not allowed.
pub(super) fn attribute(source: &Source, span: Span, name: Option<&str>) -> Diagnostic {
    let what = match name {
        Some(name) => format!("The setting `{}` is not allowed", shown(name)),
        None => "A line that begins with `#` must be `#![enable(implicit_some)]`".to_owned(),
    };
    Diagnostic::error("ron-attribute", source, span, what, "not understood")
        .help("Remove it: only `#![enable(implicit_some)]` is allowed, and it is never needed.")
        .help("A comment begins with `//`.")
}

/// Whether there is nothing but attributes.
fn is_empty(tokens: &[Placed]) -> bool {
    let mut rest = tokens.iter().map(|placed| placed.token);
    loop {
        match rest.next() {
            None => return true,
            Some(Token::Other('#')) => {}
            Some(_) => return false,
        }
        if !rest.any(|token| token == Token::Close(']')) {
            return false;
        }
    }
}

fn capital(words: &str) -> String {
    let mut chars = words.chars();
    let first = chars.next().map(|c| c.to_uppercase().to_string());
    first.unwrap_or_default() + chars.as_str()
}

/// Serde's words for a number, in ours.
fn plain_number(words: &str) -> String {
    words
        .replace("the unsigned integer", "the number")
        .replace("the signed integer", "the number")
        .replace("the floating point number", "the number")
        .replace("the string", "the text")
}

/// A piece of a file as it may be shown: short, and nothing that steers a terminal.
fn shown(text: &str) -> String {
    const MOST: usize = 40;
    let short: String = text.chars().take(MOST).collect();
    let more = if text.chars().nth(MOST).is_some() {
        "…"
    } else {
        ""
    };
    harmless(&short) + more
}

/// White or nothing on the screen, and still no blank to ron.
fn is_invisible(c: char) -> bool {
    c.is_whitespace()
        || c.is_control()
        || matches!(
            c,
            '\u{AD}' | '\u{200B}'..='\u{200D}' | '\u{2060}' | '\u{FEFF}'
        )
}
