//! Flows on the command line: checked, written anew, their facts listed.

use std::io::Write;
use std::path::Path;

use serde_json::json;

use super::{counted, load_directory, loaded, write_json};
use crate::cli::{Cli, DataFormat, FlowCommand};
use crate::desk::{usable, with_sources, write_file};
use crate::error::{Error, Trouble};
use crate::fact::{CATALOGUE, FactSpec, Kind, Origin};
use crate::flow::{EMBEDDED, embedded, run_examples};
use crate::remedy::faults;
use crate::ronfile::Severity;

/// Checks a flow, writes the built-in one, or lists facts.
///
/// # Errors
/// The flow has problems, or cannot be read or written.
pub(super) fn carry_out(
    cli: &Cli,
    command: &FlowCommand,
    out: &mut dyn Write,
) -> Result<(), Error> {
    match command {
        FlowCommand::Check { directory, format } => {
            check_flow(cli, directory.as_deref(), *format, out)
        }
        FlowCommand::New { directory } => new_flow(directory, out),
        FlowCommand::Facts { format } => list_facts(cli, *format, out),
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
    if format == DataFormat::Json {
        let told = json!({
            "format": 1,
            "problems": loaded.problems,
            "missed_examples": misses.iter().map(ToString::to_string).collect::<Vec<_>>(),
            "remedies": faults.iter().map(ToString::to_string).collect::<Vec<_>>(),
        });
        write_json(&told, out)?;
    }
    if errors == 0 && misses.is_empty() && faults.is_empty() && loaded.problems.is_empty() {
        if let (Some(flow), DataFormat::Text) = (&loaded.flow, format) {
            let examples: usize = flow.rules.iter().map(|rule| rule.examples.len()).sum();
            writeln!(
                out,
                "flow \"{}\", version {}: {} questions, {} rules, {examples} examples, no problem",
                flow.id,
                flow.version,
                flow.questions.len(),
                flow.rules.len()
            )?;
        }
        out.flush()?;
        return Ok(());
    }
    out.flush()?;
    let warnings = loaded.problems.len() - errors;
    let mut error = Error::new(
        Trouble::Data,
        format!(
            "{}, {}, {}, {}",
            counted(errors, "error"),
            counted(warnings, "warning"),
            counted(misses.len(), "missed example"),
            counted(faults.len(), "remedy fault"),
        ),
    );
    error.hints.extend(misses.iter().map(ToString::to_string));
    error.hints.extend(faults.iter().map(ToString::to_string));
    if format == DataFormat::Text {
        error.problems = with_sources(loaded);
    }
    Err(error)
}

fn new_flow(directory: &Path, out: &mut dyn Write) -> Result<(), Error> {
    let failed = |error: std::io::Error| {
        Error::new(
            Trouble::CannotCreate,
            format!("{} cannot be made: {error}", directory.display()),
        )
        .hint("name a directory that does not exist yet, where you may write")
    };
    if directory.exists() {
        return Err(Error::new(
            Trouble::CannotCreate,
            format!("{} is there already", directory.display()),
        )
        .hint("name a directory that does not exist yet"));
    }
    for (name, text) in EMBEDDED {
        let path = directory.join(name);
        if let Some(parent) = path.parent() {
            std::fs::create_dir_all(parent).map_err(failed)?;
        }
        write_file(&path, text)?;
    }
    writeln!(
        out,
        "written to {0}; try `casepan flow check {0}` after each change",
        directory.display()
    )?;
    Ok(())
}

fn list_facts(cli: &Cli, format: DataFormat, out: &mut dyn Write) -> Result<(), Error> {
    let (flow, _) = usable(loaded(cli)?)?;
    let origin = |spec: &FactSpec| match spec.origin {
        Origin::Asked => "asked",
        Origin::Derived => "derived",
    };
    let specs = CATALOGUE.iter().chain(&flow.facts);
    if format == DataFormat::Json {
        let facts: Vec<_> = specs
            .map(|spec| {
                let unit = match &spec.kind {
                    Kind::Number { unit, .. } => Some(unit.symbol()),
                    _ => None,
                };
                json!({
                    "id": spec.id,
                    "origin": origin(spec),
                    "at": spec.at.example(),
                    "wanted": spec.wanted(),
                    "unit": unit,
                    "sentence": spec.sentence,
                })
            })
            .collect();
        return write_json(
            &json!({ "format": 1, "flow": flow.id, "facts": facts }),
            out,
        );
    }
    for spec in specs {
        writeln!(
            out,
            "{}\n    {} at {}: {}",
            spec.id,
            origin(spec),
            spec.at.example(),
            spec.wanted()
        )?;
        writeln!(out, "    {}", spec.sentence)?;
    }
    out.flush()?;
    Ok(())
}
