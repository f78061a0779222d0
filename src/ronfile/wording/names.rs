//! Names, fields, and the number of values in brackets.

use super::{Scene, shown};
use crate::brackets::enclosing;
use crate::diagnostic::{Diagnostic, nearest};
use crate::source::Span;
use crate::syntax::Token;

/// Names and fields.
impl Scene<'_> {
    pub(super) fn unknown_name(&self, known: &[String], found: &str) -> Diagnostic {
        let problem = self.error(
            "ron-unknown-name",
            self.span.clone(),
            format!("`{}` is not known here", shown(found)),
            "unknown name",
        );
        suggest(problem, known, found, "Known names")
    }

    pub(super) fn unknown_field(
        &self,
        known: &[String],
        found: &str,
        of: Option<&str>,
    ) -> Diagnostic {
        let problem = self.error(
            "ron-unknown-field",
            self.span.clone(),
            format!("{} has no field `{}`", shape(of), shown(found)),
            "unknown field",
        );
        suggest(problem, known, found, "Known fields")
    }

    pub(super) fn duplicate_field(&self, field: &str) -> Diagnostic {
        self.error(
            "ron-duplicate-field",
            self.span.clone(),
            format!("The field `{field}` is given twice"),
            "given before",
        )
        .help("Remove one of the two.")
    }

    pub(super) fn missing_field(&self, field: &str, of: Option<&str>) -> Diagnostic {
        self.error(
            "ron-missing-field",
            self.group_span(),
            format!("{} lacks the field `{field}`", shape(of)),
            format!("`{field}` is missing"),
        )
        .help(format!("Write `{field}: …` inside these brackets."))
    }

    pub(super) fn too_few(&self, expected: &str, found: usize) -> Diagnostic {
        let needed = expected
            .split(|c: char| !c.is_ascii_digit())
            .rfind(|digits| !digits.is_empty());
        let what = match needed {
            Some(needed) => format!("There are too few values: {needed} are needed, {found} given"),
            None => format!("There are too few values: {found} given"),
        };
        self.error(
            "ron-too-few-values",
            self.group_span(),
            what,
            "too few values",
        )
    }

    /// The opening bracket around the place with its name.
    pub(super) fn group_span(&self) -> Span {
        match enclosing(self.tokens, self.span.end) {
            Some((open, Some(name))) => name.span.start..open.span.end,
            Some((open, None)) => open.span.clone(),
            None => self.here_span(),
        }
    }

    pub(super) fn other_name(&self, expected: &str, found: &str) -> Diagnostic {
        self.error(
            "ron-other-name",
            self.span.clone(),
            format!("`{expected}` is expected, found `{}`", shown(found)),
            "another name",
        )
        .help(format!("Write `{expected}(…)`."))
    }

    fn extra_comma(&self, span: Span) -> Diagnostic {
        self.error(
            "ron-extra-comma",
            span,
            "There is a comma too many",
            "nothing stands before this comma",
        )
        .help("Remove it.")
    }

    /// A comma at the place, or just before it, that follows an opening bracket or another comma.
    pub(super) fn comma_after_nothing(&self) -> Option<Diagnostic> {
        let indices = [Some(self.index), self.index.checked_sub(1)];
        indices.into_iter().flatten().find_map(|at| {
            let (before, comma) = (self.tokens.get(at.checked_sub(1)?)?, self.tokens.get(at)?);
            let nothing = matches!(before.token, Token::Open(_) | Token::Comma);
            let own = comma.token == Token::Comma && nothing;
            own.then(|| self.extra_comma(comma.span.clone()))
        })
    }

    pub(super) fn name(&self, found: Option<&str>) -> Diagnostic {
        match (self.here_token(), found) {
            (Some(Token::Comma), _) => self.extra_comma(self.here_span()),
            (Some(Token::Text), _) => {
                let text = self.here.map_or("", |here| self.text_of(here));
                self.error(
                    "ron-quoted-name",
                    self.here_span(),
                    "A name is expected, found a text in quotation marks",
                    "a name belongs here",
                )
                .help(format!(
                    "Write `{}`, without quotation marks.",
                    shown(text.trim_matches('"'))
                ))
            }
            (Some(Token::Word), Some(found)) => self
                .error(
                    "ron-bad-name",
                    self.here_span(),
                    format!("`{}` cannot be a name", shown(found)),
                    "not a name",
                )
                .help("A name begins with a letter and has letters, digits and `_`."),
            (token, _) => {
                let problem = self.error(
                    "ron-wrong-type",
                    self.here_span(),
                    format!("A name is expected, found {}", self.describe()),
                    "a name belongs here",
                );
                match (token, self.here) {
                    (Some(Token::Number), Some(here)) => problem.help(format!(
                        "A number stands in brackets behind a name, as in `Name({})`.",
                        shown(self.text_of(here))
                    )),
                    _ => problem,
                }
            }
        }
    }
}

fn suggest(problem: Diagnostic, known: &[String], found: &str, title: &str) -> Diagnostic {
    let near = nearest(found, known.iter().map(String::as_str));
    let problem = match near {
        Some(near) => problem.help(format!("Did you mean `{near}`?")),
        None => problem,
    };
    if known.is_empty() {
        return problem;
    }
    let list: Vec<String> = known.iter().map(|name| format!("`{name}`")).collect();
    problem.help(format!("{title}: {}.", list.join(", ")))
}

fn shape(of: Option<&str>) -> String {
    of.map_or("This group".to_owned(), |name| format!("`{name}`"))
}
