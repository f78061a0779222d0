//! The first line of the screen.

use super::Badge;
use crate::case::life::State;
use crate::derive::Facts;
use crate::fact::{ORDER_MATERIAL, Place};
use crate::judge::Verdict;
use crate::phrase::{TRYING, beside, pages};
use crate::session::{Inspection, Session};

/// The first line.
#[derive(Clone, PartialEq, Debug)]
pub struct Header {
    /// The case's number.
    pub number: String,
    /// The units of each restoration.
    pub units: Vec<Vec<UnitView>>,
    /// The material of the present restoration.
    pub material: String,
    /// The notation in force.
    pub notation: &'static str,
    /// What the case comes to.
    pub verdict: Verdict,
    /// How many of its restorations are not covered.
    pub not_covered: usize,
    /// How far the case is.
    pub state: State,
    /// How far the case is in words, with what is awaited.
    pub state_words: String,
    /// What the case is expected to come to once everything has come in, or `None` if nothing is expected.
    pub expected: Option<Verdict>,
    /// Who has the case, in short, and in full with since when and what is to be known.
    pub with: Option<[String; 2]>,
    /// The days of the case, in sentences.
    pub days: Vec<String>,
    /// How late the bench is, in short.
    pub late: Option<String>,
    /// What is said before everything else while things are tried out.
    pub trying: Option<&'static str>,
}

/// A unit in the first line.
#[derive(Clone, PartialEq, Debug)]
pub struct UnitView {
    /// Its tooth, marked where it is missing.
    pub name: String,
    /// Whether the open cell is about it.
    pub present: bool,
}

impl Header {
    /// Returns the badge of the result.
    pub fn badge(&self) -> Badge {
        Badge::of(self.verdict, self.state)
    }

    /// Says what stands beside the badge of the result: what it may become, what is not covered, how far the case is and what
    /// is expected; empty where the badge says all.
    pub fn beside(&self) -> String {
        let of = (self.not_covered, self.units.len());
        pages::beside_result(
            self.verdict,
            of,
            (self.state, &self.state_words),
            self.expected,
        )
    }

    /// Says of that only what the badge may not be read without.
    pub fn beside_in_short(&self) -> String {
        pages::beside_in_short(
            self.verdict,
            (self.not_covered, self.units.len()),
            self.state,
        )
    }

    /// Says what the case comes to when it is read aloud, with all that stands beside its badge.
    pub fn result(&self) -> String {
        pages::result(
            self.verdict,
            (self.not_covered, self.units.len()),
            (self.state, &self.state_words),
            self.expected,
        )
    }
}

impl Session {
    pub(super) fn header(&self, inspection: &Inspection, facts: &Facts<'_>) -> Header {
        let phrase = self.phrase(inspection);
        let state = self.state_of(inspection, facts);
        let at = inspection.hand.cursor.as_ref().map(|spot| spot.at);
        let units = &inspection.case.units;
        let owner = at
            .and_then(|at| units.owner(at))
            .or(units.restorations().first());
        let present = |tooth| match at {
            Some(Place::Unit(own) | Place::Wall(own, _)) => own == tooth,
            Some(Place::Connector(a, b)) => a == tooth || b == tooth,
            _ => false,
        };
        let names = |restoration: &crate::case::Restoration| {
            let names = restoration.units.iter().map(|unit| UnitView {
                name: pages::unit(unit, self.notation),
                present: present(unit.tooth),
            });
            names.collect()
        };
        let material = owner
            .filter(|own| facts.covers(Place::Restoration(own.id)))
            .and_then(|r| facts.value(&ORDER_MATERIAL, Place::Restoration(r.id)))
            .map_or_else(
                || match owner {
                    Some(own) if !facts.covers(Place::Restoration(own.id)) => {
                        phrase.kind_of_work(facts, own)
                    }
                    _ => pages::NO_MATERIAL.to_owned(),
                },
                |v| phrase.value(inspection.flow.spec(&ORDER_MATERIAL), v, None),
            );
        let handed = inspection.case.handed();
        let days = state.days(&inspection.case, self.today);
        Header {
            with: handed.map(|own| [beside::with_in_short(own), beside::with(own)]),
            late: days.late.map(beside::days_late),
            days: days.lines(),
            number: inspection.case.number.clone(),
            units: units.restorations().iter().map(names).collect(),
            material,
            notation: self.notation.name(),
            verdict: inspection.judgement.verdict,
            not_covered: inspection
                .judgement
                .by_restoration
                .iter()
                .filter(|(_, own)| !own.covered)
                .count(),
            state: state.state,
            state_words: state.in_short(),
            expected: (state.state == State::Waiting)
                .then(|| inspection.expected())
                .flatten(),
            trying: self.is_trying().then_some(TRYING),
        }
    }
}
