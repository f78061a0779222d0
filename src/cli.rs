//! The command line: types and help, no logic.

mod help;

use std::path::PathBuf;

use clap::builder::PossibleValue;
use clap::{Parser, Subcommand, ValueEnum};
use jiff::civil::Date;

use crate::case::coming::Part;
use crate::case::life::Happened;
use crate::phrase::coming::came;

/// Inspect a crown or bridge case on its models: what is weak, by how much, and what to ask the dentist.
#[derive(Parser, Debug)]
#[command(
    name = "casepan",
    version,
    about,
    after_help = help::closing()
)]
pub struct Cli {
    /// The archive of this laboratory's cases [default: in the user's data directory]
    #[arg(long, global = true, env = "CASEPAN_ARCHIVE", value_name = "PATH")]
    pub archive: Option<PathBuf>,
    /// A directory with a flow of the laboratory's own, instead of the one that is built in
    #[arg(long, global = true, env = "CASEPAN_FLOW", value_name = "DIR")]
    pub flow: Option<PathBuf>,
    /// The notation of teeth on screen, input and print [default: what look.ron says, or else iso3950]
    #[arg(long, global = true, env = "CASEPAN_NOTATION", value_enum)]
    pub notation: Option<NotationName>,
    /// The code of the person at the bench, kept with each answer; never a patient's name
    #[arg(long, global = true, env = "CASEPAN_WHO", value_name = "CODE")]
    pub who: Option<String>,
    /// When to use colour
    #[arg(long, global = true, value_enum, default_value_t = Colour::Auto)]
    pub color: Colour,
    /// The directory with keys.ron, look.ron and lab.ron [default: casepan in the user's configuration directory]
    #[arg(long, global = true, env = "CASEPAN_SETTINGS", value_name = "DIR")]
    pub settings: Option<PathBuf>,
    /// The theme of the screen [default: what look.ron says, or else auto]
    #[arg(long, global = true, env = "CASEPAN_THEME", value_enum)]
    pub theme: Option<ThemeChoice>,
    /// What pictures and special signs are made of [default: what look.ron says, or else what the locale takes]
    #[arg(long, global = true, env = "CASEPAN_SIGNS", value_enum)]
    pub signs: Option<SignsName>,
    /// What to do; the worklist where nothing is named
    #[command(subcommand)]
    pub command: Option<Command>,
}

/// What to do.
#[derive(Subcommand, Debug)]
pub enum Command {
    /// Walk an invented case in a throw-away archive
    #[command(after_help = help::examples(&["casepan demo --case crown-26"]))]
    Demo {
        /// Which of the invented cases
        #[arg(long = "case", value_name = "NAME", default_value = "bridge-44-46")]
        name: String,
    },
    /// List the cases of the archive, as the worklist does, for scripts
    #[command(after_help = help::examples(&["casepan list", "casepan list --as json"]))]
    List {
        /// The format
        #[arg(long = "as", value_enum, default_value_t = DataFormat::Text)]
        format: DataFormat,
    },
    /// Go on with a case
    #[command(after_help = help::examples(&["casepan open 24-0381"]))]
    Open {
        /// The case's number
        case: String,
    },
    /// Walk a case as plain lines in and out: for screen readers, braille lines, scripts
    #[command(
        long_about = "Walk a case as plain lines in and out: for screen readers, braille lines, scripts.\n\n\
                      The same walk as on the screen. Each line answers the question before it: a digit, a number, the words of \
                      a choice, - for not seen, * for as before; an empty line goes on. Commands are typed by their words, \
                      such as undo, findings, call, leave; where a text is typed, with a colon before them. The line help says \
                      what can be typed.\n\n\
                      A reading that cannot be, or hardly, is asked back; the next line answers that: yes, or the reading once more, \
                      keeps it, another one takes its place.\n\n\
                      Every answer is kept before the next line is said, and the end of the input leaves. Where the input is \
                      no terminal, the first line that is not taken ends the walk with exit code 65: the lines behind it would \
                      answer the wrong questions.",
        after_help = help::examples(&[
            "casepan ask 24-0381",
            "casepan ask 24-0382 --units \"44 x45 46\" --sure < answers.txt",
        ])
    )]
    Ask {
        /// The case's number; the worklist where none is named
        case: Option<String>,
        /// Make the case with these units where there is none: x before a missing tooth, ; between restorations
        #[arg(long, value_name = "UNITS", requires = "case")]
        units: Option<String>,
        /// Take number and units as they are: where the number looks like a name, where teeth could be others in another
        /// notation, where 44-46 leaves out what lies between
        #[arg(long, requires = "units")]
        sure: bool,
        /// Go on after a line that was not taken: for a program that hears it and answers again
        #[arg(long)]
        go_on: bool,
    },
    /// Say that something which was agreed on the call has arrived: what it replaces is inspected again
    #[command(after_help = help::examples(&[
        "casepan arrived 24-0381 impression",
        "casepan arrived 24-0381 bite --on 2026-12-04 --teeth 46",
    ]))]
    Arrived {
        /// The case's number
        case: String,
        /// What has arrived
        #[arg(value_enum)]
        what: Part,
        /// The day it came, as year-month-day [default: today]
        #[arg(long, value_name = "DAY")]
        on: Option<Date>,
        /// Only for the restorations with these teeth [default: every restoration that waits for it]
        #[arg(long, value_name = "TEETH")]
        teeth: Option<String>,
    },
    /// Say what became of a case: delivered, returned, withdrawn, or taken up again
    #[command(after_help = help::examples(&[
        "casepan became 24-0381 delivered",
        "casepan became 24-0381 returned --teeth \"35 36 37\" --goes-on 24-0381-2",
    ]))]
    Became {
        /// The case's number
        case: String,
        /// What became of it
        #[arg(value_enum)]
        what: Happened,
        /// The day, as year-month-day [default: today]
        #[arg(long, value_name = "DAY")]
        on: Option<Date>,
        /// Only the restorations with these teeth [default: all]
        #[arg(long, value_name = "TEETH")]
        teeth: Option<String>,
        /// The case that goes on with it
        #[arg(long, value_name = "CASE")]
        goes_on: Option<String>,
    },
    /// Judge a case file and print the result; the archive is not touched
    #[command(after_help = help::examples(&[
        "casepan judge demo/bridge-44-46.ron --as json",
        "casepan judge demo/bridge-44-46.ron --sheet ticket --sheet seating",
    ]))]
    Judge {
        /// A case as RON
        file: PathBuf,
        /// A sheet; give it again for more
        #[arg(long = "sheet", value_enum, value_name = "SHEET", default_values_t = [SheetName::Summary, SheetName::Call])]
        sheets: Vec<SheetName>,
        /// The format
        #[arg(long = "as", value_enum, default_value_t = FormatName::Text)]
        format: FormatName,
    },
    /// Print sheets of a case
    #[command(after_help = help::examples(&[
        "casepan print 24-0381 --sheet call",
        "casepan print 24-0381 --sheet ticket --as html > ticket.html",
    ]))]
    Print {
        /// The case's number
        case: String,
        /// A sheet; give it again for more
        #[arg(
            long = "sheet",
            value_enum,
            value_name = "SHEET",
            default_value = "summary"
        )]
        sheets: Vec<SheetName>,
        /// The format
        #[arg(long = "as", value_enum, default_value_t = FormatName::Text)]
        format: FormatName,
    },
    /// Check a flow, or list what it can ask for
    #[command(after_help = help::examples(&["casepan flow check our-flow", "casepan flow facts"]))]
    Flow {
        /// What to do with it
        #[command(subcommand)]
        command: FlowCommand,
    },
    /// Look after what dentists agreed to for every case
    #[command(alias = "agreement", after_help = help::examples(&["casepan instruction list"]))]
    Instruction {
        /// What to do with it
        #[command(subcommand)]
        command: InstructionCommand,
    },
    /// Look after the archive
    #[command(after_help = help::examples(&["casepan archive check", "casepan archive backup lab-2026.casepan"]))]
    Archive {
        /// What to do with it
        #[command(subcommand)]
        command: ArchiveCommand,
    },
    /// Say which keys, which look and which laboratory are in force, and why
    #[command(
        args_conflicts_with_subcommands = true,
        after_help = help::examples(&["casepan settings", "casepan settings --as json", "casepan settings new"])
    )]
    Settings {
        /// The format
        #[arg(long = "as", value_enum, default_value_t = DataFormat::Text)]
        format: DataFormat,
        /// What to do with them; they are told where nothing is named
        #[command(subcommand)]
        command: Option<SettingsCommand>,
    },
    /// Print the JSON Schema of the objects that --as json writes
    #[command(after_help = help::examples(&["casepan schema judge > judge.schema.json", "casepan schema"]))]
    Schema {
        /// The command whose object it is; any of them where none is named
        #[arg(value_enum)]
        command: Option<ObjectName>,
    },
    /// Write a manual page for every command into a directory
    #[command(after_help = help::examples(&["casepan manual man1"]))]
    Manual {
        /// The directory; it is made where it is not there
        directory: PathBuf,
    },
    /// Write the completion of a shell to standard output
    #[command(after_help = help::examples(&["casepan completions bash > casepan.bash"]))]
    Completions {
        /// The shell
        #[arg(value_enum)]
        shell: clap_complete::Shell,
    },
}

/// What to do with a flow.
#[derive(Subcommand, Debug)]
pub enum FlowCommand {
    /// Check the files of a flow and run the examples of its rules
    #[command(after_help = help::examples(&["casepan flow check our-flow", "casepan flow check our-flow --as json"]))]
    Check {
        /// The flow's directory [default: the flow in force]
        directory: Option<PathBuf>,
        /// The format
        #[arg(long = "as", value_enum, default_value_t = DataFormat::Text)]
        format: DataFormat,
    },
    /// Write the files of the built-in flow into a new directory, to be changed there
    #[command(after_help = help::examples(&["casepan flow new our-flow"]))]
    New {
        /// A directory that does not exist yet
        directory: PathBuf,
    },
    /// List every number that a flow judges by, with its source and where it stands
    #[command(after_help = help::examples(&["casepan flow sources", "casepan --flow our-flow flow sources --as json"]))]
    Sources {
        /// The format
        #[arg(long = "as", value_enum, default_value_t = DataFormat::Text)]
        format: DataFormat,
    },
    /// List every fact that a flow may ask for or judge by
    #[command(after_help = help::examples(&["casepan flow facts", "casepan --flow our-flow flow facts --as json"]))]
    Facts {
        /// The format
        #[arg(long = "as", value_enum, default_value_t = DataFormat::Text)]
        format: DataFormat,
    },
}

/// What to do with standing instructions.
#[derive(Subcommand, Debug)]
pub enum InstructionCommand {
    /// List what dentists agreed to for every case, each with its number
    #[command(after_help = help::examples(&["casepan instruction list", "casepan instruction list --as json"]))]
    List {
        /// The format
        #[arg(long = "as", value_enum, default_value_t = DataFormat::Text)]
        format: DataFormat,
    },
    /// Keep that a dentist agrees to what a rule asks about; what is on hold is asked all the same
    #[command(after_help = help::examples(&[
        "casepan instruction add K17 clearance --words \"as thin as it has to be\"",
        "casepan instruction add K17 clearance --from 2026-12-01 --until 2027-11-30",
    ]))]
    Add {
        /// The laboratory's code for the dentist; never a name
        dentist: String,
        /// The rule's id
        rule: String,
        /// What was agreed, in short
        #[arg(long, default_value = "")]
        words: String,
        /// The day it holds from, as year-month-day [default: today]
        #[arg(long, value_name = "DAY")]
        from: Option<Date>,
        /// The last day it holds, as year-month-day
        #[arg(long, value_name = "DAY")]
        until: Option<Date>,
    },
    /// End a standing instruction, from today on
    #[command(after_help = help::examples(&["casepan instruction end 1"]))]
    End {
        /// Its number in the list
        number: usize,
    },
}

/// What to do with the archive.
#[derive(Subcommand, Debug)]
pub enum ArchiveCommand {
    /// Walk the archive and say what is damaged
    #[command(after_help = help::examples(&["casepan archive check", "casepan archive check --as json"]))]
    Check {
        /// The format
        #[arg(long = "as", value_enum, default_value_t = DataFormat::Text)]
        format: DataFormat,
    },
    /// Copy the archive to a new file while others work
    #[command(after_help = help::examples(&["casepan archive backup lab-2026.casepan"]))]
    Backup {
        /// The new file
        to: PathBuf,
    },
    /// Write a case as RON to standard output, free text left out
    #[command(after_help = help::examples(&["casepan archive export 24-0381 > 24-0381.ron"]))]
    Export {
        /// The case's number
        case: String,
        /// Write free text too
        #[arg(long)]
        free_text: bool,
    },
    /// Take a case file into the archive as a new case
    #[command(after_help = help::examples(&["casepan archive import demo/crown-26.ron"]))]
    Import {
        /// A case as RON
        file: PathBuf,
    },
}

/// What to do with settings.
#[derive(Subcommand, Debug)]
pub enum SettingsCommand {
    /// Write the three files with everything commented out; what is there already stays
    #[command(after_help = help::examples(&["casepan settings new", "casepan --settings our-settings settings new"]))]
    New,
    /// Check the files: keys that clash, names that are not known
    #[command(after_help = help::examples(&["casepan settings check"]))]
    Check,
}

/// A theme of the screen.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub enum ThemeChoice {
    /// Light where COLORFGBG says so, or else dark
    Auto,
    /// Colours on a dark ground
    Dark,
    /// Colours on a light ground
    Light,
    /// No colour: bold, faint, reversed, underlined
    Plain,
    /// The strongest contrast, nothing faint
    Contrast,
}

/// What pictures and special signs are made of.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub enum SignsName {
    /// Nothing but ASCII
    Ascii,
    /// Braille points, signs as they are written
    Braille,
}

/// A notation of teeth.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub enum NotationName {
    /// ISO 3950, two digits
    Iso3950,
    /// Universal, 1 to 32
    Universal,
    /// Palmer
    Palmer,
}

/// When to use colour.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub enum Colour {
    /// In a terminal, unless NO_COLOR is set or TERM is dumb
    Auto,
    /// Always, even where NO_COLOR is set
    Always,
    /// Never
    Never,
}

impl ValueEnum for Part {
    fn value_variants<'a>() -> &'a [Part] {
        &Part::ALL
    }

    fn to_possible_value(&self) -> Option<PossibleValue> {
        Some(PossibleValue::new(self.as_str()).help(came(*self)))
    }
}

impl ValueEnum for Happened {
    fn value_variants<'a>() -> &'a [Happened] {
        &Happened::ALL
    }

    fn to_possible_value(&self) -> Option<PossibleValue> {
        Some(PossibleValue::new(self.as_str()))
    }
}

/// A format of prints.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub enum FormatName {
    /// Plain text, 78 columns
    Text,
    /// Markdown
    Markdown,
    /// One HTML file with pictures, to look at or to print
    Html,
    /// One JSON object
    Json,
}

/// A format of lists and checks.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub enum DataFormat {
    /// Lines to read
    Text,
    /// One JSON object
    Json,
}

/// A command that writes an object.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub enum ObjectName {
    /// A case file as it was judged
    Judge,
    /// A case of the archive as it was judged
    Print,
    /// The worklist
    List,
    /// What is wrong with a flow
    FlowCheck,
    /// The facts that a flow may name
    FlowFacts,
    /// The numbers of a flow with their sources
    FlowSources,
    /// Standing instructions
    InstructionList,
    /// What is damaged in the archive
    ArchiveCheck,
    /// The settings in force
    Settings,
}

/// A sheet.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub enum SheetName {
    /// What was found
    Summary,
    /// The checklist for the phone
    Call,
    /// The work ticket for the bench
    Ticket,
    /// How it is seated, for the dentist
    Seating,
    /// The letter to the dentist
    Letter,
}
