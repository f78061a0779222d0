//! The call sheet: what to have ready, at most three questions, the rest in writing.

use super::questions::{Question, options, questions, takes_away};
use super::{Document, Told, compared, summary};
use crate::call::{self, Ask, MOST_QUESTIONS, asks, earlier, tells};
use crate::case::coming::awaited;
use crate::case::decision::Decided;
use crate::derive::Facts;
use crate::fact::{
    CALL_BY, CALL_DECIDES, CALL_PHOTO, CALL_TEMPORARY, ORDER_SEATING, Place, Spot, Value,
};
use crate::flow::Level;
use crate::judge::{Finding, Judgement};
use crate::options::CaseOption;
use crate::phrase::coming::PLEASE_TELL;
use crate::phrase::sheets::{self, call as says, compared as offer};
use crate::phrase::{CAUTION, NO_ANSWER, NOTHING_CHECKED, Phrase};

/// The most options of the dentist, and of the laboratory; the options page has them all.
const MOST_OPTIONS: usize = 5;

pub(super) fn add(document: &mut Document, told: Told<'_>) {
    let Told {
        facts,
        judgement,
        phrase,
        beside,
        ..
    } = told;
    document.title(says::title(&facts.case().number));
    summary::head(document, told);
    let is_ours = bench_first(document, facts, judgement, phrase);
    let questions = questions(told);
    if questions.is_empty() {
        document.heading(says::TO_ASK);
        document.text(if facts.case().is_closed(Place::Case) {
            says::CLOSED
        } else if judgement.verdict.covered && is_ours {
            says::OURS_ALONE
        } else if judgement.verdict.covered {
            says::NOTHING_TO_ASK
        } else {
            NOTHING_CHECKED
        });
    } else {
        before(document, facts, phrase);
        document.heading(says::TO_ASK);
        let mut named: Vec<CaseOption> = Vec::new();
        for (number, question) in questions.iter().take(MOST_QUESTIONS).enumerate() {
            named.extend(ask(document, told, number + 1, question));
        }
        document.blank(says::ANSWERED_BY);
        document.blank(says::READ_BACK);
        document.blank(says::COST);
        document.text(NO_ANSWER);
        compared::limits(document, told, named.iter());
        if questions.len() > MOST_QUESTIONS {
            document.heading(says::IN_WRITING);
            for (number, question) in questions.iter().enumerate().skip(MOST_QUESTIONS) {
                let first = question.parts.first();
                document.point(
                    format!("{}.", number + 1),
                    first.map(|ask| ask.finding.level),
                    question.head(),
                    parts(told, question),
                );
            }
        }
    }
    tell_us(document, told);
    to_come(document, told);
    let list = asks(facts, judgement, phrase, beside.instructions);
    let earlier = earlier(facts.case(), &list);
    let said: Vec<_> = list.into_iter().filter(|ask| !ask.is_open()).collect();
    decided(document, told, &said, &earlier);
    document.heading(sheets::CAUTION);
    document.text(CAUTION);
}

/// Adds what only the dentist can tell, each with room for the answer.
fn tell_us(document: &mut Document, told: Told<'_>) {
    let list = tells(told.facts, told.judgement, told.phrase);
    if list.is_empty() {
        return;
    }
    document.heading(PLEASE_TELL);
    for tell in list {
        let holds = tell.could_be >= Level::Call;
        let under = holds.then(|| says::NOT_MADE_BEFORE.to_owned());
        document.point("-", None, tell.asks.clone(), under.into_iter().collect());
        told.tell_boxes(document, &tell);
    }
}

/// Adds what has still to arrive.
fn to_come(document: &mut Document, told: Told<'_>) {
    let list = awaited(told.facts.case());
    if list.is_empty() {
        return;
    }
    document.heading(says::TO_COME);
    for own in list {
        let late = own
            .due
            .zip(told.beside.today)
            .is_some_and(|(due, today)| due < today);
        let text = says::to_come(&told.phrase.awaited(told.facts, &own), late);
        document.point("[ ]", None, text, Vec::new());
    }
}

/// Returns the parts of a question of several, and what was said to each so far.
fn parts(told: Told<'_>, question: &Question<'_>) -> Vec<String> {
    let mut lines = Vec::new();
    for (index, ask) in question.parts.iter().enumerate() {
        if question.settles.is_some() {
            lines.push(format!("{}{}", question.letter(index), ask.asks));
        }
        let instructions = told.beside.instructions;
        lines.extend(call::said(
            told.facts,
            ask.finding,
            told.phrase,
            instructions,
        ));
    }
    lines
}

/// Adds a question as it is put: what I see, by when, then side by side what I suggest and what else is possible; and room
/// for the answer. Returns the options that it names.
fn ask(
    document: &mut Document,
    told: Told<'_>,
    number: usize,
    question: &Question<'_>,
) -> Vec<CaseOption> {
    let Told { facts, phrase, .. } = told;
    let mut under = parts(told, question);
    let seen: Vec<String> = question
        .parts
        .iter()
        .map(|ask| phrase.line(facts, ask.finding))
        .collect();
    under.push(says::i_see(&seen));
    let mut ours: Vec<CaseOption> = Vec::new();
    let mut theirs: Vec<CaseOption> = Vec::new();
    for ask in &question.parts {
        let (laboratory, dentist) = options(told, ask.finding);
        for (list, own) in [(&mut ours, laboratory), (&mut theirs, dentist)] {
            for way in own {
                if !list.contains(&way) {
                    list.push(way);
                }
            }
        }
    }
    let by = phrase.fact(
        facts,
        &Spot {
            fact: CALL_BY,
            at: Place::Case,
        },
    );
    under.extend(by.as_ref().map(|day| says::by_when(day)));
    let level = question.parts.iter().map(|ask| ask.finding.level).max();
    document.point(format!("{number}."), level, question.head(), under);
    let more = offered(document, told, question, (&ours, &theirs));
    if by.is_none() {
        document.blank(format!("   {}", says::BY_WHEN));
    }
    question.boxes(document, told);
    document.answer();
    more
}

/// Adds the options for the dentist and those of the laboratory side by side, and how many more there are; returns those
/// that it names. Only what is shown to clear the question is suggested; what is shown not to comes last.
fn offered(
    document: &mut Document,
    told: Told<'_>,
    question: &Question<'_>,
    (ours, theirs): (&[CaseOption], &[CaseOption]),
) -> Vec<CaseOption> {
    let mut list: Vec<(String, &CaseOption)> = Vec::new();
    let mut suggested = false;
    for (own, in_the_laboratory) in [(theirs, false), (ours, true)] {
        let mut sorted: Vec<(Enough, &CaseOption)> =
            own.iter().map(|way| (enough(question, way), way)).collect();
        sorted.sort_by_key(|(enough, _)| *enough);
        for (enough, way) in sorted.into_iter().take(MOST_OPTIONS) {
            let say = option(told, way, enough);
            let suggest = enough <= Enough::Eases && !suggested;
            suggested |= suggest;
            let say = if in_the_laboratory {
                says::in_the_laboratory(&say)
            } else {
                say
            };
            list.push((
                if suggest {
                    says::i_suggest(&say)
                } else {
                    says::possible(&say, suggested)
                },
                way,
            ));
        }
    }
    compared::options(document, told, &list);
    let more = (ours.len() + theirs.len()).saturating_sub(list.len());
    if more > 0 {
        document.text(offer::more(more));
    }
    list.into_iter().map(|(_, way)| way.clone()).collect()
}

/// Whether an option clears all that a question is about.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Enough {
    /// It does.
    Clears,
    /// What is left needs no call.
    Eases,
    /// There is no result to tell by.
    NotComputed,
    /// Something is left.
    NotAlone,
}

fn enough(question: &Question<'_>, way: &CaseOption) -> Enough {
    let mut parts = question.parts.iter();
    if way.after.is_none() {
        Enough::NotComputed
    } else if parts.all(|ask| takes_away(way, ask.finding)) {
        Enough::Clears
    } else if way
        .after
        .as_ref()
        .is_some_and(|after| after.verdict.level < Level::Call)
    {
        Enough::Eases
    } else {
        Enough::NotAlone
    }
}

/// Returns an option with its price, the days that it takes, and whether it is enough for what the question is about.
fn option(told: Told<'_>, way: &CaseOption, enough: Enough) -> String {
    let Told { facts, phrase, .. } = told;
    let does = phrase.does(facts, way);
    let clears = match enough {
        Enough::Clears => offer::CLEARS,
        Enough::Eases => offer::EASES,
        Enough::NotComputed => "",
        Enough::NotAlone => offer::NOT_ALONE,
    };
    match way.of(phrase.flow) {
        Some(option) => offer::option(
            &does,
            &phrase.price(option),
            &phrase.days(option.days),
            clears,
        ),
        None => does,
    }
}

/// Adds what the laboratory does itself before anyone phones; returns whether there is anything.
fn bench_first(
    document: &mut Document,
    facts: &Facts<'_>,
    judgement: &Judgement,
    phrase: Phrase<'_>,
) -> bool {
    let mut said: Vec<(String, Level)> = Vec::new();
    // What is folded under a question is settled with it.
    let ours = |finding: &&Finding| phrase.asks(facts, finding).is_none();
    let heads = judgement.findings.iter().filter(ours);
    for finding in heads
        .flat_map(|head| std::iter::once(head).chain(&head.folded))
        .filter(|finding| finding.level >= Level::Call)
        .filter(ours)
    {
        if let Some(bench) = phrase.bench(facts, finding)
            && !said.iter().any(|(known, _)| *known == bench)
        {
            said.push((bench, finding.level));
        }
    }
    if said.is_empty() {
        return false;
    }
    document.heading(says::BENCH_FIRST);
    for (text, level) in said {
        document.point("[ ]", Some(level), text, Vec::new());
    }
    true
}

fn before(document: &mut Document, facts: &Facts<'_>, phrase: Phrase<'_>) {
    document.heading(says::BEFORE);
    for (fact, label) in [
        (ORDER_SEATING, sheets::SEATING_DAY),
        (CALL_TEMPORARY, says::TEMPORARY),
        (CALL_DECIDES, says::WHO_DECIDES),
    ] {
        let at = Place::Case;
        document.filled(label, phrase.fact(facts, &Spot { fact, at }));
    }
    let sent = facts.value(&CALL_PHOTO, Place::Case) == Some(&Value::Yes);
    let mark = if sent { "[x]" } else { "[ ]" };
    document.point(mark, None, says::PHOTO_SENT, Vec::new());
}

/// Adds what was said to questions that are no longer asked.
fn decided(document: &mut Document, told: Told<'_>, said: &[Ask<'_>], earlier: &[&Decided]) {
    let Told {
        facts,
        phrase,
        beside,
        ..
    } = told;
    let answer = |ask: &Ask<'_>| call::said(facts, ask.finding, phrase, beside.instructions);
    let suspended: Vec<String> = facts
        .case()
        .suspended()
        .map(|(spot, decided, now)| phrase.suspended(spot, decided, now))
        .collect();
    if said.is_empty() && earlier.is_empty() && suspended.is_empty() {
        return;
    }
    document.heading(says::DECIDED);
    for ask in said {
        document.point(
            "-",
            Some(ask.finding.level),
            phrase.line(facts, ask.finding),
            answer(ask).into_iter().collect(),
        );
    }
    for decided in earlier {
        let text = says::no_longer_asked(
            &phrase.place(decided.decision.about.at),
            &phrase.decision(facts, decided),
        );
        document.point("-", None, text, Vec::new());
    }
    for text in suspended {
        document.point("-", None, text, Vec::new());
    }
}
