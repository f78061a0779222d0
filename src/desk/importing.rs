//! Importing a case file as a journal.

use uuid::Uuid;

use super::Desk;
use crate::case::opening::{Opening, entries};
use crate::case::{Case, FlowRef};
use crate::error::Error;
use crate::flow::FORMAT;
use crate::session::Moment;

impl Desk {
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
        let files: Vec<_> = self
            .sources
            .iter()
            .map(|source| (source.name().to_owned(), source.text().to_owned()))
            .collect();
        self.archive.keep_flow(&self.flow.digest, FORMAT, &files)?;
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
