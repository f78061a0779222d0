//! The work ticket: what the bench builds, from what was measured and decided, and what it checks before it leaves.

use super::{Document, Told, picture, standing, summary};
use crate::call::matter;
use crate::case::life::State;
use crate::case::{Restoration, Role};
use crate::derive::{Turn, least_area};
use crate::fact::{
    C_H2W, CLEARANCE, CONNECTOR_HEIGHT, CONNECTOR_SECTION, CONNECTOR_SPACE, CONNECTOR_WIDTH,
    FITTING_SURFACE, FORM_USED, FactId, GUM_USED, ORDER_MATERIAL, ORDER_METAL, ORDER_SEATING,
    ORDER_SHADE, PATH_UNDERCUT, Place, PlaceKind, RIDGE, SPACE_HEIGHT, SPACE_WIDTH, SPAN, Side,
    Spot, TOOTH_FORM, TOOTH_GUM, TOOTH_WIDTH, UNDERCUT, Unit, Value, WIDTH_USED,
};
use crate::flow::{Hands, Material};
use crate::logic::Instead;
use crate::phrase::{CAUTION, NOTHING_CHECKED, join, number_words, words};
use crate::state::CaseState;
use crate::tooth::Tooth;

/// Undercuts on the common path that are less than this are not told, in mm: no surveyor reads them.
const LEAST_UNDERCUT: f64 = 0.05;

/// What comes before every figure of the ticket.
const MAKERS: &str = "The makers' instructions for material and cement take precedence.";

pub(super) fn add(document: &mut Document, told: Told<'_>) {
    let state = told.state();
    standing::title(document, told, &state, "Work ticket", "do not start");
    summary::head(document, told);
    if told.judgement.verdict.covered {
        let day = told.said_or_open(ORDER_SEATING, Place::Case);
        document.text(format!("Seating day: {day}"));
        standing::before(document, told);
        summary::still_open(document, told.facts, told.judgement, told.phrase);
    } else {
        document.text(NOTHING_CHECKED);
    }
    standing::agreed(document, told, ("Decided with the dentist", "agreed:"));
    build(document, told, &state);
    document.heading("Caution");
    document.text(CAUTION);
}

/// What is built: nothing before it is cleared, clearance and connectors for the design, all of it once it is made.
fn build(document: &mut Document, told: Told<'_>, state: &CaseState) {
    let of = |fits: fn(State) -> bool| -> Vec<&Restoration> {
        told.facts
            .covered()
            .into_iter()
            .filter(|own| state.restoration(own.id).is_some_and(|own| fits(own.state)))
            .collect()
    };
    let cleared = of(State::is_cleared);
    let made = of(|state| state == State::ToMake);
    if cleared.is_empty() {
        if matches!(
            state.state,
            State::Delivered | State::Withdrawn | State::Returned
        ) {
            document.heading("Nothing to build from");
            document.text("Nothing is made under this number any more: see the first lines.");
        } else {
            document.heading("Nothing to build from yet");
            document.text(
                "No size or material stands here before the case is cleared: see the first lines.",
            );
        }
        return;
    }
    if accepted(document, told, state) {
        document.text("Where the order does not say how to make it so, ask before it is made.");
    }
    material(document, told, &cleared);
    units(document, told, &cleared);
    if !made.is_empty() {
        margins(document, told, &made);
    }
    connectors(document, told, &cleared);
    if !made.is_empty() {
        bench(document, told, &made);
        leaves(document, told, &made, state);
    }
}

/// What is made as it is, although it was found: told before any size, since a table gives no fault.
/// Says whether anything was.
pub(super) fn accepted(document: &mut Document, told: Told<'_>, state: &CaseState) -> bool {
    let list: Vec<_> = state
        .restorations
        .iter()
        .filter(|own| own.state.is_cleared() || own.state == State::Delivered)
        .flat_map(|own| &own.accepted)
        .collect();
    if list.is_empty() {
        return false;
    }
    document.heading("Accepted as it is");
    for finding in list {
        let level = Some(finding.level);
        let line = told.phrase.line(told.facts, finding);
        let risk = told.phrase.tells(told.facts, finding);
        let case = told.facts.case();
        let words = std::iter::once(finding)
            .chain(&finding.folded)
            .filter_map(|own| case.decision(&matter(told.phrase.flow, own)))
            .map(|decided| decided.decision.words.as_str())
            .find(|words| !words.is_empty());
        let said = words.map(|words| format!("As was said: \"{words}\""));
        let risk = format!("Accepted risk: {risk}");
        document.point("-", level, line, said.into_iter().chain([risk]).collect());
    }
    true
}

/// Returns whether a place belongs to one of these restorations.
fn is_of(told: Told<'_>, of: &[&Restoration], at: Place) -> bool {
    let owner = told.facts.units().owner(at);
    owner.is_some_and(|owner| of.iter().any(|own| own.id == owner.id))
}

/// The material that is ordered, where the flow knows it.
pub(super) fn ordered<'a>(told: Told<'a>, at: Place) -> Option<&'a Material> {
    let id = told.facts.value(&ORDER_MATERIAL, at)?.choice()?;
    told.phrase.flow.material(id)
}

fn mm(number: f64) -> String {
    number_words(number, Unit::Mm, None)
}

fn material(document: &mut Document, told: Told<'_>, of: &[&Restoration]) {
    document.heading("Material, shade and spacer");
    for restoration in of {
        let at = Place::Restoration(restoration.id);
        let text = match ordered(told, at) {
            Some(material) => {
                let mut walls = told.facts.places(PlaceKind::Wall).into_iter();
                let feather = |at| {
                    let form = told.facts.value(&FORM_USED, at).and_then(Value::choice);
                    form == Some("feather")
                };
                // A feather edge has no depth; where there is another form its depth counts.
                let edge = if walls.all(|at| !is_of(told, &[restoration], at) || feather(at)) {
                    "out to a feather edge".to_owned()
                } else {
                    format!(
                        "on a finish line at least {} deep",
                        mm(material.margin_depth)
                    )
                };
                format!(
                    "{}: at least {} over the top and {} on the walls, {edge}",
                    material.name,
                    mm(material.occlusal),
                    mm(material.axial),
                )
            }
            None => format!("material {}", told.said_or_open(ORDER_MATERIAL, at)),
        };
        document.point(format!("R{}:", restoration.id), None, text, Vec::new());
    }
    let shade = match told.facts.value(&ORDER_SHADE, Place::Case) {
        Some(Value::Yes) => "as on the order",
        _ => words::STILL_TO_FIND_OUT,
    };
    document.point("shade:", None, shade, Vec::new());
    let spacer = told.phrase.flow.figures.spacer.says.as_str();
    document.point("die spacer:", None, spacer, Vec::new());
    document.point("-", None, MAKERS, Vec::new());
    if told.facts.value(&ORDER_METAL, Place::Case) == Some(&Value::Yes) {
        document.point(
            "metal:",
            None,
            "a sensitivity is noted on the order",
            Vec::new(),
        );
    }
}

fn units(document: &mut Document, told: Told<'_>, of: &[&Restoration]) {
    let mut rows = Vec::new();
    let mut pontics = Vec::new();
    for unit in of.iter().flat_map(|restoration| &restoration.units) {
        let at = Place::Unit(unit.tooth);
        let name = told.phrase.tooth(unit.tooth);
        let nothing = || "-".to_owned();
        rows.push(match unit.role {
            Role::Abutment => [
                name,
                "crown".to_owned(),
                told.said_or_open(CLEARANCE, at),
                undercuts(told, unit.tooth),
            ],
            Role::Pontic => {
                let span = told.said_or_open(SPAN, at);
                let ridge = told.said_or_open(RIDGE, at);
                pontics.push((format!("{name}:"), format!("span {span}, ridge {ridge}")));
                [name, "pontic".to_owned(), nothing(), nothing()]
            }
        });
    }
    document.heading("Units");
    document.table(["unit", "role", "clearance", "to block out"], rows);
    for (mark, text) in pontics {
        document.point(mark, None, text, Vec::new());
    }
}

/// Says what to block out: the surveyor's word, and what leans on the common path.
fn undercuts(told: Told<'_>, tooth: Tooth) -> String {
    let mut said = vec![told.said_or_open(UNDERCUT, Place::Unit(tooth))];
    for side in Side::ALL {
        let at = Place::Wall(tooth, side);
        let number = told.facts.value(&PATH_UNDERCUT, at).and_then(Value::number);
        if let Some(number) = number.filter(|number| *number >= LEAST_UNDERCUT) {
            said.push(format!(
                "{} {} on the common path",
                told.phrase.side(tooth, side),
                mm(number)
            ));
        }
    }
    said.join(", ")
}

/// Says what is known of the margin at a wall: as read there or all round, or why it is not known.
fn at_wall(told: Told<'_>, (used, asked): (FactId, FactId), wall: Place, tooth: Place) -> String {
    told.said(used, wall)
        .unwrap_or_else(|| match told.facts.turn(&asked, tooth) {
            Turn::Up | Turn::Later | Turn::Unsure => words::STILL_TO_FIND_OUT.to_owned(),
            Turn::Idle => "see the die".to_owned(),
        })
}

fn margins(document: &mut Document, told: Told<'_>, of: &[&Restoration]) {
    let mut rows: Vec<[String; 5]> = Vec::new();
    for at in told.facts.places(PlaceKind::Abutment) {
        let Place::Unit(tooth) = at else { continue };
        if !is_of(told, of, at) {
            continue;
        }
        let walls = Side::ALL.map(|side| {
            let wall = Place::Wall(tooth, side);
            (
                told.phrase.side(tooth, side),
                [
                    (FORM_USED, TOOTH_FORM),
                    (WIDTH_USED, TOOTH_WIDTH),
                    (GUM_USED, TOOTH_GUM),
                ]
                .map(|facts| at_wall(told, facts, wall, at)),
            )
        });
        let [(_, first), ..] = &walls;
        let name = told.phrase.tooth(tooth);
        if walls.iter().all(|(_, said)| said == first) {
            let [form, depth, gum] = first.clone();
            rows.push([name, "all round".to_owned(), form, depth, gum]);
        } else {
            rows.extend(walls.map(|(side, [form, depth, gum])| {
                [name.clone(), side.to_owned(), form, depth, gum]
            }));
        }
    }
    document.heading("Margins");
    document.table(["prep", "wall", "form", "width", "against the gum"], rows);
}

fn connectors(document: &mut Document, told: Told<'_>, of: &[&Restoration]) {
    let mut rows = Vec::new();
    let places = told.facts.places(PlaceKind::Connector);
    for at in places.into_iter().filter(|at| is_of(told, of, *at)) {
        rows.push([
            told.phrase.place(at),
            least(told, at),
            wanted_h2w(told, at).map_or_else(
                || "-".to_owned(),
                |least| number_words(least, Unit::Mm3, Some(0)),
            ),
            space(told, at),
            drawn(told, at),
        ]);
    }
    if rows.is_empty() {
        return;
    }
    document.heading("Connectors, height by width");
    document.table(
        [
            "between",
            "area at least",
            "h²·w at least",
            "space",
            "drawn",
        ],
        rows,
    );
    picture::bridges(document, told);
}

fn least(told: Told<'_>, at: Place) -> String {
    let restoration = told.facts.units().owner(at);
    let material = restoration.and_then(|r| ordered(told, Place::Restoration(r.id)));
    match restoration.zip(material) {
        Some((restoration, material)) => least_area(material, restoration, at).map_or_else(
            || "not in this material".to_owned(),
            |area| number_words(area, Unit::Mm2, None),
        ),
        None => words::STILL_TO_FIND_OUT.to_owned(),
    }
}

fn by(told: Told<'_>, height: FactId, width: FactId, at: Place) -> String {
    match (told.said(height, at), told.said(width, at)) {
        (Some(height), Some(width)) => {
            format!("{} × {width}", height.trim_end_matches(" mm"))
        }
        _ => words::STILL_TO_FIND_OUT.to_owned(),
    }
}

/// The space at a joint: as measured, or as it was seen to be.
fn space(told: Told<'_>, at: Place) -> String {
    let seen = told.facts.resolved(&CONNECTOR_SPACE, at);
    match (told.said(SPACE_HEIGHT, at), seen) {
        (None, Some((_, value))) if value.choice() == Some("ample") => "ample".to_owned(),
        _ => by(told, SPACE_HEIGHT, SPACE_WIDTH, at),
    }
}

fn drawn(told: Told<'_>, at: Place) -> String {
    if told.said(CONNECTOR_HEIGHT, at).is_none() {
        return "not yet".to_owned();
    }
    let size = by(told, CONNECTOR_HEIGHT, CONNECTOR_WIDTH, at);
    match told.said(CONNECTOR_SECTION, at) {
        Some(section) => format!("{size}, {section}"),
        None => size,
    }
}

/// Returns the least h²·w in mm³ that a rule of the flow wants of this connector; none where no rule applies to it.
///
/// The limit stands in the flow and nowhere else. A rule applies where it would fire on a connector of no size.
fn wanted_h2w(told: Told<'_>, at: Place) -> Option<f64> {
    let none = Instead {
        world: told.facts,
        spot: Spot { fact: C_H2W, at },
        value: Value::Number(0.0, Unit::Mm3),
    };
    told.phrase
        .flow
        .rules
        .iter()
        .filter(|rule| rule.at == PlaceKind::Connector)
        .filter_map(|rule| rule.least(&C_H2W, &none, at))
        .reduce(f64::max)
}

fn bench(document: &mut Document, told: Told<'_>, of: &[&Restoration]) {
    let mut said: Vec<String> = Vec::new();
    let own = |at: Place| told.facts.units().owner(at).is_none() || is_of(told, of, at);
    for finding in told.judgement.all_findings().filter(|f| own(f.at)) {
        if let Some(bench) = told.phrase.bench(told.facts, finding) {
            let place = match finding.at {
                Place::Case => String::new(),
                at => format!("{}: ", told.phrase.place(at)),
            };
            let line = format!("{place}{bench}");
            if !said.contains(&line) {
                said.push(line);
            }
        }
    }
    if said.is_empty() {
        return;
    }
    document.heading("At the bench");
    for line in said {
        document.point("-", None, line, Vec::new());
    }
}

/// What is checked before the work leaves. Common practice, no source.
fn leaves(document: &mut Document, told: Told<'_>, of: &[&Restoration], state: &CaseState) {
    document.heading("Before it leaves");
    let tick = |document: &mut Document, text: &str| document.point("[ ]", None, text, Vec::new());
    tick(document, "seats on the dies, all the way, without rocking");
    let own = || of.iter().filter_map(|own| state.restoration(own.id));
    let mut unchecked: Vec<String> = own()
        .flat_map(|own| &own.unchecked_beside)
        .map(|id| told.phrase.decided_at(told.facts, Place::Restoration(*id)))
        .collect();
    unchecked.dedup();
    let contacts = "proximal contacts correct (shim or floss)";
    tick(
        document,
        &match unchecked.as_slice() {
            [] => contacts.to_owned(),
            list => format!("{contacts}; towards {} once that is settled", join(list)),
        },
    );
    // Only what was accepted of the margin softens the look at the margin, and so the bite.
    let but = |of: &[&str]| {
        let accepted = own().flat_map(|own| &own.accepted);
        let mut evidence = accepted.flat_map(|finding| &finding.evidence);
        let about = evidence.any(|spot| of.iter().any(|part| spot.fact.as_str().contains(part)));
        if about {
            ", but for what was accepted as it is"
        } else {
            ""
        }
    };
    tick(
        document,
        &format!(
            "margin closed all round under the loupe{}",
            but(&[".margin_"])
        ),
    );
    tick(
        document,
        &format!(
            "bite as on the models, closing and sliding{}",
            but(&["bite", "clearance", "opposing"])
        ),
    );
    tick(document, "thickness measured at its thinnest: ____ mm");
    let connectors: Vec<String> = told
        .facts
        .places(PlaceKind::Connector)
        .into_iter()
        .filter(|at| is_of(told, of, *at))
        .map(|at| format!("{} ____ × ____", told.phrase.place(at)))
        .collect();
    if !connectors.is_empty() {
        tick(
            document,
            &format!("connectors measured: {}", connectors.join(", ")),
        );
    }
    for restoration in of {
        let at = Place::Restoration(restoration.id);
        tick(document, &inside(told, at));
    }
    tick(
        document,
        "cleaned, disinfected, packed with the seating notes",
    );
}

/// Says what the laboratory does to the inside of a restoration: as the order says, else as the flow has it.
fn inside(told: Told<'_>, at: Place) -> String {
    let name = told.phrase.place(at);
    let order = told
        .facts
        .value(&FITTING_SURFACE, at)
        .and_then(Value::choice);
    if order.is_some_and(|order| order != "not-said") {
        let said = told.said_or_open(FITTING_SURFACE, at);
        return format!("{name} fitting surface as the order says: {said}");
    }
    let Some(way) = super::seating::way(told, at) else {
        return format!("{name} fitting surface: {}", words::STILL_TO_FIND_OUT);
    };
    let ours: Vec<&str> = way
        .steps
        .iter()
        .filter(|step| step.by == Hands::Laboratory)
        .map(|step| step.does.as_str())
        .collect();
    if ours.is_empty() {
        format!("{name} fitting surface: no laboratory treatment; treated chairside")
    } else {
        format!("{name} fitting surface treated: {}", ours.join(" "))
    }
}
