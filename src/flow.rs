//! Flows: RON files in, a checked model and every problem of a run out.
//!
//! A supervisor owns these files: questions, rules, materials, cements, instruments, their sources.
//! The loader reads each file on its own, so that a syntax error stops only its file, and then checks what the
//! parts mean together. Nothing here reads the disk except [`from_directory`].

mod check;
mod conditions;
pub mod difference;
mod evaluate;
mod examples;
mod figures;
mod hands;
pub mod kept;
mod materials;
mod model;
mod norms;
mod options;
mod replaced;
mod rules;
mod seating;
mod shape;
mod shorts;
mod steps;
mod tables;
pub mod written;

use std::path::Path;

use sha2::{Digest, Sha256};

use crate::case::{Case, Layer};
use crate::fact::{Kind, List, Spot, Value};
use crate::phrase::faults::flow as faults;
use crate::phrase::faults::{FACTS_LISTED, one_of};
use crate::ronfile::{Diagnostic, Source};
use crate::text::{hex, shown};

pub use crate::phrase::faults::flow::CODES;
pub use evaluate::{Evaluated, Fired, Open};
pub use examples::{Miss, Unshown, run_examples, unshown};
pub use figures::{
    Breaking, Figures, HardBite, Impressions, LeastGrip, LeastPrep, RootForm, Roots, Scans,
    Shrinkage, Spacer,
};
pub use hands::OwnErrors;
pub use materials::{Cement, Connectors, Material, MaterialId};
pub use model::*;
pub use norms::Norm;
pub use options::{OptionRow, Pair, Price, Reach, Verb, Whose};
pub use replaced::replaced;
pub use shorts::{LONGEST, Short};
pub use tables::Instrument;

/// What came of loading a flow.
pub struct Loaded {
    /// The files, in the order of their names.
    pub sources: Vec<Source>,
    /// The flow, or `None` if a problem is an error.
    pub flow: Option<Flow>,
    /// Every problem found.
    pub problems: Vec<Diagnostic>,
}

/// The files of the flow that the program carries, by name.
pub const EMBEDDED: &[(&str, &str)] = &[
    ("cements.ron", include_str!("../flows/fixed/cements.ron")),
    ("figures.ron", include_str!("../flows/fixed/figures.ron")),
    ("flow.ron", include_str!("../flows/fixed/flow.ron")),
    ("groups.ron", include_str!("../flows/fixed/groups.ron")),
    (
        "instruments.ron",
        include_str!("../flows/fixed/instruments.ron"),
    ),
    ("loads.ron", include_str!("../flows/fixed/loads.ron")),
    (
        "materials.ron",
        include_str!("../flows/fixed/materials.ron"),
    ),
    ("norms.ron", include_str!("../flows/fixed/norms.ron")),
    ("options.ron", include_str!("../flows/fixed/options.ron")),
    ("prices.ron", include_str!("../flows/fixed/prices.ron")),
    (
        "questions/1-order.ron",
        include_str!("../flows/fixed/questions/1-order.ron"),
    ),
    (
        "questions/2-records.ron",
        include_str!("../flows/fixed/questions/2-records.ron"),
    ),
    (
        "questions/3-bite.ron",
        include_str!("../flows/fixed/questions/3-bite.ron"),
    ),
    (
        "questions/4-preps.ron",
        include_str!("../flows/fixed/questions/4-preps.ron"),
    ),
    (
        "questions/5-walls.ron",
        include_str!("../flows/fixed/questions/5-walls.ron"),
    ),
    (
        "questions/6-between.ron",
        include_str!("../flows/fixed/questions/6-between.ron"),
    ),
    (
        "questions/7-dentist.ron",
        include_str!("../flows/fixed/questions/7-dentist.ron"),
    ),
    (
        "questions/8-design.ron",
        include_str!("../flows/fixed/questions/8-design.ron"),
    ),
    (
        "questions/9-call.ron",
        include_str!("../flows/fixed/questions/9-call.ron"),
    ),
    (
        "rules/0-readings.ron",
        include_str!("../flows/fixed/rules/0-readings.ron"),
    ),
    (
        "rules/1-order.ron",
        include_str!("../flows/fixed/rules/1-order.ron"),
    ),
    (
        "rules/2-records.ron",
        include_str!("../flows/fixed/rules/2-records.ron"),
    ),
    (
        "rules/3-bite.ron",
        include_str!("../flows/fixed/rules/3-bite.ron"),
    ),
    (
        "rules/4-preps.ron",
        include_str!("../flows/fixed/rules/4-preps.ron"),
    ),
    (
        "rules/5-walls.ron",
        include_str!("../flows/fixed/rules/5-walls.ron"),
    ),
    (
        "rules/6-between.ron",
        include_str!("../flows/fixed/rules/6-between.ron"),
    ),
    (
        "seating-steps.ron",
        include_str!("../flows/fixed/seating-steps.ron"),
    ),
    ("seating.ron", include_str!("../flows/fixed/seating.ron")),
    ("shorts.ron", include_str!("../flows/fixed/shorts.ron")),
    ("sources.ron", include_str!("../flows/fixed/sources.ron")),
    ("terms.ron", include_str!("../flows/fixed/terms.ron")),
];

/// Loads the flow that the program carries. A test holds that it has no problem.
pub fn embedded() -> Loaded {
    load(embedded_sources())
}

/// Returns the files of the flow that the program carries.
pub fn embedded_sources() -> Vec<Source> {
    let files = EMBEDDED.iter();
    files
        .map(|(name, text)| Source::new(*name, *text))
        .collect()
}

/// Loads every `.ron` file below a directory.
///
/// # Errors
/// The directory or one of its files cannot be read.
pub fn from_directory(directory: &Path) -> std::io::Result<Loaded> {
    from_directory_by(directory, load)
}

/// Reads every `.ron` file below a directory and loads them with `by`, or without it where one is no text.
///
/// # Errors
/// The directory or one of its files cannot be read.
pub fn from_directory_by(
    directory: &Path,
    by: impl FnOnce(Vec<Source>) -> Loaded,
) -> std::io::Result<Loaded> {
    let mut files = Vec::new();
    collect(directory, String::new(), 0, &mut files)?;
    files.sort();
    let mut sources = Vec::new();
    let mut problems = Vec::new();
    for (name, path) in files {
        match Source::from_bytes(name, file_of_flow(&path)?) {
            Ok(source) => sources.push(source),
            Err(problem) => problems.push(problem),
        }
    }
    if problems.is_empty() {
        return Ok(by(sources));
    }
    let mut loaded = load_all(sources, true);
    problems.append(&mut loaded.problems);
    loaded.problems = problems;
    loaded.flow = None;
    Ok(loaded)
}

/// Reads a file of a flow, no more of it than shows that it is too large. What is no file might never end.
fn file_of_flow(path: &Path) -> std::io::Result<Vec<u8>> {
    use std::io::Read as _;
    if !std::fs::metadata(path)?.is_file() {
        let what = faults::not_a_file(&shown(path));
        return Err(std::io::Error::new(std::io::ErrorKind::InvalidInput, what));
    }
    let mut bytes = Vec::new();
    let most = crate::ronfile::MAX_BYTES as u64 + 1;
    std::fs::File::open(path)?
        .take(most)
        .read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// Directories below this depth are not looked into.
const MAX_DEPTH: usize = 6;

fn collect(
    directory: &Path,
    prefix: String,
    depth: usize,
    files: &mut Vec<(String, std::path::PathBuf)>,
) -> std::io::Result<()> {
    for entry in std::fs::read_dir(directory)? {
        let entry = entry?;
        let name = entry.file_name().to_string_lossy().into_owned();
        if name.starts_with('.') {
            continue;
        }
        let path = entry.path();
        if path.is_dir() {
            if depth < MAX_DEPTH {
                collect(&path, format!("{prefix}{name}/"), depth + 1, files)?;
            }
        } else if name.to_ascii_lowercase().ends_with(".ron") {
            files.push((format!("{prefix}{name}"), path));
        }
    }
    Ok(())
}

/// The number of the format that flows are written in. Whoever changes what files of a flow mean, so that those of today
/// would be read as something else, gives the new format the next number and keeps the reader of this one beside it: cases
/// are judged by the flow that they were opened with, whatever has become of flows since.
pub const FORMAT: u32 = 1;

/// Loads a flow that is written in a format, or returns `None` for one that this program does not know.
pub fn load_as(format: u32, sources: Vec<Source>) -> Option<Loaded> {
    match format {
        FORMAT => Some(load(sources)),
        _ => None,
    }
}

/// Loads a flow from its files.
pub fn load(sources: Vec<Source>) -> Loaded {
    load_all(sources, false)
}

/// Loads a flow from those of its files that can be read; `unread` says that there are others.
fn load_all(sources: Vec<Source>, unread: bool) -> Loaded {
    let digest = digest(&sources);
    let (flow, problems) = check::check(&sources, digest, unread);
    Loaded {
        sources,
        flow,
        problems,
    }
}

/// Returns the SHA-256 over names and texts of a flow's files, in hexadecimal.
pub fn digest(sources: &[Source]) -> String {
    let mut hash = Sha256::new();
    for source in sources {
        for part in [source.name(), source.text()] {
            hash.update((part.len() as u64).to_be_bytes());
            hash.update(part.as_bytes());
        }
    }
    hex(hash.finalize())
}

/// A part of a reading.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Part {
    /// The fact's name.
    Fact,
    /// The value.
    Value,
    /// The instrument.
    Instrument,
}

/// An answer of a case that its flow does not know.
#[derive(Clone, PartialEq, Debug)]
pub struct Unfitting {
    /// The fact and its place.
    pub spot: Spot,
    /// The layer of the reading.
    pub layer: Layer,
    /// Which part of the reading it is.
    pub part: Part,
    /// What is wrong, as a sentence.
    pub what: String,
    /// What to do about it.
    pub hint: String,
}

impl Flow {
    /// Returns the choices of a fact: names and words.
    pub fn choices(&self, kind: &Kind) -> Vec<(String, String)> {
        match kind {
            Kind::Choice(choices) => choices
                .iter()
                .map(|(id, words)| (id.to_string(), words.to_string()))
                .collect(),
            Kind::Listed(List::Materials) => self
                .materials
                .iter()
                .map(|m| (m.id.to_string(), m.name.clone()))
                .collect(),
            Kind::Listed(List::Cements) => self
                .cements
                .iter()
                .map(|c| (c.id.clone(), c.name.clone()))
                .collect(),
            _ => Vec::new(),
        }
    }

    /// Lists the answers of a case that name a fact, a material, a cement or an instrument which this flow does not
    /// have, and values that do not fit a fact of the flow's own.
    pub fn unfitting(&self, case: &Case) -> Vec<Unfitting> {
        let mut list = Vec::new();
        for (spot, layer, reading) in case.layers() {
            let unfitting = |part, what, hint| Unfitting {
                spot: spot.clone(),
                layer,
                part,
                what,
                hint,
            };
            let Some(spec) = self.spec(&spot.fact) else {
                list.push(unfitting(
                    Part::Fact,
                    faults::answer_of_no_fact(&spot.fact),
                    FACTS_LISTED.to_owned(),
                ));
                continue;
            };
            if spec.check(&reading.value).is_err() {
                list.push(unfitting(
                    Part::Value,
                    faults::answer_unfit(&spot.fact, spot.at),
                    faults::answer_takes(&spec.kind),
                ));
            }
            if let (Kind::Listed(_), Value::Choice(name)) = (&spec.kind, &reading.value) {
                let known = self.choices(&spec.kind);
                if !known.iter().any(|(id, _)| id == name) {
                    let ids: Vec<String> = known.into_iter().map(|(id, _)| id).collect();
                    list.push(unfitting(
                        Part::Value,
                        faults::answer_not_listed(name, &spot.fact, spot.at),
                        one_of(&ids),
                    ));
                }
            }
            if let Some(with) = reading
                .with
                .as_deref()
                .filter(|with| self.instrument(with).is_none())
            {
                let ids: Vec<String> = self.instruments.iter().map(|i| i.id.clone()).collect();
                list.push(unfitting(
                    Part::Instrument,
                    faults::answer_no_instrument(with, &spot.fact, spot.at),
                    one_of(&ids),
                ));
            }
        }
        list
    }
}
