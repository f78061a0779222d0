//! What the dentist decided, question by question, and what was put aside to be proposed.
//!
//! A decision belongs to a rule at a place, the one whose finding asked. The newest on a matter stands; the journal
//! keeps those before. What it changes goes into [`Layer::Decided`]; a reading entered there later counts in its place
//! until the matter is decided again, and the decided value is kept beside it as [`Layer::Suspended`].
//!
//! [`Layer::Decided`]: super::Layer::Decided
//! [`Layer::Suspended`]: super::Layer::Suspended

use jiff::Timestamp;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::{Case, Layer, Reading, Units};
use crate::fact::{Place, Spot, Value};

/// What a decision is about: a rule, and where it fired.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
pub struct Matter {
    /// The rule's id.
    pub rule: String,
    /// Where.
    pub at: Place,
}

/// What was decided.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Serialize, Deserialize)]
pub enum Outcome {
    /// Something is done about it: the words say what, and what was taken of the ways out.
    Agreed,
    /// It is made as it is.
    AsItIs,
    /// What was asked for is refused.
    Refused,
    /// Nobody has decided yet.
    NoDecision,
}

impl Outcome {
    /// Returns the name in files and JSON.
    pub fn as_str(self) -> &'static str {
        match self {
            Outcome::Agreed => "agreed",
            Outcome::AsItIs => "as it is",
            Outcome::Refused => "refused",
            Outcome::NoDecision => "no decision yet",
        }
    }
}

/// Who decided: a role, never a name. Whoever only takes calls does not decide.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Serialize, Deserialize)]
pub enum Decider {
    /// The dentist who ordered.
    Dentist,
    /// Another dentist of the practice.
    Colleague,
    /// An assistant whom the dentist gave the authority.
    Assistant,
}

impl Decider {
    /// All roles, in the order of their digits.
    pub const ALL: [Decider; 3] = [Decider::Dentist, Decider::Colleague, Decider::Assistant];
}

/// A way out that was taken.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Taken {
    /// The remedy's id.
    pub remedy: String,
    /// Where.
    pub at: Place,
    /// The walls that it changes.
    pub walls: Vec<Place>,
    /// How much.
    pub amount: Option<Value>,
    /// What was chosen: a choice, or a tooth.
    pub choice: Option<Value>,
}

/// A decision.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Decision {
    /// What it is about.
    pub about: Matter,
    /// What was decided.
    pub outcome: Outcome,
    /// The answer in free words; never a name.
    pub words: String,
    /// The ways out that were taken.
    pub taken: Vec<Taken>,
    /// Who decided; none while nobody did.
    pub by: Option<Decider>,
    /// The day it holds from.
    pub from: Date,
    /// What was agreed on the cost.
    pub cost: String,
    /// Whether an amended order came in writing.
    pub amended: bool,
    /// What it changes in the case.
    pub changes: Vec<(Spot, Value)>,
    /// The restorations from then on, where they change.
    pub units: Option<Units>,
}

impl Decision {
    /// Says whether the matter is settled: somebody decided something.
    pub fn is_settled(&self) -> bool {
        self.outcome != Outcome::NoDecision
    }
}

/// A decision with who wrote it down and when.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Decided {
    /// The decision.
    pub decision: Decision,
    /// The code of the person at the bench.
    pub who: Option<String>,
    /// When it was written down.
    pub when: Option<Timestamp>,
}

/// Changes that were tried out and are to be put to the dentist.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Proposal {
    /// What would change.
    pub changes: Vec<(Spot, Value)>,
}

impl Case {
    /// Takes a decision in: what it changes counts from now on, what the one before on this matter changed no longer.
    pub fn decide(&mut self, decided: Decided) {
        self.forget(&decided.decision.about);
        for (spot, value) in &decided.decision.changes {
            self.clear(spot, Layer::Suspended);
            self.put(spot.clone(), Layer::Decided, brought(&decided, value));
        }
        if let Some(units) = &decided.decision.units {
            self.units = units.clone();
        }
        self.decisions
            .insert(decided.decision.about.clone(), decided);
    }

    /// Takes the decision on a matter away, with the values it brought. Where another decision wants one of them too,
    /// that one's counts again.
    fn forget(&mut self, about: &Matter) {
        let Some(old) = self.decisions.remove(about) else {
            return;
        };
        for (spot, _) in &old.decision.changes {
            self.clear(spot, Layer::Suspended);
            self.clear(spot, Layer::Decided);
            let other = self
                .decisions
                .values()
                .filter_map(|other| {
                    let changes = &other.decision.changes;
                    let (_, value) = changes.iter().find(|(own, _)| own == spot)?;
                    Some((other.when, brought(other, value)))
                })
                .max_by_key(|(when, _)| *when);
            if let Some((_, reading)) = other {
                self.put(spot.clone(), Layer::Decided, reading);
            }
        }
    }

    /// Keeps a decision beside the values that were read with it, as a case file lists them.
    pub(super) fn list_decision(&mut self, decided: Decided) {
        for (spot, value) in &decided.decision.changes {
            let there = |layer| self.reading(spot, layer).is_some();
            if !there(Layer::Decided) && !there(Layer::Suspended) {
                self.put(spot.clone(), Layer::Decided, brought(&decided, value));
            }
        }
        self.decisions
            .insert(decided.decision.about.clone(), decided);
    }

    /// Sets or takes away the decision on a matter and touches nothing else.
    pub(super) fn set_decision(&mut self, about: &Matter, decided: Option<Decided>) {
        match decided {
            Some(decided) => self.decisions.insert(about.clone(), decided),
            None => self.decisions.remove(about),
        };
    }

    /// Returns the decision on a matter.
    pub fn decision(&self, about: &Matter) -> Option<&Decided> {
        self.decisions.get(about)
    }

    /// Returns the newest decision on each matter.
    pub fn decisions(&self) -> impl Iterator<Item = &Decided> {
        self.decisions.values()
    }

    /// Returns what is to be proposed, the oldest first.
    pub fn proposals(&self) -> &[Proposal] {
        &self.proposals
    }

    /// Sets what is to be proposed.
    pub fn set_proposals(&mut self, proposals: Vec<Proposal>) {
        self.proposals = proposals;
    }

    /// Puts a decided value aside, since a reading was entered at its place.
    pub(super) fn suspend(&mut self, spot: &Spot) {
        if let Some(reading) = self.clear(spot, Layer::Decided) {
            self.put(spot.clone(), Layer::Suspended, reading);
        }
    }

    /// Returns the decided values in whose place a later reading counts, each with that reading.
    pub fn suspended(&self) -> impl Iterator<Item = (&Spot, &Reading, Option<&Reading>)> {
        self.layers()
            .filter(|(_, layer, _)| *layer == Layer::Suspended)
            .map(|(spot, _, decided)| (spot, decided, self.reading(spot, Layer::Measured)))
    }
}

fn brought(decided: &Decided, value: &Value) -> Reading {
    Reading {
        value: value.clone(),
        with: None,
        who: decided.who.clone(),
        when: decided.when,
    }
}
