//! The summary: what was found, why, what is still to be found out, and the figures it rests on.

use super::{Document, Told, picture};
use crate::call;
use crate::case::Layer;
use crate::derive::{Facts, Worked};
use crate::fact::{
    FAILING, FactId, HEIGHT_TO_BASE, HEIGHT_USED, ORDER_MATERIAL, Place, PlaceKind, Spot, TAPER_FL,
    TAPER_MD,
};
use crate::flow::{Block, Level};
use crate::judge::doubt::Doubt;
use crate::judge::{Judgement, OpenPoint};
use crate::phrase::{CAUTION, DISLODGEMENT_CAUTION, Phrase};

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
    head(document, facts, judgement, phrase);
    findings(document, told);
    super::options::add(document, told);
    still_open(document, facts, judgement, phrase);
    again(document, doubt, phrase);
    figures(document, facts, phrase);
    picture::dies(document, told);
    dislodgement(document, facts, phrase);
    refused(document, facts, phrase);
    set_aside(document, facts, phrase);
    sources(document, judgement, phrase);
    document.heading("Caution");
    document.text(CAUTION);
}

/// Says what the case is, under which scheme and flow, and what it comes to.
pub(super) fn head(
    document: &mut Document,
    facts: &Facts<'_>,
    judgement: &Judgement,
    phrase: Phrase<'_>,
) {
    let units = facts.units();
    for restoration in units.restorations() {
        let at = Place::Restoration(restoration.id);
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
    document.text(format!(
        "Result: {}",
        phrase.verdict(judgement.verdict).to_uppercase()
    ));
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
        document.text(if judgement.verdict.is_open() {
            "Nothing so far; see what is still to find out."
        } else {
            "Nothing found. That is not approval."
        });
    }
    for finding in &judgement.findings {
        let mut under = vec![phrase.because(facts, finding)];
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
            under.push("Rests on a decided value.".to_owned());
        }
        under.extend(
            call::said(facts, finding, phrase, beside.agreements)
                .map(|said| format!("Said to it: {said}")),
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
    let mut lines: Vec<(String, Level)> = Vec::new();
    for point in seen {
        let text = format!("{}: {}", phrase.open_point(point), phrase.why_open(point));
        match lines.iter_mut().find(|(known, _)| *known == text) {
            Some((_, level)) => *level = (*level).max(point.could_be),
            None => lines.push((text, point.could_be)),
        }
    }
    for (text, level) in lines {
        let text = format!("{text}, could be {}", phrase.level(level));
        document.point("-", Some(level), text, Vec::new());
    }
    not_asked(document, facts, &asked, phrase);
}

/// What the walk still asks: one line a step, each question once, walls under their tooth.
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
                "{} (not asked yet, could be {})",
                said.join("; "),
                phrase.level(level)
            );
            document.point(format!("- {}:", step.title), Some(level), text, Vec::new());
        }
    }
}

/// Lists the readings whose error could turn the result.
fn again(document: &mut Document, doubt: Option<&Doubt>, phrase: Phrase<'_>) {
    let deciding = doubt.map_or(&[][..], |doubt| &doubt.deciding);
    if deciding.is_empty() {
        return;
    }
    document.heading("Measure again");
    for deciding in deciding.iter().take(MOST_AGAIN) {
        document.point("-", None, phrase.again(deciding), Vec::new());
    }
}

fn figures(document: &mut Document, facts: &Facts<'_>, phrase: Phrase<'_>) {
    let mut rows = Vec::new();
    for at in facts.units().within(Place::Case, PlaceKind::Abutment) {
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

/// Lists the sources of the findings that are printed.
pub(super) fn sources(document: &mut Document, judgement: &Judgement, phrase: Phrase<'_>) {
    let mut ids: Vec<&str> = Vec::new();
    for finding in judgement.all_findings() {
        if let Some(rule) = phrase.flow.rule(finding.rule)
            && !ids.contains(&rule.source.as_str())
        {
            ids.push(&rule.source);
        }
    }
    if ids.is_empty() {
        return;
    }
    document.heading("Sources");
    for id in ids {
        document.source(phrase.source(id));
    }
}
