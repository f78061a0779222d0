//! Findings in lines, and one of them in full.

use std::collections::{BTreeMap, BTreeSet};

use crate::call;
use crate::derive::{Facts, Turn};
use crate::fact::Spot;
use crate::flow::Level;
use crate::judge::doubt::{Doubt, NearLimit};
use crate::judge::{Finding, Judgement, OpenPoint};
use crate::logic::Gap;
use crate::phrase::{Phrase, pages, words};
use crate::session::view::{EvidenceLine, FindingLine, FindingsView, GoneLine};
use crate::session::{Inspection, Session};

/// What is marked on the page.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct State {
    /// The marked finding.
    pub marked: usize,
}

impl Session {
    pub(in crate::session) fn findings(
        &self,
        inspection: &Inspection,
        facts: &Facts<'_>,
    ) -> FindingsView {
        let phrase = self.phrase(inspection);
        let judgement = &inspection.judgement;
        let (findings, _) = finding_lines(phrase, facts, judgement, None);
        let marked = judgement.findings.get(self.findings.marked);
        let said = marked.and_then(|own| call::said(facts, own, phrase, &self.standing()));
        let doubt = inspection.doubt.as_ref();
        FindingsView {
            findings,
            none: words::no_finding(judgement.verdict.covered),
            marked: self.findings.marked,
            detail: marked.map_or_else(Vec::new, |own| reasons(phrase, facts, own, said)),
            evidence: marked.map_or_else(Vec::new, |own| evidence(phrase, facts, own)),
            rest: marked.map_or_else(Vec::new, |own| consequences(phrase, facts, own, doubt)),
            figures: facts
                .details()
                .iter()
                .flat_map(|detail| {
                    let mut lines = phrase.dislodgement(facts, detail);
                    lines.extend(phrase.demands(facts, detail));
                    lines
                        .into_iter()
                        .map(|line| pages::findings::of_restoration(detail.restoration, &line))
                })
                .collect(),
            open_points: (self
                .phrase(inspection)
                .in_dispute(&inspection.facts())
                .into_iter())
            .chain(not_seen(phrase, judgement))
            .collect(),
            to_come: to_come(inspection),
        }
    }
}

/// Names what was not seen, each once, with the worst that it may come to.
fn not_seen(phrase: Phrase<'_>, judgement: &Judgement) -> Vec<String> {
    let mut named: Vec<(String, &OpenPoint)> = Vec::new();
    for point in judgement.open_points.iter().filter(|own| own.is_not_seen()) {
        let name = phrase.open_point(point);
        match named.iter_mut().find(|(other, _)| *other == name) {
            Some((_, worst)) if worst.could_be < point.could_be => *worst = point,
            Some(_) => {}
            None => named.push((name, point)),
        }
    }
    named
        .iter()
        .map(|(name, point)| pages::findings::open_point(name, &phrase.may_become(point)))
        .collect()
}

/// Says per step how many questions are left, and the worst that what waits for their answers could come to: a new case
/// has a hundred checks, and a list of them tells nothing that the steps do not ask for anyway.
fn to_come(inspection: &Inspection) -> Vec<String> {
    let step_of = |point: &OpenPoint| {
        let asked = point.needs.iter().filter(|(_, gap)| *gap != Gap::Idle);
        asked
            .filter_map(|(spot, _)| {
                let position = inspection.agenda.position(spot)?;
                Some(inspection.agenda.cells.get(position)?.step)
            })
            .min()
    };
    let mut waiting: BTreeMap<usize, Level> = BTreeMap::new();
    for point in &inspection.judgement.open_points {
        if point.is_not_seen() {
            continue;
        }
        // What waits for no question of the inspection is asked at the end, with the call.
        let step = step_of(point).unwrap_or(usize::MAX);
        let worst = waiting.entry(step).or_insert(Level::Fine);
        *worst = (*worst).max(point.could_be);
    }
    waiting
        .into_iter()
        .map(|(step, worst)| {
            let cells = inspection.agenda.cells.iter();
            let left =
                cells.filter(|cell| cell.step == step && cell.turn == Turn::Up && !cell.answered);
            let title = inspection
                .flow
                .steps
                .get(step)
                .map(|step| step.title.as_str());
            let title = title.unwrap_or(pages::findings::ON_THE_CALL);
            pages::findings::step_waiting(title, left.count(), worst)
        })
        .collect()
}

/// Returns the findings in lines, and what the newest change took away.
pub(in crate::session) fn finding_lines(
    phrase: Phrase<'_>,
    facts: &Facts<'_>,
    judgement: &Judgement,
    before: Option<&Judgement>,
) -> (Vec<FindingLine>, Vec<GoneLine>) {
    let key = |finding: &Finding| (finding.rule, finding.at);
    let old: BTreeSet<_> = before
        .map(|before| before.all_findings().map(|f| (key(f), f.level)).collect())
        .unwrap_or_default();
    let lines = judgement
        .findings
        .iter()
        .map(|finding| FindingLine {
            level: finding.level,
            place: phrase.place(finding.at),
            says: phrase.says(facts, finding),
            passed: phrase.passed(facts, finding),
            new: before.is_some()
                && std::iter::once(finding)
                    .chain(&finding.folded)
                    .any(|f| !old.contains(&(key(f), f.level))),
            folded: finding.folded.len(),
        })
        .collect();
    let now: BTreeSet<_> = judgement.all_findings().map(key).collect();
    let mut gone = Vec::new();
    for finding in before.iter().flat_map(|before| &before.findings) {
        if !now.contains(&key(finding)) && facts.units().has(finding.at) {
            gone.push(GoneLine {
                place: phrase.place(finding.at),
                level: finding.level,
            });
        }
    }
    (lines, gone)
}

/// Says what was found, what the dentist said to it, and why it matters.
fn reasons(
    phrase: Phrase<'_>,
    facts: &Facts<'_>,
    finding: &Finding,
    said: Option<String>,
) -> Vec<(String, Vec<String>)> {
    let headed = |heading: &str, text: String| (heading.to_owned(), vec![text]);
    let mut detail = vec![headed(pages::findings::WHAT, phrase.says(facts, finding))];
    detail.extend(said.map(|said| headed(pages::findings::ANSWER, said)));
    detail.push(headed(pages::findings::WHY, phrase.because(facts, finding)));
    let usual = phrase.usual(facts, finding);
    if !usual.is_empty() {
        let says = usual.iter().map(|norm| norm.says.clone());
        detail.push((pages::findings::USUAL.to_owned(), says.collect()));
    }
    detail
}

/// Says what it rests on: each fact with what it should be and the readings that it was worked out from.
fn evidence(phrase: Phrase<'_>, facts: &Facts<'_>, finding: &Finding) -> Vec<EvidenceLine> {
    let mut lines: Vec<EvidenceLine> = Vec::new();
    let mut last = Vec::new();
    for spot in &finding.evidence {
        let readings: Vec<Spot> = facts
            .readings(spot)
            .into_iter()
            .filter(|reading| reading != spot)
            .collect();
        let one = |reading: &Spot| {
            let name = phrase.evidence_name(finding.at, reading);
            pages::findings::reading(&name, &phrase.found(facts, reading))
        };
        let from = if readings.is_empty() {
            String::new()
        } else if readings == last {
            pages::findings::THE_SAME.to_owned()
        } else {
            let said: Vec<String> = readings.iter().map(one).collect();
            said.join(", ")
        };
        last = readings;
        lines.push(EvidenceLine {
            what: phrase.evidence_name(finding.at, spot),
            found: phrase.found(facts, spot),
            needs: phrase.needs(facts, finding, spot),
            from,
        });
    }
    lines
}

/// Says what lies near a limit, what to ask and to do, where the rule is from, and what has the same cause.
fn consequences(
    phrase: Phrase<'_>,
    facts: &Facts<'_>,
    finding: &Finding,
    doubt: Option<&Doubt>,
) -> Vec<(String, Vec<String>)> {
    let mut detail = Vec::new();
    let own = |near: &&NearLimit| {
        std::iter::once(finding)
            .chain(&finding.folded)
            .any(|f| f.rule == near.rule && f.at == near.at)
    };
    let near: Vec<String> = doubt
        .iter()
        .flat_map(|doubt| &doubt.near)
        .filter(own)
        .map(|near| phrase.near(near))
        .collect();
    if !near.is_empty() {
        detail.push((pages::findings::NEAR_LIMIT.to_owned(), near));
    }
    if let Some(asks) = phrase.asks(facts, finding) {
        detail.push((pages::findings::ASK.to_owned(), vec![asks]));
    }
    if let Some(bench) = phrase.bench(facts, finding) {
        detail.push((pages::findings::BENCH.to_owned(), vec![bench]));
    }
    let rule = phrase.flow.rule(finding.rule);
    detail.push((
        pages::findings::SOURCE.to_owned(),
        rule.map(|rule| phrase.source(&rule.source))
            .into_iter()
            .collect(),
    ));
    if !finding.folded.is_empty() {
        let folded = finding
            .folded
            .iter()
            .map(|folded| pages::findings::with_level(folded.level, &phrase.line(facts, folded)));
        detail.push((pages::findings::SAME_CAUSE.to_owned(), folded.collect()));
    }
    detail
}
