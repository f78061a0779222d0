//! `lab.ron`: the laboratory as it stands on its sheets, and the folder of its prints.

use std::path::PathBuf;

use serde::Deserialize;

use super::short;
use crate::phrase::program::settings_files::{self as says, label};
use crate::print::Laboratory;
use crate::ronfile::{Diagnostic, Source, Spanned, parse};
use crate::text::clean;

/// The most characters of a line of the name or the address: one line of a letter.
const LONGEST: usize = 60;
/// The most lines of an address.
const MOST_LINES: usize = 5;

/// What the file says; everything is optional.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Lab {
    /// Name and address as they stand on sheets.
    pub laboratory: Laboratory,
    /// The folder that printed files go to, as an absolute path, or `None` for the current directory.
    pub prints: Option<PathBuf>,
}

#[derive(Deserialize)]
#[serde(rename = "Lab", deny_unknown_fields)]
struct LabShape {
    name: Option<Spanned<String>>,
    address: Option<Spanned<Vec<Spanned<String>>>>,
    prints: Option<Spanned<String>>,
}

/// Reads the file.
///
/// # Errors
/// Returns every problem of the file, in the order of its fields.
pub(super) fn read(source: &Source) -> Result<Lab, Vec<Diagnostic>> {
    let shape: LabShape = parse(source).map_err(|problem| vec![problem])?;
    let mut problems = Vec::new();
    let mut lab = Lab::default();
    if let Some(name) = &shape.name {
        lab.laboratory.name = Some(line(source, name, &mut problems));
    }
    if let Some(address) = &shape.address {
        if address.value.len() > MOST_LINES {
            let what = says::address_lines(address.value.len());
            let span = address.span(source);
            let problem = Diagnostic::error("lab-lines", source, span, what, label::TOO_MANY);
            problems.push(problem.help(says::address_lines_hint(MOST_LINES)));
        }
        for text in &address.value {
            let said = line(source, text, &mut problems);
            lab.laboratory.address.push(said);
        }
    }
    if let Some(prints) = &shape.prints {
        let path = PathBuf::from(&prints.value);
        if !path.is_absolute() {
            let what = says::not_absolute(&short(&prints.value));
            let span = prints.span(source);
            problems.push(
                Diagnostic::error("lab-folder", source, span, what, label::NOT_ABSOLUTE)
                    .help(says::NOT_ABSOLUTE_HINT),
            );
        }
        lab.prints = Some(path);
    }
    if problems.is_empty() {
        Ok(lab)
    } else {
        Err(problems)
    }
}

/// Returns a line without control and other hidden characters; adds a problem if it is empty or too long.
fn line(source: &Source, text: &Spanned<String>, problems: &mut Vec<Diagnostic>) -> String {
    let said = clean(&text.value).trim().to_owned();
    let long = said.chars().count();
    let fault = if said.is_empty() {
        Some((
            "lab-empty",
            says::EMPTY.to_owned(),
            label::EMPTY,
            says::EMPTY_HINT,
        ))
    } else if long > LONGEST {
        Some((
            "lab-long",
            says::long_line(long, LONGEST),
            label::TOO_LONG,
            says::LONG_LINE_HINT,
        ))
    } else {
        None
    };
    if let Some((code, what, why, help)) = fault {
        let problem = Diagnostic::error(code, source, text.span(source), what, why);
        problems.push(problem.help(help));
    }
    said
}

/// Returns a new file: every field, commented out. The names are invented.
pub(super) fn template() -> String {
    let [head, check] = says::LAB_HEAD;
    format!(
        "// {head}\n\
         // {check}\n\
         Lab(\n    \
             // {}\n    \
             // name: {:?},\n    \
             // {}\n    \
             // address: {:?},\n    \
             // {}\n    \
             // prints: \"/home/user/prints\",\n\
         )\n",
        says::LAB_NAME,
        says::LAB_NAME_EXAMPLE,
        says::LAB_ADDRESS,
        says::LAB_ADDRESS_EXAMPLE,
        says::LAB_PRINTS,
    )
}
