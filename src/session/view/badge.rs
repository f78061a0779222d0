//! Badges: what a case, a finding or an option comes to, or that it waits.

use crate::case::life::State;
use crate::flow::Level;
use crate::judge::{CaseResult, Verdict};
use crate::phrase::{pages, words};

/// What a badge says.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Badge {
    /// Nothing was found so far, and something still could be.
    Open,
    /// The worst that was found.
    Level(Level),
    /// Something that was agreed has still to come in.
    Waiting,
    /// No rule is about it.
    NotCovered,
}

impl Badge {
    /// All badges.
    pub const ALL: [Badge; 7] = [
        Badge::Open,
        Badge::Level(Level::Fine),
        Badge::Level(Level::Watch),
        Badge::Level(Level::Call),
        Badge::Level(Level::Hold),
        Badge::Waiting,
        Badge::NotCovered,
    ];

    /// Returns the badge of a case in a state.
    pub fn of(verdict: Verdict, state: State) -> Badge {
        match state {
            State::Waiting => Badge::Waiting,
            _ => Badge::from(verdict),
        }
    }

    /// Returns its word, in capitals.
    pub fn word(self) -> String {
        match self {
            Badge::Open => words::outcome(CaseResult::Open).to_uppercase(),
            Badge::Level(level) => pages::badge(level).to_owned(),
            Badge::Waiting => words::state(State::Waiting).to_uppercase(),
            Badge::NotCovered => words::outcome(CaseResult::NotCovered).to_uppercase(),
        }
    }
}

impl From<Verdict> for Badge {
    fn from(verdict: Verdict) -> Badge {
        match verdict.outcome() {
            CaseResult::Open => Badge::Open,
            CaseResult::NotCovered => Badge::NotCovered,
            CaseResult::NothingFound => Badge::Level(Level::Fine),
            CaseResult::Watch => Badge::Level(Level::Watch),
            CaseResult::Call => Badge::Level(Level::Call),
            CaseResult::Hold => Badge::Level(Level::Hold),
        }
    }
}

impl From<Level> for Badge {
    fn from(level: Level) -> Badge {
        Badge::Level(level)
    }
}
