use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::tooth::Tooth;

/// The units that numbers are kept in.
///
/// Units are values and no types: names and doc comments were enough, and a flow names units at run time.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
pub enum Unit {
    /// Millimetre.
    Mm,
    /// Micrometre.
    Micron,
    /// Square millimetre.
    Mm2,
    /// Cubic millimetre.
    Mm3,
    /// Degree of angle.
    Deg,
    /// Newton.
    Newton,
    /// Megapascal.
    Mpa,
    /// Hour.
    Hours,
    /// Second.
    Seconds,
    /// A whole number of things.
    Count,
    /// A number without a unit.
    Ratio,
    /// Per cent.
    Percent,
}

impl Unit {
    /// Returns the symbol that is shown after a number; empty for counts and ratios.
    pub fn symbol(self) -> &'static str {
        match self {
            Unit::Mm => "mm",
            Unit::Micron => "µm",
            Unit::Mm2 => "mm²",
            Unit::Mm3 => "mm³",
            Unit::Deg => "°",
            Unit::Newton => "N",
            Unit::Mpa => "MPa",
            Unit::Hours => "h",
            Unit::Seconds => "s",
            Unit::Count | Unit::Ratio => "",
            Unit::Percent => "%",
        }
    }

    /// Returns how many decimals a figure in this unit is shown with when nothing finer is known.
    pub fn decimals(self) -> usize {
        match self {
            Unit::Mm | Unit::Mm2 | Unit::Mm3 => 1,
            Unit::Ratio => 2,
            Unit::Deg | Unit::Micron | Unit::Newton | Unit::Mpa | Unit::Hours => 0,
            Unit::Seconds | Unit::Count | Unit::Percent => 0,
        }
    }

    /// Returns the name of the RON variant that writes a number in this unit.
    pub fn variant(self) -> &'static str {
        match self {
            Unit::Mm => "Mm",
            Unit::Micron => "Micron",
            Unit::Mm2 => "Mm2",
            Unit::Mm3 => "Mm3",
            Unit::Deg => "Deg",
            Unit::Newton => "Newton",
            Unit::Mpa => "Mpa",
            Unit::Hours => "Hours",
            Unit::Seconds => "Seconds",
            Unit::Count => "Count",
            Unit::Ratio => "Ratio",
            Unit::Percent => "Percent",
        }
    }
}

/// The value of a fact, in cases and in rules alike.
///
/// *Not seen* is an answer: somebody looked and could not tell.
/// It is distinct from *not yet asked*, which is the absence of a value.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(from = "Written", into = "Written")]
pub enum Value {
    /// A named choice, or the id of a row of a flow's table.
    Choice(String),
    /// Yes.
    Yes,
    /// No.
    No,
    /// A number in its unit.
    Number(f64, Unit),
    /// Some teeth.
    Teeth(Vec<Tooth>),
    /// A calendar day.
    Day(Date),
    /// Free text.
    Text(String),
    /// Looked for, and not to be told.
    ///
    /// Its key is the minus, which lies on the numeric pad and is how paper forms say it. Therefore no asked number
    /// goes below zero; undercuts and margins under the gum are asked in bands.
    NotSeen,
}

/// A type of the catalogue whose values are the choices of a fact.
pub trait Chosen: Copy {
    /// Returns the choice with this id, or `None` if there is none.
    fn named(id: &str) -> Option<Self>;
}

impl Value {
    /// Returns the number, whatever its unit.
    pub fn number(&self) -> Option<f64> {
        match self {
            Value::Number(number, _) => Some(*number),
            _ => None,
        }
    }

    /// Returns the name of the choice.
    pub fn choice(&self) -> Option<&str> {
        match self {
            Value::Choice(name) => Some(name),
            _ => None,
        }
    }

    /// Returns the choice as a type of the catalogue, or `None` if it is no choice of it.
    pub fn chosen<C: Chosen>(&self) -> Option<C> {
        C::named(self.choice()?)
    }

    /// Returns yes as `true` and no as `false`.
    pub fn truth(&self) -> Option<bool> {
        match self {
            Value::Yes => Some(true),
            Value::No => Some(false),
            _ => None,
        }
    }
}

impl From<bool> for Value {
    fn from(truth: bool) -> Value {
        if truth { Value::Yes } else { Value::No }
    }
}

/// A value as RON and JSON write it: every number wrapped in its unit.
#[derive(Serialize, Deserialize)]
#[serde(rename = "Value")]
enum Written {
    Choice(String),
    Yes,
    No,
    Mm(f64),
    Micron(f64),
    Mm2(f64),
    Mm3(f64),
    Deg(f64),
    Newton(f64),
    Mpa(f64),
    Hours(f64),
    Seconds(f64),
    Count(u32),
    Ratio(f64),
    Percent(f64),
    Teeth(Vec<Tooth>),
    Day(Date),
    Text(String),
    NotSeen,
}

impl From<Written> for Value {
    fn from(written: Written) -> Value {
        match written {
            Written::Choice(name) => Value::Choice(name),
            Written::Yes => Value::Yes,
            Written::No => Value::No,
            Written::Mm(n) => Value::Number(n, Unit::Mm),
            Written::Micron(n) => Value::Number(n, Unit::Micron),
            Written::Mm2(n) => Value::Number(n, Unit::Mm2),
            Written::Mm3(n) => Value::Number(n, Unit::Mm3),
            Written::Deg(n) => Value::Number(n, Unit::Deg),
            Written::Newton(n) => Value::Number(n, Unit::Newton),
            Written::Mpa(n) => Value::Number(n, Unit::Mpa),
            Written::Hours(n) => Value::Number(n, Unit::Hours),
            Written::Seconds(n) => Value::Number(n, Unit::Seconds),
            Written::Count(n) => Value::Number(f64::from(n), Unit::Count),
            Written::Ratio(n) => Value::Number(n, Unit::Ratio),
            Written::Percent(n) => Value::Number(n, Unit::Percent),
            Written::Teeth(teeth) => Value::Teeth(teeth),
            Written::Day(day) => Value::Day(day),
            Written::Text(text) => Value::Text(text),
            Written::NotSeen => Value::NotSeen,
        }
    }
}

impl From<Value> for Written {
    fn from(value: Value) -> Written {
        match value {
            Value::Choice(name) => Written::Choice(name),
            Value::Yes => Written::Yes,
            Value::No => Written::No,
            Value::Number(n, unit) => match unit {
                Unit::Mm => Written::Mm(n),
                Unit::Micron => Written::Micron(n),
                Unit::Mm2 => Written::Mm2(n),
                Unit::Mm3 => Written::Mm3(n),
                Unit::Deg => Written::Deg(n),
                Unit::Newton => Written::Newton(n),
                Unit::Mpa => Written::Mpa(n),
                Unit::Hours => Written::Hours(n),
                Unit::Seconds => Written::Seconds(n),
                // Counts enter as whole numbers within the catalogue's bounds.
                Unit::Count => Written::Count(n as u32),
                Unit::Ratio => Written::Ratio(n),
                Unit::Percent => Written::Percent(n),
            },
            Value::Teeth(teeth) => Written::Teeth(teeth),
            Value::Day(day) => Written::Day(day),
            Value::Text(text) => Written::Text(text),
            Value::NotSeen => Written::NotSeen,
        }
    }
}
