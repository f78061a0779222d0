//! What the command line says outside the inspection: help, lines of output, errors, the files of settings.

pub mod archive;
pub mod arrival;
pub mod ask;
pub mod case_file;
pub mod command_line;
pub mod demo;
pub mod errors;
pub mod expected;
pub mod flows;
pub mod instructions;
pub mod life;
pub mod outcome;
pub mod settings;
pub mod settings_files;
pub mod sources;
pub mod terminal;
pub mod values;
pub mod worklist;

/// Counts things whose plural takes an s.
fn counted(count: usize, what: &str) -> String {
    let s = if count == 1 { "" } else { "s" };
    format!("{count} {what}{s}")
}
