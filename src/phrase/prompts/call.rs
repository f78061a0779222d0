//! What is said on the page of the call.

use jiff::civil::Date;

use crate::case::coming::Part;
use crate::phrase::coming::{came_on, part};
use crate::phrase::words::day_in_words;

/// Said where nothing has to come in for the case.
pub const NOTHING_AWAITED: &str = "this case is not waiting for anything";

/// Asks who is on the phone, where that was not said yet.
pub const WHO_SPEAKS: &str = "who is speaking? press 1 to 4";

/// Said where a digit other than those of the roles is pressed first.
pub const SPEAKER_FIRST: &str = "first say who is speaking: 1 to 4";

/// Said where an answer is to be given and no question is marked.
pub const MARK_A_QUESTION: &str = "mark a question first";

/// Said where the answer before is asked for and there was none.
pub const NOTHING_SAID_YET: &str = "nothing was answered on this call so far";

/// Said where the answer before is none to this question.
pub const NO_ANSWER_TO_THIS: &str = "the last answer does not fit this question: press a digit";

/// Which key gives the answer before to this question too.
pub fn the_same(key: &str, what: &str) -> String {
    format!("{key} the same answer: {what}")
}

/// Said where a question is open and its answer is picked by a digit.
pub const PRESS_THE_ANSWER: &str = "press the digit of the answer";

/// Said at what only the dentist can tell.
pub const PRESS_THE_ANSWER_OR_0: &str = "press the digit of the answer; 0: not known";

/// Said at a decision on what is no longer asked.
pub const NO_LONGER_ASKED: &str = "no longer asked; the answer stays on record";

/// Said where a digit does nothing on a line.
pub const NO_DIGITS: &str = "digits do nothing here";

/// Said where a record has come in and its readings are to be taken again.
pub const INSPECT_AGAIN: &str = "it is here: inspect it again, starting at the first open question";

/// Why a finding on hold gets no standing instruction.
pub const NEVER_ON_HOLD: &str = "no standing instruction for a finding on hold";

/// Said where a standing instruction lacks the dentist's code.
pub const CODE_FIRST: &str = "enter the dentist's code first, above";

/// Said where the same standing instruction is there already.
pub const STANDING_ALREADY: &str = "there is a standing instruction for this already";

/// Said where an answer cannot become a standing instruction.
pub const ONLY_AGREED: &str = "only what was agreed can become a standing instruction";

/// Said where a standing instruction is wanted and no answered question is marked.
pub const MARK_AN_ANSWERED: &str = "mark a question that has been answered";

/// Said where there are no more options to turn to.
pub const NO_MORE_OPTIONS: &str = "no more options";

/// Said where an answer was begun on an earlier state of the case.
pub const CASE_CHANGED: &str = "the case has changed; choose the answer again";

/// Said where something can never be made as ordered.
pub const NEVER_AS_ORDERED: &str = "this cannot be made as ordered: there is nothing to make it on";

/// Said where another option is added to an answer that has none.
pub const ONLY_TO_AN_OPTION: &str = "only an option can be combined with another";

/// Said where a line is changed while something else is still asked.
pub const ANSWER_THIS_FIRST: &str = "answer this first";

/// Said where no written order belongs to the answer.
pub const NO_ORDER_NEEDED: &str = "no written order is needed for this";

/// Said where the speaker is changed while an answer is open.
pub const FINISH_THE_ANSWER: &str = "save or leave this answer first, then say who is speaking";

/// Said where options are to be chosen and none is.
pub const CHOOSE_AN_OPTION: &str = "choose at least one option";

/// Said where something was agreed in words and none are typed.
pub const TYPE_WHAT_WAS_AGREED: &str = "type what was agreed";

/// What a choice ends with that says nothing without words of its own.
pub const WRITTEN_BELOW: &str = "written below";

/// Says that such words are missing; `key` types them.
pub fn type_what_it_says(key: &str) -> String {
    format!("press {key} and type what was said, such as the shade or for how long")
}

/// Said where the day by which something comes is past.
pub const DUE_IS_PAST: &str = "the due date is past; enter another day";

/// Said where two options contradict each other.
pub const NOT_TOGETHER: &str =
    "these options do not go together; choose one, and type the other in words";

/// Said where an answer to a question that is still asked is said to have arrived.
pub const ANSWER_ON_CALL: &str =
    "what did the dentist say? Mark the question on the call and choose the answer there";

/// Says how to deal with a proposal of the laboratory.
pub fn proposal(strike_key: &str) -> String {
    format!("put it to the dentist; {strike_key} takes it off the list")
}

/// Says that only a proposal can be taken off the list.
pub fn only_a_proposal(undo_key: &str) -> String {
    format!("only a proposal can be taken off the list; {undo_key} undoes the last answer")
}

/// Says which key records what has arrived.
pub fn how_it_arrives(open_key: &str) -> String {
    format!("{open_key}: it has arrived, and when")
}

/// Says which key opens a line that is typed.
pub fn opens_to_type(open_key: &str) -> String {
    format!("{open_key} opens this line to type")
}

/// Says which key opens what the dentist tells in words, and what 0 means.
pub fn opens_to_type_or_0(open_key: &str) -> String {
    format!("{open_key} opens this line to type; 0: not known")
}

/// Says that a typed text is no answer to the open line.
pub fn not_an_answer(text: &str) -> String {
    format!("\"{text}\" is not an answer here")
}

/// Says that an arrival was saved.
pub fn arrived(what: Part, on: Date) -> String {
    format!("saved: {}", came_on(what, on))
}

/// Says what to press where an answer is read back.
pub fn read_back(choose_key: &str, back_key: &str) -> String {
    format!("{choose_key} saves it, {back_key} goes back")
}

/// Says that several options fit what was said.
pub fn choose_which(choose_key: &str) -> String {
    format!("choose which, then {choose_key}")
}

/// Says what to do where nothing has to come in for what was agreed in words.
pub fn choose_what_comes(back_key: &str) -> String {
    format!(
        "choose what has to come in; if nothing does, it is made as ordered: {back_key}, then 7"
    )
}

/// Says that nobody agreed on what is said to have arrived.
pub fn not_awaited(what: Part) -> String {
    format!(
        "{} is not expected here: only what was agreed on the call can arrive",
        part(what)
    )
}

/// Says that something comes after healing, which is still awaited.
pub fn not_healed(what: Part) -> String {
    format!(
        "{} comes after healing: record first that it has healed",
        part(what)
    )
}

/// Says that something was agreed later than it is said to have come.
pub fn before_agreed(what: Part, agreed: Date) -> String {
    format!(
        "{} was agreed on {}: it cannot have come before",
        part(what),
        day_in_words(agreed)
    )
}
