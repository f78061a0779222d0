//! A flow that cannot be used, as one error with every problem of its files.

use super::{Error, Trouble};
use crate::flow::{Flow, Loaded};
use crate::phrase::prompts::desk as prompts;
use crate::ronfile::{Diagnostic, Source};

/// Returns the flow of a load that has no errors.
///
/// # Errors
/// Every problem of the files.
pub fn usable(loaded: Loaded) -> Result<(Flow, Vec<Source>), Error> {
    match loaded.flow {
        Some(flow) => Ok((flow, loaded.sources)),
        None => Err(unusable(loaded)),
    }
}

/// Returns an error with every problem of a load.
pub fn unusable(loaded: Loaded) -> Error {
    let mut error = Error::new(Trouble::Data, prompts::FLOW_UNUSABLE);
    error.problems = with_sources(loaded);
    error.hint(prompts::FIX_FLOW)
}

/// Returns the problems of a load, each with its file.
pub fn with_sources(loaded: Loaded) -> Vec<(Diagnostic, Option<Source>)> {
    let source = |problem: &Diagnostic| {
        let mut sources = loaded.sources.iter();
        sources
            .find(|source| source.name() == problem.file)
            .cloned()
    };
    let problems = loaded.problems.into_iter();
    problems
        .map(|problem| {
            let source = source(&problem);
            (problem, source)
        })
        .collect()
}
