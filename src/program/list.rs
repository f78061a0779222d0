//! The worklist on the command line.

use std::io::Write;

use schemars::JsonSchema;
use serde::Serialize;

use super::{archive_path, desk, write_json};
use crate::archive::Archive;
use crate::case::Role;
use crate::case::coming::Part;
use crate::cli::{Cli, DataFormat};
use crate::error::Error;
use crate::phrase::program::worklist as says;
use crate::print::json::shape::{
    FormatKey, Moment, RestorationShape, StateWord, VerdictShape, VerdictWord, Waiting,
    restorations, waiting,
};
use crate::session::WorkItem;

/// The worklist, the last worked-on case first.
#[derive(Serialize, JsonSchema)]
pub(super) struct Worklist<'a> {
    /// The format of this object.
    format: FormatKey,
    /// The cases.
    cases: Vec<CaseObject<'a>>,
}

/// A case of the worklist.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Case")]
struct CaseObject<'a> {
    /// The case's number.
    case: &'a str,
    /// Its restorations, each with its units; null if the case cannot be read.
    restorations: Option<Vec<RestorationShape>>,
    /// Its verdict, and what that may become; null if the case cannot be read.
    verdict: Option<VerdictShape>,
    /// How far it is; null if the case cannot be read.
    state: Option<StateWord>,
    /// What it is still waiting for.
    waiting_for: Vec<Waiting>,
    /// Its expected verdict once that is here; null if nothing is expected.
    expected: Option<VerdictShape>,
    /// Questions still to be answered; null if the case cannot be read.
    left: Option<usize>,
    /// When it was last worked on.
    last: Moment,
}

/// Lists the cases, the last worked-on case first.
///
/// # Errors
/// Returns an error if there is no archive, or it cannot be read.
pub(super) fn carry_out(cli: &Cli, format: DataFormat, out: &mut dyn Write) -> Result<(), Error> {
    let desk = desk(cli, Archive::open_to_read(&archive_path(cli)?)?)?;
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
            format: FormatKey,
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
                told.unwrap_or_else(|| (says::UNREADABLE.to_owned(), unknown(), unknown()));
            [
                item.number.clone(),
                units(item).unwrap_or_else(unknown),
                state(item),
                level,
                could_be,
                left,
                Moment(item.last).to_string(),
            ]
        })
        .collect();
    // A tab between columns: case numbers and units may have blanks in them, never tabs.
    if !rows.is_empty() {
        writeln!(out, "{}", says::COLUMNS)?;
    }
    for row in rows {
        writeln!(out, "{}", row.join("\t"))?;
    }
    out.flush()?;
    Ok(())
}

/// What stands for a value of a case that cannot be read.
fn unknown() -> String {
    says::UNKNOWN.to_owned()
}

/// Returns how far a case is, with what it is waiting for and the day that is due.
fn state(item: &WorkItem) -> String {
    let Some(state) = &item.state else {
        return unknown();
    };
    let awaited = state.awaited();
    let parts: Vec<Part> = awaited.iter().map(|own| own.part).collect();
    let due = awaited.iter().filter_map(|own| own.due).min();
    let all = item
        .units
        .as_ref()
        .map_or(0, |units| units.restorations().len());
    says::state(state.state, &parts, (item.not_covered, all), due)
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
