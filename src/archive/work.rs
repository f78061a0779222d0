//! The worklist's rows: one a case, made from its journal and written with it.
//!
//! What a row says of a case is for whoever judges; here it is kept, looked through and put in order.

use std::ops::ControlFlow;

use jiff::Timestamp;
use jiff::civil::Date;

use super::{Archive, ArchiveError};

/// A row of the worklist.
#[derive(Clone, PartialEq, Debug)]
pub struct WorkRow {
    /// The case's number.
    pub number: String,
    /// How many journal entries it was made from.
    pub entries: u64,
    /// How many rows the standing instructions had that it was judged by, as [`Archive::count_standing`] gives it.
    pub standing: u64,
    /// What judged it, with its version.
    pub engine: String,
    /// The digest of the flow that the case was judged by: with `entries` and `engine` it names what the row was made from.
    /// Whether the row still holds does not hang on it, as a case takes another flow by an entry.
    pub flow: String,
    /// The first day on which it no longer holds, where a standing instruction begins or ends then.
    pub fresh_until: Option<Date>,
    /// Whether nothing is left to do: delivered, withdrawn, closed.
    pub closed: bool,
    /// Where it stands in the day's order: the smaller text first, equal ones by number.
    pub turn: String,
    /// When the case was last written to.
    pub last: Timestamp,
    /// The dentist's code, or nothing.
    pub dentist: String,
    /// Who has the case, or nothing.
    pub who: String,
    /// What a filter looks through, in small letters.
    pub hay: String,
    /// What is shown of the case, in the words of whoever made the row.
    pub body: String,
}

/// A row as it is listed.
#[derive(Clone, PartialEq, Debug)]
pub struct Listed {
    /// The case's number.
    pub number: String,
    /// When the case was last written to.
    pub last: Timestamp,
    /// What is shown of it, or `None` if no row was made yet.
    pub body: Option<String>,
    /// Whether it was made from the whole journal by this engine, and still holds.
    pub fresh: bool,
}

/// The order of the worklist. What is closed comes last in each.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum WorkOrder {
    /// By turn: what needs a call first, then the earliest due day.
    #[default]
    Turn,
    /// The case last written to first.
    Last,
    /// By number.
    Number,
    /// By the dentist's code.
    Dentist,
    /// By who has it.
    Who,
}

/// What is asked of the worklist.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct WorkAsk {
    /// What each row must contain: one word of each group, in small letters.
    pub words: Vec<Vec<String>>,
    /// Only the cases of this person.
    pub who: Option<String>,
    /// Only cases that come first in the day's order: their turn begins with `0`.
    pub calls: bool,
    /// Only cases in which something is left to do, and whose turn names a day before this one.
    pub due_before: Option<Date>,
    /// The order.
    pub order: WorkOrder,
    /// How many rows to leave out.
    pub skip: usize,
    /// The most rows.
    pub most: usize,
}

/// What makes a row stand for its case still.
#[derive(Clone, PartialEq, Debug)]
pub struct Freshness {
    /// What judges now.
    pub engine: String,
    /// Today.
    pub today: Date,
}

impl Archive {
    /// Returns rows of the worklist.
    ///
    /// # Errors
    /// The system failed.
    pub fn work(&self, ask: &WorkAsk, now: &Freshness) -> Result<Vec<Listed>, ArchiveError> {
        let mut rows = Vec::new();
        self.each_work(ask, now, &mut |row| {
            rows.push(row);
            ControlFlow::Continue(())
        })?;
        Ok(rows)
    }

    /// Gives rows of the worklist one by one, as they are at one moment, until `each` breaks off.
    ///
    /// # Errors
    /// The system failed.
    pub fn each_work(
        &self,
        ask: &WorkAsk,
        now: &Freshness,
        each: &mut dyn FnMut(Listed) -> ControlFlow<()>,
    ) -> Result<(), ArchiveError> {
        let read = self.store.work(ask, now, each);
        read.map_err(|error| self.said(error))
    }

    /// Returns how many rows stand before a case in the order and through the filter of `ask`, or `None` if the case is not
    /// among them.
    ///
    /// # Errors
    /// The system failed.
    pub fn place_of(&self, number: &str, ask: &WorkAsk) -> Result<Option<usize>, ArchiveError> {
        let found = self.store.place_of(number, ask);
        found.map_err(|error| self.said(error))
    }

    /// Returns the row of a case in the worklist, or `None` if it has none.
    ///
    /// # Errors
    /// The system failed.
    pub fn row_of(&self, number: &str, now: &Freshness) -> Result<Option<Listed>, ArchiveError> {
        let found = self.store.row_of(number, now);
        found.map_err(|error| self.said(error))
    }

    /// Counts the cases: all of them, and those in which something is left to do.
    ///
    /// # Errors
    /// The system failed.
    pub fn count(&self) -> Result<(usize, usize), ArchiveError> {
        self.store.count().map_err(|error| self.said(error))
    }

    /// Counts the cases in which something is left to do: those that come first in the day's order (their turn begins with
    /// `0`), and those whose turn names a day before today.
    ///
    /// # Errors
    /// The system failed.
    pub fn count_first_and_late(&self, today: Date) -> Result<(usize, usize), ArchiveError> {
        let counted = self.store.count_first_and_late(today);
        counted.map_err(|error| self.said(error))
    }

    /// Counts the cases whose row has to be made anew.
    ///
    /// # Errors
    /// The system failed.
    pub fn count_stale(&self, now: &Freshness) -> Result<usize, ArchiveError> {
        self.store
            .count_stale(now)
            .map_err(|error| self.said(error))
    }

    /// Returns the numbers of cases whose row has to be made anew, the one last written to first.
    ///
    /// # Errors
    /// The system failed.
    pub fn stale(&self, now: &Freshness, most: usize) -> Result<Vec<String>, ArchiveError> {
        self.store
            .stale(now, most)
            .map_err(|error| self.said(error))
    }

    /// Keeps a row, unless the case has been written to since it was made or the archive can only be read; returns
    /// whether it was kept. If a standing instruction came or went since, it is kept as one that has to be made anew.
    ///
    /// # Errors
    /// The system failed.
    pub fn put_work(&mut self, row: &WorkRow) -> Result<bool, ArchiveError> {
        Ok(!self.put_all_work(std::slice::from_ref(row))?.is_empty())
    }

    /// Keeps rows in one transaction, but none whose case has been written to since it was made; returns the numbers of
    /// those that were kept. If a standing instruction came or went since they were judged, they are kept as rows that have
    /// to be made anew. An archive that can be read only keeps none.
    ///
    /// # Errors
    /// The system failed.
    pub fn put_all_work(&mut self, rows: &[WorkRow]) -> Result<Vec<String>, ArchiveError> {
        if self.store.about().read_only {
            return Ok(Vec::new());
        }
        let kept = self.store.put_work(rows);
        kept.map_err(|error| self.said(error))
    }
}
