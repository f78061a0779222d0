//! The one table of commands: keymap, last line, help and manual are made from it.

/// Where the person is; a key may mean different things in different contexts.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Context {
    /// The list of cases.
    Worklist,
    /// A line of text is being typed.
    Prompt,
    /// The questions of a step.
    Questions,
    /// A reading was asked back. Every other key acts as on the page of questions.
    AskedBack,
    /// The findings with their reasons.
    Findings,
    /// The end page: summary and call list.
    Summary,
    /// The call: what to have ready, the questions, what was said.
    Call,
    /// A question of the call is being answered.
    Answer,
    /// The options.
    Options,
    /// Words are typed to find something.
    Find,
    /// The pictures of the case.
    Picture,
    /// Help over any page.
    Help,
}

impl Context {
    /// All contexts.
    pub const ALL: [Context; 12] = [
        Context::Worklist,
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
        Context::Help,
    ];

    /// Names the context for the manual and the help page.
    pub fn title(self) -> &'static str {
        match self {
            Context::Worklist => "worklist",
            Context::Prompt => "while typing a line",
            Context::Questions => "questions",
            Context::AskedBack => "asked back",
            Context::Findings => "findings",
            Context::Summary => "summary",
            Context::Call => "call",
            Context::Answer => "answering a question",
            Context::Options => "options",
            Context::Find => "find",
            Context::Picture => "pictures",
            Context::Help => "help",
        }
    }
}

/// One row of the table.
#[derive(Debug)]
pub struct CommandSpec {
    /// The command.
    pub command: Command,
    /// Its name in files and lines of words.
    pub id: &'static str,
    /// Where it works.
    pub contexts: &'static [Context],
    /// Its keys; the first is the one that is shown.
    pub keys: &'static [&'static str],
    /// Its name in the last line; empty where it is not shown there.
    pub short: &'static str,
    /// What it does.
    pub does: &'static str,
}

macro_rules! commands {
    ($($name:ident $id:literal [$($context:ident)+] [$($key:literal)+] $short:literal $does:literal;)+) => {
        /// What a key can ask for.
        #[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
        pub enum Command { $(#[doc = $does] $name),+ }

        /// Every command, in the order in which the last line shows them.
        pub const COMMANDS: &[CommandSpec] = &[$(CommandSpec {
            command: Command::$name,
            id: $id,
            contexts: &[$(Context::$context),+],
            keys: &[$($key),+],
            short: $short,
            does: $does,
        }),+];
    };
}

commands! {
    Confirm "confirm" [Questions] ["enter"] "next" "Keep what was typed and go to the next unanswered cell.";
    Insist "insist" [AskedBack] ["+"] "keep as read" "Keep a reading that was asked back. Any other key goes on without it.";
    NotSeen "not-seen" [Questions] ["-"] "not seen" "Answer: looked for, and not to be told.";
    Same "same" [Questions] ["*"] "as before" "Take the value of the cell before: the wall or the tooth before this one.";
    Erase "erase" [Questions AskedBack] ["backspace"] "" "Take back the last character; in an empty cell, go back one cell.";
    Clear "clear" [Questions] ["delete"] "" "Take the answer back to not yet asked.";
    NextCell "next-cell" [Questions] ["tab" "+"] "" "Go to the next cell without answering.";
    PreviousCell "previous-cell" [Questions] ["shift-tab"] "" "Go to the cell before.";
    OpenRow "open-row" [Call] ["enter"] "answer" "Open the marked line: answer it, or what was said to it.";
    Choose "choose" [Answer] ["enter"] "keep" "Keep the answer as it was read back; in a list or line, go on to it.";
    AddOption "add-option" [Answer] ["+"] "more" "Add another option to what is read back.";
    ChangeDay "change-day" [Answer] ["d"] "day" "Change the day by which it comes.";
    ChangeCost "change-cost" [Answer] ["c"] "cost" "Say what was agreed on the cost.";
    ChangeWords "change-words" [Answer] ["t"] "words" "Add the dentist's own words.";
    OrderHere "order-here" [Answer] ["w"] "order here" "The written order is here already, or is still to come.";
    Tick "tick" [Answer] ["space"] "pick" "Pick the marked line, or pick it no longer.";
    Detail "detail" [Options] ["enter"] "in full" "Show the marked way out in full, or the list again.";
    Up "up" [Questions Findings Summary Call Answer Options Picture Worklist Find Help] ["up"] "" "Up.";
    Down "down" [Questions Findings Summary Call Answer Options Picture Worklist Find Help] ["down"] "" "Down.";
    Left "left" [Questions] ["left"] "" "One cell to the left.";
    Right "right" [Questions] ["right"] "" "One cell to the right.";
    NextStep "next-step" [Questions] ["pgdn" "n"] "step" "Go to the next step of the inspection.";
    PreviousStep "previous-step" [Questions] ["pgup" "b"] "" "Go back one step.";
    PageDown "page-down" [Findings Summary Call Answer Options Picture Help] ["pgdn"] "" "One page down.";
    PageUp "page-up" [Findings Summary Call Answer Options Picture Help] ["pgup"] "" "One page up.";
    NextHits "next-hits" [Find] ["pgdn"] "more" "Show the next nine lines.";
    PreviousHits "previous-hits" [Find] ["pgup"] "" "Show the nine lines before.";
    Undo "undo" [Questions AskedBack Findings Summary Call] ["u"] "undo" "Take the last answer of this sitting back.";
    Redo "redo" [Questions Findings Summary Call] ["y"] "" "Do again what was undone.";
    WallByWall "wall-by-wall" [Questions] ["w"] "walls" "Go round the present stump wall by wall, or stop doing so.";
    Instrument "instrument" [Questions] ["i"] "" "Change the instrument that the present reading is taken with.";
    NextPicture "next-picture" [Picture] ["right" "tab"] "next" "Turn to the next picture.";
    PreviousPicture "previous-picture" [Picture] ["left" "shift-tab"] "" "Turn back to the picture before.";
    Call "call" [Questions Findings Summary Options Picture] ["d"] "call" "Go to the call with the dentist: the questions, and what is said to them.";
    Options "options" [Questions Findings Summary Call Picture] ["x"] "options" "Show the ways out of what was found, each with what comes of it.";
    Try "try" [Questions Findings Options] ["v"] "" "Try other readings out on a copy. Nothing of it is kept; one step back drops it.";
    KeepTrial "keep-trial" [Questions Findings] ["k"] "" "While trying: list what was changed, to be proposed on the call.";
    MoreOptions "more-options" [Call Answer] ["m"] "" "Show the next six options.";
    Speaker "speaker" [Call Answer] ["r"] "who speaks" "The phone changes hands: ask again who speaks.";
    Arrived "arrived" [Questions Findings Summary Call Options] ["a"] "arrived" "Something that was agreed has arrived: say what and when.";
    Standing "standing" [Call] ["k"] "" "Keep what was decided for every case of this dentist.";
    Strike "strike" [Call] ["delete"] "" "Take the marked proposal off the list.";
    Findings "findings" [Questions Summary Call Options Picture] ["f"] "findings" "Show the findings with reason, evidence and source.";
    Questions "questions" [Findings Summary] ["enter" "c"] "questions" "Go back to the questions.";
    ToQuestions "to-questions" [Call Options Picture] ["c"] "questions" "Go back to the questions.";
    Summary "summary" [Questions Findings Call Options Picture] ["e"] "end page" "Show the summary and the call list.";
    EditUnits "edit-units" [Questions] ["o"] "" "Change the units that were ordered.";
    Notation "notation" [Questions Findings Summary Call Options Picture Worklist] ["t"] "" "Change the notation of teeth: ISO 3950, Universal, Palmer.";
    Print "print" [Summary] ["p"] "print" "Write every sheet as text, and all of them as one HTML file, into the present directory.";
    OpenCase "open-case" [Worklist] ["enter"] "open" "Open the marked case.";
    NewCase "new-case" [Worklist] ["n"] "new case" "Start a new case.";
    Accept "accept" [Prompt] ["enter"] "keep" "Keep the line.";
    GoThere "go-there" [Find] ["enter"] "go" "Go to the marked line, or do what it says.";
    EraseLine "erase-line" [Prompt Find] ["backspace"] "" "Take back the last character.";
    Back "back" [Prompt Find Findings Summary Call Answer Options Picture Help Questions AskedBack] ["esc"] "back" "Go back one step. Nothing is lost: every answer is already kept.";
    Leave "leave" [Worklist Questions AskedBack Findings Summary Call Options Picture] ["q"] "leave" "Leave the case, or the program from the worklist. Every answer is already kept.";
    Quit "quit" [Worklist Prompt Find Questions AskedBack Findings Summary Call Answer Options Picture Help] ["ctrl-c"] "" "Leave the program at once. Every answer is already kept.";
    Suspend "suspend" [Worklist Prompt Find Questions AskedBack Findings Summary Call Answer Options Picture Help] ["ctrl-z"] "" "Put the program into the background (Unix).";
    Picture "picture" [Questions Findings Summary Options] ["g"] "picture" "Show the pictures of the case: stumps, bridges, the arch.";
    Find "find" [Worklist Questions Findings Summary Call Answer Options Picture Help] ["/"] "find" "Find a question, a finding or a command by its words; with nothing typed, all that can be done here.";
    Help "help" [Worklist Questions AskedBack Findings Summary Call Answer Options Picture] ["?"] "help" "Show what to look at and why, and the keys.";
}

impl Command {
    /// Returns the row of the table.
    pub fn spec(self) -> &'static CommandSpec {
        // Every command has its row: both are made from the same lines.
        COMMANDS.get(self as usize).unwrap_or(&COMMANDS[0])
    }

    /// Finds a command by its name in files, present or former.
    pub fn named(id: &str) -> Option<Command> {
        let id = if id == "end" { "summary" } else { id };
        COMMANDS
            .iter()
            .find(|spec| spec.id == id)
            .map(|spec| spec.command)
    }
}

/// Says whether a command means something in a context.
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
        let typed = [Context::Prompt, Context::Find];
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
