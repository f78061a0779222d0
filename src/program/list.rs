//! The worklist on the command line.

use std::io::Write;

use schemars::JsonSchema;
use serde::Serialize;

use super::{archive_path, desk, write_json};
use crate::archive::Archive;
use crate::case::Role;
use crate::cli::{Cli, DataFormat};
use crate::error::Error;
use crate::phrase::words;
use crate::print::json::shape::{
    Format, Moment, RestorationShape, StateWord, VerdictShape, VerdictWord, Waiting, restorations,
    waiting,
};
use crate::session::WorkItem;

/// The worklist, the case that was worked on last first.
#[derive(Serialize, JsonSchema)]
pub(super) struct Worklist<'a> {
    /// The format of this object.
    format: Format,
    /// The cases.
    cases: Vec<CaseObject<'a>>,
}

/// A case of the worklist.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Case")]
struct CaseObject<'a> {
    /// The case's number.
    case: &'a str,
    /// Its restorations, each with its units; null where the case cannot be read.
    restorations: Option<Vec<RestorationShape>>,
    /// What it comes to, and what it could be; null where the case cannot be read.
    verdict: Option<VerdictShape>,
    /// How far it is; null where the case cannot be read.
    state: Option<StateWord>,
    /// What has still to come in.
    waiting_for: Vec<Waiting>,
    /// What it is expected to come to once that is here; null where nothing is expected.
    expected: Option<VerdictShape>,
    /// Questions that come up and are not answered; null where the case cannot be read.
    left: Option<usize>,
    /// When it was last worked on.
    last: Moment,
}

/// Lists the cases, the one that was worked on last first.
///
/// # Errors
/// There is no archive, or it cannot be read.
pub(super) fn carry_out(cli: &Cli, format: DataFormat, out: &mut dyn Write) -> Result<(), Error> {
    let desk = desk(cli, Archive::open_existing(&archive_path(cli)?)?)?;
    let units = |item: &WorkItem| -> Option<String> {
        let said = item.units.as_ref()?.restorations().iter().map(|own| {
            let units = own.units.iter().map(|unit| {
                let missing = if unit.role == Role::Pontic { "x" } else { "" };
                format!("{missing}{}", desk.session.notation.show(unit.tooth))
            });
            units.collect::<Vec<_>>().join(" ")
        });
        Some(said.collect::<Vec<_>>().join("; "))
    };
    let list = &desk.session.worklist;
    if format == DataFormat::Json {
        let worklist = Worklist {
            format: Format,
            cases: list.iter().map(object).collect(),
        };
        return write_json(&worklist, out);
    }
    let rows: Vec<[String; 7]> = list
        .iter()
        .map(|item| {
            let told = item.verdict.map(|verdict| {
                (
                    VerdictWord::of(verdict).as_str().to_owned(),
                    verdict.could_be.as_str().to_owned(),
                    item.left.to_string(),
                )
            });
            // A case that cannot be read is listed all the same.
            let (level, could_be, left) =
                told.unwrap_or_else(|| ("unreadable".to_owned(), "-".to_owned(), "-".to_owned()));
            [
                item.number.clone(),
                units(item).unwrap_or_else(|| "-".to_owned()),
                state(item),
                level,
                could_be,
                left,
                Moment(item.last).to_string(),
            ]
        })
        .collect();
    // A tab between columns: numbers of cases and units have blanks in them, never tabs.
    if !rows.is_empty() {
        writeln!(out, "number\tunits\tstate\tverdict\tcould be\tleft\tlast")?;
    }
    for row in rows {
        writeln!(out, "{}", row.join("\t"))?;
    }
    out.flush()?;
    Ok(())
}

/// How far a case is, with what it waits for and the day that is due.
fn state(item: &WorkItem) -> String {
    let Some(state) = &item.state else {
        return "-".to_owned();
    };
    let awaited = state.awaited();
    let parts: Vec<&str> = awaited.iter().map(|own| own.part.as_str()).collect();
    let due = awaited.iter().filter_map(|own| own.due).min();
    let mut said = state.state.as_str().to_owned();
    if !parts.is_empty() {
        said.push_str(&format!(" for {}", parts.join(", ")));
    }
    let all = item
        .units
        .as_ref()
        .map_or(0, |units| units.restorations().len());
    if let Some(other) = words::some_not_covered(item.not_covered, all) {
        said.push_str(&format!(", {other}"));
    }
    if let Some(due) = due {
        said.push_str(&format!(", due {due}"));
    }
    said
}

fn object(item: &WorkItem) -> CaseObject<'_> {
    CaseObject {
        case: &item.number,
        restorations: item.units.as_ref().map(restorations),
        verdict: item.verdict.map(VerdictShape::from),
        state: item.state.as_ref().map(|state| StateWord(state.state)),
        waiting_for: match (&item.state, &item.units) {
            (Some(state), Some(units)) => waiting(units, &state.awaited()),
            _ => Vec::new(),
        },
        expected: item.expected.map(VerdictShape::from),
        left: item.verdict.map(|_| item.left),
        last: Moment(item.last),
    }
}
