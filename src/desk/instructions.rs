//! Standing instructions: saved in the archive, used by the session.

use super::Desk;
use crate::case::instruction::Instruction;
use crate::error::Error;
use crate::phrase::prompts::desk::instruction_saved;
use crate::session::Moment;

impl Desk {
    /// Saves a standing instruction.
    pub(super) fn agree(&mut self, instruction: Instruction, moment: &Moment) -> Result<(), Error> {
        let from = instruction.from;
        self.archive
            .agree(&instruction, moment.now, self.who.as_deref())?;
        self.fill_instructions()?;
        self.session.notice = Some(instruction_saved(from));
        Ok(())
    }

    /// Loads the standing instructions into the session.
    pub(super) fn fill_instructions(&mut self) -> Result<(), Error> {
        let standing = self.archive.count_standing()?;
        self.session.instructions = self.archive.instructions()?;
        self.filling.standing = standing;
        Ok(())
    }
}
