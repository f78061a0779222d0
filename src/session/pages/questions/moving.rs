//! Moves of the cursor.

use crate::fact::Spot;
use crate::session::Inspection;

impl Inspection {
    /// Moves the cursor off a cell that is gone.
    pub(in crate::session) fn keep_cursor(&mut self) {
        if self.position().is_none() {
            // What was typed was meant for the cell that is gone.
            self.clear_input();
            self.hand.cursor = self.agenda.next_open(None).map(|cell| cell.spot.clone());
        }
    }

    pub(in crate::session) fn go_beside(&mut self, forward: bool) {
        let next = match self.position() {
            Some(position) => self.agenda.beside(position, forward),
            None => self.agenda.cells.iter().rev().find(|cell| cell.answered),
        };
        self.go(next.map(|cell| cell.spot.clone()));
    }

    pub(in crate::session) fn go_vertical(&mut self, down: bool) {
        let next = self
            .position()
            .and_then(|position| self.agenda.vertical(position, down));
        self.go(next.map(|cell| cell.spot.clone()));
    }

    pub(in crate::session) fn go_horizontal(&mut self, right: bool) {
        let next = self
            .position()
            .and_then(|position| self.agenda.horizontal(position, right));
        self.go(next.map(|cell| cell.spot.clone()));
    }

    /// Goes to the next or previous step that asks anything; returns `false` if there is none.
    pub(in crate::session) fn go_step(&mut self, forward: bool) -> bool {
        let here = self.step();
        let steps: Vec<usize> = if forward {
            (here + 1..self.flow.steps.len()).collect()
        } else {
            (0..here).rev().collect()
        };
        let next = steps
            .into_iter()
            .find_map(|step| self.agenda.first_of_step(step));
        let found = next.is_some();
        self.go(next.map(|cell| cell.spot.clone()));
        found
    }

    pub(in crate::session) fn go(&mut self, spot: Option<Spot>) {
        self.settle();
        self.clear_input();
        if let Some(spot) = spot {
            self.leave_for(&spot);
            self.hand.instruments.move_on();
            self.hand.cursor = Some(spot);
        }
    }

    /// Puts the cursor on the next unanswered cell behind this one.
    pub fn go_on_after(&mut self, spot: Option<&Spot>) {
        if let Some(position) = spot.and_then(|spot| self.agenda.position(spot)) {
            self.hand.cursor = self
                .agenda
                .next_open(Some(position))
                .map(|cell| cell.spot.clone());
        }
    }

    /// Puts the cursor on a cell, if it still exists.
    pub fn put_cursor(&mut self, spot: Option<Spot>) {
        if spot
            .as_ref()
            .is_none_or(|spot| self.agenda.position(spot).is_some())
        {
            self.hand.course.begin_anew();
            self.hand.instruments.move_on();
            self.hand.cursor = spot;
        }
    }

    /// Puts the cursor on the last answered cell, for coming back from the summary.
    pub(in crate::session) fn come_back(&mut self) {
        if self.hand.cursor.is_none() {
            self.go_beside(false);
        }
    }
}
