//! What became of a delivered restoration, on the command line.

use std::io::Write;

use super::arrived::{opened, opened_to_read};
use super::{archive_path, moment, notation, write_json};
use crate::archive::Archive;
use crate::case::Case;
use crate::case::journal::fold;
use crate::case::outcome::{Kind, Known, Refused};
use crate::cli::{Cli, DataFormat, OutcomeArgs};
use crate::desk::Desk;
use crate::error::{Error, Trouble};
use crate::fact::Place;
use crate::phrase::Phrase;
use crate::phrase::outcome as words;
use crate::phrase::program::outcome as says;
use crate::print::json::outcomes::Outcomes;
use crate::session::Inspection;
use crate::tooth::Tooth;

/// Writes down what became of a restoration, takes one back, or lists what is known.
///
/// # Errors
/// Returns an error if there is no such case, or what is named cannot be.
pub(super) fn carry_out(cli: &Cli, args: &OutcomeArgs, out: &mut dyn Write) -> Result<(), Error> {
    let recorded = match (args.what, args.take_back) {
        (Some(what), _) => Some(write(cli, args, what)?),
        (None, Some(number)) => Some(take_back(cli, args, number)?),
        (None, None) => None,
    };
    if let (Some(recorded), DataFormat::Text) = (&recorded, args.format) {
        writeln!(out, "{recorded}")?;
    }
    let desk = opened_to_read(cli, &args.case)?;
    list(&desk, args.format, out)
}

fn list(desk: &Desk, format: DataFormat, out: &mut dyn Write) -> Result<(), Error> {
    let Some((case, phrase)) = seen(desk) else {
        return Ok(());
    };
    if format == DataFormat::Json {
        return write_json(&Outcomes::of(case, phrase), out);
    }
    for own in case.units.restorations() {
        let units = phrase.units(own);
        match case.delivered_on(own.id) {
            Some(on) => writeln!(out, "{}", words::delivered(&units, on))?,
            None => writeln!(out, "{}", says::not_delivered(&units))?,
        }
    }
    for (number, own) in (1..).zip(case.outcomes()) {
        writeln!(
            out,
            "{}",
            says::numbered(number, &phrase.outcome_line(case, own))
        )?;
    }
    if case.outcomes().is_empty() {
        writeln!(out, "{}", words::NOTHING_KNOWN)?;
    }
    out.flush()?;
    Ok(())
}

fn seen(desk: &Desk) -> Option<(&Case, Phrase<'_>)> {
    let inspection = desk.session.inspection.as_ref()?;
    let phrase = Phrase {
        flow: inspection.flow(),
        notation: desk.session.notation,
    };
    Some((inspection.case(), phrase))
}

fn write(cli: &Cli, args: &OutcomeArgs, what: Kind) -> Result<String, Error> {
    let mut desk = opened(cli, &args.case)?;
    let moment = moment();
    let Some((case, phrase)) = seen(&desk) else {
        return Ok(String::new());
    };
    let (restoration, at) = place(cli, case, args.at.as_deref())?;
    let on = args.on.unwrap_or(moment.today);
    let known = args.known.unwrap_or(Known::usual(what));
    let mut outcome = case.outcome_of((what, known), restoration, at, on);
    outcome.seen = args.seen;
    outcome.goes_on.clone_from(&args.goes_on);
    let held = desk.session.is_held(restoration);
    case.check_outcome(&outcome, moment.today)
        .map_err(|why| refused(&phrase.outcome_refused(case, &why, held), &why))?;
    if args.seen.is_some() && !what.is_failure() {
        return Err(Error::new(Trouble::Usage, says::NOTHING_SEEN).hint(says::NOTHING_SEEN_HINT));
    }
    if let Some(next) = &args.goes_on {
        if !what.is_failure() {
            return Err(
                Error::new(Trouble::Usage, says::NOTHING_GOES_ON).hint(says::NOTHING_GOES_ON_HINT)
            );
        }
        let archive = Archive::open_existing(&archive_path(cli)?)?;
        if archive.end_of(next)?.is_none() {
            return Err(Error::new(Trouble::NoInput, says::no_case(next)).hint(says::NO_CASE_HINT));
        }
        if let Ok(other) = fold(&archive.journal(next)?) {
            let shared = other.units.sharing(&case.units, restoration);
            if shared.is_empty() {
                let what = says::no_tooth(next);
                return Err(Error::new(Trouble::Usage, what).hint(says::NO_TOOTH_HINT));
            }
            let days = shared.iter().filter_map(|id| other.delivered_on(*id));
            if days.min().is_some_and(|day| day <= on) {
                let what = says::delivered_before(next);
                return Err(Error::new(Trouble::Usage, what).hint(says::NO_TOOTH_HINT));
            }
        }
    }
    let said = words::kept(&phrase.outcome_line(case, &outcome));
    let effects = (desk.session.inspection.as_mut())
        .map_or_else(Vec::new, |own| own.keep_outcome(outcome, &moment));
    desk.carry_out(effects, &moment)?;
    if let Some(next) = &args.goes_on {
        desk.goes_on(&args.case, next, &crate::program::moment())?;
    }
    Ok(said)
}

fn refused(sentence: &str, why: &Refused) -> Error {
    let hint = match why {
        Refused::NotDelivered(_) => says::NOT_DELIVERED_HINT,
        Refused::Twice => says::TWICE_HINT,
        Refused::NotThere(_) | Refused::NoRestoration(_) => says::AT_HINT,
        Refused::Future(_) | Refused::BeforeDelivery(_) => says::ON_HINT,
        Refused::Itself => says::NO_CASE_HINT,
    };
    Error::new(Trouble::Usage, sentence).hint(hint)
}

fn take_back(cli: &Cli, args: &OutcomeArgs, number: usize) -> Result<String, Error> {
    let mut desk = opened(cli, &args.case)?;
    let moment = moment();
    let Some((case, phrase)) = seen(&desk) else {
        return Ok(String::new());
    };
    let own = number
        .checked_sub(1)
        .and_then(|own| case.outcomes().get(own));
    let Some(own) = own.cloned() else {
        let what = says::no_number(number, case.outcomes().len());
        return Err(Error::new(Trouble::Usage, what).hint(says::NUMBER_HINT));
    };
    let said = says::taken_back(&phrase.outcome_line(case, &own));
    let effects = (desk.session.inspection.as_mut())
        .map_or_else(Vec::new, |open: &mut Inspection| {
            open.take_back_outcome(own, &moment)
        });
    desk.carry_out(effects, &moment)?;
    Ok(said)
}

/// Returns the restoration with what was named of it: a unit, a connector, or the whole of it.
fn place(cli: &Cli, case: &Case, at: Option<&str>) -> Result<(u8, Option<Place>), Error> {
    let bad = |what: String| Error::new(Trouble::Usage, what).hint(says::AT_HINT);
    let Some(text) = at else {
        let all = match case.delivered().as_slice() {
            [] => case.units.restorations().iter().map(|own| own.id).collect(),
            delivered => delivered.to_vec(),
        };
        return match all.as_slice() {
            [own] => Ok((*own, None)),
            _ => Err(bad(says::WHICH.to_owned())),
        };
    };
    let text = crate::text::clean(text);
    let (notation, _) = notation(cli)?;
    let tooth = |word: &str| -> Result<Tooth, Error> {
        let word = word.trim().trim_start_matches('x');
        notation.read(word).map_err(|why| bad(says::at(&why)))
    };
    let at = match (text.parse(), text.split_once('-')) {
        (Ok(Place::Restoration(id)), _) => Place::Restoration(id),
        (_, Some((a, b))) => Place::connector(tooth(a)?, tooth(b)?),
        _ => Place::Unit(tooth(&text)?),
    };
    let owner = case.units.owner(at).filter(|_| case.units.has(at));
    let owner = owner.ok_or_else(|| bad(says::not_there(&text, &case.number)))?;
    let whole = matches!(at, Place::Restoration(_));
    Ok((owner.id, (!whole).then_some(at)))
}
