//! The seating notes: what the restoration wants on its way to the seat. Steps on the tooth are the maker's and the
//! dentist's, and are not here.

use super::{Document, Told, standing, summary, ticket};
use crate::case::life::State;
use crate::case::{Restoration, Role};
use crate::fact::{
    EFFECTIVE, EFFECTIVE_SHARE, FAILING, FITTING_SURFACE, FactId, GRIP, GUM_USED, HEIGHT_TO_BASE,
    HEIGHT_USED, ORDER_CEMENT, ORDER_MATERIAL, PAIR_FAILS, PREP_SHARE, Place, PlaceKind, Side,
    TAPER_MOST, Unit, Value, WALL_HEIGHT,
};
use crate::flow::{Cement, Hands, Seating, SeatingStep};
use crate::judge::Finding;
use crate::phrase::{CAUTION, NOTHING_CHECKED, number_words, words};
use crate::tooth::Tooth;

pub(super) fn add(document: &mut Document, told: Told<'_>) {
    let state = told.state();
    standing::title(document, told, &state, "Seating notes", "not to be seated");
    summary::head(document, told);
    if !told.judgement.verdict.covered {
        document.text(NOTHING_CHECKED);
        document.heading("Caution");
        document.text(CAUTION);
        return;
    }
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
        document.text("Nothing to seat yet: see the first lines.");
        document.heading("Caution");
        document.text(CAUTION);
        return;
    }
    document.text(
        "The makers' instructions for the products in hand and local rules go first; the dentist decides. \
         What is done on the tooth: as the maker of the cement says.",
    );
    ticket::accepted(document, told, &state);
    for restoration in &cleared {
        one(document, told, restoration);
    }
    let mut shape = Vec::new();
    for at in told.facts.places(PlaceKind::Abutment) {
        if let Place::Unit(tooth) = at {
            shape.extend(weak(told, tooth));
        }
    }
    shape.extend(first_to_let_go(told));
    if !shape.is_empty() {
        document.heading("Stumps");
        for line in shape {
            document.point("-", None, line, Vec::new());
        }
    }
    document.heading("Caution");
    document.text(CAUTION);
}

/// The cement that is planned, where the flow knows it.
fn planned<'a>(told: Told<'a>, at: Place) -> Option<&'a Cement> {
    let id = told.facts.value(&ORDER_CEMENT, at)?.choice()?;
    told.phrase.flow.cement(id)
}

/// The way to the seat for the material and the cement of a restoration; none where one of them is not known or the flow
/// has no way for the two.
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
    document.text(format!("Material: {material}. Class of cement: {cement}."));
    if let Some(inside) = told
        .facts
        .value(&FITTING_SURFACE, at)
        .and_then(Value::choice)
        && inside != "not-said"
    {
        let said = told.said_or_open(FITTING_SURFACE, at);
        document.text(format!("The order says of the inside: {said}."));
    }
    match way(told, at) {
        Some(way) => steps(document, way),
        None if ticket::ordered(told, at).is_some() && planned(told, at).is_some() => {
            document.text(
                "The flow knows no way to seat this material with this cement: ask the makers of both first.",
            );
        }
        None => document.text(format!(
            "How the inside is treated: {}. It hangs on the material and on the cement.",
            words::STILL_TO_FIND_OUT
        )),
    }
    if planned(told, at).is_some_and(|cement| cement.dry_field) {
        document.text("This cement wants saliva and blood kept away until it has set.");
    }
    gum(document, told, restoration);
}

/// Says who does a step, and how long it lasts.
fn who(step: &SeatingStep) -> String {
    let by = match step.by {
        Hands::Laboratory => "laboratory",
        Hands::Chair => "chair",
    };
    let seconds = |number| number_words(number, Unit::Seconds, None);
    match step.lasts {
        Some((least, most)) if least == most => format!("{by}, {}", seconds(least)),
        Some((least, most)) => format!("{by}, {least:.0} to {}", seconds(most)),
        None => by.to_owned(),
    }
}

fn steps(document: &mut Document, way: &Seating) {
    document.text(format!(
        "Inside of the restoration, in this order ({}):",
        way.name
    ));
    for (number, step) in way.steps.iter().enumerate() {
        document.point(
            format!("{}.", number + 1),
            None,
            format!("{} [{}]", step.does, who(step)),
            Vec::new(),
        );
    }
    for (treatment, why) in &way.never {
        document.point("NOT:", None, treatment.words(), vec![why.clone()]);
    }
}

/// Says which margin lie under the gum, and where nobody wrote it down.
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
            if let Some("under-1" | "deeper") = value.and_then(Value::choice) {
                under.push(format!(
                    "{} {}",
                    told.phrase.place(place),
                    told.said_or_open(GUM_USED, place)
                ));
            }
        }
    }
    if !under.is_empty() {
        document.text(format!(
            "Finish line under the gum: {}. Hard to keep dry and to clear of cement.",
            under.join("; ")
        ));
    }
    if !unknown.is_empty() {
        document.text(format!(
            "Finish line against the gum not written down all round: {}.",
            unknown.join(", ")
        ));
    }
}

/// The facts that a finding rests on where the height of a prep is its matter.
const LOW: [FactId; 3] = [HEIGHT_USED, HEIGHT_TO_BASE, WALL_HEIGHT];

/// The facts that a finding rests on where the shape of a prep lets the crown move.
const SHAPE: [FactId; 6] = [
    FAILING,
    PAIR_FAILS,
    EFFECTIVE_SHARE,
    EFFECTIVE,
    TAPER_MOST,
    PREP_SHARE,
];

/// Whether a finding, or one of the same cause, rests on the height or the shape of a prep.
pub(super) fn is_of_shape(finding: &Finding) -> bool {
    std::iter::once(finding)
        .chain(&finding.folded)
        .flat_map(|own| &own.evidence)
        .any(|spot| LOW.contains(&spot.fact) || SHAPE.contains(&spot.fact))
}

/// Says in plain words what is weak about a prep, for whoever seats a crown on it.
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
    let what = match (own(&LOW), own(&SHAPE)) {
        (true, true) => "low, and its shape holds the crown little",
        (true, false) => "low",
        (false, true) => "of a shape that holds the crown little",
        (false, false) => return None,
    };
    Some(format!(
        "{} is {what}: the crown leans on the cement more than usual. A clean, dry inside and a hold until the cement \
         has set, as its maker says, count for more here.",
        told.phrase.tooth(tooth)
    ))
}

/// Names the retainer that would let go first, where a finding says that grip is little and others hold on.
fn first_to_let_go(told: Told<'_>) -> Vec<String> {
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
        .map(|motion| {
            format!(
                "{} would let go first: worth a look whenever the patient comes in.",
                told.phrase.tooth(motion.first)
            )
        })
        .collect()
}
