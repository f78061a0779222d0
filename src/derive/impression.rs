//! How old an impression is when it is poured.
//!
//! *Model*: whole days between two dates; the limit of each impression material is the flow's.
//! *Sources*: arithmetic.
//!
//! Days and not hours, since the ticket has dates. Materials that must be poured within the hour are judged by *same
//! day*.

use super::{Derivation, Facts};
use crate::fact::{DAYS_REVERSED, IMPRESSION_AGE, POURED, Place, TAKEN, Unit, Value};
use crate::phrase::faults::reasons;

pub(super) static DERIVATION: Derivation = Derivation {
    id: "impression",
    gives: &[IMPRESSION_AGE, DAYS_REVERSED],
    needs: &[TAKEN, POURED],
    sources: &[],
    run,
};

/// The most days that are told.
const MOST_DAYS: f64 = 3660.0;

fn run(facts: &mut Facts<'_>) {
    let mut inputs = facts.inputs(Place::Case);
    let day = |value: Option<&Value>| match value {
        Some(Value::Day(day)) => Some(*day),
        _ => None,
    };
    let taken = day(inputs.look(&TAKEN));
    let poured = day(inputs.look(&POURED));
    let gathered = inputs.gathered();
    let age = match taken
        .zip(poured)
        .and_then(|(taken, poured)| poured.since(taken).ok())
    {
        Some(span) if span.get_days() >= 0 => {
            // Beyond ten years it is no matter how many.
            let days = f64::from(span.get_days()).min(MOST_DAYS);
            Ok(Value::Number(days, Unit::Count))
        }
        Some(_) => Err(reasons::POURED_FIRST.to_owned()),
        None => Err(reasons::DAYS_APART.to_owned()),
    };
    facts.give(&IMPRESSION_AGE, Place::Case, gathered.clone(), age);
    let reversed = taken
        .zip(poured)
        .is_some_and(|(taken, poured)| poured < taken);
    facts.give(
        &DAYS_REVERSED,
        Place::Case,
        gathered,
        Ok(Value::from(reversed)),
    );
}
