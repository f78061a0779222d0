//! The walk as plain lines: opens or makes the case, and says how it ended.
//!
//! From a pipe, the first line that is not taken ends it. Lines answer questions by their order: going on would give
//! each later answer to the question before its own, and most would fit. Whoever hears the refusal can answer again
//! (`--go-on`).

use std::io::{IsTerminal as _, Write};

use super::{archive_path, desk, moment, notation};
use crate::archive::Archive;
use crate::ask::{Ended, NOT_KEPT, Outside, run};
use crate::case::Units;
use crate::case::file::{check_number, looks_like_name};
use crate::cli::Cli;
use crate::desk::Desk;
use crate::error::{Error, Trouble};
use crate::session::units_line::{ambiguity, read, read_back};

/// Walks a case, or from the worklist where none is named.
///
/// # Errors
/// There is no such case and no units to make it with, or a line was not taken and nobody heard it.
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
            Trouble::NoInput => error.hint("--units \"44 x45 46\" makes a new case of such units"),
            _ => error,
        })?,
        (None, _) => desk(cli, Archive::open(&archive_path(cli)?)?)?,
    };
    desk.session.single = case.is_some();
    let lab = crate::settings::laboratory(&super::settings::folder(cli))?;
    desk.prints_for(lab.laboratory, lab.prints);
    let listens = std::io::stdin().is_terminal();
    let ended = run(
        &mut desk,
        Outside {
            input: &mut std::io::stdin().lock(),
            output: out,
            moment: &mut moment,
            goes_on: goes_on || listens,
        },
    );
    // Answers first: they are worth more than how it ended.
    if desk.has_unsaved() {
        desk.save()?;
    }
    let ended = ended?;
    if listens {
        return Ok(());
    }
    told(&ended, goes_on)
}

fn opened(cli: &Cli, case: &str) -> Result<Desk, Error> {
    let mut desk = desk(cli, Archive::open_existing(&archive_path(cli)?)?)?;
    desk.open(case)?;
    Ok(desk)
}

/// Opens a case, or makes it where there is none; a case that is there must have these units.
fn made(cli: &Cli, case: &str, (line, sure): (&str, bool)) -> Result<Desk, Error> {
    let bad = |what: String| Error::new(Trouble::Usage, what);
    check_number(case)
        .map_err(|why| bad(why).hint("letters, digits and - / . _; never a patient's name"))?;
    let (notation, _) = notation(cli)?;
    let units: Units = read(line, notation).map_err(|why| {
        bad(format!("--units: {why}"))
            .hint("x marks a missing tooth, ; the next restoration: \"44 x45 46; 26\" in ISO 3950")
    })?;
    let mut desk = desk(cli, Archive::open(&archive_path(cli)?)?)?;
    let is_new = !desk.session.worklist.iter().any(|item| item.number == case);
    if !sure {
        if is_new && looks_like_name(case) {
            return Err(bad(format!(
                "{case:?} looks like a name, and no patient names are kept"
            ))
            .hint("add --sure where it is a case number"));
        }
        if let Some(says) = read_back(line, notation) {
            return Err(bad(format!("--units: {says}"))
                .hint("add --sure where that is meant, or type every tooth"));
        }
        let chosen = desk.session.chosen_notation == Some(notation);
        if !chosen && let Some(says) = ambiguity(line, notation) {
            return Err(bad(format!("--units: {says}"))
                .hint("add --sure where they are meant as they are, or name another --notation"));
        }
    }
    match desk
        .session
        .worklist
        .iter()
        .find(|item| item.number == case)
    {
        None => desk.create(case, units, &moment())?,
        Some(item) if item.units.as_ref().is_none_or(|own| *own == units) => desk.open(case)?,
        Some(_) => {
            return Err(
                bad(format!("case {case} is there already, with other units"))
                    .hint("leave --units out to go on with it"),
            );
        }
    }
    Ok(desk)
}

/// Says on the error stream what nobody may have heard.
fn told(ended: &Ended, goes_on: bool) -> Result<(), Error> {
    if let Some((line, why)) = &ended.first {
        let (sentence, hint) = match ended.refused {
            1 if goes_on => (format!("line {line} was not taken: {why}"), None),
            1 => (
                format!("line {line} was not taken: {why}"),
                Some(
                    "what came before it is kept, nothing behind it was read; mend the line and go on from there",
                ),
            ),
            count => (
                format!("{count} lines were not taken; the first is line {line}: {why}"),
                None,
            ),
        };
        let error = Error::new(Trouble::Data, sentence);
        return Err(error.hint(hint.unwrap_or("every line that was taken is kept")));
    }
    if ended.asked_back {
        return Err(Error::new(Trouble::Data, NOT_KEPT)
            .hint("it is kept once a line says \"yes\", or the reading once more"));
    }
    if ended.begun {
        return Err(Error::new(
            Trouble::Data,
            "an answer on the call was begun and is not kept",
        )
        .hint("it is kept once it was read back and an empty line says so"));
    }
    Ok(())
}
