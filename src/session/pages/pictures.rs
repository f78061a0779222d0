//! Pictures with their words: the one of the open question, and all of a case.

use crate::case::Restoration;
use crate::derive::Facts;
use crate::drawing::{self, Figure, Ink};
use crate::fact::{
    C_AREA, C_AREA_SHARE, CLEARANCE, CLEARANCE_SPARE, EFFECTIVE, EFFECTIVE_SHARE, FactId, GRIP,
    HEIGHT_TO_BASE, HEIGHT_USED, OCCLUSION, ORDER_MATERIAL, ORDER_SCOPE, PREP_SHARE, Place,
    PlaceKind, Side, Spot, TAPER_FL, TAPER_MD, Value, WALL_HEIGHT_USED, WALL_TAPER_USED,
};
use crate::flow::Level;
use crate::judge::limits;
use crate::phrase::pages::picture as said;
use crate::phrase::{CAUTION_SHORT, DISLODGEMENT_CAUTION, Phrase};
use crate::print::label_words;
use crate::session::{Command, Effect, Inspection, Page, Session};
use crate::tooth::{Arch, Tooth};

/// A picture in ready shapes and words.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct PictureView {
    /// What it shows.
    pub title: String,
    /// The number that is being typed, where the picture shows what that would come to.
    pub sketch: Option<String>,
    /// Its parts, to one scale.
    pub plates: Vec<Plate>,
    /// The bar of grip.
    pub grip: Option<GripView>,
    /// What its lines mean.
    pub legend: Vec<&'static str>,
    /// The figures in words; only on a page of its own.
    pub says: Vec<String>,
    /// The caution that stands with it.
    pub caution: &'static str,
    /// Which picture of how many it is; only on a page of its own.
    pub of: Option<(usize, usize)>,
}

/// A part of a picture.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Plate {
    /// From where it is seen; empty where the picture's title says all.
    pub title: String,
    /// The shapes, in mm.
    pub figure: Figure,
    /// The words of its labels, in their order.
    pub words: Vec<String>,
}

/// The bar of grip.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct GripView {
    /// The grip that is recommended at least.
    pub advised: f64,
    /// The grip; none where it is not known.
    pub value: Option<f64>,
    /// One standard deviation from the readings, once it was weighed.
    pub spread: Option<f64>,
    /// The limits of the rules, the lowest first, each with the level under it.
    pub limits: Vec<(f64, Level)>,
    /// The level of the value by those limits.
    pub level: Option<Level>,
    /// The value in words.
    pub says: String,
    /// What the marks under the bar mean.
    pub marks: Vec<String>,
}

/// What a picture is of.
#[derive(Clone, Copy, PartialEq, Debug)]
enum Subject {
    Prep(Tooth),
    Bridge(u8),
    Arch(Arch),
}

/// What lines mean, in the order in which they are listed.
const LEGEND: [(Ink, &str); 11] = [
    (Ink::Resists, said::EFFECTIVE),
    (Ink::Fails, said::FAILS),
    (Ink::Margin, said::MARGIN),
    (Ink::Marked, said::IN_HAND),
    (Ink::Motion, said::MOTION),
    (Ink::Distance, said::CLEARANCE),
    (Ink::Opposing, said::OPPOSING),
    (Ink::Connector, said::CONNECTOR),
    (Ink::Least, said::LEAST),
    (Ink::Pontic, said::PONTIC),
    (Ink::Usual, said::USUAL),
];

/// The facts that pictures show: those with the number that is being typed, where there is one.
fn drawn_facts(inspection: &Inspection) -> Facts<'_> {
    match inspection.sketch() {
        Some((facts, ..)) => facts,
        None => inspection.facts(),
    }
}

/// Which picture is shown.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct State {
    /// Its place among those of the case.
    pub shown: usize,
}

impl Session {
    /// Turns to the page, at the picture of what is in hand.
    pub(in crate::session) fn turn_to_pictures(&mut self) {
        self.picture.shown = self.picture_to_begin();
        self.turn_to(Page::Picture);
    }

    /// Carries out a command of the page; `None` if it is none.
    pub(in crate::session) fn pictures_command(&mut self, command: Command) -> Option<Vec<Effect>> {
        match command {
            Command::NextPicture => self.turn_picture(true),
            Command::PreviousPicture => self.turn_picture(false),
            _ => return None,
        }
        Some(Vec::new())
    }

    /// Turns to the next picture or the one before, all the way round.
    fn turn_picture(&mut self, forward: bool) {
        let all = self.pictures().max(1);
        let step = if forward { 1 } else { all - 1 };
        self.picture.shown = (self.picture.shown + step) % all;
        self.scroll = 0;
    }

    /// Returns the picture that fits the open question, with the number that is being typed where it shows it.
    pub(in crate::session) fn picture_in_hand(
        &self,
        inspection: &Inspection,
    ) -> Option<PictureView> {
        let spot = inspection.hand.cursor.as_ref()?;
        let facts = &drawn_facts(inspection);
        let subject = subject_of(facts, spot);
        let drawn = self.picture_of(inspection, facts, subject, Some(spot.at));
        match (drawn, drawing::help(&spot.fact)) {
            (Some(view), _) => Some(view),
            (None, Some(figure)) => Some(measured(figure)),
            (None, None) => {
                let arch = Subject::Arch(arch_of(facts, spot.at)?);
                self.picture_of(inspection, facts, arch, Some(spot.at))
            }
        }
    }

    /// Returns the picture that the page of pictures shows.
    pub(in crate::session) fn picture_page(&self, inspection: &Inspection) -> PictureView {
        let facts = &drawn_facts(inspection);
        let all = subjects(facts);
        let index = self.picture.shown.min(all.len().saturating_sub(1));
        let marked = inspection.hand.cursor.as_ref().map(|spot| spot.at);
        let view = all.get(index).and_then(|subject| {
            let mut view = self.picture_of(inspection, facts, *subject, marked)?;
            view.says = figures(self.phrase(inspection), facts, *subject);
            Some(view)
        });
        PictureView {
            of: Some((index + 1, all.len())),
            ..view.unwrap_or_default()
        }
    }

    /// Returns the place of the picture that fits the open question, in the list of all of them.
    pub(in crate::session) fn picture_to_begin(&self) -> usize {
        self.inspection
            .as_ref()
            .and_then(|inspection| {
                let spot = inspection.hand.cursor.as_ref()?;
                let facts = drawn_facts(inspection);
                let wanted = subject_of(&facts, spot);
                subjects(&facts).iter().position(|own| *own == wanted)
            })
            .unwrap_or(0)
    }

    /// Returns how many pictures the present case has.
    pub(in crate::session) fn pictures(&self) -> usize {
        self.inspection
            .as_ref()
            .map_or(0, |inspection| subjects(&drawn_facts(inspection)).len())
    }

    fn picture_of(
        &self,
        inspection: &Inspection,
        facts: &Facts<'_>,
        subject: Subject,
        marked: Option<Place>,
    ) -> Option<PictureView> {
        let phrase = self.phrase(inspection);
        let plate = |title: String, figure: Figure| Plate {
            title,
            words: label_words(phrase, &figure),
            figure,
        };
        let restoration = match subject {
            Subject::Prep(tooth) => facts.units().owner(Place::Unit(tooth)),
            Subject::Bridge(id) => facts.units().restoration(id),
            Subject::Arch(_) => None,
        };
        let (title, plates) = match subject {
            Subject::Prep(tooth) => {
                let side = match marked {
                    Some(Place::Wall(own, side)) if own == tooth => Some(side),
                    _ => None,
                };
                let sides = drawing::sides(facts, tooth, side).into_iter();
                let plates = sides
                    .map(|(from, figure)| plate(said::from_side(phrase.side(tooth, from)), figure))
                    .collect();
                (said::prep(&phrase.tooth(tooth)), plates)
            }
            Subject::Bridge(_) => {
                let restoration = restoration?;
                let figure = drawing::bridge(facts, restoration, marked)?;
                let title = said::bridge(&phrase.units(restoration));
                (title, vec![plate(String::new(), figure)])
            }
            Subject::Arch(arch) => {
                let figure = drawing::arch(facts, arch, marked);
                (
                    said::arch(arch).to_owned(),
                    vec![plate(String::new(), figure)],
                )
            }
        };
        if plates.is_empty() {
            return None;
        }
        let sketch = inspection.sketch().map(|(_, spot, value)| {
            let spec = phrase.flow.spec(&spot.fact);
            let decimals = inspection.instrument().and_then(|id| phrase.decimals(&id));
            said::sketch(
                &phrase.label(&spot.fact),
                &phrase.value(spec, value, decimals),
            )
        });
        // How far readings can be trusted was weighed for what was read, not for what is being typed.
        let weighed = inspection.doubt.as_ref().filter(|_| sketch.is_none());
        let spread = |spot: &Spot| weighed.and_then(|doubt| doubt.spread.get(spot).copied());
        let follows = sketch.is_some() && inspection.sketch_lacks_grip();
        let grip = restoration.map(|restoration| {
            let mut view = grip(phrase, facts, restoration, &spread);
            if follows {
                view.says = said::GRIP_FOLLOWS.to_owned();
            }
            view
        });
        Some(PictureView {
            title,
            sketch,
            legend: legend(&plates),
            plates,
            grip,
            caution: match subject {
                Subject::Arch(_) => CAUTION_SHORT,
                _ => DISLODGEMENT_CAUTION,
            },
            ..PictureView::default()
        })
    }
}

/// What a question is about.
fn subject_of(facts: &Facts<'_>, spot: &Spot) -> Subject {
    let units = facts.units();
    let arch = || Subject::Arch(arch_of(facts, spot.at).unwrap_or(Arch::Upper));
    let bridge = |at| {
        units
            .owner(at)
            .map_or_else(arch, |own| Subject::Bridge(own.id))
    };
    match spot.at {
        Place::Wall(tooth, _) => Subject::Prep(tooth),
        at @ Place::Connector(..) => bridge(at),
        at @ Place::Unit(tooth) => {
            if spot.fact == OCCLUSION {
                arch()
            } else if units.is_kind(at, PlaceKind::Abutment) {
                Subject::Prep(tooth)
            } else {
                bridge(at)
            }
        }
        Place::Case | Place::Restoration(_) => arch(),
    }
}

/// The arch that a place lies in; that of the first restoration for the case as a whole.
fn arch_of(facts: &Facts<'_>, at: Place) -> Option<Arch> {
    let units = facts.units();
    let owner = units.owner(at).or(units.restorations().first())?;
    owner.units.first().map(|unit| unit.tooth.arch())
}

/// Every picture of a case: preps that were read, bridges, arches.
fn subjects(facts: &Facts<'_>) -> Vec<Subject> {
    let units = facts.units();
    let preps = facts
        .places(PlaceKind::Abutment)
        .into_iter()
        .filter_map(|at| match at {
            Place::Unit(tooth) => Some(tooth),
            _ => None,
        })
        .filter(|tooth| !drawing::sides(facts, *tooth, None).is_empty());
    let mut list: Vec<Subject> = preps.map(Subject::Prep).collect();
    let restorations = units.restorations();
    list.extend(
        facts
            .covered()
            .into_iter()
            .filter(|own| own.units.len() > 1)
            .map(|own| Subject::Bridge(own.id)),
    );
    let arches = [Arch::Upper, Arch::Lower].into_iter().filter(|arch| {
        restorations
            .iter()
            .flat_map(|own| &own.units)
            .any(|unit| unit.tooth.arch() == *arch)
    });
    list.extend(arches.map(Subject::Arch));
    list
}

/// What is measured, where nothing of the prep can be drawn yet.
fn measured(figure: Figure) -> PictureView {
    PictureView {
        title: said::MEASURED.to_owned(),
        plates: vec![Plate {
            figure,
            ..Plate::default()
        }],
        legend: vec![said::BETWEEN_TICKS],
        caution: CAUTION_SHORT,
        ..PictureView::default()
    }
}

fn legend(plates: &[Plate]) -> Vec<&'static str> {
    let has = |ink| {
        plates
            .iter()
            .flat_map(|plate| &plate.figure.strokes)
            .any(|stroke| stroke.ink == ink)
    };
    LEGEND
        .iter()
        .filter(|(ink, _)| has(*ink))
        .map(|(_, says)| *says)
        .collect()
}

/// The bar of grip of a restoration: its limits are those that the rules hold against it as the case stands.
fn grip(
    phrase: Phrase<'_>,
    facts: &Facts<'_>,
    restoration: &Restoration,
    spread: &dyn Fn(&Spot) -> Option<f64>,
) -> GripView {
    let whole = Spot {
        fact: GRIP,
        at: Place::Restoration(restoration.id),
    };
    let value = facts.value(&whole.fact, whole.at).and_then(Value::number);
    let detail = facts
        .details()
        .iter()
        .find(|detail| detail.restoration == restoration.id);
    let motion = detail.and_then(|detail| detail.worst()?.motion());
    let first = motion
        .map(|motion| motion.first)
        .or_else(|| restoration.teeth(crate::case::Role::Abutment).next());
    let mut spots = vec![whole.clone()];
    // On a single crown grip is all the prep's, and its limits are those of the prep.
    if restoration.units.len() == 1 {
        spots.extend(first.map(|tooth| Spot {
            fact: PREP_SHARE,
            at: Place::Unit(tooth),
        }));
    }
    let found = limits(facts, &spots);
    let level = value.map(|value| {
        let next = found.iter().find(|limit| value < limit.at);
        next.map(|limit| limit.under)
            .or(found.last().map(|limit| limit.over))
            .unwrap_or(Level::Fine)
    });
    let spread = spots.iter().find_map(spread).filter(|_| value.is_some());
    let several = restoration.units.len() > 1;
    let weakest = motion
        .filter(|_| several)
        .map(|motion| phrase.tooth(motion.first));
    let says = match value {
        None if facts.is_refused(&whole) => said::grip_not_computed(),
        None => said::grip_to_do(),
        Some(value) => said::grip(value, spread, weakest.as_deref()),
    };
    let mut marks: Vec<String> = found
        .iter()
        .filter(|limit| limit.under > limit.over)
        .map(|limit| said::level_under(limit.under, limit.at))
        .collect();
    let advised = facts.flow().figures.least_grip.advised;
    marks.push(said::least_advised(advised));
    marks.push(said::ESTIMATE.to_owned());
    GripView {
        advised,
        value,
        spread,
        limits: found.iter().map(|limit| (limit.at, limit.under)).collect(),
        level,
        says,
        marks,
    }
}

/// The figures of a picture in words.
fn figures(phrase: Phrase<'_>, facts: &Facts<'_>, subject: Subject) -> Vec<String> {
    let one = |fact: &FactId, at| {
        let spot = Spot {
            fact: fact.clone(),
            at,
        };
        let value = phrase.fact(facts, &spot)?;
        Some(said::figure(&phrase.label(fact), &value))
    };
    let line = |name: String, list: &[FactId], at| {
        let list: Vec<String> = list.iter().filter_map(|fact| one(fact, at)).collect();
        (!list.is_empty()).then(|| said::figures(&name, &list))
    };
    let mut lines = Vec::new();
    let restoration = match subject {
        Subject::Prep(tooth) => {
            let at = Place::Unit(tooth);
            let name = phrase.tooth(tooth);
            let quick = [HEIGHT_USED, HEIGHT_TO_BASE, TAPER_MD, TAPER_FL];
            lines.extend(line(name.clone(), &quick, at));
            lines.extend(line(name, &[CLEARANCE, CLEARANCE_SPARE], at));
            for side in Side::ALL {
                let at = Place::Wall(tooth, side);
                let wall = [WALL_HEIGHT_USED, WALL_TAPER_USED, EFFECTIVE_SHARE];
                let fails = facts.value(&EFFECTIVE, at) == Some(&Value::No);
                let own = line(phrase.side(tooth, side).to_owned(), &wall, at);
                lines.extend(own.map(|own| said::wall(&own, fails)));
            }
            facts.units().owner(at)
        }
        Subject::Bridge(id) => {
            let restoration = facts.units().restoration(id);
            for own in restoration.iter().flat_map(|own| &own.units) {
                let at = Place::Unit(own.tooth);
                let list = [HEIGHT_USED, CLEARANCE, CLEARANCE_SPARE];
                lines.extend(line(phrase.tooth(own.tooth), &list, at));
            }
            for (at, ..) in restoration.iter().flat_map(|own| own.connectors()) {
                lines.extend(line(phrase.place(at), &[C_AREA, C_AREA_SHARE], at));
            }
            restoration
        }
        Subject::Arch(arch) => {
            for own in facts.units().restorations() {
                let here = own.units.first().map(|unit| unit.tooth.arch());
                if here != Some(arch) {
                    continue;
                }
                let at = Place::Restoration(own.id);
                let fact = if facts.covers(at) {
                    ORDER_MATERIAL
                } else {
                    ORDER_SCOPE
                };
                let made = phrase.fact(facts, &Spot { fact, at });
                lines.push(said::restoration(
                    own.id,
                    &phrase.units(own),
                    made.as_deref(),
                ));
            }
            lines.push(said::ARCH.to_owned());
            None
        }
    };
    let detail = restoration.and_then(|own| {
        let details = facts.details().iter();
        details
            .into_iter()
            .find(|detail| detail.restoration == own.id)
    });
    if let Some(detail) = detail {
        lines.extend(phrase.dislodgement(facts, detail));
        lines.extend(phrase.bends(facts, detail));
        lines.extend(phrase.breaks(facts, detail));
    }
    lines
}
