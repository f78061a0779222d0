//! What arrives and what becomes of a case, on the command line.

use std::io::Write;

use jiff::civil::Date;

use super::{archive_path, desk, moment, notation};
use crate::archive::Archive;
use crate::case::Case;
use crate::case::coming::Part;
use crate::case::file::check_number;
use crate::case::life::{CaseEvent, Happened};
use crate::cli::Cli;
use crate::desk::Desk;
use crate::error::{Error, Trouble};
use crate::phrase::program::arrival as says;
use crate::session::Inspection;
use crate::state::arrival;

/// Records that something has arrived.
///
/// # Errors
/// Returns an error if there is no such case, it is not waiting for that, or the day is not possible.
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
                Error::new(Trouble::Usage, says::not_awaited(number, &why))
                    .hint(says::NOT_AWAITED_HINT)
            })?;
        let mut effects = inspection.keep_as_found(&moment);
        effects.extend(inspection.arrive(arrival, &moment));
        effects
    };
    desk.carry_out(effects, &moment)?;
    said(&desk, out, &says::arrived(part, on))
}

/// Records what became of restorations.
///
/// # Errors
/// Returns an error if there is no such case, or the day is not possible.
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
            Error::new(Trouble::Usage, format!("--goes-on: {why}")).hint(says::NUMBER_HINT)
        })?;
    }
    if goes_on == Some(number) {
        return Err(Error::new(Trouble::Usage, says::ITSELF).hint(says::ITSELF_HINT));
    }
    let restorations = match &desk.session.inspection {
        Some(inspection) => owners(cli, inspection.case(), teeth)?,
        None => return Ok(()),
    };
    if what == Happened::Resumed {
        let case = desk.session.inspection.as_ref().map(Inspection::case);
        let can = |id: &u8| case.is_some_and(|case| case.can_resume(*id));
        if !restorations.iter().all(can) {
            return Err(
                Error::new(Trouble::Usage, says::NOT_BY_MISTAKE).hint(says::NOT_BY_MISTAKE_HINT)
            );
        }
    }
    if let Some(next) = goes_on {
        let archive = Archive::open_existing(&archive_path(cli)?)?;
        if archive.end_of(next)?.is_none() {
            writeln!(out, "{}", says::no_case_yet(next))?;
        }
    }
    // A delivery is recorded even if the work was not cleared; both are on record.
    for line in desk.session.speaks_against(what, &restorations) {
        writeln!(out, "{}", says::recorded_though(what, &line))?;
    }
    let effects = {
        let Some(inspection) = &mut desk.session.inspection else {
            return Ok(());
        };
        let event = CaseEvent {
            what,
            restorations,
            on,
            goes_on: goes_on.map(str::to_owned),
        };
        inspection.happen(event, &moment)
    };
    desk.carry_out(effects, &moment)?;
    said(&desk, out, &says::became(what, on))
}

/// Opens a case of the archive.
///
/// # Errors
/// Returns an error if there is no archive or no such case.
pub(super) fn opened(cli: &Cli, number: &str) -> Result<Desk, Error> {
    let mut desk = desk(cli, Archive::open_existing)?;
    desk.open(number)?;
    Ok(desk)
}

/// Opens a case of the archive to look at it: an archive that can only be read will do.
///
/// # Errors
/// Returns an error if there is no archive or no such case.
pub(super) fn opened_to_read(cli: &Cli, number: &str) -> Result<Desk, Error> {
    let mut desk = desk(cli, Archive::open_to_read)?;
    desk.open(number)?;
    Ok(desk)
}

fn day(on: Option<Date>, today: Date) -> Result<Date, Error> {
    match on {
        Some(day) if day > today => {
            Err(Error::new(Trouble::Usage, says::in_the_future(day)).hint(says::IN_THE_FUTURE_HINT))
        }
        Some(day) => Ok(day),
        None => Ok(today),
    }
}

/// Returns the ids of the restorations with these teeth, or of all if `teeth` is `None`.
fn owners(cli: &Cli, case: &Case, teeth: Option<&str>) -> Result<Vec<u8>, Error> {
    let all = || case.units.restorations().iter().map(|own| own.id);
    let Some(teeth) = teeth else {
        return Ok(all().collect());
    };
    let (notation, _) = notation(cli)?;
    let mut ids = Vec::new();
    for word in teeth.split([' ', ',']).filter(|word| !word.is_empty()) {
        let bad = |what: String| Error::new(Trouble::Usage, what).hint(says::TEETH_HINT);
        let tooth = notation
            .read(word.trim_start_matches('x'))
            .map_err(|why| bad(says::not_a_tooth(&why)))?;
        let (owner, _) = case
            .units
            .unit(tooth)
            .ok_or_else(|| bad(says::not_a_unit(word, &case.number)))?;
        if !ids.contains(&owner.id) {
            ids.push(owner.id);
        }
    }
    if ids.is_empty() {
        return Err(Error::new(Trouble::Usage, says::NO_TEETH).hint(says::NO_TEETH_HINT));
    }
    Ok(ids)
}

/// Prints what was recorded and how far the case is now.
fn said(desk: &Desk, out: &mut dyn Write, recorded: &str) -> Result<(), Error> {
    writeln!(out, "{recorded}")?;
    for line in desk.session.state_lines() {
        writeln!(out, "{line}")?;
    }
    out.flush()?;
    Ok(())
}
