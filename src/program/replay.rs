//! A flow tried on the archive, on the command line.

mod json;

use std::io::Write;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;

use jiff::tz::TimeZone;

use super::rates::told;
use super::{archive_path, load_directory, loaded, moment, write_json};
use crate::archive::{Archive, ArchiveError};
use crate::cli::{Cli, DataFormat, ReplayArgs};
use crate::derive::{Facts, Precision};
use crate::desk::{Flows, FoundCase, Walked, both, walk};
use crate::error::{Error, Trouble, unusable, usable};
use crate::fact::{Kind as FactKind, Unit, Value};
use crate::flow::{Flow, Loaded};
use crate::learn::Lot;
use crate::learn::replay::{Known, Over, Replay, Several, replay};
use crate::learn::sweep::{
    Limit, MOST_STEPS, NoSteps, Slice, Steps, Sweep, TellsNothing, limits, sweep,
};
use crate::phrase::faults::flow::answer_takes;
use crate::phrase::learn as rates;
use crate::phrase::program::{flows as flow_words, outcome as command};
use crate::phrase::trial::{bar, not_found, replay as says, top};
use crate::phrase::words::outcome as result_words;
use crate::phrase::{number_words, rounded};

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
            let (head, lots, all) = parted(walked);
            let found = replay(&lots, all, &over);
            head.nothing(found.restorations)?;
            if found.is_too_open() {
                let what = says::too_open(found.open, found.restorations);
                let error = Error::new(Trouble::Data, what).hint(says::TOO_OPEN_HINT);
                return Err(head.beside(error));
            }
            match args.format {
                DataFormat::Json => {
                    write_json(&ReplayObject::of_replay(&head, &flow, &found, &over), out)
                }
                DataFormat::Text => write(out, lines(&head, &flow, &found, &over)),
            }
        }
        [name, numbers @ ..] => {
            let steps = steps(&flow, name, numbers)?;
            let precision = match steps.limit.is_searched() {
                true => Precision::Exact,
                false => Precision::Quick,
            };
            let over = of_rule(over, &flow, &steps.limit);
            let walked = over_archive(cli, &flow, &stop, |own| {
                sliced(own, &flow, &steps, precision)
            })?;
            let (head, lots, all) = parted(walked);
            let found = sweep(&lots, &all, &steps, &over);
            if head.done < head.of {
                refuse(&found).map_err(|error| {
                    let what = says::broken_off(head.done, head.of);
                    Error::new(error.trouble, what).hint(error.sentence)
                })?;
            }
            refuse(&found)?;
            match args.format {
                DataFormat::Json => write_json(
                    &ReplayObject::of_sweep(&head, &flow, (&steps, &found), &over),
                    out,
                ),
                DataFormat::Text => write(out, slices(&head, &flow, (&steps, &found), &over)),
            }
        }
    }
}

/// What is said of the walk itself.
pub(super) struct Head {
    unread: usize,
    not_found: usize,
    done: usize,
    of: usize,
}

impl Head {
    /// Fails if there are cases and none of them could be judged.
    fn nothing(&self, restorations: u64) -> Result<(), Error> {
        if restorations > 0 || self.unread == 0 {
            return Ok(());
        }
        Err(self.beside(
            Error::new(Trouble::Data, says::nothing_judged(self.unread))
                .hint(says::NOTHING_JUDGED_HINT),
        ))
    }

    /// Adds to an error that not all was read, if so.
    fn beside(&self, error: Error) -> Error {
        if self.done < self.of {
            return error.hint(says::broken_off(self.done, self.of));
        }
        error
    }
}

fn parted<T>(walked: Walked<T>) -> (Head, Vec<Lot>, Vec<T>) {
    let head = Head {
        unread: walked.unread,
        not_found: walked.not_found,
        done: walked.done,
        of: walked.of,
    };
    (head, walked.lots, walked.all)
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
            unread: 0,
            not_found: 0,
            done: 0,
            of: 0,
        }),
        Err(error) => Err(error.into()),
    }
}

/// What the rule of a limit foretells counts, where nothing was named.
fn of_rule(mut over: Over, flow: &Flow, limit: &Limit) -> Over {
    if over.kinds.is_empty()
        && let Some(rule) = flow.rules.get(limit.nth)
    {
        over.kinds.clone_from(&rule.foretells);
    }
    over
}

fn sliced(
    own: FoundCase<'_>,
    flow: &Flow,
    steps: &Steps,
    precision: Precision,
) -> Vec<(Known, Slice)> {
    let facts = Facts::with(flow, own.found, precision);
    let slices = steps.slices(&facts);
    let all = own.known.iter();
    all.filter_map(|known| {
        let (_, slice) = slices.iter().find(|(id, _)| *id == known.restoration)?;
        Some((known.clone(), *slice))
    })
    .collect()
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

fn unit(flow: &Flow, limit: &Limit) -> Unit {
    match flow.spec(&limit.fact).map(|spec| &spec.kind) {
        Some(FactKind::Number { unit, .. }) => *unit,
        _ => Unit::Ratio,
    }
}

fn refuse(found: &Sweep) -> Result<(), Error> {
    match found.tells_nothing() {
        None => Ok(()),
        Some(TellsNothing::Open(open, of)) => {
            Err(Error::new(Trouble::Data, says::too_open(open, of)).hint(says::TOO_OPEN_HINT))
        }
        Some(TellsNothing::Few(returns)) => {
            let what = says::too_few_returns(returns);
            Err(Error::new(Trouble::Data, what).hint(says::TOO_FEW_RETURNS_HINT))
        }
    }
}

fn about(head: &Head) -> Vec<String> {
    let mut lines = Vec::new();
    if head.done < head.of {
        lines.push(says::broken_off(head.done, head.of));
    }
    if head.unread > 0 {
        lines.push(command::unread(head.unread));
    }
    if head.not_found > 0 {
        lines.push(not_found(head.not_found));
    }
    lines
}

fn in_words(own: &Several) -> says::Several {
    says::Several {
        count: own.count,
        came: (own.as_found.came, own.as_found.of),
        interval: own.as_found.interval.map(|own| (own.low, own.high)),
        unknown: own.unknown,
    }
}

fn lines(head: &Head, flow: &Flow, found: &Replay, over: &Over) -> Vec<String> {
    let mut lines = about(head);
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

fn slices(head: &Head, flow: &Flow, (steps, found): (&Steps, &Sweep), over: &Over) -> Vec<String> {
    let limit = &steps.limit;
    let unit = unit(flow, limit);
    // As many decimals as the steps have, so that no two look alike.
    let decimals = |own: f64| (0..6).find(|n| rounded(own, *n) == own).unwrap_or(6);
    let most = steps.at.iter().map(|at| decimals(*at)).max().unwrap_or(0);
    let say = |own: f64| number_words(own, unit, Some(most));
    let label = flow.spec(&limit.fact).map_or("", |spec| &spec.label);
    let mut lines = about(head);
    lines.push(says::swept(
        &limit.rule,
        limit.level.as_str(),
        label,
        &over.kinds,
    ));
    lines.push(says::in_slices(found.decidable, found.open, found.closing));
    lines.push(String::new());
    let high = |own: &Several| own.as_found.interval.filter(|_| own.as_found.of > 0);
    let scale = top(found
        .rows
        .iter()
        .filter_map(|row| Some(high(&row.own)?.high)));
    lines.push(says::slices_head(scale));
    for (nth, row) in found.rows.iter().enumerate() {
        let (from, to) = (row.from.map(say), row.to.map(say));
        let name = says::slice(from.as_deref(), to.as_deref());
        let several = in_words(&row.own);
        let (came, of) = several.came;
        let bar = bar(came as f64 / of.max(1) as f64, several.interval, scale);
        let now = found.now == Some(nth);
        lines.push(
            says::slice_row(&name, row.told, &several, &bar, now)
                .trim_end()
                .to_owned(),
        );
    }
    lines.push(String::new());
    lines.extend(says::SLICES_ARE.map(str::to_owned));
    lines.push(String::new());
    if let Some(now) = found.now {
        let here = say(limit.now);
        let last = found.rows.len() - 1;
        let beyond = &found.rows[now + 1..last];
        let before = &found.rows[1..=now];
        for (rows, to, more) in [
            (beyond, steps.at.last(), true),
            (if now > 0 { before } else { &[] }, steps.at.first(), false),
        ] {
            let (Some(to), false) = (to, rows.is_empty()) else {
                continue;
            };
            let several = in_words(&found.together(rows));
            lines.push(says::put_to(&here, &say(*to), more, &several, over.months));
        }
    }
    lines.push(says::none_is_best(found.returns(), found.rows.len()));
    lines
}
