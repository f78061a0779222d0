//! Whole cases with what is expected of them, on the command line.

use std::collections::BTreeSet;
use std::io::Write;
use std::path::{Path, PathBuf};

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::case_file::{read_case, read_source, tell_version};
use super::{loaded, write_json};
use crate::cli::{Cli, DataFormat};
use crate::derive::Facts;
use crate::error::{Error, Trouble, usable};
use crate::fact::Place;
use crate::flow::{Flow, Level};
use crate::judge::{CaseResult, Judgement, judge};
use crate::phrase::program::expected as says;
use crate::phrase::words::outcome as result_words;
use crate::print::json::shape::FormatKey;
use crate::ronfile::{Diagnostic, Source, Spanned, nearest, parse};

/// How the files end that say what is expected.
const ENDING: &str = "expected";

/// What is expected of a case.
#[derive(Deserialize)]
#[serde(rename = "Expected", deny_unknown_fields)]
struct Expected {
    /// Results by restorations.
    #[serde(default)]
    results: Vec<(Spanned<String>, Spanned<ResultShape>)>,
    /// Rules that tell something: which, where, at which level.
    #[serde(default)]
    fires: Vec<(Spanned<String>, Spanned<String>, Spanned<Level>)>,
    /// Rules that are looked at and tell nothing anywhere.
    #[serde(default)]
    silent: Vec<Spanned<String>>,
    /// Rules that cannot be decided somewhere.
    #[serde(default)]
    open: Vec<Spanned<String>>,
}

/// A result as a file writes it.
#[derive(Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename = "Result")]
enum ResultShape {
    Open,
    Fine,
    Watch,
    Call,
    Hold,
    NotCovered,
}

impl ResultShape {
    fn result(self) -> CaseResult {
        match self {
            ResultShape::Open => CaseResult::Open,
            ResultShape::Fine => CaseResult::NothingFound,
            ResultShape::Watch => CaseResult::Watch,
            ResultShape::Call => CaseResult::Call,
            ResultShape::Hold => CaseResult::Hold,
            ResultShape::NotCovered => CaseResult::NotCovered,
        }
    }
}

/// Cases with what was expected of them.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "TestedFlow")]
pub(super) struct Tested {
    /// The format of this object.
    format: FormatKey,
    /// The case files.
    cases: Vec<TestedCase>,
}

/// A case with what was expected of it.
#[derive(Serialize, JsonSchema)]
struct TestedCase {
    /// The case file.
    file: String,
    /// Whether everything came as expected.
    as_expected: bool,
    /// What did not.
    problems: Vec<Diagnostic>,
}

/// Judges the case files of a folder by the flow, and says which are not as expected.
///
/// # Errors
/// Returns an error if the flow or the folder cannot be read, or a case is not as expected.
pub(super) fn carry_out(
    cli: &Cli,
    directory: &Path,
    format: DataFormat,
    out: &mut dyn Write,
) -> Result<(), Error> {
    let (flow, _) = usable(loaded(cli)?)?;
    let names = names(directory)?;
    if names.is_empty() {
        return Err(
            Error::new(Trouble::NoInput, says::no_cases(directory)).hint(says::NO_CASES_HINT)
        );
    }
    let mut problems = Vec::new();
    let mut cases = Vec::new();
    for name in &names {
        let own = tested(&name.with_extension("ron"), &flow)?;
        cases.push(TestedCase {
            file: name.with_extension("ron").display().to_string(),
            as_expected: own.is_empty(),
            problems: own.iter().map(|(problem, _)| problem.clone()).collect(),
        });
        problems.extend(own);
    }
    let missed = cases.iter().filter(|own| !own.as_expected).count();
    if format == DataFormat::Json {
        let tested = Tested {
            format: FormatKey,
            cases,
        };
        write_json(&tested, out)?;
    } else if missed == 0 {
        writeln!(out, "{}", says::all_as_expected(names.len()))?;
    }
    out.flush()?;
    if missed == 0 {
        return Ok(());
    }
    let mut error = Error::new(Trouble::Data, says::missed(missed, names.len()));
    if format == DataFormat::Text {
        error.problems = problems;
    }
    Err(error)
}

/// Returns the paths of the cases of a folder without their endings, in the order of their names: of each case file, and of each
/// that says what is expected.
fn names(directory: &Path) -> Result<BTreeSet<PathBuf>, Error> {
    let unread = |error: std::io::Error| {
        Error::new(Trouble::NoInput, says::unread(directory, &error)).hint(says::NO_CASES_HINT)
    };
    let mut names = BTreeSet::new();
    for entry in std::fs::read_dir(directory).map_err(unread)? {
        let path = entry.map_err(unread)?.path();
        let is_ours = path
            .extension()
            .is_some_and(|own| own == "ron" || own == ENDING);
        if is_ours && !path.is_dir() {
            names.insert(path.with_extension(""));
        }
    }
    Ok(names)
}

type Told = Vec<(Diagnostic, Option<Source>)>;

/// Returns what of a case is not as expected.
fn tested(path: &Path, flow: &Flow) -> Result<Told, Error> {
    let beside = path.with_extension(ENDING);
    let at_the_start = |name: &Path, code, what: String, hint: &str| {
        let source = Source::new(name.display().to_string(), "");
        let problem = Diagnostic::error(code, &source, 0..0, what, says::HERE);
        vec![(problem.help(hint), None)]
    };
    if !path.exists() {
        let what = says::no_case(&beside, path);
        return Ok(at_the_start(
            &beside,
            "expected-no-case",
            what,
            says::NO_CASE_HINT,
        ));
    }
    if !beside.exists() {
        let what = says::nothing_expected(path, &beside);
        return Ok(at_the_start(
            path,
            "expected-nothing",
            what,
            says::EXPECT_HINT,
        ));
    }
    let case = match read_case(path, flow) {
        Ok(case) => case,
        Err(error) if error.problems.is_empty() => {
            let (what, hint) = (error.sentence, error.hints.join("; "));
            return Ok(at_the_start(path, "expected-no-case", what, &hint));
        }
        Err(error) => return Ok(error.problems),
    };
    tell_version(path, &case, flow);
    let source = read_source(&beside)?;
    let expected: Expected = match parse(&source) {
        Ok(expected) => expected,
        Err(problem) => return Ok(vec![(problem, Some(source))]),
    };
    let facts = Facts::of(flow, &case);
    let judgement = judge(flow, &facts);
    let mut problems: Vec<Diagnostic> = Vec::new();
    held_against(
        &expected,
        flow,
        (&facts, &judgement),
        &source,
        &mut problems,
    );
    let nothing = expected.results.is_empty()
        && expected.fires.is_empty()
        && expected.silent.is_empty()
        && expected.open.is_empty();
    if nothing {
        let what = says::nothing_expected(path, &beside);
        let problem = Diagnostic::error("expected-nothing", &source, 0..0, what, says::HERE);
        problems.push(problem.help(says::EXPECT_HINT));
    }
    let with_source = |problem| (problem, Some(source.clone()));
    Ok(problems.into_iter().map(with_source).collect())
}

fn held_against(
    expected: &Expected,
    flow: &Flow,
    (facts, judgement): (&Facts<'_>, &Judgement),
    source: &Source,
    problems: &mut Vec<Diagnostic>,
) {
    let mut other = |span, what: String| {
        problems.push(Diagnostic::error(
            "expected-other",
            source,
            span,
            what,
            says::EXPECTED,
        ));
    };
    for (name, result) in &expected.results {
        let all = judgement.by_restoration.iter();
        let own = all
            .filter(|(id, _)| Place::Restoration(*id).to_string() == name.value)
            .map(|(_, verdict)| verdict.outcome())
            .next();
        let wanted = result.value.result();
        match own {
            None => other(name.span(source), says::no_restoration(&name.value)),
            Some(own) if own != wanted => {
                let what = says::other_result(&name.value, result_words(own), result_words(wanted));
                other(result.span(source), what);
            }
            Some(_) => {}
        }
    }
    let known = |rule: &Spanned<String>| flow.rules.iter().any(|own| own.id == rule.value);
    let unknown = |rule: &Spanned<String>| {
        let near = nearest(&rule.value, flow.rules.iter().map(|own| own.id.as_str()));
        says::no_rule(&rule.value, near)
    };
    let fired = |rule: &str| -> Vec<(Place, Level)> {
        let own = judgement
            .all_findings()
            .filter(|finding| flow.rule(finding.rule).is_some_and(|own| own.id == rule));
        own.map(|finding| (finding.at, finding.level)).collect()
    };
    let waits = |rule: &str| -> Vec<Place> {
        let own = judgement.open_points.iter().filter(|point| {
            let own = point.rule.and_then(|id| flow.rule(id));
            own.is_some_and(|own| own.id == rule)
        });
        own.map(|point| point.at).collect()
    };
    let came = |rule: &str| says::came(&fired(rule), &waits(rule));
    for (rule, at, level) in &expected.fires {
        let Ok(place) = at.value.parse::<Place>() else {
            other(at.span(source), says::no_place(&at.value));
            continue;
        };
        if !known(rule) {
            other(rule.span(source), unknown(rule));
        } else if !facts.units().has(place) {
            other(at.span(source), says::no_place(&at.value));
        } else if !fired(&rule.value).contains(&(place, level.value)) {
            let wanted = says::fires(place, level.value);
            let what = says::other_rule(&rule.value, &came(&rule.value), &wanted);
            other(level.span(source), what);
        }
    }
    for (rules, wanted, is_open) in [
        (&expected.silent, says::SILENT, false),
        (&expected.open, says::OPEN, true),
    ] {
        for rule in rules {
            let (told, open) = (fired(&rule.value), waits(&rule.value));
            if !known(rule) {
                other(rule.span(source), unknown(rule));
            } else if !told.is_empty() || open.is_empty() == is_open {
                let what = says::other_rule(&rule.value, &came(&rule.value), wanted);
                other(rule.span(source), what);
            }
        }
    }
}
