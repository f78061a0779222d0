//! The worklist: what is listed of a case, made from its judgement; where it stands in the day's order; what a filter
//! looks through.
//!
//! Nothing here knows what day it is: a row that is kept today is true tomorrow. The one exception is a standing
//! instruction that begins or ends, so that a row says until when it holds.

mod hay;

use jiff::Timestamp;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::case::coming::Awaited;
use crate::case::instruction::Instruction;
use crate::case::journal::Entry;
use crate::case::life::State;
use crate::case::outcome::Kind;
use crate::case::{Case, Role, Units};
use crate::derive::{Facts, Turn};
use crate::fact::{FactId, ORDER_DENTIST, ORDER_MATERIAL, Place, Spot, Value};
use crate::flow::Level;
use crate::judge::{Judgement, Verdict};
use crate::phrase::program::values;
use crate::phrase::{Phrase, states};
use crate::state::{CaseState, RestorationState};
use crate::tooth::Notation;

pub use hay::{SOON, Wanted, hay, wanted};

/// The form of a row. One that was written in another form is made anew.
pub const FORM: u32 = 6;

/// A case as it is listed.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct WorkItem {
    /// The case's number.
    pub number: String,
    /// Its restorations, or `None` if its journal cannot be read.
    pub units: Option<Units>,
    /// Its verdict.
    pub verdict: Option<Verdict>,
    /// How far it is.
    pub state: Option<ShortState>,
    /// What it is expected to come to once what was agreed has come in.
    pub expected: Option<Verdict>,
    /// How many of its restorations are not covered.
    pub not_covered: usize,
    /// How many questions that come up are unanswered.
    pub left: usize,
    /// When it was last worked on.
    pub last: Timestamp,
    /// The dentist's code.
    pub dentist: Option<String>,
    /// The names of its materials, each once.
    pub materials: Vec<String>,
    /// The day on which the work is due.
    pub due: Option<Date>,
    /// The day that was promised to the dentist.
    pub promised: Option<Date>,
    /// Who has it: whom it was handed to, else who opened it.
    pub who: Option<String>,
    /// The gravest finding.
    pub gravest: Option<Gravest>,
    /// Whether two people answered something differently and nobody has settled it.
    pub disputed: bool,
    /// The newest thing that went wrong with what was delivered.
    pub came_back: Option<CameBack>,
    /// Whether nothing is left to do: every restoration was delivered, closed or withdrawn, but for those that are
    /// not covered.
    pub closed: bool,
    /// The day at the bench on which it was last worked on, once whoever knows the clock has said so.
    #[serde(skip)]
    pub touched: Option<Date>,
    /// Whether this was made from the whole journal by this program. Otherwise the number, and when it was last worked on,
    /// are all that is sure.
    #[serde(skip)]
    pub fresh: bool,
}

/// How far a case is.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct ShortState {
    /// The state of the case.
    pub state: State,
    /// How many restorations are in it, and how many count.
    pub of: (usize, usize),
    /// What has still to come in, the earliest due date first.
    pub awaited: Vec<Awaited>,
}

impl ShortState {
    /// Returns the state in a few words: of how many restorations, and what is waited for.
    pub fn in_short(&self) -> String {
        let awaited: Vec<&Awaited> = self.awaited.iter().collect();
        states::in_short(self.state, self.of, &awaited)
    }

    /// Returns the state in a word: of how many restorations.
    pub fn without_awaited(&self) -> String {
        states::in_short(self.state, self.of, &[])
    }
}

impl From<&CaseState> for ShortState {
    fn from(state: &CaseState) -> ShortState {
        ShortState {
            state: state.state,
            of: state.of,
            awaited: state.awaited().into_iter().cloned().collect(),
        }
    }
}

/// The gravest finding of a case.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Gravest {
    /// Its level.
    pub level: Level,
    /// Where.
    pub at: Place,
    /// Its sentence, which names no tooth.
    pub says: String,
}

/// Something that went wrong with what was delivered.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct CameBack {
    /// What.
    pub what: Kind,
    /// On which day.
    pub on: Date,
    /// With which restoration.
    pub restoration: u8,
    /// At which unit or connector, where it is not the whole of it.
    pub at: Option<Place>,
}

/// The order of the list. What is closed comes last in each.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default, clap::ValueEnum)]
pub enum Order {
    /// By turn: what needs a call first, then what came back, then the earliest due day.
    #[default]
    #[value(help = values::BY_TURN)]
    Turn,
    /// The case last worked on first.
    #[value(help = values::BY_LAST)]
    Last,
    /// By number.
    #[value(help = values::BY_NUMBER)]
    Number,
    /// By the dentist's code.
    #[value(help = values::BY_DENTIST)]
    Dentist,
    /// By who has it.
    #[value(help = values::BY_WHO)]
    Who,
}

impl Order {
    /// All orders, as the key goes through them.
    pub const ALL: [Order; 5] = [
        Order::Turn,
        Order::Last,
        Order::Number,
        Order::Dentist,
        Order::Who,
    ];

    /// Returns the next order, the first after the last.
    pub fn next(self) -> Order {
        let here = Self::ALL.iter().position(|own| *own == self);
        let next = here.map_or(0, |here| here + 1) % Self::ALL.len();
        Self::ALL.get(next).copied().unwrap_or_default()
    }
}

/// How many cases there are.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Counts {
    /// Those that need a call.
    pub to_call: usize,
    /// Those of which something is late.
    pub late: usize,
    /// Those in which something is left to do.
    pub open: usize,
    /// All.
    pub all: usize,
}

/// A case as it is listed, with what a filter looks through.
#[derive(Clone, PartialEq, Debug)]
pub struct Made {
    /// The case.
    pub item: WorkItem,
    /// What a filter looks through, in small letters.
    pub hay: String,
}

impl WorkItem {
    /// Returns a case of which nothing is known but its number and when it was last worked on.
    pub fn unread(number: impl Into<String>, last: Timestamp) -> WorkItem {
        WorkItem {
            number: number.into(),
            units: None,
            verdict: None,
            state: None,
            expected: None,
            not_covered: 0,
            left: 0,
            last,
            dentist: None,
            materials: Vec::new(),
            due: None,
            promised: None,
            who: None,
            gravest: None,
            disputed: false,
            came_back: None,
            closed: false,
            touched: None,
            fresh: false,
        }
    }

    /// Returns the first day on which something is due: what is awaited, the work at the bench, or what was promised. What is
    /// closed is not due, and what came back waits for nobody's day.
    pub fn first_due(&self) -> Option<Date> {
        let came_back = |state: &ShortState| state.state == State::Returned;
        if self.closed || self.state.as_ref().is_some_and(came_back) {
            return None;
        }
        let awaited = self.state.iter().flat_map(|state| &state.awaited);
        let days = awaited.filter_map(|own| own.due);
        days.chain(self.due).chain(self.promised).min()
    }

    /// Returns whether something is late on a day.
    pub fn is_late(&self, today: Date) -> bool {
        self.first_due().is_some_and(|due| due < today)
    }

    /// Returns where the case stands in the day's order, the smaller text first: what needs a call begins with `0`, the
    /// rest with `1`; behind that stands the first day on which something is due, or `~` if none is. What came back stands
    /// before the rest, under `!`: it waits for nobody's day.
    pub fn turn(&self) -> String {
        let state = self.state.as_ref().map(|own| own.state);
        let first = match state {
            Some(State::Returned) => return "1!".to_owned(),
            Some(State::ToCall) => '0',
            _ => '1',
        };
        match self.first_due() {
            Some(day) => format!("{first}{day}"),
            None => format!("{first}~"),
        }
    }
}

/// Makes what is listed of a case from its judgement and its journal. `expected` is what it is expected to come to;
/// `instructions` are the standing instructions that hold.
pub fn made(
    facts: &Facts<'_>,
    judgement: &Judgement,
    expected: Option<Verdict>,
    instructions: &[Instruction],
    journal: &[Entry],
) -> Made {
    let case = facts.case();
    // Nothing that is kept depends on the notation.
    let phrase = Phrase {
        flow: facts.flow(),
        notation: Notation::Iso3950,
    };
    let state = CaseState::of(facts, judgement, phrase, instructions);
    // What is not covered is not finished by that: it is done when the rest is, or when somebody closes it. What came back
    // and goes on as another case is that case's work.
    let done = |own: &RestorationState| {
        matches!(
            own.state,
            State::Delivered | State::Closed | State::Withdrawn
        ) || (own.state == State::Returned && own.goes_on.is_some())
    };
    let closed = state.restorations.iter().any(done)
        && (state.restorations.iter()).all(|own| done(own) || own.state == State::NotCovered);
    let item = WorkItem {
        number: case.number.clone(),
        units: Some(case.units.clone()),
        verdict: Some(judgement.verdict),
        state: Some(ShortState::from(&state)),
        expected,
        not_covered: facts.not_covered().len(),
        left: left(facts),
        last: last(journal),
        dentist: text(case, &ORDER_DENTIST),
        materials: materials(facts, phrase),
        due: case.due_day(),
        promised: case.promised_day(),
        who: who_has(Some(case), journal),
        gravest: gravest(facts, judgement, phrase),
        // Answers that cannot change the result hold nobody up.
        disputed: facts.disputes().next().is_some()
            || case.disputed_decisions().next().is_some()
            || !case.disputed_units().is_empty(),
        came_back: case.last_failure().map(|own| CameBack {
            what: own.what,
            on: own.on,
            restoration: own.restoration,
            at: own.at,
        }),
        closed,
        touched: None,
        fresh: true,
    };
    let hay = hay(&item, &hay::sentences(facts, judgement, phrase));
    Made { item, hay }
}

/// Makes what is listed of a case that cannot be read. `journal` is what of it can be.
pub fn unreadable(number: &str, journal: &[Entry], since: Timestamp) -> Made {
    let item = WorkItem {
        who: who_has(None, journal),
        fresh: true,
        ..WorkItem::unread(number, journal.last().map_or(since, |entry| entry.when))
    };
    Made {
        hay: hay(&item, &[]),
        item,
    }
}

/// Returns the next day on which a standing instruction of a dentist begins or ends, after `today`.
pub fn fresh_until(
    dentist: Option<&str>,
    instructions: &[Instruction],
    today: Date,
) -> Option<Date> {
    let own = instructions
        .iter()
        .filter(|own| Some(own.dentist.as_str()) == dentist);
    let days = own.flat_map(|own| {
        let ends = own.until.and_then(|until| until.tomorrow().ok());
        [Some(own.from), ends]
    });
    days.flatten().filter(|day| *day > today).min()
}

fn text(case: &Case, fact: &FactId) -> Option<String> {
    match case.value(fact, Place::Case) {
        Some(Value::Text(text)) => Some(text.trim().to_owned()).filter(|text| !text.is_empty()),
        _ => None,
    }
}

fn last(journal: &[Entry]) -> Timestamp {
    journal
        .last()
        .map_or(Timestamp::UNIX_EPOCH, |entry| entry.when)
}

/// Returns who has a case: whom it was handed to, else who opened it. Whoever answers something in it has it no more than
/// before.
fn who_has(case: Option<&Case>, journal: &[Entry]) -> Option<String> {
    let handed = case.and_then(Case::handed).map(|own| own.to.clone());
    handed.or_else(|| journal.first().and_then(|entry| entry.who.clone()))
}

/// Counts the questions that come up and are unanswered.
fn left(facts: &Facts<'_>) -> usize {
    let (flow, case) = (facts.flow(), facts.case());
    let places = flow.questions.iter().flat_map(|question| {
        let places = case.units.within(Place::Case, question.at);
        places.into_iter().map(move |at| (question, at))
    });
    places
        .filter(|(question, at)| {
            facts.turn(&question.fact, *at) == Turn::Up && case.value(&question.fact, *at).is_none()
        })
        .count()
}

fn materials(facts: &Facts<'_>, phrase: Phrase<'_>) -> Vec<String> {
    let mut list = Vec::new();
    for restoration in facts.units().restorations() {
        let spot = Spot {
            fact: ORDER_MATERIAL,
            at: Place::Restoration(restoration.id),
        };
        let is_named = matches!(
            facts.case().value(&spot.fact, spot.at),
            Some(Value::Choice(_))
        );
        let name = phrase.fact(facts, &spot).filter(|_| is_named);
        if let Some(name) = name.filter(|name| !list.contains(name)) {
            list.push(name);
        }
    }
    list
}

/// Returns the gravest finding, or `None` if nothing was found.
fn gravest(facts: &Facts<'_>, judgement: &Judgement, phrase: Phrase<'_>) -> Option<Gravest> {
    let finding = judgement.findings.first()?;
    let in_iso = phrase.says(facts, finding);
    let other = Phrase {
        notation: Notation::Universal,
        ..phrase
    };
    // A sentence that names teeth would be wrong in another notation: only its beginning is kept.
    let says = if other.says(facts, finding) == in_iso {
        in_iso
    } else {
        let template = phrase.flow.rule(finding.rule)?.says.as_str();
        let plain = template.strip_prefix("{tooth}: ").unwrap_or(template);
        let plain = plain.split('{').next().unwrap_or_default();
        let ends = |c: char| !c.is_alphanumeric();
        match plain.trim_end_matches(ends) {
            "" => phrase.flow.rule(finding.rule)?.id.replace('-', " "),
            plain => plain.to_owned(),
        }
    };
    Some(Gravest {
        level: finding.level,
        at: finding.at,
        says,
    })
}

/// Returns every tooth of a case, pontics with them.
fn teeth(units: &Units) -> impl Iterator<Item = crate::tooth::Tooth> + '_ {
    units.restorations().iter().flat_map(|restoration| {
        let roles = [Role::Abutment, Role::Pontic].into_iter();
        roles.flat_map(|role| restoration.teeth(role))
    })
}
