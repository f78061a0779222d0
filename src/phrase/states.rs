//! How far a case and each of its restorations are, in a line: what comes next, and what is not to be done before.

use jiff::civil::Date;

use super::coming::{NOT_RECORDED, came, lower_first, part};
use super::words::day_in_words;
use super::{Phrase, join, words};
use crate::case::coming::{Awaited, Part};
use crate::case::life::State;
use crate::fact::Place;

/// What has still to be drawn before it is made.
pub const NOT_DRAWN: &str = words::TO_BE_DRAWN;

/// What is still open under a restoration that may be made.
#[derive(Clone, Copy, Debug, Default)]
pub struct Caveats<'a> {
    /// Whether it is made on the models from before a newer record.
    pub on_earlier_models: bool,
    /// The names of what the dentist has not told yet.
    pub untold: &'a [String],
    /// The teeth of restorations next to it that are not checked.
    pub unchecked: &'a [String],
}

/// Names something that has to come in.
pub fn awaited(own: &Awaited) -> &'static str {
    if own.is_recorded {
        part(own.part)
    } else {
        NOT_RECORDED
    }
}

/// Names something that has to come in with its teeth, or without them where `teeth` is empty.
pub fn awaited_for(own: &Awaited, teeth: &str) -> String {
    let what = awaited(own);
    if teeth.is_empty() {
        what.to_owned()
    } else {
        format!("{what} for {teeth}")
    }
}

/// Says the state of a case in a few words: of how many restorations, and what is waited for.
pub fn in_short(state: State, (own, all): (usize, usize), coming: &[&Awaited]) -> String {
    let mut said = word(state);
    if own < all {
        said.push_str(&format!(" {own} of {all}"));
    }
    let mut parts: Vec<String> = Vec::new();
    for text in coming.iter().map(|own| awaited(own).to_owned()) {
        if !parts.contains(&text) {
            parts.push(text);
        }
    }
    if state == State::Waiting && !parts.is_empty() {
        said.push_str(&format!(" for {}", join(&parts)));
    }
    said
}

/// Says a state in capitals, as it stands in a line.
fn word(state: State) -> String {
    words::state(state).to_uppercase()
}

/// Says that the dentist is to be called first: about how many questions, whether once more, what the laboratory has to do
/// itself, and what is left at the bench.
pub fn call_first(
    teeth: &str,
    again: bool,
    questions: usize,
    ours: &[String],
    left: &[String],
) -> String {
    let again = if again { ", asked again" } else { "" };
    let questions = match questions {
        1 => "1 question for the dentist".to_owned(),
        n => format!("{n} questions for the dentist"),
    };
    let ours = match ours {
        [] => String::new(),
        list => format!(
            " First in the laboratory: {}.",
            lower_first(&list.join("; "))
        ),
    };
    let left = match left {
        [] => String::new(),
        list => format!(" Before the call: {}.", list.join("; ")),
    };
    format!("{teeth} CALL FIRST{again}: {questions}.{ours}{left} Do not start {teeth}.")
}

/// Says that a restoration is closed (delivered, returned or withdrawn): since when, under which number it goes on, and
/// how many questions were never answered.
pub fn closed(
    teeth: &str,
    state: State,
    since: Option<Date>,
    goes_on: Option<&str>,
    unanswered: usize,
) -> String {
    let word = word(state);
    let day = since.map_or_else(String::new, |day| format!(" {}", day_in_words(day)));
    let next = match goes_on {
        Some(number) => format!(" Continued as case {number}."),
        None if state == State::Returned => " Nothing more is made under this number.".to_owned(),
        None => String::new(),
    };
    let open = match unanswered {
        0 => String::new(),
        1 => " One question for the dentist was never answered.".to_owned(),
        n => format!(" {n} questions for the dentist were never answered."),
    };
    format!("{teeth} {word}{day}.{next}{open}")
}

/// Says that a restoration is still inspected, and what is left to do.
pub fn inspecting(teeth: &str, left: &[String]) -> String {
    format!("{teeth} {}: {}.", word(State::Inspecting), left.join("; "))
}

/// Says what the laboratory has to do itself first; `None` if it has nothing to do.
pub fn in_the_laboratory(ours: &[String]) -> Option<String> {
    let said: Vec<String> = ours.iter().map(|text| lower_first(text)).collect();
    (!said.is_empty()).then(|| format!("first in the laboratory, {}", said.join("; ")))
}

/// Says how many questions of the inspection are left at the bench; `None` if none is. Those for the dentist and those of
/// the drawing are none of them.
pub fn questions_left(count: usize) -> Option<String> {
    match count {
        0 => None,
        1 => Some("1 question left at the bench".to_owned()),
        n => Some(format!("{n} questions left at the bench")),
    }
}

/// Names what was looked for: its place and its name.
pub fn named(phrase: Phrase<'_>, at: Place, name: &str) -> String {
    match at {
        Place::Case => name.to_owned(),
        at => format!("{} {name}", phrase.place(at)),
    }
}

/// Says what was looked for and not seen; `None` if nothing was.
pub fn not_seen(names: &[String]) -> Option<String> {
    (!names.is_empty()).then(|| format!("{}: {}", words::NOT_SEEN, join(names)))
}

/// Says that a restoration waits: for what, until when, whether that is past, and what of the same agreement is here.
pub fn waiting(
    teeth: &str,
    parts: &[String],
    due: Option<Date>,
    is_late: bool,
    here: &[Part],
) -> String {
    let due = match due {
        Some(_) if is_late => ", late".to_owned(),
        Some(due) => format!(", due {}", day_in_words(due)),
        None => String::new(),
    };
    format!(
        "{teeth} {} for {}{due}. {}Do not start {teeth}.",
        word(State::Waiting),
        join(parts),
        are_here(here)
    )
}

/// Says what is here already and is only inspected; nothing if `here` is empty.
fn are_here(here: &[Part]) -> String {
    let said: Vec<String> = here.iter().map(|part| came(*part).to_owned()).collect();
    let text = join(&said);
    let mut letters = text.chars();
    let Some(first) = letters.next() else {
        return String::new();
    };
    let is = if said.len() == 1 { "is" } else { "are" };
    format!(
        "{}{} {is} here: inspect only. ",
        first.to_uppercase(),
        letters.as_str()
    )
}

/// Says that a restoration may be designed and not made yet, and why.
pub fn for_design(teeth: &str, reasons: &str, on_earlier_models: bool) -> String {
    format!(
        "{teeth} {}. Do not make {teeth} yet: {reasons}.{}",
        word(State::ForDesign),
        on_models(on_earlier_models)
    )
}

/// Says that a restoration may be made: what was found and accepted, and what to mind.
pub fn to_make(teeth: &str, accepted: &[String], caveats: Caveats<'_>) -> String {
    let word = word(State::ToMake);
    let cleared = match accepted {
        [] => format!("{teeth} {word}."),
        list => format!(
            "{teeth} {word} as agreed. Accepted: {}.",
            words::in_a_line(list)
        ),
    };
    let mut said = format!("{cleared}{}", on_models(caveats.on_earlier_models));
    if !caveats.untold.is_empty() {
        said.push_str(&format!(" Not known yet: {}.", join(caveats.untold)));
    }
    for other in caveats.unchecked {
        said.push_str(&format!(
            " {other} next to it is not checked here: set the contact once {other} is settled."
        ));
    }
    said
}

/// Says on which models it is made, where there are two; nothing otherwise.
fn on_models(earlier: bool) -> &'static str {
    if earlier {
        " Make it on the earlier models, not on the new ones."
    } else {
        ""
    }
}

/// Says that nothing here holds for a restoration.
pub fn not_covered(teeth: &str) -> String {
    format!("{teeth} {}: not checked here.", word(State::NotCovered))
}

/// Says why it is not made yet: a finding to be put right in the design, and how.
pub fn redraw(finding: &str, bench: Option<&str>) -> String {
    match bench {
        Some(bench) => format!("{finding}; {bench}"),
        None => finding.to_owned(),
    }
}

/// Says why it is not made yet: something has not come in.
pub fn still_to_come(what: Part) -> String {
    format!("{} is still to come", part(what))
}

/// Says why it is not made yet: the dentist has not told something, for these teeth or the whole case.
pub fn not_told(name: &str, teeth: Option<&str>) -> String {
    match teeth {
        Some(teeth) => format!("{name} of {teeth} not known"),
        None => format!("{name} not known"),
    }
}

/// Says why it is not made yet: a crown next to it waits for its impression.
pub fn next_to(other: &str) -> String {
    format!("{other} next to it waits for its impression")
}
