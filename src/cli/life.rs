//! The life of a case on the command line: its days, who has it, what was entered, its files.

use std::path::PathBuf;

use clap::Args;
use jiff::civil::Date;

use super::DataFormat;
use crate::phrase::program::command_line as says;

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
