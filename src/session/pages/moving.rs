//! The page on which a case is moved to another version of its flow: what that changes, before anything is moved.

use std::sync::Arc;

use crate::flow::Flow;
use crate::judge::Finding;
use crate::phrase::Phrase;
use crate::phrase::moving as said;
use crate::phrase::prompts::editing;
use crate::session::inspection::Moving;
use crate::session::view::HistoryView;
use crate::session::{Command, Effect, Inspection, Moment, Page, Session};

impl Session {
    /// Carries out a command of the page; `None` if it is none.
    pub(in crate::session) fn moving_command(&mut self, command: Command) -> Option<Vec<Effect>> {
        match command {
            Command::MoveFlow if self.is_trying() => {
                self.say_trying();
                Some(Vec::new())
            }
            Command::MoveFlow => Some(vec![Effect::LookAtFlow]),
            Command::KeepMove => Some(vec![Effect::MoveFlow]),
            Command::EditRule => Some(self.edit_rule()),
            _ => None,
        }
    }

    /// Opens the rule that help shows, where that is allowed.
    fn edit_rule(&mut self) -> Vec<Effect> {
        let rule = self.rule_in_help().map(|(_, rule)| rule.id.clone());
        let why = match rule {
            _ if !self.supervisor => editing::SUPERVISORS,
            None => editing::NO_FINDING,
            Some(rule) => return vec![Effect::EditRule(rule)],
        };
        self.notice = Some(why.to_owned());
        Vec::new()
    }

    /// Shows what a move to a flow would change, or says why the case is not moved.
    pub fn look_at_flow(&mut self, flow: &Arc<Flow>) {
        let Some(inspection) = &self.inspection else {
            return;
        };
        match inspection.moving_to(flow) {
            Ok(moving) => {
                self.moving = Some(moving);
                self.over.clear();
                self.page = Page::MoveFlow;
                self.scroll = 0;
            }
            Err(why) => self.notice = Some(why),
        }
    }

    /// Moves the case as it was shown. Whoever keeps the entries has kept the flow before.
    ///
    /// # Errors
    /// A sentence: nothing was shown, or the case is another since.
    pub fn move_flow(&mut self, moment: &Moment) -> Result<Vec<Effect>, String> {
        let Some((moving, inspection)) = self.moving.take().zip(self.inspection.as_mut()) else {
            return Err(said::NO_FLOW.to_owned());
        };
        // What somebody else has answered meanwhile may not fit either.
        let moving = inspection.moving_to(&moving.flow)?;
        let mut effects = inspection.move_flow(&moving, moment);
        self.keep_record(&mut effects, moment);
        self.turn_to(Page::Summary);
        self.notice = Some(said::moved(&moving.reference()));
        Ok(effects)
    }

    /// Takes in a flow that the open case was moved to by somebody else.
    pub fn know_flow(&mut self, flow: &Arc<Flow>) {
        let both = self.untried.iter_mut().chain(&mut self.inspection);
        both.for_each(|own| own.know_flow(flow.clone()));
    }

    pub(in crate::session) fn moving_view(&self, inspection: &Inspection) -> HistoryView {
        let number = crate::text::clean(&inspection.case.number);
        let mut lines = self
            .moving
            .as_ref()
            .map_or_else(Vec::new, |moving| self.moving_lines(inspection, moving));
        lines.push(self.keymap.say(said::HOW));
        HistoryView {
            title: said::title(&number),
            lines,
        }
    }

    /// Says what a move changes: the flows, the result, the findings, what no longer fits, what is asked again.
    pub fn moving_lines(&self, inspection: &Inspection, moving: &Moving) -> Vec<String> {
        let phrase = self.phrase(inspection);
        let mut lines = vec![said::flows(&inspection.case.flow, &moving.reference())];
        let section = |lines: &mut Vec<String>, heading: &str, own: Vec<String>, none: &str| {
            let text = match own.as_slice() {
                [] => none.to_owned(),
                own => own.join("; "),
            };
            lines.push(crate::phrase::sheets::labelled(heading, &text));
        };
        let result = said::result(inspection.judgement.verdict, moving.after.verdict);
        section(&mut lines, said::RESULT, vec![result], "");
        let findings = self.moved_findings(inspection, moving);
        section(&mut lines, said::FINDINGS, findings, said::NO_OTHER);
        let aside = moving.aside.iter();
        let aside: Vec<String> = aside
            .map(|(spot, _, value)| phrase.fits_not(spot, value))
            .collect();
        let stays = !aside.is_empty();
        section(&mut lines, said::FITS_NOT, aside, said::ALL_FIT);
        lines.extend(stays.then(|| said::STAY.to_owned()));
        let again = moving.anew.iter().map(|about| phrase.asked_again(about));
        section(&mut lines, said::AGAIN, again.collect(), said::ALL_FIT);
        lines
    }

    fn moved_findings(&self, inspection: &Inspection, moving: &Moving) -> Vec<String> {
        let (before, after) = (&inspection.judgement.findings, &moving.after.findings);
        let name = |flow: &Flow, own: &Finding| flow.rule(own.rule).map(|rule| rule.id.clone());
        let one = |own: &Finding| (name(&inspection.flow, own), own.at);
        let other = |own: &Finding| (name(&moving.flow, own), own.at);
        let facts = inspection.facts();
        let then =
            crate::derive::Facts::with(&moving.flow, &moving.case, crate::derive::Precision::Quick);
        let phrase = self.phrase(inspection);
        let new = Phrase {
            flow: &moving.flow,
            ..phrase
        };
        let mut lines = Vec::new();
        for own in after {
            let was = before.iter().find(|old| one(old) == other(own));
            if was.is_none_or(|old| old.level != own.level) {
                let says = said::at(&new.place(own.at), &new.says(&then, own));
                lines.push(said::finding(
                    was.map(|old| old.level),
                    Some(own.level),
                    &says,
                ));
            }
        }
        for old in before {
            if !after.iter().any(|own| other(own) == one(old)) {
                let says = said::at(&phrase.place(old.at), &phrase.says(&facts, old));
                lines.push(said::finding(Some(old.level), None, &says));
            }
        }
        lines
    }
}
