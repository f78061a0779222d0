//! Conditions: names resolved, constants fitted to the facts they are compared with.

use super::check::Checker;
use super::shape::{ConditionShape, TermShape};
use crate::fact::{FactId, FactSpec, Kind, ORDER_SCOPE, PlaceKind, Value};
use crate::logic::{Condition, Test};
use crate::phrase::faults::flow::{Sort, rules as faults};
use crate::ronfile::Spanned;

/// Returns whether a fact that stands at `wanted` can be looked up from a place of kind `from`.
pub(super) fn reachable(from: PlaceKind, wanted: PlaceKind) -> bool {
    use PlaceKind::{Abutment, Case, Connector, Pontic, Restoration, Unit, Wall};
    match wanted {
        Case => true,
        Restoration => from != Case,
        Unit => matches!(from, Unit | Abutment | Pontic | Wall),
        Abutment => matches!(from, Abutment | Wall),
        Pontic => from == Pontic,
        Wall => from == Wall,
        Connector => from == Connector,
    }
}

/// Returns whether places of kind `inner` lie within a place of kind `outer`.
fn lies_within(outer: PlaceKind, inner: PlaceKind) -> bool {
    use PlaceKind::{Abutment, Case, Restoration, Unit, Wall};
    match outer {
        Case => inner != Case,
        Restoration => !matches!(inner, Case | Restoration),
        Unit | Abutment => inner == Wall,
        _ => false,
    }
}

/// Returns whether a fact is looked at as older flows do: the kind of work was asked of the whole case.
pub(super) fn is_of_old(fact: &FactId, from: PlaceKind) -> bool {
    *fact == ORDER_SCOPE && from == PlaceKind::Case
}

/// A test of a fact from a place of a kind. What older flows ask of the whole case has to hold at every restoration.
fn tested(fact: FactId, test: Test, from: PlaceKind) -> Condition {
    let of_old = is_of_old(&fact, from);
    let test = Condition::Test(fact, test);
    if of_old {
        Condition::EveryAt(PlaceKind::Restoration, Box::new(test))
    } else {
        test
    }
}

impl Checker<'_> {
    /// Checks a condition looked at from a place of this kind. None where something in it was reported.
    pub(super) fn condition(
        &mut self,
        shape: &ConditionShape,
        from: PlaceKind,
    ) -> Option<Condition> {
        let many = |this: &mut Self, parts: &[ConditionShape]| {
            let checked: Vec<_> = parts
                .iter()
                .map(|part| this.condition(part, from))
                .collect();
            checked.into_iter().collect::<Option<Vec<_>>>()
        };
        match shape {
            ConditionShape::All(parts) => many(self, parts).map(Condition::All),
            ConditionShape::Any(parts) => many(self, parts).map(Condition::Any),
            ConditionShape::AtLeast(least, parts) => {
                many(self, parts).map(|parts| Condition::AtLeast(*least, parts))
            }
            ConditionShape::Not(part) => self
                .condition(part, from)
                .map(|part| Condition::Not(Box::new(part))),
            ConditionShape::AnyAt(kind, part) => {
                let part = self.inner(kind, part, from)?;
                Some(Condition::AnyAt(kind.value, part))
            }
            ConditionShape::EveryAt(kind, part) => {
                let part = self.inner(kind, part, from)?;
                Some(Condition::EveryAt(kind.value, part))
            }
            ConditionShape::AtLeastAt(least, kind, part) => {
                let part = self.inner(kind, part, from)?;
                Some(Condition::AtLeastAt(*least, kind.value, part))
            }
            ConditionShape::Is(name, value) => {
                let (fact, spec) = self.fact_from(name, from)?;
                self.fits(&spec, value)?;
                Some(tested(fact, Test::Is(value.value.clone()), from))
            }
            ConditionShape::OneOf(name, values) => {
                let (fact, spec) = self.fact_from(name, from)?;
                let fit: Vec<_> = values.iter().map(|value| self.fits(&spec, value)).collect();
                fit.into_iter().collect::<Option<Vec<()>>>()?;
                let values = values.iter().map(|v| v.value.clone());
                Some(tested(fact, Test::OneOf(values.collect()), from))
            }
            ConditionShape::Below(name, value) => self.limit(name, value, from, Test::Below),
            ConditionShape::AtMost(name, value) => self.limit(name, value, from, Test::AtMost),
            ConditionShape::Above(name, value) => self.limit(name, value, from, Test::Above),
            ConditionShape::Reaches(name, value) => self.limit(name, value, from, Test::Reaches),
            ConditionShape::Answered(name) => {
                let (fact, _) = self.fact_from(name, from)?;
                Some(tested(fact, Test::Answered, from))
            }
            ConditionShape::NotSeen(name) => {
                let (fact, _) = self.fact_from(name, from)?;
                Some(tested(fact, Test::NotSeen, from))
            }
            ConditionShape::Term(id) => self.term_used(id, from),
        }
    }

    /// Checks a condition that has a name, so that its limit stands in one place.
    pub(super) fn term(&mut self, shape: TermShape) {
        self.own_id(Sort::Term, &shape.id);
        match self.condition(&shape.when, shape.at) {
            Some(when) => self.terms.push((shape.id.value, shape.at, when)),
            None => self.unread_names.push(shape.id.value),
        }
    }

    fn term_used(&mut self, id: &Spanned<String>, from: PlaceKind) -> Option<Condition> {
        let found = self.terms.iter().find(|(known, ..)| *known == id.value);
        let Some((_, at, when)) = found.cloned() else {
            let known = self.terms.iter().map(|(id, ..)| id.clone()).collect();
            self.refers(Sort::Term, id, known);
            return None;
        };
        // What counts places means other places from further down.
        if from != at && !(reachable(from, at) && when.counts_nowhere()) {
            let span = id.span(self.source());
            let fault = faults::term_out_of_reach(&id.value, at, from);
            self.error("flow-fact-place", span, fault);
            return None;
        }
        Some(when)
    }

    fn inner(
        &mut self,
        kind: &Spanned<PlaceKind>,
        part: &ConditionShape,
        from: PlaceKind,
    ) -> Option<Box<Condition>> {
        if !lies_within(from, kind.value) {
            let span = kind.span(self.source());
            self.error(
                "flow-place-kind",
                span,
                faults::not_within(kind.value, from),
            );
            return None;
        }
        self.condition(part, kind.value).map(Box::new)
    }

    fn fact_from(&mut self, name: &Spanned<String>, from: PlaceKind) -> Option<(FactId, FactSpec)> {
        let (fact, spec) = self.fact(name)?;
        if !reachable(from, spec.at) && !is_of_old(&fact, from) {
            let span = name.span(self.source());
            let inside = lies_within(from, spec.at);
            let fault = faults::fact_out_of_reach(&name.value, spec.at, from, inside);
            self.error("flow-fact-place", span, fault);
            return None;
        }
        Some((fact, spec))
    }

    fn limit(
        &mut self,
        name: &Spanned<String>,
        value: &Spanned<Value>,
        from: PlaceKind,
        test: fn(f64) -> Test,
    ) -> Option<Condition> {
        let (fact, spec) = self.fact_from(name, from)?;
        if !matches!(spec.kind, Kind::Number { .. }) {
            let span = name.span(self.source());
            self.error("flow-not-a-number", span, faults::no_number(&name.value));
            return None;
        }
        self.fits(&spec, value)?;
        let number = value.value.number()?;
        Some(Condition::Test(fact, test(number)))
    }
}
