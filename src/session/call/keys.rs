//! The commands of the page of the call.

use super::AnswerLine;
use crate::session::{Command, Effect, Moment, Session};

impl Session {
    /// Carries out a command of the page; `None` if it is none.
    pub(in crate::session) fn call_command(
        &mut self,
        command: Command,
        moment: &Moment,
    ) -> Option<Vec<Effect>> {
        match command {
            Command::OpenRow => return Some(self.open_row()),
            Command::Choose => return Some(self.choose(moment)),
            Command::Strike => return Some(self.strike(moment)),
            Command::Tick => self.tick(),
            Command::AddOption => self.add_option(),
            Command::ChangeDay => self.edit_line(AnswerLine::Day),
            Command::ChangeCost => self.edit_line(AnswerLine::Cost),
            Command::ChangeWords => self.edit_line(AnswerLine::Words),
            Command::OrderHere => self.order_is_here(),
            Command::MoreOptions => self.more_options(),
            Command::Speaker => self.next_speaker(),
            Command::Standing => self.begin_standing(),
            _ => return None,
        }
        Some(Vec::new())
    }
}
