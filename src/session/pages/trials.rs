//! The page of rules on trial: all of them in a list, and one in full.

use std::sync::Arc;

use jiff::civil::Date;

use super::rates::{Rated, WITHIN, turn};
use crate::flow::Flow;
use crate::learn::replay::Looked;
use crate::learn::trial::{Put, Trials};
use crate::phrase::learn as learn_words;
use crate::phrase::pages::worklist::progress;
use crate::phrase::trial as said;
use crate::print::Leaf;
use crate::print::trial::{in_order, rule, rules};
use crate::session::{Command, Context, Effect, Page, Session};

/// How long a restoration is followed at first, in months.
const MONTHS: i32 = 12;

/// The rules of a flow, held against the record.
#[derive(Clone, PartialEq, Debug)]
pub struct OnTrial {
    /// What was asked.
    pub put: Put,
    /// What the record says.
    pub found: Trials,
    /// How much of the archive was looked at.
    pub looked: Looked,
    /// The flow whose rules they are.
    pub flow: Arc<Flow>,
}

/// How far an answer is.
#[derive(Clone, PartialEq, Debug)]
pub(super) enum Answer<T> {
    /// So many cases of so many are read.
    Reading(usize, usize),
    /// It is here.
    Done(Arc<T>),
    /// The archive could not be read; why, in a sentence.
    Failed(String),
}

impl<T> Answer<T> {
    /// Returns how far it is, or why there is none; `None` once it is here.
    pub(super) fn waits(own: Option<&Answer<T>>) -> Option<String> {
        match own {
            None => Some(learn_words::READS.to_owned()),
            Some(Answer::Reading(done, of)) => Some(progress(*done, *of)),
            Some(Answer::Failed(why)) => Some(why.clone()),
            Some(Answer::Done(_)) => None,
        }
    }
}

/// What the page shows.
#[derive(Clone, PartialEq, Debug)]
pub struct State {
    months: i32,
    /// The marked rule, by its place in the list.
    marked: usize,
    /// Whether it is shown in full.
    full: bool,
    found: Option<Answer<OnTrial>>,
}

impl Default for State {
    fn default() -> State {
        State {
            months: MONTHS,
            marked: 0,
            full: false,
            found: None,
        }
    }
}

impl State {
    fn put(&self, today: Date) -> Put {
        Put {
            kinds: Vec::new(),
            months: self.months,
            today,
        }
    }

    /// What is here, once it is.
    pub(super) fn done(&self) -> Option<&Arc<OnTrial>> {
        match &self.found {
            Some(Answer::Done(own)) => Some(own),
            _ => None,
        }
    }

    pub(super) fn context(&self) -> Context {
        match self.full {
            true => Context::OneTrial,
            false => Context::Trials,
        }
    }

    /// The months that restorations are followed for.
    pub(super) fn months(&self) -> i32 {
        self.months
    }

    /// The place of the marked rule among those of the flow.
    pub(super) fn rule(&self) -> Option<usize> {
        let found = &self.done()?.found;
        in_order(found).get(self.marked).map(|own| own.nth)
    }

    fn count(&self) -> usize {
        self.done().map_or(0, |own| own.found.trials.len())
    }

    pub(super) fn rows(&self) -> Option<(usize, usize)> {
        let count = self.count();
        (!self.full && count > 0).then_some((self.marked, count))
    }

    pub(super) fn mark(&mut self, row: usize) {
        self.marked = row.min(self.count().saturating_sub(1));
    }

    fn leaf(&self) -> Option<Leaf> {
        let own = self.done()?;
        let (found, put) = (&own.found, &own.put);
        if !self.full {
            return Some(rules(found, &own.flow, own.looked, put));
        }
        let marked = *in_order(found).get(self.marked)?;
        Some(rule(marked, found, &own.flow, own.looked, put))
    }
}

/// A page of the record: its texts, its table, and which row is marked.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct LeafView {
    /// What is said.
    pub leaf: Leaf,
    /// What stands at the right of the title.
    pub right: String,
    /// The marked row of those that are here, or `None` if none can be.
    pub marked: Option<usize>,
    /// How many rows are before those that are here.
    pub first: usize,
}

impl LeafView {
    /// A page that only says something under its title.
    pub(super) fn saying(title: String, texts: Vec<String>) -> LeafView {
        LeafView {
            leaf: Leaf {
                title,
                before: texts,
                ..Leaf::default()
            },
            ..LeafView::default()
        }
    }
}

impl Session {
    /// Carries out a command of the page; `None` if it is none.
    pub(in crate::session) fn trials_command(&mut self, command: Command) -> Option<Vec<Effect>> {
        if self.over.top().is_some() {
            return None;
        }
        let state = &mut self.trials;
        match command {
            Command::Trials => {
                self.page = Page::Trials;
                *state = State {
                    months: state.months,
                    ..State::default()
                };
            }
            Command::Within => {
                let now = WITHIN.iter().position(|own| *own == state.months);
                state.months = WITHIN[turn(now.unwrap_or(0), true, WITHIN.len())];
            }
            Command::OpenTrial => {
                state.full = state.count() > 0;
                self.scroll = 0;
                return Some(Vec::new());
            }
            Command::NextRule | Command::PreviousRule => {
                let forward = command == Command::NextRule;
                state.marked = turn(state.marked, forward, state.count().max(1));
                self.scroll = 0;
                return Some(Vec::new());
            }
            Command::Limits => return Some(self.open_limits()),
            Command::Print => {
                let document = state.leaf().map(|own| own.document());
                let print = document.map(|own| Effect::PrintTrials(Box::new(own)));
                return Some(print.into_iter().collect());
            }
            Command::Leave => return Some(self.leave_trials()),
            _ => return None,
        }
        self.scroll = 0;
        let put = self.trials.put(self.today.unwrap_or_default());
        Some(vec![Effect::Try(Box::new(put))])
    }

    /// One step back: from one rule to the list, from there to the worklist.
    pub(in crate::session) fn back_from_trials(&mut self) -> Vec<Effect> {
        if self.trials.full {
            self.trials.full = false;
            self.scroll = 0;
            return Vec::new();
        }
        self.leave_trials()
    }

    /// Leaves the page; nobody waits for what is still being read.
    fn leave_trials(&mut self) -> Vec<Effect> {
        let left = self.leave();
        std::iter::once(Effect::StopReading).chain(left).collect()
    }

    /// Takes in what came of the question, unless another was asked since.
    pub(super) fn take_trials(&mut self, rated: Rated) {
        let today = self.today.unwrap_or_default();
        let state = &mut self.trials;
        let found = match rated {
            Rated::Reading(done, of) => Answer::Reading(done, of),
            Rated::Failed(why) => Answer::Failed(why),
            Rated::Trials(own) if own.put == state.put(today) => Answer::Done(own),
            _ => return,
        };
        state.found = Some(found);
        // While it is read once more, what was marked is kept in mind.
        if state.done().is_some() {
            state.mark(state.marked);
        }
    }

    pub(in crate::session) fn trials_view(&self) -> LeafView {
        let state = &self.trials;
        let Some(mut leaf) = state.leaf() else {
            let says = Answer::waits(state.found.as_ref());
            return LeafView::saying(said::TITLE.to_owned(), says.into_iter().collect());
        };
        if state.full
            && let Some((_, texts)) = leaf.after.first_mut()
        {
            texts.push(self.keymap.say(said::MOVE_A_LIMIT));
        }
        LeafView {
            leaf,
            right: said::which(state.marked + 1, state.count()),
            marked: state.rows().map(|(marked, _)| marked),
            first: 0,
        }
    }
}
