//! Known models and the own hand, on the command line.

use std::io::Write;

use jiff::Timestamp;
use jiff::tz::TimeZone;
use uuid::Uuid;

use super::{nobody, rows};
use crate::archive::{Archive, ArchiveError, Practice};
use crate::ask::plain;
use crate::case::Case;
use crate::case::file::check_number;
use crate::case::journal::fold;
use crate::cli::{Cli, PractiseArgs};
use crate::error::{Error, Trouble, usable};
use crate::fact::{Spot, Value};
use crate::flow::{Flow, Level};
use crate::phrase::Phrase;
use crate::phrase::practice as practice_words;
use crate::phrase::practice::model as says;
use crate::practice::hand::{Hand, Walk, hands};
use crate::practice::model::{Compared, Harm, compare, means};
use crate::practice::progress::busy;
use crate::practice::record::{Act, Row};
use crate::program::{archive_path, desk, loaded, moment, notation};

fn usage(what: impl Into<String>, hint: impl Into<String>) -> Error {
    Error::new(Trouble::Usage, what.into()).hint(hint.into())
}

fn keep(archive: &mut Archive, who: &str, case: Option<&str>, act: &Act) -> Result<(), Error> {
    let act =
        serde_json::to_value(act).map_err(|error| Error::new(Trouble::Bug, error.to_string()))?;
    archive.practise(&Practice {
        id: Uuid::new_v4(),
        when: Timestamp::now(),
        who: who.to_owned(),
        case: case.map(str::to_owned),
        act,
    })?;
    Ok(())
}

/// The cases that are passes of a model's key, each with who walked it.
fn key_of<'a>(rows: &'a [Row], model: &str) -> Vec<(&'a str, &'a str)> {
    let own = rows
        .iter()
        .filter(|row| matches!(&row.act, Act::Key { model: own } if own == model));
    own.filter_map(|row| Some((row.case.as_deref()?, row.who.as_str())))
        .collect()
}

fn folded(archive: &Archive, number: &str) -> Result<Case, Error> {
    let journal = archive.journal(number)?;
    fold(&journal).map_err(|error| Error::new(Trouble::Data, error.to_string()))
}

fn passes(archive: &Archive, rows: &[Row], model: &str) -> Result<Vec<Case>, Error> {
    key_of(rows, model)
        .into_iter()
        .map(|(number, _)| folded(archive, number))
        .collect()
}

/// Makes a case a pass of a model's key.
pub(super) fn key(
    cli: &Cli,
    (model, case): (&str, &str),
    out: &mut dyn Write,
) -> Result<(), Error> {
    if !cli.supervisor {
        return Err(usage(says::SUPERVISOR_ONLY, says::SUPERVISOR_ONLY_HINT));
    }
    check_number(model).map_err(|why| usage(why, says::NO_MODEL_HINT))?;
    let who = super::super::who(cli)?.ok_or_else(nobody)?;
    let mut archive = Archive::open_existing(&archive_path(cli)?)?;
    let rows = rows(&archive)?;
    if rows.iter().any(|row| row.case.as_deref() == Some(case)) {
        return Err(usage(says::is_practice(case), says::IS_PRACTICE_HINT));
    }
    let own = folded(&archive, case)?;
    let known = passes(&archive, &rows, model)?;
    if known.first().is_some_and(|first| first.units != own.units) {
        return Err(usage(says::other_units(case), says::IS_PRACTICE_HINT));
    }
    let act = Act::Key {
        model: model.to_owned(),
    };
    keep(&mut archive, &who, Some(case), &act)?;
    writeln!(out, "{}", says::key_kept(case, model, known.len() + 1))?;
    Ok(())
}

/// Begins a walk: a case of the model's units, of which nothing is answered.
pub(super) fn walk(cli: &Cli, model: &str, out: &mut dyn Write) -> Result<(), Error> {
    let who = super::super::who(cli)?.ok_or_else(nobody)?;
    let mut archive = Archive::open_existing(&archive_path(cli)?)?;
    let rows = rows(&archive)?;
    let passes = passes(&archive, &rows, model)?;
    let Some(first) = passes.first() else {
        return Err(no_model(model));
    };
    let free = (1..).map(|nth| format!("{model}-{who}-{nth}"));
    let mut number = String::new();
    for own in free {
        if archive.end_of(&own)?.is_none() {
            number = own;
            break;
        }
    }
    check_number(&number).map_err(|why| usage(why, says::IS_PRACTICE_HINT))?;
    let act = Act::Walk {
        model: model.to_owned(),
    };
    // Before the case is there: it is in no worklist from its first entry on.
    keep(&mut archive, &who, Some(&number), &act)?;
    drop(archive);
    let mut desk = desk(cli, Archive::open_existing)?;
    desk.create(&number, first.units.clone(), &moment())?;
    desk.leave()?;
    writeln!(out, "{}", says::begun(&number))?;
    writeln!(out, "{}", says::then_compare(model))?;
    Ok(())
}

fn no_model(model: &str) -> Error {
    Error::new(Trouble::NoInput, says::no_model(model)).hint(says::NO_MODEL_HINT)
}

/// Whose walk or hand is told: the own one, or another's to the supervisor.
fn whose(cli: &Cli, args: &PractiseArgs) -> Result<String, Error> {
    let own = super::super::who(cli)?;
    match &args.of {
        Some(of) if cli.supervisor || own.as_ref() == Some(of) => Ok(of.clone()),
        Some(_) => Err(usage(
            practice_words::ANOTHERS,
            practice_words::ANOTHERS_HINT,
        )),
        None => own.ok_or_else(nobody),
    }
}

/// Holds somebody's last walk of a model against its key.
pub(super) fn told(
    cli: &Cli,
    args: &PractiseArgs,
    model: &str,
    out: &mut dyn Write,
) -> Result<(), Error> {
    let who = whose(cli, args)?;
    let (flow, _) = usable(loaded(cli)?)?;
    let archive = Archive::open_to_read(&archive_path(cli)?)?;
    let rows = rows(&archive)?;
    let passes = passes(&archive, &rows, model)?;
    if passes.is_empty() {
        return Err(no_model(model));
    }
    let walks = walks(&archive, &rows, &who)?;
    let Some(Walked { walk, number, .. }) = walks.into_iter().rfind(|own| own.walk.model == model)
    else {
        return Err(Error::new(Trouble::NoInput, says::not_walked(&who, model))
            .hint(says::not_walked_hint(model)));
    };
    let Some(found) = compare(&flow, &walk.case, &passes) else {
        return Err(no_model(model));
    };
    let phrase = Phrase {
        flow: &flow,
        notation: notation(cli)?.0,
    };
    let mut lines = vec![
        says::compared(model, &number, passes.len()),
        phrase.results(&found),
    ];
    lines.extend((passes.len() == 1).then(|| says::ONE_PASS.to_owned()));
    lines.extend((!found.finished).then(|| says::NOT_FINISHED.to_owned()));
    let (told, within): (Vec<_>, Vec<_>) = found
        .readings
        .iter()
        .partition(|own| own.harm != Harm::Within);
    // What was not read, and from which nothing comes, is counted and not told one by one.
    let (unread, told): (Vec<&Compared>, Vec<&Compared>) = told
        .into_iter()
        .partition(|own| own.own.is_none() && own.harm >= Harm::Outside);
    let unread = unread.len();
    lines.push(
        if told.is_empty() && unread == 0 {
            says::AS_THE_KEY
        } else {
            says::WORST_FIRST
        }
        .to_owned(),
    );
    lines.extend(told.into_iter().map(|own| phrase.beside_the_key(own)));
    lines.push(says::no_line(unread, within.len(), found.same));
    for line in lines {
        writeln!(out, "{}", plain(&line))?;
    }
    out.flush()?;
    Ok(())
}

/// A walk, with its case's number and how long it took.
struct Walked {
    walk: Walk,
    number: String,
    seconds: u32,
}

/// Somebody's walks, the oldest first; those that were begun and never answered are none.
fn walks(archive: &Archive, rows: &[Row], who: &str) -> Result<Vec<Walked>, Error> {
    let mut walks = Vec::new();
    for row in rows.iter().filter(|row| row.who == who) {
        let (Act::Walk { model }, Some(number)) = (&row.act, &row.case) else {
            continue;
        };
        let journal = match archive.journal(number) {
            Ok(journal) => journal,
            Err(ArchiveError::NoSuchCase { .. }) => continue,
            Err(error) => return Err(error.into()),
        };
        let times: Vec<Timestamp> = journal.iter().map(|entry| entry.when).collect();
        let last = times
            .last()
            .map(|when| TimeZone::system().to_datetime(*when).date());
        let case = fold(&journal).map_err(|error| Error::new(Trouble::Data, error.to_string()))?;
        if case.present().next().is_some() {
            let walk = Walk {
                model: model.clone(),
                on: last.unwrap_or(row.on),
                case,
            };
            walks.push(Walked {
                walk,
                number: number.clone(),
                seconds: busy(&times),
            });
        }
    }
    Ok(walks)
}

/// The results of somebody's finished walks, each with that of its key and how long it took.
pub(super) fn results(
    archive: &Archive,
    rows: &[Row],
    who: &str,
    flow: &Flow,
) -> Result<Vec<(Level, Level, u32)>, Error> {
    let mut results = Vec::new();
    for own in walks(archive, rows, who)? {
        let passes = passes(archive, rows, &own.walk.model)?;
        let found = compare(flow, &own.walk.case, &passes).filter(|found| found.finished);
        results.extend(found.map(|found| (found.own, found.key, own.seconds)));
    }
    Ok(results)
}

/// Says how steady somebody's hand is; with `--agree`, the supervisor has its reading errors used.
pub(super) fn hand(cli: &Cli, args: &PractiseArgs, out: &mut dyn Write) -> Result<(), Error> {
    let who = whose(cli, args)?;
    if args.agree && !cli.supervisor {
        return Err(usage(says::SUPERVISOR_ONLY, says::SUPERVISOR_ONLY_HINT));
    }
    let (flow, _) = usable(loaded(cli)?)?;
    let path = archive_path(cli)?;
    let mut archive = match args.agree {
        true => Archive::open_existing(&path)?,
        false => Archive::open_to_read(&path)?,
    };
    let rows = rows(&archive)?;
    let walks: Vec<Walk> = walks(&archive, &rows, &who)?
        .into_iter()
        .map(|own| own.walk)
        .collect();
    let mut keys = Vec::new();
    for walk in &walks {
        if !keys.iter().any(|(model, _)| *model == walk.model) {
            keys.push((
                walk.model.clone(),
                means(&passes(&archive, &rows, &walk.model)?),
            ));
        }
    }
    let key = |model: &str, spot: &Spot| {
        let (_, key) = keys.iter().find(|(own, _)| own == model)?;
        key.get(spot).and_then(Value::number)
    };
    let found = hands(&flow, &walks, &key);
    let phrase = Phrase {
        flow: &flow,
        notation: notation(cli)?.0,
    };
    let mut lines = vec![says::hand_of(&who)];
    if found.is_empty() {
        lines.push(says::NO_WALKS.to_owned());
    }
    lines.extend(found.iter().map(|own| phrase.hand(own)));
    if args.agree {
        lines.push(agree(&mut archive, &who, &found)?);
    }
    for line in lines {
        writeln!(out, "{}", plain(&line))?;
    }
    out.flush()?;
    Ok(())
}

fn agree(archive: &mut Archive, who: &str, found: &[Hand]) -> Result<String, Error> {
    let errors: Vec<(String, String, f64)> = found
        .iter()
        .filter_map(|own| Some((own.fact.to_string(), own.with.clone(), own.own?)))
        .collect();
    if errors.is_empty() {
        return Err(usage(says::nothing_to_consent(who), says::more_walks()));
    }
    let count = errors.len();
    keep(archive, who, None, &Act::Hand { errors })?;
    Ok(says::consented(who, count))
}
