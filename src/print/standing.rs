//! How far the work may go: said in the first line of what the bench and the chair work from.

use super::{Document, Told};
use crate::call::asks;
use crate::case::Layer;
use crate::case::life::State;
use crate::fact::{Place, Spot, Value};
use crate::flow::Level;
use crate::judge::Finding;
use crate::phrase::words;
use crate::state::CaseState;

/// Adds the title of a sheet that somebody works from: how far the case is, and each restoration in a line.
pub(super) fn title(
    document: &mut Document,
    told: Told<'_>,
    state: &CaseState,
    what: &str,
    held: &str,
) {
    let case = told.facts.case();
    let far = said(state, held);
    let all = state.restorations.len();
    let other = words::some_not_covered(told.facts.not_covered().len(), all);
    let other = other.map_or_else(String::new, |other| format!(", {other}"));
    document.title(format!("{what}, case {}: {far}{other}", case.number));
    if case.layers().any(|(_, layer, _)| layer == Layer::Proposed) {
        document.text("TRIED OUT ON A COPY: some values were agreed with nobody. Do not build from this sheet.");
    }
    for (_, line) in state.lines(told.facts, told.phrase, told.beside.today) {
        document.text(line);
    }
}

/// Says how far the case is, for a title.
fn said(state: &CaseState, must_not: &str) -> String {
    let short = state.in_short();
    let held = state.restorations.iter().any(|own| own.held);
    let stopped = held && matches!(state.state, State::ToCall | State::Inspecting);
    let (own, all) = state.of;
    let some = if own < all {
        format!(", {own} of {all}")
    } else {
        String::new()
    };
    match state.state {
        _ if stopped => format!("ON HOLD{some}, {must_not}"),
        State::ToCall => format!("CALL FIRST{some}, {must_not}"),
        State::Inspecting => format!("NOT CLEARED YET{some}"),
        State::Waiting => format!("{short}, {must_not}"),
        _ => short,
    }
}

/// The findings that call or hold, without those whose question was decided.
fn waiting<'t>(told: Told<'t>) -> Vec<&'t Finding> {
    let Told {
        facts,
        judgement,
        phrase,
        ..
    } = told;
    let settled: Vec<_> = asks(facts, judgement, phrase, told.beside.instructions)
        .into_iter()
        .filter(|ask| !ask.is_open() && !ask.is_awaited())
        .map(|ask| (ask.finding.rule, ask.finding.at))
        .collect();
    judgement
        .findings
        .iter()
        .filter(|finding| finding.level >= Level::Call)
        .filter(|finding| !settled.contains(&(finding.rule, finding.at)))
        .collect()
}

/// Lists what has to happen before the work starts, loudest first.
pub(super) fn before(document: &mut Document, told: Told<'_>) {
    let Told { facts, phrase, .. } = told;
    let mut waiting = waiting(told);
    waiting.sort_by_key(|finding| std::cmp::Reverse(finding.level));
    if waiting.is_empty() {
        return;
    }
    document.heading("Do not start before this is settled");
    let list = asks(facts, told.judgement, phrase, told.beside.instructions);
    for finding in waiting {
        let parts = || std::iter::once(finding).chain(&finding.folded);
        let mut under = Vec::new();
        let ask = list.iter().find(|ask| std::ptr::eq(ask.finding, finding));
        // What was answered waits for what was agreed, as the first lines say.
        let answered = ask.is_some_and(|ask| ask.is_awaited() && !ask.awaits_answer());
        under.extend(
            parts()
                .filter(|_| !answered)
                .filter(|finding| finding.level >= Level::Call)
                .find_map(|finding| phrase.asks(facts, finding))
                .map(|asks| format!("Waiting for the dentist's answer to: {asks}")),
        );
        if under.is_empty() {
            under.extend(
                phrase
                    .bench(facts, finding)
                    .map(|bench| format!("Ours: {bench}")),
            );
        }
        document.point(
            format!("{}:", phrase.level(finding.level).to_uppercase()),
            Some(finding.level),
            phrase.line(facts, finding),
            under,
        );
    }
}

/// Lists what was decided with the dentist under a heading, each behind a mark; says whether anything was.
pub(super) fn agreed(
    document: &mut Document,
    told: Told<'_>,
    (heading, mark): (&str, &str),
) -> bool {
    let agreed = decided(told);
    if agreed.is_empty() {
        return false;
    }
    document.heading(heading);
    for line in agreed {
        document.point(mark, None, line, Vec::new());
    }
    true
}

/// Says what was decided with the dentist, one line each: what, what it was before, and when.
fn decided(told: Told<'_>) -> Vec<String> {
    let Told { facts, phrase, .. } = told;
    let case = facts.case();
    let mut lines: Vec<String> = case
        .decisions()
        .filter(|decided| decided.decision.is_settled())
        .map(|decided| {
            let at = decided.decision.about.at;
            let lapsed = if case.is_as_seen(&decided.decision) {
                ""
            } else {
                "; no longer so, it has changed since"
            };
            format!(
                "{}: {}{lapsed}",
                phrase.place(at),
                phrase.decision(facts, decided)
            )
        })
        .collect();
    let changed = case
        .layers()
        .filter(|(spot, layer, _)| *layer == Layer::Decided && case.stands(spot))
        .map(|(spot, _, reading)| {
            let Spot { fact, at } = spot;
            let place = match at {
                Place::Case => String::new(),
                at => format!("{} ", phrase.place(*at)),
            };
            if reading.value == Value::NotSeen {
                return format!("{place}{}: the dentist does not know", phrase.label(fact));
            }
            let before = case
                .reading(spot, Layer::Measured)
                .filter(|before| before.value != reading.value)
                .map_or_else(String::new, |before| {
                    format!(" (it was {})", phrase.reading(fact, before))
                });
            let when = reading.when.map_or_else(String::new, |when| {
                format!(", on {}", when.strftime("%Y-%m-%d"))
            });
            format!(
                "{place}{}: {}{before}{when}",
                phrase.label(fact),
                phrase.reading(fact, reading)
            )
        });
    lines.extend(changed);
    lines
}
