//! Numbers, texts and values of another sort than the one expected.

use super::{Scene, shown};
use crate::diagnostic::{Diagnostic, harmless};
use crate::kind::{Kind, Wanted};
use crate::source::{before, from};
use crate::syntax::{Placed, Token};

/// Numbers.
impl Scene<'_> {
    pub(super) fn decimal_comma(&self, kind: &Kind) -> Option<Diagnostic> {
        let about_the_next = matches!(
            kind,
            Kind::Name(_) | Kind::Bracket(_) | Kind::Comma | Kind::End | Kind::Trailing
        );
        if !about_the_next && !matches!(kind, Kind::Wanted(wanted) if *wanted != Wanted::Number) {
            return None;
        }
        let starts = [self.index.checked_sub(2), self.index.checked_sub(1)];
        let (first, last) = starts
            .into_iter()
            .flatten()
            .find_map(|at| self.comma_number(at))?;
        let span = first.span.start..last.span.end;
        let written = self.source.text().get(span.clone()).unwrap_or_default();
        let number = self.with_point(first, last);
        Some(
            self.error(
                "ron-decimal-comma",
                span,
                format!("`{}` is written with a decimal comma", shown(written)),
                "a decimal comma",
            )
            .help(format!("Write `{number}`, with a decimal point."))
            .help("If these are two values, write a blank behind the comma."),
        )
    }

    fn with_point(&self, first: &Placed, last: &Placed) -> String {
        let whole = self.text_of(first).replace('.', "");
        format!("{whole}.{}", self.text_of(last))
    }

    /// What the number here is when the comma behind it is a decimal one.
    pub(super) fn number_with_comma(&self) -> Option<String> {
        let (first, last) = self.comma_number(self.index)?;
        Some(self.with_point(first, last))
    }

    /// A number, a comma and a number without blanks between.
    pub(super) fn comma_number(&self, at: usize) -> Option<(&Placed, &Placed)> {
        let [first, comma, last] = self.tokens.get(at..at + 3)? else {
            return None;
        };
        let adjacent = first.span.end == comma.span.start && comma.span.end == last.span.start;
        let numbers = first.token == Token::Number && last.token == Token::Number;
        let digits = self.text_of(last).bytes().all(|byte| byte.is_ascii_digit());
        (adjacent && numbers && digits && comma.token == Token::Comma).then_some((first, last))
    }

    pub(super) fn number_range(&self) -> Diagnostic {
        let start = self.span.start;
        let token = self
            .tokens
            .iter()
            .find(|placed| placed.span.end > start && placed.token == Token::Number);
        let span = token.map_or(self.span.clone(), |placed| placed.span.clone());
        let number = token.map_or("", |placed| self.text_of(placed));
        let what = if number.starts_with('-') {
            format!(
                "`{}` is below zero, which is not possible here",
                shown(number)
            )
        } else {
            format!("The number `{}` is too large here", shown(number))
        };
        self.error(
            "ron-number-range",
            span,
            what,
            "outside what can be held here",
        )
        .help("Check the number for a wrong sign or a digit too many.")
    }

    pub(super) fn bad_number(&self) -> Diagnostic {
        let text = self.here.map_or("", |here| self.text_of(here));
        self.error(
            "ron-not-a-number",
            self.here_span(),
            format!("`{}` is not a number", shown(text)),
            "not a number",
        )
        .help("A number has digits, at most one decimal point, and `-` before it when below zero.")
        .help("Leave the unit out of the number itself.")
    }
}

/// Values of another sort.
impl Scene<'_> {
    pub(super) fn wrong_type(&self, wanted: Wanted) -> Diagnostic {
        let numeric = matches!(wanted, Wanted::Number | Wanted::Whole);
        match self.here_token() {
            Some(Token::Number) if wanted == Wanted::Number => return self.bad_number(),
            Some(Token::Number) if wanted == Wanted::Whole => return self.not_whole(),
            Some(Token::Other('−' | '–' | '—' | '-' | '+')) if numeric => {
                return self.minus();
            }
            Some(Token::Word) if numeric && self.starts_numeric() => return self.bad_number(),
            Some(Token::Word) if wanted == Wanted::Text && !self.is_keyword() => {
                return self.no_quotes();
            }
            Some(Token::Text) if wanted == Wanted::Text => return self.single_quotes(),
            _ => {}
        }
        let found = self.error(
            "ron-wrong-type",
            self.here_span(),
            format!(
                "{} is expected, found {}",
                expected(wanted),
                self.describe()
            ),
            format!("{} belongs here", lower(expected(wanted))),
        );
        match self.type_help(wanted) {
            Some(help) => found.help(help),
            None => found,
        }
    }

    pub(super) fn type_help(&self, wanted: Wanted) -> Option<String> {
        let here = self.here?;
        let text = self.text_of(here);
        match (wanted, here.token) {
            (Wanted::Text, Token::Number) => Some(format!("Write `\"{}\"`.", shown(text))),
            (Wanted::Number | Wanted::Whole, Token::Text) => {
                let inner = text.trim_matches('"').replace(',', ".");
                let number = inner.trim().parse::<f64>().is_ok();
                number.then(|| format!("Write `{}`, without quotation marks.", inner.trim()))
            }
            (Wanted::YesNo, _) => Some("Write `true` or `false`.".to_owned()),
            (Wanted::List, _) => Some("A list stands in square brackets: `[…]`.".to_owned()),
            (Wanted::Map, _) => Some("Write `{…}`, curly brackets.".to_owned()),
            (Wanted::Character, _) => {
                Some("Write one character in single marks: `'a'`.".to_owned())
            }
            _ => None,
        }
    }

    pub(super) fn starts_numeric(&self) -> bool {
        let text = self.here.map_or("", |here| self.text_of(here));
        text.starts_with(|c: char| c.is_numeric() || c == '_')
    }

    /// Whether the word here is a value of its own, or begins one with brackets.
    pub(super) fn is_keyword(&self) -> bool {
        let text = self.here.map_or("", |here| self.text_of(here));
        let next = self.tokens.get(self.index + 1).map(|next| next.token);
        matches!(text, "true" | "false" | "None") || matches!(next, Some(Token::Open(_)))
    }

    pub(super) fn not_whole(&self) -> Diagnostic {
        let text = self.here.map_or("", |here| self.text_of(here));
        if text.parse::<f64>().is_err() {
            return self.bad_number();
        }
        self.error(
            "ron-wrong-type",
            self.here_span(),
            format!("A whole number is expected, found `{}`", shown(text)),
            "a whole number belongs here",
        )
        .help("Write it without a decimal point and without an exponent.")
    }

    pub(super) fn minus(&self) -> Diagnostic {
        let mark = self.here.map_or("", |here| self.text_of(here));
        self.error(
            "ron-not-a-number",
            self.here_span(),
            format!("`{mark}` does not begin a number here"),
            "not a number",
        )
        .help("A number below zero begins with the plain hyphen `-` and a digit.")
    }

    pub(super) fn no_quotes(&self) -> Diagnostic {
        let start = self.here_span().start;
        let rest = from(self.source.text(), start);
        let length = rest
            .find([',', ')', ']', '}', '"', '\r', '\n'])
            .unwrap_or(rest.len());
        let text = before(rest, length).trim_end();
        self.error(
            "ron-text-without-quotes",
            start..start + text.len(),
            "A text is expected, found a name without quotation marks",
            "no quotation marks",
        )
        .help(format!("Write `\"{}\"`.", shown(text)))
    }

    pub(super) fn single_quotes(&self) -> Diagnostic {
        self.error(
            "ron-single-quotes",
            self.here_span(),
            "A text stands in double quotation marks, not in single ones",
            "single quotation marks",
        )
        .help("Write `\"` before and behind it.")
    }

    pub(super) fn escape(&self) -> Diagnostic {
        let slash = before(self.source.text(), self.span.end).rfind('\\');
        let start = slash.unwrap_or(self.span.start);
        let written = from(before(self.source.text(), self.span.end), start);
        self.error(
            "ron-escape",
            start..self.span.end,
            format!("`{}` has no meaning in a text", shown(written)),
            "a backslash gives the next character a special meaning",
        )
        .help("Write `\\\\` for a backslash itself.")
    }

    pub(super) fn refused(&self, what: String) -> Diagnostic {
        let span = if self.span.is_empty() {
            self.here_span()
        } else {
            self.span.clone()
        };
        self.error("ron-refused", span, harmless(&what), "refused here")
    }
}

fn expected(wanted: Wanted) -> &'static str {
    match wanted {
        Wanted::Text => "A text",
        Wanted::Number => "A number",
        Wanted::Whole => "A whole number",
        Wanted::YesNo => "`true` or `false`",
        Wanted::Character => "A single character",
        Wanted::Bytes => "A text with `b` before it",
        Wanted::List => "A list",
        Wanted::Map => "Pairs in curly brackets",
        Wanted::Nothing => "`()`",
        Wanted::Optional => "`None` or `Some(…)`",
        Wanted::Range => "A range with `..`",
    }
}

fn lower(words: &str) -> String {
    let mut chars = words.chars();
    let first = chars.next().map(|c| c.to_lowercase().to_string());
    first.unwrap_or_default() + chars.as_str()
}
