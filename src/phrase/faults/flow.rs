//! What is wrong in the files of a flow: ids, texts and the flow as a whole. Rules and tables have files of their own.

pub mod difference;
pub mod options;
pub mod rules;
pub mod seating;
pub mod shorts;
pub mod tables;

use super::{Fault, did_you_mean, values};
use crate::fact::{FactId, Kind, Place};

/// The codes of the check of a flow, each with its meaning in one line.
pub const CODES: &[(&str, &str)] = &[
    ("flow-bounds", "a number outside its bounds"),
    ("flow-choice", "a choice that the fact does not have"),
    (
        "flow-choices",
        "what a rule offers or tells the dentist does not fit its question",
    ),
    (
        "flow-connectors",
        "the minimum connectors of a material do not fit together",
    ),
    ("flow-fact", "no fact has this name"),
    (
        "flow-fact-kind",
        "a fact of the flow's own is not written as it should be",
    ),
    (
        "flow-fact-place",
        "a fact that cannot be looked up from this place",
    ),
    (
        "flow-foretells",
        "a rule foretells what is no failure, or the same twice",
    ),
    ("flow-id-twice", "two rows of one kind have the same id"),
    ("flow-levels", "levels do not go from worst to least"),
    (
        "flow-limit-source",
        "a rule does not give the source of one of its limits",
    ),
    (
        "flow-no-ask",
        "a rule for CALL or ON HOLD that asks nobody to act",
    ),
    ("flow-no-head", "no file says which flow this is"),
    ("flow-no-text", "a text that says nothing"),
    (
        "flow-not-a-number",
        "a limit on a fact that is not a number",
    ),
    ("flow-not-asked", "a question that is in no step"),
    ("flow-not-finite", "a number that cannot be measured"),
    (
        "flow-place-kind",
        "a kind of place that does not lie inside this one",
    ),
    (
        "flow-placeholder",
        "a placeholder that cannot be filled in here",
    ),
    ("flow-question", "a step names a fact that has no question"),
    (
        "flow-question-mark",
        "what a rule asks the dentist is not a question",
    ),
    (
        "flow-reference",
        "no row has this id: a source, instrument, material, cement, seating step, term, price, rule or margin form",
    ),
    (
        "flow-option",
        "an option that changes nothing, or something it cannot change",
    ),
    (
        "flow-seating-order",
        "a seating step that the next one undoes, or one that its own row bars",
    ),
    (
        "flow-seating-twice",
        "two rows for one material with one cement",
    ),
    ("flow-short", "shorter words that do not fit their choice"),
    ("flow-too-long", "a text that does not fit the screen"),
    ("flow-two-heads", "two files say which flow this is"),
    ("flow-type", "a value of another kind or unit than the fact"),
];

/// What an id of a flow belongs to.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Sort {
    /// A source.
    Source,
    /// A fact of the flow's own.
    Fact,
    /// An instrument.
    Instrument,
    /// A load case.
    Load,
    /// A load case that stands before the one that names it.
    EarlierLoad,
    /// A material.
    Material,
    /// A material or a group of materials.
    MaterialOrGroup,
    /// A cement.
    Cement,
    /// A way of seating.
    Seating,
    /// A named step of seating.
    SeatingStep,
    /// A price line.
    Price,
    /// An option.
    Option,
    /// A condition with a name.
    Term,
    /// A rule or a topic of rules.
    Rule,
    /// A question.
    Question,
    /// A step of the inspection.
    Step,
    /// A question as a step names it.
    QuestionInStep,
    /// A figure.
    Figure,
    /// A side of a prep.
    Side,
    /// A form of margin.
    MarginForm,
    /// An impression material.
    ImpressionMaterial,
}

impl Sort {
    /// Names it.
    pub fn words(self) -> &'static str {
        match self {
            Sort::Source => "source",
            Sort::Fact => "fact",
            Sort::Instrument => "instrument",
            Sort::Load => "load",
            Sort::EarlierLoad => "load above this one",
            Sort::Material => "material",
            Sort::MaterialOrGroup => "material or group of materials",
            Sort::Cement => "cement",
            Sort::Seating => "seating",
            Sort::SeatingStep => "seating step",
            Sort::Price => "price",
            Sort::Option => "option",
            Sort::Term => "term",
            Sort::Rule => "rule",
            Sort::Question => "question",
            Sort::Step => "step",
            Sort::QuestionInStep => "question in a step",
            Sort::Figure => "figure",
            Sort::Side => "side",
            Sort::MarginForm => "margin form",
            Sort::ImpressionMaterial => "impression material",
        }
    }
}

/// A second file with the head of the flow; `first` is the file of the first.
pub fn second_head(first: &str) -> Fault {
    Fault::new(
        "only one file of a flow has a Flow(…)",
        "the second",
        format!("the first is in {first}; remove one of them"),
    )
}

/// A flow without a head.
pub fn no_head() -> Fault {
    Fault::new(
        "no file of this flow has a Flow(…)",
        "searched every file",
        "one file needs `Flow((id: \"…\", version: 1, title: \"…\", steps: […]))`",
    )
}

/// What stands for the file where a folder has none.
pub const NO_FILES: &str = "(no files)";

/// A folder without a file of a flow.
pub fn no_files() -> Fault {
    Fault::new(
        "this folder has no .ron file",
        "nothing to read",
        "name the folder that holds the flow's files",
    )
}

/// A question that no step names.
pub fn never_asked(fact: &FactId) -> Fault {
    Fault::new(
        format!("\"{fact}\" is never asked"),
        "in no step",
        "name it in a step of the Flow(…), or remove the question",
    )
}

/// An id that another row of its kind has; `first` is the file and line of that row.
pub fn id_twice(sort: Sort, name: &str, first: &str) -> Fault {
    Fault::new(
        format!("the {} \"{name}\" is there twice", sort.words()),
        "the second",
        format!("the first is at {first}; rename or remove one"),
    )
}

/// A text that does not fit its place on the screen.
pub fn long_line(length: usize, most: usize) -> Fault {
    Fault::new(
        format!("{length} characters, at most {most} fit"),
        "too long",
        "make it shorter",
    )
}

/// A text that says nothing.
pub fn no_text() -> Fault {
    Fault::new("nothing is written here", "empty", "write the text")
}

/// The most names that are listed where none is like the one that was written.
const MOST_NAMED: usize = 12;

/// An id that no row has; `near` is a similar one.
pub fn unknown_id(sort: Sort, name: &str, near: Option<&str>, known: &[String]) -> Fault {
    let help = match near {
        Some(near) => did_you_mean(near),
        None if known.is_empty() => format!(
            "this flow has no {}: is a file of it missing? `casepan flow new` writes all of them",
            sort.words()
        ),
        None if known.len() > MOST_NAMED => format!(
            "there are {} and {} more",
            known[..MOST_NAMED].join(", "),
            known.len() - MOST_NAMED
        ),
        None => format!("there are {}", known.join(", ")),
    };
    let what = format!("there is no {} \"{name}\"", sort.words());
    Fault::new(what, "unknown", help)
}

/// A fact in an answer that the flow does not have.
pub fn answer_of_no_fact(fact: &FactId) -> String {
    format!("the flow has no fact \"{fact}\"")
}

/// A value in an answer that the fact does not take.
pub fn answer_unfit(fact: &FactId, at: Place) -> String {
    format!("the value does not fit {fact} at {at}")
}

/// What a fact of an answer takes.
pub fn answer_takes(kind: &Kind) -> String {
    format!("it takes {}", values::wanted(kind))
}

/// A material or cement in an answer that the flow does not have.
pub fn answer_not_listed(name: &str, fact: &FactId, at: Place) -> String {
    format!("the flow has no \"{name}\" for {fact} at {at}")
}

/// An instrument in an answer that the flow does not have.
pub fn answer_no_instrument(name: &str, fact: &FactId, at: Place) -> String {
    format!("the flow has no instrument \"{name}\" ({fact} at {at})")
}

/// An example of a rule that came out otherwise; `wanted` and `gave` as the example writes them.
pub fn example_missed(rule: &str, example: usize, wanted: &str, gave: &str) -> String {
    format!("rule \"{rule}\", example {example}: expected {wanted}, got {gave}")
}

/// What to do about an example that came out otherwise.
pub const EXAMPLE_ADVICE: &str =
    "correct the rule if the example is right, the example if the rule is right";

/// A rule has no example.
pub fn no_example(rule: &str) -> String {
    format!("rule \"{rule}\" has no example: nothing shows that it tells what it is meant to")
}

/// A rule has no example of some of what it can come to, each as an example writes it.
pub fn example_lacks(rule: &str, lacks: &[String]) -> String {
    format!(
        "rule \"{rule}\" has no example that gives {}",
        lacks.join(", or ")
    )
}

/// Heads the parts of one level of a rule; `level` as the file writes it.
pub fn part_of_level(level: &str) -> String {
    format!("{level}:")
}
/// Heads the parts of a condition that raises the level.
pub const PART_RAISE: &str = "raise";
/// What a part of a condition comes to, at so many steps in.
pub fn part(depth: usize, label: &str, comes_to: &str) -> String {
    format!("{:indent$}{label}: {comes_to}", "", indent = 2 * depth)
}
/// Heads what a part comes to at one place.
pub fn part_at(depth: usize, at: Place) -> String {
    format!("{:indent$}at {at}:", "", indent = 2 * depth)
}
/// A part holds.
pub const PART_TRUE: &str = "yes";
/// A part does not hold.
pub const PART_FALSE: &str = "no";
/// The example does not give what a part looks at.
pub const PART_OPEN: &str = "unknown, the example does not give it";
/// A part can never hold: what it looks at does not come up.
pub const PART_IDLE: &str = "cannot come up here";

/// An example names a tooth that does not exist.
pub const EXAMPLE_NO_TOOTH: &str = "no such tooth";

/// An example gives a fact where its bridge has no place.
pub fn example_no_place(fact: &FactId) -> String {
    format!("no place for {fact} on the example's bridge 44 x45 46")
}

/// Published, and checked against the publication.
pub const PUBLISHED: &str = "published";
/// Published, as another text reports it.
pub const SECOND_HAND: &str = "published, second-hand";
/// From memory, not checked.
pub const FROM_MEMORY: &str = "from memory";
/// From memory, not checked: on the summary.
pub const FROM_MEMORY_ON_PAPER: &str = "not checked against a publication";
/// Common practice.
pub const COMMON_PRACTICE: &str = "common practice, no source";
/// Common practice: on the summary.
pub const COMMON_PRACTICE_ON_PAPER: &str = "common practice";
/// Follows by mathematics.
pub const BY_MATHEMATICS: &str = "by mathematics";
/// This project's or this laboratory's own choice.
pub const OUR_CHOICE: &str = "this laboratory's choice";

/// A file of a flow is a device or a pipe.
pub fn not_a_file(name: &str) -> String {
    format!("{name} is not a regular file")
}
