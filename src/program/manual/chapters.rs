//! The pages on subjects, beside those of the commands: Markdown with tables of the program's own.

use std::path::Path;

use clap_mangen::roff::{Roff, bold, roman};

use super::markdown;
use crate::error::Error;
use crate::phrase::CAUTION;
use crate::phrase::program::command_line::manual as says;

macro_rules! chapters {
    ($($name:literal $section:literal)+) => {
        /// Name, section and Markdown of each page, in the order in which they are listed.
        const CHAPTERS: &[(&str, &str, &str)] = &[
            $((concat!("casepan-", $name), $section, include_str!(concat!("../../phrase/program/manual/", $name, ".md")))),+
        ];
    };
}

chapters! {
    "inspection" "7"
    "keys" "7"
    "ask" "7"
    "prints" "7"
    "commands" "7"
    "archive" "7"
    "figures" "7"
    "practice" "7"
    "words" "7"
    "case" "5"
    "flow" "5"
    "json" "5"
    "settings" "5"
}

/// Writes every page into a directory; returns how many there are.
///
/// # Errors
/// A page cannot be written.
pub(super) fn write(directory: &Path) -> Result<usize, Error> {
    for (name, section, text) in CHAPTERS {
        let page = rendered(name, section, text)?;
        super::page_file(&directory.join(format!("{name}.{section}")), &page)?;
    }
    Ok(CHAPTERS.len())
}

fn rendered(name: &str, section: &str, text: &str) -> Result<String, Error> {
    let mut roff = Roff::new();
    let version = concat!("casepan ", env!("CARGO_PKG_VERSION"));
    roff.control("TH", [name, section, "\"\"", version]);
    roff.control("SH", [says::NAME]);
    let what = markdown::title(text)
        .split_once(": ")
        .map_or("", |(_, what)| what);
    roff.text([roman(format!("{name} - {what}"))]);
    markdown::put(text, &mut roff)?;
    see_also(&mut roff, name);
    caution(&mut roff);
    // Signs that formatters make prettier and so unfit to be typed.
    Ok(roff
        .render()
        .replace('~', "\\(ti")
        .replace('^', "\\(ha")
        .replace('`', "\\(ga"))
}

/// Appends the list of the other pages to a page.
pub(super) fn see_also(roff: &mut Roff, own: &str) {
    roff.control("SH", [says::SEE_ALSO]);
    let mut line = Vec::new();
    let program = ("casepan", "1");
    let others = CHAPTERS.iter().map(|(name, section, _)| (*name, *section));
    for (name, section) in std::iter::once(program).chain(others) {
        if name != own {
            let comma = if line.is_empty() { "" } else { ", " };
            line.push(roman(comma));
            line.push(bold(name));
            line.push(roman(format!("({section})")));
        }
    }
    roff.text(line);
}

/// Appends the caution to a page.
pub(super) fn caution(roff: &mut Roff) {
    roff.control("SH", [says::CAUTION]);
    roff.text([roman(CAUTION)]);
}
