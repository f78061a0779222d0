//! Cases as they were found, read from the archive and judged by another flow.

use std::sync::atomic::{AtomicBool, Ordering};

use jiff::tz::TimeZone;
use rayon::prelude::*;

use super::filling::Flows;
use super::trying::read;
use crate::archive::Archive;
use crate::case::Case;
use crate::derive::{Facts, Precision};
use crate::error::Error;
use crate::flow::Flow;
use crate::learn::Lot;
use crate::learn::replay::{Known, Looked, Replayed, results};
use crate::learn::sweep::{Slice, Steps};

/// How many cases are in memory at a time.
const AT_ONCE: usize = 64;

/// A case as it was found, beside what it is now.
#[derive(Clone, Copy)]
pub struct Found<'a> {
    /// As it was found.
    pub found: &'a Case,
    /// The flow that it is judged by.
    pub flow: &'a Flow,
    /// What is known of its restorations now.
    pub known: &'a [Known],
}

/// What was made of the cases of an archive.
pub struct Walked<T> {
    /// The cases, as the figures see them.
    pub lots: Vec<Lot>,
    /// What was made of them, in the order of the archive.
    pub all: Vec<T>,
    /// How much was looked at.
    pub looked: Looked,
}

/// Makes something of each case of an archive as it was found, on all cores. Only some cases are in memory at a time; where
/// `stop` is set, it ends after those. `tell` is told how many of how many were read.
///
/// # Errors
/// The archive cannot be read.
pub fn walk<T: Send>(
    archive: &Archive,
    flows: &Flows,
    zone: &TimeZone,
    (stop, tell): (&AtomicBool, &mut dyn FnMut(usize, usize)),
    each: impl Fn(Found<'_>) -> Vec<T> + Sync,
) -> Result<Walked<T>, Error> {
    let numbers: Vec<String> = archive
        .own_cases()?
        .into_iter()
        .map(|row| row.number)
        .collect();
    let mut walked = Walked {
        lots: Vec::new(),
        all: Vec::new(),
        looked: Looked {
            of: numbers.len(),
            ..Looked::default()
        },
    };
    for some in numbers.chunks(AT_ONCE) {
        if stop.load(Ordering::Relaxed) {
            break;
        }
        let (read, unread) = read(archive, flows, some)?;
        let made: Vec<(Option<Lot>, Option<Vec<T>>)> = read
            .par_iter()
            .map(|own| {
                // A figure that takes a search takes its time: nobody waits for all of these.
                if stop.load(Ordering::Relaxed) {
                    return (None, None);
                }
                let now = Facts::without_search(&own.flow, &own.case);
                let lot = Lot::of(&now, &own.journal, zone);
                let dentist = lot.as_ref().and_then(|lot| lot.dentist.as_deref());
                let made = Case::as_found(&own.journal).map(|found| {
                    each(Found {
                        found: &found,
                        flow: &own.flow,
                        known: &Known::all(&own.case, dentist),
                    })
                });
                (lot, made)
            })
            .collect();
        if stop.load(Ordering::Relaxed) {
            break;
        }
        walked.looked.unread += unread;
        for (lot, made) in made {
            walked.lots.extend(lot);
            match made {
                Some(made) => walked.all.extend(made),
                None => walked.looked.not_found += 1,
            }
        }
        walked.looked.done += some.len();
        tell(walked.looked.done, walked.looked.of);
    }
    Ok(walked)
}

/// Sorts the restorations of a case as it was found into the slices of a limit that is moved.
pub fn sliced(own: Found<'_>, flow: &Flow, steps: &Steps) -> Vec<(Known, Slice)> {
    let precision = match steps.limit.is_searched() {
        true => Precision::Exact,
        false => Precision::Quick,
    };
    let facts = Facts::with(flow, own.found, precision);
    let slices = steps.slices(&facts);
    let all = own.known.iter();
    all.filter_map(|known| {
        let (_, slice) = slices.iter().find(|(id, _)| *id == known.restoration)?;
        Some((known.clone(), *slice))
    })
    .collect()
}

/// Judges a case as it was found by its own flow and by another one.
pub fn both(own: Found<'_>, other: &Flow) -> Vec<Replayed> {
    let judged = |flow: &Flow| results(flow, &Facts::with(flow, own.found, Precision::Quick));
    let before = judged(own.flow);
    let after = if own.flow.digest == other.digest {
        before.clone()
    } else {
        judged(other)
    };
    let said = |list: &[_], id: u8| list.iter().find(|(own, _)| *own == id).map(|(_, own)| *own);
    let all = own.known.iter();
    all.filter_map(|known| {
        Some(Replayed {
            before: said(&before, known.restoration)?,
            after: said(&after, known.restoration)?,
            known: known.clone(),
        })
    })
    .collect()
}
