//! Figures of the whole record for the screen: cases are read in a thread of its own, so that no key waits for them.

use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};

use jiff::civil::Date;
use jiff::tz::TimeZone;

use super::Desk;
use super::filling::{Flows, at_hand};
use super::learning::lots;
use crate::archive::{Archive, ArchiveError};
use crate::learn::follow_up::follow_up;
use crate::learn::{Asked, Lot, figures};
use crate::session::Rated;

/// What is asked of the whole record.
enum Question {
    /// What came back.
    Rates(Box<Asked>),
    /// What dentists are to be asked after on a day.
    Due(Date),
}

/// The thread that answers, where there is one.
#[derive(Default)]
pub(super) struct Rater {
    sender: Option<Sender<Question>>,
}

/// The cases as they were read last, with how many could not be, and what the archive said then.
type Read = (u64, Vec<Lot>, usize);

fn answer(
    question: &Question,
    (archive, flows): (&Archive, &Flows),
    read: &mut Option<Read>,
    deliver: &dyn Fn(Rated),
) {
    let revision = archive.revision().unwrap_or_default();
    // What others wrote, and this desk too, is not in what was read before.
    if read.as_ref().is_none_or(|(then, ..)| *then != revision) {
        let tell = &mut |done: usize, of: usize| deliver(Rated::Reading(done, of));
        match lots(archive, flows, &TimeZone::system(), tell) {
            Ok((all, unread)) => *read = Some((revision, all, unread)),
            Err(error) => return deliver(Rated::Failed(super::said(&error))),
        }
    }
    if let Some((_, lots, unread)) = read {
        deliver(match question {
            Question::Rates(asked) => Rated::Done {
                asked: asked.clone(),
                found: Box::new(figures(lots, asked)),
                unread: *unread,
            },
            Question::Due(today) => Rated::FollowUp(Arc::new(follow_up(lots, *today)), *unread),
        });
    }
}

impl Desk {
    /// Reads cases for figures in a thread of its own from now on; without one they are read in place.
    pub fn rate_apart(&mut self, deliver: impl Fn(Rated) + Send + 'static) {
        let open = self.archive.opener();
        let flows = self.flows.clone();
        let (sender, asked) = channel::<Question>();
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

    fn ask_record(&mut self, asked: Question) {
        if let Some(sender) = &self.rates.sender {
            // A thread that has ended has said why.
            let _ = sender.send(asked);
            return;
        }
        let came = std::cell::RefCell::new(None);
        answer(&asked, (&self.archive, &self.flows), &mut None, &|rated| {
            *came.borrow_mut() = Some(rated)
        });
        if let Some(rated) = came.into_inner() {
            self.session.rated(rated);
        }
    }
}

fn answers(
    questions: &Receiver<Question>,
    open: &dyn Fn() -> Result<Archive, ArchiveError>,
    flows: &Arc<Flows>,
    deliver: &dyn Fn(Rated),
) {
    let mut opened = None;
    let mut read = None;
    while let Ok(asked) = questions.recv() {
        // Whoever turned on meanwhile wants the newest alone.
        let asked = questions.try_iter().last().unwrap_or(asked);
        match at_hand(&mut opened, open) {
            Ok(archive) => answer(&asked, (archive, flows), &mut read, deliver),
            Err(error) => deliver(Rated::Failed(super::said(&error.into()))),
        }
    }
}
