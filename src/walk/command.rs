//! The one table of commands: keymap, last line, help and README are made from it.

/// Where the person is; a key may mean different things in different contexts.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Context {
    /// The list of cases.
    Worklist,
    /// A line of text is being typed.
    Prompt,
    /// The questions of a step.
    Questions,
    /// The findings with their reasons.
    Findings,
    /// The end page: summary and call list.
    End,
    /// The call: what to have ready, the questions, what was said.
    Call,
    /// A question of the call is being answered.
    Answer,
    /// The ways out.
    Options,
    /// The pictures of the case.
    Picture,
    /// Help over any page.
    Help,
}

impl Context {
    /// All contexts.
    pub const ALL: [Context; 10] = [
        Context::Worklist,
        Context::Prompt,
        Context::Questions,
        Context::Findings,
        Context::End,
        Context::Call,
        Context::Answer,
        Context::Options,
        Context::Picture,
        Context::Help,
    ];

    /// Names the context for the README and the help page.
    pub fn title(self) -> &'static str {
        match self {
            Context::Worklist => "worklist",
            Context::Prompt => "while typing a line",
            Context::Questions => "questions",
            Context::Findings => "findings",
            Context::End => "end page",
            Context::Call => "call",
            Context::Answer => "answering a question",
            Context::Options => "options",
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
    ($($name:ident [$($context:ident)+] [$($key:literal)+] $short:literal $does:literal;)+) => {
        /// What a key can ask for.
        #[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
        pub enum Command { $(#[doc = $does] $name),+ }

        /// Every command, in the order in which the last line shows them.
        pub const COMMANDS: &[CommandSpec] = &[$(CommandSpec {
            command: Command::$name,
            contexts: &[$(Context::$context),+],
            keys: &[$($key),+],
            short: $short,
            does: $does,
        }),+];
    };
}

commands! {
    Confirm [Questions] ["enter"] "next" "Keep what was typed and go to the next unanswered cell.";
    NotSeen [Questions] ["-"] "not seen" "Answer: looked for, and not to be told.";
    Same [Questions] ["*"] "as before" "Take the value of the cell before: the wall or the tooth before this one.";
    Erase [Questions] ["backspace"] "" "Take back the last character; in an empty cell, go back one cell.";
    Clear [Questions] ["delete"] "" "Take the answer back to not yet asked.";
    NextCell [Questions] ["tab" "+"] "" "Go to the next cell without answering.";
    PreviousCell [Questions] ["shift-tab"] "" "Go to the cell before.";
    OpenRow [Call] ["enter"] "answer" "Open the marked line: answer it, or what was said to it.";
    Choose [Answer] ["enter"] "go on" "Go on with what was picked; at the end, keep the answer as it was read back.";
    Tick [Answer] ["space"] "pick" "Pick the marked line, or pick it no longer.";
    Detail [Options] ["enter"] "in full" "Show the marked way out in full, or the list again.";
    Up [Questions Findings End Call Answer Options Picture Worklist Help] ["up"] "" "Up.";
    Down [Questions Findings End Call Answer Options Picture Worklist Help] ["down"] "" "Down.";
    Left [Questions] ["left"] "" "One cell to the left.";
    Right [Questions] ["right"] "" "One cell to the right.";
    NextStep [Questions] ["pgdn" "n"] "step" "Go to the next step of the inspection.";
    PreviousStep [Questions] ["pgup" "b"] "" "Go back one step.";
    PageDown [Findings End Options Picture Help] ["pgdn" "space"] "" "One page down.";
    PageUp [Findings End Options Picture Help] ["pgup"] "" "One page up.";
    Undo [Questions Findings End Call] ["u"] "undo" "Take the last answer of this sitting back.";
    Redo [Questions Findings End Call] ["y"] "" "Do again what was undone.";
    WallByWall [Questions] ["w"] "walls" "Go round the present stump wall by wall, or stop doing so.";
    Instrument [Questions] ["i"] "" "Change the instrument that the present reading is taken with.";
    NextPicture [Picture] ["right" "tab"] "next" "Turn to the next picture.";
    PreviousPicture [Picture] ["left" "shift-tab"] "" "Turn back to the picture before.";
    Call [Questions Findings End Options Picture] ["d"] "call" "Go to the call with the dentist: the questions, and what is said to them.";
    Options [Questions Findings End Call Picture] ["x"] "options" "Show the ways out of what was found, each with what comes of it.";
    Try [Questions Findings Options] ["v"] "" "Try other readings out on a copy. Nothing of it is kept; esc drops it.";
    KeepTrial [Questions Findings] ["k"] "" "While trying: list what was changed, to be proposed on the call.";
    Standing [Call] ["k"] "" "Keep what was decided for every case of this dentist.";
    Strike [Call] ["delete"] "" "Take the marked proposal off the list.";
    Findings [Questions End Call Options Picture] ["f"] "findings" "Show the findings with reason, evidence and source.";
    Questions [Findings End] ["enter" "c"] "questions" "Go back to the questions.";
    ToQuestions [Call Options Picture] ["c"] "questions" "Go back to the questions.";
    End [Questions Findings Call Options Picture] ["e"] "end page" "Show the summary and the call list.";
    EditUnits [Questions] ["o"] "" "Change the units that were ordered.";
    Notation [Questions Findings End Call Options Picture Worklist] ["t"] "" "Change the notation of teeth: ISO 3950, Universal, Palmer.";
    Print [End] ["p"] "print" "Write every sheet as text, and all of them as one HTML file, into the present directory.";
    Picture [Questions Findings End Options] ["g"] "picture" "Show the pictures of the case: stumps, bridges, the arch.";
    OpenCase [Worklist] ["enter"] "open" "Open the marked case.";
    NewCase [Worklist] ["n"] "new case" "Start a new case.";
    Accept [Prompt] ["enter"] "keep" "Keep the line.";
    EraseLine [Prompt] ["backspace"] "" "Take back the last character.";
    Back [Prompt Findings End Call Answer Options Picture Help Questions] ["esc"] "back" "Go back one step. Nothing is lost: every answer is already kept.";
    Leave [Worklist Questions Findings End Call Options Picture] ["q"] "leave" "Leave the case, or the program from the worklist. Every answer is already kept.";
    Quit [Worklist Prompt Questions Findings End Call Answer Options Picture Help] ["ctrl-c"] "" "Leave the program at once. Every answer is already kept.";
    Suspend [Worklist Prompt Questions Findings End Call Answer Options Picture Help] ["ctrl-z"] "" "Put the program into the background (Unix).";
    Help [Worklist Questions Findings End Call Answer Options Picture] ["?"] "help" "Show what to look at and why, and the keys.";
}

/// Finds what a key asks for in a context.
pub fn lookup(context: Context, key: &str) -> Option<Command> {
    COMMANDS
        .iter()
        .find(|spec| spec.contexts.contains(&context) && spec.keys.contains(&key))
        .map(|spec| spec.command)
}

/// Returns the commands of a context that the last line shows, each with its key.
pub fn shown(context: Context) -> impl Iterator<Item = (&'static str, &'static str, Command)> {
    COMMANDS
        .iter()
        .filter(move |spec| spec.contexts.contains(&context) && !spec.short.is_empty())
        .filter_map(|spec| {
            spec.keys
                .first()
                .map(|key| (*key, spec.short, spec.command))
        })
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
        for spec in COMMANDS
            .iter()
            .filter(|spec| spec.contexts.contains(&Context::Prompt))
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
