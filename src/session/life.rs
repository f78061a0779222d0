//! The life of a case around its inspection: its days, who has it, and what became of it. From the worklist, a key opens
//! the case for one line and goes back to the list.

use jiff::civil::Date;

use super::{Command, Effect, Moment, Page, Prompt, Session, days};
use crate::case::beside::MAX_NOTE;
use crate::case::code::{Whose, check_code};
use crate::case::life::{CaseEvent, Happened, State};
use crate::fact::{FactId, ORDER_DUE, ORDER_PROMISED};
use crate::flow::Days;
use crate::phrase::prompts::life as said;

/// What takes a day back.
const TAKE_BACK: &str = "-";

impl Session {
    /// Asks for the first line of a command that is about the whole case; on the worklist, opens the marked case for it.
    pub(super) fn begin_line(&mut self, command: Command) -> Vec<Effect> {
        if self.page == Page::Worklist {
            let item = self.worklist.get(self.marked);
            let number = item.map(|item| item.number.clone());
            self.then = number.is_some().then_some(command);
            let open = number.map(|number| Effect::Open { number });
            return open.into_iter().collect();
        }
        if self.is_trying() {
            self.say_trying();
            return Vec::new();
        }
        let prompt = match command {
            Command::Days => Prompt::Day(ORDER_DUE),
            Command::HandOver => Prompt::HandTo,
            _ => Prompt::Became,
        };
        self.over.ask((prompt, String::new()));
        Vec::new()
    }

    /// Asks for the line for which a case was opened from the worklist.
    pub(super) fn go_on_from_list(&mut self) {
        self.returns = false;
        if let Some(command) = self.then.take() {
            self.page = Page::Summary;
            if command == Command::Outcome {
                self.open_outcome(Page::Worklist);
                return;
            }
            self.begin_line(command);
            self.returns = self.over.line().is_some();
        }
    }

    /// Goes back to the worklist once the line is done for which a case was opened from there.
    pub(super) fn return_to_list(&mut self) -> Vec<Effect> {
        if !self.returns || self.over.line().is_some() {
            return Vec::new();
        }
        self.returns = false;
        self.close_case()
    }

    /// Keeps a day of the case, leaves it as it is if nothing was typed, or takes it back.
    ///
    /// # Errors
    /// A sentence, if the text is no day or the day is past.
    pub(super) fn take_day(
        &mut self,
        fact: &FactId,
        text: &str,
        moment: &Moment,
    ) -> Result<Vec<Effect>, String> {
        let day = match text {
            "" => None,
            TAKE_BACK => Some(None),
            text => Some(Some(days::read(text, moment.today, Days::Future)?)),
        };
        let mut effects = Vec::new();
        if let (Some(day), Some(inspection)) = (day, &mut self.inspection) {
            effects = inspection.set_day(fact, day, moment);
        }
        if *fact == ORDER_DUE {
            self.over.ask((Prompt::Day(ORDER_PROMISED), String::new()));
        } else {
            let case = self.inspection.as_ref().map(|i| i.case());
            let (due, promised) =
                case.map_or((None, None), |case| (case.due_day(), case.promised_day()));
            self.notice = Some(said::days(due, promised));
        }
        Ok(effects)
    }

    /// Asks for the note once it is said who has the case.
    ///
    /// # Errors
    /// A sentence on what is wrong with the code.
    pub(super) fn take_hand_to(&mut self, text: &str) -> Result<Vec<Effect>, String> {
        check_code(text, Whose::Bench)?;
        self.over
            .ask((Prompt::HandNote(text.to_owned()), String::new()));
        Ok(Vec::new())
    }

    /// Hands the case over.
    ///
    /// # Errors
    /// A sentence, if the note is too long.
    pub(super) fn take_hand_note(
        &mut self,
        to: &str,
        note: &str,
        moment: &Moment,
    ) -> Result<Vec<Effect>, String> {
        if note.chars().count() > MAX_NOTE {
            return Err(said::long_note(MAX_NOTE));
        }
        let Some(inspection) = &mut self.inspection else {
            return Ok(Vec::new());
        };
        self.notice = Some(said::handed(to));
        Ok(inspection.hand_over(to, note, moment))
    }

    /// Returns what became of the case by its digit or its name.
    fn became(text: &str) -> Option<Happened> {
        let index: Option<usize> = text.parse().ok();
        let by_digit = index.and_then(|n| Happened::ALL.get(n.checked_sub(1)?).copied());
        let mut all = Happened::ALL.into_iter();
        by_digit.or_else(|| all.find(|what| what.as_str() == text.to_lowercase()))
    }

    /// Returns what speaks against recording this of the case, to be confirmed; `None` if nothing does.
    pub(super) fn doubts_became(&self, text: &str) -> Option<String> {
        let what = Self::became(text)?;
        let lines = self.speaks_against(what, &self.all_restorations());
        (!lines.is_empty()).then(|| said::all_the_same(what, &lines))
    }

    /// Returns the state line of each of these restorations that should not be delivered or closed as it is.
    pub fn speaks_against(&self, what: Happened, of: &[u8]) -> Vec<String> {
        match what {
            Happened::Delivered => self.not_cleared(of),
            Happened::Closed => {
                self.state_lines_of(of, |state| !state.is_over() && state != State::NotCovered)
            }
            Happened::Returned | Happened::Withdrawn | Happened::Resumed => Vec::new(),
        }
    }

    fn all_restorations(&self) -> Vec<u8> {
        let units = self.inspection.as_ref().map(|i| &i.case().units);
        let own = units.into_iter().flat_map(|units| units.restorations());
        own.map(|restoration| restoration.id).collect()
    }

    /// Records what became of every restoration of the case, today.
    ///
    /// # Errors
    /// A sentence, if the text names nothing, or the case cannot be taken up again.
    pub(super) fn take_became(
        &mut self,
        text: &str,
        moment: &Moment,
    ) -> Result<Vec<Effect>, String> {
        let what = Self::became(text).ok_or(said::BECAME_DIGITS)?;
        let restorations = self.all_restorations();
        let Some(inspection) = &mut self.inspection else {
            return Ok(Vec::new());
        };
        let case = inspection.case();
        if what == Happened::Resumed && !restorations.iter().all(|id| case.can_resume(*id)) {
            return Err(said::NOT_BY_MISTAKE.to_owned());
        }
        let on: Date = moment.today;
        let event = CaseEvent {
            what,
            restorations,
            on,
            goes_on: None,
        };
        self.notice = Some(said::became(what, on));
        Ok(inspection.happen(event, moment))
    }
}
