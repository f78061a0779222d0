//! One case under inspection: the cursor, what is typed, what was answered, undo and redo within the session.

mod asked_back;
mod benches;
mod beside;
mod course;
mod decisions;
mod flow;
mod instruments;
mod moving;
mod outcomes;
mod sketch;
mod trying;
mod typing;
mod undo;

use std::cell::OnceCell;
use std::sync::Arc;

use uuid::Uuid;

use super::agenda::Agenda;
use super::{Effect, Moment};
use crate::case::before::Earlier;
use crate::case::dispute::{Key, keys};
use crate::case::journal::{Before, Body, Entry, FoldError, apply, fold};
use crate::case::{Case, Layer, Reading, Units};
use crate::derive::{Facts, Precision, Results, Turn};
use crate::fact::{FactSpec, Place, PlaceKind, Spot, Value, WALL_BY_WALL};
use crate::flow::{Flow, Question};
use crate::judge::doubt::Doubt;
use crate::judge::{Judgement, Verdict, judge};
use crate::options::{Amount, CaseOption, Together};
use crate::phrase::prompts;
use crate::state::expected;

use asked_back::AskedBack;
pub use asked_back::Doubted;
use benches::{Unread, as_different};
use course::Course;
pub use flow::Moving;
use instruments::Instruments;
use sketch::Sketch;
pub(in crate::session) use typing::Choice;
pub use typing::{TURN, Takes};

/// A case under inspection.
pub struct Inspection {
    pub(super) flow: Arc<Flow>,
    /// Flows that the case may be moved to or back to.
    flows: Vec<Arc<Flow>>,
    pub(super) case: Case,
    results: Results,
    /// How sure the judgement is, or `None` until that was worked out.
    pub doubt: Option<Doubt>,
    pub(super) judgement: Judgement,
    /// The judgement before the newest change, until the next key.
    pub(super) before: Option<Judgement>,
    pub(super) agenda: Agenda,
    pub(super) cursor: Option<Spot>,
    pub(super) input: String,
    /// What the case is expected to come to.
    expected: OnceCell<Option<Verdict>>,
    /// The case with the number that is being typed.
    sketch: OnceCell<Option<Sketch>>,
    pub(super) refusal: Option<String>,
    /// The digit that has just chosen a band, until the next key.
    picked: Option<typing::Picked>,
    /// The instruments of readings.
    instruments: Instruments,
    /// Where the inspection goes on.
    course: Course,
    /// A reading that is implausible and to be confirmed, until the next key.
    asked: Option<AskedBack>,
    entries: u64,
    /// The journal as far as it is known here, with the entries of this session that are on their way.
    journal: Vec<Entry>,
    session: Uuid,
    who: Option<String>,
    done: Vec<Change>,
    undone: Vec<Change>,
    /// What others have answered so lately that nobody here can have read it.
    unread: Vec<Unread>,
    /// The judgement before the what-if, or `None` in the case itself.
    trial: Option<Judgement>,
    /// Options for the findings, or `None` until they were worked out.
    pub ways: Option<Ways>,
    /// The cases that came back and are made again in this one, as far as the archive has them.
    pub earlier: Vec<Earlier>,
}

/// Options for the findings.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Ways {
    /// The single ones.
    pub singles: Vec<CaseOption>,
    /// Two and more together, or `None` while they are being worked out.
    pub together: Option<Vec<Together>>,
    /// For single ones with an amount, by their place in the list: the amount that is enough even with the usual reading
    /// error; empty while that is being worked out.
    pub steady: Vec<(usize, Option<Amount>)>,
}

/// A change of this session, with the way back.
struct Change {
    entry: Uuid,
    forward: Body,
    back: Body,
    cursor: Option<Spot>,
    /// How many entries there were that this session had seen.
    knew: u64,
}

impl Inspection {
    /// Begins the inspection of a case whose journal has `entries` entries, at the first unanswered question.
    pub fn new(
        flow: Arc<Flow>,
        case: Case,
        entries: u64,
        session: Uuid,
        who: Option<String>,
    ) -> Inspection {
        let (results, judgement, agenda) = work_out(&flow, &case, None);
        let cursor = agenda.next_open(None).map(|cell| cell.spot.clone());
        Inspection {
            instruments: Instruments::of(&flow, &case, &agenda),
            course: Course::default(),
            flow,
            flows: Vec::new(),
            case,
            results,
            doubt: None,
            judgement,
            before: None,
            agenda,
            cursor,
            input: String::new(),
            expected: OnceCell::new(),
            sketch: OnceCell::new(),
            refusal: None,
            picked: None,
            asked: None,
            entries,
            journal: Vec::new(),
            session,
            who,
            done: Vec::new(),
            undone: Vec::new(),
            unread: Vec::new(),
            trial: None,
            ways: None,
            earlier: Vec::new(),
        }
    }

    /// Begins the inspection of the case that a journal tells of, at the first unanswered question.
    ///
    /// # Errors
    /// The entries are not the journal of a case.
    pub fn of_journal(
        flow: Arc<Flow>,
        journal: Vec<Entry>,
        session: Uuid,
        who: Option<String>,
    ) -> Result<Inspection, FoldError> {
        let case = fold(&journal)?;
        let mut inspection = Self::new(flow, case, journal.len() as u64, session, who);
        inspection.journal = journal;
        Ok(inspection)
    }

    /// Returns the journal of the case, oldest entry first, with the entries of this session that are on their way.
    pub fn journal(&self) -> &[Entry] {
        &self.journal
    }

    /// Goes on at the cell of another inspection of the same case, with its instruments.
    pub fn go_on_as(&mut self, other: &Inspection) {
        self.put_cursor(other.cursor.clone());
        self.course = other.course.clone();
        self.instruments = other.instruments.clone();
    }

    /// Returns the case.
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

    /// Returns the facts of the case.
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

    /// Returns the first question that is left, or `None` if none is.
    pub fn next_open(&self) -> Option<Spot> {
        self.agenda.next_open(None).map(|cell| cell.spot.clone())
    }

    /// Returns whether no question is left that the bench can answer: not the dentist's, and not what is drawn.
    pub fn is_done(&self) -> bool {
        self.agenda.cells.iter().all(|cell| {
            let step = self.flow.steps.get(cell.step);
            cell.answered
                || cell.turn != Turn::Up
                || step.is_some_and(|step| step.dentists || step.drawn)
        })
    }

    /// Returns what the case is expected to come to once everything that was agreed has come in, or `None` if nothing
    /// is expected.
    pub fn expected(&self) -> Option<Verdict> {
        *self.expected.get_or_init(|| {
            let judged = expected(&self.flow, &self.facts());
            judged.map(|judged| judged.verdict)
        })
    }

    /// Returns whether no question is left.
    pub fn is_complete(&self) -> bool {
        self.agenda.next_open(None).is_none()
    }

    pub(in crate::session) fn position(&self) -> Option<usize> {
        self.agenda.position(self.cursor.as_ref()?)
    }

    pub(in crate::session) fn question(&self) -> Option<&Question> {
        self.flow.question(&self.cursor.as_ref()?.fact)
    }

    pub(in crate::session) fn spec(&self) -> Option<&FactSpec> {
        self.flow.spec(&self.cursor.as_ref()?.fact)
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
        if self.cursor.is_none() {
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
        if self.input.pop().is_none() {
            self.go_beside(false);
        }
        self.forget_sketch();
    }

    pub(in crate::session) fn clear(&mut self, moment: &Moment) -> Vec<Effect> {
        self.settle();
        self.clear_input();
        let Some(spot) = self.cursor.clone() else {
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

    fn refuse(&mut self, why: impl Into<String>) -> Vec<Effect> {
        self.refusal = Some(why.into());
        Vec::new()
    }

    /// Clears what is shown until the next key.
    pub(in crate::session) fn settle(&mut self) {
        self.before = None;
        self.refusal = None;
        self.asked = None;
    }

    fn answer(&mut self, value: Value, moment: &Moment) -> Vec<Effect> {
        let is_reading = matches!(value, Value::Number(..));
        let with = self.instrument().filter(|_| is_reading);
        self.answer_with(value, with, moment)
    }

    fn answer_with(&mut self, value: Value, with: Option<String>, moment: &Moment) -> Vec<Effect> {
        let Some(spot) = self.cursor.clone() else {
            return Vec::new();
        };
        self.asked = self.doubts(&spot, &value, with.as_deref());
        if self.asked.is_some() {
            return Vec::new();
        }
        self.keep(spot, value, with, moment)
    }

    /// Saves an answer of the open cell and goes on.
    fn keep(
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

    fn put(
        &mut self,
        spot: Spot,
        value: Value,
        with: Option<String>,
        moment: &Moment,
    ) -> Vec<Effect> {
        let layer = self.layer();
        let decided = self.case.reading(&spot, Layer::Decided).is_some();
        let disputed = self.case.dispute(&spot).is_some();
        let old = self.case.reading(&spot, layer).cloned();
        if old
            .as_ref()
            .is_some_and(|old| !decided && old.value == value && old.with == with)
            && (self.is_trial() || self.is_from_here(&spot))
        {
            // Found the same by somebody else it is worth an entry: what a third person says meanwhile differs from it.
            return Vec::new();
        }
        let unread = self.unread(&spot, moment);
        let back = if decided || disputed || unread.is_some() {
            self.with_decision(&spot)
        } else {
            put_back(&spot, layer, old)
        };
        let mut forward = Body::Answer {
            spot,
            value,
            with,
            layer,
            undoes: None,
        };
        if let Some(against) = unread {
            forward = as_different(forward, against);
        }
        self.change(forward, back, moment)
    }

    /// Returns whether what stands at a place was written in this session, or by nobody.
    fn is_from_here(&self, spot: &Spot) -> bool {
        let key = Key::Spot(spot.clone());
        let writes = |entry: &&Entry| keys(&entry.body).contains(&key);
        let last = self.journal.iter().rev().find(writes);
        last.is_none_or(|entry| entry.session == self.session)
    }

    /// Returns a copy of the case with an answer. It is applied as an entry is, so that a decided value gives way as it
    /// would then.
    fn with_answer(&self, spot: &Spot, value: Value, with: Option<String>) -> Option<Case> {
        let mut case = self.case.clone();
        let entry = Entry {
            id: Uuid::nil(),
            seen: self.entries,
            session: self.session,
            when: jiff::Timestamp::UNIX_EPOCH,
            who: None,
            body: Body::Answer {
                spot: spot.clone(),
                value,
                with,
                layer: self.layer(),
                undoes: None,
            },
        };
        apply(&mut case, &entry).ok()?;
        Some(case)
    }

    /// Changes the units.
    pub(in crate::session) fn set_units(&mut self, units: Units, moment: &Moment) -> Vec<Effect> {
        // Where two people entered different ones, those that stand are entered anew to settle it.
        let disputed = !self.case.disputed_units().is_empty();
        if units == self.case.units && !disputed {
            return Vec::new();
        }
        let back = if disputed {
            let mut before = Before::default();
            before.keep_units(&self.case);
            Body::PutBack {
                before: Box::new(before),
                undoes: Uuid::nil(),
            }
        } else {
            Body::Units {
                units: self.case.units.clone(),
                undoes: None,
            }
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

    /// Turns wall by wall on or off for the present prep.
    pub(in crate::session) fn wall_by_wall(&mut self, moment: &Moment) -> Vec<Effect> {
        self.settle();
        let at = self
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
            let wall = |cell: &&super::agenda::Cell| {
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

    fn change(&mut self, forward: Body, back: Body, moment: &Moment) -> Vec<Effect> {
        let cursor = self.cursor.clone();
        let knew = self.entries;
        let (entry, effects) = self.append(forward.clone(), moment);
        self.done.push(Change {
            entry,
            forward,
            back,
            cursor,
            knew,
        });
        self.undone.clear();
        effects
    }

    /// Works everything out after a change of the case.
    fn work_out_again(&mut self) {
        let other = self.follow_flow();
        let before = Some(&self.results).filter(|_| !other);
        let (results, judgement, agenda) = work_out(&self.flow, &self.case, before);
        self.results = results;
        self.forget_sketch();
        self.expected = OnceCell::new();
        self.doubt = None;
        self.ways = None;
        self.before = Some(std::mem::replace(&mut self.judgement, judgement));
        self.course.see(&self.agenda, &agenda);
        self.agenda = agenda;
    }

    fn append(&mut self, body: Body, moment: &Moment) -> (Uuid, Vec<Effect>) {
        let entry = Entry {
            id: moment.id,
            seen: self.entries,
            session: self.session,
            when: moment.now,
            who: self.who.clone(),
            body,
        };
        self.entries += 1;
        // Only a second opening can fail, and none is made here.
        if apply(&mut self.case, &entry).is_ok() {
            self.work_out_again();
        }
        let id = entry.id;
        if self.is_trial() {
            // Nothing of what is tried out is kept.
            return (id, Vec::new());
        }
        self.journal.push(entry.clone());
        (
            id,
            vec![Effect::Append {
                number: self.case.number.clone(),
                entries: vec![entry],
            }],
        )
    }
}

fn put_back(spot: &Spot, layer: Layer, old: Option<Reading>) -> Body {
    match old {
        Some(old) => Body::Answer {
            spot: spot.clone(),
            value: old.value,
            with: old.with,
            layer,
            undoes: None,
        },
        None => Body::Clear {
            spot: spot.clone(),
            layer,
            undoes: None,
        },
    }
}

/// Works everything out, after a change from the results before it.
fn work_out(flow: &Flow, case: &Case, before: Option<&Results>) -> (Results, Judgement, Agenda) {
    let facts = match before {
        Some(before) => Facts::after(flow, case, Precision::Quick, before),
        None => Facts::with(flow, case, Precision::Quick),
    };
    let (judgement, agenda) = (judge(flow, &facts), Agenda::of(&facts));
    (facts.into_results(), judgement, agenda)
}
