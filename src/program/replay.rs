//! A flow tried on the archive, on the command line.

mod json;

use std::io::Write;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;

use jiff::tz::TimeZone;

use super::rates::told;
use super::{archive_path, load_directory, loaded, moment, write_document, write_json};
use crate::archive::{Archive, ArchiveError};
use crate::cli::{Cli, DataFormat, ReplayArgs};
use crate::desk::{Flows, FoundCase, Walked, both, sliced, walk};
use crate::error::{Error, Trouble, unusable, usable};
use crate::fact::Value;
use crate::flow::{Flow, Loaded};
use crate::learn::replay::{Looked, Over, Replay, replay};
use crate::learn::sweep::{Limit, MOST_STEPS, Moved, NoSteps, Steps, Sweep, limits, sweep};
use crate::phrase::faults::flow::answer_takes;
use crate::phrase::learn as rates;
use crate::phrase::program::flows as flow_words;
use crate::phrase::trial::replay as says;
use crate::phrase::words::outcome as result_words;
use crate::print::Format;
use crate::print::replay::{about, in_words, nothing, slices, unit};

pub(super) use json::ReplayObject;

/// Judges the archive by another flow, or moves one limit of it.
///
/// # Errors
/// Returns an error if the archive or the flow cannot be read, or the question is not answered.
pub(super) fn carry_out(cli: &Cli, args: &ReplayArgs, out: &mut dyn Write) -> Result<(), Error> {
    if !args.of.iter().all(|kind| kind.is_failure()) {
        return Err(Error::new(Trouble::Usage, rates::NO_RETURN).hint(rates::NO_RETURN_HINT));
    }
    let flow = match &args.directory {
        Some(directory) => {
            let loaded = load_directory(directory)?;
            match loaded {
                Loaded {
                    flow: Some(flow), ..
                } => flow,
                loaded => {
                    let mut error = unusable(loaded);
                    error.sentence = flow_words::unusable(directory);
                    return Err(error);
                }
            }
        }
        None => usable(loaded(cli)?)?.0,
    };
    let flow = Arc::new(flow);
    let over = Over {
        kinds: args.of.clone(),
        months: i32::from(args.within),
        today: moment().today,
    };
    let stop = stopped_by_hand()?;
    match args.sweep.as_slice() {
        [] => {
            let walked = over_archive(cli, &flow, &stop, |own| both(own, &flow))?;
            let looked = walked.looked;
            let found = replay(&walked.lots, walked.all, &over);
            nothing_judged(looked, found.restorations)?;
            if found.is_too_open() {
                let what = says::too_open(found.open, found.restorations);
                let error = Error::new(Trouble::Data, what).hint(says::TOO_OPEN_HINT);
                return Err(beside(looked, error));
            }
            match args.format {
                DataFormat::Json => {
                    write_json(&ReplayObject::of_replay(looked, &flow, &found, &over), out)
                }
                DataFormat::Text => write(out, lines(looked, &flow, &found, &over)),
            }
        }
        [name, numbers @ ..] => {
            let steps = steps(&flow, name, numbers)?;
            let over = over.of_rule(flow.rules.get(steps.limit.nth));
            let walked = over_archive(cli, &flow, &stop, |own| sliced(own, &flow, &steps))?;
            let looked = walked.looked;
            let found = sweep(&walked.lots, &walked.all, &steps, &over);
            if !looked.is_whole() {
                refuse(&found).map_err(|error| {
                    let what = says::broken_off(looked.done, looked.of);
                    Error::new(error.trouble, what).hint(error.sentence)
                })?;
            }
            refuse(&found)?;
            let moved = Moved { steps, over };
            match args.format {
                DataFormat::Json => {
                    write_json(&ReplayObject::of_sweep(looked, &flow, &found, &moved), out)
                }
                DataFormat::Text => {
                    let leaf = slices(&flow, &moved, &found, looked);
                    write_document(&leaf.document(), Format::Text, out)
                }
            }
        }
    }
}

/// Fails if there are cases and none of them could be judged.
fn nothing_judged(looked: Looked, restorations: u64) -> Result<(), Error> {
    if restorations > 0 || looked.unread == 0 {
        return Ok(());
    }
    let error = Error::new(Trouble::Data, says::nothing_judged(looked.unread))
        .hint(says::NOTHING_JUDGED_HINT);
    Err(beside(looked, error))
}

/// Adds to an error that not all was read, if so.
fn beside(looked: Looked, error: Error) -> Error {
    match looked.is_whole() {
        true => error,
        false => error.hint(says::broken_off(looked.done, looked.of)),
    }
}

fn write(out: &mut dyn Write, lines: Vec<String>) -> Result<(), Error> {
    for line in lines {
        writeln!(out, "{line}")?;
    }
    out.flush()?;
    Ok(())
}

/// Returns what is set once somebody breaks off by Ctrl-C.
fn stopped_by_hand() -> Result<Arc<AtomicBool>, Error> {
    let stop = Arc::new(AtomicBool::new(false));
    #[cfg(unix)]
    signal_hook::flag::register(signal_hook::consts::SIGINT, stop.clone())?;
    Ok(stop)
}

fn over_archive<T: Send>(
    cli: &Cli,
    flow: &Arc<Flow>,
    stop: &AtomicBool,
    each: impl Fn(FoundCase<'_>) -> Vec<T> + Sync,
) -> Result<Walked<T>, Error> {
    match Archive::open_to_read(&archive_path(cli)?) {
        Ok(archive) => {
            let flows = Flows::new(flow.clone());
            let mut tell = told();
            walk(
                &archive,
                &flows,
                &TimeZone::system(),
                (stop, &mut tell),
                each,
            )
        }
        Err(ArchiveError::Missing(_)) if cli.archive.is_none() => Ok(Walked {
            lots: Vec::new(),
            all: Vec::new(),
            looked: Looked::default(),
        }),
        Err(error) => Err(error.into()),
    }
}

/// Reads what a limit is moved by.
fn steps(flow: &Flow, name: &str, numbers: &[String]) -> Result<Steps, Error> {
    let refused = |what: String, hint: &str| Error::new(Trouble::Usage, what).hint(hint);
    let mut found = limits(flow, name);
    let limit = match found.len() {
        0 => return Err(refused(says::no_limit(name), says::NO_LIMIT_HINT)),
        1 => found.remove(0),
        _ => {
            let names: Vec<String> = found.iter().map(Limit::name).collect();
            return Err(refused(
                says::which_limit(name),
                &says::one_of_limits(&names),
            ));
        }
    };
    let mut read = Vec::new();
    for text in numbers {
        let number: f64 = text
            .parse()
            .map_err(|_| refused(says::no_number(text), says::NO_STEPS_HINT))?;
        read.push(number);
    }
    let [from, to, by] = read[..] else {
        return Err(refused(says::NO_STEPS.to_owned(), says::NO_STEPS_HINT));
    };
    if let Some(spec) = flow.spec(&limit.fact) {
        for number in [from, to] {
            let value = Value::Number(number, unit(flow, &limit));
            if spec.check(&value).is_err() {
                let what = says::limit_never(number, &limit.fact.to_string());
                return Err(refused(what, &takes(flow, &limit)));
            }
        }
    }
    Steps::new(flow, limit, (from, to), by).map_err(|why| match why {
        NoSteps::Backwards => refused(says::NO_STEPS.to_owned(), says::NO_STEPS_HINT),
        NoSteps::TooMany(steps) => {
            let what = says::too_many_steps(steps, MOST_STEPS);
            refused(what, says::TOO_MANY_STEPS_HINT)
        }
    })
}

/// Returns what the fact of a limit takes.
fn takes(flow: &Flow, limit: &Limit) -> String {
    let spec = flow.spec(&limit.fact);
    spec.map_or_else(String::new, |spec| answer_takes(&spec.kind))
}

fn refuse(found: &Sweep) -> Result<(), Error> {
    found.tells_nothing().map_or(Ok(()), |why| {
        let (what, hint) = nothing(why);
        Err(Error::new(Trouble::Data, what).hint(hint))
    })
}

fn lines(looked: Looked, flow: &Flow, found: &Replay, over: &Over) -> Vec<String> {
    let mut lines = about(looked);
    let name = rates::flow(&flow.id, flow.version);
    lines.push(says::replayed(&name, found.restorations));
    if found.open > 0 {
        lines.push(says::never_asked(found.open));
    }
    lines.push(says::calls_moved(found.calls.0, found.calls.1));
    for (several, word) in [
        (
            &found.added,
            says::added as fn(&says::Several, i32) -> String,
        ),
        (&found.saved, says::saved),
    ] {
        if several.count > 0 {
            lines.push(format!("  {}", word(&in_words(several), over.months)));
        }
    }
    lines.push(String::new());
    if found.moves.is_empty() {
        lines.push(says::NO_MOVES.to_owned());
        return lines;
    }
    lines.push(says::MOVES.to_owned());
    for ((from, to), several) in &found.moves {
        let (from, to) = (result_words(*from), result_words(*to));
        lines.push(says::moved(from, to, &in_words(several), over.months));
    }
    lines.extend([says::ONLY_AS_FOUND.to_owned(), String::new()]);
    lines.push(says::MOVED_CASES.to_owned());
    for own in &found.cases {
        let (from, to) = (
            result_words(own.before.result),
            result_words(own.after.result),
        );
        let known = &own.known;
        let line = says::moved_case(&known.number, known.restoration, from, to);
        lines.push(format!("  {line}"));
    }
    lines
}
