//! A reader of the outer form only: words, numbers, texts, brackets and comments.
//!
//! It runs when ron has refused a text, to say what ron cannot: which bracket opened where, which text never closes. It
//! takes every text, and its tokens agree with ron's on every text that ron accepts.

use super::source::{Span, from};

/// What a piece of the outer form is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Token {
    /// A name, with the points and hyphens that people write into names.
    Word,
    /// Starts like a number, which does not make it one.
    Number,
    /// A text in quotation marks, a character in single ones.
    Text,
    /// `(`, `[` or `{`.
    Open(char),
    /// `)`, `]` or `}`.
    Close(char),
    Comma,
    Colon,
    /// A text that is still open at the end of the file.
    OpenText,
    /// A comment that is still open at the end of the file.
    OpenComment,
    /// Any other character.
    Other(char),
}

/// A token and where it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Placed {
    pub(super) token: Token,
    pub(super) span: Span,
}

/// The tokens of a text, in order.
pub(super) struct Tokens<'s> {
    text: &'s str,
    at: usize,
}

impl<'s> Tokens<'s> {
    pub(super) fn new(text: &'s str) -> Self {
        Tokens { text, at: 0 }
    }

    fn skip_blanks(&mut self) -> Option<Placed> {
        loop {
            let rest = from(self.text, self.at);
            let blank = rest.len() - rest.trim_start_matches(is_blank).len();
            self.at += blank;
            let rest = from(self.text, self.at);
            if rest.starts_with("//") {
                self.at += rest.find('\n').unwrap_or(rest.len());
            } else if rest.starts_with("/*") {
                let Some(length) = block_comment(rest) else {
                    return Some(self.take(Token::OpenComment, rest.len()));
                };
                self.at += length;
            } else {
                return None;
            }
        }
    }

    fn take(&mut self, token: Token, length: usize) -> Placed {
        let start = self.at;
        self.at += length;
        let span = start..self.at;
        Placed { token, span }
    }
}

impl Iterator for Tokens<'_> {
    type Item = Placed;

    fn next(&mut self) -> Option<Placed> {
        if let Some(open) = self.skip_blanks() {
            return Some(open);
        }
        let rest = from(self.text, self.at);
        let first = rest.chars().next()?;
        let (token, length) = match first {
            '(' | '[' | '{' => (Token::Open(first), 1),
            ')' | ']' | '}' => (Token::Close(first), 1),
            ',' => (Token::Comma, 1),
            ':' => (Token::Colon, 1),
            '\'' => single_quoted(rest),
            _ => match text_prefix(rest) {
                Some((prefix, hashes)) => quoted(rest, prefix, hashes),
                None => word_or_number(rest, first),
            },
        };
        Some(self.take(token, length))
    }
}

/// The blanks of RON, which are those of Rust: Unicode's `Pattern_White_Space`. A no-break space is none.
fn is_blank(c: char) -> bool {
    matches!(
        c,
        '\t'..='\r' | ' ' | '\u{85}' | '\u{200E}' | '\u{200F}' | '\u{2028}' | '\u{2029}'
    )
}

/// The length of a block comment, comments inside it included, or none when it does not end.
fn block_comment(rest: &str) -> Option<usize> {
    let mut depth = 0_usize;
    let mut at = 0;
    loop {
        let here = from(rest, at);
        if here.starts_with("/*") {
            depth += 1;
            at += 2;
        } else if here.starts_with("*/") {
            depth -= 1;
            at += 2;
            if depth == 0 {
                return Some(at);
            }
        } else {
            at += here.chars().next()?.len_utf8();
        }
    }
}

/// The length of `"`, `b"`, `r#"` and the like with its number of hashes (none when escapes count), if a text starts here.
fn text_prefix(rest: &str) -> Option<(usize, Option<usize>)> {
    let letters = ["br", "r", "b"]
        .into_iter()
        .find(|letters| rest.starts_with(letters))
        .unwrap_or_default();
    let after = from(rest, letters.len());
    let hashes = after.bytes().take_while(|&byte| byte == b'#').count();
    let raw = letters.ends_with('r');
    let fits = from(after, hashes).starts_with('"') && (raw || hashes == 0);
    fits.then_some((letters.len() + hashes + 1, raw.then_some(hashes)))
}

fn quoted(rest: &str, prefix: usize, hashes: Option<usize>) -> (Token, usize) {
    let body = from(rest, prefix);
    let length = match hashes {
        Some(hashes) => {
            let end = format!("\"{}", "#".repeat(hashes));
            body.find(&end).map(|at| at + end.len())
        }
        None => escaped_end(body),
    };
    match length {
        Some(length) => (Token::Text, prefix + length),
        None => (Token::OpenText, rest.len()),
    }
}

/// The length up to and with the closing quotation mark; a backslash hides the mark behind it.
fn escaped_end(body: &str) -> Option<usize> {
    let mut escaped = false;
    for (at, byte) in body.bytes().enumerate() {
        match byte {
            _ if escaped => escaped = false,
            b'\\' => escaped = true,
            b'"' => return Some(at + 1),
            _ => {}
        }
    }
    None
}

/// A character such as `'a'` or `'\''`; a longer text in single marks on one line counts as a text as well.
fn single_quoted(rest: &str) -> (Token, usize) {
    let mut chars = rest.char_indices().skip(1);
    let Some((_, first)) = chars.next() else {
        return (Token::Other('\''), 1);
    };
    // The one character may be a mark or a line feed itself; behind a backslash one more belongs to it.
    if first == '\\' {
        chars.next();
    } else if let Some((at, '\'')) = chars.clone().next() {
        return (Token::Text, at + 1);
    }
    for (at, c) in chars {
        match c {
            '\'' => return (Token::Text, at + 1),
            '\n' => break,
            _ => {}
        }
    }
    (Token::Other('\''), 1)
}

fn word_or_number(rest: &str, first: char) -> (Token, usize) {
    let unsigned = rest.trim_start_matches(['+', '-', '.']);
    let signs = rest.len() - unsigned.len();
    if unsigned.starts_with(|c: char| c.is_ascii_digit()) && signs <= 3 {
        return (Token::Number, signs + number_length(unsigned));
    }
    if first == '_' || first.is_alphanumeric() {
        let raw = if rest.starts_with("r#") { 2 } else { 0 };
        return (Token::Word, raw + word_length(from(rest, raw)).max(1));
    }
    (Token::Other(first), first.len_utf8())
}

fn number_length(text: &str) -> usize {
    let mut before = ' ';
    for (at, c) in text.char_indices() {
        let signed = matches!(c, '+' | '-') && matches!(before, 'e' | 'E');
        if !(signed || c == '.' || c == '_' || c.is_alphanumeric()) {
            return at;
        }
        before = c;
    }
    text.len()
}

/// A point, a plus or a hyphen belongs to the word when the word goes on behind it.
fn word_length(text: &str) -> usize {
    let mut end = 0;
    for (at, c) in text.char_indices() {
        if c == '_' || c.is_alphanumeric() || is_mark(c) {
            end = at + c.len_utf8();
        } else if !matches!(c, '.' | '-' | '+') {
            break;
        }
    }
    end
}

/// Accents that stand as characters of their own behind their letter.
fn is_mark(c: char) -> bool {
    matches!(c, '\u{0300}'..='\u{036F}')
}

/// A raw piece without the comments and blanks around its value.
pub(super) fn trim(text: &str) -> &str {
    let mut tokens = Tokens::new(text);
    let Some(first) = tokens.next() else {
        return text;
    };
    let end = tokens.last().map_or(first.span.end, |last| last.span.end);
    text.get(first.span.start..end).unwrap_or(text)
}

#[cfg(test)]
mod tests;
