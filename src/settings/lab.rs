//! `lab.ron`: whose sheets are printed, and into which folder.

use std::path::PathBuf;

use serde::Deserialize;

use super::short;
use crate::print::Laboratory;
use crate::ronfile::{Diagnostic, Source, Spanned, parse};
use crate::text::clean;

/// The longest line of the name or the address: one line of a letter.
const LONGEST: usize = 60;
/// The most lines of an address.
const MOST_LINES: usize = 5;

/// What the file says; everything is optional.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Lab {
    /// Name and address as they stand on sheets.
    pub laboratory: Laboratory,
    /// The folder that printed files go to, from the root; `None` for the present directory.
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
/// Everything that is wrong with it, in the order of its fields.
pub(super) fn read(source: &Source) -> Result<Lab, Vec<Diagnostic>> {
    let shape: LabShape = parse(source).map_err(|problem| vec![problem])?;
    let mut problems = Vec::new();
    let mut lab = Lab::default();
    if let Some(name) = &shape.name {
        lab.laboratory.name = Some(line(source, name, &mut problems));
    }
    if let Some(address) = &shape.address {
        if address.value.len() > MOST_LINES {
            let what = format!("{} lines of address", address.value.len());
            let span = address.span(source);
            let problem = Diagnostic::error("lab-lines", source, span, what, "too many");
            problems.push(problem.help(format!("a letter has room for {MOST_LINES}")));
        }
        for text in &address.value {
            let said = line(source, text, &mut problems);
            lab.laboratory.address.push(said);
        }
    }
    if let Some(prints) = &shape.prints {
        let path = PathBuf::from(&prints.value);
        if !path.is_absolute() {
            let what = format!("\"{}\" does not begin at the root", short(&prints.value));
            let span = prints.span(source);
            problems.push(
                Diagnostic::error("lab-folder", source, span, what, "not a whole path")
                    .help("write the whole path; ~ and names of variables are not read"),
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

/// Returns a text that stands on a line of its own, without what could hide in it.
fn line(source: &Source, text: &Spanned<String>, problems: &mut Vec<Diagnostic>) -> String {
    let said = clean(&text.value).trim().to_owned();
    let long = said.chars().count();
    let fault = if said.is_empty() {
        Some((
            "lab-empty",
            "nothing stands here".to_owned(),
            "empty",
            "write it, or take it out: then the letter has a line to fill in".to_owned(),
        ))
    } else if long > LONGEST {
        Some((
            "lab-long",
            format!("{long} characters, at most {LONGEST} fit"),
            "too long",
            "break it over two lines of the address".to_owned(),
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

/// Writes the file to begin with: everything that can be said, commented out. The names are invented.
pub(super) fn template() -> String {
    "// Your laboratory on its sheets. Take the // away before what you fill in.\n\
     // After a change: casepan settings check\n\
     Lab(\n    \
         // Stands at the head of letters, and on every sheet.\n    \
         // name: \"Our laboratory\",\n    \
         // One text a line, five at the most.\n    \
         // address: [\"1 Example Street\", \"Example Town\"],\n    \
         // The folder that p on the end page writes to, as a whole path; the present directory where none is named.\n    \
         // prints: \"/home/user/prints\",\n\
     )\n"
        .to_owned()
}
