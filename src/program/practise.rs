//! Practice on the command line: drills as plain lines, and what somebody's record says.

mod model;

use std::collections::BTreeSet;
use std::io::{IsTerminal as _, Write};
use std::time::Instant;

use jiff::tz::TimeZone;
use uuid::Uuid;

use super::{archive_path, loaded, moment, notation, write_document};
use crate::archive::{Archive, ArchiveError, Practice};
use crate::ask::{Line, next_line, plain};
use crate::cli::{Cli, PractiseArgs, SheetFormat};
use crate::error::{Error, Trouble, usable};
use crate::fact::Spot;
use crate::phrase::Phrase;
use crate::phrase::pages::ask::YOUR_ANSWER;
use crate::phrase::practice as says;
use crate::practice::progress::{LEAST, Progress, interval, middle};
use crate::practice::record::{Act, Answered, Drills, Row, answered};
use crate::practice::{Drill, drill, nth, seed_of};
use crate::print::Format;
use crate::print::drills::drills;

/// Practises, or says what a record says.
///
/// # Errors
/// Returns an error if nobody is named, the archive cannot be read or written, or a line from a pipe is no answer.
pub(super) fn carry_out(cli: &Cli, args: &PractiseArgs, out: &mut dyn Write) -> Result<(), Error> {
    match (&args.model, &args.key) {
        (Some(name), Some(case)) => return model::key(cli, (name, case), out),
        (Some(name), None) if args.walk => return model::walk(cli, name, out),
        (Some(name), None) => return model::told(cli, args, name, out),
        (None, _) if args.hand => return model::hand(cli, args, out),
        (None, _) => {}
    }
    let own = super::who(cli)?;
    if args.sheet {
        return sheet(cli, args, own.as_deref(), out);
    }
    if args.of.is_some() && !args.record {
        return Err(Error::new(Trouble::Usage, says::OF_WHAT).hint(says::OF_WHAT_HINT));
    }
    if args.record {
        return record(cli, args, own.as_deref(), out);
    }
    let who = own.ok_or_else(nobody)?;
    let (flow, _) = usable(loaded(cli)?)?;
    let mut archive = Archive::open(&archive_path(cli)?)?;
    super::archive::watch(&mut archive)?;
    let rows = rows(&archive)?;
    let listens = std::io::stdin().is_terminal();
    let mut session = Session {
        phrase: Phrase {
            flow: &flow,
            notation: notation(cli)?.0,
        },
        drills: Drills::of(&rows, &who),
        who,
        archive,
        out,
        listens,
        lines: 0,
        done: Vec::new(),
    };
    let ended = session.run(args);
    session.sum_up()?;
    ended
}

fn nobody() -> Error {
    Error::new(Trouble::Usage, says::NOBODY).hint(says::NOBODY_HINT)
}

/// Reads the record. What a newer version keeps and this one does not know is left out.
fn rows(archive: &Archive) -> Result<Vec<Row>, Error> {
    let rows = archive.practice()?.into_iter();
    Ok(rows
        .filter_map(|row| {
            Some(Row {
                who: row.who,
                on: TimeZone::system().to_datetime(row.when).date(),
                case: row.case,
                act: serde_json::from_value(row.act).ok()?,
            })
        })
        .collect())
}

/// What a line meant.
enum Heard {
    Number(usize),
    Skip,
    Stop,
}

struct Session<'a> {
    phrase: Phrase<'a>,
    drills: Drills,
    who: String,
    archive: Archive,
    out: &'a mut dyn Write,
    listens: bool,
    lines: usize,
    done: Vec<(Answered, String)>,
}

impl Session<'_> {
    fn say(&mut self, lines: impl IntoIterator<Item = String>) -> Result<(), Error> {
        for line in lines {
            writeln!(self.out, "{}", plain(&line))?;
        }
        Ok(())
    }

    /// Asks until a line is one of `most` answers; an empty line is one where it may be `skipped`.
    fn hear(&mut self, most: usize, skipped: bool) -> Result<Heard, Error> {
        loop {
            self.say([YOUR_ANSWER.to_owned()])?;
            self.out.flush()?;
            let Some(line) = next_line(&mut std::io::stdin().lock())? else {
                return Ok(Heard::Stop);
            };
            self.lines += 1;
            let why = match line {
                Line::Odd(why) => why,
                Line::Text(text) if text.eq_ignore_ascii_case(says::STOP) => {
                    return Ok(Heard::Stop);
                }
                Line::Text(text) if text.is_empty() && skipped => return Ok(Heard::Skip),
                Line::Text(text) => match text.parse::<usize>() {
                    Ok(number) if (1..=most).contains(&number) => {
                        return Ok(Heard::Number(number - 1));
                    }
                    _ => says::not_an_answer(&text, most),
                },
            };
            self.say([why.clone()])?;
            // In a script, each line after it would answer the wrong question.
            if !self.listens {
                let what = crate::phrase::program::ask::refused(self.lines, &why);
                return Err(
                    Error::new(Trouble::Data, what).hint(crate::phrase::program::ask::ENDED_HINT)
                );
            }
        }
    }

    fn run(&mut self, args: &PractiseArgs) -> Result<(), Error> {
        let seed = args.seed.unwrap_or_else(|| seed_of(&self.who));
        let today = moment().today;
        let count = usize::from(args.count);
        let asked = self.drills.session(seed, count, today);
        let due = asked
            .iter()
            .filter(|(kind, seed)| self.drills.known(*kind, *seed).is_some());
        let due = due.count();
        self.say([
            says::TITLE.to_owned(),
            says::begins(due, asked.len() - due),
            says::HOW.to_owned(),
        ])?;
        for (nth, (kind, seed)) in (1..).zip(&asked) {
            let Some(drill) = drill(self.phrase.flow, *kind, *seed) else {
                return Err(no_drill());
            };
            self.say([says::number(nth, asked.len())])?;
            if !self.ask(&drill)? {
                break;
            }
        }
        Ok(())
    }

    /// Asks one drill; returns whether the session goes on.
    fn ask(&mut self, drill: &Drill) -> Result<bool, Error> {
        let phrase = self.phrase;
        self.say(phrase.drill_tells(drill))?;
        self.say([
            says::REST_IS_SOUND.to_owned(),
            says::asks(drill.asks).to_owned(),
        ])?;
        let words: Vec<String> = drill
            .choices
            .iter()
            .map(|choice| phrase.drill_choice(drill, choice))
            .collect();
        self.say(
            (1..)
                .zip(&words)
                .map(|(number, words)| says::choice(number, words)),
        )?;
        let begun = Instant::now();
        let Heard::Number(chosen) = self.hear(words.len(), false)? else {
            return Ok(false);
        };
        let seconds = u32::try_from(begun.elapsed().as_secs()).unwrap_or(u32::MAX);
        let (mut named, mut goes_on) = (None, true);
        if chosen == drill.right && !drill.decides.is_empty() {
            let readings = drill.told.iter().map(|spot| phrase.drill_spot(spot));
            let lines: Vec<String> = (1..)
                .zip(readings)
                .map(|(number, words)| says::choice(number, &words))
                .collect();
            self.say([says::WHICH_DECIDES.to_owned()])?;
            self.say(lines)?;
            // The answer that was given counts, whatever comes of this line.
            match self.hear(drill.told.len(), true) {
                Ok(Heard::Number(number)) => named = drill.told.get(number),
                Ok(Heard::Skip) => {}
                Ok(Heard::Stop) => goes_on = false,
                Err(error) => {
                    self.keep(drill, chosen, None, seconds, &words)?;
                    return Err(error);
                }
            }
        }
        self.keep(drill, chosen, named, seconds, &words)?;
        Ok(goes_on)
    }

    /// Keeps an answer, then says what it was worth.
    fn keep(
        &mut self,
        drill: &Drill,
        chosen: usize,
        named: Option<&Spot>,
        seconds: u32,
        words: &[String],
    ) -> Result<(), Error> {
        let moment = moment();
        let own = answered(&self.drills, drill, chosen, named, seconds);
        let act = serde_json::to_value(Act::Drill(own.clone()))
            .map_err(|error| Error::new(Trouble::Bug, error.to_string()))?;
        self.archive.practise(&Practice {
            id: Uuid::new_v4(),
            when: moment.now,
            who: self.who.clone(),
            case: None,
            act,
        })?;
        self.drills.add(&own, moment.today);
        let word = |at: usize| words.get(at).map_or("", String::as_str);
        let told = match own.missed {
            None => says::right(word(drill.right)),
            Some(missed) => says::wrong(missed, word(drill.right), word(chosen)),
        };
        self.say([told])?;
        let phrase = self.phrase;
        match named {
            Some(named) if drill.decides.contains(named) => self.say([says::NAMED.to_owned()])?,
            _ if drill.decides.is_empty() => {}
            _ => {
                let readings: Vec<String> = drill
                    .decides
                    .iter()
                    .map(|spot| phrase.drill_spot(spot))
                    .collect();
                self.say([says::decided_by(&readings)])?;
            }
        }
        self.say(phrase.drill_reason(drill))?;
        if own.days > 0 {
            self.say([says::comes_back(own.days)])?;
        }
        self.done.push((own, word(drill.right).to_owned()));
        Ok(())
    }

    /// Says what the session came to: what was missed in order of harm.
    fn sum_up(&mut self) -> Result<(), Error> {
        if self.done.is_empty() {
            return self.say([says::NOTHING_ANSWERED.to_owned()]);
        }
        let right = self
            .done
            .iter()
            .filter(|(own, _)| own.missed.is_none())
            .count();
        let mut missed: Vec<_> = self
            .done
            .iter()
            .filter_map(|(own, answer)| Some((own.missed?, own.kind, own.days, answer.clone())))
            .collect();
        missed.sort_by_key(|(missed, kind, ..)| (*missed, *kind));
        self.say([says::ended(self.done.len(), right)])?;
        self.say([if missed.is_empty() {
            says::ALL_RIGHT
        } else {
            says::MISSED
        }
        .to_owned()])?;
        self.say(missed.into_iter().map(|(missed, kind, days, answer)| {
            says::missed_line(missed, says::kind(kind), &answer, days)
        }))?;
        self.out.flush()?;
        Ok(())
    }
}

/// Writes drills as a sheet.
fn sheet(
    cli: &Cli,
    args: &PractiseArgs,
    own: Option<&str>,
    out: &mut dyn Write,
) -> Result<(), Error> {
    let (flow, _) = usable(loaded(cli)?)?;
    let phrase = Phrase {
        flow: &flow,
        notation: notation(cli)?.0,
    };
    let course = args.seed.unwrap_or_else(|| own.map_or(1, seed_of));
    let numbers = 0..usize::from(args.count);
    let drawn: Option<Vec<Drill>> = numbers
        .map(|number| {
            let (kind, seed) = nth(course, number);
            drill(&flow, kind, seed)
        })
        .collect();
    let drawn = drawn.ok_or_else(no_drill)?;
    let format = match args.format {
        SheetFormat::Text => Format::Text,
        SheetFormat::Markdown => Format::Markdown,
        SheetFormat::Html => Format::Html,
    };
    write_document(&drills(&drawn, phrase, course), format, out)
}

fn no_drill() -> Error {
    Error::new(Trouble::Data, says::NO_DRILL).hint(says::NO_DRILL_HINT)
}

/// Says what somebody's record says, or everybody's to the supervisor.
fn record(
    cli: &Cli,
    args: &PractiseArgs,
    own: Option<&str>,
    out: &mut dyn Write,
) -> Result<(), Error> {
    if let Some(of) = &args.of
        && Some(of.as_str()) != own
        && !cli.supervisor
    {
        return Err(Error::new(Trouble::Usage, says::ANOTHERS).hint(says::ANOTHERS_HINT));
    }
    let (archive, rows) = match Archive::open_to_read(&archive_path(cli)?) {
        Ok(archive) => {
            let rows = rows(&archive)?;
            (Some(archive), rows)
        }
        Err(ArchiveError::Missing(_)) if cli.archive.is_none() => (None, Vec::new()),
        Err(error) => return Err(error.into()),
    };
    let (flow, _) = usable(loaded(cli)?)?;
    let people: BTreeSet<String> = match (&args.of, own) {
        (Some(of), _) => BTreeSet::from([of.clone()]),
        (None, _) if cli.supervisor => rows.iter().map(|row| row.who.clone()).collect(),
        (None, Some(own)) => BTreeSet::from([own.to_owned()]),
        (None, None) => return Err(nobody()),
    };
    if people.is_empty() {
        writeln!(out, "{}", says::EMPTY)?;
    }
    let today = moment().today;
    for who in &people {
        let due = Drills::of(&rows, who).due(today);
        let mut progress = Progress::of(&rows, who);
        if let Some(archive) = &archive {
            for (own, key, seconds) in model::results(archive, &rows, who, &flow)? {
                progress.walked(own, key, seconds);
            }
        }
        for line in lines(who, &progress, due) {
            writeln!(out, "{}", plain(&line))?;
        }
    }
    out.flush()?;
    Ok(())
}

/// What one person's record says. Nobody stands before anybody.
fn lines(who: &str, progress: &Progress, due: usize) -> Vec<String> {
    let answered = usize::try_from(progress.answered).unwrap_or(usize::MAX);
    let mut lines = vec![says::record_of(who), says::record_sum(answered, due)];
    let walks = progress.walks.len();
    lines.extend(middle(&progress.walks).map(|own| says::walks(walks, own)));
    lines.extend(progress.kinds.iter().map(|own| {
        let (right, of) = (own.right.events, own.right.of);
        says::record_kind(
            says::kind(own.kind),
            right,
            of,
            interval(own.right),
            own.seconds,
        )
    }));
    let calls = progress.calls();
    lines.extend(calls.map(|own| says::saw_calls(own.events, own.of, interval(own))));
    let invented = progress.invented();
    lines.extend(invented.map(|own| says::false_calls(own.events, own.of, interval(own))));
    let results = progress.results();
    match progress.kappa() {
        Some(own) => {
            let interval = own.interval.map(|interval| (interval.low, interval.high));
            lines.push(says::kappa(own.kappa, interval, results));
        }
        None if results > 0 && results < LEAST => lines.push(says::no_kappa(results, LEAST)),
        None => {}
    }
    lines.extend(progress.teach_next().map(|(kind, missed, count)| {
        says::teach_next(says::kind(kind), &says::times(missed, count))
    }));
    lines
}
