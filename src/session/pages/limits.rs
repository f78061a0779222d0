//! The page of a limit that is moved over the record: its slices, and the cases of one.
//!
//! Each way of moving it reads the whole archive once more. Whoever turns to another, or leaves, stops that.

use std::sync::Arc;

use jiff::civil::Date;

use super::rates::{Rated, WITHIN, turn};
use super::trials::{Answer, LeafView};
use crate::flow::Flow;
use crate::learn::replay::{Looked, Over};
use crate::learn::sweep::{Lies, Limit, Moved, PARTS, Sweep, TellsNothing, around, limits_of};
use crate::phrase::learn::sentence;
use crate::phrase::trial::replay as said;
use crate::print::replay::{about, cases, nothing, slices, step, title};
use crate::session::{Command, Context, Effect, Page, Session};

/// So many cases of a slice are shown at a time.
const WINDOW: usize = 100;
/// The page keys go so far among them.
const PAGE: usize = 10;

/// A limit, moved over the record.
#[derive(Clone, PartialEq, Debug)]
pub struct Swept {
    /// What was asked.
    pub moved: Moved,
    /// What the record says.
    pub found: Sweep,
    /// Where each restoration lies.
    pub all: Vec<Lies>,
    /// How much of the archive was looked at.
    pub looked: Looked,
}

/// What the page shows.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct State {
    flow: Option<Arc<Flow>>,
    /// The limits of the rule.
    limits: Vec<Limit>,
    /// The limit that is moved.
    nth: usize,
    /// How finely, by its place among the ways to do so.
    parts: usize,
    months: i32,
    /// The marked slice.
    marked: usize,
    /// The marked case of that slice, while its cases are shown.
    case: Option<usize>,
    /// Whether a case was opened from here.
    pub(in crate::session) opened: bool,
    found: Option<Answer<Swept>>,
}

impl State {
    /// The question, or `None` where the rule has no limit to be moved.
    fn moved(&self, today: Date) -> Option<Moved> {
        let (flow, limit) = (self.flow.as_ref()?, self.limits.get(self.nth)?);
        let over = Over {
            kinds: Vec::new(),
            months: self.months,
            today,
        };
        let parts = PARTS.get(self.parts).copied().unwrap_or(PARTS[0]);
        Some(Moved {
            steps: around(flow, limit, parts)?,
            over: over.of_rule(flow.rules.get(limit.nth)),
        })
    }

    /// What is here and tells something.
    fn told(&self) -> Option<&Arc<Swept>> {
        match &self.found {
            Some(Answer::Done(own)) if own.found.tells_nothing().is_none() => Some(own),
            _ => None,
        }
    }

    pub(super) fn context(&self) -> Context {
        match self.case {
            Some(_) => Context::Slice,
            None => Context::Limits,
        }
    }

    /// The cases of the marked slice.
    fn lying(&self) -> Vec<&Lies> {
        let Some(own) = self.told() else {
            return Vec::new();
        };
        let slice = own.found.slice(self.marked);
        own.all.iter().filter(|own| own.slice == slice).collect()
    }

    pub(super) fn rows(&self) -> Option<(usize, usize)> {
        let (marked, of) = match self.case {
            Some(case) => (case, self.lying().len()),
            None => (self.marked, self.told()?.found.rows.len()),
        };
        (of > 0).then_some((marked, of))
    }

    pub(super) fn mark(&mut self, row: usize) {
        let last = self.rows().map_or(0, |(_, of)| of - 1);
        match &mut self.case {
            Some(case) => *case = row.min(last),
            None => self.marked = row.min(last),
        }
    }
}

impl Session {
    /// Turns to the limits of the rule that is shown in full.
    pub(super) fn open_limits(&mut self) -> Vec<Effect> {
        let rule = self.trials.rule();
        let Some((nth, own)) = rule.zip(self.trials.done()) else {
            return Vec::new();
        };
        let limits = limits_of(&own.flow, nth);
        if limits.is_empty() {
            self.notice = Some(said::NO_LIMIT_HERE.to_owned());
            return Vec::new();
        }
        self.limits = State {
            limits,
            flow: Some(own.flow.clone()),
            months: self.trials.months(),
            ..State::default()
        };
        self.turn_to(Page::Limits);
        self.sweep()
    }

    /// Asks what the record says of the limit as it is moved now.
    fn sweep(&mut self) -> Vec<Effect> {
        self.scroll = 0;
        self.limits.found = None;
        let moved = self.limits.moved(self.today.unwrap_or_default());
        // It begins where it stands now.
        let now = moved.as_ref().and_then(|own| {
            let mut at = own.steps.at.iter();
            at.position(|at| (at - own.steps.limit.now).abs() < 1e-9)
        });
        self.limits.marked = now.unwrap_or(0);
        match moved {
            Some(moved) => vec![Effect::Sweep(Box::new(moved))],
            None => vec![Effect::StopReading],
        }
    }

    /// Carries out a command of the page; `None` if it is none.
    pub(in crate::session) fn limits_command(&mut self, command: Command) -> Option<Vec<Effect>> {
        if self.over.top().is_some() {
            return None;
        }
        let state = &mut self.limits;
        match command {
            Command::NextLimit | Command::PreviousLimit => {
                let forward = command == Command::NextLimit;
                state.nth = turn(state.nth, forward, state.limits.len().max(1));
            }
            Command::Steps => state.parts = turn(state.parts, true, PARTS.len()),
            Command::Within => {
                let now = WITHIN.iter().position(|own| *own == state.months);
                state.months = WITHIN[turn(now.unwrap_or(0), true, WITHIN.len())];
            }
            Command::SliceCases => {
                state.case = state.told().map(|_| 0);
                self.scroll = 0;
                return Some(Vec::new());
            }
            Command::OpenCase => {
                let own = state.case.and_then(|case| state.lying().get(case).copied());
                let number = own.map(|own| own.number.clone());
                state.opened = number.is_some();
                let open = number.map(|number| Effect::Open { number });
                return Some(open.into_iter().collect());
            }
            Command::PageDown | Command::PageUp => {
                let case = state.case?;
                state.mark(match command {
                    Command::PageDown => case + PAGE,
                    _ => case.saturating_sub(PAGE),
                });
                return Some(Vec::new());
            }
            Command::Print => {
                let leaf = self.limits_leaf(usize::MAX);
                let print = leaf.map(|own| Effect::PrintTrials(Box::new(own.leaf.document())));
                return Some(print.into_iter().collect());
            }
            Command::Leave => {
                state.opened = false;
                let left = self.leave();
                return Some(std::iter::once(Effect::StopReading).chain(left).collect());
            }
            _ => return None,
        }
        Some(self.sweep())
    }

    /// One step back: from cases to slices, from there to the rule.
    pub(in crate::session) fn back_from_limits(&mut self) -> Vec<Effect> {
        self.scroll = 0;
        if self.limits.case.take().is_some() {
            return Vec::new();
        }
        self.turn_to(Page::Trials);
        vec![Effect::StopReading]
    }

    /// Takes in what came of the question, unless another was asked since.
    pub(super) fn take_swept(&mut self, rated: Rated) {
        let asked = self.limits.moved(self.today.unwrap_or_default());
        let found = match rated {
            Rated::Moving(own, done, of) if Some(&*own) == asked.as_ref() => {
                Answer::Reading(done, of)
            }
            Rated::Swept(own) if Some(&own.moved) == asked.as_ref() => Answer::Done(own),
            Rated::Failed(why) => Answer::Failed(why),
            _ => return,
        };
        self.limits.found = Some(found);
    }

    /// What is shown of slices or cases, once they are here; of cases so many at a time.
    fn limits_leaf(&self, window: usize) -> Option<LeafView> {
        let state = &self.limits;
        let (own, flow) = (state.told()?, state.flow.as_ref()?);
        let Some(case) = state.case else {
            return Some(LeafView {
                leaf: slices(flow, &own.moved, &own.found, own.looked),
                marked: Some(state.marked),
                ..LeafView::default()
            });
        };
        let all = state.lying();
        let first = case / window * window;
        let here: Vec<&Lies> = all.iter().skip(first).take(window).copied().collect();
        let right = match all.len() {
            of if of > window => said::part(first + 1, first + here.len(), of),
            of => said::so_many(of),
        };
        Some(LeafView {
            leaf: cases(flow, &own.moved, &own.found, (state.marked, &here)),
            right,
            marked: (!here.is_empty()).then_some(case - first),
            first,
        })
    }

    pub(in crate::session) fn limits_view(&self) -> LeafView {
        let state = &self.limits;
        let asked = state.moved(self.today.unwrap_or_default());
        let Some((flow, asked)) = state.flow.as_ref().zip(asked) else {
            let rule = self.trials.rule();
            let rule = rule.and_then(|nth| state.flow.as_ref()?.rules.get(nth));
            let title = rule.map_or_else(String::new, |own| own.id.clone());
            return LeafView::saying(title, vec![said::NO_LIMIT_HERE.to_owned()]);
        };
        let right = said::moved_by(&step(flow, &asked), (state.nth + 1, state.limits.len()));
        if let Some(mut own) = self.limits_leaf(WINDOW) {
            if state.case.is_none() {
                own.right = right;
                let another = vec![said::ANOTHER_FLOW.to_owned()];
                own.leaf.after.push((String::new(), another));
            }
            return own;
        }
        let texts = match &state.found {
            Some(Answer::Done(own)) => {
                let why = own.found.tells_nothing();
                let said = why.map(|why| {
                    let (what, hint) = nothing(why);
                    // Options of the command line are none here.
                    let hint = match why {
                        TellsNothing::Few(_) => self.keymap.say(said::FOLLOW_ON),
                        TellsNothing::Open(..) => sentence(hint),
                    };
                    [sentence(&what), hint]
                });
                about(own.looked)
                    .into_iter()
                    .chain(said.into_iter().flatten())
                    .collect()
            }
            other => Answer::waits(other.as_ref()).into_iter().collect(),
        };
        LeafView {
            right,
            ..LeafView::saying(title(flow, &asked), texts)
        }
    }
}
