//! One case under inspection: what was answered, and undo and redo within the session. What is open and typed stands with
//! the page of questions.

mod benches;
mod beside;
mod decisions;
mod flow;
mod outcomes;
mod trying;
mod undo;

use std::cell::OnceCell;
use std::sync::Arc;

use uuid::Uuid;

use super::agenda::Agenda;
use super::pages::questions::State;
use super::{Effect, Moment};
use crate::case::before::Earlier;
use crate::case::dispute::{Key, keys};
use crate::case::journal::{Before, Body, Entry, FoldError, apply, fold};
use crate::case::{Case, Layer, Reading, Units};
use crate::derive::{Facts, Precision, Results, Turn};
use crate::fact::{Spot, Value};
use crate::flow::Flow;
use crate::judge::doubt::Doubt;
use crate::judge::{Judgement, Verdict, judge};
use crate::options::{Amount, CaseOption, Together};
use crate::state::expected;

use benches::{Unread, as_different};
pub use flow::Moving;

/// A case under inspection.
pub struct Inspection {
    pub(super) flow: Arc<Flow>,
    /// Flows that the case may be moved to or back to.
    flows: Vec<Arc<Flow>>,
    pub(super) case: Case,
    pub(super) results: Results,
    /// How sure the judgement is, or `None` until that was worked out.
    pub doubt: Option<Doubt>,
    pub(super) judgement: Judgement,
    /// The judgement before the newest change, until the next key.
    pub(super) before: Option<Judgement>,
    pub(super) agenda: Agenda,
    /// What is open and typed on the page of questions.
    pub(super) hand: State,
    /// What the case is expected to come to.
    expected: OnceCell<Option<Verdict>>,
    entries: u64,
    /// The journal as far as it is known here, with the entries of this session that are on their way.
    journal: Vec<Entry>,
    session: Uuid,
    who: Option<String>,
    pub(super) done: Vec<Change>,
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
pub(super) struct Change {
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
        Inspection {
            hand: State::of(&flow, &case, &agenda),
            flow,
            flows: Vec::new(),
            case,
            results,
            doubt: None,
            judgement,
            before: None,
            agenda,
            expected: OnceCell::new(),
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
        self.put_cursor(other.hand.cursor.clone());
        self.hand.go_on_as(&other.hand);
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
        self.hand.cursor.as_ref()
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

    pub(super) fn refuse(&mut self, why: impl Into<String>) -> Vec<Effect> {
        self.hand.refusal = Some(why.into());
        Vec::new()
    }

    /// Clears what is shown until the next key.
    pub(in crate::session) fn settle(&mut self) {
        self.before = None;
        self.hand.refusal = None;
        self.hand.asked = None;
    }

    pub(super) fn put(
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
    pub(super) fn with_answer(
        &self,
        spot: &Spot,
        value: Value,
        with: Option<String>,
    ) -> Option<Case> {
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

    pub(super) fn change(&mut self, forward: Body, back: Body, moment: &Moment) -> Vec<Effect> {
        let cursor = self.hand.cursor.clone();
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
        self.hand.course.see(&self.agenda, &agenda);
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

pub(super) fn put_back(spot: &Spot, layer: Layer, old: Option<Reading>) -> Body {
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
