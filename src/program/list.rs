//! The worklist on the command line.

use std::io::Write;

use serde_json::json;

use super::{archive_path, desk, write_json};
use crate::archive::Archive;
use crate::case::Role;
use crate::cli::{Cli, DataFormat};
use crate::error::Error;
use crate::flow::Level;
use crate::walk::WorkItem;

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
                format!("{missing}{}", desk.walk.notation.show(unit.tooth))
            });
            units.collect::<Vec<_>>().join(" ")
        });
        Some(said.collect::<Vec<_>>().join("; "))
    };
    let list = &desk.walk.worklist;
    if format == DataFormat::Json {
        let cases: Vec<_> = list
            .iter()
            .map(|item| {
                json!({
                    "number": item.number,
                    "units": units(item),
                    "verdict": item.verdict.map(|verdict| name(verdict.level)),
                    "could_be": item.verdict.map(|verdict| name(verdict.could_be)),
                    "left": item.verdict.map(|_| item.left),
                    "last": item.last,
                })
            })
            .collect();
        let notation = desk.walk.notation.name();
        return write_json(
            &json!({ "format": 1, "notation": notation, "cases": cases }),
            out,
        );
    }
    let rows: Vec<[String; 6]> = list
        .iter()
        .map(|item| {
            let told = item.verdict.map(|verdict| {
                (
                    name(verdict.level).to_owned(),
                    name(verdict.could_be).to_owned(),
                    item.left.to_string(),
                )
            });
            // A case that cannot be read is listed all the same.
            let (level, could_be, left) =
                told.unwrap_or_else(|| ("unreadable".to_owned(), "-".to_owned(), "-".to_owned()));
            [
                item.number.clone(),
                units(item).unwrap_or_else(|| "-".to_owned()),
                level,
                could_be,
                left,
                item.last.to_string(),
            ]
        })
        .collect();
    // A tab between columns: numbers of cases and units have blanks in them, never tabs.
    if !rows.is_empty() {
        writeln!(out, "number\tunits\tverdict\tcould be\tleft\tlast")?;
    }
    for row in rows {
        writeln!(out, "{}", row.join("\t"))?;
    }
    out.flush()?;
    Ok(())
}

/// A level as in the JSON of prints.
fn name(level: Level) -> &'static str {
    match level {
        Level::Fine => "fine",
        Level::Watch => "watch",
        Level::Call => "call",
        Level::Hold => "hold",
    }
}
