//! Reads a case file and checks it against the active flow.

use std::fs::File;
use std::io::{self, Read as _, Write as _};
use std::path::Path;

use crate::case::Case;
use crate::case::decision::ORDER;
use crate::case::file::{Places, read_with_places};
use crate::error::{Error, Trouble};
use crate::flow::{Flow, Part, Unfitting};
use crate::phrase::program::case_file as says;
use crate::phrase::program::errors::cannot_be_read;
use crate::ronfile::{Diagnostic, MAX_BYTES, Source};
use crate::text::{clean, shown};

pub(super) fn read_source(path: &Path) -> Result<Source, Error> {
    let name = shown(path);
    let unread = |error: io::Error| {
        let trouble = match error.kind() {
            io::ErrorKind::NotFound | io::ErrorKind::PermissionDenied => Trouble::NoInput,
            _ => Trouble::Io,
        };
        Error::new(trouble, cannot_be_read(&name, &error)).hint(says::UNREAD_HINT)
    };
    if path.is_dir() {
        return Err(Error::new(Trouble::NoInput, says::is_a_directory(&name))
            .hint(says::IS_A_DIRECTORY_HINT));
    }
    // A device or a pipe has no length before it is read; one byte too many is enough to know.
    let mut bytes = Vec::new();
    let file = File::open(path).map_err(unread)?;
    file.take(MAX_BYTES as u64 + 1)
        .read_to_end(&mut bytes)
        .map_err(unread)?;
    if bytes.len() > MAX_BYTES {
        return Err(
            Error::new(Trouble::Data, says::too_long(&name)).hint(says::too_long_hint(MAX_BYTES))
        );
    }
    Source::from_bytes(name.clone(), bytes).map_err(|problem| {
        let mut error = Error::new(Trouble::Data, says::not_text(&name));
        error.problems.push((problem, None));
        error
    })
}

pub(super) fn read_case(path: &Path, flow: &Flow) -> Result<Case, Error> {
    let today = super::moment().today;
    let source = read_source(path)?;
    let refused = |problems: Vec<Diagnostic>| {
        let what = says::problems(source.name(), problems.len());
        let mut error = Error::new(Trouble::Data, what);
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
            let what = says::in_the_future(source.name(), &what, day);
            return Err(Error::new(Trouble::Data, what).hint(says::IN_THE_FUTURE_HINT));
        }
        Ok(case)
    } else {
        Err(refused(problems))
    }
}

/// Says on the error stream that a case file was written for another version of the flow than the one that judges it.
pub(super) fn tell_version(path: &Path, case: &Case, flow: &Flow) {
    if case.flow.version != flow.version {
        let name = shown(path);
        let note = says::other_version(&name, &flow.id, case.flow.version, flow.version);
        // Nothing depends on it: the case is judged all the same.
        let _ = writeln!(io::stderr(), "{}", clean(&note));
    }
}

/// Returns what of a case does not fit the active flow; of a case for another flow, only that.
fn against(flow: &Flow, case: &Case, places: &Places, source: &Source) -> Vec<Diagnostic> {
    if case.flow.id != flow.id {
        let what = says::other_flow(&case.flow.id, &flow.id);
        let span = places.flow.clone();
        return vec![
            Diagnostic::error("case-other-flow", source, span, what, says::OTHER_FLOW)
                .help(says::OTHER_FLOW_HINT),
        ];
    }
    let problem = |unfitting: Unfitting| {
        let place = places.readings.get(&(unfitting.spot, unfitting.layer));
        let span = place.map_or(0..0, |place| match unfitting.part {
            Part::Fact => place.name.clone(),
            Part::Value => place.value.clone(),
            Part::Instrument => place.with.clone().unwrap_or(place.name.clone()),
        });
        let why = says::not_in_flow(&flow.id);
        Diagnostic::error("case-not-in-flow", source, span, unfitting.what, why)
            .help(unfitting.hint)
    };
    flow.unfitting(case).into_iter().map(problem).collect()
}
