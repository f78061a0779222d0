//! What stands beside the readings and is never judged: who has the case, its photographs and files, and its days.

use jiff::Timestamp;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::Case;
use crate::fact::{FactId, ORDER_DUE, ORDER_PROMISED, Place, Value};
use crate::text::clean;

/// The longest note with which a case is handed over, in characters.
pub const MAX_NOTE: usize = 200;

/// The most files of one case.
pub const MOST_FILES: usize = 200;

/// The longest path of a file, in characters.
pub const MAX_PATH: usize = 1_000;

/// Who has a case, and what is to be known or done.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Handed {
    /// The code of the person, or the role, who has it.
    pub to: String,
    /// What is to be known or done; empty if nothing was said.
    #[serde(default)]
    pub note: String,
    /// Since which day.
    pub on: Option<Date>,
    /// The code of the person who handed it over.
    pub who: Option<String>,
    /// When that was written down.
    pub when: Option<Timestamp>,
}

impl Handed {
    /// Returns the same without anything that could paint a screen.
    #[must_use]
    pub(super) fn cleaned(&self) -> Handed {
        Handed {
            to: clean(&self.to),
            note: clean(&self.note),
            who: self.who.as_deref().map(clean),
            ..self.clone()
        }
    }
}

/// Who had a case before it was handed over.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub enum Hands {
    /// Nobody in particular.
    Nobody,
    /// This person.
    Of(Handed),
}

/// A file that belongs to a case. It stays where it is: what is kept is where that was, and a digest that shows whether
/// it is still the same.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CaseFile {
    /// Where it was when it was named.
    pub path: String,
    /// Its SHA-256, in hexadecimal letters.
    pub sha256: String,
    /// Its length in bytes.
    pub bytes: u64,
}

impl CaseFile {
    /// Returns the path as it may be shown.
    pub fn shown(&self) -> String {
        clean(&self.path)
    }

    /// Returns the name of the file as it may be shown, without its folder.
    pub fn name(&self) -> String {
        let shown = self.shown();
        let name = shown.rsplit(['/', '\\']).next().map(str::to_owned);
        name.filter(|name| !name.is_empty()).unwrap_or(shown)
    }
}

impl Case {
    /// Returns who has the case, or `None` if it was never handed over.
    pub fn handed(&self) -> Option<&Handed> {
        self.handed.as_ref()
    }

    pub(super) fn hand(&mut self, handed: Option<Handed>) {
        self.handed = handed.map(|handed| handed.cleaned());
    }

    /// Returns the photographs and files of the case, in the order in which they were named.
    pub fn files(&self) -> &[CaseFile] {
        &self.files
    }

    /// Names a file; one of the same path gives way to it.
    pub(super) fn attach(&mut self, file: CaseFile) {
        match self.files.iter_mut().find(|own| own.path == file.path) {
            Some(own) => *own = file,
            None => self.files.push(file),
        }
    }

    pub(super) fn detach(&mut self, path: &str) {
        self.files.retain(|own| own.path != path);
    }

    /// Returns the day by which the bench has to be done.
    pub fn due_day(&self) -> Option<Date> {
        self.day(&ORDER_DUE)
    }

    /// Returns the day that was promised to the dentist.
    pub fn promised_day(&self) -> Option<Date> {
        self.day(&ORDER_PROMISED)
    }

    fn day(&self, fact: &FactId) -> Option<Date> {
        match self.value(fact, Place::Case) {
            Some(Value::Day(day)) => Some(*day),
            _ => None,
        }
    }
}
