//! The table of how restorations are seated.

use super::check::{Checker, LONGEST_LINE, LONGEST_NAME};
use super::materials::MaterialId;
use super::model::{Seating, SeatingStep, Treatment};
use super::shape::SeatingShape;
use crate::fact::Unit;
use crate::ronfile::{Span, Spanned};

impl Checker<'_> {
    pub(super) fn seating(&mut self, shape: SeatingShape) {
        self.own_id("seating", &shape.id);
        let materials: Vec<String> = self
            .flow
            .materials
            .iter()
            .map(|m| m.id.to_string())
            .collect();
        let cements: Vec<String> = self.flow.cements.iter().map(|c| c.id.clone()).collect();
        let name = self.fits_line(&shape.name, LONGEST_NAME);
        let materials: Vec<MaterialId> = self
            .all_refer("material", &shape.materials, &materials)
            .into_iter()
            .map(MaterialId::new)
            .collect();
        let cements = self.all_refer("cement", &shape.cements, &cements);
        self.only_once(&shape, &materials, &cements);
        let never: Vec<(Treatment, String)> = shape
            .never
            .iter()
            .map(|(treatment, why)| (treatment.value, self.fits_line(why, LONGEST_LINE)))
            .collect();
        let must: Vec<Treatment> = shape.must.iter().map(|must| must.value).collect();
        let steps: Vec<(Span, SeatingStep)> = shape
            .steps
            .iter()
            .map(|step| {
                let span = step.treatment.span(self.source());
                let lasts = step.lasts.as_ref().map(|(least, most)| {
                    let lasts = (
                        self.number(least, Unit::Seconds),
                        self.number(most, Unit::Seconds),
                    );
                    if lasts.0 > lasts.1 {
                        let span = least.span(self.source());
                        self.error(
                            "flow-bounds",
                            span,
                            "the least time is longer than the most",
                            "the least",
                        );
                        self.help("write the shorter time first");
                    }
                    lasts
                });
                let step = SeatingStep {
                    treatment: step.treatment.value,
                    by: step.by,
                    does: self.fits_line(&step.does, LONGEST_LINE),
                    lasts,
                    source: self.refers_source(&step.source),
                };
                (span, step)
            })
            .collect();
        self.in_order(&shape.id, &steps, &must, &never);
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

    fn all_refer(&mut self, sort: &str, ids: &[Spanned<String>], known: &[String]) -> Vec<String> {
        ids.iter()
            .map(|id| self.refers(sort, id, known.to_vec()))
            .collect()
    }

    /// One material and one cement have one way to the seat.
    fn only_once(&mut self, shape: &SeatingShape, materials: &[MaterialId], cements: &[String]) {
        fn shares<T: PartialEq>(own: &[T], theirs: &[T]) -> bool {
            own.iter().any(|id| theirs.contains(id))
        }
        let other =
            self.flow.seatings.iter().find(|other| {
                shares(materials, &other.materials) && shares(cements, &other.cements)
            });
        if let Some(other) = other.map(|other| other.id.clone()) {
            let span = shape.id.span(self.source());
            self.error(
                "flow-seating-twice",
                span,
                format!(
                    "\"{other}\" already says how one of these materials is seated with one of these cements"
                ),
                "the second",
            );
            self.help("take the pair out of one of the two");
        }
    }

    /// A coat is washed off by what cleans, blows or etches after it; saliva spoils it; nothing comes after seating.
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
                _ if seated => Some("it is seated already".to_owned()),
                barred if never.iter().any(|(never, _)| *never == barred) => {
                    Some(format!("this row bars {} itself", barred.words()))
                }
                Treatment::TryIn | Treatment::Abrade | Treatment::Etch | Treatment::Clean => coated
                    .map(|coat: Treatment| {
                        format!(
                            "{} takes the {} off again",
                            step.treatment.words(),
                            coat.words()
                        )
                    }),
                Treatment::Silane | Treatment::Primer | Treatment::Seat if unclean => Some(
                    "saliva of the try-in is still on it: it wants a Clean or an Etch before"
                        .to_owned(),
                ),
                Treatment::Silane | Treatment::Primer | Treatment::Seat | Treatment::Dry => None,
            };
            match step.treatment {
                Treatment::Silane | Treatment::Primer => coated = Some(step.treatment),
                Treatment::TryIn => unclean = true,
                Treatment::Clean | Treatment::Etch | Treatment::Abrade => unclean = false,
                Treatment::Seat => seated = true,
                Treatment::Dry => {}
            }
            if let Some(what) = problem {
                self.error("flow-seating-order", span.clone(), what, "this step");
                self.help("put the steps in the order in which they are done");
            }
        }
        let missing = must
            .iter()
            .copied()
            .chain((!seated).then_some(Treatment::Seat))
            .find(|must| !steps.iter().any(|(_, step)| step.treatment == *must));
        if let Some(missing) = missing {
            let span = id.span(self.source());
            self.error(
                "flow-seating-order",
                span,
                format!("no step is {}", missing.words()),
                "in this row",
            );
            self.help("add the step, or take it out of `must`");
        }
    }
}
