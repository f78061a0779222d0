//! The course of the inspection: where Enter goes, and where it comes back to.
//!
//! Enter goes on to the next question. A question that an answer brings up before the cursor comes first; after going
//! back to look at an answer, Enter returns to where the work was; and what was left empty on purpose comes again only at
//! the end.

use std::collections::BTreeSet;

use crate::derive::Turn;
use crate::fact::Spot;
use crate::session::Inspection;
use crate::session::agenda::{Agenda, Cell};

/// What the inspection has to come back to. It belongs to the session and is in no journal.
#[derive(Clone, Default, Debug)]
pub(in crate::session) struct Course {
    /// The open cell where the work was, while the cursor is elsewhere.
    home: Option<Spot>,
    /// Whether the cursor only went back to look, so that `home` is next.
    returns: bool,
    /// What Enter left empty.
    skipped: BTreeSet<Spot>,
    /// What an answer has brought up and was not visited since.
    late: Vec<Spot>,
    /// Cells that were left for the walls of their prep.
    for_walls: Vec<Spot>,
    /// The cell of an earlier step that Enter has gone back to, until it is shown.
    back_to: Option<Spot>,
}

fn is_open(cell: &Cell) -> bool {
    cell.turn == Turn::Up && !cell.answered
}

impl Course {
    /// Notes which questions a change has brought up.
    pub(in crate::session) fn see(&mut self, before: &Agenda, after: &Agenda) {
        let was: BTreeSet<&Spot> = before
            .cells
            .iter()
            .filter(|cell| cell.turn == Turn::Up || cell.answered)
            .map(|cell| &cell.spot)
            .collect();
        let came = after
            .cells
            .iter()
            .filter(|cell| is_open(cell) && !was.contains(&cell.spot));
        self.late.extend(came.map(|cell| cell.spot.clone()));
    }

    /// Comes to a question next.
    pub(in crate::session) fn come_to(&mut self, spot: Spot) {
        self.late.push(spot);
    }

    /// Forgets where the work was: the inspection goes on from the cursor.
    pub(in crate::session) fn begin_anew(&mut self) {
        self.home = None;
        self.returns = false;
        self.late.clear();
    }
}

impl Inspection {
    /// Returns the position of a cell if it is asked and has no answer.
    fn open_position(&self, spot: &Spot) -> Option<usize> {
        let position = self.agenda.position(spot)?;
        self.agenda
            .cells
            .get(position)
            .filter(|cell| is_open(cell))?;
        Some(position)
    }

    /// Returns the next open cell that was not left empty on purpose, or one of those if no other is left.
    fn next_after(&mut self, after: Option<usize>) -> Option<usize> {
        let cells = &self.agenda.cells;
        let wanted = |(_, cell): &(usize, &Cell)| {
            is_open(cell) && !self.hand.course.skipped.contains(&cell.spot)
        };
        let start = after.map_or(0, |after| after + 1);
        let next = cells.iter().enumerate().skip(start).find(wanted);
        let next = next.or_else(|| cells.iter().enumerate().find(wanted));
        if let Some((position, _)) = next {
            return Some(position);
        }
        self.hand.course.skipped.clear();
        let cell = self.agenda.next_open(after)?;
        self.agenda.position(&cell.spot)
    }

    /// Goes on to the next question; closes the cell if none is left.
    pub(in crate::session) fn go_on(&mut self) {
        let here = self.position();
        if let Some(spot) = self
            .hand
            .cursor
            .clone()
            .filter(|spot| self.open_position(spot).is_some())
        {
            // What Enter leaves empty is left on purpose.
            self.hand.course.skipped.insert(spot);
        }
        let home = self
            .hand
            .course
            .home
            .take()
            .filter(|_| self.hand.course.returns);
        self.hand.course.returns = false;
        let mut target =
            match home.map(|home| (self.open_position(&home), self.agenda.position(&home))) {
                Some((Some(open), _)) => Some(open),
                Some((None, Some(answered))) => self.next_after(Some(answered)),
                Some((None, None)) | None => self.next_after(here),
            };
        if self.leaves_the_step(here, target)
            && let Some(left) = self.earliest_left_for_walls()
        {
            target = Some(left);
        }
        let late = self.next_late(here, target);
        let next = late.or(target);
        if late.is_some() {
            self.hand.course.home = target.and_then(|t| self.spot_of(t));
            self.hand.course.returns = true;
        }
        self.hand.course.back_to = self.step_back(here, next).and_then(|n| self.spot_of(n));
        self.hand.cursor = next.and_then(|n| self.spot_of(n));
    }

    fn spot_of(&self, position: usize) -> Option<Spot> {
        self.agenda
            .cells
            .get(position)
            .map(|cell| cell.spot.clone())
    }

    fn step_of(&self, position: Option<usize>) -> Option<usize> {
        self.agenda.cells.get(position?).map(|cell| cell.step)
    }

    /// Returns the earliest question that came up before `target`, other than the present one.
    fn next_late(&mut self, here: Option<usize>, target: Option<usize>) -> Option<usize> {
        let limit = target.unwrap_or(usize::MAX);
        let late = std::mem::take(&mut self.hand.course.late);
        let mut late: Vec<usize> = late
            .iter()
            .filter_map(|spot| self.open_position(spot))
            .filter(|position| *position < limit && Some(*position) != here)
            .collect();
        late.sort_unstable();
        late.dedup();
        let rest = late
            .iter()
            .skip(1)
            .filter_map(|position| self.spot_of(*position));
        self.hand.course.late = rest.collect();
        late.first().copied()
    }

    fn leaves_the_step(&self, here: Option<usize>, target: Option<usize>) -> bool {
        target.is_none_or(|target| here.is_some_and(|here| target < here))
            || self.step_of(here) != self.step_of(target)
    }

    /// Returns the first of the cells that were left for walls and are still open.
    fn earliest_left_for_walls(&mut self) -> Option<usize> {
        let left = std::mem::take(&mut self.hand.course.for_walls);
        let open = left
            .iter()
            .filter(|spot| !self.hand.course.skipped.contains(spot));
        open.filter_map(|spot| self.open_position(spot)).min()
    }

    /// Returns `next` if it is in a step before the present one.
    fn step_back(&self, here: Option<usize>, next: Option<usize>) -> Option<usize> {
        let (from, to) = (self.step_of(here)?, self.step_of(next)?);
        next.filter(|_| to < from)
    }

    /// Returns the cell of an earlier step that Enter has just gone back to, once.
    pub(in crate::session) fn take_back_to(&mut self) -> Option<Spot> {
        self.hand.course.back_to.take()
    }

    /// Notes where the work was before the cursor goes to `spot`.
    pub(in crate::session) fn leave_for(&mut self, spot: &Spot) {
        let here = self
            .hand
            .cursor
            .as_ref()
            .and_then(|here| self.open_position(here));
        let home = self
            .hand
            .course
            .home
            .as_ref()
            .and_then(|home| self.open_position(home));
        if here > home {
            self.hand.course.home.clone_from(&self.hand.cursor);
        }
        if self.hand.course.home.as_ref() == Some(spot) {
            self.hand.course.home = None;
        }
        self.hand.course.returns = self.open_position(spot).is_none();
    }

    /// Returns the open cell that Enter goes back to after a look at an answer, or `None` if it goes on from here.
    pub(in crate::session) fn bookmark(&self) -> Option<&Spot> {
        let home = self
            .hand
            .course
            .home
            .as_ref()
            .filter(|_| self.hand.course.returns)?;
        self.open_position(home).map(|_| home)
    }

    /// Goes back to the open cell where the work was, without a change; returns whether there was one.
    pub(in crate::session) fn return_to_bookmark(&mut self) -> bool {
        let Some(home) = self.bookmark().cloned() else {
            return false;
        };
        self.go(Some(home));
        true
    }

    /// Goes to the walls of a prep; the cell that was open waits until they are done.
    pub(in crate::session) fn leave_for_walls(&mut self, wall: Spot) {
        if let Some(left) = self.hand.cursor.replace(wall)
            && self.open_position(&left).is_some()
        {
            self.hand.course.for_walls.push(left);
        }
        self.hand.course.begin_anew();
    }
}
