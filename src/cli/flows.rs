//! The commands for flows.

use std::path::PathBuf;

use clap::Subcommand;

use super::trial::ReplayArgs;
use super::{DataFormat, help};
use crate::phrase::program::command_line as says;

/// A command for flows.
#[derive(Subcommand, Debug)]
pub enum FlowCommand {
    /// Checks a flow.
    #[command(about = says::FLOW_CHECK, after_help = help::examples(&["casepan flow check our-flow", "casepan flow check our-flow --as json"]))]
    Check {
        /// Directory of the flow, or `None` for the active one.
        #[arg(help = says::FLOW_CHECK_DIRECTORY)]
        directory: Option<PathBuf>,
        /// Output format.
        #[arg(help = says::FORMAT, long = "as", value_enum, default_value_t = DataFormat::Text)]
        format: DataFormat,
    },
    /// Compares two flows.
    #[command(about = says::trial::DIFF, after_help = help::examples(&["casepan flow diff our-flow", "casepan flow diff our-flow our-flow-2 --as json"]))]
    Diff {
        /// Directory of a flow.
        #[arg(help = says::trial::DIFF_BEFORE)]
        before: PathBuf,
        /// Directory of another one, or `None` to compare the first with the built-in flow.
        #[arg(help = says::trial::DIFF_NOW)]
        now: Option<PathBuf>,
        /// Output format.
        #[arg(help = says::FORMAT, long = "as", value_enum, default_value_t = DataFormat::Text)]
        format: DataFormat,
    },
    /// Judges whole cases and compares the results with what is expected.
    #[command(about = says::trial::TEST, after_help = help::examples(&["casepan --flow our-flow flow test our-cases"]))]
    Test {
        /// Directory of the cases.
        #[arg(help = says::trial::TEST_DIRECTORY)]
        directory: PathBuf,
        /// Output format.
        #[arg(help = says::FORMAT, long = "as", value_enum, default_value_t = DataFormat::Text)]
        format: DataFormat,
    },
    /// Judges the archive by another flow.
    #[command(about = says::trial::REPLAY, after_help = help::examples(&[
        "casepan flow replay our-flow",
        "casepan flow replay our-flow --of came-off --as json",
        "casepan flow replay --sweep stump-short:call:2.5 2 4 0.25",
    ]))]
    Replay(ReplayArgs),
    /// Moves a case to the flow of new cases.
    #[command(name = "move", about = says::trial::MOVE, after_help = help::examples(&["casepan flow move 24-0381", "casepan --flow our-flow flow move 24-0381 --yes"]))]
    Move {
        /// Case number.
        #[arg(help = says::CASE)]
        case: String,
        /// Whether it is moved; otherwise it is only said what that changes.
        #[arg(help = says::trial::MOVE_YES, long)]
        yes: bool,
    },
    /// Writes the built-in flow into a new directory.
    #[command(about = says::FLOW_NEW, after_help = help::examples(&["casepan flow new our-flow"]))]
    New {
        /// The new directory.
        #[arg(help = says::FLOW_NEW_DIRECTORY)]
        directory: PathBuf,
    },
    /// Lists the numbers of a flow with their sources.
    #[command(about = says::FLOW_SOURCES, after_help = help::examples(&["casepan flow sources", "casepan --flow our-flow flow sources --as json"]))]
    Sources {
        /// Output format.
        #[arg(help = says::FORMAT, long = "as", value_enum, default_value_t = DataFormat::Text)]
        format: DataFormat,
    },
    /// Lists the facts of a flow.
    #[command(about = says::FLOW_FACTS, after_help = help::examples(&["casepan flow facts", "casepan --flow our-flow flow facts --as json"]))]
    Facts {
        /// Output format.
        #[arg(help = says::FORMAT, long = "as", value_enum, default_value_t = DataFormat::Text)]
        format: DataFormat,
    },
}
