//! The days of a case, who has it, and its photographs and files.

use schemars::JsonSchema;
use serde::Serialize;

use super::shape::Day;
use crate::case::beside::{CaseFile, Handed};
use crate::state::CaseDays;

/// The days of a case.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
pub struct Days {
    /// The day by which the bench has to be done, or null.
    due: Option<Day>,
    /// The day that was promised to the dentist, or null.
    promised: Option<Day>,
    /// Whether the bench is late.
    late: bool,
    /// Whether the promised day can still be kept: it is not past, and nothing is awaited after it; null if nothing was
    /// promised.
    promise_holds: Option<bool>,
}

impl From<CaseDays<'_>> for Days {
    fn from(days: CaseDays<'_>) -> Days {
        let holds = !days.promise_is_past && days.after_promise.is_empty();
        Days {
            due: days.due.map(Day),
            promised: days.promised.map(Day),
            late: days.late.is_some(),
            promise_holds: days.promised.map(|_| holds),
        }
    }
}

/// Who has a case.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[schemars(rename = "Handed")]
pub struct HandedObject<'a> {
    /// The code of the person or the bench.
    to: &'a str,
    /// What is to be known or done; empty if nothing was said.
    note: &'a str,
    /// Since which day, or null.
    since: Option<Day>,
}

impl HandedObject<'_> {
    /// Returns the object of somebody who has a case.
    pub fn of(handed: &Handed) -> HandedObject<'_> {
        HandedObject {
            to: &handed.to,
            note: &handed.note,
            since: handed.on.map(Day),
        }
    }
}

/// A photograph or a file of a case.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[schemars(rename = "CaseFile")]
pub struct FileShape {
    /// Where it was when it was named.
    path: String,
    /// Its SHA-256, in hexadecimal letters.
    sha256: String,
    /// Its length in bytes.
    bytes: u64,
}

impl FileShape {
    /// Returns the object of a file.
    pub fn of(file: &CaseFile) -> FileShape {
        FileShape {
            path: file.shown(),
            sha256: file.sha256.clone(),
            bytes: file.bytes,
        }
    }
}
