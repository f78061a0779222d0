//! Arguments of `casepan practise`.

use clap::{Args, ValueEnum};

use crate::phrase::program::command_line as says;
use crate::phrase::program::values;

/// Arguments of `casepan practise`.
#[derive(Args, Debug)]
pub struct PractiseArgs {
    /// The practice model, or `None` for drills.
    #[arg(help = says::practise::MODEL)]
    pub model: Option<String>,
    /// How many drills.
    #[arg(help = says::practise::COUNT, long, value_name = "N", default_value_t = 10, value_parser = clap::value_parser!(u16).range(1..=200))]
    pub count: u16,
    /// What new drills are drawn from, or `None` for the person's own course.
    #[arg(help = says::practise::SEED, long, value_name = "N")]
    pub seed: Option<u64>,
    /// The case that is a pass of the model's key.
    #[arg(help = says::practise::KEY, long, value_name = "CASE", requires = "model", conflicts_with_all = ["walk", "of"])]
    pub key: Option<String>,
    /// Whether a walk of the model is begun.
    #[arg(help = says::practise::WALK, long, requires = "model", conflicts_with = "of")]
    pub walk: bool,
    /// Whether drills are written as a sheet.
    #[arg(help = says::practise::SHEET, long, conflicts_with_all = ["model", "record", "hand"])]
    pub sheet: bool,
    /// Format of the sheet.
    #[arg(help = says::FORMAT, long = "as", value_enum, default_value_t = SheetFormat::Text, requires = "sheet")]
    pub format: SheetFormat,
    /// Whether the record is told, and nothing is asked.
    #[arg(help = says::practise::RECORD, long, conflicts_with_all = ["count", "seed", "model"])]
    pub record: bool,
    /// Whether the own hand is told.
    #[arg(help = says::practise::HAND, long, conflicts_with_all = ["count", "seed", "model", "record"])]
    pub hand: bool,
    /// Whether the supervisor has the own reading errors used.
    #[arg(help = says::practise::AGREE, long, requires = "hand")]
    pub agree: bool,
    /// Whose record, walk or hand, or `None` for the own one, or every record for a supervisor.
    #[arg(help = says::practise::OF, long, value_name = "CODE")]
    pub of: Option<String>,
}

/// A format of a sheet of drills.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub enum SheetFormat {
    /// Plain text.
    #[value(help = values::FORMAT_TEXT)]
    Text,
    /// Markdown.
    #[value(help = values::FORMAT_MARKDOWN)]
    Markdown,
    /// One HTML file, with pictures in its key.
    #[value(help = values::FORMAT_HTML)]
    Html,
}
