//! The life of a case on the command line: its days, who has it, what was entered, its files, what became of it.

use std::path::PathBuf;

use clap::builder::PossibleValue;
use clap::{Args, ValueEnum};
use jiff::civil::Date;

use super::DataFormat;
use crate::case::outcome::{Foreseen, Kind, Known};
use crate::learn::Group;
use crate::phrase::outcome as words;
use crate::phrase::program::command_line as says;
use crate::print::Format;

/// A day, or that there is none any more.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct DayOrNone(pub Option<Date>);

/// Reads a day, or the word that takes it back.
///
/// # Errors
/// A sentence, if the text is neither.
fn day_or_none(text: &str) -> Result<DayOrNone, String> {
    if text == says::life::NO_DAY {
        return Ok(DayOrNone(None));
    }
    super::day(text).map(|day| DayOrNone(Some(day)))
}

/// Arguments of `casepan due`.
#[derive(Args, Debug)]
pub struct DueArgs {
    /// Case number.
    #[arg(help = says::CASE)]
    pub case: String,
    /// The day by which the bench has to be done.
    #[arg(help = says::life::DUE_DAY, long, value_name = "DAY", value_parser = day_or_none)]
    pub due: Option<DayOrNone>,
    /// The day promised to the dentist.
    #[arg(help = says::life::PROMISED_DAY, long, value_name = "DAY", value_parser = day_or_none)]
    pub promised: Option<DayOrNone>,
}

/// Arguments of `casepan hand`.
#[derive(Args, Debug)]
pub struct HandArgs {
    /// Case number.
    #[arg(help = says::CASE)]
    pub case: String,
    /// Who gets it.
    #[arg(help = says::life::HAND_TO)]
    pub to: String,
    /// What is to be known or done.
    #[arg(help = says::life::HAND_NOTE, default_value = "", hide_default_value = true)]
    pub note: String,
}

/// Arguments of `casepan history`.
#[derive(Args, Debug)]
pub struct HistoryArgs {
    /// Case number.
    #[arg(help = says::CASE)]
    pub case: String,
    /// The fact, or `None` for the whole case.
    #[arg(help = says::life::HISTORY_FACT)]
    pub fact: Option<String>,
    /// Only at this place.
    #[arg(help = says::life::HISTORY_AT, long, value_name = "PLACE", requires = "fact")]
    pub at: Option<String>,
    /// Output format.
    #[arg(help = says::FORMAT, long = "as", value_enum, default_value_t = DataFormat::Text)]
    pub format: DataFormat,
}

/// Arguments of `casepan attach`.
#[derive(Args, Debug)]
pub struct AttachArgs {
    /// Case number.
    #[arg(help = says::CASE)]
    pub case: String,
    /// The files.
    #[arg(help = says::life::ATTACH_FILE, required = true)]
    pub file: Vec<PathBuf>,
}

/// Arguments of `casepan detach`.
#[derive(Args, Debug)]
pub struct DetachArgs {
    /// Case number.
    #[arg(help = says::CASE)]
    pub case: String,
    /// The files, by path or by name.
    #[arg(help = says::life::DETACH_FILE, required = true)]
    pub file: Vec<PathBuf>,
}

/// Arguments of `casepan files`.
#[derive(Args, Debug)]
pub struct FilesArgs {
    /// Case number.
    #[arg(help = says::CASE)]
    pub case: String,
    /// Output format.
    #[arg(help = says::FORMAT, long = "as", value_enum, default_value_t = DataFormat::Text)]
    pub format: DataFormat,
}

/// Arguments of `casepan outcome`.
#[derive(Args, Debug)]
pub struct OutcomeArgs {
    /// Case number.
    #[arg(help = says::CASE)]
    pub case: String,
    /// What became of it; without it, what is known is listed.
    #[arg(help = says::life::OUTCOME_WHAT, long, value_enum, value_name = "KIND")]
    pub what: Option<Kind>,
    /// Where.
    #[arg(help = says::life::OUTCOME_AT, long, value_name = "UNIT", requires = "what")]
    pub at: Option<String>,
    /// Day, or `None` for today.
    #[arg(help = says::ON, long, value_name = "DAY", value_parser = super::day, requires = "what")]
    pub on: Option<Date>,
    /// How it is known.
    #[arg(help = says::life::OUTCOME_KNOWN, long, value_enum, value_name = "HOW", requires = "what")]
    pub known: Option<Known>,
    /// Whether the bench could have seen it.
    #[arg(help = says::life::OUTCOME_SEEN, long, value_enum, value_name = "WHY", requires = "what")]
    pub seen: Option<Foreseen>,
    /// The case that goes on with it.
    #[arg(help = says::life::OUTCOME_GOES_ON, long, value_name = "CASE", requires = "what")]
    pub goes_on: Option<String>,
    /// The number of the outcome that is taken back.
    #[arg(help = says::life::OUTCOME_TAKE_BACK, long, value_name = "N", conflicts_with = "what")]
    pub take_back: Option<usize>,
    /// Output format.
    #[arg(help = says::FORMAT, long = "as", value_enum, default_value_t = DataFormat::Text)]
    pub format: DataFormat,
}

/// Arguments of `casepan demo`.
#[derive(Args, Debug)]
pub struct DemoArgs {
    /// Name of the sample case.
    #[arg(help = says::DEMO_CASE, long = "case", value_name = "NAME", default_value = "bridge-44-46")]
    pub name: String,
    /// How many cases of an invented laboratory, instead of a sample case.
    #[arg(help = says::DEMO_ARCHIVE, long, value_name = "CASES", conflicts_with = "name", value_parser = clap::value_parser!(u32).range(1..=100_000))]
    pub archive_of: Option<u32>,
    /// What the invented laboratory is drawn from.
    #[arg(help = says::DEMO_SEED, long, value_name = "NUMBER", requires = "archive_of", default_value_t = 1)]
    pub seed: u64,
    /// The archive to write, instead of the screen.
    #[arg(help = says::DEMO_TO, long, value_name = "FILE", requires = "archive_of")]
    pub to: Option<PathBuf>,
}

/// Arguments of `casepan follow-up`.
#[derive(Args, Debug)]
pub struct FollowUpArgs {
    /// The dentist's code.
    #[arg(help = says::life::FOLLOW_UP_DENTIST)]
    pub dentist: String,
    /// The day on which it is asked, or `None` for today.
    #[arg(help = says::life::FOLLOW_UP_ON, long, value_name = "DAY", value_parser = super::day)]
    pub on: Option<Date>,
    /// Output format.
    #[arg(help = says::FORMAT, long = "as", value_enum, default_value_t = Format::Text)]
    pub format: Format,
}

/// Arguments of `casepan rates`.
#[derive(Args, Debug)]
pub struct RatesArgs {
    /// The kinds that count.
    #[arg(help = says::life::RATES_OF, long, value_enum, value_name = "KIND", value_delimiter = ',')]
    pub of: Vec<Kind>,
    /// What restorations are told apart by.
    #[arg(help = says::life::RATES_BY, long, value_enum, value_name = "GROUP", value_delimiter = ',')]
    pub by: Vec<Group>,
    /// How many months a restoration is followed.
    #[arg(help = says::life::RATES_WITHIN, long, value_name = "MONTHS", default_value_t = 12, value_parser = clap::value_parser!(u8).range(1..=120))]
    pub within: u8,
    /// Delivered on this day or later.
    #[arg(help = says::life::RATES_FROM, long, value_name = "DAY", value_parser = super::day)]
    pub from: Option<Date>,
    /// Delivered on this day or before.
    #[arg(help = says::life::RATES_TO, long, value_name = "DAY", value_parser = super::day)]
    pub to: Option<Date>,
    /// Output format.
    #[arg(help = says::FORMAT, long = "as", value_enum, default_value_t = Format::Text)]
    pub format: Format,
}

/// Words that are picked by their name, each with what it is called.
macro_rules! named {
    ($($own:ident by $words:path;)+) => { $(
        impl ValueEnum for $own {
            fn value_variants<'a>() -> &'a [$own] {
                &$own::ALL
            }

            fn to_possible_value(&self) -> Option<PossibleValue> {
                Some(PossibleValue::new(self.as_str()).help($words(*self)))
            }
        }
    )+ };
}

named! {
    Kind by words::kind;
    Known by words::known;
    Foreseen by words::foreseen;
    Group by Group::words;
}
