//! The worklist's rows: one a case, made from its journal and written with it.
//!
//! What a row says of a case is for whoever judges; here it is kept, looked through and put in order.

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
    /// What judged it, with its version.
    pub engine: String,
    /// The digest of the flow that the case was judged by.
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
        self.store.work(ask, now).map_err(|error| self.said(error))
    }

    /// Counts the cases: all of them, and those in which something is left to do.
    ///
    /// # Errors
    /// The system failed.
    pub fn count(&self) -> Result<(usize, usize), ArchiveError> {
        self.store.count().map_err(|error| self.said(error))
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
    /// whether it was kept.
    ///
    /// # Errors
    /// The system failed.
    pub fn put_work(&mut self, row: &WorkRow) -> Result<bool, ArchiveError> {
        if self.store.about().read_only {
            return Ok(false);
        }
        let kept = self.store.put_work(row);
        kept.map_err(|error| self.said(error))
    }
}
