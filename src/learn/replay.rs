//! A flow tried on the record: what it would have said of each case as it was found.
//!
//! It tells which results would be others, and what became of those that were made as they were. What was changed or held back
//! was never tried as it was, so nobody can say what it would have done.

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::figures::Ripe;
use super::followed::{Became, Followed, Following};
use super::lot::Lot;
use super::tried::{Answer, answer, is_withdrawn, outcomes};
use crate::case::Case;
use crate::case::coming::Part;
use crate::case::decision::{Decision, DentistAnswer};
use crate::case::outcome::Kind;
use crate::derive::Facts;
use crate::fact::Place;
use crate::flow::{Flow, Level, Rule};
use crate::judge::{CaseResult, Judgement, judge};

/// More than this share of restorations that are open cannot be told. Ours, as are all bounds here.
pub(super) const MOST_OPEN: f64 = 0.3;
/// Fewer returns than this say nothing.
pub(super) const FEW_RETURNS: u64 = 5;

/// What a flow says of a restoration.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Says {
    /// The result.
    pub result: CaseResult,
    /// Whether the dentist is asked before it is made.
    pub calls: bool,
    /// Whether an answer that is missing could make it worse.
    pub open: bool,
}

/// A restoration, and what became of it.
#[derive(Clone, PartialEq, Debug)]
pub struct Known {
    /// The number of its case.
    pub number: String,
    /// Its own number.
    pub restoration: u8,
    /// The dentist's code.
    pub dentist: Option<String>,
    /// The day on which it was delivered, or `None` if it was not.
    pub delivered: Option<Date>,
    /// What became of it.
    pub outcomes: Vec<(Kind, Date)>,
    /// Whether it was made as it was found: nothing was changed, and it was not withdrawn.
    pub as_found: bool,
}

impl Known {
    /// Returns what is known of the restorations of a case.
    pub fn all(case: &Case, dentist: Option<&str>) -> Vec<Known> {
        let all = case.units.restorations().iter();
        all.map(|own| {
            let here = |at: Place| {
                at == Place::Case || case.units.owner(at).is_some_and(|owner| owner.id == own.id)
            };
            let about: Vec<&Decision> = case
                .decisions()
                .map(|own| &own.decision)
                .filter(|own| here(own.about.at) && is_of_the_work(own))
                .collect();
            let delivered = case.delivered_on(own.id);
            let changed = answer(&about) == Answer::Changed || is_withdrawn(case, own.id);
            Known {
                number: case.number.clone(),
                restoration: own.id,
                dentist: dentist.map(str::to_owned),
                delivered,
                outcomes: outcomes(case, own.id),
                as_found: delivered.is_some() && !changed,
            }
        })
        .collect()
    }

    /// Returns how it was followed, or `None` if it was not made as it was found.
    pub(super) fn followed(&self, following: &Following, put: &Over) -> Option<Followed> {
        let delivered = self.delivered.filter(|_| self.as_found)?;
        let became = Became {
            delivered,
            dentist: &self.dentist,
            outcomes: &self.outcomes,
        };
        Some(following.of_one(became, &put.kinds, put.months))
    }
}

/// Returns whether an answer changed what is made: one that only told something, such as a shade, did not.
fn is_of_the_work(own: &Decision) -> bool {
    let parts = own.coming.iter().flat_map(|coming| &coming.parts);
    let mut parts = parts.map(|(part, _)| *part);
    own.outcome != DentistAnswer::Agreed
        || !own.changes_nothing()
        || own.coming.is_none()
        || parts.any(|part| part.is_inspected() && part != Part::Shade)
}

/// What is asked of the record.
#[derive(Clone, PartialEq, Debug)]
pub struct Over {
    /// The kinds that count; all that are a failure if none is named.
    pub kinds: Vec<Kind>,
    /// How many months a restoration is followed.
    pub months: i32,
    /// Today: figures close on the last quarter day before it.
    pub today: Date,
}

/// Returns what a flow says of each restoration that is covered, by its number.
pub fn results(flow: &Flow, facts: &Facts<'_>) -> Vec<(u8, Says)> {
    let judgement = judge(flow, facts);
    let all = judgement.by_restoration.iter();
    all.filter(|(_, verdict)| verdict.covered)
        .map(|(id, verdict)| {
            let result = Says {
                result: verdict.outcome(),
                calls: calls(flow, facts, &judgement, *id),
                open: verdict.is_open(),
            };
            (*id, result)
        })
        .collect()
}

/// Returns whether something is found at a restoration, or at its case, that is asked before it is made.
fn calls(flow: &Flow, facts: &Facts<'_>, judgement: &Judgement, restoration: u8) -> bool {
    judgement.all_findings().any(|finding| {
        let owner = facts.units().owner(finding.at);
        finding.level >= Level::Call
            && owner.is_none_or(|owner| owner.id == restoration)
            && flow
                .rule(finding.rule)
                .is_some_and(|rule| rule.asks.is_some())
    })
}

impl Over {
    /// Counts what a rule foretells, where nothing was named.
    pub fn of_rule(mut self, rule: Option<&Rule>) -> Over {
        if let (true, Some(rule)) = (self.kinds.is_empty(), rule) {
            self.kinds.clone_from(&rule.foretells);
        }
        self
    }
}

/// How much of an archive was looked at.
#[derive(Clone, Copy, PartialEq, Eq, Default, Debug)]
pub struct Looked {
    /// How many cases could not be read.
    pub unread: usize,
    /// Of how many it is not known how they were found.
    pub not_found: usize,
    /// How many were read.
    pub done: usize,
    /// Of how many.
    pub of: usize,
}

impl Looked {
    /// Returns whether all of it was.
    pub fn is_whole(&self) -> bool {
        self.done >= self.of
    }
}

/// A restoration under both flows.
#[derive(Clone, PartialEq, Debug)]
pub struct Replayed {
    /// What is known of it.
    pub known: Known,
    /// What was said of it by the flow that it was judged by.
    pub before: Says,
    /// What the other flow says of it.
    pub after: Says,
}

/// Restorations that have something in common.
#[derive(Clone, PartialEq, Debug)]
pub struct Several {
    /// How many there are.
    pub count: u64,
    /// What came back of those that were made as they were found and followed long enough.
    pub as_found: Ripe,
    /// How many were changed, withdrawn or not delivered: what they would have done nobody knows.
    pub unknown: u64,
}

/// What another flow would have said.
#[derive(Clone, PartialEq, Debug)]
pub struct Replay {
    /// The day on which the figures of what came back close.
    pub closing: Date,
    /// How many restorations were judged.
    pub restorations: u64,
    /// How many of them wait for something that was never asked.
    pub open: u64,
    /// For how many the dentist was asked, and would be.
    pub calls: (u64, u64),
    /// Results that are others, from what to what; from the best on.
    pub moves: Vec<((CaseResult, CaseResult), Several)>,
    /// Those for which the dentist would be asked and was not.
    pub added: Several,
    /// Those for which the dentist was asked and would not be.
    pub saved: Several,
    /// Every restoration whose result is another, in the order of the archive.
    pub cases: Vec<Replayed>,
}

impl Replay {
    /// Returns whether so much waits for what was never asked that nothing can be told.
    pub fn is_too_open(&self) -> bool {
        self.open as f64 > MOST_OPEN * self.restorations as f64
    }
}

/// The order of results, the best first.
const RESULTS: [CaseResult; 6] = [
    CaseResult::NotCovered,
    CaseResult::NothingFound,
    CaseResult::Open,
    CaseResult::Watch,
    CaseResult::Call,
    CaseResult::Hold,
];

/// Works out what another flow would have said of restorations. `lots` are the cases, as the figures see them.
pub fn replay(lots: &[Lot], all: Vec<Replayed>, over: &Over) -> Replay {
    let following = Following::of(lots, over.today);
    let several = |own: &mut dyn Iterator<Item = &Replayed>| {
        several(own.map(|own| &own.known), &following, over)
    };
    let is_other = |own: &&Replayed| own.before.result != own.after.result;
    let mut by_move: BTreeMap<(usize, usize), Vec<&Replayed>> = BTreeMap::new();
    let rank = |result| RESULTS.iter().position(|own| *own == result).unwrap_or(0);
    for own in all.iter().filter(is_other) {
        let key = (rank(own.before.result), rank(own.after.result));
        by_move.entry(key).or_default().push(own);
    }
    let moves = by_move
        .into_iter()
        .map(|((from, to), own)| {
            let several = several(&mut own.into_iter());
            ((RESULTS[from], RESULTS[to]), several)
        })
        .collect();
    let calls =
        |asks: &dyn Fn(&Replayed) -> bool| all.iter().filter(|own| asks(own)).count() as u64;
    let added = |own: &&Replayed| !own.before.calls && own.after.calls;
    let saved = |own: &&Replayed| own.before.calls && !own.after.calls;
    Replay {
        closing: following.closing,
        restorations: all.len() as u64,
        open: calls(&|own| own.after.open && !own.before.open),
        calls: (
            calls(&|own| own.before.calls),
            calls(&|own| own.after.calls),
        ),
        moves,
        added: several(&mut all.iter().filter(added)),
        saved: several(&mut all.iter().filter(saved)),
        cases: all.iter().filter(is_other).cloned().collect(),
    }
}

/// Counts what became of restorations.
pub(super) fn several<'a>(
    all: impl Iterator<Item = &'a Known>,
    following: &Following,
    over: &Over,
) -> Several {
    let (mut count, mut of, mut back, mut unknown) = (0, 0, 0, 0);
    for own in all {
        count += 1;
        match own.followed(following, over) {
            None => unknown += 1,
            Some(Followed::Ripe { came, .. }) => {
                of += 1;
                back += u64::from(came);
            }
            Some(Followed::Later | Followed::Unheard | Followed::Unripe(_)) => {}
        }
    }
    Several {
        count,
        as_found: Ripe::of(back, of),
        unknown,
    }
}
