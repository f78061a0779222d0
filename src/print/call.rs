//! The call list: what to have ready, at most three questions, the rest in writing.

use super::{Document, Told, summary};
use crate::derive::Facts;
use crate::fact::{ORDER_SEATING, Place, Spot};
use crate::flow::Level;
use crate::judge::{Finding, Judgement};
use crate::phrase::{CAUTION, Phrase};

/// The most questions for one call. Common practice: nobody answers a fourth.
pub(super) const MOST_QUESTIONS: usize = 3;

pub(super) fn add(document: &mut Document, told: Told<'_>) {
    let Told {
        facts,
        judgement,
        phrase,
        ..
    } = told;
    document.title(format!("Call list, case {}", facts.case().number));
    summary::head(document, facts, judgement, phrase);
    bench_first(document, facts, judgement, phrase);
    let questions = questions(facts, judgement, phrase);
    if questions.is_empty() {
        document.heading("To ask");
        document.text("Nothing to ask.");
    } else {
        before(document, facts, phrase);
        document.heading("To ask");
        for (number, (asks, finding)) in questions.iter().take(MOST_QUESTIONS).enumerate() {
            document.point(
                format!("{}.", number + 1),
                Some(finding.level),
                asks.clone(),
                vec![phrase.line(facts, finding)],
            );
            document.blank("   Answer");
        }
        document.blank("Answered by (role)");
        document.blank("Read back, date and time");
        document.blank("Cost agreed");
        document.text("No answer by the day above: the case waits. Making what is on hold needs a written amendment first.");
        if questions.len() > MOST_QUESTIONS {
            document.heading("In writing");
            for (asks, finding) in questions.iter().skip(MOST_QUESTIONS) {
                document.point("-", Some(finding.level), asks.clone(), Vec::new());
            }
        }
    }
    document.heading("Caution");
    document.text(CAUTION);
}

/// What the laboratory does itself before anyone phones.
fn bench_first(
    document: &mut Document,
    facts: &Facts<'_>,
    judgement: &Judgement,
    phrase: Phrase<'_>,
) {
    let mut said: Vec<(String, Level)> = Vec::new();
    for finding in judgement
        .all_findings()
        .filter(|finding| finding.level >= Level::Call && phrase.asks(facts, finding).is_none())
    {
        if let Some(bench) = phrase.bench(facts, finding)
            && !said.iter().any(|(known, _)| *known == bench)
        {
            said.push((bench, finding.level));
        }
    }
    if said.is_empty() {
        return;
    }
    document.heading("Ours first");
    for (text, level) in said {
        document.point("[ ]", Some(level), text, Vec::new());
    }
}

fn before(document: &mut Document, facts: &Facts<'_>, phrase: Phrase<'_>) {
    document.heading("Before the call");
    match phrase.fact(
        facts,
        &Spot {
            fact: ORDER_SEATING,
            at: Place::Case,
        },
    ) {
        Some(day) => document.text(format!("Seating day: {day}")),
        None => document.blank("Seating day"),
    }
    document.blank("Answer wanted by");
    document.blank("State of the temporary");
    document.blank("Who may decide (role)");
    document.point("[ ]", None, "photo sent", Vec::new());
}

/// The questions of findings that call or hold, what decides first, none twice. One cause asks once.
pub(super) fn questions<'j>(
    facts: &Facts<'_>,
    judgement: &'j Judgement,
    phrase: Phrase<'_>,
) -> Vec<(String, &'j Finding)> {
    let mut questions: Vec<(String, &Finding)> = Vec::new();
    for finding in judgement
        .findings
        .iter()
        .filter(|finding| finding.level >= Level::Call)
    {
        // The head may have nothing to ask where a folded finding has.
        let asks = std::iter::once(finding)
            .chain(&finding.folded)
            .filter(|finding| finding.level >= Level::Call)
            .find_map(|finding| phrase.asks(facts, finding));
        if let Some(asks) = asks
            && !questions.iter().any(|(known, _)| *known == asks)
        {
            questions.push((asks, finding));
        }
    }
    questions
}
