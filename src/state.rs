//! State of a case: one for each restoration, from the findings, the answers, what has still to come in, and the events.
//!
//! The result judges what is at the bench; the state says what comes next. An agreement never changes a result. A due
//! date that has passed changes no state: it only makes it late.

mod arriving;
mod days;
mod lines;

use jiff::civil::Date;

use crate::call::{Ask, asks, tells};
use crate::case::coming::{Awaited, Blocks, Part, awaited};
use crate::case::instruction::Instruction;
use crate::case::life::{Happened, State};
use crate::case::{Case, Restoration};
use crate::derive::{Facts, Precision, Turn};
use crate::fact::{Place, Spot};
use crate::flow::{Flow, Level, replaced};
use crate::judge::{CaseResult, Finding, Judgement, judge};
use crate::phrase::Phrase;

pub use arriving::{ArrivalError, arrival};
pub use days::CaseDays;

/// Returns what a case is expected to come to once everything that was agreed has come in, or `None` if nothing is
/// expected.
pub fn expected(flow: &Flow, facts: &Facts<'_>) -> Option<Judgement> {
    let case = facts.case().expected()?;
    let then = Facts::on_copy(flow, &case, Precision::Quick, facts.results());
    Some(judge(flow, &then))
}

/// Why it may be designed and not made.
#[derive(Clone, PartialEq, Debug)]
pub enum NotYet {
    /// Connectors are not drawn yet.
    Undrawn,
    /// What is drawn has to be changed: the finding that says so.
    Redraw(Finding),
    /// Something has still to come in.
    Awaits(Part),
    /// The dentist has still to tell something that may come to a call.
    Tells(Spot),
    /// A crown that it touches waits for an impression.
    Beside(u8),
}

/// State of one restoration.
#[derive(Clone, PartialEq, Debug)]
pub struct RestorationState {
    /// Its number.
    pub id: u8,
    /// Its state.
    pub state: State,
    /// What has still to come in for it.
    pub awaited: Vec<Awaited>,
    /// How many questions for the dentist are still to be asked.
    pub asks: usize,
    /// Whether one of them, or what the laboratory has to do again, is on hold.
    pub held: bool,
    /// Whether a question is asked again after what was agreed came in.
    pub again: bool,
    /// What is to be done at the bench: questions left, by fact and place.
    pub to_do: Vec<Spot>,
    /// What was looked for at the bench and not seen, and may come to a call or worse.
    pub not_seen: Vec<Spot>,
    /// What the laboratory has to do again itself before it goes on.
    pub ours: Vec<Finding>,
    /// Why it is not made yet, if it may be designed.
    pub not_yet: Vec<NotYet>,
    /// Findings that were accepted.
    pub accepted: Vec<Finding>,
    /// What the dentist has not told yet and the work does not wait for.
    pub untold: Vec<Spot>,
    /// Restorations that it touches and that are not covered.
    pub unchecked_beside: Vec<u8>,
    /// Whether it is made on the models from before a newer record for others.
    pub on_earlier_record: bool,
    /// The day of the newest event, for what was delivered, returned or withdrawn.
    pub since: Option<Date>,
    /// The case under which it is continued, if it came back.
    pub goes_on: Option<String>,
}

/// State of a case.
#[derive(Clone, PartialEq, Debug)]
pub struct CaseState {
    /// The state of the case: the first, in the order of [`State::ALL`], that one of its restorations is in.
    pub state: State,
    /// How many restorations are in that state, and how many count.
    pub of: (usize, usize),
    /// Each restoration.
    pub restorations: Vec<RestorationState>,
}

impl CaseState {
    /// Works out the state of a case.
    pub fn of(
        facts: &Facts<'_>,
        judgement: &Judgement,
        phrase: Phrase<'_>,
        instructions: &[Instruction],
    ) -> CaseState {
        let case = facts.case();
        let there = Seen {
            facts,
            judgement,
            phrase,
            instructions,
        };
        let mut restorations: Vec<RestorationState> = there.restorations(|_| true);
        for earlier in case.earlier_records() {
            let copy = case.on_record(earlier);
            let facts = Facts::after(phrase.flow, &copy, Precision::Quick, facts.results());
            let judgement = judge(phrase.flow, &facts);
            let there = Seen {
                facts: &facts,
                judgement: &judgement,
                phrase,
                instructions,
            };
            let own = there.restorations(|id| earlier.restorations.contains(&id));
            for state in own {
                if let Some(known) = restorations.iter_mut().find(|known| known.id == state.id) {
                    *known = RestorationState {
                        on_earlier_record: true,
                        ..state
                    };
                }
            }
        }
        beside(case, &mut restorations);
        // A call is made once: what is left at the bench comes first, unless the work is on hold.
        let left = restorations.iter().any(|own| !own.to_do.is_empty());
        for own in &mut restorations {
            if own.state == State::ToCall && left && !own.held {
                own.state = State::Inspecting;
            }
        }
        let counts: Vec<State> = restorations
            .iter()
            .map(|own| own.state)
            .filter(|state| !matches!(state, State::NotCovered | State::Withdrawn))
            .collect();
        let all: Vec<State> = restorations.iter().map(|own| own.state).collect();
        let counts = if counts.is_empty() { all } else { counts };
        let state = counts.iter().copied().min().unwrap_or(State::Inspecting);
        let of = counts.iter().filter(|own| **own == state).count();
        CaseState {
            state,
            of: (of, counts.len()),
            restorations,
        }
    }

    /// Returns what has still to come in, each once, the earliest due date first.
    pub fn awaited(&self) -> Vec<&Awaited> {
        let mut list: Vec<&Awaited> = Vec::new();
        // What is over waits for nothing any more.
        let goes_on =
            |own: &&RestorationState| !own.state.is_over() && own.state != State::NotCovered;
        let restorations = self.restorations.iter().filter(goes_on);
        for own in restorations.flat_map(|own| &own.awaited) {
            if !list.contains(&own) {
                list.push(own);
            }
        }
        list.sort_by_key(|own| (own.due.is_none(), own.due, own.part));
        list
    }

    /// Returns the state of a restoration, or `None` if the case has none with this number.
    pub fn restoration(&self, id: u8) -> Option<&RestorationState> {
        self.restorations.iter().find(|own| own.id == id)
    }

    /// Returns whether something that is awaited is late on a day.
    pub fn is_late(&self, today: Date) -> bool {
        self.awaited()
            .iter()
            .any(|own| own.due.is_some_and(|due| due < today))
    }
}

/// What the states are worked out from.
struct Seen<'a> {
    facts: &'a Facts<'a>,
    judgement: &'a Judgement,
    phrase: Phrase<'a>,
    instructions: &'a [Instruction],
}

impl Seen<'_> {
    fn restorations(&self, counts: impl Fn(u8) -> bool) -> Vec<RestorationState> {
        let asks = asks(self.facts, self.judgement, self.phrase, self.instructions);
        self.facts
            .units()
            .restorations()
            .iter()
            .filter(|restoration| counts(restoration.id))
            .map(|restoration| self.restoration(restoration, &asks))
            .collect()
    }

    /// Returns whether a place belongs to a restoration, or to the whole case.
    fn is_own(&self, restoration: &Restoration, at: Place) -> bool {
        let owner = self.facts.units().owner(at);
        owner.is_none_or(|owner| owner.id == restoration.id)
    }

    fn restoration(&self, restoration: &Restoration, asks: &[Ask<'_>]) -> RestorationState {
        let Seen {
            facts, judgement, ..
        } = *self;
        let case = facts.case();
        let id = restoration.id;
        let own = |at: Place| self.is_own(restoration, at);
        let awaited: Vec<Awaited> = awaited(case)
            .into_iter()
            .filter(|awaited| awaited.restorations.contains(&id))
            .collect();
        let mut state = RestorationState {
            id,
            state: State::ToMake,
            asks: 0,
            held: false,
            again: false,
            to_do: Vec::new(),
            not_seen: Vec::new(),
            ours: Vec::new(),
            not_yet: Vec::new(),
            accepted: Vec::new(),
            untold: Vec::new(),
            unchecked_beside: Vec::new(),
            on_earlier_record: false,
            since: None,
            goes_on: None,
            awaited,
        };
        let event = case.last_event(id);
        state.since = event.map(|event| event.on);
        state.goes_on = event.and_then(|event| event.goes_on.clone());
        let happened = event.map(|event| event.what);
        // What is closed is closed, covered or not, and nothing is asked about it any more.
        if happened == Some(Happened::Closed) {
            state.state = State::Closed;
            return state;
        }
        if happened == Some(Happened::Withdrawn) {
            state.state = State::Withdrawn;
            return state;
        }
        let verdict = judgement
            .by_restoration
            .iter()
            .find(|(own, _)| *own == id)
            .map(|(_, verdict)| *verdict);
        if verdict.is_some_and(|verdict| verdict.outcome() == CaseResult::NotCovered) {
            state.state = State::NotCovered;
            return state;
        }
        for ask in asks.iter().filter(|ask| own(ask.finding.at)) {
            if ask.is_open() {
                state.asks += 1;
                state.held |= ask.finding.level == Level::Hold;
                state.again |= matches!(
                    ask.state,
                    crate::call::QuestionState::Again(_) | crate::call::QuestionState::Changed(_)
                );
            } else if !ask.is_awaited() {
                state.accepted.push(ask.finding.clone());
            }
        }
        match happened {
            Some(Happened::Returned) => {
                state.state = State::Returned;
                return state;
            }
            Some(Happened::Delivered) => {
                state.state = State::Delivered;
                return state;
            }
            _ => {}
        }
        state.to_do = self.to_do(restoration, &state.awaited);
        state.ours = self.ours(restoration, asks, false);
        state.held |= state.ours.iter().any(|own| own.level == Level::Hold);
        for point in &judgement.open_points {
            if !own(point.at) || point.could_be < Level::Call {
                continue;
            }
            // What no step asks will never be answered: it is as good as not seen.
            let unasked = |spot: &Spot| {
                let mut steps = self.phrase.flow.steps.iter();
                !steps.any(|step| step.facts().any(|fact| *fact == spot.fact))
            };
            for (spot, gap) in &point.needs {
                if !gap.is_not_seen() && !unasked(spot) {
                    continue;
                }
                let asked = self
                    .phrase
                    .flow
                    .question(&spot.fact)
                    .is_some_and(|question| question.dentist.is_some());
                let drawn = self.phrase.flow.is_drawn(&spot.fact);
                if !asked && !drawn && !state.not_seen.contains(spot) {
                    state.not_seen.push(spot.clone());
                }
            }
        }
        let blocks = state.awaited.iter().map(|own| own.blocks).max();
        self.not_yet(
            restoration,
            asks,
            &mut state,
            verdict.is_some_and(|v| v.awaits_drawing()),
        );
        state.state = if state.asks > 0 {
            State::ToCall
        } else if blocks == Some(Blocks::Design) {
            State::Waiting
        } else if !state.to_do.is_empty() || !state.not_seen.is_empty() || !state.ours.is_empty() {
            State::Inspecting
        } else if !case.disputed_units().is_empty() {
            // It is not known what is to be made.
            State::Inspecting
        } else if !state.not_yet.is_empty() {
            State::ForDesign
        } else {
            State::ToMake
        };
        state
    }

    /// Returns why it may not be made yet, if it is cleared for design.
    fn not_yet(
        &self,
        restoration: &Restoration,
        asks: &[Ask<'_>],
        state: &mut RestorationState,
        awaits_drawing: bool,
    ) {
        if awaits_drawing {
            state.not_yet.push(NotYet::Undrawn);
        }
        let redraw = self.ours(restoration, asks, true);
        state.not_yet.extend(redraw.into_iter().map(NotYet::Redraw));
        let parts = state.awaited.iter().map(|own| NotYet::Awaits(own.part));
        state.not_yet.extend(parts.collect::<Vec<_>>());
        let tells = tells(self.facts, self.judgement, self.phrase);
        let own = tells
            .into_iter()
            .filter(|tell| self.is_own(restoration, tell.spot.at));
        for tell in own {
            if tell.could_be >= Level::Call {
                state.not_yet.push(NotYet::Tells(tell.spot));
            } else {
                state.untold.push(tell.spot);
            }
        }
    }

    /// Returns the questions left at the bench: not those for the dentist, not those of the drawing, and not those that
    /// will be asked again once something has come in.
    fn to_do(&self, restoration: &Restoration, awaited: &[Awaited]) -> Vec<Spot> {
        let facts = self.facts;
        let flow = self.phrase.flow;
        let later: Vec<Spot> = awaited
            .iter()
            .filter(|own| own.blocks == Blocks::Design)
            .flat_map(|own| replaced(flow, facts.case(), own.part, own, false))
            .collect();
        let mut list = Vec::new();
        for step in &flow.steps {
            if step.aside || step.dentists || step.drawn {
                continue;
            }
            for fact in step.facts() {
                let Some(spec) = flow.spec(fact) else {
                    continue;
                };
                for at in facts.units().within(Place::Case, spec.at) {
                    let spot = Spot {
                        fact: fact.clone(),
                        at,
                    };
                    let left = self.is_own(restoration, at)
                        && facts.turn(fact, at) == Turn::Up
                        && facts.case().merged(&spot).is_none();
                    if left && !later.contains(&spot) {
                        list.push(spot);
                    }
                }
            }
        }
        // What two people answered differently is answered again, wherever it is asked.
        for (spot, _) in facts.disputes() {
            if self.is_own(restoration, spot.at) && !list.contains(spot) {
                list.push(spot.clone());
            }
        }
        list
    }

    /// Returns the findings that the laboratory corrects itself: those of the drawing, or all others.
    fn ours(&self, restoration: &Restoration, asks: &[Ask<'_>], drawn: bool) -> Vec<Finding> {
        let flow = self.phrase.flow;
        self.judgement
            .findings
            .iter()
            .filter(|finding| finding.level >= Level::Call && self.is_own(restoration, finding.at))
            .filter(|finding| {
                !asks
                    .iter()
                    .any(|ask| (ask.finding.rule, ask.finding.at) == (finding.rule, finding.at))
            })
            // What asks the same as another finding is answered with it.
            .filter(|finding| {
                let same = std::iter::once(*finding)
                    .chain(&finding.folded)
                    .filter(|own| own.level >= Level::Call)
                    .find_map(|own| self.phrase.asks(self.facts, own));
                !same.is_some_and(|same| asks.iter().any(|ask| ask.asks == same))
            })
            .filter(|finding| is_of_the_drawing(flow, self.facts, finding) == drawn)
            .cloned()
            .collect()
    }
}

/// Returns whether a finding rests on what is drawn.
fn is_of_the_drawing(flow: &Flow, facts: &Facts<'_>, finding: &Finding) -> bool {
    finding
        .evidence
        .iter()
        .flat_map(|spot| facts.readings(spot))
        .any(|spot| flow.is_drawn(&spot.fact))
}

/// Marks crowns that touch: neither is made while the other waits for its impression, since the contact between them is
/// not there yet. A restoration that is not covered is never cleared; it is named as unchecked.
fn beside(case: &Case, restorations: &mut [RestorationState]) {
    let unchecked: Vec<u8> = restorations
        .iter()
        .filter(|own| own.state == State::NotCovered)
        .map(|own| own.id)
        .collect();
    let waiting: Vec<u8> = restorations
        .iter()
        .filter(|own| {
            own.state == State::Waiting
                && own.awaited.iter().any(|own| own.part == Part::Impression)
        })
        .map(|own| own.id)
        .collect();
    for own in restorations.iter_mut().filter(|own| own.state.is_cleared()) {
        let beside = unchecked.iter().filter(|id| case.units.touch(own.id, **id));
        own.unchecked_beside = beside.copied().collect();
        let touches = waiting.iter().find(|id| case.units.touch(own.id, **id));
        if let Some(id) = touches {
            own.state = State::ForDesign;
            own.not_yet.push(NotYet::Beside(*id));
        }
    }
}
