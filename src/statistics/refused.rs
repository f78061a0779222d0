//! Why there is no figure.

use std::fmt;

/// Why there is no figure.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Refused {
    /// Nothing was given, or nobody was observed.
    Empty,
    /// There are too few values for a spread.
    TooFew,
    /// A value is not a finite number, or so large that the result is none.
    NotFinite,
    /// A time lies before the start; its value.
    NegativeTime(f64),
    /// More events than were observed to have one: events without anybody at risk.
    MoreEvents {
        /// Events.
        events: u64,
        /// How many were observed.
        of: u64,
    },
    /// Nobody has had an event where the method needs some.
    NoEvents,
    /// Everything is alike, so that the method knows no uncertainty.
    NoSpread,
    /// No event fell while somebody of both groups was at risk, or all ended at once.
    NothingToCompare,
    /// A time after the last one that was followed; its value.
    BeyondFollowUp(f64),
    /// The rows of a table are not as long as there are rows, or there is one row alone.
    NotSquare,
    /// A quantity lies outside its bounds.
    OutOfRange {
        /// What it is.
        what: &'static str,
        /// Its value.
        value: f64,
    },
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Refused::Empty => write!(f, "Nothing has been observed."),
            Refused::TooFew => write!(f, "There are too few values."),
            Refused::NotFinite => write!(f, "A value is no number, or too large to reckon with."),
            Refused::NegativeTime(time) => write!(f, "The time {time} lies before the start."),
            Refused::MoreEvents { events, of } => {
                write!(f, "There cannot be {events} events among {of}.")
            }
            Refused::NoEvents => write!(f, "There are no events to compare."),
            Refused::NoSpread => write!(f, "All values are alike, so no interval can be given."),
            Refused::NothingToCompare => {
                write!(f, "No event could tell the two groups apart.")
            }
            Refused::BeyondFollowUp(time) => write!(f, "Nobody was followed up to {time}."),
            Refused::NotSquare => write!(
                f,
                "The table must have as many columns as rows, two at least."
            ),
            Refused::OutOfRange { what, value } => write!(f, "The {what} cannot be {value}."),
        }
    }
}

impl std::error::Error for Refused {}

/// Lets a finite number pass.
pub(crate) fn finite(value: f64) -> Result<f64, Refused> {
    value.is_finite().then_some(value).ok_or(Refused::NotFinite)
}

/// Lets a time pass that is finite and not before the start.
pub(crate) fn time(value: f64) -> Result<f64, Refused> {
    match finite(value)? {
        before if before < 0.0 => Err(Refused::NegativeTime(before)),
        time => Ok(time),
    }
}

/// Lets a share pass that is more than 0 and less than 1.
pub(crate) fn inner_share(what: &'static str, value: f64) -> Result<f64, Refused> {
    match finite(value)? {
        share if 0.0 < share && share < 1.0 => Ok(share),
        value => Err(Refused::OutOfRange { what, value }),
    }
}
