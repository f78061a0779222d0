//! What is wrong with questions, rules, conditions, steps of the inspection and norms.

use crate::fact::{FactId, PlaceKind};
use crate::phrase::faults::Fault;
use crate::phrase::faults::values::{one, written};

/// A question for a fact that is computed.
pub fn computed_question(fact: &FactId) -> Fault {
    Fault::new(
        format!("\"{fact}\" is computed, not asked"),
        "a computed fact",
        "remove the question; rules may use the fact as it is",
    )
}

/// A list of usual teeth that cannot list the teeth of its question.
pub fn not_a_list(on: &FactId, fact: &str) -> Fault {
    Fault::new(
        format!("\"{on}\" cannot list teeth for \"{fact}\""),
        "not a list of teeth",
        "`on` names a list of teeth at the case or a restoration, and the question is about a tooth",
    )
}

/// A direction of days in a question that asks for no day.
pub fn not_a_day() -> Fault {
    Fault::new(
        "only a question for a day has `days` and `not_before`",
        "not a day",
        "remove the line, or ask for a day",
    )
}

/// Levels in another order than from worst to least.
pub fn levels() -> Fault {
    Fault::new(
        "levels go from worst to least: Hold, Call, Watch",
        "these levels",
        "the worst that is true counts; leave Fine out",
    )
}

/// A rule for CALL or ON HOLD that asks neither the dentist nor the laboratory to act.
pub fn nobody_asked(rule: &str) -> Fault {
    Fault::new(
        format!("rule \"{rule}\" can give CALL or ON HOLD, but asks nobody to act"),
        "what should happen?",
        "say what to ask the dentist (`asks`) or what the laboratory does (`bench`)",
    )
}

/// What a rule foretells that is no failure; `kind` as the file writes it.
pub fn foretells_no_failure(kind: &str) -> Fault {
    Fault::new(
        format!("a rule cannot foretell {kind}: nothing went wrong"),
        "no failure",
        FORETELLS,
    )
}

/// What a rule foretells twice; `kind` as the file writes it.
pub fn foretells_twice(kind: &str) -> Fault {
    Fault::new(
        format!("this rule foretells {kind} twice"),
        "listed twice",
        FORETELLS,
    )
}

/// What a rule may foretell.
const FORETELLS: &str = "any of CameOff, Broke, OpenMargin, HighContact, ContactOpen, Shade, Decay, ToothLost, Other, each once; \
    leave it out where the rule is not to be put to the test";

/// A level with a limit whose source is not given; `level` as the file writes it.
pub fn no_limit_source(rule: &str, level: &str) -> Fault {
    Fault::new(
        format!("rule \"{rule}\" does not give the source of its limit for {level}"),
        "no source of the limit",
        "such as limits: [(Call, \"ours\")]: the source of the number, apart from that of the sentence",
    )
}

/// What is told with a question that is not asked.
pub fn tells_without_asks() -> Fault {
    Fault::new(
        "`tells` goes with a question to the dentist",
        "no question",
        "write the question (`asks`), or remove this line",
    )
}

/// What to do about the choices of a question.
const CHOICES: &str = "write each choice once and in its own words; \"other\" is added by itself";

/// Choices of a question that is not asked.
pub fn choices_without_asks() -> Fault {
    Fault::new(
        "`choices` go with a question (`asks`)",
        "no question",
        CHOICES,
    )
}

/// Too few or too many choices.
pub fn count_of_choices(least: usize, most: usize) -> Fault {
    Fault::new(
        format!("a question offers {least} to {most} choices"),
        "too few or too many",
        CHOICES,
    )
}

/// A choice that is offered twice.
pub fn choice_twice() -> Fault {
    Fault::new("a choice is offered twice", "listed twice", CHOICES)
}

/// What to do about the choices that settle a question.
const SETTLES: &str = "copy a choice from `choices` as it is, or remove this one";

/// A choice that settles a question where nothing can be made as it is.
pub fn settles_never() -> Fault {
    Fault::new(
        "no choice settles what can never be made as it is",
        "settles",
        SETTLES,
    )
}

/// A choice that settles a question and is not offered.
pub fn settles_no_choice() -> Fault {
    Fault::new(
        "a question is settled by one of its choices",
        "not a choice",
        SETTLES,
    )
}

/// A text that has to be a question; `field` as the file writes it.
pub fn not_a_question(field: &str) -> Fault {
    Fault::new(
        format!("`{field}` is a question"),
        "no question mark",
        "end it with a question mark, and offer a choice",
    )
}

/// A placeholder that has no value at its place.
pub fn placeholder(name: &str) -> Fault {
    Fault::new(
        format!("{{{name}}} cannot be filled in here"),
        "in this text",
        "write {tooth}, {teeth}, {wall}, {walls}, {places} or a fact at this place, within it or around it",
    )
}

/// A computed fact among those that are read again.
pub fn computed_again(fact: &FactId) -> Fault {
    Fault::new(
        format!("\"{fact}\" is computed, nobody reads it again"),
        "a computed fact",
        "name the readings that it is computed from",
    )
}

/// A grid with rows at different kinds of places.
pub fn mixed_grid() -> Fault {
    Fault::new(
        "all rows of a grid belong to one kind of place",
        "another kind of place",
        "put it in a grid of its own",
    )
}

/// A step that names a fact without a question.
pub fn no_question(fact: &FactId) -> Fault {
    Fault::new(
        format!("there is no question for \"{fact}\""),
        "named in this step",
        "add a Question(fact: …) for it, or remove it from the step",
    )
}

/// A term that is used at a place that it does not fit.
pub fn term_out_of_reach(term: &str, at: PlaceKind, from: PlaceKind) -> Fault {
    Fault::new(
        format!(
            "the term \"{term}\" is for {}, not for {}",
            one(at),
            one(from)
        ),
        "out of reach from here",
        "use it in a rule at that place, or write the condition out",
    )
}

/// A count of places that do not lie in the place it is counted from.
pub fn not_within(inner: PlaceKind, from: PlaceKind) -> Fault {
    let what = match inner {
        PlaceKind::Case => format!("{} does not contain the case", one(from)),
        inner => format!("there is never {} within {}", one(inner), one(from)),
    };
    Fault::new(
        what,
        "cannot be counted from here",
        "count a kind of place that lies inside the rule's own, or drop the count",
    )
}

/// A fact that cannot be read from a place; `lies_within` says whether its place lies inside.
pub fn fact_out_of_reach(name: &str, at: PlaceKind, from: PlaceKind, lies_within: bool) -> Fault {
    let help = if lies_within {
        format!("look inside with AnyAt({at:?}, …), EveryAt({at:?}, …) or AtLeastAt(n, {at:?}, …)")
    } else {
        "use a fact at this place or at one that contains it; `casepan flow facts` lists them"
            .to_owned()
    };
    Fault::new(
        format!(
            "\"{name}\" belongs to {} and cannot be read from {}",
            written(at),
            one(from)
        ),
        "out of reach from here",
        help,
    )
}

/// A limit on a fact that is not a number.
pub fn no_number(name: &str) -> Fault {
    Fault::new(
        format!("\"{name}\" is not a number"),
        "cannot be above or below a limit",
        "compare it with Is or OneOf",
    )
}

/// A norm whose place cannot be reached from that of its rule.
pub fn norm_out_of_reach(rule: &str, rule_at: PlaceKind, at: PlaceKind) -> Fault {
    Fault::new(
        format!(
            "the rule \"{rule}\" is about {}, this row about {}",
            one(rule_at),
            one(at)
        ),
        "out of reach from there",
        "set `at` to a place that contains the rule's",
    )
}

/// A norm without a text or without a rule.
pub fn norm_never_shown() -> Fault {
    Fault::new(
        "this row has no text, or no rule to be shown with",
        "never shown",
        "write one line, and name the rules in `beside`",
    )
}
