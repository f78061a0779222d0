//! Rows of the worklist that do not hold any more are made anew: read, judged, kept, some at a time.
//!
//! A row does not hold where another version of the program made it, where entries were written without one, and where a
//! standing instruction of its dentist has changed. Nothing waits for them: they are listed with what is sure.
//! Only a few cases are in memory at a time, and whatever was made stays.

use std::collections::HashMap;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Sender, channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::JoinHandle;
use std::time::Duration;

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;
use rayon::prelude::*;
use serde::{Deserialize, Serialize};

use crate::archive::{Archive, ArchiveError, Freshness, Trouble as Kind, WorkRow};
use crate::case::FlowRef;
use crate::case::instruction::Instruction;
use crate::case::journal::{Entry, fold};
use crate::derive::{Facts, Precision};
use crate::error::{Error, Trouble, usable};
use crate::flow::{FORMAT, Flow, OwnErrors, load_as};
use crate::judge::judge;
use crate::learn::Lot;
use crate::phrase::prompts::desk as prompts;
use crate::practice::record::Act;
use crate::ronfile::Source;
use crate::state::expected;
use crate::worklist::{FORM, Made, WorkItem, fresh_until, made, unreadable};

/// How long it waits before it tries again where others hold the archive.
const PAUSE: Duration = Duration::from_millis(500);

/// How many cases are read at a time.
const AT_ONCE: usize = 32;

/// Returns what judges now: the program's version, and the form of a row.
pub(super) fn engine() -> String {
    format!("{} {FORM}", env!("CARGO_PKG_VERSION"))
}

/// The flows that cases are judged by, each parsed once.
pub struct Flows {
    present: Arc<Flow>,
    /// By digest; `None` where one cannot be used.
    known: Mutex<HashMap<String, Option<Arc<Flow>>>>,
}

impl Flows {
    /// Returns the flows, of which one is known: that of new cases.
    pub fn new(present: Arc<Flow>) -> Flows {
        Flows {
            present,
            known: Mutex::default(),
        }
    }

    /// Returns the flow that a case is judged by: its own, as it was when the case was opened.
    ///
    /// # Errors
    /// The archive does not have it, or its files have problems.
    pub(super) fn of(&self, archive: &Archive, wanted: &FlowRef) -> Result<Arc<Flow>, Error> {
        if wanted.digest == self.present.digest {
            return Ok(self.present.clone());
        }
        if let Some(Some(flow)) = self.known(&wanted.digest) {
            return Ok(flow);
        }
        let loaded = self.load(archive, wanted);
        // What failed for want of a disk may go well the next time.
        let lasting = loaded
            .as_ref()
            .err()
            .is_none_or(|error| error.trouble == Trouble::Data);
        if lasting {
            let flow = loaded.as_ref().ok().cloned();
            self.lock().insert(wanted.digest.clone(), flow);
        }
        loaded
    }

    fn known(&self, digest: &str) -> Option<Option<Arc<Flow>>> {
        self.lock().get(digest).cloned()
    }

    fn lock(&self) -> std::sync::MutexGuard<'_, HashMap<String, Option<Arc<Flow>>>> {
        self.known.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn load(&self, archive: &Archive, wanted: &FlowRef) -> Result<Arc<Flow>, Error> {
        let Some(kept) = archive.flow(&wanted.digest)? else {
            return Err(Error::new(
                Trouble::Data,
                prompts::flow_not_archived(&wanted.id, wanted.version),
            ));
        };
        let files = kept.files.into_iter();
        let sources = files.map(|(name, text)| Source::new(name, text)).collect();
        let Some(loaded) = load_as(kept.format, sources) else {
            let what = prompts::flow_of_newer_format(&wanted.id, kept.format, FORMAT);
            return Err(Error::new(Trouble::Data, what).hint(prompts::NEWER_FORMAT_HINT));
        };
        let mut flow = usable(loaded)?.0;
        flow.hands = hands(archive);
        Ok(Arc::new(flow))
    }

    /// Returns the flow of a case for its row, or `None` if it cannot be used.
    pub(super) fn for_row(
        &self,
        archive: &Archive,
        wanted: &FlowRef,
    ) -> Result<Option<Arc<Flow>>, Error> {
        if let Some(None) = self.known(&wanted.digest) {
            return Ok(None);
        }
        match self.of(archive, wanted) {
            Ok(flow) => Ok(Some(flow)),
            Err(error) if error.trouble == Trouble::Data => Ok(None),
            Err(error) => Err(error),
        }
    }
}

/// Returns the reading errors of people that a supervisor has agreed to. Where the practice cannot be read, the usual ones hold.
pub(super) fn hands(archive: &Archive) -> OwnErrors {
    let mut hands = OwnErrors::default();
    for row in archive.practice().unwrap_or_default() {
        if let Ok(Act::Hand { errors }) = serde_json::from_value(row.act) {
            hands.set(&row.who, &errors);
        }
    }
    hands
}

/// Standing instructions, and how many rows the archive had of them before they were read.
type InForce<'a> = (&'a [Instruction], u64);

/// What the archive keeps of a row without knowing it: the item of the list, and what figures of the record need.
#[derive(Serialize)]
struct Body<'a> {
    #[serde(flatten)]
    item: &'a WorkItem,
    #[serde(skip_serializing_if = "Option::is_none")]
    figures: Option<&'a Lot>,
}

/// The second part of a body alone.
#[derive(Deserialize)]
struct OfFigures {
    #[serde(default)]
    figures: Option<Lot>,
}

/// Returns what figures need of a row, or `None` if that is not kept.
pub(super) fn lot_of(body: &str) -> Option<Lot> {
    serde_json::from_str::<OfFigures>(body).ok()?.figures
}

/// Returns a row for the archive, or `None` if it cannot be written down.
pub fn row_of(
    (made, lot): (&Made, Option<&Lot>),
    entries: u64,
    flow: &str,
    (instructions, standing): InForce<'_>,
    now: &Freshness,
) -> Option<WorkRow> {
    let item = &made.item;
    let dentist = item.dentist.as_deref();
    Some(WorkRow {
        number: item.number.clone(),
        entries,
        standing,
        engine: now.engine.clone(),
        flow: flow.to_owned(),
        fresh_until: fresh_until(dentist, instructions, now.today),
        closed: item.closed,
        turn: item.turn(),
        last: item.last,
        dentist: dentist.unwrap_or_default().to_owned(),
        who: item.who.clone().unwrap_or_default(),
        hay: made.hay.clone(),
        body: serde_json::to_string(&Body { item, figures: lot }).ok()?,
    })
}

/// A case that was read and is to be judged.
struct Read {
    number: String,
    entries: u64,
    journal: Vec<Entry>,
    flow: Option<Arc<Flow>>,
    /// When it was last written to, as the list has it.
    since: Timestamp,
}

/// Reads a case. `None` if there is none with this number any more, or somebody writes to it at this moment.
fn read(
    archive: &Archive,
    flows: &Flows,
    now: &Freshness,
    number: &str,
) -> Result<Option<Read>, Error> {
    let Some((entries, _)) = archive.end_of(number)? else {
        return Ok(None);
    };
    let mut read = Read {
        number: number.to_owned(),
        entries,
        journal: Vec::new(),
        flow: None,
        since: archive
            .row_of(number, now)?
            .map_or_else(Timestamp::default, |row| row.last),
    };
    match archive.journal(number) {
        Ok(journal) => read.journal = journal,
        // It is listed as one that cannot be read.
        Err(error) if error.kind() == Kind::Data => return Ok(Some(read)),
        Err(ArchiveError::NoSuchCase { .. }) => return Ok(None),
        Err(error) => return Err(error.into()),
    }
    if let Ok(case) = fold(&read.journal) {
        read.flow = flows.for_row(archive, &case.flow)?;
    }
    Ok(Some(read))
}

impl Read {
    fn row(&self, in_force: InForce<'_>, now: &Freshness) -> Option<WorkRow> {
        let case = fold(&self.journal).ok();
        let mut lot = None;
        let made = match (case, &self.flow) {
            (Some(case), Some(flow)) => {
                let facts = Facts::with(flow, &case, Precision::Quick);
                let judgement = judge(flow, &facts);
                lot = Lot::of(&facts, &self.journal, &TimeZone::system());
                let expected = expected(flow, &facts).map(|judged| judged.verdict);
                let standing = holding(in_force.0, now.today);
                made(&facts, &judgement, expected, &standing, &self.journal)
            }
            _ => unreadable(&self.number, &self.journal, self.since),
        };
        let digest = self.flow.as_ref().map_or("", |flow| flow.digest.as_str());
        row_of((&made, lot.as_ref()), self.entries, digest, in_force, now)
    }
}

/// Returns the standing instructions that hold on a day; where it is not known which, those that nothing ends.
fn holding(instructions: &[Instruction], today: Date) -> Vec<Instruction> {
    let holds = |own: &&Instruction| match today {
        Date::MIN => own.until.is_none(),
        today => own.holds_on(today),
    };
    instructions.iter().filter(holds).cloned().collect()
}

/// Makes rows of these cases anew; returns the numbers of those that were kept. `stop` ends it.
///
/// # Errors
/// The archive cannot be read or written to.
pub(super) fn fill_these(
    archive: &mut Archive,
    flows: &Flows,
    now: &Freshness,
    numbers: &[String],
    stop: &(dyn Fn() -> bool + Sync),
) -> Result<Vec<String>, Error> {
    // Counted first: what is agreed meanwhile marks the rows as ones to be made anew.
    let standing = archive.count_standing()?;
    let instructions = in_force(archive)?;
    let mut cases = Vec::new();
    for number in numbers {
        if stop() {
            break;
        }
        cases.extend(read(archive, flows, now, number)?);
    }
    let left = cases.par_iter().filter(|_| !stop());
    let rows: Vec<WorkRow> = left
        .filter_map(|case| case.row((&instructions, standing), now))
        .collect();
    Ok(archive.put_all_work(&rows)?)
}

/// Without those that cannot be read more is asked, never less.
fn in_force(archive: &Archive) -> Result<Vec<Instruction>, Error> {
    match archive.instructions() {
        Err(error) if error.kind() != Kind::Data => Err(error.into()),
        other => Ok(other.unwrap_or_default()),
    }
}

/// Makes rows anew until all hold: those that `first` names before the others. `stop` ends it; `tell` is told how many
/// were made.
///
/// # Errors
/// The archive cannot be read or written to. What was made stays.
pub(super) fn fill(
    archive: &mut Archive,
    flows: &Flows,
    now: &Freshness,
    first: &dyn Fn() -> Vec<String>,
    stop: &(dyn Fn() -> bool + Sync),
    tell: &mut dyn FnMut(usize),
) -> Result<(), Error> {
    let mut done = 0;
    let mut wished: Vec<String> = Vec::new();
    // Those whose row cannot be kept: somebody writes to them at this moment, or their end is damaged.
    let mut given_up: Vec<String> = Vec::new();
    while !stop() {
        let wishes = first();
        if !wishes.is_empty() {
            wished = wishes;
        }
        let numbers: Vec<String> = if wished.is_empty() {
            let stale = archive.stale(now, AT_ONCE + given_up.len())?;
            let open = stale.into_iter().filter(|own| !given_up.contains(own));
            open.take(AT_ONCE).collect()
        } else {
            wished.drain(..wished.len().min(AT_ONCE)).collect()
        };
        if numbers.is_empty() {
            return Ok(());
        }
        let kept = fill_these(archive, flows, now, &numbers, stop)?;
        done += kept.len();
        if !stop() {
            let lost = numbers.into_iter().filter(|own| !kept.contains(own));
            given_up.extend(
                lost.filter(|own| !given_up.contains(own))
                    .collect::<Vec<_>>(),
            );
        }
        tell(done);
    }
    Ok(())
}

/// How far the reading of cases is.
#[derive(Clone, PartialEq, Debug)]
pub struct Filled {
    /// How many were read.
    pub done: usize,
    /// How many there were to read.
    pub of: usize,
    /// Why it broke off, if it did.
    pub failed: Option<String>,
}

/// Returns the archive of a thread beside the keys, opened when something is first asked of it: the first frame waits for
/// none of them. Where it cannot be opened, it is tried again the next time.
///
/// # Errors
/// It cannot be opened.
pub(super) fn at_hand<'a>(
    opened: &'a mut Option<Archive>,
    open: &dyn Fn() -> Result<Archive, ArchiveError>,
) -> Result<&'a mut Archive, ArchiveError> {
    match opened {
        Some(archive) => Ok(archive),
        None => Ok(opened.insert(open()?)),
    }
}

/// A thread that makes rows anew. It ends with its owner; what it has made stays.
pub(super) struct Filler {
    /// What is wanted first, and what makes a row hold now: a day may begin while the list is open.
    wishes: Arc<Mutex<(Vec<String>, Freshness)>>,
    wake: Option<Sender<()>>,
    stop: Arc<AtomicBool>,
    thread: Option<JoinHandle<()>>,
}

impl Filler {
    /// Begins the thread, which waits for the first wish.
    pub(super) fn begin(
        open: impl Fn() -> Result<Archive, ArchiveError> + Send + 'static,
        flows: Arc<Flows>,
        now: Freshness,
        deliver: impl Fn(Filled) + Send + 'static,
    ) -> Filler {
        let (wake, woken) = channel::<()>();
        let wishes = Arc::new(Mutex::new((Vec::new(), now)));
        let stop = Arc::new(AtomicBool::new(false));
        let (wished, stopped) = (wishes.clone(), stop.clone());
        let thread = std::thread::spawn(move || {
            let stop = || stopped.load(Ordering::Relaxed);
            let wished = || wished.lock().unwrap_or_else(PoisonError::into_inner);
            let first = || std::mem::take(&mut wished().0);
            let mut opened = None;
            while woken.recv().is_ok() && !stop() {
                let now = wished().1.clone();
                let archive = match at_hand(&mut opened, &open) {
                    Ok(archive) => archive,
                    Err(error) => {
                        deliver(Filled {
                            done: 0,
                            of: 0,
                            failed: Some(super::said(&error.into())),
                        });
                        continue;
                    }
                };
                let of = archive.count_stale(&now).unwrap_or_default();
                let tell = &mut |done: usize| {
                    deliver(Filled {
                        done,
                        of: of.max(done),
                        failed: None,
                    });
                };
                let ended = loop {
                    match fill(archive, &flows, &now, &first, &stop, tell) {
                        // Whoever holds the archive lets go of it.
                        Err(error) if error.trouble == Trouble::Busy && !stop() => {
                            std::thread::sleep(PAUSE);
                        }
                        ended => break ended,
                    }
                };
                // Where nothing was to be read, nothing is drawn anew.
                if of > 0 || ended.is_err() {
                    deliver(Filled {
                        done: of,
                        of,
                        failed: ended.err().map(|error| super::said(&error)),
                    });
                }
            }
        });
        Filler {
            wishes,
            wake: Some(wake),
            stop,
            thread: Some(thread),
        }
    }

    /// Asks for these first, then for all others that do not hold.
    pub(super) fn wish(&self, numbers: Vec<String>, now: Freshness) {
        *self.wishes.lock().unwrap_or_else(PoisonError::into_inner) = (numbers, now);
        // A thread that has failed is told of where it failed.
        let _ = self.wake.as_ref().map(|wake| wake.send(()));
    }
}

impl Drop for Filler {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
        self.wake = None;
        // It ends after the cases that it is at; what it has made stays.
        let _ = self.thread.take().map(JoinHandle::join);
    }
}
