//! Single lines below the list of the call: what can be picked, what comes of an option, what to have ready.

use super::{PanelLine, ready};
use crate::fact::{FactId, Kind, Value};
use crate::flow::Level;
use crate::options::CaseOption;
use crate::phrase::pages::call as said;
use crate::phrase::{DENTIST_MAY, LABORATORY_CAN, Phrase, grip_moved, seen_cut};
use crate::session::{Inspection, Keymap};

pub(super) fn plain_pick(digit: char, text: &str) -> PanelLine {
    PanelLine::Pick {
        digit: Some(digit),
        ticked: false,
        marked: false,
        text: text.to_owned(),
        note: String::new(),
    }
}

pub(super) fn heading(phrase: Phrase<'_>, way: &CaseOption) -> &'static str {
    match way.of(phrase.flow).map(|option| option.by) {
        Some(crate::flow::Whose::Dentist) => DENTIST_MAY,
        _ => LABORATORY_CAN,
    }
}

/// What comes of an option, what it cuts, costs and takes.
pub(super) fn note(phrase: Phrase<'_>, way: &CaseOption) -> String {
    let after = way.after.as_ref();
    let option = way.of(phrase.flow);
    let price = option.map(|option| phrase.price(option));
    said::note(said::Comes {
        result: after.map(|after| phrase.in_a_word(after.verdict)),
        inspected: option.is_some_and(|own| own.brings_a_record()),
        grip: after.and_then(grip_moved),
        cut: seen_cut(way.cut),
        price: price.as_deref(),
        days: option.map_or(0, |option| option.days),
    })
}

/// Says that an option does not settle the question alone, or returns `None` if it does or was not computed.
pub(super) fn not_enough(way: &CaseOption) -> Option<PanelLine> {
    let left = way
        .after
        .as_ref()
        .is_some_and(|after| after.left >= Level::Call);
    left.then(|| PanelLine::Text(said::NOT_ENOUGH.to_owned()))
}

/// What to be careful about with an option.
pub(super) fn careful(phrase: Phrase<'_>, way: &CaseOption) -> Vec<PanelLine> {
    let cautions = way.of(phrase.flow).map(|option| option.cautions.iter());
    let all = cautions.into_iter().flatten();
    all.map(|text| PanelLine::Text(text.clone())).collect()
}

pub(super) fn ready_panel(
    keymap: &Keymap,
    phrase: Phrase<'_>,
    inspection: &Inspection,
    fact: &FactId,
) -> Vec<PanelLine> {
    let mut lines = Vec::new();
    if let Some(question) = phrase.flow.question(fact) {
        lines.push(PanelLine::Heading(question.asks.clone()));
        lines.push(PanelLine::Dim(question.look.clone()));
    }
    let now = inspection
        .case()
        .merged(&ready(fact))
        .map(|(_, reading)| &reading.value);
    let kind = phrase.flow.spec(fact).map(|spec| &spec.kind);
    let choices: Vec<(Value, String)> = match kind {
        Some(Kind::YesNo) => [Value::Yes, Value::No]
            .map(|value| (value.clone(), phrase.value(None, &value, None)))
            .to_vec(),
        Some(kind @ Kind::Choice(_)) => phrase
            .flow
            .choices(kind)
            .into_iter()
            .map(|(id, words)| (Value::Choice(id), words))
            .collect(),
        _ => {
            lines.push(PanelLine::Dim(keymap.say(said::OPENS)));
            Vec::new()
        }
    };
    for (digit, (value, text)) in ('1'..='9').zip(choices) {
        lines.push(PanelLine::Pick {
            digit: Some(digit),
            ticked: now == Some(&value),
            marked: false,
            text,
            note: String::new(),
        });
    }
    lines
}
