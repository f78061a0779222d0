//! The catalogue: every fact's name, kind of place, type, unit, bounds and words.
//!
//! This is the one vocabulary of flows, derivations, rules, screen, archive and JSON.
//! A fact is one named, typed value at a place. It is asked at the bench, or derived from other facts.

mod catalogue;
mod place;
mod value;

pub use catalogue::*;
pub use place::{Place, PlaceError, PlaceKind, Side};
pub use value::{Chosen, Unit, Value};

use serde::{Deserialize, Serialize};

use crate::phrase::faults::values;
use std::borrow::Cow;
use std::fmt;
use std::sync::Arc;

/// The name of a fact.
///
/// Known names compare as small integers.
/// A name that this program does not know is kept as text, shown, and never judged.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FactId {
    /// A fact of the catalogue, by its row.
    Known(u16),
    /// A fact that a flow adds (`x.` prefix), or one that this program does not know.
    Other(Arc<str>),
}

impl FactId {
    /// Returns the id with this name.
    pub fn named(name: &str) -> FactId {
        match catalogue::row(name) {
            Some(row) => FactId::Known(row),
            None => FactId::Other(Arc::from(name)),
        }
    }

    /// Returns the name as it stands in files.
    pub fn as_str(&self) -> &str {
        match self {
            FactId::Known(row) => catalogue::CATALOGUE
                .get(usize::from(*row))
                .map_or("", |spec| spec.id.as_ref()),
            FactId::Other(name) => name,
        }
    }

    /// Returns the catalogue's row, if the catalogue has the fact.
    pub fn spec(&self) -> Option<&'static FactSpec> {
        match self {
            FactId::Known(row) => catalogue::CATALOGUE.get(usize::from(*row)),
            FactId::Other(_) => None,
        }
    }
}

impl fmt::Display for FactId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

impl fmt::Debug for FactId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:?}", self.as_str())
    }
}

impl serde::Serialize for FactId {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.as_str())
    }
}

impl<'de> serde::Deserialize<'de> for FactId {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let name = <Cow<'de, str>>::deserialize(deserializer)?;
        Ok(FactId::named(&name))
    }
}

/// A fact at a place.
#[derive(
    Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, serde::Serialize, serde::Deserialize,
)]
pub struct Spot {
    /// The fact.
    pub fact: FactId,
    /// Where it stands.
    pub at: Place,
}

/// Where a fact comes from.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub enum Origin {
    /// Somebody answers a question.
    Asked,
    /// Rust works it out from other facts.
    Derived,
}

/// A table of the flow whose rows are the choices of a fact.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub enum List {
    /// The materials of the flow.
    Materials,
    /// The cements of the flow.
    Cements,
}

/// One choice: its name in files and the words the bench reads.
pub type ChoiceSpec = (Cow<'static, str>, Cow<'static, str>);

/// What a fact's value may be.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub enum Kind {
    /// One of a few named choices.
    Choice(Cow<'static, [ChoiceSpec]>),
    /// One row of a table of the flow.
    Listed(List),
    /// Yes or no.
    YesNo,
    /// A number with its unit, between two bounds, both included.
    Number {
        /// The unit that the number is entered, kept and shown in.
        unit: Unit,
        /// The least value that is taken.
        least: f64,
        /// The greatest value that is taken.
        most: f64,
    },
    /// Some of the case's teeth.
    Teeth,
    /// A calendar day.
    Day,
    /// Free text. Never a patient's name.
    Text,
}

/// One row of the catalogue.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct FactSpec {
    /// The name in files.
    pub id: Cow<'static, str>,
    /// The kind of place the fact stands at.
    pub at: PlaceKind,
    /// Asked or derived.
    pub origin: Origin,
    /// What values it takes.
    pub kind: Kind,
    /// A short name for a row of the screen, in bench words.
    pub label: Cow<'static, str>,
    /// One sentence that says what the fact is.
    pub sentence: Cow<'static, str>,
}

/// Why a value does not fit a fact.
#[derive(Clone, PartialEq, Debug)]
pub enum Misfit {
    /// The value is of another type or unit.
    Type {
        /// What the fact takes, in words.
        wanted: String,
    },
    /// The number is not finite.
    NotFinite,
    /// The number counts things and is not whole.
    NotWhole,
    /// The number is outside the bounds.
    Bounds {
        /// The bounds, in words.
        wanted: String,
    },
    /// The choice is not one of the fact's.
    Choice {
        /// The names that are.
        known: Vec<String>,
    },
    /// The text is longer than [`MAX_TEXT`].
    TooLong,
}

/// The choice of an order that does not say it. It is an answer about the order, and none that a dentist gives.
pub const NOT_SAID: &str = "not-said";

/// The longest free text that is kept, in characters.
pub const MAX_TEXT: usize = 400;

impl FactSpec {
    /// Checks that a value is of the fact's type and inside its bounds.
    ///
    /// Choices out of a list of the flow are checked by whoever has the flow.
    ///
    /// # Errors
    /// Says in what way the value does not fit.
    pub fn check(&self, value: &Value) -> Result<(), Misfit> {
        match (&self.kind, value) {
            (_, Value::NotSeen) => Ok(()),
            (Kind::Choice(choices), Value::Choice(name)) => {
                if choices.iter().any(|(id, _)| id == name) {
                    Ok(())
                } else {
                    let known = choices.iter().map(|(id, _)| id.to_string()).collect();
                    Err(Misfit::Choice { known })
                }
            }
            (Kind::Listed(_), Value::Choice(_))
            | (Kind::YesNo, Value::Yes | Value::No)
            | (Kind::Teeth, Value::Teeth(_))
            | (Kind::Day, Value::Day(_)) => Ok(()),
            (Kind::Text, Value::Text(text)) => {
                if text.chars().count() <= MAX_TEXT {
                    Ok(())
                } else {
                    Err(Misfit::TooLong)
                }
            }
            (Kind::Number { unit, least, most }, Value::Number(number, given)) if unit == given => {
                if !number.is_finite() {
                    Err(Misfit::NotFinite)
                } else if *unit == Unit::Count && number.fract() != 0.0 {
                    Err(Misfit::NotWhole)
                } else if (*least..=*most).contains(number) {
                    Ok(())
                } else {
                    Err(Misfit::Bounds {
                        wanted: self.wanted(),
                    })
                }
            }
            _ => Err(Misfit::Type {
                wanted: self.wanted(),
            }),
        }
    }

    /// Says in words what the fact takes.
    pub fn wanted(&self) -> String {
        values::wanted(&self.kind)
    }

    /// Returns the words for a choice, or the name itself where the catalogue has none.
    pub fn choice_words<'a>(&'a self, name: &'a str) -> &'a str {
        match &self.kind {
            Kind::Choice(choices) => choices
                .iter()
                .find(|(id, _)| id == name)
                .map_or(name, |(_, words)| words.as_ref()),
            _ => name,
        }
    }
}
