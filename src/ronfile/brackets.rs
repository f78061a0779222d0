//! Faults of the outer form: brackets, texts and comments that do not close, quotation marks of the wrong sort.

use super::diagnostic::Diagnostic;
use super::source::{Source, Span, before, from};
use super::syntax::{Placed, Token};

/// The first fault of the outer form, if there is one.
pub(super) fn fault(source: &Source, tokens: &[Placed]) -> Option<Diagnostic> {
    let mut brackets = Brackets::new(source);
    for (index, placed) in tokens.iter().enumerate() {
        let found = match placed.token {
            Token::Open(_) => {
                brackets.open.push(placed);
                None
            }
            Token::Close(close) => brackets.close(placed, close),
            Token::Other(mark) if is_typographic(mark) => {
                Some(typographic(source, placed.span.clone(), mark))
            }
            Token::Text => quote_inside(source, placed, tokens.get(index + 1)),
            Token::OpenText => Some(unclosed_text(source, placed.span.clone())),
            Token::OpenComment => Some(unclosed_comment(source, placed.span.clone())),
            _ => None,
        };
        if found.is_some() {
            return found;
        }
    }
    brackets.unclosed()
}

/// The opening bracket that is open at an offset, with the name before it.
pub(super) fn enclosing(tokens: &[Placed], offset: usize) -> Option<(&Placed, Option<&Placed>)> {
    let mut open = Vec::new();
    for (index, placed) in tokens.iter().enumerate() {
        if placed.span.start >= offset {
            break;
        }
        match placed.token {
            Token::Open(_) => open.push(index),
            Token::Close(_) => drop(open.pop()),
            _ => {}
        }
    }
    let index = open.pop()?;
    let name = index
        .checked_sub(1)
        .and_then(|before| tokens.get(before))
        .filter(|placed| placed.token == Token::Word);
    Some((tokens.get(index)?, name))
}

struct Brackets<'t> {
    source: &'t Source,
    open: Vec<&'t Placed>,
    /// A pair whose closing bracket starts a line further left than the line of its opening bracket does.
    suspect: Option<(&'t Placed, &'t Placed)>,
}

impl<'t> Brackets<'t> {
    fn new(source: &'t Source) -> Self {
        Brackets {
            source,
            open: Vec::new(),
            suspect: None,
        }
    }

    fn close(&mut self, placed: &'t Placed, close: char) -> Option<Diagnostic> {
        let Some(open) = self.open.pop() else {
            return Some(stray(self.source, placed.span.clone(), close));
        };
        let Token::Open(bracket) = open.token else {
            return None;
        };
        if closing(bracket) != close {
            return Some(self.wrong(open, bracket, placed, close));
        }
        if self.suspect.is_none() && self.looks_wrong(open, placed) {
            self.suspect = Some((open, placed));
        }
        None
    }

    fn looks_wrong(&self, open: &Placed, close: &Placed) -> bool {
        let (opens, _) = indentation(self.source.text(), open.span.start);
        let (closes, first) = indentation(self.source.text(), close.span.start);
        first && closes < opens
    }

    fn wrong(&self, open: &Placed, bracket: char, placed: &Placed, close: char) -> Diagnostic {
        let (line, column) = self.source.line_column(open.span.start);
        Diagnostic::error(
            "ron-wrong-bracket",
            self.source,
            placed.span.clone(),
            format!("`{close}` does not close `{bracket}`, which opened at {line}:{column}"),
            format!("`{}` is expected first", closing(bracket)),
        )
        .help(format!(
            "Close `{bracket}` from {line}:{column} with `{}`, or change one of the two.",
            closing(bracket)
        ))
    }

    fn unclosed(self) -> Option<Diagnostic> {
        let open = self.open.last()?;
        let Token::Open(bracket) = open.token else {
            return None;
        };
        let (line, column) = self.source.line_column(open.span.start);
        let mut found = Diagnostic::error(
            "ron-unclosed-bracket",
            self.source,
            open.span.clone(),
            format!(
                "`{bracket}`, which opened at {line}:{column}, is still open at the end of the file"
            ),
            format!("no `{}` closes this", closing(bracket)),
        );
        if let Some((suspect, close)) = self.suspect {
            let (line, column) = self.source.line_column(suspect.span.start);
            let (at, _) = self.source.line_column(close.span.start);
            found = found.help(format!(
                "By the indentation, the bracket opened at {line}:{column} is the likelier one: line {at} seems to close another."
            ));
        }
        Some(found.help(format!("Write `{}` where it belongs.", closing(bracket))))
    }
}

/// The bracket that closes another.
pub(super) fn closing(open: char) -> char {
    match open {
        '(' => ')',
        '[' => ']',
        _ => '}',
    }
}

/// The number of blanks that the line of an offset starts with, and whether nothing else is before the offset.
fn indentation(text: &str, offset: usize) -> (usize, bool) {
    let start = before(text, offset).rfind('\n').map_or(0, |at| at + 1);
    let line = from(text, start);
    let blanks = line.len() - line.trim_start_matches([' ', '\t']).len();
    (blanks, start + blanks == offset)
}

fn stray(source: &Source, span: Span, close: char) -> Diagnostic {
    Diagnostic::error(
        "ron-stray-bracket",
        source,
        span,
        format!("`{close}` closes a bracket that was never opened"),
        "nothing is open here",
    )
    .help("Remove it, or look above for a bracket that closes too early.")
}

fn is_typographic(mark: char) -> bool {
    matches!(
        mark,
        '“' | '”' | '„' | '‟' | '‘' | '’' | '‚' | '‛' | '«' | '»' | '‹' | '›'
    )
}

fn typographic(source: &Source, span: Span, mark: char) -> Diagnostic {
    Diagnostic::error(
        "ron-typographic-quote",
        source,
        span,
        format!("`{mark}` is a typographic quotation mark and does not begin or end a text"),
        "a typographic quotation mark",
    )
    .help("Write the straight quotation mark `\"` on both sides of a text.")
    .help("Word processors replace straight marks; use a plain text editor.")
}

fn unclosed_text(source: &Source, span: Span) -> Diagnostic {
    let (line, column) = source.line_column(span.start);
    let first_line = from(source.text(), span.start)
        .lines()
        .next()
        .unwrap_or_default();
    let found = Diagnostic::error(
        "ron-unclosed-text",
        source,
        span.start..span.start + 1,
        format!("The text that begins at {line}:{column} has no closing quotation mark"),
        "this text is never closed",
    );
    match first_line.chars().find(|&c| is_typographic(c)) {
        Some(mark) => found.help(format!(
            "`{mark}` does not close a text: write the straight quotation mark `\"`."
        )),
        None => found.help("Write `\"` where the text ends."),
    }
}

/// A text that is followed directly by a letter: it ended before its writer meant it to.
fn quote_inside(source: &Source, text: &Placed, next: Option<&Placed>) -> Option<Diagnostic> {
    let next = next?;
    let adjacent = next.span.start == text.span.end;
    if !adjacent || !matches!(next.token, Token::Word | Token::Number) {
        return None;
    }
    let inside = source.text().get(text.span.clone()).unwrap_or_default();
    if inside.contains('\n') {
        return Some(unclosed_text(source, text.span.clone()));
    }
    Some(
        Diagnostic::error(
            "ron-quote-in-text",
            source,
            text.span.end - 1..text.span.end,
            "The text ends at this quotation mark, but more follows directly",
            "the text ends here",
        )
        .help("Write `\\\"` for a quotation mark inside a text.")
        .help("If the text does end here, write a comma behind it."),
    )
}

fn unclosed_comment(source: &Source, span: Span) -> Diagnostic {
    let (line, column) = source.line_column(span.start);
    Diagnostic::error(
        "ron-unclosed-comment",
        source,
        span.start..span.start + 2,
        format!("The comment that begins at {line}:{column} is never closed"),
        "no `*/` closes this",
    )
    .help("Write `*/` where the comment ends; each `/*` inside it needs its own.")
}
