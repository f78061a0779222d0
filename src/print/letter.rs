//! The letter to the dentist: the call list in writing, without figures that nobody at the chair can use.

use super::{Document, Told, standing};
use crate::call::{MOST_QUESTIONS, asks};
use crate::fact::{ORDER_MATERIAL, ORDER_SEATING, Place};
use crate::flow::Level;
use crate::phrase::CAUTION;

pub(super) fn add(document: &mut Document, told: Told<'_>) {
    let Told {
        facts,
        judgement,
        phrase,
        ..
    } = told;
    document.title(format!(
        "Letter to the dentist, case {}",
        facts.case().number
    ));
    document.text("To the treating dentist");
    let work: Vec<String> = facts
        .units()
        .restorations()
        .iter()
        .map(|restoration| {
            let at = Place::Restoration(restoration.id);
            let material = told
                .said(ORDER_MATERIAL, at)
                .unwrap_or_else(|| "material still to be named".to_owned());
            format!("{} in {material}", phrase.units(restoration))
        })
        .collect();
    document.text(format!(
        "Thank you for this case: {}. Teeth are in {}; x marks a missing tooth.",
        work.join("; "),
        phrase.notation.name()
    ));
    match told.said(ORDER_SEATING, Place::Case) {
        Some(day) => document.text(format!("Seating day: {day}")),
        None => document.blank("Seating day"),
    }
    if standing::agreed(document, told, ("As agreed with you", "-")) {
        document.text("Please tell us if we have any of this wrong.");
    }
    let questions: Vec<String> = asks(facts, judgement, phrase, told.beside.agreements)
        .into_iter()
        .filter(|ask| ask.is_open())
        .map(|ask| ask.asks)
        .collect();
    if questions.is_empty() {
        document.text(if judgement.verdict.is_open() {
            "We have looked at part of it and have no question so far."
        } else {
            "We have looked at it and have no question."
        });
    } else {
        ask(document, told, &questions);
    }
    document.text("With kind regards from the laboratory");
    document.blank("Role and date");
    document.heading("Caution");
    document.text(CAUTION);
}

fn ask(document: &mut Document, told: Told<'_>, questions: &[String]) {
    document.heading("We would be glad of your choice");
    document.text(if told.judgement.verdict.level == Level::Hold {
        "We have not started and would like to hear from you before we do."
    } else {
        "We would like to hear from you before we go on."
    });
    for (number, asks) in questions.iter().take(MOST_QUESTIONS).enumerate() {
        let mark = format!("{}.", number + 1);
        document.point(mark, None, asks.clone(), Vec::new());
        document.blank("   Your choice");
    }
    document.blank("Your role and date");
    document.blank("We would need it by");
    document.text("Without an answer the case waits for you.");
    if questions.len() > MOST_QUESTIONS {
        document.heading("When convenient");
        for asks in questions.iter().skip(MOST_QUESTIONS) {
            document.point("-", None, asks.clone(), Vec::new());
        }
    }
}
