//! The command line: types, no logic. The texts of the help are in [`crate::phrase::program`].

mod flows;
mod help;
mod life;
mod practise;
mod trial;

use std::path::PathBuf;

use clap::builder::PossibleValue;
use clap::{Parser, Subcommand, ValueEnum};
use jiff::civil::Date;

use crate::case::coming::Part;
use crate::case::life::Happened;
use crate::phrase::coming::came;
use crate::phrase::program::command_line as says;
use crate::phrase::program::values;
use crate::print::{Format, Sheet};
use crate::screen::{Signs, ThemeName};
use crate::tooth::Notation;
use crate::worklist::Order;

pub use flows::FlowCommand;
pub use life::{
    AttachArgs, DemoArgs, DetachArgs, DueArgs, FilesArgs, FollowUpArgs, HandArgs, HistoryArgs,
    OutcomeArgs, RatesArgs,
};
pub use practise::{PractiseArgs, SheetFormat};
pub use trial::{ReplayArgs, RulesArgs};

/// The command line as it was typed.
#[derive(Parser, Debug)]
#[command(
    name = "casepan",
    version,
    about = says::ABOUT,
    after_help = help::closing()
)]
pub struct Cli {
    /// Path of the archive.
    #[arg(help = says::ARCHIVE, long, global = true, env = "CASEPAN_ARCHIVE", value_name = "PATH")]
    pub archive: Option<PathBuf>,
    /// Directory of the flow, or `None` for the built-in one.
    #[arg(help = says::FLOW, long, global = true, env = "CASEPAN_FLOW", value_name = "DIR")]
    pub flow: Option<PathBuf>,
    /// Notation of teeth.
    #[arg(help = says::NOTATION, long, global = true, env = "CASEPAN_NOTATION", value_enum)]
    pub notation: Option<Notation>,
    /// Code of the person at the bench.
    #[arg(help = says::WHO, long, global = true, env = "CASEPAN_WHO", value_name = "CODE")]
    pub who: Option<String>,
    /// When to use colour.
    #[arg(help = says::COLOR, long, global = true, value_enum, default_value_t = Colour::Auto)]
    pub color: Colour,
    /// Directory of the settings files.
    #[arg(help = says::SETTINGS, long, global = true, env = "CASEPAN_SETTINGS", value_name = "DIR")]
    pub settings: Option<PathBuf>,
    /// Theme of the screen.
    #[arg(help = says::THEME, long, global = true, env = "CASEPAN_THEME", value_enum)]
    pub theme: Option<ThemeName>,
    /// What pictures and special signs are made of.
    #[arg(help = says::SIGNS, long, global = true, env = "CASEPAN_SIGNS", value_enum)]
    pub signs: Option<Signs>,
    /// Whether rules may be edited.
    #[arg(help = says::SUPERVISOR, long, global = true)]
    pub supervisor: bool,
    /// The command, or `None` for the worklist.
    #[command(subcommand)]
    pub command: Option<CliCommand>,
}

/// A command.
#[derive(Subcommand, Debug)]
pub enum CliCommand {
    /// Inspects a sample case in a temporary archive.
    #[command(about = says::DEMO, after_help = help::examples(&[
        "casepan demo --case crown-26",
        "casepan demo --archive-of 400",
        "casepan demo --archive-of 400 --seed 7 --to invented.casepan",
    ]))]
    Demo(DemoArgs),
    /// Lists the cases of the worklist.
    #[command(about = says::LIST, after_help = help::examples(&[
        "casepan list",
        "casepan list 46 zirconia --sort last",
        "casepan list --as json",
    ]))]
    List {
        /// Words that each case listed must have.
        #[arg(help = says::LIST_WORDS, value_name = "WORDS")]
        words: Vec<String>,
        /// Order of the cases.
        #[arg(help = says::LIST_SORT, long, value_enum, default_value_t = Order::Turn)]
        sort: Order,
        /// Output format.
        #[arg(help = says::FORMAT, long = "as", value_enum, default_value_t = DataFormat::Text)]
        format: DataFormat,
    },
    /// Resumes a case on the screen.
    #[command(about = says::OPEN, after_help = help::examples(&["casepan open 24-0381"]))]
    Open {
        /// Case number.
        #[arg(help = says::CASE)]
        case: String,
    },
    /// Inspects a case line by line.
    #[command(
        about = says::ASK,
        long_about = says::ASK_IN_FULL,
        after_help = help::examples(&[
            "casepan ask 24-0381",
            "casepan ask 24-0382 --units \"44 x45 46\" --sure < answers.txt",
        ])
    )]
    Ask {
        /// Case number, or `None` for the worklist.
        #[arg(help = says::ASK_CASE)]
        case: Option<String>,
        /// Units of the case to create.
        #[arg(help = says::UNITS, long, value_name = "UNITS", requires = "case")]
        units: Option<String>,
        /// Whether number and units are accepted without asking back.
        #[arg(help = says::SURE, long, requires = "units")]
        sure: bool,
        /// Whether to continue after a refused line.
        #[arg(help = says::GO_ON, long)]
        go_on: bool,
    },
    /// Records that something agreed on the call has arrived.
    #[command(about = says::ARRIVED, after_help = help::examples(&[
        "casepan arrived 24-0381 impression",
        "casepan arrived 24-0381 bite --on 2026-12-04 --teeth 46",
    ]))]
    Arrived {
        /// Case number.
        #[arg(help = says::CASE)]
        case: String,
        /// What has arrived.
        #[arg(help = says::ARRIVED_WHAT, value_enum)]
        what: Part,
        /// Day it arrived, or `None` for today.
        #[arg(help = says::ARRIVED_ON, long, value_name = "DAY", value_parser = day)]
        on: Option<Date>,
        /// Teeth of the restorations it is for, or `None` for every one that is waiting for it.
        #[arg(help = says::ARRIVED_TEETH, long, value_name = "TEETH")]
        teeth: Option<String>,
    },
    /// Records what became of a case.
    #[command(about = says::BECAME, after_help = help::examples(&[
        "casepan became 24-0381 delivered",
        "casepan became 24-0381 returned --teeth \"35 36 37\" --goes-on 24-0381-2",
    ]))]
    Became {
        /// Case number.
        #[arg(help = says::CASE)]
        case: String,
        /// What became of it.
        #[arg(help = says::BECAME_WHAT, value_enum)]
        what: Happened,
        /// Day, or `None` for today.
        #[arg(help = says::ON, long, value_name = "DAY", value_parser = day)]
        on: Option<Date>,
        /// Teeth of the restorations, or `None` for all.
        #[arg(help = says::TEETH, long, value_name = "TEETH")]
        teeth: Option<String>,
        /// Number of the case that continues it.
        #[arg(help = says::GOES_ON, long, value_name = "CASE")]
        goes_on: Option<String>,
    },
    /// Writes down what became of a delivered restoration.
    #[command(about = says::life::OUTCOME, after_help = help::examples(&[
        "casepan outcome 24-0381",
        "casepan outcome 24-0381 --what came-off --at 46 --seen reading-off",
        "casepan outcome 24-0381 --what quiet --on 2026-11-20 --known dentist",
        "casepan outcome 24-0381 --take-back 1",
    ]))]
    Outcome(OutcomeArgs),
    /// Lists what a dentist is to be asked after.
    #[command(about = says::life::FOLLOW_UP, after_help = help::examples(&[
        "casepan follow-up P-04",
        "casepan follow-up P-04 --as html > p-04.html",
    ]))]
    FollowUp(FollowUpArgs),
    /// Says how much came back.
    #[command(about = says::life::RATES, after_help = help::examples(&[
        "casepan rates",
        "casepan rates --of came-off --by grip",
        "casepan rates --of open-margin --by tray --within 3 --from 2026-01-01",
        "casepan rates --of came-off --by grip,answer",
        "casepan rates --of shade --by dentist --as html > shade.html",
    ]))]
    Rates(RatesArgs),
    /// Puts the rules to the test of the record.
    #[command(about = says::trial::RULES, after_help = help::examples(&[
        "casepan rules",
        "casepan rules stump-short",
        "casepan rules grip --of came-off --within 24 --as json",
    ]))]
    Rules(RulesArgs),
    /// Practises the checks.
    #[command(about = says::practise::PRACTISE, long_about = says::practise::PRACTISE_IN_FULL, after_help = help::examples(&[
        "casepan --who t2 practise",
        "casepan --who t2 practise --count 5 --seed 7",
        "casepan practise --sheet --count 20 --seed 7 --as html > drills.html",
        "casepan --who t2 practise --record",
        "casepan --who t2 practise M-03 --walk",
        "casepan --who t2 practise M-03",
        "casepan --who s1 --supervisor practise M-03 --key 24-0381",
        "casepan --supervisor practise --record --of t2",
    ]))]
    Practise(PractiseArgs),
    /// Enters the days of a case.
    #[command(about = says::life::DUE, after_help = help::examples(&[
        "casepan due 24-0381 --due 2026-12-04 --promised 2026-12-08",
        "casepan due 24-0381 --promised none",
    ]))]
    Due(DueArgs),
    /// Hands a case over.
    #[command(about = says::life::HAND, after_help = help::examples(&[
        "casepan hand 24-0381 b2",
        "casepan --who b1 hand 24-0381 b2 \"please check the bite of 46\"",
    ]))]
    Hand(HandArgs),
    /// Shows what was entered before.
    #[command(about = says::life::HISTORY, after_help = help::examples(&[
        "casepan history 24-0381",
        "casepan history 24-0381 tooth.height --at 46 --as json",
    ]))]
    History(HistoryArgs),
    /// Names photographs and files of a case.
    #[command(about = says::life::ATTACH, after_help = help::examples(&["casepan attach 24-0381 photos/46-buccal.jpg"]))]
    Attach(AttachArgs),
    /// Takes photographs and files off a case.
    #[command(about = says::life::DETACH, after_help = help::examples(&["casepan detach 24-0381 46-buccal.jpg"]))]
    Detach(DetachArgs),
    /// Lists photographs and files of a case.
    #[command(about = says::life::FILES, after_help = help::examples(&["casepan files 24-0381", "casepan files 24-0381 --as json"]))]
    Files(FilesArgs),
    /// Judges a case file and prints the result.
    #[command(about = says::JUDGE, after_help = help::examples(&[
        "casepan judge demo/bridge-44-46.ron --as json",
        "casepan judge demo/bridge-44-46.ron --sheet ticket --sheet seating",
    ]))]
    Judge {
        /// Case file.
        #[arg(help = says::CASE_FILE)]
        file: PathBuf,
        /// Sheets to print.
        #[arg(help = says::SHEETS, long = "sheet", value_enum, value_name = "SHEET", default_values_t = [Sheet::Summary, Sheet::Call])]
        sheets: Vec<Sheet>,
        /// Output format.
        #[arg(help = says::FORMAT, long = "as", value_enum, default_value_t = Format::Text)]
        format: Format,
    },
    /// Prints sheets of a case.
    #[command(about = says::PRINT, after_help = help::examples(&[
        "casepan print 24-0381 --sheet call",
        "casepan print 24-0381 --sheet ticket --as html > ticket.html",
    ]))]
    Print {
        /// Case number.
        #[arg(help = says::CASE)]
        case: String,
        /// Sheets to print.
        #[arg(
            help = says::SHEETS,
            long = "sheet",
            value_enum,
            value_name = "SHEET",
            default_value = "summary"
        )]
        sheets: Vec<Sheet>,
        /// Output format.
        #[arg(help = says::FORMAT, long = "as", value_enum, default_value_t = Format::Text)]
        format: Format,
    },
    /// Checks, starts or lists a flow.
    #[command(about = says::FLOW_COMMAND, after_help = help::examples(&["casepan flow check our-flow", "casepan flow facts"]))]
    Flow {
        /// The command below this one.
        #[command(subcommand)]
        command: FlowCommand,
    },
    /// Manages standing instructions.
    #[command(about = says::INSTRUCTION, alias = "agreement", after_help = help::examples(&["casepan instruction list"]))]
    Instruction {
        /// The command below this one.
        #[command(subcommand)]
        command: InstructionCommand,
    },
    /// Manages the archive.
    #[command(about = says::ARCHIVE_COMMAND, after_help = help::examples(&["casepan archive check", "casepan archive backup lab-2026.casepan"]))]
    Archive {
        /// The command below this one.
        #[command(subcommand)]
        command: ArchiveCommand,
    },
    /// Shows, writes or checks the settings.
    #[command(
        about = says::SETTINGS_COMMAND,
        args_conflicts_with_subcommands = true,
        after_help = help::examples(&["casepan settings", "casepan settings --as json", "casepan settings new"])
    )]
    Settings {
        /// Output format.
        #[arg(help = says::FORMAT, long = "as", value_enum, default_value_t = DataFormat::Text)]
        format: DataFormat,
        /// The command below this one, or `None` to show the settings.
        #[command(subcommand)]
        command: Option<SettingsCommand>,
    },
    /// Prints JSON Schemas.
    #[command(about = says::SCHEMA, after_help = help::examples(&["casepan schema judge > judge.schema.json", "casepan schema"]))]
    Schema {
        /// The command whose object is described, or `None` for all.
        #[arg(help = says::SCHEMA_COMMAND, value_enum)]
        command: Option<ObjectName>,
    },
    /// Explains the terms of the trade.
    #[command(about = says::WORDS, after_help = help::examples(&["casepan words", "casepan words \"finish line\""]))]
    Words {
        /// A term, or another word for one.
        #[arg(help = says::WORDS_TERM)]
        term: Option<String>,
    },
    /// Writes manual pages.
    #[command(about = says::MANUAL, after_help = help::examples(&["casepan manual man1"]))]
    Manual {
        /// Directory of the pages.
        #[arg(help = says::MANUAL_DIRECTORY)]
        directory: PathBuf,
    },
    /// Prints the completion script of a shell.
    #[command(about = says::COMPLETIONS, after_help = help::examples(&["casepan completions bash > casepan.bash"]))]
    Completions {
        /// The shell.
        #[arg(help = says::SHELL, value_enum)]
        shell: clap_complete::Shell,
    },
}

/// A command for standing instructions.
#[derive(Subcommand, Debug)]
pub enum InstructionCommand {
    /// Lists standing instructions.
    #[command(about = says::INSTRUCTION_LIST, after_help = help::examples(&["casepan instruction list", "casepan instruction list --as json"]))]
    List {
        /// Output format.
        #[arg(help = says::FORMAT, long = "as", value_enum, default_value_t = DataFormat::Text)]
        format: DataFormat,
    },
    /// Saves a standing instruction.
    #[command(about = says::INSTRUCTION_ADD, after_help = help::examples(&[
        "casepan instruction add K17 clearance --words \"as thin as it has to be\"",
        "casepan instruction add K17 clearance --from 2026-12-01 --until 2027-11-30",
    ]))]
    Add {
        /// Code of the dentist.
        #[arg(help = says::INSTRUCTION_DENTIST)]
        dentist: String,
        /// Id of the rule.
        #[arg(help = says::INSTRUCTION_RULE)]
        rule: String,
        /// What was agreed.
        #[arg(help = says::INSTRUCTION_WORDS, long, default_value = "")]
        words: String,
        /// First day it applies, or `None` for today.
        #[arg(help = says::INSTRUCTION_FROM, long, value_name = "DAY", value_parser = day)]
        from: Option<Date>,
        /// Last day it applies, or `None` for no end.
        #[arg(help = says::INSTRUCTION_UNTIL, long, value_name = "DAY", value_parser = day)]
        until: Option<Date>,
    },
    /// Ends a standing instruction as of today.
    #[command(about = says::INSTRUCTION_END, after_help = help::examples(&["casepan instruction end 1"]))]
    End {
        /// Number in the list, from 1.
        #[arg(help = says::INSTRUCTION_NUMBER)]
        number: usize,
    },
}

/// A command for the archive.
#[derive(Subcommand, Debug)]
pub enum ArchiveCommand {
    /// Checks the archive for damage.
    #[command(about = says::ARCHIVE_CHECK, after_help = help::examples(&["casepan archive check", "casepan archive check --as json", "casepan archive check --accept"]))]
    Check {
        /// Whether an archive that this computer saw later entries of is taken as it is.
        #[arg(help = says::ARCHIVE_CHECK_ACCEPT, long)]
        accept: bool,
        /// Output format.
        #[arg(help = says::FORMAT, long = "as", value_enum, default_value_t = DataFormat::Text)]
        format: DataFormat,
    },
    /// Copies the archive to a new file.
    #[command(about = says::ARCHIVE_BACKUP, after_help = help::examples(&["casepan archive backup lab-2026.casepan"]))]
    Backup {
        /// Path of the copy.
        #[arg(help = says::ARCHIVE_BACKUP_TO)]
        to: PathBuf,
    },
    /// Puts a backup in the archive's place.
    #[command(about = says::ARCHIVE_RESTORE, after_help = help::examples(&["casepan archive restore lab-2026.casepan"]))]
    Restore {
        /// Path of the backup.
        #[arg(help = says::ARCHIVE_RESTORE_FROM)]
        from: PathBuf,
    },
    /// Prints a case as a case file.
    #[command(about = says::ARCHIVE_EXPORT, after_help = help::examples(&["casepan archive export 24-0381 > 24-0381.ron", "casepan archive export --to archive-2026 --free-text"]))]
    Export {
        /// Case number, or `None` for the whole archive.
        #[arg(help = says::ARCHIVE_EXPORT_CASE, conflicts_with = "to")]
        case: Option<String>,
        /// Folder for the whole archive.
        #[arg(help = says::ARCHIVE_EXPORT_TO, long, value_name = "FOLDER")]
        to: Option<PathBuf>,
        /// Whether free text is included.
        #[arg(help = says::FREE_TEXT, long)]
        free_text: bool,
    },
    /// Imports a case file as a new case.
    #[command(about = says::ARCHIVE_IMPORT, after_help = help::examples(&["casepan archive import demo/crown-26.ron", "casepan archive import archive-2026"]))]
    Import {
        /// Case file, journal file, or folder of a whole archive.
        #[arg(help = says::ARCHIVE_IMPORT_FILE)]
        file: PathBuf,
    },
}

/// A command for settings.
#[derive(Subcommand, Debug)]
pub enum SettingsCommand {
    /// Writes the settings files, with every line commented out.
    #[command(about = says::SETTINGS_NEW, after_help = help::examples(&["casepan settings new", "casepan --settings our-settings settings new"]))]
    New,
    /// Checks the settings files.
    #[command(about = says::SETTINGS_CHECK, after_help = help::examples(&["casepan settings check"]))]
    Check,
}

/// Reads a day, year-month-day.
///
/// # Errors
/// A sentence, if the text is not a day.
fn day(text: &str) -> Result<Date, String> {
    text.parse().map_err(|_| says::not_a_day(text))
}

/// When to use colour.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub enum Colour {
    /// In a terminal, unless `NO_COLOR` is set or `TERM` is dumb.
    #[value(help = values::COLOUR_AUTO)]
    Auto,
    /// Always, even if `NO_COLOR` is set.
    #[value(help = values::COLOUR_ALWAYS)]
    Always,
    /// Never.
    #[value(help = values::COLOUR_NEVER)]
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

/// A format of lists and checks.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub enum DataFormat {
    /// Lines of text.
    #[value(help = values::FORMAT_LINES)]
    Text,
    /// One JSON object.
    #[value(help = values::FORMAT_JSON)]
    Json,
}

/// A command that writes an object.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub enum ObjectName {
    /// The object of `casepan judge`.
    #[value(help = values::OBJECT_JUDGE)]
    Judge,
    /// The object of `casepan print`.
    #[value(help = values::OBJECT_PRINT)]
    Print,
    /// The object of `casepan list`.
    #[value(help = values::OBJECT_LIST)]
    List,
    /// The object of `casepan history`.
    #[value(help = values::OBJECT_HISTORY)]
    History,
    /// The object of `casepan outcome`.
    #[value(help = values::OBJECT_OUTCOME)]
    Outcome,
    /// The object of `casepan rules`.
    #[value(help = values::OBJECT_RULES)]
    Rules,
    /// The object of `casepan follow-up`.
    #[value(help = values::OBJECT_FOLLOW_UP)]
    FollowUp,
    /// The object of `casepan rates`.
    #[value(help = values::OBJECT_RATES)]
    Rates,
    /// The object of `casepan files`.
    #[value(help = values::OBJECT_FILES)]
    Files,
    /// The object of `casepan flow check`.
    #[value(help = values::OBJECT_FLOW_CHECK)]
    FlowCheck,
    /// The object of `casepan flow diff`.
    #[value(help = values::OBJECT_FLOW_DIFF)]
    FlowDiff,
    /// The object of `casepan flow test`.
    #[value(help = values::OBJECT_FLOW_TEST)]
    FlowTest,
    /// The object of `casepan flow replay`.
    #[value(help = values::OBJECT_FLOW_REPLAY)]
    FlowReplay,
    /// The object of `casepan flow facts`.
    #[value(help = values::OBJECT_FLOW_FACTS)]
    FlowFacts,
    /// The object of `casepan flow sources`.
    #[value(help = values::OBJECT_FLOW_SOURCES)]
    FlowSources,
    /// The object of `casepan instruction list`.
    #[value(help = values::OBJECT_INSTRUCTION_LIST, alias = "agreement-list")]
    InstructionList,
    /// The object of `casepan archive check`.
    #[value(help = values::OBJECT_ARCHIVE_CHECK)]
    ArchiveCheck,
    /// The object of `casepan settings`.
    #[value(help = values::OBJECT_SETTINGS)]
    Settings,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sheets_have_the_names_that_file_names_have() {
        for sheet in Sheet::ALL {
            let value = sheet.to_possible_value().expect("a value");
            assert_eq!(value.get_name(), sheet.name());
        }
        assert_eq!(Sheet::value_variants().len(), Sheet::ALL.len());
    }

    #[test]
    fn notations_have_the_names_that_json_has() {
        for notation in Notation::value_variants() {
            let value = notation.to_possible_value().expect("a value");
            let json = serde_json::to_string(notation).expect("a text");
            assert_eq!(json, format!("{:?}", value.get_name()));
        }
        assert_eq!(Notation::value_variants(), Notation::all());
    }
}
