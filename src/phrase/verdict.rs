//! The result of a case, of a restoration, of an open point.

use super::{Phrase, words};
use crate::case::Restoration;
use crate::derive::Facts;
use crate::fact::{ORDER_SCOPE, Place, Spot};
use crate::judge::{CaseResult, Judgement, OpenPoint, Verdict};

/// Says a verdict: in one word, and beside it what it may become, or that only the drawing is missing.
pub(super) fn said(verdict: Verdict) -> String {
    let word = words::outcome(verdict.outcome());
    match verdict.outcome() {
        CaseResult::NotCovered | CaseResult::Open => word.to_owned(),
        _ if verdict.is_open() => {
            format!("{word}, may become {}", words::level(verdict.could_be))
        }
        _ if verdict.awaits_drawing() => format!("{word}, {}", words::TO_BE_DRAWN),
        _ => word.to_owned(),
    }
}

impl Phrase<'_> {
    /// Returns the word for a verdict.
    pub fn in_a_word(self, verdict: Verdict) -> &'static str {
        words::outcome(verdict.outcome())
    }

    /// Returns the word for a verdict, with what it may become, or that only the design is missing.
    pub fn verdict(self, verdict: Verdict) -> String {
        said(verdict)
    }

    /// Returns the verdict on a case, with how many of its restorations are not covered.
    pub fn result(self, judgement: &Judgement) -> String {
        let verdicts = &judgement.by_restoration;
        let other = verdicts.iter().filter(|(_, own)| !own.covered).count();
        let verdict = self.verdict(judgement.verdict);
        match words::some_not_covered(other, verdicts.len()) {
            Some(other) => format!("{verdict}, {other}"),
            None => verdict,
        }
    }

    /// Returns the worst that an open point may become.
    pub fn may_become(self, point: &OpenPoint) -> String {
        match point.rule {
            Some(_) => format!("may become {}", self.level(point.could_be)),
            None => format!("may be {}", words::NOT_COVERED),
        }
    }

    /// Returns the type of work of a restoration.
    pub fn kind_of_work(self, facts: &Facts<'_>, restoration: &Restoration) -> String {
        let at = Place::Restoration(restoration.id);
        let fact = ORDER_SCOPE;
        self.fact(facts, &Spot { fact, at })
            .unwrap_or_else(|| words::STILL_TO_FIND_OUT.to_owned())
    }
}
