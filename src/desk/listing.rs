//! The worklist: one row a case, made from its journal.

use super::Desk;
use crate::archive::WorkRow;
use crate::case::journal::fold;
use crate::derive::{Facts, Precision, Turn};
use crate::error::Error;
use crate::fact::Place;
use crate::judge::judge;
use crate::phrase::Phrase;
use crate::session::WorkItem;
use crate::state::{CaseState, expected};

impl Desk {
    /// Returns the worklist's row of the case under inspection, as it is after `entries` journal entries, or `None` if
    /// another case is open.
    pub(super) fn work_row(&self, _number: &str, _entries: u64) -> Option<WorkRow> {
        None
    }

    pub(super) fn fill_worklist(&mut self) -> Result<(), Error> {
        let instructions = self.session.standing();
        let mut items = Vec::new();
        for row in self.archive.cases()? {
            let journal = self.archive.journal(&row.number);
            let case = journal.ok().and_then(|journal| fold(&journal).ok());
            let judged = case.and_then(|case| {
                let flow = self.flow_of(&case.flow).ok()?;
                let facts = Facts::with(&flow, &case, Precision::Quick);
                let left = flow
                    .questions
                    .iter()
                    .flat_map(|q| {
                        case.units
                            .within(Place::Case, q.at)
                            .into_iter()
                            .map(move |at| (q, at))
                    })
                    .filter(|(q, at)| {
                        facts.turn(&q.fact, *at) == Turn::Up && case.value(&q.fact, *at).is_none()
                    })
                    .count();
                let judgement = judge(&flow, &facts);
                let phrase = Phrase {
                    flow: &flow,
                    notation: self.session.notation,
                };
                let state = CaseState::of(&facts, &judgement, phrase, &instructions);
                let not_covered = facts.not_covered().len();
                let expected = expected(&flow, &facts).map(|judged| judged.verdict);
                drop(facts);
                let outlook = (state, expected);
                Some((case.units, judgement.verdict, outlook, not_covered, left))
            });
            let (units, verdict, outlook, not_covered, left) = match judged {
                Some((units, verdict, outlook, other, left)) => {
                    (Some(units), Some(verdict), Some(outlook), other, left)
                }
                None => (None, None, None, 0, 0),
            };
            let (state, expected) = outlook.unzip();
            items.push(WorkItem {
                number: row.number,
                units,
                verdict,
                state,
                expected: expected.flatten(),
                not_covered,
                left,
                last: row.last,
            });
        }
        self.session.list(items);
        Ok(())
    }
}
