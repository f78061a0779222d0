//! The letter to the dentist: the questions in writing, without figures that nobody at the chair can use.

use super::questions::{Question, questions};
use super::{Document, Told, picture, seating};
use crate::call::{self, Ask, asks, matter, remarks, tells};
use crate::case::coming::{Part, awaited};
use crate::case::decision::{Decider, Outcome};
use crate::case::life::State;
use crate::fact::{
    CALL_BY, FactId, ORDER_DENTIST, ORDER_MATERIAL, ORDER_SEATING, Place, PlaceKind,
};
use crate::flow::Level;
use crate::phrase::coming::{FOUND_AGAIN, PLEASE_TELL};
use crate::phrase::{join, words};
use crate::state::CaseState;

/// Whose decision it is. The bench has seen the models and nothing else.
const DECIDES: &str =
    "We see the models and the order, not the patient: how to proceed is your decision.";

pub(super) fn add(document: &mut Document, told: Told<'_>) {
    if !told.judgement.verdict.covered {
        let number = &told.facts.case().number;
        document.title(format!("Letter to the dentist, case {number}"));
        document
            .text("No letter: this kind of work is not covered, and nothing of it was checked.");
        return;
    }
    let state = told.state();
    if let State::Delivered | State::Withdrawn | State::Returned = state.state {
        let number = &told.facts.case().number;
        document.title(format!("Letter to the dentist, case {number}"));
        for line in state.lines(told.facts, told.phrase, told.beside.today) {
            document.text(line.1);
        }
        document.text("No letter: there is nothing to ask under this number.");
        return;
    }
    head(document, told);
    let restorations = told.facts.units().restorations();
    let units: Vec<String> = restorations
        .iter()
        .map(|restoration| told.phrase.units(restoration))
        .collect();
    let number = &told.facts.case().number;
    document.title(format!("Case {number}: {}", units.join("; ")));
    document.text("Dear Doctor,");
    let work: Vec<String> = restorations
        .iter()
        .map(|restoration| {
            let at = Place::Restoration(restoration.id);
            if !told.facts.covers(at) {
                let kind = told.phrase.kind_of_work(told.facts, restoration);
                return format!("{}, {kind}", told.phrase.units(restoration));
            }
            let material = told
                .said(ORDER_MATERIAL, at)
                .filter(|said| said != words::NOT_SEEN)
                .unwrap_or_else(|| "material to be confirmed".to_owned());
            format!("{} in {material}", told.phrase.units(restoration))
        })
        .collect();
    document.text(format!(
        "Thank you for this case: {}. Teeth are in {}; x marks a missing tooth.",
        work.join("; "),
        told.phrase.notation.name()
    ));
    filled(document, told, "Seating day", ORDER_SEATING);
    agreed(document, told);
    let questions = questions(told);
    let rest = not_checked(told);
    if questions.is_empty() {
        document.text(format!("{}{rest}", no_question(told, &state)));
    } else {
        ask(document, told, &questions);
        if !rest.is_empty() {
            document.text(rest.trim_start());
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
    if remarks || tells || signs || confirms || !questions.is_empty() {
        document.heading("Signature");
        document.blank("Dentist");
        document.blank("Date");
    }
    document.text("With kind regards");
    match told.laboratory().and_then(|own| own.name.clone()) {
        Some(name) => document.text(name),
        None => document.blank("Laboratory"),
    }
    match told.inspected_by().as_slice() {
        [] => document.blank("Inspected by"),
        who => document.text(format!("Inspected by {}", who.join(", "))),
    }
}

/// The head of the sheet: from whom, when, to whom. What is not known is a line to fill in.
fn head(document: &mut Document, told: Told<'_>) {
    let laboratory = told.laboratory();
    match laboratory.and_then(|own| own.name.clone()) {
        Some(name) => document.text(name),
        None => document.blank("Laboratory"),
    }
    match laboratory.map_or(&[][..], |own| &own.address) {
        [] => document.blank("Address"),
        lines => lines.iter().for_each(|line| document.text(line.clone())),
    }
    match told.beside.imprint.printed {
        Some(printed) => document.text(words::day_in_words(printed.date())),
        None => document.blank("Date"),
    }
    match told.said(ORDER_DENTIST, Place::Case) {
        Some(code) => document.text(format!("To: dentist {code}")),
        None => document.blank("To"),
    }
}

/// Says that there is nothing to ask, and no more than was looked at.
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
    if tells.iter().any(|tell| tell.could_be >= Level::Call) {
        "We have no question on the preparations, but we do not make it before we know what stands below."
            .to_owned()
    } else if !tells.is_empty() {
        "We have nothing that you would have to decide.".to_owned()
    } else if state.state == State::Inspecting {
        "We have looked at part of it and have no question so far.".to_owned()
    } else if waits {
        "We have no other question.".to_owned()
    } else {
        format!(
            "Nothing has to be settled before we go on with {}.",
            looked.join("; ")
        )
    }
}

/// Says what was not checked, a sentence each.
fn not_checked(told: Told<'_>) -> String {
    let Told { facts, phrase, .. } = told;
    let said = facts.not_covered().into_iter().map(|own| {
        let (units, kind) = (phrase.units(own), phrase.kind_of_work(facts, own));
        format!(" {units}, {kind}, was not checked.")
    });
    said.collect()
}

/// Confirms what was agreed, and asks for what has to be sent for it. What a dentist will cut is told as agreed and never
/// as a figure that was read.
fn agreed(document: &mut Document, told: Told<'_>) {
    let Told { facts, phrase, .. } = told;
    let case = facts.case();
    let mut lines: Vec<String> = Vec::new();
    let mut messages: Vec<String> = Vec::new();
    for decided in case.decisions() {
        let decision = &decided.decision;
        // What has changed since is asked again below, and is no agreement any more.
        if !case.is_as_seen(decision) {
            continue;
        }
        let spoken = matches!(decision.outcome, Outcome::Agreed | Outcome::AsItIs);
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
        if let call::State::Standing(instruction) = ask.state {
            let at = phrase.decided_at(facts, ask.finding.at);
            lines.push(format!("{at}: {}", phrase.instruction(instruction)));
        }
    }
    if !lines.is_empty() {
        document.heading("As agreed");
        for line in lines {
            document.point("-", None, line, Vec::new());
        }
        document.text("Please tell us if we have any of this wrong.");
    }
    if !messages.is_empty() {
        document.heading("Please confirm");
        document.text("Your practice told us:");
        for line in messages {
            document.point("-", None, line, Vec::new());
            for answer in ["yes", "no"] {
                document.point("   [ ]", None, answer, Vec::new());
            }
        }
    }
    send(document, told);
}

/// Asks for what has to be sent, each with its day.
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
    document.heading("Please send");
    for own in &list {
        let late = own
            .due
            .zip(told.beside.today)
            .is_some_and(|(due, today)| due < today);
        let under = late.then(|| "It is not here yet. Is it on its way?".to_owned());
        let text = phrase.awaited(facts, own).replacen(", due ", ", by ", 1);
        document.point("[ ]", None, text, under.into_iter().collect());
    }
    let state = told.state();
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
    // What else is open for them does not start them either.
    let waits = teeth(|state| matches!(state, State::Waiting | State::ToCall | State::Inspecting));
    if !waits.is_empty() {
        document.text(format!("Until then we do not start {}.", waits.join("; ")));
    }
    let later = teeth(|state| state == State::ForDesign);
    if !later.is_empty() {
        document.text(format!(
            "We design {} meanwhile and do not make it before.",
            later.join("; ")
        ));
    }
    let on = teeth(|state| state == State::ToMake);
    if !on.is_empty() {
        document.text(format!("{} goes ahead.", on.join("; ")));
    }
}

/// Asks what only the dentist can tell, with boxes; returns whether there is anything.
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

/// Says a fact of the case, or leaves a line for it.
fn filled(document: &mut Document, told: Told<'_>, label: &str, fact: FactId) {
    match told
        .said(fact, Place::Case)
        .filter(|said| said != words::NOT_SEEN)
    {
        Some(said) => document.text(format!("{label}: {said}")),
        None => document.blank(label),
    }
}

fn ask(document: &mut Document, told: Told<'_>, questions: &[Question<'_>]) {
    document.heading("Please tell us how to proceed");
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
        (_, [_, ..]) => format!(
            "{} goes ahead. We would like to hear from you before we start the rest.",
            join(&on)
        ),
        (Level::Hold, _) => {
            "We have not started and would like to hear from you before we do.".to_owned()
        }
        _ => "We would like to hear from you before we go on.".to_owned(),
    });
    document.text(DECIDES);
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
                call::State::Declined(own) => under.push(told.phrase.declined(own)),
                call::State::Again(_) => under.push(FOUND_AGAIN.to_owned()),
                call::State::Changed(own) => under.push(told.phrase.changed_since(own)),
                call::State::Awaiting(own) => under.push(told.phrase.asked(own)),
                _ => {}
            }
        }
        document.point(format!("{}.", number + 1), None, question.head(), under);
        for part in &question.parts {
            picture(document, told, part, &mut drawn);
        }
        question.boxes(document, told);
        document.blank("   Answer");
    }
    filled(document, told, "We need your answer by", CALL_BY);
    document.text(if on.is_empty() {
        "We will hold the case until we hear from you."
    } else {
        "We will hold the rest until we hear from you."
    });
}

/// Adds the preparation of a question that is about its shape, each once.
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

/// Adds what is only worth a remark; returns whether anything is. What holds the work up never stands here.
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
    document.heading("When convenient");
    document.text("These do not hold the work up.");
    for asks in remarks {
        document.point("-", None, asks, Vec::new());
        document.blank("   Answer");
    }
    true
}
