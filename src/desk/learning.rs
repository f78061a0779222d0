//! Cases as the figures of the record see them, read from the archive.

use jiff::tz::TimeZone;
use rayon::prelude::*;

use super::filling::Flows;
use crate::archive::{Archive, Trouble as Kind};
use crate::case::journal::{Entry, fold};
use crate::derive::{Facts, Precision};
use crate::error::Error;
use crate::learn::Lot;

/// How many cases are in memory at a time.
const AT_ONCE: usize = 64;

/// Reads every case for the figures; returns them with how many could not be read. `tell` is told how many of how many were.
///
/// # Errors
/// The archive cannot be read.
pub fn lots(
    archive: &Archive,
    flows: &Flows,
    zone: &TimeZone,
    tell: &mut dyn FnMut(usize, usize),
) -> Result<(Vec<Lot>, usize), Error> {
    let numbers: Vec<String> = archive.cases()?.into_iter().map(|row| row.number).collect();
    let (mut all, mut unread, mut done) = (Vec::new(), 0, 0);
    for some in numbers.chunks(AT_ONCE) {
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
        tell(done, numbers.len());
    }
    Ok((all, unread))
}
