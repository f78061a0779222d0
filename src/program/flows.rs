//! Flows on the command line: checks one, writes a new one, lists facts.

use std::io::Write;
use std::path::Path;

use schemars::JsonSchema;
use serde::Serialize;

use super::diff;
use super::expected;
use super::limits;
use super::moved;
use super::replay;
use super::{load_directory, loaded, write_json};
use crate::cli::{Cli, DataFormat, FlowCommand};
use crate::error::{Error, Trouble, usable, with_sources};
use crate::fact::{CATALOGUE, Kind, Origin};
use crate::files::write_whole;
use crate::flow::{EMBEDDED, Miss, embedded, run_examples, unshown};
use crate::options::faults;
use crate::phrase::program::{errors, flows as says};
use crate::print::json::shape::FormatKey;
use crate::ronfile::{Diagnostic, Severity};

/// What is wrong with a flow; empty lists if nothing is.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "CheckedFlow")]
pub(super) struct Checked<'a> {
    /// The format of this object.
    format: FormatKey,
    /// Problems of its files.
    problems: &'a [Diagnostic],
    /// Examples of rules with another result.
    missed_examples: Vec<String>,
    /// Rules that lack an example of something that they can come to: a warning, which changes no exit code.
    missing_examples: Vec<String>,
    /// Tables that no file has, each with what is lost without it: a warning, too.
    missing_tables: &'a [&'static str],
    /// Options that change nothing or spoil something.
    #[serde(rename = "remedy_faults")]
    option_faults: Vec<String>,
}

/// Every fact that a flow may ask for or judge by.
#[derive(Serialize, JsonSchema)]
pub(super) struct Facts<'a> {
    /// The format of this object.
    format: FormatKey,
    /// The flow's id.
    flow: &'a str,
    /// The facts.
    facts: Vec<SpecObject<'a>>,
}

/// What a fact is.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "FactSpec")]
struct SpecObject<'a> {
    /// Its name in files.
    id: &'a str,
    /// Whether it is answered or calculated.
    origin: OriginWord,
    /// An example of a place.
    at: &'static str,
    /// What a value may be.
    wanted: String,
    /// The unit of a number, or null.
    unit: Option<&'static str>,
    /// What it means.
    sentence: &'a str,
}

/// Where a fact comes from.
#[derive(Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(inline)]
enum OriginWord {
    /// A question asks for it.
    Asked,
    /// It is calculated from other facts.
    Derived,
}

/// Checks a flow, writes the built-in one, or lists facts.
///
/// # Errors
/// Returns an error if the flow has problems, or cannot be read or written.
pub(super) fn carry_out(
    cli: &Cli,
    command: &FlowCommand,
    out: &mut dyn Write,
) -> Result<(), Error> {
    match command {
        FlowCommand::Check { directory, format } => {
            check_flow(cli, directory.as_deref(), *format, out)
        }
        FlowCommand::Diff {
            before,
            now,
            format,
        } => diff::carry_out(before, now.as_deref(), *format, out),
        FlowCommand::Test { directory, format } => {
            expected::carry_out(cli, directory, *format, out)
        }
        FlowCommand::Replay(args) => replay::carry_out(cli, args, out),
        FlowCommand::Move { case, yes } => moved::carry_out(cli, case, *yes, out),
        FlowCommand::New { directory } => new_flow(directory, out),
        FlowCommand::Facts { format } => list_facts(cli, *format, out),
        FlowCommand::Sources { format } => limits::list(cli, *format, out),
    }
}

fn check_flow(
    cli: &Cli,
    directory: Option<&Path>,
    format: DataFormat,
    out: &mut dyn Write,
) -> Result<(), Error> {
    let loaded = match directory.or(cli.flow.as_deref()) {
        Some(directory) => load_directory(directory)?,
        None => embedded(),
    };
    let errors = loaded
        .problems
        .iter()
        .filter(|problem| problem.severity == Severity::Error)
        .count();
    let misses = loaded.flow.as_ref().map(run_examples).unwrap_or_default();
    let faults = loaded.flow.as_ref().map(faults).unwrap_or_default();
    let unshown = loaded.flow.as_ref().map(unshown).unwrap_or_default();
    let lacks = loaded.flow.as_ref().map(says::lacks).unwrap_or_default();
    let warned: Vec<String> = lacks
        .iter()
        .map(|own| (*own).to_owned())
        .chain(unshown.iter().map(ToString::to_string))
        .map(|own| says::warned(&own))
        .collect();
    if format == DataFormat::Json {
        let checked = Checked {
            format: FormatKey,
            problems: &loaded.problems,
            missing_tables: &lacks,
            missing_examples: unshown.iter().map(ToString::to_string).collect(),
            missed_examples: misses.iter().map(|miss| miss.lines().join("\n")).collect(),
            option_faults: faults.iter().map(ToString::to_string).collect(),
        };
        write_json(&checked, out)?;
    }
    if errors == 0 && misses.is_empty() && faults.is_empty() && loaded.problems.is_empty() {
        if let (Some(flow), DataFormat::Text) = (&loaded.flow, format) {
            writeln!(out, "{}", says::no_problems(flow, warned.len()))?;
            for line in warned {
                writeln!(out, "{line}")?;
            }
        }
        out.flush()?;
        return Ok(());
    }
    out.flush()?;
    let found = says::Problems {
        errors,
        warnings: loaded.problems.len() - errors,
        examples: misses.len(),
        options: faults.len(),
    };
    let mut error = Error::new(Trouble::Data, says::problems(&found));
    error.hints.extend(misses.iter().flat_map(Miss::lines));
    error.hints.extend(faults.iter().map(ToString::to_string));
    error.hints.extend(warned);
    if format == DataFormat::Text {
        error.problems = with_sources(loaded);
    }
    Err(error)
}

fn new_flow(directory: &Path, out: &mut dyn Write) -> Result<(), Error> {
    let failed = |error: std::io::Error| {
        let what = errors::cannot_be_created(directory, &error);
        Error::new(Trouble::CannotCreate, what).hint(says::NEW_HINT)
    };
    if directory.exists() {
        let what = errors::already_exists(directory);
        return Err(Error::new(Trouble::CannotCreate, what).hint(says::EXISTS_HINT));
    }
    for (name, text) in EMBEDDED {
        let path = directory.join(name);
        if let Some(parent) = path.parent() {
            std::fs::create_dir_all(parent).map_err(failed)?;
        }
        write_whole(&path, text)?;
    }
    writeln!(out, "{}", says::written(directory))?;
    Ok(())
}

fn list_facts(cli: &Cli, format: DataFormat, out: &mut dyn Write) -> Result<(), Error> {
    let (flow, _) = usable(loaded(cli)?)?;
    let specs = CATALOGUE.iter().chain(&flow.facts);
    if format == DataFormat::Json {
        let facts: Vec<_> = specs
            .map(|spec| {
                let unit = match &spec.kind {
                    Kind::Number { unit, .. } => Some(unit.symbol()),
                    _ => None,
                };
                SpecObject {
                    id: &spec.id,
                    origin: match spec.origin {
                        Origin::Asked => OriginWord::Asked,
                        Origin::Derived => OriginWord::Derived,
                    },
                    at: spec.at.example(),
                    wanted: spec.wanted(),
                    unit,
                    sentence: &spec.sentence,
                }
            })
            .collect();
        let facts = Facts {
            format: FormatKey,
            flow: &flow.id,
            facts,
        };
        return write_json(&facts, out);
    }
    for spec in specs {
        writeln!(out, "{}", spec.id)?;
        for line in says::fact(spec) {
            writeln!(out, "    {line}")?;
        }
    }
    out.flush()?;
    Ok(())
}
