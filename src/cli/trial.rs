//! Arguments of the commands that hold rules and flows against the record.

use std::path::PathBuf;

use clap::Args;

use super::DataFormat;
use crate::case::outcome::Kind;
use crate::phrase::program::command_line as says;

/// Arguments of `casepan rules`.
#[derive(Args, Debug)]
pub struct RulesArgs {
    /// The rule, or `None` for all that are on trial.
    #[arg(help = says::trial::RULES_RULE)]
    pub rule: Option<String>,
    /// The kinds that count.
    #[arg(help = says::trial::RULES_OF, long, value_enum, value_name = "KIND", value_delimiter = ',')]
    pub of: Vec<Kind>,
    /// How many months a restoration is followed.
    #[arg(help = says::life::RATES_WITHIN, long, value_name = "MONTHS", default_value_t = 12, value_parser = clap::value_parser!(u8).range(1..=120))]
    pub within: u8,
    /// Output format.
    #[arg(help = says::FORMAT, long = "as", value_enum, default_value_t = DataFormat::Text)]
    pub format: DataFormat,
}

/// Arguments of `casepan flow replay`.
#[derive(Args, Debug)]
pub struct ReplayArgs {
    /// Directory of the other flow, or `None` for the active one.
    #[arg(help = says::trial::REPLAY_FLOW)]
    pub directory: Option<PathBuf>,
    /// A limit, and from where to where by what it is moved.
    #[arg(help = says::trial::SWEEP, long, num_args = 4, value_names = says::trial::SWEEP_VALUES)]
    pub sweep: Vec<String>,
    /// The kinds that count.
    #[arg(help = says::trial::REPLAY_OF, long, value_enum, value_name = "KIND", value_delimiter = ',')]
    pub of: Vec<Kind>,
    /// How many months a restoration is followed.
    #[arg(help = says::life::RATES_WITHIN, long, value_name = "MONTHS", default_value_t = 12, value_parser = clap::value_parser!(u8).range(1..=120))]
    pub within: u8,
    /// Output format.
    #[arg(help = says::FORMAT, long = "as", value_enum, default_value_t = DataFormat::Text)]
    pub format: DataFormat,
}
