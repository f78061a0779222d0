//! The pages: of each its state, what its keys do to it, and what is shown of it. Here each page is handed what is its own.

pub mod call;
pub(super) mod findings;
pub(super) mod follow_up;
pub(super) mod history;
pub(super) mod limits;
pub(super) mod moving;
pub(super) mod options;
pub(super) mod outcome;
pub(super) mod pictures;
pub(super) mod questions;
pub(super) mod rates;
pub(super) mod summary;
pub(super) mod trials;
pub(super) mod worklist;

use super::view::PageView;
use super::{Command, Context, Effect, Inspection, Moment, Session};
use crate::derive::Facts;

/// The page that is shown.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Page {
    /// The list of cases.
    Worklist,
    /// The questions of a step.
    Questions,
    /// The findings.
    Findings,
    /// Summary and call sheet.
    Summary,
    /// The call with the dentist.
    Call,
    /// The options.
    Options,
    /// The pictures of the case.
    Picture,
    /// What was entered before.
    History,
    /// What became of a delivered restoration.
    Outcome,
    /// What came back, over the whole record.
    Rates,
    /// Rules, held against what came back.
    Trials,
    /// A limit of a rule, moved over the record.
    Limits,
    /// What is due of one dentist.
    FollowUp,
    /// What a move to another version of the flow changes.
    MoveFlow,
}

impl Page {
    /// Returns the commands that turn to the page; which of them works depends on the page that is left.
    pub(super) fn ways(self) -> &'static [Command] {
        match self {
            Page::Worklist => &[Command::Leave],
            Page::Questions => &[Command::Questions, Command::ToQuestions],
            Page::Findings => &[Command::Findings],
            Page::Summary => &[Command::Summary],
            Page::Call => &[Command::Call],
            Page::Options => &[Command::Options],
            Page::Picture => &[Command::Picture],
            Page::History => &[Command::History],
            Page::Outcome => &[Command::Outcome],
            Page::Rates => &[Command::Rates],
            Page::Trials => &[Command::Trials],
            Page::Limits => &[Command::Limits],
            Page::FollowUp => &[Command::FollowUp],
            Page::MoveFlow => &[Command::MoveFlow],
        }
    }

    /// Returns whether the page lies over the questions of a case, so that one step back shows them.
    pub(super) fn is_over_questions(self) -> bool {
        !matches!(self, Page::Worklist | Page::Questions)
    }
}

impl Session {
    /// Returns what keys mean on the page itself, with nothing over it.
    pub(super) fn context_of_page(&self) -> Context {
        match self.page {
            Page::Worklist => Context::Worklist,
            Page::Questions => Context::Questions,
            Page::Findings => Context::Findings,
            Page::Summary => Context::Summary,
            Page::Call => self.call.context(),
            Page::Options => Context::Options,
            Page::Picture => Context::Picture,
            Page::History => Context::History,
            Page::Outcome => Context::Outcome,
            Page::Rates => Context::Rates,
            Page::Trials => self.trials.context(),
            Page::Limits => self.limits.context(),
            Page::FollowUp => Context::FollowUp,
            Page::MoveFlow => Context::MoveFlow,
        }
    }

    /// Lets the page carry out a command of its own; `None` if it is none.
    pub(super) fn page_command(
        &mut self,
        command: Command,
        moment: &Moment,
    ) -> Option<Vec<Effect>> {
        match self.page {
            Page::Worklist => self.worklist_command(command),
            Page::Questions => self.questions_command(command, moment),
            Page::Findings | Page::History => None,
            Page::Summary => self.summary_command(command),
            Page::Call => self.call_command(command, moment),
            Page::Options => self.options_command(command),
            Page::Picture => self.pictures_command(command),
            Page::Outcome => self.outcome_command(command, moment),
            Page::Rates => self.rates_command(command),
            Page::Trials => self.trials_command(command),
            Page::Limits => self.limits_command(command),
            Page::FollowUp => self.follow_up_command(command, moment),
            Page::MoveFlow => self.moving_command(command),
        }
    }

    /// Returns whether the page takes a character as text, or as a digit that picks something.
    pub(super) fn page_takes(&self, c: char) -> bool {
        match self.page {
            Page::Questions => self.types(c),
            Page::Call | Page::Outcome | Page::FollowUp => c.is_ascii_digit(),
            _ => false,
        }
    }

    /// Hands the page a character that it takes.
    pub(super) fn page_types(&mut self, c: char, moment: &Moment) -> Vec<Effect> {
        match self.page {
            Page::Questions => self.type_answer(c, moment),
            Page::Call => self.call_digit(c, moment),
            Page::Outcome => self.outcome_digit(c, moment),
            Page::FollowUp => {
                self.follow_up_digit(c);
                Vec::new()
            }
            _ => Vec::new(),
        }
    }

    /// Goes one step back within the page, or leaves it in a way of its own; `None` if it has none.
    pub(super) fn page_back(&mut self) -> Option<Vec<Effect>> {
        match self.page {
            Page::Worklist => self.empty_filter(),
            Page::Questions => self.questions_back(),
            Page::Findings | Page::Summary | Page::Picture => None,
            Page::Call => self.call_back(),
            Page::Options => self.options_back(),
            Page::History => self.history_back(),
            Page::Outcome => Some(self.back_from_outcome()),
            Page::Rates => Some(self.leave()),
            Page::Trials => Some(self.back_from_trials()),
            Page::Limits => Some(self.back_from_limits()),
            Page::FollowUp => Some(self.back_from_follow_up()),
            Page::MoveFlow => {
                self.turn_to(Page::Summary);
                Some(Vec::new())
            }
        }
    }

    /// Returns the marked line of the page's list, from 0, and how many lines it has, or `None` if it has no list.
    pub(super) fn page_marked(&self) -> Option<(usize, usize)> {
        let open = self.inspection.as_ref();
        match self.page {
            Page::Worklist => {
                let first = self.listing.first;
                Some((first + self.marked, first + self.worklist.len()))
            }
            Page::Findings => Some((self.findings.marked, open?.judgement().findings.len())),
            Page::Call => self.call_marked(),
            Page::Options => self.options_marked(),
            Page::FollowUp => self.follow_up_rows(),
            Page::Trials => self.trials.rows(),
            Page::Limits => self.limits.rows(),
            _ => None,
        }
    }

    /// Marks a line of the page's list.
    pub(super) fn page_mark(&mut self, place: usize) -> Vec<Effect> {
        match self.page {
            Page::Worklist => {
                let here = self.listing.first + self.marked;
                return self.move_mark(place > here, place.abs_diff(here));
            }
            Page::Findings => self.findings.marked = place,
            Page::Call => self.mark_call(place),
            Page::Options => self.mark_option(place),
            Page::FollowUp => self.follow_up.mark(place),
            Page::Trials => self.trials.mark(place),
            Page::Limits => self.limits.mark(place),
            _ => {}
        }
        Vec::new()
    }

    /// Returns what is shown of the page, with the case under inspection and its facts.
    pub(super) fn page_view(&self, open: Option<(&Inspection, &Facts<'_>)>) -> PageView {
        match (self.page, open) {
            (Page::Rates, _) => PageView::Rates(Box::new(self.rates_view())),
            (Page::Trials, _) => PageView::Leaf(Box::new(self.trials_view())),
            (Page::Limits, _) => PageView::Leaf(Box::new(self.limits_view())),
            (Page::FollowUp, _) => PageView::FollowUp(Box::new(self.follow_up_view())),
            (Page::Worklist, _) | (_, None) => PageView::Worklist(Box::new(self.worklist_view())),
            (Page::Questions, Some((inspection, facts))) => {
                PageView::Questions(Box::new(self.questions_view(inspection, facts)))
            }
            (Page::Findings, Some((inspection, facts))) => {
                PageView::Findings(self.findings(inspection, facts))
            }
            (Page::Summary, Some((inspection, facts))) => {
                PageView::Summary(self.summary_view(inspection, facts))
            }
            (Page::Call, Some((inspection, facts))) => {
                PageView::Call(Box::new(self.call_view(inspection, facts)))
            }
            (Page::Options, Some((inspection, facts))) => {
                PageView::Options(Box::new(self.options(inspection, facts)))
            }
            (Page::Picture, Some((inspection, _))) => {
                PageView::Picture(Box::new(self.picture_page(inspection)))
            }
            (Page::History, Some(_)) => PageView::History(self.history_view()),
            (Page::MoveFlow, Some((inspection, _))) => {
                PageView::History(self.moving_view(inspection))
            }
            (Page::Outcome, Some((inspection, _))) => {
                PageView::Outcome(Box::new(self.outcome_view(inspection)))
            }
        }
    }
}
