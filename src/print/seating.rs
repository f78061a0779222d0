//! The seating notes: the treatment of the fitting surface up to seating. Steps on the tooth are left to the dentist and the
//! maker of the cement.

use super::{Document, Told, standing, summary, ticket};
use crate::case::life::State;
use crate::case::{Restoration, Role};
use crate::fact::{
    EFFECTIVE, EFFECTIVE_SHARE, FAILING, FITTING_SURFACE, FactId, GRIP, GUM_USED, GumLine,
    HEIGHT_TO_BASE, HEIGHT_USED, ORDER_CEMENT, ORDER_MATERIAL, PAIR_FAILS, PREP_SHARE, Place,
    PlaceKind, Side, TAPER_MOST, Unit, Value, WALL_HEIGHT,
};
use crate::flow::{Cement, Seating, SeatingStep, Treatment};
use crate::judge::Finding;
use crate::phrase::sheets::{self, seating as says};
use crate::phrase::{CAUTION, NOTHING_CHECKED, number_words};
use crate::state::CaseState;
use crate::tooth::Tooth;

pub(super) fn add(document: &mut Document, told: Told<'_>) {
    let state = told.state();
    standing::title(document, told, &state, says::TITLE, says::MUST_NOT);
    summary::head(document, told);
    if told.judgement.verdict.covered {
        notes(document, told, &state);
    } else {
        document.text(NOTHING_CHECKED);
    }
    document.heading(sheets::CAUTION);
    document.text(CAUTION);
}

/// Adds the notes for what is cleared to make or delivered.
fn notes(document: &mut Document, told: Told<'_>, state: &CaseState) {
    let cleared: Vec<&Restoration> = told
        .facts
        .covered()
        .into_iter()
        .filter(|own| {
            let far = state.restoration(own.id).map(|own| own.state);
            matches!(far, Some(State::ToMake | State::Delivered))
        })
        .collect();
    if cleared.is_empty() {
        document.text(if state.state.is_over() {
            says::CLOSED
        } else {
            says::NOT_YET
        });
        return;
    }
    document.text(says::MAKERS);
    ticket::accepted(document, told, state);
    for restoration in &cleared {
        one(document, told, restoration);
    }
    let mut shape = Vec::new();
    for at in told.facts.places(PlaceKind::Abutment) {
        if let Place::Unit(tooth) = at {
            shape.extend(weak(told, tooth));
        }
    }
    shape.extend(weakest(told));
    if !shape.is_empty() {
        document.heading(says::PREPARATIONS);
        for line in shape {
            document.point("-", None, line, Vec::new());
        }
    }
}

/// Returns the cement that is planned, or `None` if the flow does not know it.
fn planned<'a>(told: Told<'a>, at: Place) -> Option<&'a Cement> {
    let id = told.facts.value(&ORDER_CEMENT, at)?.choice()?;
    told.phrase.flow.cement(id)
}

/// Returns the steps of seating for the material and the cement of a restoration, or `None` if one of them is not known or
/// the flow has no steps for the two.
pub(super) fn way<'a>(told: Told<'a>, at: Place) -> Option<&'a Seating> {
    let material = ticket::ordered(told, at)?;
    told.phrase
        .flow
        .seating(&material.id, &planned(told, at)?.id)
}

fn one(document: &mut Document, told: Told<'_>, restoration: &Restoration) {
    let at = Place::Restoration(restoration.id);
    document.heading(format!(
        "R{} {}",
        restoration.id,
        told.phrase.units(restoration)
    ));
    let material = told.said_or_open(ORDER_MATERIAL, at);
    let cement = told.said_or_open(ORDER_CEMENT, at);
    document.text(says::material(&material, &cement));
    let order = told
        .facts
        .value(&FITTING_SURFACE, at)
        .and_then(Value::choice);
    if order.is_some_and(|order| order != "not-said") {
        let said = told.said_or_open(FITTING_SURFACE, at);
        document.text(says::fitting_ordered(&said));
    }
    match way(told, at) {
        Some(way) => steps(document, way),
        None if ticket::ordered(told, at).is_some() && planned(told, at).is_some() => {
            document.text(says::NO_STEPS);
        }
        None => document.text(says::fitting_open()),
    }
    // A way that has the step says it in its place.
    let has_step = way(told, at).is_some_and(|way| {
        way.steps
            .iter()
            .any(|step| step.treatment == Treatment::Dry)
    });
    if !has_step && planned(told, at).is_some_and(|cement| cement.dry_field) {
        document.text(says::DRY_FIELD);
    }
    gum(document, told, restoration);
}

/// Returns who does a step, and for how long.
fn who(step: &SeatingStep) -> String {
    let seconds = |number| number_words(number, Unit::Seconds, None);
    let lasts = step.lasts.map(|(least, most)| {
        if least == most {
            seconds(least)
        } else {
            says::from_to(least, &seconds(most))
        }
    });
    says::who(step.by, lasts.as_deref())
}

fn steps(document: &mut Document, way: &Seating) {
    document.text(says::steps(&way.name));
    for (number, step) in way.steps.iter().enumerate() {
        let text = says::step(&step.does, &who(step));
        document.point(format!("{}.", number + 1), None, text, Vec::new());
    }
    for (treatment, why) in &way.never {
        document.point("-", None, says::never(*treatment), vec![why.clone()]);
    }
}

/// Adds which margins are below the gum, and at which teeth that was not recorded.
fn gum(document: &mut Document, told: Told<'_>, restoration: &Restoration) {
    let mut under = Vec::new();
    let mut unknown = Vec::new();
    for tooth in restoration.teeth(Role::Abutment) {
        let walls =
            Side::ALL.map(|side| (side, told.facts.value(&GUM_USED, Place::Wall(tooth, side))));
        if walls.iter().any(|(_, value)| value.is_none()) {
            unknown.push(told.phrase.tooth(tooth));
        }
        for (side, value) in walls {
            let place = Place::Wall(tooth, side);
            if let Some(GumLine::UnderOne | GumLine::Deeper) = value.and_then(Value::chosen) {
                under.push(format!(
                    "{} {}",
                    told.phrase.place(place),
                    told.said_or_open(GUM_USED, place)
                ));
            }
        }
    }
    if !under.is_empty() {
        document.text(says::below_gum(&under));
    }
    if !unknown.is_empty() {
        document.text(says::level_unknown(&unknown));
    }
}

/// The facts of a finding about the height of a prep.
const LOW: [FactId; 3] = [HEIGHT_USED, HEIGHT_TO_BASE, WALL_HEIGHT];

/// The facts of a finding about the resistance form of a prep.
const RESISTANCE: [FactId; 5] = [FAILING, PAIR_FAILS, EFFECTIVE_SHARE, EFFECTIVE, TAPER_MOST];

/// Returns whether a finding, or one of the same cause, rests on the height or the resistance form of a prep.
pub(super) fn is_of_shape(finding: &Finding) -> bool {
    std::iter::once(finding)
        .chain(&finding.folded)
        .flat_map(|own| &own.evidence)
        .any(|spot| {
            let fact = &spot.fact;
            LOW.contains(fact) || RESISTANCE.contains(fact) || *fact == PREP_SHARE
        })
}

/// Returns what is weak about a prep, for whoever seats a crown on it; `None` if nothing was found.
fn weak(told: Told<'_>, tooth: Tooth) -> Option<String> {
    let own = |facts: &[FactId]| {
        told.judgement
            .all_findings()
            .filter(|finding| {
                told.facts.units().resolve(PlaceKind::Unit, finding.at) == Some(Place::Unit(tooth))
            })
            .flat_map(|finding| &finding.evidence)
            .any(|spot| facts.contains(&spot.fact))
    };
    let name = told.phrase.tooth(tooth);
    says::weak(&name, own(&LOW), own(&RESISTANCE), own(&[PREP_SHARE]))
}

/// Returns the weakest of several retainers, for each bridge with a finding about grip.
fn weakest(told: Told<'_>) -> Vec<String> {
    let judged: Vec<u8> = told
        .judgement
        .all_findings()
        .filter(|finding| {
            let grip = |fact: &FactId| *fact == GRIP || *fact == PREP_SHARE;
            finding.evidence.iter().any(|spot| grip(&spot.fact))
        })
        .filter_map(|finding| told.facts.units().owner(finding.at))
        .map(|restoration| restoration.id)
        .collect();
    told.facts
        .details()
        .iter()
        .filter(|detail| detail.preps.len() > 1 && judged.contains(&detail.restoration))
        .filter_map(|detail| detail.worst()?.motion())
        .map(|motion| says::weakest(&told.phrase.tooth(motion.first)))
        .collect()
}
