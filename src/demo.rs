//! Sample cases, and an invented laboratory's two years.

mod journals;
pub mod laboratory;

use crate::case::Case;
use crate::case::file::read;
use crate::error::{Error, Trouble};
use crate::phrase::program::errors::{SAMPLE_UNREADABLE, no_sample, samples};
use crate::ronfile::Source;

pub use journals::journal;

/// The cases by name; each is a file of the directory `demo`.
pub const CASES: &[(&str, &str)] = &[
    ("bridge-44-46", include_str!("../demo/bridge-44-46.ron")),
    (
        "cantilever-12-13",
        include_str!("../demo/cantilever-12-13.ron"),
    ),
    ("crown-26", include_str!("../demo/crown-26.ron")),
    ("remake-35-37", include_str!("../demo/remake-35-37.ron")),
];

/// Returns a sample case.
///
/// # Errors
/// Returns an error if there is none with this name.
pub fn case(name: &str) -> Result<Case, Error> {
    let Some((name, text)) = CASES.iter().find(|(known, _)| *known == name) else {
        let names: Vec<_> = CASES.iter().map(|(name, _)| *name).collect();
        return Err(Error::new(Trouble::NoInput, no_sample(name)).hint(samples(&names)));
    };
    let source = Source::new(format!("demo/{name}.ron"), *text);
    read(&source).map_err(|problems| {
        let mut error = Error::new(Trouble::Bug, SAMPLE_UNREADABLE);
        error.problems = problems
            .into_iter()
            .map(|problem| (problem, Some(source.clone())))
            .collect();
        error
    })
}
