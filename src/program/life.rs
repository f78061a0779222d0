//! The days of a case, who has it, and what was entered, on the command line.

use std::io::Write;

use jiff::tz::TimeZone;

use super::arrived::{opened, opened_to_read};
use super::{moment, write_json};
use crate::case::beside::MAX_NOTE;
use crate::case::code::{Whose, check_code};
use crate::case::history::{About, history};
use crate::cli::{Cli, DataFormat, DueArgs, HandArgs, HistoryArgs};
use crate::error::{Error, Trouble};
use crate::fact::{CATALOGUE, FactId, ORDER_DUE, ORDER_PROMISED, Place, Spot};
use crate::phrase::Phrase;
use crate::phrase::history::NOTHING;
use crate::phrase::program::command_line::life::UNITS;
use crate::phrase::program::errors::did_you_mean;
use crate::phrase::program::life as says;
use crate::phrase::prompts::life::long_note;
use crate::print::json::history::Past;
use crate::ronfile::nearest;
use crate::text::clean;

/// Enters the days of a case, and says which it has.
///
/// # Errors
/// Returns an error if there is no such case, or the archive cannot be written to.
pub(super) fn due(cli: &Cli, args: &DueArgs, out: &mut dyn Write) -> Result<(), Error> {
    let mut desk = match (args.due, args.promised) {
        (None, None) => opened_to_read(cli, &args.case)?,
        _ => opened(cli, &args.case)?,
    };
    for (fact, day) in [(ORDER_DUE, args.due), (ORDER_PROMISED, args.promised)] {
        // Each entry has an id of its own.
        let moment = moment();
        let effects = match (day, &mut desk.session.inspection) {
            (Some(day), Some(inspection)) => inspection.set_day(&fact, day.0, &moment),
            _ => Vec::new(),
        };
        desk.carry_out(effects, &moment)?;
    }
    let Some(inspection) = &desk.session.inspection else {
        return Ok(());
    };
    let case = inspection.case();
    let line = says::days_of(&args.case, case.due_day(), case.promised_day());
    writeln!(out, "{line}")?;
    out.flush()?;
    Ok(())
}

/// Hands a case over.
///
/// # Errors
/// Returns an error if there is no such case, the code is none, or the note is too long.
pub(super) fn hand(cli: &Cli, args: &HandArgs, out: &mut dyn Write) -> Result<(), Error> {
    let (to, note) = (clean(&args.to), clean(&args.note));
    let bad = |what: String| Error::new(Trouble::Usage, what);
    check_code(&to, Whose::Bench).map_err(|why| bad(says::to(&why)).hint(says::CODE_HINT))?;
    if note.chars().count() > MAX_NOTE {
        return Err(bad(says::note_long(&long_note(MAX_NOTE))).hint(says::NOTE_HINT));
    }
    let mut desk = opened(cli, &args.case)?;
    let moment = moment();
    let effects = match &mut desk.session.inspection {
        Some(inspection) => inspection.hand_over(&to, note.trim(), &moment),
        None => Vec::new(),
    };
    desk.carry_out(effects, &moment)?;
    writeln!(out, "{}", says::handed(&args.case, &to, moment.today))?;
    out.flush()?;
    Ok(())
}

/// Shows what was entered before.
///
/// # Errors
/// Returns an error if there is no such case, fact or place.
pub(super) fn look_back(cli: &Cli, args: &HistoryArgs, out: &mut dyn Write) -> Result<(), Error> {
    let about = about(args)?;
    let desk = opened_to_read(cli, &args.case)?;
    let Some(inspection) = &desk.session.inspection else {
        return Ok(());
    };
    let events = history(inspection.journal(), &about)
        .map_err(|error| Error::new(Trouble::Data, error.to_string()))?;
    let (facts, zone) = (inspection.facts(), TimeZone::system());
    let phrase = Phrase {
        flow: inspection.flow(),
        notation: desk.session.notation,
    };
    if args.format == DataFormat::Json {
        return write_json(&Past::of(&facts, phrase, (&events, &about), &zone), out);
    }
    if events.is_empty() {
        writeln!(out, "{NOTHING}")?;
    }
    for event in &events {
        writeln!(out, "{}", phrase.event(&facts, (event, &about), &zone))?;
    }
    out.flush()?;
    Ok(())
}

/// Returns what is looked back at.
fn about(args: &HistoryArgs) -> Result<About, Error> {
    let bad = |what: String| Error::new(Trouble::Usage, what);
    let Some(name) = args.fact.as_deref() else {
        return Ok(About::Case);
    };
    if name == UNITS {
        return Ok(About::Units);
    }
    let fact = FactId::named(&clean(name));
    if fact.spec().is_none() && !name.starts_with("x.") {
        let error = bad(says::no_fact(&clean(name)));
        let known = CATALOGUE.iter().map(|spec| spec.id.as_ref());
        return Err(match nearest(name, known) {
            Some(near) => error.hint(did_you_mean(near)),
            None => error.hint(says::NO_FACT_HINT),
        });
    }
    let Some(at) = args.at.as_deref() else {
        return Ok(About::Fact(fact));
    };
    let at: Place = at.parse().map_err(|why: crate::fact::PlaceError| {
        bad(says::at(&why.to_string())).hint(says::AT_HINT)
    })?;
    Ok(About::Spot(Spot { fact, at }))
}
