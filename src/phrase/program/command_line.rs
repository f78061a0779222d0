//! Help of the command line: every command, every argument, what stands below them, and the exit codes.

/// The program itself.
pub const ABOUT: &str = "Inspect a crown or bridge case on its models: what is weak, by how much, and what to ask the dentist";

/// Option `--archive`.
pub const ARCHIVE: &str =
    "Archive of this laboratory's cases [default: in the user's data directory]";
/// Option `--flow`.
pub const FLOW: &str = "Directory of the laboratory's own flow, used instead of the built-in one";
/// Option `--notation`.
pub const NOTATION: &str =
    "Tooth notation for screen, input and prints [default: from look.ron, otherwise iso3950]";
/// Option `--who`.
pub const WHO: &str =
    "Code of the person at the bench, saved with each answer; never a patient's name";
/// Option `--color`.
pub const COLOR: &str = "When to use colour";
/// Option `--settings`.
pub const SETTINGS: &str = "Directory of keys.ron, look.ron and lab.ron [default: casepan in the user's configuration directory]";
/// Option `--theme`.
pub const THEME: &str = "Theme of the screen [default: from look.ron, otherwise auto]";
/// Option `--supervisor`.
pub const SUPERVISOR: &str = "Let rules be edited from the help of a finding, and show everybody's practice; no lock, who may write the flow's files may change them";
/// Option `--signs`.
pub const SIGNS: &str = "What pictures and special signs are made of [default: from look.ron, otherwise what the locale supports]";

pub mod life;
pub mod practise;
pub mod trial;

/// The number of a case, wherever it is an argument.
pub const CASE: &str = "Case number";
/// A case file, wherever it is an argument.
pub const CASE_FILE: &str = "Case file (RON)";
/// A format, wherever it can be chosen.
pub const FORMAT: &str = "Output format";
/// Sheets, wherever they can be chosen.
pub const SHEETS: &str = "Sheet to print; repeat for more";
/// Some of the restorations of a case.
pub const TEETH: &str = "Only the restorations with these teeth [default: all]";
/// A day that is today unless it is named.
pub const ON: &str = "Day, as year-month-day [default: today]";

/// Command `demo`.
pub const DEMO: &str = "Inspect a sample case; nothing is saved";
/// Which sample case.
pub const DEMO_CASE: &str = "Which sample case";
/// Option `--archive-of` of `demo`.
pub const DEMO_ARCHIVE: &str =
    "Show an invented laboratory's two years with so many cases, 1 to 100000";
/// Option `--seed` of `demo`.
pub const DEMO_SEED: &str = "Which invented laboratory: the same number is the same one";
/// Option `--to` of `demo`.
pub const DEMO_TO: &str = "Write it as an archive to this new file, instead of showing it";

/// Command `list`.
pub const LIST: &str = "List the cases of the worklist, for scripts";

/// The words of `list`.
pub const LIST_WORDS: &str = "Only cases that have all of these words: number, tooth, material, dentist, state, result, who has it, finding; \
     or calls (those that need a call), late, due (late or due soon), mine, waiting";
/// Option `--sort`.
pub const LIST_SORT: &str = "Order of the cases; those that are finished come last";

/// Command `open`.
pub const OPEN: &str = "Resume a case";

/// Command `ask`.
pub const ASK: &str =
    "Inspect a case line by line: for screen readers, braille displays and scripts";
/// Command `ask`, in full.
pub const ASK_IN_FULL: &str = "Inspect a case line by line: for screen readers, braille displays and scripts.\n\n\
     The inspection is the same as on the screen. Each line answers the question before it: a digit, a number, the start \
     of a word of a choice, - for not seen, * for the same as before; an empty line moves on. Commands are typed by name, such as undo, \
     findings, back, leave; while a text is being typed, put a colon first. The line help lists what can be typed.\n\n\
     A reading that is impossible or unlikely is asked back. Answer yes, or repeat the reading, to save it; any other \
     reading replaces it.\n\n\
     Every answer is saved before the next line is printed, and the end of the input leaves the case. If the input is not \
     a terminal, the first line that is refused ends the inspection with exit code 65: the lines after it would answer the \
     wrong questions.";
/// The number of the case of `ask`.
pub const ASK_CASE: &str = "Case number; without one, the worklist opens";
/// Option `--units`.
pub const UNITS: &str = "Create the case with these units if it does not exist: x before a missing tooth, ; between restorations";
/// Option `--sure`.
pub const SURE: &str = "Accept number and units as typed, even if the number looks like a name, if the teeth could be others in \
     another notation, or if 44-46 leaves out the teeth between";
/// Option `--go-on`.
pub const GO_ON: &str =
    "Continue after a refused line: for a program that reads the refusal and answers again";

/// Command `arrived`.
pub const ARRIVED: &str =
    "Record that something agreed on the call has arrived; what it replaces is inspected again";
/// What has arrived.
pub const ARRIVED_WHAT: &str = "What has arrived";
/// The day it arrived.
pub const ARRIVED_ON: &str = "Day it arrived, as year-month-day [default: today]";
/// Says that a text is not a day.
pub fn not_a_day(text: &str) -> String {
    format!("\"{text}\" is not a day; use year-month-day, such as 2026-12-04")
}

/// For which restorations it arrived.
pub const ARRIVED_TEETH: &str = "Only for the restorations with these teeth [default: every restoration that is waiting for it]";

/// Command `became`.
pub const BECAME: &str = "Record what became of a case: delivered, closed, returned, withdrawn, or resumed after a mistake";
/// What became of it.
pub const BECAME_WHAT: &str = "What became of it";
/// Option `--goes-on`.
pub const GOES_ON: &str = "Number of the case that continues this one";

/// Command `judge`.
pub const JUDGE: &str = "Judge a case file and print the result; the archive is not touched";

/// Command `print`.
pub const PRINT: &str = "Print sheets of a case";

/// Command `flow`.
pub const FLOW_COMMAND: &str = "Check a flow, start one, or list its facts and sources";
/// Command `flow check`.
pub const FLOW_CHECK: &str = "Check the files of a flow and run the examples of its rules";
/// Which flow is checked.
pub const FLOW_CHECK_DIRECTORY: &str = "Directory of the flow [default: the active flow]";
/// Command `flow new`.
pub const FLOW_NEW: &str =
    "Write the files of the built-in flow into a new directory, to be edited there";
/// Where the new flow is written.
pub const FLOW_NEW_DIRECTORY: &str = "A directory that does not exist yet";
/// Command `flow sources`.
pub const FLOW_SOURCES: &str =
    "List every number that a flow judges by, with its source and its place in the files";
/// Command `flow facts`.
pub const FLOW_FACTS: &str = "List every fact that a flow may ask for or judge by";

/// Command `instruction`.
pub const INSTRUCTION: &str = "Manage the standing instructions of dentists";
/// Command `instruction list`.
pub const INSTRUCTION_LIST: &str = "List standing instructions with their numbers";
/// Command `instruction add`.
pub const INSTRUCTION_ADD: &str = "Save that a dentist agrees to what a rule asks about, in every case; findings that are on hold are \
     still asked";
/// Whose standing instruction it is.
pub const INSTRUCTION_DENTIST: &str = "The laboratory's code for the dentist; never a name";
/// Which rule it answers.
pub const INSTRUCTION_RULE: &str = "Id of the rule";
/// What was agreed.
pub const INSTRUCTION_WORDS: &str = "What was agreed, in short";
/// From when it applies.
pub const INSTRUCTION_FROM: &str = "First day it applies, as year-month-day [default: today]";
/// Until when it applies.
pub const INSTRUCTION_UNTIL: &str = "Last day it applies, as year-month-day";
/// Command `instruction end`.
pub const INSTRUCTION_END: &str = "End a standing instruction as of today";
/// Which one is ended.
pub const INSTRUCTION_NUMBER: &str = "Its number in the list";

/// Command `archive`.
pub const ARCHIVE_COMMAND: &str = "Manage the archive";
/// Option `--accept` of `archive check`.
pub const ARCHIVE_CHECK_ACCEPT: &str = "Take an archive that was put back on purpose as it is, although this computer saw later or other entries of it";
/// Command `archive check`.
pub const ARCHIVE_CHECK: &str = "Check the archive for damage";
/// Command `archive backup`.
pub const ARCHIVE_BACKUP: &str = "Copy the archive to a new file, even while others use it";
/// Where the copy goes.
pub const ARCHIVE_BACKUP_TO: &str = "The new file";
/// Command `archive restore`.
pub const ARCHIVE_RESTORE: &str =
    "Put a backup in the archive's place; what was there is moved aside";
/// Which backup.
pub const ARCHIVE_RESTORE_FROM: &str = "The backup";
/// Command `archive export`.
pub const ARCHIVE_EXPORT: &str = "Print a case as a case file (RON), or write the whole archive into a folder, one file a case with who and when; without free text";
/// Argument of `archive export`.
pub const ARCHIVE_EXPORT_CASE: &str = "Case number; without one the whole archive, with --to";
/// Option of `archive export`.
pub const ARCHIVE_EXPORT_TO: &str = "Write the whole archive into this new folder";
/// Option `--free-text`.
pub const FREE_TEXT: &str = "Include free text";
/// Command `archive import`.
pub const ARCHIVE_IMPORT: &str = "Import a case file, or the folder of a whole archive";
/// Argument of `archive import`.
pub const ARCHIVE_IMPORT_FILE: &str =
    "Case file (RON), journal file, or folder written by `archive export --to`";

/// Command `settings`.
pub const SETTINGS_COMMAND: &str = "Show active keys and theme";
/// Command `settings new`.
pub const SETTINGS_NEW: &str =
    "Write the three settings files with every line commented out; nothing is overwritten";
/// Command `settings check`.
pub const SETTINGS_CHECK: &str = "Check the settings files: keys that clash, unknown names";

/// Command `schema`.
pub const SCHEMA: &str = "Print the JSON Schema of the objects that --as json writes";
/// Whose object it describes.
pub const SCHEMA_COMMAND: &str = "Command whose object it describes [default: all of them]";

/// Command `words`.
pub const WORDS: &str = "Explain the terms that this program uses, and other words for them";
/// Which term.
pub const WORDS_TERM: &str = "A term, or another word for one; all terms if none is named";
/// Command `manual`.
pub const MANUAL: &str = "Write the manual: a page for every command, and one for each subject";
/// Where the pages are written.
pub const MANUAL_DIRECTORY: &str = "Directory of the pages; created if it does not exist";

/// Command `completions`.
pub const COMPLETIONS: &str = "Print the completion script of a shell";
/// Which shell.
pub const SHELL: &str = "Name of the shell";

/// Stands over one example.
const EXAMPLE: &str = "Example:";
/// Stands over several examples.
const EXAMPLES: &str = "Examples:";

/// Stands over the exit codes.
const CODES: &str = "Exit codes:";

/// The caution below the help of the program.
const CAUTION: &str = "Screening only. The licensed dentist decides; makers' instructions and local rules take precedence.";

/// Names and meanings of the exit codes.
pub mod exit {
    /// Exit code 0.
    pub const DONE: (&str, &str) = ("done", "the command was carried out");
    /// Exit code 64.
    pub const USAGE: (&str, &str) = ("usage", "invalid arguments");
    /// Exit code 65.
    pub const DATA: (&str, &str) = ("bad data", "a file is invalid, or a check found something");
    /// Exit code 66.
    pub const NO_INPUT: (&str, &str) = (
        "no such input",
        "a file, directory or case that was named does not exist",
    );
    /// Exit code 70.
    pub const BUG: (&str, &str) = ("a bug", crate::phrase::program::errors::FAILED);
    /// Exit code 73.
    pub const CANNOT_CREATE: (&str, &str) =
        ("cannot create", "a file cannot be created or written");
    /// Exit code 74.
    pub const IO: (&str, &str) = ("input or output failed", "reading or writing broke off");
}

/// An exit code with its name and its meaning.
pub type ExitCode = (u8, &'static str, &'static str);

/// Returns what stands below the help of a command: examples and exit codes.
pub fn below(examples: &[&str], codes: &[ExitCode]) -> String {
    let head = if examples.len() == 1 {
        EXAMPLE
    } else {
        EXAMPLES
    };
    let codes: Vec<String> = codes
        .iter()
        .map(|(code, name, _)| format!("{code} {name}"))
        .collect();
    let (examples, codes) = (examples.join("\n  "), codes.join(", "));
    format!("{head}\n  {examples}\n\n{CODES} {codes}.")
}

/// Returns what stands below the help of the program: examples, exit codes with their meanings, the caution.
pub fn below_the_program(examples: &[&str], codes: &[ExitCode]) -> String {
    let codes: Vec<String> = codes
        .iter()
        .map(|(code, name, meaning)| format!("  {code:>2} {}\n", exit_code(name, meaning)))
        .collect();
    let (examples, codes) = (examples.join("\n  "), codes.concat());
    format!("{EXAMPLES}\n  {examples}\n\n{CODES}\n{codes}\n{CAUTION}")
}

/// Returns the name and the meaning of an exit code in one line.
pub fn exit_code(name: &str, meaning: &str) -> String {
    format!("{name}: {meaning}")
}

/// The title of a JSON Schema: of the command that writes the object, or of all.
pub fn schema_title(command: Option<&str>) -> String {
    match command {
        Some(command) => format!("casepan {command} --as json"),
        None => "casepan, any command, --as json".to_owned(),
    }
}

/// The sections of a manual page that this program adds.
pub mod manual {
    /// Over the examples.
    pub const EXAMPLES: &str = "EXAMPLES";
    /// Over the exit codes.
    pub const EXIT_STATUS: &str = "EXIT STATUS";
    /// Over the caution.
    pub const CAUTION: &str = "CAUTION";
    /// Over the name of a page.
    pub const NAME: &str = "NAME";
    /// Over the other pages.
    pub const SEE_ALSO: &str = "SEE ALSO";
    /// What the program does without a command.
    pub const WORKLIST: &str = "Show the worklist";
    /// Over what every JSON object has.
    pub const EVERY_OBJECT: &str = "every object";
    /// What the first key of every JSON object is.
    pub const FORMAT: &str = "The format of this object.";

    /// Says that a page names a table that does not exist.
    pub fn no_table(name: &str) -> String {
        format!("the manual names an unknown table \"{name}\"")
    }
}
