//! The inspection as plain lines in and out: what is said around the pages, and why a line is not accepted.

use super::tabs;
use crate::phrase::words;

/// Says, where the lines end at a reading that was checked, that it is not kept.
pub const NOT_KEPT: &str = "a reading was not confirmed and is not saved";
/// Says, where the lines end, that an answer on the call is not kept.
pub const BEGUN: &str = "an answer on the call was begun and is not saved";
/// Says, where the lines end, that everything else is kept.
pub const LEFT: &str = "closed; every answer is saved";
/// Says that a line changed nothing.
pub const NO_CHANGE: &str = "no change";

/// Says, at the beginning and behind the caution in one line, what has to be known of "nothing found" and where the whole
/// caution is.
pub const CAUTION_MORE: &str =
    "\"Nothing found\" does not mean approved; \"help\" says the whole caution.";

/// Says, at the beginning, how to see what can be typed. `mark` stands before a command while a text is typed.
pub fn how_to_help(mark: char) -> String {
    format!("\"help\" says what can be typed, \"{mark}help\" while a text is typed")
}

/// Says why a line was not accepted.
pub fn refused(why: &str) -> String {
    format!("refused: {why}")
}

/// Refuses a command that only a screen has.
pub const ONLY_SCREEN: &str = "that works only on the screen";
/// Refuses a number where no list is shown.
pub const NO_LIST: &str = "there is no list here";
/// Refuses a colon alone.
pub const COLON: &str = "after \":\" a command is expected";
/// Refuses the word `line` alone.
pub const LINE_NUMBER: &str = "\"line\" needs a number after it";
/// Refuses a nought among teeth.
pub const NONE_ALONE: &str = "0 means none of them and stands alone; name teeth without it";

/// Refuses a text that is longer than what fits.
pub fn too_long(fits: usize) -> String {
    format!("too long: at most {fits} characters; nothing was entered")
}

/// Refuses a line that a list does not have.
pub fn no_such_line(number: usize, lines: usize) -> String {
    format!("there is no line {number}; there are {lines}")
}

/// Refuses a line that cannot be picked.
pub fn no_line(number: usize) -> String {
    format!("there is no line {number}")
}

/// Refuses a number behind a command.
pub fn no_number(command: &str) -> String {
    format!("\"{command}\" takes no number")
}

/// Refuses a number that picks no choice.
pub fn no_choice(line: &str) -> String {
    format!("{line} is not one of the choices")
}

/// Refuses a line that does not answer the open question. `takes` says what does; it may be empty.
pub fn does_not_fit(line: &str, takes: &str) -> String {
    match takes {
        "" => format!("{line} does not fit here"),
        takes => format!("{line} does not fit; enter {takes}"),
    }
}

/// Refuses a line that begins words of several choices.
pub fn several_choices(line: &str, choices: &[&str]) -> String {
    let choices = choices.join("; ");
    format!("\"{line}\" could be: {choices}. Say more of one, or its digit")
}

/// Refuses a line that begins words of choices and is a command as well.
pub fn choice_or_command(line: &str, choices: &[&str], command: &str) -> String {
    let choices = choices.join("; ");
    format!(
        "\"{line}\" could be: {choices}; or the command {command}. Say more of the choice, or its digit; \":{line}\" is \
         the command"
    )
}

/// Refuses to go back from the first question.
pub const FIRST_QUESTION: &str =
    "this is the first question; \"leave\" leaves the case, and every answer is saved";

/// Says that a reading that was checked is dropped.
pub const DROPPED: &str = "not saved; the question again:";

/// Says that finding is over, and nothing else.
pub const ONLY_FIND: &str = "only find is closed";
/// Says, where the lines end, that finding is over too.
pub const FIND_CLOSED: &str = "find is closed";

/// Refuses a number on the call that could be a line or a choice.
pub fn line_or_choice(number: usize) -> String {
    format!("write \"line {number}\" to go to that line; digits alone are choices")
}

/// Refuses a line of more bytes than are read.
pub fn long_line(bytes: u64) -> String {
    format!("the line is longer than {bytes} bytes")
}

/// Refuses a line that is no text.
pub const NOT_UTF8: &str = "the line is not written in UTF-8";

/// Refuses a command that works on other pages.
pub fn elsewhere(text: &str, pages: &[&str]) -> String {
    format!("\"{text}\" works only on: {}", pages.join(", "))
}

/// Refuses a word that means nothing here, with what comes near.
pub fn unknown(text: &str, near: Option<&str>) -> String {
    match near {
        Some(near) => {
            format!("\"{text}\" is neither an answer nor a command here; did you mean \"{near}\"?")
        }
        None => {
            format!(
                "\"{text}\" is neither an answer nor a command here; \"help\" says what can be typed"
            )
        }
    }
}

/// The word that saves a reading that is to be checked.
pub const YES: &str = "yes";
/// Says what `back` does at a question.
pub const QUESTION_BEFORE: &str =
    "Go to the question before; an empty line there comes back. Nothing is lost.";
/// Says what `back` and `leave` do while something is looked for.
pub const LEAVES_FIND: &str = "Close find and go back to the page; the case stays open.";

/// Says the words of the pages in a line, each with its letter.
pub fn pages(pages: &[(String, String)]) -> String {
    let said: Vec<String> = (pages.iter())
        .map(|(word, letter)| match letter.as_str() {
            "" => word.clone(),
            letter => format!("{word} or {letter}"),
        })
        .collect();
    format!("pages: {}", said.join(", "))
}

/// Says the words of commands that are seldom needed, in a line.
pub fn other_commands(words: &[String]) -> String {
    format!(
        "other commands: {}; \"{FIND_WORD}\" and the word says what each does",
        words.join(", ")
    )
}

/// The word before words that are looked for.
pub const FIND_WORD: &str = "find";
/// The word of the command that says the question again.
pub const AGAIN_WORD: &str = "again";
/// The word of the command that says where the inspection is.
pub const WHERE_WORD: &str = "where";
/// The word of the command that says the whole page.
pub const PAGE_WORD: &str = "page";
/// The word of the command that goes to a line of a list.
pub const LINE_WORD: &str = "line";

/// Says what `again` does.
pub const AGAIN: &str = "Say the question, the line to type or the page again.";
/// Says what `where` does.
pub const WHERE: &str =
    "Say the case, the result, the step, what was found and how many questions are left.";
/// Says what `page` does.
pub const PAGE: &str = "Say the whole page; at the questions, the whole step with its answers.";
/// Says what `line` does.
pub const LINE: &str = "With a number after it: mark that line of a list and say it in full.";

/// Names Enter among the words of a command.
pub const EMPTY_LINE: &str = "an empty line";

/// Says the words of a command and what it does.
pub fn command(words: &[String], does: &str) -> String {
    format!("{}: {does}", words.join(", or "))
}

/// Says a finding that a line brought.
pub fn new_finding(line: &str) -> String {
    format!("new: {line}")
}

/// Says a finding that reads differently after a line.
pub fn changed_finding(line: &str) -> String {
    format!("now: {line}")
}

/// Says a finding that a line took away.
pub fn gone(line: &str) -> String {
    format!("{}: {line}", words::GONE)
}

/// Says an answer that a line kept, or that is only tried out.
pub fn kept(name: &str, answer: &str, is_tried: bool) -> String {
    let kept = if is_tried { "tried" } else { "saved" };
    format!("{kept}: {name}: {answer}")
}

/// Says that a line was kept beside another answer to the same question.
pub fn kept_beside(both: &str) -> String {
    format!("saved: {both}")
}

/// Says that what a line changed is not in the archive.
pub fn not_kept(line: &str) -> String {
    let said = line.strip_prefix("saved: ").unwrap_or(line);
    format!("NOT SAVED: {said}")
}

/// Refuses a line where others have changed which question is open.
pub const ASKED_ANEW: &str = "others have changed the case, so another question is open now";

/// Says an answer that a line took away.
pub fn cleared(name: &str) -> String {
    format!("cleared: {name}")
}

/// Says which case is open.
pub fn case(number: &str) -> String {
    format!("case: {number}")
}

/// Says its units.
pub fn units(units: &str) -> String {
    format!("units: {units}")
}

/// Says the material.
pub fn material(material: &str) -> String {
    format!("material: {material}")
}

/// Says the notation in force.
pub fn notation(notation: &str) -> String {
    format!("notation: {notation}")
}

/// Says what the case comes to.
pub fn result(result: &str) -> String {
    format!("{}: {result}", words::RESULT)
}

/// Says what stands in a line or cell now.
pub fn now(text: &str) -> String {
    format!("now: {text}")
}

/// Says a line of a list behind its number.
pub fn numbered(number: usize, line: &str) -> String {
    format!("{number}: {line}")
}

/// Says a choice behind the digit that picks it.
pub fn choice(digit: char, words: &str) -> String {
    format!("{digit}: {words}")
}

/// Says what a line is that was found, and what it says.
pub fn found(kind: &str, line: &str) -> String {
    format!("{kind}: {line}")
}

/// Says which line of the worklist is marked.
pub fn marked_case(number: usize, case: &str) -> String {
    format!("marked: {number}: {case}")
}

/// Says which line is marked while an answer is put together.
pub fn marked(number: usize) -> String {
    format!("marked: {number}")
}

/// Says which step it is.
pub fn step(title: &str, index: usize, of: usize) -> String {
    format!("step: {title}, {}", super::index_of(index, of))
}

/// Says of a step how many of its questions are left. Where none is and it is not done, others come up later.
pub fn other_step(title: &str, is_done: bool, left: usize) -> String {
    let left = match (is_done, left) {
        (true, _) => "nothing left".to_owned(),
        (false, 0) => words::NOT_ASKED.to_owned(),
        (false, 1) => "1 question left".to_owned(),
        (false, n) => format!("{n} questions left"),
    };
    format!("step {title}: {left}")
}

/// Says where the open question is asked.
pub fn place(place: &str) -> String {
    format!("place: {place}")
}

/// Says what the open question takes.
pub fn takes(takes: &str) -> String {
    format!("takes: {takes}")
}

/// Says a choice of a long list that no digit picks now.
pub fn by_its_name(words: &str) -> String {
    format!("by its name: {words}")
}

/// Asks whether a reading is right, before it is kept.
pub fn checked(asks: &str) -> String {
    format!("please check: {asks}")
}

/// Says how such a reading is saved.
pub fn how_to_keep() -> String {
    format!("\"{YES}\" or the same reading again saves it; another answer replaces it")
}

/// Says a point that is still to be found out.
pub fn still_to_find_out(point: &str) -> String {
    format!("{}: {point}", words::STILL_TO_FIND_OUT)
}

/// Says the reading to measure again.
pub fn measure_again(reading: &str) -> String {
    format!("{}: {reading}", words::MEASURE_AGAIN)
}

/// Says how many questions are left, and how many of them in this step.
pub fn questions_left(all: usize, here: usize) -> String {
    match all {
        0 => "questions left: none".to_owned(),
        all => format!("questions left: {all}, {here} of them in this step"),
    }
}

/// Heads the list of findings.
pub fn findings(count: usize) -> String {
    format!("{}: {count}", tabs::FINDINGS)
}

/// Heads the open points.
pub fn open_points(count: usize) -> String {
    format!("{}: {count}", words::STILL_TO_FIND_OUT)
}

/// Heads what has still to be asked.
pub fn to_be_asked() -> String {
    heading(words::STILL_TO_BE_ASKED)
}

/// Heads the list of the call.
pub fn call(count: &str) -> String {
    format!("{}: {count}", tabs::CALL)
}

/// Heads the table of options, with what is said while they are calculated.
pub fn options(waiting: &str) -> String {
    format!("{}: {waiting}", tabs::OPTIONS)
}

/// Heads the table of options with how many there are.
pub fn options_count(count: usize) -> String {
    format!("{}: {count}", tabs::OPTIONS)
}

/// Says something to have ready for the call.
pub fn ready(label: &str, value: &str) -> String {
    format!("{label}: {value}")
}

/// Says how many lines of detail the whole page says besides.
pub fn aside(heading: &str, lines: usize) -> String {
    format!("{heading}: {lines} lines; \"{PAGE_WORD}\" says them")
}

/// Heads the marked line in full.
pub fn in_full(number: usize) -> String {
    format!("line {number} in full:")
}

/// Heads lines.
pub fn heading(heading: &str) -> String {
    format!("{heading}:")
}

/// Says a single line behind its heading.
pub fn headed(heading: &str, line: &str) -> String {
    format!("{heading}: {line}")
}

/// Says that something was picked.
pub fn picked(line: &str) -> String {
    format!("picked: {line}")
}

/// Stands for a box that can be ticked.
pub const TO_TICK: &str = "to tick:";
/// Stands for a box that is ticked.
pub const TICKED: &str = "ticked:";
/// Stands for the sign between an old value and a new one.
pub const BECOMES: &str = "becomes";
/// Stands for the sign between two things at once.
pub const AND: &str = "and";

/// Heads what can be typed on a page.
pub fn what_can_be_typed(page: &str) -> String {
    format!("What can be typed here ({page}):")
}

/// What can be typed at a question.
pub const AT_A_QUESTION: &[&str] = &[
    "a digit, or the start of any word of a choice: that choice, if no other choice begins so",
    "a line that could be a choice and a command, or several choices, is asked back: more of the word, or the digit, is the \
     choice; with a colon before it, as in :f, it is the command; one letter is a command where no choice begins with it",
    "a number, with point or comma: a reading",
    "7, +7, 28-11 or 2026-11-28: a day; 7 counts the way the question says",
    "-: not seen",
    "*: as before",
    "yes, if a reading is to be checked: it is saved",
];
/// What can be typed on the call.
pub const ON_THE_CALL: &[&str] = &[
    "a digit: a choice of the marked line",
    "line 7: line 7 of the list",
];
/// What can be typed while an answer is put together.
pub const IN_AN_ANSWER: &[&str] = &["a number, or the words of a line: that line is picked"];
/// What can be typed at a list.
pub const AT_A_LIST: &[&str] = &["a number: that line of the list"];
/// What can be typed while something is looked for.
pub const IN_FINDING: &[&str] = &[
    "words: the lines that have them; find and a word looks for a word that is a command here",
    "a number: that line of what was found",
];

/// What can be typed on the page of outcomes.
pub const ON_AN_OUTCOME: &[&str] = &[
    "a digit, or the words of a choice: that choice",
    "an empty line, once it is read back: keep it",
];

/// What can be typed on the page of follow-up.
pub const IN_FOLLOW_UP: &[&str] = &[
    "a number: that row, then a digit or the words of what happened",
    "an empty line: write all that is said of this dentist, as it is read back",
];

/// Says how a command is typed while a text is typed.
pub fn commands_in_a_text(mark: char) -> String {
    format!(
        "While a text is typed, a command needs a colon before it, as in {mark}undo; {mark} alone empties the text, and two \
         colons begin a text with one."
    )
}

/// Says that keys can be typed by their names.
pub const KEYS_BY_NAME: &str =
    "Where a sentence names a key, its name can be typed as a line; enter is an empty line.";

/// Waits for a line that is checked to be kept or not.
pub const ENTER_OR_ESC: &str = "enter or esc?";
/// Waits for a reading that is checked.
pub const KEEP_IT: &str = "save it?";
/// Waits for a text.
pub const YOUR_TEXT: &str = "your text?";
/// Waits for an answer.
pub const YOUR_ANSWER: &str = "your answer?";

/// Waits for anything on a page.
pub fn what_next(page: &str) -> String {
    format!("{page}, what next?")
}

/// Says, before a line is waited for, that what is typed is only tried out.
pub fn trying(asks: &str) -> String {
    format!("what-if, {asks}")
}
