//! The `casepan` command: parse, call, print the error, exit code.

use std::io::Write as _;
use std::panic::catch_unwind;
use std::process::ExitCode;

use casepan::cli::Cli;
use casepan::error::{Error, Trouble};
use casepan::phrase::program::errors::{FAILED, FAILED_HINT};
use casepan::program::{carry_out, coloured_messages};
use clap::Parser as _;

fn main() -> ExitCode {
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        Err(error) => {
            // Help and version go to standard output and are not errors; if printing them fails, only the code can tell.
            let told = error.print();
            return match (error.use_stderr(), told) {
                (true, _) => ExitCode::from(64),
                (false, Ok(())) => ExitCode::SUCCESS,
                (false, Err(_)) => ExitCode::from(74),
            };
        }
    };
    let done = catch_unwind(|| carry_out(&cli, &mut std::io::stdout().lock()));
    let failed = |_| {
        // The panic hook has already said what failed and where.
        Err(Error::new(Trouble::Bug, FAILED).hint(FAILED_HINT))
    };
    match done.unwrap_or_else(failed) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            if error.trouble != Trouble::Pipe {
                let text = error.render(coloured_messages(&cli));
                // If the error stream is gone, the exit code is all there is.
                let _ = std::io::stderr().write_all(text.as_bytes());
            }
            ExitCode::from(error.exit_code())
        }
    }
}
