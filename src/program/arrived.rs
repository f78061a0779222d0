//! What arrives and what becomes of a case, on the command line.

use std::io::Write;

use jiff::civil::Date;

use super::{archive_path, desk, moment, notation};
use crate::archive::Archive;
use crate::case::Case;
use crate::case::coming::Part;
use crate::case::file::check_number;
use crate::case::life::{Event, Happened};
use crate::cli::Cli;
use crate::desk::Desk;
use crate::error::{Error, Trouble};
use crate::phrase::coming::came_on;
use crate::session::Inspection;
use crate::state::arrival;

/// Keeps that something has arrived.
///
/// # Errors
/// There is no such case, it does not wait for that, or the day cannot be.
pub(super) fn arrived(
    cli: &Cli,
    number: &str,
    part: Part,
    (on, teeth): (Option<Date>, Option<&str>),
    out: &mut dyn Write,
) -> Result<(), Error> {
    let mut desk = opened(cli, number)?;
    let moment = moment();
    let on = day(on, moment.today)?;
    let effects = {
        let Some(inspection) = &mut desk.session.inspection else {
            return Ok(());
        };
        let restorations = owners(cli, inspection.case(), teeth)?;
        let there = (inspection.case(), inspection.judgement());
        let arrival =
            arrival(inspection.flow(), there, part, &restorations, on).map_err(|why| {
                Error::new(Trouble::Usage, format!("case {number}: {why}"))
                    .hint("`casepan list` says what each case waits for")
            })?;
        let mut effects = inspection.keep_as_found(&moment);
        effects.extend(inspection.arrive(arrival, &moment));
        effects
    };
    desk.carry_out(effects, &moment)?;
    said(&desk, out, &format!("kept: {}", came_on(part, on)))
}

/// Keeps what became of restorations.
///
/// # Errors
/// There is no such case, or the day cannot be.
pub(super) fn became(
    cli: &Cli,
    number: &str,
    what: Happened,
    (on, teeth): (Option<Date>, Option<&str>),
    goes_on: Option<&str>,
    out: &mut dyn Write,
) -> Result<(), Error> {
    let mut desk = opened(cli, number)?;
    let moment = moment();
    let on = day(on, moment.today)?;
    if let Some(next) = goes_on {
        check_number(next).map_err(|why| {
            Error::new(Trouble::Usage, format!("--goes-on: {why}"))
                .hint("letters, digits and - / . _; never a patient's name")
        })?;
    }
    if goes_on == Some(number) {
        return Err(
            Error::new(Trouble::Usage, "--goes-on: a case does not go on as itself")
                .hint("name the new case"),
        );
    }
    let restorations = match &desk.session.inspection {
        Some(inspection) => owners(cli, inspection.case(), teeth)?,
        None => return Ok(()),
    };
    if what == Happened::Resumed {
        let case = desk.session.inspection.as_ref().map(Inspection::case);
        let last = |id: &u8| {
            case.and_then(|case| case.last_event(*id))
                .map(|own| own.what)
        };
        let back = |id: &&u8| {
            matches!(
                last(id),
                None | Some(Happened::Returned | Happened::Resumed)
            )
        };
        if restorations.iter().any(|id| back(&id)) {
            return Err(Error::new(
                Trouble::Usage,
                "only what was delivered or withdrawn by mistake is taken up again",
            )
            .hint(
                "what came back goes on as a new case: open it, then `returned --goes-on NUMBER`",
            ));
        }
    }
    if let Some(next) = goes_on {
        let archive = Archive::open_existing(&archive_path(cli)?)?;
        if !archive.cases()?.iter().any(|row| row.number == next) {
            writeln!(out, "note: there is no case {next} in the archive yet")?;
        }
    }
    if what == Happened::Delivered {
        // What left has left; that it was not cleared is said, and the record keeps both.
        for line in desk.session.not_cleared(&restorations) {
            writeln!(out, "note: delivered, though {line}")?;
        }
    }
    let effects = {
        let Some(inspection) = &mut desk.session.inspection else {
            return Ok(());
        };
        let event = Event {
            what,
            restorations,
            on,
            goes_on: goes_on.map(str::to_owned),
        };
        inspection.happen(event, &moment)
    };
    desk.carry_out(effects, &moment)?;
    said(&desk, out, &format!("kept as {} on {on}", what.as_str()))
}

fn opened(cli: &Cli, number: &str) -> Result<Desk, Error> {
    let mut desk = desk(cli, Archive::open_existing(&archive_path(cli)?)?)?;
    desk.open(number)?;
    Ok(desk)
}

fn day(on: Option<Date>, today: Date) -> Result<Date, Error> {
    match on {
        Some(day) if day > today => Err(Error::new(
            Trouble::Usage,
            format!("--on: {day} is still to come"),
        )
        .hint("leave --on out where it is today")),
        Some(day) => Ok(day),
        None => Ok(today),
    }
}

/// The restorations with these teeth; all of them where none is named.
fn owners(cli: &Cli, case: &Case, teeth: Option<&str>) -> Result<Vec<u8>, Error> {
    let all = || case.units.restorations().iter().map(|own| own.id);
    let Some(teeth) = teeth else {
        return Ok(all().collect());
    };
    let (notation, _) = notation(cli)?;
    let mut ids = Vec::new();
    for word in teeth.split([' ', ',']).filter(|word| !word.is_empty()) {
        let bad = |why: String| {
            Error::new(Trouble::Usage, format!("--teeth: {why}"))
                .hint("name units of the case, such as \"44 46\"")
        };
        let tooth = notation
            .read(word.trim_start_matches('x'))
            .map_err(|why| bad(why.to_string()))?;
        let (owner, _) = case
            .units
            .unit(tooth)
            .ok_or_else(|| bad(format!("{word} is no unit of case {}", case.number)))?;
        if !ids.contains(&owner.id) {
            ids.push(owner.id);
        }
    }
    if ids.is_empty() {
        return Err(Error::new(Trouble::Usage, "--teeth: no tooth is named")
            .hint("leave it out for all of the case"));
    }
    Ok(ids)
}

/// Says what was kept and how far the case is now.
fn said(desk: &Desk, out: &mut dyn Write, kept: &str) -> Result<(), Error> {
    writeln!(out, "{kept}")?;
    for line in desk.session.state_lines() {
        writeln!(out, "{line}")?;
    }
    out.flush()?;
    Ok(())
}
