//! The work ticket: what the bench builds, from what was measured and agreed, and what it checks before the work leaves.

use super::{Document, Told, picture, standing, summary};
use crate::call::matter;
use crate::case::decision::{Decided, DentistAnswer};
use crate::case::life::State;
use crate::case::{Layer, Restoration, Role};
use crate::derive::{Turn, least_area};
use crate::fact::{
    C_H2W, CLEARANCE, CONNECTOR_HEIGHT, CONNECTOR_SECTION, CONNECTOR_SPACE, CONNECTOR_WIDTH,
    ConnectorSpace, FITTING_SURFACE, FORM_USED, FactId, GUM_USED, MarginForm, ORDER_CEMENT,
    ORDER_MATERIAL, ORDER_METAL, ORDER_SEATING, ORDER_SHADE, PATH_UNDERCUT, PONTIC_FORM, Place,
    PlaceKind, RIDGE, SPACE_HEIGHT, SPACE_WIDTH, SPAN, Side, Spot, TOOTH_FORM, TOOTH_GUM,
    TOOTH_WIDTH, UNDERCUT, Unit, Value, WIDTH_USED,
};
use crate::flow::{Hands, Level, Material};
use crate::judge::Finding;
use crate::logic::Instead;
use crate::phrase::sheets::{self, summary::answered, ticket as says};
use crate::phrase::{CAUTION, NOTHING_CHECKED, number_words, words};
use crate::state::CaseState;
use crate::tooth::Tooth;

/// Undercut on the common path below which it is not printed, in mm: no surveyor reads it.
const LEAST_UNDERCUT: f64 = 0.05;

pub(super) fn add(document: &mut Document, told: Told<'_>) {
    let state = told.state();
    standing::title(document, told, &state, says::TITLE, says::MUST_NOT);
    standing::life(document, told, &state);
    summary::head(document, told);
    if told.judgement.verdict.covered {
        let day = told.said_or_open(ORDER_SEATING, Place::Case);
        document.text(sheets::labelled(sheets::SEATING_DAY, &day));
        standing::before(document, told);
        summary::still_open(document, told.facts, told.judgement, told.phrase);
    } else {
        document.text(NOTHING_CHECKED);
    }
    standing::agreed(document, told, &state, says::AGREED);
    build(document, told, &state);
    document.heading(sheets::CAUTION);
    document.text(CAUTION);
}

/// Adds what is built: nothing before it is cleared, clearance and connectors once it is cleared for design, all of it once
/// it is cleared to make.
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
        if state.state.is_over() {
            document.heading(says::CLOSED);
            document.text(says::CLOSED_WHY);
        } else {
            document.heading(says::NOT_YET);
            document.text(says::NOT_YET_WHY);
        }
        return;
    }
    if accepted(document, told, state) {
        document.text(says::ASK_HOW);
    }
    with_care(document, told, &cleared, state);
    material(document, told, &cleared);
    units(document, told, &cleared);
    margins(document, told, &cleared);
    connectors(document, told, &cleared);
    if !made.is_empty() {
        bench(document, told, &made);
        leaves(document, told, &made, state);
    }
}

/// Adds what was accepted as it is, before any size, since a table of sizes does not show it; returns whether anything was.
pub(super) fn accepted(document: &mut Document, told: Told<'_>, state: &CaseState) -> bool {
    let list: Vec<_> = state
        .restorations
        .iter()
        .filter(|own| own.state.is_cleared() || own.state == State::Delivered)
        .flat_map(|own| &own.accepted)
        .collect();
    let case = told.facts.case();
    let decided = |finding: &Finding| -> Vec<&Decided> {
        std::iter::once(finding)
            .chain(&finding.folded)
            .filter_map(|own| case.decision(&matter(told.phrase.flow, own)))
            .collect()
    };
    let is_agreed = |finding: &Finding| {
        let all = decided(finding);
        let agreed = |own: &&Decided| {
            own.decision.outcome == DentistAnswer::Agreed && !own.decision.taken.is_empty()
        };
        !all.is_empty() && all.iter().all(agreed)
    };
    let (agreed, as_it_is): (Vec<&Finding>, Vec<&Finding>) =
        list.into_iter().partition(|own| is_agreed(own));
    let mut part = |heading: &str, list: &[&Finding], is_risk: bool| {
        if list.is_empty() {
            return;
        }
        document.heading(heading);
        for finding in list {
            let line = told.phrase.line(told.facts, finding);
            let mut under: Vec<String> = decided(finding)
                .into_iter()
                .map(|decided| answered(&told.phrase.decision(told.facts, decided)))
                .collect();
            if is_risk {
                under.push(says::risk(&told.phrase.tells(told.facts, finding)));
            }
            document.point("-", Some(finding.level), line, under);
        }
    };
    part(says::IN_THIS_WAY, &agreed, false);
    part(says::ACCEPTED, &as_it_is, true);
    !as_it_is.is_empty()
}

/// Adds what was found and asks for care, before any size: a table shows what was read, not what is missing.
fn with_care(document: &mut Document, told: Told<'_>, of: &[&Restoration], state: &CaseState) {
    let accepted = |own: &Finding| {
        let mut all = state.restorations.iter().flat_map(|own| &own.accepted);
        all.any(|other| (other.rule, other.at) == (own.rule, own.at))
    };
    let list: Vec<_> = told
        .judgement
        .findings
        .iter()
        .filter(|own| own.level == Level::Watch && !accepted(own))
        .filter(|own| own.at == Place::Case || is_of(told, of, own.at))
        .collect();
    if list.is_empty() {
        return;
    }
    document.heading(says::WITH_CARE);
    for finding in list {
        let line = told.phrase.line(told.facts, finding);
        document.point("-", Some(finding.level), line, Vec::new());
    }
}

/// Returns whether a place belongs to one of these restorations.
fn is_of(told: Told<'_>, of: &[&Restoration], at: Place) -> bool {
    let owner = told.facts.units().owner(at);
    owner.is_some_and(|owner| of.iter().any(|own| own.id == owner.id))
}

/// Returns the material that is ordered, or `None` if the flow does not know it.
pub(super) fn ordered<'a>(told: Told<'a>, at: Place) -> Option<&'a Material> {
    let id = told.facts.value(&ORDER_MATERIAL, at)?.choice()?;
    told.phrase.flow.material(id)
}

fn mm(number: f64) -> String {
    number_words(number, Unit::Mm, None)
}

fn material(document: &mut Document, told: Told<'_>, of: &[&Restoration]) {
    document.heading(says::MATERIAL);
    for restoration in of {
        let at = Place::Restoration(restoration.id);
        let text = match ordered(told, at) {
            Some(material) => {
                let mut walls = told.facts.places(PlaceKind::Wall).into_iter();
                let feather = |at| {
                    let form = told.facts.value(&FORM_USED, at).and_then(Value::chosen);
                    form == Some(MarginForm::Feather)
                };
                // A feather edge has no width; any other form needs one.
                let is_feather = walls.all(|at| !is_of(told, &[restoration], at) || feather(at));
                let width = (!is_feather).then(|| mm(material.margin_depth));
                says::material(
                    &material.name,
                    &mm(material.occlusal),
                    &mm(material.axial),
                    width.as_deref(),
                )
            }
            None => says::other_material(&told.said_or_open(ORDER_MATERIAL, at)),
        };
        let cement = says::cement(&told.said_or_open(ORDER_CEMENT, at));
        document.point(format!("R{}:", restoration.id), None, text, vec![cement]);
    }
    let spot = Spot {
        fact: ORDER_SHADE,
        at: Place::Case,
    };
    let case = told.facts.case();
    let is_told = case
        .merged(&spot)
        .is_some_and(|(layer, _)| layer == Layer::Decided);
    let shade = match told.facts.value(&ORDER_SHADE, Place::Case) {
        Some(Value::Yes) if is_told => says::SHADE_TOLD,
        Some(Value::Yes) => says::SHADE_ORDERED,
        // It is asked of nothing but metal.
        None if told.facts.turn(&ORDER_SHADE, Place::Case) == Turn::Idle => says::NO_SHADE,
        _ => words::STILL_TO_FIND_OUT,
    };
    document.point(says::SHADE, None, shade, Vec::new());
    let spacer = told.phrase.flow.figures.spacer.says.as_str();
    document.point(says::DIE_SPACER, None, spacer, Vec::new());
    document.point("-", None, says::MAKERS, Vec::new());
    if told.facts.value(&ORDER_METAL, Place::Case) == Some(&Value::Yes) {
        document.point(says::METAL, None, says::METAL_NOTED, Vec::new());
    }
}

fn units(document: &mut Document, told: Told<'_>, of: &[&Restoration]) {
    let mut rows = Vec::new();
    let mut pontics = Vec::new();
    let parts = of
        .iter()
        .flat_map(|own| own.units.iter().map(move |unit| (*own, unit)));
    for (own, unit) in parts {
        let at = Place::Unit(unit.tooth);
        let name = told.phrase.tooth(unit.tooth);
        let nothing = || sheets::NOTHING.to_owned();
        rows.push(match unit.role {
            Role::Abutment => [
                name,
                says::abutment(own.units.len(), own.teeth(Role::Pontic).count()).to_owned(),
                told.said_or_open(CLEARANCE, at),
                undercuts(told, unit.tooth),
            ],
            Role::Pontic => {
                let span = told.said_or_open(SPAN, at);
                let ridge = told.said_or_open(RIDGE, at);
                let form = told.said_or_open(PONTIC_FORM, at);
                pontics.push((format!("{name}:"), says::pontic(&span, &ridge, &form)));
                [name, says::PONTIC.to_owned(), nothing(), nothing()]
            }
        });
    }
    document.heading(says::UNITS);
    document.table(says::UNIT_COLUMNS, rows);
    for (mark, text) in pontics {
        document.point(mark, None, text, Vec::new());
    }
}

/// Returns what to block out: the undercut that was surveyed, and those along the common path.
fn undercuts(told: Told<'_>, tooth: Tooth) -> String {
    let mut said = vec![told.said_or_open(UNDERCUT, Place::Unit(tooth))];
    for side in Side::ALL {
        let at = Place::Wall(tooth, side);
        let number = told.facts.value(&PATH_UNDERCUT, at).and_then(Value::number);
        if let Some(number) = number.filter(|number| *number >= LEAST_UNDERCUT) {
            said.push(says::undercut(told.phrase.side(tooth, side), &mm(number)));
        }
    }
    said.join(", ")
}

/// Returns a fact of the margin at a wall, as read there or all round, or why it is not known.
fn at_wall(told: Told<'_>, (used, asked): (FactId, FactId), wall: Place, tooth: Place) -> String {
    told.said(used, wall)
        .unwrap_or_else(|| match told.facts.turn(&asked, tooth) {
            Turn::Up | Turn::Later | Turn::Unsure => words::STILL_TO_FIND_OUT.to_owned(),
            Turn::Idle => says::SEE_DIE.to_owned(),
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
            let [form, width, gum] = first.clone();
            rows.push([name, words::ALL_ROUND.to_owned(), form, width, gum]);
        } else {
            rows.extend(walls.map(|(side, [form, width, gum])| {
                [name.clone(), side.to_owned(), form, width, gum]
            }));
        }
    }
    document.heading(says::MARGINS);
    document.table(says::MARGIN_COLUMNS, rows);
}

fn connectors(document: &mut Document, told: Told<'_>, of: &[&Restoration]) {
    let mut rows = Vec::new();
    let places = told.facts.places(PlaceKind::Connector);
    for at in places.into_iter().filter(|at| is_of(told, of, *at)) {
        rows.push([
            told.phrase.place(at),
            least(told, at),
            needed_h2w(told, at).map_or_else(
                || sheets::NOTHING.to_owned(),
                |least| number_words(least, Unit::Mm3, Some(0)),
            ),
            space(told, at),
            drawn(told, at),
        ]);
    }
    if rows.is_empty() {
        return;
    }
    document.heading(says::CONNECTORS);
    document.table(says::CONNECTOR_COLUMNS, rows);
    picture::bridges(document, told);
}

fn least(told: Told<'_>, at: Place) -> String {
    let restoration = told.facts.units().owner(at);
    let material = restoration.and_then(|r| ordered(told, Place::Restoration(r.id)));
    match restoration.zip(material) {
        Some((restoration, material)) => least_area(material, restoration, at).map_or_else(
            || says::NOT_IN_MATERIAL.to_owned(),
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

/// Returns the space for a connector, as measured or as seen.
fn space(told: Told<'_>, at: Place) -> String {
    let seen = told.facts.resolved(&CONNECTOR_SPACE, at);
    match (told.said(SPACE_HEIGHT, at), seen) {
        (None, Some((_, value))) if value.chosen() == Some(ConnectorSpace::Ample) => {
            says::AMPLE.to_owned()
        }
        _ => by(told, SPACE_HEIGHT, SPACE_WIDTH, at),
    }
}

fn drawn(told: Told<'_>, at: Place) -> String {
    if told.said(CONNECTOR_HEIGHT, at).is_none() {
        return says::NOT_DESIGNED.to_owned();
    }
    let size = by(told, CONNECTOR_HEIGHT, CONNECTOR_WIDTH, at);
    match told.said(CONNECTOR_SECTION, at) {
        Some(section) => format!("{size}, {section}"),
        None => size,
    }
}

/// Returns the minimum h²·w in mm³ that the rules of the flow require of this connector, or `None` if no rule applies.
///
/// A rule applies if it would fire on a connector of size 0.
fn needed_h2w(told: Told<'_>, at: Place) -> Option<f64> {
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
    document.heading(says::BENCH);
    for line in said {
        document.point("-", None, line, Vec::new());
    }
}

/// Adds what is checked before the work leaves. Common practice, no source.
fn leaves(document: &mut Document, told: Told<'_>, of: &[&Restoration], state: &CaseState) {
    document.heading(says::CHECKS);
    let tick = |document: &mut Document, text: &str| document.point("[ ]", None, text, Vec::new());
    tick(document, says::CHECK_SEAT);
    let own = || of.iter().filter_map(|own| state.restoration(own.id));
    let mut unchecked: Vec<String> = own()
        .flat_map(|own| &own.unchecked_beside)
        .map(|id| told.phrase.decided_at(told.facts, Place::Restoration(*id)))
        .collect();
    unchecked.dedup();
    tick(document, &says::check_contacts(&unchecked));
    // A finding that was accepted about the margin excepts the check of the margin only, and so with the occlusion.
    let but = |of: &[&str]| {
        let accepted = own().flat_map(|own| &own.accepted);
        let mut evidence = accepted.flat_map(|finding| &finding.evidence);
        evidence.any(|spot| of.iter().any(|part| spot.fact.as_str().contains(part)))
    };
    tick(document, &says::check_margin(but(&[".margin_"])));
    let occlusion = but(&["bite", "clearance", "occlusion", "opposing"]);
    tick(document, &says::check_occlusion(occlusion));
    tick(document, says::CHECK_THICKNESS);
    let connectors: Vec<String> = told
        .facts
        .places(PlaceKind::Connector)
        .into_iter()
        .filter(|at| is_of(told, of, *at))
        .map(|at| told.phrase.place(at))
        .collect();
    if !connectors.is_empty() {
        tick(document, &says::check_connectors(&connectors));
    }
    for restoration in of {
        let at = Place::Restoration(restoration.id);
        tick(document, &fitting_surface(told, at));
    }
    tick(document, says::CHECK_PACKED);
}

/// Returns what the laboratory does to the fitting surface of a restoration: as ordered, or else as the flow has it.
fn fitting_surface(told: Told<'_>, at: Place) -> String {
    let name = told.phrase.place(at);
    let order = told
        .facts
        .value(&FITTING_SURFACE, at)
        .and_then(Value::choice);
    if order.is_some_and(|order| order != "not-said") {
        let said = told.said_or_open(FITTING_SURFACE, at);
        return says::fitting_ordered(&name, &said);
    }
    let Some(way) = super::seating::way(told, at) else {
        return says::fitting_open(&name);
    };
    let ours: Vec<&str> = way
        .steps
        .iter()
        .filter(|step| step.by == Hands::Laboratory)
        .map(|step| step.does.as_str())
        .collect();
    says::fitting(&name, &ours)
}
