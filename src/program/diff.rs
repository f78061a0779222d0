//! Two flows compared, on the command line.

use std::io::Write;
use std::path::Path;

use schemars::JsonSchema;
use serde::Serialize;

use super::{load_directory, write_json};
use crate::cli::DataFormat;
use crate::error::{Error, unusable, usable};
use crate::flow::difference::{Change, Difference, Moved, Row, difference};
use crate::flow::{Flow, embedded};
use crate::phrase::program::flows as says;
use crate::print::json::shape::FormatKey;

/// Says what differs between two flows, the built-in one if `now` is the only one.
///
/// # Errors
/// Returns an error if a flow cannot be read or has errors.
pub(super) fn carry_out(
    before: &Path,
    now: Option<&Path>,
    format: DataFormat,
    out: &mut dyn Write,
) -> Result<(), Error> {
    let (before, now) = match now {
        Some(now) => (load(before)?, load(now)?),
        None => (usable(embedded())?.0, load(before)?),
    };
    let found = difference(&before, &now);
    if format == DataFormat::Json {
        return write_json(&DiffObject::of(&before, &now, &found), out);
    }
    for line in lines(&before, &now, &found) {
        writeln!(out, "{line}")?;
    }
    out.flush()?;
    Ok(())
}

fn load(directory: &Path) -> Result<Flow, Error> {
    let mut loaded = load_directory(directory)?;
    if let Some(flow) = loaded.flow.take() {
        return Ok(flow);
    }
    let mut error = unusable(loaded);
    error.sentence = says::unusable(directory);
    Err(error)
}

fn lines(before: &Flow, now: &Flow, found: &Difference) -> Vec<String> {
    let mut lines = vec![says::compared(before, now)];
    let mut table = "";
    for row in found.rows.iter().filter(|row| row.has_meaning()) {
        if table != row.table {
            lines.push(row.table.to_owned());
            table = row.table;
        }
        match &row.change {
            Change::Added => lines.push(format!("  + {}", row.id)),
            Change::Gone => lines.push(format!("  - {}", row.id)),
            Change::Other(moved) => {
                lines.push(format!("  {}", row.id));
                let meant = moved.iter().filter(|own| !own.is_wording);
                lines.extend(
                    meant.map(|own| format!("      {}: {} → {}", own.what, own.before, own.now)),
                );
            }
        }
    }
    let beside: Vec<String> = found.rows.iter().filter_map(in_other_words).collect();
    if !beside.is_empty() {
        lines.push(says::OTHER_WORDS.to_owned());
        lines.extend(beside.into_iter().map(|line| format!("  {line}")));
    }
    lines.push(says::version_after(found));
    lines
}

/// Returns what of a row changes no result, in one line.
fn in_other_words(row: &Row) -> Option<String> {
    let what = match &row.change {
        Change::Added if !row.has_meaning() => "+".to_owned(),
        Change::Gone if !row.has_meaning() => "-".to_owned(),
        Change::Other(moved) => {
            let beside = !row.has_meaning();
            let mut names: Vec<&str> = Vec::new();
            for own in moved.iter().filter(|own| own.is_wording || beside) {
                let name = own.what.split(' ').next().unwrap_or_default();
                if !names.contains(&name) {
                    names.push(name);
                }
            }
            names.join(", ")
        }
        _ => String::new(),
    };
    (!what.is_empty()).then(|| format!("{} {}: {what}", row.table, row.id))
}

/// What differs between two flows.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "FlowDifference")]
pub(super) struct DiffObject<'a> {
    /// The format of this object.
    format: FormatKey,
    /// The first flow.
    before: NamedFlow<'a>,
    /// The second flow.
    now: NamedFlow<'a>,
    /// Whether results, or what is asked, may be others.
    has_meaning: bool,
    /// Whether the version has to be raised and was not.
    must_be_raised: bool,
    /// The rows that differ.
    rows: Vec<RowObject<'a>>,
}

/// A flow by its name.
#[derive(Serialize, JsonSchema)]
struct NamedFlow<'a> {
    /// Its id.
    id: &'a str,
    /// Its version.
    version: u32,
}

/// A row that differs.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "DifferentRow")]
struct RowObject<'a> {
    /// What it is a row of, by the word that its file begins with.
    table: &'a str,
    /// Its id.
    id: &'a str,
    /// Whether it is there before, now, or both times.
    there: ThereWord,
    /// Whether results, or what is asked, may be others for it.
    has_meaning: bool,
    /// What in it differs.
    moved: Vec<MovedObject<'a>>,
}

/// When a row is there.
#[derive(Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(inline)]
enum ThereWord {
    /// Only before.
    Before,
    /// Only now.
    Now,
    /// Both times.
    Both,
}

/// Something that differs in a row.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "DifferentField")]
struct MovedObject<'a> {
    /// What, by its name in the files.
    what: &'a str,
    /// What it was.
    before: &'a str,
    /// What it is now.
    now: &'a str,
    /// Whether it only says the same in other words, or names another source.
    wording: bool,
}

impl<'a> DiffObject<'a> {
    fn of(before: &'a Flow, now: &'a Flow, found: &'a Difference) -> DiffObject<'a> {
        let named = |flow: &'a Flow| NamedFlow {
            id: &flow.id,
            version: flow.version,
        };
        let moved = |own: &'a Moved| MovedObject {
            what: &own.what,
            before: &own.before,
            now: &own.now,
            wording: own.is_wording,
        };
        let rows = found.rows.iter().map(|row| RowObject {
            table: row.table,
            id: &row.id,
            there: match row.change {
                Change::Added => ThereWord::Now,
                Change::Gone => ThereWord::Before,
                Change::Other(_) => ThereWord::Both,
            },
            has_meaning: row.has_meaning(),
            moved: match &row.change {
                Change::Other(list) => list.iter().map(moved).collect(),
                _ => Vec::new(),
            },
        });
        DiffObject {
            format: FormatKey,
            before: named(before),
            now: named(now),
            has_meaning: found.has_meaning(),
            must_be_raised: found.must_be_raised(),
            rows: rows.collect(),
        }
    }
}
