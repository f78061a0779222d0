//! Work that takes longer than a key may: how sure the judgement is, and options. Each has a thread of its own; a result
//! for a state that is no longer the present one is dropped.
//!
//! Judging itself needs no worker: rules take well under a millisecond for a bridge and the limit analysis a few, going
//! on from the results before, so that a worker would only add results that come too late. These two judge some hundred
//! times.

use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};

use super::Desk;
use crate::case::Case;
use crate::derive::{Facts, Precision};
use crate::flow::Flow;
use crate::judge::doubt::{Doubt, doubt};
use crate::judge::judge;
use crate::options::{case_options, steady, together};
use crate::session::{Page, Ways};

/// How sure the judgement of a case is, as of so many journal entries.
#[derive(Clone, PartialEq, Debug)]
pub struct Weighed {
    number: String,
    entries: u64,
    doubt: Doubt,
}

/// Options for the findings of a case, as of so many journal entries.
#[derive(Clone, PartialEq, Debug)]
pub struct Tried {
    number: String,
    entries: u64,
    ways: Ways,
}

/// A thread that works on the newest state, and the state that was asked for last.
#[derive(Default)]
pub(super) struct Worker {
    sender: Option<Sender<Question>>,
    asked: Option<(String, u64)>,
}

impl Worker {
    /// Forgets what was asked for last.
    pub(super) fn forget(&mut self) {
        self.asked = None;
    }

    /// Returns whether there is a thread.
    pub(super) fn has_thread(&self) -> bool {
        self.sender.is_some()
    }

    /// Hands a question to the thread; returns it if there is no thread. If the thread has ended, there is no result.
    fn ask(&mut self, question: Question) -> Option<Question> {
        self.asked = Some((question.case.number.clone(), question.entries));
        match &self.sender {
            Some(sender) => {
                drop(sender.send(question));
                None
            }
            None => Some(question),
        }
    }
}

/// A case as it was at some time.
struct Question {
    flow: Arc<Flow>,
    case: Case,
    entries: u64,
}

impl Question {
    fn weigh(&self) -> Weighed {
        let facts = Facts::with(&self.flow, &self.case, Precision::Quick);
        let judgement = judge(&self.flow, &facts);
        let doubt = doubt(&self.flow, &self.case, &facts, &judgement);
        Weighed {
            number: self.case.number.clone(),
            entries: self.entries,
            doubt,
        }
    }

    /// Tries single options.
    fn singles(&self) -> Tried {
        let facts = Facts::with(&self.flow, &self.case, Precision::Quick);
        let judgement = judge(&self.flow, &facts);
        Tried {
            number: self.case.number.clone(),
            entries: self.entries,
            ways: Ways {
                singles: case_options(&self.flow, &facts, &judgement),
                together: None,
                steady: Vec::new(),
            },
        }
    }

    /// Tries options: single ones first, then, unless a newer state waits, several at once, and last how much of each is
    /// enough with the reading error in mind.
    fn try_ways(
        &self,
        newer: impl Fn() -> Option<Question>,
        deliver: impl Fn(Tried),
    ) -> Option<Question> {
        let facts = Facts::with(&self.flow, &self.case, Precision::Quick);
        let judgement = judge(&self.flow, &facts);
        let mut ways = Ways {
            singles: case_options(&self.flow, &facts, &judgement),
            together: None,
            steady: Vec::new(),
        };
        let tried = |ways: Ways| Tried {
            number: self.case.number.clone(),
            entries: self.entries,
            ways,
        };
        deliver(tried(ways.clone()));
        let next = newer();
        if next.is_some() {
            return next;
        }
        ways.together = Some(together(&self.flow, &facts, &judgement, &ways.singles));
        deliver(tried(ways.clone()));
        for (index, way) in ways.singles.iter().enumerate() {
            if !way.is_open() || way.amount.is_none() {
                continue;
            }
            let next = newer();
            if next.is_some() {
                return next;
            }
            let enough = steady(&self.flow, &facts, &judgement, way);
            ways.steady.push((index, enough));
        }
        deliver(tried(ways));
        None
    }
}

/// Returns the newest question, or `None` if none waits.
fn newest(questions: &Receiver<Question>) -> Option<Question> {
    questions.try_iter().last()
}

impl Desk {
    /// Weighs judgements in a thread of its own from now on; without one they are weighed in place.
    ///
    /// Weighing judges a case some eighty times over, which a person typing should not wait for.
    pub fn weigh_apart(&mut self, deliver: impl Fn(Weighed) + Send + 'static) {
        let (sender, questions) = channel::<Question>();
        std::thread::spawn(move || {
            while let Ok(question) = questions.recv() {
                let question = newest(&questions).unwrap_or(question);
                deliver(question.weigh());
            }
        });
        self.weighs.sender = Some(sender);
        self.weigh();
    }

    /// Tries options in a thread of its own from now on; without one they are tried in place.
    pub fn try_apart(&mut self, deliver: impl Fn(Tried) + Send + 'static) {
        let (sender, questions) = channel::<Question>();
        std::thread::spawn(move || {
            while let Ok(question) = questions.recv() {
                let mut next = Some(newest(&questions).unwrap_or(question));
                while let Some(question) = next {
                    next = question.try_ways(|| newest(&questions), &deliver);
                }
            }
        });
        self.tries.sender = Some(sender);
        self.try_ways();
    }

    /// Weighs and tries options only where [`Desk::weigh_now`] and [`Desk::try_now`] ask for it, from now on.
    ///
    /// For `casepan ask`: weighing takes longer than an answer, and most answers show nothing of it.
    ///
    /// It takes some tenths of a second, and most lines of `casepan ask` say nothing of it: findings, summary and
    /// `where` need it, the call tries single options, and the page of options all of them.
    pub fn work_late(&mut self) {
        self.late = true;
    }

    /// Weighs the present judgement, unless it was weighed already.
    pub fn weigh_now(&mut self) {
        self.weigh();
    }

    /// Tries options as far as the present page shows them, unless that was done: the call shows single ones.
    pub fn try_now(&mut self) {
        let known = self
            .session
            .inspection
            .as_ref()
            .and_then(|i| i.ways.as_ref());
        let (known, whole) = match known {
            Some(ways) => (true, ways.together.is_some()),
            None => (false, false),
        };
        match self.session.page {
            Page::Call if !known => {
                if let Some(question) = self.question() {
                    self.tried(question.singles());
                }
            }
            Page::Options if !whole => {
                if let Some(question) = self.question() {
                    self.try_here(&question);
                }
            }
            _ => {}
        }
    }

    /// Tries all options in this thread.
    fn try_here(&mut self, question: &Question) {
        let done = std::cell::RefCell::new(Vec::new());
        question.try_ways(|| None, |tried| done.borrow_mut().push(tried));
        for tried in done.into_inner() {
            self.tried(tried);
        }
    }

    /// Stores how sure the judgement is, unless the case has changed since.
    pub fn weighed(&mut self, weighed: Weighed) {
        if let Some(inspection) = self.session.real_mut()
            && inspection.case().number == weighed.number
            && inspection.entries() == weighed.entries
        {
            inspection.doubt = Some(weighed.doubt);
        }
    }

    /// Stores options that were tried, unless the case has changed since.
    pub fn tried(&mut self, tried: Tried) {
        if let Some(inspection) = self.session.real_mut()
            && inspection.case().number == tried.number
            && inspection.entries() == tried.entries
        {
            inspection.ways = Some(tried.ways);
        }
    }

    /// Returns the case itself as a question, or `None` during a what-if.
    fn question(&self) -> Option<Question> {
        let inspection = self.session.inspection.as_ref().filter(|i| !i.is_trial())?;
        Some(Question {
            flow: inspection.flow().clone(),
            case: inspection.case().clone(),
            entries: inspection.entries(),
        })
    }

    pub(super) fn weigh(&mut self) {
        let known = |desk: &Desk| {
            desk.session
                .inspection
                .as_ref()
                .is_some_and(|i| i.doubt.is_some())
        };
        if let Some(question) = self.wanted(&self.weighs, known)
            && let Some(question) = self.weighs.ask(question)
        {
            self.weighed(question.weigh());
        }
    }

    /// Asks for options if the present page shows them.
    pub(super) fn try_ways(&mut self) {
        if !matches!(self.session.page, Page::Call | Page::Options) {
            return;
        }
        let known = |desk: &Desk| {
            desk.session
                .inspection
                .as_ref()
                .is_some_and(|i| i.ways.is_some())
        };
        if let Some(question) = self.wanted(&self.tries, known)
            && let Some(question) = self.tries.ask(question)
        {
            self.try_here(&question);
        }
    }

    /// Returns the question for a worker, or `None` if its answer is known or on the way.
    fn wanted(&self, worker: &Worker, known: impl Fn(&Desk) -> bool) -> Option<Question> {
        let inspection = self.session.inspection.as_ref()?;
        let state = (inspection.case().number.clone(), inspection.entries());
        if known(self) || worker.asked.as_ref() == Some(&state) {
            return None;
        }
        self.question()
    }
}
