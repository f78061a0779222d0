//! The inspection line by line: opens or creates the case, and reports how it ended.
//!
//! From a pipe, the first line that is not taken ends it. Lines answer questions by their order: going on would give
//! each later answer to the question before its own, and most would fit. Whoever hears the refusal can answer again
//! (`--go-on`).

use std::io::{IsTerminal as _, Write};

use super::{desk, moment, notation};
use crate::archive::Archive;
use crate::ask::{Ended, LinesOutside, NOT_KEPT, run};
use crate::case::Units;
use crate::case::file::{check_number, looks_like_name};
use crate::cli::Cli;
use crate::desk::Desk;
use crate::error::{Error, Trouble};
use crate::phrase::program::{arrival::NUMBER_HINT, ask as says};
use crate::session::units_line::{ambiguity, read, read_back};

/// Inspects a case, or begins at the worklist if `case` is `None`.
///
/// # Errors
/// Returns an error if there is no such case and no units to create it with, or if a line was refused and the input is
/// not a terminal.
pub(super) fn carry_out(
    cli: &Cli,
    case: Option<&str>,
    (units, sure): (Option<&str>, bool),
    goes_on: bool,
    out: &mut dyn Write,
) -> Result<(), Error> {
    let mut desk = match (case, units) {
        (Some(case), Some(line)) => made(cli, case, (line, sure))?,
        (Some(case), None) => opened(cli, case).map_err(|error| match error.trouble {
            Trouble::NoInput => error.hint(says::NO_CASE_HINT),
            _ => error,
        })?,
        (None, _) => listed(cli)?,
    };
    desk.session.single = case.is_some();
    let lab = crate::settings::laboratory(&super::settings::folder(cli))?;
    desk.prints_for(lab.laboratory, lab.prints);
    let listens = std::io::stdin().is_terminal();
    let ended = run(
        &mut desk,
        LinesOutside {
            input: &mut std::io::stdin().lock(),
            output: out,
            moment: &mut moment,
            goes_on: goes_on || listens,
        },
    );
    // Answers first: they matter more than how it ended.
    desk.leave()?;
    let ended = ended?;
    if listens {
        return Ok(());
    }
    told(&ended, goes_on)
}

/// Opens the worklist: what is said of it first is read first, the rest beside.
fn listed(cli: &Cli) -> Result<Desk, Error> {
    let mut desk = desk(cli, Archive::open)?;
    desk.show_worklist()?;
    desk.fill_apart(drop)?;
    Ok(desk)
}

fn opened(cli: &Cli, case: &str) -> Result<Desk, Error> {
    let mut desk = desk(cli, Archive::open_existing)?;
    desk.open(case)?;
    Ok(desk)
}

/// Opens a case, or creates it if it does not exist; an existing case must have these units.
fn made(cli: &Cli, case: &str, (line, sure): (&str, bool)) -> Result<Desk, Error> {
    let bad = |what: String| Error::new(Trouble::Usage, what);
    check_number(case).map_err(|why| bad(why).hint(NUMBER_HINT))?;
    let (notation, _) = notation(cli)?;
    let units: Units = read(line, notation)
        .map_err(|why| bad(format!("--units: {why}")).hint(says::UNITS_HINT))?;
    let mut desk = desk(cli, Archive::open)?;
    let is_new = !desk.has(case)?;
    if !sure {
        if is_new && looks_like_name(case) {
            return Err(bad(says::looks_like_name(case)).hint(says::LOOKS_LIKE_NAME_HINT));
        }
        if let Some(read) = read_back(line, notation) {
            return Err(bad(format!("--units: {read}")).hint(says::READ_BACK_HINT));
        }
        let chosen = desk.session.chosen_notation == Some(notation);
        if !chosen && let Some(other) = ambiguity(line, notation) {
            return Err(bad(format!("--units: {other}")).hint(says::AMBIGUOUS_HINT));
        }
    }
    if is_new {
        desk.create(case, units, &moment())?;
        return Ok(desk);
    }
    desk.open(case)?;
    let own = desk
        .session
        .inspection
        .as_ref()
        .map(|own| &own.case().units);
    if own.is_some_and(|own| *own != units) {
        return Err(bad(says::other_units(case)).hint(says::OTHER_UNITS_HINT));
    }
    Ok(desk)
}

/// Returns an error for what a script may have missed: refused lines and answers that were not saved.
fn told(ended: &Ended, goes_on: bool) -> Result<(), Error> {
    if let Some(line) = ended.unsaved {
        return Err(Error::new(Trouble::Io, says::saved_late(line)).hint(says::SAVED_LATE_HINT));
    }
    if let Some((line, why)) = &ended.first {
        let (sentence, hint) = match ended.refused {
            1 if goes_on => (says::refused(*line, why), says::WENT_ON_HINT),
            1 => (says::refused(*line, why), says::ENDED_HINT),
            count => (says::refused_lines(count, *line, why), says::WENT_ON_HINT),
        };
        return Err(Error::new(Trouble::Data, sentence).hint(hint));
    }
    if ended.asked_back {
        return Err(Error::new(Trouble::Data, NOT_KEPT).hint(says::ASKED_BACK_HINT));
    }
    if ended.begun {
        return Err(
            Error::new(Trouble::Data, crate::phrase::pages::ask::BEGUN).hint(says::BEGUN_HINT)
        );
    }
    Ok(())
}
