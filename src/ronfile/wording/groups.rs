//! Brackets, commas, colons, and what follows where nothing should.

use super::{Scene, shown};
use crate::brackets::{closing, enclosing};
use crate::diagnostic::Diagnostic;
use crate::kind::Kind;
use crate::syntax::Token;

/// Brackets, commas and what stands between values.
impl Scene<'_> {
    pub(super) fn bracket(&self, name: Option<&str>) -> Diagnostic {
        if self.previous_token() == Some(Token::Word) {
            let word = self.previous.map_or("", |previous| self.text_of(previous));
            let span = self.previous.map_or(0..0, |previous| previous.span.clone());
            return self
                .error(
                    "ron-brackets-expected",
                    span,
                    format!("`{}` needs its values in round brackets", shown(word)),
                    "no `(` follows",
                )
                .help(format!("Write `{}(…)`.", shown(word)));
        }
        let Some(name) = name else {
            return self.error(
                "ron-wrong-type",
                self.here_span(),
                format!(
                    "Values in round brackets are expected, found {}",
                    self.describe()
                ),
                "`(` belongs here",
            );
        };
        let text = match (self.here_token(), self.here) {
            (Some(Token::Number | Token::Text), Some(here)) => shown(self.text_of(here)),
            _ => "…".to_owned(),
        };
        let help = match self.number_with_comma() {
            Some(number) => {
                format!(
                    "Write `{name}({text})`, or `{name}({number})` if the comma is a decimal one."
                )
            }
            None => format!("Write `{name}({text})`."),
        };
        self.error(
            "ron-name-expected",
            self.here_span(),
            format!("`{name}(…)` is expected, found {}", self.describe()),
            format!("`{name}` belongs here"),
        )
        .help(help)
    }

    /// A value was read, and what follows is neither a comma nor the end of the group.
    pub(super) fn no_end(&self, kind: &Kind) -> Diagnostic {
        if self.inside() && self.here_token() == Some(Token::Number) {
            return self.not_whole();
        }
        let opens = self.here_token() == Some(Token::Open('('));
        if opens && self.previous_token() == Some(Token::Word) {
            return self.no_values();
        }
        match kind {
            Kind::Trailing => self.trailing(),
            Kind::End if self.previous_token() == Some(Token::Comma) => self.too_many(),
            _ => self.missing_comma(),
        }
    }

    pub(super) fn no_values(&self) -> Diagnostic {
        let word = self.previous.map_or("", |previous| self.text_of(previous));
        self.error(
            "ron-no-values-expected",
            self.here_span(),
            format!("`{}` stands alone, without brackets behind it", shown(word)),
            "no values belong here",
        )
        .help(format!("Write `{}`.", shown(word)))
    }

    pub(super) fn trailing(&self) -> Diagnostic {
        self.error(
            "ron-trailing",
            self.here_span(),
            format!("Something follows behind the end: {}", self.describe()),
            "the content ended before this",
        )
        .help("Remove it, or look above for a bracket that closes too early.")
    }

    pub(super) fn too_many(&self) -> Diagnostic {
        let (open, name) = match enclosing(self.tokens, self.span.end) {
            Some((open, name)) => (Some(open), name),
            None => (None, None),
        };
        let of = name.map_or("This group".to_owned(), |name| {
            format!("`{}`", shown(self.text_of(name)))
        });
        let end = match open.map(|open| open.token) {
            Some(Token::Open(open)) => closing(open),
            _ => ')',
        };
        self.error(
            "ron-too-many-values",
            self.here_span(),
            format!("{of} has more values than it takes"),
            format!("`{end}` belongs here"),
        )
        .help("Remove this value, or look for a comma inside a number.")
    }

    pub(super) fn missing_comma(&self) -> Diagnostic {
        let end = self
            .previous
            .map_or(self.span.end, |previous| previous.span.end);
        let found = self.error(
            "ron-missing-comma",
            end..end,
            format!("A comma is missing before {}", self.describe()),
            "`,` belongs here",
        );
        match (self.previous_token(), self.here_token()) {
            (_, Some(Token::Other(';'))) => found.help("Write `,`, not `;`."),
            (Some(Token::Number), Some(Token::Word)) => {
                found.help("A number stands alone: leave a unit behind it out.")
            }
            _ => found.help("Values and fields are separated by commas."),
        }
    }

    pub(super) fn colon(&self) -> Diagnostic {
        let name = self.previous.map_or("", |previous| self.text_of(previous));
        let found = self.error(
            "ron-missing-colon",
            self.here_span(),
            format!(
                "A colon is expected behind `{}`, found {}",
                shown(name),
                self.describe()
            ),
            "`:` belongs here",
        );
        match self.here_token() {
            Some(Token::Other('=')) => found.help("Write `:`, not `=`."),
            _ => found.help(format!("Write `{}: …`.", shown(name))),
        }
    }

    pub(super) fn character(&self) -> Diagnostic {
        // Ron names the character it met behind a lone slash: the slash is what is wrong.
        let start = self.span.start.saturating_sub(1);
        let placed = self
            .tokens
            .iter()
            .find(|placed| placed.span.end > start && matches!(placed.token, Token::Other(_)))
            .or(self.here);
        let span = placed.map_or(self.here_span(), |placed| placed.span.clone());
        let text = placed.map_or("", |placed| self.text_of(placed));
        let found = self.error(
            "ron-unexpected-character",
            span,
            format!("`{}` has no meaning here", shown(text)),
            "unexpected",
        );
        if text == "/" {
            return found.help("A comment begins with `//`.");
        }
        found.help("A text stands in straight quotation marks `\"`.")
    }
}
