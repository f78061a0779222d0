//! The cells of the inspection: every question at every place, in the order in which they are gone through.

use crate::derive::{Facts, Turn};
use crate::fact::{FactId, ORDER_SCOPE, Place, PlaceKind, Spot};
use crate::flow::{Enter, StepBlock};

/// One question at one place.
#[derive(Clone, PartialEq, Debug)]
pub struct Cell {
    /// The fact and its place.
    pub spot: Spot,
    /// The step it belongs to.
    pub step: usize,
    /// The table or single question it belongs to, counted through the whole inspection.
    pub group: usize,
    /// Its row within the group.
    pub row: usize,
    /// Its column within the group.
    pub column: usize,
    /// Whether it comes up.
    pub turn: Turn,
    /// Whether it has an answer.
    pub answered: bool,
}

/// A table or single question, as laid out on a page.
#[derive(Clone, PartialEq, Debug)]
pub struct Group {
    /// The step it belongs to.
    pub step: usize,
    /// Its heading, or `None` for a single question.
    pub title: Option<String>,
    /// The facts of its rows.
    pub rows: Vec<FactId>,
    /// The places of its columns.
    pub columns: Vec<Place>,
}

/// All cells and groups of a case under its flow.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Agenda {
    /// The cells, in the order in which Enter goes through them.
    pub cells: Vec<Cell>,
    /// The groups, in the order of the page.
    pub groups: Vec<Group>,
}

/// The places at which facts are asked. What kind of work it is can be corrected everywhere, and of what is not covered
/// nothing else is asked.
fn columns(facts: &Facts<'_>, rows: &[FactId], at: PlaceKind) -> Vec<Place> {
    if rows.contains(&ORDER_SCOPE) {
        facts.units().within(Place::Case, at)
    } else {
        facts.places(at)
    }
}

impl Agenda {
    /// Lays out the inspection.
    pub fn of(facts: &Facts<'_>) -> Agenda {
        let mut agenda = Agenda::default();
        let steps = facts.flow().steps.iter().enumerate();
        for (step, definition) in steps.filter(|(_, step)| !step.aside) {
            for block in &definition.blocks {
                match block {
                    StepBlock::Ask(fact) => {
                        let Some(spec) = facts.flow().spec(fact) else {
                            continue;
                        };
                        let columns = columns(facts, std::slice::from_ref(fact), spec.at);
                        agenda.add(
                            facts,
                            step,
                            None,
                            std::slice::from_ref(fact),
                            columns,
                            Enter::Across,
                        );
                    }
                    StepBlock::Grid {
                        title,
                        rows,
                        columns,
                        enter,
                    } => {
                        // Walls have a table a prep; everything else stands side by side over the whole case.
                        let tables = match columns {
                            PlaceKind::Wall => facts
                                .places(PlaceKind::Abutment)
                                .into_iter()
                                .map(|owner| facts.units().within(owner, *columns))
                                .collect(),
                            _ => vec![self::columns(facts, rows, *columns)],
                        };
                        for places in tables {
                            agenda.add(facts, step, Some(title), rows, places, *enter);
                        }
                    }
                }
            }
        }
        agenda
    }

    fn add(
        &mut self,
        facts: &Facts<'_>,
        step: usize,
        title: Option<&String>,
        rows: &[FactId],
        columns: Vec<Place>,
        enter: Enter,
    ) {
        if columns.is_empty() {
            return;
        }
        let group = self.groups.len();
        let mut cell = |row: usize, column: usize, fact: &FactId, at: Place| {
            if *fact != ORDER_SCOPE && !facts.covers(at) {
                return;
            }
            let spot = Spot {
                fact: fact.clone(),
                at,
            };
            let answered = facts.case().merged(&spot).is_some();
            let turn = facts.turn(fact, at);
            self.cells.push(Cell {
                spot,
                step,
                group,
                row,
                column,
                turn,
                answered,
            });
        };
        match enter {
            Enter::Down => {
                for (column, at) in columns.iter().enumerate() {
                    for (row, fact) in rows.iter().enumerate() {
                        cell(row, column, fact, *at);
                    }
                }
            }
            Enter::Across => {
                for (row, fact) in rows.iter().enumerate() {
                    for (column, at) in columns.iter().enumerate() {
                        cell(row, column, fact, *at);
                    }
                }
            }
        }
        self.groups.push(Group {
            step,
            title: title.cloned(),
            rows: rows.to_vec(),
            columns,
        });
    }

    /// Returns the place of a cell in the order of the inspection.
    pub fn position(&self, spot: &Spot) -> Option<usize> {
        self.cells.iter().position(|cell| cell.spot == *spot)
    }

    /// Returns the next cell to be answered after this one; wraps to the first that is left.
    pub fn next_open(&self, after: Option<usize>) -> Option<&Cell> {
        let open = |cell: &&Cell| cell.turn == Turn::Up && !cell.answered;
        let start = after.map_or(0, |after| after + 1);
        self.cells
            .iter()
            .skip(start)
            .find(open)
            .or_else(|| self.cells.iter().find(open))
    }

    /// Returns the neighbouring cell that can be gone to.
    pub fn beside(&self, from: usize, forward: bool) -> Option<&Cell> {
        let reachable = |cell: &&Cell| cell.turn == Turn::Up || cell.answered;
        if forward {
            self.cells.iter().skip(from + 1).find(reachable)
        } else {
            self.cells.iter().take(from).rev().find(reachable)
        }
    }

    /// Returns the nearest cell above or below on the page, in the same column if there is one.
    pub fn vertical(&self, from: usize, down: bool) -> Option<&Cell> {
        let here = self.cells.get(from)?;
        let line = |cell: &Cell| (cell.group, cell.row);
        let mut lines: Vec<_> = self
            .cells
            .iter()
            .filter(|cell| cell.turn == Turn::Up || cell.answered)
            .filter(|cell| {
                if down {
                    line(cell) > line(here)
                } else {
                    line(cell) < line(here)
                }
            })
            .collect();
        lines.sort_by_key(|cell| {
            let (group, row) = line(cell);
            let distance = cell.column.abs_diff(here.column);
            if down {
                (group, row, distance)
            } else {
                (usize::MAX - group, usize::MAX - row, distance)
            }
        });
        lines.first().copied()
    }

    /// Returns the nearest cell to the left or right in the same row.
    pub fn horizontal(&self, from: usize, right: bool) -> Option<&Cell> {
        let here = self.cells.get(from)?;
        let mut row: Vec<_> = self
            .cells
            .iter()
            .filter(|cell| cell.group == here.group && cell.row == here.row)
            .filter(|cell| cell.turn == Turn::Up || cell.answered)
            .filter(|cell| {
                if right {
                    cell.column > here.column
                } else {
                    cell.column < here.column
                }
            })
            .collect();
        row.sort_by_key(|cell| cell.column.abs_diff(here.column));
        row.first().copied()
    }

    /// Returns the first cell to go to in a step: the first unanswered, else the first that comes up.
    pub fn first_of_step(&self, step: usize) -> Option<&Cell> {
        let mut cells = self
            .cells
            .iter()
            .filter(|cell| cell.step == step && cell.turn == Turn::Up);
        let first = cells.clone().next();
        cells.find(|cell| !cell.answered).or(first)
    }

    /// Returns the cell before this one in the same row: the wall or the tooth before.
    pub fn before_in_row(&self, from: usize) -> Option<&Cell> {
        let here = self.cells.get(from)?;
        self.cells
            .iter()
            .filter(|cell| {
                cell.group == here.group && cell.row == here.row && cell.column < here.column
            })
            .max_by_key(|cell| cell.column)
    }
}
