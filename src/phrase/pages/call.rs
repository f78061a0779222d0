//! The page of the call.

use crate::case::decision::Decider;
use crate::flow::Level;
pub use crate::phrase::sheets::NOT_KNOWN;
pub use crate::phrase::sheets::call::{NOTHING_TO_ASK, TO_ASK, TO_COME};
use crate::phrase::{Phrase, words};

/// Says that there is no question to the dentist.
pub const NOTHING: &str = "nothing to ask";

/// Heads the questions whose agreement has still to come in.
pub const WAITING: &str = "Waiting";
/// Heads the questions that were answered.
pub const ANSWERED: &str = "Answered";
/// Heads decisions on questions that are no longer asked.
pub const NO_LONGER_ASKED: &str = "No longer asked";
/// Heads changes that were tried and are proposed to the dentist.
pub const TO_PROPOSE: &str = "To propose";

/// Says that what was accepted has changed since.
pub const CHANGED: &str = "It has changed since it was accepted: ask again.";
/// Says that what was agreed has arrived and does not solve it.
pub const FOUND_AGAIN: &str = "What was agreed has arrived, and it is still found: ask again.";
/// Says what can be done after the dentist declined.
pub const DECLINED: &str = "Declined: make it as it is on a written order, choose another option, or take it off the order.";
/// Asks who is on the phone.
pub const WHO_SPEAKS: &str = "Who is speaking?";
/// Heads the options that can be added to the answer.
pub const ADD: &str = "Together with:";
/// Asks what was said, where the question offers choices. The key is filled in.
pub const WHAT_WAS_SAID: &str = "What was said? {choose}: other (free text)";
/// Asks what has to arrive before an answer counts. The key is filled in.
pub const WHAT_HAS_TO_COME: &str = "What has to arrive before it counts? {choose} confirms";
/// Heads the answer as it is read back.
pub const READ_BACK: &str = "Read back:";
/// Says which key opens a line to be typed. The key is filled in.
pub const OPENS: &str = "{open-row} to type the answer";
/// Says which key records that something has arrived. The key is filled in.
pub const HAS_ARRIVED: &str = "{open-row}: it has arrived";
/// Says that an option leaves the question.
pub const NOT_ENOUGH: &str = "Say that this alone does not settle it.";
/// Stands where options are not there yet.
pub const CALCULATING: &str = "options: calculating";

/// Says how many questions are to be asked, and if there is none, how many details the dentist has to tell.
pub fn count(open: usize, details: usize) -> String {
    match (open, details) {
        (0, 0) => NOTHING.to_owned(),
        (0, 1) => format!("{NOTHING}, 1 detail to request"),
        (0, details) => format!("{NOTHING}, {details} details to request"),
        (open, _) => format!("{open} to ask"),
    }
}

/// What was said to a line of the call, or why it is urgent.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum RowMark {
    /// An answer was begun.
    Begun,
    /// The dentist declined.
    Declined,
    /// It is asked again.
    Again,
    /// What was agreed has still to come in.
    Waiting,
    /// It was answered.
    Answered,
    /// A standing instruction answers it.
    Standing,
    /// The dentist does not know it either.
    NotKnown,
    /// It has to be known before the work is made.
    BeforeMade,
    /// It should be here by now.
    Late,
}

/// Says what was said to a line of the call.
pub fn mark(mark: RowMark) -> &'static str {
    match mark {
        RowMark::Begun => "begun",
        RowMark::Declined => "declined",
        RowMark::Again => "again",
        RowMark::Waiting => words::state(crate::case::life::State::Waiting),
        RowMark::Answered => "answered",
        RowMark::Standing => "standing",
        RowMark::NotKnown => NOT_KNOWN,
        RowMark::BeforeMade => "needed before making",
        RowMark::Late => "late",
    }
}

/// Says a text that was begun and is not kept yet.
pub fn begun(text: &str) -> String {
    format!("{text} ..")
}

/// Says a decision behind the teeth that it holds for.
pub fn decided_at(teeth: &str, decision: &str) -> String {
    format!("{teeth}: {decision}")
}

/// Says a value that is expected once what was agreed has come in.
pub fn expected(change: &str) -> String {
    format!("expected: {change}")
}

/// Says a way to answer behind its digit.
pub fn digit_and_outcome(digit: char, outcome: &str) -> String {
    format!("{digit} {outcome}")
}

/// Says which of many options are shown, counted from 1, and the key that shows more. The key is filled in.
pub fn options_shown(first: usize, last: usize, all: usize) -> String {
    format!("options {first} to {last} of {all}; {{more-options}}: more")
}

/// Says how many answers are asked again once something has arrived.
pub fn asked_anew(answers: usize) -> String {
    match answers {
        1 => "When it is here, 1 answer is asked again, with the old value beside it.".to_owned(),
        n => format!(
            "When it is here, {n} answers are asked again, each with the old value beside it."
        ),
    }
}

/// Which keys do something to an answer that is read back.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct ReadBackKeys {
    /// Another option can be added.
    pub option: bool,
    /// The day can be changed.
    pub day: bool,
    /// The cost can be changed.
    pub cost: bool,
    /// The written order can be recorded as here.
    pub order: bool,
}

/// Says what can be done with an answer that is read back. The keys are filled in.
pub fn read_back_keys(keys: ReadBackKeys) -> String {
    let more = [
        (keys.option, "{add-option} more"),
        (keys.day, "{change-day} day"),
        (keys.cost, "{change-cost} cost"),
        (true, "{change-words} words"),
        (keys.order, "{order-here} order is here"),
    ];
    let more: Vec<&str> = more
        .into_iter()
        .filter_map(|(takes, said)| takes.then_some(said))
        .collect();
    format!(
        "{{choose}} saves it, {{back}} goes back; {}",
        more.join(", ")
    )
}

/// What comes of an option.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Comes<'a> {
    /// The result afterwards, in a word.
    pub result: Option<&'a str>,
    /// Whether something comes in that is inspected first.
    pub inspected: bool,
    /// Grip before and after.
    pub grip: Option<[f64; 2]>,
    /// Tooth that is cut, in mm³.
    pub cut: Option<f64>,
    /// What it costs.
    pub price: Option<&'a str>,
    /// How many days it takes.
    pub days: u32,
}

/// Says what comes of an option, what it cuts, costs and takes.
pub fn note(comes: Comes<'_>) -> String {
    let mut said = Vec::new();
    said.extend(comes.result.map(|result| match comes.inspected {
        true => format!("then inspected again; as far as known {result}"),
        false => format!("then {result}"),
    }));
    said.extend(
        comes
            .grip
            .map(|grip| format!("grip from {}", super::options::from_to(grip))),
    );
    said.extend(
        comes
            .cut
            .map(|cut| format!("cuts {}", super::options::cut(cut))),
    );
    said.extend(comes.price.map(str::to_owned));
    if comes.days > 0 {
        said.push(super::options::days_taken(comes.days));
    }
    said.join(", ")
}

/// Says a line of the list when it is read aloud: its level, what it asks, what was said to it.
pub fn aloud(level: Option<Level>, text: &str, own: Option<RowMark>) -> String {
    let level = level.map_or("", words::level);
    super::listed(&[level, text, own.map_or("", mark)])
}

/// Says changes that are proposed, in one line.
pub fn changes(changes: &[String]) -> String {
    changes.join("; ")
}

impl Phrase<'_> {
    /// Says who is speaking, and the key that changes it. The key is filled in.
    pub fn speaks(self, by: Decider) -> String {
        format!("Speaking: {} ({{speaker}} changes)", self.decider(by))
    }
}

/// Says which keys take one of two notes of the dentist's answer. Their keys are filled in.
pub const TWO_DECISIONS: &str = "two people noted different answers: ask again, or {take-first} takes the first, {take-second} the last";
