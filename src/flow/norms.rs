//! Norms: figures measured elsewhere that are shown beside a finding. They do not affect the result.

use serde::{Deserialize, Serialize};

use super::check::{Checker, LONGEST_LINE};
use super::conditions::reachable;
use super::model::{Flow, Rule};
use super::shape::NormShape;
use crate::fact::PlaceKind;
use crate::logic::Condition;
use crate::phrase::faults::flow::{Sort, rules as faults};

/// A figure that was measured elsewhere.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Norm {
    /// The ids of the rules beside whose findings it is shown.
    pub beside: Vec<String>,
    /// The kind of place that `when` is looked at from.
    pub at: PlaceKind,
    /// Where it fits.
    pub when: Condition,
    /// What it says.
    pub says: String,
    /// The id of its source.
    pub source: String,
}

impl Flow {
    /// Returns what may be shown beside the findings of a rule.
    pub fn norms_beside<'a>(&'a self, rule: &'a Rule) -> impl Iterator<Item = &'a Norm> {
        self.norms
            .iter()
            .filter(|norm| norm.beside.contains(&rule.id))
    }
}

impl Checker<'_> {
    pub(super) fn norm(&mut self, shape: NormShape) {
        let rules: Vec<(String, PlaceKind)> = self
            .flow
            .rules
            .iter()
            .map(|rule| (rule.id.clone(), rule.at))
            .collect();
        let mut beside = Vec::new();
        for id in &shape.beside {
            let known = rules.iter().map(|(id, _)| id.clone()).collect();
            self.refers(Sort::Rule, id, known);
            let far = rules
                .iter()
                .find(|(known, at)| *known == id.value && !reachable(*at, shape.at));
            if let Some((_, at)) = far {
                let span = id.span(self.source());
                let fault = faults::norm_out_of_reach(&id.value, *at, shape.at);
                self.error("flow-fact-place", span, fault);
            }
            beside.push(id.value.clone());
        }
        let when = match &shape.when {
            Some(when) => self.condition(when, shape.at),
            None => Some(Condition::All(Vec::new())),
        };
        if shape.says.value.trim().is_empty() || shape.beside.is_empty() {
            let span = shape.says.span(self.source());
            self.error("flow-bounds", span, faults::norm_never_shown());
        }
        let says = self.fits_line(&shape.says, LONGEST_LINE);
        let source = self.refers_source(&shape.source);
        if let Some(when) = when {
            self.flow.norms.push(Norm {
                beside,
                at: shape.at,
                when,
                says,
                source,
            });
        }
    }
}
