//! Reads a case file that somebody named, and checks it against the flow in force.

use std::fs::File;
use std::io::{self, Read as _};
use std::path::Path;

use crate::case::Case;
use crate::case::decision::ORDER;
use crate::case::file::{Places, read_with_places};
use crate::error::{Error, Trouble};
use crate::flow::{Flow, Part, Unfitting};
use crate::ronfile::{Diagnostic, MAX_BYTES, Source};

fn read_source(path: &Path) -> Result<Source, Error> {
    let name = path.display().to_string();
    let unread = |error: io::Error| {
        let trouble = match error.kind() {
            io::ErrorKind::NotFound | io::ErrorKind::PermissionDenied => Trouble::NoInput,
            _ => Trouble::Io,
        };
        Error::new(trouble, format!("{name} cannot be read: {error}"))
            .hint("name a case file that is there and that you may read")
    };
    if path.is_dir() {
        return Err(Error::new(
            Trouble::NoInput,
            format!("{name} is a directory, not a case file"),
        )
        .hint("name a .ron file, such as demo/bridge-44-46.ron"));
    }
    // A device or a pipe has no length before it is read; one byte too many is enough to know.
    let mut bytes = Vec::new();
    let file = File::open(path).map_err(unread)?;
    file.take(MAX_BYTES as u64 + 1)
        .read_to_end(&mut bytes)
        .map_err(unread)?;
    if bytes.len() > MAX_BYTES {
        return Err(
            Error::new(Trouble::Data, format!("{name} is longer than any case")).hint(format!(
                "a case file has at most {MAX_BYTES} bytes; is this the right file?"
            )),
        );
    }
    Source::from_bytes(name.clone(), bytes).map_err(|problem| {
        let mut error = Error::new(Trouble::Data, format!("{name} cannot be read as text"));
        error.problems.push((problem, None));
        error
    })
}

pub(super) fn read_case(path: &Path, flow: &Flow) -> Result<Case, Error> {
    let today = super::moment().today;
    let source = read_source(path)?;
    let refused = |problems: Vec<Diagnostic>| {
        let count = problems.len();
        let s = if count == 1 { "" } else { "s" };
        let mut error = Error::new(
            Trouble::Data,
            format!("{}: {count} problem{s}, nothing was judged", source.name()),
        );
        error.problems = problems
            .into_iter()
            .map(|problem| (problem, Some(source.clone())))
            .collect();
        error
    };
    let (mut case, places) = read_with_places(&source).map_err(refused)?;
    let problems = against(flow, &case, &places, &source);
    if problems.is_empty() {
        case.expect_what_is_looked_at(|fact| fact.as_str().starts_with(ORDER));
        case.await_what_options_need(|id| {
            let own = flow.options().find(|(_, own)| own.id == id)?;
            Some(own.1.comes.clone())
        });
        case.put_aside_what_nothing_backs();
        if let Some((day, what)) = case.first_day_after(today, |fact| flow.is_past(fact)) {
            let what = format!("{}: {what} on {day}, which is still to come", source.name());
            return Err(Error::new(Trouble::Data, what).hint("mend the day"));
        }
        Ok(case)
    } else {
        Err(refused(problems))
    }
}

/// Checks a case against the flow in force; a case for another flow is not looked into further.
fn against(flow: &Flow, case: &Case, places: &Places, source: &Source) -> Vec<Diagnostic> {
    if case.flow.id != flow.id {
        let what = format!(
            "the case is for the flow \"{}\", the flow in force is \"{}\"",
            case.flow.id, flow.id
        );
        let span = places.flow.clone();
        let why = "another flow".to_owned();
        return vec![
            Diagnostic::error("case-other-flow", source, span, what, why)
                .help("name its flow with --flow DIR, or mend the case's `flow`"),
        ];
    }
    let problem = |unfitting: Unfitting| {
        let place = places.readings.get(&(unfitting.spot, unfitting.layer));
        let span = place.map_or(0..0, |place| match unfitting.part {
            Part::Fact => place.name.clone(),
            Part::Value => place.value.clone(),
            Part::Instrument => place.with.clone().unwrap_or(place.name.clone()),
        });
        let why = format!("not in the flow \"{}\"", flow.id);
        Diagnostic::error("case-not-in-flow", source, span, unfitting.what, why)
            .help(unfitting.hint)
    };
    flow.unfitting(case).into_iter().map(problem).collect()
}
