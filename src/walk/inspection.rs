//! One case under inspection: the cursor, what is typed, what was answered, undo and redo within the sitting.

use std::collections::BTreeMap;
use std::sync::Arc;

use jiff::civil::Date;
use uuid::Uuid;

use super::agenda::Agenda;
use super::{Effect, Moment};
use crate::case::journal::{Body, Entry, apply};
use crate::case::{Case, Layer, Reading, Units};
use crate::derive::{Facts, Results, Turn};
use crate::fact::{FactId, FactSpec, Kind, Misfit, Place, PlaceKind, Spot, Value, WALL_BY_WALL};
use crate::flow::{Flow, Question};
use crate::judge::doubt::Doubt;
use crate::judge::{Judgement, judge};

/// A case under inspection.
pub struct Inspection {
    pub(super) flow: Arc<Flow>,
    pub(super) case: Case,
    results: Results,
    /// How far the readings can be trusted with the judgement; none until it was weighed.
    pub doubt: Option<Doubt>,
    pub(super) judgement: Judgement,
    /// The judgement before the newest change, until the next key.
    pub(super) before: Option<Judgement>,
    pub(super) agenda: Agenda,
    pub(super) cursor: Option<Spot>,
    pub(super) input: String,
    pub(super) refusal: Option<String>,
    with: BTreeMap<FactId, String>,
    entries: u64,
    sitting: Uuid,
    who: Option<String>,
    done: Vec<Change>,
    undone: Vec<Change>,
}

/// A change of this sitting, with the way back.
struct Change {
    entry: Uuid,
    forward: Body,
    back: Body,
    cursor: Option<Spot>,
}

impl Inspection {
    /// Takes up a case whose journal has so many entries. The cursor stands on the first unanswered question.
    pub fn new(
        flow: Arc<Flow>,
        case: Case,
        entries: u64,
        sitting: Uuid,
        who: Option<String>,
    ) -> Inspection {
        let (results, judgement, agenda) = work_out(&flow, &case);
        let cursor = agenda.next_open(None).map(|cell| cell.spot.clone());
        Inspection {
            flow,
            case,
            results,
            doubt: None,
            judgement,
            before: None,
            agenda,
            cursor,
            input: String::new(),
            refusal: None,
            with: BTreeMap::new(),
            entries,
            sitting,
            who,
            done: Vec::new(),
            undone: Vec::new(),
        }
    }

    /// Returns the case as it stands.
    pub fn case(&self) -> &Case {
        &self.case
    }

    /// Returns how many journal entries the case has.
    pub fn entries(&self) -> u64 {
        self.entries
    }

    /// Returns the flow it is judged by.
    pub fn flow(&self) -> &Arc<Flow> {
        &self.flow
    }

    /// Returns the facts of the case as it stands.
    pub fn facts(&self) -> Facts<'_> {
        Facts::again(&self.flow, &self.case, &self.results)
    }

    /// Returns the present judgement.
    pub fn judgement(&self) -> &Judgement {
        &self.judgement
    }

    /// Returns the cell that is open.
    pub fn cursor(&self) -> Option<&Spot> {
        self.cursor.as_ref()
    }

    /// Says whether no question is left that comes up.
    pub fn is_complete(&self) -> bool {
        self.agenda.next_open(None).is_none()
    }

    pub(super) fn position(&self) -> Option<usize> {
        self.agenda.position(self.cursor.as_ref()?)
    }

    pub(super) fn question(&self) -> Option<&Question> {
        self.flow.question(&self.cursor.as_ref()?.fact)
    }

    pub(super) fn spec(&self) -> Option<&FactSpec> {
        self.flow.spec(&self.cursor.as_ref()?.fact)
    }

    /// Returns the step of the cursor; the last one where nothing is left.
    pub(super) fn step(&self) -> usize {
        let cell = self
            .position()
            .and_then(|position| self.agenda.cells.get(position));
        cell.map_or_else(|| self.flow.steps.len().saturating_sub(1), |cell| cell.step)
    }

    /// Says whether the open cell takes free text, so that letters are not commands.
    pub(super) fn takes_text(&self) -> bool {
        self.spec().is_some_and(|spec| spec.kind == Kind::Text)
    }

    /// Says whether a character belongs into the open cell.
    pub(super) fn takes(&self, c: char) -> bool {
        let Some(spec) = self.spec() else {
            return false;
        };
        match spec.kind {
            Kind::Text => !c.is_control(),
            Kind::Number { .. } if self.question().is_some_and(|q| q.bands.is_empty()) => {
                c.is_ascii_digit() || c == '.' || c == ','
            }
            Kind::Day => c.is_ascii_digit() || (c == '-' && !self.input.is_empty()),
            _ => c.is_ascii_digit(),
        }
    }

    /// Takes a character into the open cell. A digit that picks a choice answers at once.
    pub(super) fn type_char(&mut self, c: char, moment: &Moment) -> Vec<Effect> {
        self.settle();
        let Some(spec) = self.spec().cloned() else {
            return Vec::new();
        };
        let bands = self
            .question()
            .map(|question| question.bands.clone())
            .unwrap_or_default();
        let digit = c
            .to_digit(10)
            .and_then(|digit| (digit as usize).checked_sub(1));
        match spec.kind {
            Kind::Choice(_) | Kind::Listed(_) => {
                let choice = digit.and_then(|n| self.flow.choices(&spec.kind).into_iter().nth(n));
                match choice {
                    Some((id, _)) => self.answer(Value::Choice(id), moment),
                    None => self.refuse("there is no choice with this digit"),
                }
            }
            Kind::YesNo => match c {
                '1' => self.answer(Value::Yes, moment),
                '2' => self.answer(Value::No, moment),
                _ => self.refuse("1 is yes, 2 is no"),
            },
            Kind::Number { unit, .. } if !bands.is_empty() => {
                match digit.and_then(|n| bands.get(n)) {
                    Some(band) => self.answer(Value::Number(*band, unit), moment),
                    None => self.refuse("there is no choice with this digit"),
                }
            }
            Kind::Teeth => {
                let teeth = self.teeth_to_choose();
                match digit.and_then(|n| teeth.get(n).map(|_| n)) {
                    Some(_) => {
                        match self.input.find(c) {
                            Some(at) => {
                                self.input.remove(at);
                            }
                            None => self.input.push(c),
                        }
                        Vec::new()
                    }
                    None => self.refuse("there is no tooth with this digit"),
                }
            }
            Kind::Text => {
                if self.input.chars().count() < crate::fact::MAX_TEXT {
                    self.input.push(c);
                }
                Vec::new()
            }
            Kind::Number { .. } | Kind::Day => {
                if self.input.chars().count() < 10 {
                    self.input.push(c);
                }
                Vec::new()
            }
        }
    }

    /// Returns the teeth that a question for teeth offers, one a digit key.
    pub(super) fn teeth_to_choose(&self) -> Vec<crate::tooth::Tooth> {
        let Some(spot) = &self.cursor else {
            return Vec::new();
        };
        let teeth = self
            .case
            .units
            .within(spot.at, PlaceKind::Abutment)
            .into_iter()
            .filter_map(|place| match place {
                Place::Unit(tooth) => Some(tooth),
                _ => None,
            });
        teeth.take(9).collect()
    }

    /// Keeps what was typed and goes on; an empty cell is left as it is.
    pub(super) fn confirm(&mut self, moment: &Moment) -> Vec<Effect> {
        self.settle();
        if self.input.is_empty() {
            self.go_on();
            return Vec::new();
        }
        let Some(spec) = self.spec().cloned() else {
            return Vec::new();
        };
        match self.read_input(&spec, moment.today) {
            Ok(value) => self.answer(value, moment),
            Err(why) => self.refuse(why),
        }
    }

    fn read_input(&self, spec: &FactSpec, today: Date) -> Result<Value, String> {
        let text = self.input.trim();
        let value = match spec.kind {
            Kind::Number { unit, .. } => {
                let number: f64 = text
                    .replace(',', ".")
                    .parse()
                    .map_err(|_| format!("{text} is not a number"))?;
                self.fits_instrument(number)?;
                Value::Number(number, unit)
            }
            Kind::Day => Value::Day(read_day(text, today)?),
            Kind::Text => Value::Text(crate::text::clean(text)),
            Kind::Teeth => {
                let teeth = self.teeth_to_choose();
                let chosen = text
                    .chars()
                    .filter_map(|c| c.to_digit(10))
                    .filter_map(|n| teeth.get(n as usize - 1));
                Value::Teeth(chosen.copied().collect())
            }
            _ => return Err("press the digit of a choice".to_owned()),
        };
        match spec.check(&value) {
            Ok(()) => Ok(value),
            Err(Misfit::Bounds { wanted }) => Err(format!("out of bounds: {wanted}")),
            Err(_) => Err(format!("this takes {}", spec.wanted())),
        }
    }

    /// A reading finer than its instrument is a slip of the finger or of the instrument.
    fn fits_instrument(&self, number: f64) -> Result<(), String> {
        let Some(instrument) = self.instrument().and_then(|id| self.flow.instrument(&id)) else {
            return Ok(());
        };
        let steps = number / instrument.step;
        if instrument.step > 0.0 && (steps - steps.round()).abs() > 1e-6 {
            return Err(format!(
                "{} reads in steps of {}; round it, or press i for another instrument",
                instrument.name, instrument.step
            ));
        }
        Ok(())
    }

    /// Returns the instrument that the open cell is read with.
    pub(super) fn instrument(&self) -> Option<String> {
        let question = self.question()?;
        let chosen = self.with.get(&question.fact);
        chosen
            .cloned()
            .or_else(|| question.with.first().map(|(id, _)| id.clone()))
    }

    pub(super) fn next_instrument(&mut self) {
        let Some(question) = self.question() else {
            return;
        };
        let ids: Vec<String> = question.with.iter().map(|(id, _)| id.clone()).collect();
        let fact = question.fact.clone();
        let now = self
            .instrument()
            .and_then(|id| ids.iter().position(|other| *other == id))
            .unwrap_or(0);
        match ids.get((now + 1) % ids.len().max(1)) {
            Some(next) if ids.len() > 1 => {
                self.with.insert(fact, next.clone());
                self.refusal = None;
            }
            _ => self.refusal = Some("there is no other instrument for this".to_owned()),
        }
    }

    pub(super) fn not_seen(&mut self, moment: &Moment) -> Vec<Effect> {
        self.settle();
        if self.cursor.is_none() {
            return Vec::new();
        }
        self.answer(Value::NotSeen, moment)
    }

    /// Answers with the value of the cell before in the same row.
    pub(super) fn same(&mut self, moment: &Moment) -> Vec<Effect> {
        self.settle();
        let before = self
            .position()
            .and_then(|position| self.agenda.before_in_row(position));
        let value = before
            .and_then(|cell| self.case.value(&cell.spot.fact, cell.spot.at))
            .cloned();
        match value {
            Some(value) => self.answer(value, moment),
            None => self.refuse("there is no value before this one in the row"),
        }
    }

    /// Takes back a character, or goes back a cell.
    pub(super) fn erase(&mut self) {
        self.settle();
        if self.input.pop().is_none() {
            self.go_beside(false);
        }
    }

    pub(super) fn clear(&mut self, moment: &Moment) -> Vec<Effect> {
        self.settle();
        self.input.clear();
        let Some(spot) = self.cursor.clone() else {
            return Vec::new();
        };
        match self.case.reading(&spot, Layer::Measured).cloned() {
            None => Vec::new(),
            Some(old) => {
                let forward = Body::Clear {
                    spot: spot.clone(),
                    layer: Layer::Measured,
                    undoes: None,
                };
                let back = put_back(&spot, Some(old));
                self.change(forward, back, moment)
            }
        }
    }

    fn refuse(&mut self, why: impl Into<String>) -> Vec<Effect> {
        self.refusal = Some(why.into());
        Vec::new()
    }

    /// Forgets what was only to be shown until the next key.
    pub(super) fn settle(&mut self) {
        self.before = None;
        self.refusal = None;
    }

    fn answer(&mut self, value: Value, moment: &Moment) -> Vec<Effect> {
        let Some(spot) = self.cursor.clone() else {
            return Vec::new();
        };
        let is_reading = matches!(value, Value::Number(..));
        let with = self.instrument().filter(|_| is_reading);
        let effects = self.put(spot, value, with, moment);
        self.input.clear();
        self.go_on();
        effects
    }

    fn put(
        &mut self,
        spot: Spot,
        value: Value,
        with: Option<String>,
        moment: &Moment,
    ) -> Vec<Effect> {
        let old = self.case.reading(&spot, Layer::Measured).cloned();
        if old
            .as_ref()
            .is_some_and(|old| old.value == value && old.with == with)
        {
            return Vec::new();
        }
        let back = put_back(&spot, old);
        let forward = Body::Answer {
            spot,
            value,
            with,
            layer: Layer::Measured,
            undoes: None,
        };
        self.change(forward, back, moment)
    }

    /// Changes the units.
    pub(super) fn set_units(&mut self, units: Units, moment: &Moment) -> Vec<Effect> {
        if units == self.case.units {
            return Vec::new();
        }
        let back = Body::Units {
            units: self.case.units.clone(),
            undoes: None,
        };
        let effects = self.change(
            Body::Units {
                units,
                undoes: None,
            },
            back,
            moment,
        );
        self.keep_cursor();
        effects
    }

    /// Turns the walk round the present stump's walls on or off.
    pub(super) fn wall_by_wall(&mut self, moment: &Moment) -> Vec<Effect> {
        self.settle();
        let at = self
            .cursor
            .as_ref()
            .and_then(|spot| self.case.units.resolve(PlaceKind::Abutment, spot.at));
        let Some(at) = at else {
            return self.refuse("go to a stump first");
        };
        let spot = Spot {
            fact: WALL_BY_WALL,
            at,
        };
        let wanted = self.case.value(&spot.fact, at) != Some(&Value::Yes);
        let effects = self.put(spot, Value::from(wanted), None, moment);
        if wanted {
            let wall = |cell: &&super::agenda::Cell| {
                cell.turn == Turn::Up
                    && !cell.answered
                    && matches!(cell.spot.at, Place::Wall(..))
                    && self.case.units.resolve(PlaceKind::Abutment, cell.spot.at) == Some(at)
            };
            if let Some(cell) = self.agenda.cells.iter().find(wall) {
                self.cursor = Some(cell.spot.clone());
            }
        }
        self.keep_cursor();
        self.input.clear();
        effects
    }

    fn change(&mut self, forward: Body, back: Body, moment: &Moment) -> Vec<Effect> {
        let cursor = self.cursor.clone();
        let (entry, effects) = self.append(forward.clone(), moment);
        self.done.push(Change {
            entry,
            forward,
            back,
            cursor,
        });
        self.undone.clear();
        effects
    }

    fn append(&mut self, body: Body, moment: &Moment) -> (Uuid, Vec<Effect>) {
        let entry = Entry {
            id: moment.id,
            seen: self.entries,
            sitting: self.sitting,
            when: moment.now,
            who: self.who.clone(),
            body,
        };
        self.entries += 1;
        // Only a second opening can fail, and none is made here.
        if apply(&mut self.case, &entry).is_ok() {
            let (results, judgement, agenda) = work_out(&self.flow, &self.case);
            self.results = results;
            self.doubt = None;
            self.before = Some(std::mem::replace(&mut self.judgement, judgement));
            self.agenda = agenda;
        }
        let id = entry.id;
        (
            id,
            vec![Effect::Append {
                number: self.case.number.clone(),
                entries: vec![entry],
            }],
        )
    }

    pub(super) fn undo(&mut self, moment: &Moment) -> Vec<Effect> {
        self.settle();
        let Some(change) = self.done.pop() else {
            return self.refuse("nothing of this sitting to undo");
        };
        let (_, effects) = self.append(undoing(change.back.clone(), change.entry), moment);
        self.cursor.clone_from(&change.cursor);
        self.undone.push(change);
        self.input.clear();
        self.keep_cursor();
        effects
    }

    pub(super) fn redo(&mut self, moment: &Moment) -> Vec<Effect> {
        self.settle();
        let Some(change) = self.undone.pop() else {
            return self.refuse("nothing to do again");
        };
        let (entry, effects) = self.append(change.forward.clone(), moment);
        self.cursor.clone_from(&change.cursor);
        self.done.push(Change { entry, ..change });
        self.input.clear();
        self.keep_cursor();
        effects
    }

    /// Moves the cursor off a cell that is gone.
    fn keep_cursor(&mut self) {
        if self.position().is_none() {
            self.cursor = self.agenda.next_open(None).map(|cell| cell.spot.clone());
        }
    }

    /// Goes to the next unanswered cell; none where nothing is left.
    pub(super) fn go_on(&mut self) {
        let position = self.position();
        self.cursor = self
            .agenda
            .next_open(position)
            .map(|cell| cell.spot.clone())
            .or(self.cursor.take().filter(|_| {
                // Leaving a cell empty at the very end stays on it.
                position
                    .and_then(|p| self.agenda.cells.get(p))
                    .is_some_and(|cell| !cell.answered)
            }));
    }

    pub(super) fn go_beside(&mut self, forward: bool) {
        let next = match self.position() {
            Some(position) => self.agenda.beside(position, forward),
            None => self.agenda.cells.iter().rev().find(|cell| cell.answered),
        };
        self.go(next.map(|cell| cell.spot.clone()));
    }

    pub(super) fn go_vertical(&mut self, down: bool) {
        let next = self
            .position()
            .and_then(|position| self.agenda.vertical(position, down));
        self.go(next.map(|cell| cell.spot.clone()));
    }

    pub(super) fn go_horizontal(&mut self, right: bool) {
        let next = self
            .position()
            .and_then(|position| self.agenda.horizontal(position, right));
        self.go(next.map(|cell| cell.spot.clone()));
    }

    /// Goes to the next or the last step that asks anything; false where there is none.
    pub(super) fn go_step(&mut self, forward: bool) -> bool {
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

    fn go(&mut self, spot: Option<Spot>) {
        self.settle();
        self.input.clear();
        if spot.is_some() {
            self.cursor = spot;
        }
    }

    /// Puts the cursor on the next unanswered cell behind this one.
    pub fn go_on_after(&mut self, spot: Option<&Spot>) {
        if let Some(position) = spot.and_then(|spot| self.agenda.position(spot)) {
            self.cursor = self
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
            self.cursor = spot;
        }
    }

    /// Puts the cursor on the last answered cell, for coming back from the end page.
    pub(super) fn come_back(&mut self) {
        if self.cursor.is_none() {
            self.go_beside(false);
        }
    }
}

fn put_back(spot: &Spot, old: Option<Reading>) -> Body {
    match old {
        Some(old) => Body::Answer {
            spot: spot.clone(),
            value: old.value,
            with: old.with,
            layer: Layer::Measured,
            undoes: None,
        },
        None => Body::Clear {
            spot: spot.clone(),
            layer: Layer::Measured,
            undoes: None,
        },
    }
}

fn undoing(body: Body, entry: Uuid) -> Body {
    let undoes = Some(entry);
    match body {
        Body::Answer {
            spot,
            value,
            with,
            layer,
            ..
        } => Body::Answer {
            spot,
            value,
            with,
            layer,
            undoes,
        },
        Body::Clear { spot, layer, .. } => Body::Clear {
            spot,
            layer,
            undoes,
        },
        Body::Units { units, .. } => Body::Units { units, undoes },
        other => other,
    }
}

fn work_out(flow: &Flow, case: &Case) -> (Results, Judgement, Agenda) {
    let facts = Facts::of(flow, case);
    let (judgement, agenda) = (judge(flow, &facts), Agenda::of(&facts));
    (facts.into_results(), judgement, agenda)
}

/// Reads a day: so many days ago, or year-month-day.
fn read_day(text: &str, today: Date) -> Result<Date, String> {
    if text.contains('-') {
        return text
            .parse()
            .map_err(|_| "write the day as year-month-day, or the number of days ago".to_owned());
    }
    let ago: i64 = text
        .parse()
        .map_err(|_| "write the number of days ago".to_owned())?;
    if ago > 3660 {
        return Err("that is more than ten years ago".to_owned());
    }
    today
        .checked_sub(jiff::Span::new().days(ago))
        .map_err(|_| "that day is out of reach".to_owned())
}
