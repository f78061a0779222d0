//! What a record says in numbers, each with its interval.
//!
//! Pure functions over plain data: nothing here knows of cases or teeth, reads or writes anything, or keeps state.
//! Formulas stand beside their sources. What the data cannot tell is [`Refused`] with a reason, never a number that is
//! none; where a formula would claim certainty that nobody has, there is no interval.

pub mod funnel;
pub mod kappa;
pub mod measurement;
pub mod proportion;
pub mod repetition;
pub mod survival;

mod confidence;
mod refused;
#[cfg(test)]
mod tests;

pub use confidence::{Confidence, Interval};
pub use refused::Refused;

/// The example of the README, as a test.
#[cfg(doctest)]
#[doc = include_str!("README.md")]
struct Readme;
