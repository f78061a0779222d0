//! Problems in words for people.

use annotate_snippets::{AnnotationKind, Group, Level, Origin, Renderer, Snippet};
use schemars::JsonSchema;
use serde::Serialize;

use super::source::{Source, Span};

/// How much a problem matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// The file cannot be used.
    Error,
    /// The file can be used, but somebody should look.
    Warning,
}

/// One problem of a file: where it is, what it is, and what to do about it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[schemars(rename = "Problem")]
pub struct Diagnostic {
    /// The stable code of the kind of problem.
    pub code: &'static str,
    /// How much it matters.
    pub severity: Severity,
    /// The name of the file.
    pub file: String,
    /// The place as byte offsets into the file's text.
    #[serde(skip)]
    pub span: Span,
    /// The line where the place starts, from 1.
    pub line: usize,
    /// The column where the place starts, from 1, in characters.
    pub column: usize,
    /// The problem as a sentence without a full stop.
    pub what: String,
    /// The words at the caret.
    pub why: String,
    /// What to do, each one or more sentences.
    pub help: Vec<String>,
}

impl Diagnostic {
    /// A problem that makes the file unusable.
    pub fn error(
        code: &'static str,
        source: &Source,
        span: Span,
        what: impl Into<String>,
        why: impl Into<String>,
    ) -> Self {
        Self::new(code, Severity::Error, source, span, what.into(), why.into())
    }

    /// A problem that leaves the file usable.
    pub fn warning(
        code: &'static str,
        source: &Source,
        span: Span,
        what: impl Into<String>,
        why: impl Into<String>,
    ) -> Self {
        Self::new(
            code,
            Severity::Warning,
            source,
            span,
            what.into(),
            why.into(),
        )
    }

    fn new(
        code: &'static str,
        severity: Severity,
        source: &Source,
        span: Span,
        what: String,
        why: String,
    ) -> Self {
        let span = source.clamp(span);
        let (line, column) = source.line_column(span.start);
        Diagnostic {
            code,
            severity,
            file: source.name().to_owned(),
            span,
            line,
            column,
            what,
            why,
            help: Vec::new(),
        }
    }

    /// The same problem with one more line of help.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help.push(help.into());
        self
    }

    /// The problem as text for a terminal: code, file, line and column, the line with a caret, what, why and help.
    ///
    /// Without the source the line itself is left out. Colours are escape sequences.
    pub fn render(&self, source: Option<&Source>, colour: bool) -> String {
        let renderer = if colour {
            Renderer::styled()
        } else {
            Renderer::plain()
        };
        let level = match self.severity {
            Severity::Error => Level::ERROR,
            Severity::Warning => Level::WARNING,
        };
        let title = level.primary_title(harmless(&self.what)).id(self.code);
        let mut group = match source {
            Some(source) => title.element(self.snippet(source)),
            None => self.without_source(title),
        };
        for help in &self.help {
            group = group.element(Level::HELP.message(harmless(help)));
        }
        let mut text = renderer.render(&[group]);
        text.push('\n');
        text
    }

    fn snippet<'a>(&'a self, source: &'a Source) -> Snippet<'a, annotate_snippets::Annotation<'a>> {
        // The span is clamped again: the fields are open, and the renderer panics at a span outside the text.
        Snippet::source(source.text())
            .path(harmless(&self.file))
            .annotation(
                AnnotationKind::Primary
                    .span(source.clamp(self.span.clone()))
                    .label(harmless(&self.why)),
            )
    }

    fn without_source<'a>(&'a self, title: annotate_snippets::Title<'a>) -> Group<'a> {
        title
            .element(
                Origin::path(harmless(&self.file))
                    .line(self.line)
                    .char_column(self.column),
            )
            .element(Level::NOTE.message(harmless(&self.why)))
    }
}

/// The candidate that `word` was probably meant to be, or none when nothing is near.
///
/// Near means: apart from capitals, at most one letter in three of the longer word differs, where two exchanged
/// neighbours count as one difference. Of several the nearest wins, then the first.
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let word = word.to_lowercase();
    candidates
        .into_iter()
        .filter_map(|candidate| Some((distance(&word, candidate)?, candidate)))
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, candidate)| candidate)
}

fn distance(word: &str, candidate: &str) -> Option<usize> {
    let other = candidate.to_lowercase();
    let longer = word.chars().count().max(other.chars().count());
    let distance = strsim::damerau_levenshtein(word, &other);
    (distance <= longer / 3).then_some(distance)
}

/// A text as it may be shown: control characters and those that turn the direction of writing become blanks.
pub(super) fn harmless(text: &str) -> String {
    let steers = |c: char| {
        c.is_control()
            || matches!(c, '\u{200E}' | '\u{200F}' | '\u{2028}'..='\u{202E}' | '\u{2066}'..='\u{2069}')
    };
    text.chars()
        .map(|c| if steers(c) { ' ' } else { c })
        .collect()
}
