//! The glossary, as lines.

use std::collections::BTreeSet;
use std::io::Write;

use crate::error::{Error, Trouble};
use crate::flow::Flow;
use crate::phrase::glossary::{self as say, TERMS, Term, called};
use crate::phrase::lines::to_width;
use crate::ronfile::nearest;

/// The widest line.
const WIDTH: usize = 78;

/// Writes the terms called so, or every term: what each means, what else it is called, and where it is used.
///
/// # Errors
/// No term is called so, or the output cannot be written.
pub(super) fn tell(flow: &Flow, words: Option<&str>, out: &mut dyn Write) -> Result<(), Error> {
    let words = words.unwrap_or_default();
    let found = called(words);
    if found.is_empty() {
        let names = TERMS
            .iter()
            .flat_map(|term| std::iter::once(term.name).chain(term.also.iter().copied()));
        let error = Error::new(Trouble::NoInput, say::no_term(words));
        return Err(error.hint(say::try_another(nearest(words, names))));
    }
    for (index, term) in found.into_iter().enumerate() {
        if index > 0 {
            writeln!(out)?;
        }
        one(flow, term, out)?;
    }
    out.flush()?;
    Ok(())
}

fn one(flow: &Flow, term: &Term, out: &mut dyn Write) -> Result<(), Error> {
    writeln!(out, "{}", term.name)?;
    let mut lines = vec![term.is.to_owned()];
    if !term.also.is_empty() {
        lines.push(say::also(term.also));
    }
    let uses = term.used_in(flow);
    let labels: BTreeSet<&str> = uses
        .questions
        .iter()
        .filter_map(|fact| flow.spec(fact))
        .map(|spec| spec.label.as_ref())
        .collect();
    if !labels.is_empty() {
        let labels: Vec<&str> = labels.into_iter().collect();
        lines.push(say::asked_as(&labels));
    }
    if !uses.rules.is_empty() {
        lines.push(say::findings(&uses.rules));
    }
    let wrap = to_width(WIDTH)
        .initial_indent("  ")
        .subsequent_indent("    ");
    for line in lines {
        for part in textwrap::wrap(&line, &wrap) {
            writeln!(out, "{part}")?;
        }
    }
    Ok(())
}
