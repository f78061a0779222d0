//! Restorations as the rules saw them, read from the archive.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use jiff::tz::TimeZone;
use rayon::prelude::*;

use super::filling::Flows;
use crate::archive::{Archive, Trouble as Kind};
use crate::case::Case;
use crate::case::journal::{Entry, fold};
use crate::case::life::{Judged, Stage};
use crate::derive::{Facts, Precision};
use crate::error::Error;
use crate::flow::Flow;
use crate::judge::{judge, record};
use crate::learn::Lot;
use crate::learn::replay::Looked;
use crate::learn::tried::Tried;

/// How many cases are in memory at a time.
const AT_ONCE: usize = 64;

/// A case that was read.
pub(super) struct ReadCase {
    /// Its journal.
    pub(super) journal: Vec<Entry>,
    /// The case as it is now.
    pub(super) case: Case,
    /// The flow that it is judged by.
    pub(super) flow: Arc<Flow>,
}

/// What was read of an archive.
#[derive(Default)]
pub struct Record {
    /// The cases, as the figures see them.
    pub lots: Vec<Lot>,
    /// Their restorations, as the rules saw them.
    pub tried: Vec<Tried>,
    /// How much was looked at.
    pub looked: Looked,
}

/// Reads some cases of an archive; returns them with how many could not be read.
///
/// # Errors
/// The archive cannot be read.
pub(super) fn read(
    archive: &Archive,
    flows: &Flows,
    numbers: &[String],
) -> Result<(Vec<ReadCase>, usize), Error> {
    let (mut read, mut unread) = (Vec::new(), 0);
    for number in numbers {
        let journal = match archive.journal(number) {
            Ok(journal) => journal,
            Err(error) if error.kind() == Kind::Data => {
                unread += 1;
                continue;
            }
            Err(error) => return Err(error.into()),
        };
        let case = fold(&journal).ok();
        let flow = match &case {
            Some(case) => flows.for_row(archive, &case.flow)?,
            None => None,
        };
        match case.zip(flow) {
            Some((case, flow)) => read.push(ReadCase {
                journal,
                case,
                flow,
            }),
            None => unread += 1,
        }
    }
    Ok((read, unread))
}

/// Reads every case for the trial of a flow's rules. Where `stop` is set, it ends after some; `tell` is told how many of how many
/// were read.
///
/// # Errors
/// The archive cannot be read.
pub fn tried(
    archive: &Archive,
    flows: &Flows,
    flow: &Flow,
    zone: &TimeZone,
    (stop, tell): (&AtomicBool, &mut dyn FnMut(usize, usize)),
) -> Result<Record, Error> {
    let numbers: Vec<String> = archive
        .own_cases()?
        .into_iter()
        .map(|row| row.number)
        .collect();
    let mut record = Record::default();
    record.looked.of = numbers.len();
    for some in numbers.chunks(AT_ONCE) {
        if stop.load(Ordering::Relaxed) {
            break;
        }
        let (read, unread) = read(archive, flows, some)?;
        record.looked.unread += unread;
        let all: Vec<(Option<Lot>, Option<Vec<Tried>>)> = read
            .par_iter()
            .map(|own| {
                let facts = Facts::without_search(&own.flow, &own.case);
                let lot = Lot::of(&facts, &own.journal, zone);
                let judged = as_found(own);
                let dentist = lot.as_ref().and_then(|lot| lot.dentist.clone());
                let tried = judged.map(|judged| {
                    let covers = |at| facts.covers(at);
                    Tried::all(&own.case, &judged, flow, dentist.as_deref(), covers)
                });
                (lot, tried)
            })
            .collect();
        for (lot, tried) in all {
            record.lots.extend(lot);
            match tried {
                Some(tried) => record.tried.extend(tried),
                None => record.looked.not_found += 1,
            }
        }
        record.looked.done += some.len();
        tell(record.looked.done, record.looked.of);
    }
    Ok(record)
}

/// Returns what a case was judged to be as it was found: as it was written down, or judged now by its own flow. `None` where
/// it is not known how it was found.
fn as_found(own: &ReadCase) -> Option<Judged> {
    if let Some(judged) = own.case.judged(Stage::AsFound) {
        return Some(judged.clone());
    }
    let case = Case::as_found(&own.journal)?;
    let facts = Facts::with(&own.flow, &case, Precision::Quick);
    let judgement = judge(&own.flow, &facts);
    Some(record(&own.flow, &facts, &judgement, Stage::AsFound))
}
