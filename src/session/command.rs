//! The one table of commands: keymap, last line, help and manual are made from it.

use crate::phrase::commands::{self, title};

/// What is on screen; a key may have different commands in different contexts.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Context {
    /// The list of cases.
    Worklist,
    /// Words are typed that filter the list of cases.
    Filter,
    /// A line of text is being typed.
    Prompt,
    /// The questions of a step.
    Questions,
    /// A reading is to be confirmed. Every other key acts as on the page of questions.
    AskedBack,
    /// The findings with their reasons.
    Findings,
    /// Summary and call sheet.
    Summary,
    /// The call: what to have ready, the questions, the answers.
    Call,
    /// A question of the call is being answered.
    Answer,
    /// The options.
    Options,
    /// Words are typed to find something.
    Find,
    /// The pictures of the case.
    Picture,
    /// What was entered before.
    History,
    /// What became of a delivered restoration.
    Outcome,
    /// What came back, over the whole record.
    Rates,
    /// The rules on trial.
    Trials,
    /// One rule on trial, in full.
    OneTrial,
    /// A limit of a rule, moved over the record.
    Limits,
    /// The cases of one slice.
    Slice,
    /// What is due of one dentist.
    FollowUp,
    /// What a move to another version of the flow changes.
    MoveFlow,
    /// Help over any page.
    Help,
}

impl Context {
    /// All contexts.
    pub const ALL: [Context; 22] = [
        Context::Worklist,
        Context::Filter,
        Context::Prompt,
        Context::Questions,
        Context::AskedBack,
        Context::Findings,
        Context::Summary,
        Context::Call,
        Context::Answer,
        Context::Options,
        Context::Find,
        Context::Picture,
        Context::History,
        Context::Outcome,
        Context::Rates,
        Context::Trials,
        Context::OneTrial,
        Context::Limits,
        Context::Slice,
        Context::FollowUp,
        Context::MoveFlow,
        Context::Help,
    ];

    /// Names the context for the manual and the help page.
    pub fn title(self) -> &'static str {
        match self {
            Context::Worklist => title::WORKLIST,
            Context::Filter => title::FILTER,
            Context::Prompt => title::PROMPT,
            Context::Questions => title::QUESTIONS,
            Context::AskedBack => title::ASKED_BACK,
            Context::Findings => title::FINDINGS,
            Context::Summary => title::SUMMARY,
            Context::Call => title::CALL,
            Context::Answer => title::ANSWER,
            Context::Options => title::OPTIONS,
            Context::Find => title::FIND,
            Context::Picture => title::PICTURE,
            Context::History => title::HISTORY,
            Context::Outcome => title::OUTCOME,
            Context::Rates => title::RATES,
            Context::Trials => title::TRIALS,
            Context::OneTrial => title::ONE_TRIAL,
            Context::Limits => title::LIMITS,
            Context::Slice => title::SLICE,
            Context::FollowUp => title::FOLLOW_UP,
            Context::MoveFlow => title::MOVE_FLOW,
            Context::Help => title::HELP,
        }
    }
}

/// One row of the table.
#[derive(Debug)]
pub struct CommandSpec {
    /// The command.
    pub command: Command,
    /// Its name in files; in `casepan ask`, with spaces.
    pub id: &'static str,
    /// Where it works.
    pub contexts: &'static [Context],
    /// Its keys; the first is the one that is shown.
    pub keys: &'static [&'static str],
    /// Its name in the last line; empty if it is not shown there.
    pub short: &'static str,
    /// What it does.
    pub does: &'static str,
}

macro_rules! commands {
    ($($name:ident $id:literal [$($context:ident)+] [$($key:literal)+] $words:ident;)+) => {
        /// What a key can ask for.
        #[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
        pub enum Command { $(#[doc = concat!("The command `", $id, "`.")] $name),+ }

        /// Every command, in the order in which the last line shows them.
        pub const COMMANDS: &[CommandSpec] = &[$(CommandSpec {
            command: Command::$name,
            id: $id,
            contexts: &[$(Context::$context),+],
            keys: &[$($key),+],
            short: commands::$words.short,
            does: commands::$words.does,
        }),+];
    };
}

commands! {
    Confirm "confirm" [Questions] ["enter"] CONFIRM;
    Insist "insist" [AskedBack] ["+"] INSIST;
    NotSeen "not-seen" [Questions] ["-"] NOT_SEEN;
    Same "same" [Questions] ["*"] SAME;
    TakeFirst "take-first" [Questions Call] ["<"] TAKE_FIRST;
    TakeSecond "take-second" [Questions Call] [">"] TAKE_SECOND;
    Erase "erase" [Questions AskedBack] ["backspace"] ERASE;
    Clear "clear" [Questions] ["delete"] CLEAR;
    NextCell "next-cell" [Questions] ["tab" "+"] NEXT_CELL;
    PreviousCell "previous-cell" [Questions] ["shift-tab"] PREVIOUS_CELL;
    OpenRow "open-row" [Call] ["enter"] OPEN_ROW;
    Choose "choose" [Answer] ["enter"] CHOOSE;
    SameAnswer "same-answer" [Call] ["*"] SAME_ANSWER;
    AddOption "add-option" [Answer] ["+"] ADD_OPTION;
    ChangeDay "change-day" [Answer] ["d"] CHANGE_DAY;
    ChangeCost "change-cost" [Answer] ["c"] CHANGE_COST;
    ChangeWords "change-words" [Answer] ["t"] CHANGE_WORDS;
    OrderHere "order-here" [Answer] ["w"] ORDER_HERE;
    Tick "tick" [Answer] ["space"] TICK;
    Detail "detail" [Options] ["enter"] DETAIL;
    Up "up" [Questions Findings Summary Call Answer Options Picture Worklist Filter Find Help History Outcome Rates Trials OneTrial Limits Slice FollowUp MoveFlow] ["up"] UP;
    Down "down" [Questions Findings Summary Call Answer Options Picture Worklist Filter Find Help History Outcome Rates Trials OneTrial Limits Slice FollowUp MoveFlow] ["down"] DOWN;
    Left "left" [Questions] ["left"] LEFT;
    Right "right" [Questions] ["right"] RIGHT;
    NextStep "next-step" [Questions] ["pgdn" "n"] NEXT_STEP;
    PreviousStep "previous-step" [Questions] ["pgup" "b"] PREVIOUS_STEP;
    PageDown "page-down" [Worklist Filter Findings Summary Call Answer Options Picture Help History Outcome Rates Trials OneTrial Limits Slice FollowUp MoveFlow] ["pgdn"] PAGE_DOWN;
    PageUp "page-up" [Worklist Filter Findings Summary Call Answer Options Picture Help History Outcome Rates Trials OneTrial Limits Slice FollowUp MoveFlow] ["pgup"] PAGE_UP;
    NextHits "next-hits" [Find] ["pgdn"] NEXT_HITS;
    PreviousHits "previous-hits" [Find] ["pgup"] PREVIOUS_HITS;
    Undo "undo" [Questions AskedBack Findings Summary Call Outcome] ["u"] UNDO;
    Redo "redo" [Questions Findings Summary Call Outcome] ["y"] REDO;
    WallByWall "wall-by-wall" [Questions] ["w"] WALL_BY_WALL;
    Instrument "instrument" [Questions] ["m"] INSTRUMENT;
    NextPicture "next-picture" [Picture] ["right" "tab"] NEXT_PICTURE;
    PreviousPicture "previous-picture" [Picture] ["left" "shift-tab"] PREVIOUS_PICTURE;
    Call "call" [Questions Findings Summary Options Picture History Outcome] ["c"] CALL;
    Options "options" [Questions Findings Summary Call Picture History Outcome] ["o"] OPTIONS;
    Try "try" [Questions Findings Options] ["t"] TRY;
    KeepTrial "keep-trial" [Questions Findings] ["k"] KEEP_TRIAL;
    MoreOptions "more-options" [Call Answer] ["m"] MORE_OPTIONS;
    Speaker "speaker" [Call Answer] ["r"] SPEAKER;
    Arrived "arrived" [Questions Findings Summary Call Options] ["a"] ARRIVED;
    Standing "standing" [Call] ["k"] STANDING;
    Strike "strike" [Call] ["delete"] STRIKE;
    Findings "findings" [Questions Summary Call Options Picture History Outcome] ["f"] FINDINGS;
    Questions "questions" [Findings Summary] ["enter" "i"] QUESTIONS;
    ToQuestions "to-questions" [Call Options Picture History Outcome] ["i"] TO_QUESTIONS;
    Summary "summary" [Questions Findings Call Options Picture History Outcome] ["s"] SUMMARY;
    EditUnits "edit-units" [Questions] ["e"] EDIT_UNITS;
    Notation "notation" [Questions Findings Summary Call Options Picture Worklist History Outcome Rates Trials OneTrial Limits Slice FollowUp MoveFlow] ["#"] NOTATION;
    OpenCase "open-case" [Worklist Filter Slice] ["enter"] OPEN_CASE;
    NewCase "new-case" [Worklist] ["n"] NEW_CASE;
    Filter "filter" [Worklist] ["f"] FILTER;
    KeepFilter "keep-filter" [Filter] ["tab"] KEEP_FILTER;
    Sort "sort" [Worklist] ["s"] SORT;
    OnlyMine "only-mine" [Worklist] ["m"] ONLY_MINE;
    OnlyDue "only-due" [Worklist] ["d"] ONLY_DUE;
    OnlyCalls "only-calls" [Worklist] ["c"] ONLY_CALLS;
    OnlyWaiting "only-waiting" [Worklist] ["a"] ONLY_WAITING;
    Pick "pick" [Worklist] ["space"] PICK;
    Print "print" [Summary Worklist Rates Trials OneTrial Limits Slice FollowUp] ["w"] PRINT;
    Accept "accept" [Prompt] ["enter"] ACCEPT;
    GoThere "go-there" [Find] ["enter"] GO_THERE;
    EraseLine "erase-line" [Prompt Filter Find] ["backspace"] ERASE_LINE;
    Back "back" [Worklist Filter Prompt Find Findings Summary Call Answer Options Picture Help Questions AskedBack History Outcome Rates Trials OneTrial Limits Slice FollowUp MoveFlow] ["esc"] BACK;
    Leave "leave" [Worklist Questions AskedBack Findings Summary Call Options Picture History Outcome Rates Trials OneTrial Limits Slice FollowUp MoveFlow] ["q"] LEAVE;
    Quit "quit" [Worklist Filter Prompt Find Questions AskedBack Findings Summary Call Answer Options Picture Help History Outcome Rates Trials OneTrial Limits Slice FollowUp MoveFlow] ["ctrl-c"] QUIT;
    Suspend "suspend" [Worklist Filter Prompt Find Questions AskedBack Findings Summary Call Answer Options Picture Help History Outcome Rates Trials OneTrial Limits Slice FollowUp MoveFlow] ["ctrl-z"] SUSPEND;
    Picture "picture" [Questions Findings Summary Options Call History Outcome] ["p"] PICTURE;
    Find "find" [Worklist Questions Findings Summary Call Answer Options Picture Help History Outcome Trials OneTrial Limits Slice] ["/"] FIND;
    History "history" [Questions Findings Summary Call History Outcome] ["h"] HISTORY;
    Days "days" [Questions Findings Summary Call Worklist] ["l"] DAYS;
    HandOver "hand-over" [Questions Findings Summary Worklist] ["j"] HAND_OVER;
    Became "became" [Summary Worklist] ["b"] BECAME;
    Outcome "outcome" [Summary Worklist] ["e"] OUTCOME;
    Rates "rates" [Worklist] ["r"] RATES;
    Trials "trials" [Worklist] ["t"] TRIALS;
    OpenTrial "open-trial" [Trials] ["enter"] OPEN_TRIAL;
    NextRule "next-rule" [OneTrial] ["n" "right" "tab"] NEXT_RULE;
    PreviousRule "previous-rule" [OneTrial] ["b" "left" "shift-tab"] PREVIOUS_RULE;
    Limits "limits" [OneTrial] ["l"] LIMITS;
    SliceCases "slice-cases" [Limits] ["enter"] SLICE_CASES;
    NextLimit "next-limit" [Limits] ["n" "right" "tab"] NEXT_LIMIT;
    PreviousLimit "previous-limit" [Limits] ["b" "left" "shift-tab"] PREVIOUS_LIMIT;
    Steps "steps" [Limits] ["s"] STEPS;
    MoveFlow "move-flow" [Summary] ["m"] MOVE_FLOW;
    KeepMove "keep-move" [MoveFlow] ["enter"] KEEP_MOVE;
    FollowUp "follow-up" [Worklist] ["o"] FOLLOW_UP;
    KeepAll "keep-all" [FollowUp] ["enter"] KEEP_ALL;
    AllQuiet "all-quiet" [FollowUp] ["a"] ALL_QUIET;
    Exception "exception" [FollowUp] ["space"] EXCEPTION;
    Unseen "unseen" [FollowUp] ["-"] UNSEEN;
    NoMore "no-more" [FollowUp] ["x"] NO_MORE;
    NextDentist "next-dentist" [FollowUp] ["n" "right" "tab"] NEXT_DENTIST;
    PreviousDentist "previous-dentist" [FollowUp] ["b" "left" "shift-tab"] PREVIOUS_DENTIST;
    NextGroups "next-groups" [Rates] ["right" "tab"] NEXT_GROUPS;
    PreviousGroups "previous-groups" [Rates] ["left" "shift-tab"] PREVIOUS_GROUPS;
    Kinds "kinds" [Rates] ["k"] KINDS;
    Within "within" [Rates Trials OneTrial Limits] ["m"] WITHIN;
    KeepOutcome "keep-outcome" [Outcome] ["enter"] KEEP_OUTCOME;
    OutcomeDay "outcome-day" [Outcome FollowUp] ["d"] OUTCOME_DAY;
    HowKnown "how-known" [Outcome] ["w"] HOW_KNOWN;
    LostSight "lost-sight" [Outcome] ["-"] LOST_SIGHT;
    EditRule "edit-rule" [Help] ["e"] EDIT_RULE;
    Help "help" [Worklist Questions AskedBack Findings Summary Call Answer Options Picture History Outcome Rates Trials OneTrial Limits Slice FollowUp MoveFlow] ["?"] HELP;
}

impl Command {
    /// Returns the row of the table.
    pub fn spec(self) -> &'static CommandSpec {
        // Every command has its row: both are made from the same lines.
        COMMANDS.get(self as usize).unwrap_or(&COMMANDS[0])
    }

    /// Finds a command by its name in files, present or former.
    pub fn named(id: &str) -> Option<Command> {
        COMMANDS
            .iter()
            .find(|spec| spec.id == id || former_name(spec.command) == Some(id))
            .map(|spec| spec.command)
    }
}

/// Returns the name that a command had before, or `None` if it never had another.
pub fn former_name(command: Command) -> Option<&'static str> {
    match command {
        Command::Summary => Some("end"),
        Command::ToQuestions => Some("questions"),
        _ => None,
    }
}

/// Returns whether a command works in a context.
pub fn works(context: Context, command: Command) -> bool {
    command.spec().contexts.contains(&context)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_key_means_two_things_in_one_context() {
        for context in Context::ALL {
            let mut keys: Vec<_> = COMMANDS
                .iter()
                .filter(|spec| spec.contexts.contains(&context))
                .flat_map(|spec| spec.keys)
                .collect();
            let all = keys.len();
            keys.sort();
            keys.dedup();
            assert_eq!(keys.len(), all, "{context:?}");
        }
    }

    #[test]
    fn no_letter_is_a_command_while_a_line_is_typed() {
        let typed = [Context::Prompt, Context::Filter, Context::Find];
        for spec in COMMANDS
            .iter()
            .filter(|spec| typed.iter().any(|context| spec.contexts.contains(context)))
        {
            assert!(
                spec.keys.iter().all(|key| key.chars().count() > 1),
                "{:?}",
                spec.command
            );
        }
    }

    #[test]
    fn digits_and_the_decimal_sign_are_never_commands() {
        for spec in COMMANDS {
            assert!(
                spec.keys.iter().all(|key| !"0123456789.,".contains(*key)),
                "{:?}",
                spec.command
            );
        }
    }

    #[test]
    fn names_are_the_words_of_the_variants() {
        for spec in COMMANDS {
            let words: String = format!("{:?}", spec.command)
                .chars()
                .enumerate()
                .flat_map(|(index, c)| {
                    let dash = (c.is_uppercase() && index > 0).then_some('-');
                    dash.into_iter().chain(c.to_lowercase())
                })
                .collect();
            assert_eq!(spec.id, words);
            assert_eq!(Command::named(spec.id), Some(spec.command));
            assert_eq!(spec.command.spec().id, spec.id);
        }
    }

    #[test]
    fn every_command_says_what_it_does_in_a_sentence() {
        for spec in COMMANDS {
            assert!(
                spec.does.ends_with('.') && !spec.keys.is_empty(),
                "{:?}",
                spec.command
            );
        }
    }
}
