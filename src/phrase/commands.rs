//! Names and sentences of the commands of a page, and the titles of the contexts that they work in.

/// What a command is called and what it does.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Words {
    /// The name in the last line, also typed as a word; empty where the last line does not show the command.
    pub short: &'static str,
    /// What it does, in a sentence.
    pub does: &'static str,
}

const fn words(short: &'static str, does: &'static str) -> Words {
    Words { short, does }
}

/// Name and sentence of the command `confirm`.
pub const CONFIRM: Words = words("next", "Save the answer and go to the next open question.");

/// Name and sentence of the command `insist`.
pub const INSIST: Words = words(
    "save as measured",
    "Save the reading as measured. Any other key goes on without it.",
);

/// Name and sentence of the command `not-seen`.
pub const NOT_SEEN: Words = words("not seen", "Not seen: looked, could not tell.");

/// Name and sentence of the command `same`.
pub const SAME: Words = words(
    "as before",
    "Same value as the wall or the tooth before this one.",
);

/// Name and sentence of the command `erase`.
pub const ERASE: Words = words(
    "",
    "Delete the last character; in an empty cell, go back one cell.",
);

/// Name and sentence of the command `clear`.
pub const CLEAR: Words = words("", "Clear the answer.");

/// Name and sentence of the command `next-cell`.
pub const NEXT_CELL: Words = words("", "Go to the next cell without answering.");

/// Name and sentence of the command `previous-cell`.
pub const PREVIOUS_CELL: Words = words("", "Go to the previous cell.");

/// Name and sentence of the command `open-row`.
pub const OPEN_ROW: Words = words("answer", "Open the marked line to answer it.");

/// Name and sentence of the command `choose`.
pub const CHOOSE: Words = words(
    "save",
    "Save the answer as read back; in a list or a line, go on to the read-back.",
);

/// Name and sentence of the command `add-option`.
pub const ADD_OPTION: Words = words("add", "Add another option to the answer.");

/// Name and sentence of the command `same-answer`.
pub const SAME_ANSWER: Words = words(
    "",
    "The answer that was kept last, for this question too; it is read back first.",
);

/// Name and sentence of the command `take-first`.
pub const TAKE_FIRST: Words = words(
    "",
    "Where two people answered differently: take the first answer.",
);

/// Name and sentence of the command `take-second`.
pub const TAKE_SECOND: Words = words(
    "",
    "Where two people answered differently: take the last answer.",
);

/// Name and sentence of the command `change-day`.
pub const CHANGE_DAY: Words = words("day", "Change the due date.");

/// Name and sentence of the command `change-cost`.
pub const CHANGE_COST: Words = words("cost", "Enter what was agreed on the cost.");

/// Name and sentence of the command `change-words`.
pub const CHANGE_WORDS: Words = words("words", "Add the dentist's own words.");

/// Name and sentence of the command `order-here`.
pub const ORDER_HERE: Words = words(
    "order here",
    "Switch the written order between here and still to come.",
);

/// Name and sentence of the command `tick`.
pub const TICK: Words = words("select", "Select or deselect the marked line.");

/// Name and sentence of the command `detail`.
pub const DETAIL: Words = words(
    "in full",
    "Show the marked option in full, or the list again.",
);

/// Name and sentence of the command `up`.
pub const UP: Words = words("", "Up.");

/// Name and sentence of the command `down`.
pub const DOWN: Words = words("", "Down.");

/// Name and sentence of the command `left`.
pub const LEFT: Words = words("", "One cell to the left.");

/// Name and sentence of the command `right`.
pub const RIGHT: Words = words("", "One cell to the right.");

/// Name and sentence of the command `next-step`.
pub const NEXT_STEP: Words = words("step", "Go to the next step of the inspection.");

/// Name and sentence of the command `previous-step`.
pub const PREVIOUS_STEP: Words = words("", "Go to the previous step.");

/// Name and sentence of the command `page-down`.
pub const PAGE_DOWN: Words = words("", "One page down.");

/// Name and sentence of the command `page-up`.
pub const PAGE_UP: Words = words("", "One page up.");

/// Name and sentence of the command `next-hits`.
pub const NEXT_HITS: Words = words("more", "Show the next nine lines.");

/// Name and sentence of the command `previous-hits`.
pub const PREVIOUS_HITS: Words = words("", "Show the previous nine lines.");

/// Name and sentence of the command `undo`.
pub const UNDO: Words = words("undo", "Undo the last answer.");

/// Name and sentence of the command `redo`.
pub const REDO: Words = words("", "Redo.");

/// Name and sentence of the command `wall-by-wall`.
pub const WALL_BY_WALL: Words = words("walls", "Wall by wall on or off.");

/// Name and sentence of the command `instrument`.
pub const INSTRUMENT: Words = words("", "Change the instrument for this reading.");

/// Name and sentence of the command `next-picture`.
pub const NEXT_PICTURE: Words = words("next", "Show the next picture.");

/// Name and sentence of the command `previous-picture`.
pub const PREVIOUS_PICTURE: Words = words("", "Show the previous picture.");

/// Name and sentence of the command `call`.
pub const CALL: Words = words(
    "call",
    "Go to the call: the questions for the dentist and the answers.",
);

/// Name and sentence of the command `options`.
pub const OPTIONS: Words = words(
    "options",
    "Show the options for the findings, each with its result.",
);

/// Name and sentence of the command `try`.
pub const TRY: Words = words(
    "",
    "What if: change readings on a copy. Nothing is saved; going back drops the changes.",
);

/// Name and sentence of the command `keep-trial`.
pub const KEEP_TRIAL: Words = words(
    "",
    "What if: list the changes, to propose them on the call.",
);

/// Name and sentence of the command `more-options`.
pub const MORE_OPTIONS: Words = words("", "Show the next six options.");

/// Name and sentence of the command `speaker`.
pub const SPEAKER: Words = words(
    "speaker",
    "Somebody else is on the phone: ask again who is speaking.",
);

/// Name and sentence of the command `arrived`.
pub const ARRIVED: Words = words("arrived", "Record that something agreed has arrived.");

/// Name and sentence of the command `standing`.
pub const STANDING: Words = words("", "Save as a standing instruction of this dentist.");

/// Name and sentence of the command `strike`.
pub const STRIKE: Words = words("", "Take the marked proposal off the list.");

/// Name and sentence of the command `findings`.
pub const FINDINGS: Words = words(
    "findings",
    "Show the findings with reason, evidence and source.",
);

/// Name and sentence of the command `questions`.
pub const QUESTIONS: Words = words("inspect", "Go back to the questions.");

/// Name and sentence of the command `to-questions`.
pub const TO_QUESTIONS: Words = QUESTIONS;

/// Name and sentence of the command `summary`.
pub const SUMMARY: Words = words("summary", "Show the summary and the call sheet.");

/// Name and sentence of the command `edit-units`.
pub const EDIT_UNITS: Words = words("", "Change the units of the order.");

/// Name and sentence of the command `notation`.
pub const NOTATION: Words = words(
    "",
    "Change the tooth notation: ISO 3950, Universal, Palmer.",
);

/// Name and sentence of the command `print`.
pub const PRINT: Words = words(
    "print",
    "Save every sheet as text, and all of them as one HTML file, in the current folder; on the worklist, of each selected case.",
);

/// Name and sentence of the command `history`.
pub const HISTORY: Words = words(
    "history",
    "Show what was entered before, by whom and when; again: the units, then the whole case.",
);

/// Name and sentence of the command `days`.
pub const DAYS: Words = words(
    "days",
    "Enter the due day of the bench and the day promised to the dentist.",
);

/// Name and sentence of the command `hand-over`.
pub const HAND_OVER: Words = words("hand over", "Hand the case over to somebody, with a note.");

/// Name and sentence of the command `became`.
pub const BECAME: Words = words(
    "became",
    "Record what became of the case: delivered, closed, returned, withdrawn, or resumed.",
);

/// Name and sentence of the command `outcome`.
pub const OUTCOME: Words = words(
    "outcome",
    "Write down what became of a delivered restoration: it came off, broke, was seen quiet.",
);

/// Name and sentence of the command `rates`.
pub const RATES: Words = words(
    "returns",
    "Show how much of what was delivered came back, and how sure that is.",
);

/// Name and sentence of the command `trials`.
pub const TRIALS: Words = words(
    "rules on trial",
    "Hold each rule against what came back of the work that it told of.",
);

/// Name and sentence of the command `open-trial`.
pub const OPEN_TRIAL: Words = words("open", "Show the marked rule in full.");

/// Name and sentence of the command `next-rule`.
pub const NEXT_RULE: Words = words("next rule", "Go on to the next rule.");

/// Name and sentence of the command `previous-rule`.
pub const PREVIOUS_RULE: Words = words("", "Go back to the rule before.");

/// Name and sentence of the command `limits`.
pub const LIMITS: Words = words(
    "move a limit",
    "Move a limit of the rule by steps, and show what came back in each.",
);

/// Name and sentence of the command `slice-cases`.
pub const SLICE_CASES: Words = words("cases", "List the cases of the marked slice.");

/// Name and sentence of the command `next-limit`.
pub const NEXT_LIMIT: Words = words("next limit", "Move the next limit of the rule.");

/// Name and sentence of the command `previous-limit`.
pub const PREVIOUS_LIMIT: Words = words("", "Move the limit before.");

/// Name and sentence of the command `steps`.
pub const STEPS: Words = words(
    "steps",
    "Move the limit by other steps: as usual, finer, wider.",
);

/// Name and sentence of the command `move-flow`.
pub const MOVE_FLOW: Words = words(
    "",
    "Show what changes if the case is checked by the flow of new cases, and move it.",
);

/// Name and sentence of the command `keep-move`.
pub const KEEP_MOVE: Words = words("move", "Move the case to that version of the flow.");

/// Name and sentence of the command `edit-rule`.
pub const EDIT_RULE: Words = words(
    "",
    "Open the text of the rule that help shows in an editor, as a supervisor.",
);

/// Name and sentence of the command `follow-up`.
pub const FOLLOW_UP: Words = words(
    "follow-up",
    "List what a dentist is to be asked after, 6 and 12 months after its delivery, and write down the answer.",
);

/// Name and sentence of the command `keep-all`.
pub const KEEP_ALL: Words = words(
    "write all",
    "Write down what was said, as the page counts it.",
);

/// Name and sentence of the command `all-quiet`.
pub const ALL_QUIET: Words = words(
    "all quiet",
    "The dentist says that all that are not named are quiet; once more takes it back.",
);

/// Name and sentence of the command `exception`.
pub const EXCEPTION: Words = words(
    "exception",
    "Say what happened with the marked restoration.",
);

/// Name and sentence of the command `unseen`.
pub const UNSEEN: Words = words(
    "not seen",
    "Nobody has seen the marked restoration: nothing is written down, and it stays on the list.",
);

/// Name and sentence of the command `no-more`.
pub const NO_MORE: Words = words("", "Nobody will hear of the marked restoration any more.");

/// Name and sentence of the command `next-dentist`.
pub const NEXT_DENTIST: Words = words("next dentist", "Go on to the next dentist.");

/// Name and sentence of the command `previous-dentist`.
pub const PREVIOUS_DENTIST: Words = words("", "Go back to the dentist before.");

/// Name and sentence of the command `next-groups`.
pub const NEXT_GROUPS: Words = words(
    "told apart by",
    "Tell restorations apart by the next thing.",
);

/// Name and sentence of the command `previous-groups`.
pub const PREVIOUS_GROUPS: Words = words("", "Tell restorations apart by the thing before.");

/// Name and sentence of the command `kinds`.
pub const KINDS: Words = words("for what", "Count what came back for another reason.");

/// Name and sentence of the command `within`.
pub const WITHIN: Words = words(
    "months",
    "Follow each restoration for another number of months.",
);

/// Name and sentence of the command `keep-outcome`.
pub const KEEP_OUTCOME: Words = words("keep", "Keep the outcome as it is read back.");

/// Name and sentence of the command `outcome-day`.
pub const OUTCOME_DAY: Words = words("day", "Change the day of the outcome.");

/// Name and sentence of the command `how-known`.
pub const HOW_KNOWN: Words = words(
    "how known",
    "Change how the outcome is known: at the bench, by the dentist's word, from a recall.",
);

/// Name and sentence of the command `lost-sight`.
pub const LOST_SIGHT: Words = words("", "Nobody will hear of the restoration any more.");

/// Name and sentence of the command `open-case`.
pub const OPEN_CASE: Words = words("open", "Open the marked case.");

/// Name and sentence of the command `new-case`.
pub const NEW_CASE: Words = words("new case", "Start a new case.");

/// Name and sentence of the command `filter`.
pub const FILTER: Words = words(
    "filter",
    "Filter the list by words: number, tooth, material, dentist, state, who has it, findings; or calls, late, due, mine.",
);

/// Name and sentence of the command `keep-filter`.
pub const KEEP_FILTER: Words = words("keep", "Keep the filter and go back to the list.");

/// Name and sentence of the command `sort`.
pub const SORT: Words = words(
    "sort",
    "Sort by what comes next, last worked on, number, dentist, or who has it.",
);

/// Name and sentence of the command `only-mine`.
pub const ONLY_MINE: Words = words("", "List your own cases only.");

/// Name and sentence of the command `only-due`.
pub const ONLY_DUE: Words = words(
    "",
    "List only cases that are late or due within three days.",
);

/// Name and sentence of the command `only-calls`.
pub const ONLY_CALLS: Words = words("", "List only cases that need a call.");

/// Name and sentence of the command `only-waiting`.
pub const ONLY_WAITING: Words = words("", "List only cases that wait for something.");

/// Name and sentence of the command `pick`.
pub const PICK: Words = words(
    "select",
    "Select the marked case for printing, or deselect it.",
);

/// Name and sentence of the command `accept`.
pub const ACCEPT: Words = words("save", "Save the line.");

/// Name and sentence of the command `go-there`.
pub const GO_THERE: Words = words("go", "Go to the marked line, or do what it says.");

/// Name and sentence of the command `erase-line`.
pub const ERASE_LINE: Words = words("", "Delete the last character.");

/// Name and sentence of the command `back`.
pub const BACK: Words = words(
    "back",
    "Go back. Nothing is lost: every answer is already saved.",
);

/// Name and sentence of the command `leave`.
pub const LEAVE: Words = words(
    "leave",
    "Leave the case, or the program from the worklist. Every answer is already saved.",
);

/// Name and sentence of the command `quit`.
pub const QUIT: Words = words(
    "",
    "Quit the program at once. Every answer is already saved.",
);

/// Name and sentence of the command `suspend`.
pub const SUSPEND: Words = words("", "Put the program in the background (Unix).");

/// Name and sentence of the command `picture`.
pub const PICTURE: Words = words(
    "pictures",
    "Show the pictures of the case: preps, bridges, the arch.",
);

/// Name and sentence of the command `find`.
pub const FIND: Words = words(
    "find",
    "Find a question, a finding or a command by its words; with nothing typed, list all that can be done here.",
);

/// Name and sentence of the command `help`.
pub const HELP: Words = words("help", "Show what to look at and why, and the keys.");

/// Titles of contexts, for help and README.
pub mod title {
    /// The title of the list of cases.
    pub const WORKLIST: &str = "worklist";

    /// The title of the filter of the list of cases.
    pub const FILTER: &str = "filtering the worklist";

    /// The title of a line that is being typed.
    pub const PROMPT: &str = "typing a line";

    /// The title of the questions of a step.
    pub const QUESTIONS: &str = "inspect";

    /// The title of a reading that was asked back.
    pub const ASKED_BACK: &str = "confirming a reading";

    /// The title of the findings.
    pub const FINDINGS: &str = "findings";

    /// The title of summary and call sheet.
    pub const SUMMARY: &str = "summary";

    /// The title of the call.
    pub const CALL: &str = "call";

    /// The title of a question of the call that is being answered.
    pub const ANSWER: &str = "answering a question";

    /// The title of the options.
    pub const OPTIONS: &str = "options";

    /// The title of looking for something by its words.
    pub const FIND: &str = "find";

    /// The title of the pictures of the case.
    pub const PICTURE: &str = "pictures";

    /// The title of what was entered before.
    pub const HISTORY: &str = "history";

    /// The title of what became of a delivered restoration.
    pub const OUTCOME: &str = "outcome";
    /// Context: what came back.
    pub const RATES: &str = "returns";

    /// Context: the rules on trial.
    pub const TRIALS: &str = "rules on trial";

    /// Context: one rule on trial.
    pub const ONE_TRIAL: &str = "one rule on trial";

    /// Context: a limit of a rule, moved over the record.
    pub const LIMITS: &str = "a limit moved";

    /// Context: the cases of one slice.
    pub const SLICE: &str = "cases of a slice";

    /// Context: what is due of one dentist.
    pub const FOLLOW_UP: &str = "follow-up";

    /// Context: what a move to another version of the flow changes.
    pub const MOVE_FLOW: &str = "another version";

    /// The title of help over a page.
    pub const HELP: &str = "help";
}
