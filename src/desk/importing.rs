//! Importing a case file as a journal.

use uuid::Uuid;

use super::Desk;
use crate::archive::ArchiveError;
use crate::case::opening::{Opening, entries};
use crate::case::{Case, FlowRef};
use crate::error::{Error, Trouble};
use crate::flow::FORMAT;
use crate::session::{Effect, Moment};

impl Desk {
    /// Keeps the files of the flow of new cases.
    fn keep_flow(&mut self) -> Result<(), ArchiveError> {
        let files: Vec<_> = self
            .sources
            .iter()
            .map(|source| (source.name().to_owned(), source.text().to_owned()))
            .collect();
        self.archive.keep_flow(&self.flow.digest, FORMAT, &files)
    }

    /// Moves the case under inspection to the flow that is looked at: its files are kept before the entry that names it.
    ///
    /// # Errors
    /// The archive cannot be written to, or the case is not moved; then nothing is.
    pub fn move_flow(&mut self, moment: &Moment) -> Result<(), Error> {
        self.keep_flow()?;
        let moved = self.session.move_flow(moment);
        let effects = moved.map_err(|why| Error::new(Trouble::Usage, why))?;
        for effect in effects {
            if let Effect::Append { number, entries } = effect {
                self.held.write(&number);
                let entries = entries.into_iter().map(|entry| (number.clone(), entry));
                self.unsaved.extend(entries);
            }
        }
        // What was worked out by the other flow is no answer to this one.
        self.weighs.forget();
        self.tries.forget();
        Ok(())
    }

    /// Writes a case with all its readings as a new journal, under the present flow.
    ///
    /// # Errors
    /// The number is taken, or the archive cannot be written to.
    pub fn bring_in(
        &mut self,
        case: &Case,
        moment: &Moment,
        fresh: &mut dyn FnMut() -> Uuid,
    ) -> Result<(), Error> {
        self.keep_flow()?;
        let opening = Opening {
            flow: FlowRef {
                id: self.flow.id.clone(),
                version: self.flow.version,
                digest: self.flow.digest.clone(),
            },
            session: self.session_id,
            when: moment.now,
            who: self.who.clone(),
        };
        let entries = entries(case, &opening, fresh);
        let row = self.row_of_new(&entries);
        self.archive
            .append_beside(&case.number, &entries, row.as_ref())?;
        Ok(())
    }
}
