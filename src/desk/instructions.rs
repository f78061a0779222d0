//! Standing instructions: kept in the archive, shown to the inspection.

use super::Desk;
use crate::case::instruction::Instruction;
use crate::error::Error;
use crate::phrase::prompts::desk::instruction_saved;
use crate::session::Moment;

impl Desk {
    /// Keeps a standing instruction.
    pub(super) fn agree(&mut self, instruction: Instruction, moment: &Moment) -> Result<(), Error> {
        let from = instruction.from;
        self.archive
            .agree(&instruction, moment.now, self.who.as_deref())?;
        self.fill_instructions()?;
        self.session.notice = Some(instruction_saved(from));
        Ok(())
    }

    /// Shows the inspection which standing instructions there are.
    pub(super) fn fill_instructions(&mut self) -> Result<(), Error> {
        self.session.instructions = self.archive.instructions()?;
        Ok(())
    }
}
