//! The summary: what was found, why, what is not known yet, and the figures it rests on.

use super::{Document, Told, compared, picture, seating, standing, ticket};
use crate::call;
use crate::case::Layer;
use crate::case::life::State;
use crate::case::outcome::Kind;
use crate::derive::{Facts, Worked};
use crate::fact::{
    FAILING, FactId, HEIGHT_TO_BASE, HEIGHT_USED, ORDER_MATERIAL, Place, PlaceKind, REMAKE_WHAT,
    Spot, TAPER_FL, TAPER_MD, Value,
};
use crate::flow::{Level, StepBlock};
use crate::judge::doubt::Doubt;
use crate::judge::{CaseResult, Judgement, OpenPoint};
use crate::phrase::outcome;
use crate::phrase::sheets::{self, summary as says};
use crate::phrase::{CAUTION, DISLODGEMENT_CAUTION, NOTHING_CHECKED, Phrase};
use crate::state::{NotYet, RestorationState};

/// The most readings that are listed to be taken again.
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
    document.title(says::title(&case.number));
    head(document, told);
    how_far(document, told);
    picture::units(document, told);
    earlier(document, told);
    compared::arrived(document, told);
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
    document.heading(sheets::CAUTION);
    document.text(CAUTION);
}

/// Adds what was ordered, how teeth are numbered, by which flow it was checked, and the result.
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
            document.text(says::not_covered(
                restoration.id,
                &phrase.units(restoration),
                &phrase.kind_of_work(facts, restoration),
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
            .unwrap_or_else(|| sheets::MATERIAL_OPEN.to_owned());
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
    document.text(sheets::numbering(
        phrase.notation,
        &phrase.flow.id,
        phrase.flow.version,
    ));
    // The result by itself would stop work that is cleared.
    let state = told.state();
    let grave = judgement.verdict.level >= Level::Call
        && matches!(state.state, State::ForDesign | State::ToMake);
    let redrawn = |own: &RestorationState| {
        let mut not_yet = own.not_yet.iter();
        not_yet.any(|why| matches!(why, NotYet::Redraw(_)))
    };
    let beside = if grave && state.restorations.iter().any(redrawn) {
        Some(says::Beside::Redesigned)
    } else {
        grave.then_some(says::Beside::Accepted)
    };
    document.text(says::result(&phrase.result(judgement), beside));
}

/// Adds what was read of the cases that came back, beside what is read now.
fn earlier(document: &mut Document, told: Told<'_>) {
    let Told { facts, phrase, .. } = told;
    for own in told.beside.earlier {
        let units = phrase.outcome_at(facts.case(), own.again, None);
        document.heading(outcome::then_and_now(&own.number));
        if own.case.is_none() {
            document.text(outcome::not_here(&units, &own.number));
            continue;
        }
        let what = facts
            .case()
            .value(&REMAKE_WHAT, Place::Restoration(own.again));
        let what = what.and_then(Value::choice).and_then(Kind::of_remake);
        document.text(outcome::goes_on_from(
            &units,
            &own.number,
            own.delivered(facts.case()),
            what.map(outcome::kind),
        ));
        let rows = phrase.then_and_now(own, facts.case());
        if !rows.is_empty() {
            document.table(outcome::THEN_COLUMNS, rows);
        }
    }
}

/// Adds how far each restoration is.
fn how_far(document: &mut Document, told: Told<'_>) {
    let Told { facts, phrase, .. } = told;
    let state = told.state();
    for (_, line) in state.lines(facts, phrase, told.beside.today) {
        document.text(line);
    }
    standing::life(document, told, &state);
}

fn findings(document: &mut Document, told: Told<'_>) {
    let Told {
        facts,
        judgement,
        phrase,
        beside,
        ..
    } = told;
    document.heading(says::FINDINGS);
    if judgement.findings.is_empty() {
        document.text(match judgement.verdict.outcome() {
            CaseResult::NotCovered => NOTHING_CHECKED,
            CaseResult::Open => says::NOTHING_SO_FAR,
            _ => says::NOTHING_FOUND,
        });
    }
    for finding in &judgement.findings {
        let mut under = vec![phrase.because(facts, finding)];
        let usual = phrase.usual(facts, finding).into_iter();
        under.extend(usual.map(|norm| says::usual(&norm.says)));
        under.extend(
            phrase
                .bench(facts, finding)
                .map(|bench| says::at_the_bench(&bench)),
        );
        if finding
            .evidence
            .iter()
            .any(|spot| facts.layer(spot) != Layer::Measured)
        {
            under.push(says::AGREED_VALUE.to_owned());
        }
        under.extend(
            call::said(facts, finding, phrase, beside.instructions)
                .map(|said| says::answered(&said)),
        );
        if !finding.folded.is_empty() {
            let same: Vec<String> = finding
                .folded
                .iter()
                .map(|folded| phrase.line(facts, folded))
                .collect();
            under.push(says::same_cause(&same));
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
    if judgement.open_points.is_empty() && !facts.case().is_disputed() {
        return;
    }
    document.heading(says::NOT_KNOWN_YET);
    // What two people answered differently, each with both answers.
    for text in phrase.in_dispute(facts) {
        document.point("-", Some(Level::Hold), text, Vec::new());
    }
    let (seen, asked): (Vec<_>, Vec<_>) = judgement
        .open_points
        .iter()
        .partition(|point| point.is_not_seen());
    // Rules that wait for the same readings are one line, with the worst they may become.
    let mut lines: Vec<(String, &OpenPoint)> = Vec::new();
    for point in seen {
        let text = format!("{}: {}", phrase.open_point(point), phrase.why_open(point));
        // The worst is first.
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

/// Adds the questions that are to do: a line a step, each question once, walls under their tooth.
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
                StepBlock::Ask(fact) => std::slice::from_ref(fact),
                StepBlock::Grid { rows, .. } => rows.as_slice(),
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
            let text = phrase.to_do(&said, level);
            document.point(format!("- {}:", step.title), Some(level), text, Vec::new());
        }
    }
}

/// Adds the readings whose error could turn the result.
fn again(document: &mut Document, doubt: Option<&Doubt>, phrase: Phrase<'_>) {
    let measure_again = doubt.map_or(&[][..], |doubt| &doubt.measure_again);
    let turns = doubt.and_then(|doubt| phrase.turns(doubt));
    if measure_again.is_empty() && turns.is_none() {
        return;
    }
    document.heading(says::MEASURE_AGAIN);
    turns.into_iter().for_each(|turns| document.text(turns));
    for measure_again in measure_again.iter().take(MOST_AGAIN) {
        document.point("-", None, phrase.again(measure_again), Vec::new());
    }
    let more = measure_again.len().saturating_sub(MOST_AGAIN);
    says::more_again(more)
        .into_iter()
        .for_each(|more| document.text(more));
}

fn figures(document: &mut Document, facts: &Facts<'_>, phrase: Phrase<'_>) {
    let mut rows = Vec::new();
    for at in facts.places(PlaceKind::Abutment) {
        let said = |fact| phrase.fact(facts, &Spot { fact, at }).unwrap_or_default();
        let failing = facts.value(&FAILING, at).and_then(Value::number);
        let resistance = failing.map(says::resistance_form).unwrap_or_default();
        let row = [
            phrase.place(at),
            said(HEIGHT_USED),
            said(HEIGHT_TO_BASE),
            said(TAPER_MD),
            said(TAPER_FL),
            resistance,
        ];
        if row.iter().skip(1).any(|cell| !cell.is_empty()) {
            rows.push(row);
        }
    }
    if rows.is_empty() {
        return;
    }
    document.heading(says::PREPS);
    document.table(says::PREP_COLUMNS, rows);
}

/// Adds grip, hardest load and motion of each restoration.
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
            document.heading(says::GRIP);
            said = true;
        }
        let mark = format!("R{}:", detail.restoration);
        let mut lines = lines.into_iter().map(says::sentence);
        let first = lines.next().unwrap_or_default();
        document.point(mark, None, first, lines.collect());
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
    document.heading(says::NOT_COMPUTED);
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
    document.heading(says::SET_ASIDE);
    for text in aside {
        document.point("-", None, text, Vec::new());
    }
}

/// Adds the sources of the findings, the materials and the steps of seating, each once: no other sheet has them.
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
    document.heading(says::SOURCES);
    for source in said {
        document.source(source);
    }
    document.source(says::TICKET_SOURCE);
}

/// Returns a source with how far it can be relied on, unless its text begins with that.
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
