//! Importing a case file as a journal.

use uuid::Uuid;

use super::Desk;
use crate::case::journal::{Before, Body, Came, Entry};
use crate::case::{Case, FlowRef};
use crate::error::Error;
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
        self.archive.keep_flow(&self.flow.digest, &files)?;
        let flow = FlowRef {
            id: self.flow.id.clone(),
            version: self.flow.version,
            digest: self.flow.digest.clone(),
        };
        let mut entries = Vec::new();
        let mut add = |body: Body| {
            entries.push(Entry {
                id: fresh(),
                seen: entries.len() as u64,
                session: self.session_id,
                when: moment.now,
                who: self.who.clone(),
                body,
            });
        };
        add(Body::Opened {
            number: case.number.clone(),
            flow,
            units: case.units.clone(),
        });
        // Decisions first: what the readings say of the layers at their places is written after them and counts.
        for decided in case.decisions() {
            add(Body::Decide {
                decision: Box::new(decided.decision.clone()),
            });
        }
        if case
            .decisions()
            .any(|decided| decided.decision.units.is_some())
        {
            add(Body::Units {
                units: case.units.clone(),
                undoes: None,
            });
        }
        let mut before = Before::default();
        before.keep_came(case);
        // Who has it since when, and its files, are as the file says.
        if case.handed().is_some() {
            before.keep_handed(case);
        }
        if !case.files().is_empty() {
            before.keep_files(case);
        }
        let beside = before.handed.is_some() || before.files.is_some();
        if before.came != Some(Came::default()) || beside {
            add(Body::PutBack {
                before: Box::new(before),
                undoes: Uuid::nil(),
            });
        }
        if !case.proposals().is_empty() {
            add(Body::Propose {
                proposals: case.proposals().to_vec(),
            });
        }
        for (spot, layer, reading) in case.layers() {
            add(Body::Answer {
                spot: spot.clone(),
                value: reading.value.clone(),
                with: reading.with.clone(),
                layer,
                undoes: None,
            });
        }
        self.archive.append(&case.number, &entries)?;
        Ok(())
    }
}
