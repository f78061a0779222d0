//! Standing instructions: what a dentist agreed to for every case, by a code and never a name.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use uuid::Uuid;

use super::code::{self, Whose};

/// A standing instruction.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Instruction {
    /// Its own id.
    pub id: Uuid,
    /// The laboratory's code for the dentist.
    pub dentist: String,
    /// The id of the rule whose questions it answers.
    pub rule: String,
    /// What was agreed.
    pub words: String,
    /// The day it holds from.
    pub from: Date,
    /// The last day it holds, or `None` if it holds until it is ended.
    pub until: Option<Date>,
}

impl Instruction {
    /// Returns whether it holds on a day.
    pub fn holds_on(&self, day: Date) -> bool {
        self.from <= day && self.until.is_none_or(|until| day <= until)
    }

    /// Checks a dentist's code.
    ///
    /// # Errors
    /// What is wrong with it, as a sentence.
    pub fn check_code(code: &str) -> Result<(), String> {
        code::check_code(code, Whose::Dentist)
    }
}
