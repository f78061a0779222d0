//! How restorations are seated: a row for materials and cements, its steps named or written out.

use super::check::{Checker, LONGEST_LINE, LONGEST_NAME};
use super::materials::MaterialId;
use super::model::{Seating, SeatingStep, Treatment};
use super::shape::{GroupShape, NamedStepShape, SeatingShape, SeatingStepShape};
use crate::fact::{Unit, Value};
use crate::phrase::faults::flow::{Sort, seating as faults};
use crate::ronfile::{Raw, Span, Spanned, parse_raw};

/// Materials that are seated alike, under one name.
pub(super) struct Group {
    id: String,
    materials: Vec<String>,
    never: Vec<(Treatment, String)>,
}

/// The least and the most time of a step, as a file writes it.
type Lasts = Option<(Spanned<Value>, Spanned<Value>)>;

impl<'s> Checker<'s> {
    /// Takes a named step.
    pub(super) fn seating_step(&mut self, shape: NamedStepShape) {
        let (id, shape) = shape.parts();
        self.own_id(Sort::SeatingStep, &id);
        let step = self.step_in_full(&shape);
        self.steps.push((id.value, step));
    }

    /// Takes a group of materials.
    pub(super) fn group(&mut self, shape: GroupShape) {
        self.own_id(Sort::Material, &shape.id);
        let known = self.material_ids();
        let materials = self.all_refer(Sort::Material, &shape.materials, &known);
        let never = self.never(&shape.never);
        self.groups.push(Group {
            id: shape.id.value,
            materials,
            never,
        });
    }

    fn material_ids(&self) -> Vec<String> {
        let materials = self.flow.materials.iter();
        materials.map(|own| own.id.to_string()).collect()
    }

    /// Returns the treatments that spoil a restoration, each with the reason.
    fn never(
        &mut self,
        list: &[(Spanned<Treatment>, Spanned<String>)],
    ) -> Vec<(Treatment, String)> {
        list.iter()
            .map(|(treatment, why)| (treatment.value, self.fits_line(why, LONGEST_LINE)))
            .collect()
    }

    /// Returns how long a step lasts, at least and at most, in seconds.
    fn lasts(&mut self, lasts: &Lasts) -> Option<(f64, f64)> {
        let (least, most) = lasts.as_ref()?;
        let lasts = (
            self.number(least, Unit::Seconds),
            self.number(most, Unit::Seconds),
        );
        if lasts.0 > lasts.1 {
            let span = least.span(self.source());
            self.error("flow-bounds", span, faults::longer_first());
        }
        Some(lasts)
    }

    /// Reads a step of a row: the id of a named one, or one that is written out. None where it was reported.
    fn step_of(&mut self, raw: Raw<'s>) -> Option<(Span, SeatingStep)> {
        if raw.text().starts_with('"') {
            let id: Spanned<String> = self.read(raw)?;
            let found = self.steps.iter().find(|(own, _)| *own == id.value);
            if let Some((_, step)) = found {
                return Some((raw.span(self.source()), step.clone()));
            }
            let known = self.steps.iter().map(|(own, _)| own.clone()).collect();
            self.refers(Sort::SeatingStep, &id, known);
            return None;
        }
        let shape: SeatingStepShape = self.read(raw)?;
        let step = self.step_in_full(&shape);
        Some((shape.treatment.span(self.source()), step))
    }

    fn step_in_full(&mut self, shape: &SeatingStepShape) -> SeatingStep {
        SeatingStep {
            treatment: shape.treatment.value,
            by: shape.by,
            does: self.fits_line(&shape.does, LONGEST_LINE),
            lasts: self.lasts(&shape.lasts),
            source: self.refers_source(&shape.source),
        }
    }

    fn read<T: serde::Deserialize<'s>>(&mut self, raw: Raw<'s>) -> Option<T> {
        match parse_raw(self.source(), raw) {
            Ok(shape) => Some(shape),
            Err(problem) => {
                self.problems.push(problem);
                None
            }
        }
    }

    pub(super) fn seating(&mut self, shape: SeatingShape<'s>) {
        self.own_id(Sort::Seating, &shape.id);
        let mut known = self.material_ids();
        known.extend(self.groups.iter().map(|group| group.id.clone()));
        let cements: Vec<String> = self.flow.cements.iter().map(|c| c.id.clone()).collect();
        let name = self.fits_line(&shape.name, LONGEST_NAME);
        let named = self.all_refer(Sort::MaterialOrGroup, &shape.materials, &known);
        let mut never = self.never(&shape.never);
        let mut materials: Vec<MaterialId> = Vec::new();
        for name in named {
            let group = self.groups.iter().find(|group| group.id == name);
            let Some(group) = group else {
                materials.push(MaterialId::new(name));
                continue;
            };
            materials.extend(group.materials.iter().cloned().map(MaterialId::new));
            for bar in &group.never {
                if never.iter().all(|(own, _)| *own != bar.0) {
                    never.push(bar.clone());
                }
            }
        }
        let cements = self.all_refer(Sort::Cement, &shape.cements, &cements);
        self.only_once(&shape, &materials, &cements);
        let must: Vec<Treatment> = shape.must.iter().map(|must| must.value).collect();
        let read: Vec<Option<(Span, SeatingStep)>> =
            shape.steps.iter().map(|raw| self.step_of(*raw)).collect();
        let all_read = read.iter().all(Option::is_some);
        let steps: Vec<(Span, SeatingStep)> = read.into_iter().flatten().collect();
        // What is missing may be the step that puts the others in order.
        if all_read {
            self.in_order(&shape.id, &steps, &must, &never);
        }
        self.flow.seatings.push(Seating {
            name,
            materials,
            cements,
            must,
            never,
            steps: steps.into_iter().map(|(_, step)| step).collect(),
            id: shape.id.value,
        });
    }

    fn all_refer(&mut self, sort: Sort, ids: &[Spanned<String>], known: &[String]) -> Vec<String> {
        ids.iter()
            .map(|id| self.refers(sort, id, known.to_vec()))
            .collect()
    }

    /// Reports a row that covers a material with a cement that an earlier row covers.
    fn only_once(
        &mut self,
        shape: &SeatingShape<'s>,
        materials: &[MaterialId],
        cements: &[String],
    ) {
        fn shares<T: PartialEq>(own: &[T], theirs: &[T]) -> bool {
            own.iter().any(|id| theirs.contains(id))
        }
        let other =
            self.flow.seatings.iter().find(|other| {
                shares(materials, &other.materials) && shares(cements, &other.cements)
            });
        if let Some(other) = other.map(|other| other.id.clone()) {
            let span = shape.id.span(self.source());
            self.error("flow-seating-twice", span, faults::pair_twice(&other));
        }
    }

    /// Reports steps out of order: cleaning, air abrasion and etching take a coat off again, saliva has to be cleaned off
    /// before a coat and before seating, and nothing comes after seating.
    fn in_order(
        &mut self,
        id: &Spanned<String>,
        steps: &[(Span, SeatingStep)],
        must: &[Treatment],
        never: &[(Treatment, String)],
    ) {
        let mut coated = None;
        let mut seated = false;
        let mut unclean = false;
        for (span, step) in steps {
            let problem = match step.treatment {
                _ if seated => Some(faults::after_seating()),
                barred if never.iter().any(|(never, _)| *never == barred) => {
                    Some(faults::barred(barred.words()))
                }
                Treatment::TryIn | Treatment::Abrade | Treatment::Etch | Treatment::Clean => coated
                    .map(|coat: Treatment| faults::coat_lost(step.treatment.words(), coat.words())),
                Treatment::Silane | Treatment::Primer | Treatment::Seat if unclean => {
                    Some(faults::saliva())
                }
                Treatment::Silane | Treatment::Primer | Treatment::Seat | Treatment::Dry => None,
            };
            match step.treatment {
                Treatment::Silane | Treatment::Primer => coated = Some(step.treatment),
                Treatment::TryIn => unclean = true,
                Treatment::Clean | Treatment::Etch | Treatment::Abrade => unclean = false,
                Treatment::Seat => seated = true,
                Treatment::Dry => {}
            }
            if let Some(fault) = problem {
                self.error("flow-seating-order", span.clone(), fault);
            }
        }
        let missing = must
            .iter()
            .copied()
            .chain((!seated).then_some(Treatment::Seat))
            .find(|must| !steps.iter().any(|(_, step)| step.treatment == *must));
        if let Some(missing) = missing {
            let span = id.span(self.source());
            let fault = faults::step_missing(missing.words());
            self.error("flow-seating-order", span, fault);
        }
    }
}
