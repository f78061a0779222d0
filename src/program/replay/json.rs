//! A flow tried on the archive, as one JSON object.

use jiff::civil::Date;
use schemars::JsonSchema;
use serde::Serialize;

use crate::fact::Place;
use crate::flow::Flow;
use crate::judge::CaseResult;
use crate::learn::replay::{Looked, Over, Replay, Several};
use crate::learn::sweep::{Moved, Sweep};
use crate::print::json::shape::{Day, FormatKey, OutcomeKindWord, VerdictWord};
use crate::program::rules::ShareObject;

/// The archive, judged by another flow.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Replay")]
pub(in crate::program) struct ReplayObject<'a> {
    /// The format of this object.
    format: FormatKey,
    /// The other flow's id.
    flow: &'a str,
    /// Its version.
    version: u32,
    /// The day on which the figures close.
    closing: Day,
    /// The kinds of returns that count; any if the list is empty.
    kinds: Vec<OutcomeKindWord>,
    /// How many months a restoration is followed.
    months: i32,
    /// How many cases were read.
    read: usize,
    /// Of how many; more than were read if it was broken off.
    cases: usize,
    /// How many could not be read.
    unread: usize,
    /// Of how many it is not known how they were found.
    not_found: usize,
    /// What would have been told; null if a limit was moved.
    replay: Option<WholeObject<'a>>,
    /// A limit moved by steps; null if there was none.
    sweep: Option<SweepObject>,
}

/// What another flow would have told.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "WholeReplay")]
struct WholeObject<'a> {
    /// How many restorations were judged.
    restorations: u64,
    /// How many wait for what was never asked.
    open: u64,
    /// For how many the dentist was asked.
    calls_before: u64,
    /// For how many the dentist would be asked.
    calls_after: u64,
    /// Those for which the dentist would be asked and was not.
    added: SeveralObject,
    /// Those for which the dentist was asked and would not be.
    saved: SeveralObject,
    /// Results that are others.
    moves: Vec<MoveObject>,
    /// Every restoration whose result is another.
    moved: Vec<MovedObject<'a>>,
}

/// What became of some restorations.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Several")]
struct SeveralObject {
    /// How many there are.
    count: u64,
    /// What came back of those that were made as found.
    as_found: ShareObject,
    /// How many were changed, withdrawn or not delivered.
    unknown: u64,
}

impl SeveralObject {
    fn of(own: &Several) -> SeveralObject {
        SeveralObject {
            count: own.count,
            as_found: ShareObject::of(&own.as_found),
            unknown: own.unknown,
        }
    }
}

/// A result that is another.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Move")]
struct MoveObject {
    /// What it was.
    from: VerdictWord,
    /// What it would be.
    to: VerdictWord,
    /// What became of those it is of.
    own: SeveralObject,
}

/// A restoration whose result is another.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Moved")]
struct MovedObject<'a> {
    /// The case's number.
    case: &'a str,
    /// The restoration.
    restoration: Place,
    /// What its result was.
    from: VerdictWord,
    /// What it would be.
    to: VerdictWord,
}

/// A limit moved by steps.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Sweep")]
struct SweepObject {
    /// The rule's id.
    rule: String,
    /// The level that the limit belongs to.
    level: &'static str,
    /// The fact that it limits.
    fact: String,
    /// Where it stands now.
    now: f64,
    /// How many restorations lie in a slice.
    decidable: u64,
    /// How many lie in none, since something was never asked.
    open: u64,
    /// The slices.
    slices: Vec<SliceObject>,
}

/// A slice of the record.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Slice")]
struct SliceObject {
    /// Where the limit is silent on them; null in the first.
    from: Option<f64>,
    /// Where it tells of them; null in the last.
    to: Option<f64>,
    /// Of how many the rule tells with its limit at `to`; null in the last.
    told: Option<u64>,
    /// What is in it.
    own: SeveralObject,
}

impl<'a> ReplayObject<'a> {
    fn bare(looked: Looked, flow: &'a Flow, closing: Date, over: &Over) -> Self {
        ReplayObject {
            format: FormatKey,
            flow: &flow.id,
            version: flow.version,
            closing: Day(closing),
            kinds: over
                .kinds
                .iter()
                .map(|kind| OutcomeKindWord(*kind))
                .collect(),
            months: over.months,
            read: looked.done,
            cases: looked.of,
            unread: looked.unread,
            not_found: looked.not_found,
            replay: None,
            sweep: None,
        }
    }

    pub(super) fn of_replay(
        looked: Looked,
        flow: &'a Flow,
        found: &'a Replay,
        over: &Over,
    ) -> Self {
        let moves = found.moves.iter().map(|((from, to), own)| MoveObject {
            from: word(*from),
            to: word(*to),
            own: SeveralObject::of(own),
        });
        let moved = found.cases.iter().map(|own| MovedObject {
            case: &own.known.number,
            restoration: Place::Restoration(own.known.restoration),
            from: word(own.before.result),
            to: word(own.after.result),
        });
        ReplayObject {
            replay: Some(WholeObject {
                restorations: found.restorations,
                open: found.open,
                calls_before: found.calls.0,
                calls_after: found.calls.1,
                added: SeveralObject::of(&found.added),
                saved: SeveralObject::of(&found.saved),
                moves: moves.collect(),
                moved: moved.collect(),
            }),
            ..ReplayObject::bare(looked, flow, found.closing, over)
        }
    }

    pub(super) fn of_sweep(looked: Looked, flow: &'a Flow, found: &Sweep, moved: &Moved) -> Self {
        let limit = &moved.steps.limit;
        let slices = found.rows.iter().map(|row| SliceObject {
            from: row.from,
            to: row.to,
            told: row.told,
            own: SeveralObject::of(&row.own),
        });
        ReplayObject {
            sweep: Some(SweepObject {
                rule: limit.rule.clone(),
                level: limit.level.as_str(),
                fact: limit.fact.to_string(),
                now: limit.now,
                decidable: found.decidable,
                open: found.open,
                slices: slices.collect(),
            }),
            ..ReplayObject::bare(looked, flow, found.closing, &moved.over)
        }
    }
}

fn word(result: CaseResult) -> VerdictWord {
    match result {
        CaseResult::NotCovered => VerdictWord::NotCovered,
        CaseResult::Open => VerdictWord::Open,
        CaseResult::NothingFound => VerdictWord::Fine,
        CaseResult::Watch => VerdictWord::Watch,
        CaseResult::Call => VerdictWord::Call,
        CaseResult::Hold => VerdictWord::Hold,
    }
}
