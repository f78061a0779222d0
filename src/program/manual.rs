//! Manual pages and completions, made from the command line's own types.

mod chapters;
mod markdown;
mod tables;

use std::io::Write;
use std::path::Path;

use clap::CommandFactory as _;
use clap_complete::Shell;
use clap_mangen::Man;
use clap_mangen::roff::{Roff, bold, roman};

use crate::cli::Cli;
use crate::error::{EXIT_CODES, Error, Trouble};
use crate::phrase::program::command_line::{exit_code, manual};
use crate::phrase::program::errors;
use crate::phrase::prompts::desk as prompts;
use crate::text::shown;

/// Writes a page for the program, one for each command and one for each subject.
///
/// # Errors
/// Returns an error if the directory or a page cannot be written.
pub(super) fn pages(directory: &Path, out: &mut dyn Write) -> Result<(), Error> {
    std::fs::create_dir_all(directory).map_err(|error| {
        let what = errors::cannot_be_created(directory, &error);
        Error::new(Trouble::CannotCreate, what).hint(errors::WRITABLE_DIRECTORY)
    })?;
    let mut command = Cli::command().disable_help_subcommand(true);
    command.build();
    let mut written = 0;
    page(&command, directory, &mut written)?;
    written += chapters::write(directory)?;
    writeln!(out, "{}", errors::pages_written(written, directory))?;
    out.flush()?;
    Ok(())
}

/// Writes a page that whoever may read the directory can read: it holds nothing of a case.
fn page_file(path: &Path, text: &str) -> Result<(), Error> {
    std::fs::write(path, text).map_err(|error| {
        let what = prompts::file_not_written(&shown(path), &error);
        Error::new(Trouble::CannotCreate, what).hint(errors::WRITABLE_DIRECTORY)
    })
}

fn page(command: &clap::Command, directory: &Path, written: &mut usize) -> Result<(), Error> {
    let man = Man::new(command.clone());
    let path = directory.join(man.get_filename());
    let text = rendered(&man, command).map_err(Error::from)?;
    page_file(&path, &text)?;
    *written += 1;
    for sub in command.get_subcommands() {
        page(sub, directory, written)?;
    }
    Ok(())
}

/// Returns a page. What stands below the options has sections of its own, line by line.
fn rendered(man: &Man, command: &clap::Command) -> Result<String, std::io::Error> {
    let mut page = Vec::new();
    man.render_title(&mut page)?;
    man.render_name_section(&mut page)?;
    man.render_synopsis_section(&mut page)?;
    man.render_description_section(&mut page)?;
    man.render_options_section(&mut page)?;
    if command.has_subcommands() {
        man.render_subcommands_section(&mut page)?;
    }
    let mut roff = Roff::new();
    let below = command.get_after_help().map(ToString::to_string);
    let below = below.unwrap_or_default();
    let examples = below.lines().filter(|line| line.starts_with("  casepan"));
    roff.control("SH", [manual::EXAMPLES]);
    roff.control("nf", []);
    for line in examples {
        roff.text([roman(line.trim_start())]);
    }
    roff.control("fi", []);
    roff.control("SH", [manual::EXIT_STATUS]);
    for (code, name, meaning) in EXIT_CODES {
        roff.control("TP", []);
        roff.text([bold(code.to_string())]);
        roff.text([roman(exit_code(name, meaning))]);
    }
    chapters::see_also(&mut roff, command.get_name());
    chapters::caution(&mut roff);
    roff.to_writer(&mut page)?;
    Ok(String::from_utf8_lossy(&page).into_owned())
}

/// Prints the completion script of a shell.
///
/// # Errors
/// Returns an error if the output cannot be written.
pub(super) fn completion(shell: Shell, out: &mut dyn Write) -> Result<(), Error> {
    // The generator panics if the reader of the output is gone, so it writes into memory.
    let mut text = Vec::new();
    clap_complete::generate(shell, &mut Cli::command(), "casepan", &mut text);
    out.write_all(&text)?;
    out.flush()?;
    Ok(())
}
