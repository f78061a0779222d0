//! Figures of the whole record for the screen: cases are read in a thread of its own, so that no key waits for them.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};

use jiff::civil::Date;
use jiff::tz::TimeZone;

use super::Desk;
use super::filling::{Flows, at_hand};
use super::learning::lots;
use super::replaying::{Found as FoundCase, sliced, walk};
use super::trying::{Record, tried};
use crate::archive::{Archive, ArchiveError};
use crate::error::Error;
use crate::flow::Flow;
use crate::learn::follow_up::follow_up;
use crate::learn::sweep::{Moved, lying, sweep};
use crate::learn::trial::{Put, trials};
use crate::learn::{Asked, Lot, figures};
use crate::session::{OnTrial, Rated, Swept};

/// What is asked of the whole record.
enum Question {
    /// What came back.
    Rates(Box<Asked>),
    /// What dentists are to be asked after on a day.
    Due(Date),
    /// What became of what the rules of a flow told of.
    Trials(Box<Put>, Arc<Flow>),
    /// What lies between the steps of a limit of a flow.
    Sweep(Box<Moved>, Arc<Flow>),
}

/// The thread that answers, where there is one, and what stops it at what it reads now.
#[derive(Default)]
pub(super) struct Rater {
    sender: Option<Sender<(Question, Arc<AtomicBool>)>>,
    stop: Arc<AtomicBool>,
}

/// What was read last, with what the archive said then. One of both is kept: a large archive takes its room.
enum Read {
    /// The cases, and how many could not be read.
    Lots(u64, Vec<Lot>, usize),
    /// The cases as the rules of this flow saw them.
    Record(u64, String, Record),
}

fn answer(
    question: &Question,
    (archive, flows): (&Archive, &Flows),
    read: &mut Option<Read>,
    (stop, deliver): (&AtomicBool, &dyn Fn(Rated)),
) {
    let answered = match question {
        Question::Rates(asked) => with_lots((archive, flows), read, deliver, |lots, unread| {
            Rated::Done {
                asked: asked.clone(),
                found: Box::new(figures(lots, asked)),
                unread,
            }
        }),
        Question::Due(today) => with_lots((archive, flows), read, deliver, |lots, unread| {
            Rated::FollowUp(Arc::new(follow_up(lots, *today)), unread)
        }),
        Question::Trials(put, flow) => {
            on_trial((archive, flows), read, (stop, deliver), (put, flow))
        }
        Question::Sweep(moved, flow) => swept((archive, flows), (stop, deliver), (moved, flow)),
    };
    match answered {
        Ok(Some(rated)) => deliver(rated),
        // Nobody waits for it any more.
        Ok(None) => {}
        Err(error) => deliver(Rated::Failed(super::said(&error))),
    }
}

fn with_lots(
    (archive, flows): (&Archive, &Flows),
    read: &mut Option<Read>,
    deliver: &dyn Fn(Rated),
    answer: impl FnOnce(&[Lot], usize) -> Rated,
) -> Result<Option<Rated>, Error> {
    let now = archive.revision().unwrap_or_default();
    // What others wrote, and this desk too, is not in what was read before.
    let holds = matches!(read, Some(Read::Lots(then, ..)) if *then == now);
    if !holds {
        *read = None;
        let tell = &mut |done: usize, of: usize| deliver(Rated::Reading(done, of));
        let (all, unread) = lots(archive, flows, &TimeZone::system(), tell)?;
        *read = Some(Read::Lots(now, all, unread));
    }
    Ok(match read {
        Some(Read::Lots(_, lots, unread)) => Some(answer(lots, *unread)),
        _ => None,
    })
}

fn on_trial(
    (archive, flows): (&Archive, &Flows),
    read: &mut Option<Read>,
    (stop, deliver): (&AtomicBool, &dyn Fn(Rated)),
    (put, flow): (&Put, &Arc<Flow>),
) -> Result<Option<Rated>, Error> {
    let now = archive.revision().unwrap_or_default();
    let holds =
        matches!(read, Some(Read::Record(then, of, _)) if *then == now && *of == flow.digest);
    if !holds {
        *read = None;
        let tell = &mut |done: usize, of: usize| deliver(Rated::Reading(done, of));
        let zone = TimeZone::system();
        let record = tried(archive, flows, flow, &zone, (stop, tell))?;
        if !record.looked.is_whole() {
            return Ok(None);
        }
        *read = Some(Read::Record(now, flow.digest.clone(), record));
    }
    Ok(match read {
        Some(Read::Record(_, _, record)) => Some(Rated::Trials(Arc::new(OnTrial {
            put: put.clone(),
            found: trials(flow, &record.lots, &record.tried, put),
            looked: record.looked,
            flow: flow.clone(),
        }))),
        _ => None,
    })
}

fn swept(
    (archive, flows): (&Archive, &Flows),
    (stop, deliver): (&AtomicBool, &dyn Fn(Rated)),
    (moved, flow): (&Moved, &Arc<Flow>),
) -> Result<Option<Rated>, Error> {
    let tell = &mut |done, of| deliver(Rated::Moving(Box::new(moved.clone()), done, of));
    let zone = TimeZone::system();
    let each = |own: FoundCase<'_>| sliced(own, flow, &moved.steps);
    let walked = walk(archive, flows, &zone, (stop, tell), each)?;
    if !walked.looked.is_whole() {
        return Ok(None);
    }
    Ok(Some(Rated::Swept(Arc::new(Swept {
        moved: moved.clone(),
        found: sweep(&walked.lots, &walked.all, &moved.steps, &moved.over),
        all: lying(&walked.lots, &walked.all, &moved.over),
        looked: walked.looked,
    }))))
}

impl Desk {
    /// Reads cases for figures in a thread of its own from now on; without one they are read in place.
    pub fn rate_apart(&mut self, deliver: impl Fn(Rated) + Send + 'static) {
        let open = self.archive.opener();
        let flows = self.flows.clone();
        let (sender, asked) = channel::<(Question, Arc<AtomicBool>)>();
        std::thread::spawn(move || answers(&asked, &open, &flows, &deliver));
        self.rates.sender = Some(sender);
    }

    /// Asks for figures.
    pub(super) fn rate(&mut self, asked: Asked) {
        self.ask_record(Question::Rates(Box::new(asked)));
    }

    /// Asks what dentists are to be asked after on a day.
    pub(super) fn look_for_due(&mut self, today: Date) {
        self.ask_record(Question::Due(today));
    }

    /// Asks what became of what the rules told of.
    pub(super) fn try_rules(&mut self, put: Put) {
        self.ask_record(Question::Trials(Box::new(put), self.flow.clone()));
    }

    /// Asks what lies between the steps of a limit.
    pub(super) fn sweep(&mut self, moved: Moved) {
        self.ask_record(Question::Sweep(Box::new(moved), self.flow.clone()));
    }

    /// Stops what is being read for rules or limits.
    pub(super) fn stop_reading(&mut self) {
        self.rates.stop.store(true, Ordering::Relaxed);
    }

    fn ask_record(&mut self, asked: Question) {
        // Whoever asks anew does not wait for what was asked before.
        self.stop_reading();
        self.rates.stop = Arc::new(AtomicBool::new(false));
        let stop = self.rates.stop.clone();
        if let Some(sender) = &self.rates.sender {
            // A thread that has ended has said why.
            let _ = sender.send((asked, stop));
            return;
        }
        let came = std::cell::RefCell::new(None);
        let deliver = |rated| *came.borrow_mut() = Some(rated);
        answer(
            &asked,
            (&self.archive, &self.flows),
            &mut None,
            (&stop, &deliver),
        );
        if let Some(rated) = came.into_inner() {
            self.session.rated(rated);
        }
    }
}

fn answers(
    questions: &Receiver<(Question, Arc<AtomicBool>)>,
    open: &dyn Fn() -> Result<Archive, ArchiveError>,
    flows: &Arc<Flows>,
    deliver: &dyn Fn(Rated),
) {
    let mut opened = None;
    let mut read = None;
    while let Ok(asked) = questions.recv() {
        // Whoever turned on meanwhile wants the newest alone.
        let (asked, stop) = questions.try_iter().last().unwrap_or(asked);
        if stop.load(Ordering::Relaxed) {
            continue;
        }
        match at_hand(&mut opened, open) {
            Ok(archive) => answer(&asked, (archive, flows), &mut read, (&stop, deliver)),
            Err(error) => deliver(Rated::Failed(super::said(&error.into()))),
        }
    }
}
