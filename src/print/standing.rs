//! How far the work may go: the first lines of the sheets that bench and chair work from.

use super::{Document, Told};
use crate::call::{QuestionState, asks, matter};
use crate::case::decision::Matter;
use crate::case::life::State;
use crate::case::{Layer, Reading};
use crate::fact::{Place, Spot, Value};
use crate::flow::Level;
use crate::judge::Finding;
use crate::phrase::sheets::{self, compared, standing as says};
use crate::phrase::{beside, words};
use crate::state::{CaseState, NotYet};

/// Adds the title of a sheet that somebody works from, with how far the case is, and a line for each restoration.
/// `must_not` is what must not be done while the case is not cleared.
pub(super) fn title(
    document: &mut Document,
    told: Told<'_>,
    state: &CaseState,
    what: &str,
    must_not: &str,
) {
    let case = told.facts.case();
    let far = said(state, must_not);
    let all = state.restorations.len();
    let other = words::some_not_covered(told.facts.not_covered().len(), all);
    document.title(says::title(what, &case.number, &far, other.as_deref()));
    if case.layers().any(|(_, layer, _)| layer == Layer::Proposed) {
        document.text(says::WHAT_IF);
    }
    for (_, line) in state.lines(told.facts, told.phrase, told.beside.today) {
        document.text(line);
    }
}

/// Adds the days of the case, who has it, and its photographs and files: what is the laboratory's own.
pub(super) fn life(document: &mut Document, told: Told<'_>, state: &CaseState) {
    let case = told.facts.case();
    for line in state.days(case, told.beside.today).lines() {
        document.text(line);
    }
    // Points: whatever somebody typed has no line that begins as those of the sheet do.
    let typed = [case.handed().map(beside::with), beside::files(case.files())];
    for line in typed.into_iter().flatten() {
        document.point("-", None, line, Vec::new());
    }
}

/// Returns how far the case is, for a title.
fn said(state: &CaseState, must_not: &str) -> String {
    let short = state.in_short();
    let held = state.restorations.iter().any(|own| own.held);
    let stopped = held && matches!(state.state, State::ToCall | State::Inspecting);
    let of = Some(state.of).filter(|(own, all)| own < all);
    match state.state {
        State::ToCall if stopped => {
            says::state(says::ON_HOLD, of, Some(&says::call_first(must_not)))
        }
        _ if stopped => says::state(says::ON_HOLD, of, Some(must_not)),
        State::ToCall => says::state(says::CALL_FIRST, of, Some(must_not)),
        State::Inspecting => says::state(says::NOT_CLEARED, of, None),
        State::Waiting => says::state(&short, None, Some(must_not)),
        _ => short,
    }
}

/// Returns the findings that call or hold, without those whose question was decided.
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
        .filter(|finding| !facts.case().is_closed(finding.at))
        .filter(|finding| !settled.contains(&(finding.rule, finding.at)))
        .collect()
}

/// Returns whether the first lines of the sheet already say what the laboratory does about a finding.
fn is_said(state: &CaseState, finding: &Finding) -> bool {
    let is = |own: &Finding| (own.rule, own.at) == (finding.rule, finding.at);
    state.restorations.iter().any(|restoration| {
        let mut not_yet = restoration.not_yet.iter();
        restoration.ours.iter().any(is)
            || not_yet.any(|why| matches!(why, NotYet::Redraw(own) if is(own)))
    })
}

/// Adds what has to happen before the work starts, the gravest first.
pub(super) fn before(document: &mut Document, told: Told<'_>) {
    let Told { facts, phrase, .. } = told;
    let mut waiting = waiting(told);
    waiting.sort_by_key(|finding| std::cmp::Reverse(finding.level));
    if waiting.is_empty() {
        return;
    }
    let state = told.state();
    // What is cleared for design waits only to be made.
    document.heading(match state.state.is_cleared() {
        true => says::BEFORE_MADE,
        false => says::BEFORE,
    });
    let list = asks(facts, told.judgement, phrase, told.beside.instructions);
    for finding in waiting {
        let parts = || std::iter::once(finding).chain(&finding.folded);
        let mut under = Vec::new();
        let ask = list.iter().find(|ask| std::ptr::eq(ask.finding, finding));
        // A finding that was answered waits for what was agreed, as the first lines say.
        let answered = ask.is_some_and(|ask| ask.is_awaited() && !ask.awaits_answer());
        let declined = ask.and_then(|ask| match ask.state {
            QuestionState::Declined(decided) => {
                Some(says::declined(&phrase.decision(facts, decided)))
            }
            _ => None,
        });
        let answered = answered || declined.is_some();
        under.extend(declined);
        under.extend(
            parts()
                .filter(|_| !answered)
                .filter(|finding| finding.level >= Level::Call)
                .find_map(|finding| phrase.asks(facts, finding))
                .map(|asks| says::waits_for(&asks)),
        );
        if under.is_empty() && !is_said(&state, finding) {
            under.extend(phrase.bench(facts, finding).map(|bench| says::ours(&bench)));
        }
        document.point(
            format!("{}:", phrase.level(finding.level).to_uppercase()),
            Some(finding.level),
            phrase.line(facts, finding),
            under,
        );
    }
}

/// Adds what was agreed with the dentist under a heading: decisions, then each changed value before and now.
pub(super) fn agreed(document: &mut Document, told: Told<'_>, state: &CaseState, heading: &str) {
    let (lines, rows) = (decided(told, state), changed(told));
    if lines.is_empty() && rows.is_empty() {
        return;
    }
    document.heading(heading);
    for line in lines {
        document.point("-", None, line, Vec::new());
    }
    if !rows.is_empty() {
        document.table(compared::AGREED_COLUMNS, rows);
    }
}

/// Returns the facts on which the dentist has decided, each with its reading and its label with its place.
fn values(told: Told<'_>) -> impl Iterator<Item = (&Spot, &Reading, String)> {
    let Told { facts, phrase, .. } = told;
    let case = facts.case();
    case.layers()
        .filter(|(spot, layer, _)| *layer == Layer::Decided && case.stands(spot))
        .map(move |(spot, _, reading)| {
            let place = match spot.at {
                Place::Case => String::new(),
                at => format!("{} ", phrase.place(at)),
            };
            (
                spot,
                reading,
                format!("{place}{}", phrase.label(&spot.fact)),
            )
        })
}

/// Returns what was agreed in words, a line each, and what the dentist does not know. What was accepted as it is stands by
/// itself, with its answer, once it is cleared.
fn decided(told: Told<'_>, state: &CaseState) -> Vec<String> {
    let Told { facts, phrase, .. } = told;
    let case = facts.case();
    let cleared = state
        .restorations
        .iter()
        .filter(|own| own.state.is_cleared());
    let accepted: Vec<Matter> = cleared
        .flat_map(|own| &own.accepted)
        .flat_map(|finding| std::iter::once(finding).chain(&finding.folded))
        .map(|finding| matter(phrase.flow, finding))
        .collect();
    let mut lines: Vec<String> = case
        .decisions()
        .filter(|decided| decided.decision.is_settled())
        .filter(|decided| !accepted.contains(&decided.decision.about))
        .map(|decided| {
            says::decision(
                &phrase.place(decided.decision.about.at),
                &phrase.decision(facts, decided),
                !case.is_as_seen(&decided.decision),
            )
        })
        .collect();
    let unknown = values(told).filter(|(_, reading, _)| reading.value == Value::NotSeen);
    lines.extend(unknown.map(|(_, _, label)| says::not_known(&label)));
    lines
}

/// Returns the agreed values, a row each: what, the measured value before it, the agreed one, and when.
fn changed(told: Told<'_>) -> Vec<[String; 4]> {
    let Told { facts, phrase, .. } = told;
    let nothing = || sheets::NOTHING.to_owned();
    values(told)
        .filter(|(_, reading, _)| reading.value != Value::NotSeen)
        .map(|(spot, reading, label)| {
            let before = facts.case().reading(spot, Layer::Measured);
            [
                label,
                before.map_or_else(nothing, |before| phrase.reading(&spot.fact, before)),
                phrase.reading(&spot.fact, reading),
                reading.when.map_or_else(nothing, says::agreed_on),
            ]
        })
        .collect()
}
