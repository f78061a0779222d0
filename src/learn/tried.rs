//! A restoration as the rules saw it before anything was decided, and what became of it.

use std::collections::BTreeMap;

use jiff::civil::Date;

use crate::case::decision::{Decision, DentistAnswer};
use crate::case::life::{Happened, Judged, Ruled, Said as Kept};
use crate::case::outcome::Kind;
use crate::case::{Case, Restoration};
use crate::fact::{Place, PlaceKind};
use crate::flow::{Flow, Rule};

/// What a rule came to at a restoration, as it was found.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Said {
    /// It told something.
    Fired,
    /// It was looked at and told nothing.
    Silent,
    /// It could not be decided.
    Open,
    /// It has nothing to look at there, or nobody judged by it then.
    Apart,
}

/// What the dentist said to what a rule told.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Answer {
    /// Something was changed.
    Changed,
    /// It was to be made as it was.
    AsOrdered,
    /// It was not made at all.
    Withdrawn,
    /// Nobody said anything.
    None,
}

/// A rule at a restoration.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Stood {
    /// What it came to.
    pub said: Said,
    /// Whether the dentist was asked about it.
    pub called: bool,
    /// What the dentist said.
    pub answer: Answer,
}

/// A restoration as the rules saw it, and what became of it.
#[derive(Clone, PartialEq, Debug)]
pub struct Tried {
    /// The number of its case.
    pub number: String,
    /// Its own number.
    pub restoration: u8,
    /// The dentist's code.
    pub dentist: Option<String>,
    /// The day on which it was delivered, or `None` if it was not.
    pub delivered: Option<Date>,
    /// What became of it.
    pub outcomes: Vec<(Kind, Date)>,
    /// What each rule of the flow came to, in the order of the rules.
    pub rules: Vec<Stood>,
    /// Whether another flow, or another version of it, judged then.
    pub of_other_flow: bool,
}

impl Tried {
    /// Returns the restorations of a case for the rules of a flow; `judged` is what was found before anything was decided,
    /// `dentist` who ordered it. What is not covered is left out.
    pub fn all(
        case: &Case,
        judged: &Judged,
        flow: &Flow,
        dentist: Option<&str>,
        covers: impl Fn(Place) -> bool,
    ) -> Vec<Tried> {
        let mut by_rule: BTreeMap<&str, Vec<&Ruled>> = BTreeMap::new();
        for ruled in &judged.rules {
            by_rule.entry(&ruled.rule).or_default().push(ruled);
        }
        let of = |rule: &Rule| by_rule.get(&rule.id[..]).map_or(&[][..], Vec::as_slice);
        let all = case.units.restorations().iter();
        all.filter(|own| covers(Place::Restoration(own.id)))
            .map(|own| Tried {
                number: case.number.clone(),
                restoration: own.id,
                dentist: dentist.map(str::to_owned),
                delivered: case.delivered_on(own.id),
                outcomes: outcomes(case, own.id),
                rules: flow
                    .rules
                    .iter()
                    .map(|rule| stood(case, own, of(rule), rule, flow))
                    .collect(),
                of_other_flow: judged.flow != flow.digest,
            })
            .collect()
    }
}

/// Returns what became of a restoration.
pub(super) fn outcomes(case: &Case, restoration: u8) -> Vec<(Kind, Date)> {
    let own = case
        .outcomes()
        .iter()
        .filter(|own| own.restoration == restoration);
    own.map(|own| (own.what, own.on)).collect()
}

/// Returns whether a restoration is not made after all.
pub(super) fn is_withdrawn(case: &Case, restoration: u8) -> bool {
    let last = case.last_event(restoration);
    last.is_some_and(|own| own.what == Happened::Withdrawn)
}

fn stood(case: &Case, own: &Restoration, judged: &[&Ruled], rule: &Rule, flow: &Flow) -> Stood {
    let here = |at: Place| {
        at == Place::Case || case.units.owner(at).is_some_and(|owner| owner.id == own.id)
    };
    let mut said = Said::Apart;
    let mut fired = Vec::new();
    for ruled in judged.iter().filter(|ruled| here(ruled.at)) {
        said = match (&ruled.said, said) {
            (Kept::Fired(_), _) => {
                fired.push(ruled.at);
                Said::Fired
            }
            (_, Said::Fired) => Said::Fired,
            (Kept::Open(_), _) | (_, Said::Open) => Said::Open,
            (Kept::Silent, _) => Said::Silent,
        };
    }
    let about: Vec<&Decision> = case
        .decisions()
        .map(|own| &own.decision)
        .filter(|own| fired.iter().any(|at| answers(own, rule, *at, case, flow)))
        .collect();
    let answer = if fired.is_empty() {
        Answer::None
    } else if is_withdrawn(case, own.id) {
        Answer::Withdrawn
    } else {
        answer(&about)
    };
    Stood {
        said,
        called: !about.is_empty(),
        answer,
    }
}

/// Returns what decisions come to together: what was changed once is not as it was.
pub(super) fn answer(about: &[&Decision]) -> Answer {
    let any = |outcome: DentistAnswer| about.iter().any(|own| own.outcome == outcome);
    if any(DentistAnswer::Agreed) {
        Answer::Changed
    } else if any(DentistAnswer::AsItIs) || any(DentistAnswer::Refused) {
        Answer::AsOrdered
    } else {
        Answer::None
    }
}

/// Returns whether a decision answers what a rule told at a place: its own, or what shares its cause and was told with it.
fn answers(own: &Decision, rule: &Rule, at: Place, case: &Case, flow: &Flow) -> bool {
    let about = &own.about;
    if about.rule == rule.id {
        return piece(about.at) == piece(at);
    }
    let other = flow.rules.iter().find(|other| other.id == about.rule);
    let topic = other.and_then(|other| other.topic.as_ref());
    if topic.is_none() || topic != rule.topic.as_ref() {
        return false;
    }
    let owner = case
        .units
        .owner(at)
        .map(|owner| Place::Restoration(owner.id));
    piece(about.at) == piece(at)
        || rule.at == PlaceKind::Connector && rule.asks.is_none() && owner == Some(about.at)
}

/// Returns the tooth of a wall, or the place itself.
fn piece(at: Place) -> Place {
    match at {
        Place::Wall(tooth, _) => Place::Unit(tooth),
        at => at,
    }
}
