//! Several people at one case: what others wrote meanwhile, and what two of them answered differently.

use jiff::civil::Time;

use super::{Phrase, join};
use crate::case::decision::Decided;
use crate::case::dispute::{Dispute, Side};
use crate::case::journal::{Body, Entry};
use crate::case::{Layer, Units};
use crate::derive::Facts;
use crate::fact::{FactId, Place, Spot, Value};

/// Stands for a person without a code.
pub const SOMEBODY: &str = "somebody else";

/// Returns the code of a person, or that it was somebody.
pub fn who(code: Option<&str>) -> &str {
    code.filter(|code| !code.is_empty()).unwrap_or(SOMEBODY)
}

/// The most changes of others that are told one by one.
const MOST_TOLD: usize = 3;

/// Joins what others changed; of many, the first ones.
pub fn changes(mut told: Vec<String>) -> String {
    let more = told.len().saturating_sub(MOST_TOLD);
    told.truncate(MOST_TOLD);
    match more {
        0 => told.join("; "),
        1 => format!("{}; and one more change", told.join("; ")),
        more => format!("{}; and {more} more changes", told.join("; ")),
    }
}

/// Says that both people changed the restorations at the same time.
pub fn two_units(now: &str, others: &[String]) -> String {
    format!(
        "two people changed the units: {now} stands, {} was also entered; enter the right ones",
        join(others)
    )
}

/// Says something of a place.
pub fn of_place(place: &str, what: &str) -> String {
    format!("{place}: {what}")
}

/// Says which keys take one of two answers, each key with its answer.
pub fn take_one((first_key, first): (&str, &str), (second_key, second): (&str, &str)) -> String {
    format!("{first_key} takes {first}, {second_key} takes {second}")
}

/// Joins both answers, what to do and which keys take one of them.
pub fn read_again(both: &str, keys: &str) -> String {
    format!("{both}: answer it again, or {keys}")
}

/// Said where the keys that take one of two answers are pressed and there is only one answer.
pub const NOTHING_TO_TAKE: &str = "there are no two answers to choose from here";

/// Says why an answer cannot be undone: somebody has answered it since.
pub fn not_undone(by: Option<&str>, what: &str) -> String {
    format!("not undone: {} has changed \"{what}\" since", who(by))
}

/// Says that what was undone was answered by somebody else meanwhile, so that their answer stays.
pub fn undo_overtaken(by: Option<&str>) -> String {
    format!("not undone: {} has just answered it", who(by))
}

/// Ends the sentence on a case whose entries cannot be put together.
pub const UNREADABLE: &str = "its entries cannot be put together";

/// Stands for what an entry changed, where it is no single answer.
pub const IT: &str = "it";

impl Phrase<'_> {
    /// Says the units of several restorations.
    pub fn all_units(self, units: &Units) -> String {
        let all = units.restorations().iter();
        let said: Vec<String> = all.map(|own| self.units(own)).collect();
        said.join("; ")
    }

    /// Says one answer of several.
    pub fn answer_of(self, fact: &FactId, side: &Side) -> String {
        match &side.value {
            // A list of exceptions holds the teeth that were found as usual: said bare, it reads as its opposite.
            Some(Value::Teeth(teeth)) if self.flow.covered(fact).count() > 1 => {
                let value = Value::Teeth(teeth.clone());
                match teeth.is_empty() {
                    true => "no tooth as usual".to_owned(),
                    false => {
                        let said = self.value(self.flow.spec(fact), &value, None);
                        format!("nothing unusual on {said}")
                    }
                }
            }
            Some(value) => {
                let with = side.with.as_deref().and_then(|with| self.decimals(with));
                self.value(self.flow.spec(fact), value, with)
            }
            None => "no answer".to_owned(),
        }
    }

    /// Says who answered what, with the time of the last answer where the clock of the bench is known.
    pub fn both(self, fact: &FactId, dispute: &Dispute, last: Option<Time>) -> String {
        let said: Vec<String> = (dispute.sides.iter())
            .map(|side| {
                let did = match (&side.value, side.layer) {
                    (None, _) => "took it back",
                    (_, Layer::Decided) => "noted",
                    (Some(Value::Number(..)), _) => "read",
                    _ => "answered",
                };
                if side.value.is_none() && side.who.is_none() {
                    return "no answer stands any more".to_owned();
                }
                let who = who(side.who.as_deref());
                match &side.value {
                    Some(_) => format!("{who} {did} {}", self.answer_of(fact, side)),
                    None => format!("{who} {did}"),
                }
            })
            .collect();
        let said = said.join(", ");
        match last {
            Some(time) => format!("{said} ({:02}:{:02})", time.hour(), time.minute()),
            None => said,
        }
    }

    /// Says, behind its place and name, that a fact was answered differently, and by whom.
    pub fn disputed(self, spot: &Spot, dispute: &Dispute) -> String {
        format!(
            "{}: two answers: {}",
            self.named(spot),
            self.both(&spot.fact, dispute, None)
        )
    }

    /// Says everything that two people answered differently in a case, a line each, with both answers.
    pub fn in_dispute(self, facts: &Facts<'_>) -> Vec<String> {
        let case = facts.case();
        let mut lines: Vec<String> = (facts.disputes())
            .map(|(spot, dispute)| self.disputed(spot, dispute))
            .collect();
        lines.extend(case.disputed_decisions().map(|(about, both)| {
            let at = self.decided_at(facts, about.at);
            of_place(&at, &self.two_decisions(facts, both))
        }));
        let others = case.disputed_units().iter();
        let others: Vec<String> = others.map(|units| self.all_units(units)).collect();
        if !others.is_empty() {
            lines.push(two_units(&self.all_units(&case.units), &others));
        }
        lines
    }

    /// Says what was written down of the dentist's answer by one of two people.
    pub fn noted(self, facts: &Facts<'_>, decided: &Decided) -> String {
        format!(
            "{} noted: {}",
            who(decided.who.as_deref()),
            self.decision(facts, decided)
        )
    }

    /// Heads what was written down of the dentist's answer by two people.
    pub fn two_decisions(self, facts: &Facts<'_>, both: &[Decided]) -> String {
        let said: Vec<String> = both.iter().map(|own| self.noted(facts, own)).collect();
        format!("two answers: {}", said.join("; "))
    }

    /// Says what somebody else did, or returns `None` if it is nothing to tell.
    pub fn news(self, facts: &Facts<'_>, entry: &Entry) -> Option<String> {
        let who = who(entry.who.as_deref());
        let now = |spot: &Spot, value: &Value, with: Option<&String>| {
            let decimals = with.and_then(|with| self.decimals(with));
            let said = self.value(self.flow.spec(&spot.fact), value, decimals);
            format!("{who}: {} is now {said}", self.named(spot))
        };
        Some(match &entry.body {
            Body::Answer {
                spot, value, with, ..
            } => now(spot, value, with.as_ref()),
            Body::Clear { spot, .. } => {
                format!("{who}: {} has no answer any more", self.named(spot))
            }
            Body::Units { .. } => format!("{who}: the units have changed"),
            Body::Decide { decision } => {
                let decided = Decided {
                    decision: (**decision).clone(),
                    who: None,
                    when: None,
                };
                let at = match decision.about.at {
                    Place::Case => String::new(),
                    at => format!("{}: ", self.decided_at(facts, at)),
                };
                format!("{who}: {at}{}", self.decision(facts, &decided))
            }
            Body::Propose { .. } => format!("{who}: the list of what to propose has changed"),
            Body::Arrived { arrival } => {
                let parts: Vec<String> = (arrival.parts.iter())
                    .map(|part| super::coming::part(*part).to_owned())
                    .collect();
                format!("{who}: {} arrived", join(&parts))
            }
            Body::Happened { event } => format!("{who}: {}", event.what.as_str()),
            Body::Outcome { outcome } => {
                format!("{who}: {}", self.outcome_said(facts.case(), outcome))
            }
            Body::NoOutcome { outcome } => {
                let said = self.outcome_said(facts.case(), outcome);
                format!("{who} took an outcome back: {said}")
            }
            Body::PutBack { before, .. } => match before.spots.as_slice() {
                [(spot, _)] => format!("{who} took back an answer: {}", self.named(spot)),
                _ => format!("{who} undid a change"),
            },
            Body::HandedOver { to, .. } => format!("{who}: handed to {to}"),
            Body::Attached { file } => format!("{who}: {} was added", file.path),
            Body::Detached { path } => format!("{who}: {path} was taken off"),
            Body::Differs { body, .. } => match &**body {
                Body::Answer { spot, .. } | Body::Clear { spot, .. } => {
                    format!(
                        "{who}: {} has two answers, answer it again",
                        self.named(spot)
                    )
                }
                _ => format!("{who} wrote down a different answer; see the call"),
            },
            Body::MoveFlow { flow, .. } => {
                format!("{who}: the case is judged by flow \"{}\" now", flow.id)
            }
            Body::Opened { .. } | Body::Judged { .. } => return None,
        })
    }
}
