//! The letter to the dentist: the questions in writing, without figures that only the bench can use.

use super::questions::{Question, questions};
use super::{Document, Told, picture, seating};
use crate::call::{self, Ask, asks, matter, remarks, tells};
use crate::case::coming::{Part, awaited};
use crate::case::decision::{Decider, DentistAnswer};
use crate::case::life::State;
use crate::fact::{
    CALL_BY, FactId, ORDER_DENTIST, ORDER_MATERIAL, ORDER_SEATING, Place, PlaceKind,
};
use crate::flow::Level;
use crate::phrase::coming::{FOUND_AGAIN, PLEASE_TELL};
use crate::phrase::sheets::{self, letter as says};
use crate::phrase::{beside, words};
use crate::state::CaseState;

pub(super) fn add(document: &mut Document, told: Told<'_>) {
    if !told.judgement.verdict.covered {
        let number = &told.facts.case().number;
        document.title(says::no_letter(number));
        document.text(says::NOT_COVERED);
        return;
    }
    let state = told.state();
    if state.state.is_over() {
        let number = &told.facts.case().number;
        document.title(says::no_letter(number));
        for line in state.lines(told.facts, told.phrase, told.beside.today) {
            document.text(line.1);
        }
        document.text(says::CLOSED);
        return;
    }
    head(document, told);
    let restorations = told.facts.units().restorations();
    let units: Vec<String> = restorations
        .iter()
        .map(|restoration| told.phrase.units(restoration))
        .collect();
    let number = &told.facts.case().number;
    document.title(says::subject(number, &units));
    document.text(says::DEAR);
    let work: Vec<String> = restorations
        .iter()
        .map(|restoration| {
            let at = Place::Restoration(restoration.id);
            if !told.facts.covers(at) {
                let kind = told.phrase.kind_of_work(told.facts, restoration);
                return says::other_work(&told.phrase.units(restoration), &kind);
            }
            let material = told
                .said(ORDER_MATERIAL, at)
                .filter(|said| said != words::NOT_SEEN)
                .unwrap_or_else(|| sheets::MATERIAL_OPEN.to_owned());
            says::work(&told.phrase.units(restoration), &material)
        })
        .collect();
    document.text(says::thanks(&work, told.phrase.notation));
    filled(document, told, sheets::SEATING_DAY, ORDER_SEATING);
    agreed(document, told);
    let questions = questions(told);
    let rest = not_checked(told);
    if questions.is_empty() {
        let said = std::iter::once(no_question(told, &state)).chain(rest);
        document.text(said.collect::<Vec<_>>().join(" "));
    } else {
        ask(document, told, &questions);
        if !rest.is_empty() {
            document.text(rest.join(" "));
        }
    }
    let tells = tell_us(document, told);
    let remarks = convenient(document, told);
    let signs = awaited(told.facts.case())
        .iter()
        .any(|own| matches!(own.part, Part::Answer | Part::Order));
    let confirms = told
        .facts
        .case()
        .decisions()
        .any(|own| own.decision.is_settled());
    document.text(says::REGARDS);
    match told.laboratory().and_then(|own| own.name.clone()) {
        Some(name) => document.text(name),
        None => document.blank(says::LABORATORY),
    }
    match told.inspected_by().as_slice() {
        [] => document.blank(sheets::INSPECTED),
        who => document.text(sheets::inspected_by(who)),
    }
    // What the dentist signs and sends back comes last.
    if remarks || tells || signs || confirms || !questions.is_empty() {
        document.heading(says::SIGNATURE);
        document.blank(says::DENTIST);
        document.blank(says::DATE);
    }
}

/// Adds the head of the sheet: from whom, when, to whom. What is not known is a line to fill in.
fn head(document: &mut Document, told: Told<'_>) {
    let laboratory = told.laboratory();
    match laboratory.and_then(|own| own.name.clone()) {
        Some(name) => document.text(name),
        None => document.blank(says::LABORATORY),
    }
    match laboratory.map_or(&[][..], |own| &own.address) {
        [] => document.blank(says::ADDRESS),
        lines => lines.iter().for_each(|line| document.text(line.clone())),
    }
    match told.beside.imprint.printed {
        Some(printed) => document.text(words::day_in_words(printed.date())),
        None => document.blank(says::DATE),
    }
    match told.said(ORDER_DENTIST, Place::Case) {
        Some(code) => document.text(says::to(&code)),
        None => document.blank(says::TO),
    }
}

/// Returns that there is nothing to ask, about no more than was inspected.
fn no_question(told: Told<'_>, state: &CaseState) -> String {
    let looked: Vec<String> = told
        .facts
        .covered()
        .into_iter()
        .map(|own| told.phrase.units(own))
        .collect();
    let waits = state
        .restorations
        .iter()
        .any(|own| own.state == State::Waiting);
    let tells = tells(told.facts, told.judgement, told.phrase);
    // Of preps that nobody has looked at nothing is said.
    let open = (state.restorations.iter()).flat_map(|own| own.to_do.iter().chain(&own.not_seen));
    let mut open = open.filter(|spot| !tells.iter().any(|tell| tell.spot == **spot));
    let looks_on = open.next().is_some();
    if looks_on && !tells.is_empty() {
        says::SO_FAR_AND_TO_TELL.to_owned()
    } else if tells.iter().any(|tell| tell.could_be >= Level::Call) {
        says::ONLY_TO_TELL.to_owned()
    } else if !tells.is_empty() {
        says::NOTHING_TO_DECIDE.to_owned()
    } else if state.state == State::Inspecting {
        says::NONE_SO_FAR.to_owned()
    } else if waits {
        says::NO_OTHER.to_owned()
    } else {
        says::nothing_to_settle(&looked)
    }
}

/// Returns what was not checked, a sentence each.
fn not_checked(told: Told<'_>) -> Vec<String> {
    let Told { facts, phrase, .. } = told;
    let said = facts
        .not_covered()
        .into_iter()
        .map(|own| says::not_checked(&phrase.units(own), &phrase.kind_of_work(facts, own)));
    said.collect()
}

/// Adds what was agreed, to be confirmed, and what has to be sent for it. What the dentist will cut is printed as agreed and
/// never as a figure that was measured.
fn agreed(document: &mut Document, told: Told<'_>) {
    let Told { facts, phrase, .. } = told;
    let case = facts.case();
    let mut lines: Vec<String> = Vec::new();
    let mut messages: Vec<String> = Vec::new();
    for decided in case.decisions() {
        let decision = &decided.decision;
        // What has changed since is asked again below and is no longer agreed.
        if !case.is_as_seen(decision) {
            continue;
        }
        let spoken = matches!(
            decision.outcome,
            DentistAnswer::Agreed | DentistAnswer::AsItIs
        );
        let finding = told
            .judgement
            .all_findings()
            .find(|own| matter(phrase.flow, own) == decision.about);
        if spoken && decision.by == Some(Decider::Message) {
            messages.push(phrase.as_agreed(facts, decided, finding));
        } else if decision.is_settled() {
            lines.push(phrase.as_agreed(facts, decided, finding));
        }
    }
    for ask in asks(facts, told.judgement, phrase, told.beside.instructions) {
        if let call::QuestionState::Standing(instruction) = ask.state {
            let at = phrase.decided_at(facts, ask.finding.at);
            lines.push(says::standing(&at, &phrase.instruction(instruction)));
        }
    }
    if !lines.is_empty() {
        document.heading(says::AS_AGREED);
        for line in lines {
            document.point("-", None, line, Vec::new());
        }
        document.text(says::IF_WRONG);
    }
    if !messages.is_empty() {
        document.heading(says::PLEASE_CONFIRM);
        document.text(says::PRACTICE_TOLD);
        for line in messages {
            document.point("-", None, line, Vec::new());
            for answer in [words::YES, words::NO] {
                document.tick(answer);
            }
        }
    }
    send(document, told);
}

/// Adds what has to be sent, each with its day.
fn send(document: &mut Document, told: Told<'_>) {
    let Told { facts, phrase, .. } = told;
    let list: Vec<_> = awaited(facts.case())
        .into_iter()
        .filter(|own| !matches!(own.part, Part::Bench | Part::Answer | Part::Healed))
        .filter(|own| own.is_recorded)
        .collect();
    if list.is_empty() {
        return;
    }
    document.heading(says::PLEASE_SEND);
    for own in &list {
        let late = own
            .due
            .zip(told.beside.today)
            .is_some_and(|(due, today)| due < today);
        let under = late.then(|| says::LATE.to_owned());
        let text = phrase.to_send(facts, own);
        document.point("[ ]", None, text, under.into_iter().collect());
    }
    let state = told.state();
    let days = state.days(facts.case(), told.beside.today);
    let breaks = days.promised.zip(days.after_promise.first());
    if let Some((promised, (own, due))) = breaks {
        document.text(beside::cannot_be_kept(promised, own.part, *due));
    }
    let teeth = |fits: fn(State) -> bool| -> Vec<String> {
        state
            .restorations
            .iter()
            .filter(|own| {
                list.iter().any(|sent| sent.restorations.contains(&own.id))
                    || own.state == State::ToMake
            })
            .filter(|own| fits(own.state))
            .map(|own| phrase.decided_at(facts, Place::Restoration(own.id)))
            .collect()
    };
    // Restorations that something else holds up are not started either.
    let waits = teeth(|state| matches!(state, State::Waiting | State::ToCall | State::Inspecting));
    if !waits.is_empty() {
        document.text(says::not_before(&waits));
    }
    let later = teeth(|state| state == State::ForDesign);
    if !later.is_empty() {
        document.text(says::design_meanwhile(&later));
    }
    let on = teeth(|state| state == State::ToMake);
    if !on.is_empty() {
        document.text(says::goes_ahead(&on));
    }
}

/// Adds what only the dentist can tell, with boxes; returns whether there is anything.
fn tell_us(document: &mut Document, told: Told<'_>) -> bool {
    let list = tells(told.facts, told.judgement, told.phrase);
    if list.is_empty() {
        return false;
    }
    document.heading(PLEASE_TELL);
    for tell in list {
        document.point("-", None, tell.asks.clone(), Vec::new());
        told.tell_boxes(document, &tell);
    }
    true
}

/// Adds a fact of the case, or a line for it.
fn filled(document: &mut Document, told: Told<'_>, label: &str, fact: FactId) {
    let said = told.said(fact, Place::Case);
    document.filled(label, said.filter(|said| said != words::NOT_SEEN));
}

fn ask(document: &mut Document, told: Told<'_>, questions: &[Question<'_>]) {
    document.heading(says::PLEASE_ANSWER);
    let state = told.state();
    let teeth = |fits: fn(State) -> bool| -> Vec<String> {
        state
            .restorations
            .iter()
            .filter(|own| fits(own.state))
            .map(|own| {
                told.phrase
                    .decided_at(told.facts, Place::Restoration(own.id))
            })
            .collect()
    };
    let on = teeth(State::is_cleared);
    document.text(match (told.judgement.verdict.level, on.as_slice()) {
        (_, [_, ..]) => says::rest_waits(&on),
        (Level::Hold, _) => says::NOT_STARTED.to_owned(),
        _ => says::BEFORE_WE_GO_ON.to_owned(),
    });
    document.text(says::DECIDES);
    let mut drawn: Vec<Place> = Vec::new();
    for (number, question) in questions.iter().enumerate() {
        let mut under = Vec::new();
        for (index, part) in question.parts.iter().enumerate() {
            let letter = question.letter(index);
            if question.settles.is_some() {
                under.push(format!("{letter}{}", part.asks));
            }
            under.push(told.phrase.tells(told.facts, part.words_of));
            match part.state {
                call::QuestionState::Declined(own) => under.push(told.phrase.declined(own)),
                call::QuestionState::Again(_) => under.push(FOUND_AGAIN.to_owned()),
                call::QuestionState::Changed(own) => under.push(told.phrase.changed_since(own)),
                call::QuestionState::Awaiting(own) => under.push(told.phrase.asked(own)),
                _ => {}
            }
        }
        document.point(format!("{}.", number + 1), None, question.head(), under);
        for part in &question.parts {
            picture(document, told, part, &mut drawn);
        }
        question.boxes(document, told);
        document.answer();
    }
    if let Some(files) = beside::on_file(told.facts.case().files()) {
        document.point("-", None, files, Vec::new());
    }
    filled(document, told, says::ANSWER_BY, CALL_BY);
    document.text(if on.is_empty() {
        says::HOLD_ALL
    } else {
        says::HOLD_REST
    });
}

/// Adds the picture of the preparation that a question is about if it is about its shape, each once.
fn picture(document: &mut Document, told: Told<'_>, ask: &Ask<'_>, drawn: &mut Vec<Place>) {
    let at = told.facts.units().resolve(PlaceKind::Unit, ask.finding.at);
    if let Some(at @ Place::Unit(tooth)) = at
        && seating::is_of_shape(ask.finding)
        && !drawn.contains(&at)
    {
        picture::preparation(document, told, tooth);
        drawn.push(at);
    }
}

/// Adds remarks, which do not hold up the work; returns whether there are any.
fn convenient(document: &mut Document, told: Told<'_>) -> bool {
    let remarks: Vec<String> = remarks(
        told.facts,
        told.judgement,
        told.phrase,
        told.beside.instructions,
    )
    .into_iter()
    .filter(Ask::is_open)
    .map(|ask| ask.asks)
    .collect();
    if remarks.is_empty() {
        return false;
    }
    document.heading(says::WHEN_CONVENIENT);
    document.text(says::NOT_URGENT);
    for asks in remarks {
        document.point("-", None, asks, Vec::new());
        document.answer();
    }
    true
}
