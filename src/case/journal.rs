//! The journal: what happened to a case, entry by entry, never rewritten. The state of a case is a fold over it.
//!
//! No status of a step is kept, since it follows from the answers.

pub mod file;

use jiff::Timestamp;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use uuid::Uuid;

pub use super::beside::CaseFile;
use super::beside::{Handed, Hands};
use super::coming::{Arrival, EarlierRecord, Part};
use super::decision::{Decided, Decision, Matter, Proposal};
use super::dispute::{Disputed, Key, Side};
use super::life::{CaseEvent, Judged};
use super::outcome::Outcome;
use super::{Case, FlowRef, Layer, Reading, Units, is_of_old};
use crate::fact::{ORDER_SCOPE, Place, Spot, Value};
use crate::phrase::faults::case as faults;

/// One entry. Its id is made by whoever appends it, so that a commit whose fate is unknown can be looked up.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Entry {
    /// The entry's own id.
    pub id: Uuid,
    /// How many entries the case had when this one was written.
    pub seen: u64,
    /// The session it was written in; undo stays within one.
    #[serde(alias = "sitting")]
    pub session: Uuid,
    /// When.
    pub when: Timestamp,
    /// The code of the person at the bench, where one was given.
    pub who: Option<String>,
    /// What happened.
    pub body: Body,
}

/// What an entry says.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub enum Body {
    /// The case was opened. Always the first entry, and only the first.
    Opened {
        /// The laboratory's number.
        number: String,
        /// The flow it is judged by.
        flow: FlowRef,
        /// Its restorations.
        units: Units,
    },
    /// A fact was answered.
    Answer {
        /// The fact and its place.
        spot: Spot,
        /// The value.
        value: Value,
        /// The instrument.
        with: Option<String>,
        /// Whose word it is.
        layer: Layer,
        /// The entry that this one takes back.
        undoes: Option<Uuid>,
    },
    /// A fact was taken back to *not yet asked*.
    Clear {
        /// The fact and its place.
        spot: Spot,
        /// The layer it is taken from.
        layer: Layer,
        /// The entry that this one takes back.
        undoes: Option<Uuid>,
    },
    /// The units changed. Answers at places that are gone are set aside and come back with the place.
    Units {
        /// The restorations from now on.
        units: Units,
        /// The entry that this one takes back.
        undoes: Option<Uuid>,
    },
    /// Something was decided with the dentist. What it changes counts from now on.
    Decide {
        /// The decision.
        decision: Box<Decision>,
    },
    /// Changes that were tried out are to be put to the dentist, or no longer.
    Propose {
        /// Everything that is to be proposed from now on.
        proposals: Vec<Proposal>,
    },
    /// Something that was awaited arrived.
    Arrived {
        /// What, for what, and what it replaces.
        arrival: Box<Arrival>,
    },
    /// Something happened to restorations: delivered, returned, withdrawn.
    Happened {
        /// What.
        event: CaseEvent,
    },
    /// What became of a delivered restoration, or more about what was written down of it before.
    Outcome {
        /// All that is known of it now.
        outcome: Outcome,
    },
    /// An outcome is taken back.
    NoOutcome {
        /// What was written down.
        outcome: Outcome,
    },
    /// What the case was judged to be at this point.
    Judged {
        /// Every rule at every place.
        judged: Box<Judged>,
    },
    /// What an entry changed is put back as it was before it.
    ///
    /// An entry of its own kind, since a decision changes several things at once and one key writes one entry. It names
    /// every layer at the places that were changed, the decision before and the units, so that the fold needs no memory
    /// of what was undone, and two sessions on one case cannot undo one another's decisions.
    PutBack {
        /// What was there.
        before: Box<Before>,
        /// The entry that this one takes back.
        undoes: Uuid,
    },
    /// The case was handed to somebody.
    HandedOver {
        /// The code of the person, or the role, who has it now.
        to: String,
        /// What is to be known or done.
        note: String,
        /// The day.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        on: Option<Date>,
    },
    /// A file of the case was named: a photograph, a scan.
    Attached {
        /// The file.
        file: CaseFile,
    },
    /// A file of the case is named no longer.
    Detached {
        /// Its path, as it was named.
        path: String,
    },
    /// Two people answered the same question at the same time. What was written first stands in the journal before this
    /// entry; from here on neither counts, and the question is asked again.
    Differs {
        /// What would have been written.
        body: Box<Body>,
        /// The entry that was written first.
        against: Uuid,
        /// What both wrote to; empty for everything that the body writes to.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        over: Vec<Key>,
    },
    /// The case was moved to another flow or version.
    MoveFlow {
        /// The flow from now on.
        flow: FlowRef,
        /// Answers that do not fit it: they count no longer, and stay in the journal.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        aside: Vec<(Spot, Layer, Value)>,
        /// Decisions whose rule is another now: they are asked again.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        anew: Vec<Matter>,
    },
}

impl Body {
    /// Returns the flow that the case is judged by from here on, where the entry sets one.
    pub fn flow(&self) -> Option<&FlowRef> {
        match self {
            Body::Opened { flow, .. } | Body::MoveFlow { flow, .. } => Some(flow),
            _ => None,
        }
    }
}

/// One value of one layer, with its instrument.
pub type Kept = (Layer, Value, Option<String>);

/// What was there before an entry that changes several things at once. Whatever it does not name stays.
#[derive(Clone, PartialEq, Debug, Default, Serialize, Deserialize)]
pub struct Before {
    /// Every value of every layer at the places that the entry changed.
    pub spots: Vec<(Spot, Vec<Kept>)>,
    /// The matter that was decided, and the decision before.
    pub decision: Option<(Matter, Option<Decided>)>,
    /// The restorations.
    pub units: Option<Units>,
    /// What was to be proposed.
    pub proposals: Option<Vec<Proposal>>,
    /// What had arrived, and what had happened.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub came: Option<Came>,
    /// Who had the case.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub handed: Option<Hands>,
    /// Its photographs and files.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub files: Option<Vec<CaseFile>>,
    /// What became of the restorations.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outcomes: Option<Vec<Outcome>>,
    /// What was in dispute.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub disputed: Vec<Disputed>,
    /// The flow.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flow: Option<FlowRef>,
    /// Decisions that are asked again under another flow.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub decisions: Vec<Decided>,
}

/// What has arrived and happened so far.
#[derive(Clone, PartialEq, Debug, Default, Serialize, Deserialize)]
pub struct Came {
    /// What came for each decision.
    pub got: Vec<(Matter, Vec<(Part, Date)>)>,
    /// The records that some restorations stay on.
    pub earlier: Vec<EarlierRecord>,
    /// What happened to the restorations.
    pub life: Vec<CaseEvent>,
}

impl Before {
    /// Keeps what had arrived and happened.
    pub fn keep_came(&mut self, case: &Case) {
        self.came = Some(Came {
            got: case.got.clone().into_iter().collect(),
            earlier: case.earlier.clone(),
            life: case.life.clone(),
        });
    }

    /// Keeps who has the case.
    pub fn keep_handed(&mut self, case: &Case) {
        self.handed = Some(case.handed.clone().map_or(Hands::Nobody, Hands::Of));
    }

    /// Keeps the photographs and files of the case.
    pub fn keep_files(&mut self, case: &Case) {
        self.files = Some(case.files.clone());
    }

    /// Keeps what became of the restorations.
    pub fn keep_outcomes(&mut self, case: &Case) {
        self.outcomes = Some(case.outcomes.clone());
    }

    /// Keeps the restorations, also those in dispute.
    pub fn keep_units(&mut self, case: &Case) {
        self.units = Some(case.units.clone());
        let others = case.disputed_units();
        if !others.is_empty() {
            self.disputed.push(Disputed::Units(others.to_vec()));
        }
    }

    /// Keeps what stands at a place, once.
    pub fn keep(&mut self, case: &Case, spot: &Spot) {
        if self.spots.iter().any(|(own, _)| own == spot) {
            return;
        }
        let layers = Layer::ALL.into_iter().filter_map(|layer| {
            let reading = case.reading(spot, layer)?;
            Some((layer, reading.value.clone(), reading.with.clone()))
        });
        self.spots.push((spot.clone(), layers.collect()));
        self.disputed.extend(case.disputed_at(spot));
    }

    /// Keeps the decision on a matter, also one in dispute.
    pub fn keep_decision(&mut self, case: &Case, about: &Matter) {
        self.decision = Some((about.clone(), case.decision(about).cloned()));
        let both = case.disputed_decision(about);
        if !both.is_empty() {
            let both = both.to_vec();
            self.disputed.push(Disputed::Matter(about.clone(), both));
        }
    }
}

/// Why entries are not the journal of a case.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum FoldError {
    /// There are no entries.
    Empty,
    /// The first entry does not open the case.
    NotOpened,
    /// A later entry opens it again.
    OpenedTwice(Uuid),
}

impl std::fmt::Display for FoldError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            FoldError::Empty => f.write_str(faults::JOURNAL_EMPTY),
            FoldError::NotOpened => f.write_str(faults::JOURNAL_NOT_OPENED),
            FoldError::OpenedTwice(id) => f.write_str(&faults::journal_opened_twice(*id)),
        }
    }
}

impl std::error::Error for FoldError {}

/// Folds a journal into the case it tells of.
///
/// # Errors
/// The entries do not begin with the one that opens the case, or open it twice.
pub fn fold<'a>(entries: impl IntoIterator<Item = &'a Entry>) -> Result<Case, FoldError> {
    let mut entries = entries.into_iter();
    let first = entries.next().ok_or(FoldError::Empty)?;
    let Body::Opened {
        number,
        flow,
        units,
    } = &first.body
    else {
        return Err(FoldError::NotOpened);
    };
    let mut case = Case::new(number.clone(), flow.clone(), units.clone());
    let mut of_old = OfOld::default();
    for entry in entries {
        apply(&mut case, entry)?;
        of_old.see(entry);
    }
    of_old.fill(&mut case);
    Ok(case)
}

/// An answer of old that was given for the whole case: it counts for restorations that came later too.
#[derive(Default)]
struct OfOld<'e> {
    answer: Option<(&'e Entry, &'e Spot, Kept)>,
    /// Restorations that were asked by themselves.
    asked: Vec<Place>,
}

impl<'e> OfOld<'e> {
    fn see(&mut self, entry: &'e Entry) {
        match &entry.body {
            Body::Answer {
                spot,
                value,
                with,
                layer,
                ..
            } if is_of_old(spot) => {
                self.answer = Some((entry, spot, (*layer, value.clone(), with.clone())));
            }
            Body::Clear { spot, .. } if is_of_old(spot) => self.answer = None,
            Body::Answer { spot, .. } | Body::Clear { spot, .. } if spot.fact == ORDER_SCOPE => {
                self.asked.push(spot.at);
            }
            _ => {}
        }
    }

    fn fill(self, case: &mut Case) {
        let Some((entry, spot, kept)) = self.answer else {
            return;
        };
        for id in case
            .units
            .restorations()
            .iter()
            .map(|own| own.id)
            .collect::<Vec<_>>()
        {
            let own = Spot {
                fact: spot.fact.clone(),
                at: Place::Restoration(id),
            };
            if case.merged(&own).is_none() && !self.asked.contains(&own.at) {
                put(case, entry, &own, &kept);
            }
        }
    }
}

/// Applies one entry after the first to a case.
///
/// # Errors
/// The entry opens the case a second time.
pub fn apply(case: &mut Case, entry: &Entry) -> Result<(), FoldError> {
    match &entry.body {
        Body::Opened { .. } => return Err(FoldError::OpenedTwice(entry.id)),
        Body::Answer {
            spot,
            value,
            with,
            layer,
            undoes,
        } => {
            case.settle(spot);
            match layer {
                // What is put back was there before, and *not seen* is no reading.
                Layer::Measured if undoes.is_none() && *value != Value::NotSeen => {
                    case.suspend(spot);
                }
                Layer::Decided => drop(case.clear(spot, Layer::Suspended)),
                Layer::Suspended => drop(case.clear(spot, Layer::Decided)),
                Layer::Before | Layer::Expected | Layer::Measured | Layer::Proposed => {}
            }
            let kept = (*layer, value.clone(), with.clone());
            put(case, entry, spot, &kept);
        }
        Body::Clear { spot, layer, .. } => {
            case.settle(spot);
            case.clear(spot, *layer);
        }
        Body::Units { units, .. } => {
            case.settle_units();
            case.units = units.clone();
        }
        Body::Decide { decision } => {
            case.settle_decision(&decision.about);
            for (spot, _) in &decision.sorted().0 {
                case.settle(spot);
            }
            case.decide(Decided {
                decision: (**decision).clone(),
                who: entry.who.clone(),
                when: Some(entry.when),
            });
        }
        Body::Propose { proposals } => case.set_proposals(proposals.clone()),
        Body::Arrived { arrival } => {
            // What was read on what is replaced is in dispute no longer.
            for spot in &arrival.anew {
                case.settle(spot);
            }
            case.take_in(arrival);
        }
        Body::Happened { event } => case.life.push(event.clone()),
        Body::Outcome { outcome } => case.keep_outcome(outcome),
        Body::NoOutcome { outcome } => case.drop_outcome(outcome),
        Body::Judged { judged } => case.judged.0.push((**judged).clone()),
        Body::PutBack { before, .. } => put_back(case, entry, before),
        Body::HandedOver { to, note, on } => case.hand(Some(Handed {
            to: to.clone(),
            note: note.clone(),
            on: *on,
            who: entry.who.clone(),
            when: Some(entry.when),
        })),
        Body::Attached { file } => case.attach(file.clone()),
        Body::Detached { path } => case.detach(path),
        Body::Differs { body, over, .. } => case.take_in_different(entry, body, over),
        Body::MoveFlow { flow, aside, anew } => {
            case.flow = flow.clone();
            for (spot, layer, value) in aside {
                // What somebody entered there meanwhile is another answer.
                let own = case.reading(spot, *layer);
                if own.is_some_and(|own| own.value == *value) {
                    case.clear(spot, *layer);
                }
            }
            anew.iter().for_each(|about| case.set_decision(about, None));
        }
    }
    Ok(())
}

fn put_back(case: &mut Case, entry: &Entry, before: &Before) {
    for (spot, layers) in &before.spots {
        let sides = case.drop_dispute(spot);
        for layer in Layer::ALL {
            case.clear(spot, layer);
        }
        for kept in layers {
            match sides.iter().find(|side| is_of(side, kept)) {
                // The answer of somebody else stays theirs.
                Some(side) => {
                    let reading = Reading {
                        value: kept.1.clone(),
                        with: kept.2.clone(),
                        who: side.who.clone(),
                        when: side.when,
                    };
                    case.put(spot.clone(), kept.0, reading);
                }
                None => put(case, entry, spot, kept),
            }
        }
    }
    if let Some((about, decided)) = &before.decision {
        case.settle_decision(about);
        case.set_decision(about, decided.clone());
    }
    for decided in &before.decisions {
        case.set_decision(&decided.decision.about, Some(decided.clone()));
    }
    if let Some(flow) = &before.flow {
        case.flow = flow.clone();
    }
    if let Some(units) = &before.units {
        case.settle_units();
        case.units = units.clone();
    }
    for disputed in &before.disputed {
        case.dispute_again(disputed);
    }
    if let Some(proposals) = &before.proposals {
        case.set_proposals(proposals.clone());
    }
    if let Some(came) = &before.came {
        case.got = came.got.iter().cloned().collect();
        case.earlier.clone_from(&came.earlier);
        case.life.clone_from(&came.life);
    }
    match &before.handed {
        None => {}
        Some(Hands::Nobody) => case.hand(None),
        Some(Hands::Of(handed)) => case.hand(Some(handed.clone())),
    }
    if let Some(files) = &before.files {
        case.files.clone_from(files);
    }
    if let Some(outcomes) = &before.outcomes {
        case.outcomes = outcomes.iter().map(Outcome::cleaned).collect();
    }
}

fn is_of(side: &Side, (layer, value, with): &Kept) -> bool {
    side.layer == *layer && side.value.as_ref() == Some(value) && side.with == *with
}

fn put(case: &mut Case, entry: &Entry, spot: &Spot, (layer, value, with): &Kept) {
    let reading = Reading {
        value: value.clone(),
        with: with.clone(),
        who: entry.who.clone(),
        when: Some(entry.when),
    };
    case.put(spot.clone(), *layer, reading);
}
