//! The first entries of a case: all that is known of it when it begins, from a file or from its units alone.

use jiff::Timestamp;
use uuid::Uuid;

use super::journal::{Before, Body, Came, Entry};
use super::{Case, FlowRef};

/// Who opens a case, and when.
#[derive(Clone, PartialEq, Debug)]
pub struct Opening {
    /// The flow it is judged by from now on.
    pub flow: FlowRef,
    /// The session in which it is opened.
    pub session: Uuid,
    /// When.
    pub when: Timestamp,
    /// The code of the person at the bench, where one was given.
    pub who: Option<String>,
}

/// Returns the entries that open a case with everything that is in it; `fresh` gives ids that were never used before.
pub fn entries(case: &Case, opening: &Opening, fresh: &mut dyn FnMut() -> Uuid) -> Vec<Entry> {
    let mut entries = Vec::new();
    let mut add = |body: Body| {
        entries.push(Entry {
            id: fresh(),
            seen: entries.len() as u64,
            session: opening.session,
            when: opening.when,
            who: opening.who.clone(),
            body,
        });
    };
    add(Body::Opened {
        number: case.number.clone(),
        flow: opening.flow.clone(),
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
    if !case.outcomes().is_empty() {
        before.keep_outcomes(case);
    }
    let beside = before.handed.is_some() || before.files.is_some() || before.outcomes.is_some();
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
    entries
}
