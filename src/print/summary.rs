//! The summary: what was found, why, what is still to be found out, and the figures it rests on.

use super::{Document, Told, picture, seating, ticket};
use crate::call;
use crate::case::Layer;
use crate::case::life::State;
use crate::derive::{Facts, Worked};
use crate::fact::{
    FAILING, FactId, HEIGHT_TO_BASE, HEIGHT_USED, ORDER_MATERIAL, Place, PlaceKind, Spot, TAPER_FL,
    TAPER_MD,
};
use crate::flow::{Block, Level};
use crate::judge::doubt::Doubt;
use crate::judge::{Judgement, OpenPoint, Outcome};
use crate::phrase::{CAUTION, DISLODGEMENT_CAUTION, NOTHING_CHECKED, Phrase, words};
use crate::state::{NotYet, RestorationState, expected};

/// The most readings that are asked for a second time.
const MOST_AGAIN: usize = 4;

pub(super) fn add(document: &mut Document, told: Told<'_>) {
    let Told {
        facts,
        judgement,
        doubt,
        phrase,
        ..
    } = told;
    let case = facts.case();
    document.title(format!("Inspection summary, case {}", case.number));
    head(document, told);
    how_far(document, told);
    findings(document, told);
    super::options::add(document, told);
    still_open(document, facts, judgement, phrase);
    again(document, doubt, phrase);
    figures(document, facts, phrase);
    picture::dies(document, told);
    dislodgement(document, facts, phrase);
    refused(document, facts, phrase);
    set_aside(document, facts, phrase);
    sources(document, told);
    document.heading("Caution");
    document.text(CAUTION);
}

/// Says what the case is, under which scheme and flow, and what it comes to.
pub(super) fn head(document: &mut Document, told: Told<'_>) {
    let Told {
        facts,
        judgement,
        phrase,
        ..
    } = told;
    let units = facts.units();
    for restoration in units.restorations() {
        let at = Place::Restoration(restoration.id);
        if !facts.covers(at) {
            document.text(format!(
                "R{} {}: {}, not checked here ({})",
                restoration.id,
                phrase.units(restoration),
                words::NOT_COVERED.to_uppercase(),
                phrase.kind_of_work(facts, restoration)
            ));
            continue;
        }
        let material = phrase
            .fact(
                facts,
                &Spot {
                    fact: ORDER_MATERIAL,
                    at,
                },
            )
            .unwrap_or_else(|| "material not given yet".to_owned());
        let verdict = judgement
            .by_restoration
            .iter()
            .find(|(id, _)| *id == restoration.id)
            .map(|(_, v)| *v);
        let result = verdict
            .filter(|_| units.restorations().len() > 1)
            .map_or_else(String::new, |verdict| {
                format!(": {}", phrase.verdict(verdict))
            });
        document.text(format!(
            "R{} {}, {material}{result}",
            restoration.id,
            phrase.units(restoration)
        ));
    }
    document.text(format!(
        "Teeth in {}; x marks a missing tooth. Flow \"{}\", version {}.",
        phrase.notation.name(),
        phrase.flow.id,
        phrase.flow.version
    ));
    // Beside a clearance the result alone would stop the work.
    let state = told.state();
    let grave = judgement.verdict.level >= Level::Call
        && matches!(state.state, State::ForDesign | State::ToMake);
    let redrawn = |own: &RestorationState| {
        let mut not_yet = own.not_yet.iter();
        not_yet.any(|why| matches!(why, NotYet::Redraw(_)))
    };
    let beside = if grave && state.restorations.iter().any(redrawn) {
        ", to be drawn anew"
    } else if grave {
        ", accepted"
    } else {
        ""
    };
    document.text(format!(
        "Result: {}{beside}",
        phrase.result(judgement).to_uppercase()
    ));
}

/// Says how far each restoration is, and what the result is expected to be once everything that was agreed is here.
fn how_far(document: &mut Document, told: Told<'_>) {
    let Told { facts, phrase, .. } = told;
    for (_, line) in told.state().lines(facts, phrase, told.beside.today) {
        document.text(line);
    }
    if let Some(judged) = expected(phrase.flow, facts) {
        document.text(format!(
            "Expected once that is here: ~{}",
            phrase.verdict(judged.verdict)
        ));
    }
}

fn findings(document: &mut Document, told: Told<'_>) {
    let Told {
        facts,
        judgement,
        phrase,
        beside,
        ..
    } = told;
    document.heading("Found");
    if judgement.findings.is_empty() {
        document.text(match judgement.verdict.outcome() {
            Outcome::NotCovered => NOTHING_CHECKED,
            Outcome::Open => "Nothing so far; see what is still to find out.",
            _ => "Nothing found. That is not approval.",
        });
    }
    for finding in &judgement.findings {
        let mut under = vec![phrase.because(facts, finding)];
        let usual = phrase.usual(facts, finding).into_iter();
        under.extend(usual.map(|norm| format!("Usual: {}", norm.says)));
        under.extend(
            phrase
                .bench(facts, finding)
                .map(|bench| format!("At the bench: {bench}")),
        );
        if finding
            .evidence
            .iter()
            .any(|spot| facts.layer(spot) != Layer::Measured)
        {
            under.push("Based on an agreed change.".to_owned());
        }
        under.extend(
            call::said(facts, finding, phrase, beside.instructions)
                .map(|said| format!("Answer: {said}")),
        );
        if !finding.folded.is_empty() {
            let same: Vec<String> = finding
                .folded
                .iter()
                .map(|folded| phrase.line(facts, folded))
                .collect();
            under.push(format!("Same cause: {}.", same.join("; ")));
        }
        document.point(
            format!("{}:", phrase.level(finding.level).to_uppercase()),
            Some(finding.level),
            phrase.line(facts, finding),
            under,
        );
    }
}

pub(super) fn still_open(
    document: &mut Document,
    facts: &Facts<'_>,
    judgement: &Judgement,
    phrase: Phrase<'_>,
) {
    if judgement.open_points.is_empty() {
        return;
    }
    document.heading("Still to find out");
    let (seen, asked): (Vec<_>, Vec<_>) = judgement
        .open_points
        .iter()
        .partition(|point| point.is_not_seen());
    // Rules that wait for the same readings are one line, with the worst they could come to.
    let mut lines: Vec<(String, &OpenPoint)> = Vec::new();
    for point in seen {
        let text = format!("{}: {}", phrase.open_point(point), phrase.why_open(point));
        // The worst come first.
        if !lines.iter().any(|(known, _)| *known == text) {
            lines.push((text, point));
        }
    }
    for (text, worst) in lines {
        let text = format!("{text}, {}", phrase.may_become(worst));
        document.point("-", Some(worst.could_be), text, Vec::new());
    }
    not_asked(document, facts, &asked, phrase);
}

/// What the inspection still asks: one line a step, each question once, walls under their tooth.
fn not_asked(
    document: &mut Document,
    facts: &Facts<'_>,
    points: &[&OpenPoint],
    phrase: Phrase<'_>,
) {
    for step in &phrase.flow.steps {
        let facts_of_step: Vec<&FactId> = step
            .blocks
            .iter()
            .flat_map(|block| match block {
                Block::Ask(fact) => std::slice::from_ref(fact),
                Block::Grid { rows, .. } => rows.as_slice(),
            })
            .collect();
        let mut level = Level::Fine;
        let mut parts: Vec<(String, Vec<String>)> = Vec::new();
        for point in points {
            for (spot, _) in point
                .needs
                .iter()
                .filter(|(spot, _)| facts_of_step.contains(&&spot.fact))
            {
                level = level.max(point.could_be);
                let at = facts
                    .units()
                    .resolve(PlaceKind::Unit, spot.at)
                    .unwrap_or(spot.at);
                let place = if at == Place::Case {
                    String::new()
                } else {
                    format!("{} ", phrase.place(at))
                };
                let label = phrase.label(&spot.fact);
                match parts.iter_mut().find(|(known, _)| *known == place) {
                    Some((_, labels)) if labels.contains(&label) => {}
                    Some((_, labels)) => labels.push(label),
                    None => parts.push((place, vec![label])),
                }
            }
        }
        if !parts.is_empty() {
            let said: Vec<_> = parts
                .into_iter()
                .map(|(place, labels)| format!("{place}{}", labels.join(", ")))
                .collect();
            let text = format!(
                "{} (not asked yet, may become {})",
                said.join("; "),
                phrase.level(level)
            );
            document.point(format!("- {}:", step.title), Some(level), text, Vec::new());
        }
    }
}

/// Lists the readings whose error could turn the result.
fn again(document: &mut Document, doubt: Option<&Doubt>, phrase: Phrase<'_>) {
    let measure_again = doubt.map_or(&[][..], |doubt| &doubt.measure_again);
    if measure_again.is_empty() {
        return;
    }
    document.heading("Measure again");
    let turns = doubt.and_then(|doubt| phrase.turns(doubt));
    turns.into_iter().for_each(|turns| document.text(turns));
    for measure_again in measure_again.iter().take(MOST_AGAIN) {
        document.point("-", None, phrase.again(measure_again), Vec::new());
    }
}

fn figures(document: &mut Document, facts: &Facts<'_>, phrase: Phrase<'_>) {
    let mut rows = Vec::new();
    for at in facts.places(PlaceKind::Abutment) {
        let said = |fact| phrase.fact(facts, &Spot { fact, at }).unwrap_or_default();
        let hold = match said(FAILING).as_str() {
            "" => String::new(),
            "0" => "all round".to_owned(),
            lost => format!("lost in {lost} of 4"),
        };
        let row = [
            phrase.place(at),
            said(HEIGHT_USED),
            said(HEIGHT_TO_BASE),
            said(TAPER_MD),
            said(TAPER_FL),
            hold,
        ];
        if row.iter().skip(1).any(|cell| !cell.is_empty()) {
            rows.push(row);
        }
    }
    if rows.is_empty() {
        return;
    }
    document.heading("Stumps");
    document.table(
        [
            "stump",
            "height",
            "height/base",
            "total taper m-d",
            "total taper f-l",
            "hold",
        ],
        rows,
    );
}

/// Says for each restoration how its shape compares, and how it would come off.
fn dislodgement(document: &mut Document, facts: &Facts<'_>, phrase: Phrase<'_>) {
    let mut said = false;
    for detail in facts.details() {
        let mut lines = phrase.dislodgement(facts, detail);
        lines.extend(phrase.reserve(facts, detail));
        lines.extend(phrase.bends(facts, detail));
        lines.extend(phrase.breaks(facts, detail));
        if lines.is_empty() {
            continue;
        }
        if !said {
            document.heading("Grip of the shape");
            said = true;
        }
        let mark = format!("R{}:", detail.restoration);
        document.point(mark, None, lines.join(". "), Vec::new());
    }
    if said {
        document.text(DISLODGEMENT_CAUTION);
    }
}

fn refused(document: &mut Document, facts: &Facts<'_>, phrase: Phrase<'_>) {
    let refused: Vec<_> = facts
        .all_derived()
        .filter_map(|(spot, derived)| match &derived.result {
            Worked::Refused(reason) => Some((spot, reason)),
            Worked::Out(_) | Worked::Waits(_) => None,
        })
        .collect();
    if refused.is_empty() {
        return;
    }
    document.heading("Not computed");
    for (spot, reason) in refused {
        let text = format!(
            "{} {}: {reason}",
            phrase.place(spot.at),
            phrase.label(&spot.fact)
        );
        document.point("-", None, text, Vec::new());
    }
}

fn set_aside(document: &mut Document, facts: &Facts<'_>, phrase: Phrase<'_>) {
    let aside: Vec<String> = facts
        .case()
        .set_aside()
        .map(|(spot, _, reading)| {
            let said = phrase.reading(&spot.fact, reading);
            format!(
                "{} {}: {said}",
                phrase.place(spot.at),
                phrase.label(&spot.fact)
            )
        })
        .collect();
    if aside.is_empty() {
        return;
    }
    document.heading("Set aside: answers at places that are no longer in the order");
    for text in aside {
        document.point("-", None, text, Vec::new());
    }
}

/// Lists the sources of the findings, the materials and the ways to the seat, each once: no other sheet names them.
fn sources(document: &mut Document, told: Told<'_>) {
    let Told { facts, phrase, .. } = told;
    let mut ids: Vec<&str> = Vec::new();
    for finding in told.judgement.all_findings() {
        ids.extend(phrase.flow.rule(finding.rule).map(|rule| &*rule.source));
        let usual = phrase.usual(facts, finding).into_iter();
        ids.extend(usual.map(|norm| &*norm.source));
    }
    for restoration in facts.units().restorations() {
        let at = Place::Restoration(restoration.id);
        if let Some(material) = ticket::ordered(told, at) {
            ids.push(&material.source);
            let connectors = material.connectors.as_ref();
            let joined = connectors.filter(|_| restoration.units.len() > 1);
            ids.extend(joined.map(|connectors| &*connectors.source));
        }
        let steps = seating::way(told, at).map_or(&[][..], |way| &way.steps);
        ids.extend(steps.iter().map(|step| &*step.source));
    }
    let mut said: Vec<String> = Vec::new();
    for id in ids {
        let source = source(phrase, id);
        if !said.contains(&source) {
            said.push(source);
        }
    }
    if said.is_empty() {
        return;
    }
    document.heading("Sources");
    for source in said {
        document.source(source);
    }
    document
        .source("Die spacer and the checks before it leaves, on the work ticket (common practice)");
}

/// Says a source and how far it can be relied on, unless its text says that itself.
fn source(phrase: Phrase<'_>, id: &str) -> String {
    match phrase.flow.source(id) {
        Some(source) => {
            let status = source.status.on_paper();
            if source.text.to_lowercase().starts_with(status) {
                source.text.clone()
            } else {
                format!("{} ({status})", source.text)
            }
        }
        None => id.to_owned(),
    }
}
