//! The call list: what to have ready, at most three questions, the rest in writing.

use super::{Document, Told, summary};
use crate::call::{self, Ask, MOST_QUESTIONS, asks, earlier};
use crate::case::decision::Decided;
use crate::derive::Facts;
use crate::fact::{
    CALL_BY, CALL_DECIDES, CALL_PHOTO, CALL_TEMPORARY, ORDER_SEATING, Place, Spot, Value,
};
use crate::flow::Level;
use crate::judge::Judgement;
use crate::phrase::{CAUTION, Phrase};

pub(super) fn add(document: &mut Document, told: Told<'_>) {
    let Told {
        facts,
        judgement,
        phrase,
        beside,
        ..
    } = told;
    document.title(format!("Call list, case {}", facts.case().number));
    summary::head(document, facts, judgement, phrase);
    bench_first(document, facts, judgement, phrase);
    let answer = |ask: &Ask<'_>| call::said(facts, ask.finding, phrase, beside.agreements);
    let (open, said): (Vec<_>, Vec<_>) = asks(facts, judgement, phrase, beside.agreements)
        .into_iter()
        .partition(|ask| ask.is_open());
    if open.is_empty() {
        document.heading("To ask");
        document.text("Nothing to ask.");
    } else {
        before(document, facts, phrase);
        document.heading("To ask");
        for (number, ask) in open.iter().take(MOST_QUESTIONS).enumerate() {
            let mut under = vec![phrase.line(facts, ask.finding)];
            under.extend(answer(ask));
            document.point(
                format!("{}.", number + 1),
                Some(ask.finding.level),
                ask.asks.clone(),
                under,
            );
            document.blank("   Answer");
        }
        document.blank("Answered by (role)");
        document.blank("Read back, date and time");
        document.blank("Cost agreed");
        document.text("No answer by the day above: the case waits. Making what is on hold needs a written amendment first.");
        if open.len() > MOST_QUESTIONS {
            document.heading("In writing");
            for ask in open.iter().skip(MOST_QUESTIONS) {
                document.point(
                    "-",
                    Some(ask.finding.level),
                    ask.asks.clone(),
                    answer(ask).into_iter().collect(),
                );
            }
        }
    }
    let earlier = earlier(facts.case(), &[open, said.clone()].concat());
    decided(document, told, &said, &earlier);
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
    for (fact, label) in [
        (ORDER_SEATING, "Seating day"),
        (CALL_BY, "Answer wanted by"),
        (CALL_TEMPORARY, "State of the temporary"),
        (CALL_DECIDES, "Who may decide (role)"),
    ] {
        let at = Place::Case;
        match phrase.fact(facts, &Spot { fact, at }) {
            Some(said) => document.text(format!("{label}: {said}")),
            None => document.blank(label),
        }
    }
    let sent = facts.value(&CALL_PHOTO, Place::Case) == Some(&Value::Yes);
    document.text(if sent {
        "[x] photo sent"
    } else {
        "[ ] photo sent"
    });
}

/// What was said to questions that are no longer asked.
fn decided(document: &mut Document, told: Told<'_>, said: &[Ask<'_>], earlier: &[&Decided]) {
    let Told {
        facts,
        phrase,
        beside,
        ..
    } = told;
    let answer = |ask: &Ask<'_>| call::said(facts, ask.finding, phrase, beside.agreements);
    let suspended: Vec<String> = facts
        .case()
        .suspended()
        .map(|(spot, decided, now)| phrase.suspended(spot, decided, now))
        .collect();
    if said.is_empty() && earlier.is_empty() && suspended.is_empty() {
        return;
    }
    document.heading("Decided");
    for ask in said {
        document.point(
            "-",
            Some(ask.finding.level),
            phrase.line(facts, ask.finding),
            answer(ask).into_iter().collect(),
        );
    }
    for decided in earlier {
        let text = format!(
            "{}: {} (no longer asked)",
            phrase.place(decided.decision.about.at),
            phrase.decision(facts, decided)
        );
        document.point("-", None, text, Vec::new());
    }
    for text in suspended {
        document.point("-", None, text, Vec::new());
    }
}
