//! Invented cases of an invented laboratory, carried in the program.

use crate::case::Case;
use crate::case::file::read;
use crate::error::{Error, Trouble};
use crate::ronfile::Source;

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

/// Returns an invented case.
///
/// # Errors
/// There is none of this name.
pub fn case(name: &str) -> Result<Case, Error> {
    let Some((name, text)) = CASES.iter().find(|(known, _)| *known == name) else {
        let names: Vec<_> = CASES.iter().map(|(name, _)| *name).collect();
        return Err(Error::new(
            Trouble::NoInput,
            format!("there is no invented case \"{name}\""),
        )
        .hint(format!("there are {}", names.join(", "))));
    };
    let source = Source::new(format!("demo/{name}.ron"), *text);
    read(&source).map_err(|problems| {
        let mut error = Error::new(Trouble::Bug, "an invented case cannot be read");
        error.problems = problems
            .into_iter()
            .map(|problem| (problem, Some(source.clone())))
            .collect();
        error
    })
}
