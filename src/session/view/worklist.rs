//! The list of cases.

use jiff::civil::Date;

use crate::case::Units;
use crate::case::life::State;
use crate::flow::Level;
use crate::judge::Verdict;
use crate::phrase::{Phrase, pages};
use crate::session::{Session, WorkItem};
use crate::state::CaseState;

/// The list of cases.
#[derive(Clone)]
pub struct WorklistView {
    /// The cases.
    pub rows: Vec<WorklistRow>,
    /// The marked row.
    pub marked: usize,
    /// What is said where there is no case.
    pub empty: [String; 2],
    /// The notation in force.
    pub notation: &'static str,
}

/// A case in the list.
#[derive(Clone, PartialEq, Debug)]
pub struct WorklistRow {
    /// The case's number.
    pub number: String,
    /// Its units, restorations behind semicolons; empty for a case that cannot be read.
    pub units: String,
    /// What it comes to, or `None` if it cannot be read.
    pub verdict: Option<Verdict>,
    /// How far it is, where that is more than questions to do.
    pub far: Option<FarView>,
    /// How many questions are to do.
    pub left: usize,
    /// How many of its restorations are not covered.
    pub not_covered: usize,
    /// How many restorations it has.
    pub restorations: usize,
}

/// How far a case is that is past its questions.
#[derive(Clone, PartialEq, Debug)]
pub struct FarView {
    /// The state.
    pub state: State,
    /// The state in words, with what is awaited.
    pub words: String,
    /// The day on which the first part that is awaited is due.
    pub due: Option<Date>,
    /// Whether that day is past.
    pub late: bool,
}

impl WorklistRow {
    /// Returns the level of the result, for its colour, or `None` where nothing was found yet and something still could be,
    /// nothing is covered, or the case cannot be read.
    pub fn level(&self) -> Option<Level> {
        self.verdict.and_then(Verdict::shown)
    }

    /// Says what it comes to.
    pub fn result(&self) -> &'static str {
        pages::worklist_result(self.verdict)
    }

    /// Says how far it is, or how many questions are to do; empty for a case that cannot be read.
    pub fn rest(&self) -> String {
        let rest = match &self.far {
            // Nothing is known of a case that cannot be read.
            _ if self.verdict.is_none() => String::new(),
            Some(far) => pages::far(&far.words, far.due, far.late),
            None => pages::questions_left(self.left),
        };
        pages::left_and_not_covered(&rest, self.not_covered, self.restorations)
    }
}

impl Session {
    /// How far a listed case is, where that is more than questions to do: what is awaited and by when.
    fn far(&self, state: &CaseState) -> Option<FarView> {
        if matches!(state.state, State::Inspecting | State::NotCovered) {
            return None;
        }
        let due = state.awaited().iter().filter_map(|own| own.due).min();
        Some(FarView {
            state: state.state,
            words: state.in_short(),
            due,
            late: due.zip(self.today).is_some_and(|(due, today)| due < today),
        })
    }

    fn worklist_row(&self, item: &WorkItem) -> WorklistRow {
        let restorations = item.units.as_ref().map_or(&[][..], Units::restorations);
        let units: Vec<String> = restorations
            .iter()
            .map(|restoration| Phrase::units_in(self.notation, restoration))
            .collect();
        WorklistRow {
            number: item.number.clone(),
            units: pages::units(units.iter().map(|units| vec![units.as_str()])),
            verdict: item.verdict,
            far: item.state.as_ref().and_then(|state| self.far(state)),
            left: item.left,
            not_covered: item.not_covered,
            restorations: restorations.len(),
        }
    }

    pub(super) fn worklist_view(&self) -> WorklistView {
        WorklistView {
            rows: self
                .worklist
                .iter()
                .map(|item| self.worklist_row(item))
                .collect(),
            marked: self.marked,
            empty: [self.keymap.say(pages::FIRST_CASE), pages::SAMPLE.to_owned()],
            notation: self.notation.name(),
        }
    }
}
