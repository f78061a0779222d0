//! The head of a flow: its steps and what each asks.

use super::check::{Checker, LONGEST_NAME};
use super::model::{Step, StepBlock};
use super::shape::{BlockShape, GridShape, Head, StepShape};
use crate::fact::{FactId, Origin, PlaceKind};
use crate::phrase::faults::flow::{Sort, rules as faults};
use crate::ronfile::{Spanned, parse_raw};

impl<'s> Checker<'s> {
    pub(super) fn head(&mut self, head: &Head<'s>) {
        self.flow.id = head.id.value.clone();
        self.flow.version = head.version;
        self.flow.title = self.fits_line(&head.title, LONGEST_NAME);
        for raw in &head.steps {
            match parse_raw::<StepShape>(self.source(), *raw) {
                Ok(shape) => self.step(shape),
                Err(problem) => self.problems.push(problem),
            }
        }
        for (part, names) in &head.anew {
            let facts: Vec<FactId> = names
                .iter()
                .filter_map(|name| self.asked_fact(name))
                .collect();
            self.flow.anew.push((*part, facts));
        }
    }

    /// A fact that is asked: only that can be read anew.
    pub(super) fn asked_fact(&mut self, name: &Spanned<String>) -> Option<FactId> {
        let (fact, spec) = self.fact(name)?;
        if spec.origin == Origin::Derived {
            let span = name.span(self.source());
            self.error("flow-fact", span, faults::computed_again(&fact));
            return None;
        }
        Some(fact)
    }

    pub(super) fn step(&mut self, shape: StepShape) {
        self.own_id(Sort::Step, &shape.id);
        let title = self.fits_line(&shape.title, LONGEST_NAME);
        let mut blocks = Vec::new();
        for block in &shape.blocks {
            match block {
                BlockShape::Ask(fact) => {
                    blocks.extend(self.placed(fact).map(|(fact, _)| StepBlock::Ask(fact)))
                }
                BlockShape::Grid(grid) => blocks.extend(self.grid(grid)),
            }
        }
        self.flow.steps.push(Step {
            id: shape.id.value,
            title,
            blocks,
            aside: shape.aside,
            dentists: shape.dentists,
            drawn: shape.drawn,
        });
    }

    pub(super) fn grid(&mut self, grid: &GridShape) -> Option<StepBlock> {
        let title = self.fits_line(&grid.title, LONGEST_NAME);
        let placed: Vec<_> = grid
            .rows
            .iter()
            .map(|row| (row, self.placed(row)))
            .collect();
        let mut rows = Vec::new();
        let mut columns = None;
        for (row, placed) in placed {
            let (fact, at) = placed?;
            if *columns.get_or_insert(at) != at {
                let span = row.span(self.source());
                self.error("flow-place-kind", span, faults::mixed_grid());
                return None;
            }
            rows.push(fact);
        }
        Some(StepBlock::Grid {
            title,
            rows,
            columns: columns?,
            enter: grid.enter,
        })
    }

    pub(super) fn placed(&mut self, name: &Spanned<String>) -> Option<(FactId, PlaceKind)> {
        self.own_id(Sort::QuestionInStep, name);
        let (fact, spec) = self.fact(name)?;
        if self.flow.question(&fact).is_none() {
            if self.may_be_unread(fact.as_str()) {
                return None;
            }
            let span = name.span(self.source());
            self.error("flow-question", span, faults::no_question(&fact));
            return None;
        }
        Some((fact, spec.at))
    }
}
