//! Cases as the figures of the record see them, read from the archive.

use std::ops::ControlFlow;

use jiff::civil::Date;
use jiff::tz::TimeZone;
use rayon::prelude::*;

use super::filling::{Flows, lot_of};
use super::listing::freshness;
use crate::archive::{Archive, Trouble as Kind, WorkAsk};
use crate::case::journal::{Entry, fold};
use crate::derive::{Facts, Precision};
use crate::error::Error;
use crate::learn::Lot;

/// How many cases are in memory at a time.
const AT_ONCE: usize = 64;

/// Reads every case for the figures; returns them with how many could not be read. `tell` is told how many of how many were.
///
/// What is kept beside a row of the worklist that holds is not worked out again.
///
/// # Errors
/// The archive cannot be read.
pub fn lots(
    archive: &Archive,
    flows: &Flows,
    zone: &TimeZone,
    tell: &mut dyn FnMut(usize, usize),
) -> Result<(Vec<Lot>, usize), Error> {
    let (mut all, left) = kept(archive)?;
    let (mut unread, mut done, of) = (0, all.len(), all.len() + left.len());
    for some in left.chunks(AT_ONCE) {
        let mut read = Vec::new();
        for number in some {
            match archive.journal(number) {
                Ok(journal) => read.push(journal),
                Err(error) if error.kind() == Kind::Data => unread += 1,
                Err(error) => return Err(error.into()),
            }
        }
        let mut judged = Vec::new();
        for journal in read {
            let case = fold(&journal).ok();
            let flow = match &case {
                Some(case) => flows.for_row(archive, &case.flow)?,
                None => None,
            };
            match case.zip(flow) {
                Some((case, flow)) => judged.push((journal, case, flow)),
                None => unread += 1,
            }
        }
        let lots: Vec<Lot> = judged
            .par_iter()
            .filter_map(|(journal, case, flow)| {
                let facts = Facts::with(flow, case, Precision::Quick);
                Lot::of(&facts, journal as &[Entry], zone)
            })
            .collect();
        all.extend(lots);
        done += some.len();
        tell(done, of);
    }
    Ok((all, unread))
}

/// Returns what is kept beside rows that hold, and the numbers of all other cases.
fn kept(archive: &Archive) -> Result<(Vec<Lot>, Vec<String>), Error> {
    let (mut lots, mut left) = (Vec::new(), Vec::new());
    // No day changes what figures need.
    let now = freshness(Date::MIN);
    let ask = WorkAsk {
        most: usize::MAX,
        ..WorkAsk::default()
    };
    archive.each_work(&ask, &now, &mut |row| {
        let body = row.body.as_deref().filter(|_| row.fresh);
        match body.and_then(lot_of) {
            Some(lot) => lots.push(lot),
            // One that cannot be read is tried again: it is counted as such.
            None => left.push(row.number),
        }
        ControlFlow::Continue(())
    })?;
    Ok((lots, left))
}
