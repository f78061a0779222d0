//! Keys that answer the open cell, and what an answer brings.

use crate::case::journal::Body;
use crate::derive::Turn;
use crate::fact::{FactSpec, Place, PlaceKind, Spot, Value, WALL_BY_WALL};
use crate::flow::Question;
use crate::phrase::prompts;
use crate::session::agenda::Cell;
use crate::session::inspection::put_back;
use crate::session::{Effect, Inspection, Moment};

impl Inspection {
    pub(in crate::session) fn position(&self) -> Option<usize> {
        self.agenda.position(self.hand.cursor.as_ref()?)
    }

    pub(in crate::session) fn question(&self) -> Option<&Question> {
        self.flow.question(&self.hand.cursor.as_ref()?.fact)
    }

    pub(in crate::session) fn spec(&self) -> Option<&FactSpec> {
        self.flow.spec(&self.hand.cursor.as_ref()?.fact)
    }

    /// Returns the step of the cursor, or the last step if no question is left.
    pub(in crate::session) fn step(&self) -> usize {
        let cell = self
            .position()
            .and_then(|position| self.agenda.cells.get(position));
        let last = || {
            let walked = self.flow.steps.iter().rposition(|step| !step.aside);
            walked.unwrap_or(0)
        };
        cell.map_or_else(last, |cell| cell.step)
    }

    pub(in crate::session) fn not_seen(&mut self, moment: &Moment) -> Vec<Effect> {
        self.settle();
        if self.hand.cursor.is_none() {
            return Vec::new();
        }
        self.answer(Value::NotSeen, moment)
    }

    /// Answers with the value of the cell before in the same row; of a cell that is read anew, with what was read before.
    pub(in crate::session) fn same(&mut self, moment: &Moment) -> Vec<Effect> {
        self.settle();
        if let Some(effects) = self.as_before(moment) {
            return effects;
        }
        let before = self
            .position()
            .and_then(|position| self.agenda.before_in_row(position));
        let before = before.and_then(|cell| self.case.merged(&cell.spot));
        let reading = before.map(|(_, reading)| (reading.value.clone(), reading.with.clone()));
        match reading {
            // What was read on a scan there was not read with the caliper here.
            Some((value, Some(with))) if self.takes_instrument(&with) => {
                self.answer_with(value, Some(with), moment)
            }
            Some((value, _)) => self.answer(value, moment),
            None => self.refuse(prompts::NO_PREVIOUS_VALUE),
        }
    }

    /// Deletes the last character, or goes back a cell.
    pub(in crate::session) fn erase(&mut self) {
        self.settle();
        if self.hand.input.pop().is_none() {
            self.go_beside(false);
        }
        self.forget_sketch();
    }

    pub(in crate::session) fn clear(&mut self, moment: &Moment) -> Vec<Effect> {
        self.settle();
        self.clear_input();
        let Some(spot) = self.hand.cursor.clone() else {
            return Vec::new();
        };
        let layer = self.layer();
        match self.case.reading(&spot, layer).cloned() {
            None => Vec::new(),
            Some(old) => {
                let forward = Body::Clear {
                    spot: spot.clone(),
                    layer,
                    undoes: None,
                };
                let back = put_back(&spot, layer, Some(old));
                self.change(forward, back, moment)
            }
        }
    }

    pub(super) fn answer(&mut self, value: Value, moment: &Moment) -> Vec<Effect> {
        let is_reading = matches!(value, Value::Number(..));
        let with = self.instrument().filter(|_| is_reading);
        self.answer_with(value, with, moment)
    }

    fn answer_with(&mut self, value: Value, with: Option<String>, moment: &Moment) -> Vec<Effect> {
        let Some(spot) = self.hand.cursor.clone() else {
            return Vec::new();
        };
        self.hand.asked = self.doubts(&spot, &value, with.as_deref());
        if self.hand.asked.is_some() {
            return Vec::new();
        }
        self.keep(spot, value, with, moment)
    }

    /// Saves an answer of the open cell and goes on.
    pub(super) fn keep(
        &mut self,
        spot: Spot,
        value: Value,
        with: Option<String>,
        moment: &Moment,
    ) -> Vec<Effect> {
        let effects = self.put(spot.clone(), value, with, moment);
        self.clear_input();
        // What differs from an answer that was not seen is asked again at once.
        if self.case.dispute(&spot).is_none() {
            self.go_on();
        }
        effects
    }

    /// Turns wall by wall on or off for the present prep.
    pub(in crate::session) fn wall_by_wall(&mut self, moment: &Moment) -> Vec<Effect> {
        self.settle();
        let at = self
            .hand
            .cursor
            .as_ref()
            .and_then(|spot| self.case.units.resolve(PlaceKind::Abutment, spot.at));
        let Some(at) = at else {
            return self.refuse(prompts::GO_TO_A_PREP);
        };
        let spot = Spot {
            fact: WALL_BY_WALL,
            at,
        };
        let wanted = self.case.value(&spot.fact, at) != Some(&Value::Yes);
        let effects = self.put(spot, Value::from(wanted), None, moment);
        if wanted {
            let wall = |cell: &&Cell| {
                cell.turn == Turn::Up
                    && !cell.answered
                    && matches!(cell.spot.at, Place::Wall(..))
                    && self.case.units.resolve(PlaceKind::Abutment, cell.spot.at) == Some(at)
            };
            if let Some(cell) = self.agenda.cells.iter().find(wall) {
                let wall = cell.spot.clone();
                self.leave_for_walls(wall);
            }
        }
        self.keep_cursor();
        self.clear_input();
        effects
    }
}
