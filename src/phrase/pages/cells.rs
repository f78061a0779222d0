//! Cells: a value with its unit, where it comes from and how far it is, and the one way it is said.

use crate::case::{Case, Layer, Reading};
use crate::fact::{Kind, Spot, Unit, Value};
use crate::phrase::{Phrase, number_words, words};

/// A cell as data.
#[derive(Clone, PartialEq, Debug)]
pub struct Cell {
    /// The value that counts; of a cell without one, the value that is expected; `None` if there is neither.
    pub value: Option<Value>,
    /// The value in words, if it is no number; else empty.
    pub name: String,
    /// The unit of its numbers, or `None` if it takes no number.
    pub unit: Option<Unit>,
    /// How many decimals its number is shown with.
    pub decimals: usize,
    /// Whether it is answered.
    pub state: CellState,
    /// Where the value comes from, or `None` without a value.
    pub origin: Option<ValueOrigin>,
    /// What is being typed into it, or `None` if nothing is.
    pub typed: Option<String>,
}

/// The state of a cell.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum CellState {
    /// It is open: the next key answers it.
    Present,
    /// It has an answer.
    Answered,
    /// Somebody looked and could not tell.
    NotSeen,
    /// It is to do: it has no answer yet.
    ToDo,
    /// It does not come up here.
    Idle,
}

/// Where the value of a cell comes from.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum ValueOrigin {
    /// Read or answered at the bench.
    Measured,
    /// Agreed with the dentist.
    Decided,
    /// Agreed, and not here yet: it counts for nothing until it is read.
    Expected,
    /// Tried out, and not saved.
    Tried,
}

impl ValueOrigin {
    /// Returns where the values of a layer come from, or `None` for what was read before something new came in.
    fn of(layer: Layer) -> Option<ValueOrigin> {
        match layer {
            Layer::Before => None,
            Layer::Expected => Some(ValueOrigin::Expected),
            Layer::Measured => Some(ValueOrigin::Measured),
            Layer::Suspended | Layer::Decided => Some(ValueOrigin::Decided),
            Layer::Proposed => Some(ValueOrigin::Tried),
        }
    }
}

impl Cell {
    /// Returns the value that counts, or `None` if there is none or it is only expected.
    pub fn counting(&self) -> Option<&Value> {
        self.value
            .as_ref()
            .filter(|_| self.origin != Some(ValueOrigin::Expected))
    }

    /// Returns whether nothing counts in it and nothing is being typed.
    pub fn is_blank(&self) -> bool {
        self.typed.is_none() && self.counting().is_none()
    }
}

/// Whether the unit of a cell stands behind its number.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum UnitShown {
    /// Behind the number.
    Behind,
    /// Elsewhere, such as behind the name of the row.
    Elsewhere,
}

/// Stands in a cell that does not come up, in a table that is looked at.
pub const IDLE_SIGN: &str = "–";

/// Stands in the open cell, in a table that is looked at, while nothing is typed into it.
pub const BLANK: &str = "____";

/// Stands before the open cell, and before a marked line, in what is looked at.
pub const OPEN_SIGN: &str = "►";

/// Says a cell: what is typed into it, else its value, else *to do*. A cell that does not come up says nothing.
pub fn cell(cell: &Cell, unit: UnitShown) -> String {
    if let Some(typed) = &cell.typed {
        return typed.clone();
    }
    match (cell.counting(), cell.state) {
        (None, CellState::Idle) => String::new(),
        (None, _) => words::NOT_ASKED.to_owned(),
        (Some(Value::NotSeen), _) => words::NOT_SEEN.to_owned(),
        (Some(Value::Number(number, own)), _) => {
            let own = match unit {
                UnitShown::Behind => *own,
                UnitShown::Elsewhere => Unit::Ratio,
            };
            number_words(*number, own, Some(cell.decimals))
        }
        (Some(_), _) => cell.name.clone(),
    }
}

/// Says a cell of a table that is looked at: blanks to be filled in, a sign where nothing is asked, and a sign at what the
/// dentist decided (`=`), and at what is only expected or tried (`~`).
pub fn in_table(own: &Cell) -> String {
    match (own.state, own.origin) {
        _ if own.typed.is_some() => cell(own, UnitShown::Elsewhere),
        (CellState::Idle, None) => IDLE_SIGN.to_owned(),
        (CellState::Present, _) if own.is_blank() => BLANK.to_owned(),
        (_, None) => BLANK.to_owned(),
        (_, Some(ValueOrigin::Expected)) => {
            let counted = Cell {
                origin: Some(ValueOrigin::Measured),
                ..own.clone()
            };
            format!("~{}", cell(&counted, UnitShown::Elsewhere))
        }
        (_, Some(ValueOrigin::Tried)) => format!("~{}", cell(own, UnitShown::Elsewhere)),
        (_, Some(ValueOrigin::Decided)) => format!("{} =", cell(own, UnitShown::Elsewhere)),
        (_, Some(ValueOrigin::Measured)) => cell(own, UnitShown::Elsewhere),
    }
}

/// Says a cell with what stands beside its value, such as what was read before it was agreed.
pub fn cell_and_beside(own: &Cell, beside: Option<&str>) -> String {
    let beside = beside.map(|beside| format!("({beside})"));
    let own = own.counting().map(|_| cell(own, UnitShown::Behind));
    let said: Vec<String> = own.into_iter().chain(beside).collect();
    said.join(" ")
}

/// Says, when a table is read aloud, that a cell is the open one.
pub fn here(cell: &str) -> String {
    format!("{cell} (here)")
}

impl Phrase<'_> {
    /// Returns a fact of a case at a place as a cell, as if it came up and were not open.
    pub fn cell(self, case: &Case, spot: &Spot) -> Cell {
        let unit = match self.flow.spec(&spot.fact).map(|spec| &spec.kind) {
            Some(Kind::Number { unit, .. }) => Some(*unit),
            _ => None,
        };
        let expected = || Some((Layer::Expected, case.reading(spot, Layer::Expected)?));
        let Some((layer, reading)) = case.merged(spot).or_else(expected) else {
            return Cell {
                value: None,
                name: String::new(),
                unit,
                decimals: unit.map_or(0, Unit::decimals),
                state: CellState::ToDo,
                origin: None,
                typed: None,
            };
        };
        self.cell_of(spot, layer, reading, unit)
    }

    fn cell_of(self, spot: &Spot, layer: Layer, reading: &Reading, unit: Option<Unit>) -> Cell {
        let with = reading.with.as_deref();
        let unit = match &reading.value {
            Value::Number(_, own) => Some(*own),
            _ => unit,
        };
        Cell {
            value: Some(reading.value.clone()),
            name: match &reading.value {
                Value::Number(..) => String::new(),
                value => self.value(self.flow.spec(&spot.fact), value, None),
            },
            unit,
            decimals: with
                .and_then(|with| self.decimals(with))
                .unwrap_or(unit.map_or(0, Unit::decimals)),
            state: match &reading.value {
                _ if !layer.counts() => CellState::ToDo,
                Value::NotSeen => CellState::NotSeen,
                _ => CellState::Answered,
            },
            origin: ValueOrigin::of(layer),
            typed: None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn number(number: f64, unit: Unit, decimals: usize) -> Cell {
        Cell {
            value: Some(Value::Number(number, unit)),
            name: String::new(),
            unit: Some(unit),
            decimals,
            state: CellState::Answered,
            origin: Some(ValueOrigin::Measured),
            typed: None,
        }
    }

    #[test]
    fn a_number_has_its_decimals_and_its_unit_where_it_stands_nowhere_else() {
        for (own, behind, elsewhere) in [
            (number(4.5, Unit::Mm, 1), "4.5 mm", "4.5"),
            (number(4.5, Unit::Mm, 2), "4.50 mm", "4.50"),
            (number(12.0, Unit::Deg, 0), "12°", "12"),
            (number(8.0, Unit::Count, 0), "8", "8"),
        ] {
            assert_eq!(cell(&own, UnitShown::Behind), behind);
            assert_eq!(cell(&own, UnitShown::Elsewhere), elsewhere);
        }
    }

    #[test]
    fn what_is_typed_stands_before_the_value_and_what_is_only_expected_is_to_do() {
        let typed = Cell {
            typed: Some("3.".to_owned()),
            state: CellState::Present,
            ..number(4.5, Unit::Mm, 1)
        };
        assert_eq!(cell(&typed, UnitShown::Behind), "3.");
        assert!(!typed.is_blank());
        let expected = Cell {
            state: CellState::ToDo,
            origin: Some(ValueOrigin::Expected),
            ..number(4.5, Unit::Mm, 1)
        };
        assert_eq!(cell(&expected, UnitShown::Behind), words::NOT_ASKED);
        assert_eq!((expected.counting(), expected.is_blank()), (None, true));
        assert_eq!(
            cell_and_beside(&expected, Some("expected 4.5 mm")),
            "(expected 4.5 mm)"
        );
    }

    #[test]
    fn a_table_shows_where_a_value_comes_from_and_blanks_where_there_is_none() {
        let own = number(4.5, Unit::Mm, 1);
        let blank = Cell {
            value: None,
            origin: None,
            state: CellState::ToDo,
            ..own.clone()
        };
        let idle = Cell {
            state: CellState::Idle,
            ..blank.clone()
        };
        let from = |origin, state| Cell {
            origin: Some(origin),
            state,
            ..own.clone()
        };
        for (cell, wanted) in [
            (own.clone(), "4.5"),
            (from(ValueOrigin::Decided, CellState::Answered), "4.5 ="),
            (from(ValueOrigin::Tried, CellState::Answered), "~4.5"),
            (from(ValueOrigin::Expected, CellState::ToDo), "~4.5"),
            (from(ValueOrigin::Expected, CellState::Present), "____"),
            (blank, "____"),
            (idle, "–"),
        ] {
            assert_eq!(in_table(&cell), wanted);
        }
    }

    #[test]
    fn not_seen_idle_and_named_values_say_what_they_are() {
        let own = |value, name: &str, state| Cell {
            value,
            name: name.to_owned(),
            state,
            ..number(0.0, Unit::Mm, 1)
        };
        let not_seen = own(Some(Value::NotSeen), "", CellState::NotSeen);
        assert_eq!(cell(&not_seen, UnitShown::Behind), "not seen");
        let idle = own(None, "", CellState::Idle);
        assert_eq!(cell(&idle, UnitShown::Behind), "");
        let choice = Value::Choice("chamfer".to_owned());
        let named = own(Some(choice), "chamfer", CellState::Answered);
        assert_eq!(cell(&named, UnitShown::Elsewhere), "chamfer");
        assert_eq!(
            cell_and_beside(&named, Some("as agreed")),
            "chamfer (as agreed)"
        );
    }
}
