//! The letter to the dentist.

use crate::phrase::join;
use crate::tooth::Notation;

/// Said in place of a letter if the rules do not cover the work.
pub const NOT_COVERED: &str =
    "No letter: this type of work is not covered, and none of it was checked.";
/// Said in place of a letter if the case is closed.
pub const CLOSED: &str = "No letter: there is nothing to ask under this number.";
/// The salutation.
pub const DEAR: &str = "Dear Doctor,";
/// The heading of the signature.
pub const SIGNATURE: &str = "Your signature";
/// The line for the signature of the dentist.
pub const DENTIST: &str = "Dentist";
/// The line for a date.
pub const DATE: &str = "Date";
/// The close.
pub const REGARDS: &str = "With kind regards";
/// The line for the name of the laboratory.
pub const LABORATORY: &str = "Laboratory";
/// The line for the address of the laboratory.
pub const ADDRESS: &str = "Address";
/// The line for the addressee.
pub const TO: &str = "To";
/// Said if only what is asked below holds the work up.
pub const ONLY_TO_TELL: &str =
    "We have no question about the preparations, but we need the answers below before we make it.";
/// Said if the inspection is not finished and what is asked so far stands below.
pub const SO_FAR_AND_TO_TELL: &str = "We have not inspected all of the case yet and have no other question so far; these answers we can use already.";
/// Said if nothing has to be decided and something is asked below.
pub const NOTHING_TO_DECIDE: &str = "There is nothing that you have to decide.";
/// Said if the inspection is not finished and asks nothing so far.
pub const NONE_SO_FAR: &str = "We have inspected part of the case and have no question so far.";
/// Said if something has still to arrive and nothing else is asked.
pub const NO_OTHER: &str = "We have no other question.";
/// The heading of what was agreed.
pub const AS_AGREED: &str = "As agreed";
/// Said under what was agreed.
pub const IF_WRONG: &str = "Please tell us if we have any of this wrong.";
/// The heading of what somebody passed on.
pub const PLEASE_CONFIRM: &str = "Please confirm";
/// Said over what somebody passed on.
pub const PRACTICE_TOLD: &str = "Your practice told us:";
/// The heading of what has to be sent.
pub const PLEASE_SEND: &str = "Please send";
/// Said under something whose day has passed.
pub const LATE: &str = "It is not here yet. Is it on its way?";
/// The heading of the questions.
pub const PLEASE_ANSWER: &str = "Please tell us how to proceed";
/// Said over the questions if something is on hold.
pub const NOT_STARTED: &str = "We have not started and would like to hear from you before we do.";
/// Said over the questions if nothing is on hold.
pub const BEFORE_WE_GO_ON: &str = "We would like to hear from you before we go on.";
/// Whose decision it is: the laboratory has seen the models and nothing else.
pub const DECIDES: &str =
    "We see the models and the order, not the patient: how to proceed is your decision.";
/// The label of the day by which an answer is needed.
pub const ANSWER_BY: &str = "We need your answer by";
/// Said under the questions if none of the case goes ahead.
pub const HOLD_ALL: &str = "We will hold the case until we hear from you.";
/// Said under the questions if part of the case goes ahead.
pub const HOLD_REST: &str = "We will hold the rest until we hear from you.";
/// The heading of remarks.
pub const WHEN_CONVENIENT: &str = "When convenient";
/// Said over remarks.
pub const NOT_URGENT: &str = "These do not hold up the work.";

/// The title of a letter that there is not.
pub fn no_letter(case: &str) -> String {
    format!("Letter to the dentist, case {case}")
}

/// The subject line.
pub fn subject(case: &str, units: &[String]) -> String {
    format!("Case {case}: {}", units.join("; "))
}

/// A restoration that is not covered, by its type of work.
pub fn other_work(units: &str, kind: &str) -> String {
    format!("{units}, {kind}")
}

/// A restoration and its material.
pub fn work(units: &str, material: &str) -> String {
    format!("{units} in {material}")
}

/// Thanks for the case, with what was ordered and how teeth are numbered.
pub fn thanks(work: &[String], notation: Notation) -> String {
    format!(
        "Thank you for this case: {}. Teeth are in {}; x marks a missing tooth.",
        work.join("; "),
        notation.name()
    )
}

/// The dentist by the laboratory's code.
pub fn to(code: &str) -> String {
    format!("{TO}: dentist {code}")
}

/// Nothing is asked about these restorations.
pub fn nothing_to_settle(units: &[String]) -> String {
    format!(
        "Nothing has to be settled before we go on with {}.",
        units.join("; ")
    )
}

/// A restoration that was not checked, by its type of work.
pub fn not_checked(units: &str, kind: &str) -> String {
    format!("{units}, {kind}, was not checked.")
}

/// A standing instruction that answers a question about a place.
pub fn standing(place: &str, instruction: &str) -> String {
    format!("{place}: {instruction}")
}

/// These restorations are not started before everything has arrived.
pub fn not_before(units: &[String]) -> String {
    format!("Until then we will not start {}.", units.join("; "))
}

/// These restorations are designed before everything has arrived.
pub fn design_meanwhile(units: &[String]) -> String {
    format!(
        "Meanwhile we will design {}, but not make it.",
        units.join("; ")
    )
}

/// These restorations are made at once.
pub fn goes_ahead(units: &[String]) -> String {
    format!("We are going ahead with {}.", join(units))
}

/// These restorations are made at once, the rest after an answer.
pub fn rest_waits(units: &[String]) -> String {
    format!(
        "{} We would like to hear from you before we start the rest.",
        goes_ahead(units)
    )
}
