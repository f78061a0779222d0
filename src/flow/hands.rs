//! Reading errors of people, in place of the usual ones.

use std::collections::BTreeMap;

use super::Flow;
use crate::fact::FactId;

/// Whose reading of which kind by which instrument is off by how much: one standard deviation, in the unit of the reading.
///
/// They are no part of the flow's files, and no digest covers them: a supervisor agreed to each, in the archive.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct OwnErrors(BTreeMap<(String, FactId, String), f64>);

impl OwnErrors {
    /// Sets somebody's errors; they take the place of all that were set before.
    pub fn set(&mut self, who: &str, errors: &[(String, String, f64)]) {
        self.0.retain(|(own, ..), _| own != who);
        for (fact, with, error) in errors {
            if error.is_finite() && *error > 0.0 {
                let key = (who.to_owned(), FactId::named(fact), with.clone());
                self.0.insert(key, *error);
            }
        }
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

impl Flow {
    /// Returns one standard deviation of somebody's reading: the own one, or that of the question. The usual instrument counts
    /// where none is named.
    pub fn error_of_hand(
        &self,
        who: Option<&str>,
        fact: &FactId,
        with: Option<&str>,
    ) -> Option<f64> {
        let question = self.question(fact)?;
        let usual = question.error(with)?;
        let own = || {
            let with = with.or(question.with.first().map(|(id, _)| id.as_str()))?;
            let key = (who?.to_owned(), fact.clone(), with.to_owned());
            self.hands.0.get(&key).copied()
        };
        match self.hands.is_empty() {
            true => Some(usual),
            false => Some(own().unwrap_or(usual)),
        }
    }
}
