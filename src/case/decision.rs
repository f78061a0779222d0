//! What the dentist decided, question by question, and what was put aside to be proposed.
//!
//! A decision belongs to a rule at a place, the one whose finding asked. The newest on a matter stands; the journal
//! keeps those before. What only the dentist knows or the order says goes into [`Layer::Decided`]; a reading entered there
//! later counts in its place until the matter is decided again, and the decided value is kept beside it as
//! [`Layer::Suspended`]. What a dentist will cut or send goes into [`Layer::Expected`] and counts for nothing until it has
//! come in and is read.
//!
//! [`Layer::Decided`]: super::Layer::Decided
//! [`Layer::Suspended`]: super::Layer::Suspended
//! [`Layer::Expected`]: super::Layer::Expected

use jiff::Timestamp;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::coming::{Blocks, Coming, Part, is_own_word};
use super::{Case, Layer, Reading, Role, Units};
use crate::fact::{FactId, Place, Spot, Value};

/// What a decision is about: a rule, and where it fired.
///
/// Texts and places in a list change; these two do not. Of findings that share a cause, a decision on one as grave as
/// the head answers for the cause, since heads change as readings come.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
pub struct Matter {
    /// The rule's id.
    pub rule: String,
    /// Where.
    pub at: Place,
}

/// What was decided.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Serialize, Deserialize)]
pub enum DentistAnswer {
    /// Something is done about it: the words say what, and what was taken of the options.
    Agreed,
    /// It is made as it is.
    AsItIs,
    /// What was asked for is refused.
    Refused,
    /// Nobody has decided yet.
    NoDecision,
}

impl DentistAnswer {
    /// Returns the name in files and JSON.
    pub fn as_str(self) -> &'static str {
        match self {
            DentistAnswer::Agreed => "agreed",
            DentistAnswer::AsItIs => "as it is",
            DentistAnswer::Refused => "refused",
            DentistAnswer::NoDecision => "no decision yet",
        }
    }
}

/// Who spoke: a role, never a name.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Serialize, Deserialize)]
pub enum Decider {
    /// The dentist who ordered.
    Dentist,
    /// Another dentist of the practice.
    Colleague,
    /// An assistant whom the dentist gave the authority.
    Assistant,
    /// Somebody who passes it on and does not decide: what is said is a message, and the dentist's own answer is awaited.
    Message,
}

impl Decider {
    /// All roles, in the order of their digits.
    pub const ALL: [Decider; 4] = [
        Decider::Dentist,
        Decider::Colleague,
        Decider::Assistant,
        Decider::Message,
    ];
}

/// An option that was taken.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Taken {
    /// The option's id.
    #[serde(alias = "remedy")]
    pub option: String,
    /// Where.
    pub at: Place,
    /// The walls that it changes.
    pub walls: Vec<Place>,
    /// How much.
    pub amount: Option<Value>,
    /// What was chosen: a choice, or a tooth.
    pub choice: Option<Value>,
}

/// How facts of the order begin: what stands on it counts as soon as it is agreed.
pub const ORDER: &str = "order.";

/// Values that a decision gives to facts.
pub type Changes = Vec<(Spot, Value)>;

/// A decision.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Decision {
    /// What it is about.
    pub about: Matter,
    /// What was decided.
    pub outcome: DentistAnswer,
    /// The answer in free words; never a name.
    pub words: String,
    /// The options that were taken.
    pub taken: Vec<Taken>,
    /// Who decided; none while nobody did.
    pub by: Option<Decider>,
    /// The day it holds from.
    pub from: Date,
    /// What was agreed on the cost.
    pub cost: String,
    /// Whether an amended order came in writing.
    pub amended: bool,
    /// What it changes in the case at once: what only the dentist knows, or what the order says.
    pub changes: Vec<(Spot, Value)>,
    /// What is expected once it has been done and has come in. It counts for nothing before it is read.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub expected: Vec<(Spot, Value)>,
    /// The restorations from then on, where they change. They change with the written order.
    pub units: Option<Units>,
    /// What has to come in before it counts. `None` in a decision of a version that did not ask.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub coming: Option<Coming>,
    /// What lay there when it was accepted as it is. `None` in a decision of a version that did not keep it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seen: Option<Seen>,
}

/// What somebody saw who accepted something as it is: another reading, or other units, were not accepted.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Seen {
    /// The units of the restorations that it is about, such as `x12 13`.
    pub units: String,
    /// The readings that it rested on; what was not there to be read is not seen.
    pub readings: Vec<(Spot, Value)>,
}

impl Decision {
    /// Returns whether somebody who may decide agreed to something, or to make it as it is.
    pub fn is_settled(&self) -> bool {
        matches!(self.outcome, DentistAnswer::Agreed | DentistAnswer::AsItIs)
            && is_own_word(self.by)
    }

    /// Returns everything that it changes, at once or later.
    pub fn all_changes(&self) -> impl Iterator<Item = &(Spot, Value)> {
        self.changes.iter().chain(&self.expected)
    }

    /// Returns whether it changes neither a reading nor the restorations.
    pub fn changes_nothing(&self) -> bool {
        self.all_changes().next().is_none() && self.units.is_none()
    }

    /// Returns its changes as those that count at once and those that are expected. A decision of a version that did
    /// not tell them apart is read so: what stands on the order counts at once, the rest was still to be done.
    pub fn sorted(&self) -> (Changes, Changes) {
        if self.coming.is_some() {
            return (self.changes.clone(), self.expected.clone());
        }
        let told = |(spot, _): &(Spot, Value)| spot.fact.as_str().starts_with(ORDER);
        self.changes.iter().cloned().partition(told)
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
    /// Takes a decision in: what it changes at once counts from now on, what the one before on this matter changed no
    /// longer. What is expected is kept beside the readings.
    pub fn decide(&mut self, decided: Decided) {
        let about = decided.decision.about.clone();
        self.forget(&about);
        self.got.remove(&about);
        let (told, expected) = decided.decision.sorted();
        for (spot, value) in &told {
            self.clear(spot, Layer::Suspended);
            self.put(spot.clone(), Layer::Decided, brought(&decided, value));
        }
        for (spot, value) in &expected {
            self.put(spot.clone(), Layer::Expected, brought(&decided, value));
        }
        // The restorations of a decision that did not say what has to come changed at once, and its readings depend on them.
        // So they do where the written order is here already.
        let waits_for_order = decided
            .decision
            .coming
            .as_ref()
            .is_some_and(|coming| coming.parts.iter().any(|(part, _)| *part == Part::Order));
        if !waits_for_order && let Some(units) = &decided.decision.units {
            self.units = units.clone();
        }
        self.decisions.insert(about, decided);
    }

    /// Takes the decision on a matter away, with the values it brought. Where another decision wants one of them too,
    /// that one's counts again.
    pub(super) fn forget(&mut self, about: &Matter) {
        let Some(old) = self.decisions.remove(about) else {
            return;
        };
        let (told, expected) = old.decision.sorted();
        let lists = [
            (told, Layer::Decided, true),
            (expected, Layer::Expected, false),
        ];
        for (changes, layer, is_told) in lists {
            for (spot, _) in changes {
                self.clear(&spot, layer);
                if is_told {
                    self.clear(&spot, Layer::Suspended);
                }
                let other = self
                    .decisions
                    .values()
                    .filter_map(|other| {
                        let (told, expected) = other.decision.sorted();
                        let changes = if is_told { told } else { expected };
                        let (_, value) = changes.into_iter().find(|(own, _)| *own == spot)?;
                        Some((other.when, brought(other, &value)))
                    })
                    .max_by_key(|(when, _)| *when);
                if let Some((_, reading)) = other {
                    self.put(spot, layer, reading);
                }
            }
        }
    }

    /// Keeps a decision beside the values that were read with it, as a case file lists them. What a file of an older
    /// version calls decided and was still to be done is expected.
    pub(super) fn list_decision(&mut self, decided: Decided) {
        let (told, expected) = decided.decision.sorted();
        for (spot, value) in &told {
            let there = |layer| self.reading(spot, layer).is_some();
            if !there(Layer::Decided) && !there(Layer::Suspended) {
                self.put(spot.clone(), Layer::Decided, brought(&decided, value));
            }
        }
        for (spot, value) in &expected {
            let old = self.clear(spot, Layer::Decided);
            self.clear(spot, Layer::Suspended);
            if self.reading(spot, Layer::Expected).is_none() {
                let reading = old.unwrap_or_else(|| brought(&decided, value));
                self.put(spot.clone(), Layer::Expected, reading);
            }
        }
        self.decisions
            .insert(decided.decision.about.clone(), decided);
    }

    /// Returns the units of the restoration at a place, or of all of them, as they are written down with a decision.
    pub fn units_seen(&self, at: Place) -> String {
        let own = self.units.owner(at);
        let all = self.units.restorations().iter();
        let said: Vec<String> = all
            .filter(|restoration| own.is_none_or(|own| own.id == restoration.id))
            .flat_map(|restoration| &restoration.units)
            .map(|unit| match unit.role {
                Role::Pontic => format!("x{}", unit.tooth),
                Role::Abutment => unit.tooth.to_string(),
            })
            .collect();
        said.join(" ")
    }

    /// Returns whether what was accepted as it is still lies there: the same units, and the readings that it rested on.
    pub fn is_as_seen(&self, decision: &Decision) -> bool {
        let Some(seen) = &decision.seen else {
            return true;
        };
        let same = |(spot, value): &(Spot, Value)| {
            let now = self.merged(spot).map(|(_, reading)| &reading.value);
            now.unwrap_or(&Value::NotSeen) == value
        };
        seen.units == self.units_seen(decision.about.at) && seen.readings.iter().all(same)
    }

    /// Adds to each agreement what its options need to come in, where a file leaves it out. What an older version kept with
    /// the values that it brought stays as it is: its arrival is not recorded.
    pub fn await_what_options_need(&mut self, needs: impl Fn(&str) -> Option<Vec<(Part, Blocks)>>) {
        for decided in self.decisions.values_mut() {
            let decision = &mut decided.decision;
            let old = decision.coming.is_none() && !decision.changes_nothing();
            if decision.outcome != DentistAnswer::Agreed || old {
                continue;
            }
            for (part, blocks) in decision
                .taken
                .iter()
                .filter_map(|taken| needs(&taken.option))
                .flatten()
            {
                let coming = decision.coming.get_or_insert_default();
                if !coming.parts.iter().any(|(own, _)| *own == part)
                    && (part.is_inspected() || part == Part::Healed)
                {
                    coming.add(part, blocks);
                }
            }
        }
    }

    /// Makes values that a file calls decided expected, unless they are of what is told: whoever agreed has sent nothing yet.
    pub fn expect_what_is_looked_at(&mut self, is_told: impl Fn(&FactId) -> bool) {
        for decided in self.decisions.values_mut() {
            let decision = &mut decided.decision;
            let all = std::mem::take(&mut decision.changes);
            let (told, looked_at): (Changes, Changes) =
                all.into_iter().partition(|(spot, _)| is_told(&spot.fact));
            decision.changes = told;
            decision.expected.extend(looked_at);
        }
        let looked_at: Vec<Spot> = self
            .layers()
            .filter(|(spot, layer, _)| *layer == Layer::Decided && !is_told(&spot.fact))
            .map(|(spot, ..)| spot.clone())
            .collect();
        for spot in looked_at {
            if let Some(reading) = self.clear(&spot, Layer::Decided) {
                self.put(spot, Layer::Expected, reading);
            }
        }
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
